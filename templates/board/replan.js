// Planning the rest again: the command for it with its state, and in `live` the answer.

/** How things stand, in the words of `benchroll catch-up`. */
function standing() {
  const s = state();
  const at = nowMinute();
  const f = forecast(s, at);
  const day = shownDay();
  const [done, late] = [[], []];
  for (const task of data.tasks) {
    if (data.slips.tasks[task.n][2] || takenAsDone(task, s, day.from)) continue;
    const d = f.doing.get(task.id);
    const ticked = s.done.has(task.id);
    if (ticked && task.to > at) done.push(task.id);
    // What waits for a late step has not begun, which nobody need say.
    if (task.from < at && d.state !== "waits" && Math.round(d.to - task.to) >= 1) late.push({ id: task.id, minutes: Math.round(d.to - task.to) });
  }
  return {
    format: "benchroll-state",
    version: data.version,
    plan: data.plan,
    now: rfc3339(Math.floor(now() / MINUTE) * MINUTE),
    done,
    late,
    absent: [...s.absent].filter(([, n]) => n > 0).map(([station, students]) => ({ station, students })),
    without: [...s.failed],
  };
}

/** One line for a shell. Ids hold nothing that a shell reads; what a teacher typed is quoted. */
function commandOf(st, folder) {
  const quoted = (text) => (/^[\w@%+=:,./-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`);
  const at = civil(Date.parse(st.now));
  const parts = ["benchroll", "catch-up", quoted(folder), "--now", quoted(`${at.date}T${at.time}`)];
  for (const id of st.done) parts.push("--done", quoted(id));
  for (const { id, minutes } of st.late) parts.push("--late", quoted(`${id}=${minutes}m`));
  for (const what of st.without) parts.push("--without", quoted(what));
  return parts.join(" ");
}

const isLive = document.body.dataset.live === "yes";

function openReplan() {
  const st = standing();
  const folderKey = `benchroll-folder-${data.key}`;
  const folder = el("input", { id: "folder", type: "text", value: fromStore(folderKey) ?? "course", autocomplete: "off", spellcheck: "false" });
  const command = el("textarea", { id: "command", readonly: true, rows: 5, spellcheck: "false" });
  const answer = el("div", { class: "answer", role: "status" });
  const write = () => {
    command.value = commandOf(st, folder.value.trim() || "course");
    toStore(folderKey, folder.value);
  };
  folder.addEventListener("input", write);
  write();
  const breaks = shown.breaks.slice(0, 5).map((b) => el("li", {}, breakText(b)));
  openDialog(says("replan"), [
    breaks.length ? el("ul", { class: "cautions" }, breaks) : el("p", {}, says("nothing-breaks")),
    isLive ? null : el("p", {}, says("replan-how")),
    !isLive && st.absent.length ? el("p", {}, says("replan-absent", { stations: st.absent.map((a) => rowName(a.station)).join(", ") })) : null,
    el("label", { for: "folder" }, says("course-folder")), folder,
    el("label", { for: "command" }, says("command")), command,
    answer,
  ], [
    isLive ? button("p-live", says("plan-again"), () => planAgain(st, answer)) : null,
    button("p-copy", says("copy"), () => {
      command.select();
      if (navigator.clipboard) navigator.clipboard.writeText(command.value).then(() => say(says("copied")), () => document.execCommand("copy"));
      else document.execCommand("copy");
    }),
    button("p-save", says("save-state"), () => saveFile(`state-${civil(now()).date}.json`, `${JSON.stringify(st, null, 2)}\n`)),
  ].filter(Boolean));
}

/** Asks the program on this machine, shows what changes, and takes up the new plan when the teacher says so. */
async function planAgain(st, answer) {
  answer.textContent = says("planning");
  try {
    const reply = await fetch("/catch-up", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(st) });
    const found = await reply.json();
    if (!reply.ok) throw new Error(found.message ?? String(reply.status));
    const lines = found.changes.map((c) => el("li", {}, says("moves", {
      task: taskOf.has(c.id) ? taskFull(taskOf.get(c.id)) : c.id, was: c.was ? clockText(Date.parse(c.was.start) / MINUTE) : "–", now: c.now ? clockText(Date.parse(c.now.start) / MINUTE) : "–" })));
    answer.replaceChildren(el("p", {}, says("changes", { n: lines.length })), el("ul", { class: "changes" }, lines),
      button("p-take", says("carry-on"), () => location.reload()));
  } catch (error) {
    answer.textContent = says("plan-failed", { why: error.message });
  }
}
