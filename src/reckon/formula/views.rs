//! One formula seen three ways: overall, part by part, and the final dough. They agree by construction and by test.
use super::{PartAmounts, Proportions};
use crate::course::{Basis, Ingredient, ItemId, PartId};
use crate::units::{Grams, Percent};
use rust_decimal::Decimal;

/// One ingredient of the overall formula.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OverallLine {
    /// The ingredient.
    pub item: ItemId,
    /// Per cent of the total flour (of the whole, where there is no flour), as weighed.
    pub percent: Percent,
    /// How much of `percent` stands in which part, in the order in which the parts are met.
    pub from: Vec<(PartId, Percent)>,
}

/// Everything down to the pantry, as per cent of the total flour.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Overall {
    /// The part that it is the overall formula of.
    pub part: PartId,
    /// `true`: 100 % is the total flour; `false`: there is none, and 100 % is the part as weighed.
    pub by_flour: bool,
    /// Ingredients in the order in which the file names them; those of an inner part stand where the part stands.
    pub lines: Vec<OverallLine>,
    /// All lines together: the total formula percentage.
    pub total: Percent,
    /// What the inner parts lose before they are used: steam, or what stays on the bowl.
    pub lost_inside: Percent,
    /// The same part by part, in the order in which they are met.
    pub losses: Vec<LostInside>,
    /// Flour inside each inner part: the prefermented (or scalded) flour, per cent of the total flour.
    pub flour_inside: Vec<(PartId, Percent)>,
}

/// What one inner part loses before it is used.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LostInside {
    /// The part.
    pub part: PartId,
    /// How much, per cent of the total flour.
    pub percent: Percent,
    /// What is in it, that inside its own parts included.
    pub items: Vec<ItemId>,
}

/// One part by its own basis.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PartView {
    /// Which part.
    pub part: PartId,
    /// What its 100 % is.
    pub basis: Basis,
    /// Its lines by its own basis (basis `piece`: grams); an inner part as it is used.
    pub lines: Vec<(Ingredient, Percent)>,
    /// All lines together.
    pub total: Percent,
}

/// The three views of one formula, for one amount.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Views {
    /// Everything down to the pantry.
    pub overall: Overall,
    /// Grams of each line of the overall formula, in its order.
    pub overall_grams: Vec<Grams>,
    /// Each part that goes in, the innermost first, the part itself last.
    pub parts: Vec<PartView>,
    /// What goes into the last bowl; an inner part is one line, as it goes in.
    pub final_dough: PartAmounts,
}

impl Proportions {
    /// The overall formula of a part. `None`: no such part, or figures too large to reckon with.
    pub fn overall(&self, part: &PartId) -> Option<Overall> {
        let p = self.part(part)?;
        let by_flour = !p.flour.is_zero();
        let hundred = if by_flour { p.flour } else { p.weighed };
        let mut all = Overall {
            part: part.clone(),
            by_flour,
            lines: Vec::new(),
            total: Percent::ZERO,
            lost_inside: Percent::ZERO,
            losses: Vec::new(),
            flour_inside: Vec::new(),
        };
        // For each one of the part's own basis units, how much per cent of the total flour.
        self.spread(part, Decimal::ONE_HUNDRED.checked_div(hundred)?, &mut all)?;
        all.total = all.lines.iter().map(|l| l.percent).sum();
        Some(all)
    }

    /// Adds the lines of one part, each of its basis units being `scale` per cent of the whole formula's basis.
    fn spread(&self, part: &PartId, scale: Decimal, all: &mut Overall) -> Option<()> {
        for line in &self.part(part)?.lines {
            let percent = Percent::new(line.per_basis.checked_mul(scale)?);
            match &line.what {
                Ingredient::Item(item) => match all.lines.iter_mut().find(|l| l.item == *item) {
                    Some(l) => {
                        l.percent = l.percent + percent;
                        match l.from.iter_mut().find(|(p, _)| p == part) {
                            Some((_, sum)) => *sum = *sum + percent,
                            None => l.from.push((part.clone(), percent)),
                        }
                    }
                    None => all.lines.push(OverallLine {
                        item: item.clone(),
                        percent,
                        from: vec![(part.clone(), percent)],
                    }),
                },
                Ingredient::Part(id) => {
                    let inner = self.part(id)?;
                    // From the inner part as used to its own basis units.
                    let units = percent.number().checked_div(inner.used)?;
                    let lost = Percent::new(units.checked_mul(inner.weighed - inner.used)?);
                    all.lost_inside = all.lost_inside + lost;
                    let items = self.for_weighed(id, Grams::whole(1000))?.items().into_keys().collect();
                    all.losses.push(LostInside { part: id.clone(), percent: lost, items });
                    let flour = Percent::new(units.checked_mul(inner.flour)?);
                    match all.flour_inside.iter_mut().find(|(p, _)| p == id) {
                        Some((_, sum)) => *sum = *sum + flour,
                        None => all.flour_inside.push((id.clone(), flour)),
                    }
                    self.spread(id, units, all)?;
                }
            }
        }
        Some(())
    }

    /// The three views for `used` grams of a part. `None` as for [`overall`](Self::overall).
    pub fn views(&self, part: &PartId, used: Grams) -> Option<Views> {
        let overall = self.overall(part)?;
        let final_dough = self.for_used(part, used)?;
        let items = final_dough.items();
        let overall_grams =
            overall.lines.iter().map(|l| items.get(&l.item).copied().unwrap_or(Grams::ZERO)).collect();
        let mut order = Vec::new();
        self.innermost_first(part, &mut order);
        let parts = order
            .iter()
            .filter_map(|id| self.part(id))
            .map(|p| PartView {
                part: p.id.clone(),
                basis: p.basis,
                lines: p.lines.iter().map(|l| (l.what.clone(), Percent::new(l.per_basis))).collect(),
                total: p.total(),
            })
            .collect();
        Some(Views { overall, overall_grams, parts, final_dough })
    }

    /// The part and all parts inside it, each after those that go into it.
    pub fn innermost_first(&self, part: &PartId, order: &mut Vec<PartId>) {
        if order.contains(part) {
            return;
        }
        if let Some(p) = self.part(part) {
            for line in &p.lines {
                if let Ingredient::Part(id) = &line.what {
                    self.innermost_first(id, order);
                }
            }
            order.push(part.clone());
        }
    }
}
