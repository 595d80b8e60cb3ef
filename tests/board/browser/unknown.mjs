// What nobody ticked, measured or did: a clock that runs on, a core that nobody took, a step that was not done, what was left out.
import { strict as assert } from "node:assert";
import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { ZERO, check, close, data, folder, open, program, saves, show, stored, text, tickedUntil } from "./support.mjs";

/** What is written down already when the page is loaded again. */
async function withEntries(page, entries) {
  await page.evaluate((more) => {
    const { key } = JSON.parse(document.getElementById("data").textContent);
    const name = `benchroll-board-${key}`;
    const record = JSON.parse(localStorage.getItem(name));
    localStorage.setItem(name, JSON.stringify({ ...record, entries: [...record.entries, ...more] }));
  }, entries);
  await page.reload();
  await page.clock.runFor(1100);
}

await check("the clock of food runs on, though nobody ticked what came before it", async () => {
  const page = await open({ at: "2027-03-07T13:50:00Z" });
  await tickedUntil(page, 1200);
  const clock = (await data(page)).readings.find((r) => r.clock);
  assert.deepEqual([clock.minute - ZERO, clock.clock[0]], [1355, 120], "out of the oven at 11:35, for less than two hours");
  await show(page, "now");
  assert.match(await text(page, ".notices"), /custard/, "it is called for");
  await show(page, "readings");
  // Each load has a clock of its own.
  const entry = page.locator(".reading", { has: page.locator(`[data-key="gone-${clock.id}"]`) });
  assert.match(await entry.innerText(), /^11:35\s+Use up or throw away: Custard buns: custard/);
  await page.locator(`[data-key="gone-${clock.id}"]`).click();
  assert.match(await text(page, "dialog"), /throw away/i, "two hours are over");
  assert.equal((await stored(page)).entries.at(-1).verdict, "out");
  await close(page);
});

await check("the clock of food runs from what was ticked", async () => {
  const page = await open({ at: "2027-03-07T13:50:00Z" });
  await tickedUntil(page, 1200);
  const clock = (await data(page)).readings.find((r) => r.clock);
  const load = (await data(page)).tasks.find((t) => t.n === clock.after[0][0] >> 1);
  await withEntries(page, [{ id: "feed0000-900", at: (ZERO + 1380) * 60000, kind: "done", task: load.id, start: ZERO + 1365 }]);
  await show(page, "readings");
  const entry = page.locator(".reading", { has: page.locator(`[data-key="gone-${clock.id}"]`) });
  assert.match(await entry.innerText(), /^12:00\s+was 11:35\s+Use up or throw away: Custard buns: custard/);
  await page.locator(`[data-key="gone-${clock.id}"]`).click();
  assert.equal((await stored(page)).entries.at(-1).verdict, "ok");
  await close(page);
});

await check("a core and a clock that nobody knows count as out of their limit, until it is said what was done", async () => {
  const page = await open({ at: "2027-03-06T14:40:00Z" });
  await tickedUntil(page, 95);
  await show(page, "readings");
  await page.locator(".reading", { hasText: "custard, egg-free" }).first().locator(".small").click();
  assert.match(await text(page, "dialog"), /counts as out of its limit[\s\S]*heat on, and read again/);
  await page.locator('[data-key="d-close"]').click();
  for (const view of ["now", "log"]) {
    await show(page, view);
    assert.match(await text(page, ".notices"), /custard, egg-free was not measured, so it counts as out of its limit/, view);
  }
  await page.locator('.notices [data-key^="act|"]').click();
  await page.locator("#other-action").fill("Thrown away");
  await page.locator('[data-key="a-other"]').click();
  assert.ok(!/counts as out/.test(await text(page, ".notices")));
  const log = (await saves(page, "save-log")).json;
  assert.deepEqual(log.readings.map((r) => [r.verdict, r.action]), [["missed", "Thrown away"]]);
  await close(page);
  const later = await open({ at: "2027-03-07T13:50:00Z" });
  const clock = (await data(later)).readings.find((r) => r.clock);
  await show(later, "readings");
  await later.locator(`[data-key="missed-${clock.id}"]`).click();
  assert.match(await text(later, "dialog"), /throw away/i);
  await later.locator('[data-key="a-named"]').click();
  assert.equal((await stored(later)).entries.at(-1).rule, "throw-away");
  await close(later);
});

await check("of many readings without an action two are named, by their day, and the others are counted", async () => {
  const page = await open({ at: "2027-03-06T16:58:00Z" });
  await tickedUntil(page, 235);
  const cores = (await data(page)).readings.filter((r) => r.id.startsWith("load-") || r.id.startsWith("part-")).slice(0, 4);
  await withEntries(page, cores.map((r, n) => ({ id: `feed0000-${900 + n}`, at: (ZERO + 200 + n) * 60000, kind: "reading", reading: r.id, what: `Core ${n}`, celsius: 20, verdict: "out" })));
  assert.equal(await page.locator('.notices [data-key^="act|"]').count(), 2);
  assert.match(await text(page, ".notices"), /Core 3 was out[\s\S]*: 16:23: 20[\s\S]*Core 2 was out[\s\S]*And 2 more were out of their limit/);
  await page.clock.setSystemTime(new Date("2027-03-07T09:35:00Z"));
  await page.clock.runFor(2100);
  assert.match(await text(page, ".notices"), /Core 3 was out of its limit, .*: Sat 16:23: 20/);
  await close(page);
});

await check("an entry that names a reading by its place in a former list counts for none", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await withEntries(page, [1, 2, 10].map((reading, n) => ({ id: `feed0000-${900 + n}`, at: (ZERO + 1) * 60000, kind: "reading", reading, what: "Fridge", celsius: 4, verdict: "ok" })));
  assert.equal((await stored(page)).entries.length, 3, "they are kept");
  assert.match(await text(page, ".notices"), /Measure: Fridge/, "and it is asked for");
  await close(page);
});

await check("what takes up a step that was not done says so, and who plans again is told", async () => {
  const page = await open({ at: "2027-03-06T13:02:00Z" });
  const { tasks, slips } = await data(page);
  const taken = new Set(slips.takes.map(([made]) => made));
  const mix = tasks.find((t) => t.id.startsWith("walnut-crown.mix@") && taken.has(t.n));
  await page.locator('[data-key="open-steps"]').click();
  await page.locator(`[data-key="o-left|${mix.id}"]`).click();
  await page.locator('dialog [data-key="d-close"]').click();
  assert.match(await text(page, ".undone"), /Not done: Walnut crown: Mix.*What takes it up goes on by the clock alone: .*Walnut crown: Roll/);
  await show(page, "list");
  assert.match(await page.locator("tr", { hasText: "Walnut crown: Roll" }).allInnerTexts().then((all) => all.join()), /Waits for something that was not done: Walnut crown: Mix/);
  const [roll] = tasks.filter((t) => t.id.startsWith("walnut-crown.roll@"));
  assert.ok(roll);
  await show(page, "log");
  await page.locator('[data-key="failed-oven-2"]').click();
  await page.locator('.notices [data-key="replan"]').click();
  assert.match(await text(page, "dialog .undone"), /Walnut crown: Mix.*it is made up for where there is room that costs nothing else/s);
  assert.deepEqual((await saves(page, "p-save")).json.undone, [mix.id]);
  await page.locator('dialog [data-key="d-close"]').click();
  // Made up for on the day: it is done now, and not when it was planned.
  await page.locator('[data-key="day|2027-03-05"]').click();
  await show(page, "list");
  await page.locator(`[data-key="l|${mix.id}"]`).click();
  await page.locator('[data-key="d-now"]').click();
  assert.equal(await text(page, ".undone"), "");
  const done = (await stored(page)).entries.at(-1);
  assert.ok(done.kind === "done" && done.at > ZERO * 60000 && done.time === undefined, JSON.stringify(done));
  await close(page);
});

await check("late is whole minutes for the planner, too", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const welcome = (await data(page)).tasks.find((t) => t.id === "class.welcome@sat");
  await withEntries(page, [{ id: "feed0000-900", at: welcome.to * 60000 + 96000, kind: "done", task: welcome.id, start: welcome.from }]);
  await show(page, "log");
  await page.locator('[data-key="failed-oven-2"]').click();
  await page.locator('.notices [data-key="replan"]').click();
  const state = (await saves(page, "p-save")).json;
  assert.equal(state.late.find((l) => l.id === welcome.id)?.minutes, 1, "1 min 36 s are one minute");
  await close(page);
});

await check("a board that is written without any oven says what it leaves out; without any mixer what is kneaded by hand", async () => {
  for (const [things, at, said] of [["oven-1,oven-2", "Sat 14:20", /leaves out what cannot be done any more: .*Walnut crown: Bake \(load 1, load 2, load 3\)/],
    ["small-mixer,large-mixer", "Sat 13:05", /Kneaded by hand, as no mixer is left: .*dough|Kneaded by hand, as no mixer is left: .*Mix/]]) {
    const name = `board-${things.split(",")[0]}.html`;
    const all = things === "oven-1,oven-2" ? things : ["small-mixer-1", "small-mixer-2", "small-mixer-3", "small-mixer-4", "large-mixer-1"].join(",");
    const ran = spawnSync(program, ["catch-up", "course", "--now", at, "--without", all, "--board", name], { cwd: folder, encoding: "utf8" });
    assert.ok([0, 1].includes(ran.status), ran.stderr);
    const page = await open({ at: at === "Sat 14:20" ? "2027-03-06T14:21:00Z" : "2027-03-06T13:06:00Z", url: pathToFileURL(join(folder, name)).href });
    assert.match(await text(page, ".notices"), said);
    await close(page);
  }
});
