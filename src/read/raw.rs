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

/// Parses a whole file; all slips at once. A day that is not in the calendar is no slip of the TOML: it is handed on as it is written, for
/// whoever reads dates to tell.
pub fn parse(source: SourceId, text: &str) -> Result<Node, Vec<TomlSlip>> {
    let (root, mut errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        let place = Place { source, start: 0, end: 0 };
        return Ok(Node { place, value: Value::Table(table(source, root.get_ref())) });
    }
    let wrong = |at: Option<usize>| at.and_then(|at| no_day(text, at));
    let days: Vec<(usize, &str)> = errors.iter().filter_map(|e| wrong(Some(e.span()?.start))).collect();
    let mut mended = text.to_owned();
    for (at, day) in &days {
        mended.replace_range(*at..at + day.len(), A_DAY);
    }
    if !days.is_empty()
        && let Ok(mut root) = parse(source, &mended)
    {
        root.write_back(&days);
        return Ok(root);
    }
    errors.dedup_by_key(|e| e.span().map(|s| s.start));
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

/// Any day; as long as every day is.
const A_DAY: &str = "2000-01-01";

/// A bare day at this place that is not in the calendar.
fn no_day(text: &str, at: usize) -> Option<(usize, &str)> {
    let day = text.get(at..at + A_DAY.len())?;
    let shaped =
        day.bytes().enumerate().all(|(n, b)| if matches!(n, 4 | 7) { b == b'-' } else { b.is_ascii_digit() });
    (shaped && day.parse::<jiff::civil::Date>().is_err()).then_some((at, day))
}

impl Node {
    /// Puts days back as they were written.
    fn write_back(&mut self, days: &[(usize, &str)]) {
        match &mut self.value {
            Value::Date(text) => {
                if let Some((_, day)) = days.iter().find(|(at, _)| *at == self.place.start) {
                    text.replace_range(..A_DAY.len(), day);
                }
            }
            Value::List(list) => list.iter_mut().for_each(|node| node.write_back(days)),
            Value::Table(table) => table.entries.iter_mut().for_each(|e| e.node.write_back(days)),
            Value::Text(_) | Value::Number(_) | Value::Flag(_) => {}
        }
    }
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
    fn a_day_that_is_not_in_the_calendar_is_handed_on_as_it_is_written() {
        let text = "a = 2027-04-31\nb = [2027-13-01, 2027-03-13]\nc = 1\n";
        let node = parse(SourceId(0), text).expect("it parses");
        let Value::Table(root) = node.value else { panic!("no table") };
        assert!(matches!(&root.entries[0].node.value, Value::Date(d) if d == "2027-04-31"));
        let Value::List(list) = &root.entries[1].node.value else { panic!("no list") };
        assert!(matches!(&list[0].value, Value::Date(d) if d == "2027-13-01"));
        assert!(matches!(&list[1].value, Value::Date(d) if d == "2027-03-13"));
        // Beside a slip it stays one, each told once.
        let slips = parse(SourceId(0), "a = 2027-04-31\nb = \"unclosed\nc = 3\n").expect_err("it has slips");
        assert_eq!(slips.iter().filter(|s| s.place.start == 4).count(), 1, "{slips:?}");
    }

    #[test]
    fn slips_are_found_where_they_are() {
        let text = "a = \"x\"\nb = \"unclosed\nc = 3\na = 4\n";
        let slips = parse(SourceId(0), text).expect_err("it has slips");
        assert!(slips.len() >= 2, "{slips:?}");
        assert!(slips.iter().any(|s| s.place.start >= text.find("a = 4").expect("there")), "{slips:?}");
    }
}
