//! A formula in baker's percentages from a recipe as written elsewhere: what each line weighs, and what had to be guessed for it.

use super::eggs::{UsSize, one_egg};
use super::measures::{Vessel, density, millilitres, whose};
use super::measures_table::{TABLE, row_for};
use crate::course::written_recipe::{WrittenAmount, WrittenLine, WrittenRecipe, WrittenUnit};
use crate::course::{Item, ItemKind, Measures, Pantry};
use crate::units::Grams;
use rust_decimal::Decimal;

/// A US stick of butter: a quarter of a pound (row `bu-us-stick`).
const STICK: Grams = Grams::from_mg(113_398);

/// A formula to look through.
#[derive(Clone, PartialEq, Debug)]
pub struct Draft {
    /// What it is called.
    pub name: Option<String>,
    /// How many pieces it makes.
    pub makes: Option<u32>,
    /// Its parts in order.
    pub parts: Vec<DraftPart>,
    /// Lines of which nothing is in the formula, and why.
    pub left_out: Vec<(String, String)>,
    /// What to do, as written.
    pub steps: Vec<String>,
}

/// One part.
#[derive(Clone, PartialEq, Debug)]
pub struct DraftPart {
    /// Its id.
    pub id: String,
    /// Its percentages are of the flour in it, not of the whole.
    pub by_flour: bool,
    /// Its lines in order.
    pub lines: Vec<DraftLine>,
    /// All of it.
    pub grams: Grams,
}

/// One ingredient.
#[derive(Clone, PartialEq, Debug)]
pub struct DraftLine {
    /// Its id.
    pub item: String,
    /// The share of the part's basis, in per cent, to two places.
    pub share: Decimal,
    /// What it weighs.
    pub grams: Grams,
    /// The lines that it comes from, as written.
    pub texts: Vec<String>,
    /// What had to be guessed: to be looked at.
    pub guessed: Vec<String>,
}

/// Words that make no other thing of an ingredient.
const PLAIN: [&str; 19] = [
    "large",
    "medium",
    "small",
    "fresh",
    "warm",
    "cold",
    "lukewarm",
    "soft",
    "softened",
    "melted",
    "fine",
    "cubed",
    "diced",
    "chopped",
    "beaten",
    "sifted",
    "tepid",
    "room",
    "temperature",
];

/// Words that make another thing of what they stand with, unless it is called so itself: oat milk is no milk, cream cheese no cream.
const OTHER: [&str; 20] = [
    "oat",
    "soy",
    "soya",
    "almond",
    "coconut",
    "rice",
    "hazelnut",
    "cashew",
    "pea",
    "hemp",
    "peanut",
    "nut",
    "cocoa",
    "plant",
    "vegan",
    "powder",
    "powdered",
    "condensed",
    "cheese",
    "tartar",
];

/// Which part of an egg a name means, where it means one.
fn egg_part(name: &str) -> Option<ItemKind> {
    let has = words(name);
    let says = |word: &str| has.iter().any(|w| w == word);
    match (says("yolk"), says("white") && (says("egg") || has.len() == 1)) {
        (true, _) => Some(ItemKind::Yolk),
        (_, true) => Some(ItemKind::White),
        _ => None,
    }
}

/// What one line weighs.
struct Weighed {
    item: String,
    flour: bool,
    grams: Grams,
    guessed: Vec<String>,
}

/// Makes a draft. Ids are those of the pantry, where it has the ingredient; cups and spoons are taken from `set`.
#[must_use]
pub fn draft(recipe: &WrittenRecipe, pantry: Option<&Pantry>, set: Measures) -> Draft {
    let mut left_out = Vec::new();
    let mut parts: Vec<DraftPart> = Vec::new();
    for section in &recipe.sections {
        let mut lines: Vec<(DraftLine, bool)> = Vec::new();
        for line in &section.lines {
            match weigh(line, pantry, set) {
                Ok(weighed) => add(&mut lines, weighed, &line.text),
                Err(why) => left_out.push((line.text.clone(), why)),
            }
        }
        if let Some(part) = part(section.name.as_deref(), lines, &parts) {
            parts.push(part);
        }
    }
    Draft { name: recipe.name.clone(), makes: recipe.makes, parts, left_out, steps: recipe.steps.clone() }
}

/// The same ingredient twice in one part is one line of it.
fn add(lines: &mut Vec<(DraftLine, bool)>, weighed: Weighed, text: &str) {
    if let Some((line, _)) = lines.iter_mut().find(|(line, _)| line.item == weighed.item) {
        line.grams += weighed.grams;
        line.texts.push(text.to_owned());
        line.guessed.extend(weighed.guessed);
        return;
    }
    let line = DraftLine {
        item: weighed.item,
        share: Decimal::ZERO,
        grams: weighed.grams,
        texts: vec![text.to_owned()],
        guessed: weighed.guessed,
    };
    lines.push((line, weighed.flour));
}

fn part(name: Option<&str>, mut lines: Vec<(DraftLine, bool)>, before: &[DraftPart]) -> Option<DraftPart> {
    if lines.is_empty() {
        return None;
    }
    let grams: Grams = lines.iter().map(|(line, _)| line.grams).sum();
    let flour: Grams = lines.iter().filter(|(_, flour)| *flour).map(|(line, _)| line.grams).sum();
    // A spoon of flour in a filling does not make a dough of it.
    let by_flour = flour.times(5) >= grams && flour > Grams::ZERO;
    let basis = if by_flour { flour } else { grams };
    for (line, _) in &mut lines {
        let share = Decimal::from(line.grams.mg()).checked_mul(Decimal::ONE_HUNDRED)?;
        line.share = share.checked_div(Decimal::from(basis.mg()))?.round_dp(2).normalize();
    }
    // Rounding must not keep what makes up the basis from being 100 %: the largest line takes the rest.
    let counts = |flour: bool| flour || !by_flour;
    let sum: Decimal = lines.iter().filter(|(_, f)| counts(*f)).map(|(line, _)| line.share).sum();
    if let Some((line, _)) = lines.iter_mut().filter(|(_, f)| counts(*f)).max_by_key(|(line, _)| line.grams) {
        line.share = (line.share + Decimal::ONE_HUNDRED - sum).normalize();
    }
    let first = if by_flour { "dough" } else { "mix" };
    let id = name.map(id_of).filter(|id| !id.is_empty()).unwrap_or_else(|| first.to_owned());
    let taken = |id: &String| before.iter().any(|part| part.id == *id);
    let id = std::iter::once(id.clone())
        .chain((2..).map(|n| format!("{id}-{n}")))
        .find(|id| !taken(id))
        .unwrap_or(id);
    Some(DraftPart { id, by_flour, lines: lines.into_iter().map(|(line, _)| line).collect(), grams })
}

/// A small letter without its accent, as ids are written.
fn plain_letter(letter: char) -> impl Iterator<Item = char> {
    let plain = match letter {
        'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
        'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'è'..='ë' | 'ē' | 'ę' | 'ě' => "e",
        'ì'..='ï' | 'ī' | 'ı' => "i",
        'ñ' | 'ń' | 'ň' => "n",
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
        'œ' => "oe",
        'ù'..='ü' | 'ū' | 'ů' | 'ű' => "u",
        'ý' | 'ÿ' => "y",
        'ß' => "ss",
        'ś' | 'š' | 'ş' => "s",
        'ź' | 'ż' | 'ž' => "z",
        'ł' => "l",
        'ř' => "r",
        'ğ' => "g",
        _ => "",
    };
    plain.chars().chain(plain.is_empty().then_some(letter))
}

/// Words as an id: `Cream cheese` is `cream-cheese`, `Brioche à tête` is `brioche-a-tete`.
#[must_use]
pub fn id_of(words: &str) -> String {
    let plain: String = words
        .to_lowercase()
        .chars()
        .filter(|c| !matches!(c, '\'' | '’'))
        .flat_map(plain_letter)
        .map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join("-")
}

fn weigh(line: &WrittenLine, pantry: Option<&Pantry>, set: Measures) -> Result<Weighed, String> {
    let amount = line.reading.as_ref().map_err(|why| (*why).to_owned())?;
    let mut guessed = Vec::new();
    let of_egg = egg_part(&amount.what);
    let fits = |kind: ItemKind| of_egg.is_none_or(|part| kind == part);
    let table = best(&amount.what, TABLE.iter().flat_map(|row| row.names.iter().copied()))
        .filter(|id| of_egg.is_none_or(|_| egg_part(id) == of_egg));
    let by_name = pantry
        .and_then(|p| {
            let items = || p.items.iter().filter(|i| fits(i.kind.value)).map(|i| i.id.value.as_str());
            // A yolk is a yolk, whatever the pantry calls its own.
            let only = || items().next().filter(|_| of_egg.is_some() && items().count() == 1);
            best(&amount.what, items()).or_else(only)
        })
        // Icing sugar is not the pantry's `sugar`: what is published under a longer name is another thing.
        .filter(|id| of_egg.is_some() || table.is_none_or(|known| words(known).len() <= words(id).len()));
    // Bread flour is strong flour: what goes by one published weight may go by another name in the pantry.
    let other_name = || {
        let names = row_for(table?)?.names;
        pantry?.items.iter().map(|i| i.id.value.as_str()).find(|id| names.contains(id))
    };
    let known = by_name.or_else(other_name);
    let item = known.and_then(|id| pantry?.items.iter().find(|i| i.id.value.as_str() == id));
    let unsaid = |id: &str| {
        let (said, has) = (words(id), words(&amount.what));
        has.iter().any(|w| !said.contains(w) && !PLAIN.contains(&w.as_str()))
    };
    if let Some(id) = known.filter(|id| by_name.is_none() || unsaid(id)) {
        guessed.push(format!("it is taken for the pantry's `{id}`"));
    }
    let id = match (item, table) {
        (Some(item), _) => item.id.value.as_str().to_owned(),
        (None, Some(id)) => id.to_owned(),
        (None, None) => id_of(&amount.what),
    };
    if id.is_empty() {
        return Err("it does not say of what".to_owned());
    }
    if pantry.is_some() && item.is_none() {
        guessed.push("the pantry has no such ingredient yet".to_owned());
    }
    if amount.least != amount.most {
        guessed.push("the middle of the range is taken".to_owned());
    }
    if let Some(other) = alternative(&amount.remark) {
        guessed.push(format!("\"{other}\" is passed over: `{id}` is taken, and the other is in no sum"));
    }
    if let Some(of) = elsewhere(&amount.remark) {
        guessed.push(format!("\"{of}\": it may belong to another part"));
    }
    let middle = (amount.least + amount.most) / Decimal::TWO;
    let grams = match amount.weight {
        Some(weight) => Some(weight),
        None => in_grams(amount, middle, item, &id, set, &mut guessed)?,
    };
    let grams = grams.filter(|g| *g > Grams::ZERO).ok_or("its weight is beyond all measure")?;
    let flour = match item {
        Some(item) => item.kind.value == ItemKind::Flour,
        None => {
            id.ends_with("flour")
                && ![
                    "cornflour",
                    "potato-flour",
                    "tapioca-flour",
                    "almond-flour",
                    "coconut-flour",
                    "hazelnut-flour",
                ]
                .contains(&id.as_str())
        }
    };
    Ok(Weighed { item: id, flour, grams, guessed })
}

/// The other thing that a remark offers: "or pumpkin seeds", "softened, or margarine".
fn alternative(remark: &str) -> Option<&str> {
    let begins = |at: usize| ["or ", "oder "].iter().any(|word| remark[at..].starts_with(word));
    let after = remark.match_indices([',', ';', '(']).map(|(at, sign)| at + sign.len());
    let behind = |at: usize| at + (remark[at..].len() - remark[at..].trim_start().len());
    std::iter::once(0).chain(after).map(behind).find(|at| begins(*at)).map(|at| &remark[at..])
}

/// What a remark says of where else an ingredient goes: "beaten, for egg wash".
fn elsewhere(remark: &str) -> Option<&str> {
    const MARKS: [&str; 14] = [
        "for ", "to ", "wash", "glaze", "topping", "filling", "dusting", "brush", "garnish", "optional",
        "divided", "sprinkl", "serve", "greas",
    ];
    let small = remark.to_lowercase();
    MARKS.iter().any(|mark| small.contains(mark)).then_some(remark)
}

fn in_grams(
    amount: &WrittenAmount,
    middle: Decimal,
    item: Option<&Item>,
    id: &str,
    set: Measures,
    guessed: &mut Vec<String>,
) -> Result<Option<Grams>, String> {
    let vessel = match amount.unit {
        WrittenUnit::Gram => return Ok(Grams::from_decimal(middle)),
        WrittenUnit::Stick => {
            guessed.push("a US stick of 113.4 g is taken".to_owned());
            return Ok(Grams::from_decimal(middle.saturating_mul(STICK.to_decimal())));
        }
        WrittenUnit::Piece => return pieces(amount, middle, item, guessed),
        WrittenUnit::Millilitre => None,
        WrittenUnit::Cup => Some(Vessel::Cup),
        WrittenUnit::Tablespoon => Some(Vessel::Tablespoon),
        WrittenUnit::Teaspoon => Some(Vessel::Teaspoon),
    };
    let each = vessel.map_or(Decimal::ONE, |vessel| millilitres(set, vessel));
    let (per_ml, source) = match item.and_then(density) {
        Some(found) => (found.grams_per_ml, found.row.map(|row| row.source)),
        None => {
            let row = row_for(id).ok_or("what a cup of it weighs is unknown: write its grams")?;
            let cup = millilitres(Measures::Us, Vessel::Cup);
            let per_ml = row.grams_per_us_cup().to_decimal().checked_div(cup).unwrap_or_default();
            (per_ml, Some(row.source))
        }
    };
    let by = source.map_or("by the pantry's density".to_owned(), |source| format!("by {source}"));
    let ml = middle.saturating_mul(each).round_dp(1).normalize();
    let grams = Grams::from_decimal(middle.saturating_mul(each).saturating_mul(per_ml));
    if let Some(grams) = grams {
        let shown = grams.to_decimal().round_dp(1).normalize();
        let cup = vessel.map_or_else(String::new, |vessel| {
            let ((set, source), each) = (whose(set, vessel), each.round_dp(1).normalize());
            let an = if set.starts_with('A') { "an" } else { "a" };
            let vessel = match vessel {
                Vessel::Cup => "cup",
                Vessel::Tablespoon => "tablespoon",
                Vessel::Teaspoon => "teaspoon",
            };
            format!("{an} {set} {vessel} holds {each} ml ({source}): ")
        });
        guessed.push(format!("{cup}{ml} ml are taken as {shown} g, {by}"));
    }
    Ok(grams)
}

fn pieces(
    amount: &WrittenAmount,
    middle: Decimal,
    item: Option<&Item>,
    guessed: &mut Vec<String>,
) -> Result<Option<Grams>, String> {
    let what = amount.what.as_str();
    let stated = item.and_then(|item| match item.kind.value {
        ItemKind::Egg => one_egg(item),
        _ => item.each.as_ref().map(|each| each.value),
    });
    let one = match stated {
        Some(one) => one,
        None if words(what).iter().any(|w| w == "egg" || w == "yolk" || w == "white") => {
            let whole = UsSize::Large.edible();
            if what.contains("yolk") {
                whole.ratio(1, 3)
            } else if what.contains("white") {
                whole.ratio(2, 3)
            } else {
                whole
            }
        }
        None => return Err("what one of it weighs is unknown: write its grams".to_owned()),
    };
    guessed.push(format!("one is taken as {} g out of its shell", one.to_decimal().round_dp(1).normalize()));
    Ok(Grams::from_decimal(middle.saturating_mul(one.to_decimal())))
}

/// The words of a name, in the singular.
fn words(name: &str) -> Vec<String> {
    let words = name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.map(|w| w.strip_suffix('s').filter(|s| s.len() > 2).unwrap_or(w).to_lowercase()).collect()
}

/// The id of which all words are in a name; of several the one with most words, and of these the first.
fn best<'a>(name: &str, ids: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let has = words(name);
    let mut best: Option<(usize, &str)> = None;
    for id in ids {
        let wanted = words(id);
        let all = !wanted.is_empty() && wanted.iter().all(|w| has.contains(w));
        let other = has.iter().any(|w| OTHER.contains(&w.as_str()) && !wanted.contains(w));
        if all && !other && best.is_none_or(|(n, _)| wanted.len() > n) {
            best = Some((wanted.len(), id));
        }
    }
    best.map(|(_, id)| id)
}

#[cfg(test)]
#[path = "draft_tests.rs"]
#[allow(clippy::unwrap_used)]
mod tests;
