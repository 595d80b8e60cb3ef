//! The published lists of allergens: each category by id, with its section and edition, and where lists differ.

use benchroll::course::AllergenId;
use benchroll::course::allergen_lists::{LISTS, list};
use benchroll::reckon::list_words::named;
/// The lists that are published with their categories: number, codes. Sources: 21 U.S.C. 321(qq); Regulation (EU) No
/// 1169/2011, Annex II; Food and Drug Regulations (C.R.C., c. 870) B.01.010.1; Australia New Zealand Food Standards Code,
/// Schedule 9, section S9-3; CXS 1-1985, section 4.2.1.4 (2024, from memory).
#[test]
fn the_five_lists_stand_by_id_with_section_and_edition() {
    let expected: [(&str, &str, &str, &[&str]); 5] = [
        (
            "us9",
            "21 U.S.C. 321(qq)",
            "Edition 5, January 2025",
            &[
                "milk",
                "egg",
                "fish",
                "crustacean_shellfish",
                "tree_nuts",
                "wheat",
                "peanuts",
                "soybeans",
                "sesame",
            ],
        ),
        (
            "eu14",
            "Annex II",
            "No 1169/2011",
            &[
                "gluten_cereals",
                "crustaceans",
                "eggs",
                "fish",
                "peanuts",
                "soybeans",
                "milk",
                "nuts",
                "celery",
                "mustard",
                "sesame",
                "sulphites",
                "lupin",
                "molluscs",
            ],
        ),
        (
            "ca",
            "B.01.010.1",
            "C.R.C., c. 870",
            &[
                "eggs",
                "milk",
                "mustard",
                "peanuts",
                "crustaceans_molluscs",
                "fish",
                "sesame",
                "soy",
                "sulphites",
                "tree_nuts",
                "wheat_triticale",
                "gluten",
            ],
        ),
        (
            "anz",
            "section S9-3",
            "Proposal P1044 (2021; in force 25 February 2024)",
            &[
                "wheat",
                "barley",
                "oats",
                "rye",
                "almond",
                "brazil_nut",
                "cashew",
                "hazelnut",
                "macadamia",
                "pecan",
                "pine_nut",
                "pistachio",
                "walnut",
                "crustacean",
                "mollusc",
                "egg",
                "fish",
                "lupin",
                "milk",
                "peanut",
                "sesame",
                "soy",
                "sulphites",
            ],
        ),
        (
            "codex",
            "section 4.2.1.4",
            "CAC47 (November 2024)",
            &[
                "gluten_cereals",
                "crustacea",
                "eggs",
                "fish",
                "milk",
                "peanuts",
                "sesame",
                "tree_nuts",
                "sulphite",
                "opt",
            ],
        ),
    ];
    assert_eq!(LISTS.len(), 5);
    for (id, section, edition, codes) in expected {
        let list = list(id).unwrap();
        assert!(list.source.contains(section) && list.source.contains(edition), "{id}: {}", list.source);
        let own: Vec<&str> = list.categories.iter().map(|c| c.code).collect();
        assert_eq!(own, codes, "{id}");
        assert_eq!(list.published, id != "codex");
    }
}

/// What the guide to the published lists warns of: lists differ.
#[test]
fn lists_differ_where_they_differ_in_print() {
    let on = |id: &str| -> Vec<&str> {
        LISTS
            .iter()
            .map(|l| l.id)
            .filter(|l| benchroll::reckon::list_words::is_on(l, &AllergenId::from(id)))
            .collect()
    };
    assert_eq!(on("pine-nut"), ["us9", "ca", "anz"]);
    assert_eq!(on("mustard"), ["eu14", "ca"]);
    assert_eq!(on("barley"), ["eu14", "ca", "anz", "codex"]);
    assert_eq!(on("macadamia"), ["us9", "eu14", "ca", "anz"]);
    assert_eq!(on("coconut"), Vec::<&str>::new());
    assert_eq!(named("ca", &AllergenId::from("pecan")), "Tree nuts (pecan)");
}
