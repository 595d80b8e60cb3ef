//! From types to figures: masses, temperatures, lengths as the page shows them, and the measures in the teacher's own words.

use super::common::{Fact, Measure};
use super::drawing::{Units, said};
use crate::course::{AllergenId, Area, Course, FormulaId, ItemId, Piece, TemperatureRange, VariantId};
use crate::reckon::allergens::Held;
use crate::reckon::drawings::Said;
use crate::reckon::list_words::named;
use crate::reckon::variants::doubted_claims;
use crate::units::{Celsius, Centimetres, Grams};

/// An id as people say it: `cool-scald` is `Cool scald`.
pub fn spoken(id: &str) -> String {
    let text = id.replace(['-', '_'], " ");
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// A name in the middle of a sentence or a list, in the language of the pages: English begins it with a small letter, unless it is no
/// common word (`GF flour`). Other languages have their own rules for capitals, German its nouns, and a name stays as it is written.
pub fn mid_sentence(name: &str, language: &str) -> String {
    let mut letters = name.chars();
    let english = language == "en" || language.starts_with("en-");
    match letters.next() {
        Some(first) if english && !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}

/// How many small ones make up one piece: as many as count as one, or are cut from one roll. Slices that stand together in a tin
/// are one loaf, and a strand's are no pieces.
pub fn in_one(piece: &Piece) -> u32 {
    let apart = piece.tin.is_none() && piece.strands.is_none() && piece.strand_length.is_none();
    match (piece.count.value, &piece.slices) {
        (count, _) if count > 1 => count,
        (_, Some(slices)) if apart => slices.value.max(1),
        _ => 1,
    }
}

/// A mass with as many digits as a scale of this step shows.
pub fn mass_on(grams: Grams, step: Grams) -> Measure {
    let shown = grams.to_nearest(step);
    let places = match step.mg() {
        s if s >= 1000 => 0,
        s if s >= 100 => 1,
        s if s >= 10 => 2,
        _ => 3,
    };
    Measure::new(format!("{:.places$}", shown.to_decimal()), "g")
}

fn measure(said_as: Said, units: Units) -> Measure {
    let value = said(said_as, units);
    let text = |key: &str| value[key].as_str().unwrap_or_default().to_owned();
    Measure::new(text("value"), text("unit"))
}

/// A temperature.
pub fn temperature(at: Celsius, units: Units) -> Measure {
    measure(Said::Temperature(at), units)
}

/// Figures within a sentence: `10 1/4` is `10¼`, as the quarters of an inch have signs of their own.
pub fn in_words(value: &str) -> String {
    [("1/4", "¼"), ("1/2", "½"), ("3/4", "¾")].iter().fold(value.to_owned(), |text, (part, sign)| match text
        .strip_suffix(part)
    {
        Some(whole) => format!("{}{sign}", whole.trim_end()),
        None => text,
    })
}

/// What an oven's dial is set to. One in Fahrenheit has steps of five, so no figure between them can be set.
pub fn oven_dial(at: Celsius, units: Units) -> Measure {
    match units {
        Units::Metric => temperature(at, units),
        Units::Us => Measure::new(at.fahrenheit_dial().normalize().to_string(), "°F"),
    }
}

/// The temperature that a dial in Fahrenheit only comes near, as the course has it; nothing where the page is in Celsius, or the course
/// has it in Fahrenheit.
pub fn exact(at: Celsius, units: Units) -> Option<Measure> {
    let in_celsius = at.thousandths() % 500 == 0;
    (units == Units::Us && in_celsius).then(|| temperature(at, Units::Metric))
}

/// A length.
pub fn length(long: Centimetres, units: Units) -> Measure {
    measure(Said::Length(long), units)
}

/// One figure with its word.
pub fn fact(word: &str, values: Vec<Measure>) -> Fact {
    Fact { word: word.to_owned(), values }
}

/// The core temperature: a range, or a least one.
pub fn core(range: TemperatureRange, units: Units) -> Option<Fact> {
    let of = |at: Celsius| temperature(at, units);
    match (range.least, range.most) {
        (Some(least), Some(most)) => Some(fact("core", vec![of(least), of(most)])),
        (Some(least), None) => Some(fact("core-least", vec![of(least)])),
        (None, Some(most)) => Some(fact("core-most", vec![of(most)])),
        (None, None) => None,
    }
}

/// How the language of the pages says what is put into the teacher's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tongue {
    /// The decimal sign.
    pub decimal: String,
    /// One strand over others: `4 over 2`.
    pub over: String,
    /// One strand under others.
    pub under: String,
}

impl Default for Tongue {
    fn default() -> Self {
        Tongue { decimal: ".".to_owned(), over: "over".to_owned(), under: "under".to_owned() }
    }
}

impl Tongue {
    /// By the words of a catalogue, given by table and key; English where it has none.
    pub fn of(word: impl Fn(&str, &str) -> Option<String>) -> Tongue {
        let english = Tongue::default();
        Tongue {
            decimal: word("number", "decimal").unwrap_or(english.decimal),
            over: word("mark", "over").unwrap_or(english.over),
            under: word("mark", "under").unwrap_or(english.under),
        }
    }

    /// The moves of a braid, as the language says them.
    fn moves(&self, sequence: &str) -> String {
        let said = |word: &str| match word {
            "over" => self.over.clone(),
            "under" => self.under.clone(),
            other => other.to_owned(),
        };
        sequence.split(' ').map(said).collect::<Vec<_>>().join(" ")
    }
}

/// The teacher's words with the piece's measures in place of `{sheet}` and its like. A mark that names no measure stays.
pub fn filled_in(text: &str, piece: &Piece, units: Units, tongue: &Tongue) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let (before, from) = rest.split_at(open);
        out.push_str(before);
        let Some(close) = from.find('}') else {
            out.push_str(from);
            return out;
        };
        let (mark, after) = from.split_at(close + 1);
        match said_of(&mark[1..close], piece, units, tongue) {
            Some(words) => out.push_str(&words),
            None => out.push_str(mark),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// What a piece holds, in words: contains, may contain, ingredients of which nothing is known.
pub struct HeldWords {
    /// Contains.
    pub contains: Vec<String>,
    /// May contain.
    pub may_contain: Vec<String>,
    /// Unknown.
    pub unknown: Vec<String>,
}

/// The words for what is held.
pub fn held(course: &Course, held: &Held) -> HeldWords {
    let list = course.settings.allergen_list.value.as_str();
    let words = |ids: Vec<&AllergenId>| {
        let mut all: Vec<String> = Vec::new();
        for id in ids {
            let word = named(list, id);
            if !all.contains(&word) {
                all.push(word);
            }
        }
        all
    };
    HeldWords {
        contains: words(held.contains.keys().collect()),
        may_contain: words(held.may_contain.keys().filter(|a| !held.contains.contains_key(*a)).collect()),
        unknown: held.unknown.iter().map(|i| item_name(course, i)).collect(),
    }
}

/// What a variant is named free of and may hold all the same, by the words of the course's list.
pub fn doubted(
    course: &Course,
    formula: &FormulaId,
    variant: Option<&VariantId>,
    in_it: &Held,
) -> Vec<String> {
    let list = course.settings.allergen_list.value.as_str();
    let variant = variant.and_then(|v| course.formula(formula)?.variant(v));
    let claims = variant.map(|v| doubted_claims(v, in_it)).unwrap_or_default();
    claims.iter().map(|claim| named(list, claim)).collect()
}

/// An ingredient's name.
pub fn item_name(course: &Course, id: &ItemId) -> String {
    course.pantry.item(id).map_or_else(|| spoken(id.as_str()), |i| i.name.value.clone())
}

fn said_of(mark: &str, piece: &Piece, units: Units, tongue: &Tongue) -> Option<String> {
    let figure = |value: &str| in_words(value).replace('.', &tongue.decimal);
    let long = |l: Centimetres| {
        let m = length(l, units);
        format!("{}\u{202F}{}", figure(&m.value), m.unit)
    };
    let area = |a: Area| {
        let (w, d) = (length(a.width, units), length(a.depth, units));
        format!("{}\u{a0}\u{d7}\u{a0}{}\u{202F}{}", figure(&w.value), figure(&d.value), d.unit)
    };
    match mark {
        "sheet" => piece.sheet.as_ref().map(|s| area(s.value)),
        "size" => piece.size.as_ref().map(|s| area(s.value)),
        "bare-edge" => piece.bare_edge.as_ref().map(|b| long(b.value)),
        "strand-length" => piece.strand_length.as_ref().map(|l| long(l.value)),
        "slices" => piece.slices.as_ref().map(|n| n.value.to_string()),
        "strands" => piece.strands.as_ref().map(|n| n.value.to_string()),
        "per-tray" => piece.per_tray.as_ref().map(|n| n.value.to_string()),
        "count" => Some(piece.count.value.to_string()),
        "braid" => piece.braid.as_ref().map(|b| tongue.moves(&b.value)),
        _ => piece.amounts.iter().find(|(part, _)| part.value.as_str() == mark).and_then(|(_, share)| {
            match share.value {
                crate::course::PieceShare::Grams(g) => {
                    Some(format!("{}\u{202F}g", figure(&g.to_decimal().normalize().to_string())))
                }
                crate::course::PieceShare::PercentOfDough(_) => None,
            }
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_said() {
        assert_eq!(spoken("cool-scald"), "Cool scald");
        assert_eq!(spoken(""), "");
    }

    #[test]
    fn a_mass_has_the_digits_of_its_scale() {
        let fine = Grams::from_mg(100);
        assert_eq!(mass_on(Grams::from_mg(6_040), fine).value, "6.0");
        assert_eq!(mass_on(Grams::from_mg(530_400), Grams::whole(1)).value, "530");
        assert_eq!(mass_on(Grams::whole(1040), Grams::whole(5)).value, "1040");
    }

    #[test]
    fn a_german_noun_keeps_its_capital() {
        assert_eq!(mid_sentence("Sheet of baking paper", "en"), "sheet of baking paper");
        assert_eq!(mid_sentence("Proof", "en-GB"), "proof");
        assert_eq!(mid_sentence("GF flour", "en"), "GF flour");
        assert_eq!(mid_sentence("St\u{fc}ckgare", "de"), "St\u{fc}ckgare");
        assert_eq!(mid_sentence("", "en"), "");
    }

    #[test]
    fn quarters_of_an_inch_have_signs() {
        assert_eq!(["10 1/4", "3/4", "12", "1 1/2"].map(in_words), ["10¼", "¾", "12", "1½"]);
    }

    /// 155 °C are 311 °F, 170 °C are 338 °F: neither can be set.
    #[test]
    fn a_dial_in_fahrenheit_has_steps_of_five() {
        let dial = |c: i64, units| oven_dial(Celsius::whole(c), units).value;
        assert_eq!(
            [155, 160, 170, 175, 190].map(|c| dial(c, Units::Us)),
            ["310", "320", "340", "345", "375"]
        );
        assert_eq!(dial(155, Units::Metric), "155");
        assert_eq!(exact(Celsius::whole(155), Units::Us), Some(Measure::new("155", "°C")));
        assert_eq!(exact(Celsius::whole(155), Units::Metric), None);
    }

    #[test]
    fn measures_in_a_sentence_speak_the_language_of_the_page() {
        let mut piece = crate::reckon::sample::crown().piece;
        piece.bare_edge = Some(crate::reckon::sample::at(Centimetres::from_thousandths(1_500)));
        piece.braid = Some(crate::reckon::sample::at("6 over 4 under 3 over 1, 1 over 2".to_owned()));
        let text = "Frei: {bare-edge}. {braid}. {nothing}";
        let german = Tongue { decimal: ",".to_owned(), over: "über".to_owned(), under: "unter".to_owned() };
        assert_eq!(
            filled_in(text, &piece, Units::Metric, &german),
            "Frei: 1,5\u{202F}cm. 6 über 4 unter 3 über 1, 1 über 2. {nothing}"
        );
        assert_eq!(
            filled_in(text, &piece, Units::Metric, &Tongue::default()),
            "Frei: 1.5\u{202F}cm. 6 over 4 under 3 over 1, 1 over 2. {nothing}"
        );
    }

    #[test]
    fn a_core_may_have_one_side() {
        let one = TemperatureRange { least: Some(Celsius::whole(80)), most: None };
        let fact = core(one, Units::Metric);
        assert_eq!(fact.map(|f| f.word), Some("core-least".to_owned()));
    }
}
