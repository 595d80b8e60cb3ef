//! The one small grammar in which all files write their quantities: amounts, ranges, times, sizes, days.
//!
//! Every quantity is text with its unit, so that a teacher reads it aloud. A text that cannot be read gives a
//! [`Slip`]: what is wrong and how it is written right. Digits are kept exactly.

pub mod day;
pub mod phrase;
pub mod quantity;
pub mod size;
pub mod span;

use rust_decimal::Decimal;

/// A text that the grammar cannot read; it becomes a finding at the text's place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Slip {
    /// The finding's code.
    pub code: &'static str,
    /// What is wrong, without the name of the key.
    pub message: String,
    /// How it is written right.
    pub way_out: String,
}

impl Slip {
    /// A slip with its way out.
    pub fn new(code: &'static str, message: impl Into<String>, way_out: impl Into<String>) -> Self {
        Slip { code, message: message.into(), way_out: way_out.into() }
    }
}

/// Something that the files write as one text.
pub trait FromText: Sized {
    /// What it is, with its article: "a mass".
    const WHAT: &'static str;
    /// How it is written: "`480 g` or `1.2 kg`".
    const LIKE: &'static str;
    /// Reads it from the words of a text.
    fn from_words(words: &mut Words) -> Result<Self, Slip>;
    /// A value that lets reading go on after a slip. It never reaches a course: a course with an error is not handed out.
    fn stand_in() -> Self;
}

/// Reads one whole text.
pub fn read<T: FromText>(text: &str) -> Result<T, Slip> {
    let mut words = Words::new(text, T::WHAT, T::LIKE)?;
    let value = T::from_words(&mut words)?;
    if words.at_end() { Ok(value) } else { Err(words.unreadable()) }
}

/// A word of a quantity's text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Word {
    /// A number by its digits.
    Number(Decimal),
    /// A name or a unit, in small letters unless it is an id.
    Name(String),
    /// A sign: `%`, `,`, `/`, `x`, `:`, `-`, `+`.
    Sign(char),
}

/// The words of a text, read from left to right.
#[derive(Clone, Debug)]
pub struct Words {
    text: String,
    words: Vec<Word>,
    next: usize,
    what: &'static str,
    like: &'static str,
}

/// How a number is written with its unit: that of the first form, if that is one figure and one unit; `like` lists the forms.
pub fn with_unit(number: &str, like: &str) -> String {
    let first = like.split('`').nth(1).unwrap_or("");
    let unit = first.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').trim_start();
    let one_figure =
        unit.len() < first.len() && !unit.is_empty() && !unit.contains(|c: char| c.is_ascii_digit());
    match Decimal::from_str_exact(number) {
        Ok(_) if one_figure => format!("`{number} {unit}`"),
        _ => like.to_owned(),
    }
}

/// A text with its commas between digits taken for what they may be: decimal signs, or before three digits either a decimal
/// sign or nothing at all.
fn without_comma(text: &str) -> String {
    let with = |by: &str| {
        let mut out = String::new();
        let chars: Vec<char> = text.chars().collect();
        for (i, c) in chars.iter().enumerate() {
            let digit = |j: usize| chars.get(j).is_some_and(char::is_ascii_digit);
            let between = *c == ',' && i > 0 && digit(i - 1) && digit(i + 1);
            if between { out.push_str(by) } else { out.push(*c) }
        }
        out
    };
    let after = text.split(',').nth(1).unwrap_or("");
    let digits = after.chars().take_while(char::is_ascii_digit).count();
    if digits == 3 {
        format!("`{}` for thousands, `{}` for a decimal point", with(""), with("."))
    } else {
        format!("a point for the decimal sign: `{}`", with("."))
    }
}

/// More digits than any scale shows: refused, so that no sum can overflow.
const MOST_DECIMALS: u32 = 9;

impl Words {
    /// Splits a text.
    pub fn new(text: &str, what: &'static str, like: &'static str) -> Result<Self, Slip> {
        let mut words = Words { text: text.to_owned(), words: Vec::new(), next: 0, what, like };
        let chars: Vec<char> = text.chars().collect();
        let mut i = 0;
        while let Some(&c) = chars.get(i) {
            let follows = chars.get(i + 1).copied().unwrap_or(' ');
            let after_number = matches!(words.words.last(), Some(Word::Number(_)));
            if c.is_whitespace() || c == '°' {
                i += 1;
            } else if c.is_ascii_digit()
                || (matches!(c, '-' | '−') && follows.is_ascii_digit() && !after_number)
            {
                i = words.number(&chars, i)?;
            } else if c == '×' || (matches!(c, 'x' | 'X') && after_number && !follows.is_alphabetic()) {
                words.words.push(Word::Sign('x'));
                i += 1;
            } else if c.is_alphabetic() {
                let end = (i..chars.len())
                    .find(|j| !(chars[*j].is_alphanumeric() || matches!(chars[*j], '-' | '_')))
                    .unwrap_or(chars.len());
                words.words.push(Word::Name(chars[i..end].iter().collect()));
                i = end;
            } else {
                words.words.push(Word::Sign(if matches!(c, '–' | '—' | '−') { '-' } else { c }));
                i += 1;
            }
        }
        Ok(words)
    }

    fn number(&mut self, chars: &[char], start: usize) -> Result<usize, Slip> {
        let mut i = start + usize::from(!chars[start].is_ascii_digit());
        let mut points = 0;
        while let Some(&c) = chars.get(i) {
            let digit_follows = chars.get(i + 1).is_some_and(char::is_ascii_digit);
            match c {
                '0'..='9' => {}
                '.' if points == 0 && digit_follows => points = 1,
                ',' if digit_follows => return Err(self.comma()),
                _ => break,
            }
            i += 1;
        }
        let digits: String = chars[start..i].iter().map(|c| if *c == '−' { '-' } else { *c }).collect();
        match Decimal::from_str_exact(&digits) {
            Ok(d) if d.scale() <= MOST_DECIMALS && d.abs() <= Decimal::from(1_000_000_000) => {
                self.words.push(Word::Number(d));
                Ok(i)
            }
            _ => Err(Slip::new(
                "too-large",
                format!("\"{}\" holds a number with more digits than anything in a kitchen", self.text),
                format!("write {}", self.like),
            )),
        }
    }

    fn comma(&self) -> Slip {
        Slip::new(
            "decimal-comma",
            format!("\"{}\" holds a comma between digits", self.text),
            format!("write {}", without_comma(&self.text)),
        )
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.text
    }
    /// Whether all words were read.
    pub fn at_end(&self) -> bool {
        self.next >= self.words.len()
    }
    /// Takes all words, for a form that reads the text itself.
    pub fn take_all(&mut self) {
        self.next = self.words.len();
    }
    /// The next word, left standing.
    pub fn peek(&self) -> Option<&Word> {
        self.words.get(self.next)
    }
    /// The word after the next, left standing.
    pub fn peek_second(&self) -> Option<&Word> {
        self.words.get(self.next + 1)
    }
    /// Takes the next word if it is this name.
    pub fn eat(&mut self, name: &str) -> bool {
        let found = matches!(self.peek(), Some(Word::Name(n)) if n.eq_ignore_ascii_case(name));
        self.next += usize::from(found);
        found
    }
    /// Takes the next words if they are these names.
    pub fn eat_all(&mut self, names: &[&str]) -> bool {
        let before = self.next;
        let all = names.iter().all(|n| self.eat(n));
        if !all {
            self.next = before;
        }
        all
    }
    /// Takes the next word if it is this sign.
    pub fn eat_sign(&mut self, sign: char) -> bool {
        let found = self.peek() == Some(&Word::Sign(sign));
        self.next += usize::from(found);
        found
    }
    /// Takes a number, which may be negative.
    pub fn any_number(&mut self) -> Result<Decimal, Slip> {
        match self.peek() {
            Some(Word::Number(d)) => {
                let d = *d;
                self.next += 1;
                Ok(d)
            }
            _ => Err(self.unreadable()),
        }
    }
    /// Takes a number that may not be negative.
    pub fn number_from_nought(&mut self) -> Result<Decimal, Slip> {
        let d = self.any_number()?;
        if d.is_sign_negative() && !d.is_zero() {
            return Err(Slip::new(
                "negative-amount",
                format!("\"{}\" is less than nothing", self.text),
                format!("write {}", self.like),
            ));
        }
        Ok(d)
    }
    /// Takes a name.
    pub fn name(&mut self) -> Result<String, Slip> {
        match self.peek() {
            Some(Word::Name(n)) => {
                let n = n.clone();
                self.next += 1;
                Ok(n)
            }
            _ => Err(self.unreadable()),
        }
    }
    /// Takes a unit: a name, or the sign `%`.
    pub fn unit(&mut self) -> Result<String, Slip> {
        if self.eat_sign('%') {
            return Ok("%".to_owned());
        }
        match self.peek() {
            Some(Word::Name(_)) if self.unit_follows() => self.name(),
            Some(Word::Name(_)) => Err(self.unreadable()),
            None | Some(Word::Number(_)) | Some(Word::Sign(',')) => Err(self.no_unit()),
            Some(Word::Sign(_)) => Err(self.unreadable()),
        }
    }
    /// Whether the next word could be a unit.
    pub fn unit_follows(&self) -> bool {
        match self.peek() {
            Some(Word::Name(n)) => !matches!(n.as_str(), "to" | "x" | "usually"),
            Some(Word::Sign(s)) => *s == '%',
            _ => false,
        }
    }
    /// The slip: this text is not what it should be.
    pub fn unreadable(&self) -> Slip {
        Slip::new(
            "unreadable",
            format!("\"{}\" cannot be read as {}", self.text, self.what),
            format!("write {}", self.like),
        )
    }
    /// The slip: a number stands here without its unit.
    pub fn no_unit(&self) -> Slip {
        Slip::new(
            "number-without-unit",
            format!("\"{}\" is a number without its unit", self.text),
            format!("write {}", with_unit(self.text.trim(), self.like)),
        )
    }
    /// The slip: this unit does not measure that.
    pub fn wrong_unit(&self, unit: &str) -> Slip {
        Slip::new(
            "unknown-unit",
            format!("\"{}\": `{unit}` is no unit of {}", self.text, self.what),
            format!("write {}", self.like),
        )
    }
    /// The slip: the number is beyond what anything in a kitchen has.
    pub fn too_large(&self) -> Slip {
        Slip::new(
            "too-large",
            format!("\"{}\" is beyond what a kitchen has", self.text),
            format!("write {}", self.like),
        )
    }
    /// The slip: a range whose end lies before its start.
    pub fn backwards(&self) -> Slip {
        Slip::new(
            "range-backwards",
            format!("\"{}\" ends before it begins", self.text),
            "write the smaller figure first",
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Grams;

    #[test]
    fn words_are_split_without_loss() {
        let words = Words::new("20 cm round, 6.5cm deep", "", "").expect("readable");
        let d = |s: &str| Word::Number(s.parse().expect("a number"));
        let n = |s: &str| Word::Name(s.into());
        assert_eq!(
            words.words,
            [d("20"), n("cm"), n("round"), Word::Sign(','), d("6.5"), n("cm"), n("deep")]
        );
        let words = Words::new("28x38 cm", "", "").expect("readable");
        assert_eq!(words.words, [d("28"), Word::Sign('x'), d("38"), n("cm")]);
    }

    #[test]
    fn a_comma_between_digits_is_never_guessed_at() {
        assert_eq!(read::<Grams>("1,5 kg").expect_err("a comma").code, "decimal-comma");
        assert_eq!(read::<Grams>("1,500 g").expect_err("a comma").code, "decimal-comma");
    }

    #[test]
    fn no_text_panics() {
        for text in
            ["", " ", "-", "−", "%", "9999999999999999999999999999999 g", "1.", ".5 g", "1e9 g", "x", "½ kg"]
        {
            assert!(read::<Grams>(text).is_err(), "{text}");
        }
    }
}
