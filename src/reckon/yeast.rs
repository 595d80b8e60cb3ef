//! Yeast: one kind for another, packets, and an estimate of time and amount by temperature.
use crate::units::{Celsius, Grams, Minutes, Percent};
use rust_decimal::Decimal;

pub use crate::course::{RisePace as Pace, YeastConversion as Conversion};

/// Kinds of baker's yeast.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum YeastKind {
    /// Fresh (compressed).
    Fresh,
    /// Active dry.
    ActiveDry,
    /// Instant dry.
    Instant,
}

impl Conversion {
    /// The row of the published ratio.
    pub const fn row(self) -> &'static str {
        match self {
            Conversion::Hamelman => "y-conv-hamelman",
            Conversion::ThreeEighths => "y-conv-38",
            Conversion::OneThird => "y-conv-third",
            Conversion::OneHalf => "y-conv-half",
        }
    }

    /// Weight of this kind that does the work of 1 of fresh yeast, as numerator and denominator.
    const fn per_fresh(self, kind: YeastKind) -> (i64, i64) {
        match (kind, self) {
            (YeastKind::Fresh, _) => (1, 1),
            (YeastKind::ActiveDry, Conversion::Hamelman) => (40, 100),
            (YeastKind::Instant, Conversion::Hamelman) => (33, 100),
            (_, Conversion::ThreeEighths) => (3, 8),
            (_, Conversion::OneThird) => (1, 3),
            (_, Conversion::OneHalf) => (1, 2),
        }
    }
}

/// Another kind of yeast for this one, by weight.
pub fn convert(amount: Grams, from: YeastKind, to: YeastKind, by: Conversion) -> Grams {
    let ((a, b), (c, d)) = (by.per_fresh(to), by.per_fresh(from));
    amount.ratio(a * d, b * c)
}

/// As [`convert`], for a share of the flour.
pub fn convert_percent(amount: Percent, from: YeastKind, to: YeastKind, by: Conversion) -> Percent {
    let ((a, b), (c, d)) = (by.per_fresh(to), by.per_fresh(from));
    Percent::new(amount.number() * Decimal::from(a * d) / Decimal::from(b * c))
}

/// Water to add where a dry kind replaces fresh yeast, so that the dough keeps its water: what the weights differ by
/// (`y-conv-water`; the printed 0.77 beside a ratio of 0.33 is a slip).
pub fn water_beside(fresh: Grams, to: YeastKind, by: Conversion) -> Grams {
    fresh - convert(fresh, YeastKind::Fresh, to, by)
}

/// What the other kinds of yeast would weigh that do the same work, fresh first.
pub fn instead_of(amount: Grams, kind: YeastKind, by: Conversion) -> Vec<(YeastKind, Grams)> {
    [YeastKind::Fresh, YeastKind::ActiveDry, YeastKind::Instant]
        .into_iter()
        .filter(|other| *other != kind)
        .map(|other| (other, convert(amount, kind, other, by)))
        .collect()
}

/// One packet of dry yeast by its label: 7 g (`y-packet-label`); one German cube of fresh yeast: 42 g (`y-cube-de`).
pub const fn packet(kind: YeastKind) -> Grams {
    match kind {
        YeastKind::Fresh => Grams::whole(42),
        YeastKind::ActiveDry | YeastKind::Instant => Grams::whole(7),
    }
}

impl Pace {
    /// The row of the published rule.
    pub const fn row(self) -> &'static str {
        match self {
            Pace::DoublesEach17F => "y-17f",
            Pace::TenPercentAKelvin => "y-10pct",
        }
    }

    /// How many times as long it takes at `to` as at `from`.
    fn longer(self, from: Celsius, to: Celsius) -> f64 {
        let colder = from.above(to).to_f64();
        match self {
            Pace::DoublesEach17F => (colder * 9.0 / 5.0 / 17.0).exp2(),
            Pace::TenPercentAKelvin => 1.1f64.powf(colder),
        }
    }
}

/// An estimate, and whether it lies where the rules hold. It says that it is one wherever it is shown: it orders a
/// plan, it never promises a time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Estimate<T> {
    /// The estimated value.
    pub about: T,
    /// Both temperatures lie between 10 and 32 °C, where the rules are used (`y-q10-range`, common practice).
    pub within_rules: bool,
}

/// Whether the rules are used at this temperature (`y-q10-range`, common practice).
fn in_rules(t: Celsius) -> bool {
    (Celsius::whole(10)..=Celsius::whole(32)).contains(&t)
}

/// How long a rise takes at another dough temperature.
pub fn time_at(time: Minutes, at: Celsius, wanted: Celsius, pace: Pace) -> Estimate<Minutes> {
    let minutes = time.get() as f64 * pace.longer(at, wanted);
    Estimate { about: Minutes(minutes.round() as i64), within_rules: in_rules(at) && in_rules(wanted) }
}

/// What is known to work: so much yeast takes so long at this dough temperature.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Known {
    /// Yeast.
    pub yeast: Percent,
    /// The rise.
    pub time: Minutes,
    /// Dough temperature.
    pub at: Celsius,
}

/// How much yeast for another time and dough temperature: twice the yeast, half the time (the simplest assumption; it
/// flatters large changes). `None` for a time of nought or less.
pub fn yeast_for(known: Known, time: Minutes, at: Celsius, pace: Pace) -> Option<Estimate<Percent>> {
    if time <= Minutes::ZERO || known.time <= Minutes::ZERO {
        return None;
    }
    let times = known.time.get() as f64 * pace.longer(known.at, at) / time.get() as f64;
    let factor = Decimal::try_from(times).ok()?;
    let percent = known.yeast.number().checked_mul(factor)?.round_dp(2);
    Some(Estimate {
        about: Percent::new(percent),
        // A change beyond a half or a double is outside what anyone printed.
        within_rules: in_rules(known.at) && in_rules(at) && (0.5..=2.0).contains(&times),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::formula::build::{g, pc};

    #[test]
    fn a_conversion_there_and_back_changes_nothing() {
        for by in [Conversion::Hamelman, Conversion::ThreeEighths, Conversion::OneThird, Conversion::OneHalf]
        {
            for kind in [YeastKind::ActiveDry, YeastKind::Instant] {
                let there = convert(g("100"), YeastKind::Fresh, kind, by);
                let back = convert(there, kind, YeastKind::Fresh, by);
                assert!((back - g("100")).mg().abs() <= 2, "{by:?} {kind:?} {back:?}");
            }
        }
    }

    #[test]
    fn half_the_time_wants_twice_the_yeast_and_says_when_it_is_beyond_the_rules() {
        let known = Known { yeast: pc("1.2"), time: Minutes(60), at: Celsius::whole(27) };
        let e = yeast_for(known, Minutes(30), Celsius::whole(27), Pace::default());
        assert_eq!(e, Some(Estimate { about: pc("2.4"), within_rules: true }));
        let e = yeast_for(known, Minutes(20), Celsius::whole(27), Pace::default());
        assert_eq!(e.map(|e| e.within_rules), Some(false));
        assert_eq!(yeast_for(known, Minutes(0), Celsius::whole(27), Pace::default()), None);
        assert!(!time_at(Minutes(60), Celsius::whole(27), Celsius::whole(38), Pace::default()).within_rules);
    }
}
