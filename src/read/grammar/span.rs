//! Times and ranges: `45 min`, `8 to 20 h`, `9 to 17 min, usually 12`, `at least 70 min`, `90 to 94 C`.

use super::quantity::{count_of, reading};
use super::{FromText, Slip, Word, Words};
use crate::course::{Carry, Stands, Takes, TemperatureRange};
use crate::units::Minutes;
use rust_decimal::Decimal;

/// A year: no step, rest or shelf life of a class is longer.
const MOST: i64 = 366 * 24 * 60;

fn minutes_of(words: &Words, unit: &str) -> Result<i64, Slip> {
    match unit {
        "min" | "mins" | "minute" | "minutes" => Ok(1),
        "h" | "hour" | "hours" => Ok(60),
        "s" | "sec" | "second" | "seconds" => Err(Slip::new(
            "seconds",
            format!("\"{}\" is in seconds; a class is planned in whole minutes", words.text()),
            "write whole minutes: `2 min`",
        )),
        "d" | "day" | "days" => Err(Slip::new(
            "unknown-unit",
            format!("\"{}\" is in days; times are in minutes and hours", words.text()),
            "write hours: `24 h`",
        )),
        _ => Err(words.wrong_unit(unit)),
    }
}

fn whole(words: &Words, number: Decimal, per: i64) -> Result<Minutes, Slip> {
    let minutes = number.checked_mul(Decimal::from(per)).ok_or_else(|| words.too_large())?;
    if minutes > Decimal::from(MOST) {
        return Err(words.too_large());
    }
    match i64::try_from(minutes) {
        Ok(m) if minutes.is_integer() => Ok(Minutes(m)),
        _ => Err(Slip::new(
            "seconds",
            format!("\"{}\" is no whole number of minutes", words.text()),
            "write whole minutes: `2 min`",
        )),
    }
}

/// A time whose unit may stand at the end of the range that it begins.
enum Start {
    Bare(Decimal),
    Whole(Minutes),
}

fn start(words: &mut Words) -> Result<Start, Slip> {
    let number = words.number_from_nought()?;
    if !words.unit_follows() {
        return Ok(Start::Bare(number));
    }
    time_from(words, number).map(|(time, _)| Start::Whole(time))
}

/// A time whose number was read; and the minutes in its last unit.
fn time_from(words: &mut Words, number: Decimal) -> Result<(Minutes, i64), Slip> {
    let unit = words.unit()?;
    let per = minutes_of(words, &unit)?;
    let mut time = whole(words, number, per)?;
    if per == 60
        && let (Some(Word::Number(_)), Some(Word::Name(next))) = (words.peek(), words.peek_second())
        && minutes_of(words, next) == Ok(1)
    {
        let more = words.number_from_nought()?;
        words.unit()?;
        time = time + whole(words, more, 1)?;
        return Ok((time, 1));
    }
    Ok((time, per))
}

/// A range: at least, at most.
struct Range {
    least: Option<Minutes>,
    most: Option<Minutes>,
    /// Minutes in the unit of its last figure, for a usual value that leaves it out.
    unit: i64,
}

fn range(words: &mut Words) -> Result<Range, Slip> {
    if words.eat_all(&["up", "to"]) {
        let number = words.number_from_nought()?;
        let (most, unit) = time_from(words, number)?;
        return Ok(Range { least: None, most: Some(most), unit });
    }
    if words.eat_all(&["at", "least"]) {
        let number = words.number_from_nought()?;
        let (least, unit) = time_from(words, number)?;
        return Ok(Range { least: Some(least), most: None, unit });
    }
    let first = start(words)?;
    if !words.eat("to") {
        return match first {
            Start::Bare(_) => Err(words.no_unit()),
            Start::Whole(time) => Ok(Range { least: Some(time), most: Some(time), unit: 1 }),
        };
    }
    let number = words.number_from_nought()?;
    let (most, unit) = time_from(words, number)?;
    let least = match first {
        Start::Bare(number) => whole(words, number, unit)?,
        Start::Whole(time) => time,
    };
    if least > most {
        return Err(words.backwards());
    }
    Ok(Range { least: Some(least), most: Some(most), unit })
}

impl FromText for Minutes {
    const WHAT: &'static str = "a time";
    const LIKE: &'static str = "`45 min`, `8 h` or `1 h 30 min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        time_from(words, number).map(|(time, _)| time)
    }
    fn stand_in() -> Self {
        Minutes(1)
    }
}

impl FromText for Takes {
    const WHAT: &'static str = "the time that work takes";
    const LIKE: &'static str = "`9 to 17 min, usually 12`, or `5 min` if it never varies";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let range = range(words)?;
        let (Some(least), Some(most)) = (range.least, range.most) else { return Err(words.unreadable()) };
        if !words.eat_sign(',') {
            return if least == most {
                Ok(Takes { least, usual: least, most })
            } else {
                Err(Slip::new(
                    "usual-missing",
                    format!(
                        "\"{}\" does not say how long it usually takes; the plan reckons with that",
                        words.text()
                    ),
                    format!(
                        "add it: `{}, usually {}`",
                        words.text(),
                        (least.get() + most.get()) / 2 / range.unit
                    ),
                ))
            };
        }
        if !words.eat("usually") {
            return Err(words.unreadable());
        }
        let number = words.number_from_nought()?;
        let usual = if words.unit_follows() {
            time_from(words, number)?.0
        } else {
            whole(words, number, range.unit)?
        };
        if usual < least || usual > most {
            return Err(Slip::new(
                "usual-outside",
                format!("\"{}\": the usual {usual} lies outside {least} to {most}", words.text()),
                "write a usual time between the shortest and the longest",
            ));
        }
        Ok(Takes { least, usual, most })
    }
    fn stand_in() -> Self {
        Takes { least: Minutes(1), usual: Minutes(1), most: Minutes(1) }
    }
}

impl FromText for Stands {
    const WHAT: &'static str = "the time that something may stand";
    const LIKE: &'static str = "`45 to 70 min`, `8 to 20 h`, `up to 3 h` or `at least 70 min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let range = range(words)?;
        Ok(Stands { least: range.least.unwrap_or(Minutes::ZERO), most: range.most })
    }
    fn stand_in() -> Self {
        Stands { least: Minutes::ZERO, most: None }
    }
}

impl FromText for Carry {
    const WHAT: &'static str = "the wait between two steps";
    const LIKE: &'static str = "`8 to 20 min`, `up to 15 min` or `at least 5 min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let range = range(words)?;
        Ok(Carry { least: range.least.unwrap_or(Minutes::ZERO), most: range.most })
    }
    fn stand_in() -> Self {
        Carry { least: Minutes::ZERO, most: None }
    }
}

impl FromText for TemperatureRange {
    const WHAT: &'static str = "a range of temperatures";
    const LIKE: &'static str = "`90 to 94 C`, `at least 80 C` or `up to 5 C`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let one = |words: &mut Words| {
            let number = words.any_number()?;
            let unit = words.unit()?;
            reading(words, number, &unit)
        };
        if words.eat_all(&["at", "least"]) {
            return Ok(TemperatureRange { least: Some(one(words)?), most: None });
        }
        if words.eat_all(&["up", "to"]) {
            return Ok(TemperatureRange { least: None, most: Some(one(words)?) });
        }
        let first = words.any_number()?;
        let first_unit = if words.unit_follows() { Some(words.unit()?) } else { None };
        if !words.eat("to") {
            // A single figure would leave open whether more is fine too.
            return Err(if first_unit.is_none() { words.no_unit() } else { words.unreadable() });
        }
        let second = words.any_number()?;
        let unit = words.unit()?;
        let least = reading(words, first, first_unit.as_deref().unwrap_or(&unit))?;
        let most = reading(words, second, &unit)?;
        if least > most {
            return Err(words.backwards());
        }
        Ok(TemperatureRange { least: Some(least), most: Some(most) })
    }
    fn stand_in() -> Self {
        TemperatureRange { least: None, most: None }
    }
}

/// A whole number of days.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Days(pub u32);

impl FromText for Days {
    const WHAT: &'static str = "a number of days";
    const LIKE: &'static str = "`5 days` or `2 weeks`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let number = words.number_from_nought()?;
        let unit = words.unit()?;
        let per = match unit.as_str() {
            "day" | "days" => 1,
            "week" | "weeks" => 7,
            _ => return Err(words.wrong_unit(&unit)),
        };
        count_of(number).map(|n| Days(n * per)).ok_or_else(|| words.unreadable())
    }
    fn stand_in() -> Self {
        Days(0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;
    use crate::units::Celsius;

    #[test]
    fn times_are_whole_minutes() {
        assert_eq!(read::<Minutes>("1 h 30 min"), Ok(Minutes(90)));
        assert_eq!(read::<Minutes>("1.5 h"), Ok(Minutes(90)));
        assert_eq!(read::<Minutes>("90 s").expect_err("refused").code, "seconds");
        assert_eq!(read::<Minutes>("0.5 min").expect_err("refused").code, "seconds");
        assert_eq!(read::<Minutes>("45").expect_err("refused").code, "number-without-unit");
        assert_eq!(read::<Minutes>("9000 h").expect_err("refused").code, "too-large");
    }

    #[test]
    fn work_has_a_shortest_a_usual_and_a_longest() {
        let takes = |least, usual, most| {
            Ok(Takes { least: Minutes(least), usual: Minutes(usual), most: Minutes(most) })
        };
        assert_eq!(read::<Takes>("17 to 25 min, usually 20"), takes(17, 20, 25));
        assert_eq!(read::<Takes>("20 min"), takes(20, 20, 20));
        assert_eq!(read::<Takes>("50 min to 2 h, usually 1 h 10 min"), takes(50, 70, 120));
        let code = |s: &str| read::<Takes>(s).expect_err("refused").code;
        assert_eq!(code("17 to 25 min"), "usual-missing");
        assert_eq!(code("17 to 25 min, usually 30"), "usual-outside");
        assert_eq!(code("25 to 17 min, usually 20"), "range-backwards");
        assert_eq!(code("up to 20 min"), "unreadable");
        assert_eq!(code("17-25 min, usually 20"), "number-without-unit");
    }

    #[test]
    fn rests_may_be_open() {
        let stands = |least, most: Option<i64>| Ok(Stands { least: Minutes(least), most: most.map(Minutes) });
        assert_eq!(read::<Stands>("8 to 20 h"), stands(480, Some(1200)));
        assert_eq!(read::<Stands>("90 min to 24 h"), stands(90, Some(1440)));
        assert_eq!(read::<Stands>("at least 70 min"), stands(70, None));
        assert_eq!(read::<Stands>("up to 3 h"), stands(0, Some(180)));
        assert_eq!(read::<Stands>("40 min"), stands(40, Some(40)));
        assert_eq!(read::<Carry>("8 to 20 min"), Ok(Carry { least: Minutes(8), most: Some(Minutes(20)) }));
        assert_eq!(read::<Carry>("20 to 8 min").expect_err("refused").code, "range-backwards");
    }

    #[test]
    fn temperatures_inside_are_ranges() {
        let range = |least: Option<i64>, most: Option<i64>| {
            Ok(TemperatureRange { least: least.map(Celsius::whole), most: most.map(Celsius::whole) })
        };
        assert_eq!(read::<TemperatureRange>("90 to 94 C"), range(Some(90), Some(94)));
        assert_eq!(read::<TemperatureRange>("at least 80 C"), range(Some(80), None));
        assert_eq!(read::<TemperatureRange>("up to 41 F"), range(None, Some(5)));
        assert_eq!(read::<TemperatureRange>("80 C").expect_err("refused").code, "unreadable");
    }

    #[test]
    fn days_are_counted() {
        assert_eq!(read::<Days>("5 days"), Ok(Days(5)));
        assert_eq!(read::<Days>("2 weeks"), Ok(Days(14)));
    }
}
