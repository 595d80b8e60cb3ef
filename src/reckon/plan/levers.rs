//! The smallest changes that would make an impossible class possible. Each on the list was tried by planning again.

use super::check::check;
use super::choose::{Effort, WIDER, combinations, plan_of};
use super::crowded::crowded;
use super::grid::Calendar;
use super::jobs::Jobs;
use super::never::is_never;
use super::schedule::Budget;
use super::solver;
use super::tasks::{self, Ask};
use super::timetable::{Plan, PlannedSession};
use super::unstaffed::with_somebody;

mod circuits;
mod longer;
mod on_time;
mod together;

pub use on_time::{OnTime, on_time};

use crate::course::{
    Ahead, At, Chain, Course, EquipId, Kitchen, LessonId, Loan, MadeAhead, SessionId, Shelves, StepId,
};
use crate::finding::Located;
use crate::reckon::pull_list::{Sort, equipment};
use crate::reckon::{class, options, power, scale};
use crate::units::Minutes;
use jiff::ZonedDateTime;
use longer::lengthen;
use std::collections::{BTreeMap, BTreeSet};

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
    /// Several sessions end later, each at its own moment.
    Ends(Vec<(SessionId, ZonedDateTime)>),
    /// One shelf more in a cupboard.
    Shelf(EquipId),
    /// Cupboards of a kind more.
    Cupboard(EquipId, u32),
    /// One helper more.
    Helper,
    /// Mixers of a kind borrowed.
    Mixer(EquipId, u32),
    /// Ovens of a kind borrowed.
    Oven(EquipId, u32),
    /// One appliance of a kind on another circuit; `None`: on one that is not written yet, and has what it draws to spare.
    Circuit(EquipId, Option<EquipId>),
    /// Students in pairs.
    Pairs,
    /// The pieces of a lesson go home unbaked.
    BakeAtHome(LessonId),
    /// Fewer people come: so many. That changes nothing in the course.
    Fewer(u32),
    /// Several changes at once.
    Together(Vec<Change>),
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
            Change::Mixer(id, more) => {
                borrow(&mut new.kitchen.mixers.iter_mut().find(|m| m.id.value == *id)?.loan, *more);
            }
            Change::Oven(id, more) => {
                borrow(&mut new.kitchen.ovens.iter_mut().find(|o| o.id.value == *id)?.loan, *more);
            }
            Change::Circuit(id, to) => circuits::plug_in(&mut new, id, to.as_ref())?,
            Change::Longer(id, by) => {
                let written = &new.session(id)?.to.value;
                let end = written.saturating_add(jiff::SignedDuration::from_mins(by.get()));
                lengthen(&mut new, id, &end)?;
            }
            Change::Ends(ends) => {
                for (id, end) in ends {
                    lengthen(&mut new, id, end)?;
                }
            }
            Change::Shelf(id) => {
                cupboards(&mut new.kitchen).find(|c| c.id.value == *id)?.shelves.value += 1;
            }
            Change::Cupboard(id, more) => {
                cupboards(&mut new.kitchen).find(|c| c.id.value == *id)?.count.value += more;
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
            Change::Fewer(_) => {}
            Change::Together(all) => {
                for change in all {
                    new = change.apply(&new)?;
                }
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
                format!("let {} go on {by} longer{}", session_of(course, id), self.with_staff(course))
            }
            Change::Ends(ends) => {
                let each = end_each(course, ends);
                format!("let {each}, as in the least-late plan{}", self.with_staff(course))
            }
            Change::Shelf(id) => format!("have one shelf more in {id}"),
            Change::Cupboard(id, 1) => format!("have one more of {id}"),
            Change::Cupboard(id, more) => format!("have {more} more of {id}"),
            Change::Helper => "have one helper more".to_owned(),
            Change::Mixer(id, more) => {
                let name = kitchen.mixers.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("borrow {} of {}", one_or(*more), named(id, name))
            }
            Change::Oven(id, more) => {
                let name = kitchen.ovens.iter().find(|t| t.id.value == *id).and_then(|t| t.name.as_ref());
                format!("have {} more of {}", one_or(*more), named(id, name))
            }
            Change::Circuit(id, to) => circuits::text(course, id, to.as_ref()),
            Change::Pairs => "let students work in pairs".to_owned(),
            Change::BakeAtHome(id) => format!("send {} home unbaked, to bake there", lesson(id)),
            Change::Fewer(people) => format!("come with {people} people"),
            Change::Together(all) => {
                let text = |one: &Change| match one {
                    Change::Ends(ends) => format!("let {}{}", end_each(course, ends), one.with_staff(course)),
                    one => one.text(course),
                };
                let all: Vec<String> = all.iter().map(text).collect();
                format!("all of this together: {}", all.join("; "))
            }
        }
    }
}

/// "Saturday end at 16:30 and Sunday end at 12:45".
fn end_each(course: &Course, ends: &[(SessionId, ZonedDateTime)]) -> String {
    let each =
        ends.iter().map(|(id, end)| format!("{} end at {}", session_of(course, id), end.strftime("%H:%M")));
    each.collect::<Vec<_>>().join(" and ")
}

fn one_or(more: u32) -> String {
    if more == 1 { "one".to_owned() } else { more.to_string() }
}

fn session_of(course: &Course, id: &SessionId) -> String {
    course.session(id).map_or_else(|| id.to_string(), super::tasks::session_name)
}

/// Everything with shelves.
fn cupboards(kitchen: &mut Kitchen) -> impl Iterator<Item = &mut Shelves> {
    let Kitchen { cold, freezers, warm, racks, .. } = kitchen;
    cold.iter_mut().chain(freezers).chain(warm).chain(racks)
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
/// machines, and last what changes the lesson, or several sessions.
#[must_use]
pub fn changes(course: &Course, headcount: Option<u32>, late: Option<&Plan>) -> Vec<Change> {
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
    // What would be enough for all at once is tried as well, and then how much less does.
    let short = short_at_once(course, headcount);
    let counts = |usual: &[u32], id: &EquipId| -> BTreeSet<u32> {
        usual.iter().copied().chain(short.get(id).copied()).collect()
    };
    for tin in kitchen.tins.iter().map(|t| &t.id.value) {
        all.extend(counts(&[2], tin).into_iter().map(|n| Change::Tins(tin.clone(), n)));
    }
    for tray in kitchen.trays.iter().map(|t| &t.id.value) {
        all.extend(counts(&[2], tray).into_iter().map(|n| Change::Trays(tray.clone(), n)));
    }
    for tub in kitchen.tubs.iter().map(|t| &t.id.value) {
        all.extend(counts(&[1, 3], tub).into_iter().map(|n| Change::Tubs(tub.clone(), n)));
    }
    let over: Vec<(&PlannedSession, Minutes)> = late.map_or_else(Vec::new, sessions_over);
    // By what the least-late plan asks for, too; but no session by more than that.
    let mut lengths: Vec<(Minutes, SessionId)> = Vec::new();
    for session in course.sessions.iter().map(|s| &s.id.value) {
        let asked = over.iter().find(|(planned, _)| planned.id == *session).map(|(_, minutes)| *minutes);
        let steps: BTreeSet<Minutes> = [15, 30, 60]
            .map(Minutes)
            .into_iter()
            .filter(|m| asked.is_none_or(|a| *m <= a))
            .chain(asked)
            .collect();
        lengths.extend(steps.into_iter().map(|by| (by, session.clone())));
    }
    lengths.sort_by_key(|(by, _)| *by);
    all.extend(lengths.into_iter().map(|(by, id)| Change::Longer(id, by)));
    all.push(Change::Helper);
    let cupboards = [&kitchen.cold, &kitchen.freezers, &kitchen.warm, &kitchen.racks];
    let cupboards: Vec<&EquipId> = cupboards.into_iter().flatten().map(|c| &c.id.value).collect();
    all.extend(cupboards.iter().map(|id| Change::Shelf((*id).clone())));
    all.extend(circuits::elsewhere(kitchen));
    all.extend(kitchen.mixers.iter().map(|m| Change::Mixer(m.id.value.clone(), 1)));
    all.push(Change::Pairs);
    let home = course.lessons.iter().filter(|l| l.bake_at_home.is_some());
    all.extend(home.map(|l| Change::BakeAtHome(l.id.value.clone())));
    all.extend(cupboards.iter().map(|id| Change::Cupboard((*id).clone(), 1)));
    all.extend(kitchen.ovens.iter().map(|o| Change::Oven(o.id.value.clone(), 1)));
    if over.len() > 1 {
        all.extend(late.map(assumed_ends));
    }
    all
}

/// The sessions of a plan that end later than written, and by how much.
fn sessions_over(plan: &Plan) -> Vec<(&PlannedSession, Minutes)> {
    let over = |s: &PlannedSession| Minutes(s.end.duration_until(&s.finish).as_mins());
    plan.sessions.iter().map(|s| (s, over(s))).filter(|(_, m)| m.get() > 0).collect()
}

/// Each of them ends as late as in that plan.
fn assumed_ends(late: &Plan) -> Change {
    Change::Ends(sessions_over(late).iter().map(|(s, _)| (s.id.clone(), s.finish.clone())).collect())
}

/// How many of each tin, tray and tub are short where all that are wanted stand at once.
fn short_at_once(course: &Course, headcount: Option<u32>) -> BTreeMap<EquipId, u32> {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    let choice = options::preferred(course, &options, &portions);
    let (equipment, _) = equipment(course, &class, &choice, None);
    let short = equipment.needs.into_iter().filter(|need| need.sort == Sort::Tin && need.short > 0);
    short.map(|need| (need.item, need.short)).collect()
}

/// The changes that make the class fit, the smallest first; a longer session is listed once, with the least time that
/// works, and so is what is borrowed. `late`: the least-late plan, which itself shows that sessions as long as it takes would do.
/// Where no single change but longer sessions is enough, several at once are listed, and how many people fit.
#[must_use]
pub fn levers(course: &Course, headcount: Option<u32>, late: Option<&Plan>, effort: Effort) -> Vec<Lever> {
    let mut found: Vec<Lever> = Vec::new();
    // How many of a thing were too few.
    let mut too_few: BTreeMap<EquipId, u32> = BTreeMap::new();
    for change in changes(course, headcount, late) {
        if found.iter().any(|lever| lever.change.is_as(&change)) {
            continue;
        }
        let Some(changed) = change.apply(course) else { continue };
        let ends = matches!(change, Change::Longer(..) | Change::Ends(_));
        let shown = ends && late.is_some_and(|plan| keeps_to(&changed, headcount, plan));
        let works = |change: &Change| works(change, course, headcount, None, effort);
        if !shown && !works(&change) {
            if let Some((id, count)) = change.counted() {
                too_few.insert(id.clone(), count);
            }
            continue;
        }
        let change = least_that_works(change, &too_few, works);
        let text = change.text(course);
        found.push(Lever { change, text });
    }
    // Longer hours alone always help somehow.
    let hours = |lever: &Lever| matches!(lever.change, Change::Longer(..) | Change::Ends(_));
    if found.iter().all(hours) {
        let several = together::together(course, headcount, late.is_none(), effort);
        let all = several.into_iter().chain(together::fewer(course, headcount, effort));
        found.extend(all.map(|change| Lever { text: change.text(course), change }));
    }
    found
}

/// Of a change that works, the smallest number of things with which it still does, above what was too few.
fn least_that_works(
    change: Change,
    too_few: &BTreeMap<EquipId, u32>,
    works: impl Fn(&Change) -> bool,
) -> Change {
    let Some((id, mut enough)) = change.counted().map(|(id, n)| (id.clone(), n)) else { return change };
    let mut few = too_few.get(&id).copied().unwrap_or(0);
    let mut least = change;
    while enough - few > 1 {
        let middle = few.midpoint(enough);
        let fewer = least.with_count(middle);
        if works(&fewer) {
            (enough, least) = (middle, fewer);
        } else {
            few = middle;
        }
    }
    least
}

impl Change {
    /// What is borrowed and how much of it.
    fn counted(&self) -> Option<(&EquipId, u32)> {
        match self {
            Change::Tins(id, n)
            | Change::Trays(id, n)
            | Change::Tubs(id, n)
            | Change::Cupboard(id, n)
            | Change::Mixer(id, n)
            | Change::Oven(id, n) => Some((id, *n)),
            _ => None,
        }
    }

    /// The same with another number.
    fn with_count(&self, count: u32) -> Change {
        match self {
            Change::Tins(id, _) => Change::Tins(id.clone(), count),
            Change::Trays(id, _) => Change::Trays(id.clone(), count),
            Change::Tubs(id, _) => Change::Tubs(id.clone(), count),
            Change::Cupboard(id, _) => Change::Cupboard(id.clone(), count),
            Change::Mixer(id, _) => Change::Mixer(id.clone(), count),
            Change::Oven(id, _) => Change::Oven(id.clone(), count),
            other => other.clone(),
        }
    }

    /// Whether two changes differ by how much alone.
    #[must_use]
    pub fn is_as(&self, other: &Change) -> bool {
        match (self, other) {
            (Change::Longer(id, _), Change::Longer(same, _)) => id == same,
            (Change::Shelf(id), Change::Cupboard(same, _)) => id == same,
            (Change::Circuit(id, _), Change::Circuit(same, _)) => id == same,
            (Change::Tins(id, _), Change::Tins(same, _))
            | (Change::Trays(id, _), Change::Trays(same, _))
            | (Change::Tubs(id, _), Change::Tubs(same, _)) => id == same,
            _ => false,
        }
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

/// Whether some plan fits with a change: found, and sound by both checkers, as every plan must be that anybody sees. `longer`: whether
/// there is one when each session and the staff's hours after it go on so much longer.
fn works(
    change: &Change,
    course: &Course,
    headcount: Option<u32>,
    longer: Option<Minutes>,
    effort: Effort,
) -> bool {
    let headcount = if let Change::Fewer(people) = change { Some(*people) } else { headcount };
    change.apply(course).is_some_and(|changed| fits(&changed, headcount, longer, effort))
}

fn fits(course: &Course, headcount: Option<u32>, longer: Option<Minutes>, effort: Effort) -> bool {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    let Some(calendar) = Calendar::of(course) else { return false };
    // Of what is never switched off nothing is planned, so that no plan would show it.
    if power::is_overloaded(&course.kitchen) {
        return false;
    }
    // What is shown to be impossible without a search needs none.
    if longer.is_none() && is_never(course, &class, &portions, &options)
        || !crowded(course, &class, &portions, &options, longer).is_empty()
    {
        return false;
    }
    let (combinations, _) = combinations(&options, effort.combinations.max(WIDER));
    // As for the class itself: further ones only where those before cannot be.
    let mut open = 0;
    combinations.iter().enumerate().any(|(place, picked)| {
        if place >= effort.combinations && open >= effort.combinations {
            return false;
        }
        let jobs = Jobs::of(course, &class, &portions, picked);
        let mut model = tasks::model(&jobs, &calendar, Ask::longer(&calendar.grid, longer));
        model.problem.objective.clear();
        model.problem.hints.tidy = None;
        let budget = Budget { per_term: effort.per_term, conflict: 0 };
        let outcome = solver::solve(&model.problem, &budget);
        open += usize::from(!outcome.impossible);
        let plan = plan_of(&jobs, &model, &outcome, (1, 1));
        let plan = plan.map(|plan| with_somebody(&jobs, &mut model, &plan, &budget).unwrap_or(plan));
        // A plan that runs over is measured and checked when it is made for good.
        plan.is_some_and(|plan| longer.is_some() || check(course, &class, &portions, &plan).is_empty())
    })
}
