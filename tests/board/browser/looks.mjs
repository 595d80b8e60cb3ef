// How it looks and reads, on every size, light and dark, and on paper.
import { strict as assert } from "node:assert";
import { writeFileSync } from "node:fs";
import { SIZES, axe, check, close, faults, open, pictures, show, tickedUntil, tooWide } from "./support.mjs";

await check("nothing is wrong with it by the accessibility checker, and nothing is wider than the screen", async () => {
  for (const size of Object.keys(SIZES)) {
    for (const scheme of ["light", "dark"]) {
      const page = await open({ at: "2027-03-06T13:06:00Z", size, scheme });
      for (const view of ["now", "lanes", "list", "readings", "log"]) {
        await show(page, view);
        const found = await faults(page);
        assert.deepEqual(found, [], `${size} ${scheme} ${view}`);
        assert.ok((await tooWide(page)) <= 0, `${size} ${view} is wider than the screen`);
        if (pictures) await page.screenshot({ path: `${pictures}/${size}-${view}-${scheme}.png` });
      }
      await show(page, "now");
      await page.locator("button.plain").first().click();
      const found = await faults(page);
      assert.deepEqual(found, [], `${size} ${scheme} dialog`);
      await close(page);
    }
  }
});

await check("the same of what it asks, warns of and rehearses", async () => {
  for (const size of Object.keys(SIZES)) {
    for (const scheme of ["light", "dark"]) {
      const page = await open({ at: "2027-03-06T15:20:00Z", size, scheme });
      const look = async (name) => {
        assert.deepEqual(await faults(page), [], `${size} ${scheme} ${name}`);
        assert.ok((await tooWide(page)) <= 0, `${size} ${name} is wider than the screen`);
        if (pictures) await page.screenshot({ path: `${pictures}/${size}-${name}-${scheme}.png` });
      };
      const shut = () => page.locator('dialog[open] [data-key="d-close"]').click();
      await tickedUntil(page, 115);
      await show(page, "list");
      await page.locator('[data-key^="l-done|walnut-crown.brush@"]').first().click();
      await look("early");
      await shut();
      await show(page, "readings");
      await page.locator(".reading input").first().fill("four");
      await page.locator(".reading button").first().click();
      await look("refused");
      await page.locator(".reading input").first().fill("19");
      await page.locator(".reading button").first().click();
      await look("out");
      await shut();
      await show(page, "log");
      await page.locator('[data-key="failed-oven-2"]').click();
      await page.locator('[id$="-room"]').first().fill("warm");
      await page.locator('[id$="-room"]').first().blur();
      await look("measured");
      await page.locator('[data-key="replan"]').click();
      await look("replan");
      await shut();
      await show(page, "lanes");
      await look("broken-lanes");
      await page.locator('[data-key="day|2027-03-07"]').click();
      await show(page, "now");
      await look("other-day");
      await show(page, "log");
      await page.locator('[data-key="rehearse|2027-03-06"]').click();
      await look("rehearsal");
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
