// What is written down, kept, saved, and read back.
import { strict as assert } from "node:assert";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { check, close, data, file, folder, minutes, open, saves, show, stored, text, tickedUntil } from "./support.mjs";

await check("two windows of one browser are one board", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const other = await open({ at: "2027-03-06T13:05:00Z", context: page.context() });
  await page.bringToFront();
  await page.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await other.bringToFront();
  // Asked from here: a page that is not in front has no frames to be asked in.
  const gone = async () => (await other.locator('[data-key="done|teacher|class.welcome@sat"]').count()) === 0;
  for (let n = 0; n < 100 && !(await gone()); n += 1) await new Promise((next) => setTimeout(next, 100));
  assert.ok(await gone(), "the other window knows of the tick");
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
  assert.match(await text(one, ".notices"), /New entries: 1/);
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
  assert.match(await load("a.json", cut), /cut short.*New entries: 2/);
  assert.match(await load("b.json", whole.replace('"version": 2', '"version": 7')), /later board \(version 7\)/);
  assert.match(await load("c.json", whole.replace(/"key": "\w+"/, '"key": "0123"')), /another course/);
  assert.match(await load("d.json", "flour"), /no log of a board/);
  assert.match(await load("e.json", whole), /New entries: 1/);
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
  assert.match(await text(page, ".panel"), /Entries so far: 1,/);
  await close(page);
});

await check("what cannot be read is set aside", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const { key } = await stored(page);
  await page.evaluate((k) => localStorage.setItem(k, "{half"), key);
  await page.reload();
  await page.clock.runFor(1100);
  assert.match(await text(page, ".notices"), /cannot be read/);
  assert.equal(await page.evaluate((k) => localStorage.getItem(`${k}-set-aside`), key), "{half");
  await close(page);
});

/** All that the browser keeps of this class, by its keys. */
const keptOf = (page, key) => page.evaluate((k) => Object.fromEntries(Object.keys(localStorage).filter((one) => one.startsWith(k)).map((one) => [one, localStorage.getItem(one)])), key);

await check("beside a later board nothing is written, set aside or taken over, and it is said", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const { key } = await stored(page);
  const other = await open({ at: "2027-03-06T13:05:00Z", context: page.context() });
  const theirs = (n) => JSON.stringify({ format: "benchroll-board", version: 9, plan: "feed", board: "feed0000", plans: [], rung: [],
    entries: Array.from({ length: n }, (_, i) => ({ id: `feed0000-${i + 1}`, at: Date.parse("2027-03-06T13:01:00Z"), kind: "failed", what: `oven-${i + 1}` })) });
  await page.bringToFront();
  await show(page, "log");
  for (const n of [1, 2, 3]) {
    await other.evaluate(([k, text]) => localStorage.setItem(k, text), [key, theirs(n)]);
    await page.waitForTimeout(200);
    await page.clock.runFor(1100);
    await page.locator('[data-key="failed-oven-2"]').click();
    assert.deepEqual(await keptOf(page, key), { [key]: theirs(n) }, "what the later board has written is all there is");
  }
  assert.match(await text(page, ".notices"), /later board \(version 9\)/);
  assert.match(await text(page, ".notices"), /not saved yet: 3/);
  assert.equal(await page.locator('[data-key="failed-oven-1"]').getAttribute("aria-pressed"), "false", "what a later version means is not known");
  await page.reload();
  await page.clock.runFor(1100);
  assert.match(await text(page, ".notices"), /later board \(version 9\)/);
  assert.deepEqual(await keptOf(page, key), { [key]: theirs(3) });
  // A record that is none of ours is not taken over either.
  await other.evaluate(([k, text]) => localStorage.setItem(k, text), [key, theirs(2).replace("benchroll-board", "another").replace('"version":9', '"version":1')]);
  await page.waitForTimeout(200);
  await page.clock.runFor(1100);
  await show(page, "log");
  assert.equal(await page.locator('[data-key="failed-oven-1"]').getAttribute("aria-pressed"), "false");
  await other.close();
  await close(page);
});

await check("an entry that cannot be is set aside once, however often another window writes it", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const { key } = await stored(page);
  await show(page, "log");
  for (let n = 0; n < 4; n += 1) {
    await page.evaluate(([k, at]) => {
      const { entries, ...record } = JSON.parse(localStorage.getItem(k));
      localStorage.setItem(k, JSON.stringify({ ...record, entries: [...entries, { id: "feed0000-1", at, kind: "done", task: 7 }] }));
    }, [key, Date.parse("2027-03-06T13:01:00Z")]);
    await page.locator('[data-key="failed-oven-2"]').click();
  }
  assert.equal(Object.keys(await keptOf(page, `${key}-set-aside`)).length, 1);
  assert.equal((await stored(page)).entries.length, 4, "nothing of its own is lost");
  await close(page);
});

await check("a log that says something impossible: its other entries are read, and the board goes on", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  await page.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  await show(page, "log");
  const whole = (await saves(page, "save-log")).json;
  const entry = (n, fields) => ({ id: `feed0000-${n}`, at: whole.entries[0].at, kind: "done", task: "class.hands@sat", ...fields });
  const bad = [{ time: 1e300 }, { time: "half past two" }, { at: -8e15 }, { start: 1e300 }, { task: 7 }, { kind: "longer", minutes: "many" }, { kind: "reading", reading: 1 },
    { kind: "measured", values: { room: "warm" } }, { kind: "absent", station: "station-1", students: 1e9 }].map((fields, n) => entry(n + 1, fields));
  const fresh = await open({ at: "2027-03-06T13:20:00Z" });
  await show(fresh, "log");
  await fresh.locator("#load-file").setInputFiles({ name: "a.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify({ ...whole, entries: [...whole.entries, ...bad, null, 7] })) });
  await fresh.waitForTimeout(200);
  assert.match(await text(fresh, ".notices"), /New entries: 1\. Left out, for they say something impossible, a time or a value: 11/);
  // What is in the storage is no better believed.
  const { key, ...kept } = await stored(fresh);
  await fresh.evaluate(([k, record]) => localStorage.setItem(k, JSON.stringify(record)), [key, { ...kept, rung: 7, board: { a: 1 }, entries: [...kept.entries, ...bad] }]);
  for (let n = 0; n < 2; n += 1) {
    await fresh.reload();
    await fresh.clock.runFor(1100);
    for (const view of ["lanes", "list", "readings", "log", "now"]) await show(fresh, view);
    assert.match(await text(fresh, ".clock"), /^13:20/);
    assert.equal(/set aside/.test(await text(fresh, ".notices")), n === 0, "told once");
  }
  assert.equal((await stored(fresh)).entries.length, 1);
  assert.equal(JSON.parse(await fresh.evaluate((k) => localStorage.getItem(`${k}-set-aside`), key)).entries.length, 10);
  await close(fresh);
  await close(page);
});

await check("storage that is full is told at once, and the way out saves", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z", before: () => {
    const set = Storage.prototype.setItem;
    Storage.prototype.setItem = function (key, value) {
      if (window.full) throw new DOMException("full", "QuotaExceededError");
      return set.call(this, key, value);
    };
  } });
  assert.ok(!/keeps nothing/.test(await text(page, ".notices")));
  await page.evaluate(() => {
    window.full = true;
  });
  await page.locator("button.tick").first().click();
  assert.match(await text(page, ".notices"), /or it is full.*not saved yet: 1/);
  const log = await saves(page, "save-now");
  assert.equal(log.json.entries.length, 1);
  assert.ok(!/not saved/.test(await text(page, ".notices")));
  // There is room again: it is kept, and nobody need be warned.
  await page.evaluate(() => {
    window.full = false;
  });
  await page.locator("button.tick").first().click();
  assert.ok(!/keeps nothing/.test(await text(page, ".notices")));
  assert.equal((await stored(page)).entries.length, 2);
  await close(page);
});

await check("an older board that is opened again says that it is superseded, and the teacher may go back to it", async () => {
  const newer = join(folder, "board-newer.html");
  const html = readFileSync(file, "utf8");
  const { plan } = JSON.parse(/id="data">(.*?)<\/script>/s.exec(html)[1]);
  writeFileSync(newer, html.replaceAll(`"plan":"${plan}"`, '"plan":"feed00000000"'));
  const old = await open({ at: "2027-03-06T13:05:00Z" });
  await old.locator('[data-key="done|teacher|class.welcome@sat"]').click();
  const context = old.context();
  const next = await open({ at: "2027-03-06T13:10:00Z", context, url: pathToFileURL(newer).href });
  assert.equal((await stored(next)).entries.filter((e) => e.kind === "done").length, 1, "what was ticked stands on the newer one");
  assert.equal(await text(next, ".superseded"), "");
  // Still open beside it: the older one is told.
  for (let n = 0; n < 100 && !(await old.locator(".superseded").count()); n += 1) await new Promise((then) => setTimeout(then, 100));
  assert.match(await text(old, ".superseded"), /superseded: one with another plan .*later, on Saturday,? 6 March, 13:\d\d/);
  const again = await open({ at: "2027-03-06T13:20:00Z", context });
  assert.match(await text(again, ".superseded"), /superseded/);
  await again.locator('[data-key="this-plan"]').click();
  assert.equal(await text(again, ".superseded"), "");
  await next.reload();
  await next.clock.runFor(1100);
  assert.match(await text(next, ".superseded"), /later, on Saturday,? 6 March, 13:2\d/, "now it is the other one");
  await close(old);
});

await check("a board that was made from another is the later one, though the clock was behind when it was first opened", async () => {
  const newer = join(folder, "board-made-again.html");
  const html = readFileSync(file, "utf8");
  const { plan } = JSON.parse(/id="data">(.*?)<\/script>/s.exec(html)[1]);
  const before = JSON.stringify([{ format: "benchroll-state", version: 2, plan, now: "2027-03-06T13:06:00Z", at: Date.parse("2027-03-06T13:06:00Z"), done: [], late: [], absent: [], without: [] }]);
  writeFileSync(newer, html.replaceAll(`"plan":"${plan}"`, `"before":${before},"entries":[],"plan":"feed00000000"`));
  const url = pathToFileURL(newer).href;
  const old = await open({ at: "2027-03-06T13:05:00Z" });
  const context = old.context();
  const next = await open({ at: "2027-03-06T12:40:00Z", context, url });
  assert.equal(await text(next, ".superseded"), "", "it was made from the other");
  await next.reload();
  await next.clock.runFor(1100);
  assert.equal(await text(next, ".superseded"), "");
  const again = await open({ at: "2027-03-06T13:20:00Z", context });
  assert.match(await text(again, ".superseded"), /superseded/, "the older one says so");
  // A record from before that was known: the older plan stands there as opened later.
  await next.evaluate((older) => {
    const name = Object.keys(localStorage).find((k) => /^benchroll-board-[0-9a-f]+$/.test(k));
    const record = JSON.parse(localStorage.getItem(name));
    localStorage.setItem(name, JSON.stringify({ ...record, plans: record.plans.map((p) => ({ plan: p.plan, at: Date.parse(p.plan === older ? "2027-03-06T13:05:00Z" : "2027-03-06T12:40:00Z") })) }));
  }, plan);
  await next.reload();
  await next.clock.runFor(1100);
  assert.equal(await text(next, ".superseded"), "");
  // Unless the teacher has said that the older one is right.
  await again.locator('[data-key="this-plan"]').click();
  await next.reload();
  await next.clock.runFor(1100);
  assert.match(await text(next, ".superseded"), /superseded/);
  await close(old);
});

await check("no copy that was set aside takes the place of another, and what cannot be set aside is not written over", async () => {
  const page = await open({ at: "2027-03-06T13:05:00Z" });
  const { key } = await stored(page);
  for (const kept of ["{half", "{another half", "{half"]) {
    await page.evaluate(([k, text]) => localStorage.setItem(k, text), [key, kept]);
    await page.reload();
    await page.clock.runFor(1100);
  }
  const aside = () => page.evaluate((k) => Object.keys(localStorage).filter((one) => one.startsWith(`${k}-set-aside`)).sort().map((one) => localStorage.getItem(one)), key);
  assert.deepEqual(await aside(), ["{half", "{another half"]);
  // No room for a copy.
  await page.addInitScript(() => {
    const set = Storage.prototype.setItem;
    Storage.prototype.setItem = function (name, value) {
      if (name.includes("set-aside")) throw new DOMException("full", "QuotaExceededError");
      return set.call(this, name, value);
    };
  });
  await page.evaluate((k) => localStorage.setItem(k, "{a third"), key);
  await page.reload();
  await page.clock.runFor(1100);
  await page.locator("button.tick").first().click();
  assert.equal(await page.evaluate((k) => localStorage.getItem(k), key), "{a third");
  assert.match(await text(page, ".notices"), /keeps nothing, or it is full[\s\S]*not saved yet: 1/);
  await close(page);
});

await check("what another window wrote meanwhile is taken in before the bell or a log that is read writes", async () => {
  // A window that hears nothing from the others, as one does that was asleep.
  const deaf = () => addEventListener("storage", (event) => event.stopImmediatePropagation(), true);
  const page = await open({ at: "2027-03-06T15:24:00Z", before: deaf });
  await tickedUntil(page, 130);
  const other = await open({ at: "2027-03-06T15:24:30Z", context: page.context(), before: deaf });
  const before = (await stored(page)).entries.length;
  await show(other, "log");
  await other.locator('[data-key="failed-oven-2"]').click();
  assert.equal((await stored(page)).entries.length, before + 1);
  await page.bringToFront();
  await minutes(page, 1);
  assert.match(await text(page, ".rings"), /Over: Tea/);
  assert.equal((await stored(page)).entries.length, before + 1, "the bell has lost nothing");
  await other.bringToFront();
  await other.locator('[data-key="failed-oven-1"]').click();
  await page.bringToFront();
  await show(page, "log");
  const { key, version } = await data(page);
  const log = { format: "benchroll-log", version, key, rehearsal: false, entries: [] };
  await page.locator("#load-file").setInputFiles({ name: "a.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify(log)) });
  await page.waitForTimeout(200);
  assert.match(await text(page, ".notices"), /New entries: 0/);
  assert.equal((await stored(page)).entries.length, before + 2, "nor has the log");
  await close(page);
});
