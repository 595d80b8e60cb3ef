//! Students, teacher, helpers, sessions and hours.

use super::super::staff::NOBODY;
use super::super::timetable::PlannedTask;
use super::{Checker, NOBODY_FREE, is_hot, joined, minute, time, too_much};
use crate::course::{Chain, Hands};
use crate::reckon::work::Whom;
use std::collections::BTreeMap;

impl Checker<'_> {
    pub(super) fn people(&mut self) {
        self.students();
        self.staff();
        self.hours();
        self.finishes();
    }

    /// No station is asked for more hands than it has.
    fn students(&mut self) {
        for station in &self.class.stations {
            let all = i64::from(station.students());
            let mut spans = Vec::new();
            for (place, task) in self.plan.tasks.iter().enumerate() {
                if task.stations.contains(&station.no) {
                    let (from, to) = time(task);
                    spans.push((from, to, if task.one_student { 1 } else { all }, place));
                }
                // Hands at the ends of a step.
                let ends = self.step(task).and_then(|(_, s)| s.ends.as_ref()).filter(|_| !task.cold_wait);
                let here =
                    task.members.iter().any(|(w, _)| *w == crate::reckon::work::Whom::Station(station.no));
                if let Some(ends) = ends.filter(|e| here && e.hands.value == Hands::Students) {
                    let (from, to) = time(task);
                    let long = ends.takes.value.get();
                    spans.push((from, from + long, 1, place));
                    spans.push((to - long, to, 1, place));
                }
            }
            if let Some((_, sum, tasks)) = too_much(&spans, all) {
                let tasks: Vec<&PlannedTask> = tasks.into_iter().map(|n| &self.plan.tasks[n]).collect();
                self.no(
                    "hands",
                    &tasks,
                    format!("station {} has {all} students, {sum} are needed", station.no),
                );
            }
        }
        // Whoever should work does: the stations of a students' step are the stations of its pieces.
        for task in &self.plan.tasks {
            let Some((_, step)) = self.step(task) else { continue };
            let needs = step.hands.value == Hands::Students && !task.made_ahead && !task.cold_wait;
            let mut missing = task.members.iter().filter_map(|(w, _)| match w {
                crate::reckon::work::Whom::Station(no) => Some(no),
                _ => None,
            });
            if (needs || step.demo) && missing.any(|no| !task.stations.contains(no)) {
                self.no("hands", &[task], "students of a station are missing".into());
            }
        }
    }

    /// Each of the staff does one thing at a time, and the teacher looks where an eye is needed.
    fn staff(&mut self) {
        let helpers = self.course.settings.helpers.len();
        let mut busy: BTreeMap<String, Vec<(i64, i64, i64, usize)>> = BTreeMap::new();
        let mut eyes: Vec<(i64, i64, usize)> = Vec::new();
        for (place, task) in self.plan.tasks.iter().enumerate() {
            let (from, to) = time(task);
            let step = self.step(task).map(|(_, s)| s);
            let ends = step.and_then(|s| s.ends.as_ref()).filter(|_| !task.cold_wait);
            let works = !matches!(task.hands, Hands::Students | Hands::Nobody);
            let mut stretches: Vec<(i64, i64)> = Vec::new();
            if works {
                // What was begun by students who have left since is staff's from then on.
                stretches.push((task.taken_over.as_ref().map_or(from, minute), to));
            }
            if let Some(ends) = ends.filter(|e| !matches!(e.hands.value, Hands::Students | Hands::Nobody)) {
                let long = ends.takes.value.get();
                stretches.extend([(from, from + long), (to - long, to)]);
            }
            if stretches.len() != task.by.len() {
                self.no(
                    "hands",
                    &[task],
                    format!("{} of staff for {} pieces of work", task.by.len(), stretches.len()),
                );
            }
            let wanted = match (works, ends) {
                (true, _) => task.hands,
                (false, Some(ends)) => ends.hands.value,
                (false, None) => Hands::Nobody,
            };
            for ((from, to), who) in stretches.into_iter().zip(&task.by) {
                if who == NOBODY {
                    self.no("hands", &[task], NOBODY_FREE.to_owned());
                    continue;
                }
                let known = who == "teacher" || (1..=helpers).any(|n| *who == format!("helper-{n}"));
                let right = match wanted {
                    Hands::Teacher => who == "teacher",
                    Hands::Helper => who != "teacher",
                    _ => true,
                };
                if !known || !right {
                    self.no("hands", &[task], format!("is done by {who}"));
                }
                busy.entry(who.clone()).or_default().push((from, to, 1, place));
            }
            let watched = step.is_some_and(|s| s.eye) && !task.stations.is_empty() && !task.cold_wait;
            if watched {
                eyes.push((from, to, place));
            }
        }
        for (who, spans) in &busy {
            if let Some((_, sum, tasks)) = too_much(spans, 1) {
                let tasks: Vec<&PlannedTask> = tasks.into_iter().map(|n| &self.plan.tasks[n]).collect();
                self.no("hands", &tasks, format!("{who} does {sum} things at once"));
            }
        }
        for (who, spans) in &busy {
            for (from, to, _, place) in spans {
                if !self.is_at_work(who, *from, *to) {
                    let text = format!("{who} has a break then, or is not there");
                    self.no("staff-hours", &[&self.plan.tasks[*place]], text);
                }
            }
        }
        for (from, to, watched) in eyes {
            if !self.is_at_work("teacher", from, to) {
                let text = "the teacher has a break while an eye is needed, or is not there";
                self.no("eye", &[&self.plan.tasks[watched]], text.into());
            }
            for (a, b, _, place) in busy.get("teacher").into_iter().flatten().copied().collect::<Vec<_>>() {
                if a < to && from < b {
                    let tasks = [&self.plan.tasks[watched], &self.plan.tasks[place]];
                    self.no("eye", &tasks, "the teacher works while an eye is needed".into());
                }
            }
        }
    }

    /// Whether somebody of the staff is there throughout, and has no break, as far as hours of their own are written. Who is there at the end
    /// of a session stays as long as it is late.
    fn is_at_work(&self, who: &str, from: i64, to: i64) -> bool {
        let settings = &self.course.settings;
        let helper = who.strip_prefix("helper-").and_then(|n| n.parse::<usize>().ok());
        let name = match helper {
            Some(n) => n.checked_sub(1).and_then(|n| settings.helpers.get(n)).map(|h| &h.value),
            None => Some(&settings.teacher.value),
        };
        let own = || self.course.presence.iter().filter(|row| Some(&row.who.value) == name);
        let minutes = |span: &crate::course::At<(jiff::ZonedDateTime, jiff::ZonedDateTime)>| {
            (minute(&span.value.0), minute(&span.value.1))
        };
        let hours = joined(own().flat_map(|row| &row.there).map(minutes).collect());
        let at_work = |(begin, end): &(i64, i64)| {
            let inside = |n: &usize| {
                let session = minute(&self.course.sessions[*n].to.value);
                *begin <= session && session <= *end
            };
            let last = (0..self.course.sessions.len()).filter(inside);
            let last = last.max_by_key(|n| minute(&self.course.sessions[*n].from.value));
            *begin <= from && to <= *end + last.map_or(0, |session| self.late(session))
        };
        let there = hours.is_empty() || hours.iter().any(at_work);
        // Of a break counts what lies in their hours as written.
        let always = [(i64::MIN, i64::MAX)];
        let hours: &[(i64, i64)] = if hours.is_empty() { &always } else { &hours };
        let mut breaks = own().flat_map(|row| &row.breaks).map(minutes);
        let works_in = |b: (i64, i64)| {
            let counts = hours.iter().map(|h| (b.0.max(h.0), b.1.min(h.1))).filter(|c| c.0 < c.1);
            counts.into_iter().any(|c| c.0 < to && from < c.1)
        };
        there && !breaks.any(works_in)
    }

    /// Students work in sessions, staff in their hours, and nothing is hot in an empty building.
    fn hours(&mut self) {
        let (sessions, with_staff) = (self.sessions(), self.with_staff());
        let attended = self.attended();
        let inside =
            |spans: &[(i64, i64)], (from, to): (i64, i64)| spans.iter().any(|s| s.0 <= from && to <= s.1);
        for task in &self.plan.tasks {
            let span = time(task);
            if !task.stations.is_empty() && !inside(&sessions, span) {
                self.no("session", &[task], "students work outside the sessions".into());
            }
            let works = !matches!(task.hands, Hands::Students | Hands::Nobody) || !task.by.is_empty();
            if works && !inside(&attended, span) {
                self.no("staff-hours", &[task], "lies outside the staff's hours".into());
            }
            let written = self.step(task).and_then(|(_, step)| step.session.as_ref());
            let before =
                written.and_then(|s| self.course.sessions.iter().position(|own| own.id.value == s.value));
            if task.made_ahead && before.and_then(|place| sessions.get(place)).is_some_and(|s| span.1 > s.0) {
                self.no(
                    "made-ahead",
                    &[task],
                    "is made ahead, and after the session that it is for begins".into(),
                );
            }
            if task.made_ahead && sessions.iter().any(|s| s.0 < span.1 && span.0 < s.1) {
                self.no("made-ahead", &[task], "is made ahead in the middle of a session".into());
            }
            let Some((_, step)) = self.step(task) else { continue };
            if is_hot(step.place.value) && !task.cold_wait && !inside(&attended, span) {
                self.no("unattended", &[task], "needs heat or power when nobody is there".into());
            }
            let starts_alone = !attended.iter().any(|s| s.0 <= span.0 && span.0 <= s.1);
            if starts_alone {
                self.no("staff-hours", &[task], "starts when nobody is there".into());
            }
            if let Some(wish) = step.session.as_ref().filter(|_| step.hands.value != Hands::Nobody) {
                let place = self.course.sessions.iter().position(|s| s.id.value == wish.value);
                let sessions = if task.stations.is_empty() { &with_staff } else { &sessions };
                if !place.and_then(|p| sessions.get(p)).is_some_and(|s| inside(&[*s], span))
                    && !task.made_ahead
                {
                    self.no("session", &[task], format!("is not in the session {}", wish.value));
                }
            }
        }
    }

    /// Each session is over when the plan says so, and everyone's pieces are done by the end of the last.
    fn finishes(&mut self) {
        let mut last_finish = i64::MIN;
        for (session, planned) in self.course.sessions.iter().zip(&self.plan.sessions) {
            let finish = minute(&planned.finish);
            last_finish = last_finish.max(finish);
            let from = minute(&session.from.value);
            if self.plan.fits && finish > minute(&session.to.value) {
                self.no("session", &[], format!("{} runs over in a plan that fits", session.id.value));
            }
            let next = self.course.sessions.iter().map(|s| minute(&s.from.value)).filter(|f| *f > from).min();
            for task in self.plan.tasks.iter().filter(|t| !t.stations.is_empty()) {
                let (a, b) = time(task);
                if a >= from && next.is_none_or(|n| a < n) && b > finish {
                    self.no("session", &[task], format!("goes on after {} is finished", session.id.value));
                }
            }
        }
        self.goes_home();
        for task in &self.plan.tasks {
            if task.lesson.is_some() && minute(&task.end) > last_finish {
                self.no("session", &[task], "is not over when the class is".into());
            }
        }
    }

    /// A finished piece that is to be kept cold is not left in the kitchen until the next session.
    fn goes_home(&mut self) {
        for lesson in &self.course.lessons {
            let Some(formula) = self.course.formula(&lesson.formula.value) else { continue };
            let cold = formula.parts.iter().any(|p| p.needs_cold.as_ref().is_some_and(|n| n.value));
            let Some(last) = lesson.steps.iter().rev().find(|s| !s.demo).filter(|_| cold) else { continue };
            if !last.on.iter().any(|c| c.value == Chain::Piece) {
                continue;
            }
            for task in self.tasks_of(lesson, last) {
                let (from, to) = time(task);
                let somebodys = task.members.iter().any(|(w, _)| !matches!(w, Whom::Stage { .. }));
                for planned in self.plan.sessions.iter().filter(|_| somebodys) {
                    let (start, finish) = (minute(&planned.start), minute(&planned.finish));
                    let later = self.course.sessions.iter().map(|s| minute(&s.from.value));
                    if let Some(next) = later.filter(|s| *s > start).min()
                        && finish < to
                        && from < next
                        && from >= start
                    {
                        self.no("goes-home", &[task], "is ready when its students have left".into());
                    }
                }
            }
        }
    }

    /// The batch of a task.
    pub(super) fn batch(&self, task: &PlannedTask) -> Option<&crate::reckon::work::Batch> {
        let super::super::jobs::Group::Batch(no) = task.group else { return None };
        let (lesson, step) = self.step(task)?;
        let parts = step.on.iter().filter_map(|c| match &c.value {
            crate::course::Chain::Part(part) => Some(part.clone()),
            crate::course::Chain::Piece => None,
        });
        let splits = parts.filter_map(|p| self.plan.choice.batches.get(&(lesson.id.value.clone(), p)));
        let splits: Vec<_> = splits.collect();
        // What is mixed beside something that is only stirred in is the batch that a bowl holds.
        let no_bowl = |b: &crate::reckon::work::Batch| b.vessel == crate::reckon::work::Vessel::Other;
        let at_mixer = step.place.value == crate::course::Where::Mixer;
        let mixed = splits.iter().find(|all| at_mixer && !all.iter().all(no_bowl));
        mixed.or(splits.first())?.iter().find(|b| b.no == no)
    }
}
