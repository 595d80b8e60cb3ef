// Building the page: elements from text, the head, the views; drawn anew at each change and each minute, with the focus kept.

const SVG = "http://www.w3.org/2000/svg";

/** An element; children are elements or text, never markup. */
function el(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  set(made, attributes);
  made.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== ""));
  return made;
}
function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  set(made, attributes);
  made.append(...children.flat().filter((c) => c !== null && c !== undefined));
  return made;
}
function set(made, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else made.setAttribute(name, value === true ? "" : String(value));
  }
}
/** A button that does something; `key` keeps the focus on it when the page is drawn anew. */
function button(key, text, does, attributes = {}) {
  return el("button", { type: "button", "data-key": key, onclick: does, ...attributes }, text);
}

const VIEWS = ["now", "lanes", "list", "readings", "log"];
let view = "now";
let shown = null;

function showView(name) {
  view = name;
  draw();
  scrollTo(0, 0);
  if (name === "lanes") toTheLine();
}

/** Says something to those who hear the page. */
function say(text) {
  document.getElementById("said").textContent = text;
}

function draw() {
  const board = document.getElementById("board");
  const focused = document.activeElement?.dataset?.key;
  const typing = board.contains(document.activeElement) && document.activeElement.matches("input, select, textarea");
  // What somebody is typing is not drawn away under their hands.
  if (typing && document.activeElement.value) return;
  const s = state();
  shown = forecast(s, nowMinute());
  const drawn = { now: drawNow, lanes: drawLanes, list: drawList, readings: drawReadings, log: drawLog }[view](shown, s);
  const place = document.querySelector(".lanes-scroll");
  const scrolled = place ? [place.scrollLeft, place.scrollTop] : null;
  board.replaceChildren(drawHead(shown, s), drawWarnings(shown, s), drawn);
  const fresh = document.querySelector(".lanes-scroll");
  if (fresh && scrolled) [fresh.scrollLeft, fresh.scrollTop] = scrolled;
  if (focused) {
    const again = board.querySelector(`[data-key="${CSS.escape(focused)}"]`);
    // What was ticked is gone: its row's own head is the next best place to be.
    if (again) again.focus();
    else board.querySelector(`[data-row="${CSS.escape(focused.split("|")[1] ?? "")}"] button`)?.focus();
  }
  second();
}

function drawHead(f, s) {
  const day = shownDay();
  const late = lateness(f);
  const session = f.sessions.find((x) => x.id === day.session?.id);
  const ends = session ? says("ends", { time: clockText(session.finish) }) : "";
  const lateText = late >= 1 ? says("late", { span: spanText(late) }) : says("on-time");
  const dayName = day.name || weekdayDay.format(new Date(day.from * MINUTE));
  const days = data.days.map((d) =>
    button(`day|${d.date}`, d.name || weekdayShort.format(new Date(d.from * MINUTE)), () => {
      chosenDay = d.date;
      draw();
    }, { "aria-pressed": d.date === day.date ? "true" : "false" }));
  return el("header", { class: "head" },
    el("p", { class: "clock", role: "timer", "aria-label": says("clock"), "data-clock": "yes" }, hourMinuteSecond.format(new Date(now()))),
    el("div", { class: "head-day" },
      el("h1", {}, dayName),
      el("p", { class: late >= 1 ? "pace is-late" : "pace" }, ends ? `${ends}, ${lateText}` : lateText)),
    el("div", { class: "looks" },
      data.days.length > 1 ? el("div", { role: "group", "aria-label": says("days"), class: "switch" }, days) : null,
      el("nav", { "aria-label": says("views"), class: "switch" },
        VIEWS.map((name) => button(`view|${name}`, says(`view-${name}`), () => showView(name), { "aria-current": view === name ? "page" : false })))));
}

/** So many minutes after its planned end a step that nobody ticked is one that was forgotten. */
const LONG_OVER = 15;

/** What the teacher must know: breaks to come, the board's own troubles, what rings. */
function drawWarnings(f, s) {
  const lines = [];
  const rings = ringingNow();
  if (rings.length) {
    lines.push(el("div", { class: "notice rings" }, el("div", {}, rings.map((r) => el("p", {}, r.text))),
      button("silence", says("silence"), () => silence(rings.map((r) => r.key)))));
  }
  if (rehearsal) lines.push(rehearsalLine());
  const today = data.days.find((d) => d.date === civil(now()).date);
  if (today && today.date !== shownDay().date) {
    lines.push(el("div", { class: "notice strong" }, el("p", {}, says("not-today")), button("to-today", says("to-today"), () => {
      chosenDay = null;
      draw();
    })));
  }
  if (data.late !== null) lines.push(el("p", { class: "notice strong" }, word("board.plan-late", { minutes: data.late })));
  const [first] = f.breaks;
  if (first) {
    const more = f.breaks.length > 1 ? ` ${says("breaks-more", { n: f.breaks.length - 1 })}` : "";
    lines.push(el("div", { class: "notice strong breaks" }, el("p", {}, `${says("breaks-first")} ${breakText(first)}${more}`),
      button("replan", says("replan"), openReplan)));
  } else if (lateness(f) >= 5) {
    lines.push(el("div", { class: "notice breaks" }, el("p", {}, says("nothing-breaks")), button("replan", says("replan"), openReplan)));
  }
  if (!first && lateness(f) < 5 && isNewTrouble(s)) {
    lines.push(el("div", { class: "notice" }, el("p", {}, says("trouble")), button("replan", says("replan"), openReplan)));
  }
  for (const pair of s.twice.slice(-1)) {
    lines.push(el("p", { class: "notice" }, says("twice", {
      task: taskOf.has(pair.task) ? taskFull(taskOf.get(pair.task)) : pair.task, first: clockText(pair.first), second: clockText(pair.second) })));
  }
  for (const [key, text] of notices) {
    const news = key === "news";
    lines.push(el("div", { class: "notice" }, el("p", {}, text), button(`notice|${key}`, says(news ? "load-again" : "understood"), () => {
      if (news) {
        leaving = kept;
        location.reload();
        return;
      }
      notices.delete(key);
      draw();
    })));
  }
  const behind = data.tasks.filter((t) => {
    const d = f.doing.get(t.id);
    return d.state !== "over" && !d.stands && t.to < f.at - LONG_OVER;
  });
  if (behind.length >= 3) {
    lines.push(el("div", { class: "notice" }, el("p", {}, says("behind", { n: behind.length })),
      button("all-done", says("all-as-planned"), () => tickAsPlanned())));
  }
  return el("section", { class: "notices", "aria-label": says("notices") }, lines);
}

/** Somebody is absent or something out of order that the plan on show does not know of. */
function isNewTrouble(s) {
  const known = lastTime ?? { absent: [], without: [] };
  const absent = [...s.absent].some(([station, n]) => n > (known.absent.find((a) => a.station === station)?.students ?? 0));
  return absent || [...s.failed].some((what) => !known.without.includes(what));
}

/** Everything that the plan has ended a good while ago is ticked at its planned end: what was counted, and no more. */
function tickAsPlanned() {
  const at = nowMinute();
  for (const task of data.tasks) {
    const n = data.slips.tasks[task.n];
    if (n[2] || state().done.has(task.id) || task.to >= at - LONG_OVER || takenAsDone(task, state(), shownDay().from)) continue;
    note("done", { task: task.id, time: task.to * MINUTE, start: task.from });
  }
  draw();
}

/** Each second: the clock, the count-downs, the lines that move. */
function second() {
  const at = nowMinute();
  for (const clock of document.querySelectorAll("[data-clock]")) clock.textContent = hourMinuteSecond.format(new Date(now()));
  for (const count of document.querySelectorAll("[data-until]")) {
    const left = Number(count.dataset.until) - at;
    const whole = Math.max(0, Math.ceil(left));
    count.textContent = left < 0 ? says("over-by", { span: spanText(Math.ceil(-left)) }) : left < 3 ? minuteSecond(left) : spanText(whole);
    count.classList.toggle("is-over", left < -0.99);
  }
  for (const line of document.querySelectorAll("[data-line]")) {
    const [from, to] = line.dataset.line.split(" ").map(Number);
    const part = (at - from) / (to - from);
    line.style.left = `${Math.min(1, Math.max(0, part)) * 100}%`;
    line.hidden = part < 0 || part > 1;
  }
  moveLanesLine(at);
}
function minuteSecond(minutes) {
  const seconds = Math.max(0, Math.ceil(minutes * 60));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}
