// What happened, as a list of entries that only grows; taking something back is an entry too. Two boards' lists put together
// are one list, whatever the order in which they arrive.

const storeKey = () => `benchroll-board-${data.key}${rehearsal ? "-rehearsal" : ""}`;

/** How things stood each time when the rest was planned again; what was written down by then came with the page. */
const earlier = data.before ?? [];
const lastTime = earlier[earlier.length - 1];

/** Things to tell the teacher about the record, by a key, so that each stands once. */
const notices = new Map();
let kept = true;
let record = emptyRecord();

function emptyRecord() {
  return { format: "benchroll-board", version: data.version, plan: data.plan, board: newName(), entries: [], rung: [] };
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
    kept = false;
    return null;
  }
}
function toStore(key, text) {
  try {
    localStorage.setItem(key, text);
    kept = true;
  } catch {
    kept = false;
  }
}

/** A saved record; what cannot be used is set aside, never written over. */
function readStored() {
  const text = fromStore(storeKey());
  if (text === null) return null;
  let stored;
  try {
    stored = JSON.parse(text);
  } catch {
    stored = null;
  }
  if (!stored || stored.format !== "benchroll-board" || !Array.isArray(stored.entries)) {
    toStore(`${storeKey()}-set-aside`, text);
    notices.set("unread", says("stored-unread"));
    return null;
  }
  if (stored.version > data.version) {
    toStore(`${storeKey()}-set-aside`, text);
    notices.set("later", says("stored-later", { version: stored.version }));
    return null;
  }
  return stored;
}

/** Begins with what this browser kept. */
function openRecord() {
  record = emptyRecord();
  const stored = readStored();
  if (stored) {
    record.board = stored.board ?? record.board;
    record.rung = stored.rung ?? [];
    takeIn(stored.entries);
  }
  if (lastTime && Boolean(lastTime.rehearsal) === (rehearsal !== null)) takeIn(data.entries ?? []);
  if (stored && stored.plan !== data.plan && record.entries.length) {
    const gone = record.entries.filter((e) => e.task && !taskOf.has(e.task)).length;
    if (gone || !lastTime) notices.set("plan", says("other-plan", { n: gone }));
    else notices.set("plan", says("plan-from", { time: clockText(Date.parse(lastTime.now) / MINUTE) }));
  }
  // A browser may allow reading and refuse writing, so it is tried.
  keep();
  if (!kept) notices.set("not-kept", says("not-kept"));
}

function keep() {
  record.plan = data.plan;
  toStore(storeKey(), JSON.stringify(record));
}

/** Puts entries into the record; says how many were new. */
function takeIn(entries) {
  const known = new Set(record.entries.map((e) => e.id));
  const sound = entries.filter((e) => e && typeof e.id === "string" && Number.isFinite(e.at) && typeof e.kind === "string");
  const fresh = sound.filter((e) => !known.has(e.id));
  record.entries.push(...fresh);
  record.entries.sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1));
  return fresh.length;
}

/** Writes down that something happened, now unless `at` says when. */
function note(kind, fields = {}) {
  // Another window of this browser may have written meanwhile.
  const stored = kept ? readStored() : null;
  if (stored) takeIn(stored.entries);
  const own = record.entries.filter((e) => e.id.startsWith(`${record.board}-`));
  const next = 1 + Math.max(0, ...own.map((e) => Number(e.id.split("-")[1]) || 0));
  const entry = { id: `${record.board}-${next}`, at: Math.round(now()), kind, ...fields };
  takeIn([entry]);
  keep();
  folded = null;
  return entry;
}

let folded = null;
/** How things stand by the record. */
function state() {
  if (folded) return folded;
  const back = new Set(record.entries.filter((e) => e.kind === "undo").map((e) => e.of));
  const s = { started: new Map(), done: new Map(), longer: new Map(), readings: new Map(), measured: new Map(), absent: new Map(), failed: new Set(), twice: [] };
  for (const e of record.entries) {
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
  }
  folded = s;
  return s;
}
/** Whether a plan that was made later knows of it: what had begun by then is as long there as it was said to be. */
function isPlannedIn(entry) {
  const task = taskOf.get(entry.task);
  return Boolean(lastTime && task && entry.at <= lastTime.at && task.from * MINUTE <= lastTime.at);
}
const boardOf = (entry) => entry.id.split("-")[0];

/** Takes back the last thing that can be taken back; returns it. */
function undoLast() {
  const back = new Set(record.entries.filter((e) => e.kind === "undo").map((e) => e.of));
  const able = ["start", "done", "longer", "reading", "measured", "absent", "failed", "mended"];
  const last = record.entries.filter((e) => able.includes(e.kind) && !back.has(e.id) && boardOf(e) === record.board).pop();
  if (last) note("undo", { of: last.id });
  return last ?? null;
}

addEventListener("storage", (event) => {
  if (event.key !== storeKey() || !event.newValue) return;
  try {
    takeIn(JSON.parse(event.newValue).entries ?? []);
    folded = null;
    draw();
  } catch {
    // Half a record is no record; the other window will write again.
  }
});
