// Planning the rest again: the command for it with its state, and in `live` the answer.

/** How things stand, in the words of `benchroll catch-up`. */
function standing() {
  const s = state();
  const at = nowMinute();
  // For the planner what runs over its time ends with a whole minute that has not begun.
  const f = forecast(s, at, Math.floor(at) + 1);
  const [done, late] = [[], []];
  for (const task of data.tasks) {
    if (data.slips.tasks[task.n][2] || takenAsDone(task, s, dayStart())) continue;
    const d = f.doing.get(task.id);
    const ticked = s.done.has(task.id);
    // What is ticked is over, however late what came before it was.
    if (ticked) done.push(task.id);
    // What waits for a late step has not begun, which nobody need say.
    // What stands ends when it is taken up: it needs longer only as it began later, or as somebody said so.
    const more = wholeMinutes(d.stands ? d.from - task.from + (s.longer.get(task.id) ?? 0) : d.to - task.to);
    if (task.from < at && d.state !== "waits" && more >= 1) late.push({ id: task.id, minutes: more });
  }
  return {
    format: "benchroll-state",
    version: data.version,
    plan: data.plan,
    now: rfc3339(Math.floor(now() / MINUTE) * MINUTE),
    at: Math.round(now()),
    rehearsal: rehearsal !== null,
    done,
    late,
    // Said to be not done: the planner tries to make up for it. The board tells of it before anybody plans.
    undone: [...s.left.keys()].filter((id) => taskOf.has(id) && !s.done.has(id)),
    // A helper's absence was said on the command line, and only there.
    absent: [...[...s.absent].filter(([, n]) => n > 0).map(([station, students]) => ({ station, students })), ...(madeWith().absent ?? []).filter((a) => a.helper)],
    without: [...s.failed],
    // When the sessions end by the plan that is on show: a later board says by how much it has moved.
    ends: data.slips.gone.map(([id, moment]) => ({ id, minute: plannedMinute[moment] })),
    // So that the plan that is on show can be found again from the course, and the next board has what this one knows.
    before: earlier,
    entries: record.entries,
  };
}

const quoted = (text) => (/^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`);
const stampOf = (st) => {
  const at = civil(Date.parse(st.now));
  return `${at.date}-${at.time.replace(":", "")}`;
};

/** One line for a shell, with the state as a file beside it. What a teacher typed is quoted. */
function commandOf(st, folder) {
  return ["benchroll", "catch-up", quoted(folder), "--state", `state-${stampOf(st)}.json`, "--board", `board-${stampOf(st)}.html`].join(" ");
}

/** The same without a file, to be typed by hand: only where the plan on show is the course's own. Ids hold nothing that a shell reads. */
function longCommandOf(st, folder) {
  const at = civil(Date.parse(st.now));
  const parts = ["benchroll", "catch-up", quoted(folder), "--now", quoted(`${at.date}T${at.time}`)];
  for (const id of st.done) parts.push("--done", quoted(id));
  for (const id of st.undone) parts.push("--undone", quoted(id));
  for (const { id, minutes } of st.late) parts.push("--late", quoted(`${id}=${minutes}m`));
  for (const what of st.without) parts.push("--without", quoted(what));
  return parts.join(" ");
}

const isLive = document.body.dataset.live === "yes";

function openReplan() {
  const st = standing();
  const breaks = shown.breaks.slice(0, 5).map((b) => el("li", {}, breakText(b)));
  const undone = undoneText(shown);
  const head = [
    undone ? el("p", { class: "strong undone" }, `${undone} ${says("replan-undone")}`) : null,
    breaks.length ? el("ul", { class: "cautions" }, breaks) : el("p", {}, says(lateness(shown) >= 1 ? "nothing-breaks" : "replan-same")),
  ].filter(Boolean);
  const save = () => saveFile(`state-${stampOf(st)}.json`, `${JSON.stringify(st, null, 2)}\n`);
  if (isLive) {
    const answer = el("div", { class: "answer", role: "status" });
    openDialog(says("replan"), [...head, el("p", {}, says("replan-live")), answer], [
      button("p-live", says("plan-again"), (event) => planAgain(standing(), answer, event.currentTarget), { class: "first" }),
      button("p-save", says("save-state"), save),
    ]);
    return;
  }
  const folderKey = `benchroll-folder-${data.key}`;
  const folder = el("input", { id: "folder", type: "text", value: fromStore(folderKey) || "course", autocomplete: "off", spellcheck: "false" });
  const command = el("textarea", { id: "command", readonly: true, rows: 3, spellcheck: "false" });
  const byHand = el("textarea", { id: "by-hand", readonly: true, rows: 4, spellcheck: "false" });
  const write = () => {
    command.value = commandOf(st, folder.value.trim() || "course");
    byHand.value = longCommandOf(st, folder.value.trim() || "course");
    toStore(folderKey, folder.value);
  };
  folder.addEventListener("input", write);
  write();
  openDialog(says("replan"), [
    ...head,
    el("p", {}, says("replan-how")),
    el("label", { for: "folder" }, says("course-folder")), folder,
    el("label", { for: "command" }, says("command")), command,
    earlier.length ? null : el("details", {}, el("summary", {}, says("by-hand")),
      st.absent.length ? el("p", {}, says("replan-absent", { stations: st.absent.filter((a) => a.station).map((a) => rowName(a.station)).join(", ") })) : null,
      el("label", { for: "by-hand", class: "unseen" }, says("by-hand")), byHand),
  ], [
    button("p-save", says("save-state"), save, { class: "first" }),
    button("p-copy", says("copy"), () => {
      command.select();
      if (navigator.clipboard) navigator.clipboard.writeText(command.value).then(() => say(says("copied")), () => document.execCommand("copy"));
      else document.execCommand("copy");
    }),
  ]);
}

/** Asks the program on this machine. */
async function ask(path, what) {
  const sent = { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(what) };
  const reply = await fetch(path, sent).catch(() => {
    throw new Error(says("no-program"));
  });
  const type = reply.headers.get("Content-Type") ?? "";
  const found = type.startsWith("application/json") ? await reply.json() : { message: await reply.text() };
  if (!reply.ok) throw Object.assign(new Error(found.message ?? String(reply.status)), { food: found.food });
  return found;
}

const foodList = (food) => (food?.length ? el("ul", { class: "cautions" }, food.map((line) => el("li", {}, line))) : null);

/** Has the rest planned again, shows what changes, and takes up the new plan when the teacher says so. */
async function planAgain(st, answer, pressed) {
  pressed.disabled = true;
  answer.replaceChildren(el("p", {}, says("planning")));
  try {
    const found = await ask("/catch-up", st);
    answer.replaceChildren(...drawFound(found).filter(Boolean));
    answer.querySelector("button")?.focus();
  } catch (error) {
    pressed.disabled = false;
    answer.replaceChildren(...[foodList(error.food), el("p", { class: "strong" }, says("plan-failed", { why: error.message }))].filter(Boolean));
  }
}

/** What was found: food first, then how it ends, what cannot be kept, and what moves. */
function drawFound(found) {
  const names = (ids) => [...new Set(ids.map((id) => (taskOf.has(id) ? taskFull(taskOf.get(id)) : id)))].join("; ");
  const ofToday = found.sessions.filter((x) => civil(Date.parse(x.end)).date === today().date);
  const ends = ofToday.map((x) => el("p", { class: Date.parse(x.finish) > Date.parse(x.end) ? "strong" : null },
    says("new-end", { finish: clockText(Date.parse(x.finish) / MINUTE), end: clockText(Date.parse(x.end) / MINUTE) })));
  return [
    foodList(found.food),
    // Food out of its limits by the new plan, and what of the state was taken for something else.
    foodList(found.findings.map((f) => f.message)),
    ...drawLeftOut(found.left_out),
    found.made_up?.length ? el("p", { class: "strong made-up" }, says("made-up", { what: stepsOf(found.made_up) })) : null,
    found.by_hand?.length ? el("p", { class: "strong" }, says("now-by-hand", { what: stepsOf(found.by_hand) })) : null,
    found.fits ? null : el("p", { class: "strong" }, says("over-in-all", { span: spanText(found.overrun_minutes) })),
    ...ends,
    found.again.length ? el("p", {}, says("begun-again", { tasks: names(found.again) })) : null,
    found.empty.length ? el("p", {}, says("empty-station", { stations: found.empty.join(", ") })) : null,
    found.broken.length ? el("p", { class: "strong" }, says("not-kept-any-more", { tasks: names(found.broken) })) : null,
    el("p", {}, found.changes.every(isPast) ? says("nothing-moves") : says("replan-paper")),
    button("p-take", says("carry-on"), () => carryOn(found.offer), { class: "first" }),
    drawChanges(found.changes),
  ];
}

/** Steps by their ids, in a line. */
const stepsOf = (ids) => stepsIn(ids.map((id) => taskOf.get(id) ?? { name: id }));

/** What cannot be done any more, and what falls away with it. */
function drawLeftOut({ cannot = [], begun = [], after = [], undone = [], baking = false } = {}) {
  const lost = undone.length ? el("p", { class: "strong left-out" }, says("not-made-up", { what: stepsOf(undone) })) : null;
  if (!cannot.length) return [lost];
  return [
    lost,
    el("p", { class: "strong left-out" }, says("cannot", { what: stepsOf(cannot) })),
    begun.length ? el("p", { class: "strong" }, says("cannot-begun", { what: stepsOf(begun) })) : null,
    after.length ? el("p", { class: "strong" }, says("cannot-after", { what: stepsOf(after) })) : null,
    baking ? el("p", {}, says("cannot-baking")) : null,
  ];
}

/** `2–4`: the numbers 2, 3, 4. */
function stationsIn(run) {
  const [from, to = from] = String(run).split("–").map(Number);
  return Array.from({ length: to - from + 1 }, (_, n) => from + n);
}

/** What is over moves nobody any more. */
const isPast = (change) => Date.parse((change.now ?? change.was).end) <= now();

/** What moves, by its new time, and what goes to another machine or into other hands: groups of one step that move alike are one line. */
function drawChanges(changes) {
  const lines = new Map();
  const over = changes.filter(isPast);
  for (const c of changes.filter((x) => !isPast(x))) {
    const task = taskOf.get(c.id);
    // What stands ends when it is taken up: the line of the next step says so.
    if (task && data.slips.tasks[task.n][2] && c.was?.start === c.now?.start && !c.machines) continue;
    const [was, now] = [c.was, c.now].map((p) => (p ? Date.parse(p.start) / MINUTE : null));
    const stays = c.was && c.now && was === now;
    const longer = stays && c.was.end !== c.now.end;
    const times = longer ? [c.was, c.now].map((p) => Date.parse(p.end) / MINUTE) : [was, now];
    const title = task ? taskTitle(task) : c.id;
    const moved = [c.machines ? movedText("to-machine", c.machines) : "", c.by ? (c.by.now.length ? movedText("to-hands", handsOf(c.by, task)) : says("to-students")) : ""].filter(Boolean).join("; ");
    const key = `${title}|${longer}|${times.join("|")}|${moved}`;
    const line = lines.get(key) ?? { title, longer, stays, times, moved, stations: new Set() };
    if (task?.whom) task.whom.stations.flatMap(stationsIn).forEach((no) => line.stations.add(no));
    lines.set(key, line);
  }
  const sorted = [...lines.values()].sort((a, b) => (a.times[1] ?? a.times[0]) - (b.times[1] ?? b.times[0]));
  const clock = (minute) => (minute === null ? says("not-there") : momentText(minute, today()));
  const time = (line, n) => (line.longer ? says("to", { time: clock(line.times[n]) }) : clock(line.times[n]));
  const table = el("table", { class: "changes" },
    el("caption", { class: "unseen" }, says("changes", { n: changes.length })),
    el("thead", {}, el("tr", {}, ["printed", "now", "what"].map((key) => el("th", { scope: "col" }, says(`col-${key}`))))),
    el("tbody", {}, sorted.map((line) => el("tr", {},
      el("td", { class: "time" }, time(line, 0)),
      el("td", { class: "time" }, line.stays && !line.longer ? says("same-time") : time(line, 1)),
      el("th", { scope: "row" }, line.title,
        line.stations.size ? el("span", { class: "more" }, `${word(line.stations.size > 1 ? "whom.stations" : "whom.station")} ${runsOf([...line.stations].sort((a, b) => a - b))}`) : null,
        line.moved ? el("span", { class: "moved" }, line.moved) : null)))));
  return el("div", {}, sorted.length ? table : null, over.length ? el("p", { class: "more" }, says("changes-over", { n: over.length })) : null);
}

/** Who it is, with their order where one sets it going and another ends it. */
function handsOf({ was, now }, task) {
  const names = (all) => (task?.ends && all.length === 2 ? [says("then", { first: all[0], last: all[1] })] : all);
  return { was: names(was), now: names(now), both: was.some((name) => now.includes(name)) };
}

/** To another machine, or into other hands: what it is now, and what it was. */
const movedText = (key, { was, now, both }) => says(!was.length ? `${key}-alone` : both ? `${key}-other` : key, { now: now.join(", "), was: was.join(", ") });

/** Takes a plan up: 0 is the course's own. */
async function carryOn(offer) {
  try {
    await ask("/carry-on", { offer });
    leaving = true;
    location.reload();
  } catch (error) {
    notices.set("carry-on", says("plan-failed", { why: error.message }));
    document.querySelector("dialog")?.close();
    draw();
  }
}

/** In `live`: another window took up a plan, or the course was saved with another one. */
async function lookForNews() {
  try {
    const { plan } = await (await fetch("/state")).json();
    const gone = notices.delete("program");
    if (plan && plan !== data.plan && !notices.has("news")) notices.set("news", says("new-plan"));
    else if (plan !== data.plan || !gone) return;
    drawSoon();
  } catch {
    if (notices.has("program")) return;
    notices.set("program", says("no-program"));
    drawSoon();
  }
}
if (isLive) setInterval(lookForNews, 5000);
