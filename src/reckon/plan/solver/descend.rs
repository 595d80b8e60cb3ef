//! One term of the objective after the other, down to the least that can be proven.

use std::collections::VecDeque;

use pumpkin_core::predicate;
use pumpkin_core::predicates::{Predicate, PredicateConstructor};
use pumpkin_core::variables::DomainId;

use super::loose::Things;
use super::model::Reasons;
use super::objective::{Part, Posted, post_term};
use super::parted::{OrderBy, Parted, Slots, parted};
use super::post::{Orders, model_of};
use super::{Answer, Engine};
use crate::reckon::plan::problem::{self, Problem, Term};
use crate::reckon::plan::schedule::{Outcome, Schedule, TermResult};
use crate::reckon::plan::verify::term_value;

/// What is known from the problem with things alike counted only.
pub(super) struct Guide<'a> {
    /// Its best plan.
    pub(super) schedule: &'a Schedule,
    /// The values of that, and bounds: they hold for the whole problem as well, as long as the terms before have the values.
    pub(super) terms: &'a [TermResult],
    /// The least that each part of each term can be; as long as the terms before have the values.
    pub(super) parts: &'a [Vec<LeastPart>],
}

/// A part of a sum, and the least that it can be.
pub(super) type LeastPart = (Part, i32);

/// Makes one term after the other as small as can be.
///
/// With [`crate::reckon::plan::problem::Hints::beat`] only a plan that is better than those values is looked for.
/// Beside the outcome it gives the least that each part of each term can be.
pub(super) fn lexicographic(
    problem: &Problem,
    steps: u64,
    things: Things,
    guide: Option<&Guide>,
) -> (Outcome, Vec<Vec<LeastPart>>) {
    let tasks = problem.tasks.len() as u64;
    let steps = steps * tasks.max(LARGE) / LARGE;
    let model = model_of(problem, Reasons::Hold, Orders::OneStep, things);
    let mut engine =
        Engine::new(problem, model, problem.hints.warm.as_ref(), guide.map(|guide| guide.schedule));
    let mut outcome = Outcome::default();
    let mut beat = Beat { values: &problem.hints.beat, tied: !problem.hints.beat.is_empty() };
    let known = guide.map_or(&[] as &[TermResult], |guide| guide.terms);
    let at_once = &problem.objective[..known.len().max(1).min(problem.objective.len())];
    let mut posted: VecDeque<Posted> =
        at_once.iter().map(|term| post_term(&mut engine.model, term)).collect();
    if let Some(first) = posted.front() {
        beat.demand(&mut engine, 0, first.value);
    }
    // As good as what is shown to be the least: a plan that is as good in what is not may be far harder to find than any other.
    let as_good: Vec<Predicate> = posted
        .iter()
        .zip(known.iter().take_while(|term| term.proven))
        .map(|(posted, term)| {
            let value = posted.value;
            predicate![value <= term.value]
        })
        .collect();
    let mut found = Answer::Unknown;
    if !as_good.is_empty() {
        // Where the plan with things counted can be told out, few steps show it.
        found = engine.ask(&as_good, if tasks > LARGE { steps / AS_GOOD_SHARE } else { steps });
    }
    if !matches!(found, Answer::Found(_)) {
        found = engine.ask(&[], steps);
    }
    let mut best = match found {
        Answer::Found(schedule) => schedule,
        answer => {
            let none = matches!(answer, Answer::Impossible(_));
            outcome.no_better = none && beat.tied;
            outcome.impossible = none && !beat.tied;
            outcome.steps = engine.steps.spent;
            return (outcome, Vec::new());
        }
    };
    // The terms so far have the values of the guide.
    let mut guided = true;
    let mut shown: Vec<Vec<LeastPart>> = Vec::new();
    for (place, term) in problem.objective.iter().enumerate() {
        let Posted { value: objective, parts, unit } =
            posted.pop_front().unwrap_or_else(|| post_term(&mut engine.model, term));
        let value_of = |schedule: &Schedule| term_value(term, schedule);
        if beat.demand(&mut engine, place, objective).is_some_and(|limit| value_of(&best) > limit) {
            match engine.ask(&[], steps) {
                Answer::Found(schedule) => best = schedule,
                answer => {
                    let no_better = matches!(answer, Answer::Impossible(_));
                    let steps = engine.steps.spent;
                    return (Outcome { no_better, steps, ..Outcome::default() }, Vec::new());
                }
            }
        }
        let lesser = problem.hints.lesser && place + 1 == problem.objective.len();
        // Where things are counted first, plans are dear and the bounds of the parts come late.
        let large = tasks > LARGE && (lesser || things == Things::Counted || guide.is_some());
        // What is not shown with things counted is not shown here.
        let open = known.get(place).is_some_and(|known| !known.proven);
        let share = if lesser && open {
            steps / LESSER_SHARE / LESSER_SHARE
        } else if lesser {
            (steps / LESSER_SHARE * tasks.max(LARGE) / LARGE).min(steps).min(LESSER_MOST)
        } else {
            steps
        };
        let end = engine.steps.spent + share;
        let settled: Vec<(&Term, i32)> =
            problem.objective.iter().zip(outcome.terms.iter().map(|term| term.value)).collect();
        let apart = (tasks > LARGE && things == Things::Counted).then_some(Apart {
            problem,
            settled,
            steps: steps / APART_SHARE,
        });
        let down = Down { objective, unit, end, steps: share, large, value_of, apart };
        let guided_by = known.get(place).filter(|_| guided);
        if let Some(known) = guided_by {
            engine.model.clause(vec![predicate![objective >= known.bound]]);
            let least = guide.and_then(|guide| guide.parts.get(place)).into_iter().flatten();
            for (part, least) in least.flat_map(|known| parts.iter().filter_map(|part| part.least_by(known)))
            {
                engine.model.clause(vec![part.view.lower_bound_predicate(least)]);
            }
            engine.model.settle();
        }
        let as_good = guided_by.filter(|known| value_of(&best) == known.value);
        let bound = match as_good {
            Some(known) => known.bound,
            None => down.descend(&mut engine, &parts, &mut best),
        };
        let least = |part: &Part| engine.model.solver.lower_bound(&part.view);
        shown.push(parts.iter().map(|part| (part.clone(), least(part))).collect());
        let value = term_value(term, &best);
        let proven = bound >= value;
        beat.went_down_to(place, value);
        guided &= known.get(place).is_some_and(|known| value == known.value);
        outcome.terms.push(TermResult { name: term.name.clone(), value, bound, proven });
        // From here on the term keeps the value.
        engine.model.clause(vec![predicate![objective <= value]]);
    }
    if let Some(tidy) = &problem.hints.tidy {
        let Posted { value: objective, unit, .. } = post_term(&mut engine.model, tidy);
        let steps = steps / TIDY_SHARE;
        let value_of = |schedule: &Schedule| term_value(tidy, schedule);
        let down = Down {
            objective,
            unit,
            end: engine.steps.spent + steps,
            steps,
            large: false,
            value_of,
            apart: None,
        };
        let _ = down.descend(&mut engine, &[], &mut best);
    }
    // A later term may have been made smaller by a plan that is better in an earlier one, too.
    for (term, result) in problem.objective.iter().zip(&mut outcome.terms) {
        result.value = term_value(term, &best);
        result.proven = result.bound >= result.value;
    }
    outcome.schedule = Some(best);
    outcome.steps = engine.steps.spent;
    (outcome, shown)
}

/// A plan that is known already, by its values.
struct Beat<'a> {
    values: &'a [i32],
    /// So far no term is below its value.
    tied: bool,
}

impl Beat<'_> {
    /// The most that a term may be, if no term before it was below its value; that is posted.
    fn demand(&self, engine: &mut Engine, place: usize, objective: DomainId) -> Option<i32> {
        let value = self.values.get(place).filter(|_| self.tied)?;
        let limit = if place + 1 == self.values.len() { value.saturating_sub(1) } else { *value };
        engine.model.clause(vec![predicate![objective <= limit]]);
        engine.model.settle();
        Some(limit)
    }

    fn went_down_to(&mut self, place: usize, value: i32) {
        self.tied &= self.values.get(place).is_some_and(|known| value >= *known);
    }
}

/// A last term that is worth less gets this part of the steps.
const LESSER_SHARE: u64 = 4;

/// It never gets more than so many, but for what is asked where nothing is shared: in a class of a hundred they would be minutes.
const LESSER_MOST: u64 = 60_000;

/// With more tasks than these each term gets as many times more steps, as each decision is one and a plan takes more of them; and the last
/// term once more as many times: few plans bring a large class nowhere near its best day.
const LARGE: u64 = problem::LARGE as u64;

/// In a large class a plan as good as with things counted gets this part of the steps.
const AS_GOOD_SHARE: u64 = 4;

/// Tidying up gets this part of the steps for a term.
const TIDY_SHARE: u64 = 16;

/// A step that is more than one slot down gets this part of the steps for a term.
const JUMP_SHARE: u64 = 16;

/// What the parts of a sum may cost together: this part of the steps for a term.
const PARTS_SHARE: u64 = 2;

/// To make one part smaller may cost as much as so many plans.
const PART_PLANS: u64 = 3;

/// In a large class one question about that may cost as much as so many.
const PLANS_ONE: u64 = 2;

/// What is looked at with nothing shared between groups.
struct Apart<'a> {
    problem: &'a Problem,
    /// The terms before, and the most that each may be.
    settled: Vec<(&'a Term, i32)>,
    /// For one question.
    steps: u64,
}

/// One question where nothing is shared gets this part of the steps.
const APART_SHARE: u64 = 32;

/// So many such questions are asked about a part at most.
const APART_TRIES: usize = 3;

/// One term on its way down.
struct Down<'a, F: Fn(&Schedule) -> i32> {
    objective: DomainId,
    /// Any two values are a multiple of this apart.
    unit: i32,
    steps: u64,
    /// Each plan costs many of them.
    large: bool,
    /// The steps end here.
    end: u64,
    value_of: F,
    /// Where groups alike are many.
    apart: Option<Apart<'a>>,
}

impl<F: Fn(&Schedule) -> i32> Down<'_, F> {
    /// Makes the objective as small as the steps allow; the bound that is proven.
    ///
    /// It goes down in steps that double as long as plans are found, since each plan costs as much
    /// whether it is better by one or by fifty. Where there is none, it halves what is left between.
    fn descend(&self, engine: &mut Engine, parts: &[Part], best: &mut Schedule) -> i32 {
        let (objective, unit) = (self.objective, self.unit);
        let mut bound = engine.model.solver.lower_bound(&objective);
        if bound < (self.value_of)(best) && parts.len() > 1 {
            let share = self.steps / PARTS_SHARE / parts.len() as u64;
            for part in parts {
                // In a large class what is not shown at once is far easier to show once all parts are near their least.
                let steps = if self.large { share.min(PART_PLANS * engine.plan_costs()) } else { share };
                self.raise(engine, part, steps, best);
            }
            let plans = if self.large { PART_PLANS * engine.plan_costs() } else { 0 };
            self.one_by_one(engine, parts, share.max(plans), best);
            for part in parts {
                self.raise_apart(engine, part, best);
            }
            engine.model.settle();
            bound = bound.max(engine.model.solver.lower_bound(&objective));
        }
        let mut jump = unit;
        let mut longest = i32::MAX;
        // In a large class, if the sum alone is not shown in half of the steps, there are some left for each part.
        let mut parts_again = self.large && parts.len() > 1;
        let half = self.end - self.end.saturating_sub(engine.steps.spent) / PARTS_SHARE;
        loop {
            let value = (self.value_of)(best);
            if bound >= value {
                return value;
            }
            // No value lies between two that are a unit apart.
            bound = value - (value - bound) / unit * unit;
            if bound >= value {
                return value;
            }
            let end = if parts_again { half } else { self.end };
            let left = end.saturating_sub(engine.steps.spent);
            let aim = bound.max(value.saturating_sub(jump));
            let small = aim == value - unit;
            let slice =
                if small { left } else { left.min((self.steps / JUMP_SHARE).max(engine.plan_costs())) };
            match engine.ask(&[predicate![objective <= aim]], slice) {
                Answer::Found(schedule) => {
                    *best = schedule;
                    jump = jump.saturating_mul(2).min(longest);
                }
                Answer::Impossible(_) => {
                    bound = aim + unit;
                    longest = ((value - bound) / 2 / unit * unit).max(unit);
                    jump = longest;
                }
                Answer::Unknown if small && parts_again => {
                    parts_again = false;
                    let share =
                        self.end.saturating_sub(engine.steps.spent) / PARTS_SHARE / parts.len() as u64;
                    for part in parts {
                        self.raise(engine, part, share, best);
                    }
                    engine.model.settle();
                    bound = bound.max(engine.model.solver.lower_bound(&objective));
                }
                Answer::Unknown if small => return bound,
                Answer::Unknown => {
                    longest = (jump / 2 / unit * unit).max(unit);
                    jump = unit;
                }
            }
        }
    }

    /// Makes one part of the sum smaller while no other grows: far easier than all at once, and most of the way.
    fn one_by_one(&self, engine: &mut Engine, parts: &[Part], steps: u64, best: &mut Schedule) {
        for (own, part) in parts.iter().enumerate() {
            let end = self.end.min(engine.steps.spent + steps);
            let unit = part.unit();
            let half = |value: i32, least: i32| ((value - least) / 2 / unit * unit).max(unit);
            let mut jump = unit;
            if self.large {
                // Each plan is dear, and what is not found soon is not there.
                jump = half(part.value(best), engine.model.solver.lower_bound(&part.view));
            }
            loop {
                let values: Vec<i32> = parts.iter().map(|part| part.value(best)).collect();
                let least = engine.model.solver.lower_bound(&part.view);
                let left = end.saturating_sub(engine.steps.spent);
                if values[own] <= least || left == 0 {
                    break;
                }
                let aim = least.max(values[own] - jump);
                let limits = parts.iter().zip(&values).enumerate().map(|(place, (part, value))| {
                    part.view.upper_bound_predicate(if place == own { aim } else { *value })
                });
                let limits: Vec<Predicate> = limits.collect();
                let slice = if self.large { PLANS_ONE } else { 1 } * engine.plan_costs();
                let slice = if self.large { slice } else { slice.max(steps / 4) };
                match engine.ask(&limits, left.min(slice)) {
                    Answer::Found(schedule) => {
                        *best = schedule;
                        jump = if self.large { jump.min(half(part.value(best), least)) } else { 2 * jump };
                    }
                    Answer::Impossible(_) | Answer::Unknown if jump == unit => break,
                    Answer::Impossible(_) | Answer::Unknown if self.large => jump = half(jump, 0),
                    Answer::Impossible(_) | Answer::Unknown => jump = unit,
                }
            }
        }
    }

    /// The least that one part of the sum can be, as far as so many steps show it: from below in steps that double, and back
    /// by halves where there is a plan. That one session can't end earlier is far easier to see than that two can't together.
    fn raise(&self, engine: &mut Engine, part: &Part, steps: u64, best: &mut Schedule) {
        let end = engine.steps.spent + steps;
        let unit = part.unit();
        let mut least = engine.model.solver.lower_bound(&part.view);
        // The least value that some plan is known to have.
        let mut most = part.value(best);
        let mut jump = 0;
        while least < most {
            let left = end.saturating_sub(engine.steps.spent);
            if left == 0 {
                break;
            }
            let aim = (least + jump).min(most - unit);
            let slice = if jump == 0 { left } else { left.min((steps / 4).max(engine.plan_costs())) };
            match engine.ask(&[part.view.upper_bound_predicate(aim)], slice) {
                Answer::Impossible(_) => {
                    least = aim + unit;
                    jump = (2 * jump).max(unit);
                }
                Answer::Found(schedule) => {
                    most = part.value(&schedule).min(aim);
                    jump = (most - least) / 2 / unit * unit;
                    if (self.value_of)(&schedule) < (self.value_of)(best) {
                        *best = schedule;
                    }
                }
                Answer::Unknown if jump == 0 => break,
                Answer::Unknown => jump = 0,
            }
        }
        engine.model.clause(vec![part.view.lower_bound_predicate(least)]);
    }

    /// Shows of a part that it can't be less than in the best plan where nothing is shared, or than what is half way to that.
    fn raise_apart(&self, engine: &mut Engine, part: &Part, best: &Schedule) {
        let (value, unit) = (part.value(best), part.unit());
        let (term, fixed) = part.alone();
        let mut least = engine.model.solver.lower_bound(&part.view);
        let mut aim = value - unit;
        for _ in 0..APART_TRIES {
            if least > aim {
                break;
            }
            if self.impossible_apart(engine, &term, aim + fixed, part.until(best)) {
                least = aim + unit;
                break;
            }
            aim = least + (aim - least) / 2 / unit * unit - if aim - least < 2 * unit { unit } else { 0 };
        }
        engine.model.clause(vec![part.view.lower_bound_predicate(least)]);
    }

    /// Whether it is shown that a term can't be so much or less where nothing is shared ([`parted`]): with many groups which of them come
    /// first is a question with as many answers, and there it has one. Groups are put in order by a task before the slot `until`.
    fn impossible_apart(&self, engine: &mut Engine, term: &Term, aim: i32, until: i32) -> bool {
        let Some(whole) = &self.apart else { return false };
        let slots = Slots::of(&engine.model);
        let by = OrderBy { slots: &slots, until };
        let Some(Parted { problem, most }) = parted(whole.problem, &whole.settled, term, &by) else {
            return false;
        };
        let mut model = model_of(&problem, Reasons::Hold, Orders::OneStep, Things::Counted);
        for (term, most) in problem.objective.iter().zip(most) {
            let value = post_term(&mut model, term).value;
            model.clause(vec![predicate![value <= most]]);
        }
        let Some(last) = problem.objective.last() else { return false };
        let objective = post_term(&mut model, last).value;
        let mut alone = Engine::new(&problem, model, None, None);
        let answer = alone.ask(&[predicate![objective <= aim]], whole.steps);
        engine.steps.spent += alone.steps.spent;
        matches!(answer, Answer::Impossible(_))
    }
}
