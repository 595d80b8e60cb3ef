//! What is wrong with a template, a font or a text that no font can show, with its place; and the findings that tell it.

use super::Press;
use crate::finding::{Finding, Place, Sources};
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt;

/// What sort of trouble it is: each is told as the finding of the same name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sort {
    /// A template cannot be typeset.
    TemplateError,
    /// It can, but something is odd about it.
    TemplateWarning,
    /// Nothing reads it.
    TemplateUnused,
    /// A font file that is none.
    FontUnreadable,
    /// There are no fixed words in the language.
    WordsMissing,
    /// A character that no font has.
    GlyphMissing,
}

/// Something wrong in a template, a font, a words file or a document's data, with its place.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize)]
pub struct Trouble {
    /// What sort of trouble it is.
    pub sort: Sort,
    /// Path from the course folder or the built-in tree (`templates/kit.typ`); `None` where no file is to blame.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// First byte in the file and one past the last, where a line is known.
    pub bytes: Option<(usize, usize)>,
    /// What is wrong.
    pub message: String,
    /// What may help.
    pub hints: Vec<String>,
    /// A character that no font has, and the text that holds it.
    pub glyph: Option<(char, String)>,
}

impl Trouble {
    pub(super) fn plain(sort: Sort, message: String) -> Trouble {
        Trouble {
            sort,
            file: None,
            line: None,
            column: None,
            bytes: None,
            message,
            hints: Vec::new(),
            glyph: None,
        }
    }

    pub(super) fn of_file(sort: Sort, file: &str, message: &str, hint: &str) -> Trouble {
        Trouble {
            file: Some(file.to_owned()),
            hints: vec![hint.to_owned()],
            ..Trouble::plain(sort, message.to_owned())
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.file, self.line, self.column) {
            (Some(file), Some(line), Some(column)) => write!(f, "{file}:{line}:{column}: ")?,
            (Some(file), _, _) => write!(f, "{file}: ")?,
            _ => {}
        }
        f.write_str(&self.message)?;
        self.hints.iter().try_for_each(|h| write!(f, "\n  {h}"))
    }
}

/// All troubles of a press and its documents as findings: each told once, however many documents met it. The texts of the
/// templates that are named join the sources, so that their lines can be shown; a character that no font has is looked
/// for where the teacher wrote it.
pub fn findings<'a>(
    troubles: impl IntoIterator<Item = &'a Trouble>,
    press: &Press,
    sources: &mut Sources,
) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let mut strange: BTreeMap<&str, Vec<char>> = BTreeMap::new();
    for trouble in troubles {
        if let Some((c, text)) = &trouble.glyph {
            let characters = strange.entry(text).or_default();
            if !characters.contains(c) {
                characters.push(*c);
            }
            continue;
        }
        // A page of its own and a pack come to the same place by other ways: it is one mistake.
        let same = |a: &Finding, b: &Finding| {
            a == b || a.place.is_some() && (a.code, a.place, &a.message) == (b.code, b.place, &b.message)
        };
        if let Some(finding) = of_file(trouble, press, sources)
            && !findings.iter().any(|f| same(f, &finding))
        {
            findings.push(finding);
        }
    }
    // What is written once is printed in many texts, alone and with more words: it is told where it was written, once.
    let mut told: Vec<(Place, Vec<char>)> = Vec::new();
    for (text, characters) in strange {
        let finding = of_text(text, &characters, sources);
        let known = |(place, known): &(Place, Vec<char>)| {
            finding.place == Some(*place) && characters.iter().all(|c| known.contains(c))
        };
        if told.iter().any(known) {
            continue;
        }
        told.extend(finding.place.map(|place| (place, characters)));
        findings.push(finding);
    }
    findings
}

fn of_file(trouble: &Trouble, press: &Press, sources: &mut Sources) -> Option<Finding> {
    let place = trouble.file.as_ref().zip(trouble.bytes).and_then(|(path, (start, end))| {
        let source = match sources.find(path) {
            Some(source) => source,
            None => sources.add(path.clone(), std::str::from_utf8(press.file(path)?).ok()?),
        };
        Some(Place { source, start, end })
    });
    let what = trouble.message.clone();
    let mut finding = match trouble.sort {
        Sort::TemplateError => Finding::error("template-error", place, what),
        Sort::TemplateWarning => Finding::warning("template-warning", place, what),
        Sort::TemplateUnused => Finding::note("template-unused", place, what),
        Sort::FontUnreadable => Finding::warning("font-unreadable", place, what),
        // These are told elsewhere, with the place where they were written.
        Sort::WordsMissing | Sort::GlyphMissing => return None,
    };
    finding.file = trouble.file.clone().filter(|_| place.is_none());
    finding.way_out = (!trouble.hints.is_empty()).then(|| trouble.hints.join("; "));
    Some(finding)
}

fn of_text(text: &str, characters: &[char], sources: &Sources) -> Finding {
    let named: Vec<String> = characters
        .iter()
        .map(|c| {
            // What has no shape on a page has none on a terminal either.
            let shown = if c.is_control() { String::new() } else { format!("\"{c}\" ") };
            format!("{shown}U+{:04X}", u32::from(*c))
        })
        .collect();
    let finding = Finding::warning(
        "glyph-missing",
        written(text, characters, sources),
        format!("no font has {} of \"{}\": a box is printed in its place", named.join(", "), shortened(text)),
    );
    finding.way_out("put a font that has it into the course's `fonts/`, or write it another way")
}

/// Where a text was written, or at least its first strange character.
fn written(text: &str, characters: &[char], sources: &Sources) -> Option<Place> {
    let whole = |haystack: &str| {
        let at = haystack.find(text)?;
        let inside = text.find(characters)?;
        Some(at + inside)
    };
    let one = |haystack: &str| haystack.find(characters);
    let look = |find: &dyn Fn(&str) -> Option<usize>| {
        sources.iter().find_map(|s| {
            let start = find(&s.text)?;
            let end = start + s.text[start..].chars().next().map_or(0, char::len_utf8);
            Some(Place { source: sources.find(&s.path)?, start, end })
        })
    };
    look(&whole).or_else(|| look(&one))
}

pub(super) fn shortened(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((at, _)) => format!("{}...", &text[..at]),
        None => text.to_owned(),
    }
}
