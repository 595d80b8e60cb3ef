//! Every sheet of a class, in print order: which there are, what each is called, who may see it.

use super::Reckoned;
use super::printing::{look, units};
use crate::course::{Formula, Lesson, VariantId};
use crate::typeset::views::allergen_sheet::AllergenSheet;
use crate::typeset::views::desk::Desk;
use crate::typeset::views::home_recipe::HomeRecipe;
use crate::typeset::views::joining_note::JoiningNote;
use crate::typeset::views::label_sheet::Labels;
use crate::typeset::views::order_sheet::OrderSheet;
use crate::typeset::views::oven_and_cold::OvenAndCold;
use crate::typeset::views::pack::{Pack, PackSheet};
use crate::typeset::views::prep_sheet::PrepSheet;
use crate::typeset::views::pull_list::PullList;
use crate::typeset::views::room_card::RoomCard;
use crate::typeset::views::run_sheet::RunSheet;
use crate::typeset::views::sign_in::Roll;
use crate::typeset::views::slips::Slips;
use crate::typeset::views::temperature_log::TemperatureLog;
use crate::typeset::views::weigh_out::WeighOut;
use crate::typeset::views::{gallery, station_sheet};
use crate::typeset::{Album, DocumentSpec, Kind, PageLook, Sheet};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeSet;

/// Who may see a sheet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Seen {
    /// Anyone.
    ByAll,
    /// It names people: its file is for the owner's eyes, until it is printed.
    WithNames,
}

/// The sheets as they come to be, with what belongs into the packs.
struct Maker<'a> {
    album: &'a Album,
    look: PageLook,
    course: String,
    sheets: Vec<Sheet>,
}

impl Maker<'_> {
    fn add(&mut self, kind: Kind, name: &str, title: &str, seen: Seen, view: &impl Serialize) -> Value {
        self.add_for(None, kind, name, title, seen, view)
    }

    /// Adds a sheet and hands back what its template receives. A view is plain data: its JSON always exists.
    fn add_for(
        &mut self,
        station: Option<u32>,
        kind: Kind,
        name: &str,
        title: &str,
        seen: Seen,
        view: &impl Serialize,
    ) -> Value {
        let data = serde_json::to_value(view).unwrap_or(Value::Null);
        self.sheets.push(Sheet {
            kind,
            station,
            path: format!("{name}.pdf"),
            private: seen == Seen::WithNames,
            document: DocumentSpec {
                template: kind.word().to_owned(),
                title: format!("{title}. {}", self.course),
                look: self.look.clone(),
                data: data.clone(),
                photographs: self.album.files().clone(),
                ident: name.to_owned(),
            },
        });
        data
    }
}

/// Every sheet of the class, the unusual ones too, in print order. Without a plan there are only the drawings.
pub(super) fn sheets(reckoned: &Reckoned, album: &Album, anonymous: bool) -> Vec<Sheet> {
    let course = &reckoned.course;
    let look = look(&course.settings);
    let mut maker =
        Maker { album, look: look.clone(), course: course.settings.name.value.clone(), sheets: Vec::new() };
    if let Ok(document) = gallery::document(&look, units(&course.settings)) {
        let path = "gallery.pdf".to_owned();
        maker.sheets.push(Sheet { kind: Kind::Gallery, station: None, path, private: false, document });
    }
    if let Some(plan) = &reckoned.planned.plan {
        let mut desk = Desk::new(course, &reckoned.class, plan, &reckoned.weighed);
        desk.anonymous = anonymous;
        desk.album = Some(album);
        let homes = home_recipes(&mut maker, &desk);
        station_packs(&mut maker, &desk, &homes);
        teachers_pack(&mut maker, &desk, reckoned);
    }
    maker.sheets.sort_by_key(|s| s.kind);
    maker.sheets
}

/// A home recipe as it was added: the lesson's place, the variant, and what a pack needs of it.
type Home<'a> = (usize, Option<&'a VariantId>, PackSheet);

/// The plain home recipe of each lesson, and one for each variant that a station follows in it.
fn home_recipes<'a>(maker: &mut Maker<'_>, desk: &Desk<'a>) -> Vec<Home<'a>> {
    let mut homes = Vec::new();
    for (place, lesson) in desk.course.lessons.iter().enumerate() {
        let Some(formula) = desk.course.formula(&lesson.formula.value) else { continue };
        let variants: BTreeSet<&VariantId> =
            desk.class.stations.iter().filter_map(|s| s.variants.get(&lesson.id.value)).collect();
        for variant in std::iter::once(None).chain(variants.into_iter().map(Some)) {
            homes.extend(home(maker, desk, (place, lesson), formula, variant));
        }
    }
    homes
}

fn home<'a>(
    maker: &mut Maker<'_>,
    desk: &Desk<'a>,
    (place, lesson): (usize, &Lesson),
    formula: &Formula,
    variant: Option<&'a VariantId>,
) -> Option<Home<'a>> {
    let view = HomeRecipe::of(desk, formula, Some(lesson), variant)?;
    let mut title = format!("{} at home", formula.name.value);
    let mut name = format!("home-{}", lesson.id.value);
    if let Some(variant) = variant {
        title = format!("{title}, {}", desk.variant_name(variant));
        name = format!("{name}-{variant}");
    }
    let data = maker.add(Kind::HomeRecipe, &name, &title, Seen::ByAll, &view);
    Some((place, variant, PackSheet { title, data }))
}

/// The sheets of each station, and its pack: the sheets of its sittings, then the home recipes of its own variants.
fn station_packs(maker: &mut Maker<'_>, desk: &Desk<'_>, homes: &[Home<'_>]) {
    let sheets = station_sheet::all(desk);
    for station in &desk.class.stations {
        let mut pack = Pack { about: desk.about(), station: station.no.to_string(), ..Pack::new() };
        for (_, session, view) in sheets.iter().filter(|(no, ..)| *no == station.no) {
            let title = format!("Station {}, {session}", station.no);
            let name = format!("station-{}-{session}", station.no);
            let data =
                maker.add_for(Some(station.no.0), Kind::StationSheet, &name, &title, Seen::WithNames, view);
            pack.sheets.push(PackSheet { title, data });
        }
        for (place, lesson) in desk.course.lessons.iter().enumerate() {
            let own = station.variants.get(&lesson.id.value);
            let mine = homes.iter().filter(|(at, variant, _)| *at == place && *variant == own);
            pack.sheets.extend(mine.map(|(.., sheet)| sheet.clone()));
        }
        let name = format!("pack-station-{}", station.no);
        let title = format!("Station {}: all sheets", station.no);
        maker.add_for(Some(station.no.0), Kind::Pack, &name, &title, Seen::WithNames, &pack);
    }
}

/// Everything for the teacher and staff, and the teacher's pack of it.
fn teachers_pack(maker: &mut Maker<'_>, desk: &Desk<'_>, reckoned: &Reckoned) {
    let course = desk.course;
    let mut pack = Pack { about: desk.about(), teacher_only: true, ..Pack::new() };
    let mut add = |kind: Kind, name: &str, title: &str, seen: Seen, view: &dyn erased::View| {
        let data = maker.add(kind, name, title, seen, &view.json());
        pack.sheets.push(PackSheet { title: title.to_owned(), data });
    };
    for session in &course.sessions {
        let id = &session.id.value;
        add(
            Kind::RunSheet,
            &format!("run-sheet-{id}"),
            &format!("Run sheet, {id}"),
            Seen::ByAll,
            &RunSheet::of(desk, session),
        );
    }
    for (day, view) in PrepSheet::all(desk) {
        add(Kind::PrepSheet, &format!("prep-{day}"), &format!("Prep sheet, {day}"), Seen::ByAll, &view);
    }
    add(Kind::WeighOut, "weigh-out", "Weigh-out", Seen::ByAll, &WeighOut::of(desk));
    for view in OrderSheet::all(desk, &reckoned.order) {
        let supplier = view.supplier.clone();
        let name = format!("order-{}", file_name(&supplier));
        add(Kind::OrderSheet, &name, &format!("Order, {supplier}"), Seen::ByAll, &view);
    }
    add(Kind::PullList, "pull-list", "Pull list", Seen::ByAll, &PullList::of(desk, &reckoned.equipment));
    for session in &course.sessions {
        let id = &session.id.value;
        let view = OvenAndCold::of(desk, session);
        let name = format!("oven-and-cold-{id}");
        add(Kind::OvenAndCold, &name, &format!("Oven and cold, {id}"), Seen::ByAll, &view);
    }
    let (about, class, plan) = (desk.about(), desk.class, desk.plan);
    let view = AllergenSheet::of(about.clone(), course, class, plan, desk.anonymous);
    add(Kind::AllergenSheet, "allergen-sheet", "Allergen sheet, teacher only", Seen::WithNames, &view);
    let view = TemperatureLog::of(about.clone(), course, &reckoned.safety);
    add(Kind::TemperatureLog, "temperature-log", "Temperature log", Seen::ByAll, &view);
    add(Kind::Roll, "roll", "Roll", Seen::WithNames, &Roll::of(desk));
    add(Kind::Slips, "slips", "Slips", Seen::WithNames, &Slips::of(desk));
    let view = Labels::of(about, course, class, plan, desk.anonymous);
    add(Kind::Labels, "labels", "Labels", Seen::WithNames, &view);
    add(Kind::JoiningNote, "joining-note", "Joining note", Seen::ByAll, &JoiningNote::of(desk, None));
    add(Kind::RoomCard, "room-card", "Room card", Seen::ByAll, &RoomCard::of(desk));
    maker.add(Kind::Pack, "pack-teacher", "Teacher's pack", Seen::WithNames, &pack);
}

/// A name that any file system takes: letters and digits, the rest as single hyphens.
fn file_name(text: &str) -> String {
    let mut name = String::new();
    for c in text.chars() {
        if c.is_alphanumeric() {
            name.extend(c.to_lowercase());
        } else if !name.ends_with('-') && !name.is_empty() {
            name.push('-');
        }
    }
    name.trim_end_matches('-').to_owned()
}

/// Views of all sorts in one list.
mod erased {
    use serde::Serialize;
    use serde_json::Value;

    /// Anything that a template receives.
    pub trait View {
        /// As data.
        fn json(&self) -> Value;
    }
    impl<T: Serialize> View for T {
        fn json(&self) -> Value {
            serde_json::to_value(self).unwrap_or(Value::Null)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::file_name;

    #[test]
    fn file_names_hold_letters_digits_and_hyphens() {
        assert_eq!(file_name("Aldermoor Mill & Dry Goods"), "aldermoor-mill-dry-goods");
        assert_eq!(file_name("../Crème: 3/4"), "crème-3-4");
    }
}
