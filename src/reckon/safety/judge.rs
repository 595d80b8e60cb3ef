//! From minutes to a verdict, by a rule set. Rows that were not seen in print warn; they never decide.

use super::rule_sets::{Cooling, HOT_ROOM, Passes, Return, RuleSet, SIX_HOUR_CEILING, WARM};
use super::rules::row;
use crate::units::{Celsius, Minutes};

/// What is said of a food's time out of the cold.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Verdict {
    /// Within the published figure.
    Ok,
    /// Nothing to rest on: no figure, no temperature, or a figure that was not seen in print.
    Unknown,
    /// To be justified, or a figure that may not decide.
    Warn,
    /// Beyond the published figure.
    Over,
}

impl Verdict {
    /// The word for it, the same on the terminal and in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Verdict::Ok => "ok",
            Verdict::Unknown => "unknown",
            Verdict::Warn => "warn",
            Verdict::Over => "over",
        }
    }
}

/// What a food is, as far as it decides which clock runs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Phase {
    /// Not cooked yet.
    Raw,
    /// After its `core` was reached.
    Cooked,
    /// In the baked piece: served, or taken home.
    Baked,
}

impl Phase {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Phase::Raw => "raw",
            Phase::Cooked => "cooked",
            Phase::Baked => "baked",
        }
    }
}

/// A food's time out of the cold, added up.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TimeOut {
    /// What it is.
    pub phase: Phase,
    /// All minutes above the limit, those in which it cools again included.
    pub minutes: Minutes,
    /// Of these, minutes in the cold, until it can be cold again: nobody has read a thermometer.
    pub cooling: Minutes,
    /// Of all, minutes in which hands work on it.
    pub worked_on: Minutes,
    /// The longest single period out of the cold, without the cooling after it.
    pub longest: Minutes,
    /// Of all, in the baked piece: minutes from the oven until it is known to be cold.
    pub from_hot: Minutes,
    /// How many periods.
    pub periods: u32,
    /// The first period began cold, or straight from the fire.
    pub began_held: bool,
    /// The first period began cold.
    pub began_cold: bool,
    /// The warmest place it was in.
    pub warmest: Option<Celsius>,
    /// The largest sum at which it went back to the cold.
    pub back_at: Option<Minutes>,
    /// For dough: minutes from 10 to 21.1 degC.
    pub cool_band: Minutes,
    /// For dough: minutes above 21.1 degC.
    pub warm_band: Minutes,
}

/// A verdict with what it rests on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Judged {
    /// The verdict.
    pub verdict: Verdict,
    /// The limit that was compared with, and the operator that passes.
    pub limit: Option<(Minutes, Passes)>,
    /// The row.
    pub row: &'static str,
    /// Why, in a few words.
    pub because: String,
}

fn judged(
    verdict: Verdict,
    limit: Option<(Minutes, Passes)>,
    row: &'static str,
    because: impl Into<String>,
) -> Judged {
    Judged { verdict, limit, row, because: because.into() }
}

/// A verdict that rests on a row which may not decide: what would be over warns, what would pass stays unknown.
fn as_trusted(found: Judged) -> Judged {
    if row(found.row).is_some_and(|r| r.decides()) {
        return found;
    }
    let verdict = match found.verdict {
        Verdict::Over | Verdict::Warn => Verdict::Warn,
        Verdict::Ok | Verdict::Unknown => Verdict::Unknown,
    };
    let because = format!(
        "{}; the figure was not seen in print, so it warns and does not decide: give your own as `out-of-cold`",
        found.because
    );
    Judged { verdict, because, ..found }
}

/// What a rule set says of a time out of the cold. `own` is the course's own figure, where the set has none that decides.
#[must_use]
pub fn judge(set: &RuleSet, out: &TimeOut, own: Option<Minutes>) -> Judged {
    match set.id {
        "dough-benchmark" => dough(set, out),
        "us-foodcode-2022" => food_code(out),
        "uk-england-2013" => england(out, own),
        "eu-852-2004" => by_own(out, own, "eu-cold-chain").unwrap_or_else(|| {
            judged(
                Verdict::Unknown,
                None,
                "eu-cold-chain",
                "the Regulation has no figure: give the national one as `out-of-cold`",
            )
        }),
        "us-consumer" => household(out),
        _ => match (by_own(out, own, set.rows[0]), set.back) {
            (Some(own), _) if !set.routes.iter().all(|r| row(r.row).is_some_and(|r| r.decides())) => own,
            (_, Return::Below(_)) => as_trusted(two_and_four_hours(set, out)),
            _ => as_trusted(plain(set, out)),
        },
    }
}

fn by_own(out: &TimeOut, own: Option<Minutes>, row: &'static str) -> Option<Judged> {
    let own = own?;
    let verdict = if out.minutes <= own { Verdict::Ok } else { Verdict::Over };
    Some(judged(verdict, Some((own, Passes::UpTo)), row, "by the course's own figure"))
}

fn dough(set: &RuleSet, out: &TimeOut) -> Judged {
    let (cool, warm) = (set.routes[0], set.routes[1]);
    let cool_over = !cool.passes.passes(out.cool_band, cool.limit);
    let warm_over = !warm.passes.passes(out.warm_band, warm.limit);
    let shown = if cool_over && !warm_over { cool } else { warm };
    let verdict = if cool_over || warm_over { Verdict::Warn } else { Verdict::Ok };
    let because = format!(
        "wet batter's {} above {} °C and {} from 10 °C to that, the nearest published figure: a benchmark that warns and never blocks; yeast, salt and sugar slow growth, and the bake does not undo toxin",
        warm.limit,
        WARM.to_decimal().normalize(),
        cool.limit
    );
    judged(verdict, Some((shown.limit, shown.passes)), shown.row, because)
}

fn food_code(out: &TimeOut) -> Judged {
    let four = Some((Minutes(240), Passes::UpTo));
    if out.minutes == Minutes::ZERO {
        return judged(Verdict::Ok, four, "us-cold-hold", "never above 5 °C");
    }
    if !out.began_held && out.worked_on < out.minutes {
        return judged(
            Verdict::Over,
            four,
            "us-cold-hold",
            "it stands above 5 °C outside preparation, and time alone may only stand in where it starts cold or hot",
        );
    }
    if out.minutes <= Minutes(240) {
        return if out.worked_on == out.minutes {
            judged(
                Verdict::Ok,
                four,
                "us-prep-not-holding",
                "only while hands work on it, within the 4 h of time-only control",
            )
        } else {
            judged(
                Verdict::Warn,
                four,
                "us-tphc-written",
                "it stands above 5 °C outside preparation: allowed only by a written plan and a clock mark on the food",
            )
        };
    }
    let six = Some((Minutes(360), Passes::UpTo));
    let below_ceiling = out.warmest.is_some_and(|at| at <= SIX_HOUR_CEILING);
    match (out.began_cold && below_ceiling, out.minutes <= Minutes(360)) {
        (true, true) => judged(
            Verdict::Warn,
            six,
            "us-tphc-6h",
            "beyond 4 h: allowed only by a written plan, watched, and never above 21 °C",
        ),
        (true, false) => judged(Verdict::Over, six, "us-tphc-6h", "beyond the 6 h below 21 °C"),
        (false, _) => judged(Verdict::Over, four, "us-tphc-4h", "beyond 4 h"),
    }
}

fn england(out: &TimeOut, own: Option<Minutes>) -> Judged {
    let four = Some((Minutes(240), Passes::Less));
    if out.minutes == Minutes::ZERO {
        return judged(Verdict::Ok, four, "uk-chill", "never above 8 °C");
    }
    if !Passes::Less.passes(out.longest, Minutes(240)) {
        return judged(
            Verdict::Over,
            four,
            "uk-chill-4h",
            "one period of 4 h or more: not even service or display has a defence for it",
        );
    }
    let two = Some((Minutes(120), Passes::Less));
    let hot = out.from_hot > Minutes::ZERO;
    match (out.phase, out.periods > 1) {
        // What comes from the oven is hot food: that it may stand for four hours is said of chilled food.
        (Phase::Baked, _) if !Passes::Less.passes(out.from_hot, Minutes(120)) => judged(
            Verdict::Warn,
            two,
            "uk-hot-2h",
            "hot food that stands below 63 °C for 2 h or more has no defence as such: serve it or send it home sooner, or cool it and keep it at or below 8 °C",
        ),
        (Phase::Baked, true) => judged(
            Verdict::Warn,
            four,
            "uk-chill-4h",
            "the defence covers one period, and this is more than one",
        ),
        (Phase::Baked, false) if hot => {
            judged(Verdict::Ok, two, "uk-hot-2h", "hot from the oven, for service or display, once")
        }
        (Phase::Baked, false) => judged(Verdict::Ok, four, "uk-chill-4h", "for service or display, once"),
        _ => by_own(out, own, "uk-chill-handling").unwrap_or_else(|| {
            judged(
                Verdict::Warn,
                None,
                "uk-chill-handling",
                "a limited period of handling is allowed and the law gives no figure for it: justify it, or write your own as `out-of-cold` under `[safety]`",
            )
        }),
    }
}

fn two_and_four_hours(set: &RuleSet, out: &TimeOut) -> Judged {
    let (back, used) = (set.routes[0], set.routes[1]);
    if out.back_at.is_some_and(|sum| !back.passes.passes(sum, back.limit)) {
        return judged(
            Verdict::Over,
            Some((back.limit, back.passes)),
            back.row,
            "put back into the cold after 2 h or more in all",
        );
    }
    if back.passes.passes(out.minutes, back.limit) {
        judged(
            Verdict::Ok,
            Some((back.limit, back.passes)),
            back.row,
            "under 2 h in all: use it, or put it back",
        )
    } else if used.passes.passes(out.minutes, used.limit) {
        judged(
            Verdict::Warn,
            Some((used.limit, used.passes)),
            used.row,
            "2 to 4 h in all: use it, and do not put it back",
        )
    } else {
        judged(Verdict::Over, Some((used.limit, used.passes)), used.row, "4 h or more in all: throw it away")
    }
}

fn plain(set: &RuleSet, out: &TimeOut) -> Judged {
    let Some(route) = set.routes.first() else {
        return judged(Verdict::Unknown, None, set.rows[0], "the rule set has no figure");
    };
    let verdict = if route.passes.passes(out.minutes, route.limit) { Verdict::Ok } else { Verdict::Over };
    judged(verdict, Some((route.limit, route.passes)), route.row, route.name)
}

fn household(out: &TimeOut) -> Judged {
    let hot = out.warmest.is_some_and(|at| at > HOT_ROOM);
    let limit = if hot { Minutes(60) } else { Minutes(120) };
    let verdict = if out.minutes <= limit { Verdict::Ok } else { Verdict::Over };
    let because =
        if hot { "a place above 32 °C halves the two hours" } else { "the two hours of the household" };
    judged(verdict, Some((limit, Passes::UpTo)), "us-consumer-2h", because)
}

/// How a cooked food is cooled, as read or as planned.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Cooled {
    /// From hot to the first mark; `None`: not read.
    pub first: Option<Minutes>,
    /// From hot to the last mark, in all; `None`: not read.
    pub in_all: Option<Minutes>,
    /// From hot until it was put into the cold.
    pub on_the_counter: Minutes,
}

/// What a rule set says of a cooling. Where nothing was read, time on the counter alone can only condemn.
#[must_use]
pub fn judge_cooling(set: &RuleSet, cooled: &Cooled) -> Judged {
    match set.cooling {
        Cooling::None => judged(Verdict::Unknown, None, set.rows[0], "the rule set has no clock for cooling"),
        Cooling::Guide(limit, row) => {
            let late = cooled.on_the_counter > limit;
            // How warm it is then, only a reading shows.
            let verdict = if late { Verdict::Warn } else { Verdict::Unknown };
            judged(
                verdict,
                Some((limit, Passes::UpTo)),
                row,
                "as fast as possible, and only a reading shows it; a guide names the longest time on the counter",
            )
        }
        Cooling::Total(first, all) => as_trusted(clocks(
            (first.within, first.row, cooled.first, cooled.on_the_counter),
            (all.within, all.row, cooled.in_all),
        )),
        Cooling::Two(first, second) => {
            let then = match (cooled.first, cooled.in_all) {
                (Some(first), Some(all)) => Some(all - first),
                _ => None,
            };
            as_trusted(clocks(
                (first.within, first.row, cooled.first, cooled.on_the_counter),
                (second.within, second.row, then),
            ))
        }
        Cooling::One(only) => as_trusted(clocks(
            (only.within, only.row, cooled.first, cooled.on_the_counter),
            (only.within, only.row, cooled.first),
        )),
    }
}

fn clocks(
    (first, first_row, read, counter): (Minutes, &'static str, Option<Minutes>, Minutes),
    (second, second_row, then): (Minutes, &'static str, Option<Minutes>),
) -> Judged {
    let up_to = |m: Minutes| Some((m, Passes::UpTo));
    // What stands on the counter longer than the first clock runs cannot be shown to have kept it.
    if read.map_or(counter > first, |read| read > first) {
        return judged(Verdict::Over, up_to(first), first_row, format!("the first mark within {first}"));
    }
    match then {
        Some(then) if then > second => {
            judged(Verdict::Over, up_to(second), second_row, format!("the last mark within {second}"))
        }
        Some(_) => judged(
            Verdict::Ok,
            up_to(second),
            second_row,
            format!("{first} to the first mark, {second} to the last, as read"),
        ),
        // A clock that nobody read has not been kept.
        None => judged(
            Verdict::Unknown,
            up_to(second),
            second_row,
            match (first_row, first) == (second_row, second) {
                true => format!(
                    "on the counter no longer than the clock runs, by the plan; only a reading shows that it cools in time: {first} to the mark"
                ),
                false => format!(
                    "on the counter no longer than the first clock runs, by the plan; only readings show that it cools in time, read both marks: {first} to the first mark, {second} to the last"
                ),
            },
        ),
    }
}
