// The start, the seconds, the keys.

// What this page knows comes back with the next one, so that leaving for it asks nothing.
let leaving = false;

function storedRehearsal() {
  try {
    const was = JSON.parse(fromStore("benchroll-rehearsal") || "null");
    return was && was.key === data.key && isMoment(was.from) && Number.isFinite(was.since) && was.rate >= 1 ? was : null;
  } catch {
    return null;
  }
}

/** Whatever this browser kept, the board begins. */
function begin() {
  rehearsal = storedRehearsal();
  try {
    openRecord();
    draw();
  } catch {
    const text = fromStore(storeKey());
    if (text) setAside(text);
    [record, folded] = [emptyRecord(), null];
    notices.set("unread", says("stored-unread"));
    meetPlans();
    write();
    draw();
  }
}
begin();

let lastMinute = Math.floor(nowMinute());
let lastDay = today().date;
let wasHidden = document.hidden;

/** Whether hands had work between two moments. */
const hadWork = (from, to) => data.tasks.some((t) => !data.slips.tasks[t.n][2] && t.from < to && t.to > from);

/** The device's clock is elsewhere than a second ago: it was set, or the device slept, and the night is no trouble. */
function jumped({ minutes, from }) {
  const to = now() / MINUTE;
  const rested = civil(from).date !== civil(now()).date || !hadWork(from / MINUTE, to);
  if (minutes > 0 && rested) return;
  if (minutes > 0 && wasHidden) {
    notices.set("jump", says("slept", { span: spanText(minutes), time: clockText(to) }));
    return;
  }
  note("jump", { minutes });
  notices.set("jump", says(minutes > 0 ? "jump-on" : "jump-back", { span: spanText(minutes), time: clockText(to) }));
}

// What a finger is on is not drawn away before it is lifted: the tap would be lost. A finger that was never seen lifted, as the page
// was left or a dialog of the device came between, holds the page up no longer than a finger rests.
const RESTS = 5000;
let pressed = null;
addEventListener("pointerdown", () => {
  pressed = performance.now();
}, true);
for (const lifted of ["pointerup", "pointercancel", "lostpointercapture", "blur", "visibilitychange"]) addEventListener(lifted, () => {
  pressed = null;
}, true);
const isPressed = () => pressed !== null && performance.now() - pressed < RESTS;
/** Draws the page anew for what nobody here has tapped, once no finger is on it. */
function drawSoon() {
  if (isPressed()) lastMinute = null;
  else draw();
}

function eachSecond() {
  const jump = clockJump();
  if (jump && !rehearsal) jumped(jump);
  wasHidden = document.hidden;
  if (rehearsal && isForgotten(rehearsal)) {
    notices.set("forgotten", says("rehearsal-forgotten"));
    endRehearsal();
  }
  const { date } = today();
  if (date !== lastDay) {
    // Another day has come: nobody means to look at the former one.
    lastDay = date;
    chosenDay = null;
  }
  const minute = Math.floor(nowMinute());
  if ((minute !== lastMinute || jump) && !isPressed()) {
    lastMinute = minute;
    draw();
  }
  second();
  listen();
}
setInterval(eachSecond, 1000);

// A board at the wall does not go dark while somebody looks at it; where the browser will not have that, nothing is lost.
async function stayAwake() {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // A flat battery, or a setting of the device's.
  }
}
addEventListener("visibilitychange", () => {
  wasHidden ||= document.hidden;
  if (!document.hidden) stayAwake();
});
stayAwake();

// Arrow keys go from row to row, as fingers do.
addEventListener("keydown", (event) => {
  if (!["ArrowDown", "ArrowUp"].includes(event.key) || event.target.closest("input, select, textarea, dialog, .lanes-scroll, .list-scroll")) return;
  const able = [...document.querySelectorAll("#board button.tick, #board button.toggle, #board .together button")];
  if (!able.length) return;
  const at = able.indexOf(document.activeElement);
  const next = at < 0 ? 0 : (at + (event.key === "ArrowDown" ? 1 : able.length - 1)) % able.length;
  able[next].focus();
  event.preventDefault();
});

// Paper has no clock: it gets the whole day by the clock.
let before = null;
addEventListener("beforeprint", () => {
  before = view;
  view = "list";
  draw();
});
addEventListener("afterprint", () => {
  view = before ?? view;
  draw();
});

addEventListener("beforeunload", (event) => {
  if (!kept && !leaving && record.entries.length > savedEntries) event.preventDefault();
});
