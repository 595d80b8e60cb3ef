//! What stands in the cold of a sitting until it goes home, in the lanes of its run sheet.

use super::baked_cold::{stored_baked, stored_unbaked};
use super::common::{Block, Day, ForWhom, Moment};
use super::desk::Desk;
use super::kept_clean::KeptClean;
use crate::course::Session;
use jiff::civil::Date;
use serde::Serialize;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// A lesson's pieces once, from the first that go there, as the oven sheet has them: baked, filled, or to be baked at home.
pub(super) fn kept_until_home(
    desk: &Desk,
    session: &Session,
    day: Date,
    (from, to): (i64, i64),
) -> Vec<Block> {
    // What came there on another day stands there from the beginning, or to the end.
    let minute = |moment: Moment| match moment.day.cmp(&Day::from(day)) {
        Ordering::Less => from,
        Ordering::Equal => moment.at,
        Ordering::Greater => to,
    };
    let baked = desk.plan.tasks.iter().flat_map(|task| stored_baked(desk, task, session));
    let mut standing: BTreeMap<(String, &'static str), (i64, i64)> = BTreeMap::new();
    for row in baked.chain(stored_unbaked(desk, session)) {
        let state = match (row.unbaked, row.filled) {
            (true, _) => "unbaked",
            (false, true) => "filled",
            (false, false) => "baked",
        };
        let (start, end) = (minute(row.from), minute(row.to));
        if start >= to || end <= from {
            continue;
        }
        let span = standing.entry((row.lesson, state)).or_insert((start, end));
        *span = (span.0.min(start), span.1.max(end));
    }
    standing
        .into_iter()
        .map(|((label, state), (from, to))| Block {
            from,
            to,
            label,
            state,
            tone: "waits".to_owned(),
            ..Block::default()
        })
        .collect()
}

/// What staff carry into the cold when nobody else is there to do it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Carried {
    /// When, minutes after midnight.
    pub at: i64,
    /// What it is.
    pub lesson: String,
    /// Whose.
    pub for_whom: Option<ForWhom>,
    /// Nobody has written whether it must: to be safe.
    pub to_be_safe: bool,
    /// What of it is kept clean of something there.
    pub kept_clean: Vec<KeptClean>,
}

/// What goes there on this day from the minute on at which the students are gone, by the clock.
pub(super) fn carried(desk: &Desk, session: &Session, day: Date, gone: i64) -> Vec<Carried> {
    let rows = desk.plan.tasks.iter().flat_map(|task| stored_baked(desk, task, session));
    let late = rows.filter(|row| row.from.day == Day::from(day) && row.from.at >= gone);
    let mut all: Vec<Carried> = late
        .map(|row| Carried {
            at: row.from.at,
            lesson: row.lesson,
            for_whom: row.for_whom,
            to_be_safe: row.to_be_safe,
            kept_clean: row.kept_clean,
        })
        .collect();
    all.sort_by(|a, b| (a.at, &a.lesson).cmp(&(b.at, &b.lesson)));
    all
}
