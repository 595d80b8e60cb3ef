//! What many documents share: who gives the course, days and sittings, measures, lists to weigh, steps, racks.
//!
//! A time of day is a whole number of minutes after midnight of the day that stands beside it (1450 is ten past
//! midnight on the next day); a template prints it with `clock(minutes)` and draws with it to scale. Text that the
//! teacher wrote stays text; fixed words are keys of the words catalogue and are turned into words by the template.

use super::instead::InPart;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

/// What every sheet says of its course.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct About {
    /// The course's name.
    pub course: String,
    /// Who gives it.
    pub host: String,
    /// The teacher's name.
    pub teacher: String,
    /// Minutes by which the plan that is printed here is too long; `None` when it fits. Every sheet is marked with it.
    pub late: Option<i64>,
    /// Of these minutes, those by which only the staff's hours after the sittings are too long; nought when it fits.
    pub late_staff: i64,
    /// Which sittings end late, and by how much, where the class has more than one.
    pub late_sittings: Vec<LateSitting>,
    /// Findings that the teacher accepted, each with the reason as written.
    pub accepted: Vec<String>,
    /// The stations that the class needs and the kitchen does not have; `None` when all are there.
    pub missing: Option<Missing>,
}

/// A sitting that the printed plan ends late.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LateSitting {
    /// Which.
    pub sitting: Sitting,
    /// By how many minutes.
    pub minutes: i64,
}

/// Stations for which sheets are printed and that are not in the kitchen.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// So many are there.
    pub there: u32,
    /// The numbers of the others, runs drawn together: `7–12`.
    pub stations: String,
}

/// A day of the calendar; its names come from the words catalogue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Day {
    /// The year.
    pub year: i16,
    /// The month, from 1.
    pub month: i8,
    /// The day of the month, from 1.
    pub day: i8,
    /// The day of the week, Monday is 1.
    pub weekday: i8,
}

impl From<jiff::civil::Date> for Day {
    fn from(d: jiff::civil::Date) -> Day {
        Day { year: d.year(), month: d.month(), day: d.day(), weekday: d.weekday().to_monday_one_offset() }
    }
}

/// A moment: a day and minutes after its midnight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Moment {
    /// The day.
    pub day: Day,
    /// Minutes after midnight.
    pub at: i64,
}

impl From<jiff::civil::DateTime> for Moment {
    fn from(t: jiff::civil::DateTime) -> Moment {
        Moment { day: t.date().into(), at: i64::from(t.hour()) * 60 + i64::from(t.minute()) }
    }
}

/// One sitting.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Sitting {
    /// The name as the teacher wrote it.
    pub name: String,
    /// Its day.
    pub day: Day,
    /// Start, minutes after midnight.
    pub from: i64,
    /// End.
    pub to: i64,
}

/// Figures and a unit: `{ "value": "480", "unit": "g" }`. The value has the digits that the scale or the ruler shows.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Measure {
    /// The figures; a fraction is written `1 1/2`.
    pub value: String,
    /// The unit as printed.
    pub unit: String,
}

impl Measure {
    /// Figures and a unit.
    pub fn new(value: impl Into<String>, unit: impl Into<String>) -> Measure {
        Measure { value: value.into(), unit: unit.into() }
    }
}

/// A figure that a step needs, with the key of its word: `oven`, `core`, `aim`, `every`, ...
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Fact {
    /// Key in the catalogue's `[fact]`.
    pub word: String,
    /// Its figures; two make a range.
    pub values: Vec<Measure>,
}

/// A sentence of the words catalogue with values in its braces; the template prints it with `phrase(p)`.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Phrase {
    /// Its key in the catalogue, with its table: `allergen.helped-by`.
    pub word: String,
    /// What stands in its braces, by name.
    pub values: BTreeMap<String, String>,
}

impl Phrase {
    /// A sentence with its values.
    pub fn new<const N: usize>(word: &str, values: [(&str, String); N]) -> Phrase {
        Phrase { word: word.to_owned(), values: values.map(|(k, v)| (k.to_owned(), v)).into() }
    }
}

/// For whom a thing is made; the template puts it into words.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct ForWhom {
    /// Stations, runs drawn together: `1–3`, `5`.
    pub stations: Vec<String>,
    /// They are all the stations there are.
    pub all: bool,
    /// How many stations.
    pub count: usize,
    /// The teacher's stage for a demonstration.
    pub stage: bool,
    /// The spare pieces.
    pub spare: bool,
}

/// The slips on the tubs or dishes of one making: `tub 3`, `tub 4, 5`.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct SlipRef {
    /// `tub` or `dish`: a key of the catalogue's `[slip]`.
    pub on: String,
    /// Their numbers, runs drawn together: `3`, `4, 5`, `1–3`.
    pub number: String,
}

/// What is made: `2 walnut crowns, nut-free`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Making {
    /// How many pieces.
    pub count: u32,
    /// How many small ones make up one of them: six, where a roll is cut in six. 1: it is one thing.
    pub in_one: u32,
    /// The lesson's name.
    pub name: String,
    /// The variant's name, where one is followed.
    pub variant: Option<String>,
}

/// One line to weigh.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Weighing {
    /// The ingredient's name.
    pub name: String,
    /// How much, to the step of the scale that it is weighed on.
    pub amount: Measure,
    /// Said beside it: `from the scald`.
    pub note: String,
    /// About so many eggs: `1/4`, `1 1/2`, `4`; empty for what is no whole egg.
    pub eggs: String,
    /// Weighed on the fine scale.
    pub fine: bool,
    /// Stays in the cold until it is needed.
    pub cold: bool,
    /// The slip on what is fetched.
    pub slip: Option<SlipRef>,
    /// The station that mixed what is fetched; empty when staff made it.
    pub mixed_by: String,
    /// Each of these made their share of it, and brings it to the reader's bowl.
    pub from: Option<ForWhom>,
    /// Staff made what is fetched; printed where no slip says which it is.
    pub by_staff: bool,
    /// What the reader's station avoids, and it is in the pack.
    pub contains: Vec<String>,
    /// What the reader's station avoids, and the pack may hold.
    pub may_contain: Vec<String>,
    /// The reader's station avoids something, and nobody has read the pack.
    pub unread: bool,
}

/// One list to weigh or one thing to fetch.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighList {
    /// The lesson's name.
    pub lesson: String,
    /// The part's name.
    pub part: String,
    /// The variant's name, where one is followed.
    pub variant: Option<String>,
    /// `weigh`: all lines below; `fetch`: one thing that others made, its lines are what to fetch.
    pub how: String,
    /// Who shares it, where it is not for the reader alone.
    pub for_whom: Option<ForWhom>,
    /// In which mixer: its name; empty for none.
    pub mixer: String,
    /// By hand, as no bowl's hook catches so little.
    pub by_hand: bool,
    /// The station in whose bowl it is mixed with that of others; empty where it is the reader's own.
    pub into: String,
    /// The teacher's own words on it.
    pub note: String,
    /// The lines, in the order of the formula.
    pub lines: Vec<Weighing>,
    /// Their sum; `None` where a sum says nothing.
    pub total: Option<Measure>,
    /// What to do for the dough's temperature; `None` where no aim is written.
    pub temper: Option<Phrase>,
}

/// A thing that fills time on a rail or in a lane.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Block {
    /// Start, minutes after midnight.
    pub from: i64,
    /// End.
    pub to: i64,
    /// What is printed on it; the step's number on a station's rail.
    pub label: String,
    /// The number of its step on a run sheet, printed where the label has no room; `None` for none.
    pub number: Option<u32>,
    /// What was made before and stands there: `baked`, `filled`, `unbaked`, a key of the catalogue's `[lane]` that is printed after the
    /// label; else empty.
    pub state: &'static str,
    /// For whom, printed after the label where it matters.
    pub for_whom: Option<ForWhom>,
    /// `hands` (busy), `watch` (a demo, a talk), `pause` (a break), `waits` (rises, chills, bakes by itself), `oven`
    /// (a load), `heats` (an oven on its way to its temperature), `off` (one of the staff has a break), `away` (one of them is not there).
    pub tone: String,
}

/// What held something that somebody avoids stands or stood where this is made.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct WashUp {
    /// `first` (it goes first, with clean pans and cloths), `hands` (of staff who handled it before), `before` (pans, spoons, bench), `mixer`, `pot` (with what was cooked in), `tool` (a tool or tub that goes from hand to hand), `laid` (what is laid on trays or into tins), `oven` (trays and tins), `beside` (both are at work at once): the end of a key `wash-up-…` of the catalogue's `[step]`.
    pub how: String,
    /// What this is kept clean of, in the words of the course's list.
    pub free_from: Vec<String>,
}

/// One step on a sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Step {
    /// Its number on this sheet; `None` for what happens without the reader's hands.
    pub number: Option<u32>,
    /// Start, minutes after midnight.
    pub from: i64,
    /// The moment of its start, when that was on an earlier day.
    pub since: Option<Moment>,
    /// End.
    pub to: i64,
    /// The moment of its end, when that is on another day.
    pub until: Option<Moment>,
    /// The lesson's name; empty for the class's own steps.
    pub lesson: String,
    /// What is done.
    pub name: String,
    /// Who does it: `students`, `one-student` (of two), `one-of-several`, `teacher`, `helper`, `staff`, `nobody`.
    pub hands: String,
    /// The steps that others of the reader's station do at the same time, by their numbers; empty where the others' hands are free.
    pub beside: Vec<u32>,
    /// Everyone watches.
    pub demo: bool,
    /// A break.
    pub pause: bool,
    /// What kind of place: `mixer`, `hob`, `oven`, `cold`, `freezer`, `room`, `warm`, `rack`, `sink`, `by-hand`: a key of the catalogue's
    /// `[where]`; empty for the bench.
    pub at: String,
    /// Which one, by its name: `Oven 1`; empty where the kind says enough.
    pub place: String,
    /// In which station's bowl it is mixed with that of others, and for which stations; `None` where it is the reader's own work.
    pub one_bowl: Option<OneBowl>,
    /// The oven load.
    pub load: Option<u32>,
    /// What going to such a bowl asks of the reader's hands: `go`, `come`, `own`, `both`: the end of a key `bowl-…` of the catalogue's
    /// `[step]`; empty where nobody brings there what another of them avoids.
    pub bowl_wash: String,
    /// What to do, in the teacher's words, measures filled in.
    pub say: String,
    /// What the reader's variant has in place of what those words may name, in the parts that the step takes up.
    pub here: Vec<InPart>,
    /// Figures that decide.
    pub facts: Vec<Fact>,
    /// The measures are of one piece, and the reader makes so many; `None` where there is nothing to mistake.
    pub each: Option<u32>,
    /// What goes onto or into each piece, where neither words nor drawings say how much.
    pub gets: Vec<Gets>,
    /// Drawings, each as `views::drawing::drawing` gives it.
    pub drawings: Vec<Value>,
    /// A photograph that stands beside or in place of the drawings.
    pub photograph: Option<Photograph>,
    /// Cautions by their keys in the catalogue's `[danger]`.
    pub cautions: Vec<String>,
    /// What is washed before it, and what it is then kept clean of.
    pub wash_up: Option<WashUp>,
}

/// A bowl that several stations share.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OneBowl {
    /// The station that weighs and mixes for all.
    pub station: u32,
    /// For whom all.
    pub for_whom: ForWhom,
}

/// A part of which each piece gets so much, or so many pieces that count for one do.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Gets {
    /// The part's name.
    pub part: String,
    /// How much, for so many as count for one.
    pub amount: Measure,
    /// Of these each gets so much; `None` where what counts for one is one.
    pub each: Option<Measure>,
    /// How many count for one.
    pub count: u32,
}

/// A photograph, ready to print.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Photograph {
    /// Its name in `/photographs/`.
    pub name: String,
    /// What it shows, in the teacher's words, for those who hear the page; empty where the teacher says nothing.
    pub alt: String,
    /// Printed width, in millimetres.
    pub width: f64,
    /// Printed height, in millimetres.
    pub height: f64,
    /// It stands in place of the step's drawings.
    pub alone: bool,
}

/// An oven rack or a tray from above, with what lies on it; centimetres, the near left corner is 0, 0.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Rack {
    /// What it is called: its number from the top; `?` where that is not known.
    pub name: String,
    /// Left to right.
    pub width: f64,
    /// Front to back.
    pub depth: f64,
    /// The tins and trays on it.
    pub places: Vec<RackPlace>,
}

/// A tin or a tray on a rack.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RackPlace {
    /// Left edge from the rack's left.
    pub x: f64,
    /// Near edge from the rack's front.
    pub y: f64,
    /// Left to right.
    pub width: f64,
    /// Front to back.
    pub depth: f64,
    /// A round tin.
    pub round: bool,
    /// What lies on a tray, where its size is known; none in a tin.
    pub pieces: Vec<OnTray>,
    /// Whose: a station's number, or a name.
    pub label: String,
    /// Said under it, small.
    pub note: String,
}

/// A piece on a tray, from above; centimetres from the tray's near left corner.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OnTray {
    /// Its middle, from the left.
    pub x: f64,
    /// Its middle, from the front.
    pub y: f64,
    /// Left to right, as it is shaped.
    pub width: f64,
    /// Front to back.
    pub depth: f64,
    /// Left to right once it has grown.
    pub baked_width: f64,
    /// Front to back once it has grown.
    pub baked_depth: f64,
}
