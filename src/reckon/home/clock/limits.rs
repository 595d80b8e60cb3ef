//! What stands too long, or waits too long for the next step, is begun later: the last steps first, each as late as one cook has hands
//! for it. What is too long even so is said.

use super::super::{Beyond, HomeStep, WAITS_AT_MOST, main_dough};
use crate::course::{Chain, Course, Formula, Keep, Lasts, Lesson, Part, Step, Where};
use crate::reckon::plan::chains::Order;
use crate::reckon::safety::control::holds_raw_egg;
use crate::units::Minutes;

/// Two steps that follow each other, by their places on the clock.
struct Link {
    before: usize,
    after: usize,
    /// No sooner than so long after the end of the one before.
    least: Minutes,
    /// How long the one before may stand, or what it made may wait; `None`: without limit.
    most: Option<Minutes>,
    /// The one before stands, and goes on standing until it is taken up.
    stood: bool,
    /// It is for the waiting alone that it is begun later: the lesson asks for nothing.
    own: bool,
    /// The one after takes what the one before made: what waits too long is told. Of steps that only come one after the other it is not:
    /// what takes it up comes later still, and tells it.
    takes: bool,
}

/// Lays the steps so that what stands and what waits keeps to its longest, wherever one cook can; then says what does not. The first step
/// is at nought.
pub(super) fn keep(steps: &mut [HomeStep], course: &Course, formula: &Formula, lesson: &Lesson) {
    let links = links(steps, course, formula, lesson);
    for at in (0..steps.len()).rev() {
        begin_later(steps, &links, at);
    }
    // What stands does so from the end of the work before it: where no hands were free just before, from earlier.
    for at in 0..steps.len() {
        let step = lesson.step(&steps[at].step);
        if !step.is_some_and(|s| stands(s) && s.carry.is_none()) {
            continue;
        }
        let made = || links.iter().filter(|l| l.after == at && !l.own);
        let last = made().map(|l| steps[l.before].to).max().filter(|_| made().all(|l| !l.stood));
        if let Some(from) = last.filter(|last| *last < steps[at].from) {
            let long = steps[at].to - steps[at].from;
            (steps[at].from, steps[at].to) = (from, from + long);
        }
    }
    // What the lesson itself limits goes before what a home keeps cold.
    let (own, lessons): (Vec<&Link>, Vec<&Link>) = links.iter().filter(|l| l.takes).partition(|l| l.own);
    for link in lessons.into_iter().chain(own) {
        let stood = link.stood;
        let since = if stood { steps[link.before].from } else { steps[link.before].to };
        let waits = steps[link.after].from - since;
        if let Some(most) = link.most.filter(|most| waits > *most) {
            // What stands is told where it stands, and what waits where it is taken up.
            let told = if stood { link.before } else { link.after };
            let known = steps[told].beyond;
            let longer = known.is_none_or(|b| b.keep_cold == link.own && b.waits - b.most < waits - most);
            if longer {
                steps[told].beyond = Some(Beyond { waits, most, stood, keep_cold: link.own });
            }
        }
    }
    let start = steps.iter().map(|s| s.from).min().unwrap_or(Minutes::ZERO);
    for step in steps.iter_mut() {
        (step.from, step.to) = (step.from - start, step.to - start);
    }
}

/// The same steps with one of them later, for each that may be: behind one or several that are not made from it.
pub(super) fn reordered<'a>(steps: &[&'a Step], formula: &Formula, lesson: &Lesson) -> Vec<Vec<&'a Step>> {
    let order = Order::of(lesson, Some(formula));
    let place = |step: &Step| lesson.steps.iter().position(|s| s.id.value == step.id.value);
    let follows = |step: &Step, other: &Step| match (place(step), place(other)) {
        (Some(step), Some(other)) => {
            order.before[step].contains(&other) || order.after[step].contains(&other)
        }
        _ => true,
    };
    let mut found = Vec::new();
    for (n, step) in steps.iter().enumerate() {
        let mut all = steps.to_vec();
        for (behind, later) in steps.iter().enumerate().skip(n + 1) {
            if follows(later, step) {
                break;
            }
            all.swap(behind - 1, behind);
            found.push(all.clone());
        }
    }
    found
}

/// Puts a step as late as it may be, where what comes after it would come too late.
fn begin_later(steps: &mut [HomeStep], links: &[Link], at: usize) {
    let next = || links.iter().filter(|l| l.before == at);
    let Some(by) = next().map(|l| steps[l.after].from - l.least).min() else { return };
    let (from, to) = (steps[at].from, steps[at].to);
    let since = |l: &Link| if l.stood { from } else { to };
    let late = |l: &Link| l.most.is_some_and(|most| steps[l.after].from - since(l) > most);
    if by <= to || !next().any(late) {
        return;
    }
    let long = to - from;
    let busy: Vec<(Minutes, Minutes)> = match steps[at].waits {
        true => Vec::new(),
        false => {
            let others = steps.iter().enumerate().filter(|(n, s)| *n != at && !s.waits);
            others.map(|(_, s)| (s.from, s.to)).collect()
        }
    };
    // Just before it is taken, or else just before something that the hands do.
    let ends = busy.iter().map(|b| b.0).chain([by]).filter(|end| *end <= by && *end >= to);
    let is_free = |end: &Minutes| busy.iter().all(|b| *end <= b.0 || *end - long >= b.1);
    if let Some(end) = ends.filter(is_free).max() {
        (steps[at].from, steps[at].to) = (end - long, end);
    }
}

/// Which step of the clock follows which, and how long may be between them.
fn links(steps: &[HomeStep], course: &Course, formula: &Formula, lesson: &Lesson) -> Vec<Link> {
    let order = Order::of(lesson, Some(formula));
    let place =
        |n: usize| steps.iter().position(|s| lesson.steps.get(n).is_some_and(|l| l.id.value == s.step));
    let mut found = Vec::new();
    for (n, step) in lesson.steps.iter().enumerate() {
        let Some(after) = place(n) else { continue };
        let carry = step.carry.as_ref().map(|c| c.value);
        let least = carry.map_or(Minutes::ZERO, |c| c.least);
        let one = order.before[n].len() == 1;
        for b in &order.before[n] {
            let Some(before) = place(*b) else { continue };
            let stood = stands(&lesson.steps[*b]);
            let most = if stood {
                match (steps[before].most, carry) {
                    (Some(most), None) => Some(most),
                    (Some(most), Some(carry)) => carry.most.map(|wait| most + wait),
                    (None, _) => None,
                }
            } else {
                match carry {
                    Some(carry) => carry.most,
                    // What stands goes there at once, unless several meet in it.
                    None => (stands(step) && one).then_some(Minutes::ZERO),
                }
            };
            found.push(Link { before, after, least, most, stood, own: false, takes: true });
            if waits_badly(course, formula, &lesson.steps[*b]) {
                let most = Some(WAITS_AT_MOST);
                found.push(Link { before, after, least, most, stood: false, own: true, takes: true });
            }
        }
        for a in &order.after[n] {
            let Some(before) = place(*a).filter(|before| *before != after) else { continue };
            let most = waits_badly(course, formula, &lesson.steps[*a]).then_some(WAITS_AT_MOST);
            let least = Minutes::ZERO;
            found.push(Link { before, after, least, most, stood: false, own: true, takes: false });
        }
    }
    found
}

/// Whether a step makes a part, no dough and not in the cold, that must not wait long for what takes it.
fn waits_badly(course: &Course, formula: &Formula, step: &Step) -> bool {
    let [only] = step.on.as_slice() else { return false };
    let Chain::Part(part) = &only.value else { return false };
    let is_dough = main_dough(formula).is_some_and(|p| p.id.value == *part);
    let is_cold = matches!(step.place.value, Where::Cold | Where::Freezer);
    !is_dough && !is_cold && formula.part(part).is_some_and(|p| is_perishable(course, formula, p))
}

/// Whether a part is kept in the cold until it is used, or holds raw egg.
fn is_perishable(course: &Course, formula: &Formula, part: &Part) -> bool {
    part.keep.as_ref().is_some_and(|k| k.value == Keep::Cold)
        || part.needs_cold.as_ref().is_some_and(|n| n.value)
        || holds_raw_egg(formula, part, &course.pantry)
}

fn stands(step: &Step) -> bool {
    matches!(step.lasts, Lasts::Stands(_))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::Clock;
    use super::*;
    use crate::course::{Carry, Hands, Per, Stands};
    use crate::reckon::sample::{at, course, step};

    fn work(id: &str, on: &[&str], carry: Option<i64>) -> Step {
        let mut step = step(id, on, Per::Station, Where::Bench);
        step.carry = carry.map(|most| at(Carry { least: Minutes::ZERO, most: Some(Minutes(most)) }));
        step
    }

    fn stand(id: &str, on: &[&str], least: i64, most: i64) -> Step {
        let mut step = step(id, on, Per::Station, Where::Room);
        step.hands = at(Hands::Nobody);
        step.lasts = Lasts::Stands(at(Stands { least: Minutes(least), most: Some(Minutes(most)) }));
        step
    }

    /// When each step begins; and for each that is too late how long something waits for it, and the most.
    type Laid = (Vec<(String, i64)>, Vec<(String, i64, i64)>);

    /// The crown made in these steps.
    fn clock(steps: Vec<Step>) -> Laid {
        let course = course();
        let mut lesson = course.lessons.iter().find(|l| l.id.value.as_str() == "crown").unwrap().clone();
        lesson.steps = steps;
        let formula = course.formula(&lesson.formula.value).unwrap();
        let clock = Clock::of(&course, formula, &lesson, 1, 1);
        let begin = clock.steps.iter().map(|s| (s.step.to_string(), s.from.get())).collect();
        let beyond = clock.steps.iter().filter_map(|s| {
            let b = s.beyond?;
            Some((s.step.to_string(), b.waits.get(), b.most.get()))
        });
        (begin, beyond.collect())
    }

    fn begins(all: &[(String, i64)], id: &str) -> i64 {
        all.iter().find(|(step, _)| step == id).unwrap().1
    }

    /// A filling that sets for two hours is begun before the dough, which must not stand longer than 70 min: mixed in the ten minutes
    /// before its shortest rise, which ends as the filling is ready.
    #[test]
    fn a_dough_is_mixed_so_late_that_it_stands_no_longer_than_it_may() {
        let (all, beyond) = clock(vec![
            work("mix", &["dough"], None),
            stand("rise", &["dough"], 40, 70),
            work("cook", &["filling"], None),
            stand("set", &["filling"], 120, 1440),
            work("fill", &["dough", "filling"], None),
        ]);
        // The clock begins with the filling: ten minutes of work, and two hours.
        let of = |id: &str| begins(&all, id);
        assert_eq!((of("cook"), of("set"), of("fill")), (0, 10, 130), "{all:?}");
        assert_eq!((of("mix"), of("rise")), (80, 90), "{all:?}");
        assert_eq!(beyond, []);
    }

    /// Butter beaten while the dough chills waits no longer than the next step lets it.
    #[test]
    fn what_is_carried_is_made_so_late_that_it_waits_no_longer_than_it_may() {
        let steps = |carry| {
            vec![
                work("mix", &["dough"], None),
                stand("chill", &["dough"], 30, 120),
                work("beat", &["filling"], None),
                work("lock-in", &["dough", "filling"], Some(carry)),
            ]
        };
        let (all, beyond) = clock(steps(15));
        // Mixed until 10, chilled until 40.
        assert_eq!((begins(&all, "lock-in"), begins(&all, "beat")), (40, 30), "{all:?}");
        assert_eq!(beyond, []);
        // Where it may wait for as long as it would, it is made as soon as hands are free.
        let (all, _) = clock(steps(20));
        assert_eq!(begins(&all, "beat"), 10, "{all:?}");
    }

    /// The dough may wait while the filling is stirred, for eight minutes of nine, and the filling not while the dough is rolled.
    #[test]
    fn a_step_is_done_after_another_where_only_that_keeps_to_both() {
        let short = |mut step: Step| {
            let eight = crate::course::Takes { least: Minutes(8), usual: Minutes(8), most: Minutes(8) };
            step.lasts = Lasts::Takes { takes: at(eight), each: None };
            step
        };
        let (all, beyond) = clock(vec![
            work("mix", &["dough"], None),
            short(work("paste", &["filling"], None)),
            work("roll", &["dough"], None),
            work("fill", &["dough", "filling"], Some(9)),
        ]);
        assert_eq!(beyond, [], "{all:?}");
        assert!(begins(&all, "paste") > begins(&all, "roll"), "{all:?}");
        assert_eq!(
            all.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>(),
            ["mix", "paste", "roll", "fill"]
        );
    }

    /// What is kept cold and has to wait for long work all the same is told, though the lesson sets no limit: it waits in the fridge.
    #[test]
    fn what_is_kept_cold_and_waits_all_the_same_is_told() {
        let told = |minutes: i64| {
            let mut knead = work("knead", &["dough"], None);
            knead.after = vec![at("beat".into())];
            let long = crate::course::Takes {
                least: Minutes(minutes),
                usual: Minutes(minutes),
                most: Minutes(minutes),
            };
            knead.lasts = Lasts::Takes { takes: at(long), each: None };
            let mut course = course();
            course.formulas.iter_mut().flat_map(|f| &mut f.parts).for_each(|p| p.keep = Some(at(Keep::Cold)));
            let mut lesson = course.lessons.iter().find(|l| l.id.value.as_str() == "crown").unwrap().clone();
            lesson.steps =
                vec![work("beat", &["filling"], None), knead, work("fill", &["dough", "filling"], None)];
            let formula = course.formula(&lesson.formula.value).unwrap();
            let clock = Clock::of(&course, formula, &lesson, 1, 1);
            clock.steps.iter().filter_map(|s| s.beyond.map(|b| (s.step.to_string(), b))).collect::<Vec<_>>()
        };
        assert_eq!(told(60), []);
        let [(step, beyond)] = &told(75)[..] else { panic!("{:?}", told(75)) };
        assert_eq!((step.as_str(), beyond.waits, beyond.keep_cold), ("fill", Minutes(75), true));
    }

    /// Two things that both must be taken up at once cannot be by one cook, and that is said and no less.
    #[test]
    fn what_is_too_long_for_one_pair_of_hands_is_said() {
        let (_, beyond) = clock(vec![
            work("mix", &["dough"], None),
            work("beat", &["filling"], None),
            work("lock-in", &["dough", "filling"], Some(5)),
        ]);
        assert_eq!(beyond, [("lock-in".to_owned(), 10, 5)]);
        // What stands too long is told where it stands: what goes in with it is only begun when it has risen.
        let mut melt = work("melt", &["filling"], None);
        melt.after = vec![at("rise".into())];
        let rise = stand("rise", &["dough"], 10, 15);
        let fill = work("fill", &["dough", "filling"], None);
        let (all, beyond) = clock(vec![work("mix", &["dough"], None), rise, melt, fill]);
        assert_eq!(beyond, [("rise".to_owned(), 20, 15)], "{all:?}");
    }
}
