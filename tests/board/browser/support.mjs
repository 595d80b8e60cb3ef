// What the checks of the board share: the browser, a page with a clock of our own, and how a class ticks.
import { strict as assert } from "node:assert";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

export const [, , file, program, folder, pictures] = process.argv;
const need = createRequire(`${process.env.BENCHROLL_BROWSER}/node_modules/`);
const { chromium } = need("playwright-core");
export const axe = readFileSync(need.resolve("axe-core/axe.min.js"), "utf8");
export const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: ["--no-sandbox"] });

export const SIZES = { wall: [1180, 820], upright: [820, 1180], phone: [390, 844] };
const BEFORE = "2027-03-06T12:59:30Z";
let passed = 0;
/** A part of their names chooses checks, while one works on them. */
const chosen = new RegExp(process.env.BENCHROLL_CHECKS ?? "");

export async function open({ at = BEFORE, size = "wall", scheme = "light", before, context, url = pathToFileURL(file).href } = {}) {
  const [width, height] = SIZES[size];
  const own = context ?? (await browser.newContext({ viewport: { width, height }, colorScheme: scheme, hasTouch: true, acceptDownloads: true }));
  const page = await own.newPage();
  page.errors = [];
  page.on("pageerror", (error) => page.errors.push(error.message));
  page.on("console", (message) => message.type() === "error" && page.errors.push(message.text()));
  page.on("request", (request) => {
    const own = new URL(url).protocol === "http:" && request.url().startsWith(new URL(url).origin);
    if (!own && !/^(file|data|blob):/.test(request.url())) page.errors.push(`asks for ${request.url()}`);
  });
  await page.clock.install({ time: new Date(at) });
  if (before) await page.addInitScript(before);
  await page.goto(url);
  await page.clock.runFor(1100);
  return page;
}
export const minutes = (page, n) => page.clock.runFor(n * 60000);
export const show = async (page, view) => {
  await page.locator(`[data-key="view|${view}"]`).click();
  await page.clock.runFor(1100);
};
export const stored = (page, tail = "") => page.evaluate((end) => {
  const key = Object.keys(localStorage).find((k) => new RegExp(`^benchroll-board-[0-9a-f]+${end}$`).test(k));
  return key ? { key, ...JSON.parse(localStorage.getItem(key)) } : null;
}, tail);
export const text = (page, selector) => page.locator(selector).allInnerTexts().then((all) => all.join("\n"));
export const data = (page) => page.evaluate(() => JSON.parse(document.getElementById("data").textContent));

export async function check(name, does) {
  if (!chosen.test(name)) return;
  try {
    const begun = performance.now();
    await does();
    passed += 1;
    console.log(`ok: ${name} (${((performance.now() - begun) / 1000).toFixed(1)} s)`);
  } catch (error) {
    console.log(`FAILED: ${name}\n${error.stack}`);
    process.exitCode = 1;
  }
}
export async function close(page) {
  assert.deepEqual(page.errors, []);
  await page.context().close();
}

export const ZERO = Date.parse("2027-03-06T13:00:00Z") / 60000;

/** The page again, with everything that hands do until a minute after `ZERO` ticked at its planned end. */
export async function tickedUntil(page, minute) {
  await page.evaluate((until) => {
    const { key, version, plan, tasks, slips } = JSON.parse(document.getElementById("data").textContent);
    const done = tasks.filter((t) => t.to <= until && !slips.tasks[t.n][2]);
    const entries = done.map((t, n) => ({ id: `feed0000-${n + 1}`, at: t.to * 60000, kind: "done", task: t.id, start: t.from }));
    localStorage.setItem(`benchroll-board-${key}`, JSON.stringify({ format: "benchroll-board", version, plan, board: "feed0000", entries, rung: done.map((t) => t.id) }));
  }, ZERO + minute);
  await page.reload();
  await page.clock.runFor(1100);
}

/** What a button saves: the file's name, and what is in it. */
export async function saves(page, key) {
  const saved = page.waitForEvent("download");
  await page.locator(`[data-key="${key}"]`).click();
  const download = await saved;
  const written = readFileSync(await download.path(), "utf8");
  return { name: download.suggestedFilename(), text: written, json: JSON.parse(written) };
}

/** What the accessibility checker finds. */
export const faults = (page) => page.evaluate(`${axe}; axe.run(document, { resultTypes: ["violations"] }).then((r) => r.violations.map((v) => v.id + ": " + v.nodes.map((n) => n.html.slice(0, 160)).join(" | ")))`);
export const tooWide = (page) => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);

/** What a class does: everything that is due is ticked, but for what slips. */
export async function tickDue(page, slips) {
  for (;;) {
    const key = await page.evaluate((held) => {
      const rehearsed = JSON.parse(localStorage.getItem("benchroll-rehearsal") || "null");
      const now = (rehearsed ? rehearsed.from + (Date.now() - rehearsed.since) * rehearsed.rate : Date.now()) / 60000;
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

/** The end. */
export async function leave() {
  await browser.close();
  console.log(`${passed} checks of the board passed`);
}
