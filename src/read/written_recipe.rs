//! A page of lines such as `300 g strong flour`, `1 1/2 cups milk, warm`, `2-3 tbsp sugar`: what can be understood of it.

use crate::course::written_recipe::{WrittenAmount, WrittenLine, WrittenRecipe, WrittenSection, WrittenUnit};
use crate::units::Grams;
use rust_decimal::Decimal;

/// Reads a text. Nothing is refused: a line that is not understood says why.
#[must_use]
pub fn read(text: &str) -> WrittenRecipe {
    let mut recipe = WrittenRecipe::default();
    let mut section = WrittenSection::default();
    let mut doing = false;
    for line in text.lines().map(without_bullet).filter(|line| !line.is_empty()) {
        let nothing_yet = recipe.name.is_none() && recipe.sections.is_empty() && section.lines.is_empty();
        if let Some(head) = head_of(line).or_else(|| bare_head(line).filter(|_| !nothing_yet)) {
            let small = head.to_lowercase();
            doing =
                ["method", "instructions", "directions", "steps", "preparation"].contains(&small.as_str());
            if !section.lines.is_empty() {
                recipe.sections.push(std::mem::take(&mut section));
            }
            section.name = (!doing && small != "ingredients").then(|| head.to_owned());
        } else if doing {
            recipe.steps.push(line.to_owned());
        } else if let Some(makes) = makes_of(line) {
            recipe.makes = recipe.makes.or(makes);
        } else {
            let (head, line) = head_before(line);
            if let Some(head) = head {
                if !section.lines.is_empty() {
                    recipe.sections.push(std::mem::take(&mut section));
                }
                section.name = Some(head.to_owned());
            }
            let reading = amount_of(line);
            if reading.is_err() && nothing_yet {
                recipe.name = Some(line.trim_start_matches('#').trim().to_owned());
            } else {
                section.lines.push(WrittenLine { text: line.to_owned(), reading });
            }
        }
    }
    if !section.lines.is_empty() {
        recipe.sections.push(section);
    }
    recipe
}

fn without_bullet(line: &str) -> &str {
    let line = line.trim();
    let bare = line.trim_start_matches(['-', '*', '•', '·', '–', '▢', '☐']);
    // `-18` would be a number, and no recipe has one.
    if bare.len() < line.len() { bare.trim_start() } else { line }
}

/// `For the filling:`, `## Dough`, `Ingredients:`.
fn head_of(line: &str) -> Option<&str> {
    let hashed = line.strip_prefix("##").map(|rest| rest.trim_start_matches('#').trim());
    let head = hashed.or_else(|| line.strip_suffix(':'))?.trim();
    let small = head.to_lowercase();
    let cut = ["for the ", "for "].iter().find(|p| small.starts_with(**p)).map_or(0, |p| p.len());
    head.get(cut..).map(|h| h.trim_end_matches(':').trim()).filter(|h| !h.is_empty() && h.len() < 60)
}

/// `For the scald: 20 g flour` is a head and a line under it.
fn head_before(line: &str) -> (Option<&str>, &str) {
    let parted = line.split_once(':').and_then(|(head, rest)| {
        let rest = rest.trim_start();
        Some((bare_head(head.trim())?, rest)).filter(|_| amount_of(rest).is_ok())
    });
    parted.map_or((None, line), |(head, rest)| (Some(head), rest))
}

/// A head that nothing marks: `For the dough`, `To brush`, `Topping`.
fn bare_head(line: &str) -> Option<&str> {
    const ALONE: [&str; 18] = [
        "dough",
        "filling",
        "topping",
        "glaze",
        "wash",
        "egg wash",
        "icing",
        "frosting",
        "syrup",
        "streusel",
        "crumble",
        "sponge",
        "starter",
        "preferment",
        "poolish",
        "soaker",
        "scald",
        "method",
    ];
    let small = line.to_lowercase();
    let begins = ["for the ", "for brushing", "to brush", "to glaze", "to finish", "to decorate", "to top"];
    let is = ALONE.contains(&small.as_str()) || begins.iter().any(|b| small.starts_with(b));
    let plain = line.len() < 40 && !line.contains(|c: char| c.is_ascii_digit() || ",;(".contains(c));
    let cut = ["for the ", "to "].iter().find(|p| small.starts_with(**p)).map_or(0, |p| p.len());
    line.get(cut..).map(str::trim).filter(|head| is && plain && !head.is_empty())
}

/// `Makes 12 buns`, `Yield: 2 loaves`. The inner `None`: it speaks of people, not of pieces.
fn makes_of(line: &str) -> Option<Option<u32>> {
    let small = line.to_lowercase();
    let after = ["makes", "yields", "yield", "serves", "servings"]
        .iter()
        .find_map(|word| Some((*word, small.strip_prefix(word)?)));
    let (word, rest) = after?;
    let (number, _) = number(rest.trim_start_matches([':', ' ']).trim_start_matches("about "))?;
    let pieces = u32::try_from(number.trunc().mantissa()).ok().filter(|n| *n > 0 && number.is_integer());
    Some(pieces.filter(|_| !word.starts_with("serv")))
}

const NO_AMOUNT: &str = "it has no amount that can be weighed";
const NO_SIZE: &str = "what it counts by is not one size: write its grams";
const HEAPED: &str = "what a heaped, rounded or scant measure holds is nowhere written down: write its grams, or level measures";
const TWO_AMOUNTS: &str = "two amounts stand on one line: write each on a line of its own, or their sum";
const WHICH_POINT: &str = "its point may stand between thousands or before parts of one: write it without, or with one digit after it";
const NO_THING: &str = "it does not say of what";

/// One line of ingredients.
fn amount_of(line: &str) -> Result<WrittenAmount, &'static str> {
    let (least, rest) = number(line).ok_or(NO_AMOUNT)?;
    let (most, rest) = match range_end(rest) {
        Some((most, rest)) => (most, rest),
        None => (least, rest),
    };
    if least > most || most.is_zero() || most > Decimal::from(1_000_000) {
        return Err(NO_AMOUNT);
    }
    // `1 x 7g sachet yeast`: so many times what one holds.
    let (times, rest) = match times_each(rest) {
        Some((each, rest)) => (each, rest),
        None => (Decimal::ONE, rest),
    };
    let (least, most) = match (least.checked_mul(times), most.checked_mul(times)) {
        (Some(least), Some(most)) => (least, most),
        _ => return Err(NO_AMOUNT),
    };
    let (per, unit, weight, rest) = match unit(rest) {
        Ok((per, unit, rest)) => {
            let (weight, rest) = weight_beside(rest);
            (per, unit, weight, rest)
        }
        // `1 sachet (7 g) yeast` says itself how much is in it.
        Err(why) => {
            let (weight, rest) = weight_of_one(rest, least).filter(|_| least == most).ok_or(why)?;
            (Decimal::ONE, WrittenUnit::Piece, Some(weight), rest)
        }
    };
    let by_one = matches!(unit, WrittenUnit::Gram | WrittenUnit::Millilitre) && per == Decimal::ONE;
    if by_one && has_unclear_point(line) {
        return Err(WHICH_POINT);
    }
    let (more, rest) = added(rest, unit)?;
    // Another measure in brackets is passed over.
    let rest = rest.trim_start();
    let rest =
        rest.strip_prefix('(').and_then(|r| r.split_once(')')).map_or(rest, |(_, after)| after.trim_start());
    let rest = rest.strip_prefix("of ").unwrap_or(rest);
    let (what, remark) = parted(if unit == WrittenUnit::Piece { rest } else { without_pack(rest) });
    // "plus more for dusting" is a remark, "plus 1 yolk" another thing.
    let second = ["plus ", "+", "and ", "& "].iter().find_map(|mark| remark.strip_prefix(mark));
    if second.is_some_and(|rest| number(rest).is_some()) {
        return Err(TWO_AMOUNTS);
    }
    if !what.chars().any(char::is_alphabetic) {
        return Err(NO_THING);
    }
    let scaled = |n: Decimal| n.checked_mul(per).and_then(|n| n.checked_add(more)).ok_or(NO_AMOUNT);
    Ok(WrittenAmount {
        least: scaled(least)?,
        most: scaled(most)?,
        unit,
        weight,
        what: what.to_lowercase(),
        remark,
    })
}

/// Whether a figure begins a line whose point stands before exactly three digits: `1.000 g`.
fn has_unclear_point(line: &str) -> bool {
    let figure: &str = &line[..line.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(line.len())];
    figure.split_once('.').is_some_and(|(whole, parts)| {
        parts.len() == 3 && !parts.contains('.') && !whole.trim_start_matches('0').is_empty()
    })
}

/// What things that have no size of their own weigh, where that stands behind them: of one, or said of each.
fn weight_of_one(text: &str, count: Decimal) -> Option<(Grams, &str)> {
    let text = text.trim_start();
    let after = &text[text.find(|c: char| !c.is_alphabetic())?..];
    let inside = after.trim_start().strip_prefix('(').and_then(|t| t.split_once(')'));
    let of_each = inside.is_some_and(|(inside, _)| inside.trim_end().ends_with(" each"));
    let (weight, rest) = weight_beside(after);
    let weight = weight.filter(|_| count == Decimal::ONE || of_each)?;
    Some((Grams::from_decimal(weight.to_decimal().checked_mul(count)?)?, rest))
}

/// What one holds where a count stands before it: the figure of `x 7g`, with the unit left for what follows.
fn times_each(text: &str) -> Option<(Decimal, &str)> {
    let after = text.trim_start().strip_prefix(['x', 'X', '×'])?;
    let (each, rest) = number(after)?;
    let measured = matches!(unit(rest), Ok((_, WrittenUnit::Gram | WrittenUnit::Millilitre, _)));
    measured.then_some((each, rest))
}

/// A measure that is the content of a pack: `7 g sachet yeast` is yeast.
fn without_pack(text: &str) -> &str {
    let text = text.trim_start();
    let Some((word, rest)) = text.split_once(' ') else { return text };
    let packs = [
        "packet", "sachet", "envelope", "package", "pkg", "pack", "can", "tin", "jar", "tub", "bag", "box",
        "carton",
    ];
    let word = word.trim_end_matches(',').to_lowercase();
    let is = packs.contains(&word.as_str()) || word.strip_suffix('s').is_some_and(|one| packs.contains(&one));
    if is { rest.trim_start().strip_prefix("of ").unwrap_or(rest.trim_start()) } else { text }
}

/// A second amount of the same kind, in what we count by: `1 pound 4 ounces`, `100 g + 50 g`. Nothing where none follows.
fn added(text: &str, unit_of_first: WrittenUnit) -> Result<(Decimal, &str), &'static str> {
    let rest = text.trim_start();
    let joined = ["+", "plus ", "and ", "& "].iter().find_map(|mark| rest.strip_prefix(mark));
    let figures = joined.unwrap_or(rest).trim_start();
    let Some((second, after)) =
        number(figures).filter(|_| joined.is_some() || figures.starts_with(|c: char| c.is_ascii_digit()))
    else {
        return Ok((Decimal::ZERO, text));
    };
    match unit(after) {
        Ok((per, unit, after)) if unit == unit_of_first && unit != WrittenUnit::Piece => {
            Ok((second.checked_mul(per).ok_or(NO_AMOUNT)?, after))
        }
        // `250 g 405 flour`: the figure belongs to the name, unless a word joins it or a unit follows.
        Ok((_, WrittenUnit::Piece, _)) if joined.is_none() => Ok((Decimal::ZERO, text)),
        _ => Err(TWO_AMOUNTS),
    }
}

/// The name of a thing, and what is said of it.
fn parted(text: &str) -> (String, String) {
    let cut = [",", "(", ";", " plus ", " + ", " - ", " – ", " or ", " for "]
        .iter()
        .filter_map(|mark| text.find(mark))
        .min();
    let (what, remark) = text.split_at(cut.unwrap_or(text.len()));
    let remark = remark.trim().trim_start_matches([',', ';', '-', '–']).trim();
    let remark = remark.strip_prefix('(').and_then(|r| r.strip_suffix(')')).unwrap_or(remark);
    (what.split_whitespace().collect::<Vec<_>>().join(" "), remark.to_owned())
}

/// A figure at the start of a text: `2`, `1.5`, `1,5`, `1/2`, `1 1/2`, `1-1/2`, `½`, `1½`, `two`, `half a`.
fn number(text: &str) -> Option<(Decimal, &str)> {
    let text = text.trim_start();
    if let Some(found) = spelt(text) {
        return Some(found);
    }
    if let Some((part, rest)) = glyph(text) {
        return Some((part, rest));
    }
    let (whole, rest) = figure(text)?;
    if let Some((part, rest)) = glyph(rest.trim_start()) {
        return Some((whole.checked_add(part)?, rest));
    }
    if let Some(under) = rest.trim_start().strip_prefix(['/', '⁄'])
        && let Some((under, rest)) = figure(under.trim_start())
        && under > Decimal::ONE
    {
        return Some((whole.checked_div(under)?, rest));
    }
    // `1 1/2` and, as some write it, `1-1/2`.
    let next = rest.strip_prefix('-').unwrap_or(rest).trim_start();
    if let Some((over, after)) = figure(next)
        && let Some(under) = after.strip_prefix(['/', '⁄'])
        && let Some((under, rest)) = figure(under)
        && over < under
    {
        return Some((whole.checked_add(over.checked_div(under)?)?, rest));
    }
    Some((whole, rest))
}

fn spelt(text: &str) -> Option<(Decimal, &str)> {
    const WORDS: [(&str, i64); 12] = [
        ("one", 10),
        ("two", 20),
        ("three", 30),
        ("four", 40),
        ("five", 50),
        ("six", 60),
        ("eight", 80),
        ("ten", 100),
        ("twelve", 120),
        ("half", 5),
        ("an", 10),
        ("a", 10),
    ];
    WORDS.iter().find_map(|(word, tenths)| {
        let (head, rest) = text.split_at_checked(word.len())?;
        let whole = rest.starts_with(' ') && head.eq_ignore_ascii_case(word);
        let rest = rest.trim_start();
        let rest = if *word == "half" { rest.strip_prefix("a ").unwrap_or(rest) } else { rest };
        whole.then(|| (Decimal::new(*tenths, 1), rest))
    })
}

/// A fraction that is one sign.
fn glyph(text: &str) -> Option<(Decimal, &str)> {
    let first = text.chars().next()?;
    let (over, under) = match first {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    Some((Decimal::from(over) / Decimal::from(under), &text[first.len_utf8()..]))
}

/// Digits, with a point or a comma for the decimal sign. A comma before three digits stands between thousands.
fn figure(text: &str) -> Option<(Decimal, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (whole, rest) = text.split_at(end);
    if whole.is_empty() || whole.len() > 9 {
        return None;
    }
    let more = |sign: char| {
        let after = rest.strip_prefix(sign)?;
        let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        (end > 0 && end <= 6).then(|| after.split_at(end))
    };
    if let Some((digits, rest)) = more('.').or_else(|| more(',').filter(|(d, _)| d.len() != 3)) {
        return Some((format!("{whole}.{digits}").parse().ok()?, rest));
    }
    if let Some((digits, rest)) = more(',') {
        return Some((format!("{whole}{digits}").parse().ok()?, rest));
    }
    Some((whole.parse().ok()?, rest))
}

/// The end of a range: `-3`, `– 3`, `to 3`, `or 3`.
fn range_end(text: &str) -> Option<(Decimal, &str)> {
    let text = text.trim_start();
    let after = ["to ", "or "].iter().find_map(|word| text.strip_prefix(word));
    number(after.or_else(|| text.strip_prefix(['-', '–', '—']))?)
}

/// A unit, and how many of what we count by are in one. Without a unit pieces are counted.
fn unit(text: &str) -> Result<(Decimal, WrittenUnit, &str), &'static str> {
    let text = text.trim_start();
    let (how, measure) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let level = matches!(how.to_lowercase().as_str(), "level" | "leveled" | "levelled");
    let heaped =
        matches!(how.to_lowercase().as_str(), "heaped" | "heaping" | "rounded" | "scant" | "generous");
    if level || heaped {
        let measured = unit(measure);
        if let Ok((_, WrittenUnit::Cup | WrittenUnit::Tablespoon | WrittenUnit::Teaspoon, _)) = measured {
            return if level { measured } else { Err(HEAPED) };
        }
    }
    let end = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    let after = rest.strip_prefix('.').unwrap_or(rest);
    let one = Decimal::ONE;
    // A big T is a tablespoon, a small one a teaspoon.
    let found = match word {
        "T" => Some((one, WrittenUnit::Tablespoon)),
        "t" => Some((one, WrittenUnit::Teaspoon)),
        _ => match word.to_lowercase().as_str() {
            "g" | "gram" | "grams" | "gr" => Some((one, WrittenUnit::Gram)),
            "kg" | "kilo" | "kilos" => Some((Decimal::from(1000), WrittenUnit::Gram)),
            "mg" => Some((Decimal::new(1, 3), WrittenUnit::Gram)),
            // The international yard and pound agreement of 1959.
            "oz" | "ounce" | "ounces" => Some((Decimal::new(28_349_523_125, 9), WrittenUnit::Gram)),
            "lb" | "lbs" | "pound" | "pounds" => Some((Decimal::new(45_359_237, 5), WrittenUnit::Gram)),
            "ml" | "millilitre" | "millilitres" | "milliliter" | "milliliters" => {
                Some((one, WrittenUnit::Millilitre))
            }
            "cl" => Some((Decimal::from(10), WrittenUnit::Millilitre)),
            "dl" => Some((Decimal::from(100), WrittenUnit::Millilitre)),
            "l" | "litre" | "litres" | "liter" | "liters" => {
                Some((Decimal::from(1000), WrittenUnit::Millilitre))
            }
            "cup" | "cups" | "c" => Some((one, WrittenUnit::Cup)),
            "tbsp" | "tbsps" | "tablespoon" | "tablespoons" | "tbs" => Some((one, WrittenUnit::Tablespoon)),
            "tsp" | "tsps" | "teaspoon" | "teaspoons" => Some((one, WrittenUnit::Teaspoon)),
            "stick" | "sticks" => Some((one, WrittenUnit::Stick)),
            "little" | "few" | "bit" | "pinch" | "pinches" | "dash" | "handful" | "handfuls" | "knob"
            | "splash" => {
                return Err(NO_AMOUNT);
            }
            "packet" | "packets" | "sachet" | "sachets" | "envelope" | "envelopes" | "package"
            | "packages" | "pkg" | "pkgs" | "can" | "cans" | "jar" | "jars" | "fl" | "pint" | "pints"
            | "quart" | "quarts" | "cube" | "cubes" => return Err(NO_SIZE),
            _ => None,
        },
    };
    Ok(match found {
        Some((per, unit)) => (per, unit, after),
        None => (one, WrittenUnit::Piece, text),
    })
}

/// A weight that stands beside a measure: `(120 g)`, `/ 120 g`.
fn weight_beside(text: &str) -> (Option<Grams>, &str) {
    let trimmed = text.trim_start();
    let (inner, rest) = match trimmed.strip_prefix('(').and_then(|t| t.split_once(')')) {
        Some(found) => found,
        None => match trimmed.strip_prefix(['/', '|']) {
            Some(after) => (after, ""),
            None => return (None, text),
        },
    };
    let Some((figure, after)) = number(inner.trim_start_matches("about ")) else { return (None, text) };
    let Ok((per, WrittenUnit::Gram, after)) = unit(after) else { return (None, text) };
    let weight = figure.checked_mul(per).and_then(Grams::from_decimal).filter(|g| *g > Grams::ZERO);
    (weight, if rest.is_empty() { after } else { rest })
}

#[cfg(test)]
#[path = "written_recipe_tests.rs"]
#[allow(clippy::unwrap_used)]
mod tests;
