//! What `course.toml` says apart from steps: paper, language, money, rules, policies, sessions.

use super::{At, FormulaId, SessionId};
use crate::units::{Grams, Minutes, Percent};
use jiff::ZonedDateTime;

/// Paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Paper {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 in.
    Letter,
}

/// How quantities are shown beside grams.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum UnitSystem {
    /// Degrees Celsius, centimetres.
    Metric,
    /// Degrees Fahrenheit, inches, US cups.
    Us,
}

/// Which cup and spoon the home recipe speaks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Measures {
    /// US customary cup 236.588 ml, tablespoon 14.787 ml.
    Us,
    /// Metric cup 250 ml, tablespoon 15 ml.
    Metric,
    /// Metric cup 250 ml, tablespoon 20 ml.
    Australian,
}

/// One finding that the teacher accepts, with the reason that is printed on the sheets.
#[derive(Clone, PartialEq, Debug)]
pub struct Accepted {
    /// The finding's code.
    pub code: At<String>,
    /// Which one of this code, by what it is about or by its file and line; `None`: the only one there is.
    pub of: Option<At<String>>,
    /// Why it is accepted.
    pub reason: At<String>,
}

/// What `course.toml` says apart from sessions and steps.
#[derive(Clone, PartialEq, Debug)]
pub struct Settings {
    /// The number of the format: 1.
    pub format: At<u32>,
    /// The course's name.
    pub name: At<String>,
    /// Who gives it.
    pub host: At<String>,
    /// Name of the teacher.
    pub teacher: At<String>,
    /// Names of helpers; their number is the helper's hands.
    pub helpers: Vec<At<String>>,
    /// Where it is.
    pub address: Option<At<String>>,
    /// Mail, telephone.
    pub contact: Option<At<String>>,
    /// IANA time zone.
    pub time_zone: At<String>,
    /// ISO 4217 code.
    pub currency: At<String>,
    /// Language of the fixed words.
    pub language: At<String>,
    /// Paper.
    pub paper: At<Paper>,
    /// Units on the page.
    pub units: At<UnitSystem>,
    /// Cups and spoons.
    pub measures: At<Measures>,
    /// What is chosen where the trade's sources disagree.
    pub conventions: super::Conventions,
    /// Large print.
    pub large_print: At<bool>,
    /// Black and white.
    pub black_and_white: At<bool>,
    /// The allergen list by id: `us9`, `eu14`, `ca`, `anz`, `codex`.
    pub allergen_list: At<String>,
    /// The rule set for time and temperature by id; `None`: verdicts are unknown.
    pub rule_set: Option<At<String>>,
    /// Accepted findings.
    pub accepts: Vec<Accepted>,
    /// The grid of the plan: times on the sheets are multiples of it.
    pub grid: At<Minutes>,
    /// What the class's scales can show.
    pub scale_step: At<Grams>,
    /// What the fine scale can show, for yeast, salt, spice.
    pub fine_step: At<Grams>,
    /// Below this a thing is weighed on the fine scale.
    pub fine_below: At<Grams>,
    /// The least headcount to run.
    pub least_headcount: Option<At<u32>>,
    /// What one student pays.
    pub fee: Option<At<crate::units::Money>>,
    /// The margin that a fee must leave.
    pub margin: Option<At<Percent>>,
    /// Tax included in prices.
    pub tax: Option<At<Percent>>,
    /// Health data is removed from the roll by this date.
    pub forget_by: Option<At<jiff::civil::Date>>,
    /// Ingredients that a stand-in takes the place of.
    pub instead: Vec<(At<super::ItemId>, At<super::ItemId>)>,
    /// The emergency number for the room card.
    pub emergency: Option<At<String>>,
    /// Where first aid and the auto-injector are.
    pub first_aid: Option<At<String>>,
    /// Answers to the joining note are wanted by this day.
    pub answer_by: Option<At<jiff::civil::Date>>,
    /// What to bring and wear, for the joining note, one line each.
    pub bring: Vec<At<String>>,
    /// What the joining note says about people under age.
    pub under_age: Option<At<String>>,
    /// How long food may stand out of the cold where the rule set names no figure: the course's own.
    pub own_limit: Option<At<Minutes>>,
    /// Labels show the percentage of each ingredient.
    pub label_percentages: At<bool>,
    /// Label geometry in millimetres: columns, rows, width, height.
    pub labels: Option<LabelSheet>,
    /// Formulas whose home recipe is wanted though no lesson makes them.
    pub also_home: Vec<At<FormulaId>>,
}

/// A sheet of labels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LabelSheet {
    /// Labels across.
    pub columns: u32,
    /// Labels down.
    pub rows: u32,
    /// Where it is written how many are across, and how many down.
    pub written: (Option<crate::finding::Place>, Option<crate::finding::Place>),
    /// Size of one label.
    pub size: super::Area,
    /// Bare edge of the sheet: left, top.
    pub margin: Option<super::Area>,
    /// Between two labels: across, down.
    pub gap: Option<super::Area>,
}

/// One sitting.
#[derive(Clone, PartialEq, Debug)]
pub struct Session {
    /// Its id.
    pub id: At<SessionId>,
    /// The name that is printed; made from the date if not written.
    pub name: Option<At<String>>,
    /// Start, in the course's time zone.
    pub from: At<ZonedDateTime>,
    /// End.
    pub to: At<ZonedDateTime>,
    /// When staff are in the kitchen around it: from, to. Spans for days before count too.
    pub staff: Vec<At<(ZonedDateTime, ZonedDateTime)>>,
}

/// When one of the staff is there on a day, and when they have a break. Who has hours on any day is there in those and no others; who has none
/// is there whenever staff are.
#[derive(Clone, PartialEq, Debug)]
pub struct Presence {
    /// The teacher's name, or a helper's.
    pub who: At<String>,
    /// From, to.
    pub there: Vec<At<(ZonedDateTime, ZonedDateTime)>>,
    /// From, to: in the building, and free of work.
    pub breaks: Vec<At<(ZonedDateTime, ZonedDateTime)>>,
}
