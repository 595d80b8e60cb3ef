//! Amounts with their units: masses, shares, temperatures, volumes, lengths, power, rates, densities, money.

use super::{FromText, Slip, Words};
use crate::course::limits::COUNTED;
use crate::course::{Amount, PieceShare, Share};
use crate::units::{Amperes, Celsius, Centimetres, Grams, Kelvins, Millilitres, Money, Percent, Watts};
use rust_decimal::Decimal;

/// Exact digits of a constant.
const fn digits(number: i64, scale: u32) -> Decimal {
    // `Decimal::new` is not const with a negative scale; all of ours are plain.
    Decimal::from_parts(number as u32, (number >> 32) as u32, 0, false, scale)
}

/// Milligrams, grams, kilograms; ounce and pound are the exact figures of the international yard and pound
/// agreement of 1959 (0.45359237 kg).
fn grams_of(unit: &str) -> Option<Decimal> {
    Some(match unit.to_ascii_lowercase().as_str() {
        "mg" => digits(1, 3),
        "g" => digits(1, 0),
        "kg" => digits(1000, 0),
        "oz" => digits(28_349_523_125, 9),
        "lb" | "lbs" => digits(45_359_237, 5),
        _ => return None,
    })
}

fn millilitres_of(unit: &str) -> Option<Decimal> {
    Some(match unit.to_ascii_lowercase().as_str() {
        "ml" => digits(1, 0),
        "cl" => digits(10, 0),
        "dl" => digits(100, 0),
        "l" | "litre" | "litres" => digits(1000, 0),
        _ => return None,
    })
}

/// Centimetres in a unit of length; an inch is 2.54 cm exactly (1959).
pub(super) fn centimetres_of(unit: &str) -> Option<Decimal> {
    Some(match unit.to_ascii_lowercase().as_str() {
        "mm" => digits(1, 1),
        "cm" => digits(1, 0),
        "m" => digits(100, 0),
        "in" | "inch" | "inches" => digits(254, 2),
        _ => return None,
    })
}

/// The most of anything: a thousand tonnes, a thousand kilometres.
const MOST: i64 = 1_000_000_000;

fn scaled(words: &Words, number: Decimal, per: Decimal) -> Result<Decimal, Slip> {
    match number.checked_mul(per) {
        Some(d) if d <= Decimal::from(MOST) => Ok(d),
        _ => Err(words.too_large()),
    }
}

macro_rules! by_unit {
    ($type:ty, $what:literal, $like:literal, $factor:path) => {
        impl FromText for $type {
            const WHAT: &'static str = $what;
            const LIKE: &'static str = $like;
            fn from_words(words: &mut Words) -> Result<Self, Slip> {
                let number = words.number_from_nought()?;
                let unit = words.unit()?;
                let per = $factor(&unit).ok_or_else(|| words.wrong_unit(&unit))?;
                <$type>::from_decimal(scaled(words, number, per)?).ok_or_else(|| words.too_large())
            }
            fn stand_in() -> Self {
                <$type>::ZERO
            }
        }
    };
}

by_unit!(Grams, "a mass", "`480 g`, `1.2 kg` or `8 oz`", grams_of);
by_unit!(Millilitres, "a volume", "`4.8 l` or `250 ml`", millilitres_of);
by_unit!(Centimetres, "a length", "`28 cm`, `7 mm` or `11 in`", centimetres_of);
by_unit!(Watts, "a power", "`500 W` or `3.5 kW`", watts_of);
by_unit!(Amperes, "a current", "`16 A`", amperes_of);

fn watts_of(unit: &str) -> Option<Decimal> {
    match unit {
        "W" | "w" => Some(digits(1, 0)),
        "kW" | "kw" | "KW" => Some(digits(1000, 0)),
        _ => None,
    }
}

fn amperes_of(unit: &str) -> Option<Decimal> {
    matches!(unit, "A" | "a").then(|| digits(1, 0))
}

impl FromText for Percent {
    const WHAT: &'static str = "a share";
    const LIKE: &'static str = "`24 %`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        if unit != "%" {
            return Err(words.wrong_unit(&unit));
        }
        if number > Decimal::from(100_000) {
            return Err(words.too_large());
        }
        Ok(Percent::new(number))
    }
    fn stand_in() -> Self {
        Percent::ZERO
    }
}

/// The coldest and the hottest that a kitchen has, in degrees Celsius: a freezer and a pizza oven, with room to spare.
const COLDEST: i64 = -90;
const HOTTEST: i64 = 600;

/// A thermometer reading from its digits and its unit.
pub(super) fn reading(words: &Words, number: Decimal, unit: &str) -> Result<Celsius, Slip> {
    let celsius = match unit {
        "C" | "c" => Celsius::from_decimal(number),
        "F" | "f" => Celsius::from_fahrenheit(number),
        _ => return Err(words.wrong_unit(unit)),
    };
    celsius.filter(|c| *c >= Celsius::whole(COLDEST) && *c <= Celsius::whole(HOTTEST)).ok_or_else(|| {
        Slip::new(
            "absurd-temperature",
            format!("\"{}\" is no temperature of a kitchen", words.text()),
            format!("write a reading between {COLDEST} C and {HOTTEST} C, such as `170 C` or `340 F`"),
        )
    })
}

impl FromText for Celsius {
    const WHAT: &'static str = "a temperature";
    const LIKE: &'static str = "`170 C` or `340 F`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.any_number()?;
        let unit = words.unit()?;
        reading(words, number, &unit)
    }
    fn stand_in() -> Self {
        Celsius::ZERO
    }
}

/// A difference between two temperatures.
impl FromText for Kelvins {
    const WHAT: &'static str = "a difference of temperature";
    const LIKE: &'static str = "`11 C` or `20 F`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        if number > Decimal::from(HOTTEST) {
            return Err(words.too_large());
        }
        let kelvins = match unit.as_str() {
            "C" | "c" | "K" | "k" => Kelvins::from_decimal(number),
            "F" | "f" => {
                number.checked_mul(digits(5, 0)).and_then(|n| Kelvins::from_decimal(n / digits(9, 0)))
            }
            _ => return Err(words.wrong_unit(&unit)),
        };
        kelvins.ok_or_else(|| words.too_large())
    }
    fn stand_in() -> Self {
        Kelvins::ZERO
    }
}

/// Kelvins in a minute, as an oven heats and cools.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rate(pub Kelvins);

impl FromText for Rate {
    const WHAT: &'static str = "a rate of heating";
    const LIKE: &'static str = "`9 C a min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let kelvins = Kelvins::from_words(words)?;
        if !(words.eat("a") || words.eat("per") || words.eat_sign('/')) || !words.eat("min") {
            return Err(words.unreadable());
        }
        if kelvins == Kelvins::ZERO {
            return Err(words.unreadable());
        }
        Ok(Rate(kelvins))
    }
    fn stand_in() -> Self {
        Rate(Kelvins::ZERO)
    }
}

/// Grams in a millilitre.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Density(pub Decimal);

impl FromText for Density {
    const WHAT: &'static str = "a density";
    const LIKE: &'static str = "`0.53 g/ml`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        if unit != "g" || !(words.eat_sign('/') || words.eat("a") || words.eat("per")) || !words.eat("ml") {
            return Err(words.unreadable());
        }
        if number.is_zero() || number > Decimal::from(25) {
            return Err(words.too_large());
        }
        Ok(Density(number))
    }
    fn stand_in() -> Self {
        Density(Decimal::ONE)
    }
}

/// The voltage of a kitchen's sockets.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Volts(pub Decimal);

impl FromText for Volts {
    const WHAT: &'static str = "a voltage";
    const LIKE: &'static str = "`230 V`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        match unit.as_str() {
            "V" | "v" if number > Decimal::ZERO && number <= Decimal::from(1000) => Ok(Volts(number)),
            "V" | "v" => Err(words.too_large()),
            _ => Err(words.wrong_unit(&unit)),
        }
    }
    fn stand_in() -> Self {
        Volts(Decimal::ONE)
    }
}

/// What a breaker carries: a current, or a power.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Breaker {
    /// In amperes; needs the voltage.
    Current(Amperes),
    /// In watts.
    Power(Watts),
}

impl FromText for Breaker {
    const WHAT: &'static str = "what a breaker carries";
    const LIKE: &'static str = "`16 A` or `3.5 kW`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let mut ahead = words.clone();
        match Amperes::from_words(&mut ahead) {
            Ok(current) => {
                *words = ahead;
                Ok(Breaker::Current(current))
            }
            Err(_) => Watts::from_words(words).map(Breaker::Power),
        }
    }
    fn stand_in() -> Self {
        Breaker::Power(Watts::ZERO)
    }
}

/// Kilocalories in 100 g.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Energy(pub Decimal);

impl FromText for Energy {
    const WHAT: &'static str = "the energy of 100 g";
    const LIKE: &'static str = "`717 kcal`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        match unit.as_str() {
            "kcal" if number <= Decimal::from(1000) => Ok(Energy(number)),
            "kcal" => Err(words.too_large()),
            _ => Err(words.wrong_unit(&unit)),
        }
    }
    fn stand_in() -> Self {
        Energy(Decimal::ZERO)
    }
}

/// Money with the currency that may stand beside it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Price {
    /// How much.
    pub money: Money,
    /// The currency, if it was written: it must be the course's.
    pub currency: Option<String>,
}

impl FromText for Price {
    const WHAT: &'static str = "an amount of money";
    const LIKE: &'static str = "`\"1.85\"`, in the course's currency";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let amount = words.number_from_nought()?;
        let currency = if words.at_end() { None } else { Some(words.name()?) };
        Ok(Price { money: Money::new(amount), currency })
    }
    fn stand_in() -> Self {
        Price { money: Money::ZERO, currency: None }
    }
}

/// A bare figure that has no unit by nature: a pH, a water activity.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Figure(pub Decimal);

impl FromText for Figure {
    const WHAT: &'static str = "a figure";
    const LIKE: &'static str = "`\"4.6\"`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        words.number_from_nought().map(Figure)
    }
    fn stand_in() -> Self {
        Figure(Decimal::ZERO)
    }
}

/// A whole number from digits; `None` if it is no whole number or more than anything counted.
pub fn count_of(number: Decimal) -> Option<u32> {
    let whole = number.is_integer() && !number.is_sign_negative() && number <= Decimal::from(COUNTED);
    whole.then(|| u32::try_from(number.trunc().normalize().mantissa()).ok()).flatten()
}

impl FromText for Amount {
    const WHAT: &'static str = "an amount as bought";
    const LIKE: &'static str = "`1 kg`, `1 l` or `30 pieces`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        if let Some(per) = grams_of(&unit) {
            let grams = Grams::from_decimal(scaled(words, number, per)?);
            return grams.map(Amount::Mass).ok_or_else(|| words.too_large());
        }
        if let Some(per) = millilitres_of(&unit) {
            let volume = Millilitres::from_decimal(scaled(words, number, per)?);
            return volume.map(Amount::Volume).ok_or_else(|| words.too_large());
        }
        match unit.as_str() {
            "piece" | "pieces" => count_of(number).map(Amount::Pieces).ok_or_else(|| words.unreadable()),
            _ => Err(words.wrong_unit(&unit)),
        }
    }
    fn stand_in() -> Self {
        Amount::Mass(Grams::ZERO)
    }
}

/// Per cent of the basis, or grams for each piece.
impl FromText for Share {
    const WHAT: &'static str = "a share";
    const LIKE: &'static str = "`24 %`, or `20 g` where the basis is `piece`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let mut ahead = words.clone();
        let percent = ahead.number_from_nought().is_ok() && ahead.eat_sign('%');
        if percent {
            Percent::from_words(words).map(Share::Percent)
        } else {
            Grams::from_words(words).map(Share::Grams)
        }
    }
    fn stand_in() -> Self {
        Share::Percent(Percent::ZERO)
    }
}

/// Grams, or a share of the dough.
impl FromText for PieceShare {
    const WHAT: &'static str = "an amount for one piece";
    const LIKE: &'static str = "`160 g` or `33 % of dough`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let mut ahead = words.clone();
        if ahead.number_from_nought().is_ok() && ahead.eat_sign('%') {
            let share = Percent::from_words(words)?;
            return if words.eat_all(&["of", "dough"]) {
                Ok(PieceShare::PercentOfDough(share))
            } else {
                Err(words.unreadable())
            };
        }
        Grams::from_words(words).map(PieceShare::Grams)
    }
    fn stand_in() -> Self {
        PieceShare::Grams(Grams::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    fn dec(s: &str) -> Decimal {
        s.parse().expect("a number")
    }

    #[test]
    fn masses_keep_their_digits() {
        assert_eq!(read::<Grams>("1.2 kg"), Ok(Grams::whole(1200)));
        assert_eq!(read::<Grams>("2.5g"), Ok(Grams::from_mg(2500)));
        assert_eq!(read::<Grams>("1 lb"), Ok(Grams::from_mg(453_592)));
        // 28.349523125 g, to the milligram.
        assert_eq!(read::<Grams>("1 oz"), Ok(Grams::from_mg(28_350)));
        assert_eq!(read::<Percent>("1.90 %"), Ok(Percent::new(dec("1.90"))));
    }

    #[test]
    fn what_is_no_mass_says_why() {
        let code = |s: &str| read::<Grams>(s).expect_err("refused").code;
        assert_eq!(code("24"), "number-without-unit");
        assert_eq!(code("-24 g"), "negative-amount");
        assert_eq!(code("24 ml"), "unknown-unit");
        assert_eq!(code("two eggs"), "unreadable");
        assert_eq!(code("10 to 20 g"), "unreadable");
        assert_eq!(code("999999999 kg"), "too-large");
    }

    #[test]
    fn temperatures_are_readings_and_differences() {
        assert_eq!(read::<Celsius>("170 °C"), Ok(Celsius::whole(170)));
        assert_eq!(read::<Celsius>("-18 C"), Ok(Celsius::whole(-18)));
        assert_eq!(read::<Celsius>("212F"), Ok(Celsius::whole(100)));
        assert_eq!(read::<Kelvins>("9 F"), Ok(Kelvins::whole(5)));
        assert_eq!(read::<Rate>("9 C a min"), Ok(Rate(Kelvins::whole(9))));
        assert_eq!(read::<Celsius>("1700 C").expect_err("too hot").code, "absurd-temperature");
    }

    #[test]
    fn the_rest_is_read() {
        assert_eq!(read::<Watts>("3.5 kW"), Ok(Watts::whole(3500)));
        assert_eq!(read::<Amperes>("16 A"), Ok(Amperes::whole(16)));
        assert_eq!(read::<Density>("0.53 g/ml"), Ok(Density(dec("0.53"))));
        assert_eq!(read::<Amount>("30 pieces"), Ok(Amount::Pieces(30)));
        assert_eq!(read::<Amount>("1 l"), Ok(Amount::Volume(Millilitres::whole(1000))));
        assert_eq!(read::<Price>("1.85").map(|p| p.money), Ok(Money::new(dec("1.85"))));
        assert_eq!(
            read::<PieceShare>("33 % of dough"),
            Ok(PieceShare::PercentOfDough(Percent::new(dec("33"))))
        );
        assert_eq!(read::<Centimetres>("11 in"), Ok(Centimetres::from_thousandths(27_940)));
    }
}
