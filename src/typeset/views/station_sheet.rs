//! The handout of one station for one sitting.

use super::baked_cold::cold_to_be_safe;
use super::common::{About, Block, Making, Moment, Phrase, Sitting, Step, WeighList};
use super::desk::{Desk, minute_of, moment, place_key};
use super::instead::{self, InPart};
use super::oven_and_cold::out_for;
use super::station_holds::{self, Holds};
use super::station_weigh;
use super::take_home::{TakeHome, stays_until, take_home};
use super::wording::doubted;
use crate::course::{EquipId, Hands, LessonId, Session, StationNo};
use crate::reckon::allergens::of_piece;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::tins::{Busy, peak};
use crate::reckon::work::{Station, Whom};
use jiff::civil::Date;
use serde::Serialize;
use serde_json::Value;

/// What `templates/station-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StationSheet {
    /// `station-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The station's number.
    pub station: String,
    /// Its students by name, or `student 1` where names are not printed.
    pub people: Vec<String>,
    /// The sitting.
    pub sitting: Sitting,
    /// What the station makes in it.
    pub makes: Vec<Making>,
    /// What the station avoids and what it makes holds, or may hold, all the same: said before anything else. Never whose it is.
    pub holds: Vec<Holds>,
    /// What stays away from this station, as far as it is not in what the station makes; never whose it is, nor why.
    pub keep_away: Vec<String>,
    /// The variants that this station follows.
    pub instead: Vec<Instead>,
    /// What to fetch and to weigh, in the order of use.
    pub weigh: Vec<WeighList>,
    /// Tins, trays, tools and what is used up, to have at hand.
    pub tools: Vec<Tool>,
    /// The clock rail: what the students do (labels are step numbers).
    pub rail: Vec<Block>,
    /// What stands, rises and bakes meanwhile, drawn narrow beside it.
    pub meanwhile: Vec<Block>,
    /// The steps by the clock.
    pub steps: Vec<Step>,
    /// What is left standing when the sitting ends.
    pub left: Vec<Left>,
    /// What goes home when it ends.
    pub take_home: Vec<TakeHome>,
}

/// Something to have at hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tool {
    /// How many.
    pub count: u32,
    /// Its name.
    pub name: String,
    /// Needed from this minute.
    pub from: i64,
    /// Until then.
    pub to: i64,
}

/// A variant that a station follows.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Instead {
    /// The lesson's name.
    pub lesson: String,
    /// The variant's name.
    pub variant: String,
    /// What the variant's name or claim says is out and may be in it all the same: printed beside the name.
    pub doubted: Vec<String>,
    /// What stands in place of what, in whichever part: sentences of the catalogue's `[station]`.
    pub swaps: Vec<Phrase>,
    /// The same for what is not alike in all parts.
    pub by_part: Vec<InPart>,
    /// The parts that are made of the same in other amounts.
    pub parts: Vec<String>,
}

/// Something that goes on by itself after the sitting.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Left {
    /// The lesson's name.
    pub lesson: String,
    /// What it does: the step's name.
    pub name: String,
    /// The kind of place, as in a step.
    pub at: String,
    /// Which one.
    pub place: String,
    /// Until when, by the plan.
    pub until: Moment,
    /// It then waits for its makers, who take it home after this sitting; `None` where more is done with it.
    pub stays: Option<Sitting>,
    /// It waits in the cold, as nobody has written whether it must.
    pub stays_cold: bool,
}

impl StationSheet {
    /// An empty sheet of this kind.
    pub fn new() -> StationSheet {
        StationSheet { kind: "station-sheet", ..StationSheet::default() }
    }
}

impl StationSheet {
    /// The sheet of one station for one sitting.
    pub fn of(desk: &Desk, station: &Station, session: &Session) -> StationSheet {
        let day = session.from.value.date();
        let mine = Mine { desk, station, session, day };
        let tasks = mine.tasks();
        let mut steps = Vec::new();
        let (mut rail, mut meanwhile) = (Vec::new(), Vec::new());
        let mut number = 0;
        let mut shown = Vec::new();
        for step in mine.standing() {
            // The rail begins with the sitting.
            let from = step.from.max(minute_of(&session.from.value, day));
            let tone = if step.at == "oven" { "oven" } else { "waits" }.to_owned();
            meanwhile.push(Block { from, to: step.to, label: step.name.clone(), tone, ..Block::default() });
            steps.push(step);
        }
        for task in &tasks {
            let own = desk.own_step(task).is_some_and(|o| o.pause);
            let works = task.hands == Hands::Students && !task.demo && !own;
            if works {
                number += 1;
            }
            let mut step = desk.step_view(task, works.then_some(number), day, Some(station.no));
            once(&mut step, &mut shown);
            let tone = if works {
                "hands"
            } else if own {
                "pause"
            } else if task.demo {
                "watch"
            } else if step.at == "oven" {
                "oven"
            } else {
                "waits"
            };
            let label = if works { number.to_string() } else { step.name.clone() };
            let block =
                Block { from: step.from, to: step.to, label, tone: tone.to_owned(), ..Block::default() };
            if matches!(tone, "hands" | "watch" | "pause") {
                rail.push(block);
            } else if task.hands == Hands::Nobody {
                meanwhile.push(block);
            }
            steps.push(step);
        }
        share_out(&mut steps);
        let sitting = desk.sitting(session);
        let (holds, keep_away) = station_holds::against(desk, station, &mine.lessons(&tasks));
        StationSheet {
            about: desk.about_lessons(&mine.lessons(&tasks).into_iter().cloned().collect()),
            station: station.no.to_string(),
            people: desk.people(station),
            makes: mine.makes(&tasks),
            holds,
            keep_away,
            instead: mine.instead(&tasks),
            weigh: station_weigh::lists(desk, station, session),
            tools: mine.tools(&tasks),
            rail,
            meanwhile,
            steps,
            left: mine.left(&tasks, &sitting),
            take_home: take_home(desk, station, session),
            sitting,
            ..StationSheet::new()
        }
    }
}

/// Tells each step that one student does which others are done meanwhile, so that nobody reads twice that it is theirs.
fn share_out(steps: &mut [Step]) {
    let by_one = |s: &Step| matches!(s.hands.as_str(), "one-student" | "one-of-several");
    let of_one: Vec<(u32, i64, i64)> =
        steps.iter().filter(|s| by_one(s)).filter_map(|s| Some((s.number?, s.from, s.to))).collect();
    for step in steps.iter_mut().filter(|s| by_one(s)) {
        let Some(own) = step.number else { continue };
        let at_once = of_one.iter().filter(|(n, from, to)| *n != own && *from < step.to && *to > step.from);
        step.beside = at_once.map(|(n, ..)| *n).collect();
    }
}

/// Movements that are the same for every dough: drawn once on a sheet.
const SAME_FOR_ALL: [&str; 3] = ["weigh", "add-butter", "windowpane"];

/// A drawing that the sheet has shown before is not shown again.
fn once(step: &mut Step, shown: &mut Vec<Value>) {
    step.drawings.retain(|drawing| {
        let known = shown.iter().any(|other| {
            let same_name = other["name"] == drawing["name"];
            let general = SAME_FOR_ALL.iter().any(|n| drawing["name"] == *n);
            same_name && (general || other == drawing)
        });
        shown.push(drawing.clone());
        !known
    });
}

/// One station in one sitting.
struct Mine<'d> {
    desk: &'d Desk<'d>,
    station: &'d Station,
    session: &'d Session,
    day: Date,
}

impl Mine<'_> {
    /// What its students do, see, or wait for, by the clock; what they see comes first.
    fn tasks(&self) -> Vec<&PlannedTask> {
        let me = Whom::Station(self.station.no);
        let in_it = |t: &&PlannedTask| {
            let here = self.desk.session_at(&t.start).is_some_and(|s| s.id.value == self.session.id.value);
            let mine = t.stations.contains(&self.station.no)
                || t.members.iter().any(|(whom, _)| *whom == me) && self.concerns(t)
                || matches!(&t.group, Group::Session(id) if *id == self.session.id.value);
            here && mine && !t.made_ahead
        };
        let mut tasks: Vec<&PlannedTask> = self.desk.plan.tasks.iter().filter(in_it).collect();
        let rank = |t: &PlannedTask| match t.hands {
            _ if t.demo => 0,
            Hands::Students => 1,
            _ => 2,
        };
        tasks.sort_by(|a, b| (&a.start, rank(a), &a.id).cmp(&(&b.start, rank(b), &b.id)));
        tasks
    }

    /// What stands or bakes by itself when the sitting begins, since before it: what its next step takes up came from there. The movements
    /// that it began with were others', or are on an earlier sheet.
    fn standing(&self) -> Vec<Step> {
        let me = Whom::Station(self.station.no);
        let begins = &self.session.from.value;
        let stands = |t: &&PlannedTask| {
            t.hands == Hands::Nobody
                && !t.demo
                && !t.made_ahead
                && t.start < *begins
                && t.members.iter().any(|(whom, _)| *whom == me)
                && self.concerns(t)
                && out_for(self.desk, t, &me) > begins
        };
        let mut tasks: Vec<&PlannedTask> = self.desk.plan.tasks.iter().filter(stands).collect();
        tasks.sort_by(|a, b| (&a.start, &a.id).cmp(&(&b.start, &b.id)));
        let shown = |task: &PlannedTask| {
            let mut step = self.desk.step_view(task, None, self.day, Some(self.station.no));
            step.drawings.clear();
            step.photograph = None;
            if task.start.date() < self.day {
                step.since = Some(moment(&task.start));
                step.say.clear();
            }
            // Its end is on another day than its begin, and yet may be on this one.
            step.until = step.until.filter(|until| until.day != self.day.into());
            step
        };
        tasks.into_iter().map(shown).collect()
    }

    /// What is made for the whole class out of sight is no step of a station, until it takes it up.
    fn concerns(&self, task: &PlannedTask) -> bool {
        !matches!(task.group, Group::Class(_)) || task.demo
    }

    /// The lessons of which it has something in hand, or in the oven.
    fn lessons<'t>(&self, tasks: &[&'t PlannedTask]) -> Vec<&'t LessonId> {
        let mut lessons: Vec<&LessonId> = Vec::new();
        for lesson in tasks.iter().filter(|t| !t.demo).filter_map(|t| t.lesson.as_ref()) {
            if !lessons.contains(&lesson) {
                lessons.push(lesson);
            }
        }
        lessons
    }

    fn makes(&self, tasks: &[&PlannedTask]) -> Vec<Making> {
        let me = Whom::Station(self.station.no);
        let mut lessons = Vec::new();
        for task in tasks.iter().filter(|t| !t.demo) {
            if let Some(lesson) = &task.lesson
                && task.hands == Hands::Students
                && !lessons.contains(&lesson)
            {
                lessons.push(lesson);
            }
        }
        let pieces = |lesson| {
            let lesson = self.desk.course.lesson(lesson)?;
            let all = crate::reckon::scale::pieces_of(lesson, self.desk.class);
            all.into_iter().find(|(whom, _)| *whom == me)
        };
        lessons.iter().flat_map(|l| self.desk.making(l, pieces(l).as_slice())).collect()
    }

    /// The variants that are followed in what is made now, with the parts that they change.
    fn instead(&self, tasks: &[&PlannedTask]) -> Vec<Instead> {
        let now = |id| tasks.iter().any(|t| t.lesson.as_ref() == Some(id));
        self.station
            .variants
            .iter()
            .filter(|(lesson, _)| now(lesson))
            .filter_map(|(id, variant)| {
                let lesson = self.desk.course.lesson(id)?;
                let formula = self.desk.course.formula(&lesson.formula.value)?;
                let instead::Swaps { swaps, by_part, parts } = instead::swaps(self.desk, formula, variant)?;
                let made = self.desk.recipes.get(&formula.id.value, Some(variant));
                let in_it = made.map(|r| of_piece(&r.formula, &self.desk.course.pantry)).unwrap_or_default();
                let doubted = doubted(self.desk.course, &formula.id.value, Some(variant), &in_it);
                let variant = self.desk.variant_name(variant);
                let lesson = self.desk.lesson_name(id);
                Some(Instead { lesson, variant, doubted, swaps, by_part, parts })
            })
            .collect()
    }

    /// Tins, trays, tubs, tools and what is used up: each once, as many as are in hand at one moment, from the first use to the
    /// last.
    fn tools(&self, tasks: &[&PlannedTask]) -> Vec<Tool> {
        let own = |t: &&&PlannedTask| {
            t.group == Group::Station(self.station.no)
                || t.stations.contains(&self.station.no) && !matches!(t.group, Group::Class(_))
        };
        let mut found: Vec<(String, bool, Vec<Busy>)> = Vec::new();
        for task in tasks.iter().filter(own) {
            let from = minute_of(&task.start, self.day);
            let held = task.uses.iter().filter(|u| self.desk.machine_of(&u.resource).is_none()).map(|used| {
                let busy = Busy { from, to: minute_of(&used.until, self.day), count: used.amount };
                (self.desk.equipment_name(&used.resource.as_str().into()), false, busy)
            });
            let step = self.desk.step(task).filter(|_| !task.cold_wait);
            let used_up = step.into_iter().flat_map(|s| &s.uses).filter(|u| self.is_used_up(&u.what.value));
            let used_up = used_up.map(|used| {
                let to = minute_of(&task.end, self.day);
                let busy = Busy { from, to, count: used.count.unwrap_or(1) };
                (self.desk.equipment_name(&used.what.value), true, busy)
            });
            for (name, gone, busy) in held.chain(used_up) {
                match found.iter_mut().find(|(n, g, _)| *n == name && *g == gone) {
                    Some((_, _, all)) => all.push(busy),
                    None => found.push((name, gone, vec![busy])),
                }
            }
        }
        let tool = |(name, gone, busy): (String, bool, Vec<Busy>)| Tool {
            count: if gone { busy.iter().map(|b| b.count).sum() } else { peak(&busy) },
            name,
            from: busy.iter().map(|b| b.from).min().unwrap_or_default(),
            to: busy.iter().map(|b| b.to).max().unwrap_or_default(),
        };
        found.into_iter().map(tool).collect()
    }

    /// Baking paper, piping bags.
    fn is_used_up(&self, id: &EquipId) -> bool {
        self.desk.course.kitchen.tools.iter().any(|t| t.id.value == *id && t.consumable)
    }

    /// What still stands or bakes when the students leave: at the sitting's end, or when their last step is over if that is later.
    fn left(&self, tasks: &[&PlannedTask], sitting: &Sitting) -> Vec<Left> {
        let planned = self.desk.plan.sessions.iter().filter(|s| s.id == self.session.id.value);
        let leave = planned.map(|s| minute_of(&s.finish, self.day)).fold(sitting.to, i64::max);
        let own = Whom::Station(self.station.no);
        let after = |t: &&&PlannedTask| {
            t.hands == Hands::Nobody
                && t.lesson.is_some()
                && minute_of(out_for(self.desk, t, &own), self.day) > leave
        };
        // What begins as the sitting ends is no task of it, and is left all the same.
        let begins = |t: &&PlannedTask| {
            minute_of(&t.start, self.day) == sitting.to
                && t.members.iter().any(|(whom, _)| *whom == own)
                && !tasks.iter().any(|known| known.id == t.id)
        };
        let at_the_end: Vec<&PlannedTask> = self.desk.plan.tasks.iter().filter(begins).collect();
        tasks
            .iter()
            .chain(&at_the_end)
            .filter(after)
            .map(|t| Left {
                lesson: t.lesson.as_ref().map_or_else(String::new, |l| self.desk.lesson_name(l)),
                name: self.desk.task_name(t),
                at: place_key(self.desk.place(t)).to_owned(),
                place: self.desk.machine(t).map_or_else(String::new, |(_, name)| name),
                until: moment(out_for(self.desk, t, &own)),
                stays_cold: t.lesson.as_ref().is_some_and(|l| cold_to_be_safe(self.desk, l, &own)),
                stays: t.lesson.as_ref().and_then(|l| stays_until(self.desk, self.station, l, self.session)),
            })
            .collect()
    }
}

/// All sheets of a course: station by station, sitting by sitting.
pub fn all(desk: &Desk) -> Vec<(StationNo, crate::course::SessionId, StationSheet)> {
    let mut sheets = Vec::new();
    for station in &desk.class.stations {
        for session in &desk.course.sessions {
            sheets.push((station.no, session.id.value.clone(), StationSheet::of(desk, station, session)));
        }
    }
    sheets
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_two_steps_at_once_each_names_the_other() {
        let step = |number: u32, from: i64, to: i64, hands: &str| Step {
            number: Some(number),
            from,
            to,
            hands: hands.to_owned(),
            ..Step::default()
        };
        let mut steps = [
            step(1, 0, 20, "one-student"),
            step(2, 10, 30, "one-student"),
            step(3, 20, 40, "students"),
            step(4, 30, 50, "one-student"),
        ];
        share_out(&mut steps);
        // What only touches is not at once; what all do is no one's.
        assert_eq!(steps.map(|s| s.beside), [vec![2], vec![1], vec![], vec![]]);
    }
}
