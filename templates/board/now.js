// Now and next for everybody and everything that has a row.

/** What a row does: for people the ends of what needs hands only there, too. In order of start. */
function workOf(row, f) {
  const day = shownDay();
  const work = [];
  for (const task of data.tasks) {
    const d = f.doing.get(task.id);
    if (d.to < day.from - 1 || d.from > day.to + 600) continue;
    if (task.rows.includes(row.key)) work.push({ task, part: "all", from: d.from, to: d.to, due: d.due, state: d.state });
    else if (task.ends) {
      const [starter, ender, long] = task.ends;
      const over = (from, to) => (d.state === "over" || (to <= f.at && from < d.to - long) ? "over" : from <= f.at ? "runs" : "waits");
      if (starter === row.key) work.push({ task, part: "in", from: d.from, to: d.from + long, due: d.from + long, state: over(d.from, d.from + long) });
      if (ender === row.key) {
        const from = Math.max(d.from + long, d.due - long);
        work.push({ task, part: "out", from, to: d.to, due: d.due, state: d.state === "over" ? "over" : d.state === "runs" && from <= f.at ? "runs" : "waits" });
      }
    }
    if (row.key === "teacher" && task.eye && !task.rows.includes("teacher")) {
      work.push({ task, part: "eye", from: d.from, to: d.to, due: d.due, state: d.state });
    }
  }
  return work.sort((a, b) => a.from - b.from || a.to - b.to);
}

/** When one of the staff has a break, or is not there, as far as it lies on a day. */
const awayOf = (row, day) => (row.away ?? []).filter((a) => a.from < day.to && a.to > day.from);
/** Why they have no work, and until when where they come again. */
function awayText(away, day) {
  const time = momentText(away.to, day);
  if (away.pause) return says("off-until", { time });
  return away.to < day.to ? says("not-here-until", { time }) : says("not-here");
}

/** A piece of work in words; at a station it is clear for whom it is. */
function workText(work, row) {
  if (work.part === "in") return `${says("put-in")}: ${taskTitle(work.task)}`;
  if (work.part === "out") return `${says("take-out")}: ${taskTitle(work.task)}`;
  if (work.part === "eye") return `${says("eye")}: ${work.task.name}`;
  return row.group === "stations" ? taskTitle(work.task) : taskNamed(work.task);
}

function drawNow(f, s) {
  const section = (group) => {
    const drawn = rowsIn(group).map((row) => ({ rows: [row], work: workOf(row, f), open: openOf(workOf(row, f), f) }));
    const machines = group === "mixers" || group === "ovens";
    const busy = drawn.filter(({ rows, work, open }) => !machines || s.failed.has(rows[0].key) || open.length || work.some((w) => w.state !== "over"));
    const idle = drawn.filter((d) => !busy.includes(d)).map((d) => d.rows[0].name);
    const lines = group === "stations" ? sameTogether(busy) : busy;
    return el("section", { class: `group of-${machines ? "machines" : group}`, "aria-label": word(`lane.${group}`) },
      el("div", { class: "group-head" }, el("h2", {}, word(`lane.${group}`)), group === "stations" ? togetherLine(f) : null),
      lines.length ? el("ul", { class: "rows" }, lines.map(({ rows, work, open }) => drawRow(rows, work, open, f))) : null,
      idle.length ? el("p", { class: "idle" }, says(shownDay() === today() ? "idle" : "idle-day", { names: idle.join(", ") })) : null);
  };
  return el("div", { class: "now" },
    el("div", { class: "side" }, section("stations")),
    el("div", { class: "side" }, section("people"), section("ovens"), section("mixers")));
}

/** What was left open on a former day, where somebody can say whether it was done. */
const openOf = (work, f) => work.filter((w) => f.doing.get(w.task.id).open && (w.part === "all" || w.part === "out"));

/** Stations that are in the very same thing now, and next, are one line. */
function sameTogether(drawn) {
  const lines = new Map();
  for (const d of drawn) {
    const going = d.work.filter((w) => w.state === "runs").map((w) => w.task.id);
    const next = d.work.find((w) => w.state === "waits")?.task;
    const shared = !d.open.length && going.every((id) => taskOf.get(id).rows.filter((key) => key.startsWith("station-")).length > 1);
    // One whose own work comes next stays by itself, unless all of them only wait for the like of it.
    const key = shared ? `${going.join(" ")}|${next ? `${next.lesson}.${next.name}.${next.from}` : ""}` : d.rows[0].key;
    const line = lines.get(key);
    if (line) line.rows.push(d.rows[0]);
    else lines.set(key, { ...d, rows: [d.rows[0]] });
  }
  return [...lines.values()];
}

/** `1–3, 5`. */
function runsOf(names) {
  const numbers = names.map(Number);
  const runs = [];
  for (const n of numbers) {
    const last = runs[runs.length - 1];
    if (last && last[1] + 1 === n) last[1] = n;
    else runs.push([n, n]);
  }
  return runs.map(([a, b]) => (a === b ? `${a}` : b === a + 1 ? `${a}, ${b}` : `${a}\u2060–\u2060${b}`)).join(", ");
}

/** So many buttons stand beside the head of the stations; more are asked for. */
const BESIDE = 2;
/** Where several stations do the same, one button ticks it for all of them; on the day itself. */
function togetherLine(f) {
  if (shownDay() !== today() || isOver()) return null;
  const same = new Map();
  for (const task of data.tasks) {
    const d = f.doing.get(task.id);
    if (d.state !== "runs" || d.stands || task.tone !== "hands" || !task.id.includes("@station-")) continue;
    const key = task.id.split("@")[0];
    same.set(key, [...(same.get(key) ?? []), task]);
  }
  const lines = [...same.entries()].filter(([, tasks]) => tasks.length > 1);
  if (!lines.length) return null;
  const all = (then) => lines.map(([key, tasks]) =>
    button(`together|${key}`, says("all-did", { task: taskTitle(tasks[0]), n: tasks.length }), () => {
      noteAll(tasks.map((task) => ["done", { task: task.id, start: f.doing.get(task.id).from }]));
      say(says("said-done", { task: taskTitle(tasks[0]) }));
      then();
      draw();
    }));
  if (lines.length <= BESIDE) return el("div", { class: "together" }, all(() => {}));
  return el("div", { class: "together" }, button("several", says("several", { n: lines.length }), () => {
    const dialog = openDialog(says("several-title"), [], all(() => dialog.close()));
  }));
}

function drawRow(rows, work, open, f) {
  const day = shownDay();
  const [row] = rows;
  const station = row.group === "stations";
  const machine = row.group === "mixers" || row.group === "ovens";
  const current = work.filter((w) => w.state === "runs");
  // A look round is only worth saying when nothing else is to do.
  const own = current.filter((w) => w.part !== "eye");
  const doing = (own.length ? own : current.slice(0, 1)).slice(0, 3);
  const next = work.filter((w) => w.state === "waits" && w.part !== "eye").slice(0, row.group === "people" ? 2 : 1);
  const several = rows.length > 1;
  const mark = (text, one) => el("span", { class: "avoid" }, several ? `${one.name}: ${text}` : text);
  const head = el("h3", { class: several ? "who several" : "who" },
    station ? el("span", { class: "unseen" }, `${word(several ? "whom.stations" : "whom.station")} `) : null,
    el("span", { class: "name" }, station ? runsOf(rows.map((r) => r.name)) : row.name));
  const marks = [
    ...rows.filter((r) => r.avoid).map((r) => mark(says("avoid", { what: r.avoid.join(", ") }), r)),
    ...rows.filter((r) => r.holds).map((r) => mark(says("holds", { what: r.holds.join(", ") }), r)),
    ...rows.filter((r) => state().absent.get(r.key)).map((r) => mark(says("absent-here", { n: state().absent.get(r.key) }), r)),
    ...rows.filter((r) => state().failed.has(r.key)).map((r) => mark(says("out-of-order"), r)),
  ];
  // On another day nobody is free now.
  const now = day === today() && !isOver();
  const free = !now ? (open.length || next.length ? "" : says("nothing-left")) : next.length ? freeText(next[0], f) : says("nothing-more");
  const nothing = !free || (machine && (next.length || state().failed.has(row.key)));
  const away = awayOf(row, day);
  const gone = now ? away.find((a) => a.from <= f.at && f.at < a.to) : undefined;
  const openLines = open.map((w) => openLine(row, w));
  // Who has something in hand that is late may have a break all the same.
  const off = gone ? [el("p", { class: "doing none" }, awayText(gone, day))] : [];
  const nowLines = doing.length ? [...doing.map((w) => nowLine(row, w)), ...off] : gone ? off : nothing ? [] : [el("p", { class: "doing none" }, free)];
  // Breaks to come, and when somebody goes, stand among what is next.
  const later = [...next, ...away.filter((a) => a.from > f.at)].sort((a, b) => a.from - b.from);
  const nextLines = later.slice(0, away.length ? Math.max(2, next.length) : next.length).map((w) => el("p", { class: "next" }, w.task
    ? [button(`next|${row.key}|${w.task.id}|${w.part}`, momentText(w.from, day), () => openTask(w.task), { class: "plain time", "aria-label": `${momentText(w.from, day)}, ${says("look-at", { task: taskFull(w.task) })}` }),
      el("span", {}, workText(w, row), lacksMark(w.task))]
    : [el("span", { class: "time" }, momentText(w.from, day)), el("span", {}, awayText(w, day))]));
  return el("li", { class: "row", "data-row": row.key }, head,
    el("div", { class: "what" }, openLines, nowLines, nextLines, marks.length ? el("p", { class: "marks" }, marks) : null, rule(work, day, away)));
}

/** Free, and what one waits for, where it is not the plan alone. */
function freeText(next, f) {
  const held = next.part === "all" ? heldBy(next.task, f) : null;
  return held ? says("free-until", { task: taskNamed(held.task), time: momentText(Math.max(held.until, next.from), shownDay()) }) : says("free");
}

/** A button's name, with the words that are seen on it. */
const lookAt = (seen, task) => says("look-at", { task: taskFull(task).includes(seen) ? taskFull(task) : `${seen}; ${taskFull(task)}` });

/** A step of a former day of which nobody knows whether it was done. */
function openLine(row, work) {
  const { task } = work;
  return el("div", { class: "doing left-open" },
    el("p", { class: "task" },
      button(`open|${row.key}|${task.id}`, workText(work, row), () => openTask(task), { class: "plain", "aria-label": lookAt(workText(work, row), task) }),
      el("span", { class: "more" }, says("left-open"))),
    button(`done|${row.key}|${task.id}`, says("done"), () => tick(task), { class: "tick", "aria-label": says("tick", { task: taskFull(task) }) }));
}

/** What was left open, by its days: `Left open from Saturday: 2 steps`. */
function openText(open) {
  const days = new Map();
  for (const task of open) {
    const day = data.days.find((d) => d.date === civil(task.from * MINUTE).date);
    const name = day ? dayName(day) : weekdayDay.format(new Date(task.from * MINUTE));
    days.set(name, [...(days.get(name) ?? []), task]);
  }
  return [...days].map(([day, tasks]) => says("open-from", { day, n: tasks.length, what: taskFull(tasks[0]) })).join(" ");
}

/** Goes through what was left open, step by step or all at once. */
function openLeft() {
  const open = data.tasks.filter((t) => shown.doing.get(t.id).open);
  let left = open.length;
  const said = (line) => {
    line.remove();
    draw();
    left -= 1;
    if (left) dialog.querySelector("li button")?.focus();
    else dialog.close();
  };
  const lines = open.map((task) => {
    const name = taskFull(task);
    const line = el("li", {}, el("p", {}, name, el("span", { class: "more" }, says("planned", { from: momentText(task.from, today()), to: momentText(task.to, today()) }))),
      button(`o-done|${task.id}`, says("was-as-planned"), () => {
        note("done", asPlanned(task));
        said(line);
      }, { "aria-label": `${says("was-as-planned")}: ${name}` }),
      button(`o-left|${task.id}`, says("was-left"), () => {
        note("left", { task: task.id });
        said(line);
      }, { "aria-label": `${says("was-left")}: ${name}` }));
    return line;
  });
  const dialog = openDialog(says("open-title"), [el("p", {}, says("open-about")), el("ul", { class: "open-list" }, lines)], [
    button("o-all", says("all-as-planned"), () => {
      noteAll(data.tasks.filter((t) => shown.doing.get(t.id).open).map((task) => ["done", asPlanned(task)]));
      dialog.close();
      draw();
    }),
  ]);
}

/** That a step takes up something that was not done. */
function lacksMark(task) {
  const { lacks } = shown.doing.get(task.id);
  return lacks ? el("span", { class: "more left-open" }, says("lacks", { task: taskFull(lacks) })) : null;
}

function nowLine(row, work) {
  const { task } = work;
  const n = data.slips.tasks[task.n];
  const facts = task.facts ? task.facts.map(factText).join(", ") : "";
  const whom = row.group === "stations" || work.part === "eye" ? "" : whomText(task.whom);
  const plain = work.part === "all" && task.of;
  const title = plain ? task.name : workText(work, row);
  const load = plain && task.load !== undefined ? says("load", { n: task.load }) : "";
  const more = [plain ? [task.of, load].filter(Boolean).join(", ") : "", whom, facts].filter(Boolean).join("; ");
  const tickable = !n[2] && work.part !== "in" && work.part !== "eye";
  return el("div", { class: `doing is-${task.tone}` },
    el("p", { class: "task" },
      button(`now|${row.key}|${task.id}|${work.part}`, title, () => openTask(task), { class: "plain", "aria-label": lookAt(title, task) }),
      more ? el("span", { class: "more" }, more) : null, lacksMark(task)),
    el("p", { class: "count" }, el("span", { "data-until": work.due }, ""), el("span", { class: "until" }, says("until", { time: momentText(work.due, shownDay()) }))),
    tickable ? button(`done|${row.key}|${task.id}`, says("done"), () => tick(task), { class: "tick", "aria-label": says("tick", { task: taskFull(task) }) }) : el("span", { class: "tick none" }));
}

/** The row's day to scale, with a line that moves. */
function rule(work, day, away) {
  const to = Math.max(day.to, ...work.map((w) => Math.min(w.to, day.to + 120)));
  const percent = (minute) => `${Math.max(0, Math.min(100, ((minute - day.from) / (to - day.from)) * 100))}%`;
  const bar = el("div", { class: "rule", "aria-hidden": "true" });
  for (const w of work) {
    if (w.part === "eye" || w.to <= day.from) continue;
    const block = el("span", { class: `block is-${w.task.tone} ${w.state}` });
    block.style.left = percent(w.from);
    block.style.width = `max(3px, ${((Math.min(w.to, to) - Math.max(w.from, day.from)) / (to - day.from)) * 100}%)`;
    bar.append(block);
  }
  for (const a of away) {
    const block = el("span", { class: `block ${a.pause ? "is-off" : "is-away"}` });
    block.style.left = percent(a.from);
    block.style.width = `${((Math.min(a.to, to) - Math.max(a.from, day.from)) / (to - day.from)) * 100}%`;
    bar.append(block);
  }
  bar.append(el("span", { class: "line", "data-line": `${day.from} ${to}` }));
  return bar;
}

/** So many minutes before it is to begin nobody ticks a step by intention. */
const EARLY = 15;

/** Asks once more about what is to begin much later by the plan, and says how much. */
function early(task, does) {
  const d = shown.doing.get(task.id);
  const by = d.from - nowMinute();
  if (d.state !== "waits" || by <= EARLY) {
    does();
    return;
  }
  const dialog = openDialog(says("early-title"), [
    el("p", { class: "say" }, says("early", { task: taskFull(task), time: momentText(d.from, today()), span: spanText(by) })),
  ], [
    button("e-yes", says("early-yes"), () => {
      dialog.close();
      does();
    }),
  ], says("early-no"));
}

/** A step is done now. */
function tick(task) {
  early(task, () => ticked(task));
}
function ticked(task) {
  const d = shown.doing.get(task.id);
  // Of a former day nobody knows the minute any more.
  note("done", d.open || state().left.has(task.id) ? asPlanned(task) : { task: task.id, start: Math.min(d.from, nowMinute()) });
  say(says("said-done", { task: taskFull(task) }));
  silenceTask(task.id);
  draw();
}

/** Everything about one task, and what can be said about it. */
function openTask(task) {
  const d = shown.doing.get(task.id);
  const s = state();
  const close = () => dialog.close();
  const act = (does) => () => {
    does();
    close();
    draw();
  };
  const standing = data.slips.tasks[task.n][2];
  const done = s.done.has(task.id);
  const actions = [];
  // The question may need a dialog of its own, so this one goes first.
  const asked = (does) => () => {
    close();
    early(task, () => {
      does();
      draw();
    });
  };
  const former = d.open || s.left.has(task.id);
  if (!done && former) {
    actions.push(button("d-done", says("was-as-planned"), act(() => ticked(task))));
    // What was not done then is done after all.
    if (s.left.has(task.id)) actions.push(button("d-now", says("done-now"), act(() => note("done", { task: task.id, start: nowMinute() - data.slips.tasks[task.n][1] }))));
    if (d.open) actions.push(button("d-left", says("was-left"), act(() => note("left", { task: task.id }))));
  } else if (!done && !standing) {
    if (d.state === "waits") actions.push(button("d-start", says("start-now"), asked(() => note("start", { task: task.id }))));
    actions.push(button("d-done", says("done"), asked(() => ticked(task))));
    actions.push(button("d-done5", says("done-before", { n: 5 }), asked(() => note("done", { task: task.id, time: Math.round(now()) - 5 * MINUTE, start: Math.min(d.from, nowMinute() - 5) }))));
    actions.push(button("d-more", says("longer", { n: 5 }), act(() => note("longer", { task: task.id, minutes: 5 }))));
  }
  if (done) actions.push(button("d-undo", says("not-done"), act(() => note("undo", { of: s.done.get(task.id).id }))));
  const day = shownDay();
  const times = [says("planned", { from: momentText(task.from, day), to: momentText(task.to, day) })];
  if (wholeMinutes(d.from - task.from) || wholeMinutes(d.to - task.to)) times.push(says("as-it-goes", { from: momentText(d.from, day), to: momentText(d.to, day) }));
  const dialog = openDialog(taskFull(task), [
    el("p", { class: "times" }, times.join(" ")),
    d.lacks ? el("p", { class: "strong" }, says("lacks", { task: taskFull(d.lacks) })) : null,
    task.facts ? el("p", {}, task.facts.map(factText).join(", ")) : null,
    task.say ? el("p", { class: "say" }, task.say) : null,
    task.cautions ? el("ul", { class: "cautions" }, task.cautions.map((c) => el("li", {}, word(`danger.${c}`)))) : null,
  ], actions);
}

/** A dialog with a heading, a body and buttons; the focus goes back to where it was when it closes. */
function openDialog(heading, body, actions, closing = says("close")) {
  const from = document.activeElement?.dataset?.key;
  const dialog = el("dialog", { "aria-labelledby": "dialog-title" },
    el("h2", { id: "dialog-title" }, heading), ...body.filter(Boolean),
    el("div", { class: "actions" }, actions, button("d-close", closing, () => dialog.close(), { autofocus: closing !== says("close") })));
  dialog.addEventListener("close", () => {
    dialog.remove();
    if (from) document.querySelector(`[data-key="${CSS.escape(from)}"]`)?.focus();
  });
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}
