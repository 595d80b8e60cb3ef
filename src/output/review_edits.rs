//! What a review suggests, written into the course's files in place: comments, order and spaces stay as they are.

use super::json::review::takes_text;
use super::review_tables::degrees;
use crate::course::Course;
use crate::reckon::review::Review;
use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use toml_edit::{DocumentMut, Item, Value};

/// One file with what changed in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edited {
    /// The path within the course folder.
    pub path: String,
    /// The file as it was read.
    pub was: String,
    /// The file as it should be.
    pub now: String,
    /// What changed, a line each.
    pub said: Vec<String>,
}

/// One value to write.
struct Wish {
    /// What names the table: the list and the id, or a table by its name.
    at: At,
    key: &'static str,
    value: String,
    said: String,
}

enum At {
    /// The table with this `id` in the list with this name.
    InList(&'static str, String),
    /// The table with this name.
    Table(&'static str),
}

/// Edits the texts of a course; `read` gives a file by its path. What is suggested for something that is not written in the
/// file is passed over.
///
/// # Errors
/// A file that is not there or is no TOML, as a clause.
pub fn edit(
    course: &Course,
    review: &Review,
    read: &dyn Fn(&str) -> Option<String>,
) -> Result<Vec<Edited>, String> {
    let mut edited = Vec::new();
    for (path, wishes) in wishes(course, review) {
        let was = read(&path).ok_or_else(|| format!("{path} cannot be read"))?;
        let mut document: DocumentMut =
            was.trim_start_matches('\u{feff}').parse().map_err(|e| format!("{path} is no TOML: {e}"))?;
        let said: Vec<String> =
            wishes.into_iter().filter(|wish| write_in(&mut document, wish)).map(|wish| wish.said).collect();
        if !said.is_empty() {
            let now = as_it_was(&was, &document.to_string());
            edited.push(Edited { path, was, now, said });
        }
    }
    Ok(edited)
}

/// The values to write, by file.
fn wishes(course: &Course, review: &Review) -> BTreeMap<String, Vec<Wish>> {
    let mut all: BTreeMap<String, Vec<Wish>> = BTreeMap::new();
    let mut wish = |path: String, at, key, value: String, of: String, was: String| {
        let said = format!("{path}: {of}: {key} was {was}, is now {value}");
        all.entry(path).or_default().push(Wish { at, key, value, said });
    };
    for step in &review.steps {
        let Some(takes) = step.suggest else { continue };
        let path = step.lesson.as_ref().map_or("course.toml".to_owned(), |l| format!("lessons/{l}.toml"));
        let at = At::InList("steps", step.step.to_string());
        wish(
            path,
            at,
            "takes",
            takes_text(takes),
            step.step.to_string(),
            format!("usually {}", step.planned),
        );
    }
    for mixer in &review.friction {
        let Some(friction) = mixer.suggest else { continue };
        let at = At::InList("mixers", mixer.mixer.to_string());
        let was = mixer.written.map_or_else(|| "not written".to_owned(), degrees);
        wish("kitchen.toml".to_owned(), at, "friction", degrees(friction), mixer.mixer.to_string(), was);
    }
    for loss in &review.losses {
        let Some(part) = loss.suggest else { continue };
        let Some(lesson) = course.lesson(&loss.lesson) else { continue };
        let path = format!("formulas/{}.toml", lesson.formula.value);
        let was = loss.written.map_or_else(|| "not written".to_owned(), |w| w.to_string());
        wish(path, At::Table("piece"), "bake-loss", part.to_string(), "the piece".to_owned(), was);
    }
    all
}

/// Writes one value; says whether there was a place for it.
fn write_in(document: &mut DocumentMut, wish: &Wish) -> bool {
    match &wish.at {
        At::Table(name) => match document.get_mut(name) {
            Some(Item::Table(table)) => {
                // A figure that nobody wrote before joins the end of its table.
                put(table.entry(wish.key).or_insert(Item::None), &wish.value)
            }
            Some(Item::Value(Value::InlineTable(table))) => {
                let value = table.entry(wish.key).or_insert(Value::from(""));
                set(value, &wish.value);
                true
            }
            _ => false,
        },
        At::InList(name, id) => match document.get_mut(name) {
            Some(Item::ArrayOfTables(tables)) => tables
                .iter_mut()
                .find(|t| t.get("id").and_then(Item::as_str) == Some(id))
                .is_some_and(|t| put(t.entry(wish.key).or_insert(Item::None), &wish.value)),
            Some(Item::Value(Value::Array(list))) => list
                .iter_mut()
                .filter_map(Value::as_inline_table_mut)
                .find(|t| t.get("id").and_then(Value::as_str) == Some(id))
                .and_then(|t| t.get_mut(wish.key))
                .is_some_and(|value| {
                    set(value, &wish.value);
                    true
                }),
            _ => false,
        },
    }
}

fn put(item: &mut Item, text: &str) -> bool {
    match item {
        Item::Value(value) => set(value, text),
        Item::None => *item = toml_edit::value(text),
        _ => return false,
    }
    true
}

/// A value in place of another, with the spaces and comments around it.
fn set(value: &mut Value, text: &str) {
    let around = value.decor().clone();
    *value = Value::from(text);
    *value.decor_mut() = around;
}

/// Line ends and a mark of byte order as the file had them.
fn as_it_was(was: &str, now: &str) -> String {
    let plain = now.replace("\r\n", "\n");
    let lines = if was.contains("\r\n") { plain.replace('\n', "\r\n") } else { plain };
    if was.starts_with('\u{feff}') { format!("\u{feff}{lines}") } else { lines }
}

/// Writes an edited file over the one that was read, whole or not at all.
///
/// # Errors
/// What the machine answers; [`io::ErrorKind::Other`] when the file has changed since it was read.
pub fn replace(folder: &Path, edited: &Edited) -> io::Result<()> {
    let path = folder.join(&edited.path);
    if fs::read(&path)? != edited.was.as_bytes() {
        return Err(io::Error::other("somebody has changed it since it was read"));
    }
    let mut file = tempfile::NamedTempFile::new_in(path.parent().unwrap_or(folder))?;
    file.write_all(edited.now.as_bytes())?;
    file.as_file().set_permissions(fs::metadata(&path)?.permissions())?;
    file.as_file().sync_all()?;
    file.persist(&path)?;
    Ok(())
}
