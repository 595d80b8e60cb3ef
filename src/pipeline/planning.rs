//! The plan of a class, and what there is to tell of it.

use super::{Reckoned, Watch};
use crate::course::{Course, Session};
use crate::finding::{Finding, Place};
use crate::reckon::plan::chance::Odds;
use crate::reckon::plan::check::check;
use crate::reckon::plan::choose::{Effort, Planned, plan};
use crate::reckon::plan::conflict::{self, Conflict};
use crate::reckon::plan::crowded::crowded;
use crate::reckon::plan::machine_room::too_large;
use crate::reckon::plan::never::never;
use crate::reckon::plan::numbers::by_the_clock;
use crate::reckon::plan::unstaffed::{NotFree, Unstaffed};
use crate::reckon::work::{Class, Options, Portion};
use crate::units::Minutes;

/// Plans the class; where it does not fit, with why, as far as that is the course's.
pub(super) fn planned(
    course: &Course,
    (class, portions, options): (&Class, &[Portion], &Options),
    watch: &dyn Watch,
) -> (Planned, Option<Conflict>, Vec<Finding>) {
    if too_large(course, class, portions, options) {
        // What no machine takes was told with the splits; there is nothing to look for.
        let none = Planned { impossible: true, hopeless: true, ..Planned::given(None) };
        return (none, None, Vec::new());
    }
    let (mut found, mut conflict) = (Vec::new(), None);
    watch.stage("planning", 0);
    let mut planned = plan(course, class, portions, options, Effort::default());
    let mut shown = without_a_search(course, (class, portions, options), &mut planned);
    if let Some((later, told)) = far_later(course, (class, portions, options), &planned) {
        if later.plan.is_some() || !told.is_empty() {
            shown = told;
        }
        planned = later;
    }
    planned.plan = planned.plan.map(|plan| {
        // Only a plan that holds with its new numbers, too, has them.
        let numbered = by_the_clock(course, class, portions, plan.clone());
        if check(course, class, portions, &numbered).is_empty() { numbered } else { plan }
    });
    if shown.is_empty() && !planned.plan.as_ref().is_some_and(|plan| plan.fits) {
        watch.stage("looking for what holds it", 0);
        let effort = Effort { combinations: 1, ..Effort::quick() };
        let figure = planned.figure();
        // Of a plan that our own checker refuses nothing in the course is the cause; and what nobody is free for is the cause itself.
        let known = planned.plan.is_none() && !(planned.refused.is_empty() && planned.nobody.is_empty());
        let mut why = (!known).then(|| conflict::explain(course, class, portions, options, &figure, effort));
        // A late plan is made of one that fits but for hands, where there was such a one.
        let hands = planned.nobody.iter().map(|piece| format!("; in the hours as written {}", piece.text()));
        let hands: String = hands.collect();
        if let Some(why) = &mut why {
            why.sentence.push_str(&hands);
            why.holds.push_str(&hands);
        }
        let holds = why.as_ref().map_or(hands.as_str(), |why| why.holds.as_str());
        // Where steps are too long one after another, it is said which and where; and so they are in every split.
        let in_turn = planned.plan.is_some() && why.as_ref().is_some_and(|why| why.in_turn);
        let steps = if in_turn { never(course, class, portions, options) } else { Vec::new() };
        planned.impossible |= !steps.is_empty();
        if planned.wants_somebody() {
            found.extend(planned.nobody.iter().map(|piece| nobody_free(course, piece)));
            let all = planned.nobody.iter().flat_map(|piece| &piece.not_free);
            conflict = Some(Conflict::of_words(figure, all.map(NotFree::text).collect()));
        } else {
            found.extend(too_long(course, &planned, holds, &steps));
            conflict = why;
        }
    } else if !shown.is_empty() {
        let all: Vec<&str> = shown.iter().map(|one| one.message.as_str()).collect();
        let sentence = format!("no plan fits, and that is proven: {}", all.join("; and "));
        conflict = Some(Conflict::of_words(sentence, Vec::new()));
    }
    found.extend(shown);
    (planned, conflict, found)
}

/// Sessions that fit by the usual durations, and would by their spread more often end late than not.
#[must_use]
pub fn seldom_on_time(reckoned: &Reckoned, odds: &Odds) -> Vec<Finding> {
    if !reckoned.planned.plan.as_ref().is_some_and(|p| p.fits) {
        return Vec::new();
    }
    let seldom = odds.sessions.iter().filter(|s| s.on_time.to_f64() < 50.0);
    seldom
        .filter_map(|one| {
            let session = reckoned.course.session(&one.id)?;
            let name = session.name.as_ref().map_or(session.id.value.as_str(), |n| n.value.as_str());
            let message = format!(
                "{name} fits by the usual durations alone: drawn {} times between their shortest and longest, it ends on time in {} of 100",
                odds.draws,
                one.on_time.number().floor().normalize()
            );
            Some(
                Finding::warning("seldom-on-time", session.id.place, message)
                    .way_out("make more ahead, add time, a helper or a machine; `benchroll plan` tells where a buffer helps most"),
            )
        })
        .collect()
}

/// So much longer sessions are looked at where there is no plan with those that are tried first.
const FAR: Minutes = Minutes(10 * 60);

/// What comes of far longer sessions for a class that has no plan: its least-late one, that there is none with those either, or what the
/// kitchen has too little of even then. `None` where there is a plan, or steps that can never be done in the hours as written.
fn far_later(
    course: &Course,
    (class, portions, options): (&Class, &[Portion], &Options),
    planned: &Planned,
) -> Option<(Planned, Vec<Finding>)> {
    // Hours however long are nobody's hands.
    let none = planned.plan.is_none() && planned.refused.is_empty() && planned.nobody.is_empty();
    if !none || !never(course, class, portions, options).is_empty() {
        return None;
    }
    let short = crowded(course, class, portions, options, Some(FAR));
    if !short.is_empty() {
        let hopeless = Planned { impossible: true, hopeless: true, over: FAR, ..planned.clone() };
        return Some((hopeless, short));
    }
    let later = plan(course, class, portions, options, Effort { over: FAR, ..Effort::default() });
    let impossible = later.impossible || planned.impossible || planned.hopeless;
    // What was proven of fewer hours stays said.
    let known = if later.plan.is_some() || later.hopeless || !later.refused.is_empty() {
        later
    } else {
        Planned { further: Some(FAR), ..planned.clone() }
    };
    Some((Planned { impossible, ..known }, Vec::new()))
}

/// Of a class without any plan, what is shown of it without a search: steps that can never be done in the hours as written, and what
/// the kitchen has too little of in every plan. It is then told instead of what was found by searching.
fn without_a_search(
    course: &Course,
    (class, portions, options): (&Class, &[Portion], &Options),
    planned: &mut Planned,
) -> Vec<Finding> {
    if planned.plan.is_some() || !planned.refused.is_empty() {
        return Vec::new();
    }
    let mut shown = never(course, class, portions, options);
    // Where steps can never be, what they would hold says nothing.
    if shown.is_empty() {
        shown = crowded(course, class, portions, options, Some(Effort::default().over));
        planned.hopeless |= !shown.is_empty();
    }
    if shown.is_empty() {
        shown = crowded(course, class, portions, options, None);
    }
    planned.impossible |= !shown.is_empty();
    shown
}

/// Nobody of the staff is free for a piece of work that cannot be moved to where somebody is.
fn nobody_free(course: &Course, piece: &Unstaffed) -> Finding {
    let away: Vec<&str> = piece.away().collect();
    let hours = if away.is_empty() {
        String::new()
    } else {
        format!("other hours or breaks for {} at `[[presence]]`, ", away.join(" or "))
    };
    let lesson = piece
        .task
        .split('.')
        .next()
        .is_some_and(|id| course.lessons.iter().any(|l| l.id.value.as_str() == id));
    let ahead = if lesson { "let it be made ahead, " } else { "let it come at another time, " };
    let message = format!("{}; no plan was found in which somebody is", piece.text());
    Finding::error("nobody-free", place_of(course, &piece.task), message).way_out(format!(
        "{hours}another helper, {ahead}or give it other `hands`; `benchroll plan --levers` tries changes"
    ))
}

/// Where a task's step is written: `lesson.step@group`, or `class.step@session`.
fn place_of(course: &Course, task: &str) -> Option<Place> {
    let (lesson, step) = task.split_once('@').map_or(task, |(step, _)| step).split_once('.')?;
    let taught = course.lessons.iter().find(|l| l.id.value.as_str() == lesson);
    match taught {
        Some(lesson) => lesson.steps.iter().find(|s| s.id.value.as_str() == step)?.id.place,
        None => course.own_steps.iter().find(|s| s.id.value.as_str() == step)?.id.place,
    }
}

/// The class does not fit its sessions. The least-late plan is there all the same, and is printed as late. `steps`: which are too long one
/// after another, where that is why.
fn too_long(course: &Course, planned: &Planned, why: &str, steps: &[Finding]) -> Option<Finding> {
    let finding = |session: Option<&Session>, message: String| {
        Finding::error("does-not-fit", session.and_then(|s| s.to.place), message).way_out(
            "make a session longer, have more made ahead, borrow what is short; `benchroll plan --levers` tries changes",
        )
    };
    let proven =
        if planned.impossible { "; it is proven that nothing in the written times fits" } else { "" };
    let Some(plan) = &planned.plan else {
        let figure = planned.figure();
        if !planned.refused.is_empty() {
            let place = planned.refused.iter().flat_map(|b| &b.tasks).find_map(|task| place_of(course, task));
            return Some(Finding::error("plan-refused", place, figure).way_out(format!(
                "this is a fault of benchroll {}, and not of your course: send these lines to who made it, with the course folder if \
                 you may (read both first: names can stand in them)",
                env!("CARGO_PKG_VERSION")
            )));
        }
        return Some(finding(course.sessions.first(), format!("{figure}; {why}{proven}")));
    };
    if plan.fits {
        return None;
    }
    let late: Vec<_> = plan.sessions.iter().filter(|s| s.finish > s.end).collect();
    let ends: Vec<String> =
        late.iter().map(|s| format!("{} would end at {}", s.id, s.finish.strftime("%H:%M"))).collect();
    let first = late.first().and_then(|s| course.session(&s.id));
    let ends = if ends.is_empty() { String::new() } else { format!(": {}", ends.join(", ")) };
    let named: String = steps.iter().map(|step| format!("; {}", step.message)).collect();
    let told = finding(first, format!("the class is {}{ends}; {why}{named}{proven}", plan.too_long()));
    let also =
        |told: Finding, step: &Finding| told.also(step.place, "this is too long, with the steps beside it");
    Some(steps.iter().fold(told, also))
}
