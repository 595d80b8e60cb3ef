//! Fills the labels: what is baked here, and what goes home unbaked.

use super::common::{About, Fact, Measure, Phrase};
use super::label_sheet::{Geometry, Label, LabelPart, Labels};
use super::safety_sheets::Names;
use super::wording::{doubted, in_one, item_name};
use crate::course::{
    AllergenId, At, Course, ForEach, Formula, Ingredient, ItemId, Lesson, PartId, VariantId,
};
use crate::reckon::allergens::of_piece;
use crate::reckon::labels::{self, Listed};
use crate::reckon::list_words::{covers, named};
use crate::reckon::nutrition::Nutrition;
use crate::reckon::part_fates::Fates;
use crate::reckon::people::{LessonContents, contents};
use crate::reckon::plan::timetable::Plan;
use crate::reckon::recipes::{Recipe, Recipes};
use crate::reckon::safety::bread::{heated_at, made_at};
use crate::reckon::safety::dates::{DateMark, judge_dates};
use crate::reckon::safety::rule_sets::rule_set;
use crate::reckon::scale::variant_of;
use crate::reckon::work::{Class, Station, Whom};
use jiff::civil::Date;

impl Labels {
    /// A label for everyone's share of each lesson; where a lesson's pieces may go home unbaked, one for that too.
    #[must_use]
    pub fn of(
        about: About,
        course: &Course,
        class: &Class,
        (plan, dates): (&Plan, &[DateMark]),
        anonymous: bool,
    ) -> Labels {
        let names = Names { course };
        let (recipes, _) = Recipes::of(course);
        let room = contents(course, class, &recipes);
        let mut all = Vec::new();
        for lesson in &course.lessons {
            for station in &class.stations {
                let whom = Whom::Station(station.no);
                let variant = variant_of(class, lesson, &whom);
                let Some(recipe) = recipes.get(&lesson.formula.value, variant) else { continue };
                let made = of_station(course, plan, lesson, recipe, variant, &whom);
                for label in made {
                    let last = last_day(course, lesson, recipe, dates, label.made);
                    let label = label.not_beyond(last);
                    for whose in owners(&names, lesson.makes.for_each.value, station, anonymous) {
                        let count = match lesson.makes.for_each.value {
                            ForEach::Student | ForEach::Station => lesson.makes.pieces.value,
                            ForEach::Class => 1,
                        };
                        all.push(Label { count, ..printed(course, recipe, &room, &label, whose) });
                    }
                }
            }
        }
        Labels { about, geometry: geometry(course), labels: all, ..Labels::new() }
    }
}

/// The last day that the rule set allows for a piece with what needs the cold in it: counted from the day of the making of the oldest
/// of it, which may be before the bake.
fn last_day(
    course: &Course,
    lesson: &Lesson,
    recipe: &Recipe,
    dates: &[DateMark],
    baked: Option<Date>,
) -> Option<Date> {
    let set = rule_set(&course.settings.rule_set.as_ref()?.value)?;
    let cold = |part: &PartId| {
        recipe.formula.part(part).is_some_and(|p| p.needs_cold.as_ref().is_some_and(|n| n.value))
    };
    let marked = dates.iter().filter(|d| d.lesson == lesson.id.value && cold(&d.part)).map(|d| d.made);
    let oldest = marked.chain(baked).min()?;
    judge_dates(set, oldest, oldest).0
}

/// The labels of a station's pieces: baked, unbaked, or both.
fn of_station(
    course: &Course,
    plan: &Plan,
    lesson: &Lesson,
    recipe: &Recipe,
    variant: Option<&VariantId>,
    whom: &Whom,
) -> Vec<labels::Label> {
    let ends = |step: &crate::course::Step| -> Vec<jiff::ZonedDateTime> {
        let own = plan.tasks.iter().filter(|t| {
            t.lesson.as_ref() == Some(&lesson.id.value)
                && t.step == step.id.value
                && !t.cold_wait
                && t.members.iter().any(|(w, _)| w == whom)
        });
        own.map(|t| t.end.clone()).collect()
    };
    let (formula, pantry) = (&recipe.formula, &course.pantry);
    let mut all = Vec::new();
    // Where pieces go home unbaked, only what is heated here is told of as ready.
    let made = match &lesson.bake_at_home {
        None => made_at(lesson, formula, pantry),
        Some(_) => heated_at(lesson, formula, pantry),
    };
    let made = made.and_then(|step| ends(step).into_iter().max());
    if made.is_some() || lesson.bake_at_home.is_none() {
        let fates = Fates::of(lesson, formula);
        all.extend(labels::label(course, recipe, variant, &fates, made.map(|end| end.date())));
    }
    if let Some(home) = &lesson.bake_at_home {
        // By the first of several: none keeps longer than it says.
        let made = lesson.step(&home.up_to.value).and_then(|step| ends(step).into_iter().min());
        let keeps = jiff::SignedDuration::from_mins(home.keeps.value.get());
        let by = made.as_ref().and_then(|end| end.checked_add(keeps).ok()).map(|by| by.datetime());
        all.extend(labels::unbaked_label(course, recipe, variant, lesson, (made.map(|end| end.date()), by)));
    }
    all
}

/// Whose the pieces of a station are: each student's own, or all theirs together, by name.
fn owners(names: &Names<'_>, for_each: ForEach, station: &Station, anonymous: bool) -> Vec<String> {
    let of_seats = || {
        station.seats.iter().map(|seat| {
            seat.person.map_or_else(|| station.no.to_string(), |row| names.person(row, anonymous))
        })
    };
    match for_each {
        ForEach::Student => of_seats().collect(),
        ForEach::Station if station.seats.iter().all(|seat| seat.person.is_some()) => {
            vec![of_seats().collect::<Vec<_>>().join(", ")]
        }
        ForEach::Station | ForEach::Class => vec![station.no.to_string()],
    }
}

/// A label as it is printed, with what else was in the room.
pub fn printed(
    course: &Course,
    recipe: &Recipe,
    room: &[LessonContents],
    label: &labels::Label,
    whose: String,
) -> Label {
    let list = course.settings.allergen_list.value.as_str();
    let own = of_piece(&recipe.formula, &course.pantry);
    let (shared_kitchen, shared_unread) = labels::shared_kitchen(&own, room, list, &course.pantry);
    let (nutrition, nutrition_unknown) = label.nutrition.as_ref().map(nutrients).unwrap_or_default();
    Label {
        name: label.name.clone(),
        pieces: in_one(&recipe.formula.piece),
        made_with: made_with(course, recipe, label.variant.as_ref(), &shared_kitchen),
        variant: label.variant.as_ref().map(|v| v.as_str().to_owned()),
        doubted: doubted(course, &recipe.formula.id.value, label.variant.as_ref(), &own),
        whose,
        ingredients: ingredients(&label.ingredients),
        contains: label.contains.clone(),
        may_contain: label.may_contain.clone(),
        unknown: label.unknown.clone(),
        made: label.made.map(Into::into),
        eat_by: label.eat_by.map(Into::into),
        bake_by: label.eat_by.zip(label.bake_by).map(|(day, time)| day.to_datetime(time).into()),
        keep: label.keep.clone().unwrap_or_default(),
        count: 1,
        net: label.net.map(|net| {
            Measure::new(
                net.to_nearest(crate::units::Grams::whole(1)).to_decimal().normalize().to_string(),
                "g",
            )
        }),
        unbaked: label.unbaked,
        order_known: label.order_known,
        cold: match (label.unbaked, label.perishable, label.cold_unknown) {
            // The words for what is not baked say it.
            (true, ..) | (_, false, false) => "",
            (_, true, _) => "keep-cold",
            (_, _, true) => "cold-unknown",
        },
        shared_kitchen,
        shared_unread,
        nutrition,
        nutrition_unknown,
    }
}

/// What a variant is made with, or without, in place of its name: who handles a thing beside it does not call it free of that.
fn made_with(
    course: &Course,
    recipe: &Recipe,
    variant: Option<&VariantId>,
    shared_kitchen: &[String],
) -> Option<Phrase> {
    let base = course.formula(&recipe.formula.id.value)?;
    let variant = base.variant(variant?)?;
    let list = course.settings.allergen_list.value.as_str();
    let said = |a: &At<AllergenId>| {
        let name = named(list, &a.value);
        shared_kitchen.iter().any(|there| *there == name || covers(&name, there) || covers(there, &name))
    };
    if !variant.free_from.iter().any(said) {
        return None;
    }
    let items = |formula: &Formula| -> Vec<ItemId> {
        let lines = formula.parts.iter().flat_map(|p| &p.of);
        lines
            .filter_map(
                |l| if let Ingredient::Item(item) = &l.what.value { Some(item.clone()) } else { None },
            )
            .collect()
    };
    let (was, is) = (items(base), items(&recipe.formula));
    let beyond = |some: &[ItemId], others: &[ItemId]| {
        let mut own: Vec<String> = Vec::new();
        for item in some.iter().filter(|i| !others.contains(i)) {
            let name = item_name(course, item);
            if !own.contains(&name) {
                own.push(name);
            }
        }
        own.join(", ")
    };
    match (beyond(&is, &was), beyond(&was, &is)) {
        (new, old) if !new.is_empty() && !old.is_empty() => {
            Some(Phrase::new("label.with", [("new", new), ("old", old)]))
        }
        (_, old) if !old.is_empty() => Some(Phrase::new("label.without", [("old", old)])),
        // The same in other amounts: no claim is better than one that does not hold.
        _ => Some(Phrase::new("label.otherwise", [])),
    }
}

/// Energy and nutrients in 100 g: what is known, and the keys of what is not. Without any figure nothing is said.
fn nutrients(found: &Nutrition) -> (Vec<Fact>, Vec<String>) {
    let whole = |d: rust_decimal::Decimal| d.round().normalize().to_string();
    let tenths = |g: crate::units::Grams| {
        g.to_nearest(crate::units::Grams::from_mg(100)).to_decimal().normalize().to_string()
    };
    let energy = found
        .energy
        .map(|(kj, kcal)| vec![Measure::new(whole(kj.0), "kJ"), Measure::new(whole(kcal.0), "kcal")]);
    let grams = |g: Option<crate::units::Grams>| g.map(|g| vec![Measure::new(tenths(g), "g")]);
    let all = [
        ("energy", energy),
        ("fat", grams(found.fat)),
        ("saturates", grams(found.saturates)),
        ("carbohydrate", grams(found.carbohydrate)),
        ("sugars", grams(found.sugars)),
        ("fibre", grams(found.fibre)),
        ("protein", grams(found.protein)),
        ("salt", grams(found.salt)),
    ];
    let known: Vec<Fact> = all
        .iter()
        .filter_map(|(word, v)| Some(Fact { word: (*word).to_owned(), values: v.clone()? }))
        .collect();
    let unknown = all.iter().filter(|(_, v)| v.is_none()).map(|(word, _)| (*word).to_owned()).collect();
    if known.is_empty() { (Vec::new(), Vec::new()) } else { (known, unknown) }
}

/// The list as stretches of text, a comma between two ingredients and a stop at the end.
fn ingredients(listed: &[Listed]) -> Vec<LabelPart> {
    let plain = |text: &str| LabelPart { text: text.to_owned(), strong: false };
    let mut parts = Vec::new();
    for (n, one) in listed.iter().enumerate() {
        if n > 0 {
            parts.push(plain(", "));
        }
        parts.extend(one.runs.iter().map(|r| LabelPart { text: r.text.clone(), strong: r.strong }));
        if let Some(percent) = one.percent {
            let shown = percent.number();
            // Above all of it is said in grams for 100 g of what is finished.
            parts.push(plain(&if shown > rust_decimal::Decimal::ONE_HUNDRED {
                format!(" {} g per 100 g", shown.normalize())
            } else {
                format!(" {} %", shown.normalize())
            }));
        }
    }
    parts.push(plain("."));
    parts
}

/// The course's own sheet, or two across and five down.
fn geometry(course: &Course) -> Geometry {
    let mm = |c: crate::units::Centimetres| c.to_f64() * 10.0;
    match &course.settings.labels {
        Some(sheet) => Geometry {
            across: sheet.columns,
            down: sheet.rows,
            width: mm(sheet.size.width),
            height: mm(sheet.size.depth),
            left: sheet.margin.map(|m| mm(m.width)),
            top: sheet.margin.map(|m| mm(m.depth)),
            gap_across: sheet.gap.map_or(0.0, |g| mm(g.width)),
            gap_down: sheet.gap.map_or(0.0, |g| mm(g.depth)),
        },
        None => Geometry { across: 2, down: 5, width: 99.0, height: 57.0, ..Geometry::default() },
    }
}
