// The day by the clock, to look things up, to tick late, and to print.

function drawList(f, s) {
  const day = shownDay();
  const tasks = data.tasks.filter((t) => t.to >= day.from && t.from <= day.to && !(t.from < day.from && data.slips.tasks[t.n][2]));
  const line = (task) => {
    const d = f.doing.get(task.id);
    const standing = data.slips.tasks[task.n][2];
    const done = s.done.get(task.id);
    const who = task.rows.filter((key) => rowOf.get(key)?.group !== "stations").map(rowName);
    if (task.ends) who.push(...new Set(task.ends.slice(0, 2).map(rowName)));
    const slipped = d.slipped >= 1 && !done ? says("was", { time: clockText(task.from) }) : "";
    const left = s.left.has(task.id) ? el("span", { class: "left-open" }, says("was-left")) : d.open ? el("span", { class: "left-open" }, says("left-open")) : null;
    const lacks = d.lacks && !done ? el("span", { class: "left-open" }, says("lacks", { task: taskFull(d.lacks) })) : null;
    const mark = done ? says("was-done", { time: clockText(done.time) }) : standing ? "" : button(`l-done|${task.id}`, says("done"), () => tick(task), { class: "tick", "aria-label": says("tick", { task: taskFull(task) }) });
    return el("tr", { role: "row", class: `is-${task.tone} ${d.state}` },
      el("td", { role: "cell", class: "time from" }, clockText(d.from), slipped ? el("span", { class: "was" }, slipped) : null),
      el("td", { role: "cell", class: "time to" }, momentText(d.to, day)),
      el("th", { scope: "row", role: "rowheader" }, button(`l|${task.id}`, taskTitle(task), () => openTask(task), { class: "plain", "aria-label": says("look-at", { task: taskFull(task) }) })),
      el("td", { role: "cell", class: "for" }, whomText(task.whom)),
      el("td", { role: "cell", class: "where" }, [...new Set(who)].join(", ")),
      el("td", { role: "cell", class: "mark" }, done ? null : left, lacks, mark));
  };
  // Breaks of the staff, and when they are not there, stand by their begin among the steps.
  const away = rowsIn("people").flatMap((row) => awayOf(row, day).map((a) => ({ ...a, row }))).sort((a, b) => a.from - b.from);
  const awayLine = (a) => el("tr", { role: "row", class: a.pause ? "is-off" : "is-away" },
    el("td", { role: "cell", class: "time from" }, clockText(a.from)),
    el("td", { role: "cell", class: "time to" }, a.pause || a.to < day.to ? momentText(a.to, day) : ""),
    el("th", { scope: "row", role: "rowheader" }, says(a.pause ? "off" : "not-here")),
    el("td", { role: "cell", class: "for" }, ""),
    el("td", { role: "cell", class: "where" }, rowName(a.row.key)),
    el("td", { role: "cell", class: "mark" }, ""));
  const lines = [];
  for (const task of tasks) {
    const from = f.doing.get(task.id).from;
    while (away.length && away[0].from <= from) lines.push(awayLine(away.shift()));
    lines.push(line(task));
  }
  lines.push(...away.map(awayLine));
  return el("div", { class: "list-view" },
    el("div", { class: "tools" }, button("print", says("print"), () => print())),
    el("div", { class: "list-scroll", tabindex: "0", role: "region", "aria-label": says("view-list") },
    el("table", { role: "table", class: "list" },
      el("caption", { class: "unseen" }, says("view-list")),
      el("thead", { role: "rowgroup" }, el("tr", { role: "row" }, ["from", "to", "what", "for", "where", "done"].map((key) => el("th", { scope: "col", role: "columnheader" }, says(`col-${key}`))))),
      el("tbody", { role: "rowgroup" }, lines))));
}
