//! What ingredients weigh by volume, one published weight each, used where the pantry states no density.
//!
//! Sources differ, flour by a third; each row names the one that was chosen, and how the measure is filled. A pantry's own
//! density always goes before it.
use crate::units::Grams;

/// One published weight of a measure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct MeasureRow {
    /// Ids that an ingredient may go by in a pantry.
    pub names: &'static [&'static str],
    /// The weight in milligrams ...
    pub mg: i64,
    /// ... of this many quarters of a US teaspoon (a cup has 192).
    pub quarter_teaspoons: i64,
    /// How it is filled, where that matters: `spooned`, `packed`.
    pub form: &'static str,
    /// The row of the published figure.
    pub row: &'static str,
    /// Its source.
    pub source: &'static str,
}

impl MeasureRow {
    /// The weight of one US cup of it.
    pub fn grams_per_us_cup(&self) -> Grams {
        Grams::from_mg(self.mg).ratio(192, self.quarter_teaspoons)
    }
}

/// The row for an ingredient by its id.
pub fn row_for(id: &str) -> Option<&'static MeasureRow> {
    TABLE.iter().find(|r| r.names.contains(&id))
}

const fn row(
    names: &'static [&'static str],
    mg: i64,
    quarter_teaspoons: i64,
    form: &'static str,
    row: &'static str,
    source: &'static str,
) -> MeasureRow {
    MeasureRow { names, mg, quarter_teaspoons, form, row, source }
}

/// The built-in table.
pub const TABLE: &[MeasureRow] = &[
    row(
        &["plain-flour", "all-purpose-flour", "flour", "white-flour"],
        120_490,
        192,
        "spooned",
        "p-flour-all-purpose-cakebible-cup-spooned",
        "R. L. Beranbaum, The Cake Bible, 1988",
    ),
    row(
        &["strong-flour", "bread-flour", "strong-white-flour"],
        127_570,
        192,
        "spooned",
        "p-flour-bread-cakebible-cup-spooned",
        "R. L. Beranbaum, The Cake Bible, 1988",
    ),
    row(
        &["wholemeal-flour", "whole-wheat-flour"],
        120_000,
        192,
        "",
        "p-flour-whole-wheat-sr28-cup",
        "USDA SR28, NDB 20080",
    ),
    row(
        &["cake-flour"],
        113_400,
        192,
        "spooned",
        "p-flour-cake-cakebible-cup-spooned",
        "R. L. Beranbaum, The Cake Bible, 1988",
    ),
    row(
        &["rye-flour", "light-rye-flour"],
        102_000,
        192,
        "",
        "p-flour-rye-light-sr28-cup",
        "USDA SR28, NDB 20065",
    ),
    row(&["dark-rye-flour"], 128_000, 192, "", "p-flour-rye-dark-sr28-cup", "USDA SR28, NDB 20063"),
    row(&["cornflour", "cornstarch"], 128_000, 192, "", "p-cornstarch-sr28-cup", "USDA SR28, NDB 20027"),
    row(&["potato-flour"], 160_000, 192, "", "p-potato-flour-sr28-cup", "USDA SR28, NDB 11413"),
    row(
        &["sugar", "caster-sugar", "granulated-sugar"],
        200_000,
        192,
        "",
        "p-sugar-granulated-sr28-cup",
        "USDA SR28, NDB 19335",
    ),
    row(
        &["icing-sugar", "powdered-sugar"],
        120_000,
        192,
        "unsifted",
        "p-sugar-powdered-sr28-cup-unsifted",
        "USDA SR28, NDB 19336",
    ),
    row(&["brown-sugar"], 220_000, 192, "packed", "p-sugar-brown-sr28-cup-packed", "USDA SR28, NDB 19334"),
    row(&["honey"], 339_000, 192, "", "p-honey-sr28-cup", "USDA SR28, NDB 19296"),
    row(&["maple-syrup"], 315_000, 192, "", "p-maple-syrup-sr28-cup", "USDA SR28, NDB 19353"),
    row(&["molasses", "treacle"], 337_000, 192, "", "p-molasses-sr28-cup", "USDA SR28, NDB 19304"),
    row(&["salt", "fine-salt", "table-salt"], 6_000, 4, "", "p-salt-table-sr28-tsp", "USDA SR28, NDB 02047"),
    row(
        &["instant-yeast", "fast-action-yeast", "fast-action-dried-yeast"],
        28_350,
        36,
        "",
        "p-yeast-instant-bba-tbsp",
        "P. Reinhart, The Bread Baker's Apprentice, 2001",
    ),
    row(
        &["active-dry-yeast", "dry-yeast"],
        8_000,
        10,
        "",
        "p-yeast-active-dry-baking-bible-tsp",
        "R. L. Beranbaum, appendix p. 363",
    ),
    row(&["milk", "whole-milk"], 244_000, 192, "", "p-milk-whole-sr28-cup", "USDA SR28, NDB 01077"),
    row(&["buttermilk"], 245_000, 192, "", "p-buttermilk-whole-sr28-cup", "USDA SR28, NDB 01230"),
    row(
        &["cream", "heavy-cream", "whipping-cream", "double-cream"],
        238_000,
        192,
        "",
        "p-cream-heavy-sr28-cup-fluid-yields-2-cups-whipped",
        "USDA SR28, NDB 01053",
    ),
    row(&["sour-cream"], 230_000, 192, "", "p-sour-cream-sr28-cup", "USDA SR28, NDB 01056"),
    row(
        &["yogurt", "yoghurt"],
        245_000,
        192,
        "",
        "p-yogurt-plain-whole-sr28-cup-8-fl-oz",
        "USDA SR28, NDB 01116",
    ),
    row(&["cream-cheese"], 232_000, 192, "", "p-cream-cheese-sr28-cup", "USDA SR28, NDB 01017"),
    row(
        &["butter", "unsalted-butter"],
        227_000,
        192,
        "",
        "p-butter-unsalted-sr28-cup",
        "USDA SR28, NDB 01145",
    ),
    row(
        &["oil", "vegetable-oil", "rapeseed-oil", "canola-oil"],
        218_000,
        192,
        "",
        "p-oil-canola-sr28-cup",
        "USDA SR28, NDB 04582",
    ),
    row(&["olive-oil"], 216_000, 192, "", "p-oil-olive-sr28-cup", "USDA SR28, NDB 04053"),
    row(&["water"], 237_000, 192, "", "p-water-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(
        &["eggs", "egg", "whole-egg"],
        243_000,
        192,
        "",
        "p-egg-whole-sr28-cup-4-86-large-eggs",
        "USDA SR28, NDB 01123",
    ),
    row(&["yolks", "egg-yolk", "egg-yolks"], 243_000, 192, "", "p-egg-yolk-sr28-cup", "USDA SR28, NDB 01125"),
    row(
        &["whites", "egg-white", "egg-whites"],
        243_000,
        192,
        "",
        "p-egg-white-sr28-cup",
        "USDA SR28, NDB 01124",
    ),
    row(
        &["milk-powder", "dried-whole-milk"],
        128_000,
        192,
        "",
        "p-dry-milk-whole-sr28-cup-2",
        "USDA SR28, NDB 01090",
    ),
    row(
        &["skim-milk-powder", "dried-skim-milk"],
        120_000,
        192,
        "",
        "p-dry-milk-nonfat-sr28-cup-2",
        "USDA SR28, NDB 01154",
    ),
    row(&["cocoa"], 86_000, 192, "", "p-cocoa-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(&["walnuts"], 117_000, 192, "chopped", "p-walnuts-sr28-cup-chopped", "USDA SR28 (2015), Weight file"),
    row(
        &["hazelnuts"],
        115_000,
        192,
        "chopped",
        "p-hazelnuts-sr28-cup-chopped",
        "USDA SR28 (2015), Weight file",
    ),
    row(&["pecans"], 109_000, 192, "chopped", "p-pecans-sr28-cup-chopped", "USDA SR28 (2015), Weight file"),
    row(&["almonds"], 143_000, 192, "whole", "p-almonds-sr28-cup-whole", "USDA SR28 (2015), Weight file"),
    row(&["pistachios"], 123_000, 192, "", "p-pistachios-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(&["sunflower-seeds"], 140_000, 192, "", "p-sunflower-seed-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(&["pumpkin-seeds"], 129_000, 192, "", "p-pumpkin-seed-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(
        &["sesame-seeds", "sesame"],
        144_000,
        192,
        "",
        "p-sesame-seed-sr28-cup",
        "USDA SR28 (2015), Weight file",
    ),
    row(&["poppy-seeds"], 2_800, 4, "", "p-poppy-seed-sr28-tsp", "USDA SR28 (2015), Weight file"),
    row(
        &["raisins", "sultanas"],
        145_000,
        192,
        "not packed",
        "p-raisins-sr28-cup-not-packed",
        "USDA SR28 (2015), Weight file",
    ),
    row(&["currants"], 144_000, 192, "", "p-currants-zante-sr28-cup", "USDA SR28 (2015), Weight file"),
    row(
        &["cinnamon", "ground-cinnamon"],
        2_600,
        4,
        "",
        "p-cinnamon-sr28-tsp",
        "USDA SR28 (2015), Weight file",
    ),
    row(
        &["cardamom", "ground-cardamom"],
        2_000,
        4,
        "ground",
        "p-cardamom-sr28-tsp-ground",
        "USDA SR28 (2015), Weight file",
    ),
    row(&["nutmeg"], 2_200, 4, "", "p-nutmeg-sr28-tsp", "USDA SR28 (2015), Weight file"),
    row(
        &["ginger", "ground-ginger"],
        1_800,
        4,
        "",
        "p-ginger-ground-sr28-tsp",
        "USDA SR28 (2015), Weight file",
    ),
    row(
        &["vanilla", "vanilla-extract"],
        4_200,
        4,
        "",
        "p-vanilla-extract-sr28-tsp",
        "USDA SR28 (2015), Weight file",
    ),
    row(&["lemon-zest"], 2_000, 4, "", "p-lemon-zest-sr28-tsp", "USDA SR28 (2015), Weight file"),
    row(&["orange-zest"], 2_000, 4, "", "p-orange-zest-sr28-tsp", "USDA SR28 (2015), Weight file"),
];
