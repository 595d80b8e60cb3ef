//! A table as CSV (RFC 4180), safe to open in a spreadsheet program.
//!
//! What people typed may begin with `=`, `+`, `-` or `@`, which a spreadsheet program would run as a formula: such a text gets
//! an apostrophe before it, which makes it text again. Numbers are ours and stay numbers.

use super::table::{Cell, Kind, Table, digits};
use super::text::clean;

impl Table {
    /// As CSV in UTF-8, lines ended by CR LF; the head says the units, cells are bare numbers.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let mut csv = String::new();
        let mut record = |fields: Vec<String>| {
            csv.push_str(&fields.join(","));
            csv.push_str("\r\n");
        };
        record(self.columns.iter().map(|c| quoted(&defused(&c.head_with_unit()))).collect());
        for row in self.body.iter().chain(self.total.as_ref()) {
            record(row.iter().zip(&self.columns).map(|(cell, column)| field(cell, &column.kind)).collect());
        }
        csv
    }
}

fn field(cell: &Cell, kind: &Kind) -> String {
    match cell {
        Cell::Blank => String::new(),
        Cell::Unknown => "unknown".to_owned(),
        Cell::Text(text) => quoted(&defused(text)),
        Cell::Grams(mass) => digits(*mass),
        Cell::Count(n) => n.to_string(),
        Cell::Money(money) => {
            let places = if let Kind::Money(_, places) = kind { *places } else { 2 };
            format!("{:.*}", places as usize, money.rounded(places).amount())
        }
        Cell::Moment(at) => at.strftime("%Y-%m-%dT%H:%M").to_string(),
        Cell::Span(span) => span.get().to_string(),
    }
}

/// A text that no spreadsheet program takes for a formula. Full-width forms of the signs count too, as some programs fold them.
fn defused(text: &str) -> String {
    let text = clean(text);
    let risky = |c: char| "=+-@|%\u{ff1d}\u{ff0b}\u{ff0d}\u{ff20}".contains(c);
    if text.trim_start().starts_with(risky) || text.starts_with(' ') { format!("'{text}") } else { text }
}

/// RFC 4180: a field that holds a comma, a quotation mark or a line break stands in quotation marks, which are doubled inside.
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n', ';']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::table::{Column, Table};
    use super::*;
    use crate::units::{Grams, Money};
    use proptest::prelude::*;

    fn one(text: &str) -> String {
        let mut table = Table::new("", vec![Column::text("item"), Column::grams("need")]);
        table.row(vec![text.into(), Grams::from_mg(-1500).into()]);
        table.to_csv()
    }

    #[test]
    fn lines_end_as_the_standard_says_and_units_stand_in_the_head() {
        assert_eq!(
            one("rye, coarse \"type 1150\""),
            "item,need (g)\r\n\"rye, coarse \"\"type 1150\"\"\",-1.5\r\n"
        );
    }

    #[test]
    fn a_name_is_no_formula_but_a_negative_number_is_a_number() {
        for bad in
            ["=1+1", "+1", "-1", "@SUM(A1)", " =1+1", "\t=1", "\r=1", "\u{ff1d}1", "=cmd|' /C calc'!A0"]
        {
            let csv = one(bad);
            let field = csv.lines().nth(1).unwrap();
            assert!(field.starts_with('\''), "{bad:?} became {field:?}");
            assert!(field.ends_with(",-1.5"), "{field:?}");
        }
    }

    #[test]
    fn money_keeps_its_places() {
        let mut table = Table::new("", vec![Column::money("price", "EUR")]);
        table.row(vec![Money::new("1.2".parse().unwrap()).into()]);
        assert_eq!(table.to_csv(), "price (EUR)\r\n1.20\r\n");
    }

    proptest! {
        /// Read back by an independent reader of the format, a text is what it was, but for the marks that `clean` takes out.
        #[test]
        fn an_independent_reader_gets_the_text_back(text in "\\PC{0,30}") {
            let csv = one(&text);
            let mut reader = csv::ReaderBuilder::new().from_reader(csv.as_bytes());
            let record = reader.records().next().unwrap().unwrap();
            prop_assert_eq!(&record[0], defused(&text));
            prop_assert_eq!(&record[1], "-1.5");
        }
    }
}
