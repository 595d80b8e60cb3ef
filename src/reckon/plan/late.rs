//! The likeliest slips, each with its answer: what moves when this is a quarter of an hour late.

use super::catch_up::{CaughtUp, Now, catch_up_on_paper};
use super::chance::Odds;
use super::choose::Effort;
use super::timetable::{Plan, PlannedSession, PlannedTask};
use crate::course::{Course, Hands, Lasts, Takes};
use crate::reckon::work::{Class, Portion};
use crate::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};

/// A slip and its answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Slip {
    /// The tasks that are late: one step done at one time, by one or several groups.
    pub tasks: Vec<String>,
    /// How late.
    pub by: Minutes,
    /// The plan from the moment at which the step should have been over.
    pub answer: CaughtUp,
}

/// So late is every slip that is answered: less sorts itself out, and more is for `catch-up`.
const LATE: Minutes = Minutes(15);

/// So many slips of each session are answered: as many as are read on paper.
const EACH: usize = 3;

/// So many steps of a session are looked at for them: the likeliest may have no answer for paper.
const TRIES: usize = 4 * EACH;

/// What is moved by more than this is no answer to a slip of a quarter of an hour that people follow from paper.
const FAR: Minutes = Minutes(60);

/// Whether people with a sheet in their hands can follow an answer: what it moves stays in its own sitting and near its time, and nothing
/// that was for another day comes into this one. A plan that is turned over so far is for `catch-up`, which asks how things stand.
fn is_for_paper(answer: &CaughtUp, late: &[String]) -> bool {
    answer.changes.iter().filter(|c| !late.contains(&c.id)).all(|changed| {
        let (Some(was), Some(now)) = (&changed.was, &changed.now) else { return true };
        is_followed(&answer.plan.sessions, &was.start, &now.start)
    })
}

/// Whether what began at one moment and begins at another is near it, and in its own sitting.
fn is_followed(sessions: &[PlannedSession], was: &ZonedDateTime, now: &ZonedDateTime) -> bool {
    let moved = was.duration_until(now).as_mins().abs();
    moved == 0 || moved <= FAR.get() && stays_in_its_sitting(sessions, was, now)
}

/// Whether what began at one moment begins in the same sitting still; what is outside of any (staff, what stands) stays on its day.
fn stays_in_its_sitting(sessions: &[PlannedSession], was: &ZonedDateTime, now: &ZonedDateTime) -> bool {
    let sitting =
        |at: &ZonedDateTime| sessions.iter().position(|s| s.start <= *at && (*at < s.end || *at < s.finish));
    match (sitting(was), sitting(now)) {
        (Some(one), Some(other)) => one == other,
        _ => was.date() == now.date(),
    }
}

/// The answers to the likeliest slips of each session, by the clock: of the steps with hands, those that swing most, before
/// all those that have no slack. None for a plan that is late anyway.
#[must_use]
pub fn slips(course: &Course, class: &Class, portions: &[Portion], plan: &Plan, odds: &Odds) -> Vec<Slip> {
    if !plan.fits {
        return Vec::new();
    }
    let effort = Effort { per_term: 4_000, combinations: 1, ..Effort::default() };
    let mut found = Vec::new();
    for session in &plan.sessions {
        let mut blocks = blocks(course, plan, (&session.start, &session.finish));
        let tight = |block: &Block| block.tasks.iter().any(|task| odds.no_slack.contains(task));
        blocks.sort_by_key(|b| (std::cmp::Reverse((tight(b), b.swing, b.tasks.len())), b.end.timestamp()));
        // Slips of steps that end together have one answer.
        let mut ends: Vec<ZonedDateTime> = Vec::new();
        for block in blocks.into_iter().take(TRIES) {
            if ends.len() == EACH {
                break;
            }
            if ends.contains(&block.end) {
                continue;
            }
            let late = block.tasks.iter().map(|task| (task.clone(), LATE)).collect();
            let now = Now {
                time: block.end.clone(),
                done: Vec::new(),
                undone: Vec::new(),
                late,
                without: Vec::new(),
                absent: Vec::new(),
            };
            // What breaks a carry is no advice for paper: on the day somebody looks at the dough.
            let followed = |answer: &CaughtUp| is_for_paper(answer, &block.tasks);
            let answer = catch_up_on_paper(course, class, portions, plan, &now, effort, followed);
            if let Some(answer) = answer {
                ends.push(block.end);
                found.push(Slip { tasks: block.tasks, by: LATE, answer });
            }
        }
    }
    let end = |slip: &Slip| slip.tasks.iter().filter_map(|t| plan.task(t)).map(|t| t.end.timestamp()).max();
    found.sort_by_key(|slip| (end(slip), slip.tasks.clone()));
    found
}

/// One step done at one time.
struct Block {
    tasks: Vec<String>,
    end: ZonedDateTime,
    /// How much longer than usual it may take.
    swing: i64,
}

fn blocks(course: &Course, plan: &Plan, (from, to): (&ZonedDateTime, &ZonedDateTime)) -> Vec<Block> {
    let mut blocks: Vec<(&PlannedTask, Block)> = Vec::new();
    let inside = |t: &&PlannedTask| {
        t.start >= *from && t.end.saturating_add(SignedDuration::from_mins(LATE.get())) <= *to
    };
    let works =
        |t: &&PlannedTask| !t.made_ahead && (t.demo || matches!(t.hands, Hands::Students | Hands::Teacher));
    for task in plan.tasks.iter().filter(inside).filter(works) {
        let Some(takes) = takes(course, task) else { continue };
        let same = |(first, _): &&mut (&PlannedTask, Block)| {
            (&first.lesson, &first.step, &first.start, &first.end)
                == (&task.lesson, &task.step, &task.start, &task.end)
        };
        match blocks.iter_mut().find(same) {
            Some((_, block)) => block.tasks.push(task.id.clone()),
            None => {
                let swing = takes.most.get() - takes.usual.get();
                blocks.push((task, Block { tasks: vec![task.id.clone()], end: task.end.clone(), swing }));
            }
        }
    }
    blocks.into_iter().map(|(_, block)| block).filter(|block| block.swing > 0).collect()
}

fn takes(course: &Course, task: &PlannedTask) -> Option<Takes> {
    let Some(lesson) = &task.lesson else {
        return course.own_steps.iter().find(|s| s.id.value == task.step).map(|s| s.takes.value);
    };
    match &course.lesson(lesson)?.step(&task.step)?.lasts {
        Lasts::Takes { takes, .. } => Some(takes.value),
        Lasts::Stands(_) => None,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// An evening and the morning after: what was for the morning is no advice for the evening.
    #[test]
    fn what_is_for_the_next_sitting_stays_there() {
        let at = |time: &str| -> ZonedDateTime { format!("2027-04-{time}[Europe/London]").parse().unwrap() };
        let session = |id: &str, start: &str, end: &str, finish: &str| PlannedSession {
            id: id.into(),
            start: at(start),
            end: at(end),
            finish: at(finish),
        };
        let sessions = [
            session("fri", "23T17:00", "23T21:00", "23T21:10"),
            session("sat", "24T08:00", "24T13:00", "24T12:30"),
        ];
        let stays = |was: &str, now: &str| stays_in_its_sitting(&sessions, &at(was), &at(now));
        assert!(stays("23T18:00", "23T18:15"));
        assert!(stays("23T20:55", "23T21:05"), "a sitting that runs over is the same one");
        assert!(!stays("24T09:00", "23T17:50"));
        assert!(!stays("23T20:00", "24T08:00"));
        assert!(stays("24T07:30", "24T08:15"), "staff begin before it");
        assert!(!stays("24T07:30", "23T20:00"));
        let followed = |was: &str, now: &str| is_followed(&sessions, &at(was), &at(now));
        assert!(followed("23T18:00", "23T19:00") && followed("24T09:00", "24T09:00"));
        assert!(!followed("23T18:00", "23T19:05"), "so far nobody follows from paper");
        assert!(!followed("23T20:00", "23T18:55"));
    }
}
