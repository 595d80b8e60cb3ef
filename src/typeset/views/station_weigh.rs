//! What a station fetches and weighs in one sitting, in the order of use: weighed when the station first puts hands to it,
//! fetched again when it has stood since an earlier sitting. What goes into its pieces and is in no step's words stands here
//! all the same.

use super::common::{WeighList, Weighing};
use super::desk::Desk;
use crate::course::{
    AllergenId, Allergens, At, Chain, Hands, PartId, Session, StationNo, Step, StepId, allergen_words,
};
use crate::reckon::list_words::named;
use crate::reckon::plan::jobs::Group as TaskGroup;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::scale::{main_parts, works_on};
use crate::reckon::weigh::{Group, List, WeighedBy, Who};
use crate::reckon::work::{Station, Whom};

/// The lists of one station for one sitting.
pub fn lists(desk: &Desk, station: &Station, session: &Session) -> Vec<WeighList> {
    Tray { desk, station, session }.lists()
}

/// One station's tray in one sitting.
struct Tray<'d> {
    desk: &'d Desk<'d>,
    station: &'d Station,
    session: &'d Session,
}

/// What comes onto the tray.
enum Due<'d> {
    /// Its own list.
    Own(&'d List),
    /// The list of a batch that it mixes for others too.
    ForAll(&'d Group, &'d List),
    /// Something ready.
    Ready(&'d List),
}

impl<'d> Tray<'d> {
    fn lists(&self) -> Vec<WeighList> {
        let desk = self.desk;
        let mut due: Vec<(&PlannedTask, Due)> = self.for_all();
        let is_own = |g: &&Group| matches!(g.who, Who::Station(no, _) if no == self.station.no);
        for list in desk.weigh.stations.iter().filter(is_own).flat_map(|g| &g.lists) {
            let all = self.uses(list);
            let begun = all.first().is_some_and(|t| self.here(t));
            let own = begun && list.weighed_by == WeighedBy::Station;
            let uses = if own { all } else { after_mixing(list, all) };
            // What it weighs itself has what goes in on the same list.
            if !own && self.weighs_it_in(list) {
                continue;
            }
            let Some(first) = uses.iter().find(|t| self.here(t)) else { continue };
            due.push((first, if own { Due::Own(list) } else { Due::Ready(list) }));
        }
        due.sort_by(|a, b| a.0.start.cmp(&b.0.start));
        let mut found: Vec<WeighList> = Vec::new();
        for (_, due) in due {
            match due {
                Due::Own(list) => {
                    let into = self.bowl_of(list).map_or_else(String::new, |no| no.to_string());
                    found.push(WeighList { into, ..desk.weigh_list(list, None) });
                }
                Due::ForAll(group, list) => {
                    let Who::Shared { members, .. } = &group.who else { continue };
                    found.push(desk.weigh_list(list, Some(desk.for_whom(members))));
                }
                Due::Ready(list) => {
                    let lesson = desk.lesson_name(&list.lesson);
                    let mut line = desk.fetched(list);
                    // That it was mixed here it knows, and the slip says which it is.
                    if line.slip.is_some() && line.mixed_by == self.station.no.to_string() {
                        line.mixed_by.clear();
                    }
                    match found.iter_mut().find(|w| w.how == "fetch" && w.lesson == lesson) {
                        Some(there) => there.lines.push(line),
                        None => {
                            let how = "fetch".to_owned();
                            found.push(WeighList { lesson, how, lines: vec![line], ..WeighList::default() });
                        }
                    }
                }
            }
        }
        for line in found.iter_mut().filter(|l| l.how == "weigh").flat_map(|l| &mut l.lines) {
            self.doubt(line);
        }
        found
    }

    /// The lists of the batches that this station mixes, for itself and for others, whether or not its own pieces take the
    /// part directly.
    fn for_all(&self) -> Vec<(&'d PlannedTask, Due<'d>)> {
        let mut found = Vec::new();
        for group in &self.desk.weigh.shared {
            let Who::Shared { lesson, part, batch, .. } = &group.who else { continue };
            let Some(batch) = self.desk.batch_of(lesson, part, *batch) else { continue };
            let Some(task) = self.desk.mixing(batch).filter(|t| self.here(t)) else { continue };
            if self.desk.mixer_station(&batch.members) == Some(self.station.no) {
                let students = group.lists.iter().filter(|l| l.weighed_by == WeighedBy::Batch);
                found.extend(students.map(|l| (task, Due::ForAll(group, l))));
            }
        }
        found
    }

    fn here(&self, task: &PlannedTask) -> bool {
        self.desk.session_at(&task.start).is_some_and(|s| s.id.value == self.session.id.value)
    }

    /// The other station in whose bowl a part that this one makes for itself is mixed with that of others.
    fn bowl_of(&self, list: &List) -> Option<StationNo> {
        let me = Whom::Station(self.station.no);
        let takes = |group: &&Group| match &group.who {
            Who::Shared { lesson, members, .. } => {
                *lesson == list.lesson
                    && members.contains(&me)
                    && group.lists.iter().any(|l| {
                        l.weighed_by == WeighedBy::Batch && l.fetches.iter().any(|f| f.part == list.part)
                    })
            }
            _ => false,
        };
        let mixes = self.desk.mixer_of(&self.desk.weigh.shared.iter().find(takes)?.who);
        mixes.filter(|no| *no != self.station.no && list.batch.is_none())
    }

    /// Whether the station puts a part that it has made into something that it weighs itself.
    fn weighs_it_in(&self, list: &List) -> bool {
        let mine = |g: &&Group| match &g.who {
            Who::Station(no, _) => *no == self.station.no,
            shared @ Who::Shared { .. } => self.desk.mixer_of(shared) == Some(self.station.no),
            _ => false,
        };
        !self.is_of_the_piece(list)
            && self.desk.weigh.groups().filter(mine).flat_map(|g| &g.lists).any(|l| {
                l.lesson == list.lesson
                    && !l.ingredients.is_empty()
                    && l.fetches.iter().any(|f| f.part == list.part)
            })
    }

    /// Whether a piece takes the part itself, and not only inside another.
    fn is_of_the_piece(&self, list: &List) -> bool {
        let formula = self.desk.course.formula(&list.formula);
        formula.is_some_and(|f| f.piece.amounts.iter().any(|(p, _)| p.value == list.part))
    }

    /// The steps that have a part in hand which only goes into another: those that name it, and the one that puts it in. After that it
    /// is part of that other, and nobody fetches it any more.
    fn until_it_is_in(&self, list: &List) -> Vec<&'d StepId> {
        let Some(lesson) = self.desk.course.lesson(&list.lesson) else { return Vec::new() };
        let recipes = &self.desk.recipes;
        let mut all = Vec::new();
        for step in lesson.steps.iter().filter(|s| !s.demo && works_on(recipes, lesson, s, &list.part)) {
            all.push(&step.id.value);
            if main_parts(recipes, lesson, step) != [&list.part] {
                break;
            }
        }
        all
    }

    /// The station's own work on a list's part, by the clock. For a part that no step takes up: the work that it goes with.
    fn uses(&self, list: &List) -> Vec<&'d PlannedTask> {
        let steps = self.until_it_is_in(list);
        if !self.is_of_the_piece(list) && !steps.is_empty() {
            return self.works(list, |s| steps.contains(&&s.id.value));
        }
        let own = self.works(list, |s| works_on_step(self.desk, list, s, &list.part));
        if own.is_empty() && !self.is_taken_up(list) {
            self.goes_with(list).into_iter().collect()
        } else {
            own
        }
    }

    /// The station's own work in a lesson, at steps like these.
    fn works(&self, list: &List, is: impl Fn(&Step) -> bool) -> Vec<&'d PlannedTask> {
        let mine = |t: &&PlannedTask| {
            t.lesson.as_ref() == Some(&list.lesson)
                && t.stations.contains(&self.station.no)
                && t.hands == Hands::Students
                && !t.demo
                && !t.made_ahead
                && self.desk.step(t).is_some_and(&is)
        };
        let mut found: Vec<&PlannedTask> = self.desk.plan.tasks.iter().filter(mine).collect();
        found.sort_by(|a, b| a.start.cmp(&b.start));
        found
    }

    /// Whether some step puts the part to others, or into the piece: then it is that step's hands which need it.
    fn is_taken_up(&self, list: &List) -> bool {
        let Some(lesson) = self.desk.course.lesson(&list.lesson) else { return false };
        lesson.steps.iter().filter(|s| !s.demo).any(|step| {
            let on_piece = step.on.iter().any(|c| c.value == Chain::Piece);
            let mains = main_parts(&self.desk.recipes, lesson, step).len();
            mains + usize::from(on_piece) > 1 && works_on(&self.desk.recipes, lesson, step, &list.part)
        })
    }

    /// The work that a part without a step goes with: the first at the station on the part that stands before it in the piece,
    /// or else the last that the station does in the lesson.
    fn goes_with(&self, list: &List) -> Option<&'d PlannedTask> {
        let recipes = &self.desk.recipes;
        let amounts = self.desk.course.formula(&list.formula).map(|f| f.piece.amounts.as_slice());
        let parts: Vec<&PartId> = amounts.unwrap_or_default().iter().map(|(p, _)| &p.value).collect();
        let inside = |p: &PartId| *p == list.part || recipes.lies_inside(&list.formula, &list.part, p);
        let place = parts.iter().position(|p| inside(p)).unwrap_or(0);
        for before in parts[..place].iter().rev() {
            let all = self.works(list, |s| works_on_step(self.desk, list, s, before));
            let at_station = all.iter().find(|t| matches!(t.group, TaskGroup::Station(_)));
            if let Some(task) = at_station.or(all.last()) {
                return Some(task);
            }
        }
        self.works(list, |_| true).pop()
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
}

/// The work on a batch that takes something ready: what mixes it, or kneads it as a whole, fetches nothing. A part that is never
/// taken up again goes with its mix.
fn after_mixing<'d>(list: &List, uses: Vec<&'d PlannedTask>) -> Vec<&'d PlannedTask> {
    let taken = |t: &&PlannedTask| !(list.batch.is_some() && matches!(t.group, TaskGroup::Batch(_)));
    let later: Vec<&PlannedTask> = uses.iter().copied().filter(taken).collect();
    if later.is_empty() { uses } else { later }
}

fn works_on_step(desk: &Desk, list: &List, step: &Step, part: &PartId) -> bool {
    desk.course.lesson(&list.lesson).is_some_and(|l| works_on(&desk.recipes, l, step, part))
}
