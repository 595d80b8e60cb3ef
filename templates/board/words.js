// The data, the fixed words, and small pieces of text that several views share.

const data = JSON.parse(document.getElementById("data").textContent);

/** A fixed word with its marks filled in. */
function word(key, marks = {}) {
  let text = data.words[key] ?? key;
  for (const [mark, value] of Object.entries(marks)) text = text.replaceAll(`{${mark}}`, String(value));
  return text;
}
const says = (key, marks) => word(`board.${key}`, marks);

/** A sentence of the catalogue with its values, as the sheets have it; empty for none. */
const phrase = (p) => (p ? word(p.word, p.values) : "");

const rowOf = new Map(data.rows.map((row) => [row.key, row]));
const taskOf = new Map(data.tasks.map((task) => [task.id, task]));

/** The rows of a group: those that the plan uses, and what is out of order, so that nobody looks for it. */
const rowsIn = (group) => data.rows.filter((row) => row.group === group && (!row.idle || state().failed.has(row.key)));
/** A row by the name that people say. */
function rowName(key) {
  const row = rowOf.get(key);
  if (!row) return key;
  return row.group === "stations" ? `${word("whom.station")} ${row.name}` : row.name;
}

/** For whom a task is done: `stations 1–3, the demonstration`. */
function whomText(whom) {
  if (!whom) return "";
  const parts = [];
  if (whom.all && whom.count > 1) parts.push(word("whom.all"));
  else if (whom.count === 1) parts.push(`${word("whom.station")} ${whom.stations[0]}`);
  else if (whom.count > 1) parts.push(`${word("whom.stations")} ${whom.stations.join(", ")}`);
  if (whom.stage) parts.push(word("whom.stage"));
  if (whom.spare) parts.push(word("whom.spare"));
  return parts.join(", ");
}

/** What a task is called, with its lesson and its load. */
function taskTitle(task) {
  const load = task.load === undefined ? "" : ` ${says("load", { n: task.load })}`;
  return task.of ? `${task.of}: ${task.name}${load}` : task.name;
}
/** The same, with for whom: for a button's name and for what is said aloud. */
function taskFull(task) {
  const whom = whomText(task.whom);
  return whom ? `${taskTitle(task)}, ${whom}` : taskTitle(task);
}

/** Several steps in a line, each named once with its loads: `Walnut crown: Bake (load 1, load 2); Walnut crown: Cool`. */
function stepsIn(tasks) {
  const loads = new Map();
  for (const task of tasks) {
    const name = task.of ? `${task.of}: ${task.name}` : task.name;
    const known = loads.get(name) ?? new Set();
    if (task.load !== undefined) known.add(task.load);
    loads.set(name, known);
  }
  const numbers = (all) => [...all].sort((a, b) => a - b).map((n) => says("load", { n })).join(", ");
  return [...loads].map(([name, all]) => (all.size ? `${name} (${numbers(all)})` : name)).join("; ");
}

// Two pots of one thing, in two hands or at two times, are told apart by for whom they are.
const titles = new Map();
for (const task of data.tasks) titles.set(taskTitle(task), (titles.get(taskTitle(task)) ?? 0) + 1);
/** What a task is called where its station is not known anyway. */
const taskNamed = (task) => (titles.get(taskTitle(task)) > 1 ? taskFull(task) : taskTitle(task));

/** A figure with its word: `core 90–94 °C`. */
function factText(fact) {
  const values = fact.values.map((v) => v.value).join("–");
  const unit = fact.values.length ? fact.values[fact.values.length - 1].unit : "";
  return `${word(`fact.${fact.word}`)} ${values}\u202f${unit}`;
}

/** Whole minutes of a span, rounded down: what is not a minute late is not late. The one rule for it, everywhere. */
const wholeMinutes = (minutes) => Math.sign(minutes) * Math.floor(Math.abs(minutes) + 1e-6);

/** Whole minutes as people say them: `1 h 05`, `12 min`. */
function spanText(minutes) {
  const whole = Math.abs(wholeMinutes(minutes));
  if (whole < 60) return `${whole}\u202f${word("board.min")}`;
  return `${Math.floor(whole / 60)}\u202f${word("board.h")} ${String(whole % 60).padStart(2, "0")}`;
}
