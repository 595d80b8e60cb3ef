//! What we tell people about their files: level, code, place, what, the numbers on both sides, the way out.
//!
//! Findings are data. Nothing here prints; `cli/terminal.rs` draws them, JSON writes them.

use std::fmt;

/// How bad a finding is. Only an error stops the work.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Level {
    /// The course cannot be relied on as it stands.
    Error,
    /// Something a published figure speaks against; the work goes on.
    Warning,
    /// Worth knowing: trade habit, a choice that was made, a shortage that was worked around.
    Note,
}

impl Level {
    /// The word for it, the same on the terminal and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Level::Error => "error",
            Level::Warning => "warning",
            Level::Note => "note",
        }
    }
}

/// A finding's stable name, a word such as `tin-too-small`. Each has a page `templates/findings/CODE.md`,
/// which `benchroll finding CODE` prints; a test holds the two sets equal.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Code(pub &'static str);

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }
}

/// Which of the course's files, by its position in [`Sources`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct SourceId(pub usize);

/// A stretch of a file, in bytes: where a value was written.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Place {
    /// The file.
    pub source: SourceId,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// One file of the course, as read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Source {
    /// Path within the course folder, with `/` between its parts.
    pub path: String,
    /// The whole text.
    pub text: String,
}

/// All files that were read, so that a place can be shown as file, line and column.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

/// A place as people count: lines and columns from 1, columns in characters.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LineColumn {
    /// Path within the course folder.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Sources {
    /// Adds a file and returns its id.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> SourceId {
        self.files.push(Source { path: path.into(), text: text.into() });
        SourceId(self.files.len() - 1)
    }
    /// The file with this id.
    pub fn get(&self, id: SourceId) -> Option<&Source> {
        self.files.get(id.0)
    }
    /// The file with this path, if it was read.
    pub fn find(&self, path: &str) -> Option<SourceId> {
        self.files.iter().position(|f| f.path == path).map(SourceId)
    }
    /// All files, in the order in which they were read.
    pub fn iter(&self) -> impl Iterator<Item = &Source> {
        self.files.iter()
    }
    /// File, line and column of a place.
    pub fn locate(&self, place: Place) -> Option<LineColumn> {
        let source = self.get(place.source)?;
        let upto = source.text.get(..place.start.min(source.text.len()))?;
        let line = upto.matches('\n').count() + 1;
        let column = upto.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        Some(LineColumn { file: source.path.clone(), line, column })
    }
    /// The text that stands at a place.
    pub fn text_at(&self, place: Place) -> Option<&str> {
        self.get(place.source)?.text.get(place.start..place.end)
    }
}

/// One thing to tell the teacher about their files.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// How bad.
    pub level: Level,
    /// The stable word for this kind of finding.
    pub code: Code,
    /// Where it was written; `None` when it is about no one line (a missing file).
    pub place: Option<Place>,
    /// The file it is about when there is no place: a path within the course folder.
    pub file: Option<String>,
    /// What is wrong, in one sentence with the numbers on both sides.
    pub message: String,
    /// Other places that matter, each with a few words.
    pub also: Vec<(Place, String)>,
    /// What to do about it.
    pub way_out: Option<String>,
    /// What it is about, in ids of the course (`custard-buns.custard.cooked`): the name by which this one is accepted.
    pub about: Option<String>,
    /// The teacher accepts it: the reason as written.
    pub accepted: Option<String>,
    /// So far off that it is told before the others of its level.
    pub far_off: bool,
}

impl Finding {
    fn new(level: Level, code: &'static str, place: Option<Place>, message: impl Into<String>) -> Self {
        Finding {
            level,
            code: Code(code),
            place,
            file: None,
            message: message.into(),
            also: Vec::new(),
            way_out: None,
            about: None,
            accepted: None,
            far_off: false,
        }
    }
    /// An error at a place.
    pub fn error(code: &'static str, place: impl Into<Option<Place>>, message: impl Into<String>) -> Self {
        Finding::new(Level::Error, code, place.into(), message)
    }
    /// A warning at a place.
    pub fn warning(code: &'static str, place: impl Into<Option<Place>>, message: impl Into<String>) -> Self {
        Finding::new(Level::Warning, code, place.into(), message)
    }
    /// A note at a place.
    pub fn note(code: &'static str, place: impl Into<Option<Place>>, message: impl Into<String>) -> Self {
        Finding::new(Level::Note, code, place.into(), message)
    }
    /// Adds the way out.
    #[must_use]
    pub fn way_out(mut self, text: impl Into<String>) -> Self {
        self.way_out = Some(text.into());
        self
    }
    /// Says what it is about, in ids of the course.
    #[must_use]
    pub fn about(mut self, what: impl Into<String>) -> Self {
        self.about = Some(what.into());
        self
    }
    /// Says whether it is so far off that it is told first.
    #[must_use]
    pub fn far_off(mut self, is: bool) -> Self {
        self.far_off = is;
        self
    }
    /// Names the file of a finding that has no line.
    #[must_use]
    pub fn in_file(mut self, path: impl Into<String>) -> Self {
        self.file = Some(path.into());
        self
    }
    /// Points to another place that matters.
    #[must_use]
    pub fn also(mut self, place: impl Into<Option<Place>>, text: impl Into<String>) -> Self {
        if let Some(place) = place.into() {
            self.also.push((place, text.into()));
        }
        self
    }
}

/// A value together with where it was written. Equality ignores the place.
#[derive(Clone, Debug)]
pub struct Located<T> {
    /// The value.
    pub value: T,
    /// Where it stands; `None` for a default or for a value made by the program.
    pub place: Option<Place>,
}

impl<T> Located<T> {
    /// A value that stands at a place.
    pub const fn at(value: T, place: Place) -> Self {
        Located { value, place: Some(place) }
    }
    /// A value that was written nowhere: a default.
    pub const fn assumed(value: T) -> Self {
        Located { value, place: None }
    }
    /// The same place with another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Located<U> {
        Located { value: f(self.value), place: self.place }
    }
}

impl<T> std::ops::Deref for Located<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}
impl<T: PartialEq> PartialEq for Located<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}
impl<T: Eq> Eq for Located<T> {}
impl<T: fmt::Display> fmt::Display for Located<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_lines_and_characters_from_one() {
        let mut s = Sources::default();
        let id = s.add("a.toml", "x = 1\ncrème = 2\n");
        let start = "x = 1\ncrème = ".len();
        let at = s.locate(Place { source: id, start, end: start + 1 });
        assert_eq!(at, Some(LineColumn { file: "a.toml".into(), line: 2, column: 9 }));
    }

    #[test]
    fn equality_ignores_the_place() {
        let p = Place { source: SourceId(0), start: 1, end: 2 };
        assert_eq!(Located::at(3, p), Located::assumed(3));
    }
}
