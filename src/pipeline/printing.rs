//! A reckoned course on paper: its look, its photographs, its sheets, typeset.
//!
//! Pure but for what the caller lends: how to fetch a photograph, and the shelf where finished prints stand.

use super::memo::Memo;
use super::{Reckoned, Watch};
use crate::course::{Settings, UnitSystem};
use crate::finding::{Finding, Sources};
use crate::output::manifest::sha256;
use crate::read::FileTree;
use crate::reckon::plan::late;
use crate::typeset::sheets::{Figures, sheets_and};
use crate::typeset::views::desk::{Desk, Outlook};
use crate::typeset::views::drawing::Units;
use crate::typeset::views::gallery;
use crate::typeset::views::wording::Tongue;
use crate::typeset::{
    Album, Kind, Overseer, PageLook, Paper, Press, Printed, Sheet, Shelf, print, print_telling,
};
use serde_json::Value;

/// What the caller lends.
#[derive(Clone, Copy)]
pub struct Lent<'a> {
    /// The bytes of a photograph of the course by its path, or why there are none, as a clause.
    pub fetch: &'a (dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
    /// Where finished prints of photographs stand.
    pub shelf: &'a dyn Shelf,
    /// Numbers stand for names.
    pub anonymous: bool,
}

/// How the course's pages look.
pub fn look(settings: &Settings) -> PageLook {
    PageLook {
        paper: match settings.paper.value {
            crate::course::Paper::A4 => Paper::A4,
            crate::course::Paper::Letter => Paper::Letter,
        },
        large_print: settings.large_print.value,
        black_and_white: settings.black_and_white.value,
        language: settings.language.value.clone(),
    }
}

/// The units of its lengths and temperatures.
pub fn units(settings: &Settings) -> Units {
    match settings.units.value {
        UnitSystem::Metric => Units::Metric,
        UnitSystem::Us => Units::Us,
    }
}

/// Typesets the documents of these kinds, or without any kind all usual ones, with the course's own templates, words and
/// fonts; and tells what is wrong with those and with its photographs. The files' texts that a finding shows join the sources.
pub fn documents(
    reckoned: &Reckoned,
    files: &FileTree,
    lent: Lent<'_>,
    only: &[Kind],
    sources: &mut Sources,
    watch: &dyn Watch,
) -> (Vec<Printed>, Vec<Finding>) {
    let press = Press::new(&files.overrides());
    let (sheets, mut findings) = wanted(reckoned, lent, only, &press);
    watch.stage("typesetting", sheets.len());
    let (printed, more) = print(&press, &sheets, sources, &Sheets(watch));
    findings.extend(more);
    (printed, findings)
}

/// All usual documents, but for those that `memo` knows from the last time: these are not made again.
pub fn documents_again(
    reckoned: &Reckoned,
    files: &FileTree,
    lent: Lent<'_>,
    memo: &Memo,
    sources: &mut Sources,
    watch: &dyn Watch,
) -> (Vec<Printed>, Vec<Finding>) {
    let overrides = files.overrides();
    let press = memo.press(&overrides);
    let (sheets, mut findings) = wanted(reckoned, lent, &[], &press);
    let templates: Vec<u8> = overrides
        .iter()
        .flat_map(|(path, bytes)| format!("{path} {}\n", sha256(bytes)).into_bytes())
        .collect();
    let (known, keys) = memo.known(&sha256(&templates), &sheets);
    let paths: Vec<String> = sheets.iter().map(|s| s.path.clone()).collect();
    let fresh: Vec<Sheet> = sheets
        .into_iter()
        .enumerate()
        .filter(|(n, _)| !known.contains_key(n))
        .map(|(_, sheet)| sheet)
        .collect();
    watch.stage("typesetting", fresh.len());
    let (printed, troubled, more) = print_telling(&press, &fresh, sources, &Sheets(watch));
    findings.extend(more);
    let mut printed: Vec<Printed> = printed.into_iter().chain(known.into_values()).collect();
    let place = |p: &Printed| paths.iter().position(|path| *path == p.path);
    printed.sort_by_key(place);
    // A sheet that something is wrong with is made again each time, so that it is told again. All others are kept.
    let sound = printed.iter().filter(|p| !troubled.contains(&p.path));
    memo.keep(sound.filter_map(|p| Some((keys.get(place(p)?)?.clone(), p.clone()))));
    (printed, findings)
}

/// The sheet of this kind at this path; `None` where there is none, or it has something wrong that is to be told.
pub(super) fn one(
    reckoned: &Reckoned,
    lent: Lent<'_>,
    press: &Press,
    (kind, path): (Kind, &str),
    watch: &dyn Watch,
) -> Option<Printed> {
    let (mut sheets, _) = wanted(reckoned, lent, &[kind], press);
    sheets.retain(|sheet| sheet.path == path);
    let (mut printed, found) = print(press, &sheets, &mut Sources::default(), &Sheets(watch));
    printed.pop().filter(|_| found.is_empty())
}

/// Each sheet that ends is a piece of the work that is done.
struct Sheets<'a>(&'a dyn Watch);

impl Overseer for Sheets<'_> {
    fn begins(&self, template: &str) {
        self.0.begins(template);
    }
    fn ends(&self, template: &str) {
        self.0.ends(template);
    }
    fn done(&self) {
        self.0.one();
    }
}

/// What the templates of this kind receive, sheet by sheet: the path of each and its data file.
pub fn data(
    reckoned: &Reckoned,
    files: &FileTree,
    lent: Lent<'_>,
    kind: Kind,
    overseer: &dyn Overseer,
) -> Vec<(String, Value)> {
    let press = Press::new(&files.overrides());
    let (sheets, _) = wanted(reckoned, lent, &[kind], &press);
    sheets.into_iter().map(|s| (s.path, press.data(&s.document, overseer).0)).collect()
}

fn wanted(reckoned: &Reckoned, lent: Lent<'_>, only: &[Kind], press: &Press) -> (Vec<Sheet>, Vec<Finding>) {
    let look = look(&reckoned.course.settings);
    // Sheets with steps take their photographs from the album.
    let (album, findings) = Album::develop(&reckoned.course, &look, lent.fetch, lent.shelf);
    let of = |kind| only.is_empty() || only.contains(&kind);
    let late = (of(Kind::RunSheet) || of(Kind::Pack)).then(|| outlook(reckoned)).flatten();
    let mut sheets = taught(reckoned, (&album, late.as_ref()), &look, lent.anonymous, of(Kind::Pack), press);
    sheets.extend(only.contains(&Kind::Gallery).then(|| gallery(reckoned, &look)).flatten());
    sheets.retain(|s| if only.is_empty() { s.kind.is_usual() } else { only.contains(&s.kind) });
    (sheets, findings)
}

/// What the run sheet says about late hours.
fn outlook(reckoned: &Reckoned) -> Option<Outlook> {
    let Reckoned { course, class, portions, planned, .. } = reckoned;
    let plan = planned.plan.as_ref()?;
    let odds = reckoned.odds()?;
    let late = late::slips(course, class, portions, plan, &odds);
    Some(Outlook { odds, late })
}

/// Every sheet of the course, the unusual ones too, in print order.
pub fn sheets(
    reckoned: &Reckoned,
    album: &Album,
    outlook: Option<&Outlook>,
    look: &PageLook,
    anonymous: bool,
    press: &Press,
) -> Vec<Sheet> {
    let mut sheets = taught(reckoned, (album, outlook), look, anonymous, true, press);
    sheets.extend(gallery(reckoned, look));
    sheets
}

/// Every sheet that the class is taught from.
fn taught(
    reckoned: &Reckoned,
    (album, outlook): (&Album, Option<&Outlook>),
    look: &PageLook,
    anonymous: bool,
    with_packs: bool,
    press: &Press,
) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    // Without a plan there is nothing to teach from; a finding says so.
    if let Some(plan) = &reckoned.planned.plan {
        let mut desk = Desk::new(&reckoned.course, &reckoned.class, plan, &reckoned.weighed);
        desk.anonymous = anonymous;
        if let Some(guest) = press.word(&look.language, "whom", "guest") {
            desk.guest = guest;
        }
        desk.tongue = Tongue::of(|table, key| press.word(&look.language, table, key));
        desk.album = Some(album);
        let word = |key: &str| press.word(&look.language, "accepted", key);
        desk.accepted = reckoned.accepted.iter().map(|a| (a.clone(), a.text(word))).collect();
        desk.outlook = outlook;
        let figures =
            Figures { order: &reckoned.order, equipment: &reckoned.equipment, safety: &reckoned.safety };
        sheets.extend(sheets_and(&desk, figures, look, with_packs));
    }
    sheets
}

/// Every drawing there is, for one who redraws them.
fn gallery(reckoned: &Reckoned, look: &PageLook) -> Option<Sheet> {
    let document = gallery::document(look, units(&reckoned.course.settings)).ok()?;
    let path = "gallery.pdf".to_owned();
    Some(Sheet { kind: Kind::Gallery, station: None, path, private: false, document })
}
