//! Who weighs which part, and exactly how much.

use super::{Fetch, Group, List, WeighedBy, Weight, Who};
use crate::course::{Ahead, Course, Hands, Ingredient, Lesson, PartId, VariantId};
use crate::reckon::formula::PartAmounts;
use crate::reckon::mixers::{Made, Member, how_made, members};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::{begun_by, pieces_of};
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
                        Some(b) => {
                            let by = desk.begun(part, &member.whom);
                            desk.made(part, group.variant.as_ref(), b.grams, Some(b.no), by)
                        }
                        None if direct => desk.made_least(part, group.variant.as_ref(), member),
                        None => Vec::new(),
                    };
                    if let Some(own) = all.iter_mut().find(|g| is_for(&g.who, lesson, &member.whom)) {
                        own.lists.extend(lists);
                    }
                }
            }
            for batch in batches.iter().filter(|b| desk.is_shared(b)) {
                shared.push(Group {
                    who: Who::Shared {
                        lesson: lesson.id.value.clone(),
                        part: part.clone(),
                        batch: batch.no,
                        members: batch.members.iter().map(|(w, _)| w.clone()).collect(),
                    },
                    lists: desk.made(
                        part,
                        batch.variant.as_ref(),
                        batch.grams,
                        Some(batch.no),
                        desk.batch_begun(batch),
                    ),
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

    /// Who begins a part for one member: staff before the session, or because the step says so, or because it is theirs.
    fn begun(&self, part: &PartId, whom: &Whom) -> WeighedBy {
        let step = begun_by(self.recipes, self.lesson, part);
        let by_staff =
            step.is_some_and(|s| matches!(s.hands.value, Hands::Staff | Hands::Teacher | Hands::Helper));
        let key = (self.lesson.id.value.clone(), part.clone(), whom.clone());
        match (whom, self.choice.made_ahead.get(&key)) {
            (Whom::Stage { .. } | Whom::Spare, _) | (_, Some(Ahead::Always)) => WeighedBy::Staff,
            _ if by_staff => WeighedBy::Staff,
            (_, Some(Ahead::IfNeeded)) => WeighedBy::Open,
            (_, Some(Ahead::Never) | None) => WeighedBy::Station,
        }
    }

    /// Who begins a batch: its first station's students, where it has one, and nobody else does it for them.
    fn batch_begun(&self, batch: &Batch) -> WeighedBy {
        let station = batch.members.iter().map(|(whom, _)| whom).find(|w| matches!(w, Whom::Station(_)));
        match station.map(|whom| self.begun(&batch.part, whom)) {
            Some(WeighedBy::Station | WeighedBy::Batch) => WeighedBy::Batch,
            Some(by) => by,
            None => WeighedBy::Staff,
        }
    }

    /// Weighed once and fetched: for several, for the class, or by someone else than the one it is for.
    fn is_shared(&self, batch: &Batch) -> bool {
        if matches!(how_made(self.recipes, self.lesson, &batch.part), Made::Class(_)) {
            return true;
        }
        match batch.members.as_slice() {
            [(Whom::Station(_), _)] => self.batch_begun(batch) == WeighedBy::Staff,
            [_] => false,
            _ => true,
        }
    }

    fn fetched(&self, batch: &Batch, member: &Member) -> List {
        List {
            lesson: self.lesson.id.value.clone(),
            formula: self.lesson.formula.value.clone(),
            variant: batch.variant.clone(),
            part: batch.part.clone(),
            batch: Some(batch.no),
            weighed_by: self.batch_begun(batch),
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
        self.made(part, variant, weighed, None, self.begun(part, &member.whom))
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
