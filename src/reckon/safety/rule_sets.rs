//! The rule sets: how to count time and temperature, place by place, as data.
//!
//! A rule set says what is above its limit, what adds up, what may go back to the cold, and which clocks a cooked food is
//! cooled by. A set without a figure has none here either: its verdict is unknown until the course gives one.

use super::rules::{Row, row};
use crate::units::{Celsius, Minutes};

/// The operator that passes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Passes {
    /// Strictly less than the limit.
    Less,
    /// The limit itself too.
    UpTo,
}

impl Passes {
    /// Whether a span passes.
    #[must_use]
    pub fn passes(self, span: Minutes, limit: Minutes) -> bool {
        match self {
            Passes::Less => span < limit,
            Passes::UpTo => span <= limit,
        }
    }
    /// The operator in print.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Passes::Less => "<",
            Passes::UpTo => "<=",
        }
    }
}

/// A way in which food may be out of the cold.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Route {
    /// What it is called.
    pub name: &'static str,
    /// How long.
    pub limit: Minutes,
    /// The operator.
    pub passes: Passes,
    /// The row it stands in.
    pub row: &'static str,
}

/// One clock of a cooling: from a temperature to a lower one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Clock {
    /// From, at the centre.
    pub from: Celsius,
    /// To, at the centre.
    pub to: Celsius,
    /// Within.
    pub within: Minutes,
    /// The row it stands in.
    pub row: &'static str,
}

/// How the clocks of a cooling are read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Cooling {
    /// No clock.
    None,
    /// The second figure is a total that counts from the start of the first.
    Total(Clock, Clock),
    /// The second clock starts when the first mark is passed.
    Two(Clock, Clock),
    /// One clock, then the cold.
    One(Clock),
    /// As fast as possible; a guide names how long on the counter.
    Guide(Minutes, &'static str),
}

impl Cooling {
    /// The first clock.
    #[must_use]
    pub const fn first(&self) -> Option<Clock> {
        match self {
            Cooling::Total(first, _) | Cooling::Two(first, _) | Cooling::One(first) => Some(*first),
            Cooling::None | Cooling::Guide(..) => None,
        }
    }
    /// From hot to the last mark, in all.
    #[must_use]
    pub const fn in_all(&self) -> Option<Minutes> {
        match self {
            Cooling::Total(_, all) => Some(all.within),
            Cooling::Two(first, then) => Some(Minutes(first.within.0 + then.within.0)),
            Cooling::One(only) => Some(only.within),
            Cooling::None | Cooling::Guide(..) => None,
        }
    }
}

/// What may go back to the cold.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Return {
    /// It does not stop the clock.
    KeepsCounting,
    /// Allowed; a second period is not covered.
    OnceOnly,
    /// Only below this sum.
    Below(Minutes),
    /// It stops the sums and does not reset them.
    Stops,
    /// Nothing is said.
    NotStated,
}

/// How long something made ahead is kept.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Keeps {
    /// Days, that of the making counted as the first.
    pub days: u32,
    /// The row it stands in.
    pub row: &'static str,
}

/// One rule set.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct RuleSet {
    /// Its id in `course.toml`.
    pub id: &'static str,
    /// Where it holds.
    pub place: &'static str,
    /// Above this food is out of the cold; `None`: no figure.
    pub cold_max: Option<Celsius>,
    /// At and above this food is held hot; `None`: no figure.
    pub hot_min: Option<Celsius>,
    /// Every spell adds to the sum.
    pub cumulative: bool,
    /// Work on the food counts; `false`: it is outside the holding limits, or has no figure.
    pub preparation_counts: bool,
    /// The ways out of the cold, the shortest use first as the set prints them.
    pub routes: &'static [Route],
    /// What must be there for them.
    pub needs: &'static [&'static str],
    /// What going back to the cold does.
    pub back: Return,
    /// The clocks of a cooling.
    pub cooling: Cooling,
    /// How long something made ahead is kept; `None`: the set does not say.
    pub keeps: Option<Keeps>,
    /// The rows it rests on; the first is that of the cold limit.
    pub rows: &'static [&'static str],
}

impl RuleSet {
    /// The rows it rests on.
    pub fn rows(&self) -> impl Iterator<Item = &'static Row> {
        self.rows.iter().filter_map(|id| row(id))
    }
    /// Whether a temperature is above the cold limit and below the hot one; a set without a figure: anything out of the cold.
    #[must_use]
    pub fn is_out(&self, at: Celsius) -> bool {
        self.cold_max.is_none_or(|cold| at > cold) && self.hot_min.is_none_or(|hot| at < hot)
    }
    /// Where it is published, in one line: the publication of its first row.
    #[must_use]
    pub fn title(&self) -> String {
        let edition = self.rows().next().map_or("", |r| r.edition);
        format!("{} ({edition})", self.place)
    }
}

const fn c(whole: i64) -> Celsius {
    Celsius::whole(whole)
}
const fn clock(from: i64, to: i64, within: i64, row: &'static str) -> Clock {
    Clock { from: c(from), to: c(to), within: Minutes(within), row }
}
const fn route(name: &'static str, limit: i64, passes: Passes, row: &'static str) -> Route {
    Route { name, limit: Minutes(limit), passes, row }
}

/// Above this the second sum of the dough benchmark runs (rows `grow-batter-12h`, `grow-batter-3h`).
pub const WARM: Celsius = Celsius::from_thousandths(21_100);
/// The ceiling of the six hours (row `us-tphc-6h`).
pub const SIX_HOUR_CEILING: Celsius = Celsius::whole(21);
/// A room above this halves the household's two hours (row `us-consumer-2h`).
pub const HOT_ROOM: Celsius = Celsius::whole(32);

/// The rule set with this id.
#[must_use]
pub fn rule_set(id: &str) -> Option<&'static RuleSet> {
    RULE_SETS.iter().find(|s| s.id == id)
}

/// The published benchmark for raw dough: it warns and never blocks.
#[must_use]
pub fn dough_benchmark() -> &'static RuleSet {
    &DOUGH_BENCHMARK
}

static DOUGH_BENCHMARK: RuleSet = DOUGH;

const DOUGH: RuleSet = RuleSet {
    id: "dough-benchmark",
    place: "US guidance for wet batter, borrowed",
    cold_max: Some(c(10)),
    hot_min: Some(c(57)),
    cumulative: true,
    preparation_counts: true,
    routes: &[
        route("cool band", 720, Passes::UpTo, "grow-batter-12h"),
        route("warm band", 180, Passes::UpTo, "grow-batter-3h"),
    ],
    needs: &[],
    back: Return::Stops,
    cooling: Cooling::None,
    keeps: None,
    rows: &["grow-batter-12h", "grow-batter-3h", "grow-proof", "grow-dough-retard"],
};

/// All rule sets.
pub static RULE_SETS: &[RuleSet] = &[
    RuleSet {
        id: "us-foodcode-2022",
        place: "US",
        cold_max: Some(c(5)),
        hot_min: Some(c(57)),
        cumulative: true,
        preparation_counts: false,
        routes: &[
            route("4 h", 240, Passes::UpTo, "us-tphc-4h"),
            route("6 h", 360, Passes::UpTo, "us-tphc-6h"),
        ],
        needs: &["written procedure", "clock mark on the food"],
        back: Return::KeepsCounting,
        cooling: Cooling::Total(clock(57, 21, 120, "us-cool-stage1"), clock(57, 5, 360, "us-cool-total")),
        keeps: Some(Keeps { days: 7, row: "us-date-mark" }),
        rows: &[
            "us-cold-hold",
            "us-hot-hold",
            "us-prep-not-holding",
            "us-tphc-4h",
            "us-tphc-6h",
            "us-tphc-written",
            "us-tphc-no-return",
            "us-cool-stage1",
            "us-cool-total",
            "us-cool-ambient",
            "us-date-mark",
        ],
    },
    RuleSet {
        id: "uk-england-2013",
        place: "UK (England; Wales and NI alike)",
        cold_max: Some(c(8)),
        hot_min: Some(c(63)),
        cumulative: false,
        preparation_counts: false,
        routes: &[
            route("display, once", 240, Passes::Less, "uk-chill-4h"),
            route("hot display, once", 120, Passes::Less, "uk-hot-2h"),
        ],
        needs: &["proof that it was the first and only period"],
        back: Return::OnceOnly,
        cooling: Cooling::Guide(Minutes(90), "uk-cool"),
        keeps: None,
        rows: &[
            "uk-chill",
            "uk-chill-exempt",
            "uk-chill-4h",
            "uk-chill-handling",
            "uk-hot",
            "uk-hot-2h",
            "uk-cool",
        ],
    },
    RuleSet {
        id: "eu-852-2004",
        place: "EU",
        cold_max: None,
        hot_min: None,
        cumulative: false,
        preparation_counts: false,
        routes: &[],
        needs: &["a national figure from the course"],
        back: Return::NotStated,
        cooling: Cooling::None,
        keeps: None,
        rows: &["eu-cold-chain", "eu-cool", "eu-fr-example"],
    },
    RuleSet {
        id: "au-322",
        place: "AU",
        cold_max: Some(c(5)),
        hot_min: Some(c(60)),
        cumulative: true,
        preparation_counts: true,
        routes: &[route("return", 120, Passes::Less, "au-2h4h"), route("use", 240, Passes::Less, "au-2h4h")],
        needs: &["a record of each spell"],
        back: Return::Below(Minutes(120)),
        cooling: Cooling::Two(clock(60, 21, 120, "au-cool"), clock(21, 5, 240, "au-cool")),
        keeps: None,
        rows: &["au-temp", "au-2h4h", "au-2h4h-scope", "au-cool"],
    },
    RuleSet {
        id: "nz-fcp",
        place: "NZ",
        cold_max: Some(c(5)),
        hot_min: Some(c(60)),
        cumulative: true,
        preparation_counts: true,
        routes: &[route("return", 120, Passes::Less, "nz-temp"), route("use", 240, Passes::Less, "nz-temp")],
        needs: &["food control plan"],
        back: Return::Below(Minutes(120)),
        cooling: Cooling::Two(clock(60, 21, 120, "nz-temp"), clock(21, 5, 240, "nz-temp")),
        keeps: None,
        rows: &["nz-temp", "nz-scope"],
    },
    RuleSet {
        id: "codex-who",
        place: "Codex and WHO",
        cold_max: Some(c(4)),
        hot_min: Some(c(60)),
        cumulative: true,
        preparation_counts: false,
        routes: &[route("room temperature", 120, Passes::UpTo, "who-keys")],
        needs: &[],
        back: Return::NotStated,
        cooling: Cooling::One(clock(60, 10, 120, "codex-cool")),
        keeps: Some(Keeps { days: 5, row: "codex-keep" }),
        rows: &["codex-keep", "codex-cool", "codex-hot", "codex-general", "who-keys"],
    },
    RuleSet {
        id: "us-consumer",
        place: "US households",
        cold_max: Some(Celsius::from_thousandths(4_400)),
        hot_min: Some(c(60)),
        cumulative: true,
        preparation_counts: true,
        routes: &[
            route("room", 120, Passes::UpTo, "us-consumer-2h"),
            route("room above 32 °C", 60, Passes::UpTo, "us-consumer-2h"),
        ],
        needs: &[],
        back: Return::Stops,
        cooling: Cooling::None,
        keeps: Some(Keeps { days: 4, row: "us-egg-leftover" }),
        rows: &["us-consumer-2h", "us-danger-zone", "us-egg-leftover"],
    },
    DOUGH,
];
