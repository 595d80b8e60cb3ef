//! A drafted formula as the text of a formula's file: each line with what it came from, and what to look at.

use super::text::clean;
use crate::reckon::draft::{Draft, DraftLine, DraftPart};
use crate::units::Grams;

/// The file's text; `from` says where the recipe comes from.
#[must_use]
pub fn text(draft: &Draft, from: &str) -> String {
    let mut out = format!("# Draft of a formula, from {}.\n", clean(from));
    out.push_str(
        "# A line that says \"look\" was read with a guess; what could not be read stands at the end.\n",
    );
    let name = draft.name.clone().unwrap_or_else(|| "Imported formula".to_owned());
    out.push_str(&format!("name = {}\n", quoted(&name)));
    let makes = draft.makes.unwrap_or(1);
    out.push_str("\n# look: how much goes into one piece; add what it is baked in: `tin = \"...\"` or `tray = \"...\"`.\n");
    out.push_str(&match draft.makes {
        Some(n) => format!("# The text makes {n}.\n"),
        None => "# The text does not say how many it makes: all of it is one piece.\n".to_owned(),
    });
    out.push_str("[piece]\n");
    for part in &draft.parts {
        out.push_str(&format!("{} = \"{} g\"\n", part.id, whole_grams(part.grams, makes)));
    }
    for part in &draft.parts {
        out.push_str(&part_text(part));
    }
    if !draft.left_out.is_empty() {
        out.push_str("\n# Not read, and not in the formula:\n");
        for (text, why) in &draft.left_out {
            out.push_str(&format!("#   {}  ({why})\n", clean(text)));
        }
    }
    if !draft.steps.is_empty() {
        out.push_str("\n# What the text says to do, for the lesson:\n");
        for step in &draft.steps {
            out.push_str(&format!("#   {}\n", clean(step)));
        }
    }
    out
}

fn part_text(part: &DraftPart) -> String {
    let mut out = format!("\n[parts.{}]\n", part.id);
    if part.by_flour {
        out.push_str("basis = \"flour\"\n");
    } else {
        out.push_str("basis = \"whole\"\n# look: where it waits, \"cold\" or \"room\".\nkeep = \"cold\"\n");
    }
    out.push_str(&format!("\n[parts.{}.of]\n", part.id));
    for line in &part.lines {
        out.push_str(&line_text(line));
    }
    out
}

fn line_text(line: &DraftLine) -> String {
    let from = clean(&line.texts.join(" and "));
    let mut out = format!("# {from}\n");
    for guess in &line.guessed {
        out.push_str(&format!("# look: {}.\n", clean(guess)));
    }
    out.push_str(&format!("{} = \"{} %\"\n", line.item, line.share));
    out
}

/// A piece's share in whole grams, at least one.
fn whole_grams(grams: Grams, pieces: u32) -> String {
    let one = grams.ratio(1, i64::from(pieces.max(1))).to_nearest(Grams::whole(1));
    one.at_least(Grams::whole(1)).to_decimal().normalize().to_string()
}

/// A text as a TOML string. JSON's escapes are a part of TOML's.
fn quoted(text: &str) -> String {
    serde_json::Value::from(clean(text)).to_string()
}
