//! Every default weight of the built-in table lies between the lowest and the highest weight in print: `measures.toml`, table `band`
//! (arithmetic on the rows that each test names).
use super::build::item;
use benchroll::course::{ItemKind, Measures};
use benchroll::reckon::measures::{Count, Vessel, density, holds};

/// What one US measure of an ingredient weighs by the table, in grams.
#[track_caller]
fn inside(id: &str, vessel: Vessel, low: f64, high: f64) {
    let found = density(&item(id, ItemKind::Other)).unwrap();
    assert!(found.row.is_some());
    let is = holds(&[(Count(24), vessel)], found.grams_per_ml, Measures::Us).unwrap().to_f64();
    // Print rounds to 0.1 g.
    assert!((low - 0.05..=high + 0.05).contains(&is), "{id}: {is} g, in print {low} to {high} g");
}

/// One test for each band: ingredient, measure, lowest and highest weight, with the row and the sources of both ends.
macro_rules! band {
    ($name:ident, $row:literal, $id:literal, $vessel:ident, $low:literal to $high:literal, $low_source:literal, $high_source:literal) => {
        #[doc = concat!("`", $row, "`: from ", $low_source, " to ", $high_source, ".")]
        #[test]
        fn $name() {
            inside($id, Vessel::$vessel, $low, $high);
        }
    };
}

band!(
    b_flour_all_purpose_cup_spooned,
    "b-flour-all-purpose-cup-spooned",
    "plain-flour",
    Cup,
    120.5 to 126.0,
    "p-flour-all-purpose-cakebible-cup-spooned (Beranbaum, The Cake Bible (1988), weight tables, printed 4.25 oz)",
    "p-flour-all-purpose-herr41-cup-unsifted-spooned (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))"
);
band!(
    b_flour_bread_cup_spooned,
    "b-flour-bread-cup-spooned",
    "strong-flour",
    Cup,
    123.0 to 130.0,
    "p-flour-bread-herr41-cup-unsifted-spooned (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-flour-bread-rlb-list-cup-spooned (Reader compilation from Beranbaum and Lynch, 2011; ounces printed 4.5 oz)"
);
band!(
    b_flour_cake_cup_spooned,
    "b-flour-cake-cup-spooned",
    "cake-flour",
    Cup,
    111.0 to 114.0,
    "p-flour-cake-herr41-cup-unsifted-spooned (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-flour-cake-rlb-list-cup-spooned (Reader compilation from Beranbaum and Lynch, 2011; ounces printed 4 oz)"
);
band!(
    b_flour_whole_wheat_cup,
    "b-flour-whole-wheat-cup",
    "wholemeal-flour",
    Cup,
    113.0 to 147.9,
    "p-flour-whole-wheat-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Whole Wheat Flour (Premium 100%)')",
    "p-flour-whole-wheat-bagetid-dl-printed-60-to-65 (Bagetid, Fra dl til gram)"
);
band!(
    b_flour_rye_light_cup,
    "b-flour-rye-light-cup",
    "rye-flour",
    Cup,
    101.0 to 106.0,
    "p-flour-rye-light-herr41-cup-unstirred-spooned (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-flour-rye-light-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'White Rye Flour')"
);
band!(
    b_flour_rye_dark_cup,
    "b-flour-rye-dark-cup",
    "dark-rye-flour",
    Cup,
    106.0 to 128.0,
    "p-flour-rye-dark-ka-cup-pumpernickel (King Arthur Baking Company, Ingredient Weight Chart, row 'Pumpernickel Flour')",
    "p-flour-rye-dark-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 20063 measure 1; FDC 168885)"
);
band!(
    b_cornstarch_cup,
    "b-cornstarch-cup",
    "cornflour",
    Cup,
    112.0 to 128.0,
    "p-cornstarch-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Cornstarch')",
    "p-cornstarch-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 20027 measure 1; FDC 169698)"
);
band!(
    b_potato_flour_cup,
    "b-potato-flour-cup",
    "potato-flour",
    Cup,
    160.0 to 184.0,
    "p-potato-flour-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 11413 measure 1; FDC 168446)",
    "p-potato-flour-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Potato Flour')"
);
band!(
    b_sugar_granulated_cup,
    "b-sugar-granulated-cup",
    "sugar",
    Cup,
    196.0 to 208.2,
    "p-sugar-granulated-herr41-cup (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-sugar-granulated-cake-au-metric-cup-white-or-caster (Home cook's note on Australian cups, 2012, grams per 250 mL cup)"
);
band!(
    b_sugar_powdered_cup_unsifted,
    "b-sugar-powdered-cup-unsifted",
    "icing-sugar",
    Cup,
    113.0 to 123.0,
    "p-sugar-powdered-herr41-cup-unsifted (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-sugar-powdered-bagetid-dl (Bagetid, Fra dl til gram)"
);
band!(
    b_sugar_brown_cup_packed,
    "b-sugar-brown-cup-packed",
    "brown-sugar",
    Cup,
    205.0 to 239.0,
    "p-sugar-brown-chatelaine-cup-packed (Chatelaine, baking weights list)",
    "p-sugar-brown-cakebible-cup-dark-packed (Beranbaum, The Cake Bible (1988), weight tables)"
);
band!(
    b_honey_cup,
    "b-honey-cup",
    "honey",
    Cup,
    331.2 to 354.9,
    "p-honey-cake-au-metric-cup (Home cook's note on Australian cups, 2012, grams per 250 mL cup)",
    "p-honey-mw-au-metric-cup-or-golden-syrup (Microwave oven manual with cook book (Australia, R-880F and R-890N), glossary, grams per 250 mL cup)"
);
band!(
    b_maple_syrup_cup,
    "b-maple-syrup-cup",
    "maple-syrup",
    Cup,
    312.0 to 315.0,
    "p-maple-syrup-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Maple syrup')",
    "p-maple-syrup-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 19353 measure 3; FDC 169661)"
);
band!(
    b_molasses_cup,
    "b-molasses-cup",
    "molasses",
    Cup,
    309.0 to 340.0,
    "p-molasses-herr41-cup (USDA Home Economics Research Report 41, Average Weight of a Measured Cup of Various Foods (quoted in full list))",
    "p-molasses-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Molasses')"
);
band!(
    b_salt_table_tsp,
    "b-salt-table-tsp",
    "salt",
    Teaspoon,
    5.91 to 7.09,
    "p-salt-table-se-bun-tsp-5-mL (Swedish cardamom bun recipe, 2016, grams and volume side by side)",
    "p-salt-table-bba-tsp (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 1 oz = 4 tsp)"
);
band!(
    b_yeast_instant_tsp,
    "b-yeast-instant-tsp",
    "instant-yeast",
    Teaspoon,
    3.0 to 3.2,
    "p-yeast-instant-ka-tbsp (King Arthur Baking Company, Ingredient Weight Chart, row 'Yeast (instant)')",
    "p-yeast-instant-baking-bible-tsp (Beranbaum, appendix on equivalences and substitutions, p. 363)"
);
band!(
    b_yeast_active_dry_tsp,
    "b-yeast-active-dry-tsp",
    "active-dry-yeast",
    Teaspoon,
    2.84 to 4.0,
    "p-yeast-active-dry-bba-tsp (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 0.25 oz = 2.5 tsp)",
    "p-yeast-active-dry-sr28-tsp (USDA SR28 (ARS, 2015), Weight file, NDB 18375 measure 1; FDC 175043)"
);
band!(
    b_milk_whole_cup,
    "b-milk-whole-cup",
    "milk",
    Cup,
    226.8 to 244.0,
    "p-milk-whole-bba-cup (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 8 oz)",
    "p-milk-whole-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01077 measure 1; FDC 171265)"
);
band!(
    b_buttermilk_whole_cup,
    "b-buttermilk-whole-cup",
    "buttermilk",
    Cup,
    244.0 to 245.0,
    "p-buttermilk-whole-fndds-cup (USDA FNDDS portion table, FDC 2340771)",
    "p-buttermilk-whole-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01230 measure 1; FDC 172225)"
);
band!(
    b_cream_heavy_cup,
    "b-cream-heavy-cup",
    "cream",
    Cup,
    227.0 to 238.0,
    "p-cream-heavy-ka-cup-same-row-for-half-and-half (King Arthur Baking Company, Ingredient Weight Chart, row 'Cream (heavy, light, or half & half)')",
    "p-cream-heavy-sr28-cup-fluid-yields-2-cups-whipped (USDA SR28 (ARS, 2015), Weight file, NDB 01053 measure 2; FDC 170859)"
);
band!(
    b_sour_cream_cup,
    "b-sour-cream-cup",
    "sour-cream",
    Cup,
    227.0 to 242.0,
    "p-sour-cream-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Sour cream')",
    "p-sour-cream-cakebible-cup (Beranbaum, The Cake Bible (1988), weight tables)"
);
band!(
    b_yogurt_plain_whole_cup,
    "b-yogurt-plain-whole-cup",
    "yogurt",
    Cup,
    227.0 to 245.0,
    "p-yogurt-plain-whole-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Yogurt')",
    "p-yogurt-plain-whole-sr28-cup-8-fl-oz (USDA SR28 (ARS, 2015), Weight file, NDB 01116 measure 4; FDC 171284)"
);
band!(
    b_cream_cheese_cup,
    "b-cream-cheese-cup",
    "cream-cheese",
    Cup,
    227.0 to 232.0,
    "p-cream-cheese-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Cream cheese')",
    "p-cream-cheese-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01017 measure 2; FDC 173418)"
);
band!(
    b_butter_unsalted_cup,
    "b-butter-unsalted-cup",
    "butter",
    Cup,
    224.8 to 236.6,
    "p-butter-unsalted-bagetid-dl (Bagetid, Fra dl til gram)",
    "p-butter-unsalted-mw-au-metric-cup (Microwave oven manual with cook book (Australia, R-880F and R-890N), glossary, grams per 250 mL cup)"
);
band!(
    b_oil_vegetable_cup,
    "b-oil-vegetable-cup",
    "oil",
    Cup,
    198.0 to 226.8,
    "p-oil-vegetable-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Vegetable oil')",
    "p-oil-vegetable-bba-cup (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 8 oz)"
);
band!(
    b_oil_olive_cup,
    "b-oil-olive-cup",
    "olive-oil",
    Cup,
    200.0 to 224.0,
    "p-oil-olive-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Olive oil')",
    "p-oil-olive-fndds-cup (USDA FNDDS portion table, FDC 2345743)"
);
band!(
    b_water_cup,
    "b-water-cup",
    "water",
    Cup,
    226.8 to 237.0,
    "p-water-bba-cup (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 8 oz)",
    "p-water-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 14555 measure 2; FDC 174158)"
);
band!(
    b_egg_whole_cup,
    "b-egg-whole-cup",
    "eggs",
    Cup,
    243.0 to 245.0,
    "p-egg-whole-sr28-cup-4-86-large-eggs (USDA SR28 (ARS, 2015), Weight file, NDB 01123 measure 5; FDC 171287)",
    "p-egg-whole-fndds-cup (USDA FNDDS portion table, FDC 2342627)"
);
band!(
    b_egg_yolk_cup,
    "b-egg-yolk-cup",
    "yolks",
    Cup,
    243.0 to 245.0,
    "p-egg-yolk-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01125 measure 2; FDC 172184)",
    "p-egg-yolk-fndds-cup (USDA FNDDS portion table, FDC 2342647)"
);
band!(
    b_egg_white_cup,
    "b-egg-white-cup",
    "whites",
    Cup,
    243.0 to 245.0,
    "p-egg-white-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01124 measure 2; FDC 172183)",
    "p-egg-white-fndds-cup (USDA FNDDS portion table, FDC 2342643)"
);
band!(
    b_dry_milk_whole_cup,
    "b-dry-milk-whole-cup",
    "milk-powder",
    Cup,
    100.0 to 128.0,
    "p-dry-milk-whole-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Dried whole milk (powdered)')",
    "p-dry-milk-whole-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 01090 measure 1; FDC 170876)"
);
band!(
    b_dry_milk_nonfat_cup,
    "b-dry-milk-nonfat-cup",
    "skim-milk-powder",
    Cup,
    112.0 to 151.2,
    "p-dry-milk-nonfat-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Dried nonfat milk (powdered)')",
    "p-dry-milk-nonfat-bba-cup (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 8 oz = 1.5 cups)"
);
band!(
    b_cocoa_cup,
    "b-cocoa-cup",
    "cocoa",
    Cup,
    75.0 to 106.5,
    "p-cocoa-cakebible-cup-sifted (Beranbaum, The Cake Bible (1988), weight tables)",
    "p-cocoa-bagetid-dl (Bagetid, Fra dl til gram)"
);
band!(
    b_walnuts_cup_chopped,
    "b-walnuts-cup-chopped",
    "walnuts",
    Cup,
    112.0 to 117.0,
    "p-walnuts-milkstreet-cup-chopped (Christopher Kimball's Milk Street, Baking Mix-In Weights)",
    "p-walnuts-sr28-cup-chopped (USDA SR28 (ARS, 2015), Weight file, NDB 12155 measure 1; FDC 170187)"
);
band!(
    b_hazelnuts_cup_chopped,
    "b-hazelnuts-cup-chopped",
    "hazelnuts",
    Cup,
    115.0 to 131.0,
    "p-hazelnuts-sr28-cup-chopped (USDA SR28 (ARS, 2015), Weight file, NDB 12120 measure 1; FDC 170581)",
    "p-hazelnuts-milkstreet-cup-chopped (Christopher Kimball's Milk Street, Baking Mix-In Weights)"
);
band!(
    b_pecans_cup_chopped,
    "b-pecans-cup-chopped",
    "pecans",
    Cup,
    109.0 to 114.0,
    "p-pecans-sr28-cup-chopped (USDA SR28 (ARS, 2015), Weight file, NDB 12142 measure 1; FDC 170182)",
    "p-pecans-ka-cup-diced (King Arthur Baking Company, Ingredient Weight Chart, row 'Pecans (diced)')"
);
band!(
    b_almonds_cup_whole_or_halves,
    "b-almonds-cup-whole-or-halves",
    "almonds",
    Cup,
    141.0 to 147.0,
    "p-almonds-fndds-cup (USDA FNDDS portion table, FDC 2342963)",
    "p-almonds-milkstreet-cup-whole (Christopher Kimball's Milk Street, Baking Mix-In Weights)"
);
band!(
    b_pistachios_cup_whole_or_halves,
    "b-pistachios-cup-whole-or-halves",
    "pistachios",
    Cup,
    120.0 to 144.0,
    "p-pistachios-ka-cup-shelled (King Arthur Baking Company, Ingredient Weight Chart, row 'Pistachio nuts (shelled)')",
    "p-pistachios-milkstreet-cup-whole (Christopher Kimball's Milk Street, Baking Mix-In Weights)"
);
band!(
    b_sunflower_seed_cup,
    "b-sunflower-seed-cup",
    "sunflower-seeds",
    Cup,
    140.0 to 144.0,
    "p-sunflower-seed-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 12036 measure 2; FDC 170562)",
    "p-sunflower-seed-fndds-cup-without-shell (USDA FNDDS portion table, FDC 2343057)"
);
band!(
    b_pumpkin_seed_cup,
    "b-pumpkin-seed-cup",
    "pumpkin-seeds",
    Cup,
    129.0 to 160.0,
    "p-pumpkin-seed-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 12014 measure 1; FDC 170556)",
    "p-pumpkin-seed-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Pumpkin seeds')"
);
band!(
    b_sesame_seed_cup,
    "b-sesame-seed-cup",
    "sesame-seeds",
    Cup,
    128.0 to 144.0,
    "p-sesame-seed-fndds-cup (USDA FNDDS portion table, FDC 2343061)",
    "p-sesame-seed-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 12023 measure 1; FDC 170150)"
);
band!(
    b_poppy_seed_tsp,
    "b-poppy-seed-tsp",
    "poppy-seeds",
    Teaspoon,
    2.8 to 3.0,
    "p-poppy-seed-sr28-tsp (USDA SR28 (ARS, 2015), Weight file, NDB 02033 measure 1; FDC 171330)",
    "p-poppy-seed-ka-tbsp (King Arthur Baking Company, Ingredient Weight Chart, row 'Poppy seeds')"
);
band!(
    b_raisins_cup_loose,
    "b-raisins-cup-loose",
    "raisins",
    Cup,
    145.0 to 170.1,
    "p-raisins-sr28-cup-not-packed (USDA SR28 (ARS, 2015), Weight file, NDB 09298 measure 2; FDC 168165)",
    "p-raisins-bba-cup (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 6 oz)"
);
band!(
    b_currants_zante_cup,
    "b-currants-zante-cup",
    "currants",
    Cup,
    142.0 to 144.0,
    "p-currants-zante-ka-cup (King Arthur Baking Company, Ingredient Weight Chart, row 'Currants')",
    "p-currants-zante-sr28-cup (USDA SR28 (ARS, 2015), Weight file, NDB 09085 measure 1; FDC 171724)"
);
band!(
    b_vanilla_extract_tsp,
    "b-vanilla-extract-tsp",
    "vanilla",
    Teaspoon,
    4.2 to 4.72,
    "p-vanilla-extract-sr28-tsp (USDA SR28 (ARS, 2015), Weight file, NDB 02050 measure 1; FDC 173471)",
    "p-vanilla-extract-bba-tbsp (Reinhart, The Bread Baker's Apprentice (2001), weights table, printed 0.5 oz)"
);
