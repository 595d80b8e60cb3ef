//! Every sheet of a course, in print order: each document's view filled, named, and put into the packs that hold it.

use super::printing::Sheet;
use super::views::allergen_sheet::AllergenSheet;
use super::views::bake_at_home::BakeAtHome;
use super::views::desk::Desk;
use super::views::home_recipe::HomeRecipe;
use super::views::incident_note::IncidentNote;
use super::views::joining_note::JoiningNote;
use super::views::label_sheet::Labels;
use super::views::order_sheet::OrderSheet;
use super::views::oven_and_cold::OvenAndCold;
use super::views::pack::{Pack, PackSheet};
use super::views::prep_sheet::PrepSheet;
use super::views::pull_list::PullList;
use super::views::room_card::RoomCard;
use super::views::run_sheet::RunSheet;
use super::views::sign_in::Roll;
use super::views::slips::Slips;
use super::views::station_sheet::StationSheet;
use super::views::temperature_log::TemperatureLog;
use super::views::weigh_out::WeighOut;
use super::{DocumentSpec, Kind, PageLook};
use crate::course::{FormulaId, Lesson, StationNo, VariantId};
use crate::reckon::home::also_at_home;
use crate::reckon::order::Order;
use crate::reckon::pull_list::Equipment;
use crate::reckon::safety::Safety;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// What the sheets are made from, beside the desk.
#[derive(Clone, Copy)]
pub struct Figures<'a> {
    /// What is bought.
    pub order: &'a Order,
    /// What is got out.
    pub equipment: &'a Equipment,
    /// Time and temperature.
    pub safety: &'a Safety,
}

/// A sheet before it is a document.
struct Page {
    kind: Kind,
    station: Option<StationNo>,
    /// Its file name without the ending; also its title until the template gives it one in the page's language.
    name: String,
    private: bool,
    data: Value,
    /// The stations whose pack it is in.
    packs: Vec<StationNo>,
    /// It is in the teacher's pack.
    teacher: bool,
    /// No two sheets of one pack have the same.
    fold: u32,
}

impl Page {
    fn new(kind: Kind, name: impl Into<String>, data: &impl Serialize) -> Page {
        Page {
            kind,
            station: None,
            name: name.into(),
            private: false,
            data: json!(data),
            packs: Vec::new(),
            teacher: true,
            fold: 0,
        }
    }
    /// It holds people's data.
    fn private(self) -> Page {
        Page { private: true, ..self }
    }
    /// It goes to these stations and not to the teacher.
    fn handed_to(self, packs: Vec<StationNo>) -> Page {
        Page { packs, teacher: false, ..self }
    }
}

/// All sheets of a course but the gallery: stations, teacher, staff, door, take-home, then the packs.
pub fn sheets(desk: &Desk, figures: Figures, look: &PageLook) -> Vec<Sheet> {
    sheets_and(desk, figures, look, true)
}

/// The same; without the packs, which hold all others once more, for one who prints none.
pub fn sheets_and(desk: &Desk, figures: Figures, look: &PageLook, with_packs: bool) -> Vec<Sheet> {
    let mut pages = stations(desk);
    pages.extend(staff(desk, figures));
    pages.extend(home(desk, figures.safety));
    pages.push(Page::new(Kind::JoiningNote, "joining-note", &JoiningNote::of(desk, figures.order, None)));
    pages.push(Page::new(Kind::RoomCard, "room-card", &RoomCard::of(desk)));
    pages.push(Page::new(Kind::IncidentNote, "incident-note", &IncidentNote::of(desk)));
    set_apart(&mut pages);
    fold(&mut pages);
    if with_packs {
        pages.extend(packs(desk, &pages));
    }
    pages.into_iter().map(|page| sheet(page, desk, look)).collect()
}

/// Two plain ids may make one name: a formula `buns-plain`, and the variant `plain` of `buns`. The later sheet gets a number.
fn set_apart(pages: &mut [Page]) {
    let mut taken = BTreeSet::new();
    for page in pages {
        let name = (1..)
            .map(|n| if n == 1 { page.name.clone() } else { format!("{}-no-{n}", page.name) })
            .find(|name| !taken.contains(&name.to_lowercase()));
        page.name = name.unwrap_or_default();
        taken.insert(page.name.to_lowercase());
    }
}

/// Each sheet gets the least fold that none has yet with which it is bound: sheets that are alike, one for each station, get the same.
fn fold(pages: &mut [Page]) {
    for n in 0..pages.len() {
        let (before, page) = (&pages[..n], &pages[n]);
        let meets = |other: &&Page| {
            page.teacher && other.teacher || page.packs.iter().any(|station| other.packs.contains(station))
        };
        let taken: BTreeSet<u32> = before.iter().filter(meets).map(|other| other.fold).collect();
        pages[n].fold = (0..).find(|fold| !taken.contains(fold)).unwrap_or_default();
    }
}

fn sheet(page: Page, desk: &Desk, look: &PageLook) -> Sheet {
    // One who reads large print gets it on all that their station is handed.
    let large = page.station.is_some_and(|no| desk.anyone_needs(no, "large-print"));
    // A sheet of a station that is not there is printed as a pack of one, which says so on every page.
    let not_there = page.station.is_some_and(|no| desk.is_missing(no));
    let alone = not_there && page.kind == Kind::StationSheet;
    let data = if alone { json!(pack_of(desk, page.station, vec![packed(&page)])) } else { page.data };
    let template = if alone { Kind::Pack } else { page.kind };
    Sheet {
        kind: page.kind,
        station: page.station.map(|no| no.0),
        path: format!("{}.pdf", page.name),
        private: page.private,
        document: DocumentSpec {
            template: template.word().to_owned(),
            title: page.name.clone(),
            look: PageLook { large_print: look.large_print || large, ..look.clone() },
            data,
            photographs: desk.album.map(|a| a.files().clone()).unwrap_or_default(),
            ident: page.name,
            fold: page.fold,
        },
    }
}

/// `NAME`, or `NAME-SESSION` where there are several.
fn per_session(desk: &Desk, name: &str, session: &str) -> String {
    if desk.course.sessions.len() > 1 { format!("{name}-{session}") } else { name.to_owned() }
}

fn stations(desk: &Desk) -> Vec<Page> {
    let mut pages = Vec::new();
    for station in &desk.class.stations {
        for session in &desk.course.sessions {
            let name = per_session(desk, &format!("station-{}", station.no), session.id.value.as_str());
            let view = StationSheet::of(desk, station, session);
            let page = Page::new(Kind::StationSheet, name, &view).handed_to(vec![station.no]);
            pages.push(Page { station: Some(station.no), private: !desk.anonymous, ..page });
        }
    }
    pages
}

fn staff(desk: &Desk, figures: Figures) -> Vec<Page> {
    let (course, class, plan) = (desk.course, desk.class, desk.plan);
    let mut pages = Vec::new();
    for session in &course.sessions {
        let name = per_session(desk, "run-sheet", session.id.value.as_str());
        pages.push(Page::new(Kind::RunSheet, name, &RunSheet::of(desk, session)));
    }
    for (day, view) in PrepSheet::all(desk) {
        pages.push(Page::new(Kind::PrepSheet, format!("prep-{day}"), &view));
    }
    pages.push(Page::new(Kind::WeighOut, "weigh-out", &WeighOut::of(desk)));
    let orders = figures.order.deliveries.iter();
    // Where an order stands and nothing is added, there is no sheet.
    pages.extend(orders.filter_map(|delivery| {
        let view = OrderSheet::of(desk, figures.order, delivery);
        let name = format!("order-{}", delivery.supplier);
        (!view.lines.is_empty()).then(|| Page::new(Kind::OrderSheet, name, &view))
    }));
    pages.push(Page::new(Kind::PullList, "pull-list", &PullList::of(desk, figures.equipment, figures.order)));
    for session in &course.sessions {
        let name = per_session(desk, "oven-and-cold", session.id.value.as_str());
        pages.push(Page::new(Kind::OvenAndCold, name, &OvenAndCold::of(desk, session)));
    }
    let about = || desk.about();
    let allergens = AllergenSheet::of(about(), course, class, plan, desk.anonymous);
    pages.push(Page::new(Kind::AllergenSheet, "allergen-sheet", &allergens).private());
    let log = TemperatureLog::of(desk.about_food(), course, figures.safety).by_stations(desk, figures.safety);
    pages.push(Page::new(Kind::TemperatureLog, "temperature-log", &log));
    pages.push(Page::new(Kind::Roll, "roll", &Roll::of(desk)).private());
    pages.push(Page::new(Kind::Slips, "slips", &Slips::of(desk)).private());
    // Labels are printed on their own paper, so they are in no pack.
    let labels = Labels::of(about(), course, class, (plan, &figures.safety.dates), desk.anonymous);
    pages.push(Page::new(Kind::Labels, "labels", &labels).private().handed_to(Vec::new()));
    pages
}

/// A home recipe for each formula and each variant that a station follows, and what is baked at home.
fn home(desk: &Desk, safety: &Safety) -> Vec<Page> {
    let mut pages = Vec::new();
    for lesson in &desk.course.lessons {
        let variants: BTreeSet<Option<&VariantId>> =
            desk.class.stations.iter().map(|s| s.variants.get(&lesson.id.value)).collect();
        for variant in variants.into_iter().chain([None]).collect::<BTreeSet<_>>() {
            let own = |s: &&crate::reckon::work::Station| s.variants.get(&lesson.id.value) == variant;
            let to: Vec<StationNo> = desk.class.stations.iter().filter(own).map(|s| s.no).collect();
            let name = variant_name(&lesson.formula.value, variant);
            pages.extend(recipe(desk, &lesson.formula.value, Some(lesson), variant, &name, to.clone()));
            if let Some(view) = BakeAtHome::of(desk, safety, lesson, variant) {
                pages.push(Page::new(Kind::BakeAtHome, format!("bake-at-home-{name}"), &view).handed_to(to));
            }
        }
    }
    let all: Vec<StationNo> = desk.class.stations.iter().map(|s| s.no).collect();
    for formula in also_at_home(desk.course) {
        let id = &formula.id.value;
        pages.extend(recipe(desk, id, None, None, id.as_str(), all.clone()));
    }
    pages
}

fn variant_name(formula: &FormulaId, variant: Option<&VariantId>) -> String {
    variant.map_or_else(|| formula.to_string(), |v| format!("{formula}-{v}"))
}

fn recipe(
    desk: &Desk,
    formula: &FormulaId,
    lesson: Option<&Lesson>,
    variant: Option<&VariantId>,
    name: &str,
    to: Vec<StationNo>,
) -> Option<Page> {
    let view = HomeRecipe::of(desk, desk.course.formula(formula)?, lesson, variant)?;
    Some(Page::new(Kind::HomeRecipe, format!("home-{name}"), &view).handed_to(to))
}

/// What each station gets, and the teacher's own, in print order.
fn packs(desk: &Desk, pages: &[Page]) -> Vec<Page> {
    let mut packs = Vec::new();
    for station in &desk.class.stations {
        let sheets = pages.iter().filter(|p| p.packs.contains(&station.no)).map(packed).collect();
        let pack = pack_of(desk, Some(station.no), sheets);
        let page = Page::new(Kind::Pack, format!("pack-station-{}", station.no), &pack);
        packs.push(Page { station: Some(station.no), private: !desk.anonymous, ..page });
    }
    // In the teacher's own pack every sheet is marked, but for those that go on.
    let marked = |page: &Page| {
        let mut sheet = packed(page);
        if let Some(about) =
            sheet.data.get_mut("about").and_then(Value::as_object_mut).filter(|_| !sheet.goes_on)
        {
            about.insert("private".to_owned(), json!(true));
        }
        sheet
    };
    let sheets = pages.iter().filter(|p| p.teacher).map(marked).collect();
    let pack = Pack { teacher_only: true, ..pack_of(desk, None, sheets) };
    packs.push(Page::new(Kind::Pack, "pack-teacher", &pack).private());
    packs
}

fn pack_of(desk: &Desk, station: Option<StationNo>, sheets: Vec<PackSheet>) -> Pack {
    Pack {
        about: desk.about(),
        station: station.map_or_else(String::new, |no| no.to_string()),
        not_there: station.is_some_and(|no| desk.is_missing(no)),
        sheets,
        ..Pack::new()
    }
}

fn packed(page: &Page) -> PackSheet {
    let goes_on = matches!(
        page.kind,
        Kind::RoomCard
            | Kind::JoiningNote
            | Kind::Slips
            | Kind::Roll
            | Kind::OvenAndCold
            | Kind::TemperatureLog
            | Kind::PrepSheet
            | Kind::WeighOut
            | Kind::OrderSheet
            | Kind::PullList
            | Kind::RunSheet
    );
    PackSheet::of(&page.name, page.fold, goes_on, page.data.clone())
}
