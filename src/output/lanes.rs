//! The lane picture of a plan: a row for each pair of hands, station, mixer, oven and shelf, time running to the right.
//!
//! Work is drawn as a thick line, what stands by itself as a thin one, each with an edge where it begins and as much of its word
//! as it has room for, or a number that is told below where that would say nothing; what overlaps in one lane goes on rows below. The picture takes as many columns as the screen has, at a whole number of minutes for each;
//! on a narrow screen the hours stand below each other.

use super::text::{Charset, Screen, clean, columns, cut, pad_right, wrap};
use crate::units::Minutes;
use jiff::SignedDuration;
use jiff::civil::DateTime;

/// How a block is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Look {
    /// Hands are at work.
    Work,
    /// It rises, chills, bakes, cools by itself.
    ByItself,
}

/// One thing in a lane.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Block {
    /// Its first moment.
    pub from: DateTime,
    /// Its last.
    pub to: DateTime,
    /// Its word.
    pub label: String,
    /// How it is drawn.
    pub look: Look,
}

/// One row of the picture.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lane {
    /// Whose: `teacher`, `station 3`, `oven 1`.
    pub name: String,
    /// What is in it, in any order.
    pub blocks: Vec<Block>,
}

/// A picture of one stretch of time: a session, or a staff day.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Picture {
    /// What it shows: "Saturday 13:00 to 17:00".
    pub title: String,
    /// Where it begins.
    pub from: DateTime,
    /// Where it ends.
    pub to: DateTime,
    /// Its lanes from the top.
    pub lanes: Vec<Lane>,
}

/// So many minutes may one column stand for; the finest that fits is taken.
const STEPS: [i64; 10] = [1, 2, 3, 5, 10, 15, 20, 30, 60, 120];

/// With more minutes to a column than this, nobody can read the word of a quarter of an hour.
const READABLE: i64 = 3;

/// Into so many stretches at most is the time cut for that.
const MOST_PARTS: i64 = 4;

/// A word that is cut to fewer letters than this says nothing.
const LETTERS: usize = 3;

/// Lane names are cut after this many columns.
const NAME_MOST: usize = 16;

impl Picture {
    /// For a screen of any width from 40 columns up.
    #[must_use]
    pub fn to_text(&self, screen: Screen) -> String {
        let name_width =
            self.lanes.iter().map(|lane| columns(&clean(&lane.name))).max().unwrap_or(0).min(NAME_MOST);
        let room = screen.width.saturating_sub(name_width + 2).max(20);
        let (step, parts) = self.parts(room);

        let mut text = String::new();
        for line in wrap(&clean(&self.title), screen.width) {
            text.push_str(&line);
            text.push('\n');
        }
        let mut row = |name: &str, cells: &str| {
            let line = format!("{}  {cells}", pad_right(&cut(name, NAME_MOST), name_width));
            text.push_str(line.trim_end());
            text.push('\n');
        };
        let mut numbered = Numbered::default();
        for (n, (from, to)) in parts.iter().enumerate() {
            if n > 0 {
                row("", "");
            }
            let span = minutes_between(*from, *to).max(1);
            let scale = Scale { from: *from, step, room, columns: (span.div_euclid(step) + 1) as usize };
            row("", &scale.hours());
            for lane in &self.lanes {
                // Where the time is cut, a lane is shown where something happens in it; one in which nothing ever does, at first.
                let there = |block: &Block| block.from < *to && block.to > *from;
                let shown = if lane.blocks.is_empty() { n == 0 } else { lane.blocks.iter().any(there) };
                if parts.len() > 1 && !shown {
                    continue;
                }
                let blocks: Vec<Block> = lane.blocks.iter().filter(|b| there(b)).cloned().collect();
                let name = clean(&lane.name);
                for (n, cells) in scale.rows(&blocks, screen.charset, &mut numbered).iter().enumerate() {
                    row(if n == 0 { &name } else { "" }, cells);
                }
            }
        }
        let (work, by_itself) = match screen.charset {
            Charset::Unicode => ("▌▄", "▏▁"),
            Charset::Ascii => ("[=", "(-"),
        };
        row("", &format!("{work} hands at work   {by_itself} by itself   one column: {}", Minutes(step)));
        for line in numbered.told(room) {
            row("", &line);
        }
        text
    }

    /// How many minutes a column stands for, and the stretches of time that go below each other: where the whole would be drawn so coarsely
    /// that no word can be read, it is cut at half hours.
    fn parts(&self, room: usize) -> (i64, Vec<(DateTime, DateTime)>) {
        let span = minutes_between(self.from, self.to).max(1);
        let step_of =
            |span: i64| STEPS.into_iter().find(|s| span.div_euclid(*s) < room as i64).unwrap_or(240);
        let long = |parts: i64| (span + 30 * parts - 1) / (30 * parts) * 30;
        let readable = |parts: &i64| step_of(long(*parts)) <= READABLE;
        let cut = (2..=MOST_PARTS).find(readable).filter(|_| step_of(span) > READABLE);
        let Some(parts) = cut else { return (step_of(span), vec![(self.from, self.to)]) };
        let at = |part: i64| self.from.saturating_add(SignedDuration::from_mins(part * long(parts)));
        let all = (0..parts).map(|part| (at(part), at(part + 1).min(self.to))).filter(|(from, to)| from < to);
        (step_of(long(parts)), all.collect())
    }
}

fn minutes_between(from: DateTime, to: DateTime) -> i64 {
    // Civil time: on a night when clocks change, the picture shows what the clocks show.
    to.duration_since(from).as_mins()
}

struct Scale {
    from: DateTime,
    step: i64,
    room: usize,
    columns: usize,
}

impl Scale {
    fn column(&self, at: DateTime) -> usize {
        (minutes_between(self.from, at).max(0) / self.step).min(self.columns as i64) as usize
    }

    /// The clock above the lanes: as many full hours as can stand apart.
    fn hours(&self) -> String {
        let mut line = String::new();
        let mut at = self.from.with().minute(0).second(0).subsec_nanosecond(0).build().unwrap_or(self.from);
        while let Ok(next) = at.checked_add(jiff::Span::new().hours(1)) {
            if at >= self.from {
                let column = self.column(at);
                let clock = at.strftime("%H:%M").to_string();
                if column >= self.columns || column + columns(&clock) > self.room {
                    break;
                }
                if line.is_empty() || columns(&line) < column {
                    line = pad_right(&line, column) + &clock;
                }
            }
            at = next;
        }
        line
    }

    /// The blocks on as few rows as keep them apart.
    fn rows(&self, blocks: &[Block], charset: Charset, numbered: &mut Numbered) -> Vec<String> {
        let mut blocks: Vec<&Block> = blocks.iter().collect();
        blocks.sort_by_key(|b| (b.from, b.to, b.label.clone()));
        let mut rows: Vec<String> = Vec::new();
        for block in blocks {
            let start = self.column(block.from);
            let end = self.column(block.to).max(start + 1);
            if start >= self.columns || block.to <= self.from {
                continue;
            }
            let drawn = drawn(block, end - start, charset, numbered);
            match rows.iter_mut().find(|row| columns(row) <= start) {
                Some(row) => {
                    *row = pad_right(row, start);
                    row.push_str(&drawn);
                }
                None => rows.push(pad_right("", start) + &drawn),
            }
        }
        if rows.is_empty() {
            rows.push(String::new());
        }
        rows
    }
}

/// The words that have no room, in the order of their numbers from 1.
#[derive(Default)]
struct Numbered {
    words: Vec<String>,
}

impl Numbered {
    /// The number of a word, where it has room itself.
    fn number(&mut self, word: &str, room: usize) -> String {
        let known = self.words.iter().position(|known| known == word);
        let place = known.unwrap_or(self.words.len());
        let number = (place + 1).to_string();
        if number.len() > room {
            return String::new();
        }
        if known.is_none() {
            self.words.push(word.to_owned());
        }
        number
    }

    /// What the numbers stand for, in lines of so many columns.
    fn told(&self, room: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for (place, word) in self.words.iter().enumerate() {
            let one = cut(&format!("{} {word}", place + 1), room);
            match lines.last_mut().filter(|line| columns(line) + 3 + columns(&one) <= room) {
                Some(line) => *line = format!("{line}   {one}"),
                None => lines.push(one),
            }
        }
        lines
    }
}

fn drawn(block: &Block, width: usize, charset: Charset, numbered: &mut Numbered) -> String {
    let (edge, fill) = match (charset, block.look) {
        (Charset::Unicode, Look::Work) => ('▌', '▄'),
        (Charset::Unicode, Look::ByItself) => ('▏', '▁'),
        (Charset::Ascii, Look::Work) => ('[', '='),
        (Charset::Ascii, Look::ByItself) => ('(', '-'),
    };
    let room = width.saturating_sub(1);
    let word = clean(&block.label);
    let label =
        if room < LETTERS && columns(&word) > room { numbered.number(&word, room) } else { cut(&word, room) };
    let filled = room - columns(&label);
    format!("{edge}{label}{}", fill.to_string().repeat(filled))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn at(hour: i8, minute: i8) -> DateTime {
        jiff::civil::date(2027, 3, 6).at(hour, minute, 0, 0)
    }

    fn block(from: (i8, i8), to: (i8, i8), label: &str, look: Look) -> Block {
        Block { from: at(from.0, from.1), to: at(to.0, to.1), label: label.into(), look }
    }

    fn picture() -> Picture {
        let lane = |name: &str, blocks| Lane { name: name.into(), blocks };
        Picture {
            title: "Saturday 13:00 to 17:00".into(),
            from: at(13, 0),
            to: at(17, 0),
            lanes: vec![
                lane(
                    "teacher",
                    vec![
                        block((13, 0), (13, 15), "welcome", Look::Work),
                        block((14, 0), (14, 10), "show", Look::Work),
                    ],
                ),
                lane("station 1", vec![block((13, 15), (13, 40), "weigh", Look::Work)]),
                lane(
                    "mixer small",
                    vec![
                        block((13, 40), (14, 0), "mix", Look::Work),
                        block((13, 45), (14, 5), "mix", Look::Work),
                        block((14, 10), (14, 15), "mix", Look::Work),
                    ],
                ),
                lane(
                    "oven 1",
                    vec![
                        block((12, 30), (13, 30), "heat", Look::ByItself),
                        block((15, 30), (17, 30), "bake", Look::ByItself),
                    ],
                ),
                lane("helper", vec![]),
            ],
        }
    }

    #[test]
    fn lanes_on_eighty_columns() {
        insta::assert_snapshot!(picture().to_text(Screen::default()), @"
        Saturday 13:00 to 17:00
                     13:00                         14:00                         15:00
        teacher      ▌welcom                       ▌show
        station 1           ▌weigh▄▄▄▄▄▄▄
        mixer small                      ▌mix▄▄▄▄▄▄     ▌1
                                           ▌mix▄▄▄▄▄▄
        oven 1       ▏heat▁▁▁▁▁▁▁▁▁▁
        helper

                     15:00                         16:00                         17:00
        oven 1                      ▏bake▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁
                     ▌▄ hands at work   ▏▁ by itself   one column: 2 min
                     1 mix
        ");
    }

    #[test]
    fn lanes_in_plain_characters() {
        insta::assert_snapshot!(picture().to_text(Screen { width: 50, charset: Charset::Ascii }), @"
        Saturday 13:00 to 17:00
                     13:00               14:00
        teacher      [welc               [1=
        station 1         [weigh==
        mixer small               [mix===   [2
                                    [mix==
        oven 1       (heat-----
        helper

                               15:00               16:00
        oven 1                           (bake------

                     16:00               17:00
        oven 1       (bake----------------
                     [= hands at work   (- by itself   one column: 3 min
                     1 show   2 mix
        ");
    }

    /// Whatever the width: what stands in a box is three letters at least, the whole word, or a number that the last lines explain.
    #[test]
    fn no_word_is_cut_to_nothing() {
        let words = ["welcome", "show", "weigh", "mix", "heat", "bake"];
        for width in 40..200 {
            let text = picture().to_text(Screen { width, charset: Charset::Ascii });
            let (lanes, told) = text.split_once("one column:").unwrap();
            for start in lanes.split(['[', '(']).skip(1) {
                let word: String = start.chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
                let is_word = |w: &&str| w.starts_with(&word) && (word.len() >= 3 || **w == word);
                let explained = told.contains(&format!("{word} "));
                let ok = word.is_empty()
                    || if word.parse::<u8>().is_ok() { explained } else { words.iter().any(is_word) };
                assert!(ok || word == "hands", "{width}: `{word}` in\n{text}");
            }
        }
    }

    #[test]
    fn lanes_never_go_over() {
        for width in 40..200 {
            let text = picture().to_text(Screen { width, charset: Charset::Unicode });
            // The line that explains the marks is words, and is let go over on a very narrow screen.
            for line in text.lines().filter(|l| width >= 80 || !l.contains("hands at work")) {
                assert!(columns(line) <= width, "{width}: {line}");
            }
        }
    }
}
