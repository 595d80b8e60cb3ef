// What happened, as a list of entries that only grows; taking something back is an entry too. Two boards' lists put together
// are one list, whatever the order in which they arrive.

const storeKey = () => `benchroll-board-${data.key}${rehearsal ? "-rehearsal" : ""}`;

/** How things stood each time when the rest was planned again; what was written down by then came with the page. */
const earlier = data.before ?? [];
const lastTime = earlier[earlier.length - 1];
/** What the plan on show was made with, when it was made on the day itself, or in this rehearsal. */
const madeWith = () => (lastTime && Boolean(lastTime.rehearsal) === (rehearsal !== null) ? lastTime : {});

/** Things to tell the teacher about the record, by a key, so that each stands once. */
const notices = new Map();
let kept = true;
/** What could not be set aside is never written over: nothing is written then. */
let held = false;
/** A later board keeps its record here: it is that board's, and nothing is written into it. */
let besideLater = false;
/** Entries that were set aside since this page was opened, as their text: each once. */
const setAsideOnce = new Set();
let record = emptyRecord();
/** How many entries were there when the log was last saved from this page. */
let savedEntries = 0;

function emptyRecord() {
  return { format: "benchroll-board", version: data.version, plan: data.plan, board: newName(), entries: [], rung: [], plans: [] };
}
/** A name for this board that no other has. */
function newName() {
  const bytes = new Uint8Array(4);
  crypto.getRandomValues(bytes);
  return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
}

function fromStore(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}
/** Says whether it is kept: a browser may refuse, or be full. */
function toStore(key, text) {
  try {
    localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

/** So many times at most something is set aside: beyond that nothing is written at all. */
const MOST_ASIDE = 50;
/** What cannot be used is set aside, never written over, and no copy takes the place of another. */
function setAside(text) {
  for (let n = 1; n <= MOST_ASIDE; n += 1) {
    const key = `${storeKey()}-set-aside${n > 1 ? `-${n}` : ""}`;
    const there = fromStore(key);
    if (there === text || (there === null && toStore(key, text))) return;
    if (there === null) break;
  }
  held = true;
}

/** What a text of the storage holds: a record that can be taken over, or what is the matter with it. The one check, whoever reads. */
function recordIn(text) {
  let stored = null;
  try {
    stored = JSON.parse(text);
  } catch {
    // Half a record is no record.
  }
  if (!stored || stored.format !== "benchroll-board" || !Array.isArray(stored.entries)) return { trouble: "unread" };
  if (stored.version > data.version) return { trouble: "later", version: stored.version };
  return { stored };
}

/** The saved record; what cannot be used of it is told, and set aside where it would be written over. */
function readStored() {
  const text = fromStore(storeKey());
  if (text === null) {
    besideLater = false;
    return null;
  }
  const { stored, trouble, version } = recordIn(text);
  besideLater = trouble === "later";
  if (besideLater) notices.set("later", says("stored-later", { version }));
  if (trouble === "unread") {
    setAside(text);
    notices.set("unread", says("stored-unread"));
  }
  if (!stored) return null;
  const odd = stored.entries.filter((e) => !isSound(e)).map((e) => JSON.stringify(e) ?? "");
  // Another window may write the same again and again.
  if (odd.some((e) => !setAsideOnce.has(e))) {
    setAside(text);
    odd.forEach((e) => setAsideOnce.add(e));
    notices.set("odd", says("stored-odd", { n: odd.length }));
  }
  return stored;
}

/** Begins with what this browser kept. */
function openRecord() {
  [record, folded, savedEntries, held] = [emptyRecord(), null, 0, false];
  setAsideOnce.clear();
  const stored = readStored();
  if (stored) {
    if (/^[0-9a-z]{1,16}$/.test(stored.board)) record.board = stored.board;
    takeOver(stored);
  }
  meetPlans();
  if (lastTime && madeWith() === lastTime) takeIn(data.entries ?? []);
  if (stored && stored.plan !== data.plan && record.entries.length && !laterPlan()) {
    const gone = record.entries.filter((e) => e.task && !taskOf.has(e.task)).length;
    if (gone || !lastTime) notices.set("plan", says("other-plan", { n: gone }));
    else notices.set("plan", says("plan-from", { time: clockText(Date.parse(lastTime.now) / MINUTE) }));
  }
  // A browser may allow reading and refuse writing, so it is tried.
  keep();
}

/** Writes the record. Another window of this browser may have written meanwhile: what it wrote is taken in first. */
function keep() {
  const stored = readStored();
  if (stored) takeOver(stored);
  write();
}
function write() {
  record.plan = data.plan;
  kept = !held && !besideLater && toStore(storeKey(), JSON.stringify(record));
}

/** Takes over what a saved record knows. */
function takeOver(stored) {
  takeIn(stored.entries);
  const rung = Array.isArray(stored.rung) ? stored.rung.filter((id) => taskOf.has(id)) : [];
  record.rung = [...new Set([...record.rung, ...rung])];
  for (const { plan, at, chosen } of (Array.isArray(stored.plans) ? stored.plans : []).filter((p) => p && isText(p.plan) && isMoment(p.at))) {
    const known = record.plans.find((p) => p.plan === plan);
    if (!known) record.plans.push(chosen === true ? { plan, at, chosen } : { plan, at });
    else {
      known.at = Math.max(known.at, at);
      if (chosen === true) known.chosen = true;
    }
  }
}

/** Which plan of this class was first opened when, in this browser: an older board that is opened again knows by it. */
function meetPlans() {
  const known = (plan) => record.plans.some((p) => p.plan === plan);
  const at = Date.now();
  // Those that this plan was made from are older than it, whenever they are opened.
  for (const { plan } of earlier) if (isText(plan) && !known(plan)) record.plans.push({ plan, at: at - 1 });
  if (isLive) record.plans = record.plans.filter((p) => p.plan !== data.plan);
  // So that it comes after them by any clock, it is put after them where the device's has been set back since.
  const before = record.plans.filter((p) => isEarlier(p.plan)).map((p) => p.at + 1);
  if (!known(data.plan)) record.plans.push({ plan: data.plan, at: Math.max(at, ...before) });
}
/** Whether the plan on show was made from this one. */
const isEarlier = (plan) => earlier.some((state) => state.plan === plan);
/**
 * Another plan that was opened here after this one; `null` for none. The program's own page always has the latest. A plan that this one
 * was made from is no later one, whatever the clock said, unless the teacher went back to it.
 */
function laterPlan() {
  const own = record.plans.find((p) => p.plan === data.plan);
  const later = isLive ? [] : record.plans.filter((p) => p !== own && p.at > (own?.at ?? 0) && (p.chosen || !isEarlier(p.plan)));
  return later.sort((a, b) => a.at - b.at).pop() ?? null;
}
/** The teacher goes back to this plan. */
function goBackToThis() {
  const own = record.plans.find((p) => p.plan === data.plan);
  own.at = Math.max(Date.now(), ...record.plans.map((p) => p.at + 1));
  own.chosen = true;
  keep();
}

/** So far from the class no device's clock is, even one that begins anew at 1970: further away lie slips of a pen. */
const FAR = 100 * 366 * 24 * 60;
const isMinute = (m) => Number.isFinite(m) && m > data.days[0].from - FAR && m < data.days[data.days.length - 1].to + FAR;
const isMoment = (ms) => Number.isFinite(ms) && isMinute(ms / MINUTE);
const isText = (text) => typeof text === "string" && text.length <= 500;
const isCount = (n, least, most) => Number.isInteger(n) && n >= least && n <= most;
/** A reading by its name; before the second version by its place in a list: that is kept, and names none of another plan. */
const isReading = (id) => (isText(id) && id !== "") || isCount(id, 1, 10000);
const orNone = (is) => (value) => value === undefined || is(value);

/** What an entry of each kind has to hold, so that the board can go on with it. */
const HOLDS = {
  start: { task: isText },
  done: { task: isText, start: orNone(isMinute) },
  longer: { task: isText, minutes: (n) => isCount(n, 1, 600) },
  reading: { reading: isReading, what: isText, verdict: isText, action: orNone(isText), celsius: orNone((c) => Number.isFinite(c) && c > -274 && c < 1000) },
  measured: { task: isText, values: (v) => v !== null && typeof v === "object" && Object.values(v).every((n) => Number.isFinite(n)) },
  absent: { station: isText, students: (n) => isCount(n, 0, 500) },
  failed: { what: isText },
  mended: { what: isText },
  jump: { minutes: Number.isFinite },
  missed: { reading: isReading, what: isText, rule: orNone(isText) },
  action: { of: isText, what: isText, action: isText },
  left: { task: isText },
  undo: { of: isText },
};
/** Whether an entry says something possible: a log may have been written by hand, or by a device whose clock was wrong by years. */
function isSound(e) {
  if (!e || typeof e !== "object" || !isText(e.id) || !isText(e.kind) || !isMoment(e.at) || !orNone(isMoment)(e.time) || !orNone(isText)(e.act)) return false;
  return Object.entries(HOLDS[e.kind] ?? {}).every(([field, holds]) => holds(e[field]));
}

/** Puts entries into the record, in the order of their time. */
function add(entries) {
  record.entries.push(...entries);
  record.entries.sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1));
  folded = null;
}

/** Takes over entries from elsewhere, but for those that cannot be; says how many were new, and how many cannot be. */
function takeIn(entries) {
  const known = new Set(record.entries.map((e) => e.id));
  const sound = entries.filter(isSound);
  const fresh = sound.filter((e) => !known.has(e.id));
  add(fresh);
  return { fresh: fresh.length, odd: entries.length - sound.length };
}

/** Writes down that something happened, now unless `at` says when. */
const note = (kind, fields = {}) => noteAll([[kind, fields]])[0];
/** Writes down several things that were said with one tap: they are one act, and are taken back as one. */
function noteAll(things) {
  const stored = readStored();
  if (stored) takeOver(stored);
  const own = record.entries.filter((e) => e.id.startsWith(`${record.board}-`));
  const next = 1 + Math.max(0, ...own.map((e) => Number(e.id.split("-")[1]) || 0));
  const at = Math.round(now());
  const act = things.length > 1 ? { act: `${record.board}-${next}` } : {};
  const entries = things.map(([kind, fields], n) => ({ id: `${record.board}-${next + n}`, at, kind, ...fields, ...act }));
  // What happened here is never left out, whatever this device takes for the time.
  add(entries);
  write();
  return entries;
}
/** Takes entries back, as one act. */
const takeBack = (entries) => noteAll(entries.map((e) => ["undo", { of: e.id }]));

let folded = null;
/** How things stand by the record. */
function state() {
  folded ??= fold(record.entries);
  return folded;
}
/** What entries come to. */
function fold(entries) {
  const back = new Set(entries.filter((e) => e.kind === "undo").map((e) => e.of));
  const { absent = [], without = [] } = madeWith();
  const s = { started: new Map(), done: new Map(), longer: new Map(), readings: new Map(), measured: new Map(),
    absent: new Map(absent.filter((a) => a.station).map((a) => [a.station, a.students])), failed: new Set(without), missed: new Map(), left: new Map(), twice: [] };
  const actions = new Map();
  for (const e of entries) {
    if (back.has(e.id)) continue;
    const time = (e.time ?? e.at) / MINUTE;
    if (e.kind === "start" && !s.started.has(e.task)) s.started.set(e.task, time);
    else if (e.kind === "done") {
      const first = s.done.get(e.task);
      if (first && first.board !== boardOf(e)) s.twice.push({ task: e.task, first: first.time, second: time });
      // The first tick counts, on whichever board.
      if (!first) s.done.set(e.task, { time, id: e.id, board: boardOf(e), start: e.start });
    } else if (e.kind === "longer") {
      if (!isPlannedIn(e)) s.longer.set(e.task, (s.longer.get(e.task) ?? 0) + e.minutes);
    }
    else if (e.kind === "reading") s.readings.set(e.reading, [...(s.readings.get(e.reading) ?? []), e]);
    else if (e.kind === "measured") s.measured.set(e.task, { ...(s.measured.get(e.task) ?? {}), ...e.values });
    else if (e.kind === "absent") s.absent.set(e.station, e.students);
    else if (e.kind === "failed") s.failed.add(e.what);
    else if (e.kind === "mended") s.failed.delete(e.what);
    else if (e.kind === "missed") s.missed.set(e.reading, e);
    // What a later plan has again after that is yet to be done.
    else if (e.kind === "left" && !(taskOf.get(e.task)?.from > time)) s.left.set(e.task, e.id);
    else if (e.kind === "action") actions.set(e.of, { action: e.action, rule: e.rule, by: e.by });
  }
  // What was done about a reading may be written down after it.
  for (const [id, taken] of s.readings) s.readings.set(id, taken.map((e) => ({ ...e, ...actions.get(e.id) })));
  for (const [id, e] of s.missed) s.missed.set(id, { ...e, ...actions.get(e.id) });
  return s;
}
/** Whether a plan that was made later knows of it: what had begun by then is as long there as it was said to be. */
function isPlannedIn(entry) {
  const task = taskOf.get(entry.task);
  return Boolean(lastTime && task && entry.at <= lastTime.at && task.from * MINUTE <= lastTime.at);
}
const boardOf = (entry) => entry.id.split("-")[0];

/** The entries that stand: what was taken back counts no more, and that it was neither. */
function standingEntries() {
  const back = new Set(record.entries.filter((e) => e.kind === "undo").map((e) => e.of));
  return record.entries.filter((e) => e.kind !== "undo" && !back.has(e.id));
}
/** The last act that can be taken back on this board, with all its entries; empty for none. */
function lastAct() {
  const able = ["start", "done", "longer", "reading", "measured", "absent", "failed", "mended", "missed", "action", "left"];
  const all = standingEntries().filter((e) => able.includes(e.kind) && boardOf(e) === record.board);
  const last = all[all.length - 1];
  return last ? all.filter((e) => e === last || (e.act !== undefined && e.act === last.act)) : [];
}
/** An act in words. */
const actText = (entries) => (entries.length > 1 ? says("entry-several", { n: entries.length, what: entryText(entries[0]) }) : entryText(entries[0]));

/** An entry in words: what was written down, and when. */
function entryText(e) {
  const task = taskOf.has(e.task) ? taskFull(taskOf.get(e.task)) : e.task;
  const what = {
    start: () => says("entry-start", { task }),
    done: () => says("entry-done", { task }),
    longer: () => says("entry-longer", { task, n: e.minutes }),
    reading: () => says("entry-reading", { what: e.what, value: e.celsius === undefined ? says("gone") : `${fromCelsius(e.celsius)}\u202f${degrees}` }),
    measured: () => says("entry-measured", { task, what: Object.keys(e.values).map((name) => says(`m-${name}`)).join(", ") }),
    absent: () => says("entry-absent", { station: rowName(e.station), n: e.students }),
    failed: () => says("entry-failed", { what: rowName(e.what) }),
    mended: () => says("entry-mended", { what: rowName(e.what) }),
    missed: () => says("entry-missed", { what: e.what }),
    action: () => says("entry-action", { what: e.what, action: e.action }),
    left: () => says("entry-left", { task }),
  }[e.kind];
  return `${momentText((e.time ?? e.at) / MINUTE, today())} ${what()}`;
}

addEventListener("storage", (event) => {
  if (event.key !== storeKey() || !event.newValue) return;
  const { stored: theirs, trouble } = recordIn(event.newValue);
  // Half a record is no record; the other window will write again. A later board's is told of, and left alone.
  if (trouble === "later") {
    keep();
    drawSoon();
  }
  if (!theirs) return;
  takeOver(theirs);
  // Both wrote at once, and theirs came last: what it did not know is written again.
  const known = new Set(theirs.entries.map((e) => e?.id));
  if (!rehearsal && record.entries.some((e) => !known.has(e.id))) keep();
  drawSoon();
});
