//! Short phrases: `tin until turn-out`, `staff, 2 min`, `if needed, up to chill`, `up to 3 stations`.

use super::quantity::count_of;
use super::{FromText, Slip, Word, Words};
use crate::course::{Ahead, Hands, When};
use crate::units::{Minutes, Percent};

/// Something that a step keeps busy, by its words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct UsePhrase {
    /// How many, if written.
    pub count: Option<u32>,
    /// What.
    pub what: String,
    /// Until which step, if written.
    pub until: Option<String>,
}

impl FromText for UsePhrase {
    const WHAT: &'static str = "something in use";
    const LIKE: &'static str = "`pin`, `2 trays` or `tin until turn-out`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let count = match words.peek() {
            Some(Word::Number(_)) => {
                let number = words.number_from_nought()?;
                Some(count_of(number).filter(|n| *n > 0).ok_or_else(|| words.unreadable())?)
            }
            _ => None,
        };
        let what = words.name()?;
        let until = if words.eat("until") { Some(words.name()?) } else { None };
        Ok(UsePhrase { count, what, until })
    }
    fn stand_in() -> Self {
        UsePhrase { count: None, what: "tin".to_owned(), until: None }
    }
}

/// Whose hands by their word.
pub fn hands(word: &str) -> Option<Hands> {
    HANDS.iter().find(|(w, _)| *w == word).map(|(_, h)| *h)
}

/// The words for hands.
pub const HANDS: &[(&str, Hands)] = &[
    ("students", Hands::Students),
    ("teacher", Hands::Teacher),
    ("helper", Hands::Helper),
    ("staff", Hands::Staff),
    ("nobody", Hands::Nobody),
];

/// Hands at the ends of a step, by their words.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EndsPhrase {
    /// Whose.
    pub hands: Hands,
    /// How long at each end.
    pub takes: Minutes,
}

impl FromText for EndsPhrase {
    const WHAT: &'static str = "hands at the ends of a step";
    const LIKE: &'static str = "`staff, 2 min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let name = words.name()?;
        let hands = hands(&name).filter(|h| *h != Hands::Nobody).ok_or_else(|| words.unreadable())?;
        if !words.eat_sign(',') {
            return Err(words.unreadable());
        }
        Ok(EndsPhrase { hands, takes: Minutes::from_words(words)? })
    }
    fn stand_in() -> Self {
        EndsPhrase { hands: Hands::Staff, takes: Minutes(1) }
    }
}

/// What may be made ahead, by its words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct AheadPhrase {
    /// Whether.
    pub policy: Ahead,
    /// Up to and with which step.
    pub up_to: Option<String>,
}

impl FromText for AheadPhrase {
    const WHAT: &'static str = "what may be made ahead";
    const LIKE: &'static str = "`never`, `if needed, up to chill` or `always, up to set`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        if words.eat("never") {
            return Ok(AheadPhrase { policy: Ahead::Never, up_to: None });
        }
        let policy = if words.eat_all(&["if", "needed"]) {
            Ahead::IfNeeded
        } else if words.eat("always") {
            Ahead::Always
        } else {
            return Err(words.unreadable());
        };
        if !(words.eat_sign(',') && words.eat_all(&["up", "to"])) {
            return Err(words.unreadable());
        }
        Ok(AheadPhrase { policy, up_to: Some(words.name()?) })
    }
    fn stand_in() -> Self {
        AheadPhrase { policy: Ahead::Never, up_to: None }
    }
}

/// The most stations that share a batch.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SharePhrase(pub u32);

impl FromText for SharePhrase {
    const WHAT: &'static str = "how many stations share";
    const LIKE: &'static str = "`up to 3 stations` or `1 station`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        words.eat_all(&["up", "to"]);
        let number = words.number_from_nought()?;
        let count = count_of(number).filter(|n| *n > 0).ok_or_else(|| words.unreadable())?;
        if words.eat("station") || words.eat("stations") {
            Ok(SharePhrase(count))
        } else {
            Err(words.no_unit())
        }
    }
    fn stand_in() -> Self {
        SharePhrase(1)
    }
}

impl FromText for When {
    const WHAT: &'static str = "a place in the session";
    const LIKE: &'static str = "`first`, `last`, `any` or `between 60 and 150 min`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        if words.eat("first") {
            return Ok(When::First);
        }
        if words.eat("last") {
            return Ok(When::Last);
        }
        if words.eat("any") {
            return Ok(When::Any);
        }
        if !words.eat("between") {
            return Err(words.unreadable());
        }
        let mut ahead = words.clone();
        let bare = ahead.number_from_nought()?;
        let from = if ahead.eat("and") {
            *words = ahead;
            None
        } else {
            let from = Minutes::from_words(words)?;
            if !words.eat("and") {
                return Err(words.unreadable());
            }
            Some(from)
        };
        let mut unit = words.clone();
        unit.number_from_nought()?;
        let unit = if unit.unit()?.starts_with('h') { 60 } else { 1 };
        let to = Minutes::from_words(words)?;
        let from = match from {
            Some(from) => from,
            None => count_of(bare).map(|n| Minutes(i64::from(n) * unit)).ok_or_else(|| words.unreadable())?,
        };
        if from > to { Err(words.backwards()) } else { Ok(When::Between(from, to)) }
    }
    fn stand_in() -> Self {
        When::Any
    }
}

/// The point of a photograph that stays in sight when it is cropped.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Focus(pub Percent, pub Percent);

impl FromText for Focus {
    const WHAT: &'static str = "a point of a photograph";
    const LIKE: &'static str = "`40 % across, 60 % down`";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let across = Percent::from_words(words)?;
        if !(words.eat("across") && words.eat_sign(',')) {
            return Err(words.unreadable());
        }
        let down = Percent::from_words(words)?;
        if !words.eat("down") || across > Percent::HUNDRED || down > Percent::HUNDRED {
            return Err(words.unreadable());
        }
        Ok(Focus(across, down))
    }
    fn stand_in() -> Self {
        Focus(Percent::ZERO, Percent::ZERO)
    }
}

/// The sequence of a braid, checked: every move is `A over B` or `A under B`, by positions from the left.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Braid {
    /// As written, with single spaces.
    pub text: String,
    /// The highest position that is named.
    pub highest: u32,
}

impl FromText for Braid {
    const WHAT: &'static str = "the sequence of a braid";
    const LIKE: &'static str = "`4 over 2, 1 over 3, 2 over 3`, positions counted from the left";
    fn from_words(words: &mut Words) -> Result<Self, Slip> {
        let mut highest = 0;
        loop {
            let mut position = |words: &mut Words| {
                let number = words.number_from_nought()?;
                let n =
                    count_of(number).filter(|n| (1..=20).contains(n)).ok_or_else(|| words.unreadable())?;
                highest = highest.max(n);
                Ok(n)
            };
            let from = position(words)?;
            if !(words.eat("over") || words.eat("under")) {
                return Err(words.unreadable());
            }
            if position(words)? == from {
                return Err(words.unreadable());
            }
            if !words.eat_sign(',') {
                break;
            }
        }
        Ok(Braid { text: words.text().split_whitespace().collect::<Vec<_>>().join(" "), highest })
    }
    fn stand_in() -> Self {
        Braid { text: String::new(), highest: 0 }
    }
}

#[cfg(test)]
mod tests {
    use super::super::read;
    use super::*;

    #[test]
    fn equipment_in_use() {
        let phrase = |count, what: &str, until: Option<&str>| {
            Ok(UsePhrase { count, what: what.into(), until: until.map(Into::into) })
        };
        assert_eq!(read("tin until turn-out"), phrase(None, "tin", Some("turn-out")));
        assert_eq!(read("2 trays until bake"), phrase(Some(2), "trays", Some("bake")));
        assert_eq!(read("round-20"), phrase(None, "round-20", None));
        assert!(read::<UsePhrase>("0 trays").is_err());
        assert!(read::<UsePhrase>("tin until").is_err());
    }

    #[test]
    fn hands_and_ahead() {
        assert_eq!(read("staff, 2 min"), Ok(EndsPhrase { hands: Hands::Staff, takes: Minutes(2) }));
        assert!(read::<EndsPhrase>("nobody, 2 min").is_err());
        assert_eq!(
            read("if needed, up to chill"),
            Ok(AheadPhrase { policy: Ahead::IfNeeded, up_to: Some("chill".into()) })
        );
        assert_eq!(read("never"), Ok(AheadPhrase { policy: Ahead::Never, up_to: None }));
        assert!(read::<AheadPhrase>("always").is_err());
        assert_eq!(read("up to 3 stations"), Ok(SharePhrase(3)));
        assert!(read::<SharePhrase>("3").is_err());
    }

    #[test]
    fn places_in_a_session() {
        assert_eq!(read("first"), Ok(When::First));
        assert_eq!(read("between 60 and 150 min"), Ok(When::Between(Minutes(60), Minutes(150))));
        assert_eq!(read("between 1 h and 2 h 30 min"), Ok(When::Between(Minutes(60), Minutes(150))));
        assert_eq!(read("between 1 and 2 h"), Ok(When::Between(Minutes(60), Minutes(120))));
        assert!(read::<When>("between 150 and 60 min").is_err());
    }

    #[test]
    fn braids_name_positions() {
        let braid: Braid = read("4 over 2, 1 under 3").expect("readable");
        assert_eq!(braid.highest, 4);
        assert!(read::<Braid>("4 over 4").is_err());
        assert!(read::<Braid>("4 beside 2").is_err());
        assert_eq!(
            read("40 % across, 60 % down"),
            Ok(Focus(Percent::new(40.into()), Percent::new(60.into())))
        );
    }
}
