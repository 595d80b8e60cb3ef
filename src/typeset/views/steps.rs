//! A task of the plan as a step on a sheet, and a list to weigh.

use super::baked_cold::unbaked_cold;
use super::common::{ForWhom, Gets, OneBowl, Step, WeighList, Weighing};
use super::desk::{Desk, minute_of, moment, place_key};
use super::drawing::drawing;
use super::oven_and_cold::out_for;
use super::station_holds::bowl_wash;
use super::wording::{core, fact, filled_in, oven_dial, temperature};
use crate::course::{
    Chain, Hands, Lesson, LessonId, PartId, StationNo, Step as CourseStep, VariantId, Where,
};
use crate::reckon::drawings::Drawing;
use crate::reckon::drawn;
use crate::reckon::eggs::about_eggs;
use crate::reckon::plan::jobs::Group as BatchGroup;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::cautions::cautions;
use crate::reckon::scale::{begun_by, each_makes_its_own, variant_of};
use crate::reckon::weigh::{Group, List, Shares, WeighedBy, Who, shares};
use crate::reckon::work::{Batch, Whom};
use crate::units::Grams;
use jiff::civil::Date;
use std::collections::BTreeSet;

impl Desk<'_> {
    /// A task as a step, as [`Desk::step_in_a_machine`] gives it; what is mixed by hand says so, and is told nothing of a
    /// mixer.
    pub fn step_view(
        &self,
        task: &PlannedTask,
        number: Option<u32>,
        day: Date,
        reader: Option<StationNo>,
    ) -> Step {
        let mut step = self.step_in_a_machine(task, number, day, reader);
        step.wash_up = self.wash_up(task);
        step.bowl_wash = reader.map_or("", |no| bowl_wash(self, task, no)).to_owned();
        step.here = self.here_in(task, reader);
        if self.is_mixed_by_hand(task) {
            step.at = "by-hand".to_owned();
            step.cautions.retain(|c| c != "mixer");
        }
        step
    }

    /// A task as a step. `day` is the day from whose midnight its minutes count; `reader` the station that reads it, for
    /// its pieces and its variant; `None` for staff.
    fn step_in_a_machine(
        &self,
        task: &PlannedTask,
        number: Option<u32>,
        day: Date,
        reader: Option<StationNo>,
    ) -> Step {
        let step = self.step(task);
        let own = self.own_step(task);
        let formula =
            step.and(task.lesson.as_ref()).and_then(|l| self.course.lesson(l)).map(|l| &l.formula.value);
        let say = match (step, own) {
            (Some(step), _) if !task.demo => step.say.as_ref().map(|s| s.value.as_str()),
            (None, Some(own)) => own.say.as_ref().map(|s| s.value.as_str()),
            _ => None,
        };
        let piece = formula.and_then(|f| self.course.formula(f)).map(|f| &f.piece);
        let one = say.is_some_and(tells_of_one);
        let drawings = if task.cold_wait { Vec::new() } else { self.drawings(task, reader, one) };
        let gets = match (step, reader) {
            (Some(step), Some(no)) if !task.cold_wait && !task.demo => {
                self.gets_of(task, step, no, say.unwrap_or_default(), &drawings)
            }
            _ => Vec::new(),
        };
        let each = reader.filter(|_| !task.cold_wait && !task.demo).and_then(|no| {
            let of_one = one || drawings.iter().any(draws_one);
            let per_piece = !matches!(task.group, BatchGroup::Batch(_) | BatchGroup::Class(_));
            let own = task.members.iter().find(|(whom, _)| *whom == Whom::Station(no));
            own.map(|(_, pieces)| *pieces).filter(|n| of_one && per_piece && *n > 1)
        });
        let say = match (say, piece) {
            (Some(text), Some(piece)) => filled_in(text, piece, self.units(), &self.tongue),
            (Some(text), None) => text.to_owned(),
            _ => String::new(),
        };
        let place = self.place(task);
        let students = reader.and_then(|no| self.station(no)).map(|s| s.students());
        let cold = task.cold_wait;
        // What stands for several is out for each when that one takes its share.
        let end = match reader {
            Some(no) if task.hands == Hands::Nobody => out_for(self, task, &Whom::Station(no)),
            // Staff are told when the first of them comes for it.
            None if task.hands == Hands::Nobody => {
                let outs = task.members.iter().map(|(whom, _)| out_for(self, task, whom));
                outs.min().unwrap_or(&task.end)
            }
            _ => &task.end,
        };
        Step {
            number,
            from: minute_of(&task.start, day),
            to: minute_of(end, day),
            until: (end.date() != task.start.date()).then(|| moment(end)),
            lesson: task.lesson.as_ref().map_or_else(String::new, |l| self.lesson_name(l)),
            name: self.task_name(task),
            hands: hands_key(task, students).to_owned(),
            demo: task.demo,
            pause: own.is_some_and(|o| o.pause),
            at: place_key(place).to_owned(),
            place: self.machine(task).map_or_else(String::new, |(_, name)| name),
            one_bowl: reader.and_then(|no| self.one_bowl(task, no)),
            load: self.load(task).map(|l| l.no),
            say: if cold { String::new() } else { say },
            facts: if cold { Vec::new() } else { self.facts(task) },
            each,
            gets,
            drawings,
            photograph: task.lesson.as_ref().filter(|_| !cold).and_then(|l| self.photograph(l, &task.step)),
            cautions: self.cautions(task, reader),
            ..Step::default()
        }
    }

    /// Where the reader's dough goes into the bowl of another station, which weighs and mixes for all.
    fn one_bowl(&self, task: &PlannedTask, reader: StationNo) -> Option<OneBowl> {
        if task.hands != Hands::Students {
            return None;
        }
        let members = &self.batch(task)?.members;
        let station = self.mixer_station(members).filter(|no| *no != reader)?;
        let mine = members.iter().any(|(whom, _)| *whom == Whom::Station(reader));
        let for_whom = self.for_whom(members.iter().map(|(whom, _)| whom));
        mine.then_some(OneBowl { station: station.0, for_whom })
    }

    /// The cautions of a task, by their keys in the catalogue's `[danger]`; none for what waits in the cold. A station reads those
    /// of its own variant, staff those of every variant that the task is for.
    fn cautions(&self, task: &PlannedTask, reader: Option<StationNo>) -> Vec<String> {
        let lesson = task.lesson.as_ref().and_then(|l| self.course.lesson(l));
        match (lesson, self.step(task), self.own_step(task)) {
            (Some(lesson), Some(step), _) if !task.cold_wait => {
                let variants: BTreeSet<Option<&VariantId>> = match (reader, self.batch(task)) {
                    (Some(no), _) => [self.variant_of(no, &lesson.id.value)].into(),
                    (None, Some(batch)) => [batch.variant.as_ref()].into(),
                    (None, None) => {
                        task.members.iter().map(|(whom, _)| variant_of(self.class, lesson, whom)).collect()
                    }
                };
                // What is for nobody yet is for the plain formula.
                let variants = if variants.is_empty() { [None].into() } else { variants };
                let mut all: Vec<String> = Vec::new();
                for variant in variants {
                    for caution in self.cautions_of(lesson, variant, step) {
                        if !all.contains(&caution) {
                            all.push(caution);
                        }
                    }
                }
                all.extend(unbaked_cold(self, task).map(str::to_owned));
                all
            }
            (_, _, Some(own)) => own.caution.iter().map(|c| c.value.clone()).collect(),
            _ => Vec::new(),
        }
    }

    /// The cautions of a step as a variant does it.
    pub fn cautions_of(
        &self,
        lesson: &Lesson,
        variant: Option<&VariantId>,
        step: &CourseStep,
    ) -> Vec<String> {
        let recipe = self.recipes.get(&lesson.formula.value, variant);
        cautions(self.course, lesson, recipe.map(|r| &r.formula), step)
    }

    /// The figures that decide a step.
    pub fn facts(&self, task: &PlannedTask) -> Vec<super::common::Fact> {
        let units = self.units();
        let Some(step) = self.step(task) else { return Vec::new() };
        let mut facts = Vec::new();
        if let Some(aim) = &step.aim {
            facts.push(fact("aim", vec![temperature(aim.value, units)]));
        }
        if let Some(load) = self.load(task).filter(|_| self.place(task) == Where::Oven) {
            facts.push(fact("oven", vec![oven_dial(load.heat(), units)]));
        }
        if let Some(range) = &step.core {
            facts.extend(core(range.value, units));
        }
        let shelves = match self.place(task) {
            Where::Warm => &self.course.kitchen.warm,
            Where::Cold => &self.course.kitchen.cold,
            _ => return facts,
        };
        let known: Vec<_> = shelves.iter().filter_map(|s| s.temperature.as_ref()).map(|t| t.value).collect();
        if let [first, rest @ ..] = known.as_slice()
            && rest.iter().all(|t| t == first)
        {
            facts.push(fact("place", vec![temperature(*first, units)]));
        }
        facts
    }

    fn drawings(&self, task: &PlannedTask, reader: Option<StationNo>, one: bool) -> Vec<serde_json::Value> {
        let (Some(lesson), Some(step)) =
            (task.lesson.as_ref().and_then(|l| self.course.lesson(l)), self.step(task))
        else {
            return Vec::new();
        };
        // A batch is weighed and mixed whole, whoever's dough it is.
        let whole = matches!(task.group, BatchGroup::Batch(_));
        let own = |whom: &Whom| whole || reader.is_none_or(|no| *whom == Whom::Station(no));
        let all = task.members.iter().filter(|(w, _)| own(w)).map(|(_, n)| n).sum();
        let variant = match reader {
            Some(no) => self.variant_of(no, &lesson.id.value),
            None => self.batch(task).and_then(|b| b.variant.as_ref()),
        };
        let of = |pieces| drawn::of_step(self.course, &self.recipes, lesson, step, variant, pieces);
        let mut drawings = of(all);
        // Where a measure that is drawn beside it is of one piece, all of them are; but one piece is not divided into itself.
        if !whole && (one || drawings.iter().any(|d| OF_ONE.contains(&d.figure().name))) {
            let single = of(1).into_iter().zip(drawings);
            drawings = single.map(|(one, all)| if is_of_all(&one) { all } else { one }).collect();
        }
        let by_hand = self.is_mixed_by_hand(task);
        drawings
            .into_iter()
            .map(|d| if by_hand { d.by_hand() } else { d })
            .map(|d| drawing(&d, self.units()))
            .collect()
    }

    /// What a step brings to each of a station's pieces.
    fn gets_of(
        &self,
        task: &PlannedTask,
        step: &CourseStep,
        reader: StationNo,
        say: &str,
        drawings: &[serde_json::Value],
    ) -> Vec<Gets> {
        let Some(lesson) = task.lesson.as_ref().and_then(|l| self.course.lesson(l)) else {
            return Vec::new();
        };
        let recipe = self.recipes.get(&lesson.formula.value, self.variant_of(reader, &lesson.id.value));
        let own = task.members.iter().find(|(whom, _)| *whom == Whom::Station(reader));
        let pieces = own.map_or(0, |(_, pieces)| *pieces);
        recipe.map_or_else(Vec::new, |r| self.gets(r, step, pieces, say, drawings))
    }

    // To weigh ------------------------------------------------------------------------------------------------------

    /// A list with everything on it to weigh.
    pub fn weigh_list(&self, list: &List, for_whom: Option<ForWhom>) -> WeighList {
        let batch = list.batch.and_then(|no| self.batch_of(&list.lesson, &list.part, no));
        let mixer = batch.and_then(|b| self.mixing(b)).and_then(|t| self.machine(t));
        let items = list.ingredients.iter().map(|w| {
            let item = self.course.pantry.item(&w.item);
            Weighing {
                name: item.map_or_else(|| w.item.to_string(), |i| i.name.value.clone()),
                amount: self.mass_of(item, w.grams),
                eggs: item.and_then(|i| about_eggs(i, w.grams)).unwrap_or_default(),
                fine: self.is_fine(item, w.grams),
                cold: item.is_some_and(|i| i.cold),
                ..Weighing::default()
            }
        });
        let parts = list.fetches.iter().map(|f| Weighing {
            name: self.part_name(&list.formula, &f.part),
            amount: self.mass(f.grams),
            slip: f.batch.and_then(|no| self.slip(&list.lesson, &f.part, no)).cloned(),
            from: for_whom.clone().filter(|_| self.is_brought(list, &f.part)),
            ..f.batch.map_or_else(Weighing::default, |no| self.made_by(&list.lesson, &f.part, no))
        });
        let lines: Vec<Weighing> = parts.chain(items).collect();
        WeighList {
            lesson: self.lesson_name(&list.lesson),
            part: self.part_name(&list.formula, &list.part),
            variant: list.variant.as_ref().map(|v| self.variant_name(v)),
            how: "weigh".to_owned(),
            for_whom,
            mixer: mixer.map_or_else(String::new, |(_, name)| name),
            by_hand: batch.is_some_and(|b| self.by_hand(b)),
            total: (lines.len() > 1).then(|| self.mass(list.total)),
            temper: batch.filter(|b| b.part == list.part).and_then(|b| self.temper(b)),
            lines,
            ..WeighList::default()
        }
    }

    /// Whether a part that goes into a batch for several was made by each of them, and is put together in its bowl.
    fn is_brought(&self, list: &List, part: &PartId) -> bool {
        let batch = list.batch.and_then(|no| self.batch_of(&list.lesson, &list.part, no));
        let lesson = self.course.lesson(&list.lesson);
        batch.is_some_and(|b| b.members.len() > 1)
            && !self.plan.choice.batches.contains_key(&(list.lesson.clone(), part.clone()))
            && lesson.is_some_and(|l| each_makes_its_own(&self.recipes, l, part))
    }

    /// One thing to fetch, as a line.
    pub fn fetched(&self, list: &List) -> Weighing {
        let from = match list.batch {
            Some(no) => self.made_by(&list.lesson, &list.part, no),
            None => Weighing { by_staff: list.weighed_by == WeighedBy::Staff, ..Weighing::default() },
        };
        Weighing {
            name: self.part_name(&list.formula, &list.part),
            // What was weighed has lost something on hook and bowl when it is fetched.
            amount: self.mass(list.used),
            note: list.variant.as_ref().map_or_else(String::new, |v| self.variant_name(v)),
            slip: list.batch.and_then(|no| self.slip(&list.lesson, &list.part, no)).cloned(),
            ..from
        }
    }

    /// Who made a batch that is fetched: a station, or staff; neither where the reader made it alone.
    fn made_by(&self, lesson: &LessonId, part: &PartId, no: u32) -> Weighing {
        let group = self.shared_batch(lesson, part, no);
        let by = group.and_then(|g| g.lists.first()).map(|l| l.weighed_by);
        let batch = self.batch_of(lesson, part, no);
        let station =
            batch.filter(|_| by == Some(WeighedBy::Batch)).and_then(|b| self.mixer_station(&b.members));
        Weighing {
            mixed_by: station.map_or_else(String::new, |no| no.to_string()),
            by_staff: by == Some(WeighedBy::Staff),
            ..Weighing::default()
        }
    }

    /// The task that first needs what is on a list: the mix of its batch, or else the first work on its part by the one that
    /// it is for.
    pub fn first_use(&self, who: &Who, list: &List) -> Option<&PlannedTask> {
        let batch = list.batch.and_then(|no| self.batch_of(&list.lesson, &list.part, no));
        if let Some(mix) = batch.and_then(|b| self.mixing(b)) {
            return Some(mix);
        }
        let takes_up = |t: &&PlannedTask| {
            let on_it = |step: &crate::course::Step| {
                step.on.iter().any(|c| match &c.value {
                    Chain::Part(p) => {
                        *p == list.part || self.recipes.lies_inside(&list.formula, &list.part, p)
                    }
                    Chain::Piece => false,
                })
            };
            t.lesson.as_ref() == Some(&list.lesson) && !t.demo && self.step(t).is_some_and(on_it)
        };
        let is_for = |t: &&PlannedTask| {
            t.members.iter().any(|(whom, _)| match (who, whom) {
                (Who::Station(no, _), Whom::Station(other)) => no == other,
                (Who::Stage { demo, up_to, .. }, Whom::Stage { demo: d, up_to: u }) => {
                    (demo, up_to) == (d, u)
                }
                (Who::Spare(_), Whom::Spare) => true,
                (Who::Shared { members, .. }, whom) => members.contains(whom),
                _ => false,
            })
        };
        let all = || self.plan.tasks.iter().filter(takes_up);
        all().filter(is_for).min_by_key(|t| &t.start).or_else(|| all().min_by_key(|t| &t.start))
    }

    /// What is weighed for a batch, as the scales show it.
    pub fn weighed(&self, batch: &Batch) -> Grams {
        let of = |l: &&List| {
            (&l.lesson, &l.part, l.batch) == (&batch.lesson, &batch.part, Some(batch.no))
                && !(l.ingredients.is_empty() && l.fetches.is_empty())
        };
        self.weigh.groups().flat_map(|g| &g.lists).find(of).map_or(batch.grams, |l| l.total)
    }

    /// What is left of a batch when it is made, and who gets how much: what stays on hook, pan and bowl is gone.
    pub fn shares(&self, batch: &Batch) -> Shares {
        shares(self.course, &self.recipes, batch)
    }

    /// Everything to weigh for a batch, whoever weighs it.
    pub fn batch_lists(&self, batch: &Batch) -> Vec<WeighList> {
        let own_batches = |part: &PartId| {
            self.plan.choice.batches.get(&(batch.lesson.clone(), part.clone())).is_some_and(|b| !b.is_empty())
        };
        // An inner part without batches of its own is made in this one's.
        let of = |list: &&List| {
            list.lesson == batch.lesson
                && list.batch == Some(batch.no)
                && !list.ingredients.is_empty()
                && (list.part == batch.part
                    || !own_batches(&list.part)
                        && self.recipes.lies_inside(&list.formula, &list.part, &batch.part))
        };
        self.weigh.groups().flat_map(|g| &g.lists).filter(of).map(|l| self.weigh_list(l, None)).collect()
    }

    /// What staff weigh for a task of theirs that is no batch's: the lists of those for whom it is, of the parts that it begins.
    pub fn begun_lists(&self, task: &PlannedTask) -> Vec<WeighList> {
        let Some(lesson) = task.lesson.as_ref().and_then(|l| self.course.lesson(l)) else {
            return Vec::new();
        };
        let begun = |l: &&List| {
            l.lesson == lesson.id.value
                && l.batch.is_none()
                && l.weighed_by == WeighedBy::Staff
                && begun_by(&self.recipes, lesson, &l.part).is_some_and(|s| s.id.value == task.step)
        };
        let is_of = |who: &Who| {
            task.members.iter().any(|(whom, _)| match (who, whom) {
                (Who::Station(no, _), Whom::Station(other)) => no == other,
                (Who::Stage { demo, up_to, .. }, Whom::Stage { demo: d, up_to: u }) => {
                    (demo, up_to) == (d, u)
                }
                (Who::Spare(_), Whom::Spare) => true,
                _ => false,
            })
        };
        let groups = self.weigh.groups().filter(|g| is_of(&g.who));
        groups.flat_map(|g| &g.lists).filter(begun).map(|l| self.weigh_list(l, None)).collect()
    }

    /// The station that weighs and mixes a batch for all its members: the one whose people avoid the most, so that their dough is made
    /// on their own bench; of equals the first.
    pub fn mixer_station(&self, members: &[(Whom, Grams)]) -> Option<StationNo> {
        let stations = members.iter().filter_map(|(whom, _)| match whom {
            Whom::Station(no) => Some(*no),
            _ => None,
        });
        let avoids = |no: &StationNo| self.station(*no).map_or(0, |s| s.avoids.len());
        stations.max_by_key(|no| (avoids(no), std::cmp::Reverse(*no)))
    }

    /// The same of what is weighed once for several.
    pub fn mixer_of(&self, who: &Who) -> Option<StationNo> {
        let Who::Shared { lesson, part, batch, .. } = who else { return None };
        self.mixer_station(&self.batch_of(lesson, part, *batch)?.members)
    }

    /// The group of lists of a batch that is weighed once.
    pub fn shared_batch(&self, of: &LessonId, made: &PartId, no: u32) -> Option<&Group> {
        self.weigh.shared.iter().find(|g| match &g.who {
            Who::Shared { lesson, part, batch, .. } => lesson == of && part == made && *batch == no,
            _ => false,
        })
    }
}

/// Whether the teacher's words hold a measure of one piece, to be filled in.
pub(super) fn tells_of_one(text: &str) -> bool {
    ["{sheet}", "{size}", "{bare-edge}", "{strand-length}", "{slices}", "{strands}"]
        .iter()
        .any(|m| text.contains(m))
}

/// Drawings whose measures are of one piece, whoever makes how many, and do not say so themselves.
const OF_ONE: [&str; 15] = [
    "roll-out",
    "spread",
    "roll-up",
    "slice",
    "fill-pinch",
    "pipe",
    "cut-lengthwise",
    "twist",
    "braid",
    "coil",
    "knot",
    "letter-fold",
    "book-fold",
    "place-in-tin",
    "score",
];

/// Drawings of which one piece alone would show nothing: what is divided, what rests, what lies on a tray.
fn is_of_all(one: &Drawing) -> bool {
    matches!(
        one,
        Drawing::Divide { pieces: 1, .. } | Drawing::Rest { pieces: 1, .. } | Drawing::OnTray { .. }
    )
}

pub(super) fn draws_one(drawing: &serde_json::Value) -> bool {
    OF_ONE.iter().any(|name| drawing["name"] == *name)
}

/// Who does a task, as a key, for a station of so many students.
pub fn hands_key(task: &PlannedTask, students: Option<u32>) -> &'static str {
    match task.hands {
        Hands::Students if task.one_student && students.is_some_and(|n| n > 2) => "one-of-several",
        Hands::Students if task.one_student && students != Some(1) => "one-student",
        Hands::Students => "students",
        Hands::Teacher => "teacher",
        Hands::Helper => "helper",
        Hands::Staff => "staff",
        // Hands at its ends are staff's: it is done for the reader.
        Hands::Nobody if !task.by.is_empty() => "staff",
        Hands::Nobody => "nobody",
    }
}
