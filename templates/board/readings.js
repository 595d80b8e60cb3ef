// The temperature log, filled here; and what else is measured on the day.

const toCelsius = (shownValue) => (data.fahrenheit ? ((shownValue - 32) * 5) / 9 : shownValue);
const fromCelsius = (celsius) => Math.round((data.fahrenheit ? (celsius * 9) / 5 + 32 : celsius) * 10) / 10;
const degrees = data.fahrenheit ? "°F" : "°C";

/** A number as people type it, with a comma or a point; `null` for none. */
function numberIn(text) {
  const plain = text.trim().replace(",", ".");
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}

/** What is read, and which of it: `Fridge`, `braid: dough, batch 2`. */
const readingName = (r) => [r.what, phrase(r.which)].filter(Boolean).join(", ");
/** What to do when it is out. */
const outText = (r) => (r.if_out ? word(`if-out.${r.if_out}`) : "");

function limitText(r) {
  if (r.clock) return phrase(r.within);
  const values = r.values.map((v) => v.value).join("–");
  const unit = r.values.length ? r.values[0].unit : "";
  const range = r.least !== null && r.most !== null;
  const head = range ? "" : word(`limit.${r.limit}`);
  return [[head, values ? `${values}\u202f${unit}` : ""].filter(Boolean).join(" "), phrase(r.within)].filter(Boolean).join("; ");
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
      el("div", { class: "reading-what" }, el("h3", {}, readingName(r)), r.probe ? el("p", { class: "more" }, word(`probe.${r.probe}`)) : null,
        el("p", { class: "limit" }, limitText(r)), el("p", { class: "more" }, r.source),
        taken.map((e) => el("p", { class: `taken is-${e.verdict}` }, takenText(e)))),
      r.clock ? clockForm(r, taken) : readingForm(r));
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
  const input = el("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", "data-key": id, size: 5 });
  const wrong = el("p", { class: "wrong", role: "alert" });
  const form = el("form", { class: "entry" }, el("label", { for: id }, `${word("log.reading")}, ${degrees}`, el("span", { class: "unseen" }, ` ${readingName(r)}`)), input,
    el("button", { type: "submit", "data-key": `${id}-save`, "aria-label": says("write-down-what", { what: readingName(r) }) }, says("write-down")), wrong);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const value = numberIn(input.value);
    const celsius = value === null ? null : toCelsius(value);
    if (celsius === null || celsius < -60 || celsius > 400) {
      wrong.textContent = says("no-number");
      input.focus();
      return;
    }
    input.value = "";
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
    : r.clock[1] ? (spent <= r.clock[0] ? "ok" : "out") : spent < r.clock[0] ? "ok" : "out";
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
