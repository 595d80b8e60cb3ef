//! What the day teaches: plan and day compared over one or many logs. It suggests and decides nothing.
//!
//! A step's observations are those of all stations, batches and loads that did it. With fewer than three nothing is suggested:
//! one slow day is no rule. A median needs no assumption about how times are spread, and one forgotten tick does not move it.

use crate::course::log::{DayLog, LoggedMix, LoggedStep};
use crate::course::{Course, EquipId, Lasts, LessonId, StepId, Takes};
use crate::reckon::dough_temperature::friction_from;
use crate::units::{Kelvins, Minutes, Percent};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// From so many observations on something is suggested.
pub const ENOUGH: usize = 3;
/// From so many on the observed range stands for itself; before, it only widens the written one.
const MANY: usize = 6;
/// A length is far from the others when it is off the median by more than this many times what the others are off it, usually,
/// by half of the median, and by [`WILD_LEAST`] minutes.
const WILD: i64 = 3;
const WILD_LEAST: i64 = 5;
/// Less than this many minutes is no difference worth a change.
const WORTH: i64 = 2;

/// What a course's logs say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Review {
    /// The days that count, in order.
    pub days: Vec<jiff::civil::Date>,
    /// Times, by the course's own order.
    pub steps: Vec<StepReview>,
    /// Friction of each kind of mixer.
    pub friction: Vec<FrictionReview>,
    /// Loss of weight in the oven, by lesson.
    pub losses: Vec<LossReview>,
    /// Pieces, by lesson.
    pub yields: Vec<YieldReview>,
    /// Sentences on what was left out, and why.
    pub left_out: Vec<String>,
}

/// One step over all logs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StepReview {
    /// The lesson; `None` for the class's own.
    pub lesson: Option<LessonId>,
    /// The step.
    pub step: StepId,
    /// The written usual time; for what stands, the median of what was planned.
    pub planned: Minutes,
    /// Observations, and on how many days.
    pub seen: (usize, usize),
    /// The median.
    pub median: Minutes,
    /// The shortest and the longest.
    pub spread: (Minutes, Minutes),
    /// The median of how much later than planned it ended.
    pub late: Minutes,
    /// Lengths so far from all others that they say something of one day and nothing of the step: a tick that was forgotten, an
    /// oven that was cold. They are in the median and the spread, and in nothing that could be written.
    pub wild: Vec<Minutes>,
    /// What could be written; `None`: it agrees, there is too little, or it is not a plain time.
    pub suggest: Option<Takes>,
}

/// One kind of mixer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FrictionReview {
    /// The mixer.
    pub mixer: EquipId,
    /// As written.
    pub written: Option<Kelvins>,
    /// Measured mixes.
    pub seen: usize,
    /// The median of the three-term sum.
    pub median: Kelvins,
    /// Least and most.
    pub spread: (Kelvins, Kelvins),
    /// What could be written.
    pub suggest: Option<Kelvins>,
}

/// One lesson's loss in the bake.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LossReview {
    /// The lesson.
    pub lesson: LessonId,
    /// As written.
    pub written: Option<Percent>,
    /// Weighed loads.
    pub seen: usize,
    /// The median.
    pub median: Percent,
    /// Least and most.
    pub spread: (Percent, Percent),
    /// What could be written.
    pub suggest: Option<Percent>,
}

/// One lesson's pieces.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct YieldReview {
    /// The lesson.
    pub lesson: LessonId,
    /// Counted loads.
    pub seen: usize,
    /// Pieces by the plan.
    pub planned: u32,
    /// Pieces that there were.
    pub made: u32,
}

/// One time that a step was done, and the log that has it.
type Seen<'l> = (&'l DayLog, &'l LoggedStep);

/// The lower of the two in the middle where there is no one in the middle, so that it is something that was seen.
fn median<T: Ord + Copy>(mut all: Vec<T>) -> Option<T> {
    all.sort_unstable();
    all.get(all.len().checked_sub(1)? / 2).copied()
}

fn ends<T: Ord + Copy>(all: &[T]) -> Option<(T, T)> {
    Some((*all.iter().min()?, *all.iter().max()?))
}

/// Reviews logs against the course.
#[must_use]
pub fn review(course: &Course, logs: &[DayLog]) -> Review {
    let mut review = Review::default();
    let mut counted: BTreeSet<(jiff::civil::Date, &str)> = BTreeSet::new();
    let mut seen: BTreeMap<(Option<&LessonId>, &StepId), Vec<Seen<'_>>> = BTreeMap::new();
    let mut twice = 0;
    let mut across = 0;
    for log in logs.iter().filter(|l| !l.rehearsal) {
        if !review.days.contains(&log.day) {
            review.days.push(log.day);
        }
        for step in &log.steps {
            if !counted.insert((log.day, &step.id)) {
                twice += 1;
            } else if log.jumps.iter().any(|(at, _)| step.real.0 <= *at && *at <= step.real.1) {
                across += 1;
            } else {
                seen.entry((step.lesson.as_ref(), &step.step)).or_default().push((log, step));
            }
        }
    }
    review.days.sort_unstable();
    let mut tell = |n: usize, why: &str| {
        if n > 0 {
            let steps = if n == 1 { "1 step".to_owned() } else { format!("{n} steps") };
            review.left_out.push(format!("{steps}: {why}"));
        }
    };
    tell(twice, "in two logs of the same day; the first log by its name counts");
    tell(across, "the device's clock jumped in it");
    let unknown = seen.iter().filter(|((lesson, step), _)| written(course, *lesson, step).is_none());
    tell(unknown.map(|(_, all)| all.len()).sum(), "this course has no such step any more");
    review.steps = in_order(course)
        .into_iter()
        .filter_map(|(lesson, step)| {
            let all = seen.get(&(lesson, step))?;
            step_review(course, lesson, step, all)
        })
        .collect();
    for step in review.steps.iter().filter(|s| !s.wild.is_empty()) {
        let name =
            step.lesson.as_ref().map_or_else(|| step.step.to_string(), |l| format!("{l}.{}", step.step));
        let took: Vec<String> = step.wild.iter().map(ToString::to_string).collect();
        let why = format!(
            "of {name} {} of {}: {}, far from the usual {} of the others",
            took.len(),
            step.seen.0,
            took.join(", "),
            step.median
        );
        review.left_out.push(why);
    }
    let real: Vec<&DayLog> = logs.iter().filter(|l| !l.rehearsal).collect();
    review.friction = friction(course, &real, &mut review.left_out);
    review.losses = losses(course, &real);
    review.yields = yields(course, &real);
    review
}

/// The steps of the course in its own order: the class's own, then lesson by lesson.
fn in_order(course: &Course) -> Vec<(Option<&LessonId>, &StepId)> {
    let own = course.own_steps.iter().map(|s| (None, &s.id.value));
    let of = course.lessons.iter().flat_map(|l| l.steps.iter().map(|s| (Some(&l.id.value), &s.id.value)));
    own.chain(of).collect()
}

/// How long a step is written to take.
enum Written {
    Plain(Takes),
    /// By the number of pieces: no one time.
    ByPiece,
    Stands,
}

fn written(course: &Course, lesson: Option<&LessonId>, step: &StepId) -> Option<Written> {
    let Some(lesson) = lesson else {
        let own = course.own_steps.iter().find(|s| s.id.value == *step)?;
        return Some(Written::Plain(own.takes.value));
    };
    let step = course.lesson(lesson)?.step(step)?;
    Some(match &step.lasts {
        Lasts::Takes { takes, each: None } => Written::Plain(takes.value),
        Lasts::Takes { each: Some(_), .. } => Written::ByPiece,
        Lasts::Stands(_) => Written::Stands,
    })
}

fn span(of: (jiff::Timestamp, jiff::Timestamp)) -> Minutes {
    Minutes((of.1.duration_since(of.0).as_secs() + 30).div_euclid(60))
}

fn step_review(
    course: &Course,
    lesson: Option<&LessonId>,
    step: &StepId,
    all: &[Seen<'_>],
) -> Option<StepReview> {
    let took: Vec<Minutes> = all.iter().map(|(_, s)| span(s.real)).collect();
    let days: BTreeSet<_> = all.iter().map(|(log, _)| log.day).collect();
    let late = all.iter().map(|(_, s)| span((s.planned.1, s.real.1))).collect();
    let written = written(course, lesson, step)?;
    let middle = median(took.clone())?;
    let spread = ends(&took)?;
    let planned = match &written {
        Written::Plain(takes) => takes.usual,
        _ => median(all.iter().map(|(_, s)| span(s.planned)).collect())?,
    };
    let (tame, wild): (Vec<Minutes>, Vec<Minutes>) = took.iter().partition(|t| !is_wild(**t, middle, &took));
    let suggest = match (written, median(tame.clone()), ends(&tame)) {
        (Written::Plain(takes), Some(middle), Some(spread)) if tame.len() >= ENOUGH => {
            better(takes, middle, spread, tame.len())
        }
        _ => None,
    };
    Some(StepReview {
        lesson: lesson.cloned(),
        step: step.clone(),
        planned,
        seen: (took.len(), days.len()),
        median: middle,
        spread,
        late: median(late)?,
        wild,
        suggest,
    })
}

/// Whether a length is far from all others. Like the median itself what it is held against is not moved by one wild value.
fn is_wild(took: Minutes, middle: Minutes, all: &[Minutes]) -> bool {
    let off = |m: &Minutes| (m.get() - middle.get()).abs();
    let usually = median(all.iter().map(off).collect()).unwrap_or(0);
    all.len() >= ENOUGH && off(&took) > (WILD * usually).max(middle.get() / 2).max(WILD_LEAST)
}

/// The time that could be written: the median as the usual one, the range widened by what was seen, or with many
/// observations the seen one itself. `None` where that is what is written, near enough.
fn better(takes: Takes, median: Minutes, seen: (Minutes, Minutes), count: usize) -> Option<Takes> {
    let at_least_one = |m: Minutes| m.max(Minutes(1));
    let usual = at_least_one(median);
    let (least, most) = if count >= MANY {
        (at_least_one(seen.0), seen.1)
    } else {
        (takes.least.min(at_least_one(seen.0)), takes.most.max(seen.1))
    };
    let new = Takes { least: least.min(usual), usual, most: most.max(usual) };
    let differs = |a: Minutes, b: Minutes| (a.get() - b.get()).abs() >= WORTH;
    differs(usual, takes.usual).then_some(new)
}

/// Friction by the three-term sum (row `ddt-ff`, US Navy NAVEDTRA 14163), which holds for doughs without a preferment or scald.
fn friction(course: &Course, logs: &[&DayLog], left_out: &mut Vec<String>) -> Vec<FrictionReview> {
    let mut by_mixer: BTreeMap<&EquipId, Vec<Kelvins>> = BTreeMap::new();
    let (mut partly, mut four) = (0, 0);
    for mix in logs.iter().flat_map(|l| &l.mixes) {
        let Some(mixer) = &mix.mixer else { continue };
        let (Some(room), Some(flour), Some(liquid), Some(dough)) =
            (mix.room, mix.flour, mix.liquid, mix.dough)
        else {
            partly += 1;
            continue;
        };
        if has_a_fourth_term(course, mix) {
            four += 1;
            continue;
        }
        by_mixer.entry(mixer).or_default().push(friction_from(dough, room, flour, liquid));
    }
    if partly > 0 {
        left_out
            .push(format!("{partly} of the mixes: not all of room, flour, liquid and dough were measured"));
    }
    if four > 0 {
        left_out.push(format!("{four} of the mixes: a part that goes in adds a fourth term to the sum"));
    }
    let kitchen = &course.kitchen.mixers;
    kitchen
        .iter()
        .filter_map(|mixer| {
            let all = by_mixer.get(&mixer.id.value)?;
            let middle = median(all.clone())?;
            let written = mixer.friction.as_ref().map(|f| f.value);
            let far = written.is_none_or(|w| (w.thousandths() - middle.thousandths()).abs() >= 1000);
            Some(FrictionReview {
                mixer: mixer.id.value.clone(),
                written,
                seen: all.len(),
                median: middle,
                spread: ends(all)?,
                suggest: (all.len() >= ENOUGH && far && middle.thousandths() > 0).then(|| whole(middle)),
            })
        })
        .collect()
}

/// To the whole degree: no kitchen measures finer.
fn whole(of: Kelvins) -> Kelvins {
    Kelvins::whole((of.thousandths() + 500).div_euclid(1000))
}

fn has_a_fourth_term(course: &Course, mix: &LoggedMix) -> bool {
    let step = course.lesson(&mix.lesson).and_then(|l| l.step(&mix.step));
    step.is_none_or(|s| s.on.len() > 1)
}

fn losses(course: &Course, logs: &[&DayLog]) -> Vec<LossReview> {
    let of = |lesson: &LessonId| -> Vec<Percent> {
        let bakes = logs.iter().flat_map(|l| &l.bakes).filter(|b| b.lesson == *lesson);
        bakes
            .filter_map(|b| b.weights)
            .filter(|(before, after)| after <= before)
            .map(|(before, after)| {
                let part = (before.to_decimal() - after.to_decimal()) / before.to_decimal();
                Percent::from_factor(part.round_dp(3))
            })
            .collect()
    };
    let lessons = course.lessons.iter().map(|l| (&l.id.value, &l.formula.value));
    lessons
        .filter_map(|(lesson, formula)| {
            let all = of(lesson);
            let middle = median(all.clone())?;
            let written = course.formula(formula).and_then(|f| f.piece.bake_loss.as_ref()).map(|l| l.value);
            let one = Decimal::ONE;
            let far = written.is_none_or(|w| (w.number() - middle.number()).abs() >= one);
            Some(LossReview {
                lesson: lesson.clone(),
                written,
                seen: all.len(),
                median: middle,
                spread: ends(&all)?,
                suggest: (all.len() >= ENOUGH && far).then_some(middle),
            })
        })
        .collect()
}

fn yields(course: &Course, logs: &[&DayLog]) -> Vec<YieldReview> {
    let of = |lesson: &LessonId| {
        let bakes = logs.iter().flat_map(|l| &l.bakes).filter(|b| b.lesson == *lesson);
        let counted: Vec<(u32, u32)> = bakes.filter_map(|b| b.planned.zip(b.pieces)).collect();
        (!counted.is_empty()).then(|| YieldReview {
            lesson: lesson.clone(),
            seen: counted.len(),
            planned: counted.iter().map(|c| c.0).sum(),
            made: counted.iter().map(|c| c.1).sum(),
        })
    };
    course.lessons.iter().filter_map(|l| of(&l.id.value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn takes(least: i64, usual: i64, most: i64) -> Takes {
        Takes { least: Minutes(least), usual: Minutes(usual), most: Minutes(most) }
    }
    fn minutes(a: i64, b: i64) -> (Minutes, Minutes) {
        (Minutes(a), Minutes(b))
    }

    #[test]
    fn the_median_is_something_that_was_seen() {
        assert_eq!(median(vec![9, 1, 5]), Some(5));
        assert_eq!(median(vec![4, 1, 9, 6]), Some(4));
        assert_eq!(median(Vec::<i32>::new()), None);
    }

    #[test]
    fn few_observations_only_widen_the_range() {
        assert_eq!(better(takes(10, 15, 20), Minutes(18), minutes(16, 24), 3), Some(takes(10, 18, 24)));
        assert_eq!(better(takes(10, 15, 20), Minutes(18), minutes(16, 24), 6), Some(takes(16, 18, 24)));
    }

    #[test]
    fn one_wild_length_is_told_from_a_step_that_varies() {
        let wild = |all: &[i64]| -> Vec<i64> {
            let all: Vec<Minutes> = all.iter().copied().map(Minutes).collect();
            let middle = median(all.clone()).unwrap_or(Minutes(0));
            all.iter().filter(|t| is_wild(**t, middle, &all)).map(|t| t.get()).collect()
        };
        assert_eq!(wild(&[15, 16, 95]), [95]);
        assert_eq!(wild(&[10, 20, 30]), [] as [i64; 0]);
        assert_eq!(wild(&[40, 40, 2]), [2]);
        assert_eq!(wild(&[18, 18, 19, 20, 21, 22, 22, 24, 26]), [] as [i64; 0]);
        // A minute or two more of next to nothing are no wonder, and of two nobody knows which one is.
        assert_eq!(wild(&[1, 1, 5]), [] as [i64; 0]);
        assert_eq!(wild(&[15, 95]), [] as [i64; 0]);
    }

    #[test]
    fn what_agrees_is_left_alone() {
        assert_eq!(better(takes(10, 15, 20), Minutes(16), minutes(12, 19), 9), None);
        assert_eq!(better(takes(10, 15, 15), Minutes(16), minutes(14, 19), 9), None);
    }
}
