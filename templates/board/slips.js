// The rest of the day as it will go: what is ticked is where it was, what runs late goes on, everything else starts when the
// plan has it or when what it waits for is over.

const plannedMinute = data.slips.planned.map((m) => data.slips.zero + m);
const byMoment = new Map(data.tasks.map((task) => [task.n, task]));

/** Tasks of days before this one count as done as planned, unless the record knows better. */
function takenAsDone(task, s, dayStart) {
  return task && task.to <= dayStart && !s.started.has(task.id) && !s.done.has(task.id);
}

/**
 * Reckons the day at a minute: the moments, for each task what it is doing, what breaks first, when sessions end.
 */
function forecast(s, at) {
  const { tasks, arrows, limits, gone } = data.slips;
  const time = plannedMinute.slice();
  const fixed = new Array(time.length).fill(false);
  const dayStart = today().from;
  const length = tasks.map(([id, long]) => long + (s.longer.get(id) ?? 0));
  const stands = tasks.map((t) => t[2]);
  // Nobody ticks a break: it is over when its time is, unless somebody said that it needs longer.
  const byItself = stands.map((standing, n) => standing || byMoment.get(n)?.tone === "pause");
  tasks.forEach(([id], n) => {
    const [from, to] = [2 * n, 2 * n + 1];
    const task = byMoment.get(n);
    const done = s.done.get(id);
    if (done) {
      const start = s.started.get(id) ?? done.start ?? Math.min(time[from], done.time);
      [time[from], time[to], fixed[from], fixed[to]] = [Math.min(start, done.time), done.time, true, true];
    } else if (takenAsDone(task, s, dayStart)) {
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
  // The next whole minute, or the one after: what should be over and is not ends then at the earliest.
  const soonest = Math.floor(at) + 1;
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
  for (const task of data.tasks) {
    const [from, to] = [time[2 * task.n], time[2 * task.n + 1]];
    const over = s.done.has(task.id) || fixed[2 * task.n + 1] || (byItself[task.n] && to <= at);
    const state = over ? "over" : from <= at ? "runs" : "waits";
    // When it should be over; what is not ticked then goes on, and the forecast with it.
    const due = byItself[task.n] || over ? to : from + length[task.n];
    doing.set(task.id, { from, to, due, state, stands: stands[task.n], byItself: byItself[task.n], late: Math.round(to - task.to), slipped: Math.round(from - task.from) });
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
    if (moot || time[to] - since <= most + 0.5) continue;
    seen.add(n);
    const stands = from === 2 * n && to === 2 * n + 1;
    found.push({ task, at: since + most, over: Math.round(time[to] - since - most), what: stands ? "stands" : "waits" });
  }
  data.slips.gone.forEach(([id, moment]) => {
    const day = data.days.find((d) => d.session?.id === id);
    if (!day || time[moment] <= Math.max(at, day.session.to + 0.5)) return;
    found.push({ session: day, at: day.session.to, over: Math.round(time[moment] - day.session.to), what: "session" });
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
  if (ends && moment) late = Math.max(late, Math.round(ends.finish - plannedMinute[moment[1]]));
  return late;
}

/** A sentence on one break. */
function breakText(b) {
  const over = spanText(b.over);
  if (b.what === "session") return says("break-session", { over, at: clockText(b.at) });
  return says(`break-${b.what}`, { task: taskFull(b.task), over, at: clockText(b.at) });
}
