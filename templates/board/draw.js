// Building the page: elements from text, the head, the views; drawn anew at each change and each minute, with the focus kept.

const SVG = "http://www.w3.org/2000/svg";

/** An element; children are elements or text, never markup. */
function el(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  set(made, attributes);
  made.append(...children.flat(2).filter((c) => c !== null && c !== undefined && c !== ""));
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
  const active = board.contains(document.activeElement) ? document.activeElement : null;
  const focused = active?.dataset.key;
  const s = state();
  shown = forecast(s, nowMinute());
  document.body.toggleAttribute("data-rehearsal", rehearsal !== null);
  const drawn = { now: drawNow, lanes: drawLanes, list: drawList, readings: drawReadings, log: drawLog }[view](shown, s);
  const place = document.querySelector(".lanes-scroll");
  const scrolled = place ? [place.scrollLeft, place.scrollTop] : null;
  const fresh = el("div", {}, drawHead(shown), drawWarnings(shown, s), drawn);
  const field = active?.matches("input, select, textarea") ? active.closest("[data-keep]") : null;
  if (!field || !renewAround(board, fresh, field)) board.replaceChildren(...fresh.childNodes);
  const anew = document.querySelector(".lanes-scroll");
  if (anew && scrolled) [anew.scrollLeft, anew.scrollTop] = scrolled;
  if (focused && !board.contains(document.activeElement)) {
    const again = board.querySelector(`[data-key="${CSS.escape(focused)}"]`);
    // What was ticked is gone: its row's own head is the next best place to be.
    if (again) again.focus();
    else board.querySelector(`[data-row="${CSS.escape(focused.split("|")[1] ?? "")}"] button`)?.focus();
  }
  second();
}

/**
 * Puts the fresh page in place of the old one all round a field that has the focus. The field itself stays where it is: a finger,
 * the keyboard on the screen and half a word are in it. Says whether it could.
 */
function renewAround(old, fresh, field) {
  const twin = fresh.querySelector(`[data-keep="${CSS.escape(field.dataset.keep)}"]`);
  const path = (of, top) => (of === top ? [] : [...path(of.parentNode, top), of]);
  const [stays, goes] = [path(field, old), twin ? path(twin, fresh) : []];
  if (stays.length !== goes.length || stays.some((node, n) => node.tagName !== goes[n].tagName)) return false;
  let [from, to] = [fresh, old];
  stays.forEach((here, n) => {
    const there = goes[n];
    for (const child of [...to.childNodes]) if (child !== here) child.remove();
    let before = true;
    for (const child of [...from.childNodes]) {
      if (child === there) before = false;
      else if (before) to.insertBefore(child, here);
      else to.append(child);
    }
    if (here !== field) for (const { name, value } of [...there.attributes]) here.setAttribute(name, value);
    [from, to] = [there, here];
  });
  return true;
}

function drawHead(f) {
  const day = shownDay();
  const other = day !== today();
  // Of another day only when it ends: what is late is today's.
  const late = other ? 0 : lateness(f);
  const over = isOver() && !other;
  const parts = over ? [says("last-day", { day: dayName(day) })] : [endText(f, day), other ? "" : paceText(late)];
  // Between two days of a class it is neither of them.
  const comes = !other && !over && civil(now()).date < day.date ? says("comes", { day: dayName(day) }) : "";
  const days = data.days.map((d) =>
    button(`day|${d.date}`, d.name || weekdayShort.format(new Date(d.from * MINUTE)), () => {
      chosenDay = d.date;
      draw();
    }, { "aria-pressed": d.date === day.date ? "true" : "false" }));
  return el("header", { class: "head" },
    el("p", { class: "clock", role: "timer", "aria-label": says("clock"), "data-clock": "yes" }, hourMinuteSecond.format(new Date(now()))),
    el("div", { class: "head-day" },
      rehearsal ? el("p", { class: "play" }, says("rehearsal-mark")) : null,
      el("h1", {}, over ? says("class-over") : comes || dayName(day)),
      el("p", { class: late >= 1 ? "pace is-late" : "pace" }, parts.filter(Boolean).map((part, n) => [n ? ", " : "", el("span", {}, part)]))),
    el("div", { class: "looks" },
      data.days.length > 1 ? el("div", { role: "group", "aria-label": says("days"), class: "switch" }, days) : null,
      el("nav", { "aria-label": says("views"), class: "switch" },
        VIEWS.map((name) => button(`view|${name}`, says(`view-${name}`), () => showView(name), { "aria-current": view === name ? "page" : false })))));
}

/** The plan that the day is held against, where it is not the one that was printed. */
const againstPlan = () => (madeWith() === lastTime && lastTime ? says("by-plan-from", { time: momentText(Date.parse(lastTime.now) / MINUTE, today()) }) : "");
/** How the day goes: late or not, and by which plan. */
const paceText = (late) => [late >= 1 ? says("late", { span: spanText(late) }) : says("on-time"), againstPlan()].filter(Boolean).join(" ");
/** When a session ends, and when it was to end by the first plan. */
function endText(f, day) {
  const session = f.sessions.find((x) => x.id === day.session?.id);
  if (!session) return "";
  const first = againstPlan() ? earlier[0].ends?.find?.((e) => e.id === session.id)?.minute : undefined;
  const time = clockText(session.finish);
  return isMinute(first) && clockText(first) !== time ? says("ends-first", { time, first: clockText(first) }) : says("ends", { time });
}

/** So many minutes after its planned end a step that nobody ticked is one that was forgotten. */
const LONG_OVER = 15;

/** What the teacher must know: breaks to come, the board's own troubles, what rings. */
function drawWarnings(f, s) {
  const line = (text, how, ...buttons) => el("div", { class: `notice ${how}` }, el("p", {}, text), buttons);
  const again = () => button("replan", says("replan"), openReplan);
  const lines = [];
  const rings = ringingNow();
  if (rings.length) {
    lines.push(el("div", { class: "notice rings" }, el("div", {}, rings.map((r) => el("p", {}, r.text))),
      button("silence", says("silence"), () => silence(rings.map((r) => r.key)))));
  }
  if (rehearsal) lines.push(rehearsalLine());
  else if (lastTime?.rehearsal) lines.push(line(says("plan-of-play"), "strong"));
  if (!kept) lines.push(notKeptLine());
  if (shownDay() !== today()) {
    const of = { day: dayName(shownDay()), today: dayName(today()), pace: paceText(lateness(f)) };
    lines.push(line(isOver() ? says("not-today-over", of) : says("not-today", of), "strong", button("to-today", says("to-today"), () => {
      chosenDay = null;
      draw();
    })));
  }
  const later = laterPlan();
  if (later) {
    const at = later.at / MINUTE;
    lines.push(line(says("superseded", { time: `${weekdayDay.format(new Date(later.at))}, ${clockText(at)}` }), "strong superseded", button("this-plan", says("this-plan"), () => {
      goBackToThis();
      draw();
    })));
  }
  if (data.left_out?.length) lines.push(el("p", { class: "notice strong left-out" }, says("plan-leaves-out", { what: stepsIn(data.left_out) })));
  const kneaded = byHandNow(f, s);
  if (kneaded.length) lines.push(el("p", { class: "notice strong by-hand" }, says("now-by-hand", { what: stepsIn(kneaded) })));
  if (data.late !== null) lines.push(el("p", { class: "notice strong" }, word("board.plan-late", { minutes: data.late })));
  const [first] = f.breaks;
  if (first) {
    const more = f.breaks.length > 1 ? ` ${says("breaks-more", { n: f.breaks.length - 1 })}` : "";
    lines.push(line(`${says("breaks-first")} ${breakText(first)}${more}`, "strong breaks", again()));
  } else if (lateness(f) >= 5) {
    lines.push(line(says("nothing-breaks"), "breaks", again()));
  } else if (isNewTrouble(s)) {
    lines.push(line(says("trouble"), "", again()));
  }
  const due = view === "readings" ? "" : dueText(f, s);
  if (due) {
    lines.push(line(due, "", button("to-readings", says("view-readings"), () => {
      chosenDay = null;
      showView("readings");
    })));
  }
  const asked = withoutAction(s);
  for (const e of asked.slice(0, NAMED)) {
    lines.push(line(noActionText(e), "strong", button(`act|${e.id}`, says("say-action"), () => askAction(e))));
  }
  if (asked.length > NAMED) lines.push(el("p", { class: "notice strong" }, says("no-action-more", { n: asked.length - NAMED })));
  for (const pair of s.twice.slice(-1)) {
    lines.push(el("p", { class: "notice" }, says("twice", {
      task: taskOf.has(pair.task) ? taskFull(taskOf.get(pair.task)) : pair.task, first: clockText(pair.first), second: clockText(pair.second) })));
  }
  for (const [key, text] of notices) {
    const news = key === "news";
    lines.push(line(text, "", button(`notice|${key}`, says(news ? "load-again" : "understood"), () => {
      if (news) {
        leaving = kept;
        location.reload();
        return;
      }
      notices.delete(key);
      draw();
    })));
  }
  const undone = undoneText(f);
  if (undone) lines.push(el("p", { class: "notice strong undone" }, undone));
  const open = data.tasks.filter((t) => f.doing.get(t.id).open);
  if (open.length) lines.push(line(openText(open), "open-steps", button("open-steps", says("look-open"), openLeft)));
  const behind = data.tasks.filter((t) => {
    const d = f.doing.get(t.id);
    return d.state !== "over" && !d.byItself && t.to < f.at - LONG_OVER;
  });
  if (behind.length >= 3 || (behind.length && f.at > today().to + LONG_OVER)) {
    lines.push(line(says("behind", { n: behind.length }), "", button("all-done", says("all-as-planned"), () => tickAsPlanned())));
  }
  return el("section", { class: "notices", "aria-label": says("notices") }, lines);
}

/** With a mixer out of order: doughs that are still to be kneaded, and that the plan gives no mixer. */
function byHandNow(f, s) {
  if (![...s.failed].some((key) => rowOf.get(key)?.group === "mixers")) return [];
  return data.tasks.filter((t) => t.mix && !t.mix[1] && !data.slips.tasks[t.n][2] && f.doing.get(t.id).state !== "over");
}

/** What is not kept must be saved by hand, and how much of it that is. */
function notKeptLine() {
  const n = record.entries.length - savedEntries;
  return el("div", { class: "notice strong" }, el("p", {}, `${says("not-kept")} ${n > 0 ? says("not-saved", { n }) : ""}`),
    button("save-now", says("save-now"), () => saveLog(today())));
}

/** Somebody is absent or something out of order that the plan on show does not know of. */
function isNewTrouble(s) {
  const { absent = [], without = [] } = madeWith();
  const more = [...s.absent].some(([station, n]) => n > (absent.find((a) => a.station === station)?.students ?? 0));
  return more || [...s.failed].some((what) => !without.includes(what));
}

/** Everything that the plan has ended a good while ago is ticked at its planned end: what was counted, and no more. */
function tickAsPlanned() {
  const at = nowMinute();
  const s = state();
  const over = data.tasks.filter((task) => !shown.doing.get(task.id).byItself && !s.done.has(task.id) && task.to < at - LONG_OVER && !takenAsDone(task, s, dayStart()));
  noteAll(over.map((task) => ["done", asPlanned(task)]));
  draw();
}
/** That a step was done when the plan has it: nobody knows better. */
const asPlanned = (task) => ({ task: task.id, time: task.to * MINUTE, start: task.from });

/** Each second: the clock, the count-downs, the lines that move. */
function second() {
  const at = nowMinute();
  for (const clock of document.querySelectorAll("[data-clock]")) clock.textContent = hourMinuteSecond.format(new Date(now()));
  for (const count of document.querySelectorAll("[data-until]")) {
    const left = Number(count.dataset.until) - at;
    const over = wholeMinutes(Math.max(0, -left));
    count.textContent = over >= 1 ? says("over-by", { span: spanText(over) }) : left < 0 ? says("due-now") : left < 3 ? minuteSecond(left) : spanText(Math.ceil(left));
    count.classList.toggle("is-over", over >= 1);
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
