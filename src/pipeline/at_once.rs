//! One sheet at once after a save: with the amounts as they are now and the times of the former plan. The rest may follow.

use super::printing::{Lent, one};
use super::{Asked, Watch, reckon_with};
use crate::read::FileTree;
use crate::reckon::plan::timetable::Plan;
use crate::typeset::{Kind, Press, Printed};

/// The sheet at this path; `None` where it cannot be had without planning: the former plan does not hold for the course as it is
/// now, the course has errors, or the sheet tells of more than its plan says (how sure the times are).
#[must_use]
pub fn at_once(
    files: &FileTree,
    lent: Lent<'_>,
    former: &Plan,
    press: &Press,
    (kind, path): (Kind, &str),
    watch: &dyn Watch,
) -> Option<Printed> {
    if matches!(kind, Kind::RunSheet | Kind::Pack) {
        return None;
    }
    let outcome = reckon_with(files, &|_| Asked::default(), Some(former), watch);
    if outcome.stops_printing() {
        return None;
    }
    one(outcome.reckoned.as_ref()?, lent, press, (kind, path), watch)
}
