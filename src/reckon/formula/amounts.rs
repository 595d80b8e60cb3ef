//! Grams: how much of everything for a wanted amount of a part.
use super::{PartProportion, Proportions};
use crate::course::{Formula, Ingredient, ItemId, PartId, PieceShare};
use crate::units::Grams;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::collections::BTreeMap;

/// What is weighed for one part, once made, and for the parts inside it. Lines add up to `weighed`, to the milligram.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PartAmounts {
    /// Which part.
    pub part: PartId,
    /// What goes in, in file order: an ingredient as weighed, a part as it is used.
    pub lines: Vec<(Ingredient, Grams)>,
    /// All lines together.
    pub weighed: Grams,
    /// What comes out after the part's own loss.
    pub used: Grams,
    /// What was asked for; less than `used` only where the least that can be made is more.
    pub needed: Grams,
    /// The parts inside, one for each line that names a part, in the order of those lines.
    pub inner: Vec<PartAmounts>,
}

impl PartAmounts {
    /// Made beyond what was asked for, because less cannot be made.
    pub fn surplus(&self) -> Grams {
        self.used - self.needed
    }

    /// Lost between scale and use in this part alone.
    pub fn lost(&self) -> Grams {
        self.weighed - self.used
    }

    /// Everything down to the pantry, by ingredient.
    pub fn items(&self) -> BTreeMap<ItemId, Grams> {
        let mut sums = BTreeMap::new();
        self.add_items(&mut sums);
        sums
    }

    fn add_items(&self, sums: &mut BTreeMap<ItemId, Grams>) {
        for (what, grams) in &self.lines {
            if let Ingredient::Item(id) = what {
                *sums.entry(id.clone()).or_default() += *grams;
            }
        }
        for inner in &self.inner {
            inner.add_items(sums);
        }
    }

    /// Lost and left over in the parts inside: what makes `items` heavier than `weighed`.
    pub fn beyond_weighed(&self) -> Grams {
        self.inner.iter().map(|i| i.weighed - i.needed + i.beyond_weighed()).sum()
    }

    /// How much of this ingredient or part goes in as a line of this part.
    pub fn of(&self, what: &Ingredient) -> Grams {
        self.lines.iter().filter(|(w, _)| w == what).map(|(_, g)| *g).sum()
    }
}

/// Shares a mass by exact weights so that the shares add up to it: each is rounded down to a milligram and the
/// milligrams left over go to the largest remainders, earlier ones first. Weights must not be negative; when they are
/// all nought everything goes to the first.
pub fn shared_exactly(whole: Grams, weights: &[Decimal]) -> Vec<Grams> {
    let total: Decimal = weights.iter().copied().sum();
    let mg = Decimal::from(whole.mg());
    let mut shares: Vec<(i64, Decimal)> = weights
        .iter()
        .map(|w| {
            // The ratio is at most one, so the product fits whatever the mass.
            let exact = if total.is_zero() { Decimal::ZERO } else { mg * (*w / total) };
            let down = exact.floor();
            (down.to_i64().unwrap_or(0), exact - down)
        })
        .collect();
    let mut left = whole.mg() - shares.iter().map(|s| s.0).sum::<i64>();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| shares[*b].1.cmp(&shares[*a].1).then(a.cmp(b)));
    for i in order {
        if left == 0 {
            break;
        }
        // All weights nought: the first takes everything.
        let take = if total.is_zero() { left } else { left.signum() };
        shares[i].0 += take;
        left -= take;
    }
    shares.into_iter().map(|(s, _)| Grams::from_mg(s)).collect()
}

impl Proportions {
    /// What to weigh so that `used` of a part is there when it is used. Linear in `used`; `least` is not looked at.
    ///
    /// `None`: no such part, or an amount too large to reckon with.
    pub fn for_used(&self, part: &PartId, used: Grams) -> Option<PartAmounts> {
        self.amounts(self.part(part)?, used, false)
    }

    /// As [`for_used`](Self::for_used), but neither this part nor one inside it is made in less than its `least`.
    pub fn for_least(&self, part: &PartId, used: Grams) -> Option<PartAmounts> {
        self.amounts(self.part(part)?, used, true)
    }

    /// What to weigh when `weighed` of a part goes into its bowl.
    pub fn for_weighed(&self, part: &PartId, weighed: Grams) -> Option<PartAmounts> {
        let p = self.part(part)?;
        let used = Grams::from_decimal(weighed.to_decimal() * (p.used / p.weighed))?;
        self.fill(p, weighed, used, used, false)
    }

    /// What to weigh for a given weight of flour, that inside the parts included (textbook row `bp-def`).
    pub fn for_flour(&self, part: &PartId, flour: Grams) -> Option<PartAmounts> {
        let p = self.part(part)?;
        let per_flour = p.weighed.checked_div(p.flour)?;
        self.for_weighed(part, Grams::from_decimal(flour.to_decimal().checked_mul(per_flour)?)?)
    }

    fn amounts(&self, part: &PartProportion, needed: Grams, least: bool) -> Option<PartAmounts> {
        let used = match part.least {
            // A part of which nothing is used is not made at all.
            Some(l) if least && needed > Grams::ZERO => needed.at_least(l),
            _ => needed,
        };
        let weighed =
            Grams::from_decimal(used.to_decimal().checked_mul(part.weighed.checked_div(part.used)?)?)?;
        self.fill(part, weighed, used, needed, least)
    }

    fn fill(
        &self,
        part: &PartProportion,
        weighed: Grams,
        used: Grams,
        needed: Grams,
        least: bool,
    ) -> Option<PartAmounts> {
        let weights: Vec<Decimal> = part.lines.iter().map(|l| l.per_basis).collect();
        let shares = shared_exactly(weighed, &weights);
        let lines: Vec<(Ingredient, Grams)> = part.lines.iter().map(|l| l.what.clone()).zip(shares).collect();
        let inner = lines
            .iter()
            .filter_map(|(what, grams)| match what {
                Ingredient::Part(id) => Some((id, *grams)),
                Ingredient::Item(_) => None,
            })
            .map(|(id, grams)| self.amounts(self.part(id)?, grams, least))
            .collect::<Option<Vec<_>>>()?;
        Some(PartAmounts { part: part.id.clone(), lines, weighed, used, needed, inner })
    }
}

/// How much of each part `pieces` pieces take, as used, in file order. Rounded to milligrams for one piece and then
/// multiplied, so that any split of the pieces adds up.
///
/// A share of the dough (`"33 % of dough"`) is of the piece's amount of the part called `dough`, or else of its first
/// amount in grams.
pub fn piece_needs(formula: &Formula, pieces: u32) -> Vec<(PartId, Grams)> {
    let amounts = &formula.piece.amounts;
    let grams = |(_, share): &&(crate::course::At<PartId>, crate::course::At<PieceShare>)| {
        matches!(share.value, PieceShare::Grams(_))
    };
    let dough = amounts
        .iter()
        .filter(grams)
        .find(|(part, _)| part.as_str() == "dough")
        .or_else(|| amounts.iter().find(grams))
        .map_or(Grams::ZERO, |(_, share)| match share.value {
            PieceShare::Grams(g) => g,
            PieceShare::PercentOfDough(_) => Grams::ZERO,
        });
    amounts
        .iter()
        .map(|(part, share)| {
            let one = match share.value {
                PieceShare::Grams(g) => g,
                PieceShare::PercentOfDough(p) => p.of(dough),
            };
            (part.value.clone(), one.times(i64::from(pieces)))
        })
        .collect()
}
