//! Sessions and the staff's hours: days and times of day become moments of the course's time zone.

use super::grammar::day::{self, DatedTime};
use super::keys;
use super::raw::{Node, Value};
use super::table::{self, Fields, Log};
use crate::course::spans::Span;
use crate::course::{At, Session, SessionId};
use crate::finding::{Finding, Located, Place};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use jiff::tz::{AmbiguousOffset, TimeZone};

/// The course's time zone.
pub struct Zone {
    tz: TimeZone,
    name: String,
}

impl Zone {
    /// Reads `time-zone`; a zone that the tz database does not know is noted.
    pub fn read(f: &Fields<'_>) -> Zone {
        let name = f.required_text("time-zone");
        match TimeZone::get(&name.value) {
            Ok(tz) => Zone { tz, name: name.value },
            Err(_) => {
                if !name.value.is_empty() {
                    f.log.note(
                        Finding::error(
                            "unknown-time-zone",
                            name.place,
                            format!("`time-zone`: \"{}\" is not in the time zone database", name.value),
                        )
                        .way_out("write continent and city as the database has them: `Europe/Dublin`"),
                    );
                }
                Zone { tz: TimeZone::UTC, name: "UTC".to_owned() }
            }
        }
    }

    /// The moment of a local time; one that the clock skips or shows twice is noted.
    fn moment(&self, log: &Log, date: Date, time: jiff::civil::Time, place: Place) -> Option<ZonedDateTime> {
        let local = date.to_datetime(time);
        let ambiguous = self.tz.to_ambiguous_zoned_datetime(local);
        let shown = local.strftime("%Y-%m-%d %H:%M");
        match ambiguous.offset() {
            AmbiguousOffset::Unambiguous { .. } => {}
            AmbiguousOffset::Gap { .. } => log.note(
                Finding::error(
                    "time-skipped",
                    place,
                    format!("{shown} does not exist in {}: the clocks go forward over it", self.name),
                )
                .way_out("write a time before or after the change"),
            ),
            AmbiguousOffset::Fold { .. } => log.note(
                Finding::error(
                    "time-twice",
                    place,
                    format!("{shown} comes twice in {}: the clocks go back over it", self.name),
                )
                .way_out("write a time before or after the hour that comes twice"),
            ),
        }
        ambiguous.compatible().ok()
    }
}

/// Reads the sessions with the staff's hours, in the order of their start.
pub fn read(f: &Fields<'_>, zone: &Zone) -> Vec<Session> {
    let mut sessions: Vec<Session> =
        f.tables("sessions").into_iter().filter_map(|n| session(f.log, n, zone)).collect();
    if f.entry("sessions").is_none_or(|e| matches!(&e.node.value, Value::List(l) if l.is_empty())) {
        f.log.note(
            Finding::error(
                "no-session",
                f.place,
                "the course has no session, so nothing can be given a time",
            )
            .way_out("add `[[sessions]]` with `id`, `date`, `from` and `to`"),
        );
    }
    super::resolve::no_twins(f.log, "session", sessions.iter().map(|s| &s.id));
    sessions.sort_by(|a, b| a.from.value.cmp(&b.from.value));
    overlaps(f.log, &sessions);
    for node in f.tables("staff-days") {
        staff_day(f.log, node, zone, &mut sessions);
    }
    for session in &mut sessions {
        staff_around(f.log, session);
    }
    sessions
}

fn session(log: &Log, node: &Node, zone: &Zone) -> Option<Session> {
    let f = Fields::new(log, node, &keys::SESSION, "this session")?;
    let id: At<SessionId> = f.required_id("id");
    for (key, like) in [("date", "2027-03-13"), ("from", "\"13:00\""), ("to", "\"17:00\"")] {
        if !f.has(key) {
            f.missing(key, like);
        }
    }
    let date = f.date("date");
    let from = f.time("from");
    let to = f.entry("to").and_then(|e| f.clock_text("to", e)).and_then(|text| {
        let place = text.place?;
        match day::dated_time(&text.value) {
            Ok(time) => Some(Located::at(time, place)),
            Err(slip) => {
                log.slip(place, "to", slip);
                None
            }
        }
    });
    let (date, from, to) = (date?, from?, to?);
    let start = zone.moment(log, date.value, from.value, from.place?)?;
    let end = zone.moment(log, to.value.0.unwrap_or(date.value), to.value.1, to.place?)?;
    if end <= start {
        log.note(
            Finding::error(
                "session-backwards",
                to.place,
                format!("session `{}` ends at {} and starts at {}", id, shown(&end), shown(&start)),
            )
            .also(from.place, "its start")
            .way_out(format!(
                "if it runs past midnight, write the end with its date: `to = \"{} {}\"`",
                date.value.tomorrow().unwrap_or(date.value),
                to.value.1.strftime("%H:%M")
            )),
        );
    } else if start.duration_until(&end).as_hours() > 24 {
        log.note(
            Finding::error(
                "session-too-long",
                to.place,
                format!("session `{id}` is longer than a day: {} to {}", shown(&start), shown(&end)),
            )
            .way_out("write a session for each sitting"),
        );
    }
    let staff = match f.entry("staff") {
        Some(entry) => spans(log, "staff", &entry.node, date.value, zone),
        None => Vec::new(),
    };
    let name = f.text("name");
    Some(Session {
        id,
        name,
        from: Located { value: start, place: from.place },
        to: Located { value: end, place: to.place },
        staff,
    })
}

pub(super) fn shown(moment: &ZonedDateTime) -> String {
    moment.strftime("%Y-%m-%d %H:%M").to_string()
}

/// Spans of the day: a text or a list of texts; without a date of their own they are of this day.
pub(super) fn spans(log: &Log, key: &str, node: &Node, date: Date, zone: &Zone) -> Vec<At<Span>> {
    let nodes: Vec<&Node> = match &node.value {
        Value::List(list) => list.iter().collect(),
        _ => vec![node],
    };
    nodes
        .into_iter()
        .filter_map(|node| {
            let text = table::text(log, key, node)?;
            let place = text.place?;
            let (from, to) = match day::span(&text.value) {
                Ok(span) => span,
                Err(slip) => {
                    log.slip(place, key, slip);
                    return None;
                }
            };
            span(log, key, from, to, date, zone, place)
        })
        .collect()
}

fn span(
    log: &Log,
    key: &str,
    from: DatedTime,
    to: DatedTime,
    date: Date,
    zone: &Zone,
    place: Place,
) -> Option<At<Span>> {
    let day = from.0.unwrap_or(date);
    let start = zone.moment(log, day, from.1, place)?;
    let end = zone.moment(log, to.0.unwrap_or(day), to.1, place)?;
    if end <= start {
        log.note(
            Finding::error(
                "session-backwards",
                place,
                format!("`{key}`: these hours end at {} and start at {}", shown(&end), shown(&start)),
            )
            .way_out("if they run past midnight, write the end with its date"),
        );
    }
    Some(Located::at((start, end), place))
}

/// Staff hours on a day of their own count to the first session that ends after them, or else to the last.
fn staff_day(log: &Log, node: &Node, zone: &Zone, sessions: &mut [Session]) {
    let Some(f) = Fields::new(log, node, &keys::STAFF_DAY, "this staff day") else { return };
    for (key, like) in [("date", "2027-03-12"), ("hours", "\"15:00 to 20:00\"")] {
        if !f.has(key) {
            f.missing(key, like);
        }
    }
    let (Some(date), Some(hours)) = (f.date("date"), f.entry("hours")) else { return };
    for span in spans(log, "hours", &hours.node, date.value, zone) {
        let last = sessions.len().saturating_sub(1);
        let found = sessions.iter().position(|s| s.to.value > span.value.0).unwrap_or(last);
        if let Some(session) = sessions.get_mut(found) {
            session.staff.push(span);
        }
    }
}

/// Staff are there throughout their session: hours that leave them out are noted; none written are the session's own.
fn staff_around(log: &Log, session: &mut Session) {
    session.staff.sort_by(|a, b| a.value.0.cmp(&b.value.0));
    let on_the_day = session
        .staff
        .iter()
        .filter(|s| s.value.1 > session.from.value && s.value.0 < session.to.value)
        .count();
    if on_the_day == 0 {
        let own = (session.from.value.clone(), session.to.value.clone());
        session.staff.push(Located::assumed(own));
        session.staff.sort_by(|a, b| a.value.0.cmp(&b.value.0));
        return;
    }
    let mut reached = session.from.value.clone();
    for hours in &session.staff {
        if hours.value.0 <= reached && hours.value.1 > reached {
            reached = hours.value.1.clone();
        }
    }
    if reached < session.to.value {
        let place = session.staff.iter().find(|s| s.value.1 > session.from.value).and_then(|s| s.place);
        log.note(
            Finding::error(
                "staff-not-there",
                place.or(session.from.place),
                format!(
                    "session `{}` runs from {} to {}, and the staff's hours do not cover all of it",
                    session.id,
                    shown(&session.from.value),
                    shown(&session.to.value)
                ),
            )
            .also(session.from.place, "the session's start")
            .way_out("write hours that begin before the session and end after it"),
        );
    }
}

fn overlaps(log: &Log, sessions: &[Session]) {
    for (earlier, later) in sessions.iter().zip(sessions.iter().skip(1)) {
        if later.from.value < earlier.to.value {
            log.note(
                Finding::error(
                    "sessions-overlap",
                    later.from.place,
                    format!(
                        "session `{}` starts at {}, before session `{}` ends at {}",
                        later.id,
                        shown(&later.from.value),
                        earlier.id,
                        shown(&earlier.to.value)
                    ),
                )
                .also(earlier.to.place, "this session ends here")
                .way_out("move one of them: a teacher can give one session at a time"),
            );
        }
    }
}
