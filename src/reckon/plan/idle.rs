//! Where students wait longest with idle hands: a plan that fits can still leave a station standing.

use super::timetable::{Plan, PlannedTask};
use crate::course::{SessionId, StationNo};
use crate::units::Minutes;
use jiff::ZonedDateTime;

/// A time in which a station's students have nothing to do.
#[derive(Clone, PartialEq, Debug)]
pub struct Wait {
    /// The session.
    pub session: SessionId,
    /// The stations that wait then, all for the same time.
    pub stations: Vec<StationNo>,
    /// The id of the task after which they wait; `None` at the start of the session.
    pub after: Option<String>,
    /// From when.
    pub from: ZonedDateTime,
    /// How long.
    pub long: Minutes,
}

/// The longest wait of a plan, the earliest of several as long; `None` where nobody waits.
#[must_use]
pub fn longest_wait(plan: &Plan) -> Option<Wait> {
    longest_wait_without(plan, &[])
}

/// The same where nobody is left at some stations: who is not there does not wait.
#[must_use]
pub fn longest_wait_without(plan: &Plan, empty: &[StationNo]) -> Option<Wait> {
    let mut stations: Vec<StationNo> = plan.tasks.iter().flat_map(|t| t.stations.iter().copied()).collect();
    stations.retain(|no| !empty.contains(no));
    stations.sort_unstable();
    stations.dedup();
    let mut longest: Option<Wait> = None;
    for session in &plan.sessions {
        for station in &stations {
            let mut own: Vec<&PlannedTask> = plan
                .tasks
                .iter()
                .filter(|t| t.stations.contains(station) && t.start < session.finish && t.end > session.start)
                .collect();
            own.sort_by_key(|t| (t.start.timestamp(), t.end.timestamp()));
            let mut since = session.start.clone();
            let mut after: Option<&PlannedTask> = None;
            // And until the last students are done, who may be others.
            for task in own.into_iter().map(Some).chain([None]) {
                let until = task.map_or(&session.finish, |t| &t.start);
                let long = Minutes(since.duration_until(until).as_mins());
                let from = since.clone();
                let as_long =
                    longest.as_ref().map(|l| (long.cmp(&l.long), from.timestamp().cmp(&l.from.timestamp())));
                match (&mut longest, as_long) {
                    (Some(known), Some((same, when))) if same.is_eq() && when.is_eq() => {
                        known.stations.push(*station)
                    }
                    (Some(_), Some((shorter, when)))
                        if shorter.is_lt() || (shorter.is_eq() && when.is_gt()) => {}
                    _ if long > Minutes::ZERO => {
                        let (session, after) = (session.id.clone(), after.map(|t| t.id.clone()));
                        longest = Some(Wait { session, stations: vec![*station], after, from, long });
                    }
                    _ => {}
                }
                if let Some(task) = task.filter(|t| t.end > since) {
                    since = task.end.clone();
                    after = Some(task);
                }
            }
        }
    }
    longest
}
