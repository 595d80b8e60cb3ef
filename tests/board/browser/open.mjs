// What is left open: on a former day, a reading that nobody wrote, an action that nobody named; and what counts as late.
import { strict as assert } from "node:assert";
import { ZERO, check, close, data, faults, minutes, open, saves, show, stored, text, tickedUntil, tooWide } from "./support.mjs";

await check("what nobody ticked on a former day stands as left open, until somebody says whether it was done", async () => {
  const page = await open({ at: "2027-03-07T09:32:00Z" });
  await tickedUntil(page, 200);
  assert.match(await text(page, ".open-steps"), /Left open from Saturday: 2, Walnut crown: Turn out/);
  assert.match(await text(page, ".pace"), /on time/, "it makes nothing of today late");
  await page.locator('[data-key="day|2027-03-06"]').click();
  assert.match(await text(page, '[data-row="helper-1"]'), /Turn out[\s\S]*Left open: was it done\?/);
  assert.ok(!/Nothing more today/.test(await text(page, ".now")), await text(page, ".now"));
  await page.locator('[data-key="open-steps"]').click();
  await page.locator('[data-key="o-left|walnut-crown.turn-out@load-1"]').click();
  await page.locator('[data-key="o-done|walnut-crown.turn-out@load-2"]').click();
  await page.locator("dialog").waitFor({ state: "detached" });
  const said = (await stored(page)).entries.slice(-2);
  const turned = (await data(page)).tasks.find((t) => t.id === "walnut-crown.turn-out@load-2");
  assert.deepEqual(said.map((e) => [e.kind, e.task]), [["left", "walnut-crown.turn-out@load-1"], ["done", turned.id]]);
  assert.equal(said[1].time, turned.to * 60000, "a day later nobody knows another time than the plan's");
  assert.equal(await text(page, ".open-steps"), "");
  await show(page, "list");
  assert.match(await page.locator("tr", { hasText: "Turn out" }).first().innerText(), /Was not done/);
  await show(page, "log");
  const log = (await saves(page, "save-log|2027-03-06")).json;
  assert.deepEqual(log.steps.filter((x) => x.step === "turn-out").map((x) => x.group), ["load-2"]);
  await close(page);
});

await check("the staff's own day that was not ticked is left open, too, and all of it is answered and taken back at once", async () => {
  const page = await open({ at: "2027-03-06T13:02:00Z" });
  assert.match(await text(page, ".open-steps"), /Left open from Friday 5 March: 6/);
  await page.locator('[data-key="day|2027-03-05"]').click();
  assert.match(await text(page, '[data-row="helper-1"]'), /Mix[\s\S]*Left open/);
  assert.ok(!/Nothing more today|Free/.test(await text(page, ".now")));
  await page.locator('[data-key="open-steps"]').click();
  await page.locator('[data-key="o-all"]').click();
  assert.equal(await text(page, ".open-steps"), "");
  assert.match(await text(page, '[data-row="helper-1"]'), /Nothing is left open/);
  await show(page, "log");
  assert.match(await text(page, ".last"), /6 entries at once/);
  await page.locator('[data-key="undo-last"]').click();
  assert.match(await text(page, ".open-steps"), /: 6/);
  await close(page);
});

await check("one tick for several stations is taken back as one, is small, and is of today alone", async () => {
  const page = await open({ at: "2027-03-06T13:50:00Z" });
  await tickedUntil(page, 45);
  const before = (await stored(page)).entries.length;
  const all = page.locator(".together button");
  assert.match(await all.innerText(), /All 5 have done: Walnut crown: Roll/);
  await page.locator('[data-key="day|2027-03-07"]').click();
  assert.equal(await all.count(), 0, "of another day nothing is ticked at once");
  await page.locator('[data-key="to-today"]').click();
  await all.click();
  assert.equal((await stored(page)).entries.length, before + 5);
  await show(page, "log");
  assert.match(await text(page, ".last"), /5 entries at once, the first of them: 13:50 done: Walnut crown: Roll, station 1/);
  // Only what this board wrote is taken back here.
  await page.locator('[data-key="undo-last"]').click();
  assert.match(await text(page, ".panel"), new RegExp(`Entries so far: ${before},`), "what was taken back is no entry, and that it was is none");
  await show(page, "now");
  assert.match(await all.innerText(), /All 5/);
  for (const n of [1, 2, 3, 4, 5]) assert.ok(await page.locator(`[data-key="done|station-${n}|walnut-crown.roll@station-${n}"]`).count(), `station ${n}`);
  await close(page);
});

await check("a reading that nobody wrote stays until it is written down or said to be missed", async () => {
  const page = await open({ at: "2027-03-06T14:40:00Z" });
  await tickedUntil(page, 95);
  assert.match(await text(page, ".notices"), /Not written down yet: .*Custard buns: custard \(13:15\)/);
  await show(page, "readings");
  const custard = page.locator(".reading", { hasText: "Custard buns: custard" }).first();
  await custard.locator("input").fill("84");
  await custard.locator("[type=submit]").click();
  await page.locator(".reading", { hasText: "custard, egg-free" }).first().locator(".small").click();
  await page.locator('[data-key="a-named"]').click();
  await show(page, "now");
  assert.ok(!/custard/.test(await text(page, ".notices")));
  await show(page, "log");
  const log = (await saves(page, "save-log")).json;
  assert.deepEqual(log.readings.map((r) => [r.what, r.celsius, r.verdict]), [["Custard buns: custard", 84, "ok"], ["Custard buns: custard, egg-free", null, "missed"]]);
  // The next day asks for what is still open, and one tap says that nobody knows.
  await page.clock.setSystemTime(new Date("2027-03-07T09:35:00Z"));
  await page.clock.runFor(2100);
  await show(page, "now");
  assert.match(await text(page, ".notices"), /\(Sat 1\d:\d\d\)/);
  await show(page, "readings");
  assert.match(await text(page, ".readings-view"), /Still open from other days, below: \d+/);
  // What is a core is not among them: of that it is said what was done, one by one.
  const before = Number(/below: (\d+)/.exec(await text(page, ".readings-view"))[1]);
  const plain = Number(/None of the (\d+)/.exec(await page.locator('[data-key="missed-all"]').innerText())[1]);
  assert.ok(plain > 1 && plain < before, `${plain} of ${before}`);
  await page.locator('[data-key="missed-all"]').click();
  assert.match(await text(page, ".readings-view"), new RegExp(`Still open from other days, below: ${before - plain}\\.`));
  assert.equal(await page.locator('[data-key="missed-all"]').count(), 0);
  const left = await page.locator(".readings-view > .readings").last().innerText();
  assert.equal((left.match(/If it is out:/g) ?? []).length, before - plain, left);
  await close(page);
});

await check("a reading waits for a step that is late", async () => {
  const page = await open({ at: "2027-03-06T14:00:10Z" });
  await tickedUntil(page, 35);
  // The show of mixing is 15 minutes over, the mix of 20 minutes has not begun.
  await show(page, "readings");
  const dough = page.locator(".reading", { hasText: "Four-strand milk braid: dough, station 6" });
  assert.match(await dough.innerText(), /^14:36\s+was 14:20/);
  await show(page, "now");
  await minutes(page, 6);
  assert.ok(!/milk braid: dough, station 6/.test(await text(page, ".notices")), "nothing is called for that is not there yet");
  await close(page);
});

await check("out of its limit without an action: the board goes on asking, and it can be said later", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "readings");
  await page.locator(".reading input").first().fill("11.5");
  await page.locator(".reading [type=submit]").first().click();
  await page.locator('[data-key="d-close"]').click();
  for (const view of ["now", "lanes", "list", "log", "readings"]) {
    await show(page, view);
    assert.match(await text(page, ".notices"), /Fridge was out of its limit, and nobody has written what was done: 13:05: 11\.5.°C/, view);
  }
  await page.reload();
  await page.clock.runFor(1100);
  await page.locator('.notices [data-key^="act|"]').click();
  await page.locator("#other-action").fill("Moved all of it to the cellar");
  await page.locator('[data-key="a-other"]').click();
  assert.ok(!/out of its limit/.test(await text(page, ".notices")));
  await show(page, "log");
  const [reading] = (await saves(page, "save-log")).json.readings;
  assert.deepEqual([reading.verdict, reading.action], ["out", "Moved all of it to the cellar"]);
  await page.locator('[data-key="undo-last"]').click();
  assert.match(await text(page, ".notices"), /nobody has written what was done/, "taken back, it is asked again");
  await close(page);
});

await check("less than a minute is not late, in any word", async () => {
  const page = await open({ at: "2027-03-06T13:09:59Z" });
  for (const [ms, late] of [[6000, false], [40000, false], [15000, true]]) {
    await page.clock.runFor(ms);
    const at = await text(page, ".clock");
    assert.equal(/late/.test(await text(page, ".pace")), late, at);
    assert.equal(/over/.test(await text(page, '[data-row="station-1"] .count')), late, at);
    if (!late) assert.equal(await text(page, ".breaks"), "", at);
  }
  await close(page);
});

await check("after the last day the class is over, and nothing is late", async () => {
  const page = await open({ at: "2027-03-08T09:00:00Z" });
  assert.equal(await text(page, "h1"), "The class is over");
  assert.match(await text(page, ".pace"), /its last day was Sunday/);
  assert.ok(!/late|breaks/i.test(await text(page, ".head") + (await text(page, ".breaks"))));
  assert.match(await text(page, ".open-steps"), /Left open from Sunday: \d+/);
  assert.deepEqual(await faults(page), []);
  const phone = await open({ at: "2027-03-08T09:00:00Z", size: "phone" });
  assert.ok((await tooWide(phone)) <= 0, "it is wider than a phone");
  await phone.locator('[data-key="open-steps"]').click();
  assert.ok((await tooWide(phone)) <= 0, "what was left open is wider than a phone");
  assert.deepEqual(await faults(phone), []);
  await close(phone);
  const before = await open({ at: "2027-03-03T09:00:00Z" });
  assert.equal(await text(before, "h1"), "Next: Friday 5 March");
  await close(before);
  await close(page);
});

await check("what waits says what it waits for", async () => {
  const page = await open({ at: "2027-03-07T09:51:00Z" });
  await tickedUntil(page, 1250);
  await minutes(page, 1);
  const { tasks } = await data(page);
  assert.ok(tasks.some((t) => t.id === "four-braid.relax@station-1" && t.from === ZERO + 1265));
  for (const n of [1, 2]) await page.locator(`[data-key="done|station-${n}|four-braid.strands@station-${n}"]`).click();
  assert.match(await text(page, '[data-row="station-1"]'), /Free until 10:05, waits for: Custard buns: Divide and round, /);
  await close(page);
});
