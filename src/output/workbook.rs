//! Tables as a workbook (Office Open XML, ECMA-376): one sheet for each, with formulas where a cell is made from others.
//!
//! Text is always written as text, so nothing that people typed becomes a formula. The creation date is fixed: the same tables give
//! the same bytes.

use super::table::{Cell, Column, Kind, Table, digits};
use super::text::{clean, columns, wrap};
use crate::units::Money;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet, XlsxError,
};

/// How the cells of a column are made from others in their row.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Made {
    /// The product of two columns, by their positions.
    Product(usize, usize),
    /// What the first columns hold together less what the others hold.
    Sum(Vec<usize>, Vec<usize>),
}

/// One sheet of a workbook.
#[derive(Clone, PartialEq, Debug)]
pub struct SheetOf {
    /// Its name; what a name of a sheet must not hold is taken out.
    pub name: String,
    /// The table. Its title stands above the head.
    pub table: Table,
    /// Said under the title in a smaller hand; empty where there is nothing to say.
    pub note: String,
    /// Columns that are formulas, by position. A row with a blank among the columns that a cell is made from holds the plain value.
    pub made: Vec<(usize, Made)>,
}

/// The most characters of a sheet's name, by ECMA-376.
const LONGEST_NAME: usize = 31;
/// A column is as wide as its widest cell, but no wider than this; text in it then wraps.
const WIDEST: usize = 48;

/// The workbook's bytes.
///
/// # Errors
/// What the writer refuses, as a sentence: more rows than a sheet holds.
pub fn workbook(title: &str, author: &str, sheets: &[SheetOf]) -> Result<Vec<u8>, String> {
    write(title, author, sheets).map_err(|error| format!("the workbook cannot be written: {error}"))
}

fn write(title: &str, author: &str, sheets: &[SheetOf]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(
        &DocProperties::new()
            .set_title(clean(title))
            .set_author(clean(author))
            .set_creation_datetime(&created),
    );
    let mut names: Vec<String> = Vec::new();
    for sheet in sheets {
        let name = name_of_sheet(&sheet.name, &names);
        fill(book.add_worksheet().set_name(&name)?, sheet)?;
        names.push(name);
    }
    book.save_to_buffer()
}

/// A name without the signs that a sheet's name must not hold, not too long, and no other's.
fn name_of_sheet(wanted: &str, taken: &[String]) -> String {
    let plain: String = clean(wanted).chars().filter(|c| !"[]:*?/\\".contains(*c)).collect();
    let plain = plain.trim().trim_matches('\'');
    let plain = if plain.is_empty() { "Sheet" } else { plain };
    let cut = |most: usize| plain.chars().take(most).collect::<String>().trim().to_owned();
    let is_free = |name: &String| !taken.iter().any(|t| t.to_lowercase() == name.to_lowercase());
    let numbered = (2..).map(|n| {
        let ending = format!(" {n}");
        cut(LONGEST_NAME - ending.len()) + &ending
    });
    std::iter::once(cut(LONGEST_NAME)).chain(numbered).find(is_free).unwrap_or_default()
}

/// The rows above a table's body: title, blank, head.
const HEAD: u32 = 2;

fn fill(at: &mut Worksheet, sheet: &SheetOf) -> Result<(), XlsxError> {
    let table = &sheet.table;
    let widths = widths(table);
    let title = Format::new().set_bold().set_font_size(TITLE).set_align(FormatAlign::Top);
    across(at, 0, &table.title, &widths, TITLE, &title)?;
    let note = Format::new().set_italic().set_align(FormatAlign::Top);
    across(at, 1, &sheet.note, &widths, TEXT, &note)?;
    let mut lines = 1;
    for (c, column) in table.columns.iter().enumerate() {
        let head = Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Medium);
        let head = head.set_align(FormatAlign::Bottom);
        let head = if column.kind == Kind::Text { head } else { head.set_align(FormatAlign::Right) };
        let head = indented(head, table, c);
        at.write_string_with_format(HEAD, of(c), clean(&column.head_with_unit()), &head)?;
        at.set_column_width(of(c), f64::from(widths[c]))?;
        lines = lines.max(wrap(&clean(&column.head_with_unit()), room(widths[c])).len());
    }
    at.set_row_height(HEAD, LINE * f64::from(row_of(lines)))?;
    for (r, row) in table.body.iter().enumerate() {
        for (c, cell) in row.iter().enumerate() {
            let format = indented(format_of(&table.columns[c]), table, c);
            let formula = sheet.made.iter().find(|(made, _)| *made == c).and_then(|(_, made)| {
                let parts = match made {
                    Made::Product(a, b) => vec![*a, *b],
                    Made::Sum(more, less) => [more.as_slice(), less.as_slice()].concat(),
                };
                let whole = parts.iter().all(|p| is_number(&row[*p])) && is_number(cell);
                whole.then(|| formula_of(made, HEAD + 1 + row_of(r)))
            });
            put(at, HEAD + 1 + row_of(r), of(c), cell, &table.columns[c], formula, &format)?;
        }
    }
    if let Some(total) = &table.total {
        let (first, last) = (HEAD + 2, HEAD + 1 + row_of(table.body.len()));
        for (c, cell) in total.iter().enumerate() {
            let format = indented(format_of(&table.columns[c]), table, c)
                .set_bold()
                .set_border_top(FormatBorder::Thin);
            let letter = rust_xlsxwriter::utility::column_number_to_name(of(c));
            let formula = (is_number(cell) && !table.body.is_empty())
                .then(|| format!("=SUM({letter}{first}:{letter}{last})"));
            put(at, last, of(c), cell, &table.columns[c], formula, &format)?;
        }
    }
    at.set_freeze_panes(HEAD + 1, 1)?;
    at.set_landscape().set_print_fit_to_pages(1, 0).set_repeat_rows(HEAD, HEAD)?;
    Ok(())
}

fn of(column: usize) -> u16 {
    u16::try_from(column).unwrap_or(u16::MAX)
}

fn row_of(row: usize) -> u32 {
    u32::try_from(row).unwrap_or(u32::MAX - HEAD - 2)
}

fn formula_of(made: &Made, row: u32) -> String {
    let cell = |c: &usize| format!("{}{}", rust_xlsxwriter::utility::column_number_to_name(of(*c)), row + 1);
    match made {
        Made::Product(a, b) => format!("={}*{}", cell(a), cell(b)),
        Made::Sum(more, less) => {
            let more: Vec<String> = more.iter().map(cell).collect();
            let less: String = less.iter().map(|c| format!("-{}", cell(c))).collect();
            format!("={}{less}", more.join("+"))
        }
    }
}

fn is_number(cell: &Cell) -> bool {
    matches!(cell, Cell::Grams(_) | Cell::Count(_) | Cell::Money(_))
}

fn format_of(column: &Column) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    match &column.kind {
        Kind::Text => format.set_text_wrap(),
        // As many places as there are: a fixed pattern leaves a lone point behind whole grams.
        Kind::Grams => format.set_num_format("General"),
        Kind::Count | Kind::Span => format.set_num_format("0"),
        Kind::Money(_, 0) => format.set_num_format("0"),
        Kind::Money(_, places) => format.set_num_format(format!("0.{}", "0".repeat(*places as usize))),
        Kind::Moment => format.set_num_format("yyyy-mm-dd hh:mm"),
    }
}

/// The digits of a number as every other file has them.
fn number(cell: &Cell, column: &Column) -> String {
    match cell {
        Cell::Grams(mass) => digits(*mass),
        Cell::Count(n) => n.to_string(),
        Cell::Money(money) => money_digits(*money, column),
        _ => String::new(),
    }
}

fn money_digits(money: Money, column: &Column) -> String {
    let places = if let Kind::Money(_, places) = &column.kind { *places } else { 2 };
    format!("{:.*}", places as usize, money.rounded(places).amount())
}

fn put(
    at: &mut Worksheet,
    row: u32,
    column: u16,
    cell: &Cell,
    kind: &Column,
    formula: Option<String>,
    format: &Format,
) -> Result<(), XlsxError> {
    if let Some(formula) = formula {
        let formula = Formula::new(formula).set_result(number(cell, kind));
        at.write_formula_with_format(row, column, formula, format)?;
        return Ok(());
    }
    match cell {
        Cell::Blank => at.write_blank(row, column, format)?,
        Cell::Unknown => at.write_string_with_format(row, column, "unknown", format)?,
        Cell::Text(text) => at.write_string_with_format(row, column, clean(text), format)?,
        Cell::Grams(_) | Cell::Count(_) | Cell::Money(_) => {
            // A spreadsheet keeps numbers as binary fractions; the digits are ours, and fifteen of them survive.
            let value: f64 = number(cell, kind).parse().unwrap_or_default();
            at.write_number_with_format(row, column, value, format)?
        }
        Cell::Moment(moment) => {
            let when = ExcelDateTime::from_ymd(
                u16::try_from(moment.year()).unwrap_or(1900),
                moment.month().unsigned_abs(),
                moment.day().unsigned_abs(),
            )?
            .and_hms(moment.hour().unsigned_abs().into(), moment.minute().unsigned_abs(), 0)?;
            at.write_datetime_with_format(row, column, &when, format)?
        }
        Cell::Span(span) => {
            let minutes = u32::try_from(span.get()).unwrap_or_default();
            at.write_number_with_format(row, column, minutes, format)?
        }
    };
    Ok(())
}

/// A sentence in one cell over all columns, in as many lines as it takes there.
fn across(
    at: &mut Worksheet,
    row: u32,
    text: &str,
    widths: &[u32],
    size: f64,
    format: &Format,
) -> Result<(), XlsxError> {
    if text.is_empty() {
        return Ok(());
    }
    let text = clean(text);
    let format = format.clone().set_text_wrap();
    match of(widths.len().saturating_sub(1)) {
        0 => at.write_string_with_format(row, 0, &text, &format)?,
        last => at.merge_range(row, 0, row, last, &text, &format)?,
    };
    // A larger hand, and a bold one, holds fewer characters in the same width.
    let held = f64::from(widths.iter().sum::<u32>()) * TEXT / size * 0.9;
    let lines = wrap(&text, whole(held)).len();
    at.set_row_height(row, LINE * size / TEXT * f64::from(row_of(lines)))?;
    Ok(())
}

/// Points of a title's and of any other letter, and of a line.
const TITLE: f64 = 14.0;
const TEXT: f64 = 11.0;
const LINE: f64 = 15.0;

fn whole(width: f64) -> usize {
    // Widths are of two or three digits.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let whole = width.max(1.0) as usize;
    whole
}

/// How many characters of a head a column of this width holds: it is bold, and has a margin.
fn room(width: u32) -> usize {
    width.saturating_sub(2).max(1) as usize
}

/// Whether words stand right of a number, which they would touch.
fn follows_number(table: &Table, c: usize) -> bool {
    table.columns[c].kind == Kind::Text && c > 0 && table.columns[c - 1].kind != Kind::Text
}

fn indented(format: Format, table: &Table, c: usize) -> Format {
    // An indent is from the side that a cell is aligned to, and from none if it is not.
    if follows_number(table, c) { format.set_align(FormatAlign::Left).set_indent(1) } else { format }
}

/// Each column wide enough for its widest cell, and for its head in two lines; all of them for a sentence above.
fn widths(table: &Table) -> Vec<u32> {
    let mut widths: Vec<u32> = (0..table.columns.len()).map(|c| width(table, c)).collect();
    let sum: u32 = widths.iter().sum();
    if let Some(first) = widths.first_mut() {
        *first += NARROWEST.saturating_sub(sum);
    }
    widths
}

/// No table is narrower than this: a sentence stands above it.
const NARROWEST: u32 = 64;

fn width(table: &Table, c: usize) -> u32 {
    let column = &table.columns[c];
    let cell = |cell: &Cell| match cell {
        Cell::Text(text) => columns(&clean(text)),
        Cell::Moment(_) => 16,
        Cell::Blank | Cell::Span(_) => 4,
        Cell::Unknown => 7,
        number_cell => number(number_cell, column).len(),
    };
    let head = column.head_with_unit();
    let word = head.split(' ').map(columns).max().unwrap_or(0);
    let half = (word..).find(|width| wrap(&head, *width).len() <= 2).unwrap_or(word);
    let widest = table.body.iter().chain(&table.total).map(|row| cell(&row[c])).max().unwrap_or(0);
    let wide = widest.max(half).clamp(4, WIDEST) + if follows_number(table, c) { 4 } else { 3 };
    u32::try_from(wide).unwrap_or(8)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::units::Grams;
    use calamine::{Data, Reader, Xlsx};
    use std::io::Cursor;

    fn sheet(name: &str) -> SheetOf {
        let mut table = Table::new(
            "=To buy",
            vec![
                Column::text("what"),
                Column::count("packs"),
                Column::money("each", "EUR"),
                Column::money("cost", "EUR"),
                Column::grams("need"),
            ],
        );
        let euros = |cents: i64| Money::new(rust_decimal::Decimal::new(cents, 2));
        let mut row = |what: &str, n: u32, each: i64| {
            table.row(vec![
                what.into(),
                n.into(),
                euros(each).into(),
                euros(each * i64::from(n)).into(),
                Grams::from_mg(62_125).into(),
            ]);
        };
        row("=cmd|' /C calc'!A0", 3, 235);
        row("-walnuts", 2, 1350);
        table.row(vec!["delivery".into(), Cell::Blank, Cell::Blank, euros(400).into(), Cell::Unknown]);
        table.total =
            Some(vec!["together".into(), Cell::Blank, Cell::Blank, euros(3805).into(), Cell::Blank]);
        SheetOf {
            name: name.to_owned(),
            table,
            note: "delivers on Tuesday".into(),
            made: vec![(3, Made::Product(1, 2))],
        }
    }

    fn read(bytes: Vec<u8>) -> Xlsx<Cursor<Vec<u8>>> {
        Xlsx::new(Cursor::new(bytes)).unwrap()
    }

    #[test]
    fn an_independent_reader_finds_values_and_formulas() {
        let mut book = read(workbook("Order", "Host", &[sheet("Mill")]).unwrap());
        let values = book.worksheet_range("Mill").unwrap();
        assert_eq!(values.get_value((0, 0)), Some(&Data::String("=To buy".into())));
        assert_eq!(values.get_value((2, 2)), Some(&Data::String("each (EUR)".into())));
        // What looks like a formula stays text.
        assert_eq!(values.get_value((3, 0)), Some(&Data::String("=cmd|' /C calc'!A0".into())));
        assert_eq!(values.get_value((3, 3)), Some(&Data::Float(7.05)));
        assert_eq!(values.get_value((3, 4)), Some(&Data::Float(62.125)));
        assert_eq!(values.get_value((5, 4)), Some(&Data::String("unknown".into())));
        assert_eq!(values.get_value((6, 3)), Some(&Data::Float(38.05)));
        let formulas = book.worksheet_formula("Mill").unwrap();
        let formula = |at: (u32, u32)| formulas.get_value(at).map(String::as_str).unwrap_or_default();
        assert_eq!((formula((3, 3)), formula((4, 3)), formula((6, 3))), ("B4*C4", "B5*C5", "SUM(D4:D6)"));
        assert_eq!((formula((3, 0)), formula((5, 3))), ("", ""));
    }

    #[test]
    fn the_same_tables_give_the_same_bytes() {
        let make = || workbook("Order", "Host", &[sheet("Mill"), sheet("mill")]).unwrap();
        assert_eq!(make(), make());
    }

    #[test]
    fn every_name_is_allowed_and_no_others() {
        let long = "A supplier of flour, nuts and dry goods";
        let names = ["Bread/Butter [x]", long, long, "'", "LONG", "long"];
        let sheets: Vec<SheetOf> = names.iter().map(|n| sheet(n)).collect();
        let book = read(workbook("", "", &sheets).unwrap());
        let found = book.sheet_names();
        assert_eq!(
            found,
            [
                "BreadButter x",
                "A supplier of flour, nuts and d",
                "A supplier of flour, nuts and 2",
                "Sheet",
                "LONG",
                "long 2"
            ]
        );
    }
}
