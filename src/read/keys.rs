//! Every key of every file, with the form of its value: the one list that the reader, the documentation's test and
//! `benchroll schema` share.

/// The keys of one sort of table.
#[derive(Debug)]
pub struct Keys {
    /// Which file, and where in it: `kitchen.toml: mixers`.
    pub of: &'static str,
    /// Name, form of the value (a `!` marks what must be written), in the order of the documentation.
    pub keys: &'static [(&'static str, &'static str)],
}

impl Keys {
    /// Whether the table has this key.
    pub fn has(&self, key: &str) -> bool {
        self.keys.iter().any(|(k, _)| *k == key)
    }
    /// The names of all keys.
    pub fn names(&self) -> impl Iterator<Item = &'static str> + Clone + use<> {
        self.keys.iter().map(|(k, _)| *k)
    }
}

macro_rules! keys {
    ($($name:ident $of:literal { $($key:literal: $form:literal),+ $(,)? })+) => {
        $(#[doc = concat!("`", $of, "`")]
        pub static $name: Keys = Keys { of: $of, keys: &[$(($key, $form)),+] };)+
        /// All tables, in the order of the documentation.
        pub static ALL: &[&Keys] = &[$(&$name),+];
    };
}

keys! {
    COURSE "course.toml" {
        "format": "whole number !", "name": "text !", "host": "text !", "teacher": "text !", "helpers": "list of texts",
        "address": "text", "contact": "text", "time-zone": "IANA name !", "currency": "ISO 4217 code !",
        "language": "language tag", "paper": "word", "units": "word", "measures": "word", "lessons": "list of ids !",
        "also-home": "list of ids", "safety": "table !", "plan": "table", "conventions": "table", "scales": "table", "money": "table", "instead": "table of ids",
        "joining": "table", "print": "table", "labels": "table", "accepts": "table of reasons, or of tables of reasons",
        "sessions": "list of tables !", "staff-days": "list of tables", "presence": "list of tables", "steps": "list of tables",
    }
    SAFETY "course.toml: safety" {
        "allergen-list": "word !", "rules": "word", "out-of-cold": "time", "emergency": "text", "first-aid": "text",
        "forget-by": "date",
    }
    PLAN "course.toml: plan" { "grid": "time" }
    CONVENTIONS "course.toml: conventions" {
        "yeast": "word", "sweet-yeast-above": "share", "rise": "word", "hydration": "word",
    }
    SCALES "course.toml: scales" { "step": "mass", "fine-step": "mass", "fine-below": "mass" }
    MONEY "course.toml: money" { "fee": "money", "margin": "share", "tax": "share" }
    JOINING "course.toml: joining" { "least": "whole number", "answer-by": "date", "bring": "list of texts", "under-age": "text" }
    PRINT "course.toml: print" { "large": "true or false", "black-and-white": "true or false" }
    LABELS "course.toml: labels" {
        "across": "whole number !", "down": "whole number !", "size": "flat size !", "margin": "flat size",
        "gap": "flat size", "percentages": "true or false",
    }
    SESSION "course.toml: sessions" {
        "id": "id !", "name": "text", "date": "date !", "from": "time of day !", "to": "time of day !",
        "staff": "span, or list of spans",
    }
    STAFF_DAY "course.toml: staff-days" { "date": "date !", "hours": "span, or list of spans !" }
    PRESENCE "course.toml: presence" {
        "who": "text !", "date": "date !", "there": "span, or list of spans", "breaks": "span, or list of spans",
    }
    OWN_STEP "course.toml: steps" {
        "id": "id !", "name": "text", "sessions": "list of ids", "when": "place in the session", "takes": "work !",
        "hands": "word", "demo": "true or false", "pause": "true or false", "after": "list of lesson.step",
        "caution": "list of words", "say": "text",
    }
    FORMULA "formulas/*.toml" {
        "name": "text !", "piece": "table !", "expect": "table of shares", "parts": "tables by id !",
        "variants": "tables by id", "source": "text", "keeps": "days", "store": "text",
    }
    PIECE "formulas/*.toml: piece" {
        "tin": "id", "tray": "id", "per-tray": "whole number", "kind": "word", "sheet": "flat size",
        "bare-edge": "length", "slices": "whole number", "cuts": "whole number", "cut-depth": "length", "strands": "whole number", "strand-length": "length",
        "braid": "sequence", "size": "flat size", "grows": "share", "count": "whole number", "bake-loss": "share",
        "home": "whole number",
    }
    PART "formulas/*.toml: parts" {
        "name": "text", "basis": "word !", "of": "table of shares !", "loses": "share", "least": "mass",
        "keep": "word", "needs-cold": "true or false", "raw-egg": "true or false", "ph": "figure",
        "water-activity": "figure",
    }
    CARRIED "formulas/*.toml: parts: of" { "flour": "share" }
    VARIANT "formulas/*.toml: variants" { "free-from": "list of allergens" }
    LESSON "lessons/*.toml" {
        "formula": "id !", "name": "text", "makes": "table !", "made-ahead": "table of phrases", "heats-for": "word",
        "bake-at-home": "table", "steps": "list of tables !", "say": "table of texts", "tell": "table of texts",
    }
    MAKES "lessons/*.toml: makes" { "pieces": "whole number !", "for-each": "word !", "spare": "whole number" }
    AT_HOME "lessons/*.toml: bake-at-home" { "up-to": "id !", "keeps": "time !", "say": "text" }
    STEP "lessons/*.toml: steps" {
        "id": "id !", "name": "text", "on": "list of chains", "per": "word", "at": "word", "hands": "word",
        "takes": "work", "takes-each": "work", "stands": "rest", "carry": "wait", "after": "list of ids",
        "uses": "list of uses", "demo": "true or false", "stages": "list of ids", "eye": "word", "ends": "phrase",
        "wait-cold": "table", "share": "phrase", "by-hand": "work", "together": "true or false", "heat": "temperature",
        "aim": "temperature", "core": "temperatures", "rises-to": "share", "draw": "list of drawings", "photo": "path or table",
        "caution": "list of words", "say": "text", "tell": "text", "session": "id",
    }
    WAIT_COLD "lessons/*.toml: steps: wait-cold" { "stands": "rest !", "then": "rest !" }
    PHOTO "lessons/*.toml: steps: photo" {
        "file": "path !", "shows": "text", "focus": "point", "alone": "true or false",
    }
    KITCHEN "kitchen.toml" {
        "room": "temperature !", "tap-water": "temperature", "altitude": "length", "volts": "volts", "continuous": "share", "sinks": "whole number",
        "stations": "table !", "circuits": "list of tables, or table of currents", "mixers": "list of tables",
        "ovens": "list of tables", "hobs": "list of tables", "warm": "list of tables", "cold": "list of tables",
        "freezers": "list of tables", "racks": "list of tables", "tins": "list of tables", "trays": "list of tables",
        "tubs": "list of tables", "tools": "list of tables",
    }
    STATIONS "kitchen.toml: stations" {
        "count": "whole number !", "seats": "whole number !", "each-has": "list of ids",
    }
    CIRCUIT "kitchen.toml: circuits" {
        "id": "id !", "carries": "current or power !", "volts": "volts", "continuous": "share",
    }
    MIXER "kitchen.toml: mixers" {
        "id": "id !", "name": "text", "count": "whole number", "bowl": "volume !", "limit": "table", "least": "mass",
        "between": "time", "friction": "difference of temperature", "watts": "power", "circuit": "id", "loan": "table",
    }
    LIMIT "kitchen.toml: mixers: limit" { "lean": "mass", "enriched": "mass", "rich": "mass" }
    OVEN "kitchen.toml: ovens" {
        "id": "id !", "name": "text", "count": "whole number", "racks": "whole number !", "rack": "flat size !",
        "clear": "length !", "fan": "true or false !", "heats": "rate !", "cools": "rate !", "watts": "power",
        "circuit": "id", "loan": "table",
    }
    HOB "kitchen.toml: hobs" { "id": "id !", "burners": "whole number !", "watts": "power", "circuit": "id" }
    SHELVES "kitchen.toml: warm, cold, freezers, racks" {
        "id": "id !", "count": "whole number", "shelves": "whole number !", "shelf": "flat size !", "clear": "length !",
        "at": "temperature", "watts": "power", "circuit": "id",
    }
    TIN "kitchen.toml: tins" {
        "id": "id !", "name": "text", "count": "whole number !", "inside": "inside !", "holds": "volume",
        "outside": "outside size !", "between": "time", "loan": "table",
    }
    TRAY "kitchen.toml: trays" {
        "id": "id !", "name": "text", "count": "whole number !", "size": "flat size !", "between": "time",
        "loan": "table",
    }
    TUB "kitchen.toml: tubs" {
        "id": "id !", "count": "whole number !", "holds": "mass !", "inside": "inside", "outside": "outside size !",
    }
    TOOL "kitchen.toml: tools" {
        "id": "id !", "name": "text", "count": "whole number !", "consumable": "true or false", "kept": "text",
        "loan": "table",
    }
    LOAN "kitchen.toml: loan" { "count": "whole number !", "from": "text !", "back-by": "date" }
    PANTRY "pantry.toml" { "suppliers": "tables by id", "ingredients": "tables by id !" }
    SUPPLIER "pantry.toml: suppliers" {
        "name": "text !", "email": "text", "account": "text", "lead": "days !", "delivers": "list of days of the week",
        "least-order": "money", "delivery-fee": "money", "closes": "time of day",
    }
    ITEM "pantry.toml: ingredients" {
        "name": "text !", "kind": "word", "composition": "table of shares", "kcal": "energy",
        "allergens": "`none, read DATE`, or table", "density": "density", "each": "mass", "size": "text", "weigh": "mass",
        "cold": "true or false", "raw": "true or false", "staple": "true or false", "allowances": "table of shares",
        "packs": "list of tables", "stock": "list of tables", "stand-ins": "table of shares", "label": "text",
        "packet": "table of one mass", "tax": "share",
    }
    COMPOSITION "pantry.toml: ingredients: composition" {
        "water": "share", "fat": "share", "saturates": "share", "carbohydrate": "share", "sugars": "share",
        "fibre": "share", "protein": "share", "salt": "share", "milk-solids": "share",
    }
    ALLERGENS "pantry.toml: ingredients: allergens" {
        "contains": "list of allergens", "may-contain": "list of allergens", "checked": "text",
    }
    PACK "pantry.toml: ingredients: packs" {
        "of": "amount !", "price": "money !", "supplier": "id !", "keeps": "days",
    }
    STOCK "pantry.toml: ingredients: stock" { "of": "amount !", "best-before": "date" }
    RECORD "orders/*.toml" { "placed": "date !", "lines": "list of tables !" }
    RECORD_LINE "orders/*.toml: lines" {
        "item": "id !", "supplier": "id !", "of": "amount !", "price": "money !", "count": "whole number",
        "cancelled": "whole number",
    }
    ROLL "roll.csv" {
        "name": "text !", "status": "word", "with": "name", "station": "whole number", "avoids": "list of avoided things",
        "needs": "list of words", "told": "date",
    }
}

/// The words that a key knows, for editors; a test holds them against what the reader offers.
static WORDS: &[(&str, &str, &[&str])] = &[
    ("course.toml", "paper", &["A4", "Letter"]),
    ("course.toml", "units", &["metric", "us"]),
    ("course.toml", "measures", &["us", "metric", "australian"]),
    ("course.toml: safety", "allergen-list", &["us9", "eu14", "ca", "anz", "codex"]),
    ("course.toml: safety", "rules", super::course_file::RULE_SETS),
    ("course.toml: steps", "hands", &["students", "teacher", "helper", "staff", "nobody"]),
    ("formulas/*.toml: piece", "kind", &["plain", "filled", "lidded"]),
    ("formulas/*.toml: parts", "basis", &["flour", "whole", "piece"]),
    ("formulas/*.toml: parts", "keep", &["cold", "room"]),
    ("lessons/*.toml", "heats-for", &["fan", "no fan"]),
    ("lessons/*.toml: makes", "for-each", &["student", "station", "class"]),
    ("lessons/*.toml: steps", "per", &["class", "station", "batch", "load"]),
    (
        "lessons/*.toml: steps",
        "at",
        &["bench", "mixer", "hob", "oven", "cold", "freezer", "room", "warm", "rack", "sink"],
    ),
    ("lessons/*.toml: steps", "hands", &["students", "teacher", "helper", "staff", "nobody", "one student"]),
    ("lessons/*.toml: steps", "eye", &["teacher"]),
    ("lessons/*.toml: steps", "draw", &crate::course::DRAWINGS),
    ("lessons/*.toml: steps", "caution", super::lesson_file::CAUTIONS),
    (
        "pantry.toml: ingredients",
        "kind",
        &[
            "flour",
            "salt",
            "fresh-yeast",
            "dry-yeast",
            "instant-yeast",
            "egg",
            "yolk",
            "white",
            "milk",
            "drink",
            "milk-powder",
            "fat",
            "sugar",
            "water",
            "other",
        ],
    ),
    ("roll.csv", "status", &["coming", "waiting", "cancelled"]),
];

/// The words that a key knows, if it knows only certain ones; `of` is the name of its table of keys.
pub fn words_of(of: &str, key: &str) -> Option<&'static [&'static str]> {
    WORDS.iter().find(|(table, name, _)| (*table, *name) == (of, key)).map(|(.., words)| *words)
}
