//! What a bowl carries and what its hook catches.

use crate::course::{Course, DoughClass, Lesson, Mixer, PartId, VariantId};
use crate::finding::Finding;
use crate::reckon::composition::figures;
use crate::reckon::dough_class::classify;
use crate::reckon::recipes::Recipes;
use crate::units::Grams;

/// Grams of dough as mixed for each litre that it takes up: 1.197 g/cm3 (row `dens-mixed`, published, textbook). A bowl never
/// carries more than it holds, whatever its stated limit.
const GRAMS_A_LITRE: i64 = 1197;

/// Grams of dough for each litre of bowl where nobody wrote what a mixer carries: the least that makers' charts give. Enriched
/// and rich dough by the doughnut line, 8 lb in 20 quarts, which are 192 g (row `mix-20b`, Centaur MAC20-60, p. 13, published; 200 g
/// in `mix-10` and `mix-20`, Metcalfe 5MP10, p. 10, and MP20, p. 8); which chart line is which dough: row `mix-recipes`.
const ENRICHED_A_LITRE: i64 = 190;

/// Lean dough by the line of heavy bread, 55 parts of water: 14 lb in 20 quarts, which are 336 g (the same charts).
const LEAN_A_LITRE: i64 = 335;

/// Of what a mixer carries of lean dough it carries a third of enriched: a third to a half by the charts (row `mix-recipes`).
const ENRICHED_OF_LEAN: i64 = 3;

/// What a hook wants in its bowl, of the most that it carries, where nobody wrote it: row `mix-min` (common practice), so it is noted
/// and decides nothing.
const FOR_THE_HOOK: (i64, i64) = (30, 100);

/// What decides how much a bowl carries.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Limit {
    /// What is written for this class of dough, or for a richer one.
    Stated,
    /// The bowl's own size, which is less.
    Size,
    /// Nothing is written: makers' charts for bowls of this size, or what is written for a leaner dough.
    Taken,
}

/// A kind of mixer, for one class of dough.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bowl<'a> {
    /// The mixer.
    pub mixer: &'a Mixer,
    /// How many, borrowed ones counted.
    pub count: u32,
    /// The most that it carries.
    pub most: Grams,
    /// The smallest batch that the hook catches; nought when it is not written.
    pub least: Grams,
    /// What decides how much that is.
    pub limit: Limit,
}

/// The kitchen's mixers for a class of dough, in file order. A class that is not listed takes the limit of the next richer one,
/// which is never more. With no such limit it is said that none is written, and the bowl carries the least that makers' charts
/// give for its size, and no more than is written for any leaner dough.
pub fn bowls<'a>(course: &'a Course, class: DoughClass, findings: &mut Vec<Finding>) -> Vec<Bowl<'a>> {
    let mut all = Vec::new();
    for mixer in &course.kitchen.mixers {
        let count = mixer.count.value + mixer.loan.as_ref().map_or(0, |l| l.count.value);
        if count == 0 {
            continue;
        }
        let stated =
            mixer.limit.iter().filter(|(c, _)| *c >= class).min_by_key(|(c, _)| *c).map(|(_, g)| g.value);
        let size = litres(mixer, GRAMS_A_LITRE);
        let (most, limit) = match stated {
            Some(stated) if stated <= size => (stated, Limit::Stated),
            Some(_) => (size, Limit::Size),
            None => (taken(mixer, class), Limit::Taken),
        };
        if limit == Limit::Taken {
            findings.push(
                Finding::warning(
                    "mixer-limit-unknown",
                    mixer.id.place,
                    format!(
                        "what `{}` carries of {} dough is not written; it is taken as {}, the least that makers' charts give for such a bowl",
                        mixer.id,
                        word(class),
                        shown(most)
                    ),
                )
                .way_out("write the limit from its manual: `limit = { rich = \"1.1 kg\", enriched = \"1.5 kg\" }`"),
            );
        }
        let least = mixer.least.as_ref().map_or(Grams::ZERO, |l| l.value);
        if least > most {
            findings.push(
                Finding::warning(
                    "mixer-carries-no-batch",
                    mixer.id.place,
                    format!(
                        "the hook of `{}` catches no less than {} and it carries no more than {} of {} dough",
                        mixer.id,
                        shown(least),
                        shown(most),
                        word(class)
                    ),
                )
                .way_out("look at `limit` and `least`: no batch fits between them"),
            );
            continue;
        }
        all.push(Bowl { mixer, count, most, least, limit });
    }
    all
}

/// So many grams for each litre of a mixer's bowl.
fn litres(mixer: &Mixer, grams: i64) -> Grams {
    Grams::from_thousandths(mixer.bowl.value.thousandths()).ratio(grams, 1000)
}

/// What a mixer is taken to carry of a class of dough for which, and for any richer one, nothing is written.
fn taken(mixer: &Mixer, class: DoughClass) -> Grams {
    let a_litre = if class == DoughClass::Lean { LEAN_A_LITRE } else { ENRICHED_A_LITRE };
    let leaner = mixer.limit.iter().filter(|(c, _)| *c < class).map(|(c, g)| match c {
        DoughClass::Lean => g.value.ratio(1, ENRICHED_OF_LEAN),
        DoughClass::Enriched | DoughClass::Rich => g.value,
    });
    leaner.chain([litres(mixer, a_litre)]).min().unwrap_or(Grams::ZERO)
}

/// The class of a part's dough as a variant makes it, by its richest reading where composition is unknown.
pub fn class_of(
    course: &Course,
    recipes: &Recipes,
    lesson: &Lesson,
    part: &PartId,
    variant: Option<&VariantId>,
) -> DoughClass {
    recipes
        .get(&lesson.formula.value, variant)
        .and_then(|r| r.shares.overall(part))
        .map_or(DoughClass::Rich, |overall| classify(&figures(&overall, &course.pantry)).class)
}

/// Where a mass of dough can be mixed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fit {
    /// No bowl is asked for.
    Anything,
    /// In these bowls, by position.
    Bowls(Vec<usize>),
    /// More than any bowl carries.
    Over,
    /// Less than the hook catches of every bowl that would carry it.
    Under,
}

/// Where a mass can be mixed. With no bowls at all it is mixed by hand.
pub fn fit(bowls: &[Bowl<'_>], grams: Grams) -> Fit {
    let kinds: Vec<usize> =
        (0..bowls.len()).filter(|b| bowls[*b].least <= grams && grams <= bowls[*b].most).collect();
    if !kinds.is_empty() {
        Fit::Bowls(kinds)
    } else if !bowls.is_empty() && bowls.iter().all(|b| grams > b.most) {
        Fit::Over
    } else {
        Fit::Under
    }
}

/// How many mixes the busiest mixer makes one after another, when each batch goes where that is least.
pub fn rounds(batches: &[Vec<usize>], bowls: &[Bowl<'_>]) -> u32 {
    (1..).find(|r| all_placed(batches, bowls, *r)).unwrap_or(0).min(batches.len() as u32)
}

/// Whether every batch finds a bowl when each mixer makes `rounds` mixes.
fn all_placed(batches: &[Vec<usize>], bowls: &[Bowl<'_>], rounds: u32) -> bool {
    let room: Vec<usize> = bowls.iter().map(|b| b.count.saturating_mul(rounds) as usize).collect();
    if rounds as usize >= batches.len() {
        return true;
    }
    let mut placed: Vec<Vec<usize>> = vec![Vec::new(); bowls.len()];
    (0..batches.len()).all(|b| place(b, batches, &room, &mut placed, &mut vec![false; bowls.len()]))
}

/// Places one batch, moving others aside where they have another bowl (augmenting paths).
fn place(
    batch: usize,
    batches: &[Vec<usize>],
    room: &[usize],
    placed: &mut [Vec<usize>],
    tried: &mut [bool],
) -> bool {
    for kind in &batches[batch] {
        if std::mem::replace(&mut tried[*kind], true) {
            continue;
        }
        if placed[*kind].len() < room[*kind] {
            placed[*kind].push(batch);
            return true;
        }
        for at in 0..placed[*kind].len() {
            let other = placed[*kind][at];
            if place(other, batches, room, placed, tried) {
                placed[*kind][at] = batch;
                return true;
            }
        }
    }
    false
}

/// The number that decided where a mass is mixed.
pub fn why(bowls: &[Bowl<'_>], class: DoughClass, grams: Grams, fit: &Fit) -> String {
    let name = |b: &Bowl<'_>| b.mixer.name.as_ref().map_or_else(|| b.mixer.id.to_string(), |n| n.to_string());
    let carries = |b: &Bowl<'_>| {
        let what = match b.limit {
            Limit::Size => "holds".to_owned(),
            Limit::Stated => format!("carries of {} dough", word(class)),
            Limit::Taken => format!("is taken to carry of {} dough", word(class)),
        };
        format!("the {} that {} {what}", shown(b.most), name(b))
    };
    match fit {
        Fit::Anything => String::new(),
        Fit::Bowls(kinds) => {
            let mut text = String::new();
            if let Some(smallest) = kinds.iter().map(|k| &bowls[*k]).min_by_key(|b| b.most) {
                text = format!("{} of {}", shown(grams), carries(smallest));
            }
            for b in bowls.iter().filter(|b| b.least > grams) {
                text.push_str(&format!(
                    "; below the {} that the hook of {} catches",
                    shown(b.least),
                    name(b)
                ));
            }
            text
        }
        Fit::Over => match bowls.iter().max_by_key(|b| b.most) {
            Some(largest) => format!("{} is more than {}", shown(grams), carries(largest)),
            None => String::new(),
        },
        Fit::Under => {
            let mut reasons: Vec<String> = bowls
                .iter()
                .map(|b| {
                    if b.most < grams {
                        format!("more than {}", carries(b))
                    } else {
                        format!("below the {} that the hook of {} catches", shown(b.least), name(b))
                    }
                })
                .collect();
            if reasons.is_empty() {
                reasons.push("no mixer".to_owned());
            }
            format!("{}: {}; by hand", shown(grams), reasons.join(", "))
        }
    }
}

/// A mass for a sentence: whole grams where that is exact, else to a tenth.
pub fn shown(grams: Grams) -> String {
    let tenths = grams.to_nearest(Grams::from_mg(100));
    format!("{} g", tenths.to_decimal().normalize())
}

/// Bowls whose hook may not catch a mass: less than trade practice wants, and nothing of it is written.
pub fn slack<'b, 'a>(bowls: &'b [Bowl<'a>], kinds: &'b [usize], grams: Grams) -> Vec<&'b Bowl<'a>> {
    let little =
        |b: &&Bowl<'_>| b.mixer.least.is_none() && grams < b.most.ratio(FOR_THE_HOOK.0, FOR_THE_HOOK.1);
    kinds.iter().filter_map(|k| bowls.get(*k)).filter(little).collect()
}

/// The class in words.
pub const fn word(class: DoughClass) -> &'static str {
    match class {
        DoughClass::Lean => "lean",
        DoughClass::Enriched => "enriched",
        DoughClass::Rich => "rich",
    }
}
