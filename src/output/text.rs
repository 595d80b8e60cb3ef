//! What every text output needs: a screen's width, clean text, padding and wrapping by what is seen.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Which characters a screen can draw.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Charset {
    /// Rules and blocks.
    #[default]
    Unicode,
    /// Plain typewriter characters.
    Ascii,
}

/// Where text is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Screen {
    /// How many columns a line has.
    pub width: usize,
    /// What it can draw.
    pub charset: Charset,
}

impl Default for Screen {
    /// Eighty columns: what a screen has that does not say how wide it is.
    fn default() -> Self {
        Screen { width: 80, charset: Charset::Unicode }
    }
}

impl Screen {
    /// A thin rule of so many columns.
    #[must_use]
    pub fn rule(self, columns: usize) -> String {
        match self.charset {
            Charset::Unicode => "─",
            Charset::Ascii => "-",
        }
        .repeat(columns)
    }
}

/// How many columns a text takes on a screen.
#[must_use]
pub fn columns(text: &str) -> usize {
    text.width()
}

/// A text as it may be shown: what people typed must not move the cursor, colour the screen or turn the line round.
/// Control characters and marks of direction are replaced; line breaks become spaces.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            c if c.is_control() => '\u{fffd}',
            '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// The text filled up with spaces on its right.
#[must_use]
pub fn pad_right(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}

/// The text filled up with spaces on its left.
#[must_use]
pub fn pad_left(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(columns(text))))
}

/// As much of the text as `width` columns hold.
#[must_use]
pub fn cut(text: &str, width: usize) -> String {
    let mut used = 0;
    text.chars()
        .take_while(|c| {
            used += c.width().unwrap_or(0);
            used <= width
        })
        .collect()
}

/// The text in lines of at most `width` columns, broken between words; a word that is longer is broken inside.
/// Never empty: an empty text is one empty line.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let mut word = word;
        if !line.is_empty() {
            if columns(&line) + 1 + columns(word) <= width {
                line.push(' ');
                line.push_str(word);
                continue;
            }
            lines.push(std::mem::take(&mut line));
        }
        while columns(word) > width {
            let mut piece = cut(word, width);
            // An id is broken behind a dot or a hyphen, where it has one.
            if let Some(at) = piece.rfind(['.', '-', '/', '_']).filter(|at| *at > 0) {
                piece.truncate(at + 1);
            }
            if piece.is_empty() {
                // One character wider than the line: it goes in whole, as nothing narrower exists.
                piece = word.chars().take(1).collect();
            }
            word = &word[piece.len()..];
            lines.push(piece);
        }
        line = word.to_owned();
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// The longest word of a text, in columns.
#[must_use]
pub fn longest_word(text: &str) -> usize {
    text.split_whitespace().map(columns).max().unwrap_or(0)
}

/// "1 tin", "2 tins": a count with its noun, as English says it.
#[must_use]
pub fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn an_id_is_broken_behind_its_dot_or_hyphen() {
        assert_eq!(wrap("folded-plait.block-chill", 16), ["folded-plait.", "block-chill"]);
        assert_eq!(wrap("walnut-crown.show", 16), ["walnut-crown.", "show"]);
        assert_eq!(wrap("folded-plait.block-chill", 11), ["folded-", "plait.", "block-chill"]);
        // One that has neither is broken where the line ends.
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
    }

    #[test]
    fn a_long_word_is_broken_inside() {
        assert_eq!(wrap("a Haselnussmehrkornkranz b", 10), ["a", "Haselnussm", "ehrkornkra", "nz b"]);
    }

    #[test]
    fn a_name_cannot_move_the_cursor() {
        assert_eq!(clean("Ann\u{1b}[2J\u{202e}x\ny"), "Ann\u{fffd}[2J\u{fffd}x y");
    }

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked(text in "[a-zé ]{0,60}", width in 1usize..20) {
            for line in wrap(&text, width) {
                prop_assert!(columns(&line) <= width);
            }
        }

        #[test]
        fn no_letter_is_lost(text in "\\PC{0,60}", width in 1usize..20) {
            let kept: String = wrap(&text, width).concat().split_whitespace().collect();
            let had: String = text.split_whitespace().collect();
            prop_assert_eq!(kept, had);
        }
    }
}
