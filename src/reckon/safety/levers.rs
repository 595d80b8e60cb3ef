//! What would bring a food back within its limit, each tried by planning the class again: rests in the cold, and no wait in the cold
//! for what is not yet cold enough to gain by it; and a reading, where food cools in the cold and nobody reads it there.

use super::exposures::{COOLING, Exposure};
use super::judge::{Phase, Verdict};
use super::rule_sets::rule_set;
use super::{Safety, safety};
use crate::course::{
    Chain, Course, EquipId, Hands, Lasts, Lesson, LessonId, PartId, Stands, Step, StepId, TemperatureRange,
    Where,
};
use crate::finding::Located;
use crate::reckon::plan::choose::{Effort, plan};
use crate::reckon::work::{Class, Whom};
use crate::reckon::{class, options, scale};
use crate::units::{Celsius, Minutes};

/// A rest in the cold: long enough to be cold again without a reading, and not over a second night.
const REST: Stands = Stands { least: COOLING.0, most: Some(Minutes::hours(24)) };
/// A shorter one, where a reading must show that it is cold.
const SHORT_REST: Stands = Stands { least: Minutes(60), most: Some(Minutes::hours(24)) };

/// One change to a lesson that keeps a food colder.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Change {
    /// A step stands in the cold in place of where it stood.
    InPlaceOf(LessonId, StepId),
    /// A rest in the cold is put in after a step, for at least so long.
    After(LessonId, StepId, Minutes),
    /// A part is read at the end of a stand in the cold, and must be at most so warm.
    Read(LessonId, StepId, Celsius),
    /// Nothing waits in the cold before a step.
    NoWait(LessonId, StepId),
    /// The same, with so many more tins than the kitchen has, so that nothing has to wait for one.
    MoreTins(LessonId, StepId, EquipId, u32),
}

/// What came of a change when the class was planned again.
#[derive(Clone, PartialEq, Debug)]
pub struct Tried {
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// What it is.
    pub phase: Phase,
    /// The change.
    pub change: Change,
    /// The class still fits its sessions.
    pub fits: bool,
    /// Its time out of the cold then.
    pub out: Option<Minutes>,
    /// Its verdict then.
    pub verdict: Verdict,
}

impl Tried {
    /// The class fits, and the food is no longer beyond its limit.
    #[must_use]
    pub fn helps(&self) -> bool {
        self.fits && self.verdict < Verdict::Over
    }

    /// The class would fit, and the food would be out as long as before, or longer.
    #[must_use]
    fn is_no_better(&self, than: &Exposure) -> bool {
        let before = than.out.map(|o| o.minutes);
        self.fits && self.verdict >= than.judged.verdict && (self.out.is_none() || self.out >= before)
    }

    /// What to do and what came of it, in words.
    #[must_use]
    pub fn text(&self) -> String {
        let what = match &self.change {
            Change::InPlaceOf(_, step) => format!("let `{step}` stand in the cold (`at = \"cold\"`)"),
            Change::After(_, step, least) => {
                format!("a rest of {least} or more in the cold after `{step}` (a step `at = \"cold\"`)")
            }
            Change::Read(_, step, most) => {
                let most = most.to_decimal().normalize();
                format!("a reading of it at the end of `{step}` (`core = \"up to {most} C\"`)")
            }
            Change::NoWait(_, step) => format!("no wait in the cold (`{step}` without `wait-cold`)"),
            Change::MoreTins(_, step, tin, more) => {
                format!(
                    "{more} more of `{tin}`, borrowed, and no wait in the cold (`{step}` without `wait-cold`)"
                )
            }
        };
        let out = self.out.map_or_else(|| "an unknown time".to_owned(), |m| m.to_string());
        match (self.fits, self.verdict) {
            (false, _) => format!("{what}: the class would no longer fit"),
            (true, verdict) => {
                format!("{what}: planned again, the class fits, and it is out for {out}: {}", verdict.word())
            }
        }
    }
}

/// The changes that may help a food that is out for too long, the smallest first.
#[must_use]
pub fn changes(course: &Course, class: &Class, over: &Exposure) -> Vec<Change> {
    let Some(lesson) = course.lesson(&over.lesson) else { return Vec::new() };
    let Some(step) = over.longest_at.as_ref().and_then(|id| lesson.step(id)) else { return Vec::new() };
    let (id, step_id) = (over.lesson.clone(), step.id.value.clone());
    // The step itself may be work; then it is what stands next on the chain that can stand in the cold.
    let on_chain = |s: &&Step| s.on.iter().any(|c| step.on.iter().any(|o| o.value == c.value));
    let from = lesson.steps.iter().position(|s| s.id.value == step_id).unwrap_or(0);
    let stands = |s: &&Step| {
        matches!(s.lasts, Lasts::Stands(_))
            && matches!(s.place.value, Where::Room | Where::Bench | Where::Rack)
    };
    let mut all: Vec<Change> = reading(course, lesson, over).into_iter().collect();
    let stands = lesson.steps[from..].iter().filter(on_chain).find(stands);
    all.extend(stands.map(|s| Change::InPlaceOf(id.clone(), s.id.value.clone())));
    let after = lesson.steps[from..]
        .iter()
        .filter(on_chain)
        .rfind(|s| over.phase == Phase::Baked || s.id.value == step_id);
    let after = after.map_or(step_id, |s| s.id.value.clone());
    // What was cooked or filled warm and waits in the cold is not known to be cold when it comes out: the wait adds to its time.
    let waits = lesson.steps.iter().find(|s| s.wait_cold.is_some()).filter(|_| over.phase != Phase::Baked);
    if let Some(waits) = waits {
        let waits = waits.id.value.clone();
        all.push(Change::NoWait(id.clone(), waits.clone()));
        if let Some((tin, more)) = short_tins(course, class, lesson) {
            all.push(Change::MoreTins(id.clone(), waits, tin, more));
        }
    }
    for rest in [REST, SHORT_REST] {
        all.push(Change::After(id.clone(), after.clone(), rest.least));
    }
    all
}

/// A reading where it cools and nobody reads it: of a step that only this part stands in, as the log reads the first part of a step.
fn reading(course: &Course, lesson: &Lesson, over: &Exposure) -> Option<Change> {
    let step = over.unread_at.as_ref().and_then(|id| lesson.step(id))?;
    let own = matches!(step.on.as_slice(), [only] if only.value == Chain::Part(over.part.clone()));
    let stands =
        matches!(step.place.value, Where::Cold | Where::Freezer) && matches!(step.lasts, Lasts::Stands(_));
    let set = course.settings.rule_set.as_ref().and_then(|r| rule_set(&r.value));
    let most = set.and_then(|s| s.cold_max).unwrap_or(COOLING.1);
    (own && stands && step.core.is_none())
        .then(|| Change::Read(over.lesson.clone(), step.id.value.clone(), most))
}

/// The tin of a lesson, and how many more of it every piece would have one with.
fn short_tins(course: &Course, class: &Class, lesson: &Lesson) -> Option<(EquipId, u32)> {
    let tin = &course.formula(&lesson.formula.value)?.piece.tin.as_ref()?.value;
    let own = course.kitchen.tins.iter().find(|t| t.id.value == *tin)?.count.value;
    let pieces = scale::pieces_of(lesson, class);
    // A stage of a demonstration is seldom baked; where it is, planning with one tin too few tells.
    let baked = pieces.iter().filter(|(whom, _)| !matches!(whom, Whom::Stage { .. }));
    let pieces = baked.fold(0_u32, |all, (_, n)| all.saturating_add(*n));
    pieces.checked_sub(own).filter(|more| *more > 0).map(|more| (tin.clone(), more))
}

impl Change {
    /// The course with this change; `None` when it changes nothing there.
    #[must_use]
    pub fn apply(&self, course: &Course) -> Option<Course> {
        let mut new = course.clone();
        match self {
            Change::InPlaceOf(lesson, step) => {
                let lesson = new.lessons.iter_mut().find(|l| l.id.value == *lesson)?;
                let step = lesson.steps.iter_mut().find(|s| s.id.value == *step)?;
                step.place = Located::assumed(Where::Cold);
            }
            Change::After(lesson, step, least) => {
                let lesson = new.lessons.iter_mut().find(|l| l.id.value == *lesson)?;
                let at = lesson.steps.iter().position(|s| s.id.value == *step)?;
                let rest = rest_after(&lesson.steps[at], *least);
                for (_, ahead) in &mut lesson.made_ahead {
                    if let Some(up_to) = ahead.up_to.as_mut().filter(|u| u.value == *step) {
                        up_to.value = rest.id.value.clone();
                    }
                }
                lesson.steps.insert(at + 1, rest);
            }
            Change::Read(lesson, step, most) => {
                let lesson = new.lessons.iter_mut().find(|l| l.id.value == *lesson)?;
                let step = lesson.steps.iter_mut().find(|s| s.id.value == *step)?;
                step.core = Some(Located::assumed(TemperatureRange { least: None, most: Some(*most) }));
            }
            Change::NoWait(lesson, step) => no_wait(&mut new, lesson, step)?,
            Change::MoreTins(lesson, step, tin, more) => {
                no_wait(&mut new, lesson, step)?;
                let tin = new.kitchen.tins.iter_mut().find(|t| t.id.value == *tin)?;
                tin.count.value = tin.count.value.saturating_add(*more);
            }
        }
        Some(new)
    }
}

fn no_wait(course: &mut Course, lesson: &LessonId, step: &StepId) -> Option<()> {
    let lesson = course.lessons.iter_mut().find(|l| l.id.value == *lesson)?;
    lesson.steps.iter_mut().find(|s| s.id.value == *step)?.wait_cold.take().map(|_| ())
}

/// A step that only stands in the cold, for those of the step before it.
fn rest_after(step: &Step, least: Minutes) -> Step {
    // After the last step that joins chains there is the piece.
    let on = if step.on.len() > 1 { vec![Located::assumed(Chain::Piece)] } else { step.on.clone() };
    Step::plain(
        Located::assumed(StepId::new(format!("{}-cold-rest", step.id.value))),
        on,
        step.per.clone(),
        Located::assumed(Where::Cold),
        Located::assumed(Hands::Nobody),
        Lasts::Stands(Located::assumed(Stands { least, most: REST.most })),
    )
}

/// Tries the changes for every food that is out for too long, one after the other until one helps.
#[must_use]
pub fn tried(
    course: &Course,
    class: &Class,
    headcount: Option<u32>,
    found: &Safety,
    effort: Effort,
) -> Vec<Tried> {
    let mut all = Vec::new();
    for over in found.exposures.iter().filter(|e| e.judged.verdict == Verdict::Over) {
        for change in changes(course, class, over) {
            let Some(one) = try_one(course, headcount, over, change, effort) else { continue };
            let helps = one.helps();
            if !one.is_no_better(over) {
                all.push(one);
            }
            if helps {
                break;
            }
        }
    }
    all
}

fn try_one(
    course: &Course,
    headcount: Option<u32>,
    over: &Exposure,
    change: Change,
    effort: Effort,
) -> Option<Tried> {
    let changed = change.apply(course)?;
    let (class, _) = class::seat(&changed, headcount);
    let portions = scale::portions(&changed, &class);
    let (options, _) = options::options(&changed, &class, &portions);
    let planned = plan(&changed, &class, &portions, &options, effort);
    let plan = planned.plan.as_ref();
    let (then, _) = safety(&changed, &class, plan);
    let same = |e: &&Exposure| (&e.lesson, &e.part, e.phase) == (&over.lesson, &over.part, over.phase);
    let now = then.exposures.iter().find(same);
    Some(Tried {
        lesson: over.lesson.clone(),
        part: over.part.clone(),
        phase: over.phase,
        change,
        fits: plan.is_some_and(|p| p.fits),
        out: now.and_then(|e| e.out).map(|o| o.minutes),
        verdict: now.map_or(Verdict::Unknown, |e| e.judged.verdict),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::safety::judge::{Judged, TimeOut};

    fn over(minutes: i64) -> Exposure {
        let none = Minutes::ZERO;
        let out = TimeOut {
            phase: Phase::Cooked,
            minutes: Minutes(minutes),
            cooling: none,
            worked_on: none,
            longest: none,
            from_hot: none,
            periods: 1,
            began_held: true,
            began_cold: false,
            warmest: None,
            back_at: None,
            cool_band: none,
            warm_band: none,
        };
        Exposure {
            lesson: "crown".into(),
            part: "filling".into(),
            phase: Phase::Cooked,
            whom: Whom::Spare,
            set: "eu-852-2004",
            out: Some(out),
            judged: Judged {
                verdict: Verdict::Over,
                limit: None,
                row: "eu-cold-chain",
                because: String::new(),
            },
            first_out: None,
            longest_at: Some("fill".into()),
            unread_at: Some("set".into()),
            heated: true,
        }
    }

    fn tried(fits: bool, minutes: i64, verdict: Verdict) -> Tried {
        Tried {
            lesson: "crown".into(),
            part: "filling".into(),
            phase: Phase::Cooked,
            change: Change::After("crown".into(), "fill".into(), Minutes(60)),
            fits,
            out: Some(Minutes(minutes)),
            verdict,
        }
    }

    #[test]
    fn what_ends_worse_than_before_is_not_listed() {
        assert!(tried(true, 305, Verdict::Over).is_no_better(&over(245)));
        assert!(tried(true, 245, Verdict::Over).is_no_better(&over(245)));
        assert!(!tried(true, 160, Verdict::Over).is_no_better(&over(245)));
        assert!(!tried(true, 10, Verdict::Ok).is_no_better(&over(245)));
        // That the class would no longer fit is worth knowing.
        assert!(!tried(false, 305, Verdict::Over).is_no_better(&over(245)));
    }

    /// Where it cools in the cold and nobody reads it, a reading is tried first; one that is there already is not tried again.
    #[test]
    fn a_reading_is_tried_where_nobody_reads_it() {
        let mut course = crate::reckon::sample::course();
        let (class, _) = class::seat(&course, None);
        let set = rest_after(
            &crate::reckon::sample::step("cook", &["filling"], crate::course::Per::Class, Where::Hob),
            Minutes(60),
        );
        let lesson = &mut course.lessons[0];
        let cook = lesson.steps.iter().position(|s| s.id.value.as_str() == "cook").unwrap_or_default();
        let mut set = set;
        set.id = Located::assumed("set".into());
        lesson.steps.insert(cook + 1, set);
        let all = changes(&course, &class, &over(245));
        let read = Change::Read("crown".into(), "set".into(), COOLING.1);
        assert_eq!(all.first(), Some(&read));
        assert!(
            matches!(read.apply(&course), Some(new) if changes(&new, &class, &over(245)).first() != Some(&read))
        );
    }
}
