//! What there is to say about a formula that can be reckoned: beliefs that differ, figures outside what is in print, tins that
//! do not fit, amounts that spoons can't measure, temperatures that can't be meant.
//!
//! Percentages that do not add up are not here: [`Proportions::of`] finds those, and such a formula is left out.
mod cold;
mod ranges;
mod temperatures;
mod while_errors;

pub use while_errors::findings_while_errors;

use self::temperatures::temperatures;
use super::allergens::{Verdict, of_piece};
use super::composition::{Figure, Figures, figures};
use super::dough_class::classify;
use super::formula::{FLOUR_SLACK, Overall, Proportions, piece_needs, with_variant};
use super::home::{HomeBatch, main_dough};
use super::measures::ByWeightOnly;
use super::tin_fill::{self, Fit};
use crate::course::{
    BreadKind, Course, DoughClass, Expectation, Formula, HydrationCount, Ingredient, ItemKind, Part,
    PieceShare, Share,
};
use crate::finding::{Finding, Level};
use crate::units::{Grams, Percent};
use ranges::{Lines, ranges};
use rust_decimal::Decimal;

/// Everything there is to say about the formulas and the temperatures of a course, formula by formula in their order.
pub fn formula_findings(course: &Course) -> Vec<Finding> {
    let mut all = Vec::new();
    for formula in &course.formulas {
        all.extend(match Proportions::of(formula, &course.pantry) {
            Ok(shares) => one_formula(course, formula, &shares),
            // Another part may be the wrong one.
            Err(_) => while_errors::main_alone(formula, &course.pantry, &course.settings.conventions, true),
        });
    }
    all.extend(temperatures(course));
    all
}

fn one_formula(course: &Course, formula: &Formula, shares: &Proportions) -> Vec<Finding> {
    let mut found = Vec::new();
    for part in &formula.parts {
        found.extend(flour_sum(part, shares));
    }
    let main = main_dough(formula);
    let known = main
        .and_then(|p| shares.overall(&p.id.value).map(|all| (p, all)))
        .map(|(p, all)| (p, figures(&all, &course.pantry), all));
    match &known {
        Some((part, figures, all)) => {
            found.extend(too_wet(part, figures));
            let lines = Lines { formula, all, pantry: &course.pantry, complete: true };
            found.extend(ranges(&course.settings.conventions, &lines, part, figures));
            found.extend(unknown_composition(part, figures));
            let own = shares.part(&part.id.value).map(|p| p.total());
            found.extend(formula.expect.iter().filter_map(|e| {
                expectation(e, figures, all, own, course.settings.conventions.hydration.value)
            }));
        }
        None => found.extend(formula.expect.iter().map(|e| {
            Finding::note(
                "expectation-unknown",
                e.what.place,
                format!("`{}` can't be reckoned: no part of the piece has flour as its basis", e.what),
            )
        })),
    }
    let class = known.as_ref().map_or(DoughClass::Rich, |(_, f, _)| classify(f).class);
    found.extend(tin(course, formula, class));
    found.extend(claims(course, formula));
    found.extend(cold::cold(course, formula));
    found.extend(home(course, formula));
    found
}

/// What a variant is said to be free from, looked up in the pantry: its name stands on sheets and labels.
fn claims(course: &Course, formula: &Formula) -> Vec<Finding> {
    let mut found = Vec::new();
    for variant in &formula.variants {
        let Some(made) = with_variant(formula, &variant.id.value) else { continue };
        let held = of_piece(&made, &course.pantry);
        for claim in &variant.free_from {
            let (verdict, by) = held.verdict(&claim.value);
            let from = by.iter().map(|i| format!("`{i}`")).collect::<Vec<_>>().join(", ");
            let (id, what) = (&variant.id, &claim.value);
            found.push(match verdict {
                Verdict::Contains => Finding::error(
                    "claim-not-borne-out",
                    claim.place,
                    format!("`{id}` is said to be free from {what}, and contains it: {from}"),
                )
                .way_out("take the ingredient out of the variant, or the claim"),
                Verdict::MayContain => Finding::warning(
                    "claim-not-borne-out",
                    claim.place,
                    format!(
                        "`{id}` is said to be free from {what}, and may contain it by the packs of {from}"
                    ),
                )
                .way_out("find a pack without that statement, or take the claim out"),
                Verdict::Unknown => Finding::warning(
                    "claim-not-borne-out",
                    claim.place,
                    format!(
                        "`{id}` is said to be free from {what}, and nobody wrote down the packs of {from}"
                    ),
                )
                .way_out("read the pack and write its allergens into pantry.toml"),
                Verdict::SharedKitchen | Verdict::NoneListed => continue,
            });
        }
    }
    found
}

fn shown(p: Percent) -> String {
    Percent::new(p.number().round_dp(2)).to_string()
}

/// Flours that miss 100 % by a little are a slip of print, told and not stopped (row `bp-multi`).
fn flour_sum(part: &Part, shares: &Proportions) -> Option<Finding> {
    let p = shares.part(&part.id.value)?;
    let off = (p.flour - Decimal::ONE_HUNDRED).abs();
    let by_flour = part.basis.value == crate::course::Basis::Flour;
    (by_flour && !off.is_zero() && off <= FLOUR_SLACK).then(|| {
        Finding::note(
            "flour-not-quite-hundred",
            part.id.place,
            format!(
                "the flours of `{}` add up to {} %; they are taken in that ratio",
                part.id,
                p.flour.normalize()
            ),
        )
        .way_out("make them 100 % together")
    })
}

/// More water than this to the flour pours and is no dough: nothing that is kneaded comes near it, so a point has slipped.
const POURS: Decimal = Decimal::from_parts(200, 0, 0, false, 0);

/// A dough that would pour; the wettest line at a tenth is the way out, if that makes a dough of it.
fn too_wet(part: &Part, figures: &Figures) -> Option<Finding> {
    let wet = figures.hydration.water_content.at_least;
    if wet.number() <= POURS {
        return None;
    }
    let percent = |line: &crate::course::Line| match line.share.value {
        Share::Percent(p) => Some(p.number()),
        Share::Flour(_) | Share::Grams(_) => None,
    };
    let largest = part.of.iter().filter(|l| percent(l).is_some_and(|p| p > Decimal::ONE_HUNDRED));
    let largest = largest.max_by_key(|l| percent(l));
    let what = |line: &crate::course::Line| match &line.what.value {
        Ingredient::Item(item) => item.to_string(),
        Ingredient::Part(part) => part.to_string(),
    };
    let message = format!(
        "the water in `{}` is {} of its flour: that pours, and cannot be kneaded",
        part.id,
        shown(wet)
    );
    let finding =
        Finding::warning("too-wet-to-knead", largest.map_or(part.id.place, |line| line.share.place), message);
    Some(match largest.and_then(|line| Some((what(line), percent(line)?))) {
        Some((what, p)) => {
            finding.way_out(format!("did you mean {} % of `{what}`?", (p / Decimal::TEN).normalize()))
        }
        None => finding.way_out("look at the digits of its liquids and of its flour"),
    })
}

fn unknown_composition(part: &Part, figures: &Figures) -> Option<Finding> {
    let all =
        [("hydration", &figures.hydration.water_content), ("fat", &figures.fat), ("sugar", &figures.sugar)];
    let unknown: Vec<String> = all
        .iter()
        .filter(|(_, f)| !f.missing.is_empty())
        .map(|(what, f)| format!("{what} (between {} and {})", shown(f.at_least), shown(f.at_most)))
        .collect();
    let mut missing: Vec<&str> = Vec::new();
    for id in all.iter().flat_map(|(_, f)| &f.missing) {
        if !missing.contains(&id.as_str()) {
            missing.push(id.as_str());
        }
    }
    (!missing.is_empty()).then(|| {
        let class =
            if classify(figures).certain { "" } else { "; its class is taken as the richest that it can be" };
        Finding::note(
            "composition-unknown",
            part.id.place,
            format!("unknown of `{}`: {}{class}", part.id, unknown.join(", ")),
        )
        .way_out(format!(
            "write the composition of {} in the pantry, per 100 g as on the pack",
            missing.iter().map(|m| format!("`{m}`")).collect::<Vec<_>>().join(", ")
        ))
    })
}

/// What a belief is compared with.
enum Reckoned {
    Is(Percent),
    Unknown(Figure),
    NoSuchFigure,
}

/// `hydration` counts what the course counts as water; `fat`, `sugar`, `salt` are the true ones; `egg`, `milk`, `butter` (all fat by weight)
/// and `yeast` go by ingredient; `total` is the part's own total, `overall` that of the overall formula.
fn reckoned(
    what: &str,
    figures: &Figures,
    all: &Overall,
    own: Option<Percent>,
    count: HydrationCount,
) -> Reckoned {
    let figure = |f: &Figure| f.known().map_or_else(|| Reckoned::Unknown(f.clone()), Reckoned::Is);
    match what {
        "hydration" => match count {
            HydrationCount::AllWater => figure(&figures.hydration.water_content),
            HydrationCount::Liquids => Reckoned::Is(figures.hydration.liquids),
            HydrationCount::WaterOnly => Reckoned::Is(figures.hydration.water_only),
        },
        "fat" => figure(&figures.fat),
        "sugar" => figure(&figures.sugar),
        "salt" => figure(&figures.salt),
        "milk-solids" => figure(&figures.milk_solids),
        "egg-solids" => figure(&figures.egg_solids),
        "egg" | "eggs" => Reckoned::Is(figures.nominal.egg),
        "milk" => Reckoned::Is(figures.nominal.milk),
        "butter" => Reckoned::Is(figures.nominal.fat),
        "yeast" => Reckoned::Is(figures.nominal.yeast.iter().copied().sum()),
        "total" => own.map_or(Reckoned::NoSuchFigure, Reckoned::Is),
        "overall" => Reckoned::Is(all.total),
        _ => Reckoned::NoSuchFigure,
    }
}

/// A belief is held to the digits that it was written with: 55 % is met by 54.6 %.
fn expectation(
    e: &Expectation,
    figures: &Figures,
    all: &Overall,
    own: Option<Percent>,
    count: HydrationCount,
) -> Option<Finding> {
    let what = e.what.as_str();
    let believed = e.value.value;
    match reckoned(what, figures, all, own, count) {
        Reckoned::Is(is) => {
            let digits = believed.number().scale();
            let same = (is.number() - believed.number()).abs() * Decimal::TWO <= Decimal::new(1, digits);
            (!same).then(|| {
                let h = &figures.hydration;
                let more = if what == "hydration" {
                    let content = h.water_content.known().map_or_else(|| "unknown".to_owned(), shown);
                    format!(
                        "; counting all water it is {content}, water, milk and egg at full weight {}, only water {}",
                        shown(h.liquids),
                        shown(h.water_only)
                    )
                } else {
                    String::new()
                };
                Finding::warning(
                    "expectation-differs",
                    e.value.place,
                    format!("{what} is expected to be {believed}, but reckons to {}{more}", shown(is)),
                )
                .way_out("change the formula, or what is expected of it")
            })
        }
        // Whatever the unknown ingredient holds, it cannot come to what is expected.
        Reckoned::Unknown(f) if beyond(believed, &f) => Some(
            Finding::warning(
                "expectation-differs",
                e.value.place,
                format!(
                    "{what} is expected to be {believed}, but is between {} and {}, whatever {} holds",
                    shown(f.at_least),
                    shown(f.at_most),
                    missing(&f)
                ),
            )
            .way_out("change the formula, or what is expected of it"),
        ),
        Reckoned::Unknown(f) => Some(
            Finding::note(
                "expectation-unknown",
                e.value.place,
                format!(
                    "{what} is expected to be {believed}, but is unknown: between {} and {}",
                    shown(f.at_least),
                    shown(f.at_most)
                ),
            )
            .way_out(format!("write the composition of {} in the pantry", missing(&f))),
        ),
        Reckoned::NoSuchFigure => Some(
            Finding::warning("unknown-expectation", e.what.place, format!("`{what}` is not a figure of a formula"))
                .way_out("hydration, fat, sugar, salt, egg, milk, butter, yeast, milk-solids, egg-solids, total, overall"),
        ),
    }
}

/// Whether a belief, to the digits that it was written with, lies outside what is possible.
fn beyond(believed: Percent, figure: &Figure) -> bool {
    let half = Decimal::new(1, believed.number().scale()) / Decimal::TWO;
    believed.number() + half < figure.at_least.number() || believed.number() - half > figure.at_most.number()
}

/// The ingredients of which too little is known.
fn missing(figure: &Figure) -> String {
    figure.missing.iter().map(|m| format!("`{m}`")).collect::<Vec<_>>().join(", ")
}

fn tin(course: &Course, formula: &Formula, class: DoughClass) -> Option<Finding> {
    let piece = &formula.piece;
    let id = piece.tin.as_ref()?;
    let tin = course.kitchen.tins.iter().find(|t| t.id.value == id.value)?;
    let mass: Grams = piece_needs(formula, 1).iter().map(|(_, g)| *g).sum();
    let kind = piece.kind.as_ref().map_or_else(|| kind_of(formula, mass), |k| k.value);
    let fill = tin_fill::fill(tin, mass, kind, class)?;
    let (code, way) = match fill.fit {
        Fit::Good => return None,
        Fit::TooSmall => ("tin-too-small", "a larger tin, or about"),
        Fit::TooLarge => ("tin-too-large", "a smaller tin, or about"),
    };
    let message = format!(
        "{} g in `{}` of {} ml ({}) is {:.2} ml to the gram; {} goes from {} to {}",
        mass.to_decimal().round_dp(0).normalize(),
        id.value,
        fill.volume.to_decimal().round_dp(0).normalize(),
        if fill.measured { "measured" } else { "reckoned with straight walls" },
        fill.ratio.to_f64(),
        if fill.against.level == Level::Warning { "print" } else { "trade practice" },
        fill.against.least.to_decimal().normalize(),
        fill.against.most.to_decimal().normalize(),
    );
    let finding = match fill.against.level {
        Level::Note => Finding::note(code, id.place, message),
        _ => Finding::warning(code, id.place, message),
    };
    Some(finding.also(tin.inside.place, "the tin's inside").way_out(format!(
        "{way} {} g in this one ({})",
        fill.suits.to_decimal().normalize(),
        fill.against.source
    )))
}

/// The kind of bread where it is not written: filled, if something else makes up a tenth of it, or it is cut or braided.
pub(super) fn kind_of(formula: &Formula, mass: Grams) -> BreadKind {
    let piece = &formula.piece;
    let large = piece
        .amounts
        .iter()
        .filter(|(_, s)| match s.value {
            PieceShare::Grams(g) => g.times(10) >= mass,
            PieceShare::PercentOfDough(p) => p.number() >= Decimal::TEN,
        })
        .count();
    if large > 1 || piece.slices.is_some() || piece.strands.is_some() {
        BreadKind::Filled
    } else {
        BreadKind::Plain
    }
}

/// Amounts that the home recipe can give in grams alone.
fn home(course: &Course, formula: &Formula) -> Vec<Finding> {
    let Some(batch) = HomeBatch::of(course, formula, None, None) else { return Vec::new() };
    let mut found: Vec<Finding> = Vec::new();
    for part in &batch.parts {
        for line in &part.lines {
            let (Ingredient::Item(id), Some(Err(why))) = (&line.what, &line.volume) else { continue };
            let Some(item) = course.pantry.item(id) else { continue };
            let place = formula
                .part(&part.part)
                .and_then(|p| p.of.iter().find(|l| l.what.value == line.what).and_then(|l| l.share.place));
            let grams = line.grams.to_decimal().normalize();
            match why {
                ByWeightOnly::Nothing => {}
                ByWeightOnly::NoDensity => {
                    // An egg is counted, and one finding for each ingredient is enough.
                    let counted = matches!(item.kind.value, ItemKind::Egg | ItemKind::Yolk | ItemKind::White)
                        || line.pieces.is_some();
                    let told = found.iter().any(|f| f.code.0 == "no-density" && f.place == item.id.place);
                    if !counted && !told {
                        found.push(
                            Finding::note(
                                "no-density",
                                item.id.place,
                                format!("what a cup of `{id}` weighs is unknown: the home recipe gives it in grams alone"),
                            )
                            .also(place, "used here")
                            .way_out("write `density = \"0.53 g/ml\"`: weigh a level cup and divide by its millilitres"),
                        );
                    }
                }
                ByWeightOnly::TooCoarse => found.push(
                    Finding::note(
                        "volume-too-coarse",
                        place,
                        format!("no spoon measures {grams} g of `{id}` within 5 %: the home recipe gives it in grams alone"),
                    )
                    .way_out(format!(
                        "a home batch of more pieces: `home = {}` under `[piece]`",
                        formula.piece.home.value.saturating_mul(2)
                    )),
                ),
            }
        }
    }
    found
}
