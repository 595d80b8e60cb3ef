//! The smallest changes that would make an impossible class possible. Each on the list was tried by planning again.

use super::check::check;
use super::choose::{Effort, WIDER, combinations, plan_of};
use super::grid::Calendar;
use super::jobs::Jobs;
use super::schedule::Budget;
use super::solver;
use super::tasks::{self, Ask};
use super::timetable::{Plan, PlannedSession};
use crate::course::{Ahead, At, Chain, Course, EquipId, LessonId, Loan, MadeAhead, SessionId, StepId};
use crate::finding::Located;
use crate::reckon::{class, options, scale};
use crate::units::Minutes;
use std::collections::BTreeSet;

/// One change to a course.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Change {
    /// A chain of a lesson may be made ahead up to a step, if needed.
    MadeAhead(LessonId, Chain, StepId),
    /// Tins of a kind borrowed.
    Tins(EquipId, u32),
    /// Trays of a kind borrowed.
    Trays(EquipId, u32),
    /// Tubs of a kind more.
    Tubs(EquipId, u32),
    /// A session goes on longer.
    Longer(SessionId, Minutes),
    /// One helper more.
    Helper,
    /// A mixer of a kind borrowed.
    Mixer(EquipId),
    /// An oven of a kind borrowed.
    Oven(EquipId),
    /// Students in pairs.
    Pairs,
    /// The pieces of a lesson go home unbaked.
    BakeAtHome(LessonId),
}

/// A change that makes the class fit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lever {
    /// What to change.
    pub change: Change,
    /// The same in words.
    pub text: String,
}

impl Change {
    /// The course with this change; `None` when it changes nothing there.
    #[must_use]
    pub fn apply(&self, course: &Course) -> Option<Course> {
        let mut new = course.clone();
        match self {
            Change::MadeAhead(lesson, chain, up_to) => {
                let lesson = new.lessons.iter_mut().find(|l| l.id.value == *lesson)?;
                lesson.made_ahead.retain(|(of, _)| of.value != *chain);
                let made =
                    MadeAhead { policy: assumed(Ahead::IfNeeded), up_to: Some(assumed(up_to.clone())) };
                lesson.made_ahead.push((assumed(chain.clone()), made));
            }
            Change::Tins(id, more) => {
                borrow(&mut new.kitchen.tins.iter_mut().find(|t| t.id.value == *id)?.loan, *more)
            }
            Change::Trays(id, more) => {
                borrow(&mut new.kitchen.trays.iter_mut().find(|t| t.id.value == *id)?.loan, *more);
            }
            Change::Tubs(id, more) => {
                new.kitchen.tubs.iter_mut().find(|t| t.id.value == *id)?.count.value += more;
            }
            Change::Mixer(id) => {
                borrow(&mut new.kitchen.mixers.iter_mut().find(|m| m.id.value == *id)?.loan, 1)
            }
            Change::Oven(id) => {
                borrow(&mut new.kitchen.ovens.iter_mut().find(|o| o.id.value == *id)?.loan, 1)
            }
            Change::Longer(id, by) => {
                let session = new.sessions.iter_mut().find(|s| s.id.value == *id)?;
                let more = jiff::SignedDuration::from_mins(by.get());
                let written = session.to.value.clone();
                let end = written.saturating_add(more);
                for span in &mut session.staff {
                    if span.value.0 <= written && span.value.1 >= written && span.value.1 < end {
                        span.value.1 = end.clone();
                    }
                }
                session.to.value = end;
            }
            Change::Helper => new.settings.helpers.push(assumed("one helper more".to_owned())),
            Change::Pairs => {
                let seats = &mut new.kitchen.stations.seats.value;
                (*seats < 2).then(|| *seats = 2)?;
            }
            Change::BakeAtHome(id) => {
                let lesson = new.lessons.iter_mut().find(|l| l.id.value == *id)?;
                let up_to = lesson.bake_at_home.as_ref()?.up_to.value.clone();
                let last = lesson.steps.iter().position(|s| s.id.value == up_to)?;
                lesson.steps.truncate(last + 1);
            }
        }
        Some(new)
    }

    /// The change in words.
    #[must_use]
    pub fn text(&self, course: &Course) -> String {
        let lesson = |id: &LessonId| {
            let found = course.lesson(id);
            found.and_then(|l| l.name.as_ref()).map_or_else(|| id.to_string(), |n| n.value.clone())
        };
        let kitchen = &course.kitchen;
        let named = |id: &EquipId, name: Option<&At<String>>| {
            name.map_or_else(|| id.to_string(), |n| n.value.clone())
        };
        match self {
            Change::MadeAhead(id, chain, up_to) => {
                let what = match chain {
                    Chain::Part(part) => part.to_string(),
                    Chain::Piece => "pieces".to_owned(),
                };
                format!("let staff make the {what} of {} ahead, up to {up_to}", lesson(id))
            }
            Change::Tins(id, more) => {
                let name = kitchen.tins.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("borrow {more} of {}, or use paper cases", named(id, name))
            }
            Change::Trays(id, more) => {
                let name = kitchen.trays.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("borrow {more} of {}", named(id, name))
            }
            Change::Tubs(id, 1) => format!("have one more of {id}"),
            Change::Tubs(id, more) => format!("have {more} more of {id}"),
            Change::Longer(id, by) => {
                let name = course.session(id).map_or_else(|| id.to_string(), super::tasks::session_name);
                format!("let {name} go on {by} longer")
            }
            Change::Helper => "have one helper more".to_owned(),
            Change::Mixer(id) => {
                let name = kitchen.mixers.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("borrow one of {}", named(id, name))
            }
            Change::Oven(id) => {
                let name = kitchen.ovens.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("have one more of {}", named(id, name))
            }
            Change::Pairs => "let students work in pairs".to_owned(),
            Change::BakeAtHome(id) => format!("send {} home unbaked, to bake there", lesson(id)),
        }
    }
}

fn assumed<T>(value: T) -> At<T> {
    Located::assumed(value)
}

fn borrow(loan: &mut Option<Loan>, more: u32) {
    match loan {
        Some(loan) => loan.count.value += more,
        None => {
            *loan =
                Some(Loan { count: assumed(more), from: assumed("a neighbour".to_owned()), back_by: None })
        }
    }
}

/// Changes worth trying, the smallest first: what costs the teacher nothing, what can be borrowed by hand, time, people,
/// machines, and last what changes the lesson.
#[must_use]
pub fn changes(course: &Course, late: Option<&Plan>) -> Vec<Change> {
    let mut all = Vec::new();
    for lesson in &course.lessons {
        for (chain, made) in &lesson.made_ahead {
            let part = !matches!(chain.value, Chain::Piece) && made.policy.value == Ahead::Never;
            let mut own =
                lesson.steps.iter().filter(|s| s.on.len() == 1 && s.on[0].value == chain.value && !s.demo);
            if let Some(last) = own.next_back().filter(|_| part) {
                let up_to = last.id.value.clone();
                all.push(Change::MadeAhead(lesson.id.value.clone(), chain.value.clone(), up_to));
            }
        }
    }
    let kitchen = &course.kitchen;
    all.extend(kitchen.tins.iter().map(|t| Change::Tins(t.id.value.clone(), 2)));
    all.extend(kitchen.trays.iter().map(|t| Change::Trays(t.id.value.clone(), 2)));
    for more in [1, 3] {
        all.extend(kitchen.tubs.iter().map(|t| Change::Tubs(t.id.value.clone(), more)));
    }
    // And by what the least-late plan asks for, where that is another figure.
    let over = |s: &PlannedSession| (s.finish.timestamp().as_second() - s.end.timestamp().as_second()) / 60;
    let asked =
        late.iter().flat_map(|p| &p.sessions).map(over).filter(|m| *m > 0).map(|m| (m + 14) / 15 * 15);
    let lengths: BTreeSet<i64> = [15, 30, 60].into_iter().chain(asked).collect();
    for minutes in lengths {
        all.extend(course.sessions.iter().map(|s| Change::Longer(s.id.value.clone(), Minutes(minutes))));
    }
    all.push(Change::Helper);
    all.extend(kitchen.mixers.iter().map(|m| Change::Mixer(m.id.value.clone())));
    all.push(Change::Pairs);
    let home = course.lessons.iter().filter(|l| l.bake_at_home.is_some());
    all.extend(home.map(|l| Change::BakeAtHome(l.id.value.clone())));
    all.extend(kitchen.ovens.iter().map(|o| Change::Oven(o.id.value.clone())));
    all
}

/// The changes that make the class fit, the smallest first; a longer session is listed once, with the least time that
/// works, and so are more tubs. `late`: the least-late plan, which itself shows that a session as long as it takes would do.
#[must_use]
pub fn levers(course: &Course, headcount: Option<u32>, late: Option<&Plan>, effort: Effort) -> Vec<Lever> {
    let mut found: Vec<Lever> = Vec::new();
    for change in changes(course, late) {
        if found.iter().any(|lever| more_of(&lever.change, &change)) {
            continue;
        }
        let Some(changed) = change.apply(course) else { continue };
        let longer = matches!(change, Change::Longer(..));
        let shown = longer && late.is_some_and(|plan| keeps_to(&changed, headcount, plan));
        if shown || fits(&changed, headcount, effort) {
            let text = change.text(course);
            found.push(Lever { change, text });
        }
    }
    found
}

/// Whether two changes differ by how much alone.
fn more_of(one: &Change, other: &Change) -> bool {
    match (one, other) {
        (Change::Longer(id, _), Change::Longer(same, _)) => id == same,
        (Change::Tubs(id, _), Change::Tubs(same, _)) => id == same,
        _ => false,
    }
}

/// Whether a plan that was too late before the change keeps to the longer hours, by the checker of plans.
fn keeps_to(course: &Course, headcount: Option<u32>, late: &Plan) -> bool {
    let mut plan = late.clone();
    for planned in &mut plan.sessions {
        let Some(session) = course.session(&planned.id) else { return false };
        planned.end = session.to.value.clone();
    }
    (plan.fits, plan.overrun) = (true, Minutes::ZERO);
    let (class, _) = class::seat(course, headcount);
    check(course, &class, &scale::portions(course, &class), &plan).is_empty()
}

/// Whether some plan fits: found, and sound by both checkers, as every plan must be that anybody sees.
fn fits(course: &Course, headcount: Option<u32>, effort: Effort) -> bool {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    let Some(calendar) = Calendar::of(course) else { return false };
    let (combinations, _) = combinations(&options, effort.combinations.max(WIDER));
    // As for the class itself: further ones only where those before cannot be.
    let mut open = 0;
    combinations.iter().enumerate().any(|(place, picked)| {
        if place >= effort.combinations && open >= effort.combinations {
            return false;
        }
        let jobs = Jobs::of(course, &class, &portions, picked);
        let mut model = tasks::model(&jobs, &calendar, Ask::default());
        model.problem.objective.clear();
        model.problem.hints.tidy = None;
        let budget = Budget { per_term: effort.per_term, conflict: 0 };
        let outcome = solver::solve(&model.problem, &budget);
        open += usize::from(!outcome.impossible);
        let plan = plan_of(&jobs, &model, &outcome, (1, 1));
        plan.is_some_and(|plan| check(course, &class, &portions, &plan).is_empty())
    })
}
