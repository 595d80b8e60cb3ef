//! One typed table: it feeds the terminal, CSV and spreadsheets, so that they cannot disagree.
//!
//! A column knows its unit; a cell holds a value of it, or says that the value is unknown or does not apply.
//! Numbers are written as they are; nothing is rounded here but money, to its currency's places.

use super::text::{Screen, clean, columns, longest_word, pad_left, pad_right, wrap};
use crate::units::{Grams, Minutes, Money, minor_units};
use jiff::civil::DateTime;

/// What a column holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Words.
    Text,
    /// Masses in grams.
    Grams,
    /// Whole numbers.
    Count,
    /// Amounts of one currency (ISO 4217 code) with its number of decimal places.
    Money(String, u32),
    /// Local moments: day of the week and time for people, ISO 8601 for programs.
    Moment,
    /// Spans of time.
    Span,
}

/// A column: its head and what it holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Column {
    /// The head, without a unit.
    pub head: String,
    /// What it holds.
    pub kind: Kind,
}

impl Column {
    /// A column of words.
    pub fn text(head: impl Into<String>) -> Self {
        Column { head: head.into(), kind: Kind::Text }
    }
    /// A column of masses.
    pub fn grams(head: impl Into<String>) -> Self {
        Column { head: head.into(), kind: Kind::Grams }
    }
    /// A column of whole numbers.
    pub fn count(head: impl Into<String>) -> Self {
        Column { head: head.into(), kind: Kind::Count }
    }
    /// A column of amounts of money; the currency is an ISO 4217 code.
    pub fn money(head: impl Into<String>, currency: impl Into<String>) -> Self {
        let currency = currency.into();
        let places = minor_units(&currency);
        Column { head: head.into(), kind: Kind::Money(currency, places) }
    }
    /// A column of moments.
    pub fn moment(head: impl Into<String>) -> Self {
        Column { head: head.into(), kind: Kind::Moment }
    }
    /// A column of spans of time.
    pub fn span(head: impl Into<String>) -> Self {
        Column { head: head.into(), kind: Kind::Span }
    }
    /// The head as a file for programs has it: with the unit, as its cells have none.
    #[must_use]
    pub fn head_with_unit(&self) -> String {
        match &self.kind {
            Kind::Grams => format!("{} (g)", self.head),
            Kind::Money(currency, _) => format!("{} ({currency})", self.head),
            Kind::Span => format!("{} (min)", self.head),
            Kind::Text | Kind::Count | Kind::Moment => self.head.clone(),
        }
    }
}

/// One cell. A cell of another kind than its column is written as text.
#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    /// Does not apply here.
    Blank,
    /// Nobody wrote it down: never nought.
    Unknown,
    /// Words.
    Text(String),
    /// A mass.
    Grams(Grams),
    /// A whole number.
    Count(i64),
    /// An amount of money.
    Money(Money),
    /// A local moment.
    Moment(DateTime),
    /// A span of time.
    Span(Minutes),
}

impl Cell {
    /// Words.
    pub fn text(text: impl Into<String>) -> Self {
        Cell::Text(text.into())
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Cell::Text(text.to_owned())
    }
}
impl From<String> for Cell {
    fn from(text: String) -> Self {
        Cell::Text(text)
    }
}
impl From<Grams> for Cell {
    fn from(mass: Grams) -> Self {
        Cell::Grams(mass)
    }
}
impl From<u32> for Cell {
    fn from(n: u32) -> Self {
        Cell::Count(i64::from(n))
    }
}
impl From<Money> for Cell {
    fn from(money: Money) -> Self {
        Cell::Money(money)
    }
}
impl From<Minutes> for Cell {
    fn from(span: Minutes) -> Self {
        Cell::Span(span)
    }
}
/// Unknown when there is none.
impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Cell::Unknown, Into::into)
    }
}

/// A table with a head, a body and perhaps a total.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Table {
    /// What it is, above it; empty for none.
    pub title: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows, each as long as there are columns.
    pub body: Vec<Vec<Cell>>,
    /// The sum below.
    pub total: Option<Vec<Cell>>,
}

impl Table {
    /// An empty table.
    pub fn new(title: impl Into<String>, columns: Vec<Column>) -> Self {
        Table { title: title.into(), columns, body: Vec::new(), total: None }
    }
    /// Adds a row.
    pub fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "a row of {:?}", self.title);
        self.body.push(cells);
    }

    /// For a screen: no line is wider than it; long words wrap; a table with too many columns goes on below,
    /// with its first column again.
    #[must_use]
    pub fn to_text(&self, screen: Screen) -> String {
        let mut text = String::new();
        if !self.title.is_empty() {
            for line in wrap(&clean(&self.title), screen.width) {
                text.push_str(&line);
                text.push('\n');
            }
        }
        let laid: Vec<Laid> = (0..self.columns.len()).map(|i| self.lay(i)).collect();
        for (n, band) in bands(&laid, screen.width).iter().enumerate() {
            if n > 0 {
                text.push('\n');
            }
            self.band_text(&laid, band, screen, &mut text);
        }
        text
    }

    /// The cells of one column as texts with their numbers and units in line.
    fn lay(&self, index: usize) -> Laid {
        let column = &self.columns[index];
        let cells: Vec<Shown> = self
            .body
            .iter()
            .chain(self.total.as_ref())
            .map(|row| shown(row.get(index).unwrap_or(&Cell::Blank), &column.kind))
            .collect();
        let most = |f: fn(&Shown) -> usize| cells.iter().map(f).max().unwrap_or(0);
        let (whole, fraction, unit) =
            (most(|s| columns(&s.whole)), most(|s| columns(&s.fraction)), most(|s| columns(&s.unit)));
        let texts: Vec<String> = cells
            .iter()
            .map(|s| match column.kind {
                Kind::Text => s.words.clone(),
                _ if !s.words.is_empty() => s.words.clone(),
                _ if s.whole.is_empty() => String::new(),
                _ => {
                    let mut t = pad_left(&s.whole, whole);
                    t.push_str(&pad_right(&s.fraction, fraction));
                    if unit > 0 {
                        t.push(' ');
                        t.push_str(&pad_right(&s.unit, unit));
                    }
                    t
                }
            })
            .collect();
        let head = clean(&match &column.kind {
            Kind::Money(currency, _) => format!("{} {currency}", column.head),
            _ => column.head.clone(),
        });
        let all = || texts.iter().chain(std::iter::once(&head));
        Laid {
            wraps: column.kind == Kind::Text,
            // A number is never broken; words are, but not into crumbs.
            least: if column.kind == Kind::Text {
                all().map(|t| longest_word(t)).max().unwrap_or(0).clamp(1, 16)
            } else {
                texts.iter().map(|t| columns(t)).max().unwrap_or(0).max(longest_word(&head))
            },
            width: all().map(|t| columns(t)).max().unwrap_or(0),
            head,
            texts,
        }
    }

    fn band_text(&self, laid: &[Laid], band: &Band, screen: Screen, text: &mut String) {
        let mut line = |cells: Vec<&str>| {
            let split: Vec<Vec<String>> =
                cells.iter().zip(&band.widths).map(|(cell, width)| wrapped(cell, *width)).collect();
            for row in 0..split.iter().map(Vec::len).max().unwrap_or(0) {
                let parts: Vec<String> = split
                    .iter()
                    .zip(&band.columns)
                    .zip(&band.widths)
                    .map(|((lines, column), width)| {
                        let part = lines.get(row).map_or("", String::as_str);
                        if laid[*column].wraps { pad_right(part, *width) } else { pad_left(part, *width) }
                    })
                    .collect();
                text.push_str(parts.join("  ").trim_end());
                text.push('\n');
            }
        };
        let rule: Vec<String> = band.widths.iter().map(|w| screen.rule(*w)).collect();
        let rule: Vec<&str> = rule.iter().map(String::as_str).collect();
        line(band.columns.iter().map(|c| laid[*c].head.as_str()).collect());
        line(rule.clone());
        for row in 0..self.body.len() {
            line(band.columns.iter().map(|c| laid[*c].texts[row].as_str()).collect());
        }
        if self.total.is_some() {
            line(rule);
            line(band.columns.iter().map(|c| laid[*c].texts[self.body.len()].as_str()).collect());
        }
    }
}

/// A text that already fits keeps its spaces, which align numbers; another wraps.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    if columns(text) <= width { vec![text.to_owned()] } else { wrap(text, width) }
}

/// One column, ready to be drawn.
struct Laid {
    head: String,
    texts: Vec<String>,
    wraps: bool,
    least: usize,
    width: usize,
}

/// Columns that are drawn side by side, with the widths they got.
struct Band {
    columns: Vec<usize>,
    widths: Vec<usize>,
}

/// Shares the columns out so that each band fits into `width`; each begins with the first column.
fn bands(laid: &[Laid], width: usize) -> Vec<Band> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for index in 0..laid.len() {
        let fits = groups.last().is_some_and(|group: &Vec<usize>| {
            let least: usize = group.iter().map(|c| laid[*c].least + 2).sum();
            least + laid[index].least <= width
        });
        match groups.last_mut() {
            Some(group) if fits || group.len() == 1 => group.push(index),
            Some(_) => groups.push(vec![0, index]),
            None => groups.push(vec![0]),
        }
    }
    groups
        .into_iter()
        .map(|columns| {
            let gaps = 2 * columns.len().saturating_sub(1);
            let mut widths: Vec<usize> = columns.iter().map(|c| laid[*c].width).collect();
            let over = |widths: &[usize]| widths.iter().sum::<usize>() + gaps > width;
            if over(&widths) {
                // The heads of numbers wrap first, all of them, so that columns alike stay alike.
                for (at, column) in columns.iter().enumerate().filter(|(_, c)| !laid[**c].wraps) {
                    widths[at] = laid[*column].least;
                }
            }
            // Then columns of words, the widest first: between words, and only then inside them.
            for break_words in [false, true] {
                let least = |at: usize| if break_words { 1 } else { laid[columns[at]].least };
                while over(&widths) {
                    let widest = (0..columns.len())
                        .filter(|at| laid[columns[*at]].wraps && widths[*at] > least(*at))
                        .max_by_key(|at| widths[*at]);
                    match widest {
                        Some(at) => widths[at] -= 1,
                        None => break,
                    }
                }
            }
            Band { columns, widths }
        })
        .collect()
}

/// A cell for a screen: words, or a number in three pieces that line up.
#[derive(Default)]
struct Shown {
    words: String,
    whole: String,
    fraction: String,
    unit: String,
}

fn shown(cell: &Cell, kind: &Kind) -> Shown {
    let number = |digits: String, unit: &str| {
        let (whole, fraction) = match digits.split_once('.') {
            Some((whole, fraction)) => (whole.to_owned(), format!(".{fraction}")),
            None => (digits, String::new()),
        };
        Shown { whole, fraction, unit: unit.to_owned(), ..Shown::default() }
    };
    let words = |words: String| Shown { words, ..Shown::default() };
    match cell {
        Cell::Blank => Shown::default(),
        Cell::Unknown => words("unknown".to_owned()),
        Cell::Text(text) => words(clean(text)),
        Cell::Grams(mass) if *kind == Kind::Grams => number(digits(*mass), "g"),
        Cell::Count(n) if *kind == Kind::Count => number(n.to_string(), ""),
        Cell::Money(money) if matches!(kind, Kind::Money(..)) => number(money_digits(*money, kind), ""),
        Cell::Moment(at) => words(at.strftime("%a %H:%M").to_string()),
        Cell::Span(span) => words(span.to_string()),
        Cell::Grams(mass) => words(format!("{} g", digits(*mass))),
        Cell::Count(n) => words(n.to_string()),
        Cell::Money(money) => words(money_digits(*money, kind)),
    }
}

/// A mass in grams in as many digits as it needs.
#[must_use]
pub fn digits(mass: Grams) -> String {
    mass.to_decimal().normalize().to_string()
}

fn money_digits(money: Money, kind: &Kind) -> String {
    let places = if let Kind::Money(_, places) = kind { *places } else { 2 };
    format!("{:.*}", places as usize, money.rounded(places).amount())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn order() -> Table {
        let mut table = Table::new(
            "To buy",
            vec![
                Column::text("item"),
                Column::text("from"),
                Column::grams("need"),
                Column::count("packs"),
                Column::money("cost", "EUR"),
            ],
        );
        let euros = |cents: i64| Money::new(rust_decimal::Decimal::new(cents, 2));
        table.row(vec![
            "strong flour".into(),
            "Mill at the Weir".into(),
            Grams::whole(11_250).into(),
            12u32.into(),
            euros(1440).into(),
        ]);
        table.row(vec![
            "instant yeast".into(),
            "Corner shop".into(),
            Grams::from_mg(62_125).into(),
            1u32.into(),
            euros(310).into(),
        ]);
        table.row(vec![
            "nutmeg".into(),
            Cell::Unknown,
            Grams::from_mg(500).into(),
            Cell::Blank,
            Cell::Unknown,
        ]);
        table.total = Some(vec!["".into(), Cell::Blank, Cell::Blank, 13u32.into(), euros(1750).into()]);
        table
    }

    #[test]
    fn numbers_line_up_by_their_points() {
        insta::assert_snapshot!(order().to_text(Screen::default()), @"
        To buy
        item           from                     need  packs  cost EUR
        ─────────────  ────────────────  ───────────  ─────  ────────
        strong flour   Mill at the Weir  11250     g     12     14.40
        instant yeast  Corner shop          62.125 g      1      3.10
        nutmeg         unknown               0.5   g          unknown
        ─────────────  ────────────────  ───────────  ─────  ────────
                                                         13     17.50
        ");
    }

    #[test]
    fn words_wrap_on_a_narrow_screen() {
        insta::assert_snapshot!(order().to_text(Screen { width: 50, charset: Default::default() }), @"
        To buy
        item        from              need  packs     cost
                                                       EUR
        ──────────  ─────────  ───────────  ─────  ───────
        strong      Mill at    11250     g     12    14.40
        flour       the Weir
        instant     Corner        62.125 g      1     3.10
        yeast       shop
        nutmeg      unknown        0.5   g         unknown
        ──────────  ─────────  ───────────  ─────  ───────
                                               13    17.50
        ");
    }

    #[test]
    fn too_many_columns_go_on_below() {
        let mut columns = vec![Column::text("item")];
        columns.extend((1..=12).map(|n| Column::grams(format!("station {n}"))));
        let mut table = Table::new("", columns);
        let mut row: Vec<Cell> = vec!["flour".into()];
        row.extend((1..=12).map(|n| Cell::from(Grams::from_mg(400_250 * n))));
        table.row(row);
        let text = table.to_text(Screen::default());
        assert!(text.lines().all(|line| columns_of(line) <= 80), "{text}");
        insta::assert_snapshot!(text, @"
        item    station  station  station 3  station  station 5   station  station 7
                      1        2                   4                    6
        ─────  ────────  ───────  ─────────  ───────  ─────────  ────────  ─────────
        flour  400.25 g  800.5 g  1200.75 g   1601 g  2001.25 g  2401.5 g  2801.75 g

        item   station 8  station 9  station 10  station 11  station 12
        ─────  ─────────  ─────────  ──────────  ──────────  ──────────
        flour     3202 g  3602.25 g    4002.5 g   4402.75 g      4803 g
        ");
    }

    fn columns_of(line: &str) -> usize {
        crate::output::text::columns(line)
    }

    #[test]
    fn no_column_is_lost_and_no_line_too_wide_at_any_width() {
        for width in 30..120 {
            let text = order().to_text(Screen { width, charset: Default::default() });
            assert!(text.lines().all(|line| columns_of(line) <= width), "{width}\n{text}");
            for word in ["nutmeg", "11250", "62.125", "17.50", "Weir"] {
                assert!(text.contains(word), "{word} at {width}\n{text}");
            }
        }
    }

    /// ISO 4217:2015 list one: the yen has no minor unit, the Kuwaiti dinar has three places.
    #[test]
    fn money_has_the_places_of_its_currency() {
        let mut table = Table::new("", vec![Column::money("a", "JPY"), Column::money("b", "KWD")]);
        let amount = Money::new("1200".parse().unwrap());
        table.row(vec![amount.into(), amount.into()]);
        assert!(table.to_text(Screen::default()).ends_with(" 1200  1200.000\n"));
    }
}
