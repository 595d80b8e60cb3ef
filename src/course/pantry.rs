//! The pantry: ingredients, their composition and packs, and the suppliers.

use super::{AllergenId, Amount, At, ItemId, SupplierId};
use crate::units::{Grams, Minutes, Money, Percent};
use rust_decimal::Decimal;

/// Everything in `pantry.toml`.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Pantry {
    /// Ingredients in file order.
    pub items: Vec<Item>,
    /// Suppliers in file order.
    pub suppliers: Vec<Supplier>,
    /// The allergen list by which packs are read: a pack names what is on it, and need not name anything else. Empty: none, and
    /// packs say nothing.
    pub read_for: String,
}

impl Pantry {
    /// The ingredient with this id.
    pub fn item(&self, id: &ItemId) -> Option<&Item> {
        self.items.iter().find(|i| i.id.value == *id)
    }
    /// The supplier with this id.
    pub fn supplier(&self, id: &SupplierId) -> Option<&Supplier> {
        self.suppliers.iter().find(|s| s.id.value == *id)
    }
}

/// What an ingredient counts as in a dough.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum ItemKind {
    /// Counts into the 100 %.
    Flour,
    /// Salt.
    Salt,
    /// Fresh (compressed) yeast.
    FreshYeast,
    /// Active dry yeast.
    DryYeast,
    /// Instant dry yeast.
    InstantYeast,
    /// Whole egg, out of the shell.
    Egg,
    /// Yolk.
    Yolk,
    /// White.
    White,
    /// Milk and cream.
    Milk,
    /// Another liquid that is warmed or cooled for a dough: a plant drink, juice, beer.
    Drink,
    /// Milk powder.
    MilkPowder,
    /// Butter, oil, lard.
    Fat,
    /// Sugar, honey, syrup.
    Sugar,
    /// Water.
    Water,
    /// Anything else.
    Other,
}

/// Composition per 100 g, each figure unknown if not written.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Composition {
    /// Water.
    pub water: Option<Percent>,
    /// Fat.
    pub fat: Option<Percent>,
    /// Sugars.
    pub sugars: Option<Percent>,
    /// Carbohydrate, sugars included, fibre not.
    pub carbohydrate: Option<Percent>,
    /// Fibre.
    pub fibre: Option<Percent>,
    /// Saturated fat.
    pub saturates: Option<Percent>,
    /// Protein.
    pub protein: Option<Percent>,
    /// Salt (sodium x 2.5).
    pub salt: Option<Percent>,
    /// Milk solids, fat included.
    pub milk_solids: Option<Percent>,
}

/// What is known of an ingredient's allergens.
#[derive(Clone, PartialEq, Debug)]
pub enum Allergens {
    /// Nothing was written: unknown, never free.
    Unknown,
    /// Read off the pack.
    Stated {
        /// It contains these.
        contains: Vec<At<AllergenId>>,
        /// It may contain these.
        may_contain: Vec<At<AllergenId>>,
        /// When the pack was read, as written (`"2027-02-20, pack"`).
        checked: Option<At<String>>,
    },
}

/// One pack size of an ingredient.
#[derive(Clone, PartialEq, Debug)]
pub struct Pack {
    /// How much is in it; eggs by the piece, out of the shell by `each`.
    pub of: At<Amount>,
    /// What it costs.
    pub price: At<Money>,
    /// From whom.
    pub supplier: At<SupplierId>,
    /// Days that it keeps after delivery.
    pub keeps_days: Option<At<u32>>,
}

/// Something on the shelf.
#[derive(Clone, PartialEq, Debug)]
pub struct Stock {
    /// How much.
    pub of: At<Amount>,
    /// Best before.
    pub best_before: Option<At<jiff::civil::Date>>,
}

/// A named allowance on top of what is weighed.
#[derive(Clone, PartialEq, Debug)]
pub struct Allowance {
    /// Why: `bench`, `breakage`, `peel`, `loss`.
    pub why: At<String>,
    /// How much on top.
    pub share: At<Percent>,
}

/// One ingredient.
#[derive(Clone, PartialEq, Debug)]
pub struct Item {
    /// Its id.
    pub id: At<ItemId>,
    /// The name that is printed.
    pub name: At<String>,
    /// What it counts as.
    pub kind: At<ItemKind>,
    /// Composition.
    pub composition: Composition,
    /// Energy per 100 g in kcal, if written.
    pub kcal: Option<At<Decimal>>,
    /// Allergens.
    pub allergens: Allergens,
    /// Grams per millilitre, as used.
    pub density: Option<At<Decimal>>,
    /// One of it, edible part: an egg out of its shell.
    pub each: Option<At<Grams>>,
    /// The class of size that `each` stands for: `"EU M"`, `"US large"`.
    pub size: Option<At<String>>,
    /// The finest step of the scale that it is weighed on; `None`: the course's.
    pub weigh: Option<At<Grams>>,
    /// Kept in the cold.
    pub cold: bool,
    /// Raw and unsafe before cooking: raw egg, flour.
    pub raw: bool,
    /// Not counted into an order: salt, water.
    pub staple: bool,
    /// Allowances in file order.
    pub allowances: Vec<Allowance>,
    /// Pack sizes in file order.
    pub packs: Vec<Pack>,
    /// Stock in file order.
    pub stock: Vec<Stock>,
    /// Stand-ins with their ratio by weight.
    pub stand_ins: Vec<(At<ItemId>, At<Percent>)>,
    /// How the label names it, with what it is made of: "butter (milk)".
    pub label: Option<At<String>>,
    /// Size of a stick, block or packet for the home recipe.
    pub packet: Option<(At<String>, At<Grams>)>,
    /// The rate of tax that its prices include; `None`: the course's.
    pub tax: Option<At<Percent>>,
}

/// A day of the week on which a supplier delivers.
pub type Weekday = jiff::civil::Weekday;

/// One supplier.
#[derive(Clone, PartialEq, Debug)]
pub struct Supplier {
    /// Its id.
    pub id: At<SupplierId>,
    /// The name that is printed.
    pub name: At<String>,
    /// Where to write to.
    pub email: Option<At<String>>,
    /// Our customer number.
    pub account: Option<At<String>>,
    /// Days from order to delivery.
    pub lead_days: At<u32>,
    /// Days on which they deliver; empty: any day. A shop one goes to has lead 0.
    pub delivers: Vec<At<Weekday>>,
    /// The least order.
    pub least_order: Option<At<Money>>,
    /// The fee for a delivery.
    pub delivery_fee: Option<At<Money>>,
    /// Orders close at this time of day, minutes after midnight.
    pub closes: Option<At<Minutes>>,
}
