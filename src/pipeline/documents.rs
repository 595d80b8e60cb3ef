//! Which documents a class gets: its sheets in print order, each filled from the numbers, with its path in the output folder.

use super::{Asked, Reckoned, Watch};
use crate::course::{Course, FormulaId, LessonId, Paper as CoursePaper, VariantId};
use crate::finding::{Finding, Sources};
use crate::output::json::value_of;
use crate::typeset::views::desk::Desk;
use crate::typeset::views::home_recipe::HomeRecipe;
use crate::typeset::views::joining_note::JoiningNote;
use crate::typeset::views::order_sheet::OrderSheet;
use crate::typeset::views::oven_and_cold::OvenAndCold;
use crate::typeset::views::prep_sheet::PrepSheet;
use crate::typeset::views::pull_list::PullList;
use crate::typeset::views::room_card::RoomCard;
use crate::typeset::views::run_sheet::RunSheet;
use crate::typeset::views::sign_in::Roll;
use crate::typeset::views::slips::Slips;
use crate::typeset::views::station_sheet;
use crate::typeset::views::weigh_out::WeighOut;
use crate::typeset::{Album, DocumentSpec, Kind, PageLook, Paper, Press, Printed, Sheet, Shelf, print};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Where photographs come from and where finished prints of them stand.
pub struct Darkroom<'a> {
    /// The bytes of a photograph by its path within the course folder, or why there are none, as a clause.
    pub fetch: &'a (dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
    /// Where finished prints stand.
    pub shelf: &'a dyn Shelf,
}

/// Typesets every document of a class that has a plan; what is wrong with templates, fonts and photographs is told.
pub fn documents(
    reckoned: &Reckoned,
    asked: Asked,
    overrides: &BTreeMap<String, Vec<u8>>,
    darkroom: &Darkroom<'_>,
    sources: &mut Sources,
    watch: &dyn Watch,
) -> (Vec<Printed>, Vec<Finding>) {
    let Some(plan) = &reckoned.planned.plan else { return (Vec::new(), Vec::new()) };
    let look = look(&reckoned.course);
    let (album, mut findings) = Album::develop(&reckoned.course, &look, darkroom.fetch, darkroom.shelf);
    let mut desk = Desk::new(&reckoned.course, &reckoned.class, plan, &reckoned.weighed);
    desk.anonymous = asked.anonymous;
    desk.album = Some(&album);
    let sheets = sheets(&desk, reckoned, &look);
    watch.stage("typesetting", sheets.len());
    let (printed, found) = print(&Press::new(overrides), &sheets, sources, &|| watch.one());
    findings.extend(found);
    (printed, findings)
}

/// How the pages of a course look.
fn look(course: &Course) -> PageLook {
    let settings = &course.settings;
    PageLook {
        paper: match settings.paper.value {
            CoursePaper::A4 => Paper::A4,
            CoursePaper::Letter => Paper::Letter,
        },
        large_print: settings.large_print.value,
        black_and_white: settings.black_and_white.value,
        language: settings.language.value.clone(),
    }
}

/// The sheets in print order.
fn sheets(desk: &Desk<'_>, reckoned: &Reckoned, look: &PageLook) -> Vec<Sheet> {
    let course = desk.course;
    let mut rack = Rack { desk, look, sheets: Vec::new(), paths: BTreeSet::new() };
    for (no, session, sheet) in station_sheet::all(desk) {
        let path = format!("stations/station-{no}-{}", plain(session.as_str()));
        rack.add(Kind::StationSheet, &path, Some(no.0), Privacy::Names, &sheet);
    }
    for session in &course.sessions {
        let id = plain(session.id.value.as_str());
        rack.add(
            Kind::RunSheet,
            &format!("run-sheet-{id}"),
            None,
            Privacy::Open,
            &RunSheet::of(desk, session),
        );
    }
    for (day, sheet) in PrepSheet::all(desk) {
        rack.add(Kind::PrepSheet, &format!("prep-sheet-{day}"), None, Privacy::Open, &sheet);
    }
    rack.add(Kind::WeighOut, "weigh-out", None, Privacy::Open, &WeighOut::of(desk));
    let suppliers = reckoned.order.deliveries.iter().map(|d| plain(d.supplier.as_str()));
    for (supplier, sheet) in suppliers.zip(OrderSheet::all(desk, &reckoned.order)) {
        rack.add(Kind::OrderSheet, &format!("orders/{supplier}"), None, Privacy::Open, &sheet);
    }
    rack.add(Kind::PullList, "pull-list", None, Privacy::Open, &PullList::of(desk, &reckoned.equipment));
    for session in &course.sessions {
        let path = format!("oven-and-cold-{}", plain(session.id.value.as_str()));
        rack.add(Kind::OvenAndCold, &path, None, Privacy::Open, &OvenAndCold::of(desk, session));
    }
    rack.add(Kind::Roll, "roll", None, Privacy::Names, &Roll::of(desk));
    rack.add(Kind::Slips, "slips", None, Privacy::Names, &Slips::of(desk));
    for (formula, lesson, variant) in home_recipes(desk) {
        let Some(formula) = course.formula(&formula) else { continue };
        let lesson = lesson.and_then(|l| course.lesson(&l));
        if let Some(sheet) = HomeRecipe::of(desk, formula, lesson, variant.as_ref()) {
            let id = lesson.map_or(formula.id.value.as_str(), |l| l.id.value.as_str());
            let variant = variant.map_or(String::new(), |v| format!("-{}", plain(v.as_str())));
            rack.add(Kind::HomeRecipe, &format!("home/{}{variant}", plain(id)), None, Privacy::Open, &sheet);
        }
    }
    rack.add(Kind::JoiningNote, "joining-note", None, Privacy::Open, &JoiningNote::of(desk, None));
    rack.add(Kind::RoomCard, "room-card", None, Privacy::Open, &RoomCard::of(desk));
    rack.sheets
}

/// Every home recipe that somebody takes away: each lesson's, each variant that a station follows, and those that the course
/// wants beside.
fn home_recipes(desk: &Desk<'_>) -> Vec<(FormulaId, Option<LessonId>, Option<VariantId>)> {
    let mut all = Vec::new();
    for lesson in &desk.course.lessons {
        let id = &lesson.id.value;
        let mut variants: BTreeSet<Option<VariantId>> = BTreeSet::from([None]);
        variants.extend(desk.class.stations.iter().map(|s| s.variants.get(id).cloned()));
        all.extend(variants.into_iter().map(|v| (lesson.formula.value.clone(), Some(id.clone()), v)));
    }
    all.extend(desk.course.settings.also_home.iter().map(|f| (f.value.clone(), None, None)));
    all
}

/// Whether a sheet holds people's data.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Privacy {
    /// Nobody's.
    Open,
    /// Names, unless numbers stand for them.
    Names,
}

/// The sheets as they are made.
struct Rack<'a> {
    desk: &'a Desk<'a>,
    look: &'a PageLook,
    sheets: Vec<Sheet>,
    paths: BTreeSet<String>,
}

impl Rack<'_> {
    fn add(&mut self, kind: Kind, stem: &str, station: Option<u32>, privacy: Privacy, view: &impl Serialize) {
        // Two ids may become one name on some machines; then the later one is numbered.
        let path = (1..)
            .map(|n| if n == 1 { format!("{stem}.pdf") } else { format!("{stem}-{n}.pdf") })
            .find(|path| self.paths.insert(path.to_lowercase()))
            .unwrap_or_default();
        let document = DocumentSpec {
            template: kind.word().to_owned(),
            title: format!("{}: {}", self.desk.course.settings.name.value, stem.replace(['/', '-'], " ")),
            look: self.look.clone(),
            data: value_of(view),
            photographs: self.desk.album.map(|album| album.files().clone()).unwrap_or_default(),
            ident: path.clone(),
        };
        let private = privacy == Privacy::Names && !self.desk.anonymous;
        self.sheets.push(Sheet { kind, station, path, private, document });
    }
}

/// An id as part of a file name on any machine.
fn plain(id: &str) -> String {
    let plain: String =
        id.chars().map(|c| if c.is_alphanumeric() || c == '_' { c } else { '-' }).take(80).collect();
    if plain.is_empty() { "-".to_owned() } else { plain }
}
