//! Units as types: a mass cannot be passed for a temperature, and sums are exact.
//!
//! Every measured quantity is a whole number of thousandths of its unit (milligrams, thousandths of
//! a degree, ...). Physics may work in `f64` inside a function; what it returns is a unit again.
//! Rounding happens at the edge, by a named rule.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// Rounds `num / den` half away from zero. `den` must be positive.
fn rounded_ratio(num: i128, den: i128) -> i64 {
    let half = den / 2;
    let q = if num >= 0 { (num + half) / den } else { (num - half) / den };
    q.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64
}

macro_rules! thousandths {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
        pub struct $name(i64);

        impl $name {
            /// Nought.
            pub const ZERO: $name = $name(0);
            #[doc = concat!("From whole thousandths of ", $unit, ".")]
            pub const fn from_thousandths(n: i64) -> Self {
                $name(n)
            }
            #[doc = concat!("Whole thousandths of ", $unit, ".")]
            pub const fn thousandths(self) -> i64 {
                self.0
            }
            #[doc = concat!("From whole ", $unit, ".")]
            pub const fn whole(n: i64) -> Self {
                $name(n.saturating_mul(1000))
            }
            #[doc = concat!("From digits as written, in ", $unit, "; `None` when they do not fit. Finer digits than thousandths are rounded half away from zero.")]
            pub fn from_decimal(d: Decimal) -> Option<Self> {
                let scaled = d.checked_mul(Decimal::ONE_THOUSAND)?;
                scaled
                    .round_dp_with_strategy(0, rust_decimal::RoundingStrategy::MidpointAwayFromZero)
                    .to_i64()
                    .map($name)
            }
            #[doc = concat!("From a computed number of ", $unit, ", rounded to the nearest thousandth; not a number becomes nought.")]
            pub fn from_f64(x: f64) -> Self {
                $name((x * 1000.0).round() as i64)
            }
            #[doc = concat!("The number of ", $unit, ", for physics and for drawing.")]
            pub fn to_f64(self) -> f64 {
                self.0 as f64 / 1000.0
            }
            #[doc = concat!("The exact number of ", $unit, ".")]
            pub fn to_decimal(self) -> Decimal {
                Decimal::new(self.0, 3)
            }
            /// `self * num / den`, rounded half away from zero to a thousandth; `den` nought gives nought.
            pub fn ratio(self, num: i64, den: i64) -> Self {
                if den == 0 {
                    return Self::ZERO;
                }
                let sign = if den < 0 { -1 } else { 1 };
                $name(rounded_ratio(
                    i128::from(self.0) * i128::from(num) * sign,
                    i128::from(den) * sign,
                ))
            }
            /// A whole multiple.
            pub const fn times(self, n: i64) -> Self {
                $name(self.0.saturating_mul(n))
            }
            /// Rounded to the nearest multiple of `step` (half away from zero); a `step` of nought changes nothing.
            pub fn to_nearest(self, step: Self) -> Self {
                if step.0 <= 0 {
                    return self;
                }
                $name(rounded_ratio(i128::from(self.0), i128::from(step.0)) * step.0)
            }
            /// Rounded up to a multiple of `step`.
            pub fn up_to_multiple(self, step: Self) -> Self {
                if step.0 <= 0 {
                    return self;
                }
                $name(self.0.div_euclid(step.0) * step.0 + if self.0.rem_euclid(step.0) > 0 { step.0 } else { 0 })
            }
            /// The larger of two.
            pub fn at_least(self, other: Self) -> Self {
                self.max(other)
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, o: Self) -> Self {
                $name(self.0.saturating_add(o.0))
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, o: Self) -> Self {
                $name(self.0.saturating_sub(o.0))
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                $name(-self.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, o: Self) {
                *self = *self + o;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, o: Self) {
                *self = *self - o;
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self::ZERO, Add::add)
            }
        }
        impl<'a> Sum<&'a $name> for $name {
            fn sum<I: Iterator<Item = &'a Self>>(iter: I) -> Self {
                iter.copied().sum()
            }
        }
    };
}

thousandths!(
    /// A mass, in whole milligrams.
    Grams,
    "grams"
);
thousandths!(
    /// A thermometer reading, in thousandths of a degree Celsius.
    Celsius,
    "degrees Celsius"
);
thousandths!(
    /// A difference between two temperatures, in thousandths of a kelvin. 25 F degrees are 13.889 K, never -3.9 °C.
    Kelvins,
    "kelvins"
);
thousandths!(
    /// A volume, in thousandths of a millilitre.
    Millilitres,
    "millilitres"
);
thousandths!(
    /// A length, in thousandths of a centimetre.
    Centimetres,
    "centimetres"
);
thousandths!(
    /// A density, in thousandths of a gram per millilitre: how heavy dough lies on a sheet.
    GramsPerMl,
    "grams per millilitre"
);
thousandths!(
    /// Room for a mass, in thousandths of a millilitre per gram: how much tin a gram of dough has.
    MlPerGram,
    "millilitres per gram"
);
thousandths!(
    /// Electric power, in milliwatts.
    Watts,
    "watts"
);
thousandths!(
    /// Electric current, in milliamperes.
    Amperes,
    "amperes"
);

impl Grams {
    /// From whole milligrams.
    pub const fn from_mg(mg: i64) -> Self {
        Grams::from_thousandths(mg)
    }
    /// Whole milligrams.
    pub const fn mg(self) -> i64 {
        self.thousandths()
    }
    /// Shares a mass by weights so that the shares add up to it exactly: each share is rounded down and the
    /// milligrams left over go to the largest remainders, earlier ones first. Weights that are all nought share evenly;
    /// no weights share nothing.
    pub fn shared_by(self, weights: &[i64]) -> Vec<Grams> {
        if weights.is_empty() {
            return Vec::new();
        }
        let total: i128 = weights.iter().map(|w| i128::from(*w)).sum();
        let even = vec![1i64; weights.len()];
        let (weights, total) =
            if total <= 0 { (even.as_slice(), weights.len() as i128) } else { (weights, total) };
        let mg = i128::from(self.mg());
        let mut shares: Vec<(i128, i128)> = weights
            .iter()
            .map(|w| ((mg * i128::from(*w)).div_euclid(total), (mg * i128::from(*w)).rem_euclid(total)))
            .collect();
        let mut left = mg - shares.iter().map(|s| s.0).sum::<i128>();
        let mut order: Vec<usize> = (0..shares.len()).collect();
        order.sort_by_key(|i| (-shares[*i].1, *i));
        for i in order {
            if left == 0 {
                break;
            }
            shares[i].0 += 1;
            left -= 1;
        }
        shares.into_iter().map(|(s, _)| Grams::from_mg(s as i64)).collect()
    }
}

impl Millilitres {
    /// The room that each gram of a mass has in this volume; `None` for no mass.
    pub fn for_each(self, mass: Grams) -> Option<MlPerGram> {
        (mass > Grams::ZERO).then(|| MlPerGram::from_thousandths(1000).ratio(self.thousandths(), mass.mg()))
    }
    /// The mass that has so much room for each gram here; `None` for no room.
    pub fn holds_at(self, each: MlPerGram) -> Option<Grams> {
        (each > MlPerGram::ZERO).then(|| Grams::from_mg(self.thousandths()).ratio(1000, each.thousandths()))
    }
}

impl Grams {
    /// The volume of this mass; `None` for no density.
    pub fn volume(self, density: GramsPerMl) -> Option<Millilitres> {
        (density > GramsPerMl::ZERO)
            .then(|| Millilitres::from_thousandths(self.mg()).ratio(1000, density.thousandths()))
    }
}

impl Celsius {
    /// From degrees Fahrenheit, a thermometer reading.
    pub fn from_fahrenheit(f: Decimal) -> Option<Self> {
        let c = (f - Decimal::from(32)).checked_mul(Decimal::from(5))? / Decimal::from(9);
        Celsius::from_decimal(c)
    }
    /// Degrees Fahrenheit of this reading, exactly.
    pub fn fahrenheit(self) -> Decimal {
        self.to_decimal() * Decimal::new(18, 1) + Decimal::from(32)
    }
    /// What an oven's dial in Fahrenheit is set to for it: they are marked in steps of five degrees.
    pub fn fahrenheit_dial(self) -> Decimal {
        let step = Decimal::from(5);
        (self.fahrenheit() / step).round() * step
    }
    /// How much warmer this is than `other`.
    pub fn above(self, other: Celsius) -> Kelvins {
        Kelvins::from_thousandths(self.thousandths() - other.thousandths())
    }
    /// This reading raised by a difference.
    pub fn raised(self, by: Kelvins) -> Celsius {
        Celsius::from_thousandths(self.thousandths() + by.thousandths())
    }
}

impl Kelvins {
    /// From a difference in Fahrenheit degrees: 25 F° are 13.889 K. A difference is not a reading: nothing is taken off.
    pub fn from_fahrenheit_degrees(f: Decimal) -> Option<Self> {
        Kelvins::from_decimal(f.checked_mul(Decimal::from(5))? / Decimal::from(9))
    }
}

/// A share of something, in per cent, with the digits that were written.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Percent(Decimal);

impl Percent {
    /// Nought per cent.
    pub const ZERO: Percent = Percent(Decimal::ZERO);
    /// A hundred per cent.
    pub const HUNDRED: Percent = Percent(Decimal::ONE_HUNDRED);
    /// From the number before the sign: `Percent::new(dec("1.9"))` is 1.9 %.
    pub const fn new(number: Decimal) -> Self {
        Percent(number)
    }
    /// The number before the sign.
    pub const fn number(self) -> Decimal {
        self.0
    }
    /// As a factor: 1.9 % is 0.019.
    pub fn factor(self) -> Decimal {
        self.0 / Decimal::ONE_HUNDRED
    }
    /// From a factor: 0.019 is 1.9 %.
    pub fn from_factor(f: Decimal) -> Self {
        Percent(f * Decimal::ONE_HUNDRED)
    }
    /// The number before the sign, for comparing and drawing.
    pub fn to_f64(self) -> f64 {
        self.0.to_f64().unwrap_or(0.0)
    }
    /// This share of a mass, rounded half away from zero to a milligram.
    pub fn of(self, whole: Grams) -> Grams {
        whole.to_decimal().checked_mul(self.factor()).and_then(Grams::from_decimal).unwrap_or(Grams::ZERO)
    }
}

impl Add for Percent {
    type Output = Percent;
    fn add(self, o: Percent) -> Percent {
        Percent(self.0 + o.0)
    }
}
impl Sub for Percent {
    type Output = Percent;
    fn sub(self, o: Percent) -> Percent {
        Percent(self.0 - o.0)
    }
}
impl Sum for Percent {
    fn sum<I: Iterator<Item = Percent>>(iter: I) -> Percent {
        iter.fold(Percent::ZERO, Add::add)
    }
}
impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.0.normalize())
    }
}

/// A span of time in whole minutes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Minutes(pub i64);

impl Minutes {
    /// No time.
    pub const ZERO: Minutes = Minutes(0);
    /// From whole hours.
    pub const fn hours(h: i64) -> Self {
        Minutes(h * 60)
    }
    /// The whole number of minutes.
    pub const fn get(self) -> i64 {
        self.0
    }
    /// A whole multiple.
    pub const fn times(self, n: i64) -> Self {
        Minutes(self.0.saturating_mul(n))
    }
}
impl Add for Minutes {
    type Output = Minutes;
    fn add(self, o: Minutes) -> Minutes {
        Minutes(self.0.saturating_add(o.0))
    }
}
impl Sub for Minutes {
    type Output = Minutes;
    fn sub(self, o: Minutes) -> Minutes {
        Minutes(self.0.saturating_sub(o.0))
    }
}
impl Sum for Minutes {
    fn sum<I: Iterator<Item = Minutes>>(iter: I) -> Minutes {
        iter.fold(Minutes::ZERO, Add::add)
    }
}
/// As people say it: `45 min`, `2 h`, `1 h 25 min`.
impl fmt::Display for Minutes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (sign, m) = if self.0 < 0 { ("-", -self.0) } else { ("", self.0) };
        match (m / 60, m % 60) {
            (0, m) => write!(f, "{sign}{m} min"),
            (h, 0) => write!(f, "{sign}{h} h"),
            (h, m) => write!(f, "{sign}{h} h {m} min"),
        }
    }
}

/// An amount of money in the course's one currency, in decimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug)]
pub struct Money(Decimal);

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(Decimal::ZERO);
    /// From a decimal amount.
    pub const fn new(amount: Decimal) -> Self {
        Money(amount)
    }
    /// The decimal amount.
    pub const fn amount(self) -> Decimal {
        self.0
    }
    /// A whole multiple.
    pub fn times(self, n: i64) -> Self {
        Money(self.0 * Decimal::from(n))
    }
    /// Rounded half away from zero to a currency's number of decimal places.
    pub fn rounded(self, places: u32) -> Self {
        Money(self.0.round_dp_with_strategy(places, rust_decimal::RoundingStrategy::MidpointAwayFromZero))
    }
}
impl Add for Money {
    type Output = Money;
    fn add(self, o: Money) -> Money {
        Money(self.0 + o.0)
    }
}
impl Sub for Money {
    type Output = Money;
    fn sub(self, o: Money) -> Money {
        Money(self.0 - o.0)
    }
}
impl Sum for Money {
    fn sum<I: Iterator<Item = Money>>(iter: I) -> Money {
        iter.fold(Money::ZERO, Add::add)
    }
}

/// Decimal places of a currency's smallest unit, by ISO 4217. A code that is not known has two.
pub fn minor_units(currency: &str) -> u32 {
    match currency {
        "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF" | "UGX" | "UYI"
        | "VND" | "VUV" | "XAF" | "XOF" | "XPF" => 0,
        "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
        "CLF" | "UYW" => 4,
        _ => 2,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn digits_are_kept_exactly() {
        let d: Decimal = "1.9".parse().unwrap();
        assert_eq!(Percent::new(d).of(Grams::whole(1000)), Grams::whole(19));
        assert_eq!(Percent::new(d).to_string(), "1.9 %");
        assert_eq!(Grams::from_decimal("0.0005".parse().unwrap()), Some(Grams::from_mg(1)));
    }

    #[test]
    fn fahrenheit_is_exact_at_the_fixed_points() {
        assert_eq!(Celsius::from_fahrenheit(Decimal::from(212)), Some(Celsius::whole(100)));
        assert_eq!(Celsius::from_fahrenheit(Decimal::from(-40)), Some(Celsius::whole(-40)));
    }

    #[test]
    fn times_are_said_as_people_say_them() {
        assert_eq!(Minutes(45).to_string(), "45 min");
        assert_eq!(Minutes(120).to_string(), "2 h");
        assert_eq!(Minutes(85).to_string(), "1 h 25 min");
    }

    proptest! {
        #[test]
        fn shares_add_up(mg in 0i64..50_000_000, w in proptest::collection::vec(0i64..1000, 1..20)) {
            let whole = Grams::from_mg(mg);
            prop_assert_eq!(whole.shared_by(&w).iter().sum::<Grams>(), whole);
        }

        #[test]
        fn rounding_is_within_half_a_step(mg in -9_000_000i64..9_000_000, step in 1i64..5000) {
            let r = Grams::from_mg(mg).to_nearest(Grams::from_mg(step));
            prop_assert_eq!(r.mg() % step, 0);
            prop_assert!((r.mg() - mg).abs() * 2 <= step);
            let up = Grams::from_mg(mg).up_to_multiple(Grams::from_mg(step));
            prop_assert!(up.mg() >= mg && up.mg() - mg < step);
        }
    }
}
