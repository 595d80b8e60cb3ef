//! Words for what people avoid, and where each stands on the allergen lists.

use super::AllergenId;
use super::allergen_lists::LISTS;

/// A word for something that people avoid, and where it stands on each list.
#[derive(Debug)]
pub struct AllergenWord {
    /// The word that the files and the pages use.
    pub word: &'static str,
    /// Other ways in which people write it; they are read as `word`.
    pub also: &'static [&'static str],
    /// Wider words that it falls under: who avoids `tree-nuts` avoids `hazelnut`.
    pub within: &'static [&'static str],
    on: [&'static [&'static str]; 5],
}

impl AllergenWord {
    /// The codes of the categories under which a list names it; what stands after a `:` is the member of the category.
    pub fn on(&self, list: &str) -> &'static [&'static str] {
        LISTS.iter().position(|l| l.id == list).and_then(|i| self.on.get(i)).copied().unwrap_or(&[])
    }
}

/// A text in small letters, with `-` between its words.
pub fn plain(text: &str) -> String {
    text.trim().trim_end_matches(['.', '!']).to_lowercase().replace([' ', '_'], "-")
}

/// The word that a text stands for, small and large letters and plurals alike.
pub fn word(text: &str) -> Option<&'static AllergenWord> {
    let plain = plain(text);
    WORDS.iter().find(|w| w.word == plain || w.also.contains(&plain.as_str()))
}

/// Whether avoiding `wide` means avoiding `narrow`: the same, or something that falls under it.
pub fn covers(wide: &AllergenId, narrow: &AllergenId) -> bool {
    wide == narrow || word(narrow.as_str()).is_some_and(|w| w.within.contains(&wide.as_str()))
}

/// Whether someone who avoids one must keep away from what states the other: a pack that says `tree-nuts` may hold
/// the walnut that someone avoids, and who avoids `tree-nuts` avoids a walnut.
pub fn touches(avoided: &AllergenId, stated: &AllergenId) -> bool {
    covers(avoided, stated) || covers(stated, avoided)
}

/// All words. The codes are those of the `ingredient` rows of the published lists above, by list in the order of
/// [`LISTS`]: us9, eu14, ca, anz, codex (`opt:` there is left to countries).
pub static WORDS: &[AllergenWord] = &[
    AllergenWord {
        word: "milk",
        also: &["dairy", "lactose", "milks"],
        within: &[],
        on: [&["milk"], &["milk"], &["milk"], &["milk"], &["milk"]],
    },
    AllergenWord {
        word: "egg",
        also: &["eggs"],
        within: &[],
        on: [&["egg"], &["eggs"], &["eggs"], &["egg"], &["eggs"]],
    },
    AllergenWord {
        word: "gluten",
        also: &["coeliac", "celiac"],
        within: &[],
        on: [&[], &["gluten_cereals"], &["gluten"], &["wheat", "barley", "oats", "rye"], &["gluten_cereals"]],
    },
    AllergenWord {
        word: "wheat",
        also: &["spelt", "durum", "khorasan", "einkorn", "emmer"],
        within: &["gluten"],
        on: [
            &["wheat"],
            &["gluten_cereals:wheat"],
            &["wheat_triticale", "gluten:wheat"],
            &["wheat"],
            &["gluten_cereals:wheat"],
        ],
    },
    AllergenWord {
        word: "rye",
        also: &[],
        within: &["gluten"],
        on: [&[], &["gluten_cereals:rye"], &["gluten:rye"], &["rye"], &["gluten_cereals:rye"]],
    },
    AllergenWord {
        word: "barley",
        also: &["malt"],
        within: &["gluten"],
        on: [&[], &["gluten_cereals:barley"], &["gluten:barley"], &["barley"], &["gluten_cereals:barley"]],
    },
    AllergenWord {
        word: "oats",
        also: &["oat"],
        within: &["gluten"],
        on: [&[], &["gluten_cereals:oats"], &["gluten:oats"], &["oats"], &["opt:oats"]],
    },
    AllergenWord {
        word: "triticale",
        also: &[],
        within: &["gluten", "wheat", "rye"],
        on: [
            &["wheat"],
            &["gluten_cereals:hybrid"],
            &["wheat_triticale", "gluten:triticale"],
            &["wheat", "rye"],
            &["gluten_cereals:hybrid"],
        ],
    },
    AllergenWord {
        word: "tree-nuts",
        also: &["tree-nut", "treenuts"],
        within: &[],
        on: [
            &["tree_nuts"],
            &["nuts"],
            &["tree_nuts"],
            &[
                "almond",
                "brazil_nut",
                "cashew",
                "hazelnut",
                "macadamia",
                "pecan",
                "pine_nut",
                "pistachio",
                "walnut",
            ],
            &["tree_nuts"],
        ],
    },
    AllergenWord {
        word: "almond",
        also: &["almonds"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:almond"],
            &["nuts:almond"],
            &["tree_nuts:almond"],
            &["almond"],
            &["tree_nuts:almond"],
        ],
    },
    AllergenWord {
        word: "brazil-nut",
        also: &["brazil-nuts"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:brazil nut"],
            &["nuts:brazil nut"],
            &["tree_nuts:brazil nut"],
            &["brazil_nut"],
            &["opt:brazil nut"],
        ],
    },
    AllergenWord {
        word: "cashew",
        also: &["cashews"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:cashew"],
            &["nuts:cashew"],
            &["tree_nuts:cashew"],
            &["cashew"],
            &["tree_nuts:cashew"],
        ],
    },
    AllergenWord {
        word: "hazelnut",
        also: &["hazelnuts", "filbert", "filberts"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:hazelnut"],
            &["nuts:hazelnut"],
            &["tree_nuts:hazelnut"],
            &["hazelnut"],
            &["tree_nuts:hazelnut"],
        ],
    },
    AllergenWord {
        word: "macadamia",
        also: &["macadamias", "queensland-nut"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:macadamia"],
            &["nuts:macadamia"],
            &["tree_nuts:macadamia"],
            &["macadamia"],
            &["opt:macadamia"],
        ],
    },
    AllergenWord {
        word: "pecan",
        also: &["pecans"],
        within: &["tree-nuts"],
        on: [&["tree_nuts:pecan"], &["nuts:pecan"], &["tree_nuts:pecan"], &["pecan"], &["tree_nuts:pecan"]],
    },
    AllergenWord {
        word: "pine-nut",
        also: &["pine-nuts", "pine-kernel", "pine-kernels"],
        within: &["tree-nuts"],
        on: [&["tree_nuts:pine nut"], &[], &["tree_nuts:pine nut"], &["pine_nut"], &["opt:pine nut"]],
    },
    AllergenWord {
        word: "pistachio",
        also: &["pistachios"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:pistachio"],
            &["nuts:pistachio"],
            &["tree_nuts:pistachio"],
            &["pistachio"],
            &["tree_nuts:pistachio"],
        ],
    },
    AllergenWord {
        word: "walnut",
        also: &["walnuts"],
        within: &["tree-nuts"],
        on: [
            &["tree_nuts:walnut"],
            &["nuts:walnut"],
            &["tree_nuts:walnut"],
            &["walnut"],
            &["tree_nuts:walnut"],
        ],
    },
    AllergenWord {
        word: "black-walnut",
        also: &["black-walnuts"],
        within: &["tree-nuts", "walnut"],
        on: [&["tree_nuts:black walnut"], &[], &["tree_nuts:walnut"], &["walnut"], &["tree_nuts:walnut"]],
    },
    AllergenWord {
        word: "peanut",
        also: &["peanuts", "groundnut", "groundnuts"],
        within: &[],
        on: [&["peanuts"], &["peanuts"], &["peanuts"], &["peanut"], &["peanuts"]],
    },
    AllergenWord {
        word: "soy",
        also: &["soya", "soybean", "soybeans", "soja"],
        within: &[],
        on: [&["soybeans"], &["soybeans"], &["soy"], &["soy"], &["opt:soybean"]],
    },
    AllergenWord {
        word: "sesame",
        also: &["sesame-seed", "sesame-seeds", "tahini"],
        within: &[],
        on: [&["sesame"], &["sesame"], &["sesame"], &["sesame"], &["sesame"]],
    },
    AllergenWord {
        word: "celery",
        also: &["celeriac"],
        within: &[],
        on: [&[], &["celery"], &[], &[], &["opt:celery"]],
    },
    AllergenWord {
        word: "mustard",
        also: &[],
        within: &[],
        on: [&[], &["mustard"], &["mustard"], &[], &["opt:mustard"]],
    },
    AllergenWord {
        word: "lupin",
        also: &["lupine", "lupins"],
        within: &[],
        on: [&[], &["lupin"], &[], &["lupin"], &["opt:lupin"]],
    },
    AllergenWord {
        word: "fish",
        also: &[],
        within: &[],
        on: [&["fish"], &["fish"], &["fish"], &["fish"], &["fish"]],
    },
    AllergenWord {
        word: "shellfish",
        also: &[],
        within: &[],
        on: [
            &["crustacean_shellfish"],
            &["crustaceans", "molluscs"],
            &["crustaceans_molluscs"],
            &["crustacean", "mollusc"],
            &["crustacea"],
        ],
    },
    AllergenWord {
        word: "crustacean",
        also: &["crustaceans", "crustacea"],
        within: &["shellfish"],
        on: [
            &["crustacean_shellfish"],
            &["crustaceans"],
            &["crustaceans_molluscs"],
            &["crustacean"],
            &["crustacea"],
        ],
    },
    AllergenWord {
        word: "mollusc",
        also: &["molluscs", "mollusk", "mollusks"],
        within: &["shellfish"],
        on: [&[], &["molluscs"], &["crustaceans_molluscs"], &["mollusc"], &[]],
    },
    AllergenWord {
        word: "sulphites",
        also: &["sulphite", "sulfites", "sulfite", "sulphur-dioxide"],
        within: &[],
        on: [&[], &["sulphites"], &["sulphites"], &["sulphites"], &["sulphite"]],
    },
    AllergenWord { word: "buckwheat", also: &[], within: &[], on: [&[], &[], &[], &[], &["opt:buckwheat"]] },
    AllergenWord { word: "chestnut", also: &["chestnuts"], within: &[], on: [&[], &[], &[], &[], &[]] },
    AllergenWord { word: "coconut", also: &["coconuts"], within: &[], on: [&[], &[], &[], &[], &[]] },
];

#[cfg(test)]
mod tests {
    use super::*;

    fn id(s: &str) -> AllergenId {
        AllergenId::from(s)
    }

    #[test]
    fn every_code_is_a_category_of_its_list() {
        for w in WORDS {
            for list in LISTS {
                for code in w.on(list.id) {
                    let category = code.split(':').next().unwrap_or(code);
                    assert!(list.category(category).is_some(), "{} on {}: {code}", w.word, list.id);
                }
            }
            for wider in w.within {
                assert_eq!(word(wider).map(|w| w.word), Some(*wider), "{}", w.word);
            }
        }
    }

    #[test]
    fn pine_nuts_and_mustard_stand_where_the_lists_differ() {
        // Pine nut: US, Canada, Australia and New Zealand, not EU (Commission Notice 2017/C 428/01: a closed list).
        let pine = word("pine nuts").expect("known");
        assert_eq!((pine.on("us9").len(), pine.on("eu14").len(), pine.on("anz").len()), (1, 0, 1));
        let mustard = word("mustard").expect("known");
        assert_eq!((mustard.on("us9").len(), mustard.on("eu14").len(), mustard.on("ca").len()), (0, 1, 1));
        // Barley holds gluten and is no US major allergen.
        assert!(word("barley").expect("known").on("us9").is_empty());
    }

    #[test]
    fn wider_words_cover_narrower_ones() {
        assert!(covers(&id("tree-nuts"), &id("hazelnut")));
        assert!(!covers(&id("hazelnut"), &id("tree-nuts")));
        assert!(touches(&id("hazelnut"), &id("tree-nuts")));
        assert!(covers(&id("gluten"), &id("wheat")));
        assert!(!touches(&id("hazelnut"), &id("walnut")));
        assert_eq!(word("Hazelnuts").map(|w| w.word), Some("hazelnut"));
        assert!(word("nuts").is_none());
    }
}
