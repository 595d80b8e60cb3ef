//! Small courses at random: whatever comes out passes the checker, and on the tiniest nothing better is found by trying all.

use super::{inputs, preferred, small};
use crate::engine_random::best_by_trying;
use benchroll::course::{Ahead, Chain, Course, Lasts, MadeAhead, PartId, Stands, StepId, Takes};
use benchroll::finding::Located;
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::grid::Calendar;
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::plan::tasks::{self, Ask};
use benchroll::units::Minutes;
use proptest::prelude::*;

/// What is drawn for a course: times of its steps in minutes, how many of each thing, how long it goes on.
#[derive(Clone, Debug)]
struct Drawn {
    times: Vec<(i64, i64)>,
    mixers: u32,
    racks: u32,
    tins: u32,
    shelves: u32,
    shared: bool,
    together: bool,
    minutes: i64,
    alone: bool,
    /// Staff are there so long before the session, and after it.
    staff: (i64, i64),
    /// The dough may be made ahead.
    ahead: bool,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let times = proptest::collection::vec((1i64..12, 0i64..5), 7);
    let things = (1u32..3, 1u32..3, 1u32..5, 1u32..4);
    let staff = (0i64..25, 0i64..13, any::<bool>());
    (times, things, any::<bool>(), any::<bool>(), 100i64..420, any::<bool>(), staff).prop_map(
        |(times, (mixers, racks, tins, shelves), shared, together, minutes, alone, (early, late, ahead))| {
            Drawn {
                times: times.into_iter().map(|(least, more)| (least * 5, more * 5)).collect(),
                mixers,
                racks,
                tins,
                shelves,
                shared,
                together,
                minutes,
                alone,
                staff: (early * 5, late * 5),
                ahead,
            }
        },
    )
}

fn course(drawn: &Drawn) -> Course {
    let mut course = small();
    for (step, (least, more)) in course.lessons[0].steps.iter_mut().zip(&drawn.times) {
        let (least, most) = (Minutes(*least), Minutes(least + more));
        match &mut step.lasts {
            Lasts::Takes { takes, .. } => takes.value = Takes { least, usual: least, most },
            Lasts::Stands(stands) => stands.value = Stands { least, most: Some(most) },
        }
        if !drawn.shared {
            step.share = None;
        }
        step.together = drawn.together;
    }
    let kitchen = &mut course.kitchen;
    kitchen.mixers[0].count.value = drawn.mixers;
    kitchen.ovens[0].racks.value = drawn.racks;
    kitchen.tins[0].count.value = drawn.tins;
    kitchen.racks[0].shelves.value = drawn.shelves;
    let session = &mut course.sessions[0];
    session.to.value = session.from.value.saturating_add(jiff::SignedDuration::from_mins(drawn.minutes));
    let (early, late) = drawn.staff;
    let from = session.from.value.saturating_sub(jiff::SignedDuration::from_mins(early));
    let to = session.to.value.saturating_add(jiff::SignedDuration::from_mins(late));
    session.staff.iter_mut().for_each(|s| s.value = (from.clone(), to.clone()));
    if drawn.ahead {
        let policy = Located { value: Ahead::IfNeeded, place: None };
        let up_to = Some(Located { value: StepId::new("rise"), place: None });
        let dough = Located { value: Chain::Part(PartId::new("dough")), place: None };
        course.lessons[0].made_ahead = vec![(dough, MadeAhead { policy, up_to })];
    }
    if drawn.alone {
        course.settings.helpers.clear();
    }
    course
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn every_plan_of_a_random_course_holds(drawn in drawn()) {
        let course = course(&drawn);
        let (class, portions, options) = inputs(&course, Some(4));
        let effort = Effort { per_term: 2_000, combinations: 3, ..Effort::default() };
        let found = plan(&course, &class, &portions, &options, effort);
        prop_assert_eq!(&found.refused, &[]);
        if let Some(plan) = &found.plan {
            prop_assert_eq!(check(&course, &class, &portions, plan), vec![]);
            prop_assert!(plan.fits == (plan.overrun == Minutes(0)) && plan.fits != found.impossible);
        }
    }
}

/// One station, three steps, slots of an hour: every schedule is looked at.
#[test]
fn a_tiny_course_is_planned_as_well_as_trying_everything_does() {
    let mut values = Vec::new();
    for (mix, rise, bake, hours) in [(60, 60, 60, 4), (60, 60, 120, 4), (60, 60, 60, 3), (60, 120, 60, 3)] {
        let mut course = small();
        course.settings.grid.value = Minutes(60);
        course.own_steps.clear();
        let lesson = &mut course.lessons[0];
        lesson.steps.retain(|s| ["mix", "rise", "bake"].contains(&s.id.value.as_str()));
        for (step, minutes) in lesson.steps.iter_mut().zip([mix, rise, bake]) {
            step.ends = None;
            match &mut step.lasts {
                Lasts::Takes { takes, .. } => {
                    takes.value =
                        Takes { least: Minutes(minutes), usual: Minutes(minutes), most: Minutes(minutes) };
                }
                Lasts::Stands(stands) => {
                    stands.value = Stands { least: Minutes(minutes), most: Some(Minutes(minutes + 60)) };
                }
            }
        }
        let session = &mut course.sessions[0];
        session.to.value = session.from.value.saturating_add(jiff::SignedDuration::from_hours(hours));
        session.staff.clear();
        let (class, portions, options) = inputs(&course, Some(2));
        let picked = preferred(&options);
        let jobs = Jobs::of(&course, &class, &portions, &picked);
        let problem = tasks::model(&jobs, &Calendar::of(&course).unwrap(), Ask::default()).problem;
        let outcome = solve(&problem, &Budget { per_term: 5_000, conflict: 0 });
        let found = outcome.schedule.is_some().then(|| outcome.terms.iter().map(|t| t.value).collect());
        assert_eq!(found, best_by_trying(&problem), "{mix} {rise} {bake} {hours}");
        assert!(outcome.terms.iter().all(|t| t.proven));
        values.push(found);
    }
    assert!(values.iter().any(Option::is_some) && values.iter().any(Option::is_none), "{values:?}");
}
