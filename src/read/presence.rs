//! The hours and the breaks of single people of the staff.

use super::keys;
use super::raw::Node;
use super::sessions::{Zone, shown, spans};
use super::table::{Fields, Log, did_you_mean};
use crate::course::spans::{Span, joined};
use crate::course::{At, Presence, Session, Settings};
use crate::finding::Finding;

/// Reads who is there when, and looks whether somebody is in each session; `None` for sessions that cannot all be read: they say nothing of
/// hours.
pub fn read(
    f: &Fields<'_>,
    zone: &Zone,
    settings: &Settings,
    sessions: Option<&Vec<Session>>,
) -> Vec<Presence> {
    let before = f.log.errors();
    let rows = f.tables("presence").into_iter();
    let read: Vec<Presence> = rows.filter_map(|node| row(f.log, node, zone, settings)).collect();
    let clear = f.log.errors() == before;
    let hours = sessions.map(|all| staffs_hours(all));
    if let Some(hours) = &hours {
        for (one, span) in read.iter().flat_map(|one| one.there.iter().map(move |span| (one, span))) {
            counts_for_nothing(f.log, ("there", one), span, hours);
        }
    }
    breaks_outside(f.log, &read, hours.as_deref());
    // Of hours that cannot be read it is not known in which sessions they are.
    if let Some(sessions) = sessions.filter(|_| clear && !read.is_empty()) {
        without_anybody(f.log, &read, settings, sessions);
        missing_in_a_session(f.log, &read, settings, sessions);
    }
    read
}

fn row(log: &Log, node: &Node, zone: &Zone, settings: &Settings) -> Option<Presence> {
    let f = Fields::new(log, node, &keys::PRESENCE, "this presence")?;
    let who = f.required_text("who");
    let known: Vec<&str> = people(settings);
    if !who.value.is_empty() && !known.contains(&who.value.as_str()) {
        let way_out = did_you_mean(&who.value, known.iter().copied());
        log.note(
            Finding::error(
                "unknown-person",
                who.place,
                format!("`who`: \"{}\" is neither the teacher nor one of the helpers", who.value),
            )
            .way_out(way_out.unwrap_or_else(|| "write the name as at `teacher` or `helpers`".to_owned())),
        );
    }
    if !f.has("date") {
        f.missing("date", "2027-03-13");
    }
    if !f.has("there") && !f.has("breaks") {
        f.missing("there", "\"13:00 to 17:00\"");
    }
    let date = f.date("date")?;
    let of = |key: &str| {
        f.entry(key).map_or_else(Vec::new, |entry| spans(log, key, &entry.node, date.value, zone))
    };
    Some(Presence { who, there: of("there"), breaks: of("breaks") })
}

/// The teacher and the helpers by name.
fn people(settings: &Settings) -> Vec<&str> {
    let helpers = settings.helpers.iter().map(|h| h.value.as_str());
    std::iter::once(settings.teacher.value.as_str()).chain(helpers).collect()
}

/// The sessions and the hours around them, joined where they touch.
fn staffs_hours(sessions: &[Session]) -> Vec<Span> {
    let own = sessions.iter().map(|s| (s.from.value.clone(), s.to.value.clone()));
    joined(own.chain(sessions.iter().flat_map(|s| s.staff.iter().map(|s| s.value.clone()))).collect())
}

fn lies_in(span: &Span, all: &[Span]) -> bool {
    all.iter().any(|hours| hours.0 <= span.0 && span.1 <= hours.1)
}

/// Hours of one person in which the kitchen is not open to staff.
fn counts_for_nothing(log: &Log, (key, one): (&str, &Presence), span: &At<Span>, hours: &[Span]) {
    if span.value.0 < span.value.1 && !lies_in(&span.value, hours) {
        log.note(
            Finding::warning(
                "outside-staff-hours",
                span.place,
                format!(
                    "`{key}` of {}: from {} to {} is not all in the staff's hours; what lies outside counts for nothing",
                    one.who.value,
                    shown(&span.value.0),
                    shown(&span.value.1)
                ),
            )
            .way_out("write `staff` at the session, or a `[[staff-days]]`, for as long; or correct the times"),
        );
    }
}

/// The hours of one person, if any are written.
fn hours_of(rows: &[Presence], who: &str) -> Option<Vec<Span>> {
    let own: Vec<Span> =
        rows.iter().filter(|r| r.who.value == who).flat_map(|r| &r.there).map(|s| s.value.clone()).collect();
    (!own.is_empty()).then(|| joined(own))
}

/// A break of somebody who is not there then.
fn breaks_outside(log: &Log, rows: &[Presence], staffs: Option<&[Span]>) {
    for row in rows {
        let Some(hours) = hours_of(rows, &row.who.value) else {
            if let Some(staffs) = staffs {
                row.breaks.iter().for_each(|span| counts_for_nothing(log, ("breaks", row), span, staffs));
            }
            continue;
        };
        for span in row.breaks.iter().filter(|span| !lies_in(&span.value, &hours)) {
            log.note(
                Finding::warning(
                    "outside-staff-hours",
                    span.place,
                    format!(
                        "the break of {} from {} to {} is not all in the hours in which they are there",
                        row.who.value,
                        shown(&span.value.0),
                        shown(&span.value.1)
                    ),
                )
                .way_out("correct the break, or their hours at `there`"),
            );
        }
    }
}

/// A session in which nobody of the staff is there for a while.
fn without_anybody(log: &Log, rows: &[Presence], settings: &Settings, sessions: &[Session]) {
    let mut all: Vec<Span> = Vec::new();
    for who in people(settings) {
        // Who has no hours of their own is there whenever staff are.
        let Some(hours) = hours_of(rows, who) else { return };
        all.extend(hours);
    }
    let all = joined(all);
    for session in sessions {
        let own = (session.from.value.clone(), session.to.value.clone());
        if !lies_in(&own, &all) {
            log.note(
                Finding::error(
                    "staff-not-there",
                    session.from.place,
                    format!(
                        "session `{}` runs from {} to {}, and for a while of it none of the staff is there",
                        session.id,
                        shown(&own.0),
                        shown(&own.1)
                    ),
                )
                .way_out("write hours at `there` of `[[presence]]` that cover it between them"),
            );
        }
    }
}

/// Somebody has hours on some days, and none in a session: that may be meant, and may be forgotten.
fn missing_in_a_session(log: &Log, rows: &[Presence], settings: &Settings, sessions: &[Session]) {
    for who in people(settings) {
        let Some(hours) = hours_of(rows, who) else { continue };
        let place: Option<&At<String>> = rows.iter().map(|r| &r.who).find(|w| w.value == who);
        for session in sessions {
            let there = hours.iter().any(|h| h.0 < session.to.value && session.from.value < h.1);
            if !there {
                log.note(
                    Finding::note(
                        "no-hours-in-session",
                        place.and_then(|w| w.place),
                        format!(
                            "{who} has hours of their own, and none in session `{}`: the plan does without",
                            session.id
                        ),
                    )
                    .way_out("if they come, write a `[[presence]]` for that day too"),
                );
            }
        }
    }
}
