// The clock: the day that it is and the day that is looked at, jumps, nights, rehearsals.
import { strict as assert } from "node:assert";
import { check, close, minutes, open, saves, show, stored, text, tickedUntil } from "./support.mjs";

await check("a clock that jumps is told and noted", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await page.clock.setSystemTime(new Date("2027-03-06T13:35:00Z"));
  await page.clock.runFor(2100);
  assert.match(await text(page, ".notices"), /jumped ahead by 30/);
  assert.equal((await stored(page)).entries.find((e) => e.kind === "jump").minutes, 30);
  await page.clock.setSystemTime(new Date("2027-03-06T13:10:00Z"));
  await page.clock.runFor(2100);
  assert.match(await text(page, ".notices"), /set back by 2\d/);
  await close(page);
});

await check("a rehearsal is kept apart", async () => {
  const page = await open({ at: "2027-02-01T09:00:00Z" });
  await show(page, "log");
  await page.locator('[data-key="rehearse|2027-03-06"]').click();
  await page.clock.runFor(1100);
  assert.match(await text(page, ".clock"), /^13:00/);
  await page.locator('[data-key="rate"]').click();
  await page.clock.runFor(60000);
  assert.match(await text(page, ".clock"), /^1(3:59|4:00)/);
  await page.locator("button.tick").first().click();
  assert.equal((await stored(page)).entries.length, 0);
  await page.locator('[data-key="rehearse-end"]').click();
  assert.ok(!/rehearsal/.test(await text(page, ".notices")));
  await close(page);
});

await check("another day is looked at, and today goes on: what rings, what is late, what is saved", async () => {
  const page = await open({ at: "2027-03-06T15:19:00Z" });
  await tickedUntil(page, 130);
  await page.locator('[data-key="day|2027-03-05"]').click();
  assert.equal(await text(page, "h1"), "Friday 5 March");
  assert.equal(await text(page, ".breaks"), "", "the day before is no alarm");
  assert.match(await text(page, ".notices"), /Today is Saturday, on time/);
  // Tea ends at 15:25, today.
  await minutes(page, 6.2);
  assert.match(await text(page, ".rings"), /Over: Tea/);
  assert.equal(await text(page, "h1"), "Friday 5 March", "the day that is looked at stays");
  await show(page, "log");
  await page.locator('[data-key="failed-oven-2"]').click();
  await page.locator('[data-key="replan"]').click();
  const state = await saves(page, "p-save");
  assert.equal(state.name, "state-2027-03-06-1525.json");
  assert.ok(state.json.late.every((l) => /@(station|batch|load)|sat/.test(l.id)) && state.json.late.length < 8, JSON.stringify(state.json.late));
  await page.locator('[data-key="d-close"]').click();
  const log = await saves(page, "save-log");
  assert.deepEqual([log.name, log.json.day, log.json.session], ["2027-03-06.json", "2027-03-06", "sat"]);
  await page.locator('[data-key="to-today"]').click();
  assert.equal(await text(page, "h1"), "Saturday");
  await close(page);
});

await check("one save is the log of one day", async () => {
  const page = await open({ at: "2027-03-06T15:30:00Z" });
  await tickedUntil(page, 130);
  await show(page, "log");
  await page.locator("#absent-station-1").selectOption("1");
  await page.locator('[id^="m-four-braid.mix@"][id$="-room"]').first().fill("21");
  await page.locator('[id^="m-four-braid.mix@"][id$="-room"]').first().blur();
  await page.clock.setSystemTime(new Date("2027-03-07T09:40:00Z"));
  await page.clock.runFor(2100);
  await page.locator("#absent-station-1").selectOption("0");
  assert.match(await text(page, ".panel"), /One save is the log of one day/);
  const sunday = await saves(page, "save-log");
  assert.deepEqual([sunday.name, sunday.json.measured, sunday.json.absent], ["2027-03-07.json", [], []]);
  const saturday = await saves(page, "save-log|2027-03-06");
  assert.deepEqual([saturday.name, saturday.json.session, saturday.json.measured.length], ["2027-03-06.json", "sat", 1]);
  assert.deepEqual(saturday.json.absent, [{ station: "station-1", students: 1 }]);
  assert.ok(saturday.json.steps.length > 20);
  await close(page);
});

await check("a night is no jump of the clock, and the board opens on its day", async () => {
  const page = await open({ at: "2027-03-06T17:30:00Z" });
  await tickedUntil(page, 260);
  await page.locator('[data-key="day|2027-03-05"]').click();
  await page.clock.setSystemTime(new Date("2027-03-07T09:20:00Z"));
  await page.clock.runFor(2100);
  assert.equal(await text(page, "h1"), "Sunday");
  assert.ok(!/jumped|slept/.test(await text(page, ".notices")), await text(page, ".notices"));
  assert.equal((await stored(page)).entries.filter((e) => e.kind === "jump").length, 0);
  await close(page);
});

await check("a device that slept during the class says so, and no time is doubted for it", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await page.evaluate(() => {
    Object.defineProperty(document, "hidden", { value: true, configurable: true });
    dispatchEvent(new Event("visibilitychange"));
  });
  await page.clock.setSystemTime(new Date("2027-03-06T13:25:00Z"));
  await page.clock.runFor(2100);
  assert.match(await text(page, ".notices"), /slept for 20/);
  assert.equal((await stored(page)).entries.length, 0);
  await close(page);
});

await check("a break that is over is over, though nobody ticks it", async () => {
  const page = await open({ at: "2027-03-06T15:20:00Z" });
  await tickedUntil(page, 130);
  const tea = () => page.locator('.of-stations [data-key*="class.break@sat"]').count();
  assert.ok((await tea()) > 0);
  await minutes(page, 7);
  assert.equal(await tea(), 0);
  assert.match(await text(page, ".of-stations .doing .task"), /Talk/);
  await close(page);
});

await check("a rehearsal is seen everywhere, its log is no log of the day, and it is not forgotten", async () => {
  const page = await open({ at: "2027-03-05T08:00:00Z" });
  await tickedUntil(page, 60);
  await show(page, "log");
  await page.locator('[data-key="failed-oven-2"]').click();
  await page.locator('[data-key="rehearse|2027-03-06"]').click();
  await page.clock.runFor(1100);
  assert.ok(await page.locator('[data-key="done|teacher|class.welcome@sat"]').count(), "what was ticked in earnest is not ticked in play");
  assert.ok(!/out of order/.test(await text(page, ".now")));
  for (const view of ["now", "lanes", "list", "readings", "log"]) {
    await show(page, view);
    assert.match(await text(page, ".play"), /rehearsal/i, view);
    assert.equal(await page.evaluate(() => getComputedStyle(document.body).borderLeftStyle), "solid", view);
  }
  assert.match(await text(page, ".panel"), /review leaves it out/);
  const log = await saves(page, "save-log");
  assert.deepEqual([log.name, log.json.rehearsal], ["rehearsal-2027-03-06.json", true]);
  // The day itself comes, and nobody has ended the play.
  const day = await open({ at: "2027-03-06T14:05:00Z", context: page.context() });
  await day.clock.runFor(1100);
  assert.match(await text(day, ".notices"), /rehearsal was still running/);
  assert.equal(await day.locator(".play").count(), 0);
  assert.match(await text(day, ".clock"), /^14:05/);
  const before = (await stored(day)).entries.length;
  await day.locator("button.tick").first().click();
  assert.equal((await stored(day)).entries.length, before + 1, "ticked on the day itself");
  await close(page);
});

await check("a finger that was never seen lifted stops the board for some seconds at most", async () => {
  const page = await open({ at: "2027-03-06T13:11:50Z" });
  assert.match(await text(page, ".pace"), /1.min late/);
  await page.evaluate(() => document.querySelector("h1").dispatchEvent(new PointerEvent("pointerdown", { bubbles: true })));
  await page.clock.runFor(20000);
  assert.match(await text(page, ".pace"), /2.min late/);
  await page.clock.runFor(46000);
  // What is held is not drawn away.
  await page.evaluate(() => document.querySelector("h1").dispatchEvent(new PointerEvent("pointerdown", { bubbles: true })));
  await page.clock.runFor(3500);
  assert.match(await text(page, ".clock"), /^13:13:00/);
  assert.match(await text(page, ".pace"), /2.min late/);
  await page.evaluate(() => document.querySelector("h1").dispatchEvent(new PointerEvent("lostpointercapture", { bubbles: true })));
  await page.clock.runFor(1100);
  assert.match(await text(page, ".pace"), /3.min late/);
  await close(page);
});

await check("what rings moves nothing that a finger aims at", async () => {
  for (const size of ["phone", "wall"]) {
    const page = await open({ at: "2027-03-06T15:24:30Z", size });
    await tickedUntil(page, 130);
    await page.locator('[data-key="view|log"]').click();
    const place = () => page.evaluate(() => document.querySelector('[data-key="save-log"]').getBoundingClientRect().top);
    const before = await place();
    await page.clock.runFor(35000);
    assert.match(await text(page, ".rings"), /Over: Tea/);
    assert.equal(await place(), before, size);
    await close(page);
  }
});
