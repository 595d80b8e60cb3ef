//! When the staff have a break, come and go, as far as that is written of them alone.

use super::common::Block;
use super::desk::{Desk, minute_of};
use crate::reckon::plan::presence::{Gap, News, Why, staff_by};
use jiff::civil::Date;
use serde::Serialize;

/// A line by the clock: one of the staff has a break, comes or goes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OwnHours {
    /// When, minutes after midnight.
    pub at: i64,
    /// Until when a break lasts; `None` for what is of a moment.
    pub to: Option<i64>,
    /// Who, by name.
    pub who: String,
    /// `break`, `goes`, `comes`, or `away` (not there at all in the time that the sheet is for): the end of a key of the catalogue's
    /// `[staff]`.
    pub what: &'static str,
}

/// What of somebody's lane is a break, or a time in which they are not there.
pub(super) fn gaps(desk: &Desk, who: &str, day: Date, span: (i64, i64)) -> Vec<Block> {
    let one = staff_by(desk.course, desk.plan).into_iter().find(|one| one.who == who);
    let gaps = one.map(|one| one.gaps(|at| minute_of(at, day), span)).unwrap_or_default();
    let block = |gap: Gap<i64>| {
        let tone = if gap.why == Why::Break { "off" } else { "away" };
        Block { from: gap.from, to: gap.to, tone: tone.to_owned(), ..Block::default() }
    };
    gaps.into_iter().map(block).collect()
}

/// What of it is told by the clock.
pub(super) fn own_hours(desk: &Desk, day: Date, span: (i64, i64)) -> Vec<OwnHours> {
    let mut all: Vec<OwnHours> = Vec::new();
    for one in staff_by(desk.course, desk.plan) {
        let who = desk.staff_name(&one.who);
        let gaps = one.gaps(|at| minute_of(at, day), span);
        all.extend(gaps.iter().flat_map(Gap::news).map(|(at, news)| {
            let (what, to) = match news {
                News::Break(until) => ("break", Some(until)),
                News::NotThere => ("away", None),
                News::Goes => ("goes", None),
                News::Comes => ("comes", None),
            };
            OwnHours { at, to, who: who.clone(), what }
        }));
    }
    all.sort_by_key(|line| line.at);
    all
}
