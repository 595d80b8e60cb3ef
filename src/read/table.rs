//! Reading a located table key by key: what is missing, unknown or of the wrong sort is noted, all of it at once.
//!
//! A slip never stops the reading. What could not be read is stood in for, so that the rest can be looked at; a course
//! with an error is not handed out, so a stand-in is never reckoned with.

use super::grammar::quantity::count_of;
use super::grammar::{self, FromText, Slip};
use super::keys::Keys;
use super::raw::{Entry, Node, Table, Value};
use crate::course::At;
use crate::course::limits::COUNTED;
use crate::finding::{Finding, Level, Located, Place};
use jiff::civil::{Date, Time};
use rust_decimal::Decimal;
use std::cell::RefCell;

/// Where findings are noted while reading.
#[derive(Debug, Default)]
pub struct Log {
    findings: RefCell<Vec<Finding>>,
}

impl Log {
    /// Notes a finding.
    pub fn note(&self, finding: Finding) {
        self.findings.borrow_mut().push(finding);
    }
    /// Notes a slip of the grammar as an error at its place.
    pub fn slip(&self, place: Place, key: &str, slip: Slip) {
        let message = if key.is_empty() { slip.message } else { format!("`{key}`: {}", slip.message) };
        self.note(Finding::error(slip.code, place, message).way_out(slip.way_out));
    }
    /// Whether an error was noted at just this place: what stands there is a stand-in, and says nothing itself.
    pub fn has_error_at(&self, place: Place) -> bool {
        self.findings.borrow().iter().any(|f| f.level == Level::Error && f.place == Some(place))
    }
    /// How many errors were noted so far.
    pub fn errors(&self) -> usize {
        self.findings.borrow().iter().filter(|f| f.level == Level::Error).count()
    }
    /// Whether anything was noted.
    pub fn has_any(&self) -> bool {
        !self.findings.borrow().is_empty()
    }
    /// All findings, in the order in which they were noted.
    pub fn into_findings(self) -> Vec<Finding> {
        self.findings.into_inner()
    }
}

/// The name that comes nearest to a mistaken one, if one is near enough to be meant.
pub fn nearest<'a>(mistaken: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let small = mistaken.to_lowercase().replace('_', "-");
    names
        .into_iter()
        .map(|name| (strsim::osa_distance(&small, &name.to_lowercase()), name))
        .filter(|(distance, name)| {
            *distance <= 1.max(name.chars().count() * 2 / 5) && *distance < name.chars().count()
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// The way out for a name that is not known: the nearest one, or all if they are few.
pub fn did_you_mean<'a>(mistaken: &str, names: impl IntoIterator<Item = &'a str> + Clone) -> Option<String> {
    if let Some(name) = nearest(mistaken, names.clone()) {
        return Some(format!("did you mean `{name}`?"));
    }
    let all: Vec<&str> = names.into_iter().take(16).collect();
    match all.len() {
        0 | 16 => None,
        1 => Some(format!("the only one is `{}`", all[0])),
        _ => Some(format!("it is one of `{}`", all.join("`, `"))),
    }
}

/// What sort of value stands there, for a message.
fn sort(value: &Value) -> &'static str {
    match value {
        Value::Text(_) => "text",
        Value::Number(_) => "a bare number",
        Value::Flag(_) => "true or false",
        Value::Date(_) => "a date or a time of day",
        Value::List(_) => "a list",
        Value::Table(_) => "a table",
    }
}

/// A table with the keys that it may have.
#[derive(Clone)]
pub struct Fields<'a> {
    /// Where findings go.
    pub log: &'a Log,
    /// The table.
    pub table: &'a Table,
    /// Where it stands.
    pub place: Place,
    owner: String,
    keys: &'static Keys,
}

impl<'a> Fields<'a> {
    /// Takes a node for a table with these keys; `owner` names it in messages ("the mixer"). Unknown keys are noted.
    pub fn new(log: &'a Log, node: &'a Node, keys: &'static Keys, owner: impl Into<String>) -> Option<Self> {
        let fields = Self::open(log, node, keys, owner)?;
        fields.refuse_unknown(&[]);
        Some(fields)
    }

    /// The same, for a table that holds names of the teacher's own beside its keys: unknown keys are left to
    /// [`Fields::refuse_unknown`] and [`Fields::own_entries`].
    pub fn open(log: &'a Log, node: &'a Node, keys: &'static Keys, owner: impl Into<String>) -> Option<Self> {
        let owner = owner.into();
        match &node.value {
            Value::Table(table) => Some(Fields { log, table, place: node.place, owner, keys }),
            other => {
                log.note(
                    Finding::error(
                        "wrong-type",
                        node.place,
                        format!("{owner} is {}, not a table", sort(other)),
                    )
                    .way_out("write `{ key = \"value\", ... }`, or a section with its head in brackets"),
                );
                None
            }
        }
    }

    /// Notes every key that is neither one of the table's nor one of these names.
    pub fn refuse_unknown(&self, own: &[&str]) {
        for entry in &self.table.entries {
            if self.keys.has(&entry.key) || own.contains(&entry.key.as_str()) {
                continue;
            }
            let mut finding = Finding::error(
                "unknown-key",
                entry.key_place,
                format!("{} has no key `{}`", self.owner, entry.key),
            );
            let mut names: Vec<&str> = self.keys.names().collect();
            names.extend(own);
            finding.way_out = did_you_mean(&entry.key, names.iter().copied());
            self.log.note(finding);
        }
    }

    /// The entries that are not keys of the table: names of the teacher's own.
    pub fn own_entries(&self) -> impl Iterator<Item = &'a Entry> + use<'a> {
        let keys = self.keys;
        self.table.entries.iter().filter(move |e| !keys.has(&e.key))
    }

    /// The entry of a key.
    pub fn entry(&self, key: &str) -> Option<&'a Entry> {
        debug_assert!(self.keys.has(key), "`{key}` is missing in the table of keys of {}", self.owner);
        self.table.get(key)
    }

    /// Whether the key is written.
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Notes that a key which must be there is not.
    pub fn missing(&self, key: &str, like: &str) {
        let finding = Finding::error("missing-key", self.place, format!("{} has no `{key}`", self.owner))
            .way_out(format!("add `{key} = {like}`"));
        self.log.note(finding);
    }

    /// Notes that a value is of the wrong sort.
    pub fn wrong_type(&self, key: &str, node: &Node, wanted: &str) {
        self.log.note(
            Finding::error(
                "wrong-type",
                node.place,
                format!("`{key}` is {}, not {wanted}", sort(&node.value)),
            )
            .way_out(format!("write {wanted}")),
        );
    }

    /// A quantity, if the key is written.
    pub fn get<T: FromText>(&self, key: &str) -> Option<At<T>> {
        self.entry(key).map(|e| quantity(self.log, key, &e.node))
    }
    /// A quantity that must be written.
    pub fn required<T: FromText>(&self, key: &str) -> At<T> {
        self.get(key).unwrap_or_else(|| {
            let like = T::LIKE.split('`').nth(1).unwrap_or("...").trim_matches('"');
            self.missing(key, &format!("\"{like}\""));
            Located::assumed(T::stand_in())
        })
    }
    /// A quantity with a value for when it is not written.
    pub fn or<T: FromText>(&self, key: &str, default: T) -> At<T> {
        self.get(key).unwrap_or(Located::assumed(default))
    }

    /// Text, if the key is written.
    pub fn text(&self, key: &str) -> Option<At<String>> {
        let entry = self.entry(key)?;
        text(self.log, key, &entry.node)
    }
    /// Text that must be written.
    pub fn required_text(&self, key: &str) -> At<String> {
        if !self.has(key) {
            self.missing(key, "\"...\"");
        }
        self.text(key).unwrap_or(Located::assumed(String::new()))
    }
    /// A name that must be written: an id.
    pub fn required_id<T: From<String>>(&self, key: &str) -> At<T> {
        self.required_text(key).map(T::from)
    }

    /// Texts: a list, or a single one.
    pub fn texts(&self, key: &str) -> Vec<At<String>> {
        let Some(entry) = self.entry(key) else { return Vec::new() };
        match &entry.node.value {
            Value::List(nodes) => nodes.iter().filter_map(|n| text(self.log, key, n)).collect(),
            Value::Text(_) => text(self.log, key, &entry.node).into_iter().collect(),
            _ => {
                self.wrong_type(key, &entry.node, "text, or a list of texts");
                Vec::new()
            }
        }
    }

    /// A whole number of things, if the key is written.
    pub fn count(&self, key: &str) -> Option<At<u32>> {
        let entry = self.entry(key)?;
        Some(count(self.log, key, &entry.node))
    }
    /// A whole number of things that must be written.
    pub fn required_count(&self, key: &str) -> At<u32> {
        self.count(key).unwrap_or_else(|| {
            self.missing(key, "1");
            Located::assumed(1)
        })
    }
    /// A whole number of things with a value for when it is not written.
    pub fn count_or(&self, key: &str, default: u32) -> At<u32> {
        self.count(key).unwrap_or(Located::assumed(default))
    }

    /// A figure whose key names its unit (`watts = 500`): a bare number, or text with that unit.
    pub fn figure<T: FromText>(&self, key: &str, unit: &str) -> Option<At<T>> {
        let entry = self.entry(key)?;
        match &entry.node.value {
            Value::Number(digits) => {
                let read = grammar::read::<T>(&format!("{digits} {unit}"));
                let value = read.unwrap_or_else(|slip| {
                    self.log.slip(entry.node.place, key, slip);
                    T::stand_in()
                });
                Some(Located::at(value, entry.node.place))
            }
            _ => Some(quantity(self.log, key, &entry.node)),
        }
    }

    /// True or false, if the key is written.
    pub fn flag(&self, key: &str) -> Option<At<bool>> {
        let entry = self.entry(key)?;
        match entry.node.value {
            Value::Flag(flag) => Some(Located::at(flag, entry.node.place)),
            _ => {
                self.wrong_type(key, &entry.node, "true or false");
                None
            }
        }
    }
    /// True only if it is written so.
    pub fn is_true(&self, key: &str) -> bool {
        self.flag(key).is_some_and(|f| f.value)
    }

    /// One of the words of a list, if the key is written.
    pub fn word<T: Copy>(&self, key: &str, words: &[(&str, T)]) -> Option<At<T>> {
        let entry = self.entry(key)?;
        word(self.log, key, &entry.node, words)
    }
    /// One of the words of a list, with a value for when it is not written.
    pub fn word_or<T: Copy>(&self, key: &str, words: &[(&str, T)], default: T) -> At<T> {
        self.word(key, words).unwrap_or(Located::assumed(default))
    }

    /// A date, quoted or bare.
    pub fn date(&self, key: &str) -> Option<At<Date>> {
        let entry = self.entry(key)?;
        self.clock_text(key, entry).and_then(|text| {
            grammar::day::date(&text.value)
                .map(|d| Located { value: d, place: text.place })
                .map_err(|slip| self.log.slip(entry.node.place, key, slip))
                .ok()
        })
    }
    /// A time of day, quoted or bare.
    pub fn time(&self, key: &str) -> Option<At<Time>> {
        let entry = self.entry(key)?;
        self.clock_text(key, entry).and_then(|text| {
            grammar::day::time(&text.value)
                .map(|t| Located { value: t, place: text.place })
                .map_err(|slip| self.log.slip(entry.node.place, key, slip))
                .ok()
        })
    }
    /// The text of a day or a time of day, quoted or bare.
    pub fn clock_text(&self, key: &str, entry: &Entry) -> Option<At<String>> {
        match &entry.node.value {
            Value::Text(t) | Value::Date(t) => Some(Located::at(t.clone(), entry.node.place)),
            _ => {
                self.wrong_type(key, &entry.node, "a date or a time of day, such as `2027-03-13` or `13:00`");
                None
            }
        }
    }

    /// The tables of a list: `[[key]]`, or `key = [{ ... }]`.
    pub fn tables(&self, key: &str) -> Vec<&'a Node> {
        let Some(entry) = self.entry(key) else { return Vec::new() };
        match &entry.node.value {
            Value::List(nodes) => nodes.iter().collect(),
            _ => {
                self.wrong_type(key, &entry.node, "a list of tables");
                Vec::new()
            }
        }
    }

    /// The entries of a table whose keys are names of the teacher's own.
    pub fn named(&self, key: &str) -> Vec<&'a Entry> {
        let Some(entry) = self.entry(key) else { return Vec::new() };
        match &entry.node.value {
            Value::Table(table) => table.entries.iter().collect(),
            _ => {
                self.wrong_type(key, &entry.node, "a table");
                Vec::new()
            }
        }
    }
}

/// A quantity of a node; a bare number is a number without its unit.
pub fn quantity<T: FromText>(log: &Log, key: &str, node: &Node) -> At<T> {
    let slip = match &node.value {
        Value::Text(text) => match grammar::read::<T>(text) {
            Ok(value) => return Located::at(value, node.place),
            Err(slip) => slip,
        },
        Value::Number(digits) => Slip::new(
            "number-without-unit",
            format!("{digits} is a bare number, not {}", T::WHAT),
            format!("write it as text with its unit: {}", grammar::with_unit(digits, T::LIKE)),
        ),
        other => Slip::new(
            "wrong-type",
            format!("this is {}, not {}", sort(other), T::WHAT),
            format!("write {}", T::LIKE),
        ),
    };
    log.slip(node.place, key, slip);
    Located::at(T::stand_in(), node.place)
}

/// The text of a node; empty text is as good as none and is noted.
pub fn text(log: &Log, key: &str, node: &Node) -> Option<At<String>> {
    match &node.value {
        Value::Text(t) if t.trim().is_empty() => {
            log.note(
                Finding::error("missing-key", node.place, format!("`{key}` is empty"))
                    .way_out("write something, or take the line out"),
            );
            None
        }
        Value::Text(t) => Some(Located::at(t.clone(), node.place)),
        other => {
            log.note(
                Finding::error("wrong-type", node.place, format!("`{key}` is {}, not text", sort(other)))
                    .way_out("write text in quotes"),
            );
            None
        }
    }
}

/// A count of a node.
pub fn count(log: &Log, key: &str, node: &Node) -> At<u32> {
    let number = match &node.value {
        Value::Number(digits) => Decimal::from_str_exact(digits).ok(),
        _ => None,
    };
    if let Some(n) = number.and_then(count_of) {
        return Located::at(n, node.place);
    }
    let way_out = "write how many there are: a whole number without quotes";
    let slip = match (&node.value, number) {
        (Value::Number(digits), Some(n)) if n.is_sign_negative() => {
            Slip::new("negative-amount", format!("`{key}` is {digits}, less than none"), way_out)
        }
        (Value::Number(digits), Some(n)) if n.is_integer() => {
            let message = format!("`{key}` is {digits}, more than the {COUNTED} that are believed");
            Slip::new("too-large", message, way_out)
        }
        (Value::Number(digits), _) => {
            Slip::new("wrong-type", format!("`{key}` is {digits}, not a whole number"), way_out)
        }
        (other, _) => {
            Slip::new("wrong-type", format!("`{key}` is {}, not a whole number", sort(other)), way_out)
        }
    };
    log.slip(node.place, "", slip);
    Located::at(1, node.place)
}

/// One of the words of a list.
pub fn word<T: Copy>(log: &Log, key: &str, node: &Node, words: &[(&str, T)]) -> Option<At<T>> {
    let written = text(log, key, node)?;
    if let Some((_, value)) = words.iter().find(|(w, _)| *w == written.value) {
        return Some(Located::at(*value, node.place));
    }
    let mut finding = Finding::error(
        "unknown-word",
        node.place,
        format!("`{key}`: \"{}\" is not known here", written.value),
    );
    finding.way_out = did_you_mean(&written.value, words.iter().map(|(w, _)| *w));
    log.note(finding);
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn guesses_are_near_or_not_made() {
        let names = ["strong-flour", "milk", "eggs"];
        assert_eq!(nearest("strong-flower", names), Some("strong-flour"));
        assert_eq!(nearest("mlik", names), Some("milk"));
        assert_eq!(nearest("Eggs", names), Some("eggs"));
        assert_eq!(nearest("cardamom", names), None);
        assert_eq!(nearest("xy", ["ab"]), None);
    }
}
