// The rest of the day as it will go: what is ticked is where it was, what runs late goes on, everything else starts when the
// plan has it or when what it waits for is over.

const plannedMinute = data.slips.planned.map((m) => data.slips.zero + m);
const byMoment = new Map(data.tasks.map((task) => [task.n, task]));

/** Tasks of days before this one hold nothing up any more, and what was not done at all holds nothing up either. */
function takenAsDone(task, s, start) {
  return task && !s.done.has(task.id) && (s.left.has(task.id) || task.to <= start);
}
/** A step of a former day that hands do and that nobody ticked: nobody knows whether it was done. */
function isOpen(task, s, start) {
  const byHand = !data.slips.tasks[task.n][2] && task.tone !== "pause";
  return byHand && task.to <= start && task.to > askedFrom() && !s.done.has(task.id) && !s.left.has(task.id);
}

/**
 * What takes up something that was said to be not done, at once or after other steps, and was not ticked itself: the number of its task, with
 * the step that was not done. It goes on by the clock, as nobody knows when that will be made up for.
 */
function waitsForUndone(s) {
  const undone = new Map();
  for (const id of s.left.keys()) {
    const task = taskOf.get(id);
    if (task && !s.done.has(id)) undone.set(task.n, task);
  }
  const found = new Map();
  for (let grown = undone.size > 0; grown;) {
    grown = false;
    for (const [made, taken] of data.slips.takes ?? []) {
      const missing = undone.get(made) ?? found.get(made);
      if (!missing || undone.has(taken) || found.has(taken) || s.done.has(data.slips.tasks[taken][0])) continue;
      found.set(taken, missing);
      grown = true;
    }
  }
  return found;
}
/** What was not done, and what of the rest takes it up; empty for nothing. */
function undoneText(f) {
  const waits = data.tasks.filter((t) => f.doing.get(t.id).lacks && f.doing.get(t.id).state !== "over");
  const missing = [...new Set(waits.map((t) => f.doing.get(t.id).lacks))];
  return waits.length ? says("not-made", { what: missing.map(taskFull).join("; "), then: stepsIn(waits) }) : "";
}

/** A second, in minutes. */
const SECOND = 1 / 60;

/**
 * Reckons the day at a minute: the moments, for each task what it is doing, what breaks first, when sessions end. What should be over
 * and is not ends at `soonest`: in a second, so that seconds never make a day late.
 */
function forecast(s, at, soonest = at + SECOND) {
  const { tasks, arrows, limits, gone } = data.slips;
  const time = plannedMinute.slice();
  const fixed = new Array(time.length).fill(false);
  const start = dayStart();
  const length = tasks.map(([id, long]) => long + (s.longer.get(id) ?? 0));
  const stands = tasks.map((t) => t[2]);
  // Nobody ticks a break: it is over when its time is, unless somebody said that it needs longer.
  const byItself = stands.map((standing, n) => standing || byMoment.get(n)?.tone === "pause");
  tasks.forEach(([id], n) => {
    const [from, to] = [2 * n, 2 * n + 1];
    const task = byMoment.get(n);
    const done = s.done.get(id);
    if (done) {
      const began = s.started.get(id) ?? done.start ?? Math.min(time[from], done.time);
      [time[from], time[to], fixed[from], fixed[to]] = [Math.min(began, done.time), done.time, true, true];
    } else if (takenAsDone(task, s, start)) {
      [fixed[from], fixed[to]] = [true, true];
    } else {
      if (s.started.has(id)) [time[from], fixed[from]] = [s.started.get(id), true];
      time[to] = time[from];
    }
  });
  const raise = (to, least) => {
    if (fixed[to] || least <= time[to] + 1e-6) return false;
    time[to] = least;
    return true;
  };
  let changed = true;
  for (let round = 0; changed && round < 60; round += 1) {
    changed = false;
    for (let n = 0; n < tasks.length; n += 1) {
      let end = time[2 * n] + length[n];
      if (!byItself[n] && time[2 * n] <= at) end = Math.max(end, soonest);
      if (raise(2 * n + 1, end)) changed = true;
    }
    for (const [from, to, least] of arrows) {
      if (raise(to, time[from] + least)) changed = true;
    }
  }
  const doing = new Map();
  const lacking = waitsForUndone(s);
  for (const task of data.tasks) {
    let [from, to] = [time[2 * task.n], time[2 * task.n + 1]];
    const over = s.done.has(task.id) || fixed[2 * task.n + 1] || (byItself[task.n] && to <= at);
    const state = over ? "over" : from <= at ? "runs" : "waits";
    const [slipped, late] = [wholeMinutes(from - task.from), wholeMinutes(to - task.to)];
    // What is to come is told in whole minutes that have not begun yet.
    if (state === "waits" && slipped >= 1) from = Math.ceil(from - 1e-6);
    if (!over && late >= 1) to = Math.ceil(to - 1e-6);
    // When it should be over; what is not ticked then goes on, and the forecast with it.
    const due = byItself[task.n] || over ? to : from + length[task.n];
    doing.set(task.id, { from, to, due, state, stands: stands[task.n], byItself: byItself[task.n], late, slipped, open: isOpen(task, s, start), lacks: lacking.get(task.n) ?? null });
  }
  return { at, time, doing, breaks: breaksOf(time, fixed, limits, at), sessions: gone.map(([id, moment]) => ({ id, finish: time[moment] })) };
}

/** What breaks by the way things go, the first first. What is past is no news: nobody can do anything about it. */
function breaksOf(time, fixed, limits, at) {
  const found = [];
  const seen = new Set();
  for (const [from, to, most, n] of limits) {
    const since = Math.max(time[from], plannedMinute[from]);
    const task = byMoment.get(n);
    const moot = !task || fixed[to] || time[to] <= at || seen.has(n);
    const over = wholeMinutes(time[to] - since - most);
    if (moot || over < 1) continue;
    seen.add(n);
    const stands = from === 2 * n && to === 2 * n + 1;
    found.push({ task, at: since + most, over, what: stands ? "stands" : "waits" });
  }
  data.slips.gone.forEach(([id, moment]) => {
    const day = data.days.find((d) => d.session?.id === id);
    const over = day ? wholeMinutes(time[moment] - day.session.to) : 0;
    if (over < 1 || time[moment] <= at) return;
    found.push({ session: day, at: day.session.to, over, what: "session" });
  });
  return found.sort((a, b) => a.at - b.at);
}

/** By how many minutes the day is late: the latest of what should be over or going on by now. */
function lateness(f) {
  let late = 0;
  for (const task of data.tasks) {
    const d = f.doing.get(task.id);
    if (d.state === "runs" && !d.stands) late = Math.max(late, d.late, 0);
  }
  const day = today();
  const ends = f.sessions.find((s) => s.id === day.session?.id);
  const moment = data.slips.gone.find(([id]) => id === day.session?.id);
  if (ends && moment) late = Math.max(late, wholeMinutes(ends.finish - plannedMinute[moment[1]]));
  return late;
}

/** What a task waits for that has still to be over: the last of what comes before it; `null` where only the plan has it wait. */
function heldBy(task, f) {
  let last = null;
  for (const [from, to, least] of data.slips.arrows) {
    const before = byMoment.get(from >> 1);
    if (to !== 2 * task.n || !before || before === task || f.doing.get(before.id).state === "over") continue;
    const until = f.time[from] + least;
    if (!last || until > last.until) last = { task: before, until };
  }
  return last;
}

/** A sentence on one break. */
function breakText(b) {
  const over = spanText(b.over);
  if (b.what === "session") return says("break-session", { over, at: clockText(b.at) });
  return says(`break-${b.what}`, { task: taskFull(b.task), over, at: clockText(b.at) });
}
