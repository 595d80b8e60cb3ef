//! The dough temperature of each mix as a table.

use super::table::{Column, Table, digits};
use super::weigh_tables::name_of;
use crate::course::{Course, ItemId};
use crate::reckon::dough_temperature::Advice;
use crate::reckon::dough_temperature::batches::MixedBatch;
use crate::units::{Celsius, Grams};

/// For each mix: how warm the dough should leave the bowl, and what to do for it. `None`: no lesson states an `aim`.
#[must_use]
pub fn table(course: &Course, mixed: &[MixedBatch]) -> Option<Table> {
    let title = [
        "Dough temperature, mix by mix (flour at the room's temperature; measure, and change the friction in the kitchen file"
            .to_owned(),
    ];
    let water = mixed.iter().find(|m| m.temperature.liquids.iter().any(|l| l.water));
    let tap = water.map(|m| match (celsius(m.temperature.tap), m.temperature.tap_known) {
        (tap, true) => format!("tap water at {tap}"),
        (tap, false) => format!("tap water taken as {tap}: kitchen.toml `tap-water`"),
    });
    let title: Vec<String> = title.into_iter().chain(tap).collect();
    let mut table = Table::new(
        format!("{})", title.join("; ")),
        vec![
            Column::text("dough"),
            Column::text("in"),
            Column::text("aim"),
            Column::text("friction"),
            Column::text("for it"),
        ],
    );
    for one in mixed {
        let sum = &one.temperature.conditions;
        let variant = one.batch.variant.as_ref().map_or_else(String::new, |v| format!(" {v}"));
        let mixer = one.mixer.as_ref().map_or_else(|| "by hand".to_owned(), ToString::to_string);
        let usual = if one.temperature.friction_known { "" } else { ", as is usual" };
        let bowl = if sum.bowl.thousandths() > 0 {
            format!(", {} for the warm bowl", kelvins(sum.bowl.thousandths()))
        } else {
            String::new()
        };
        table.row(vec![
            format!("{}, {} batch {}{variant}", one.batch.lesson, one.batch.part, one.batch.no).into(),
            mixer.into(),
            celsius(sum.wanted).into(),
            format!(
                "{} in a sum of {}: {} in the dough{usual}{bowl}",
                kelvins(sum.friction.thousandths()),
                sum.terms(),
                kelvins(sum.friction.ratio(1, sum.terms()).thousandths())
            )
            .into(),
            advice(course, one).into(),
        ]);
    }
    (!table.body.is_empty()).then_some(table)
}

fn kelvins(thousandths: i64) -> String {
    format!("{} K", rust_decimal::Decimal::new(thousandths, 3).round_dp(1).normalize())
}

fn celsius(at: Celsius) -> String {
    format!("{} °C", at.to_decimal().round_dp(0).normalize())
}

fn names(course: &Course, items: &[ItemId]) -> String {
    items.iter().map(|i| name_of(course, i)).collect::<Vec<_>>().join(", ")
}

/// What to do, as one sentence.
#[must_use]
pub fn advice(course: &Course, one: &MixedBatch) -> String {
    let liquid = names(course, &one.chosen);
    let kept = if one.as_kept.is_empty() {
        String::new()
    } else {
        format!(", {} as kept", names(course, &one.as_kept))
    };
    let longer = one.rises_longer.map_or_else(
        || ": measure it".to_owned(),
        |more| format!(": measure it; as cold as that it rises about {more} % longer"),
    );
    let all_kept = [&one.chosen[..], &one.as_kept[..]].concat();
    match one.temperature.advice {
        Advice::LiquidAt(at) => format!("{liquid} at {}{kept}", celsius(at)),
        Advice::Ice { ice, water } => {
            let step = Grams::whole(1);
            format!(
                "{} g ice and {} g tap water",
                digits(ice.to_nearest(step)),
                digits(water.to_nearest(step)),
            )
        }
        Advice::ChillFlour(at) => {
            format!(
                "no ice goes in: {} from the fridge, and the flour chilled to {}",
                names(course, &all_kept),
                celsius(at)
            )
        }
        Advice::TooWarm(at) => {
            format!("all liquid and the flour from the fridge; even so the dough leaves at {}", celsius(at))
        }
        Advice::TooCold { liquid: most, dough } => {
            format!(
                "{liquid} at {}, no warmer; even so the dough leaves at about {}{longer}",
                celsius(most),
                celsius(dough)
            )
        }
        Advice::AsKept(dough) => format!(
            "{} as kept, nothing is warmed; the dough leaves at about {}{longer}",
            names(course, &one.as_kept),
            celsius(dough)
        ),
        Advice::NoLiquid => {
            "there is no liquid to warm or cool (a plant drink or a juice is one with `kind = \"drink\"`)"
                .to_owned()
        }
    }
}
