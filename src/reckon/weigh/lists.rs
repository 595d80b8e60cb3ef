//! Who weighs which part, and exactly how much.

use super::{Fetch, Group, List, WeighedBy, Weight, Who};
use crate::course::{Ahead, Course, Hands, Ingredient, Lesson, PartId, VariantId};
use crate::reckon::formula::{PartAmounts, shared_exactly};
use crate::reckon::mixers::{Made, Member, how_made, members};
use crate::reckon::recipes::Recipes;
use crate::reckon::scale::{begun_by, each_makes_its_own, pieces_of};
use crate::reckon::work::{Batch, Choice, Class, Portion, Whom};
use crate::units::Grams;

/// For whom a making is, and how much each takes of it.
type Takers<'a> = &'a [(Whom, Grams)];

/// The lists of one making: its own, and beside them those of the parts inside that each of its takers makes for itself.
#[derive(Default)]
struct Making {
    own: Vec<List>,
    by_each: Vec<(Whom, List)>,
}

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
                    let making = match batch {
                        Some(b) if desk.is_shared(b) => {
                            let own = direct.then(|| desk.fetched(b, member)).into_iter().collect();
                            Making { own, ..Making::default() }
                        }
                        Some(b) => {
                            let by = desk.begun(part, &member.whom);
                            desk.made(part, group.variant.as_ref(), b.grams, Some(b.no), &b.members, by)
                        }
                        None if direct => desk.made_least(part, group.variant.as_ref(), member),
                        None => Making::default(),
                    };
                    hand_out(&mut all, lesson, making.by_each);
                    hand_out(
                        &mut all,
                        lesson,
                        making.own.into_iter().map(|list| (member.whom.clone(), list)).collect(),
                    );
                }
            }
            for batch in batches.iter().filter(|b| desk.is_shared(b)) {
                let making = desk.made(
                    part,
                    batch.variant.as_ref(),
                    batch.grams,
                    Some(batch.no),
                    &batch.members,
                    desk.batch_begun(batch),
                );
                hand_out(&mut all, lesson, making.by_each);
                shared.push(Group {
                    who: Who::Shared {
                        lesson: lesson.id.value.clone(),
                        part: part.clone(),
                        batch: batch.no,
                        members: batch.members.iter().map(|(w, _)| w.clone()).collect(),
                    },
                    lists: making.own,
                });
            }
        }
    }
    all.extend(shared);
    all
}

/// Gives each its lists. What goes into something that it fetches stands before it.
fn hand_out(all: &mut [Group], lesson: &Lesson, lists: Vec<(Whom, List)>) {
    for (whom, list) in lists {
        let Some(group) = all.iter_mut().find(|g| is_for(&g.who, lesson, &whom)) else { continue };
        let fetched = |l: &List| l.lesson == list.lesson && l.ingredients.is_empty() && l.fetches.is_empty();
        let place = match group.lists.last() {
            Some(last) if fetched(last) && !list.ingredients.is_empty() => group.lists.len() - 1,
            _ => group.lists.len(),
        };
        group.lists.insert(place, list);
    }
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

    /// Who begins a batch: students of one of its stations, where it has one and nobody else does it for them. What is begun for one of
    /// them is begun for all: the sheets say whose bench it is made on.
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
            used: member.used,
            surplus: Grams::ZERO,
        }
    }

    /// A part that a group makes for itself alone, with no less than can be made.
    fn made_least(&self, part: &PartId, variant: Option<&VariantId>, member: &Member) -> Making {
        let weighed = self
            .recipes
            .get(&self.lesson.formula.value, variant)
            .and_then(|r| r.shares.for_least(part, member.used))
            .map_or(member.weighed, |a| if a.surplus() > Grams::ZERO { a.weighed } else { member.weighed });
        let takers = [(member.whom.clone(), member.weighed)];
        let by = self.begun(part, &member.whom);
        let mut making = self.made(part, variant, weighed, None, &takers, by);
        for list in making.own.iter_mut().filter(|l| l.part == *part) {
            list.surplus = weighed - member.weighed;
        }
        making
    }

    /// The lists of one making: the parts inside that have no batch of their own, innermost first, then the part.
    fn made(
        &self,
        part: &PartId,
        variant: Option<&VariantId>,
        weighed: Grams,
        batch: Option<u32>,
        takers: Takers,
        by: WeighedBy,
    ) -> Making {
        let mut making = Making::default();
        let Some(recipe) = self.recipes.get(&self.lesson.formula.value, variant) else { return making };
        let Some(amounts) = recipe.shares.for_weighed(part, weighed) else { return making };
        let needed: Grams = if batch.is_some() { takers.iter().map(|t| t.1).sum() } else { Grams::ZERO };
        let surplus = if needed > Grams::ZERO { weighed - needed } else { Grams::ZERO };
        let list = self.list(&amounts, variant, batch, by, surplus);
        self.add(&amounts, list, takers, &mut making);
        making
    }

    /// A list with nothing on it yet.
    fn list(
        &self,
        amounts: &PartAmounts,
        variant: Option<&VariantId>,
        batch: Option<u32>,
        by: WeighedBy,
        surplus: Grams,
    ) -> List {
        List {
            lesson: self.lesson.id.value.clone(),
            formula: self.lesson.formula.value.clone(),
            variant: variant.cloned(),
            part: amounts.part.clone(),
            batch,
            weighed_by: by,
            ingredients: Vec::new(),
            fetches: Vec::new(),
            total: amounts.weighed,
            used: amounts.used,
            surplus,
        }
    }

    /// Fills a list, after those of the parts inside.
    fn add(&self, amounts: &PartAmounts, mut list: List, takers: Takers, making: &mut Making) {
        let variant = list.variant.clone();
        let recipe = self.recipes.get(&self.lesson.formula.value, variant.as_ref());
        for (what, grams) in &amounts.lines {
            match what {
                Ingredient::Item(item) => {
                    list.ingredients.push(Weight { item: item.clone(), grams: *grams, exact: *grams });
                }
                Ingredient::Part(inner) => {
                    let own =
                        self.recipes.variant_of_part(&self.lesson.formula.value, variant.as_ref(), inner);
                    let batches = self.batches(inner);
                    list.fetches.push(Fetch {
                        part: inner.clone(),
                        batch: batches.iter().find(|b| b.variant == own).map(|b| b.no),
                        grams: *grams,
                    });
                    let Some(recipe) = recipe.filter(|_| batches.is_empty()) else { continue };
                    if each_makes_its_own(self.recipes, self.lesson, inner) {
                        self.add_by_each(inner, *grams, own.as_ref(), takers, making);
                    } else if let Some(made) = recipe.shares.for_least(inner, *grams) {
                        // One that is made with this part is made here, never in less than can be made.
                        let inside =
                            self.list(&made, variant.as_ref(), list.batch, list.weighed_by, made.surplus());
                        self.add(&made, inside, takers, making);
                    }
                }
            }
        }
        making.own.push(list);
    }

    /// A part inside that each taker makes for itself, though they then share a bowl: each in its own share, by whoever begins it.
    fn add_by_each(
        &self,
        inner: &PartId,
        grams: Grams,
        variant: Option<&VariantId>,
        takers: Takers,
        making: &mut Making,
    ) {
        let Some(recipe) = self.recipes.get(&self.lesson.formula.value, variant) else { return };
        let weights: Vec<_> = takers.iter().map(|(_, g)| g.to_decimal()).collect();
        for (taker, share) in takers.iter().zip(shared_exactly(grams, &weights)) {
            let Some(made) = recipe.shares.for_least(inner, share) else { continue };
            let by = self.begun(inner, &taker.0);
            let list = self.list(&made, variant, None, by, made.surplus());
            let mut own = Making::default();
            self.add(&made, list, std::slice::from_ref(taker), &mut own);
            making.by_each.extend(own.by_each);
            making.by_each.extend(own.own.into_iter().map(|list| (taker.0.clone(), list)));
        }
    }
}
