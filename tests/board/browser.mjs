// The board in a real browser, with a clock of our own: node tests/board/browser.mjs BOARD.html [FOLDER FOR PICTURES]
// BENCHROLL_BROWSER names a folder with node_modules/playwright-core and node_modules/axe-core; Chromium is the machine's own.
import { strict as assert } from "node:assert";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [, , file, pictures] = process.argv;
const need = createRequire(`${process.env.BENCHROLL_BROWSER}/node_modules/`);
const { chromium } = need("playwright-core");
const axe = readFileSync(need.resolve("axe-core/axe.min.js"), "utf8");
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });

const SIZES = { wall: [1024, 768], upright: [768, 1024], phone: [390, 844] };
const BEFORE = "2027-03-06T12:59:30Z";
let passed = 0;

async function open({ at = BEFORE, size = "wall", scheme = "light", before, context } = {}) {
  const [width, height] = SIZES[size];
  const own = context ?? (await browser.newContext({ viewport: { width, height }, colorScheme: scheme, hasTouch: true, acceptDownloads: true }));
  const page = await own.newPage();
  page.errors = [];
  page.on("pageerror", (error) => page.errors.push(error.message));
  page.on("console", (message) => message.type() === "error" && page.errors.push(message.text()));
  page.on("request", (request) => {
    if (!/^(file|data|blob):/.test(request.url())) page.errors.push(`asks for ${request.url()}`);
  });
  await page.clock.install({ time: new Date(at) });
  if (before) await page.addInitScript(before);
  await page.goto(pathToFileURL(file).href);
  await page.clock.runFor(1100);
  return page;
}
const minutes = (page, n) => page.clock.runFor(n * 60000);
const show = async (page, view) => {
  await page.locator(`[data-key="view|${view}"]`).click();
  await page.clock.runFor(1100);
};
const stored = (page) => page.evaluate(() => {
  const key = Object.keys(localStorage).find((k) => /^benchroll-board-[0-9a-f]+$/.test(k));
  return key ? { key, ...JSON.parse(localStorage.getItem(key)) } : null;
});
const text = (page, selector) => page.locator(selector).allInnerTexts().then((all) => all.join("\n"));
const data = (page) => page.evaluate(() => JSON.parse(document.getElementById("data").textContent));

async function check(name, does) {
  try {
    await does();
    passed += 1;
    console.log(`ok: ${name}`);
  } catch (error) {
    console.log(`FAILED: ${name}\n${error.stack}`);
    process.exitCode = 1;
  }
}
async function close(page) {
  assert.deepEqual(page.errors, []);
  await page.context().close();
}

/** What a class does: everything that is due is ticked, but for what slips. */
async function tickDue(page, slips) {
  for (;;) {
    const key = await page.evaluate((held) => {
      const now = Date.now() / 60000;
      const due = [...document.querySelectorAll("button.tick")].find((b) => {
        const until = b.parentElement.querySelector("[data-until]");
        const task = b.dataset.key.split("|")[2];
        // A load is looked at when it rings, the rest just before its time.
        return until && Number(until.dataset.until) <= now + (task.includes(".bake@") ? -0.2 : 1.01) && !held.some((h) => h.task === task && now < h.until);
      });
      return due?.dataset.key ?? null;
    }, slips);
    if (!key) return;
    await page.locator(`[data-key="${key}"]`).first().click();
  }
}

await check("nothing is wrong with it by the accessibility checker, and nothing is wider than the screen", async () => {
  for (const size of Object.keys(SIZES)) {
    for (const scheme of ["light", "dark"]) {
      const page = await open({ at: "2027-03-06T13:06:00Z", size, scheme });
      for (const view of ["now", "lanes", "list", "readings", "log"]) {
        await show(page, view);
        const found = await page.evaluate(`${axe}; axe.run(document, { resultTypes: ["violations"] }).then((r) => r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.html.slice(0, 160)).join(" | ")))`);
        assert.deepEqual(found, [], `${size} ${scheme} ${view}`);
        assert.ok((await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)) <= 0, `${size} ${view} is wider than the screen`);
        if (pictures) await page.screenshot({ path: `${pictures}/${size}-${view}-${scheme}.png` });
      }
      await show(page, "now");
      await page.locator("button.plain").first().click();
      const found = await page.evaluate(`axe.run(document, { resultTypes: ["violations"] }).then((r) => r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.html.slice(0, 160)).join(" | ")))`);
      assert.deepEqual(found, [], `${size} ${scheme} dialog`);
      await close(page);
    }
  }
});

await check("the accessibility checker sees what is wrong", async () => {
  const page = await open();
  await page.evaluate(() => document.querySelector("main").append(document.createElement("input")));
  const found = await page.evaluate(`${axe}; axe.run(document).then((r) => r.violations.map((v) => v.id))`);
  assert.deepEqual(found, ["label"]);
  await close(page);
});

await check("a class with two slips, a reload and a re-plan", async () => {
  const page = await open({ before: () => {
    window.notes = 0;
    window.AudioContext = class {
      state = "running";
      currentTime = 0;
      destination = {};
      resume() {}
      createGain() { return { gain: { setValueAtTime() {}, exponentialRampToValueAtTime() {} }, connect: (x) => x }; }
      createOscillator() { return { frequency: {}, connect: (x) => x, stop() {}, start() { window.notes += 1; } }; }
    };
  } });
  const zero = Date.parse("2027-03-06T13:00:00Z") / 60000;
  const slips = [
    { task: "walnut-crown.fill@station-2", until: zero + 95 },
    { task: "walnut-crown.brush@station-1", until: zero + 186 },
  ];
  await page.locator("h1").click();
  let [replanned, reloaded, rang, first] = [false, false, false, ""];
  for (let minute = 0; minute <= 255; minute += 1) {
    await minutes(page, 1);
    // Before anything is ticked: what is ticked stops ringing.
    rang ||= /Look in the oven/.test(await page.locator(".rings").allInnerTexts().then((t) => t.join()));
    await tickDue(page, slips);
    if (minute === 92) {
      first = await text(page, ".breaks");
      assert.match(first, /What breaks first: /, "a slip of 20 minutes is told");
      const next = await page.locator('[data-row="station-2"] .next').first().innerText();
      assert.match(next, /14:3[3-9]/, `what follows is shifted: ${next}`);
    }
    if (minute === 93 && !replanned) {
      await page.locator('[data-key="replan"]').click();
      const command = await page.locator("#command").inputValue();
      assert.match(command, /^benchroll catch-up course --now 2027-03-06T14:3\d( --done \S+)* --late walnut-crown\.fill@station-2=1\dm/);
      const saved = page.waitForEvent("download");
      await page.locator('[data-key="p-save"]').click();
      const state = JSON.parse(readFileSync(await (await saved).path(), "utf8"));
      assert.deepEqual([state.format, state.version], ["benchroll-state", 1]);
      assert.ok(state.late.some((l) => l.task === "walnut-crown.fill@station-2" || l.id === "walnut-crown.fill@station-2"));
      if (pictures) await page.screenshot({ path: `${pictures}/replan.png` });
      await page.locator('[data-key="d-close"]').click();
      replanned = true;
    }
    if (minute === 120) {
      const before = await stored(page);
      await page.reload();
      await page.clock.runFor(1100);
      assert.deepEqual((await stored(page)).entries, before.entries, "the reload keeps every tick");
      reloaded = true;
    }
    if (pictures && [64, 92, 150, 190].includes(minute)) await page.screenshot({ path: `${pictures}/class-${minute}.png` });
  }
  assert.ok(replanned && reloaded && rang, `re-planned ${replanned}, reloaded ${reloaded}, rang ${rang}`);
  assert.ok((await page.evaluate(() => window.notes)) >= 3, "the bell sounds");
  // Held against the plan's own data: order along the chain, one thing at a time in each oven.
  await show(page, "log");
  const saved = page.waitForEvent("download");
  await page.locator('[data-key="save-log"]').click();
  const log = JSON.parse(readFileSync(await (await saved).path(), "utf8"));
  const real = new Map(log.steps.map((s) => [s.id, [Date.parse(s.start) / 60000, Date.parse(s.end) / 60000]]));
  const all = await data(page);
  const today = all.tasks.filter((t) => t.from >= zero && t.to <= zero + 240 && !all.slips.tasks[t.n][2]);
  for (const task of today) assert.ok(real.has(task.id), `${task.id} is in the log`);
  const order = ["roll", "fill", "cut"].map((step) => real.get(`walnut-crown.${step}@station-2`));
  for (let n = 1; n < order.length; n += 1) assert.ok(order[n][0] >= order[n - 1][1] - 0.1, `station 2: ${order}`);
  assert.ok(order[1][1] >= zero + 94, "the slip is in the log");
  for (const oven of ["oven-1", "oven-2"]) {
    const loads = all.tasks.filter((t) => t.rows.includes(oven) && real.has(t.id)).map((t) => real.get(t.id)).sort((a, b) => a[0] - b[0]);
    assert.ok(loads.length > 0, `${oven} was used`);
    for (let n = 1; n < loads.length; n += 1) assert.ok(loads[n][0] >= loads[n - 1][1] - 0.1, `${oven}: ${loads}`);
  }
  const load = real.get("walnut-crown.bake@load-1");
  assert.ok(load[0] >= zero + 185, `the load waits for its last piece: ${load[0] - zero}`);
  await close(page);
});

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
  await entry.locator("button").click();
  assert.match(await entry.locator(".wrong").innerText(), /figures/);
  await entry.locator("input").fill("11,5");
  await entry.locator("button").click();
  assert.equal((await stored(page)).entries.length, 0, "nothing is written before the answer");
  assert.match(await page.locator("dialog").innerText(), /move the food, find out how long/);
  await page.locator('[data-key="a-named"]').click();
  const [reading] = (await stored(page)).entries;
  assert.deepEqual([reading.celsius, reading.verdict, reading.rule], [11.5, "out", "move-food"]);
  await page.locator(".reading", { hasText: "fridge" }).first().locator("input").fill("4");
  await page.locator(".reading", { hasText: "fridge" }).first().locator("button").click();
  assert.equal(await page.locator("dialog").count(), 0);
  assert.equal((await stored(page)).entries[1].verdict, "ok");
  await close(page);
});

await check("two windows of one browser are one board", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const other = await open({ at: "2027-03-06T13:05:00Z", context: page.context() });
  await page.bringToFront();
  await page.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await other.bringToFront();
  await other.waitForFunction(() => !document.querySelector('[data-key="done|teacher|class.welcome@sat"]'));
  await other.locator("button.tick").first().click();
  assert.equal((await stored(page)).entries.length, 2, "neither has lost the other's tick");
  await close(page);
});

await check("two tablets: one log read into the other, the first tick counts", async () => {
  const [one, two] = [await open({ at: "2027-03-06T13:05:00Z" }), await open({ at: "2027-03-06T13:05:00Z" })];
  await one.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await minutes(two, 2);
  await two.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await show(two, "log");
  const saved = two.waitForEvent("download");
  await two.locator('[data-key="save-log"]').click();
  await show(one, "log");
  await one.locator("#load-file").setInputFiles(await (await saved).path());
  await one.clock.runFor(1100);
  await one.waitForSelector(".notices .notice");
  assert.match(await text(one, ".notices"), /1 new entries/);
  assert.match(await text(one, ".notices"), /Two boards ticked .*The first counts/);
  await close(one);
  await close(two);
});

await check("a log that is cut short, of another course, of a later board", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  for (const n of [1, 2, 3]) {
    await page.locator("button.tick").first().click();
    await minutes(page, 5 + n);
  }
  await show(page, "log");
  const saved = page.waitForEvent("download");
  await page.locator('[data-key="save-log"]').click();
  const whole = readFileSync(await (await saved).path(), "utf8");
  const cut = whole.slice(0, whole.lastIndexOf('{"id"') + 20);
  const fresh = await open({ at: "2027-03-06T13:20:00Z" });
  await show(fresh, "log");
  const load = async (name, content) => {
    await fresh.locator("#load-file").setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(content) });
    await fresh.waitForTimeout(200);
    return text(fresh, ".notices");
  };
  assert.match(await load("a.json", cut), /cut short.*2 new entries/);
  assert.match(await load("b.json", whole.replace('"version": 1', '"version": 7')), /later board \(version 7\)/);
  assert.match(await load("c.json", whole.replace(/"key": "\w+"/, '"key": "0123"')), /another course/);
  assert.match(await load("d.json", "flour"), /no log of a board/);
  assert.match(await load("e.json", whole), /1 new entries/);
  assert.equal((await stored(fresh)).entries.length, 3);
  await close(fresh);
  await close(page);
});

await check("a browser that keeps nothing says so and goes on", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z", before: () => {
    Object.defineProperty(window, "localStorage", { get() { throw new Error("switched off"); } });
  } });
  assert.match(await text(page, ".notices"), /keeps nothing/);
  await page.locator("button.tick").first().click();
  await show(page, "log");
  assert.match(await text(page, ".panel"), /1 entries so far/);
  await close(page);
});

await check("what a later board kept, or what cannot be read, is set aside", async () => {
  for (const [kept, said] of [['{"format":"benchroll-board","version":9,"entries":[{"id":"x-1"}]}', /later board \(version 9\)/], ["{half", /cannot be read/]]) {
    const page = await open({ at: "2027-03-06T13:05:00Z" });
    const { key } = await stored(page);
    await page.evaluate(([k, text]) => localStorage.setItem(k, text), [key, kept]);
    await page.reload();
    await page.clock.runFor(1100);
    assert.match(await text(page, ".notices"), said);
    assert.equal(await page.evaluate((k) => localStorage.getItem(`${k}-set-aside`), key), kept);
    await close(page);
  }
});

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

await check("on paper the day stands by the clock with boxes to tick", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await show(page, "list");
  await page.emulateMedia({ media: "print" });
  assert.equal(await page.locator(".looks").isVisible(), false);
  assert.ok(await page.locator("table.list tbody tr").count() > 60);
  const pdf = await page.pdf({ format: "A4" });
  assert.ok(pdf.length > 10000);
  if (pictures) writeFileSync(`${pictures}/board.pdf`, pdf);
  await close(page);
});

await browser.close();
console.log(`${passed} checks of the board passed`);
