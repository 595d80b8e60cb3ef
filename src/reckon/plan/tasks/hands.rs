//! People: students at their stations, the teacher, the helpers, and the teacher's eye.

use super::super::jobs::{Doer, What};
use super::super::problem::{Point, Reason, ResourceId, TaskId};
use super::Builder;
use super::ways::{end_slots, heats};
use crate::course::{Hands, StationNo};
use std::collections::BTreeMap;

/// The staff as resources. The teacher's attention has as many parts as there are stations: watching one takes one
/// part, work takes all; so several can be watched at once and none while the teacher works.
struct Staff {
    /// Parts in one person.
    parts: i32,
    teacher: ResourceId,
    /// Teacher and helpers together; `None` when the teacher is alone.
    all: Option<ResourceId>,
    helper: ResourceId,
    /// Someone is in the building; off time takes all of it.
    present: ResourceId,
}

/// The resources that are people, by their names in the problem: whoever moves their hands about finds them by these.
pub const TEACHER: &str = "the teacher";
/// See [`TEACHER`].
pub const HELPER: &str = "the helper";
/// See [`TEACHER`]: teacher and helpers together.
pub const STAFF: &str = "staff";
/// See [`TEACHER`]: that somebody is in the building.
pub const PRESENT: &str = "someone in the building";
/// What a conflict calls the hands of the students.
pub const STATION_HANDS: &str = "a station has the hands of its own students only";

impl Builder<'_> {
    /// Who does what.
    pub(super) fn add_hands(&mut self) {
        let stations = self.add_stations();
        let staff = self.add_staff();
        let all = staff.all.map(|all| (all, staff.parts));
        self.add_away((staff.teacher, staff.parts), (staff.helper, 1), all);
        for number in self.numbers() {
            let job = self.job(number);
            let span = Self::whole(number);
            let in_class = self.when(number, |w| !w.ahead);
            let ahead = self.when(number, |w| w.ahead);
            for no in &job.stations {
                let Some((resource, all)) = stations.get(no) else { continue };
                match job.doer {
                    Doer::Students | Doer::Demo(_) => self.hold(*resource, *all, span, &in_class),
                    Doer::OneStudent => self.hold(*resource, 1, span, &in_class),
                    _ => {}
                }
            }
            self.staff_does(&staff, Doer::Staff, span, &ahead);
            self.staff_does(&staff, job.doer, span, &in_class);
            if let Some((_, step)) = self.jobs.step_of(job)
                && matches!(job.what, What::Step(..))
            {
                if step.eye && !job.stations.is_empty() {
                    self.hold(staff.teacher, 1, span, &in_class);
                    if let Some(all) = staff.all {
                        self.hold(all, 1, span, &in_class);
                    }
                }
                if let Some((hands, slots)) = end_slots(step, &self.calendar.grid) {
                    self.add_ends(number, hands, slots, &staff, &stations);
                }
            }
            if job.doer == Doer::Nobody && !matches!(job.what, What::Own(..)) {
                // Someone puts it there and someone takes it up; what is hot is never left alone.
                let start = Point::start(TaskId(number));
                let hot = matches!(job.what, What::Step(..)) && self.place(job).is_some_and(heats);
                let until = if hot { Point::end(TaskId(number)) } else { start.later(1) };
                self.hold(staff.present, 1, (start, until), &[Vec::new()]);
            }
        }
        let full = self.problem.resources[staff.present.0].capacity;
        for off in self.off.clone() {
            self.hold(staff.present, full, (Point::start(off), Point::end(off)), &[Vec::new()]);
        }
        for gone in self.gone.clone() {
            for (resource, all) in stations.values() {
                self.hold(*resource, *all, (Point::start(gone), Point::end(gone)), &[Vec::new()]);
            }
        }
        if self.ask.keep_students {
            self.keep_students();
        }
    }

    /// However many hands a station had: its students work on nothing while all watch, rest, or are gone.
    fn keep_students(&mut self) {
        let all = i32::try_from(self.jobs.jobs.len()).unwrap_or(i32::MAX / 4) + 1;
        for station in &self.jobs.class.stations {
            let name = format!("station {} in the class", station.no);
            let resource = self.problem.resource(&name, all, Reason::Always);
            for number in self.numbers() {
                let job = self.job(number);
                if !job.stations.contains(&station.no) {
                    continue;
                }
                let amount = match job.doer {
                    Doer::Demo(_) => all,
                    Doer::Students if matches!(job.what, What::Own(..)) => all,
                    Doer::Students | Doer::OneStudent => 1,
                    _ => continue,
                };
                let in_class = self.when(number, |w| !w.ahead);
                self.hold(resource, amount, Self::whole(number), &in_class);
            }
            for gone in self.gone.clone() {
                self.hold(resource, all, (Point::start(gone), Point::end(gone)), &[Vec::new()]);
            }
        }
    }

    fn add_stations(&mut self) -> BTreeMap<StationNo, (ResourceId, i32)> {
        let mut all = BTreeMap::new();
        for station in &self.jobs.class.stations {
            let students = i32::try_from(station.students()).unwrap_or(i32::MAX);
            let reason = self.reason(STATION_HANDS);
            let name = format!("the {students} students at station {}", station.no);
            let resource = self.problem.resource(&name, students, reason);
            all.insert(station.no, (resource, students));
            self.station_resources.push(resource);
        }
        all
    }

    fn add_staff(&mut self) -> Staff {
        let parts = i32::try_from(self.jobs.class.stations.len()).unwrap_or(i32::MAX).max(1);
        let helpers = i32::try_from(self.jobs.course.settings.helpers.len()).unwrap_or(0);
        let why_teacher = self.reason("there is one teacher");
        let teacher = self.problem.resource(TEACHER, parts, why_teacher);
        let why_helper = match helpers {
            0 => self.reason("there is no helper"),
            1 => self.reason("there is one helper"),
            n => self.reason(&format!("there are {n} helpers")),
        };
        let helper = self.problem.resource(HELPER, helpers, why_helper);
        let all = (helpers > 0).then(|| {
            let reason = self.reason("the hands of teacher and helpers");
            self.problem.resource(STAFF, parts.saturating_mul(1 + helpers), reason)
        });
        let jobs = i32::try_from(self.jobs.jobs.len()).unwrap_or(i32::MAX / 4);
        let present = self.problem.resource(PRESENT, 4 * jobs + 4, Reason::Always);
        self.present = Some(present);
        Staff { parts, teacher, all, helper, present }
    }

    fn staff_does(
        &mut self,
        staff: &Staff,
        doer: Doer,
        span: (Point, Point),
        when: &[Vec<super::super::problem::Choice>],
    ) {
        let Some(doer) = doer.of_staff() else { return };
        if doer == Doer::Teacher || (doer == Doer::Staff && staff.all.is_none()) {
            self.hold(staff.teacher, staff.parts, span, when);
        }
        if doer == Doer::Helper {
            self.hold(staff.helper, 1, span, when);
        }
        if let Some(all) = staff.all {
            self.hold(all, staff.parts, span, when);
        }
        self.hold(staff.present, 1, span, when);
    }

    fn add_ends(
        &mut self,
        number: usize,
        hands: Hands,
        slots: i32,
        staff: &Staff,
        stations: &BTreeMap<StationNo, (ResourceId, i32)>,
    ) {
        let (from, to) = Self::whole(number);
        for span in [(from, from.later(slots)), (to.later(-slots), to)] {
            let doer = match hands {
                Hands::Teacher => Doer::Teacher,
                Hands::Helper => Doer::Helper,
                Hands::Staff => Doer::Staff,
                Hands::Nobody => Doer::Nobody,
                Hands::Students => {
                    for no in &self.job(number).stations {
                        if let Some((resource, _)) = stations.get(no) {
                            self.hold(*resource, 1, span, &[Vec::new()]);
                        }
                    }
                    Doer::Nobody
                }
            };
            self.staff_does(staff, doer, span, &[Vec::new()]);
        }
    }
}
