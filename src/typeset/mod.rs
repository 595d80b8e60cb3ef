//! Numbers to PDF. A [`Press`] holds the templates, words and fonts; it turns a [`DocumentSpec`] into a tagged PDF/UA-1 file.
//!
//! Templates are Typst files in `templates/`. A course may lay its own file over any of them (and over a font or a
//! words file) by path. Data reaches a template as data, never as markup: the template reads `/data.json`, so
//! a `#` or `*` in a name stays a `#` or `*`. The file has four keys:
//!
//! - `title`: the document's title;
//! - `page`: [`PageLook`], with the paths of the words files to read, the page's own language first;
//! - `data`: what the document's view holds;
//! - `version`: [`DATA_VERSION`].
//!
//! The same document gives the same bytes, whatever else is typeset, in whatever order, on however many cores.

mod album;
mod binding;
mod compact;
mod kinds;
pub mod photos;
mod printing;
mod setting;
pub mod sheets;
mod trouble;
pub mod views;
mod world;

pub use album::{Album, MemoryShelf, Shelf};
pub use kinds::{Kind, NoSuchKind};
pub use printing::{Printed, Sheet, print, print_telling};
pub use trouble::{Sort, Trouble, findings};
pub use world::DATA_PATH;

use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;
use trouble::shortened;
use typst::World;
use typst::WorldExt;
use typst::diag::SourceDiagnostic;
use typst::foundations::Bytes;
use typst::syntax::FileId;
use world::{Store, View};

/// The version of the data that templates receive; it grows when a key changes its meaning or goes.
pub const DATA_VERSION: u32 = 7;

/// Printed in place of a character that no font has.
const BOX: char = '\u{25A1}';

/// The paper of a document.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 210 x 297 mm.
    #[default]
    A4,
    /// 8.5 x 11 in.
    Letter,
}

/// How a page looks, as the course chooses it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct PageLook {
    /// The paper.
    pub paper: Paper,
    /// Larger type and larger drawings.
    pub large_print: bool,
    /// Greys only.
    pub black_and_white: bool,
    /// A two- or three-letter language code of ISO 639 (`en`, `de`): the fixed words, hyphenation and the PDF's own language.
    pub language: String,
}

impl Default for PageLook {
    fn default() -> Self {
        PageLook { paper: Paper::A4, large_print: false, black_and_white: false, language: "en".to_owned() }
    }
}

/// One document to typeset.
#[derive(Clone, Debug)]
pub struct DocumentSpec {
    /// The template's name: `station-sheet` is `templates/station-sheet.typ`.
    pub template: String,
    /// The title, shown by readers and read aloud.
    pub title: String,
    /// How the pages look.
    pub look: PageLook,
    /// What the template prints.
    pub data: Value,
    /// Photographs, ready to print, by name; a template reads `/photographs/NAME`.
    pub photographs: BTreeMap<String, Arc<[u8]>>,
    /// What sets this document apart from all others of the course (its file name, say): the PDF identifier comes from it.
    pub ident: String,
    /// What it starts from where it is laid out: sheets that are ever bound together have different folds.
    pub fold: u32,
}

/// A finished document.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Typeset {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// What the teacher should know though the document was made.
    pub warnings: Vec<Trouble>,
}

/// Somebody who is told which template is at work. It runs what a course wrote, and can't be stopped from within.
pub trait Overseer: Sync {
    /// A template begins its work, on this thread.
    fn begins(&self, template: &str);
    /// It has come to its end.
    fn ends(&self, template: &str);
    /// A document is done.
    fn done(&self) {}
}

/// Nobody oversees.
pub struct Unseen;

impl Overseer for Unseen {
    fn begins(&self, _: &str) {}
    fn ends(&self, _: &str) {}
}

/// Templates, words and fonts, ready to typeset any number of documents.
pub struct Press {
    store: Store,
    /// It prints the same course again and again.
    lasting: bool,
}

impl Press {
    /// A press with the built-in files and, laid over them, the course's own: path from the course folder
    /// (`templates/station-sheet.typ`, `templates/words/fr.toml`, `fonts/Own.otf`) to bytes.
    pub fn new(overrides: &BTreeMap<String, Vec<u8>>) -> Press {
        Press { store: Store::new(overrides), lasting: false }
    }

    /// The same for one who prints a course again and again, with little changed: what is laid out is remembered until the
    /// next time but one.
    pub fn lasting(overrides: &BTreeMap<String, Vec<u8>>) -> Press {
        Press { lasting: true, ..Press::new(overrides) }
    }

    /// What is wrong with the files that were laid over, before any document is made: fonts that cannot be read,
    /// templates that nothing reads.
    pub fn troubles(&self) -> Vec<Trouble> {
        let fonts = self.store.broken_fonts.iter().map(|path| {
            Trouble::of_file(
                Sort::FontUnreadable,
                path,
                "this is not a font that can be read",
                "OpenType and TrueType files work: .otf, .ttf, .ttc",
            )
        });
        let templates = self.store.unread.iter().map(|path| {
            Trouble::of_file(
                Sort::TemplateUnused,
                path,
                "no document has this name, and no other template of the course names it",
                "`benchroll template` lists the names",
            )
        });
        fonts.chain(templates).collect()
    }

    /// The bytes of a built-in or overriding file by path, for one who starts a template of their own.
    pub fn file(&self, path: &str) -> Option<&[u8]> {
        self.store.file(path).map(Bytes::as_slice)
    }

    /// The paths of all templates, words files and fonts, in order.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.store.paths()
    }

    /// A fixed word of a language, the course's own catalogue before ours, English where neither has it.
    pub fn word(&self, language: &str, table: &str, key: &str) -> Option<String> {
        let primary = language.split('-').next().unwrap_or_default();
        let paths = [language, primary, "en"].map(|tag| format!("templates/words/{tag}.toml"));
        let paths = paths.into_iter().flat_map(|path| [path.clone(), world::beneath(&path)]);
        paths
            .filter_map(|path| {
                std::str::from_utf8(self.store.file(&path)?.as_slice()).ok()?.parse::<toml::Table>().ok()
            })
            .find_map(|words| Some(words.get(table)?.get(key)?.as_str()?.to_owned()))
    }

    /// The data file that a template receives, and what could not be printed of it.
    fn data_file(&self, title: &str, look: &PageLook, data: &Value) -> (Value, Vec<Trouble>) {
        let mut troubles = Vec::new();
        let language = &look.language;
        let primary = language.split('-').next().unwrap_or_default();
        let mut words: Vec<String> = Vec::new();
        for tag in [language, primary, "en"] {
            for path in [
                format!("templates/words/{tag}.toml"),
                world::beneath(&format!("templates/words/{tag}.toml")),
            ] {
                if self.store.file(&path).is_some() && !words.contains(&path) {
                    words.push(path);
                }
            }
        }
        let spoken = [language, primary].map(|tag| format!("templates/words/{tag}.toml"));
        if !words.iter().any(|path| spoken.contains(path)) {
            troubles.push(Trouble {
                hints: vec![format!(
                    "English stands in; put a {} into the course folder to add the language",
                    spoken[0]
                )],
                ..Trouble::plain(
                    Sort::WordsMissing,
                    format!("there are no fixed words in the language \"{language}\""),
                )
            });
        }
        let mut page = json!(look);
        page["words"] = json!(words);
        // The typesetter knows languages by two or three letters.
        let known = (2..=3).contains(&primary.len()) && primary.bytes().all(|b| b.is_ascii_alphabetic());
        page["language"] = json!(if known { primary.to_ascii_lowercase() } else { "en".to_owned() });
        let mut whole = json!({ "version": DATA_VERSION, "title": title, "page": page, "data": data });
        self.box_unprintable(&mut whole, "", &mut troubles);
        (whole, troubles)
    }

    /// Replaces what no font can show by a box, and says so: PDF/UA allows no missing glyph, and a name with one
    /// strange character is better than no sheet.
    fn box_unprintable(&self, value: &mut Value, place: &str, troubles: &mut Vec<Trouble>) {
        match value {
            Value::String(text) => {
                let printable = |c: char| {
                    matches!(c, '\n' | '\t') || ignorable(c) || (!c.is_control() && self.store.has_glyph(c))
                };
                let strange: Vec<char> = text.chars().filter(|c| !printable(*c)).collect();
                if strange.is_empty() {
                    return;
                }
                for c in &strange {
                    troubles.push(Trouble {
                        hints: vec!["a font that has it can be put into the course's fonts folder".to_owned()],
                        glyph: Some((*c, text.clone())),
                        ..Trouble::plain(Sort::GlyphMissing, format!(
                            "no font has the character \"{}\" (U+{:04X}) of \"{}\": it is printed as {BOX} ({place})",
                            c.escape_debug(),
                            u32::from(*c),
                            shortened(text)
                        ))
                    });
                }
                let mut after_box = false;
                let boxed = text
                    .chars()
                    .filter_map(|c| {
                        if printable(c) {
                            // A joiner or variation selector belongs to the character that went.
                            let drop = after_box && ignorable(c);
                            after_box = drop;
                            (!drop).then_some(c)
                        } else {
                            after_box = true;
                            Some(BOX)
                        }
                    })
                    .collect();
                *text = boxed;
            }
            Value::Array(items) => {
                for (i, item) in items.iter_mut().enumerate() {
                    self.box_unprintable(item, &format!("{place}/{i}"), troubles);
                }
            }
            Value::Object(map) => {
                for (key, item) in map.iter_mut() {
                    self.box_unprintable(item, &format!("{place}/{key}"), troubles);
                }
            }
            _ => {}
        }
    }
}

/// Characters without a shape of their own: joiners, marks of direction, variation selectors.
fn ignorable(c: char) -> bool {
    matches!(c, '\u{00AD}' | '\u{034F}' | '\u{061C}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}' | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{E0000}'..='\u{E0FFF}')
}

fn troubles(view: &View, diagnostics: &[SourceDiagnostic]) -> Vec<Trouble> {
    let mut all: Vec<Trouble> = diagnostics.iter().map(|d| trouble(Sort::TemplateError, view, d)).collect();
    all.sort();
    all
}

/// File, line and column (both from 1) of a byte range.
fn place(view: &View, id: Option<FileId>, start: Option<usize>) -> (Option<String>, Option<(usize, usize)>) {
    let Some(id) = id else { return (None, None) };
    let file = id.get().vpath().get_without_slash().to_owned();
    let at = start.and_then(|start| {
        let bytes = view.file(id).ok()?;
        let before = bytes.as_slice().get(..start)?;
        let line = before.iter().filter(|b| **b == b'\n').count() + 1;
        let column_start = before.iter().rposition(|b| *b == b'\n').map_or(0, |p| p + 1);
        let column = String::from_utf8_lossy(&before[column_start..]).chars().count() + 1;
        Some((line, column))
    });
    (Some(file), at)
}

fn trouble(sort: Sort, view: &View, d: &SourceDiagnostic) -> Trouble {
    let bytes = view.range(d.span).map(|r| (r.start, r.end));
    let (file, at) = place(view, d.span.id(), bytes.map(|b| b.0));
    let calls = d.trace.iter().filter_map(|t| {
        let (file, at) = place(view, t.span.id(), view.range(t.span).map(|r| r.start));
        let (file, (line, column)) = (file?, at?);
        Some(format!("{file}:{line}:{column}: {}", t.v))
    });
    // What the typesetter says of its own command line is no way out of ours.
    let hints = d.hints.iter().map(|h| h.v.to_string()).filter(|hint| !hint.contains("`--"));
    Trouble {
        sort,
        file,
        line: at.map(|a| a.0),
        column: at.map(|a| a.1),
        bytes: bytes.filter(|_| at.is_some()),
        message: d.message.to_string(),
        hints: hints.chain(calls).collect(),
        glyph: None,
    }
}
