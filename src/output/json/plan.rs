//! The plan for programs.

use super::findings::FindingView;
use super::moment;
use crate::course::{Hands, SessionId};
use crate::reckon::plan::chance::Odds;
use crate::reckon::plan::choose::Planned;
use crate::reckon::plan::conflict::Conflict;
use crate::reckon::plan::idle::{Wait, longest_wait};
use crate::reckon::plan::levers::{Lever, OnTime};
use crate::reckon::plan::moments::{Moment, Person, Waits};
use crate::reckon::plan::presence::Away;
use crate::reckon::plan::timetable::{PlannedSession, PlannedTask, TermValue};
use crate::reckon::plan::unstaffed::{NotFree, Unstaffed};
use crate::units::Percent;
use jiff::ZonedDateTime;
use serde::Serialize;

/// What `plan` answers.
#[derive(Serialize, Debug)]
pub struct PlanView {
    /// Everything fits in its time.
    pub fits: bool,
    /// How much too long the sessions are in all; `None` when no plan was found.
    pub overrun_minutes: Option<i64>,
    /// It is proven that nothing fits in the written times, in whichever splits into batches and loads: as the finding `does-not-fit`
    /// says it, or a finding of what is short, or never is, in every plan. A plan that is proven the least late of those splits that
    /// were tried proves that only where all were.
    pub proven_impossible: bool,
    /// How many splits into batches and loads were tried: of these is said what is proven of the plan; `None` when no plan was found.
    pub splits_tried: Option<usize>,
    /// How many there are; `None` when no plan was found.
    pub splits: Option<usize>,
    /// What nobody of the staff is free for, where that is why there is no plan.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub nobody_free: Vec<NobodyFreeView>,
    /// The terms of the objective, in their order.
    pub objective: Vec<TermView>,
    /// Every term is proven to be the least possible in the splits that were tried.
    pub proven_optimal: bool,
    /// Ids of the tasks that staff do before the session.
    pub made_ahead: Vec<String>,
    /// The tasks by start.
    pub tasks: Vec<TaskView>,
    /// The sessions.
    pub sessions: Vec<SessionView>,
    /// Where students wait longest with idle hands; `None` where nobody waits.
    pub longest_wait: Option<WaitView>,
    /// Ids of the tasks that cannot be a minute late without a session ending later; when that was simulated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_slack: Option<Vec<String>>,
    /// The step after which a buffer helps most; when that was simulated and one step alone holds up anything.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub buffer: Option<BufferView>,
    /// Who does what now and next, and what waits for its next step; when a moment was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub then: Option<ThenView>,
    /// Why nothing fits, when that is known or was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conflict: Option<ConflictView>,
    /// Changes, each tried, that make it fit, the smallest first, and several together where no single one does; when they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub levers: Option<Vec<String>>,
    /// For each of these, how sure the class is with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lever_chances: Option<Vec<LeverChancesView>>,
    /// The course's errors, and what else a teacher should know of this plan, as `check` tells them; when the plan is all that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub findings: Option<Vec<FindingView>>,
}

/// A piece of work that nobody of the staff is free for.
#[derive(Serialize, Debug)]
pub struct NobodyFreeView {
    /// The task's id.
    pub task: String,
    /// When the work begins.
    pub from: String,
    /// When it is over.
    pub to: String,
    /// Each of the staff who might do it, with why they cannot, in words.
    pub not_free: Vec<String>,
}

impl NobodyFreeView {
    fn of(piece: &Unstaffed) -> Self {
        NobodyFreeView {
            task: piece.task.clone(),
            from: moment(&piece.from),
            to: moment(&piece.to),
            not_free: piece.not_free.iter().map(NotFree::text).collect(),
        }
    }
}

/// Where a buffer helps most.
#[derive(Serialize, Debug)]
pub struct BufferView {
    /// The step, as `lesson.step`.
    pub after: String,
    /// By how many minutes its swings hold up the sessions' ends, on average.
    pub minutes: i64,
}

/// A moment of the plan.
#[derive(Serialize, Debug)]
pub struct ThenView {
    /// The staff and the stations, each with the ids of what they do, and of what they do next.
    pub people: Vec<PersonView>,
    /// What one task has left and the next has not taken up yet.
    pub waits: Vec<WaitsView>,
}

/// One of the staff, or a station, at a moment.
#[derive(Serialize, Debug)]
pub struct PersonView {
    /// `teacher`, `helper-1`, `station-3`.
    pub who: String,
    /// What is done; empty when nothing is.
    pub now: Vec<String>,
    /// Why nothing is: `break`, or `not-there`, by the hours of one of the staff.
    pub away: Option<&'static str>,
    /// Until when, if they come again.
    pub away_until: Option<String>,
    /// The first that begins later; `None` when nothing does.
    pub next: Option<String>,
}

/// What waits between two tasks.
#[derive(Serialize, Debug)]
pub struct WaitsView {
    /// The task that left it.
    pub after: String,
    /// The task that takes it up.
    pub next: String,
}

impl ThenView {
    /// A view of a moment.
    #[must_use]
    pub fn of(moment: &Moment) -> Self {
        let id = |task: &&PlannedTask| task.id.clone();
        let person = |one: &Person| PersonView {
            who: one.who.clone(),
            now: one.now.iter().map(id).collect(),
            away: one.away.as_ref().map(|away| match away {
                Away::Break(_) => "break",
                Away::NotThere(_) => "not-there",
            }),
            away_until: one.away.as_ref().and_then(|away| match away {
                Away::Break(until) => Some(super::moment(until)),
                Away::NotThere(until) => until.as_ref().map(super::moment),
            }),
            next: one.next.as_ref().map(|(task, _)| task.id.clone()),
        };
        let waits = |one: &Waits| WaitsView { after: one.after.id.clone(), next: one.next.id.clone() };
        ThenView {
            people: moment.people.iter().map(person).collect(),
            waits: moment.waits.iter().map(waits).collect(),
        }
    }
}

/// A time in which students have nothing to do.
#[derive(Serialize, Debug)]
pub struct WaitView {
    /// The session's id.
    pub session: String,
    /// The stations.
    pub stations: Vec<u32>,
    /// The id of the task after which they wait; `None` at the start of the session.
    pub after: Option<String>,
    /// From when.
    pub from: String,
    /// How long.
    pub minutes: i64,
}

impl WaitView {
    /// A view of it.
    #[must_use]
    pub fn of(wait: Wait) -> Self {
        WaitView {
            session: wait.session.to_string(),
            stations: wait.stations.iter().map(|no| no.0).collect(),
            after: wait.after,
            from: moment(&wait.from),
            minutes: wait.long.get(),
        }
    }
}

/// How sure a class is with a lever.
#[derive(Serialize, Debug)]
pub struct LeverChancesView {
    /// The lever, as it stands in `levers`.
    pub lever: String,
    /// Each session of the plan that is made with it; `None`: no such plan was found in as many steps as the plan is looked for with.
    pub sessions: Option<Vec<ChanceView>>,
}

/// The chance that a session ends on time.
#[derive(Serialize, Debug)]
pub struct ChanceView {
    /// The session's id.
    pub id: String,
    /// From 0 to 1.
    pub chance_on_time: f64,
}

/// Why nothing fits.
#[derive(Serialize, Debug)]
pub struct ConflictView {
    /// In one sentence, with the figure.
    pub sentence: String,
    /// The constraints that conflict, in the teacher's words.
    pub constraints: Vec<String>,
    /// Each of them is needed for the conflict.
    pub minimal: bool,
}

impl PlanView {
    /// Adds the chance that each session ends on time.
    pub fn with_odds(&mut self, odds: Option<&Odds>) {
        for one in odds.iter().flat_map(|odds| &odds.sessions) {
            if let Some(session) = self.sessions.iter_mut().find(|s| s.id == one.id.as_str()) {
                session.chance_on_time = Some(one.on_time.to_f64() / 100.0);
            }
        }
        self.no_slack = odds.map(|odds| odds.no_slack.clone());
        let buffer = odds.and_then(|odds| odds.buffer.clone());
        self.buffer = buffer.map(|(after, minutes)| BufferView { after, minutes: minutes.get() });
    }
    /// Adds why nothing fits.
    pub fn with_conflict(&mut self, conflict: &Conflict) {
        self.conflict = Some(ConflictView {
            sentence: conflict.sentence.clone(),
            constraints: conflict.constraints.clone(),
            minimal: conflict.minimal,
        });
    }
    /// Adds what would help, each with the chance that each session ends on time then.
    pub fn with_levers(&mut self, levers: &[(Option<OnTime>, Lever)]) {
        self.levers = Some(levers.iter().map(|(_, lever)| lever.text.clone()).collect());
        let chance = |(id, sure): &(SessionId, Percent)| ChanceView {
            id: id.to_string(),
            chance_on_time: sure.to_f64() / 100.0,
        };
        let view = |(sure, lever): &(Option<OnTime>, Lever)| LeverChancesView {
            lever: lever.text.clone(),
            sessions: sure.as_ref().map(|all| all.iter().map(chance).collect()),
        };
        self.lever_chances = Some(levers.iter().map(view).collect());
    }
}

/// One term of the objective.
#[derive(Serialize, Debug)]
pub struct TermView {
    /// What is made small.
    pub term: String,
    /// Its value.
    pub value: i64,
    /// No plan in the splits that were tried has less, with the terms before as they are.
    pub bound: i64,
    /// The value is the least possible in those splits.
    pub proven: bool,
}

/// One task.
#[derive(Serialize, Debug)]
pub struct TaskView {
    /// `lesson.step@group`.
    pub id: String,
    /// The lesson; `None` for the class's own.
    pub lesson: Option<String>,
    /// The step.
    pub step: String,
    /// `class`, `station-3`, `batch-2`, `load-1`, ...
    pub group: String,
    /// Start.
    pub start: String,
    /// End.
    pub end: String,
    /// `students`, `teacher`, `helper`, `staff`, `nobody`.
    pub hands: &'static str,
    /// One student of each of its stations suffices.
    pub one_student: bool,
    /// Which of the staff.
    pub by: Vec<String>,
    /// It mixes by hand a batch for which there is no machine.
    pub by_hand: bool,
    /// Everyone watches.
    pub demo: bool,
    /// Staff do it before the session.
    pub made_ahead: bool,
    /// The stations whose students work or watch.
    pub stations: Vec<u32>,
    /// The stations whose pieces it is on, whoever's hands it takes: those in a batch or a load.
    pub for_stations: Vec<u32>,
    /// What it keeps busy.
    pub uses: Vec<UsedView>,
}

/// Something that a task keeps busy.
#[derive(Serialize, Debug)]
pub struct UsedView {
    /// The kitchen's id, and the number of one of several alike.
    pub resource: String,
    /// How many.
    pub amount: u32,
    /// When it is free of this task again, without the wash between.
    pub until: String,
}

/// One session.
#[derive(Serialize, Debug)]
pub struct SessionView {
    /// Its id.
    pub id: String,
    /// Its written start.
    pub start: String,
    /// Its written end.
    pub end: String,
    /// When the last student's step is done.
    pub finish: String,
    /// The chance that it ends on time, from 0 to 1; `None` when it was not simulated.
    pub chance_on_time: Option<f64>,
}

impl PlanView {
    /// A view of what came of planning; `at` keeps only the tasks that go on at that moment.
    #[must_use]
    pub fn of(planned: &Planned, at: Option<&ZonedDateTime>) -> Self {
        let plan = planned.plan.as_ref();
        let first = plan.and_then(|p| p.sessions.iter().map(|s| &s.start).min());
        let by_staff = |t: &PlannedTask| !matches!(t.hands, Hands::Students | Hands::Nobody);
        // What staff do on the day before is made ahead, whether the lesson says `made-ahead` of its part or not.
        let ahead = |t: &PlannedTask| t.made_ahead || (by_staff(t) && first.is_some_and(|at| t.end <= *at));
        let view = |t: &PlannedTask| TaskView { made_ahead: ahead(t), ..TaskView::of(t) };
        let goes_on = |t: &&PlannedTask| at.is_none_or(|at| t.start <= *at && *at < t.end);
        PlanView {
            fits: plan.is_some_and(|p| p.fits),
            overrun_minutes: plan.map(|p| p.overrun.get()),
            proven_impossible: planned.impossible,
            splits_tried: plan.map(|p| p.tried.0),
            splits: plan.map(|p| p.tried.1),
            nobody_free: if planned.wants_somebody() {
                planned.nobody.iter().map(NobodyFreeView::of).collect()
            } else {
                Vec::new()
            },
            objective: plan.map(|p| p.objective.iter().map(TermView::of).collect()).unwrap_or_default(),
            proven_optimal: plan.is_some_and(|p| p.proven_optimal),
            made_ahead: plan.map_or_else(Vec::new, |p| {
                let own = p.tasks.iter().filter(|t| ahead(t) || p.made_ahead.contains(&t.id));
                own.map(|t| t.id.clone()).collect()
            }),
            tasks: plan.map(|p| p.tasks.iter().filter(goes_on).map(view).collect()).unwrap_or_default(),
            sessions: plan.map(|p| p.sessions.iter().map(SessionView::of).collect()).unwrap_or_default(),
            longest_wait: plan.and_then(longest_wait).map(WaitView::of),
            no_slack: None,
            buffer: None,
            then: None,
            conflict: None,
            levers: None,
            lever_chances: None,
            findings: None,
        }
    }
}

impl TermView {
    fn of(term: &TermValue) -> Self {
        TermView { term: term.term.clone(), value: term.value, bound: term.bound, proven: term.proven }
    }
}

impl TaskView {
    /// A view of one task.
    #[must_use]
    pub fn of(task: &PlannedTask) -> Self {
        TaskView {
            id: task.id.clone(),
            lesson: task.lesson.as_ref().map(ToString::to_string),
            step: task.step.to_string(),
            group: task.group.to_string(),
            start: moment(&task.start),
            end: moment(&task.end),
            hands: hands(task.hands),
            one_student: task.one_student,
            by: task.by.clone(),
            by_hand: task.by_hand,
            demo: task.demo,
            made_ahead: task.made_ahead,
            stations: task.stations.iter().map(|s| s.0).collect(),
            for_stations: task.for_stations().iter().map(|s| s.0).collect(),
            uses: task
                .uses
                .iter()
                .map(|u| UsedView { resource: u.resource.clone(), amount: u.amount, until: moment(&u.until) })
                .collect(),
        }
    }
}

impl SessionView {
    fn of(session: &PlannedSession) -> Self {
        SessionView {
            id: session.id.to_string(),
            start: moment(&session.start),
            end: moment(&session.end),
            finish: moment(&session.finish),
            chance_on_time: None,
        }
    }
}

/// The word for whose hands, the same in the files.
#[must_use]
pub fn hands(hands: Hands) -> &'static str {
    match hands {
        Hands::Students => "students",
        Hands::Teacher => "teacher",
        Hands::Helper => "helper",
        Hands::Staff => "staff",
        Hands::Nobody => "nobody",
    }
}
