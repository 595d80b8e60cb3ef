//! From a formula to grams and back: what 100 % means, parts inside parts, three views that agree.
//!
//! # How to use it
//!
//! ```text
//! let formula = with_variant(&formula, &variant)?;              // lines replaced; None: no such variant
//! let shares  = Proportions::of(&formula, &pantry)?;            // Err: every finding of this formula's percentages
//! let needs   = piece_needs(&formula, pieces);                  // [(part, grams as used)], linear in pieces
//! let dough   = shares.for_used(&part, used)?;                  // PartAmounts: lines, weighed, used, parts inside
//! let scald   = shares.for_least(&part, used)?;                 // the same, but never less than the part's `least`
//! dough.items()                                                 // down to the pantry, adds up to the milligram
//! shares.overall(&part)?                                        // the overall formula, % of total flour
//! ```
//!
//! `for_used` is linear and never looks at `least`: whoever decides how often a part is made (each station, each
//! batch, once for the class) sums what is used first, and then asks `for_least` for that sum; what is made beyond
//! it is `PartAmounts::surplus`.
//!
//! # What the words mean, on one example worked by hand
//!
//! ```text
//! scald   basis flour   strong-flour 100 %, milk 300 %          loses 5 %  (steam)
//! dough   basis flour   scald { flour = "10 %" }, strong-flour 90 %, eggs 20 %, sugar 10 %, salt 2 %, butter 20 %
//!                                                               loses 2 %  (hook, bowl, bench)
//! ```
//!
//! A loss lies between a part's scale and its use: `weighed x (1 - loses) = used`. Flour is counted as it was weighed;
//! what a part inside another loses is weight, not flour (and is taken as water where water is counted).
//!
//! * The scald: for each 100 of its flour 400 are weighed and 380 come out of the pan.
//! * In the dough 100 % is all the flour, that inside the scald included. A scald that carries 10 % of it is 40 % as weighed
//!   and 38 % as it goes into the bowl. A per cent written of a part (`scald = "38 %"`) means that second figure.
//! * Final dough: 38 + 90 + 20 + 10 + 2 + 20 = 180 % goes into the bowl, 176.4 % comes to the pieces.
//! * Overall formula: flour 100, milk 30, eggs 20, sugar 10, salt 2, butter 20 = 182 %. Less 2 % steam: 180 %.
//! * For 1764 g of dough as used: 1800 g into the bowl, of it 380 g scald and 900 g flour; 400 g into the pan (100 g
//!   flour, 300 g milk); 1820 g from the store. 1820 - 20 (steam) - 36 (bowl) = 1764.
mod amounts;
#[cfg(test)]
pub(crate) mod build;
mod percentages;
#[cfg(test)]
mod tests;
mod variant;
mod views;

pub use amounts::{PartAmounts, piece_needs, shared_exactly};
pub use percentages::{conversion_factor, flour_for, percentages_of, total_percentage, true_percentages};
pub use variant::with_variant;
pub use views::{Overall, OverallLine, PartView, Views};

use crate::course::{Basis, Formula, Ingredient, ItemKind, Pantry, Part, PartId, Share};
use crate::finding::Finding;
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

/// How far the flours of a part may miss 100 % in print before it is an error: 0.5 (row `bp-multi`, a class formula
/// that prints 77.19 + 22.9).
pub const FLOUR_SLACK: Decimal = Decimal::from_parts(5, 0, 0, false, 1);

/// The deepest that parts may lie inside one another: a seed in a starter in a preferment in a dough is four.
const DEEPEST: usize = 6;

/// The largest amount for each 100 of a basis that is still reckoned with.
const TOO_LARGE: Decimal = Decimal::from_parts(1_000_000_000, 0, 0, false, 0);

/// The largest per cent that is still a percentage and not a slip of the keyboard.
const ABSURD: Decimal = Decimal::from_parts(1_000_000, 0, 0, false, 0);

/// One line of a part, resolved.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LineProportion {
    /// What.
    pub what: Ingredient,
    /// How much goes in for each 100 of the basis (for basis `piece`: grams for each piece); a part as it is used.
    pub per_basis: Decimal,
    /// How much flour it brings, in the same measure, as weighed.
    pub flour: Decimal,
}

/// One part, resolved: exact shares, no grams yet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PartProportion {
    /// Which part.
    pub id: PartId,
    /// What 100 % means for it.
    pub basis: Basis,
    /// Its lines in file order, those of nought left out.
    pub lines: Vec<LineProportion>,
    /// All lines together, for each 100 of the basis: the total formula percentage of the part.
    pub weighed: Decimal,
    /// What is left of it when it is used, in the same measure.
    pub used: Decimal,
    /// All its flour, that inside its parts included, as weighed, in the same measure.
    pub flour: Decimal,
    /// The smallest amount that can be made.
    pub least: Option<Grams>,
    /// How many parts lie inside one another here: 1 for a part of ingredients only.
    pub levels: usize,
}

impl PartProportion {
    /// The total formula percentage (for basis `flour` and `whole`).
    pub fn total(&self) -> Percent {
        Percent::new(self.weighed)
    }
}

/// A formula's percentages resolved into exact shares.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Proportions {
    parts: Vec<PartProportion>,
}

impl Proportions {
    /// Resolves all parts of a formula. `pantry` says which ingredients are flour.
    ///
    /// # Errors
    /// Every finding of level error: circular parts, flour missing or not adding up, shares that do not fit the basis.
    pub fn of(formula: &Formula, pantry: &Pantry) -> Result<Proportions, Vec<Finding>> {
        let mut resolver = Resolver { formula, pantry, done: Vec::new(), findings: Vec::new() };
        for part in &formula.parts {
            resolver.part(part, &mut Vec::new());
        }
        if resolver.findings.is_empty() {
            // In file order, not in the order in which they were needed.
            let parts = formula
                .parts
                .iter()
                .filter_map(|p| {
                    resolver.done.iter().find(|(id, _)| *id == p.id.value).and_then(|(_, d)| d.clone())
                })
                .collect();
            Ok(Proportions { parts })
        } else {
            Err(resolver.findings)
        }
    }

    /// The part with this id.
    pub fn part(&self, id: &PartId) -> Option<&PartProportion> {
        self.parts.iter().find(|p| p.id == *id)
    }

    /// All parts in file order.
    pub fn iter(&self) -> impl Iterator<Item = &PartProportion> {
        self.parts.iter()
    }
}

/// Works through the parts, the inner ones first, and notes every mistake once.
struct Resolver<'a> {
    formula: &'a Formula,
    pantry: &'a Pantry,
    done: Vec<(PartId, Option<PartProportion>)>,
    findings: Vec<Finding>,
}

impl Resolver<'_> {
    /// Resolves one part; `above` are the parts that are waiting for it.
    fn part(&mut self, part: &Part, above: &mut Vec<PartId>) -> Option<PartProportion> {
        let id = &part.id.value;
        if let Some((_, done)) = self.done.iter().find(|(d, _)| d == id) {
            return done.clone();
        }
        above.push(id.clone());
        let resolved = self.lines(part, above);
        above.pop();
        self.done.push((id.clone(), resolved.clone()));
        resolved
    }

    fn lines(&mut self, part: &Part, above: &mut Vec<PartId>) -> Option<PartProportion> {
        let mut lines = Vec::new();
        let mut sound = true;
        for line in &part.of {
            let share = &line.share;
            let inner = match &line.what.value {
                Ingredient::Item(_) => None,
                Ingredient::Part(id) => {
                    if let Some(from) = above.iter().position(|a| a == id) {
                        let mut chain: Vec<&str> = above[from..].iter().map(PartId::as_str).collect();
                        chain.push(id.as_str());
                        self.findings.push(
                            Finding::error(
                                "circular-parts",
                                line.what.place,
                                format!(
                                    "the part `{id}` goes into itself: {}",
                                    chain.join(" into which goes ")
                                ),
                            )
                            .way_out("take this line out, or name another part"),
                        );
                        sound = false;
                        continue;
                    }
                    let formula = self.formula;
                    let Some(inner) = formula.part(id) else {
                        self.findings.push(
                            Finding::error(
                                "unknown-part",
                                line.what.place,
                                format!("`{id}` is not a part of this formula"),
                            )
                            .way_out(format!(
                                "its parts are {}",
                                formula
                                    .parts
                                    .iter()
                                    .map(|p| format!("`{}`", p.id))
                                    .collect::<Vec<_>>()
                                    .join(", ")
                            )),
                        );
                        sound = false;
                        continue;
                    };
                    match self.part(inner, above) {
                        Some(p) => Some(p),
                        None => {
                            // Its own finding stands already.
                            sound = false;
                            continue;
                        }
                    }
                }
            };
            match self.share(part, &line.what.value, share, inner.as_ref()) {
                Some(l) if l.per_basis.is_zero() => {}
                Some(l) => lines.push(l),
                None => sound = false,
            }
        }
        if !sound {
            return None;
        }
        self.totals(part, lines)
    }

    /// One line's share of the basis, and the flour in it.
    fn share(
        &mut self,
        part: &Part,
        what: &Ingredient,
        share: &crate::course::At<Share>,
        inner: Option<&PartProportion>,
    ) -> Option<LineProportion> {
        let name = match what {
            Ingredient::Item(i) => i.as_str(),
            Ingredient::Part(p) => p.as_str(),
        };
        let number = match share.value {
            Share::Percent(p) | Share::Flour(p) => p.number(),
            Share::Grams(g) => g.to_decimal(),
        };
        if number.is_sign_negative() && !number.is_zero() {
            self.findings.push(
                Finding::error("negative-share", share.place, format!("`{name}` has a share below nought"))
                    .way_out("write nought to leave it out"),
            );
            return None;
        }
        if number > ABSURD {
            self.findings.push(
                Finding::error(
                    "absurd-share",
                    share.place,
                    format!("`{name}` is {} of a basis of 100", number.normalize()),
                )
                .way_out("look for a slipped decimal point"),
            );
            return None;
        }
        let fits = match (part.basis.value, share.value) {
            (Basis::Flour | Basis::Whole, Share::Percent(_)) | (Basis::Piece, Share::Grams(_)) => true,
            (Basis::Flour | Basis::Whole, Share::Flour(_)) => inner.is_some(),
            _ => false,
        };
        if !fits {
            let (wrong, out) = match (part.basis.value, share.value) {
                (Basis::Piece, _) => ("a per cent", "write grams for each piece, or change the part's basis"),
                (_, Share::Grams(_)) => {
                    ("grams", "write a per cent, or `basis = \"piece\"` for grams for each piece")
                }
                _ => {
                    ("a per cent of flour", "only a part carries flour: write the ingredient's own per cent")
                }
            };
            self.findings.push(
                Finding::error(
                    "share-basis",
                    share.place,
                    format!(
                        "`{name}` is given as {wrong}, but the basis of `{}` is {}",
                        part.id,
                        basis_words(part)
                    ),
                )
                .also(part.basis.place, "the basis is set here")
                .way_out(out),
            );
            return None;
        }
        let (per_basis, flour) = match (share.value, inner) {
            (Share::Flour(p), Some(inner)) => {
                if inner.flour.is_zero() {
                    self.findings.push(
                        Finding::error(
                            "no-flour",
                            share.place,
                            format!("`{name}` carries no flour, so no amount of it carries {p} of the basis"),
                        )
                        .way_out("write how much of the part goes in: a plain per cent"),
                    );
                    return None;
                }
                (
                    inner.used.checked_mul(p.number()).and_then(|x| x.checked_div(inner.flour)),
                    Some(p.number()),
                )
            }
            (Share::Percent(_) | Share::Grams(_), Some(inner)) => {
                (Some(number), number.checked_mul(inner.flour).and_then(|x| x.checked_div(inner.used)))
            }
            (_, None) => (Some(number), Some(if self.is_flour(what) { number } else { Decimal::ZERO })),
        };
        match (per_basis, flour) {
            (Some(per_basis), Some(flour)) if per_basis < TOO_LARGE && flour < TOO_LARGE => {
                Some(LineProportion { what: what.clone(), per_basis, flour })
            }
            _ => {
                self.findings.push(Finding::error(
                    "absurd-share",
                    share.place,
                    format!("`{name}` leads to an amount too large to reckon with"),
                ));
                None
            }
        }
    }

    fn is_flour(&self, what: &Ingredient) -> bool {
        match what {
            Ingredient::Item(id) => self.pantry.item(id).is_some_and(|i| i.kind.value == ItemKind::Flour),
            Ingredient::Part(_) => false,
        }
    }

    /// The part's totals, and whether its percentages can add up.
    fn totals(&mut self, part: &Part, lines: Vec<LineProportion>) -> Option<PartProportion> {
        let id = &part.id.value;
        let weighed: Decimal = lines.iter().map(|l| l.per_basis).sum();
        let flour: Decimal = lines.iter().map(|l| l.flour).sum();
        let loses = part.loses.value.number();
        if weighed.is_zero() {
            self.findings.push(
                Finding::error("empty-part", part.id.place, format!("nothing goes into `{id}`"))
                    .way_out("give it a line, or take the part out"),
            );
            return None;
        }
        if loses.is_sign_negative() && !loses.is_zero() || loses >= Decimal::from(95) {
            self.findings.push(
                Finding::error(
                    "absurd-loss",
                    part.loses.place,
                    format!("`{id}` loses {}, which leaves nothing to use", part.loses.value),
                )
                .way_out(
                    "a dough loses 1 to 4 % to the hook, bowl and bench; a scald up to about 10 % to steam",
                ),
            );
            return None;
        }
        let hundred = Decimal::ONE_HUNDRED;
        match part.basis.value {
            Basis::Flour => {
                let inside: Decimal =
                    lines.iter().filter(|l| matches!(l.what, Ingredient::Part(_))).map(|l| l.flour).sum();
                if flour.is_zero() {
                    self.findings.push(
                        Finding::error(
                            "no-flour",
                            part.basis.place.or(part.id.place),
                            format!("100 % of `{id}` is its flour, but it has none"),
                        )
                        .way_out("give it flour, mark the ingredient `kind = \"flour\"` in the pantry, or write `basis = \"whole\"`"),
                    );
                    return None;
                }
                if inside > hundred + FLOUR_SLACK {
                    self.findings.push(
                        Finding::error(
                            "preferment-larger-than-dough",
                            part.id.place,
                            format!(
                                "the parts inside `{id}` bring {} % of its flour, more than all of it",
                                inside.round_dp(2).normalize()
                            ),
                        )
                        .way_out(
                            "write the share of the whole dough's flour that the part carries, below 100 %",
                        ),
                    );
                    return None;
                }
                if (flour - hundred).abs() > FLOUR_SLACK {
                    self.findings.push(
                        Finding::error(
                            "flour-not-hundred",
                            part.id.place,
                            format!("the flours of `{id}` add up to {} %, not 100 %", flour.round_dp(2).normalize()),
                        )
                        .way_out("flour inside a preferment or scald counts too: lower the flour line, or raise it"),
                    );
                    return None;
                }
            }
            Basis::Whole if (weighed - hundred).abs() > FLOUR_SLACK => {
                self.findings.push(
                    Finding::error(
                        "whole-not-hundred",
                        part.id.place,
                        format!(
                            "the lines of `{id}` add up to {} %, not 100 %",
                            weighed.round_dp(2).normalize()
                        ),
                    )
                    .way_out("its basis is the whole part, so its lines make 100 % together"),
                );
                return None;
            }
            Basis::Whole | Basis::Piece => {}
        }
        let levels = 1 + lines
            .iter()
            .filter_map(|l| match &l.what {
                Ingredient::Part(id) => self.done.iter().find(|(d, _)| d == id),
                Ingredient::Item(_) => None,
            })
            .filter_map(|(_, p)| p.as_ref().map(|p| p.levels))
            .max()
            .unwrap_or(0);
        if levels > DEEPEST {
            self.findings.push(
                Finding::error(
                    "parts-too-deep",
                    part.id.place,
                    format!("`{id}` has parts inside parts {levels} levels deep; {DEEPEST} is the most"),
                )
                .way_out("write an inner part's ingredients as lines of the part around it"),
            );
            return None;
        }
        let used = weighed * (hundred - loses) / hundred;
        Some(PartProportion {
            id: id.clone(),
            basis: part.basis.value,
            lines,
            weighed,
            used,
            flour,
            least: part.least.as_ref().map(|l| l.value),
            levels,
        })
    }
}

fn basis_words(part: &Part) -> &'static str {
    match part.basis.value {
        Basis::Flour => "its flour",
        Basis::Whole => "the whole part",
        Basis::Piece => "grams for each piece",
    }
}
