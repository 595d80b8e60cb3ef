//! What the checker says of a plan from now on, without what somebody has just said themselves.

use super::super::check::{Broken, check_without, more_than_left, not_hot_yet};
use super::super::jobs::Jobs;
use super::super::timetable::{Plan, PlannedTask};
use super::Day;
use super::gone::helpers_left;
use super::keep::kitchen_without;
use super::until_now::had_begun;
use crate::course::StationNo;
use std::collections::BTreeSet;

impl Day<'_> {
    /// What is broken and is news: what ran late ran long, and staff work for an empty station, as was said on the command line. What stands
    /// longer than it should since it is not ready is told with the rest: nobody has said by how much.
    pub(super) fn broken_in(
        &self,
        jobs: &Jobs<'_>,
        new: &Plan,
        (gone, again): (&BTreeSet<String>, &[String]),
        empty: &[StationNo],
    ) -> Vec<Broken> {
        let (course, now) = (self.course, self.now);
        let mut broken = check_without(course, self.class, self.portions, new, gone);
        broken.extend(not_hot_yet(course, self.printed, new, &now.time));
        if !now.without.is_empty() {
            let left = kitchen_without(course, &now.without);
            broken.extend(more_than_left(&left, (self.class, self.portions), new, &now.time, &now.without));
        }
        let is_late = |id: &String| now.late.iter().any(|(late, _)| late == id);
        let taken = |id: &String| new.task(id).is_some_and(|t| t.taken_over.is_some());
        let fixed = |id: &String| now.done.contains(id) || again.contains(id) || taken(id);
        let stands = |id: &String| jobs.jobs.iter().any(|job| job.id == *id && jobs.stands(job));
        let no_helper = helpers_left(course, &now.absent) == 0;
        broken.retain(|b| {
            // What stood before a step that is late, or begins again, stood longer for it: that nobody has said.
            let fact = match b.rule {
                "takes" | "own-step" => b.tasks.iter().any(|id| fixed(id) || is_late(id)),
                // What is over was taken up when it was.
                "stands" if b.is_taken_up_before() => {
                    b.tasks.iter().all(|id| new.task(id).is_some_and(|t| t.end <= now.time))
                }
                "stands" => b.tasks.first().is_some_and(|id| fixed(id) || (is_late(id) && !stands(id))),
                "staff-hours" | "eye" => had_begun(course, new, &now.time, b),
                // What has waited until now for a place to stand in.
                "carry" if b.waits_for_a_place() => {
                    b.tasks.iter().all(|id| new.task(id).is_some_and(|t| t.start < now.time))
                }
                // What was to be made ahead and was not is made up for: that is told by itself.
                "made-ahead" => {
                    !b.tasks.is_empty()
                        && b.tasks.iter().all(|id| new.task(id).is_some_and(|t| !t.made_ahead))
                }
                "hands" => no_helper && b.wants_a_helper(),
                _ => false,
            };
            // Staff finish the work of a station that is empty.
            let nobody = || {
                let missing = |task: &PlannedTask| {
                    task.for_stations().iter().all(|no| task.stations.contains(no) || empty.contains(no))
                };
                b.message.contains("students of a station")
                    && b.tasks.first().and_then(|id| new.task(id)).is_some_and(missing)
            };
            !(fact || (b.rule == "hands" && nobody()))
        });
        broken
    }
}
