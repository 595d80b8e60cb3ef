//! The equipment to get out: what each station has, what is shared, what is used up, and what is short.

mod apart;
mod loads;
mod short;

use super::plan::groups::changes;
use super::scale::{pieces_of, stage_reaches};
use super::tins::{Busy, TinNeed, peak, tins, tubs};
use super::work::{Choice, Class, Station, Whom};
use crate::course::{Course, EquipId, Lesson, LessonId, Loan, PartId, Per, StationNo, Step, StepId, Tool};
use crate::finding::{Finding, Place};
use crate::units::{Celsius, Grams};
use loads::{mixer_loads, oven_loads};
use short::{goes_with_stations, shortage};
use std::collections::{BTreeMap, BTreeSet};

/// What sort of thing a need is about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Sort {
    /// A place at the bench.
    Station,
    /// Tins, trays, tubs.
    Tin,
    /// At each station.
    EachStation,
    /// Shared by all.
    Shared,
    /// Used up.
    Consumable,
}

/// How many of one thing, and how many there are.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Need {
    /// What.
    pub item: EquipId,
    /// What sort of thing.
    pub sort: Sort,
    /// When everything stands at once.
    pub needed: u32,
    /// What the plan needs, using things in turn; `None` before there is a plan.
    pub needed_with_plan: Option<u32>,
    /// The kitchen's own and borrowed ones.
    pub on_hand: u32,
    /// Of these, borrowed or hired, and from whom.
    pub borrowed: Option<(u32, String)>,
    /// `needed` beyond `on_hand`.
    pub short: u32,
    /// Where it is kept.
    pub kept: Option<String>,
    /// Where the count comes from: lesson, step (where one is known), how many.
    pub from: Vec<(LessonId, Option<StepId>, u32)>,
    /// Where it is written in the kitchen.
    pub place: Option<Place>,
}

impl Need {
    /// How many to take out, and how often one of them is emptied, cleaned and filled again. Tins, trays and tubs that stand ready on the
    /// shelf are taken before any is washed in a class; the plan says how few would do, not how many must. `None` before there is a plan.
    #[must_use]
    pub fn taken_out(&self) -> Option<(u32, u32)> {
        let least = self.needed_with_plan?;
        let all = if self.sort == Sort::Tin { self.needed } else { least };
        let count = all.min(self.on_hand.max(1)).max(least.min(self.on_hand.max(1)));
        Some((count, self.needed.saturating_sub(count)))
    }
}

/// One mix, for the mixer's page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct MixerLoad {
    /// The mixers that it may be made in, one when the plan chose; none when it is made by hand.
    pub mixers: Vec<EquipId>,
    /// The lesson.
    pub lesson: LessonId,
    /// The part.
    pub part: PartId,
    /// Number of the batch.
    pub batch: u32,
    /// What goes into the bowl.
    pub grams: Grams,
    /// What the smallest of the mixers carries of this dough; `None`: by hand.
    pub most: Option<Grams>,
    /// Whose dough it is.
    pub stations: Vec<StationNo>,
    /// Why it is so.
    pub why: String,
}

/// One load, for the oven's page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OvenLoad {
    /// The ovens that it fits into, one when the plan chose.
    pub ovens: Vec<EquipId>,
    /// The lesson.
    pub lesson: LessonId,
    /// The baking step.
    pub step: StepId,
    /// Number of the load.
    pub load: u32,
    /// Pieces in it.
    pub pieces: u32,
    /// Racks that it takes in the first of the ovens.
    pub racks: u32,
    /// What the dial of that oven shows.
    pub heat: Celsius,
    /// Why it is so.
    pub why: String,
}

/// Everything that `equip` answers.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Equipment {
    /// Stations first, then tins, each station's tools, shared ones, what is used up; by name within.
    pub needs: Vec<Need>,
    /// In the order of lessons and batches.
    pub mixer_loads: Vec<MixerLoad>,
    /// In the order of lessons and loads.
    pub oven_loads: Vec<OvenLoad>,
}

/// Counts everything for a class as the plan (or [`preferred`](super::options::preferred)) chose. `busy`: for each thing when the plan
/// keeps how many of it busy; without a plan nothing.
pub fn equipment(
    course: &Course,
    class: &Class,
    choice: &Choice,
    busy: Option<&BTreeMap<EquipId, Vec<Busy>>>,
) -> (Equipment, Vec<Finding>) {
    let mut counts = Counts { course, class, choice, needs: BTreeMap::new() };
    for lesson in &course.lessons {
        for need in tins(course, class, lesson).into_iter().chain(tubs(course, lesson, choice)) {
            counts.tin(need);
        }
        for step in &lesson.steps {
            counts.tools(lesson, step);
        }
        counts.named_containers(lesson, choice);
    }
    counts.each_station();
    counts.thermometer();
    let mut needs: Vec<Need> = counts.needs.into_values().collect();
    if let Some(busy) = busy {
        for need in &mut needs {
            need.needed_with_plan = match need.sort {
                // What the plan does not keep busy it does not share in turn.
                Sort::Tin | Sort::Shared => busy.get(&need.item).map(|b| peak(b)).or(Some(need.needed)),
                _ => Some(need.needed),
            };
            // Two lessons that use a tool side by side need one each: in turn it never takes more than at once.
            need.needed = need.needed.max(need.needed_with_plan.unwrap_or(0));
            need.short = need.needed.saturating_sub(need.on_hand);
        }
    }
    needs.sort_by(|a, b| (a.sort, &a.item).cmp(&(b.sort, &b.item)));
    let own_cause = |n: &&Need| !goes_with_stations(&needs, n);
    let with: Vec<String> = needs.iter().filter(|n| !own_cause(n)).map(|n| format!("`{}`", n.item)).collect();
    let findings = needs.iter().filter(own_cause).filter_map(|n| shortage(n, &with)).collect();
    let equipment = Equipment {
        needs,
        mixer_loads: mixer_loads(course, choice, busy.is_some()),
        oven_loads: oven_loads(choice),
    };
    (equipment, findings)
}

/// Whether a temperature is read in a step, for which a thermometer is wanted though the step does not name it.
#[must_use]
pub fn is_read(step: &Step) -> bool {
    step.core.is_some() || step.aim.is_some()
}

/// Whether a tool is a thermometer for dough and crumb, by its id or its name; one of an oven, a fridge or a room is none.
#[must_use]
pub fn is_thermometer(tool: &Tool) -> bool {
    let name = tool.name.as_ref().map_or_else(String::new, |n| n.value.to_lowercase());
    let text = format!("{} {name}", tool.id.value);
    let of_a_place = ["oven", "fridge", "freezer", "room", "ofen", "kühl", "raum"]
        .iter()
        .any(|place| text.contains(place));
    tool.id.value.as_str() == "probe" || text.contains("thermometer") && !of_a_place
}

/// What the kitchen has of a thing.
struct There<'a> {
    own: u32,
    loan: Option<&'a Loan>,
    kept: Option<String>,
    place: Option<Place>,
}

struct Counts<'a> {
    course: &'a Course,
    class: &'a Class,
    choice: &'a Choice,
    needs: BTreeMap<EquipId, Need>,
}

impl Counts<'_> {
    fn tin(&mut self, need: TinNeed) {
        let kitchen = &self.course.kitchen;
        let id = &need.what;
        let tin = kitchen
            .tins
            .iter()
            .find(|t| t.id.value == *id)
            .map(|t| (t.count.value, t.loan.as_ref(), t.id.place));
        let tray = kitchen
            .trays
            .iter()
            .find(|t| t.id.value == *id)
            .map(|t| (t.count.value, t.loan.as_ref(), t.id.place));
        let tub = kitchen.tubs.iter().find(|t| t.id.value == *id).map(|t| (t.count.value, None, t.id.place));
        let (own, loan, place) = tin.or(tray).or(tub).unwrap_or((0, None, None));
        self.add(id, Sort::Tin, need.needed, There { own, loan, kept: None, place }, (need.lesson, None));
    }

    /// Tins, trays and tubs that steps name themselves, beyond those that the pieces and the dough take: by their own id, or with a
    /// count. Steps of one lesson use them one after another, so the most that one of them takes counts.
    fn named_containers(&mut self, lesson: &Lesson, choice: &Choice) {
        let kitchen = &self.course.kitchen;
        let own: Vec<TinNeed> = tins(self.course, self.class, lesson)
            .into_iter()
            .chain(tubs(self.course, lesson, choice))
            .collect();
        let piece = self.course.formula(&lesson.formula.value).map(|f| &f.piece);
        let mut most: BTreeMap<EquipId, u32> = BTreeMap::new();
        for step in &lesson.steps {
            for one in &step.uses {
                let id = &one.what.value;
                let what = match id.as_str() {
                    "tin" => piece.and_then(|p| p.tin.as_ref()).map(|t| t.value.clone()),
                    "tray" => piece.and_then(|p| p.tray.as_ref()).map(|t| t.value.clone()),
                    "tub" => own
                        .iter()
                        .map(|n| &n.what)
                        .find(|what| kitchen.tubs.iter().any(|t| t.id.value == **what))
                        .cloned(),
                    _ => Some(id.clone()).filter(|id| {
                        kitchen.tins.iter().any(|t| t.id.value == *id)
                            || kitchen.trays.iter().any(|t| t.id.value == *id)
                            || kitchen.tubs.iter().any(|t| t.id.value == *id)
                    }),
                };
                let Some(what) = what else { continue };
                // Without a count the piece's own take as many as its pieces need, which is counted already.
                if one.count.is_none() && own.iter().any(|n| n.what == what) {
                    continue;
                }
                let needed = self.groups(lesson, step).saturating_mul(one.count.unwrap_or(1));
                let known = most.entry(what).or_default();
                *known = (*known).max(needed);
            }
        }
        for (what, needed) in most {
            let counted: u32 = own.iter().filter(|n| n.what == what).map(|n| n.needed).sum();
            if needed > counted {
                self.tin(TinNeed {
                    lesson: lesson.id.value.clone(),
                    what,
                    students: needed - counted,
                    demonstration: 0,
                    spare: 0,
                    per_tin: 1,
                    needed: needed - counted,
                });
            }
        }
    }

    /// Tools that a step uses, tins and the like left out.
    fn tools(&mut self, lesson: &Lesson, step: &Step) {
        let kitchen = &self.course.kitchen;
        for one in &step.uses {
            let id = &one.what.value;
            if matches!(id.as_str(), "tin" | "tray" | "tub")
                || kitchen.tins.iter().any(|t| t.id.value == *id)
                || kitchen.trays.iter().any(|t| t.id.value == *id)
                || kitchen.tubs.iter().any(|t| t.id.value == *id)
            {
                continue;
            }
            let each = kitchen.stations.each_has.iter().any(|t| t.value == *id);
            let tool = kitchen.tools.iter().find(|t| t.id.value == *id);
            let sort = match tool {
                Some(t) if t.consumable => Sort::Consumable,
                _ if each => Sort::EachStation,
                _ => Sort::Shared,
            };
            let mut groups = self.groups(lesson, step);
            if sort == Sort::Consumable {
                groups = groups.saturating_add(self.staffs_own(lesson, step));
            }
            let needed = groups.saturating_mul(one.count.unwrap_or(1));
            let own = tool.map_or(0, |t| t.count.value) + if each { kitchen.stations.count.value } else { 0 };
            let place = tool.and_then(|t| t.id.place).or(one.what.place);
            let kept = tool.and_then(|t| t.kept.as_ref()).map(|k| k.value.clone());
            let from = (lesson.id.value.clone(), Some(step.id.value.clone()));
            let there = There { own, loan: tool.and_then(|t| t.loan.as_ref()), kept, place };
            self.add(id, sort, needed, there, from);
        }
    }

    /// How many groups do a step at once.
    fn groups(&self, lesson: &Lesson, step: &Step) -> u32 {
        let of = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        match step.per.value {
            // What is made for the class is made anew for those who follow a variant of it.
            Per::Class => of(self.ways_of(lesson, step)),
            Per::Station => of(self.class.stations.len()),
            Per::Batch => of(self
                .choice
                .batches
                .iter()
                .filter(|((l, part), _)| {
                    *l == lesson.id.value
                        && step.on.iter().any(|c| c.value == crate::course::Chain::Part(part.clone()))
                })
                .map(|(_, b)| b.len())
                .max()
                .unwrap_or(1)),
            Per::Load => of(self
                .choice
                .loads
                .iter()
                .filter(|((l, _), _)| *l == lesson.id.value)
                .map(|(_, loads)| loads.len())
                .max()
                .unwrap_or(1)),
        }
    }

    /// How often staff do a step beside the stations: for the spare pieces, and for each stage of a demonstration that comes so far. They
    /// use a station's tools when it has done with them; what is used up they take anew.
    fn staffs_own(&self, lesson: &Lesson, step: &Step) -> u32 {
        if step.per.value != Per::Station || step.demo {
            return 0;
        }
        let takes = |whom: &Whom| match whom {
            Whom::Station(_) => false,
            Whom::Spare => true,
            Whom::Stage { up_to, .. } => stage_reaches(lesson, up_to, &step.id.value),
        };
        let groups = pieces_of(lesson, self.class);
        u32::try_from(groups.iter().filter(|(whom, _)| takes(whom)).count()).unwrap_or(u32::MAX)
    }

    /// In how many ways a step for the class is done: as written, and by each variant of a part that it works on.
    fn ways_of(&self, lesson: &Lesson, step: &Step) -> usize {
        let Some(formula) = self.course.formula(&lesson.formula.value).filter(|_| !step.demo) else {
            return 1;
        };
        let way = |station: &Station| {
            let variant = station.variants.get(&lesson.id.value);
            variant.filter(|v| changes(formula, v, step)).cloned()
        };
        self.class.stations.iter().map(way).collect::<BTreeSet<_>>().len().max(1)
    }

    /// The thermometer of a kitchen that has one: whatever is read in a step needs it, though the step does not name it.
    fn thermometer(&mut self) {
        let course = self.course;
        let Some(tool) = course.kitchen.tools.iter().find(|t| is_thermometer(t)) else { return };
        let id = &tool.id.value;
        if self.needs.contains_key(id) {
            return;
        }
        for lesson in &course.lessons {
            for step in lesson.steps.iter().filter(|s| is_read(s)) {
                let there = There {
                    own: tool.count.value,
                    loan: tool.loan.as_ref(),
                    kept: tool.kept.as_ref().map(|k| k.value.clone()),
                    place: tool.id.place,
                };
                self.add(id, Sort::Shared, 1, there, (lesson.id.value.clone(), Some(step.id.value.clone())));
            }
        }
    }

    /// The bench itself, and one of everything that stands at each station.
    fn each_station(&mut self) {
        let kitchen = &self.course.kitchen;
        let stations = u32::try_from(self.class.stations.len()).unwrap_or(u32::MAX);
        let bench = &kitchen.stations;
        let mut need = blank("station".into(), Sort::Station, bench.count.value, bench.count.place);
        need.needed = stations;
        need.short = stations.saturating_sub(need.on_hand);
        self.needs.insert(need.item.clone(), need);
        for id in &bench.each_has {
            let tool = kitchen.tools.iter().find(|t| t.id.value == id.value);
            let own = bench.count.value + tool.map_or(0, |t| t.count.value);
            let borrowed = tool.and_then(|t| t.loan.as_ref());
            let on_hand = own + borrowed.map_or(0, |l| l.count.value);
            let need = self
                .needs
                .entry(id.value.clone())
                .or_insert_with(|| blank(id.value.clone(), Sort::EachStation, on_hand, id.place));
            need.needed = need.needed.max(stations);
            need.short = need.needed.saturating_sub(need.on_hand);
        }
    }

    /// Tins of several lessons and things used up are added; a tool that serves one step after another is needed once.
    fn add(
        &mut self,
        id: &EquipId,
        sort: Sort,
        needed: u32,
        there: There<'_>,
        (lesson, step): (LessonId, Option<StepId>),
    ) {
        let on_hand = there.own.saturating_add(there.loan.map_or(0, |l| l.count.value));
        let need =
            self.needs.entry(id.clone()).or_insert_with(|| blank(id.clone(), sort, on_hand, there.place));
        need.borrowed = there.loan.map(|l| (l.count.value, l.from.value.clone()));
        need.kept = there.kept;
        need.needed = match sort {
            Sort::Tin | Sort::Consumable => need.needed.saturating_add(needed),
            _ => need.needed.max(needed),
        };
        need.short = need.needed.saturating_sub(on_hand);
        need.from.push((lesson, step, needed));
    }
}

fn blank(item: EquipId, sort: Sort, on_hand: u32, place: Option<Place>) -> Need {
    Need {
        item,
        sort,
        needed: 0,
        needed_with_plan: None,
        on_hand,
        borrowed: None,
        short: 0,
        kept: None,
        from: Vec::new(),
        place,
    }
}

#[cfg(test)]
mod tests;
