// The two slips of the class that is run through, and what its log must hold.
import { strict as assert } from "node:assert";
import { ZERO, data, saves, show } from "./support.mjs";

export const SLIPS = [
  { task: "walnut-crown.fill@station-2", until: ZERO + 95 },
  { task: "walnut-crown.brush@station-1", until: ZERO + 200 },
];

/** The log of the day, held against the plan's own data: all of it is there, in its order, one thing at a time in each oven. */
export async function holds(page) {
  await show(page, "log");
  const saved = await saves(page, "save-log");
  const log = { ...saved.json, text: saved.text };
  const real = new Map(log.steps.map((s) => [s.id, [Date.parse(s.start) / 60000, Date.parse(s.end) / 60000]]));
  const all = await data(page);
  const today = all.tasks.filter((t) => t.from >= ZERO && t.to <= ZERO + 240 && !all.slips.tasks[t.n][2]);
  assert.ok(today.length > 30, `${today.length} tasks`);
  for (const task of today) assert.ok(real.has(task.id), `${task.id} is in the log`);
  const order = ["roll", "fill", "cut"].map((step) => real.get(`walnut-crown.${step}@station-2`));
  for (let n = 1; n < order.length; n += 1) assert.ok(order[n][0] >= order[n - 1][1] - 0.1, `station 2: ${order}`);
  assert.ok(order[1][1] >= ZERO + 94, "the slip is in the log");
  for (const oven of ["oven-1", "oven-2"]) {
    const loads = all.tasks.filter((t) => t.rows.includes(oven) && real.has(t.id)).map((t) => real.get(t.id)).sort((a, b) => a[0] - b[0]);
    assert.ok(loads.length > 0, `${oven} was used`);
    for (let n = 1; n < loads.length; n += 1) assert.ok(loads[n][0] >= loads[n - 1][1] - 0.1, `${oven}: ${loads}`);
  }
  const load = real.get("walnut-crown.bake@load-1");
  assert.ok(load[0] >= ZERO + 198, `the load waits for its last piece: ${load[0] - ZERO}`);
  return log;
}
