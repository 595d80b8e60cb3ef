// The temperature log, filled here; and what else is measured on the day.

const toCelsius = (shownValue) => (data.fahrenheit ? ((shownValue - 32) * 5) / 9 : shownValue);
// As finely as it is kept: 79.96 is no 80, and a limit lies between.
const fromCelsius = (celsius) => Math.round((data.fahrenheit ? (celsius * 9) / 5 + 32 : celsius) * 100) / 100;
const degrees = data.fahrenheit ? "°F" : "°C";

/**
 * A number as people type it: `4.5`, `4,5`, `+4`, `−18`; with its unit behind it, `72 °C`, or the other one, which is reckoned over
 * where the field is of degrees. `null` for none.
 */
function numberIn(text, unit) {
  const plain = text.trim().replace(/[\u2010-\u2015\u2212]\s*/, "-").replace(",", ".");
  // Two figures with a space between are not one.
  const found = /^([+-]?\d+(?:\.\d+)?)\s*(\D*)$/.exec(plain);
  if (!found) return null;
  const [value, typed] = [Number(found[1]), found[2].toUpperCase().replace(/[\s°]/g, "").replace(/^DEG/, "")];
  if (typed === "" && (unit === degrees || found[2] === "")) return value;
  if (unit !== degrees) return typed === unit.toUpperCase() && unit ? value : null;
  if (typed !== "C" && typed !== "F") return null;
  const celsius = typed === "F" ? ((value - 32) * 5) / 9 : value;
  return data.fahrenheit ? (celsius * 9) / 5 + 32 : celsius;
}

/** What was typed and is not written down yet, and what is wrong with it, by its field: no redrawing takes it away. */
const drafts = new Map();

/** A field for a number. What is typed stays in it until it is written down; `wrong` is where it says why it is not. */
function numberField(id, saved, attributes) {
  const draft = drafts.get(id);
  const input = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", "data-key": id, size: 5, value: draft?.text ?? saved,
    "aria-invalid": draft?.wrong ? "true" : false, "aria-describedby": `${id}-wrong`, ...attributes });
  const wrong = el("p", { class: "wrong", id: `${id}-wrong`, role: "alert" }, draft?.wrong);
  const field = { input, wrong, saved };
  input.addEventListener("input", () => {
    if (input.value === field.saved) drafts.delete(id);
    else drafts.set(id, { ...drafts.get(id), text: input.value });
  });
  field.refuse = (why) => {
    drafts.set(id, { text: input.value, wrong: why });
    input.setAttribute("aria-invalid", "true");
    wrong.textContent = why;
  };
  /** What is written down now. */
  field.accept = (text) => {
    drafts.delete(id);
    field.saved = text;
    input.value = text;
    input.removeAttribute("aria-invalid");
    wrong.textContent = "";
  };
  return field;
}

/** What is read, and which of it: `Fridge`, `braid: dough, batch 2`. */
const readingName = (r) => [r.what, phrase(r.which)].filter(Boolean).join(", ");
/** What has no thermometer to it: it is used or thrown away in time, or one writes down how long it was out. */
const isClock = (r) => Boolean(r.clock) || !r.probe;
/** A reading as what to do. */
const toDo = (r) => says(r.clock ? "use-up" : isClock(r) ? "note-how-long" : "measure", { what: readingName(r) });
/** What to do when it is out. */
const outText = (r) => (r.if_out ? word(`if-out.${r.if_out}`) : "");

function limitText(r) {
  if (isClock(r)) return phrase(r.within);
  const values = r.values.map((v) => v.value).join("–");
  const unit = r.values.length ? r.values[0].unit : "";
  const range = r.least !== null && r.most !== null;
  const head = range ? "" : word(`limit.${r.limit}`);
  return [[head, values ? `${values}\u202f${unit}` : ""].filter(Boolean).join(" "), phrase(r.within)].filter(Boolean).join("; ");
}

/** Today's readings that should have been taken by now, and not so long ago that nobody will. */
function readingsDue(f, s) {
  const { date } = today();
  return data.readings.filter((r) => civil(r.minute * MINUTE).date === date && r.minute <= f.at && r.minute > f.at - CALLED && !s.readings.get(r.id)?.length);
}

/** What a reading says: `ok`, `out`, `off` (off what is aimed at), `unknown`. */
function judge(r, celsius) {
  if (r.least !== null || r.most !== null) {
    return (r.least !== null && celsius < r.least) || (r.most !== null && celsius > r.most) ? "out" : "ok";
  }
  if (r.aim !== null) return Math.abs(celsius - r.aim) > 2 ? "off" : "ok";
  return "unknown";
}

function drawReadings(f, s) {
  const day = shownDay();
  const due = data.readings.filter((r) => civil(r.minute * MINUTE).date === day.date);
  const lines = due.map((r) => {
    const taken = s.readings.get(r.id) ?? [];
    const late = !taken.length && r.minute < f.at - 10;
    return el("li", { class: late ? "reading is-due" : "reading" },
      el("p", { class: "time" }, clockText(r.minute)),
      el("div", { class: "reading-what" }, el("h3", {}, toDo(r)), el("p", { class: "limit" }, limitText(r)),
        r.probe ? el("p", { class: "more" }, word(`probe.${r.probe}`)) : null,
        outText(r) ? el("p", { class: "more" }, `${word("log.if-out")} ${outText(r)}`) : null, el("p", { class: "more" }, r.source),
        taken.map((e) => el("p", { class: `taken is-${e.verdict}` }, takenText(e)))),
      isClock(r) ? clockForm(r, taken) : readingForm(r));
  });
  return el("div", { class: "readings-view" },
    el("h2", {}, word("log.title")),
    el("p", {}, data.rules ? `${word("log.rules")} ${data.rules}` : word("log.no-rules")),
    el("p", { class: "more" }, word("log.defer")),
    lines.length ? el("ul", { class: "readings" }, lines) : el("p", {}, says("no-readings")));
}

function takenText(e) {
  const value = e.celsius === undefined ? says("gone") : `${fromCelsius(e.celsius)}\u202f${degrees}`;
  const verdict = e.verdict === "out" ? says("out-of-limit") : e.verdict === "off" ? says("off-aim") : e.verdict === "unknown" ? word("limit.unknown") : "";
  return [`${clockText((e.time ?? e.at) / MINUTE)}: ${value}`, verdict, e.action ?? ""].filter(Boolean).join(", ");
}

function readingForm(r) {
  const id = `reading-${r.id}`;
  // Not every keyboard for figures has a minus.
  const { input, wrong, ...field } = numberField(id, "", { inputmode: r.most !== null && r.most <= 0 ? "text" : "decimal" });
  const form = el("form", { class: "entry", "data-keep": id }, el("label", { for: id }, `${word("log.reading")}, ${degrees}`, el("span", { class: "unseen" }, ` ${readingName(r)}`)), input,
    el("button", { type: "submit", "data-key": `${id}-save`, "aria-label": says("write-down-what", { what: readingName(r) }) }, says("write-down")), wrong);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const value = numberIn(input.value, degrees);
    const celsius = value === null ? null : toCelsius(value);
    if (celsius === null || celsius < -60 || celsius > 400) {
      field.refuse(says("no-number"));
      input.focus();
      return;
    }
    field.accept("");
    takeReading(r, { celsius: Math.round(celsius * 100) / 100 });
  });
  return form;
}

/** What is out of the cold has a clock and no temperature: it is used or thrown away in time. */
function clockForm(r, taken) {
  if (taken.length) return el("span", {});
  return el("div", { class: "entry" }, button(`gone-${r.id}`, says("gone-now"), () => takeReading(r, {}), { "aria-label": says("gone-now-what", { what: readingName(r) }) }));
}

function takeReading(r, fields) {
  const spent = nowMinute() - r.minute;
  const verdict = fields.celsius !== undefined ? judge(r, fields.celsius)
    : !r.clock ? "unknown" : r.clock[1] ? (spent <= r.clock[0] ? "ok" : "out") : spent < r.clock[0] ? "ok" : "out";
  if (verdict === "out") return askAction(r, fields);
  note("reading", { reading: r.id, what: readingName(r), ...fields, verdict, ...(verdict === "off" ? { action: outText(r) } : {}) });
  say(says("written"));
  draw();
}

/** A reading out of its limit is written down only with what is done about it. */
function askAction(r, fields) {
  const time = Math.round(now());
  const value = fields.celsius === undefined ? "" : `${fromCelsius(fields.celsius)}\u202f${degrees}; `;
  const other = el("input", { id: "other-action", type: "text", autocomplete: "off", maxlength: 200 });
  const wrong = el("p", { class: "wrong", role: "alert" });
  // Closed without an answer it is written down all the same, with no action beside it: what was read is not lost.
  let written = false;
  const done = (action, by) => {
    written = true;
    note("reading", { reading: r.id, what: readingName(r), ...fields, verdict: "out", time, action, rule: r.action, by });
    if (dialog.open) dialog.close();
    draw();
  };
  const dialog = openDialog(says("out-title"), [
    el("p", { class: "say" }, `${readingName(r)}: ${value}${limitText(r)}`),
    el("p", {}, says("out-ask")),
    el("p", { class: "action-named" }, outText(r)),
    el("label", { for: "other-action" }, says("other-action")), other, wrong,
  ], [
    button("a-named", says("doing-that"), () => done(outText(r), "rule")),
    button("a-other", says("doing-other"), () => {
      if (other.value.trim()) done(other.value.trim(), "hand");
      else {
        wrong.textContent = says("other-empty");
        other.focus();
      }
    }),
  ]);
  dialog.addEventListener("close", () => {
    if (!written) done("", "nobody");
  });
}
