//! The least course: the smallest set of files that reads without a finding.

use benchroll::read::FileTree;

/// Its files.
pub const LEAST: &[(&str, &str)] = &[
    (
        "course.toml",
        r#"format = 1
name = "One bun"
host = "A kitchen"
teacher = "A teacher"
time-zone = "Europe/Dublin"
currency = "EUR"
lessons = ["bun"]
safety = { allergen-list = "eu14" }

[[sessions]]
id = "sat"
date = 2027-03-06
from = "13:00"
to = "17:00"
"#,
    ),
    (
        "kitchen.toml",
        r#"room = "21 C"
stations = { count = 2, seats = 2, each-has = ["pin"] }

[[mixers]]
id = "mixer"
bowl = "4.8 l"

[[ovens]]
id = "oven"
racks = 2
rack = "60 x 40 cm"
clear = "14 cm"
fan = true
heats = "9 C a min"
cools = "4 C a min"

[[cold]]
id = "fridge"
shelves = 4
shelf = "55 x 45 cm"
clear = "22 cm"
at = "4 C"

[[trays]]
id = "tray"
count = 4
size = "60 x 40 cm"
"#,
    ),
    (
        "pantry.toml",
        r#"[suppliers.shop]
name = "The shop"
lead = "0 days"

[ingredients.flour]
name = "Flour"
kind = "flour"
allergens = { contains = ["wheat"], checked = "2027-02-20" }
packs = [{ of = "1 kg", price = "1.60", supplier = "shop" }]

[ingredients.milk]
name = "Milk"
kind = "milk"
cold = true
allergens = { contains = ["milk"], checked = "2027-02-20" }

[ingredients.hazelnuts]
name = "Hazelnuts"
allergens = { contains = ["hazelnut"], checked = "2027-02-20" }
"#,
    ),
    ("roll.csv", "name,status,with,station,avoids,needs\nAda,coming,,,,\nBo,coming,,,,\n"),
    (
        "formulas/bun.toml",
        r#"name = "Bun"
piece = { dough = "60 g", filling = "20 g", tray = "tray" }

[parts.dough]
basis = "flour"
of = { flour = "100 %", milk = "60 %" }

[parts.filling]
basis = "whole"
of = { hazelnuts = "70 %", milk = "30 %" }
keep = "cold"
"#,
    ),
    (
        "lessons/bun.toml",
        r#"formula = "bun"
makes = { pieces = 4, for-each = "student" }

[[steps]]
id = "mix"
on = "dough"
per = "batch"
at = "mixer"
hands = "students"
takes = "17 to 25 min, usually 20"

[[steps]]
id = "rise"
on = "dough"
per = "batch"
at = "room"
stands = "45 to 70 min"

[[steps]]
id = "fill"
on = ["dough", "filling"]
hands = "students"
takes = "6 to 11 min, usually 8"

[[steps]]
id = "bake"
on = "piece"
per = "load"
at = "oven"
heat = "170 C"
hands = "nobody"
takes = "12 to 16 min, usually 14"
"#,
    ),
];

/// The files of the least course.
pub fn least() -> FileTree {
    LEAST.iter().map(|(path, text)| (*path, *text)).collect()
}

/// The text of one of its files.
pub fn least_file(path: &str) -> &'static str {
    LEAST.iter().find(|(p, _)| *p == path).map(|(_, text)| *text).unwrap_or_default()
}
