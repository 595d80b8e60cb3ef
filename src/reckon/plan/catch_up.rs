//! The rest of the day, planned again from now: what is over stays, what runs runs on, and everything else moves as
//! little as possible.
//!
//! Attempts, each only if the one before finds nothing: with every wait as written, but for those that the slip has
//! overstayed already; with longer carries, later breaks, and loads that stay in until there are hands for them; with doughs
//! that stand longer than they should; with doughs that wait for a place to stand in; and the last once more, with more steps and far later ends. What lets pieces wait is held against
//! what lets doughs stand, and gives way where that overstays far less. Sessions may run over in each, as little as possible. What is broken in the end, the checker names. What keeps an allergen apart is never let go.
//!
//! What cannot be done at all with what is left, such as baking without an oven, is left out and said. A dough that has lost the
//! last mixer is kneaded by hand, where its step says how long that takes. What an earlier plan has left out is tried each time again.

mod again_first;
mod aim;
mod cannot;
mod change;
mod gone;
mod hot;
mod keep;
mod kept_clean;
mod loose;
mod lost;
mod names;
mod opening;
mod past;
mod same;
mod told;
mod twice;
mod undone;
mod until_now;
mod ways_out;

pub use cannot::{Costs, LeftOut, Parted};
pub use change::{Changed, Place, changes};
pub use hot::Heats;
pub(super) use keep::{Work, works_of};
pub use kept_clean::{KeptClean, kept_clean};
pub use lost::{Food, LostCold, lost_cold};
pub use names::{MOST_LATE, Said, exactly, named};
pub use ways_out::{WayOut, ways_out};

use super::check::Broken;
use super::choose::{Effort, plan_of};
use super::jobs::{Group, Jobs, Picked};
use super::problem::{Lag, Point};
use super::replay::{Replay, is_left_out, picked_of};
use super::schedule::{Budget, Schedule};
use super::solver;
use super::tasks::{Ask, Model};
use super::timetable::{Plan, PlannedTask};
use crate::course::{Ahead, Course, StationNo};
use crate::reckon::work::{Class, Portion};
use crate::units::{Grams, Minutes};
use again_first::begin_again_first;
use aim::{Earlier, aim};
use gone::{absent, empty_stations, helpers_left, take_over, without_the_absent};
use hot::Ovens;
use jiff::ZonedDateTime;
use loose::loosen;
use opening::opening_stays_first;
use past::{Past, Standing};
use same::Printed;
use std::collections::BTreeSet;
use twice::Hands;
use until_now::{finish_first, fix_the_past, forget};

/// How things stand.
#[derive(Clone, PartialEq, Debug)]
pub struct Now {
    /// What time it is.
    pub time: ZonedDateTime,
    /// Tasks that are over, by id, though the plan has them later.
    pub done: Vec<String>,
    /// Tasks that were not done, by id, though the plan has them earlier.
    pub undone: Vec<String>,
    /// Tasks that run, or start, so much later than planned.
    pub late: Vec<(String, Minutes)>,
    /// What has failed: one oven or mixer as `oven-2`, or one of a kind of anything else by its id.
    pub without: Vec<String>,
    /// Who is not there from now on.
    pub absent: Vec<Absent>,
}

/// Someone who is not there. What they would have made is made all the same: it is weighed already.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Absent {
    /// A student of this station: the others there go on with fewer hands; where nobody is left, staff do the work.
    Student(StationNo),
    /// The helper of this number, from 1.
    Helper(usize),
}

/// How far the course's own times had to be let go.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Loosened {
    /// Not at all, but for what the slip itself has broken.
    Nothing,
    /// Something waits longer than its carry allows, a load stays in until there are hands for it, or a break moves out of its time.
    Waits,
    /// Something stands longer than it should.
    Stands,
    /// Something waits until there is room for it where it is to stand.
    Places,
}

/// A plan from now on.
#[derive(Clone, PartialEq, Debug)]
pub struct CaughtUp {
    /// The plan: what was is as it was.
    pub plan: Plan,
    /// What is different, by the clock.
    pub changes: Vec<Changed>,
    /// What the checker says about it. What happened late may break a carry for good: that is said, not hidden.
    pub broken: Vec<Broken>,
    /// Tasks that had begun on something that has failed, and begin again.
    pub again: Vec<String>,
    /// How far the times had to be let go.
    pub loosened: Loosened,
    /// The stations at which nobody is left.
    pub empty: Vec<StationNo>,
    /// What cannot be done any more, and what would have come after it: it is not in the plan.
    pub left_out: LeftOut,
    /// What the plan before had left out, and this one has again.
    pub back: Vec<String>,
    /// What was not done, with what would have begun on it, and is planned after all.
    pub made_up: Vec<String>,
    /// Doughs that are kneaded by hand, since no mixer is left for them: the tasks, and how much it is.
    pub by_hand: Vec<(String, Grams)>,
    /// Loads that are baked in several, since no oven that is left takes them at once.
    pub parted: Vec<Parted>,
    /// Ovens that are turned otherwise than printed, by the clock.
    pub heats: Vec<Heats>,
}

/// The latest end that is tried lies so many times further out than the effort says.
const LAST_OVER: i32 = 4;

/// The last attempt gets so many times the steps.
const LAST_STEPS: u64 = 4;

/// The aim that counts what is overstayed.
const OVERSTAYED: &str = "overstayed-minutes";

/// The aim that counts by how much breaks are off their time.
const OFF_BREAK: &str = "off-break-minutes";

/// What lets doughs stand too long has to overstay so many times less than what lets pieces wait too long. The program's own figure.
const LESS: i64 = 2;

/// So often work that nobody is free for is moved apart, and planned again.
const TWICE: usize = 12;

/// Plans the rest again; `None` when nothing was found, or when the plan is not one of this course.
#[must_use]
pub fn catch_up(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    now: &Now,
    effort: Effort,
) -> Option<CaughtUp> {
    let left = undone::without_undone(course, class, portions, plan, now);
    let earlier = Earlier::Counts;
    let day = Day { course, class, portions, plan: &left, printed: plan, now, again: Again::All, earlier };
    let undone = !now.undone.is_empty();
    let mut costs = None;
    let mut tried = |day: &Day<'_>| {
        if !undone {
            return day.answer(effort);
        }
        day.made_up_for(effort).map_err(|refused| costs = costs.take().or(refused)).ok()
    };
    // Where what was left out before finds no room any more, it stays left out: of what was not done first what lies open already.
    let found = tried(&day)
        .or_else(|| undone.then(|| tried(&Day { again: Again::Untouched, ..day }))?)
        .or_else(|| day.has_left_out().then(|| Day { again: Again::Nothing, ..day }.answer(effort))?);
    found.map(|mut found| {
        found.left_out.costs = costs;
        found
    })
}

/// The same for a sheet that is printed beforehand: every wait as written, and nothing earlier than printed, but where a session would run
/// over longer without. An answer that `is_followed` does not take is none.
#[must_use]
pub fn catch_up_on_paper(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    now: &Now,
    effort: Effort,
    is_followed: impl Fn(&CaughtUp) -> bool,
) -> Option<CaughtUp> {
    let found = |earlier| {
        let day = Day { course, class, portions, plan, printed: plan, now, again: Again::All, earlier };
        day.as_written(effort).filter(&is_followed)
    };
    let later = found(Earlier::Never);
    if later.as_ref().is_some_and(|later| later.plan.fits) {
        return later;
    }
    let over = later.as_ref().map(|later| later.plan.overrun);
    let sooner = found(Earlier::Least).filter(|sooner| over.is_none_or(|over| sooner.plan.overrun < over));
    sooner.or(later)
}

/// The latest end that is looked at, for an answer that none was found.
#[must_use]
pub fn latest(effort: Effort) -> Minutes {
    Minutes(effort.over.get() * i64::from(LAST_OVER))
}

/// By how much waits and stands are overstayed in all.
fn overstayed(found: &CaughtUp) -> Minutes {
    let term = found.plan.objective.iter().find(|term| term.term == OVERSTAYED);
    term.map_or(Minutes::ZERO, |term| Minutes(term.value))
}

/// A day that goes otherwise than planned.
struct Day<'a> {
    course: &'a Course,
    class: &'a Class,
    portions: &'a [Portion],
    /// The plan, without what was not done.
    plan: &'a Plan,
    /// The plan as everybody has it.
    printed: &'a Plan,
    now: &'a Now,
    /// How much of what the plan has left out is tried again.
    again: Again,
    /// Whether anything may begin earlier than printed.
    earlier: Earlier,
}

/// What of a plan's gaps is tried again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Again {
    /// All of it.
    All,
    /// What nobody has begun: a dough that lies open already and waits for what is missing is given up.
    Untouched,
    /// Nothing.
    Nothing,
}

impl<'a> Day<'a> {
    fn has_left_out(&self) -> bool {
        let picked = picked_of(self.plan);
        let jobs = Jobs::of(self.course, self.class, self.portions, &picked);
        jobs.jobs.iter().any(|job| is_left_out(self.plan, job))
    }

    fn as_written(&self, effort: Effort) -> Option<CaughtUp> {
        let over = super::grid::Calendar::of(self.course)?.grid.up(effort.over);
        self.attempt(Loosened::Nothing, over, effort.per_term)?.0
    }

    fn answer(&self, effort: Effort) -> Option<CaughtUp> {
        let over = super::grid::Calendar::of(self.course)?.grid.up(effort.over);
        let last = over.saturating_mul(LAST_OVER);
        let mut second = None;
        for loosened in [Loosened::Nothing, Loosened::Waits, Loosened::Stands, Loosened::Places] {
            let (found, other) = self.attempt(loosened, over, effort.per_term)?;
            second = second.or(other);
            let Some(found) = found else { continue };
            if loosened == Loosened::Waits && overstayed(&found) > Minutes::ZERO {
                // A dough that stands a little longer is better than loaves that wait long.
                let (stands, _) = self.attempt(Loosened::Stands, over, effort.per_term)?;
                let less = |other: &CaughtUp| {
                    let (over, found_over) = (other.plan.overrun, found.plan.overrun);
                    let (other, found) = (overstayed(other), overstayed(&found));
                    other.get().saturating_mul(LESS) <= found.get() && over <= found_over
                };
                return Some(stands.filter(less).unwrap_or(found));
            }
            return Some(found);
        }
        if second.is_none() {
            let (found, other) = self.attempt(Loosened::Places, last, effort.per_term * LAST_STEPS)?;
            second = found.or(other);
        }
        second
    }

    /// The course's jobs, without some; and where they are. What the plan has left out has not begun.
    fn stands(
        &self,
        picked: &'a Picked,
        over: i32,
        without: &BTreeSet<String>,
    ) -> Option<(Jobs<'a>, Replay, Past)> {
        let (course, plan, now) = (self.course, self.plan, self.now);
        let mut jobs = Jobs::of(course, self.class, self.portions, picked);
        jobs.keep_only(|job| !without.contains(&job.id));
        let ask = Ask { over: Some(over), name_ends: true, ..Ask::default() };
        let as_printed = Replay::with(&jobs, course, plan, ask, Some(&now.time))?;
        let failed = |number: usize| keep::is_in(plan.task(&jobs.jobs[number].id), &now.without);
        let past = Past::of(&jobs, plan, &as_printed, now, &failed);
        Some((jobs, as_printed, past))
    }

    /// A plan in which nobody of the staff is needed twice at once; or else, in the second place, one in which somebody is.
    fn attempt(
        &self,
        loosened: Loosened,
        over: i32,
        per_term: u64,
    ) -> Option<(Option<CaughtUp>, Option<CaughtUp>)> {
        let (course, class, plan, now) = (self.course, self.class, self.plan, self.now);
        let fewer = keep::kitchen_without(course, &now.without);
        let printed = picked_of(plan);
        let (mut picked, mut by_hand, mut left_out) = (printed.clone(), Vec::new(), LeftOut::default());
        let mut parted = Vec::new();
        let planned = Jobs::of(course, class, self.portions, &printed);
        let given_up = cannot::given_up(course, (plan, self.printed), &planned, &now.time, self.again);
        let ask = Ask { over: Some(over), name_ends: true, ovens_differ: true, ..Ask::default() };
        if !now.without.is_empty() {
            let without = given_up.iter().cloned().collect();
            let (jobs, _, past) = self.stands(&printed, over, &without)?;
            (picked, by_hand) = cannot::by_hand(&fewer, &jobs, &past, &printed);
            (picked, parted) = cannot::smaller_loads(course, &jobs, &past, &picked, &now.without);
            let (jobs, _, past) = self.stands(&picked, over, &without)?;
            let jobs = Jobs { course: &fewer, picked: &picked, ..jobs };
            left_out = cannot::left_out(course, &jobs, &past, ask, &now.without)?;
        }
        (left_out.undone, left_out.given_up) =
            given_up.into_iter().partition(|id| self.printed.task(id).is_some());
        left_out.lies = cannot::lies_open(plan, &planned, &now.time, &left_out.undone);
        let (mut jobs, as_printed, mut past) = self.stands(&picked, over, &left_out.all())?;
        // What was to be made ahead and was not is made when there is time for it.
        let missed = |(n, job): &(usize, &mut super::jobs::Job)| {
            past.standing[*n] == Standing::Open && job.ahead == Ahead::Always && is_left_out(plan, job)
        };
        let missed = jobs.jobs.iter_mut().enumerate().filter(missed);
        missed.for_each(|(_, job)| job.ahead = Ahead::IfNeeded);
        let empty = empty_stations(class, &now.absent);
        let no_helper = helpers_left(course, &now.absent) == 0;
        let grid = &as_printed.model.calendar.grid;
        without_the_absent(&mut jobs, (plan, grid), &mut past, &empty, no_helper);
        let jobs = Jobs { course: &fewer, ..jobs };
        let replay = Replay::with(&jobs, &fewer, plan, ask, Some(&now.time))?;
        let mut model = replay.model.clone();
        keep::lower(&as_printed, &mut model, &past);
        let waits = fix_the_past(&jobs, &replay, &mut model, &past);
        keep::as_long_as_printed(&jobs, &planned, &replay, &mut model, &past);
        take_over(&replay, &mut model, &past);
        keep::fail(course, &replay, &mut model, &past, &now.without);
        let ovens = Ovens::of(&jobs, self.printed, &replay, &past);
        ovens.wait_until_hot(&mut model);
        opening_stays_first(&jobs, &replay, &mut model, &past);
        absent(&jobs, plan, &mut model, &past, &now.absent);
        finish_first((&jobs, plan), &replay, &mut model, &past, loosened);
        forget(&replay, &mut model, &past);
        let (overstays, breaks) = loosen(&jobs, &replay, &mut model, &past, loosened);
        aim(&jobs, &replay, &mut model, &past, (waits, overstays), breaks, self.earlier);
        begin_again_first(&mut model, &past);
        let Some((new, hands)) = self.solved(&jobs, (&replay, &mut model), &past, per_term) else {
            return Some((None, None));
        };
        let changes = changes(self.printed, &new);
        let again: Vec<String> = past.again.iter().map(|n| jobs.jobs[*n].id.clone()).collect();
        let gone = left_out.all();
        let broken = self.broken_in(&jobs, &new, (&gone, &again), &empty);
        let heats = ovens.turned_in(&new);
        // A part of a load has not been in any plan.
        let known = |t: &&PlannedTask| match (&t.lesson, &t.group) {
            (Some(lesson), Group::Load(no)) => {
                let of = |p: &&Parted| p.bake.0 == *lesson && p.loads.iter().skip(1).any(|n| n == no);
                !parted.iter().any(|p| of(&p))
            }
            _ => true,
        };
        let back = new.tasks.iter().filter(|t| !t.cold_wait && plan.task(&t.id).is_none()).filter(known);
        let (made_up, back) = back.map(|t| t.id.clone()).partition(|id| self.printed.task(id).is_some());
        let after = CaughtUp {
            back,
            made_up,
            plan: new,
            changes,
            broken,
            again,
            loosened,
            empty,
            left_out,
            by_hand,
            parted,
            heats,
        };
        Some(if hands == Hands::Twice { (None, Some(after)) } else { (Some(after), None) })
    }

    /// A plan for the rest, and whether anybody of the staff does two things at once in it.
    fn solved(
        &self,
        jobs: &Jobs<'_>,
        (replay, model): (&Replay, &mut Model),
        past: &Past,
        per_term: u64,
    ) -> Option<(Plan, Hands)> {
        let budget = Budget { per_term, conflict: 0 };
        let printed = Printed::of(jobs, replay, past);
        let mut found = None;
        for _ in 0..=TWICE {
            let mut outcome = solver::solve(&model.problem, &budget);
            printed.keep(&model.problem, &budget, &mut outcome);
            if let Some(schedule) = &mut outcome.schedule {
                leave_when_done(model, past, schedule);
            }
            let Some(mut new) = plan_of(jobs, model, &outcome, (1, 1)) else { break };
            let grid = &model.calendar.grid;
            for (number, left) in &past.taken {
                let id = &jobs.jobs[*number].id;
                for task in new.tasks.iter_mut().filter(|t| t.id == *id) {
                    task.taken_over = Some(grid.at(grid.slot_from(&task.end) - left));
                }
            }
            keep::who_and_which(self.course, self.plan, &mut new, self.now);
            // That there are hands enough at each moment does not say that each piece of work has its pair from its start to its end.
            let hands = twice::keep_apart(self.course, jobs, model, past, &new);
            found = Some((new, hands));
            if hands != Hands::Twice {
                break;
            }
        }
        found
    }
}

/// Students are gone as soon as all is done that they wait for: no aim says so where the closing had begun before it.
fn leave_when_done(model: &Model, past: &Past, schedule: &mut Schedule) {
    let problem = &model.problem;
    for gone in &model.gone {
        let before = |lag: &&Lag| lag.to == Point::start(*gone) && schedule.chose_all(&lag.only_if);
        let begun = |lag: &Lag| past.standing.get(lag.from.task.0).is_some_and(|s| *s != Standing::Open);
        if !problem.lags.iter().filter(before).any(begun) {
            continue;
        }
        let was = schedule.start[gone.0];
        let done = problem.lags.iter().filter(before).map(|lag| schedule.at(lag.from) + lag.least);
        // What takes the hands of a station lies before its students are gone, or in a session after that.
        let of_students = |resource| {
            problem
                .holds
                .iter()
                .any(|h| h.from == Point::start(*gone) && h.resource == resource && h.amount > 0)
        };
        let hands =
            problem.holds.iter().filter(|h| of_students(h.resource) && schedule.chose_all(&h.only_if));
        let worked = hands.map(|h| schedule.at(h.to)).filter(|end| *end <= was);
        if let Some(end) = done.chain(worked).max() {
            schedule.start[gone.0] = end.min(was);
        }
    }
}
