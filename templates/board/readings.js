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

/** What is read, and which of it: `Fridge`, `braid: dough, stations 1–3`. */
const readingName = (r) => [r.what, phrase(r.which), r.for_whom ? whomText(r.for_whom) : ""].filter(Boolean).join(", ");
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

/**
 * When a reading is due as the day goes: with what it hangs on, which may be late, or over before its time. A clock runs on meanwhile:
 * what nobody has ticked does not put it off, and of what is ticked it runs from the start, which was at least its length before its end.
 */
function readingMinute(r, f) {
  const s = state();
  const due = (r.after ?? []).map(([moment, since]) => {
    const task = byMoment.get(moment >> 1);
    if (!task) return r.minute;
    const d = f.doing.get(task.id);
    const [ends, done, started] = [moment % 2 === 1, s.done.has(task.id), s.started.has(task.id)];
    // What is not ticked and should be over is read when it should be over.
    const at = (ends ? d.due : d.from) + since;
    if (!isClock(r) || (started && !ends)) return at;
    if (!done) return Math.min(at, r.minute);
    return ends ? at : Math.min(at, d.to - data.slips.tasks[task.n][1] + since);
  });
  return due.length ? Math.min(...due) : r.minute;
}

/** What was neither written down nor said to be missed, and is due by now: the latest first. However long ago, it stands. */
function readingsDue(f, s) {
  const due = data.readings.filter((r) => r.minute >= askedFrom() && !s.readings.get(r.id)?.length && !s.missed.has(r.id));
  return due.map((r) => [r, readingMinute(r, f)]).filter(([, at]) => at <= f.at).sort(([, a], [, b]) => b - a).map(([r]) => r);
}

/** A reading is called for by its limit for so many minutes; after that by its name and its time. */
const CALLED = 60;
/** So many readings of each kind are named; the others are counted. */
const NAMED = 2;
/** What is due in words; empty for nothing. */
function dueText(f, s) {
  const due = readingsDue(f, s);
  const [called, old] = [true, false].map((fresh) => due.filter((r) => readingMinute(r, f) > f.at - CALLED === fresh));
  const parts = [called.slice(0, NAMED).map((r) => (isClock(r) ? toDo(r) : `${toDo(r)} (${limitText(r)})`)).join("; "),
    old.length ? says("unwritten", { what: old.slice(0, NAMED).map((r) => `${readingName(r)} (${momentText(readingMinute(r, f), today())})`).join("; ") }) : ""];
  const more = due.length - Math.min(NAMED, called.length) - Math.min(NAMED, old.length);
  const text = parts.filter(Boolean).join(". ");
  return text && `${text}.${more ? ` ${says("due-more", { n: more })}` : ""}`;
}

/** What nobody knows of this counts as out of its limit: the clock of food, and the core that makes it safe. */
const mustAct = (r) => Boolean(r.clock) || (["thickest", "largest"].includes(r.probe) && (r.least !== null || r.most !== null) && outText(r) !== "");
/** What is to be done, and nobody has written yet that it was: the latest first. An entry without a rule asked for nothing. */
function withoutAction(s) {
  const out = [...s.readings.values()].flat().filter((e) => e.verdict === "out");
  const missed = [...s.missed.values()].filter((e) => e.rule && !s.readings.get(e.reading)?.length);
  return [...out, ...missed].filter((e) => !e.action).sort((a, b) => (b.time ?? b.at) - (a.time ?? a.at));
}
/** That it is to be said what was done, for a reading out of its limit or one that nobody took. */
const noActionText = (e) => (e.kind === "missed" ? says("no-action-missed", { what: e.what }) : says("no-action", { what: e.what, reading: takenText(e) }));

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
  const at = new Map(data.readings.map((r) => [r.id, readingMinute(r, f)]));
  const isOf = (r) => civil(at.get(r.id) * MINUTE).date === day.date;
  const asked = readingsDue(f, s);
  const drawOne = (r) => {
    const taken = s.readings.get(r.id) ?? [];
    const missed = taken.length ? null : s.missed.get(r.id);
    const late = !taken.length && !missed && at.get(r.id) < f.at - 10;
    const shifted = wholeMinutes(at.get(r.id) - r.minute) && !taken.length;
    return el("li", { class: late ? "reading is-due" : "reading" },
      el("p", { class: "time" }, momentText(at.get(r.id), day), shifted ? el("span", { class: "was" }, says("was", { time: momentText(r.minute, day) })) : null),
      el("div", { class: "reading-what" }, el("h3", {}, toDo(r)), el("p", { class: "limit" }, limitText(r)),
        r.probe ? el("p", { class: "more" }, word(`probe.${r.probe}`)) : null,
        outText(r) ? el("p", { class: "more" }, `${word("log.if-out")} ${outText(r)}`) : null, el("p", { class: "more" }, r.source),
        taken.map((e) => el("p", { class: `taken is-${e.verdict}` }, takenText(e, day),
          e.verdict === "out" && !e.action ? button(`act|${e.id}`, says("say-action"), () => askAction(e)) : null)),
        missed ? el("p", { class: "taken is-missed" }, takenText(missed, day),
          missed.rule && !missed.action ? button(`act|${missed.id}`, says("say-action"), () => askAction(missed)) : null) : null),
      el("div", { class: "entries" }, isClock(r) ? clockForm(r, taken) : readingForm(r), asked.includes(r) ? missedButton(r) : null));
  };
  const byTime = (a, b) => at.get(a.id) - at.get(b.id);
  const former = day === today() ? asked.filter((r) => !isOf(r)).sort(byTime) : [];
  // What was not measured is one thing to say; what is done with the food is another, and is asked one by one.
  const plain = former.filter((r) => !mustAct(r));
  const lines = data.readings.filter(isOf).sort(byTime).map(drawOne);
  return el("div", { class: "readings-view" },
    el("h2", {}, word("log.title")),
    el("p", {}, data.rules ? `${word("log.rules")} ${data.rules}` : word("log.no-rules")),
    el("p", { class: "more" }, word("log.defer")),
    former.length ? el("p", { class: "strong" }, says("former-below", { n: former.length })) : null,
    lines.length ? el("ul", { class: "readings" }, lines) : el("p", {}, says("no-readings")),
    former.length ? [el("h2", {}, says("former-readings")),
      plain.length > 1 ? el("div", { class: "tools" }, button("missed-all", says("missed-all", { n: plain.length }), () => {
        noteAll(plain.map((r) => ["missed", { reading: r.id, what: readingName(r) }]));
        draw();
      })) : null,
      el("ul", { class: "readings" }, former.map(drawOne))] : []);
}

/** What was written down of a reading, and when; another day than the one that is shown is named. */
function takenText(e, day = today()) {
  const value = e.kind === "missed" ? says("missed") : e.celsius === undefined ? says("gone") : `${fromCelsius(e.celsius)}\u202f${degrees}`;
  const verdict = e.verdict === "out" ? says("out-of-limit") : e.verdict === "off" ? says("off-aim") : e.verdict === "unknown" ? word("limit.unknown") : "";
  return [`${momentText((e.time ?? e.at) / MINUTE, day)}: ${value}`, verdict, e.action ?? ""].filter(Boolean).join(", ");
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

/** That nobody measured it is said, and stands in the log; where the rules name what is done then, it is asked for. */
function missedButton(r) {
  return button(`missed-${r.id}`, says(isClock(r) ? "missed-clock" : "was-missed"), () => {
    if (mustAct(r)) {
      askAction(note("missed", { reading: r.id, what: readingName(r), rule: r.action }));
      return;
    }
    note("missed", { reading: r.id, what: readingName(r) });
    say(says("written"));
    draw();
  }, { class: "small", "aria-label": `${says(isClock(r) ? "missed-clock" : "was-missed")}: ${readingName(r)}` });
}

/** What is out of the cold has a clock and no temperature: it is used or thrown away in time. */
function clockForm(r, taken) {
  if (taken.length) return el("span", {});
  return el("div", { class: "entry" }, button(`gone-${r.id}`, says("gone-now"), () => takeReading(r, {}), { "aria-label": says("gone-now-what", { what: readingName(r) }) }));
}

function takeReading(r, fields) {
  const spent = nowMinute() - readingMinute(r, shown);
  const verdict = fields.celsius !== undefined ? judge(r, fields.celsius)
    : !r.clock ? "unknown" : r.clock[1] ? (spent <= r.clock[0] ? "ok" : "out") : spent < r.clock[0] ? "ok" : "out";
  if (verdict === "out") {
    // What was read is written down before anybody is asked about it: it is not lost, whatever comes between.
    askAction(note("reading", { reading: r.id, what: readingName(r), ...fields, verdict, rule: r.action }));
    return;
  }
  note("reading", { reading: r.id, what: readingName(r), ...fields, verdict, ...(verdict === "off" ? { action: outText(r) } : {}) });
  say(says("written"));
  draw();
}

/** Asks what is done about a reading out of its limit; until somebody says so, the board goes on asking. */
function askAction(e) {
  const r = data.readings.find((one) => one.id === e.reading);
  const other = el("input", { id: "other-action", type: "text", autocomplete: "off", maxlength: 200 });
  const wrong = el("p", { class: "wrong", role: "alert" });
  const done = (action, by) => {
    note("action", { of: e.id, what: e.what, action, by, ...(r ? { rule: r.action } : {}) });
    dialog.close();
    draw();
  };
  const named = r ? outText(r) : "";
  const dialog = openDialog(says(e.kind === "missed" ? "missed-title" : "out-title"), [
    el("p", { class: "say" }, [`${e.what}: ${takenText(e)}`, r ? limitText(r) : ""].filter(Boolean).join("; ")),
    named ? el("p", {}, says("out-ask")) : null,
    named ? el("p", { class: "action-named" }, named) : null,
    el("label", { for: "other-action" }, says("other-action")), other, wrong,
  ], [
    named ? button("a-named", says("doing-that"), () => done(named, "rule")) : null,
    button("a-other", says("doing-other"), () => {
      if (other.value.trim()) done(other.value.trim(), "hand");
      else {
        wrong.textContent = says("other-empty");
        other.focus();
      }
    }),
  ], says("say-later"));
  draw();
}
