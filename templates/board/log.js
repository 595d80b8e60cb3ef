// The log of the day: who is absent, what is out of order, what was measured; saved into a file, and read back.

function drawLog(f, s) {
  return el("div", { class: "log-view" }, drawFile(f, s), drawAbsent(s), drawFailed(s), drawMeasured(s), drawRehearsal());
}

function drawFile(f) {
  const pick = el("input", { type: "file", id: "load-file", accept: ".json,application/json", class: "unseen", tabindex: "-1", "aria-hidden": "true" });
  pick.addEventListener("change", async () => {
    const [file] = pick.files;
    if (!file) return;
    const text = file.size > 8e6 ? null : await file.text();
    notices.set("loaded", text === null ? says("load-large") : loadLog(text));
    pick.value = "";
    draw();
  });
  const last = lastAct();
  // A day that has not begun has no log; today's comes first, and it is the one that is wanted.
  const days = [today(), ...data.days.filter((d) => d !== today() && d.from <= f.at)];
  const saves = days.map((d, n) => button(n ? `save-log|${d.date}` : "save-log",
    says(rehearsal ? "save-play" : "save-log", { day: dayName(d) }), () => saveLog(d), n ? {} : { class: "first" }));
  return el("section", { class: "panel" }, el("h2", {}, says("log-title")),
    el("p", {}, says("log-about", { n: standingEntries().length, board: record.board }), " ", says(rehearsal ? "log-play" : "log-where")),
    el("div", { class: "actions" }, saves, button("load-log", says("load-log"), () => pick.click()), pick),
    el("p", { class: "last", id: "last-entry" }, last.length ? says("last-entry", { what: actText(last) }) : says("nothing-to-undo")),
    last.length ? el("div", { class: "actions" }, button("undo-last", says("undo-last"), () => {
      takeBack(last);
      say(says("undone", { what: actText(last) }));
      draw();
    }, { "aria-describedby": "last-entry" })) : null);
}

/** One save is the log of one day. */
function saveLog(day) {
  saveFile(`${rehearsal ? "rehearsal-" : ""}${day.date}.json`, logText(day));
  savedEntries = record.entries.length;
  draw();
}

function drawAbsent(s) {
  const stations = rowsIn("stations");
  return el("section", { class: "panel" }, el("h2", {}, says("absent-title")), el("p", { class: "more" }, says("absent-about")),
    el("div", { class: "fields" }, stations.map((row) => {
      const id = `absent-${row.key}`;
      const pick = el("select", { id, "data-key": id }, Array.from({ length: row.students + 1 }, (_, n) =>
        el("option", { value: n, selected: (s.absent.get(row.key) ?? 0) === n }, n === 0 ? says("nobody") : String(n))));
      pick.addEventListener("change", () => {
        note("absent", { station: row.key, students: Number(pick.value) });
        draw();
      });
      return el("div", { class: "field", "data-keep": id }, el("label", { for: id }, rowName(row.key)), pick);
    })));
}

function drawFailed(s) {
  const machines = [...rowsIn("mixers"), ...rowsIn("ovens")];
  // One of a kind of anything else, which only the command line can say.
  machines.push(...[...s.failed].filter((key) => !rowOf.has(key)).map((key) => ({ key, name: key })));
  return el("section", { class: "panel" }, el("h2", {}, says("failed-title")),
    el("div", { class: "fields" }, machines.map((row) => {
      const out = s.failed.has(row.key);
      return button(`failed-${row.key}`, row.name, () => {
        note(out ? "mended" : "failed", { what: row.key });
        draw();
      }, { "aria-pressed": out ? "true" : "false", class: "toggle" });
    })));
}

/** What is measured beside the log of temperatures: its field's unit, from and to what it can be, and whether it is counted. */
const MEASURED = {
  room: [degrees, -10, 60], flour: [degrees, -30, 60], liquid: [degrees, -10, 100], dough: [degrees, -10, 60],
  pieces: ["", 0, 500, true], weighed: ["", 0, 500, true], before: ["g", 5, 200000], after: ["g", 5, 200000],
};

/** What the review learns from, beside the times. */
function drawMeasured(s) {
  const day = shownDay();
  const today = data.tasks.filter((t) => t.from >= day.from && t.from <= day.to);
  const fields = (task, names) => {
    const had = s.measured.get(task.id) ?? {};
    return el("div", { class: "fields" }, names.map((name) => {
      const id = `m-${task.id}-${name}`;
      const [unit, least, most, whole] = MEASURED[name];
      const warm = unit === degrees;
      const saved = had[name] === undefined ? "" : String(warm ? fromCelsius(had[name]) : had[name]);
      const field = numberField(id, saved, {});
      const { input, wrong } = field;
      input.addEventListener("change", () => {
        const typed = input.value.trim();
        const number = numberIn(input.value, unit);
        const value = number === null ? null : warm ? Math.round(toCelsius(number) * 100) / 100 : number;
        const fits = value !== null && value >= least && value <= most && (!whole || Number.isInteger(value));
        const [from, to] = warm ? [fromCelsius(least), fromCelsius(most)] : [least, most];
        if (!typed && field.saved) return field.refuse(says("still-written", { value: field.saved }));
        if (typed && !fits) return field.refuse(says("not-that", { from, to, unit }));
        if (typed === field.saved) return field.accept(typed);
        note("measured", { task: task.id, values: { [name]: value } });
        field.accept(String(warm ? fromCelsius(value) : value));
        return say(says("written"));
      });
      return el("div", { class: "field", "data-keep": id }, el("label", { for: id }, `${says(`m-${name}`)}${unit ? `, ${unit}` : ""}`), input, wrong);
    }));
  };
  const mixes = today.filter((t) => t.mix && !data.slips.tasks[t.n][2]);
  const bakes = today.filter((t) => t.pieces !== undefined);
  const one = (task, names) => el("li", {}, el("h3", {}, taskFull(task)), fields(task, names));
  return el("section", { class: "panel" }, el("h2", {}, says("measured-title")), el("p", { class: "more" }, says("measured-about")),
    el("ul", { class: "measured" },
      mixes.map((t) => one(t, ["room", "flour", "liquid", "dough"])),
      bakes.map((t) => one(t, ["pieces", "weighed", "before", "after"]))));
}

/** The file of a day. One thing a line, so that a file that was cut short can be read up to the cut. */
function logText(day) {
  const s = state();
  const f = forecast(s, nowMinute());
  // Who was absent and what was out of order on that day, and not on the next.
  const following = data.days.find((d) => d.date > day.date);
  const then = following ? fold(record.entries.filter((e) => e.at < following.from * MINUTE)) : s;
  const isOf = (task) => task.from >= day.from && task.from <= day.to;
  const iso = (minute) => rfc3339(Math.round(minute * 60) * 1000);
  const back = new Set(record.entries.filter((e) => e.kind === "undo").map((e) => e.of));
  const steps = [];
  // What stands was seen only where what it waited for and what took it up are ticked: else its times are the plan's alone.
  const ticked = (node) => s.done.has(data.slips.tasks[node >> 1]?.[0]);
  const seen = (n) => data.slips.arrows.some(([from, to]) => to >> 1 === n && from >> 1 !== n && ticked(from))
    && data.slips.arrows.some(([from, to]) => from >> 1 === n && to >> 1 !== n && ticked(to));
  for (const task of data.tasks) {
    const d = f.doing.get(task.id);
    const done = s.done.get(task.id);
    const standing = data.slips.tasks[task.n][2];
    if (d.to < day.from || !isOf(task) || (!done && !(standing && d.state === "over" && seen(task.n)))) continue;
    const [step, group] = task.id.slice(task.id.indexOf(".") + 1).split("@");
    steps.push({ id: task.id, lesson: task.lesson || null, step, group, planned_start: iso(task.from), planned_end: iso(task.to),
      start: iso(d.from), end: iso(d.to), start_by: s.started.has(task.id) ? "hand" : "plan", stands: standing, late_minutes: wholeMinutes(d.to - task.to) });
  }
  const readings = [...s.readings.values()].flat().filter((e) => civil(e.time ?? e.at).date === day.date).map((e) => ({
    what: e.what, at: iso((e.time ?? e.at) / MINUTE), celsius: e.celsius ?? null, verdict: e.verdict, action: e.action ?? null }));
  // That nobody measured is said on the day of the reading, whenever somebody said so.
  const missed = data.readings.filter((r) => s.missed.has(r.id) && !s.readings.get(r.id)?.length && civil(r.minute * MINUTE).date === day.date).map((r) => ({
    what: readingName(r), at: iso(s.missed.get(r.id).at / MINUTE), celsius: null, verdict: "missed", action: s.missed.get(r.id).action ?? null }));
  const measured = [...s.measured].filter(([id]) => taskOf.has(id) && isOf(taskOf.get(id))).map(([id, values]) => {
    const task = taskOf.get(id);
    const [step] = task.id.slice(task.id.indexOf(".") + 1).split("@");
    return { task: id, lesson: task.lesson, step, ...(task.mix ? { part: task.mix[0], mixer: task.mix[1] } : {}), ...(task.pieces !== undefined ? { planned_pieces: task.pieces } : {}), values };
  });
  const absent = [...then.absent].filter(([, n]) => n > 0).map(([station, students]) => ({ station, students }));
  const jumps = record.entries.filter((e) => e.kind === "jump").map((e) => ({ at: iso(e.at / MINUTE), minutes: e.minutes }));
  const boards = [...new Set(record.entries.map(boardOf))].sort();
  const head = { format: "benchroll-log", version: data.version, program: data.program, key: data.key, course: data.course, plan: data.plan, zone: data.zone,
    day: day.date, session: day.session?.id ?? null, rehearsal: rehearsal !== null, saved: rfc3339(Math.floor(now() / 1000) * 1000), boards };
  const list = (name, items) => `  ${JSON.stringify(name)}: [${items.length ? `\n${items.map((i) => `    ${JSON.stringify(i)}`).join(",\n")}\n  ` : ""}]`;
  const scalars = Object.entries(head).map(([name, value]) => `  ${JSON.stringify(name)}: ${JSON.stringify(value)}`);
  return `{\n${[...scalars, list("steps", steps), list("readings", [...readings, ...missed]), list("measured", measured), list("absent", absent),
    list("failed", [...then.failed]), list("jumps", jumps), list("entries", record.entries.filter((e) => !back.has(e.id) || e.kind !== "undo")), '  "complete": true'].join(",\n")}\n}\n`;
}

function saveFile(name, text) {
  const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const link = el("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 30000);
  say(says("saved", { name }));
}

/** Takes in a log file; says what came of it. Nothing in it can make the board unusable. */
function loadLog(text) {
  let log = null;
  let cutShort = false;
  try {
    log = JSON.parse(text);
  } catch {
    cutShort = true;
  }
  if (cutShort) {
    // A line that is whole is an entry that is whole.
    const line = (name) => text.match(new RegExp(`^\\s*"${name}": (.*?),?\\s*$`, "m"))?.[1];
    const read = (json) => {
      try {
        return JSON.parse(json);
      } catch {
        return undefined;
      }
    };
    const entries = text.split("\n").map((l) => read(l.trim().replace(/,$/, ""))).filter((e) => e && typeof e === "object" && typeof e.kind === "string");
    log = { format: read(line("format") ?? ""), version: read(line("version") ?? ""), key: read(line("key") ?? ""), rehearsal: read(line("rehearsal") ?? ""), entries };
  }
  if (!log || (log.format !== "benchroll-log" && log.format !== "benchroll-board") || !Array.isArray(log.entries)) return says("load-not-ours");
  if (log.version > data.version) return says("load-later", { version: log.version });
  if (log.key !== undefined && log.key !== data.key) return says("load-other-course");
  if (Boolean(log.rehearsal) !== (rehearsal !== null)) return says("load-rehearsal");
  const { fresh, odd } = takeIn(log.entries);
  keep();
  return [cutShort ? says("load-cut") : "", says("loaded", { n: fresh }), odd ? says("load-odd", { n: odd }) : ""].filter(Boolean).join(" ");
}

function drawRehearsal() {
  const starts = data.days.map((d) => button(`rehearse|${d.date}`, d.name || weekdayDay.format(new Date(d.from * MINUTE)), () => rehearse((d.session?.from ?? d.from) * MINUTE, 1)));
  return el("section", { class: "panel" }, el("h2", {}, says("rehearse-title")), el("p", { class: "more" }, says("rehearse-about")),
    el("div", { class: "actions" }, starts));
}
function rehearsalLine() {
  return el("div", { class: "notice plays" }, el("p", {}, says("rehearsing")),
    button("rate", rehearsal.rate === 1 ? says("faster", { n: 60 }) : says("as-life"), () => rehearse(now(), rehearsal.rate === 1 ? 60 : 1)),
    button("rehearse-end", says("rehearse-end"), endRehearsal));
}
function endRehearsal() {
  rehearsal = null;
  toStore("benchroll-rehearsal", "");
  chosenDay = null;
  ringing.clear();
  openRecord();
  draw();
  // A plan that was taken up in play is no plan of the day.
  if (isLive && lastTime?.rehearsal) carryOn(0);
}
/** A rehearsal that nobody ended: it is of another day, and that of the class has come, or it is from long ago. */
function isForgotten({ since }) {
  const device = Date.now();
  const day = civil(device).date;
  return device - since > 12 * 60 * MINUTE || (data.days.some((d) => d.date === day) && civil(since).date !== day);
}
/** Begins to rehearse at a moment, so many times as fast as life. */
function rehearse(from, rate) {
  const first = !rehearsal;
  rehearsal = { from, since: Date.now(), rate, key: data.key, begun: rehearsal?.begun ?? from };
  toStore("benchroll-rehearsal", JSON.stringify(rehearsal));
  if (first) {
    chosenDay = null;
    ringing.clear();
    openRecord();
    if (record.entries.length) {
      [record, folded] = [emptyRecord(), null];
      meetPlans();
      write();
    }
    showView("now");
  }
  draw();
}
