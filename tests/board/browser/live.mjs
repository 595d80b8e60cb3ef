// `live`: the preview, a rehearsal with a re-plan in one click, several windows, and a program that ends.
import { strict as assert } from "node:assert";
import { spawn } from "node:child_process";
import { SLIPS, holds } from "./slips.mjs";
import { SIZES, ZERO, check, close, data, faults, folder, open, pictures, program, show, stored, text, tickDue, tooWide } from "./support.mjs";

/** `live` on the demo class; `end` ends it. */
async function startLive() {
  const child = spawn(program, ["live", "course"], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
  const port = await new Promise((resolve, reject) => {
    child.stdout.on("data", (said) => /127\.0\.0\.1:(\d+)/.test(said) && resolve(/127\.0\.0\.1:(\d+)/.exec(said)[1]));
    child.on("exit", () => reject(new Error("live ended")));
  });
  return { at: `http://127.0.0.1:${port}`, end: () => child.kill() };
}

const live = await startLive();

await check("the preview", async () => {
  for (const size of Object.keys(SIZES)) {
    for (const scheme of ["light", "dark"]) {
      const page = await open({ size, scheme, url: `${live.at}/` });
      const found = await faults(page);
      assert.deepEqual(found, [], `${size} ${scheme}`);
      assert.ok((await tooWide(page)) <= 0, `${size} is wider than the screen`);
      if (pictures) await page.screenshot({ path: `${pictures}/preview-${size}-${scheme}.png` });
      // The browser's own viewer of sheets speaks of itself.
      page.errors.length = 0;
      await close(page);
    }
  }
});

await check("a class rehearsed in live, 60 times as fast as life, with two slips and a re-plan in one click", async () => {
  const page = await open({ at: "2027-02-01T09:00:00Z", url: `${live.at}/board` });
  await show(page, "log");
  // From here on time passes by the test alone: a second of a slow machine is a minute of the class.
  await page.clock.pauseAt(new Date("2027-02-01T09:01:00Z"));
  await page.locator('[data-key="rehearse|2027-03-06"]').click();
  await page.locator('[data-key="rate"]').click();
  let changed = "";
  for (let minute = 0; minute <= 255; minute += 1) {
    // A second of the page's clock is a minute of the class.
    await page.clock.runFor(1000);
    await tickDue(page, SLIPS);
    if (minute === 93) {
      const before = await stored(page, "-rehearsal");
      await page.locator('[data-key="replan"]').first().click();
      await page.locator('[data-key="p-live"]').click();
      await page.locator('[data-key="p-take"]').waitFor();
      changed = await page.locator("table.changes").innerText();
      if (pictures) await page.screenshot({ path: `${pictures}/replan-live.png` });
      const anew = page.waitForEvent("load");
      await page.locator('[data-key="p-take"]').click();
      await anew;
      await page.clock.runFor(1000);
      assert.deepEqual((await stored(page, "-rehearsal")).entries, before.entries, "nothing that was ticked is lost");
      assert.match(await text(page, ".notices"), /the plan from 14:3\d on/);
      // The slip is over in this very minute, as the new plan has it.
      await tickDue(page, SLIPS);
      assert.equal(await text(page, ".breaks"), "", "the new plan breaks nothing");
      if (pictures) await page.screenshot({ path: `${pictures}/carried-on.png` });
    }
  }
  assert.match(changed, /14:\d\d\s+(to )?1\d:\d\d\s+Walnut crown: (Fill|Cut and ring)/);
  assert.match(changed, /stations 1, 2/);
  const times = changed.split("\n").map((line) => /(\d\d:\d\d)\s+(?:to )?(\d\d:\d\d)/.exec(line)?.[2]).filter(Boolean);
  assert.ok(times.length > 3 && times.every((time) => time >= "14:33"), `what is over moves nobody: ${times}`);
  assert.ok(!/NaN|undefined/.test(changed), changed);
  const log = await holds(page);
  assert.equal(log.rehearsal, true);
  // The plan of the play ends with the play.
  const anew = page.waitForEvent("load");
  await page.locator('[data-key="rehearse-end"]').click();
  await anew;
  assert.equal((await data(page)).before, undefined);
  await close(page);
});

await check("live in a browser that keeps nothing: what was ticked comes back with the plan that is taken up", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z", url: `${live.at}/board`, before: () => {
    Object.defineProperty(window, "localStorage", { get() { throw new Error("switched off"); } });
  } });
  const count = async () => {
    await show(page, "log");
    return /Entries so far: (\d+)/.exec(await text(page, ".panel"))[1];
  };
  await page.locator("button.tick").first().click();
  await show(page, "log");
  await page.locator("#absent-station-1").selectOption("1");
  assert.equal(await count(), "2");
  await page.locator('[data-key="replan"]').click();
  await page.locator('[data-key="p-live"]').click();
  await page.locator('[data-key="p-take"]').waitFor();
  const anew = page.waitForEvent("load");
  await page.locator('[data-key="p-take"]').click();
  await anew;
  await page.clock.runFor(1100);
  assert.equal(await count(), "2", "nothing that was ticked is lost");
  // Back to the course's own plan, for those who come next.
  assert.equal(await page.evaluate(() => fetch("/carry-on", { method: "POST", headers: { "Content-Type": "application/json" }, body: '{"offer":0}' }).then((r) => r.status)), 200);
  await close(page);
});

await check("live without any oven: what cannot be baked is said before the plan is taken up, and stands on the board after it", async () => {
  const page = await open({ at: "2027-03-06T14:20:00Z", url: `${live.at}/board` });
  await show(page, "log");
  for (const oven of ["oven-1", "oven-2"]) await page.locator(`[data-key="failed-${oven}"]`).click();
  await page.locator('.notices [data-key="replan"]').click();
  await page.locator('[data-key="p-live"]').click();
  await page.locator('[data-key="p-take"]').waitFor();
  const bakes = /Walnut crown: Bake \(load 1, load 2, load 3\); /;
  assert.match(await text(page, ".answer .left-out"), /This cannot be done any more/);
  assert.match(await text(page, ".answer .left-out"), bakes);
  assert.match(await text(page, ".answer"), /falls away too: .*Walnut crown: Cool/);
  assert.match(await page.locator("table.changes").innerText(), /left out/);
  const anew = page.waitForEvent("load");
  await page.locator('[data-key="p-take"]').click();
  await anew;
  await page.clock.runFor(1100);
  assert.match(await text(page, ".notices .left-out"), /leaves out what cannot be done any more/);
  assert.match(await text(page, ".notices .left-out"), bakes);
  assert.equal(await page.evaluate(() => fetch("/carry-on", { method: "POST", headers: { "Content-Type": "application/json" }, body: '{"offer":0}' }).then((r) => r.status)), 200);
  await close(page);
});

await check("live: what is out of order is planned round; another window is told; the program ends and nothing is lost", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z", url: `${live.at}/board` });
  const other = await open({ at: "2027-03-06T13:05:00Z", url: `${live.at}/board`, context: page.context() });
  await page.bringToFront();
  await show(page, "log");
  await page.locator('[data-key="failed-oven-2"]').click();
  assert.match(await text(page, ".notices"), /the plan does not know of it yet/);
  await page.locator('[data-key="replan"]').click();
  await page.locator('[data-key="p-live"]').click();
  await page.locator('[data-key="p-take"]').waitFor();
  const moves = await page.locator("table.changes").innerText();
  assert.match(moves, /Bake load \d[\s\S]*Deck-width fan oven 1, not Deck-width fan oven 2/, "another oven is said");
  assert.ok(!/NaN|undefined/.test(moves), moves);
  assert.deepEqual(await faults(page), []);
  if (pictures) await page.screenshot({ path: `${pictures}/replan-machines.png` });
  const anew = page.waitForEvent("load");
  await page.locator('[data-key="p-take"]').click();
  await anew;
  await page.clock.runFor(1100);
  const all = await data(page);
  assert.match(await text(page, '[data-row="oven-2"]'), /out of order/);
  assert.ok(!all.tasks.some((t) => t.from > ZERO + 5 && t.rows.includes("oven-2")), "the oven is not planned with");
  assert.ok(!/does not know of it/.test(await text(page, ".notices")));
  // The other window still shows the former plan: it is told, and its lateness is not held against the new one.
  const refused = await other.evaluate(() => fetch("/catch-up", { method: "POST", headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ format: "benchroll-state", version: 1, plan: JSON.parse(document.getElementById("data").textContent).plan, now: "2027-03-06T13:06:00Z" }) }).then((r) => r.status));
  assert.equal(refused, 422);
  other.errors.length = 0;
  await other.bringToFront();
  await other.clock.runFor(5100);
  await other.waitForSelector('[data-key="notice|news"]');
  const shown = other.waitForEvent("load");
  await other.locator('[data-key="notice|news"]').click();
  await shown;
  assert.equal((await data(other)).plan, all.plan);
  await other.close();
  live.end();
  await page.bringToFront();
  await page.clock.runFor(5100);
  await page.waitForSelector('[data-key="notice|program"]');
  await page.locator("button.tick").first().click();
  assert.equal((await stored(page)).entries.filter((e) => e.kind === "done").length, 1);
  page.errors.length = 0;
  await close(page);
});

live.end();
