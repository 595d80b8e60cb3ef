//! The kinds of documents: what `--only` names, what a manifest and the JSON call `kind`, and the template of each.

use std::fmt;
use std::str::FromStr;

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident = $word:literal),+ $(,)?) => {
        /// A kind of document.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
        pub enum Kind { $($(#[$doc])* $name),+ }

        impl Kind {
            /// All kinds, in print order.
            pub const ALL: &[Kind] = &[$(Kind::$name),+];

            /// Its word, which is also the name of its template.
            pub const fn word(self) -> &'static str {
                match self { $(Kind::$name => $word),+ }
            }
        }
    };
}

kinds! {
    /// The handout of one station for one sitting.
    StationSheet = "station-sheet",
    /// The teacher's time-blocked plan.
    RunSheet = "run-sheet",
    /// What staff make ahead, per day.
    PrepSheet = "prep-sheet",
    /// Ingredients by stations.
    WeighOut = "weigh-out",
    /// What to buy, per supplier.
    OrderSheet = "order-sheet",
    /// The equipment to get out.
    PullList = "pull-list",
    /// Loads by the clock, what is in the cold.
    OvenAndCold = "oven-and-cold",
    /// Who must avoid what; for the teacher only.
    AllergenSheet = "allergen-sheet",
    /// What to measure, with a blank to write in.
    TemperatureLog = "temperature-log",
    /// Sign-in at the door.
    Roll = "roll",
    /// Small papers for tubs, trays and tins.
    Slips = "slips",
    /// What goes onto what is taken home.
    Labels = "labels",
    /// The take-home handout.
    HomeRecipe = "home-recipe",
    /// How to bake an unbaked piece at home.
    BakeAtHome = "bake-at-home",
    /// What each student is told before.
    JoiningNote = "joining-note",
    /// Emergency number and first aid, for the wall.
    RoomCard = "room-card",
    /// A blank to write down what went wrong.
    IncidentNote = "incident-note",
    /// Several sheets in one file, for a station or for the teacher.
    Pack = "pack",
    /// Every drawing with three sets of measures; printed only when it is asked for.
    Gallery = "gallery",
}

impl Kind {
    /// Whether it is printed without being asked for.
    pub const fn is_usual(self) -> bool {
        !matches!(self, Kind::Gallery)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A word that is no kind of document.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NoSuchKind {
    nearest: Option<Kind>,
}

impl fmt::Display for NoSuchKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(nearest) = self.nearest {
            write!(f, "did you mean {nearest}? ")?;
        }
        let all: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
        write!(f, "the kinds are {}", all.join(", "))
    }
}

impl std::error::Error for NoSuchKind {}

impl FromStr for Kind {
    type Err = NoSuchKind;
    fn from_str(text: &str) -> Result<Kind, NoSuchKind> {
        let word = text.trim().to_ascii_lowercase();
        Kind::ALL.iter().copied().find(|k| k.word() == word).ok_or_else(|| {
            let distance = |k: &Kind| strsim::damerau_levenshtein(k.word(), &word);
            let nearest = Kind::ALL.iter().copied().min_by_key(distance);
            NoSuchKind { nearest: nearest.filter(|k| distance(k) <= k.word().len() / 2) }
        })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::typeset::Press;
    use std::collections::BTreeMap;

    /// A template is a kind's, or it holds what several share.
    #[test]
    fn kinds_and_templates_are_the_same_set() {
        let press = Press::new(&BTreeMap::new());
        let templates: Vec<&str> = press
            .paths()
            .filter_map(|p| p.strip_prefix("templates/")?.strip_suffix(".typ"))
            .filter(|n| !n.contains('/') && !["kit", "leaf"].contains(n))
            .collect();
        let mut kinds: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
        kinds.sort_unstable();
        assert_eq!(kinds, templates);
    }

    #[test]
    fn a_kind_is_read_from_its_word() {
        for kind in Kind::ALL {
            assert_eq!(kind.word().parse(), Ok(*kind));
        }
        assert_eq!("station-sheets".parse::<Kind>().unwrap_err().nearest, Some(Kind::StationSheet));
        assert_eq!("xyzzy".parse::<Kind>().unwrap_err().nearest, None);
    }
}
