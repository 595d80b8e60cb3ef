//! The answers for programs: one view for each command. Fields keep their names; new ones may be added.
//!
//! Masses are numbers in grams, money is a decimal string with an ISO 4217 code beside it, times are RFC 3339 with
//! their offset, ids are the ids in the files.

pub mod after;
pub mod catch_up;
pub mod changes;
pub mod dough;
pub mod draft;
pub mod equip;
pub mod findings;
pub mod formulas;
pub mod home;
pub mod order;
pub mod plan;
pub mod prepare;
pub mod recipe;
pub mod review;
pub mod roll;
pub mod safety;
pub mod scale;
pub mod season;
pub mod swap;
pub mod why;
pub mod yields;

use crate::units::{Grams, Money, minor_units};
use jiff::ZonedDateTime;
use serde::{Serialize, Serializer};

/// A mass as a number in grams: whole where it is whole, else in as many digits as it needs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct InGrams(pub Grams);

impl Serialize for InGrams {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mg = self.0.mg();
        if mg % 1000 == 0 {
            serializer.serialize_i64(mg / 1000)
        } else {
            serializer.serialize_f64(self.0.to_f64())
        }
    }
}

/// A view as text: one JSON document with a line end.
#[must_use]
pub fn to_text(view: &impl Serialize) -> String {
    // Views hold strings, numbers and lists: there is nothing in them that cannot be written.
    serde_json::to_string_pretty(view).unwrap_or_default() + "\n"
}

/// An amount of money as a decimal string with its currency's places.
#[must_use]
pub fn decimal(money: Money, currency: &str) -> String {
    let places = minor_units(currency);
    format!("{:.*}", places as usize, money.rounded(places).amount())
}

/// A moment as RFC 3339 with its offset: `2027-03-06T13:00:00+00:00`.
#[must_use]
pub fn moment(at: &ZonedDateTime) -> String {
    at.timestamp().display_with_offset(at.offset()).to_string()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn money_and_moments_are_text() {
        assert_eq!(decimal(Money::new("7.5".parse().unwrap()), "EUR"), "7.50");
        assert_eq!(decimal(Money::new("1250".parse().unwrap()), "JPY"), "1250");
        let at: ZonedDateTime = "2027-07-03T13:00[Europe/Dublin]".parse().unwrap();
        assert_eq!(moment(&at), "2027-07-03T13:00:00+01:00");
    }

    proptest! {
        /// A program that reads the number back gets the same milligrams.
        #[test]
        fn no_milligram_is_lost(mg in -1_000_000_000_000i64..1_000_000_000_000) {
            let text = serde_json::to_string(&InGrams(Grams::from_mg(mg))).unwrap();
            let read: rust_decimal::Decimal = text.parse().unwrap();
            prop_assert_eq!(Grams::from_decimal(read), Some(Grams::from_mg(mg)));
        }
    }
}
