// What fingers and keys do: ticks, readings, fields.
import { strict as assert } from "node:assert";
import { check, close, minutes, open, show, stored, text, tickedUntil } from "./support.mjs";

await check("keys alone tick a step and take it back", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await page.keyboard.press("ArrowDown");
  const key = await page.evaluate(() => document.activeElement.dataset.key);
  assert.match(key ?? "", /^done\|/);
  await page.keyboard.press("Enter");
  assert.equal((await stored(page)).entries.filter((e) => e.kind === "done").length, 1);
  await show(page, "log");
  await page.locator('[data-key="undo-last"]').focus();
  await page.keyboard.press("Enter");
  assert.equal((await stored(page)).entries.filter((e) => e.kind === "undo").length, 1);
  await show(page, "now");
  assert.ok(await page.locator(`[data-key="${key}"]`).count(), "it can be ticked again");
  await close(page);
});

await check("a reading out of its limit asks for the action that the rules name", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "readings");
  const entry = page.locator(".reading", { hasText: "fridge" }).first();
  await entry.locator("input").fill("cold");
  await entry.locator("[type=submit]").click();
  assert.match(await entry.locator(".wrong").innerText(), /figures/);
  await entry.locator("input").fill("11,5");
  await entry.locator("[type=submit]").click();
  assert.equal((await stored(page)).entries.length, 1, "what was read is written before the answer");
  assert.match(await page.locator("dialog").innerText(), /move the food, find out how long/);
  await page.locator('[data-key="a-named"]').click();
  const [reading, action] = (await stored(page)).entries;
  assert.deepEqual([reading.celsius, reading.verdict, reading.rule], [11.5, "out", "move-food"]);
  assert.deepEqual([action.kind, action.of, action.rule, action.by], ["action", reading.id, "move-food", "rule"]);
  await page.locator(".reading", { hasText: "fridge" }).first().locator("input").fill("4");
  await page.locator(".reading", { hasText: "fridge" }).first().locator("[type=submit]").click();
  assert.equal(await page.locator("dialog").count(), 0);
  assert.equal((await stored(page)).entries[2].verdict, "ok");
  await close(page);
});

await check("a field that keeps the focus stops nothing: the clock, what is due and the bell go on round it", async () => {
  const page = await open({ at: "2027-03-06T15:18:00Z" });
  await tickedUntil(page, 130);
  await show(page, "readings");
  const field = page.locator(".reading input").first();
  await field.focus();
  await page.keyboard.type("4");
  const due = await page.locator(".reading.is-due").count();
  await field.evaluate((input) => {
    input.sameOne = true;
  });
  await minutes(page, 7.5);
  assert.match(await text(page, ".rings"), /Over: Tea/, "the bell rings");
  await minutes(page, 70);
  assert.match(await text(page, ".clock"), /^16:35/);
  assert.ok((await page.locator(".reading.is-due").count()) > due, "what is due is marked");
  assert.deepEqual(await page.evaluate(() => [document.activeElement.sameOne, document.activeElement.value]), [true, "4"]);
  await page.keyboard.type(",5");
  await page.keyboard.press("Enter");
  assert.equal((await stored(page)).entries.at(-1).celsius, 4.5);
  await close(page);
});

await check("what is typed stays until it is written down, and what is refused says why", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "readings");
  await page.locator(".reading input").first().fill("3.5");
  await page.locator(".reading input").nth(1).focus();
  await minutes(page, 2);
  await show(page, "now");
  await show(page, "readings");
  assert.equal(await page.locator(".reading input").first().inputValue(), "3.5");
  await show(page, "log");
  const room = page.locator('[id$="-room"]').first();
  await room.fill("warm");
  await room.blur();
  const wrong = () => page.locator(`[id="${roomId}-wrong"]`).innerText();
  const roomId = await room.getAttribute("id");
  assert.match(await wrong(), /Not written down/);
  await minutes(page, 2);
  assert.deepEqual([await room.inputValue(), await room.getAttribute("aria-invalid")], ["warm", "true"]);
  assert.match(await wrong(), /from -10 to 60/);
  await room.fill("21,5");
  await room.blur();
  assert.deepEqual((await stored(page)).entries.map((e) => e.values), [{ room: 21.5 }]);
  await minutes(page, 1);
  // A figure that was written down does not vanish with its field.
  await room.fill("");
  await room.blur();
  assert.match(await wrong(), /21.5 stays written down/);
  await close(page);
});

await check("temperatures as people type them", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "readings");
  const fridge = page.locator(".reading", { hasText: "Fridge" }).first();
  const typed = { "+4": 4, "4,5": 4.5, "\u22121,5": -1.5, "3 \u00b0C": 3, "5\u00b0": 5, "41 F": 5, "2.5 c": 2.5 };
  for (const [writing, celsius] of Object.entries(typed)) {
    await fridge.locator("input").fill(writing);
    await fridge.locator("[type=submit]").click();
    assert.equal((await stored(page)).entries.at(-1)?.celsius, celsius, writing);
  }
  const before = (await stored(page)).entries.length;
  for (const writing of ["4.5.1", "four", "4 kg", "--4", "4000", "7 9", ""]) {
    await fridge.locator("input").fill(writing);
    await fridge.locator("[type=submit]").click();
    assert.match(await fridge.locator(".wrong").innerText(), /figures/, writing);
  }
  assert.equal((await stored(page)).entries.length, before);
  await close(page);
});

await check("what is due is said as what to do", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  assert.match(await text(page, ".notices"), /Measure: Fridge \(at most 8.°C\)/);
  await page.locator('[data-key="to-readings"]').click();
  const fridge = await page.locator(".reading").first().innerText();
  assert.match(fridge, /Measure: Fridge[\s\S]*If it is out: move the food/);
  await page.locator(".reading input").first().fill("4");
  await page.locator(".reading button").first().click();
  await show(page, "now");
  assert.ok(!/Measure: Fridge/.test(await text(page, ".notices")));
  // Two pots of one thing are two things.
  const helper = await text(page, '[data-row="helper-1"]');
  assert.match(helper, /Cook the custard\n.*stations 1–5/);
  assert.match(helper, /13:30\s+Custard buns: Cook the custard, station 6/);
  await close(page);
});

await check("a step far ahead is asked about before it is ticked", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "list");
  const late = page.locator('[data-key="l-done|walnut-crown.brush@station-1"]');
  await late.click();
  assert.match(await text(page, "dialog"), /is to begin at 15:45 by the plan, in [23].h \d\d/);
  await page.locator('[data-key="d-close"]').click();
  assert.equal((await stored(page)).entries.length, 0);
  // Through the step's own dialog, too.
  await page.locator('[data-key="l|walnut-crown.brush@station-1"]').click();
  await page.locator('[data-key="d-start"]').click();
  assert.match(await text(page, "dialog[open]"), /Already\?/);
  await page.locator('dialog[open] [data-key="d-close"]').click();
  assert.equal((await stored(page)).entries.length, 0);
  await late.click();
  await page.locator('[data-key="e-yes"]').click();
  assert.equal((await stored(page)).entries.length, 1);
  // What is about to begin is ticked at once.
  await page.locator('[data-key="l-done|class.hands@sat"]').click();
  assert.equal((await stored(page)).entries.length, 2);
  await close(page);
});

await check("taking back says what it takes back", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await page.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await show(page, "log");
  assert.match(await text(page, ".last"), /13:05 done: Welcome/);
  assert.equal(await page.locator('[data-key="undo-last"]').getAttribute("aria-describedby"), await page.locator(".last").getAttribute("id"));
  await page.locator('[data-key="undo-last"]').click();
  assert.match(await text(page, "#said"), /Taken back: 13:05 done: Welcome/);
  assert.match(await text(page, ".last"), /nothing to take back/);
  await close(page);
});
