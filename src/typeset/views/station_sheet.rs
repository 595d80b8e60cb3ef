//! The handout of one station for one sitting.

use super::common::{About, Block, Making, Moment, Sitting, Step, WeighList, Weighing};
use super::desk::{Desk, minute_of, moment, place_key};
use super::steps::mixer_station;
use super::wording::{doubted, spoken};
use crate::course::{AllergenId, Allergens, At, Chain, EquipId, Hands, Session, StationNo, allergen_words};
use crate::reckon::allergens::of_piece;
use crate::reckon::list_words::named;
use crate::reckon::plan::jobs::Group;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::tins::{Busy, peak};
use crate::reckon::weigh::{List, WeighedBy, Who};
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
    /// What stays away from this station, by the words of the course's list; never whose it is, nor why.
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
    /// The parts that are made otherwise.
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
            let block = Block { from: step.from, to: step.to, label, tone: tone.to_owned(), for_whom: None };
            if matches!(tone, "hands" | "watch" | "pause") {
                rail.push(block);
            } else if task.hands == Hands::Nobody {
                meanwhile.push(block);
            }
            steps.push(step);
        }
        let sitting = desk.sitting(session);
        StationSheet {
            about: desk.about(),
            station: station.no.to_string(),
            people: desk.people(station),
            makes: mine.makes(&tasks),
            keep_away: station.avoids.iter().map(|a| spoken(a.as_str()).to_lowercase()).collect(),
            instead: mine.instead(&tasks),
            weigh: mine.weigh(),
            tools: mine.tools(&tasks),
            rail,
            meanwhile,
            steps,
            left: mine.left(&tasks, &sitting),
            sitting,
            ..StationSheet::new()
        }
    }
}

/// Movements that are the same for every dough: drawn once on a sheet.
const SAME_FOR_ALL: [&str; 4] = ["weigh", "add-butter", "windowpane", "egg-wash"];

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

    /// What is made for the whole class out of sight is no step of a station, until it takes it up.
    fn concerns(&self, task: &PlannedTask) -> bool {
        !matches!(task.group, Group::Class(_)) || task.demo
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
                let mut parts: Vec<String> = Vec::new();
                for (part, _) in &formula.variant(variant)?.lines {
                    let name = self.desk.part_name(&formula.id.value, &part.value).to_lowercase();
                    if !parts.contains(&name) {
                        parts.push(name);
                    }
                }
                let made = self.desk.recipes.get(&formula.id.value, Some(variant));
                let in_it = made.map(|r| of_piece(&r.formula, &self.desk.course.pantry)).unwrap_or_default();
                let doubted = doubted(self.desk.course, &formula.id.value, Some(variant), &in_it);
                let variant = self.desk.variant_name(variant);
                Some(Instead { lesson: self.desk.lesson_name(id), variant, doubted, parts })
            })
            .collect()
    }

    /// What is weighed or fetched in this sitting, in the order of use: weighed when the station first puts hands to it,
    /// fetched again when it has stood since an earlier sitting.
    fn weigh(&self) -> Vec<WeighList> {
        let desk = self.desk;
        let group = desk
            .weigh
            .stations
            .iter()
            .find(|g| matches!(g.who, Who::Station(no, _) if no == self.station.no));
        let Some(group) = group else { return Vec::new() };
        let here = |t: &&&PlannedTask| {
            desk.session_at(&t.start).is_some_and(|s| s.id.value == self.session.id.value)
        };
        let mut now: Vec<(&PlannedTask, bool, &List)> = Vec::new();
        for list in &group.lists {
            let uses = self.uses(list);
            if let Some(first) = uses.iter().find(here) {
                now.push((first, uses.first() == Some(first), list));
            }
        }
        now.sort_by(|a, b| a.0.start.cmp(&b.0.start));
        let mut found: Vec<WeighList> = Vec::new();
        for (_, begun, list) in now {
            let batch = list.batch.and_then(|no| desk.batch_of(&list.lesson, &list.part, no));
            if begun && list.weighed_by == WeighedBy::Station {
                found.push(desk.weigh_list(list, None));
                continue;
            }
            let first = batch.and_then(|b| mixer_station(&b.members)) == Some(self.station.no);
            if begun
                && first
                && list.weighed_by == WeighedBy::Batch
                && let (Some(shared), Some(batch)) = (desk.shared(list), batch)
            {
                let whom = desk.for_whom(batch.members.iter().map(|(w, _)| w));
                found.extend(shared.lists.iter().map(|l| desk.weigh_list(l, Some(whom.clone()))));
            }
            let lesson = desk.lesson_name(&list.lesson);
            let line = desk.fetched(list);
            match found.iter_mut().find(|w| w.how == "fetch" && w.lesson == lesson) {
                Some(there) => there.lines.push(line),
                None => {
                    let how = "fetch".to_owned();
                    found.push(WeighList { lesson, how, lines: vec![line], ..WeighList::default() });
                }
            }
        }
        for line in found.iter_mut().filter(|l| l.how == "weigh").flat_map(|l| &mut l.lines) {
            self.doubt(line);
        }
        found
    }

    /// Marks an ingredient whose pack holds or may hold what the station avoids, or that nobody has read.
    fn doubt(&self, line: &mut Weighing) {
        let course = self.desk.course;
        let list = course.settings.allergen_list.value.as_str();
        for item in course.pantry.items.iter().filter(|i| i.name.value == line.name) {
            match &item.allergens {
                Allergens::Unknown => line.unread |= !self.station.avoids.is_empty(),
                Allergens::Stated { contains, may_contain, .. } => {
                    let among = |words: &[At<AllergenId>], avoided: &AllergenId| {
                        words.iter().any(|a| allergen_words::touches(avoided, &a.value))
                    };
                    for avoided in &self.station.avoids {
                        // What is certain is not said again as a maybe.
                        if among(contains, avoided) {
                            line.contains.push(named(list, avoided));
                        } else if among(may_contain, avoided) {
                            line.may_contain.push(named(list, avoided));
                        }
                    }
                }
            }
        }
    }

    /// The station's own work on a list's part, by the clock.
    fn uses(&self, list: &List) -> Vec<&PlannedTask> {
        let takes_up = |t: &&PlannedTask| {
            t.lesson.as_ref() == Some(&list.lesson)
                && t.stations.contains(&self.station.no)
                && !t.demo
                && !t.made_ahead
                && self.desk.step(t).is_some_and(|s| {
                    s.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if self.made_of(list, p)))
                })
        };
        self.desk.plan.tasks.iter().filter(takes_up).collect()
    }

    /// Whether the list's part is this one, or goes into it.
    fn made_of(&self, list: &List, part: &crate::course::PartId) -> bool {
        list.part == *part || self.desk.recipes.lies_inside(&list.formula, &list.part, part)
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

    fn left(&self, tasks: &[&PlannedTask], sitting: &Sitting) -> Vec<Left> {
        let after = |t: &&&PlannedTask| {
            t.hands == Hands::Nobody && minute_of(&t.end, self.day) > sitting.to && t.lesson.is_some()
        };
        tasks
            .iter()
            .filter(after)
            .map(|t| Left {
                lesson: t.lesson.as_ref().map_or_else(String::new, |l| self.desk.lesson_name(l)),
                name: self.desk.task_name(t),
                at: place_key(self.desk.place(t)).to_owned(),
                place: self.desk.machine(t).map_or_else(String::new, |(_, name)| name),
                until: moment(&t.end),
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
