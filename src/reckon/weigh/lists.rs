//! Who weighs which part, and exactly how much.

use super::{Fetch, Group, List, WeighedBy, Weight, Who};
use crate::course::{Course, Hands, Ingredient, Lesson, PartId, Step, StepId, VariantId};
use crate::reckon::formula::PartAmounts;
use crate::reckon::mixers::{Made, Member, how_made, members};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::pieces_of;
use crate::reckon::work::{Batch, Choice, Class, Portion, Whom};
use crate::units::Grams;

/// One lesson being listed.
struct Desk<'a> {
    recipes: &'a Recipes,
    lesson: &'a Lesson,
    choice: &'a Choice,
}

/// All groups with their exact lists: stations, stages, spare, then what is shared.
pub fn groups(
    course: &Course,
    recipes: &Recipes,
    class: &Class,
    portions: &[Portion],
    choice: &Choice,
) -> Vec<Group> {
    let mut all: Vec<Group> = class
        .stations
        .iter()
        .map(|s| Group { who: Who::Station(s.no, s.students()), lists: Vec::new() })
        .collect();
    let mut shared = Vec::new();
    for lesson in &course.lessons {
        let desk = Desk { recipes, lesson, choice };
        let Some(plain) = recipes.get(&lesson.formula.value, None) else { continue };
        for (whom, _) in pieces_of(lesson, class) {
            let who = who(lesson, &whom);
            if let Some(who) = who {
                all.push(Group { who, lists: Vec::new() });
            }
        }
        for part in plain.formula.parts.iter().map(|p| &p.id.value) {
            let batches = desk.batches(part);
            let direct = plain.formula.piece.amounts.iter().any(|(p, _)| p.value == *part);
            for group in members(recipes, lesson, portions, part) {
                for member in &group.members {
                    let batch = batches.iter().find(|b| {
                        b.variant == group.variant && b.members.iter().any(|(w, _)| *w == member.whom)
                    });
                    // An inner part without a batch of its own is listed with the part that takes it.
                    let lists = match batch {
                        Some(b) if desk.is_shared(b) => {
                            if direct {
                                vec![desk.fetched(b, member)]
                            } else {
                                Vec::new()
                            }
                        }
                        Some(b) => desk.made(
                            part,
                            group.variant.as_ref(),
                            b.grams,
                            Some(b.no),
                            desk.own_hands(&member.whom),
                        ),
                        None if direct => desk.made_least(part, group.variant.as_ref(), member),
                        None => Vec::new(),
                    };
                    if let Some(own) = all.iter_mut().find(|g| is_for(&g.who, lesson, &member.whom)) {
                        own.lists.extend(lists);
                    }
                }
            }
            for batch in batches.iter().filter(|b| desk.is_shared(b)) {
                let by = if desk.by_staff(batch) { WeighedBy::Staff } else { WeighedBy::Batch };
                shared.push(Group {
                    who: Who::Shared {
                        lesson: lesson.id.value.clone(),
                        part: part.clone(),
                        batch: batch.no,
                        members: batch.members.iter().map(|(w, _)| w.clone()).collect(),
                    },
                    lists: desk.made(part, batch.variant.as_ref(), batch.grams, Some(batch.no), by),
                });
            }
        }
    }
    all.extend(shared);
    all
}

fn who(lesson: &Lesson, whom: &Whom) -> Option<Who> {
    match whom {
        Whom::Station(_) => None,
        Whom::Stage { demo, up_to } => {
            Some(Who::Stage { lesson: lesson.id.value.clone(), demo: demo.clone(), up_to: up_to.clone() })
        }
        Whom::Spare => Some(Who::Spare(lesson.id.value.clone())),
    }
}

fn is_for(group: &Who, lesson: &Lesson, whom: &Whom) -> bool {
    match (group, whom) {
        (Who::Station(no, _), Whom::Station(other)) => no == other,
        _ => who(lesson, whom).is_some_and(|w| w == *group),
    }
}

impl Desk<'_> {
    fn batches(&self, part: &PartId) -> &[Batch] {
        self.choice.batches.get(&(self.lesson.id.value.clone(), part.clone())).map_or(&[], Vec::as_slice)
    }

    /// The step in which a part is mixed or cooked.
    fn begun_by(&self, part: &PartId) -> Option<&Step> {
        match how_made(self.recipes, self.lesson, part) {
            Made::Batch(step) | Made::Class(step) => Some(step),
            Made::Station => None,
        }
    }

    /// Staff make it: before the session, or because the step says so.
    fn by_staff(&self, batch: &Batch) -> bool {
        let at = |id: &StepId| self.lesson.steps.iter().position(|s| s.id.value == *id);
        let Some(step) = self.begun_by(&batch.part) else { return false };
        matches!(step.hands.value, Hands::Staff | Hands::Teacher | Hands::Helper)
            || self.choice.made_ahead.iter().any(|(lesson, part, up_to)| {
                *lesson == batch.lesson && *part == batch.part && at(up_to) >= at(&step.id.value)
            })
    }

    /// Weighed once and fetched: for several, for the class, or by someone else than the one it is for.
    fn is_shared(&self, batch: &Batch) -> bool {
        if matches!(how_made(self.recipes, self.lesson, &batch.part), Made::Class(_)) {
            return true;
        }
        match batch.members.as_slice() {
            [(Whom::Station(_), _)] => self.by_staff(batch),
            [_] => false,
            _ => true,
        }
    }

    fn own_hands(&self, whom: &Whom) -> WeighedBy {
        match whom {
            Whom::Station(_) => WeighedBy::Station,
            Whom::Stage { .. } | Whom::Spare => WeighedBy::Staff,
        }
    }

    fn fetched(&self, batch: &Batch, member: &Member) -> List {
        List {
            lesson: self.lesson.id.value.clone(),
            formula: self.lesson.formula.value.clone(),
            variant: batch.variant.clone(),
            part: batch.part.clone(),
            batch: Some(batch.no),
            weighed_by: if self.by_staff(batch) { WeighedBy::Staff } else { WeighedBy::Batch },
            ingredients: Vec::new(),
            fetches: Vec::new(),
            total: member.used,
            surplus: Grams::ZERO,
        }
    }

    /// A part that a group makes for itself alone, with no less than can be made.
    fn made_least(&self, part: &PartId, variant: Option<&VariantId>, member: &Member) -> Vec<List> {
        let weighed = self
            .recipes
            .get(&self.lesson.formula.value, variant)
            .and_then(|r| r.shares.for_least(part, member.used))
            .map_or(member.weighed, |a| if a.surplus() > Grams::ZERO { a.weighed } else { member.weighed });
        self.made(part, variant, weighed, None, self.own_hands(&member.whom))
            .into_iter()
            .map(|mut list| {
                if list.part == *part {
                    list.surplus = weighed - member.weighed;
                }
                list
            })
            .collect()
    }

    /// The lists of one making: the parts inside that have no batch of their own, innermost first, then the part.
    fn made(
        &self,
        part: &PartId,
        variant: Option<&VariantId>,
        weighed: Grams,
        batch: Option<u32>,
        by: WeighedBy,
    ) -> Vec<List> {
        let Some(recipe) = self.recipes.get(&self.lesson.formula.value, variant) else { return Vec::new() };
        let Some(amounts) = recipe.shares.for_weighed(part, weighed) else { return Vec::new() };
        let mut lists = Vec::new();
        let needed: Grams = self
            .batches(part)
            .iter()
            .filter(|b| Some(b.no) == batch)
            .flat_map(|b| &b.members)
            .map(|m| m.1)
            .sum();
        let surplus = if needed > Grams::ZERO { weighed - needed } else { Grams::ZERO };
        self.add(&amounts, variant, batch, by, surplus, &mut lists);
        lists
    }

    fn add(
        &self,
        amounts: &PartAmounts,
        variant: Option<&VariantId>,
        batch: Option<u32>,
        by: WeighedBy,
        surplus: Grams,
        lists: &mut Vec<List>,
    ) {
        let recipe = self.recipes.get(&self.lesson.formula.value, variant);
        let mut list = List {
            lesson: self.lesson.id.value.clone(),
            formula: self.lesson.formula.value.clone(),
            variant: variant.cloned(),
            part: amounts.part.clone(),
            batch,
            weighed_by: by,
            ingredients: Vec::new(),
            fetches: Vec::new(),
            total: amounts.weighed,
            surplus,
        };
        for (what, grams) in &amounts.lines {
            match what {
                Ingredient::Item(item) => {
                    list.ingredients.push(Weight { item: item.clone(), grams: *grams, exact: *grams });
                }
                Ingredient::Part(inner) => {
                    let own = self.recipes.variant_of_part(&self.lesson.formula.value, variant, inner);
                    let batches = self.batches(inner);
                    list.fetches.push(Fetch {
                        part: inner.clone(),
                        batch: batches.iter().find(|b| b.variant == own).map(|b| b.no),
                        grams: *grams,
                    });
                    // One that is made with this part is made here, never in less than can be made.
                    if batches.is_empty()
                        && let Some(made) = recipe.and_then(|r| r.shares.for_least(inner, *grams))
                    {
                        let beyond = made.surplus();
                        self.add(&made, variant, batch, by, beyond, lists);
                    }
                }
            }
        }
        lists.push(list);
    }
}
