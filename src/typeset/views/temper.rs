//! What to do for a dough's temperature, mix by mix, as a sentence of the words catalogue.

use super::common::Phrase;
use super::desk::Desk;
use super::wording::{item_name, temperature};
use crate::course::ItemId;
use crate::reckon::dough_temperature::Advice;
use crate::reckon::dough_temperature::batches::MixedBatch;
use crate::reckon::work::Batch;
use crate::units::{Celsius, Grams};

impl Desk<'_> {
    /// What to do for the temperature of a batch's dough; `None` where no aim is written or there is nothing to warm or cool.
    pub fn temper(&self, batch: &Batch) -> Option<Phrase> {
        let same = |m: &&MixedBatch| {
            (&m.batch.lesson, &m.batch.part, m.batch.no) == (&batch.lesson, &batch.part, batch.no)
        };
        let mix = self.mixes.iter().find(same)?;
        let names =
            |items: &[ItemId]| items.iter().map(|i| item_name(self.course, i)).collect::<Vec<_>>().join(", ");
        // Whole degrees: no kitchen hits a tenth.
        let degrees = |at: Celsius| {
            let m = temperature(at.to_nearest(Celsius::whole(1)), self.units());
            format!("{}\u{202F}{}", m.value, m.unit)
        };
        let grams = |g: Grams| g.to_nearest(Grams::whole(1)).to_decimal().normalize().to_string();
        let aim = ("aim", degrees(mix.temperature.conditions.wanted));
        let liquid = ("liquid", names(&mix.chosen));
        let longer = mix.rises_longer.map(|percent| ("longer", percent.to_string()));
        Some(match mix.temperature.advice {
            Advice::LiquidAt(at) if mix.as_kept.is_empty() => {
                Phrase::new("temper.liquid-at", [aim, liquid, ("at", degrees(at))])
            }
            Advice::LiquidAt(at) => {
                let kept = ("kept", names(&mix.as_kept));
                Phrase::new("temper.liquid-kept", [aim, liquid, ("at", degrees(at)), kept])
            }
            Advice::Ice { ice, water } => {
                // A figure that rests on a tap that nobody measured says so.
                let word = if mix.temperature.tap_assumed() { "temper.ice-assumed" } else { "temper.ice" };
                let tap = ("tap", degrees(mix.temperature.tap));
                Phrase::new(word, [aim, ("ice", grams(ice)), ("water", grams(water)), tap])
            }
            Advice::ChillFlour(at) => {
                let all = ("liquid", names(&[&mix.chosen[..], &mix.as_kept[..]].concat()));
                Phrase::new("temper.chill-flour", [aim, all, ("at", degrees(at))])
            }
            Advice::TooWarm(at) => Phrase::new("temper.too-warm", [aim, ("at", degrees(at))]),
            Advice::TooCold { liquid: most, dough } => {
                let (most, at) = (("most", degrees(most)), ("at", degrees(dough)));
                match longer {
                    Some(longer) => Phrase::new("temper.too-cold-longer", [aim, liquid, most, at, longer]),
                    None => Phrase::new("temper.too-cold", [aim, liquid, most, at]),
                }
            }
            Advice::AsKept(dough) => {
                let kept = ("kept", names(&mix.as_kept));
                match longer {
                    Some(longer) => {
                        Phrase::new("temper.as-kept-longer", [aim, kept, ("at", degrees(dough)), longer])
                    }
                    None => Phrase::new("temper.as-kept", [aim, kept, ("at", degrees(dough))]),
                }
            }
            Advice::NoLiquid => return None,
        })
    }
}
