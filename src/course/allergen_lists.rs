//! The allergen lists of the world as data: which categories each has.
//!
//! Category codes, names and members after the published lists named beside each. An empty slice for a list means
//! "not on that list"; it never means "free from".

/// One list of allergens that a place asks for.
#[derive(Debug)]
pub struct AllergenList {
    /// Its id: `us9`, `eu14`, `ca`, `anz`, `codex`.
    pub id: &'static str,
    /// What it is called.
    pub title: &'static str,
    /// Where it is published.
    pub source: &'static str,
    /// Whether its text was seen when it was copied; one that was not only warns.
    pub published: bool,
    /// Its categories, in its own order.
    pub categories: &'static [Category],
}

/// One entry of a list.
#[derive(Debug)]
pub struct Category {
    /// Its code within the list.
    pub code: &'static str,
    /// The name that a label uses.
    pub name: &'static str,
}

impl AllergenList {
    /// The category with this code.
    pub fn category(&self, code: &str) -> Option<&'static Category> {
        self.categories.iter().find(|c| c.code == code)
    }
}

/// The list with this id.
pub fn list(id: &str) -> Option<&'static AllergenList> {
    LISTS.iter().find(|l| l.id == id)
}

/// The five lists.
pub static LISTS: &[AllergenList] = &[
    AllergenList {
        id: "us9",
        title: "Major food allergens (nine)",
        source: "21 U.S.C. 321(qq) as amended by the Food Allergen Labeling and Consumer Protection Act \
                 of 2004 (FALCPA) and the FASTER Act of 2021 (sesame from 1 January 2023); FDA Food \
                 Allergen Q&A, Edition 5, January 2025, Table 1 (tree nuts)",
        published: true,
        categories: &[
            Category { code: "milk", name: "milk" },
            Category { code: "egg", name: "egg" },
            Category { code: "fish", name: "fish" },
            Category { code: "crustacean_shellfish", name: "Crustacean shellfish" },
            Category { code: "tree_nuts", name: "tree nuts" },
            Category { code: "wheat", name: "wheat" },
            Category { code: "peanuts", name: "peanuts" },
            Category { code: "soybeans", name: "soybeans" },
            Category { code: "sesame", name: "sesame" },
        ],
    },
    AllergenList {
        id: "eu14",
        title: "Annex II substances (fourteen)",
        source: "Regulation (EU) No 1169/2011, Annex II, as amended by Regulation (EU) No 78/2014 and \
                 Delegated Regulation (EU) 2024/2512; kept in Great Britain as assimilated law",
        published: true,
        categories: &[
            Category { code: "gluten_cereals", name: "Cereals containing gluten" },
            Category { code: "crustaceans", name: "Crustaceans" },
            Category { code: "eggs", name: "Eggs" },
            Category { code: "fish", name: "Fish" },
            Category { code: "peanuts", name: "Peanuts" },
            Category { code: "soybeans", name: "Soybeans" },
            Category { code: "milk", name: "Milk (including lactose)" },
            Category { code: "nuts", name: "Nuts" },
            Category { code: "celery", name: "Celery" },
            Category { code: "mustard", name: "Mustard" },
            Category { code: "sesame", name: "Sesame seeds" },
            Category { code: "sulphites", name: "Sulphur dioxide and sulphites" },
            Category { code: "lupin", name: "Lupin" },
            Category { code: "molluscs", name: "Molluscs" },
        ],
    },
    AllergenList {
        id: "ca",
        title: "Priority allergens, gluten sources and added sulphites",
        source: "Food and Drug Regulations (C.R.C., c. 870) B.01.010.1; Health Canada, Allergens and \
                 gluten sources labelling",
        published: true,
        categories: &[
            Category { code: "eggs", name: "Eggs" },
            Category { code: "milk", name: "Milk" },
            Category { code: "mustard", name: "Mustard" },
            Category { code: "peanuts", name: "Peanuts" },
            Category { code: "crustaceans_molluscs", name: "Crustaceans and molluscs" },
            Category { code: "fish", name: "Fish" },
            Category { code: "sesame", name: "Sesame seeds" },
            Category { code: "soy", name: "Soy" },
            Category { code: "sulphites", name: "Sulphites" },
            Category { code: "tree_nuts", name: "Tree nuts" },
            Category { code: "wheat_triticale", name: "Wheat and triticale" },
            Category { code: "gluten", name: "Gluten sources" },
        ],
    },
    AllergenList {
        id: "anz",
        title: "Required names (plain English allergen labelling)",
        source: "Australia New Zealand Food Standards Code, Standard 1.2.3 and Schedule 9, section S9-3, \
                 as amended by Proposal P1044 (2021; in force 25 February 2024)",
        published: true,
        categories: &[
            Category { code: "wheat", name: "wheat" },
            Category { code: "barley", name: "barley" },
            Category { code: "oats", name: "oats" },
            Category { code: "rye", name: "rye" },
            Category { code: "almond", name: "almond" },
            Category { code: "brazil_nut", name: "Brazil nut" },
            Category { code: "cashew", name: "cashew" },
            Category { code: "hazelnut", name: "hazelnut" },
            Category { code: "macadamia", name: "macadamia" },
            Category { code: "pecan", name: "pecan" },
            Category { code: "pine_nut", name: "pine nut" },
            Category { code: "pistachio", name: "pistachio" },
            Category { code: "walnut", name: "walnut" },
            Category { code: "crustacean", name: "crustacean" },
            Category { code: "mollusc", name: "mollusc" },
            Category { code: "egg", name: "egg" },
            Category { code: "fish", name: "fish" },
            Category { code: "lupin", name: "lupin" },
            Category { code: "milk", name: "milk" },
            Category { code: "peanut", name: "peanut" },
            Category { code: "sesame", name: "sesame" },
            Category { code: "soy", name: "soy, soya or soybean" },
            Category { code: "sulphites", name: "sulphites" },
        ],
    },
    AllergenList {
        id: "codex",
        title: "Foods and ingredients always declared (2024 text)",
        source: "CXS 1-1985, General Standard for the Labelling of Prepackaged Foods, section 4.2.1.4 as \
                 revised at CAC47 (November 2024) after CCFL48; FAO/WHO, Risk Assessment of Food \
                 Allergens, Part 1, 2022",
        published: false,
        categories: &[
            Category { code: "gluten_cereals", name: "Cereals containing gluten" },
            Category { code: "crustacea", name: "Crustacea" },
            Category { code: "eggs", name: "Eggs" },
            Category { code: "fish", name: "Fish" },
            Category { code: "milk", name: "Milk" },
            Category { code: "peanuts", name: "Peanuts" },
            Category { code: "sesame", name: "Sesame" },
            Category { code: "tree_nuts", name: "Specific tree nuts" },
            Category { code: "sulphite", name: "Sulphite" },
            Category { code: "opt", name: "Left to countries or regions" },
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_have_their_published_lengths() {
        // FALCPA and the FASTER Act: nine. Annex II of Regulation (EU) No 1169/2011: fourteen.
        assert_eq!(list("us9").map(|l| l.categories.len()), Some(9));
        assert_eq!(list("eu14").map(|l| l.categories.len()), Some(14));
    }
}
