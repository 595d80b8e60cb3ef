//! The rows of published rules that verdicts and labels rest on: id, publication and section, and how far each is trusted.
//!
//! Facts in our own words stand beside what uses them; local codes and licensed practice decide. A row that was not seen
//! in print when it was copied, and one of trade practice, may warn and never decides.

/// How far a row is trusted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Seen in a copy of the publication.
    Published,
    /// The publication is known, its text was not seen: it warns.
    Memory,
    /// Trade practice, or a reading that rests on other rows: it warns.
    Practice,
}

impl Kind {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Kind::Published => "published",
            Kind::Memory => "memory",
            Kind::Practice => "common-practice",
        }
    }
}

/// One row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Row {
    /// Its stable id.
    pub id: &'static str,
    /// The publication with its edition.
    pub edition: &'static str,
    /// Where in it.
    pub section: &'static str,
    /// How far it is trusted.
    pub kind: Kind,
}

impl Row {
    /// Publication and section in one line.
    #[must_use]
    pub fn source(&self) -> String {
        format!("{}, {}", self.edition, self.section)
    }
    /// Whether a verdict may rest on it.
    #[must_use]
    pub fn decides(&self) -> bool {
        self.kind == Kind::Published
    }
}

/// The row with this id.
#[must_use]
pub fn row(id: &str) -> Option<&'static Row> {
    ROWS.iter().find(|r| r.id == id)
}

const FOOD_CODE: &str = "FDA Food Code 2022";
const ENGLAND: &str = "Food Safety and Hygiene (England) Regulations 2013 (SI 2013/2996)";
const FIC: &str = "Regulation (EU) No 1169/2011";
const EU_HYGIENE: &str = "Regulation (EC) No 852/2004";
const CODE_ANZ: &str = "Australia New Zealand Food Standards Code";
const FISHERY: &str =
    "FDA, Fish and Fishery Products Hazards and Controls Guidance, 4th ed. (2011, rev. 2020-2022)";
const CATERING: &str = "CXC 39-1993 (formerly CAC/RCP 39)";
const DEVON: &str = "East Devon District Council, Food safety tips for businesses";

const fn published(id: &'static str, edition: &'static str, section: &'static str) -> Row {
    Row { id, edition, section, kind: Kind::Published }
}
const fn memory(id: &'static str, edition: &'static str, section: &'static str) -> Row {
    Row { id, edition, section, kind: Kind::Memory }
}
const fn practice(id: &'static str, edition: &'static str, section: &'static str) -> Row {
    Row { id, edition, section, kind: Kind::Practice }
}

/// All rows, grouped by place.
pub static ROWS: &[Row] = &[
    published("us-cold-hold", FOOD_CODE, "3-501.16(A)(2)"),
    published("us-hot-hold", FOOD_CODE, "3-501.16(A)(1)"),
    published("us-prep-not-holding", FOOD_CODE, "3-501.16(A), opening exception"),
    published("us-shell-egg-storage", FOOD_CODE, "3-202.11(C) and 3-501.16(B)"),
    published("us-cool-stage1", FOOD_CODE, "3-501.14(A)(1)"),
    published("us-cool-total", FOOD_CODE, "3-501.14(A)(2)"),
    published("us-cool-ambient", FOOD_CODE, "3-501.14(B)"),
    memory("us-cool-method", FOOD_CODE, "3-501.15"),
    practice(
        "us-cool-missed",
        "Retail food-safety training practice",
        "rests on Food Code 2022, 3-403.11 and Annex 3 to 3-501.14",
    ),
    published("us-egg-now", FOOD_CODE, "3-401.11(A)(1)(a)"),
    published("us-egg-batch", FOOD_CODE, "3-401.11(A)(2)"),
    published("us-egg-pasteurized", FOOD_CODE, "3-302.13"),
    published("us-tphc-4h", FOOD_CODE, "3-501.19(B)"),
    published("us-tphc-6h", FOOD_CODE, "3-501.19(C)"),
    published("us-tphc-written", FOOD_CODE, "3-501.19(A)"),
    practice("us-tphc-no-return", "Reading of FDA Food Code 2022", "3-501.19(B)(3) and (C)(4)"),
    published("us-date-mark", FOOD_CODE, "3-501.17(A)-(B) and 3-501.18"),
    memory("us-date-mark-frozen", FOOD_CODE, "3-501.17 and 3-501.18(A)(1)"),
    published("us-tcs-def", FOOD_CODE, "1-201.10(B), time/temperature control for safety food"),
    published("us-raw-flour", "FDA consumer advice (current since 2016-2023)", "Handling Flour Safely"),
    published("us-consumer-2h", "USDA FSIS and FDA consumer advice", "two-hour rule"),
    published("us-danger-zone", "USDA FSIS", "Danger Zone (40-140 F)"),
    published("us-egg-dish-consumer", "USDA FSIS", "Shell Eggs from Farm to Table"),
    published("us-egg-leftover", "FDA consumer advice", "What You Need to Know About Egg Safety"),
    memory("us-thermometer", FOOD_CODE, "4-203.11 and 4-302.12"),
    published("uk-chill", ENGLAND, "Schedule 4, para 2"),
    published("uk-chill-exempt", ENGLAND, "Schedule 4, para 3"),
    published("uk-chill-4h", ENGLAND, "Schedule 4, para 5(1)"),
    published("uk-chill-handling", ENGLAND, "Schedule 4, para 5(2)"),
    published("uk-hot", ENGLAND, "Schedule 4, para 6"),
    published("uk-hot-2h", ENGLAND, "Schedule 4, para 7"),
    published("uk-cool", DEVON, "Temperature control"),
    published("uk-cool-use", DEVON, "Temperature control"),
    memory("uk-cook-core", "FSA", "Cooking your food / Safer Food, Better Business; ACMSF 2007"),
    published(
        "uk-lion-egg",
        "Food Standards Agency, announcement of 11 October 2017",
        "on the ACMSF report of July 2016",
    ),
    published("eu-cold-chain", EU_HYGIENE, "Annex II, Chapter IX, point 5"),
    memory("eu-cool", EU_HYGIENE, "Annex II, Chapter IX, point 6"),
    memory("eu-fr-example", "Arrete du 21 decembre 2009 (France)", "Annexes I and IV"),
    published("au-temp", CODE_ANZ, "Standard 3.2.2, clauses 5, 6, 8, 10"),
    published("au-cool", CODE_ANZ, "Standard 3.2.2, clause 7(3)"),
    published(
        "au-2h4h",
        "FSANZ, 2-hour/4-hour rule (page of 7 December 2023)",
        "Standard 3.2.2 clauses 6(2) and 25",
    ),
    published(
        "au-2h4h-scope",
        "NSW Food Authority, Guidance on the 4-hour/2-hour rule, 2015",
        "with FSANZ, 2-hour/4-hour rule",
    ),
    published("au-phf", CODE_ANZ, "Standard 3.2.2, clause 1 and FSANZ fact sheets"),
    published("nz-scope", "FSANZ fact sheet on Standard 3.2.2", "note for New Zealand"),
    memory("nz-temp", "MPI Food Control Plan template", "Simply Safe and Suitable"),
    memory("codex-cool", CATERING, "section VII"),
    memory("codex-keep", CATERING, "section VII"),
    memory("codex-hot", CATERING, "section VII"),
    memory("codex-general", "CXC 1-1969", "General Principles of Food Hygiene (revised 2020, 2022)"),
    memory("who-keys", "WHO, Five Keys to Safer Food Manual, 2006", "the five keys"),
    memory("ca-cold", "Food Retail and Food Services Code (FPT)", "section 3; provincial rules"),
    memory("ca-cool", "Food Retail and Food Services Code (FPT)", "two-stage cooling"),
    published("ca-2h", "Chatham-Kent Public Health Unit, 2012", "Know Your Food Temperatures"),
    published("grow-batter-12h", FISHERY, "chapter 15, S. aureus toxin formation in hydrated batter mixes"),
    published("grow-batter-3h", FISHERY, "chapter 15, S. aureus toxin formation in hydrated batter mixes"),
    practice("grow-dough-retard", "Trade practice", "rests on the cold-holding rules above"),
    practice(
        "grow-dough-tcs",
        "Reading of Food Code 2022",
        "1-201.10(B); no ruling on bread dough was found",
    ),
    practice("grow-proof", "Food Code 2022", "3-501.16(A), with FDA chapter 15 as a benchmark"),
    published(
        "grow-baked-ambient",
        "Jefferson County Health Department (US)",
        "bake-sale restrictions; FDA Appendix 1 bakery tables",
    ),
    practice("bake-custard", "Pastry-school practice", "safe floor from USDA FSIS egg-dish advice"),
    practice(
        "bake-probe",
        "Food Code 2022",
        "3-401.11 (all parts of the food); trade practice for the count",
    ),
    practice("bake-wash", "Food Code 2022", "3-302.13; trade practice"),
    practice("dust-people", "Trade practice", "HSE names flour and enzyme improvers as asthmagens"),
    published("lab-order", FIC, "Article 18(1)"),
    published("lab-water", FIC, "Annex VII, Part A, point 1"),
    published("lab-2pct", FIC, "Annex VII, Part A"),
    published("lab-emphasis", FIC, "Article 21(1)(b); Commission Notice 2017/C 428/01, section 3.1"),
    published("lab-no-repeat", FIC, "Article 21(1); Commission Notice 2017/C 428/01, sections 3.2 and 3.5"),
    memory("lab-quid", FIC, "Article 22 and Annex VIII"),
    published("lab-use-by", FIC, "Article 24(1)"),
    published("lab-energy", FIC, "Annex XIV"),
    memory("lab-energy-us", "Code of Federal Regulations, title 21", "21 CFR 101.9(c)(1)(i)"),
    published(
        "lab-us-contains",
        "FDA Food Allergen Q&A, Edition 5, January 2025",
        "section D; 21 U.S.C. 343(w)(1)(A)",
    ),
    published("lab-us-nut", "FDA Food Allergen Q&A, Edition 5, January 2025", "C.3; 21 U.S.C. 343(w)(2)"),
    published("lab-ca", "Food and Drug Regulations (Canada)", "B.01.008, B.01.010.1"),
    published(
        "lab-anz",
        "Australia New Zealand Food Standards Code, as amended by Proposal P1044",
        "Standard 1.2.3 and Schedule 9",
    ),
    published(
        "alg-order",
        "MPI Food Control Plan, Food Service and Retail, March 2017",
        "Preventing cross-contamination, method 3",
    ),
    memory("alg-clean", FOOD_CODE, "Annex 3 on allergens; FARE and FSA training"),
    published("alg-heat", "CXC 80-2020", "Introduction"),
    memory(
        "lab-us-water",
        "Code of Federal Regulations, title 21",
        "21 CFR 101.4, with FDA Food Labeling Guide, ingredient lists",
    ),
];
