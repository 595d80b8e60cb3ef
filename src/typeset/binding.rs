//! Pages that are laid out once and printed in several files: alone, and bound into packs.
//!
//! A pack's own template prints a page for each page of its sheets and says which it is: metadata labelled `bound`, with the
//! numbers of the `sheet` and of its `page`, both from nought. Here each gets what was laid out for that sheet before.
//!
//! The typesetter knows an element by the way to it from the root of its document. Two sheets of one template would give the same
//! names to their elements, and no file can hold both: so sheets that are ever bound together have different folds, and what is
//! laid out for one fold starts from another root. Sheets that never meet share a fold, and what the typesetter remembers of one
//! serves the next.

use super::world::FOLD_PATH;
use std::collections::BTreeMap;
use typst::World;
use typst::diag::SourceResult;
use typst::engine::Engine;
use typst::foundations::{Content, Dict, Label, Output, Selector, Smart, StyleChain, Target, Value};
use typst::introspection::{Introspector, Locator, MetadataElem, Tag};
use typst::layout::{Frame, FrameItem, Point};
use typst::model::{Document, HeadingElem};
use typst::utils::PicoStr;
use typst_layout::{Page, PagedDocument};

/// Where a sheet says of itself what stands in its margins: a sheet's bookmark in a pack is what its foot calls it.
const LEAF: &str = "leaf-start";

/// Where a pack says which page of which sheet stands here.
const BOUND: &str = "bound";

/// A document's pages, laid out for a fold.
pub(super) struct Folded(pub(super) PagedDocument);

impl Output for Folded {
    fn target() -> Target {
        Target::Paged
    }

    fn create(engine: &mut Engine, content: &Content, styles: StyleChain) -> SourceResult<Folded> {
        let fold = super::world::file_id(FOLD_PATH).and_then(|id| engine.world.file(id).ok());
        let locator = match fold {
            Some(fold) => Locator::root().split().next(&fold),
            None => Locator::root(),
        };
        typst_layout::layout_document_for_bundle(engine, content, locator, styles).map(Folded)
    }

    fn introspector(&self) -> &dyn Introspector {
        self.0.introspector().as_ref()
    }
}

/// What a sheet calls itself, in the language of its pages.
pub(super) fn own_name(sheet: &PagedDocument) -> Option<String> {
    let label = Label::new(PicoStr::intern(LEAF))?;
    let said = sheet.introspector().query_first(&Selector::Label(label))?;
    let Value::Str(foot) = metadata(&said)?.get("foot").ok()?.clone() else { return None };
    (!foot.is_empty()).then(|| foot.to_string())
}

/// The pack with the pages of its sheets in their places. A page that names none stays as its template has it.
pub(super) fn bind(pack: &PagedDocument, sheets: &[&PagedDocument]) -> PagedDocument {
    let label = Label::new(PicoStr::intern(BOUND));
    let named = label.map(|label| pack.introspector().query(&Selector::Label(label))).unwrap_or_default();
    let places: BTreeMap<usize, (usize, usize)> = named
        .iter()
        .filter_map(|said| {
            let on = pack.introspector().page(said.location()?)?.get() - 1;
            let number = |key: &str| match metadata(said)?.get(key).ok()? {
                Value::Int(n) => usize::try_from(*n).ok(),
                _ => None,
            };
            Some((on, (number("sheet")?, number("page")?)))
        })
        .collect();
    let pages = pack.pages().iter().enumerate().map(|(n, page)| {
        let bound = places.get(&n).and_then(|(sheet, of)| sheets.get(*sheet)?.pages().get(*of));
        bound.map_or_else(|| page.clone(), |bound| laid_in(page, bound))
    });
    let pages = pages.collect();
    PagedDocument::new(pages, pack.info().clone())
}

/// A page of a sheet, and before it what the pack says of it.
fn laid_in(pack: &Page, sheet: &Page) -> Page {
    let mut page = Page { number: pack.number, ..sheet.clone() };
    without_bookmarks(&mut page.frame);
    page.frame.prepend_frame(Point::zero(), pack.frame.clone());
    page
}

/// In a pack a sheet is one bookmark: its own headings are none.
fn without_bookmarks(frame: &mut Frame) {
    if !has_heading(frame) {
        return;
    }
    frame.retain(|item| {
        match item {
            FrameItem::Tag(Tag::Start(element, _)) => {
                if let Some(heading) = element.to_packed_mut::<HeadingElem>() {
                    heading.bookmarked.set(Smart::Custom(false));
                }
            }
            FrameItem::Group(group) => without_bookmarks(&mut group.frame),
            _ => {}
        }
        true
    });
}

fn has_heading(frame: &Frame) -> bool {
    frame.items().any(|(_, item)| match item {
        FrameItem::Tag(Tag::Start(element, _)) => element.is::<HeadingElem>(),
        FrameItem::Group(group) => has_heading(&group.frame),
        _ => false,
    })
}

fn metadata(element: &Content) -> Option<&Dict> {
    match &element.to_packed::<MetadataElem>()?.value {
        Value::Dict(dict) => Some(dict),
        _ => None,
    }
}
