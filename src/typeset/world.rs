//! Typst's view of one document: everything is in memory, nothing is ever looked up elsewhere.
//!
//! [`Store`] holds what all documents share (templates, words, fonts, the standard library); [`View`] adds what
//! one document brings: its data and its photographs. A path that neither knows does not exist, so a template
//! cannot reach the disk or the network.

use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use std::sync::Arc;
use typst::diag::{FileError, FileResult, PackageError};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

static TEMPLATES: Dir = include_dir!("$CARGO_MANIFEST_DIR/templates");
static FONTS: Dir = include_dir!("$CARGO_MANIFEST_DIR/fonts");

/// Where a template finds its document's data: `json("/data.json")`.
pub const DATA_PATH: &str = "data.json";

/// Where the typesetter finds the fold of what it lays out.
pub(super) const FOLD_PATH: &str = "fold";

/// What every document shares.
pub(super) struct Store {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    sources: BTreeMap<String, Source>,
    files: BTreeMap<String, Bytes>,
    /// Paths under `fonts/` whose bytes are not a font that can be read.
    pub(super) broken_fonts: Vec<String>,
    /// Templates of the course that are neither laid over one of ours nor named by another of the course's.
    pub(super) unread: Vec<String>,
}

/// Where a built-in words file stands once the course has laid its own over it: a course's file need only hold the
/// words that it changes.
pub(super) fn beneath(path: &str) -> String {
    format!("built-in/{path}")
}

/// Templates of the course that nothing reads. Whether one names another is seen by its file name in the text.
fn unread(files: &BTreeMap<String, Bytes>, own: &BTreeMap<String, Vec<u8>>) -> Vec<String> {
    let named = |path: &str| {
        let name = path.rsplit('/').next().unwrap_or(path);
        own.iter().any(|(other, bytes)| {
            other != path && other.ends_with(".typ") && String::from_utf8_lossy(bytes).contains(name)
        })
    };
    own.keys().filter(|p| p.ends_with(".typ") && !files.contains_key(*p) && !named(p)).cloned().collect()
}

/// The identity of a file under its path from the root, without a leading slash; `None` for a path that leaves the root.
pub(super) fn file_id(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

fn collect(dir: &'static Dir, prefix: &str, into: &mut BTreeMap<String, Bytes>) {
    for file in dir.files() {
        if let Some(path) = file.path().to_str() {
            into.insert(format!("{prefix}/{}", path.replace('\\', "/")), Bytes::new(file.contents()));
        }
    }
    for below in dir.dirs() {
        collect(below, prefix, into);
    }
}

impl Store {
    /// The built-in templates, words and fonts, with a course's own files laid over them by path.
    pub(super) fn new(overrides: &BTreeMap<String, Vec<u8>>) -> Store {
        let mut files = BTreeMap::new();
        collect(&TEMPLATES, "templates", &mut files);
        collect(&FONTS, "fonts", &mut files);
        let unread = unread(&files, overrides);
        for (path, bytes) in overrides {
            if let Some(ours) = files.get(path).filter(|_| path.starts_with("templates/words/")) {
                files.insert(beneath(path), ours.clone());
            }
            files.insert(path.clone(), Bytes::new(bytes.clone()));
        }
        let mut fonts = Vec::new();
        let mut broken_fonts = Vec::new();
        for (path, bytes) in &files {
            let lower = path.to_ascii_lowercase();
            if path.starts_with("fonts/")
                && [".otf", ".ttf", ".ttc", ".otc"].iter().any(|e| lower.ends_with(e))
            {
                let before = fonts.len();
                fonts.extend(Font::iter(bytes.clone()));
                if fonts.len() == before {
                    broken_fonts.push(path.clone());
                }
            }
        }
        let sources = files
            .iter()
            .filter(|(path, _)| path.ends_with(".typ"))
            .filter_map(|(path, bytes)| {
                let text = bytes.as_str().ok()?.to_owned();
                Some((path.clone(), Source::new(file_id(path)?, text)))
            })
            .collect();
        Store {
            library: LazyHash::new(Library::builder().build()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            sources,
            files,
            broken_fonts,
            unread,
        }
    }

    /// The bytes of a shared file.
    pub(super) fn file(&self, path: &str) -> Option<&Bytes> {
        self.files.get(path)
    }

    /// All paths, in order.
    pub(super) fn paths(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    /// Whether any font at hand has a glyph for this character.
    pub(super) fn has_glyph(&self, c: char) -> bool {
        self.fonts.iter().any(|f| f.info().coverage.contains(u32::from(c)))
    }
}

/// One document's world.
pub(super) struct View<'a> {
    pub(super) store: &'a Store,
    pub(super) main: FileId,
    pub(super) data: Bytes,
    pub(super) photographs: &'a BTreeMap<String, Arc<[u8]>>,
    pub(super) fold: u32,
}

fn not_found(path: &str) -> FileError {
    FileError::NotFound(path.into())
}

impl View<'_> {
    fn path(id: FileId) -> FileResult<&'static str> {
        match id.get().root() {
            VirtualRoot::Project => Ok(id.get().vpath().get_without_slash()),
            VirtualRoot::Package(spec) => Err(FileError::Package(PackageError::NotFound(spec.clone()))),
        }
    }
}

impl World for View<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.store.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.store.book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let path = Self::path(id)?;
        match self.store.sources.get(path) {
            Some(source) => Ok(source.clone()),
            // A template that is not UTF-8 is a file without a source.
            None if path.ends_with(".typ") && self.store.files.contains_key(path) => {
                Err(FileError::InvalidUtf8)
            }
            None => Err(not_found(path)),
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = Self::path(id)?;
        if path == DATA_PATH {
            return Ok(self.data.clone());
        }
        if path == FOLD_PATH {
            return Ok(Bytes::new(self.fold.to_be_bytes()));
        }
        if let Some(name) = path.strip_prefix("photographs/") {
            return self
                .photographs
                .get(name)
                .map(|b| Bytes::new(Arc::clone(b)))
                .ok_or_else(|| not_found(path));
        }
        self.store.files.get(path).cloned().ok_or_else(|| not_found(path))
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.store.fonts.get(index).cloned()
    }

    /// A fixed day: no page may depend on when it was made.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        Datetime::from_ymd(2000, 1, 1)
    }
}
