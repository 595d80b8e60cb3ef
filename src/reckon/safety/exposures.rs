//! Time out of the cold, from the plan: for each part that needs control, the minutes above the limit, added up.
//!
//! ```text
//! raw      from its first step until it is cooked or baked      the rule set; raw dough: the benchmark, which never blocks
//! cooked   from the end of the step on the fire that cooks it   the rule set, and its clocks for cooling
//! baked    from the end of the bake until the students leave    the rule set, for parts that say `needs-cold = true`
//! ```
//! A dough that no oven sees is bread by the fire that fries it ([`super::bread`]), and is baked from then on. A sponge is raw dough
//! until its dough takes it up, and is baked with it.
//!
//! Nobody has read a thermometer yet. So food is above the limit from the minute it leaves the cold, and back below it only
//! when it has been in the cold for as long as cooling may take: [`COOLING`]. A straight line between the two counts more
//! minutes than a real cooling, which is fastest at first.

mod count;

use super::bread::fried_at;
use super::control::{Need, holds_raw_egg, is_dough, need};
use super::egg_heat::cooked_from;
use super::judge::{Judged, Phase, TimeOut, Verdict, judge};
use super::rule_sets::{RuleSet, dough_benchmark};
use super::then_cold::is_told;
use super::trace::{self, Stay, leaves};
use crate::course::{Course, Formula, Keep, Lesson, LessonId, Part, PartId, Step, StepId, Where};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Class, Whom};
use crate::units::{Celsius, Minutes};
use count::Count;
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
    /// The step in the cold of which most counts, as nobody reads it there.
    pub unread_at: Option<StepId>,
    /// It is cooked or baked after this.
    pub heated: bool,
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
                let dough = is_dough(recipe, made, &course.pantry);
                let cooked_from = cooked_from(set, holds_raw_egg(recipe, made, &course.pantry));
                let follow = Follow {
                    course,
                    plan,
                    lesson,
                    formula: recipe,
                    part: made,
                    need,
                    dough,
                    cooked_from,
                    set,
                };
                of_part.extend(follow.exposures(&whom));
            }
            found.extend(worst(of_part));
        }
    }
    found
}

/// Those with pieces in a lesson, stages that are not baked left out, nor cooked where no oven is used: nobody eats them.
pub(super) fn makers(plan: Option<&Plan>, lesson: &Lesson) -> Vec<Whom> {
    let Some(plan) = plan else { return vec![Whom::Spare] };
    let of_lesson = || plan.tasks.iter().filter(|t| t.lesson.as_ref() == Some(&lesson.id.value));
    let mut all: Vec<Whom> =
        of_lesson().filter(|t| !t.demo).flat_map(|t| t.members.iter().map(|(w, _)| w.clone())).collect();
    all.sort();
    all.dedup();
    let no_oven = !lesson.steps.iter().any(|s| s.place.value == Where::Oven);
    let heats = |s: &Step| match s.place.value {
        Where::Oven => true,
        Where::Hob => no_oven && s.core.is_some(),
        _ => false,
    };
    let baked = |whom: &Whom| {
        of_lesson()
            .any(|t| lesson.step(&t.step).is_some_and(heats) && t.members.iter().any(|(w, _)| w == whom))
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
    dough: bool,
    cooked_from: Celsius,
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
        let baked = stays.iter().position(|s| s.place == Where::Oven).or_else(|| self.fried(&stays));
        let stays = if baked.is_none() { self.until_it_goes_home(plan, stays) } else { stays };
        let cooked = stays.iter().position(|s| s.place == Where::Hob && s.cooks(self.cooked_from));
        let cooked = cooked.filter(|c| baked.is_none_or(|b| *c < b));
        let before_bake = &stays[..baked.unwrap_or(stays.len())];
        let raw = &before_bake[..cooked.unwrap_or(before_bake.len())];
        let mut found = Vec::new();
        // What comes to the fire at once is cooked from the first minute on; what is only warmed there is not.
        if raw.iter().any(|s| s.place != Where::Hob) || (cooked.is_none() && !raw.is_empty()) {
            let heated = baked.or(cooked).is_some() || self.is_heated_in_its_dough(plan, whom);
            found.push(self.one(whom, Phase::Raw, raw, heated));
        }
        if let Some(cooked) = cooked {
            found.push(self.one(whom, Phase::Cooked, &before_bake[cooked..], baked.is_some()));
        }
        if let (Some(baked), Need::Stated) = (baked, self.need) {
            let after = self.after_the_bake(plan, &stays[baked..]);
            found.push(self.one(whom, Phase::Baked, &after, false));
        } else if let (Some(_), Some(_), Need::ByDefinition, false) = (baked, cooked, self.need, self.dough) {
            // A custard may or may not stand beside bread on the shelf: that is not for a program to guess.
            let because = "nobody wrote whether it needs the cold after the bake: write `needs-cold`";
            found.push(self.unknown(whom, Phase::Baked, because));
        }
        found
    }

    /// The stay in which a dough that no oven sees is fried.
    fn fried(&self, stays: &[Stay]) -> Option<usize> {
        let pantry = &self.course.pantry;
        let step = fried_at(self.lesson, self.formula, self.part, pantry, self.cooked_from)?;
        stays.iter().rposition(|s| s.place == Where::Hob && s.step == step.id.value)
    }

    /// Whether a sponge is cooked or baked in all that takes it up: doughs of the piece, and nothing else.
    fn is_heated_in_its_dough(&self, plan: &Plan, whom: &Whom) -> bool {
        let own = &self.part.id.value;
        let mut outer = self.formula.piece.amounts.iter().map(|(id, _)| &id.value);
        let (doughs, in_piece): (Vec<&PartId>, bool) =
            (outer.clone().filter(|id| self.formula.goes_into(own, id)).collect(), outer.any(|id| id == own));
        self.dough
            && !in_piece
            && !doughs.is_empty()
            && doughs.into_iter().filter_map(|id| self.formula.part(id)).all(|dough| {
                let pantry = &self.course.pantry;
                let from = cooked_from(self.set, holds_raw_egg(self.formula, dough, pantry));
                let stays = trace::stays(plan, self.lesson, self.formula, &dough.id.value, whom);
                is_dough(self.formula, dough, pantry) && stays.iter().any(|s| s.cooks(from))
            })
    }

    /// Its stays, until it is taken up into another part where it is made for one.
    fn stays(&self, plan: &Plan, whom: &Whom) -> Vec<Stay> {
        trace::until_taken_up(plan, self.lesson, self.formula, &self.part.id.value, whom)
    }

    /// What comes to the piece without being baked is out until the students leave, unless it stands in the cold at the end, or the
    /// sheets of those who do its last step say that it goes there.
    fn until_it_goes_home(&self, plan: &Plan, mut stays: Vec<Stay>) -> Vec<Stay> {
        let in_piece = self.formula.piece.amounts.iter().any(|(p, _)| p.value == self.part.id.value);
        if let Some(last) = stays.last().filter(|s| in_piece && !s.is_cold())
            && !is_told(self.lesson, self.formula, &last.step)
            && let Some(home) = leaves(self.course, plan, &last.to).filter(|home| *home > last.to)
        {
            let wait = Stay::wait(last.step.clone(), last.to.clone(), home);
            stays.push(wait);
        }
        stays
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

    fn one(&self, whom: &Whom, phase: Phase, stays: &[Stay], heated: bool) -> Exposure {
        let benchmark = phase == Phase::Raw && self.dough && heated;
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
        let mut count = Count::new(self.course, set, phase, kept_cold, self.cooked_from);
        for stay in stays {
            if !count.stay(stay) {
                let why =
                    "no temperature is written for the cold place it stands in: write `at` in kitchen.toml";
                return self.unknown(whom, phase, why);
            }
        }
        count.finish();
        let own = self.course.settings.own_limit.as_ref().map(|o| o.value);
        let judged = judge(set, &count.out, own);
        Exposure {
            set: set.id,
            judged: if count.unread_warm { unread(judged) } else { judged },
            first_out: count.first_out,
            longest_at: count.longest_at,
            unread_at: count.unread.map(|(_, step)| step),
            out: Some(count.out),
            heated,
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
            unread_at: None,
            heated: false,
        }
    }
}

/// A verdict on food that stands in a warm place of which nobody wrote how warm it is: it can condemn, and it cannot clear.
fn unread(judged: Judged) -> Judged {
    let said = "no temperature is written for the warm place it stands in, so it counts as above 21.1 °C there: write `at` in kitchen.toml";
    match judged.verdict {
        Verdict::Ok => Judged { verdict: Verdict::Unknown, because: said.to_owned(), ..judged },
        _ => Judged { because: format!("{}; {said}", judged.because), ..judged },
    }
}

#[cfg(test)]
mod tests;
