//! TOML to a tree in which every key and value knows where it stands, in the order of the file.

use crate::finding::{Place, SourceId};
use toml::de::{DeTable, DeValue};

/// A value and where it stands.
#[derive(Clone, Debug)]
pub struct Node {
    /// Where.
    pub place: Place,
    /// What.
    pub value: Value,
}

/// The sorts of value that a file can hold.
#[derive(Clone, Debug)]
pub enum Value {
    /// Text in quotes.
    Text(String),
    /// A bare number, by its digits.
    Number(String),
    /// `true` or `false`.
    Flag(bool),
    /// A bare date or time of day, by its digits.
    Date(String),
    /// Values between square brackets.
    List(Vec<Node>),
    /// Keys and values.
    Table(Table),
}

/// Keys and values in the order of the file.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// The entries.
    pub entries: Vec<Entry>,
}

/// One key with its value.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_place: Place,
    /// The value.
    pub node: Node,
}

impl Table {
    /// The entry with this key.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.key == key)
    }
}

/// A slip in the TOML itself: a quote that is not closed, a key written twice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TomlSlip {
    /// Where.
    pub place: Place,
    /// What the parser says.
    pub message: String,
}

/// Parses a whole file; all slips at once.
pub fn parse(source: SourceId, text: &str) -> Result<Node, Vec<TomlSlip>> {
    let (root, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        let place = Place { source, start: 0, end: 0 };
        return Ok(Node { place, value: Value::Table(table(source, root.get_ref())) });
    }
    let mut slips: Vec<TomlSlip> = errors
        .iter()
        .map(|e| {
            let span = e.span().unwrap_or(0..0);
            let place = Place { source, start: span.start.min(text.len()), end: span.end.min(text.len()) };
            TomlSlip { place, message: e.message().to_owned() }
        })
        .collect();
    slips.sort_by_key(|s| s.place);
    slips.dedup();
    Err(slips)
}

fn table(source: SourceId, table: &DeTable<'_>) -> Table {
    let mut entries: Vec<Entry> = table
        .iter()
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_place: Place { source, start: key.span().start, end: key.span().end },
            node: Node {
                place: Place { source, start: value.span().start, end: value.span().end },
                value: convert(source, value.get_ref()),
            },
        })
        .collect();
    // The parser hands them over by name; the file's order is what the teacher meant.
    entries.sort_by_key(|e| e.key_place.start);
    Table { entries }
}

fn convert(source: SourceId, value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(s) => Value::Text(s.to_string()),
        DeValue::Integer(n) if n.radix() == 10 => Value::Number(n.as_str().to_owned()),
        DeValue::Integer(n) => Value::Number(n.to_string()),
        DeValue::Float(x) => Value::Number(x.as_str().to_owned()),
        DeValue::Boolean(b) => Value::Flag(*b),
        DeValue::Datetime(d) => Value::Date(d.to_string()),
        DeValue::Array(list) => Value::List(
            list.iter()
                .map(|v| Node {
                    place: Place { source, start: v.span().start, end: v.span().end },
                    value: convert(source, v.get_ref()),
                })
                .collect(),
        ),
        DeValue::Table(t) => Value::Table(self::table(source, t)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn order_and_places_are_those_of_the_file() {
        let text = "z = \"1 kg\"\na = { c = 1.50, b = 2027-03-13 }\n[d.e]\nf = [true]\n";
        let node = parse(SourceId(0), text).expect("it parses");
        let Value::Table(root) = node.value else { panic!("no table") };
        let keys: Vec<&str> = root.entries.iter().map(|e| e.key.as_str()).collect();
        assert_eq!(keys, ["z", "a", "d"]);
        let Value::Table(a) = &root.entries[1].node.value else { panic!("no table") };
        assert!(matches!(&a.entries[0].node.value, Value::Number(n) if n == "1.50"));
        assert!(matches!(&a.entries[1].node.value, Value::Date(d) if d == "2027-03-13"));
        let z = root.entries[0].node.place;
        assert_eq!(&text[z.start..z.end], "\"1 kg\"");
    }

    #[test]
    fn slips_are_found_where_they_are() {
        let text = "a = \"x\"\nb = \"unclosed\nc = 3\na = 4\n";
        let slips = parse(SourceId(0), text).expect_err("it has slips");
        assert!(slips.len() >= 2, "{slips:?}");
        assert!(slips.iter().any(|s| s.place.start >= text.find("a = 4").expect("there")), "{slips:?}");
    }
}
