//! What a station takes home when a sitting ends, and what waits for it until another one.

use super::baked_cold::kept_cold;
use super::common::{Making, Sitting};
use super::desk::Desk;
use super::oven_and_cold::out_for;
use crate::course::{Lesson, LessonId, Session};
use crate::reckon::scale::pieces_of;
use crate::reckon::work::{Station, Whom};
use jiff::ZonedDateTime;
use serde::Serialize;

/// What goes home of one lesson.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TakeHome {
    /// The pieces.
    pub makes: Vec<Making>,
    /// They wait in the cold: they must, or nobody has written whether they must, as their label says.
    pub cold: bool,
    /// Those that go home unbaked do.
    pub unbaked_cold: bool,
}

/// What a station takes home at the end of a sitting.
pub(super) fn take_home(desk: &Desk, station: &Station, session: &Session) -> Vec<TakeHome> {
    let me = Whom::Station(station.no);
    let own = desk
        .course
        .lessons
        .iter()
        .filter(|l| goes_home(desk, station, l).is_some_and(|s| s.id == session.id));
    let of = |lesson: &Lesson| {
        let pieces = pieces_of(lesson, desk.class).into_iter().find(|(whom, _)| *whom == me);
        TakeHome {
            makes: desk.making(&lesson.id.value, pieces.as_slice()),
            cold: kept_cold(desk, &lesson.id.value, &me),
            unbaked_cold: lesson.bake_at_home.is_some(),
        }
    };
    own.map(of).filter(|t| !t.makes.is_empty()).collect()
}

/// The sitting at whose end a lesson's pieces go home, where that is a later one and nothing more is done with them before.
pub(super) fn stays_until(
    desk: &Desk,
    station: &Station,
    lesson: &LessonId,
    session: &Session,
) -> Option<Sitting> {
    let home = goes_home(desk, station, desk.course.lesson(lesson)?)?;
    let over = last(desk, station, lesson)?;
    (home.id != session.id && *over < home.from.value).then(|| desk.sitting(home))
}

/// The first sitting that ends after all that is done with a station's pieces is over; else the last of all.
pub(super) fn goes_home<'a>(desk: &Desk<'a>, station: &Station, lesson: &Lesson) -> Option<&'a Session> {
    let over = last(desk, station, &lesson.id.value)?;
    let ends = |s: &&Session| {
        let planned = desk.plan.sessions.iter().find(|p| p.id == s.id.value);
        planned.map_or(&s.to.value, |p| (&p.finish).max(&s.to.value)) >= over
    };
    desk.course.sessions.iter().find(ends).or(desk.course.sessions.last())
}

/// When the last that the plan has of a station's pieces is over.
fn last<'d>(desk: &'d Desk, station: &Station, lesson: &LessonId) -> Option<&'d ZonedDateTime> {
    let me = Whom::Station(station.no);
    let own = desk.plan.tasks.iter().filter(|t| {
        t.lesson.as_ref() == Some(lesson) && !t.demo && t.members.iter().any(|(whom, _)| *whom == me)
    });
    own.map(|t| out_for(desk, t, &me)).max()
}
