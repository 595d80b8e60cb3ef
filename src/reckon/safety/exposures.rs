//! Time out of the cold, from the plan: for each part that needs control, the minutes above the limit, added up.
//!
//! ```text
//! raw      from its first step until it is cooked or baked      the rule set; raw dough: the benchmark, which never blocks
//! cooked   from the end of the step with a `core`               the rule set, and its clocks for cooling
//! baked    from the end of the bake until the students leave    the rule set, for parts that say `needs-cold = true`
//! ```
//! Nobody has read a thermometer yet. So food is above the limit from the minute it leaves the cold, and back below it only
//! when it has been in the cold for as long as cooling may take: [`COOLING`]. A straight line between the two counts more
//! minutes than a real cooling, which is fastest at first.

use super::control::{Need, is_dough, need};
use super::judge::{Judged, Phase, TimeOut, Verdict, judge};
use super::rule_sets::{RuleSet, WARM, dough_benchmark};
use super::trace::{self, Stay, between, leaves, temperature};
use crate::course::{Course, Formula, Keep, Lesson, LessonId, Part, PartId, StepId, Where};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Class, Whom};
use crate::units::{Celsius, Minutes};
use jiff::ZonedDateTime;

/// How long food takes in the cold, where nobody reads a thermometer, and to what: the longest that is allowed for food
/// put together at room temperature (row `us-cool-ambient`, FDA Food Code 2022, 3-501.14(B)).
pub const COOLING: (Minutes, Celsius) = (Minutes(240), Celsius::whole(5));

/// The time out of the cold of one part, for those whose pieces have it worst.
#[derive(Clone, PartialEq, Debug)]
pub struct Exposure {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// Raw, cooked, or in the baked piece.
    pub phase: Phase,
    /// Whose.
    pub whom: Whom,
    /// The rule set that it runs on.
    pub set: &'static str,
    /// The sums; `None` where a place has no temperature or there is no plan.
    pub out: Option<TimeOut>,
    /// The verdict.
    pub judged: Judged,
    /// When it first leaves the cold, or the fire.
    pub first_out: Option<ZonedDateTime>,
    /// The step at which its longest period out of the cold begins.
    pub longest_at: Option<StepId>,
}

/// The exposures of a class, in the order of lessons and parts.
#[must_use]
pub fn exposures(
    course: &Course,
    class: &Class,
    recipes: &Recipes,
    plan: Option<&Plan>,
    set: Option<&'static RuleSet>,
) -> Vec<Exposure> {
    let mut found = Vec::new();
    for lesson in &course.lessons {
        let Some(formula) = course.formula(&lesson.formula.value) else { continue };
        for part in &formula.parts {
            let whoms = makers(plan, lesson);
            let mut of_part: Vec<Exposure> = Vec::new();
            for whom in whoms {
                let variant = variant_of(class, lesson, &whom);
                let recipe = recipes.get(&formula.id.value, variant).map_or(formula, |r| &r.formula);
                let Some(made) = recipe.part(&part.id.value) else { continue };
                let need = need(recipe, made, &course.pantry);
                if !need.counts() {
                    continue;
                }
                let follow = Follow { course, plan, lesson, formula: recipe, part: made, need, set };
                of_part.extend(follow.exposures(&whom));
            }
            found.extend(worst(of_part));
        }
    }
    found
}

/// Those with pieces in a lesson, stages that are not baked left out: nobody eats them.
fn makers(plan: Option<&Plan>, lesson: &Lesson) -> Vec<Whom> {
    let Some(plan) = plan else { return vec![Whom::Spare] };
    let of_lesson = || plan.tasks.iter().filter(|t| t.lesson.as_ref() == Some(&lesson.id.value));
    let mut all: Vec<Whom> =
        of_lesson().filter(|t| !t.demo).flat_map(|t| t.members.iter().map(|(w, _)| w.clone())).collect();
    all.sort();
    all.dedup();
    let baked = |whom: &Whom| {
        of_lesson().any(|t| {
            lesson.step(&t.step).is_some_and(|s| s.place.value == Where::Oven)
                && t.members.iter().any(|(w, _)| w == whom)
        })
    };
    all.retain(|w| !matches!(w, Whom::Stage { .. }) || baked(w));
    all
}

/// For each phase the one that has it worst: by verdict, then by minutes; the first of equals.
fn worst(all: Vec<Exposure>) -> Vec<Exposure> {
    let mut best: Vec<Exposure> = Vec::new();
    for exposure in all {
        let badness =
            |e: &Exposure| (e.judged.verdict, e.out.map_or(Minutes(i64::MAX), |o| o.minutes + o.warm_band));
        match best.iter_mut().find(|b| b.phase == exposure.phase) {
            Some(known) if badness(&exposure) > badness(known) => *known = exposure,
            Some(_) => {}
            None => best.push(exposure),
        }
    }
    best.sort_by_key(|e| e.phase);
    best
}

struct Follow<'a> {
    course: &'a Course,
    plan: Option<&'a Plan>,
    lesson: &'a Lesson,
    formula: &'a Formula,
    part: &'a Part,
    need: Need,
    set: Option<&'static RuleSet>,
}

impl Follow<'_> {
    fn exposures(&self, whom: &Whom) -> Vec<Exposure> {
        let Some(plan) = self.plan else {
            return vec![self.unknown(
                whom,
                Phase::Raw,
                "without a plan nobody knows how long it stands out",
            )];
        };
        let stays = self.stays(plan, whom);
        if stays.is_empty() {
            // Nothing of it is in the plan: it is made with the part that it goes into, or nobody wrote what is done with it.
            let in_piece = self.formula.piece.amounts.iter().any(|(p, _)| p.value == self.part.id.value);
            let because = "no step names it: write it into `on` of the step that uses it";
            return if in_piece { vec![self.unknown(whom, Phase::Raw, because)] } else { Vec::new() };
        }
        let baked = stays.iter().position(|s| s.place == Where::Oven);
        let cooked = stays.iter().position(|s| s.cooks && s.place != Where::Oven);
        let cooked = cooked.filter(|c| baked.is_none_or(|b| *c < b));
        let before_bake = &stays[..baked.unwrap_or(stays.len())];
        let raw = &before_bake[..cooked.unwrap_or(before_bake.len())];
        let mut found = Vec::new();
        if raw.iter().any(|s| !matches!(s.place, Where::Hob)) {
            found.push(self.one(whom, Phase::Raw, raw, baked.or(cooked).is_some()));
        }
        if let Some(cooked) = cooked {
            found.push(self.one(whom, Phase::Cooked, &before_bake[cooked..], baked.is_some()));
        }
        if let (Some(baked), Need::Stated, false) = (baked, self.need, is_dough(self.part)) {
            let after = self.after_the_bake(plan, &stays[baked..]);
            found.push(self.one(whom, Phase::Baked, &after, true));
        } else if let (Some(_), Some(_), Need::ByDefinition, false) =
            (baked, cooked, self.need, is_dough(self.part))
        {
            // A custard may or may not stand beside bread on the shelf: that is not for a program to guess.
            let because = "nobody wrote whether it needs the cold after the bake: write `needs-cold`";
            found.push(self.unknown(whom, Phase::Baked, because));
        }
        found
    }

    /// Its stays, until it is taken up into another part where it is made for one.
    fn stays(&self, plan: &Plan, whom: &Whom) -> Vec<Stay> {
        trace::until_taken_up(plan, self.lesson, self.formula, &self.part.id.value, whom)
    }

    /// The stays after the bake, on until the students leave.
    fn after_the_bake(&self, plan: &Plan, stays: &[Stay]) -> Vec<Stay> {
        let mut after: Vec<Stay> = stays.iter().skip(1).cloned().collect();
        let last = stays.last().map(|s| (s.to.clone(), s.step.clone()));
        if let Some((end, step)) = last
            && let Some(home) = leaves(self.course, plan, &end).filter(|home| *home > end)
        {
            after.push(Stay::wait(step, end, home));
        }
        after
    }

    fn one(&self, whom: &Whom, phase: Phase, stays: &[Stay], baked: bool) -> Exposure {
        let benchmark = phase == Phase::Raw && is_dough(self.part) && baked;
        let set = if benchmark { Some(dough_benchmark()) } else { self.set };
        let Some(set) = set else {
            return self.unknown(whom, phase, "the course names no rule set: write `rules` under `[safety]`");
        };
        if set.id == dough_benchmark().id && !benchmark {
            // Wet batter says nothing of a custard or of what is eaten as it is.
            let why = "the benchmark is for raw dough alone: name the rule set of your place";
            return self.unknown(whom, phase, why);
        }
        let kept_cold = self.part.keep.as_ref().is_some_and(|k| k.value == Keep::Cold)
            || self.part.needs_cold.as_ref().is_some_and(|n| n.value);
        let mut count = Count::new(self.course, set, phase, kept_cold);
        for stay in stays {
            if !count.stay(stay) {
                let why =
                    "no temperature is written for the cold place it stands in: write `at` in kitchen.toml";
                return self.unknown(whom, phase, why);
            }
        }
        count.finish();
        let own = self.course.settings.own_limit.as_ref().map(|o| o.value);
        Exposure {
            set: set.id,
            judged: judge(set, &count.out, own),
            first_out: count.first_out,
            longest_at: count.longest_at,
            out: Some(count.out),
            ..self.unknown(whom, phase, "")
        }
    }

    fn unknown(&self, whom: &Whom, phase: Phase, because: &str) -> Exposure {
        let row = self.set.map_or("us-tcs-def", |s| s.rows[0]);
        Exposure {
            lesson: self.lesson.id.value.clone(),
            part: self.part.id.value.clone(),
            phase,
            whom: whom.clone(),
            set: self.set.map_or("", |s| s.id),
            out: None,
            judged: Judged { verdict: Verdict::Unknown, limit: None, row, because: because.to_owned() },
            first_out: None,
            longest_at: None,
        }
    }
}

/// How warm a food is, as far as it is known.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    /// Below the limit.
    Cold,
    /// As warm as a place that it was in.
    Warm(Celsius),
    /// Cooked or baked, and never cold since.
    Hot,
}

/// Adds up stays.
struct Count<'a> {
    course: &'a Course,
    set: &'static RuleSet,
    state: State,
    out: TimeOut,
    /// The period out of the cold that is running.
    running: Minutes,
    running_at: Option<StepId>,
    longest_at: Option<StepId>,
    first_out: Option<ZonedDateTime>,
    /// Since it was cooked: what is not counted if it then cools in time.
    pending: Vec<Stay>,
}

impl<'a> Count<'a> {
    fn new(course: &'a Course, set: &'static RuleSet, phase: Phase, kept_cold: bool) -> Count<'a> {
        let hot = phase != Phase::Raw;
        let cold = !hot && kept_cold;
        Count {
            course,
            set,
            state: match (hot, cold) {
                (true, _) => State::Hot,
                (false, true) => State::Cold,
                (false, false) => State::Warm(course.kitchen.room.value),
            },
            out: TimeOut {
                phase,
                minutes: Minutes::ZERO,
                cooling: Minutes::ZERO,
                worked_on: Minutes::ZERO,
                longest: Minutes::ZERO,
                periods: 0,
                began_held: hot || cold,
                began_cold: cold,
                warmest: None,
                back_at: None,
                cool_band: Minutes::ZERO,
                warm_band: Minutes::ZERO,
            },
            running: Minutes::ZERO,
            running_at: None,
            longest_at: None,
            first_out: None,
            pending: Vec::new(),
        }
    }

    /// Adds one stay; `false` when its place has no temperature.
    fn stay(&mut self, stay: &Stay) -> bool {
        match stay.place {
            // What is cooked or baked is outside the holding limits.
            Where::Hob | Where::Oven => {
                if stay.cooks {
                    self.state = State::Hot;
                }
                true
            }
            Where::Cold | Where::Freezer => match temperature(&self.course.kitchen, stay.place) {
                Some(at) => {
                    self.in_the_cold(stay, at);
                    true
                }
                None => false,
            },
            _ => {
                // A cooled food is done with its cooling; one that was baked is served.
                if self.state == State::Hot && self.out.phase == Phase::Cooked {
                    self.pending.push(stay.clone());
                } else {
                    self.outside(stay);
                }
                true
            }
        }
    }

    fn in_the_cold(&mut self, stay: &Stay, place: Celsius) {
        let spent = stay.minutes();
        if self.set.cold_max.is_some_and(|max| place > max) {
            self.settle();
            self.add(stay, spent, place);
            self.state = State::Warm(place);
            return;
        }
        match self.state {
            State::Cold => {}
            State::Hot => {
                let since = self.pending.first().map_or(&stay.from, |s| &s.from);
                let needed = self.set.cooling.in_all().unwrap_or(COOLING.0).max(COOLING.0);
                if between(since, &stay.to) >= needed {
                    // The clocks of the rule set look after it; without one, the counter counts.
                    if self.set.cooling.first().is_none() {
                        self.settle();
                        self.stop();
                    }
                    self.pending.clear();
                    self.state = State::Cold;
                } else {
                    self.pending.push(stay.clone());
                }
            }
            State::Warm(from) => {
                self.stop();
                let max = self.set.cold_max.unwrap_or(COOLING.1);
                let above = above(from, place, max);
                let warm = spent.min(above);
                self.out.minutes = self.out.minutes + warm;
                self.out.cooling = self.out.cooling + warm;
                let to_cool_band = self::above(from, place, WARM).min(spent);
                let to_cold = self::above(from, place, Celsius::whole(10)).min(spent);
                self.out.warm_band = self.out.warm_band + to_cool_band;
                self.out.cool_band = self.out.cool_band + (to_cold - to_cool_band);
                if spent >= above {
                    self.state = State::Cold;
                } else {
                    self.state = State::Warm(cooled_to(from, place, spent));
                }
            }
        }
    }

    /// The period out of the cold ends, and the sum at which it ends is kept.
    fn stop(&mut self) {
        if self.running > Minutes::ZERO {
            let so_far = self.out.minutes;
            self.out.back_at = Some(self.out.back_at.map_or(so_far, |b| b.max(so_far)));
        }
        self.running = Minutes::ZERO;
        self.running_at = None;
    }

    /// What waited to be shown as cooled was not.
    fn settle(&mut self) {
        for stay in std::mem::take(&mut self.pending) {
            if matches!(stay.place, Where::Cold | Where::Freezer) {
                self.still_cooling(&stay);
            } else {
                self.outside(&stay);
            }
        }
    }

    /// Cooked food in the cold that was taken out before it is known to be cold: above the limit, and not counted into a stretch
    /// out of the cold, which goes on after it. Nobody keeps it for service there, and no law that gives a longest stretch counts its
    /// cooling.
    fn still_cooling(&mut self, stay: &Stay) {
        let minutes = stay.minutes();
        if self.first_out.is_none() {
            self.first_out = Some(stay.from.clone());
        }
        self.out.minutes = self.out.minutes + minutes;
        self.out.cooling = self.out.cooling + minutes;
        self.out.warm_band = self.out.warm_band + minutes;
        let room = self.course.kitchen.room.value;
        self.out.warmest = Some(self.out.warmest.map_or(room, |w| w.max(room)));
    }

    fn outside(&mut self, stay: &Stay) {
        let place = temperature(&self.course.kitchen, stay.place).unwrap_or(self.course.kitchen.room.value);
        let own = match self.state {
            State::Warm(at) => at,
            State::Cold | State::Hot => place,
        };
        let at = own.max(place).max(stay.aim.unwrap_or(place));
        if self.state != State::Hot {
            self.state = State::Warm(at);
        }
        if self.set.is_out(at) {
            self.add(stay, stay.minutes(), at);
        }
    }

    fn add(&mut self, stay: &Stay, minutes: Minutes, at: Celsius) {
        if minutes <= Minutes::ZERO {
            return;
        }
        if self.first_out.is_none() {
            self.first_out = Some(stay.from.clone());
        }
        if self.running == Minutes::ZERO {
            self.out.periods += 1;
            self.running_at = Some(stay.step.clone());
        }
        self.running = self.running + minutes;
        if self.running > self.out.longest {
            self.out.longest = self.running;
            self.longest_at = self.running_at.clone();
        }
        self.out.minutes = self.out.minutes + minutes;
        if stay.worked_on {
            self.out.worked_on = self.out.worked_on + minutes;
        }
        self.out.warmest = Some(self.out.warmest.map_or(at, |w| w.max(at)));
        if at > WARM {
            self.out.warm_band = self.out.warm_band + minutes;
        } else {
            self.out.cool_band = self.out.cool_band + minutes;
        }
    }

    fn finish(&mut self) {
        self.settle();
    }
}

/// Minutes in the cold until a food that went in at `from` is at `limit`, by a straight line that ends at the time and
/// temperature of [`COOLING`]; nought when it is not above it.
fn above(from: Celsius, place: Celsius, limit: Celsius) -> Minutes {
    let end = COOLING.1.max(place);
    let (fall, needed) = ((from - end).thousandths(), (from - limit.max(end)).thousandths());
    if fall <= 0 || needed <= 0 {
        return Minutes::ZERO;
    }
    Minutes((COOLING.0.get() * needed + fall - 1) / fall)
}

/// How warm it still is after so long, by the same straight line.
fn cooled_to(from: Celsius, place: Celsius, spent: Minutes) -> Celsius {
    let end = COOLING.1.max(place);
    from - (from - end).ratio(spent.get().min(COOLING.0.get()), COOLING.0.get())
}

#[cfg(test)]
mod tests;
