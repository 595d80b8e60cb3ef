// The clock: the device's, in the course's time zone; or a rehearsal's, which begins where it is told to and may run faster.

const MINUTE = 60000;

/** English says its days as the sheets do: `Friday 5 March`; where they are printed in Fahrenheit, as people say them there. */
const locale = data.language === "en" ? (data.fahrenheit ? "en-US" : "en-GB") : data.language;
function formatter(options) {
  try {
    return new Intl.DateTimeFormat(locale, { timeZone: data.zone, ...options });
  } catch {
    // A browser without this zone or language: the device's own will be near enough, and says its zone.
    return new Intl.DateTimeFormat("en-GB", { ...options, ...(options.hour ? { timeZoneName: "short" } : {}) });
  }
}
const hourMinute = formatter({ hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
const hourMinuteSecond = formatter({ hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23" });
const weekdayDay = formatter({ weekday: "long", day: "numeric", month: "long" });
const weekdayShort = formatter({ weekday: "short" });
const isoParts = new Intl.DateTimeFormat("en-CA", {
  timeZone: zoneOrUtc(), year: "numeric", month: "2-digit", day: "2-digit",
  hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23",
});

function zoneOrUtc() {
  try {
    new Intl.DateTimeFormat("en", { timeZone: data.zone });
    return data.zone;
  } catch {
    return "UTC";
  }
}

/** The date and the time of day of a moment (milliseconds), by the course's zone: `2027-03-06`, `14:20`. */
function civil(ms) {
  const part = Object.fromEntries(isoParts.formatToParts(new Date(ms)).map((p) => [p.type, p.value]));
  return {
    date: `${part.year}-${part.month}-${part.day}`,
    time: `${part.hour}:${part.minute}`,
    seconds: part.second,
  };
}

/** RFC 3339 with the offset of the course's zone. */
function rfc3339(ms) {
  const at = civil(ms);
  const shown = Date.parse(`${at.date}T${at.time}:${at.seconds}Z`);
  const offset = Math.round((shown - Math.floor(ms / 1000) * 1000) / MINUTE);
  const sign = offset < 0 ? "-" : "+";
  const two = (n) => String(n).padStart(2, "0");
  const tail = `${sign}${two(Math.floor(Math.abs(offset) / 60))}:${two(Math.abs(offset) % 60)}`;
  return `${at.date}T${at.time}:${at.seconds}${tail}`;
}

/** The time of day of a minute, as a clock on the wall shows it: a minute that has begun. */
const clockText = (minute) => hourMinute.format(new Date(Math.floor(minute + 1e-6) * MINUTE));
/** The time of day, with its weekday where it is not the day that is shown. */
function momentText(minute, day) {
  const ms = Math.floor(minute + 1e-6) * MINUTE;
  if (!day || civil(ms).date === day.date) return clockText(minute);
  return `${weekdayShort.format(new Date(ms))} ${clockText(minute)}`;
}

/** A rehearsal: `from` is where it began, `since` the device's time then. `null`: the day itself. */
let rehearsal = null;

/** Now, in milliseconds. */
function now() {
  const device = Date.now();
  return rehearsal ? rehearsal.from + (device - rehearsal.since) * rehearsal.rate : device;
}
/** Now, in minutes and parts of one. */
const nowMinute = () => now() / MINUTE;

/**
 * The day that it is: the one whose work goes on, past midnight too, else today, else the next one, else the last. What rings, what
 * runs late, how things stand and the log are of this day, whichever is looked at.
 */
function today() {
  const minute = nowMinute();
  const begun = data.days.find((d) => d.from <= minute && minute <= d.to);
  if (begun) return begun;
  const { date } = civil(now());
  return data.days.find((d) => d.date >= date) ?? data.days[data.days.length - 1];
}
/** All days are over, and it is another day: nothing is late any more, and what is not ticked was left open. */
function isOver() {
  const last = data.days[data.days.length - 1];
  return nowMinute() > last.to && civil(now()).date > last.date;
}
/** What ended before this minute is of a former day. */
const dayStart = () => (isOver() ? Infinity : today().from);
/** A rehearsal asks for nothing that was before it began. */
const askedFrom = () => (rehearsal ? (rehearsal.begun ?? rehearsal.from) / MINUTE : -Infinity);
/** The day that is looked at: the one that the teacher chose, else today. */
let chosenDay = null;
const shownDay = () => data.days.find((d) => d.date === chosenDay) ?? today();
/** A day by the name that people say. */
const dayName = (day) => day.name || weekdayDay.format(new Date(day.from * MINUTE));

// A device's clock may be set while the class goes on. The page has a second clock that nobody can set; it stands still while the
// device sleeps.
let lastWall = null;
let lastSteady = null;
/** By how many minutes the device's clock has jumped since it was last asked, and from which moment; `null` when it has not. */
function clockJump() {
  const [wall, steady] = [Date.now(), performance.now()];
  const jump = lastWall === null ? 0 : (wall - lastWall - (steady - lastSteady)) / MINUTE;
  const from = lastWall;
  [lastWall, lastSteady] = [wall, steady];
  return Math.abs(jump) >= 2 ? { minutes: Math.round(jump), from } : null;
}
