// The start, the seconds, the keys.

try {
  const was = JSON.parse(fromStore("benchroll-rehearsal") || "null");
  if (was && was.key === data.key) rehearsal = was;
} catch {
  rehearsal = null;
}
openRecord();
draw();

// What this page knows comes back with the next one, so that leaving for it asks nothing.
let leaving = false;
let lastMinute = Math.floor(nowMinute());
setInterval(() => {
  const jump = clockJump();
  if (jump && !rehearsal) {
    note("jump", { minutes: jump });
    notices.set("jump", says(jump > 0 ? "jump-on" : "jump-back", { span: spanText(jump), time: clockText(nowMinute()) }));
    draw();
  }
  const minute = Math.floor(nowMinute());
  if (minute !== lastMinute) {
    lastMinute = minute;
    draw();
  }
  second();
  listen();
}, 1000);

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
  if (!kept && !leaving && record.entries.length) event.preventDefault();
});
