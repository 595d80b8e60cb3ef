//! The plan of a class: tries the feasible splits into batches and loads, the preferred one first, and keeps the best.

use super::check::{Broken, check};
use super::grid::Calendar;
use super::jobs::{Jobs, Picked};
use super::problem::{Lag, Problem, Quantity, Side};
use super::schedule::{Budget, Outcome, Schedule};
use super::solver;
use super::tasks::{self, Ask, Model, OVERRUN, Reading};
use super::timetable::{Plan, PlannedSession, TermValue, choice_of, tasks_of};
use super::unstaffed::{Unstaffed, unstaffed, with_somebody};
use super::verify::verify;
use crate::course::Course;
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;

/// How much work a plan may cost.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Effort {
    /// Solver steps for a first plan and for each term of the objective.
    pub per_term: u64,
    /// Combinations of splits that are tried.
    pub combinations: usize,
    /// How far a session may run over in the least-late plan.
    pub over: Minutes,
}

impl Effort {
    /// Enough to find a plan, and not to prove the last minute of it: where many are tried, or somebody waits with floury hands.
    #[must_use]
    pub fn quick() -> Effort {
        Effort { per_term: 25_000, ..Effort::default() }
    }
}

impl Default for Effort {
    fn default() -> Effort {
        Effort { per_term: 60_000, combinations: 4, over: Minutes::hours(4) }
    }
}

/// What came of planning a class.
#[derive(Clone, PartialEq, Debug)]
pub struct Planned {
    /// The best plan: one that fits, or else the least late; `None` when not even that was found.
    pub plan: Option<Plan>,
    /// It is proven that nothing fits in the written times (as far as all combinations were tried).
    pub impossible: bool,
    /// It is proven that nothing fits either when sessions, and the staff's hours after them, run over as far as is tried.
    pub hopeless: bool,
    /// So much longer sessions, and the staff's hours after them, were tried where nothing fits in the hours as written.
    pub over: Minutes,
    /// So much longer ones were tried after that, and no plan was found.
    pub further: Option<Minutes>,
    /// What the checker refused in a plan that was found: an error of this program, never of the course.
    pub refused: Vec<Broken>,
    /// What nobody of the staff is free for in a plan that was found and holds but for that: the first such plan's.
    pub nobody: Vec<Unstaffed>,
}

impl Planned {
    /// A plan that is known, or none, where nothing was looked for.
    #[must_use]
    pub fn given(plan: Option<Plan>) -> Planned {
        let over = Effort::default().over;
        Planned {
            plan,
            impossible: false,
            hopeless: false,
            over,
            further: None,
            refused: Vec::new(),
            nobody: Vec::new(),
        }
    }

    /// By how much it is too long; or, without a plan, what was tried and no more than that showed.
    #[must_use]
    pub fn figure(&self) -> String {
        let (over, most) = (self.over, self.further.unwrap_or(self.over));
        match &self.plan {
            Some(plan) => plan.too_long(),
            None if !self.refused.is_empty() => self.refusal(),
            None if self.wants_somebody() => {
                let all: Vec<String> = self.nobody.iter().map(Unstaffed::text).collect();
                format!("{}; no plan was found in which somebody is", all.join("; and "))
            }
            None if self.hopeless => {
                let further = self.further.map_or_else(String::new, |further| {
                    format!("; and with up to {further} longer none was found in as many steps as are tried")
                });
                format!(
                    "no plan fits, not even with each session and the staff's hours after it {over} longer: that is proven{further}"
                )
            }
            None if self.impossible => format!(
                "no plan fits in the hours as written: that is proven; and with each session and the staff's hours after it up to \
                 {most} longer none was found in as many steps as are tried"
            ),
            None => format!(
                "no plan was found in as many steps as are tried, neither in the hours as written nor with each session and the \
                 staff's hours after it up to {most} longer; that there is none is not shown"
            ),
        }
    }

    /// There is no plan, and all that is wrong with those that were found is that nobody is free for something.
    #[must_use]
    pub fn wants_somebody(&self) -> bool {
        self.plan.is_none() && self.refused.is_empty() && !self.nobody.is_empty()
    }

    /// That a plan was found and the checker refused it, with the first of what is wrong.
    #[must_use]
    pub fn refusal(&self) -> String {
        let first = self.refused.first().map_or_else(String::new, |broken| {
            let tasks = if broken.tasks.is_empty() {
                String::new()
            } else {
                format!(" ({})", broken.tasks.join(", "))
            };
            format!(": {}: {}{tasks}", broken.rule, broken.message)
        });
        format!("a plan was found, and benchroll's own checker of plans refused it{first}")
    }
}

/// Plans a class.
///
/// # Errors
/// None: a class that does not fit gets its least-late plan.
#[must_use]
pub fn plan(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    options: &Options,
    effort: Effort,
) -> Planned {
    let Some(calendar) = Calendar::of(course) else {
        return Planned { impossible: true, hopeless: true, over: effort.over, ..Planned::given(None) };
    };
    let (combinations, all) = combinations(options, effort.combinations.max(WIDER));
    let mut search = Search {
        course,
        class,
        portions,
        calendar: &calendar,
        tried: (combinations.len().min(effort.combinations.max(1)), all),
        best: None,
        refused: Vec::new(),
        nobody: Vec::new(),
        counted: false,
        one_by_one: false,
        over: Vec::new(),
    };
    let (mut impossible, mut proven) = search.all(&combinations, Ask::default(), effort);
    // Ovens that are counted together are proven sooner, and at times that leads the search past what fits: before a class is called
    // late, it is looked through oven by oven.
    if search.best.is_none() && !impossible && search.counted {
        search.one_by_one = true;
        (impossible, proven) = search.all(&combinations, Ask::default(), effort);
        search.one_by_one = false;
    }
    let mut hopeless = false;
    if search.best.is_none() {
        let late = Ask::longer(&calendar.grid, Some(effort.over));
        (hopeless, proven) = search.all(&combinations, late, effort);
    } else {
        impossible = false;
    }
    // What is too late in every split fits in none of them as written.
    impossible |= search.best.as_ref().is_some_and(|plan| !plan.fits) && search.least_over() > 0;
    let plan = search.best.map(|best| Plan { proven_optimal: best.proven_optimal && proven, ..best });
    let over = effort.over;
    Planned {
        plan,
        impossible,
        hopeless,
        over,
        further: None,
        refused: search.refused,
        nobody: search.nobody,
    }
}

/// A combination after the first gets this part of the steps: it is only looked at for a better plan than is known.
const LATER_SHARE: u64 = 8;

/// So many combinations are tried at most where none of the preferred ones can be: each is refused soon.
pub(super) const WIDER: usize = 24;

/// What is known about a combination.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Known {
    /// Nothing fits.
    Impossible,
    /// Its best plan, or that it has none that is better than one known before.
    Settled,
    /// Not all of it.
    Open,
}

/// The best plan so far.
struct Search<'a> {
    course: &'a Course,
    class: &'a Class,
    portions: &'a [Portion],
    calendar: &'a Calendar,
    tried: (usize, usize),
    best: Option<Plan>,
    refused: Vec<Broken>,
    /// What nobody is free for in the first plan of which nothing else is wrong.
    nobody: Vec<Unstaffed>,
    /// Some ovens were counted together.
    counted: bool,
    /// They are not: each is looked at alone.
    one_by_one: bool,
    /// By how many minutes each combination is shown to be too late at least.
    over: Vec<i64>,
}

impl Search<'_> {
    /// Looks into the preferred combinations, one after another, and into others as long as there is no plan and so few were left open:
    /// the preferred ones may be just those for which there are too few tins. Gives whether it is shown that nothing fits, as far as all
    /// there are were tried; and whether of each all is known.
    fn all(&mut self, combinations: &[Picked], ask: Ask, effort: Effort) -> (bool, bool) {
        // How late a class is, is said of all that it was looked through for.
        let preferred = effort.combinations.max(if ask.over.is_some() { self.tried.0 } else { 1 });
        let (mut open, mut impossible) = (0, 0);
        self.over.clear();
        for (place, picked) in combinations.iter().enumerate() {
            if place >= preferred && (self.best.is_some() || open >= preferred) {
                break;
            }
            let steps = if place == 0 { effort.per_term } else { effort.per_term / LATER_SHARE };
            self.tried.0 = self.tried.0.max(place + 1);
            match self.one(picked, ask, steps) {
                Known::Impossible => impossible += 1,
                Known::Settled => {}
                Known::Open => open += 1,
            }
        }
        (impossible == self.tried.1, open == 0)
    }

    /// By how many minutes every combination that there is is too late at least; 0: nothing is shown.
    fn least_over(&self) -> i64 {
        let all = self.over.len() == self.tried.1;
        self.over.iter().copied().min().filter(|_| all).unwrap_or(0)
    }

    /// Looks into one combination for a better plan than the one that is known.
    fn one(&mut self, picked: &Picked, ask: Ask, per_term: u64) -> Known {
        let jobs = Jobs::of(self.course, self.class, self.portions, picked);
        let mut model = tasks::model(&jobs, self.calendar, ask);
        if self.one_by_one {
            model.problem.alike.clear();
            model.problem.numberings.clear();
        }
        self.counted |= !model.problem.alike.is_empty();
        if let Some(best) = &self.best {
            let of_solver = |(t, r): (&TermValue, &Reading)| {
                i32::try_from(t.value.div_euclid(r.times.max(1)) - r.plus).unwrap_or(i32::MAX)
            };
            model.problem.hints.beat = best.objective.iter().zip(&model.readings).map(of_solver).collect();
        }
        let budget = Budget { per_term, conflict: 0 };
        let outcome = solver::solve(&model.problem, &budget);
        let mut steps = self.best.as_ref().map_or(0, |b| b.steps) + outcome.steps;
        self.over.push(match (&self.best, outcome.terms.first().zip(model.readings.first())) {
            _ if outcome.impossible => i64::MAX,
            (Some(best), _) if outcome.no_better => best.overrun.get(),
            (_, Some((term, reading))) if reading.term == OVERRUN => {
                (i64::from(term.bound) + reading.plus) * reading.times
            }
            _ => 0,
        });
        let mut found = plan_of(&jobs, &model, &outcome, self.tried);
        let known = match &found {
            Some(plan) if plan.proven_optimal => Known::Settled,
            None if outcome.impossible => Known::Impossible,
            None if outcome.no_better => Known::Settled,
            _ => Known::Open,
        };
        let mut known = known;
        if let Some(apart) = found.as_ref().and_then(|plan| with_somebody(&jobs, &mut model, plan, &budget)) {
            steps += apart.steps;
            (found, known) = (Some(apart), Known::Open);
        }
        if let Some(found) = found {
            let broken = check(self.course, self.class, self.portions, &found);
            if !broken.is_empty() {
                known = Known::Open;
            }
            let better = self.best.as_ref().is_none_or(|best| values(&found) < values(best));
            let wants_somebody = broken.iter().all(Broken::wants_somebody);
            match broken.is_empty() {
                true if better => self.best = Some(found),
                false if wants_somebody && self.nobody.is_empty() => {
                    self.nobody = unstaffed(self.course, &found);
                }
                _ => {}
            }
            self.refused.extend(broken.into_iter().filter(|_| !wants_somebody));
        }
        if let Some(best) = &mut self.best {
            best.steps = steps;
        }
        known
    }
}

/// What two plans are compared by: the smaller first term that differs.
fn values(plan: &Plan) -> Vec<i64> {
    plan.objective.iter().map(|t| t.value).collect()
}

/// Reads the plan off what the solver found; `None` without a schedule, or with one that the checker refuses.
pub(super) fn plan_of(
    jobs: &Jobs<'_>,
    model: &Model,
    outcome: &Outcome,
    tried: (usize, usize),
) -> Option<Plan> {
    let schedule = outcome.schedule.as_ref()?;
    if !verify(&model.problem, schedule).is_empty() {
        return None;
    }
    let least_over = least_overrun(&model.problem, schedule);
    let objective: Vec<TermValue> = outcome
        .terms
        .iter()
        .zip(&model.readings)
        .map(|(term, reading)| {
            let read = |n: i32| (i64::from(n) + reading.plus) * reading.times;
            let found = if reading.term == OVERRUN { least_over.unwrap_or(term.value) } else { term.value };
            // Minutes and steps are never fewer than none, whatever was shown of the solver's number.
            let (value, bound) = (read(found), read(term.bound).max(0));
            TermValue { term: reading.term.to_owned(), value, bound, proven: term.proven }
        })
        .collect();
    let overrun = objective.iter().find(|t| t.term == OVERRUN).map_or(0, |t| t.value);
    let proven_optimal = objective.iter().all(|t| t.proven);
    let tasks = tasks_of(jobs, model, schedule);
    let sessions = jobs
        .course
        .sessions
        .iter()
        .zip(&model.gone)
        .map(|(session, gone)| PlannedSession {
            id: session.id.value.clone(),
            start: session.from.value.clone(),
            end: session.to.value.clone(),
            finish: model.calendar.grid.at(schedule.start[gone.0]),
        })
        .collect();
    Some(Plan {
        fits: overrun == 0,
        overrun: Minutes(overrun),
        proven_optimal,
        tried,
        objective,
        made_ahead: tasks.iter().filter(|t| t.made_ahead).map(|t| t.id.clone()).collect(),
        tasks,
        sessions,
        choice: choice_of(jobs, model, schedule),
        steps: outcome.steps,
    })
}

/// By how much the sessions, and the staff's hours after them, run over when everything else is where the schedule has it; `None`: they
/// may not. The aims after this one move work nearer, and the span that was found for it first would stay longer than what is done.
fn least_overrun(problem: &Problem, schedule: &Schedule) -> Option<i32> {
    let term = problem.objective.iter().find(|t| t.name == OVERRUN)?;
    let of = |quantity: &Quantity| match quantity {
        Quantity::Duration(task) => {
            let holds = |l: &&Lag| {
                l.to.task == *task
                    && l.to.side == Side::End
                    && l.from.task != *task
                    && schedule.chose_all(&l.only_if)
            };
            let ends = problem.lags.iter().filter(holds).map(|l| schedule.at(l.from) + l.least - l.to.plus);
            ends.max().map_or(0, |end| end - schedule.start[task.0]).clamp(0, schedule.duration(*task))
        }
        _ => 0,
    };
    Some(term.sum.iter().map(|(times, quantity)| times * of(quantity)).sum())
}

/// Combinations of splits, the preferred ones first, at most so many; and how many there are in all.
pub(super) fn combinations(options: &Options, most: usize) -> (Vec<Picked>, usize) {
    let sizes: Vec<usize> =
        options.splits.values().map(Vec::len).chain(options.bakes.values().map(Vec::len)).collect();
    let all = sizes.iter().fold(1usize, |all, n| all.saturating_mul((*n).max(1)));
    let mut found: Vec<Vec<usize>> = vec![vec![0; sizes.len()]];
    let mut next = 0;
    // Breadth first from the preferred one: one place further from it with each round.
    while next < found.len() && found.len() < most.max(1) {
        for place in 0..sizes.len() {
            let mut one = found[next].clone();
            one[place] += 1;
            if one[place] < sizes[place] && !found.contains(&one) && found.len() < most.max(1) {
                found.push(one);
            }
        }
        next += 1;
    }
    let picked = |places: &Vec<usize>| {
        let mut places = places.iter().copied();
        let mut picked = Picked::default();
        for (key, splits) in &options.splits {
            let place = places.next().unwrap_or(0);
            if let Some(split) = splits.get(place) {
                picked.splits.insert(key.clone(), split.clone());
            }
        }
        for (key, bakes) in &options.bakes {
            let place = places.next().unwrap_or(0);
            if let Some(bake) = bakes.get(place) {
                picked.bakes.insert(key.clone(), bake.clone());
            }
        }
        picked
    };
    (found.iter().map(picked).collect(), all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::plan::problem::{Point, Reason, Term, Way};

    #[test]
    fn without_a_plan_no_more_is_said_than_was_shown() {
        let none = Planned::given(None);
        assert!(none.figure().ends_with("that there is none is not shown"), "{}", none.figure());
        let hopeless = Planned { hopeless: true, ..none.clone() };
        assert!(hopeless.figure().contains("4 h longer: that is proven"), "{}", hopeless.figure());
        // What was tried last is said, and what was proven.
        let further = Some(Minutes::hours(10));
        let tried = Planned { further, ..none.clone() };
        assert!(
            tried.figure().contains("up to 10 h longer; that there is none is not shown"),
            "{}",
            tried.figure()
        );
        let both = Planned { further, ..hopeless.clone() };
        assert!(
            both.figure().ends_with("4 h longer: that is proven; and with up to 10 h longer none was found in as many steps as are tried"),
            "{}",
            both.figure()
        );
        let broken = Broken {
            rule: "complete",
            tasks: vec!["bun.bake@load-1".into()],
            message: "is not there".into(),
        };
        let refused = Planned { refused: vec![broken], ..none };
        let said = refused.figure();
        assert!(said.contains("refused it: complete: is not there (bun.bake@load-1)"), "{said}");
        assert!(!said.contains("longer"), "{said}");
    }

    /// The session ends at slot 10, the class is gone at 15, staff leave at 12; the span found for it first is 20 long.
    #[test]
    fn a_class_is_too_long_by_what_is_done_and_not_by_what_was_found_first() {
        let mut problem = Problem::new(40);
        let span = |least, most| vec![Way::ranged("", least, most)];
        let gone = problem.task("gone", span(0, 30));
        let off = problem.task("off", span(0, 30));
        let late = problem.task("too long", span(0, 30));
        problem.after(Point::start(gone), Point::end(late), 0);
        problem.after(Point::start(off), Point::end(late), 0);
        problem.lag(Point::start(late), Point::end(late), 0, Some(30), Reason::Always);
        assert_eq!(least_overrun(&problem, &Schedule { start: vec![], end: vec![], way: vec![] }), None);
        problem.objective.push(Term { name: OVERRUN.to_owned(), sum: vec![(1, Quantity::Duration(late))] });
        let mut schedule = Schedule { start: vec![15, 12, 10], end: vec![40, 40, 30], way: vec![0, 0, 0] };
        assert_eq!(least_overrun(&problem, &schedule), Some(5));
        // The staff's hours run over for longer.
        schedule.start[off.0] = 18;
        assert_eq!(least_overrun(&problem, &schedule), Some(8));
        schedule.start = vec![9, 9, 10];
        assert_eq!(least_overrun(&problem, &schedule), Some(0));
    }
}
