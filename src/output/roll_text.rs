//! `roll.csv` changed in place: only the records that change are written anew; order, line ends, signs and everything else stay.

use super::table::{Cell, Column, Table};

/// The roll as a text that can be changed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RollText {
    /// The byte-order mark, if it has one.
    mark: bool,
    sign: u8,
    ending: &'static str,
    /// The record as it stands, and its cells.
    records: Vec<(String, Vec<String>)>,
    /// The row of each change, its column, was and now.
    changes: Vec<Change>,
}

/// One cell that changed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Change {
    /// Whose row.
    pub name: String,
    /// Which column.
    pub column: String,
    /// What stood there; empty for a new row.
    pub was: String,
    /// What stands there now.
    pub now: String,
}

impl RollText {
    /// Takes a text apart; `None` when it is not UTF-8 or has no head with a `name`.
    #[must_use]
    pub fn new(bytes: &[u8]) -> Option<Self> {
        let text = std::str::from_utf8(bytes).ok()?;
        let (mark, text) = match text.strip_prefix('\u{feff}') {
            Some(rest) => (true, rest),
            None => (false, text),
        };
        let first = text.lines().next()?;
        let count = |c: char| first.matches(c).count();
        let sign = [(b',', count(',')), (b';', count(';')), (b'\t', count('\t'))]
            .into_iter()
            .max_by_key(|(sign, n)| (*n, *sign == b','))?
            .0;
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(sign)
            .from_reader(text.as_bytes());
        let mut records: Vec<(String, Vec<String>)> = Vec::new();
        let mut record = csv::StringRecord::new();
        let mut start = 0;
        while reader.read_record(&mut record).ok()? {
            let end = usize::try_from(reader.position().byte()).ok()?.min(text.len());
            // Line ends and blank rows before a record belong to the one above.
            let own = text.get(start..end)?;
            let blank = own.len() - own.trim_start_matches(['\r', '\n']).len();
            let (above, own) = own.split_at(blank);
            if let Some((text, _)) = records.last_mut() {
                text.push_str(above);
            }
            records.push((own.to_owned(), record.iter().map(|c| c.trim().to_owned()).collect()));
            start = end;
        }
        if let Some(last) = records.last_mut() {
            last.0.push_str(text.get(start..)?);
        }
        let ending = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let roll = RollText { mark, sign, ending, records, changes: Vec::new() };
        roll.column("name")?;
        Some(roll)
    }

    fn column(&self, key: &str) -> Option<usize> {
        self.records.first()?.1.iter().position(|head| head.to_lowercase() == key)
    }

    /// The rows below the head that are not blank, by position.
    fn rows(&self) -> impl Iterator<Item = usize> {
        (1..self.records.len()).filter(|r| self.records[*r].1.iter().any(|c| !c.is_empty()))
    }

    /// Everyone's names, in order.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        self.rows().map(|r| self.get(r, "name").to_owned()).collect()
    }

    /// The row of a name, whatever its case.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<usize> {
        self.rows().find(|r| self.get(*r, "name").to_lowercase() == name.to_lowercase())
    }

    /// What stands in a column of a row.
    #[must_use]
    pub fn get(&self, row: usize, key: &str) -> &str {
        let cell = self.column(key).and_then(|at| self.records.get(row)?.1.get(at));
        cell.map_or("", String::as_str)
    }

    /// Writes into a column of a row. A roll without that column gets it, as the last of its head; the other rows stay short of it only
    /// if they have to be written anyway.
    pub fn set(&mut self, row: usize, key: &str, now: &str) {
        let was = self.get(row, key).to_owned();
        if was == now {
            return;
        }
        let at = self.column(key).unwrap_or_else(|| self.add_column(key));
        let cells = &mut self.records[row].1;
        if cells.len() <= at {
            cells.resize(at + 1, String::new());
        }
        now.clone_into(&mut cells[at]);
        self.write(row);
        let name = self.get(row, "name").to_owned();
        self.changes.push(Change { name, column: key.to_owned(), was, now: now.to_owned() });
    }

    fn add_column(&mut self, key: &str) -> usize {
        let at = self.records[0].1.len();
        for row in 0..self.records.len() {
            let blank = self.records[row].1.iter().all(String::is_empty);
            if row == 0 || !blank {
                self.records[row].1.resize(at, String::new());
                self.records[row].1.push(if row == 0 { key.to_owned() } else { String::new() });
                self.write(row);
            }
        }
        at
    }

    /// Takes out what people avoid and need; gives back how many rows held any. That somebody is under age stays: it is no health data,
    /// and the rules for it still hold.
    pub fn forget(&mut self) -> usize {
        let mut count = 0;
        for row in self.rows().collect::<Vec<_>>() {
            let before = self.changes.len();
            self.set(row, "avoids", "");
            let needs = self.get(row, "needs");
            let kept = if needs.split(';').any(|n| n.trim() == "under-age") { "under-age" } else { "" };
            self.set(row, "needs", kept);
            count += usize::from(self.changes.len() > before);
        }
        count
    }

    /// Adds a row at the end, so that nobody before it moves.
    pub fn add(&mut self, cells: &[(&str, &str)]) {
        for (key, text) in cells {
            if !text.is_empty() && self.column(key).is_none() {
                self.add_column(key);
            }
        }
        if let Some(last) = self.records.last_mut().filter(|r| !r.0.ends_with('\n')) {
            last.0.push_str(self.ending);
        }
        let width = self.records[0].1.len();
        let mut row = vec![String::new(); width];
        for (key, text) in cells {
            if let Some(at) = self.column(key) {
                (*text).clone_into(&mut row[at]);
            }
        }
        self.records.push((String::new(), row));
        let at = self.records.len() - 1;
        self.write(at);
        let name = self.get(at, "name").to_owned();
        for (column, now) in cells.iter().filter(|(_, text)| !text.is_empty()) {
            let (column, now) = ((*column).to_owned(), (*now).to_owned());
            self.changes.push(Change { name: name.clone(), column, was: String::new(), now });
        }
    }

    /// Writes a record anew.
    fn write(&mut self, row: usize) {
        let sign = char::from(self.sign);
        let quoted = |text: &String| {
            if text.contains([sign, '"', '\n', '\r']) || text.starts_with(' ') || text.ends_with(' ') {
                format!("\"{}\"", text.replace('"', "\"\""))
            } else {
                text.clone()
            }
        };
        let cells: Vec<String> = self.records[row].1.iter().map(quoted).collect();
        // The last line keeps doing without a line end, if it did; blank rows below stay.
        let former = &self.records[row].0;
        let kept = &former[former.trim_end_matches(['\r', '\n']).len()..];
        let ending = if former.is_empty() { self.ending } else { kept };
        self.records[row].0 = cells.join(&sign.to_string()) + ending;
    }

    /// What changed, in the order in which it was changed.
    #[must_use]
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// What changed, as a table.
    #[must_use]
    pub fn table(&self, title: &str) -> Table {
        let columns = ["who", "column", "was", "now"].map(Column::text);
        let mut table = Table::new(title, columns.to_vec());
        for change in &self.changes {
            let text = |t: &String| if t.is_empty() { Cell::Blank } else { t.clone().into() };
            table.row(vec![
                change.name.clone().into(),
                change.column.clone().into(),
                text(&change.was),
                text(&change.now),
            ]);
        }
        table
    }

    /// The whole text.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mark = if self.mark { "\u{feff}" } else { "" };
        let records: String = self.records.iter().map(|r| r.0.as_str()).collect();
        format!("{mark}{records}").into_bytes()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn only_what_changes_is_written_anew() {
        let text =
            "\u{feff}Name;Notes;avoids\r\n  Zoë  ;\"two\r\nlines\";egg (choice)\r\n\r\n\"Bo\";x;\"nuts\"";
        let mut roll = RollText::new(text.as_bytes()).unwrap();
        assert_eq!(roll.names(), ["Zoë", "Bo"]);
        assert_eq!(roll.bytes(), text.as_bytes());
        let bo = roll.find("BO").unwrap();
        roll.set(bo, "avoids", "");
        roll.add(&[("name", "Cy; D"), ("status", "waiting")]);
        let now = "\u{feff}Name;Notes;avoids;status\r\nZoë;\"two\r\nlines\";egg (choice);\r\n\r\nBo;x;;\r\n\"Cy; D\";;;waiting\r\n";
        assert_eq!(String::from_utf8(roll.bytes()).unwrap(), now);
        assert_eq!(roll.changes().len(), 3);
        assert_eq!(RollText::new(b"who,avoids\nAda,\n"), None);
    }

    proptest! {
        /// A roll that is not changed is the same, byte by byte; what is written is read back.
        #[test]
        fn nothing_is_lost(names in proptest::collection::vec("[A-Za-z \",;éß]{1,8}", 1..6), crlf in any::<bool>(), added in "[A-Za-z \",;é]{1,8}") {
            let ending = if crlf { "\r\n" } else { "\n" };
            let mut text = format!("name,avoids{ending}");
            for name in &names {
                text.push_str(&format!("\"{}\",x{ending}", name.replace('"', "\"\"")));
            }
            let mut roll = RollText::new(text.as_bytes()).unwrap();
            prop_assert_eq!(roll.bytes(), text.as_bytes());
            roll.add(&[("name", &added), ("avoids", "a, b")]);
            let again = RollText::new(&roll.bytes()).unwrap();
            prop_assert!(roll.bytes().starts_with(text.as_bytes()));
            if !added.trim().is_empty() {
                prop_assert_eq!(again.names().pop().unwrap(), added.trim().to_owned());
            }
        }
    }
}
