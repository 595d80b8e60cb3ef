//! The words for allergens, list by list, and which words stand for several.
//!
//! The five lists and their members follow the published texts that each list names as its source. A word is written as in
//! the files: lower case, singular for a kind (`hazelnut`), with `-` between words.
//!
//! For a label the course's own list decides which words are printed. For a person the widest reading decides:
//! someone who avoids tree nuts avoids what any list calls one, for what stands on no list is not thereby free of it.

use super::AllergenId;

/// One entry of a list, and the kinds that it stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Category {
    /// The word in the files.
    pub word: &'static str,
    /// The name that the list gives it.
    pub name: &'static str,
    /// The kinds that it stands for; empty when the word names one kind itself.
    pub members: &'static [&'static str],
}

/// One published list.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct AllergenList {
    /// The id in `course.toml`.
    pub id: &'static str,
    /// Where it is from.
    pub source: &'static str,
    /// Its entries, in its order.
    pub categories: &'static [Category],
}

const fn cat(word: &'static str, name: &'static str, members: &'static [&'static str]) -> Category {
    Category { word, name, members }
}

const WHEATS: &[&str] = &["durum", "spelt", "einkorn", "emmer", "khorasan"];

/// The five lists: `us9`, `eu14`, `ca`, `anz`, `codex`.
pub const LISTS: &[AllergenList] = &[
    AllergenList {
        id: "us9",
        source: "21 U.S.C. 321(qq) as amended by FALCPA 2004 and the FASTER Act of 2021; FDA Food Allergen Q&A, Edition 5, January 2025, Table 1",
        categories: &[
            cat("milk", "milk", &[]),
            cat("egg", "egg", &[]),
            cat("fish", "fish", &[]),
            cat("crustacean", "Crustacean shellfish", &[]),
            cat(
                "tree-nuts",
                "tree nuts",
                &[
                    "almond", "black-walnut", "brazil-nut", "cashew", "hazelnut", "heartnut", "macadamia", "pecan",
                    "pine-nut", "pistachio", "walnut",
                ],
            ),
            cat("wheat", "wheat", WHEATS),
            cat("peanut", "peanuts", &[]),
            cat("soy", "soybeans", &[]),
            cat("sesame", "sesame", &[]),
        ],
    },
    AllergenList {
        id: "eu14",
        source: "Regulation (EU) No 1169/2011, Annex II, as amended by (EU) No 78/2014 and (EU) 2024/2512",
        categories: &[
            cat("gluten", "Cereals containing gluten", &["wheat", "rye", "barley", "oats", "durum", "spelt", "einkorn", "emmer", "khorasan", "triticale"]),
            cat("crustacean", "Crustaceans", &[]),
            cat("egg", "Eggs", &[]),
            cat("fish", "Fish", &[]),
            cat("peanut", "Peanuts", &[]),
            cat("soy", "Soybeans", &[]),
            cat("milk", "Milk (including lactose)", &["lactose"]),
            cat(
                "tree-nuts",
                "Nuts",
                &["almond", "hazelnut", "walnut", "cashew", "pecan", "brazil-nut", "pistachio", "macadamia"],
            ),
            cat("celery", "Celery", &[]),
            cat("mustard", "Mustard", &[]),
            cat("sesame", "Sesame seeds", &[]),
            cat("sulphites", "Sulphur dioxide and sulphites", &[]),
            cat("lupin", "Lupin", &[]),
            cat("mollusc", "Molluscs", &[]),
        ],
    },
    AllergenList {
        id: "ca",
        source: "Food and Drug Regulations (C.R.C., c. 870) B.01.010.1; Health Canada, Allergens and gluten sources labelling",
        categories: &[
            cat("egg", "Eggs", &[]),
            cat("milk", "Milk", &[]),
            cat("mustard", "Mustard", &[]),
            cat("peanut", "Peanuts", &[]),
            cat("crustaceans-molluscs", "Crustaceans and molluscs", &["crustacean", "mollusc"]),
            cat("fish", "Fish", &[]),
            cat("sesame", "Sesame seeds", &[]),
            cat("soy", "Soy", &[]),
            cat("sulphites", "Sulphites", &[]),
            cat(
                "tree-nuts",
                "Tree nuts",
                &["almond", "brazil-nut", "cashew", "hazelnut", "macadamia", "pecan", "pine-nut", "pistachio", "walnut"],
            ),
            cat("wheat-triticale", "Wheat and triticale", &["wheat", "triticale", "durum", "spelt", "einkorn", "emmer", "khorasan"]),
            cat("gluten", "Gluten sources", &["barley", "oats", "rye", "triticale", "wheat"]),
        ],
    },
    AllergenList {
        id: "anz",
        source: "Australia New Zealand Food Standards Code, Standard 1.2.3 and Schedule 9, S9-3, as amended by P1044 (2021)",
        categories: &[
            cat("wheat", "wheat", WHEATS),
            cat("barley", "barley", &[]),
            cat("oats", "oats", &[]),
            cat("rye", "rye", &[]),
            cat("almond", "almond", &[]),
            cat("brazil-nut", "Brazil nut", &[]),
            cat("cashew", "cashew", &[]),
            cat("hazelnut", "hazelnut", &[]),
            cat("macadamia", "macadamia", &[]),
            cat("pecan", "pecan", &[]),
            cat("pine-nut", "pine nut", &[]),
            cat("pistachio", "pistachio", &[]),
            cat("walnut", "walnut", &[]),
            cat("crustacean", "crustacean", &[]),
            cat("mollusc", "mollusc", &[]),
            cat("egg", "egg", &[]),
            cat("fish", "fish", &[]),
            cat("lupin", "lupin", &[]),
            cat("milk", "milk", &[]),
            cat("peanut", "peanut", &[]),
            cat("sesame", "sesame", &[]),
            cat("soy", "soy, soya or soybean", &[]),
            cat("sulphites", "sulphites", &[]),
        ],
    },
    AllergenList {
        id: "codex",
        source: "CXS 1-1985, section 4.2.1.4 as revised at CAC47 (2024), after FAO/WHO, Risk Assessment of Food Allergens, Part 1, 2022; the adopted wording is to be checked",
        categories: &[
            cat("gluten", "Cereals containing gluten", &["wheat", "rye", "barley", "durum", "spelt", "einkorn", "emmer", "khorasan", "triticale"]),
            cat("crustacean", "Crustacea", &[]),
            cat("egg", "Eggs", &[]),
            cat("fish", "Fish", &[]),
            cat("milk", "Milk", &[]),
            cat("peanut", "Peanuts", &[]),
            cat("sesame", "Sesame", &[]),
            cat("tree-nuts", "Specific tree nuts", &["almond", "cashew", "hazelnut", "pecan", "pistachio", "walnut"]),
            cat("sulphites", "Sulphite", &[]),
        ],
    },
];

/// The list with this id.
pub fn list(id: &str) -> Option<&'static AllergenList> {
    LISTS.iter().find(|l| l.id == id)
}

/// The kinds that a word stands for in any list, itself included; the word alone when no list knows more.
pub fn kinds(word: &str) -> Vec<&str> {
    let mut all = vec![word];
    for category in LISTS.iter().flat_map(|l| l.categories).filter(|c| c.word == word) {
        for member in category.members {
            if !all.contains(member) {
                all.push(member);
            }
            // Wheat stands for its own kinds inside gluten too.
            for inner in LISTS.iter().flat_map(|l| l.categories).filter(|c| c.word == *member) {
                all.extend(inner.members.iter().filter(|m| !all.contains(m)).copied().collect::<Vec<_>>());
            }
        }
    }
    all
}

/// Whether someone who avoids `avoided` must avoid what holds `held`.
///
/// Either word may be the wider one: who avoids tree nuts avoids hazelnut, and who avoids hazelnut avoids a thing of which
/// the pack says only "tree nuts".
pub fn concerns(avoided: &AllergenId, held: &AllergenId) -> bool {
    let (avoided, held) = (avoided.as_str(), held.as_str());
    kinds(avoided).contains(&held) || kinds(held).contains(&avoided)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn avoids(a: &str, b: &str) -> bool {
        concerns(&a.into(), &b.into())
    }

    #[test]
    fn a_category_and_its_kinds_concern_each_other() {
        assert!(avoids("tree-nuts", "hazelnut"));
        assert!(avoids("hazelnut", "tree-nuts"));
        assert!(avoids("gluten", "spelt"));
        assert!(!avoids("hazelnut", "walnut"));
        assert!(!avoids("peanut", "tree-nuts"));
    }

    /// Rows `pine-nut` (listed in US, Canada, AU/NZ, not EU) and `coconut` (on no list since January 2025).
    #[test]
    fn a_person_is_read_by_the_widest_list() {
        assert!(avoids("tree-nuts", "pine-nut"));
        assert!(!avoids("tree-nuts", "coconut"));
        let eu = list("eu14").map(|l| l.categories);
        assert!(eu.is_some_and(|c| c.iter().all(|c| !c.members.contains(&"pine-nut"))));
    }

    /// Lists `us9`, `eu14`, `ca`, `anz`: as many entries as their titles say.
    #[test]
    fn the_lists_are_whole() {
        let entries = |id| list(id).map(|l| l.categories.len());
        assert_eq!(entries("us9"), Some(9));
        assert_eq!(entries("eu14"), Some(14));
        assert_eq!(entries("ca"), Some(12));
        assert_eq!(entries("anz"), Some(23));
    }
}
