//! What a formula yields, as a table: the piece before and after the oven, sheet, roll, strands, tin.

use super::table::{Cell, Column, Table, digits};
use crate::course::{Course, Formula};
use crate::finding::Level;
use crate::reckon::recipes::Recipe;
use crate::reckon::yields::{Baked, FLOUR, STRAND, SheetYield, StrandYield, Yield, of};
use crate::units::{Centimetres, Grams, Percent};

/// The table of one formula.
#[must_use]
pub fn table(course: &Course, formula: &Formula, recipe: &Recipe) -> Table {
    let made = of(course, recipe);
    let mut table = Table::new(
        format!("{}: what it yields", formula.name),
        vec![Column::text("what"), Column::text("is"), Column::text("by")],
    );
    let takes: Vec<String> = made.takes.iter().map(|(part, g)| format!("{part} {}", grams(*g))).collect();
    let mut row =
        |what: &str, is: String, by: String| table.row(vec![what.into(), is.into(), Cell::from(by)]);
    row("one piece, all in it", grams(made.piece), takes.join(", "));
    match made.baked {
        Baked::Written(loss, out) => {
            row("out of the oven", grams(out), format!("{} lost, `bake-loss` of the formula", percent(loss)));
        }
        Baked::ByLine(out) => row(
            "out of the oven",
            format!("about {}", grams(out.to_nearest(Grams::whole(5)))),
            "an estimate for wheat bread (loss-bake-regression): weigh one and write `bake-loss`".to_owned(),
        ),
        Baked::Unknown => {
            row("out of the oven", "unknown".to_owned(), "weigh one and write `bake-loss`".to_owned());
        }
    }
    if let (true, Baked::Written(_, out) | Baked::ByLine(out)) = (made.added > Grams::ZERO, made.baked) {
        let by = format!("{} come to it after the bake and lose nothing", grams(made.added));
        row("the finished piece", grams(out + made.added), by);
    }
    if let Some((both, weighed)) = made.in_all {
        row(
            "1000 g of bread",
            format!("{} weighed", grams(weighed)),
            format!("{} lost in all", percent(both)),
        );
    }
    if let Some((part, count)) = &made.from_flour {
        row(
            &format!("{} of flour", grams(FLOUR)),
            format!("{} pieces", count.pieces),
            format!("{} of {part} over", grams(count.left)),
        );
    }
    made.sheet.iter().for_each(|s| sheet(s, &mut row));
    made.strands.iter().for_each(|s| strands(s, &mut row));
    tin(&made, &mut row);
    table
}

fn sheet(sheet: &SheetYield, row: &mut impl FnMut(&str, String, String)) {
    let (across, deep) = (cm(sheet.size.width), cm(sheet.size.depth));
    let filled = (sheet.filled > sheet.dough).then(|| format!(", with the filling {}", mm(sheet.filled)));
    row(
        "sheet",
        format!("{across} x {deep} cm"),
        format!("{} of dough{}", mm(sheet.dough), filled.unwrap_or_default()),
    );
    let others: Vec<String> = sheet
        .others
        .iter()
        .map(|(thick, deep)| format!("{across} x {} cm at {}", cm(whole(*deep)), mm(*thick)))
        .collect();
    row("or rolled out to", others.join(", "), "dough of 1.197 g/ml (dens-mixed)".to_owned());
    if let Some(roll) = &sheet.roll {
        let turns = format!("{:.1} turns", roll.turns);
        row(
            "rolled up",
            turns,
            format!("{} cm across, before the proof (spiral-exact)", tenth(roll.diameter)),
        );
    }
    if let Some((count, width)) = sheet.slices {
        row("slices", count.to_string(), format!("{} cm each", tenth(width)));
    }
}

fn strands(strands: &StrandYield, row: &mut impl FnMut(&str, String, String)) {
    let each = format!("{} of {}", strands.count, grams(strands.mass));
    let by = strands.written.map(|(long, thick)| format!("{} cm long, {} cm thick", cm(long), tenth(thick)));
    row("strands", each, by.unwrap_or_default());
    row(
        "or rolled out to",
        format!("{} cm long", cm(whole(strands.length))),
        format!("{} cm thick; dough of 1.197 g/ml (dens-mixed)", cm(STRAND)),
    );
}

fn tin(made: &Yield, row: &mut impl FnMut(&str, String, String)) {
    let Some((id, fill)) = &made.tin else { return };
    let ml = fill.volume.to_decimal().round_dp(0).normalize();
    let how = if fill.measured { "measured" } else { "straight walls" };
    let word = if fill.against.level == Level::Warning { "print" } else { "trade practice" };
    row(
        "tin",
        format!("{id}, {ml} ml ({how})"),
        format!(
            "{:.2} ml to the gram; {word} goes from {} to {}; {} would suit it",
            fill.ratio.to_f64(),
            fill.against.least.to_decimal().normalize(),
            fill.against.most.to_decimal().normalize(),
            grams(fill.suits)
        ),
    );
}

/// As a class scale shows it; of little, the tenths too.
fn grams(g: Grams) -> String {
    let step = if g < Grams::whole(20) { Grams::from_mg(100) } else { Grams::whole(1) };
    format!("{} g", digits(g.to_nearest(step)))
}
fn percent(p: Percent) -> String {
    format!("{} %", p.number().round_dp(1).normalize())
}
fn cm(x: Centimetres) -> String {
    x.to_decimal().normalize().to_string()
}
fn whole(x: Centimetres) -> Centimetres {
    x.to_nearest(Centimetres::whole(1))
}
fn tenth(x: Centimetres) -> String {
    x.to_decimal().round_dp(1).normalize().to_string()
}
/// Millimetres, to a tenth.
fn mm(x: Centimetres) -> String {
    format!("{} mm", (x.times(10)).to_decimal().round_dp(1).normalize())
}
