//! The home batches as tables: grams and measures that agree, and their own clock.

use super::table::{Cell, Column, Table, digits};
use super::weigh_tables::name_of;
use crate::course::{Course, Ingredient, Lesson};
use crate::reckon::home::{HomeBatch, HomeLine, HomeStep};
use crate::reckon::measures::ByWeightOnly;
use crate::reckon::yeast::{YeastKind, instead_of, water_beside};
use crate::units::{Grams, Percent};

/// For each home batch a table of what goes in and one of its steps.
#[must_use]
pub fn tables(course: &Course, batches: &[HomeBatch]) -> Vec<Table> {
    let mut all = Vec::new();
    for batch in batches {
        all.push(amounts(course, batch));
        let lesson = batch.lesson.as_ref().and_then(|l| course.lesson(l));
        all.extend(lesson.map(|l| steps(batch, l)));
    }
    all
}

/// What a batch is called: `Walnut crown, nut-free`.
#[must_use]
pub fn title(batch: &HomeBatch) -> String {
    let variant = batch.variant.as_ref().map_or_else(String::new, |v| format!(", {v}"));
    format!("{}{variant}", batch.formula.name)
}

fn amounts(course: &Course, batch: &HomeBatch) -> Table {
    let makes = if batch.pieces == 1 { "one piece".to_owned() } else { format!("{} pieces", batch.pieces) };
    let bowls = match (batch.too_little_for_the_hook, batch.bowls) {
        (true, _) => ", too little for a hook: by hand".to_owned(),
        (false, 1) => String::new(),
        (false, n) => format!(", the dough in {n} bowls"),
    };
    let columns = vec![
        Column::text("at home"),
        Column::grams("weigh"),
        Column::text("or measure"),
        Column::text("off by"),
    ];
    let mut table = Table::new(format!("{} at home: {makes}{bowls}", title(batch)), columns);
    for part in &batch.parts {
        table.row(vec![format!("{}:", part.part).into(), Cell::Blank, Cell::Blank, Cell::Blank]);
        for line in &part.lines {
            let name = match &line.what {
                Ingredient::Item(id) => name_of(course, id),
                Ingredient::Part(id) => format!("{id} (made before)"),
            };
            let (measure, off) = measured(line);
            table.row(vec![format!("  {name}").into(), line.grams.into(), measure.into(), off.into()]);
        }
        table.row(vec!["  together".into(), part.weighed.into(), Cell::Blank, Cell::Blank]);
    }
    if let Some(eggs) = &batch.eggs {
        let whole = |g: Grams| digits(g.to_nearest(Grams::whole(1)));
        let left = [(eggs.left_whole, "beaten egg"), (eggs.left_white, "white"), (eggs.left_yolk, "yolk")];
        let left: Vec<String> = left
            .iter()
            .filter(|(g, _)| *g >= Grams::from_mg(500))
            .map(|(g, what)| format!("{} g of {what}", whole(*g)))
            .collect();
        let mut words = format!("crack {}", eggs.eggs());
        if !left.is_empty() {
            words.push_str(&format!("; left over {}", left.join(", ")));
            if eggs.for_the_wash() >= Grams::from_mg(500) {
                words.push_str(&format!(": {} g can go into a wash", whole(eggs.for_the_wash())));
            }
        }
        table.row(vec!["eggs in all:".into(), Cell::Blank, words.into(), Cell::Blank]);
    }
    if let Some((kind, grams)) = batch.yeast {
        let by = course.settings.conventions.yeast.value;
        let tenths = |g: Grams| g.to_decimal().round_dp(1).normalize();
        let others: Vec<String> = instead_of(grams, kind, by)
            .into_iter()
            .map(|(other, g)| {
                // Fresh yeast is mostly water: what replaces it leaves the dough that much drier.
                let water = (kind == YeastKind::Fresh)
                    .then(|| format!(" and {} g more water", tenths(water_beside(grams, other, by))));
                format!("{} g {}{}", tenths(g), yeast(other), water.unwrap_or_default())
            })
            .collect();
        let words = format!("or {} ({})", others.join(" or "), by.row());
        table.row(vec!["other yeast:".into(), Cell::Blank, words.into(), Cell::Blank]);
    }
    table
}

fn yeast(kind: YeastKind) -> &'static str {
    match kind {
        YeastKind::Fresh => "fresh",
        YeastKind::ActiveDry => "active dry",
        YeastKind::Instant => "instant",
    }
}

/// The measure beside a weight, and how far it is from it. Cups and spoons first, then sticks and whole ones.
fn measured(line: &HomeLine) -> (String, String) {
    let mut words = Vec::new();
    let mut off = Vec::new();
    match &line.volume {
        Some(Ok(volume)) => {
            words.push(volume.to_string());
            off.push(signed(volume.error));
        }
        Some(Err(ByWeightOnly::TooCoarse)) => words.push("weigh it: spoons are too coarse".to_owned()),
        Some(Err(ByWeightOnly::NoDensity)) => words.push("weigh it: what a cup weighs is unknown".to_owned()),
        Some(Err(ByWeightOnly::Nothing)) | None => {}
    }
    if let Some(packets) = &line.packets {
        words.push(format!("{} {}", packets.count, packets.name));
        off.push(signed(packets.error));
    }
    if let Some((count, error)) = &line.pieces {
        words.push(format!("about {count} whole"));
        off.push(signed(*error));
    }
    (words.join("; "), off.join("; "))
}

fn signed(error: Percent) -> String {
    let n = error.number().round_dp(1);
    if n.is_zero() { "0 %".to_owned() } else { format!("{n:+} %") }
}

fn steps(batch: &HomeBatch, lesson: &Lesson) -> Table {
    let columns = vec![
        Column::text("step"),
        Column::span("starts after"),
        Column::span("lasts"),
        Column::span("at most"),
        Column::text("know"),
    ];
    let title = format!(
        "{} at home, by its own clock: {} of work, {} in all",
        title(batch),
        batch.hands_on,
        batch.in_all
    );
    let mut table = Table::new(title, columns);
    let mut steps: Vec<&HomeStep> = batch.steps.iter().collect();
    steps.sort_by_key(|s| (s.from, s.to));
    for step in steps {
        let written = lesson.step(&step.step).and_then(|s| s.name.as_ref());
        let name = written.map_or_else(|| step.step.to_string(), |n| n.value.clone());
        let mut know = Vec::new();
        know.extend(step.stands_in().map(|place| match place {
            "cold" => "in the fridge".to_owned(),
            "freezer" => "in the freezer".to_owned(),
            _ => "in a warm place".to_owned(),
        }));
        if let Some((still, fan)) = step.heat {
            let (still, fan) = (still.to_decimal().normalize(), fan.to_decimal().normalize());
            know.push(format!("{still} C, {fan} C with a fan"));
        }
        know.extend(step.by_hand.map(|t| format!("by hand {} to {}", t.least, t.most)));
        if let Some(n) = step.at_once.filter(|_| step.rounds > 1) {
            know.push(format!("{n} at once on a rack of 45 x 36 cm, the next wait in the cold"));
        }
        if step.rounds > 1 {
            know.push(format!("in {} rounds of {} each", step.rounds, step.each()));
        }
        if step.estimate {
            know.push("an estimate: look at the dough".to_owned());
        }
        table.row(vec![
            name.into(),
            step.from.into(),
            (step.to - step.from).into(),
            step.most.map_or(Cell::Blank, Cell::from),
            know.join("; ").into(),
        ]);
    }
    table
}
