//! Formulas seen three ways, as tables: overall formula, parts by their own basis, final dough. And the dough's figures, nominal
//! and true.

use super::table::{Cell, Column, Table, digits};
use super::weigh_tables::name_of;
use super::yield_tables;
use crate::course::{Basis, Course, DoughClass, Formula, HydrationCount, Ingredient};
use crate::reckon::composition::{Figure, figures};
use crate::reckon::dough_class::classify;
use crate::reckon::formula::{Views, piece_needs};
use crate::reckon::recipes::Recipes;
use crate::units::{Grams, Percent};

/// The tables of every formula of the course, for one piece.
#[must_use]
pub fn tables(course: &Course, recipes: &Recipes) -> Vec<Table> {
    let mut all = Vec::new();
    for formula in &course.formulas {
        let Some(recipe) = recipes.get(&formula.id.value, None) else { continue };
        for (part, used) in piece_needs(formula, 1) {
            let Some(views) = recipe.shares.views(&part, used) else { continue };
            all.push(overall(course, formula, &views));
            // A part without parts inside is its own final dough: the two tables would say the same.
            if views.parts.len() > 1 {
                all.push(parts(course, formula, &views));
                all.push(last_bowl(course, formula, &views));
            }
            all.extend(views.overall.by_flour.then(|| known(course, formula, &views)));
        }
        all.push(yield_tables::table(course, formula, recipe));
    }
    all
}

fn percent(p: Percent) -> String {
    format!("{} %", p.number().round_dp(2).normalize())
}

fn overall(course: &Course, formula: &Formula, views: &Views) -> Table {
    let all = &views.overall;
    let of = if all.by_flour { "100 % is all the flour" } else { "100 % is the whole part" };
    let inside = all
        .flour_inside
        .iter()
        .filter(|(_, p)| *p > Percent::ZERO)
        .map(|(part, p)| format!("{} of the flour in the {part}", percent(*p)));
    let title =
        std::iter::once(format!("{}, {}: overall formula, {of}", formula.name, all.part)).chain(inside);
    let mut table = Table::new(
        title.collect::<Vec<_>>().join("; "),
        vec![
            Column::text("ingredient"),
            Column::text("share"),
            Column::grams("one piece"),
            Column::text("of it in"),
        ],
    );
    for (line, grams) in all.lines.iter().zip(&views.overall_grams) {
        let several = line.from.len() > 1 || line.from.iter().any(|(p, _)| *p != all.part);
        let from: Vec<String> = line.from.iter().map(|(part, p)| format!("{part} {}", percent(*p))).collect();
        table.row(vec![
            name_of(course, &line.item).into(),
            percent(line.percent).into(),
            (*grams).into(),
            if several { from.join(", ").into() } else { Cell::Blank },
        ]);
    }
    let sum: Grams = views.overall_grams.iter().sum();
    table.total = Some(vec!["together".into(), percent(all.total).into(), sum.into(), Cell::Blank]);
    table
}

fn parts(course: &Course, formula: &Formula, views: &Views) -> Table {
    let mut table = Table::new(
        format!("{}, {}: its parts, each by its own basis", formula.name, views.overall.part),
        vec![Column::text("part"), Column::text("what"), Column::text("share")],
    );
    for part in &views.parts {
        for (what, share) in &part.lines {
            let name = match what {
                Ingredient::Item(id) => name_of(course, id),
                Ingredient::Part(id) => format!("{id}, as used"),
            };
            let share = match part.basis {
                Basis::Flour | Basis::Whole => percent(*share),
                Basis::Piece => format!("{} g a piece", share.number().normalize()),
            };
            table.row(vec![part.part.to_string().into(), name.into(), share.into()]);
        }
        let total = match part.basis {
            Basis::Flour | Basis::Whole => percent(part.total),
            Basis::Piece => format!("{} g a piece", part.total.number().normalize()),
        };
        table.row(vec![part.part.to_string().into(), "together".into(), total.into()]);
    }
    table
}

/// What goes into the last bowl; it agrees with the overall formula to the milligram.
fn last_bowl(course: &Course, formula: &Formula, views: &Views) -> Table {
    let dough = &views.final_dough;
    let store: Grams = views.overall_grams.iter().sum();
    let mut table = Table::new(
        format!(
            "{}, {}: final dough, {} g of it to one piece; {} g stay on hook, bowl and bench, and {} g of the overall \
             formula were lost before in the parts inside",
            formula.name,
            dough.part,
            digits(dough.used),
            digits(dough.lost()),
            digits(store - dough.weighed),
        ),
        vec![Column::text("into the bowl"), Column::grams("one piece")],
    );
    for (what, grams) in &dough.lines {
        let name = match what {
            Ingredient::Item(id) => name_of(course, id),
            Ingredient::Part(id) => {
                let inner = dough.inner.iter().find(|i| i.part == *id);
                inner.map_or_else(
                    || id.to_string(),
                    |i| format!("{id}, of {} g weighed for it", digits(i.weighed)),
                )
            }
        };
        table.row(vec![name.into(), (*grams).into()]);
    }
    table.total = Some(vec!["together".into(), dough.weighed.into()]);
    table
}

/// Nominal figures beside the true ones.
fn known(course: &Course, formula: &Formula, views: &Views) -> Table {
    let f = figures(&views.overall, &course.pantry);
    let class = classify(&f);
    let word = match class.class {
        DoughClass::Lean => "a lean",
        DoughClass::Enriched => "an enriched",
        DoughClass::Rich => "a rich",
    };
    let certain = if class.certain { "" } else { ", taken as the richest that it can be" };
    let mut table = Table::new(
        format!("{}, {}: {word} dough{certain} ({})", formula.name, views.overall.part, class.row),
        vec![Column::text("of the flour"), Column::text("by ingredient"), Column::text("really")],
    );
    let chosen = course.settings.conventions.hydration.value;
    let mark = |count: HydrationCount| if chosen == count { ", as this course counts" } else { "" };
    let h = &f.hydration;
    let mut row = |what: String, nominal: Option<Percent>, really: String| {
        table.row(vec![what.into(), nominal.map_or(Cell::Blank, |p| percent(p).into()), really.into()]);
    };
    row(format!("water alone{}", mark(HydrationCount::WaterOnly)), Some(h.water_only), String::new());
    row(format!("water, milk, egg{}", mark(HydrationCount::Liquids)), Some(h.liquids), String::new());
    row(format!("all water{}", mark(HydrationCount::AllWater)), None, figure(&h.water_content));
    row("fat".to_owned(), Some(f.nominal.fat), figure(&f.fat));
    row("sugar".to_owned(), Some(f.nominal.sugar), figure(&f.sugar));
    row("salt".to_owned(), Some(f.nominal.salt), figure(&f.salt));
    row("egg".to_owned(), Some(f.nominal.egg), format!("{} dry", figure(&f.egg_solids)));
    row("milk".to_owned(), Some(f.nominal.milk), format!("{} dry", figure(&f.milk_solids)));
    table
}

fn figure(f: &Figure) -> String {
    // What an ingredient of unknown make-up may hold at most is all of it: that says nothing, and reads like a figure.
    f.known().map_or_else(|| format!("at least {}", percent(f.at_least)), percent)
}
