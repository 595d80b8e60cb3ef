//! Which stretch of a day a run sheet shows.

use super::desk::{Desk, minute_of};
use crate::course::Hands;
use jiff::civil::Date;

/// Staff work so long before a sitting still belongs to its sheet; what is earlier stands on the day's own.
const RUN_UP: i64 = 90;

/// What is drawn of a day: the sitting, the work of staff around it, and whatever somebody must carry to another place then, though it
/// stands there by itself: dough that goes into the cold after the students have left, tubs that come out before they come.
pub(super) fn stretch(desk: &Desk, day: Date, sits: i64, ends: i64) -> (i64, i64) {
    let (mut from, mut to) = (sits, ends);
    for task in &desk.plan.tasks {
        let (start, end) = (minute_of(&task.start, day), minute_of(&task.end, day));
        let by_itself = task.hands == Hands::Nobody && task.by.is_empty();
        // What is at work as it begins is drawn whole.
        let begins = if by_itself { start } else { end - 1 };
        let in_reach = begins >= sits - RUN_UP && start < ends + RUN_UP;
        if !in_reach || !by_itself && end >= 1440 {
            continue;
        }
        from = from.min(start);
        to = to.max(if by_itself { start + 1 } else { end });
    }
    (quarter_before(from), quarter_after(to))
}

/// The quarter of an hour at or before a minute.
pub(super) fn quarter_before(minute: i64) -> i64 {
    minute.div_euclid(15) * 15
}
fn quarter_after(minute: i64) -> i64 {
    (minute + 14).div_euclid(15) * 15
}
