#![allow(clippy::unwrap_used)]

use super::*;
use crate::reckon::safety::judge::{Judged, Verdict};
use crate::reckon::work::Whom;

fn out(phase: Phase, heated: bool, limit: Option<(Minutes, Passes)>, row: &'static str) -> Exposure {
    Exposure {
        lesson: "buns".into(),
        part: "frosting".into(),
        phase,
        whom: Whom::Spare,
        set: "uk-england-2013",
        out: None,
        judged: Judged { verdict: Verdict::Warn, limit, row, because: String::new() },
        first_out: Some("2027-03-06T10:00[Europe/Dublin]".parse().unwrap()),
        longest_at: None,
        unread_at: None,
        heated,
    }
}

/// Row `uk-chill-handling` (SI 2013/2996, Schedule 4, para 5(2)) has no figure: the four hours of para 5(1) are for service and
/// display, and are not lent to it.
#[test]
fn handling_has_no_clock_and_its_own_paragraph() {
    let line = of_exposure(&out(Phase::Cooked, true, None, "uk-chill-handling")).unwrap();
    assert_eq!((line.within, line.row), (None, Some("uk-chill-handling")));
    let two = Some((Minutes(120), Passes::Less));
    let line = of_exposure(&out(Phase::Baked, false, two, "uk-hot-2h")).unwrap();
    assert_eq!((line.within, line.row), (two, Some("uk-hot-2h")));
}

#[test]
fn what_is_eaten_without_being_cooked_has_a_clock() {
    let four = Some((Minutes(240), Passes::Less));
    assert_eq!(of_exposure(&out(Phase::Raw, false, four, "au-2h4h")).unwrap().within, four);
    assert!(of_exposure(&out(Phase::Raw, true, four, "au-2h4h")).is_none());
}
