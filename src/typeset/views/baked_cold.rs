//! What needs the cold until it goes home: buns with custard once they have cooled, and what goes home unbaked.

use super::desk::{Desk, moment, place_key};
use super::kept_clean::kept_clean;
use super::oven_and_cold::Stored;
use super::take_home::goes_home;
use super::wording::temperature;
use crate::course::{Formula, Lesson, LessonId, Session, StepId, Where};
use crate::reckon::labels::{cold_unsaid, needs_the_cold};
use crate::reckon::part_fates::Fates;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::bread::heated_at;
use crate::reckon::safety::then_cold::{IntoCold, Ready, baked_with, baked_with_unsaid, into_cold};
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Load, Whom};
use jiff::{SignedDuration, ZonedDateTime};
use std::collections::BTreeMap;

/// What was baked in the sitting, or in one before it, and needs the cold in it: a row for all of a load that goes there at the same
/// moment, cooled or filled, until the same sitting ends.
pub(super) fn stored_baked(desk: &Desk, bake: &PlannedTask, session: &Session) -> Vec<Stored> {
    let (Some(lesson), Some(baked_in)) = (bake.lesson.clone(), sitting_of(desk, &bake.start)) else {
        return Vec::new();
    };
    // A load of the oven; or what is fried, where no oven heats the piece.
    let members: Vec<&Whom> = match (desk.place(bake), desk.load(bake)) {
        (Where::Oven, Some(load)) => load.members.iter().map(|(whom, _)| whom).collect(),
        (Where::Hob, _) if !bake.demo && is_fried(desk, bake) => {
            bake.members.iter().map(|(whom, _)| whom).collect()
        }
        _ => return Vec::new(),
    };
    let mut waves: BTreeMap<(ZonedDateTime, bool, bool, &ZonedDateTime), Vec<&Whom>> = BTreeMap::new();
    for whom in members {
        let Some(into) = ready_of(desk, &lesson, whom) else { continue };
        let home = home_of(desk, whom, &lesson).unwrap_or(baked_in);
        if *leaves(desk, home) < session.from.value || baked_in.from.value > session.from.value {
            continue;
        }
        let (at, filled) = match into.ready {
            Ready::Cooled => (cooled(desk, bake, whom, baked_in), false),
            // Before that it holds nothing that needs the cold.
            Ready::Filled => match filled(desk, bake, whom, &into.step.id.value, baked_in) {
                Some(at) => (at, true),
                None => continue,
            },
        };
        waves.entry((at, filled, into.to_be_safe, leaves(desk, home))).or_default().push(whom);
    }
    let row =
        |((at, filled, to_be_safe, until), whom): ((_, bool, bool, &ZonedDateTime), Vec<&Whom>)| Stored {
            kept_clean: kept_clean(desk, Some(&lesson), None, &whom),
            for_whom: Some(desk.for_whom(whom)),
            ready: true,
            baked: true,
            filled,
            to_be_safe,
            ..cold_row(desk, &lesson, &at, until)
        };
    waves.into_iter().map(row).collect()
}

/// The sitting in which somebody's pieces go home: a station's; the teacher's are eaten where they are baked.
fn home_of<'d>(desk: &'d Desk, whom: &Whom, lesson: &LessonId) -> Option<&'d Session> {
    let Whom::Station(no) = whom else { return None };
    let station = desk.class.stations.iter().find(|s| s.no == *no)?;
    goes_home(desk, station, desk.course.lesson(lesson)?)
}

/// The sitting in which a moment lies.
fn sitting_of<'d>(desk: &'d Desk, at: &ZonedDateTime) -> Option<&'d Session> {
    desk.course.sessions.iter().find(|s| within(desk, s, at))
}

/// Whether somebody's pieces of a lesson are kept cold when they are made: they must be, or nobody has written whether they must, as
/// their label says.
pub(super) fn kept_cold(desk: &Desk, lesson: &LessonId, whom: &Whom) -> bool {
    let recipe = desk.course.lesson(lesson).and_then(|lesson| {
        let recipe = desk.recipes.get(&lesson.formula.value, variant_of(desk.class, lesson, whom))?;
        Some((lesson, &recipe.formula))
    });
    recipe.is_some_and(|(lesson, formula)| {
        needs_the_cold(formula)
            || !cold_unsaid(formula, &Fates::of(lesson, formula), &desk.course.pantry).is_empty()
    })
}

/// Whether they go there only to be safe, once they are cool.
pub(super) fn cold_to_be_safe(desk: &Desk, lesson: &LessonId, whom: &Whom) -> bool {
    ready_of(desk, lesson, whom).is_some_and(|into| into.to_be_safe)
}

/// When everyone leaves: as written, or when the plan is over where that is later.
fn leaves<'d>(desk: &'d Desk, session: &'d Session) -> &'d ZonedDateTime {
    let finish = desk.plan.sessions.iter().find(|p| p.id == session.id.value).map(|p| &p.finish);
    finish.map_or(&session.to.value, |finish| finish.max(&session.to.value))
}

/// Whether a moment lies in a sitting, as long as the plan has it last.
fn within(desk: &Desk, session: &Session, at: &ZonedDateTime) -> bool {
    session.from.value <= *at && at < leaves(desk, session)
}

/// Whether a task is the frying of its pieces, which no oven sees.
fn is_fried(desk: &Desk, task: &PlannedTask) -> bool {
    let lesson = task.lesson.as_ref().and_then(|l| desk.course.lesson(l));
    let formula = lesson.and_then(|l| desk.course.formula(&l.formula.value));
    let step = lesson.zip(formula).and_then(|(l, f)| heated_at(l, f, &desk.course.pantry));
    step.is_some_and(|step| step.id.value == task.step)
}

/// The step after which somebody's pieces go into the cold, as they must, or to be safe.
fn ready_of<'a>(desk: &Desk<'a>, lesson: &LessonId, whom: &Whom) -> Option<IntoCold<'a>> {
    let lesson = desk.course.lesson(lesson)?;
    let recipe = desk.recipes.get(&lesson.formula.value, variant_of(desk.class, lesson, whom))?;
    into_cold(lesson, &recipe.formula, &desk.course.pantry)
}

/// When somebody's pieces of a load are filled, in the same sitting: no sooner than they are baked.
fn filled(
    desk: &Desk,
    bake: &PlannedTask,
    whom: &Whom,
    step: &StepId,
    session: &Session,
) -> Option<ZonedDateTime> {
    let own = desk.plan.tasks.iter().filter(|t| {
        t.lesson == bake.lesson
            && t.step == *step
            && t.start >= bake.end
            && within(desk, session, &t.start)
            && t.members.iter().any(|(w, _)| w == whom)
    });
    own.map(|t| t.end.clone()).max()
}

/// What a task's sheet says of where its pieces go when it is over, as a key of the catalogue's `[danger]`.
pub(super) fn told_cold(desk: &Desk, task: &PlannedTask) -> Option<&'static str> {
    let lesson = task.lesson.as_ref().filter(|_| !task.cold_wait && !task.demo)?;
    let mut ready = task.members.iter().filter_map(|(whom, _)| ready_of(desk, lesson, whom));
    let ready = ready.find(|into| into.step.id.value == task.step).map(|into| into.caution());
    ready.or_else(|| unbaked_cold(desk, task))
}

/// The same of what goes home unbaked, where it is made up to there: its own sheet counts every minute out of the cold, the way home
/// included. Nothing where it stands in the cold there anyway.
pub(super) fn unbaked_cold(desk: &Desk, task: &PlannedTask) -> Option<&'static str> {
    let at_home = desk.course.lesson(task.lesson.as_ref()?)?.bake_at_home.as_ref()?;
    let out = !matches!(desk.place(task), Where::Cold | Where::Freezer);
    let theirs = task.members.iter().any(|(whom, _)| matches!(whom, Whom::Station(_)));
    let here = at_home.up_to.value == task.step && !task.cold_wait && !task.demo;
    (here && out && theirs).then_some("unbaked-then-cold")
}

/// What goes home unbaked in the cold of a sitting: a row for all that are made up to there at one moment. Who takes one home unbaked
/// nobody knows before.
pub(super) fn stored_unbaked(desk: &Desk, session: &Session) -> Vec<Stored> {
    let mut waves: BTreeMap<(&LessonId, &ZonedDateTime), Vec<&Whom>> = BTreeMap::new();
    for task in desk.plan.tasks.iter().filter(|t| within(desk, session, &t.start)) {
        let Some(lesson) = task.lesson.as_ref().filter(|_| unbaked_cold(desk, task).is_some()) else {
            continue;
        };
        let theirs = task.members.iter().map(|(whom, _)| whom).filter(|w| matches!(w, Whom::Station(_)));
        waves.entry((lesson, &task.end)).or_default().extend(theirs);
    }
    let row = |((lesson, at), whom): ((&LessonId, &ZonedDateTime), Vec<&Whom>)| Stored {
        kept_clean: kept_clean(desk, Some(lesson), None, &whom),
        for_whom: Some(desk.for_whom(whom)),
        unbaked: true,
        ..cold_row(desk, lesson, at, leaves(desk, session))
    };
    waves.into_iter().map(row).collect()
}

/// A row of what stands in the cold from then on until everyone leaves.
fn cold_row(desk: &Desk, lesson: &LessonId, at: &ZonedDateTime, until: &ZonedDateTime) -> Stored {
    let only = desk.course.kitchen.cold.first().filter(|_| desk.course.kitchen.cold.len() == 1);
    Stored {
        at: place_key(Where::Cold).to_owned(),
        temperature: only.and_then(|f| f.temperature.as_ref()).map(|t| temperature(t.value, desk.units())),
        lesson: desk.lesson_name(lesson),
        from: moment(at),
        to: moment(until.max(at)),
        tone: "cold".to_owned(),
        ..Stored::default()
    }
}

/// When somebody's pieces of a load have cooled: the end of what is done with them after the bake without a longer wait, the cooling
/// among it. A glaze on another day is no such thing, nor is what is done with another load.
fn cooled(desk: &Desk, bake: &PlannedTask, whom: &Whom, session: &Session) -> ZonedDateTime {
    let others_load = |t: &PlannedTask| matches!(&t.group, Group::Load(_)) && t.group != bake.group;
    let own = desk.plan.tasks.iter().filter(|t| {
        t.lesson == bake.lesson
            && t.start >= bake.end
            && within(desk, session, &t.start)
            && t.members.iter().any(|(w, _)| w == whom)
            && !others_load(t)
    });
    let mut after: Vec<(&ZonedDateTime, &ZonedDateTime, Option<SignedDuration>)> = own
        .map(|t| {
            let carry = desk.step(t).and_then(|s| s.carry.as_ref()).and_then(|c| c.value.most);
            (&t.start, &t.end, carry.map(|most| SignedDuration::from_mins(most.get())))
        })
        .collect();
    after.sort();
    one_after_another(&bake.end, &after)
}

/// The last end of things that follow one another, each by its start, its end, and how long it may wait at most.
fn one_after_another(
    from: &ZonedDateTime,
    after: &[(&ZonedDateTime, &ZonedDateTime, Option<SignedDuration>)],
) -> ZonedDateTime {
    let mut end = from.clone();
    for (start, over, wait) in after {
        let latest = wait.and_then(|wait| end.checked_add(wait).ok());
        if latest.is_some_and(|latest| **start > latest) {
            break;
        }
        end = end.max((*over).clone());
    }
    end
}

/// Whether what comes out of the oven holds a part that needs the cold, as the teacher wrote it. What is filled later needs it later.
pub(super) fn then_cold(desk: &Desk, load: &Load) -> bool {
    somebodys(desk, load, baked_with)
}

/// The same of a part of which nobody has written whether it needs the cold.
pub(super) fn then_cold_unsaid(desk: &Desk, load: &Load) -> bool {
    somebodys(desk, load, |lesson, formula| baked_with_unsaid(lesson, formula, &desk.course.pantry))
}

/// Whether something holds of somebody's pieces of a load, as their variant makes them.
fn somebodys(desk: &Desk, load: &Load, is: impl Fn(&Lesson, &Formula) -> bool) -> bool {
    let Some(lesson) = desk.course.lesson(&load.lesson) else { return false };
    load.members.iter().any(|(whom, _)| {
        let recipe = desk.recipes.get(&lesson.formula.value, variant_of(desk.class, lesson, whom));
        recipe.is_some_and(|r| is(lesson, &r.formula))
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_after_a_longer_wait_is_no_cooling() {
        let at = |text: &str| format!("2027-03-06T{text}:00+00:00[UTC]").parse::<ZonedDateTime>().unwrap();
        let (out, turned, cold) = (at("15:00"), at("15:05"), at("15:35"));
        let (glaze, glazed) = (at("16:30"), at("16:40"));
        let quarter = Some(SignedDuration::from_mins(15));
        let chain = [(&out, &turned, quarter), (&turned, &cold, None), (&glaze, &glazed, quarter)];
        assert_eq!(one_after_another(&out, &chain), cold);
        assert_eq!(one_after_another(&out, &chain[..1]), turned);
        assert_eq!(one_after_another(&out, &[]), out);
    }
}
