//! What is said on the day, found in the plan: steps, things of the kitchen and people by the names that they go by.

mod teacher;

use super::super::jobs::Jobs;
use super::super::replay::picked_of;
use super::super::timetable::{Plan, PlannedTask};
use super::cannot::of_a_part;
use super::{Absent, Now};
use crate::course::{Course, Status};
use crate::finding::{Finding, Level};
use crate::reckon::work::{Class, Portion};
use crate::units::Minutes;
use jiff::{SignedDuration, ZonedDateTime};
use std::collections::{BTreeMap, BTreeSet};

/// The longest slip that is worth planning round.
pub const MOST_LATE: Minutes = Minutes(12 * 60);

/// How things stand, as it is said.
#[derive(Clone, PartialEq, Debug)]
pub struct Said {
    /// What time it is.
    pub time: ZonedDateTime,
    /// Steps that are over: `walnut-crown.cut@station-4`, or `walnut-crown.cut` for all of that day.
    pub done: Vec<String>,
    /// Steps that were not done, named in the same way; of what is named without a group, all that the plan has earlier.
    pub undone: Vec<String>,
    /// Steps that are so much late; without a group those that run now, or else have just ended, or else come next.
    pub late: Vec<(String, Minutes)>,
    /// What has failed: `oven-2`, `oven` for the last of them, `round-20` for one tin.
    pub without: Vec<String>,
    /// Who is not there, by name.
    pub absent: Vec<String>,
}

/// Finds everything that was said; whatever is not there becomes an error with the nearest that is. The notes beside do not
/// stop anyone.
///
/// # Errors
/// The findings, at least one of them an error.
pub fn named(
    course: &Course,
    class: &Class,
    portions: &[Portion],
    plan: &Plan,
    said: &Said,
) -> Result<(Now, Vec<Finding>), Vec<Finding>> {
    let mut names = Names { course, class, plan, time: &said.time, found: Vec::new() };
    names.when();
    let mut now = Now {
        time: said.time.clone(),
        done: said.done.iter().flat_map(|step| names.done(step)).collect(),
        undone: said.undone.iter().flat_map(|step| names.undone(step)).collect(),
        // That what is over came late may be said as well as that it is over.
        late: said
            .late
            .iter()
            .flat_map(|(step, by)| {
                if said.done.contains(step) && step.contains('@') {
                    names.tasks(step).into_iter().map(|t| (t.id.clone(), *by)).collect()
                } else {
                    names.late(step, *by)
                }
            })
            .collect(),
        without: said.without.iter().filter_map(|thing| names.thing(thing)).collect(),
        absent: said.absent.iter().filter_map(|name| names.person(name)).collect(),
    };
    names.apart(&now);
    names.can_be_done(&Jobs::of(course, class, portions, &picked_of(plan)), &said.done, &mut now);
    let found = names.found;
    if found.iter().any(|f| f.level == Level::Error) { Err(found) } else { Ok((now, found)) }
}

/// Holds what a board saved against the plan that it speaks of, as [`named`] does with what is typed; here steps go by their
/// whole ids. A slip that is too long to be planned round is taken out: told as a warning where the step was to be over as
/// long ago, and else an error.
pub fn exactly(course: &Course, class: &Class, plan: &Plan, now: &mut Now) -> Vec<Finding> {
    let time = now.time.clone();
    let mut names = Names { course, class, plan, time: &time, found: Vec::new() };
    names.when();
    let named = now.done.iter().chain(&now.undone).chain(now.late.iter().map(|(id, _)| id));
    let ids: BTreeSet<&String> = named.collect();
    ids.into_iter().for_each(|id| names.whole(id));
    names.apart(now);
    now.late.retain(|(id, by)| names.slips(id, *by));
    now.without = now.without.iter().filter_map(|thing| names.thing(thing)).collect();
    names.seats(&now.absent);
    names.found
}

struct Names<'a> {
    course: &'a Course,
    class: &'a Class,
    plan: &'a Plan,
    time: &'a ZonedDateTime,
    found: Vec<Finding>,
}

impl<'a> Names<'a> {
    fn when(&mut self) {
        let clock = self.time.strftime("%a %H:%M");
        let first = self.plan.tasks.iter().map(|t| &t.start).min();
        // A day that is late goes on after the plan's last step: while its session lasts, and while staff are there.
        let sessions = self.plan.sessions.iter().map(|s| &s.end);
        let hours = self.course.sessions.iter().flat_map(|s| &s.staff).map(|hours| &hours.value.1);
        let last = self.plan.tasks.iter().map(|t| &t.end).chain(sessions).chain(hours).max();
        if let Some(last) = last.filter(|last| self.time >= *last) {
            let message = format!(
                "{clock} is after everything: steps, sessions and staff's hours are over by {}",
                last.strftime("%a %H:%M")
            );
            let way_out = "give a time of the class; nothing is left to plan after its end";
            self.found.push(Finding::error("time-outside-class", None, message).way_out(way_out));
        } else if let Some(first) = first.filter(|first| self.time < *first) {
            let message = format!(
                "{clock} is before everything: the first of it starts at {}",
                first.strftime("%a %H:%M")
            );
            let way_out = "change the course's files and ask `benchroll plan`: nothing has begun";
            self.found.push(Finding::error("time-outside-class", None, message).way_out(way_out));
        } else if !self
            .plan
            .sessions
            .iter()
            .any(|s| s.start <= *self.time && *self.time <= s.end.clone().max(s.finish.clone()))
        {
            let message = format!("{clock} lies in no session: what is planned again is what comes after");
            self.found.push(Finding::note("time-outside-class", None, message));
        }
    }

    fn done(&mut self, step: &str) -> Vec<String> {
        let day = self.time.date();
        let tasks = self.tasks(step);
        let whole = tasks.len() > 1 || !step.contains('@');
        tasks.into_iter().filter(|t| !whole || t.start.date() <= day).map(|t| t.id.clone()).collect()
    }

    fn undone(&mut self, step: &str) -> Vec<String> {
        let tasks = self.tasks(step);
        let earlier: Vec<String> =
            tasks.iter().filter(|t| t.start < *self.time).map(|t| t.id.clone()).collect();
        if !tasks.is_empty() && earlier.is_empty() {
            let message =
                format!("{step} comes after {}: it is not yet to be done", self.time.strftime("%H:%M"));
            let way_out = "leave it out, or say with --late by how much later it begins";
            self.found.push(Finding::error("unknown-step", None, message).way_out(way_out));
        }
        earlier
    }

    /// Nothing is over that was not done, nor late.
    fn apart(&mut self, now: &Now) {
        for id in &now.undone {
            let what = if now.done.contains(id) {
                "over"
            } else if now.late.iter().any(|(late, _)| late == id) {
                "late"
            } else {
                continue;
            };
            let message = format!("`{id}` is said to be {what}, and not to be done");
            let way_out = "leave one of the two out";
            self.found.push(Finding::error("said-twice", None, message).way_out(way_out));
        }
    }

    fn late(&mut self, step: &str, by: Minutes) -> Vec<(String, Minutes)> {
        let tasks = self.tasks(step);
        let late = SignedDuration::from_mins(by.get());
        let (chosen, why) =
            if step.contains('@') { (tasks.clone(), "") } else { self.meant_as_late(&tasks, late) };
        let over = |t: &&PlannedTask| t.end.saturating_add(late) <= *self.time;
        if !tasks.is_empty() && (chosen.is_empty() || chosen.iter().all(over)) {
            let message = format!("{step} was over before {}, {by} late or not", self.time.strftime("%H:%M"));
            let way_out = "name a step that runs or is to come, or leave it out";
            self.found.push(Finding::error("unknown-step", None, message).way_out(way_out));
            return Vec::new();
        }
        if let Some(other) = tasks.iter().find(|t| !chosen.iter().any(|c| c.id == t.id)) {
            let groups: Vec<String> = chosen.iter().map(|t| t.group.to_string().replace('-', " ")).collect();
            let message = format!("{by} late is taken of {step} for {}: {why}", groups.join(", "));
            let way_out =
                format!("where another is meant, name it with its group: `--late {}=...`", other.id);
            self.found.push(Finding::note("taken-as", None, message).way_out(way_out));
        }
        chosen.into_iter().map(|t| (t.id.clone(), by)).collect()
    }

    /// Of a step that is late, and named without a group, those that run; else those that ended last, where they would run if they were so late;
    /// else those that come next. With the reason, in words.
    fn meant_as_late(
        &self,
        tasks: &[&'a PlannedTask],
        late: SignedDuration,
    ) -> (Vec<&'a PlannedTask>, &'static str) {
        let only = |is: &dyn Fn(&PlannedTask) -> bool| -> Vec<&'a PlannedTask> {
            tasks.iter().filter(|t| is(t)).copied().collect()
        };
        let runs = only(&|t| t.start <= *self.time && *self.time < t.end);
        if !runs.is_empty() {
            return (runs, "it runs there now");
        }
        let may = |t: &&&PlannedTask| t.end <= *self.time && *self.time < t.end.saturating_add(late);
        let ended = tasks.iter().filter(may).map(|t| &t.end).max();
        if ended.is_some() {
            return (
                only(&|t| Some(&t.end) == ended),
                "it runs nowhere by the plan, and was to end there last",
            );
        }
        let next = tasks.iter().map(|t| &t.start).filter(|start| *start >= self.time).min();
        (only(&|t| Some(&t.start) == next), "it runs nowhere by the plan, and is to begin there next")
    }

    /// Nothing is over that takes up what has not begun: what comes before it has begun by the plan, or is said to be over. Of a step that is
    /// named without its group those count for which that is so.
    fn can_be_done(&mut self, jobs: &Jobs<'_>, said: &[String], now: &mut Now) {
        let stem = |id: &str| id.split_once('@').map_or(id, |(stem, _)| stem).to_owned();
        let mut waiting: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for id in &now.done {
            let before = self.not_begun_before(jobs, now, id);
            if !before.is_empty() {
                let mut known = BTreeSet::new();
                let steps =
                    before.iter().map(|task| stem(&task.id)).filter(|step| known.insert(step.clone()));
                waiting.insert(id.clone(), steps.collect());
            }
        }
        let mut told: BTreeSet<String> = BTreeSet::new();
        for (id, steps) in &waiting {
            let step = stem(id);
            if !told.insert(step.clone()) {
                continue;
            }
            let of_step = now.done.iter().filter(|other| stem(other) == step);
            let over: Vec<&str> = of_step
                .filter(|other| !waiting.contains_key(*other))
                .filter_map(|other| other.split_once('@').map(|(_, group)| group))
                .collect();
            let before = steps.join(", ");
            self.found.push(if over.is_empty() || said.contains(id) {
                let message = format!(
                    "{step} is said to be over at {}, and what comes before it has not begun: {before}",
                    self.time.strftime("%H:%M")
                );
                let all = format!("--done {} {step}", steps.join(" "));
                let way_out = format!("leave it out; or, if all of it is over, say so: `{all}`");
                Finding::error("not-begun-before", None, message).way_out(way_out)
            } else {
                let over = over.join(", ").replace('-', " ");
                let message =
                    format!("{step} is taken as over for {over}: elsewhere {before} has not begun before it");
                Finding::note("taken-as", None, message)
                    .way_out("where it is over, say so of what comes before it too")
            });
        }
        now.done.retain(|id| !waiting.contains_key(id));
    }

    /// What a task takes up, at once or after other steps, and what has not begun and is not said to be over; by the clock.
    fn not_begun_before(&self, jobs: &Jobs<'_>, now: &Now, id: &str) -> Vec<&'a PlannedTask> {
        let mut todo: Vec<usize> =
            jobs.jobs.iter().filter(|job| job.id == id).flat_map(|job| job.before.clone()).collect();
        let mut found: Vec<&PlannedTask> = Vec::new();
        while let Some(number) = todo.pop() {
            let job = &jobs.jobs[number];
            let task = self.plan.task(&job.id);
            if task.is_some_and(|task| task.start < *self.time && !now.undone.contains(&task.id)) {
                continue;
            }
            found.extend(task.filter(|task| !now.done.contains(&task.id)));
            todo.extend(&job.before);
        }
        found.sort_by_key(|task| (task.start.timestamp(), &task.id));
        found
    }

    /// The tasks with this id, or all of this step.
    fn tasks(&mut self, step: &str) -> Vec<&'a PlannedTask> {
        let stem = |t: &'a PlannedTask| t.id.split('@').next().unwrap_or(&t.id);
        let all = &self.plan.tasks;
        let found: Vec<&PlannedTask> =
            all.iter().filter(|t| if step.contains('@') { t.id == step } else { stem(t) == step }).collect();
        if found.is_empty()
            && let Some((message, way_out)) = of_a_part(self.plan, step)
        {
            self.found.push(Finding::error("unknown-step", None, message).way_out(way_out));
        } else if found.is_empty() {
            let known = all.iter().map(|t| if step.contains('@') { t.id.as_str() } else { stem(t) });
            // Without its lesson: every lesson that has such a step.
            let mut ends: Vec<&str> = all.iter().map(stem).collect();
            ends.retain(|id| id.rsplit_once('.').is_some_and(|(_, own)| own == step));
            ends.sort_unstable();
            ends.dedup();
            let way_out = if ends.is_empty() {
                nearest(step, known).unwrap_or_else(|| "name it as `benchroll plan` does".to_owned())
            } else {
                format!("name it with its lesson: `{}`", ends.join("`, `"))
            };
            self.found.push(
                Finding::error("unknown-step", None, format!("no step of this plan is called `{step}`"))
                    .way_out(way_out),
            );
        }
        found
    }

    /// A task by its whole id.
    fn whole(&mut self, id: &str) {
        if self.plan.task(id).is_none() {
            let way_out = nearest(id, self.plan.tasks.iter().map(|t| t.id.as_str()))
                .unwrap_or_else(|| "name it as `benchroll plan` does".to_owned());
            self.found.push(
                Finding::error("unknown-step", None, format!("no step of this plan is called `{id}`"))
                    .way_out(way_out),
            );
        }
    }

    /// Whether a slip is one to plan round.
    fn slips(&mut self, id: &str, by: Minutes) -> bool {
        if (Minutes(1)..=MOST_LATE).contains(&by) {
            return true;
        }
        let most = SignedDuration::from_mins(MOST_LATE.get());
        let past = |end: &&ZonedDateTime| by > MOST_LATE && end.saturating_add(most) <= *self.time;
        let finding = match self.plan.task(id).map(|t| &t.end).filter(past) {
            Some(end) => Finding::warning(
                "state-late-step",
                None,
                format!(
                    "`{id}` was to be over by {}, and is said to be {by} late, more than {MOST_LATE}: it is taken as if it had been in time",
                    end.strftime("%a %H:%M")
                ),
            )
            .way_out("if that is not so, judge by hand what follows from it: the new plan does not reckon with it"),
            None => Finding::error(
                "state-late-step",
                None,
                format!("`{id}` is said to be {by} late: a slip lasts from 1 min to {MOST_LATE}"),
            )
            .way_out("tick on the board what is over, and save how things stand again"),
        };
        self.found.push(finding);
        false
    }

    /// The stations at which somebody is absent, and no more of them than sit there.
    fn seats(&mut self, absent: &[Absent]) {
        let mut gone: BTreeMap<u32, usize> = BTreeMap::new();
        for one in absent {
            if let Absent::Student(no) = one {
                *gone.entry(no.0).or_default() += 1;
            }
        }
        for (no, students) in gone {
            let seats = self.class.stations.iter().find(|s| s.no.0 == no).map(|s| s.seats.len());
            let message = match seats {
                Some(seats) if students <= seats => continue,
                Some(seats) => {
                    format!("{students} are said to be absent at station {no}, and {seats} sit there")
                }
                None => format!("there is no station {no} in this class"),
            };
            let last = self.class.stations.iter().map(|s| s.no.0).max().unwrap_or(0);
            self.found.push(
                Finding::error("unknown-person", None, message)
                    .way_out(format!("the stations are 1 to {last}; set on the board again who is absent")),
            );
        }
    }

    fn thing(&mut self, name: &str) -> Option<String> {
        let kitchen = &self.course.kitchen;
        let lent = |loan: &Option<crate::course::Loan>| loan.as_ref().map_or(0, |l| l.count.value);
        let mixers = kitchen.mixers.iter().map(|m| (m.id.value.as_str(), m.count.value + lent(&m.loan)));
        let ovens = kitchen.ovens.iter().map(|o| (o.id.value.as_str(), o.count.value + lent(&o.loan)));
        let numbered: Vec<(&str, u32)> = mixers.chain(ovens).collect();
        let shelves = kitchen.cold.iter().chain(&kitchen.freezers).chain(&kitchen.warm).chain(&kitchen.racks);
        let counted: Vec<&str> = shelves
            .map(|s| s.id.value.as_str())
            .chain(kitchen.tins.iter().map(|t| t.id.value.as_str()))
            .chain(kitchen.trays.iter().map(|t| t.id.value.as_str()))
            .chain(kitchen.tubs.iter().map(|t| t.id.value.as_str()))
            .chain(kitchen.hobs.iter().map(|h| h.id.value.as_str()))
            .collect();
        if let Some((kind, count)) = numbered.iter().find(|(kind, _)| *kind == name) {
            if *count > 1 {
                let message = format!("`{kind}` is taken as {kind}-{count}, the last of {count}");
                let way_out = format!("where another has failed, name it: `--without {kind}-1`");
                self.found.push(Finding::note("taken-as", None, message).way_out(way_out));
            }
            return Some(format!("{kind}-{count}"));
        }
        let units: Vec<String> = numbered
            .iter()
            .flat_map(|(kind, count)| (1..=*count).map(move |n| format!("{kind}-{n}")))
            .collect();
        if units.iter().any(|unit| unit == name) || counted.contains(&name) {
            return Some(name.to_owned());
        }
        let way_out = nearest(name, units.iter().map(String::as_str).chain(counted))
            .unwrap_or_else(|| "name it as kitchen.toml does, one of several with its number".to_owned());
        let message = format!("there is no `{name}` in this kitchen");
        self.found.push(Finding::error("unknown-equipment", None, message).way_out(way_out));
        None
    }

    fn person(&mut self, name: &str) -> Option<Absent> {
        let same = |other: &str| other.to_lowercase() == name.trim().to_lowercase();
        let seated = |person: usize| {
            let at =
                |s: &&crate::reckon::work::Station| s.seats.iter().any(|seat| seat.person == Some(person));
            self.class.stations.iter().find(at).map(|s| s.no)
        };
        let roll = &self.course.roll;
        for (place, _) in roll.iter().enumerate().filter(|(_, p)| same(&p.name.value)) {
            if let Some(no) = seated(place) {
                return Some(Absent::Student(no));
            }
        }
        let helpers = &self.course.settings.helpers;
        if let Some(place) = helpers.iter().position(|h| same(&h.value)) {
            return Some(Absent::Helper(place + 1));
        }
        if let Some(number) = name.strip_prefix("helper-").and_then(|n| n.parse::<usize>().ok())
            && (1..=helpers.len()).contains(&number)
        {
            return Some(Absent::Helper(number));
        }
        if same(&self.course.settings.teacher.value) {
            return self.teacher_gone(name);
        }
        let coming = roll.iter().filter(|p| p.status.value == Status::Coming).map(|p| p.name.value.as_str());
        let all: Vec<&str> = coming.chain(helpers.iter().map(|h| h.value.as_str())).collect();
        // A part of a name, before one that is spelt alike: "Dov" is no misspelt "Edda".
        let part = |full: &&&str| full.split_whitespace().any(&same);
        let way_out = match all.iter().filter(part).collect::<Vec<_>>()[..] {
            [] => nearest(name, all.into_iter())
                .unwrap_or_else(|| "write the name as it stands on the roll".to_owned()),
            [one] => format!("did you mean `{one}`?"),
            ref several => {
                let several: Vec<&str> = several.iter().map(|one| **one).collect();
                format!("write the whole name: `{}`", several.join("`, `"))
            }
        };
        let message = format!("nobody who is there is called \"{name}\"");
        self.found.push(Finding::error("unknown-person", None, message).way_out(way_out));
        None
    }
}

/// What somebody may have meant; `None` where nothing is spelt like it.
fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<String> {
    let name = name.to_lowercase();
    // A misspelt first name is nearer to its own name than to a short name of somebody else.
    let words = |k: &str| -> Vec<String> { k.split_whitespace().map(str::to_lowercase).collect() };
    let apart = |k: &str| {
        let whole = strsim::damerau_levenshtein(&k.to_lowercase(), &name);
        words(k)
            .iter()
            .map(|word| strsim::damerau_levenshtein(word, &name))
            .chain([whole])
            .min()
            .unwrap_or(whole)
    };
    // One letter in three may be wrong; more is another word.
    let most = (name.chars().count() / 3).max(1);
    let best = known.map(|k| (apart(k), k)).filter(|(apart, _)| *apart <= most).min();
    best.map(|(_, near)| format!("did you mean `{near}`?"))
}
