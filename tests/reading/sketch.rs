//! A crown, a lesson and a kitchen written in the tightest way that the format allows: inline tables, lists of tables
//! in brackets, circuits as a table, bare watts.

pub const FORMULA: &str = r#"
name   = "Hazelnut crown"
piece  = { dough = "480 g", filling = "160 g", wash = "8 g", sheet = "28 x 38 cm", slices = 8, tin = "round-20" }
expect = { hydration = "53 %" }
[parts]
scald   = { basis = "flour", of = { strong-flour = "100 %", milk = "200 %" }, loses = "6 %", least = "300 g" }
filling = { basis = "whole", of = { hazelnuts = "46 %", milk = "24 %", sugar = "20 %", butter = "10 %" }, keep = "cold" }
wash    = { basis = "whole", of = { eggs = "80 %", milk = "20 %" }, keep = "cold" }
[parts.dough]
basis = "flour"
loses = "3 %"
[parts.dough.of]
scald         = { flour = "8 %" }
strong-flour  = "92 %"
milk          = "20 %"
eggs          = "24 %"
sugar         = "14 %"
salt          = "1.9 %"
instant-yeast = "1.4 %"
butter        = "28 %"
[variants]
nut-free = { free-from = ["hazelnut"], filling = { hazelnuts = "0 %", pumpkin-seeds = "46 %" } }
egg-free = { free-from = ["egg"], dough = { eggs = "0 %", milk = "41 %" }, wash = { eggs = "0 %", milk = "100 %" } }
"#;

pub const LESSON: &str = r#"
formula    = "hazelnut-crown"
makes      = { pieces = 1, for-each = "student" }
made-ahead = { dough = "if needed, up to chill", filling = "always, up to set", piece = "never" }
steps = [
  { id = "mix",   on = "dough", per = "batch", at = "mixer", hands = "students", takes = "17 to 25 min, usually 20", aim = "25 C", share = "up to 3 stations" },
  { id = "rise",  on = "dough", per = "batch", at = "room", hands = "nobody", stands = "45 to 70 min", uses = ["tub until roll"] },
  { id = "chill", on = "dough", per = "batch", at = "cold", hands = "nobody", stands = "8 to 20 h" },
  { id = "cook",  on = "filling", per = "class", at = "hob", hands = "staff", takes = "12 to 18 min, usually 14", core = "at least 80 C" },
  { id = "set",   on = "filling", per = "class", at = "cold", hands = "nobody", stands = "90 min to 24 h" },
  { id = "show",  per = "class", demo = true, hands = "teacher", takes = "9 to 15 min, usually 11", stages = ["chill", "proof"] },
  { id = "roll",  on = "dough", after = ["show"], per = "station", hands = "students", takes = "9 to 17 min, usually 12", carry = "up to 10 min", uses = ["pin"], draw = "roll-out" },
  { id = "fill",  on = ["dough", "filling"], per = "station", hands = "students", takes = "6 to 11 min, usually 8", eye = "teacher", draw = "spread" },
  { id = "pan",   on = "piece", per = "station", hands = "students", takes = "5 to 9 min, usually 6", uses = ["tin until turn-out"], draw = "slice" },
  { id = "proof", on = "piece", per = "station", at = "warm", hands = "nobody", stands = "65 to 95 min", wait-cold = { stands = "up to 3 h", then = "80 to 115 min" } },
  { id = "brush", on = ["piece", "wash"], per = "station", hands = "students", takes = "2 to 4 min, usually 3", draw = "egg-wash" },
  { id = "bake",  on = "piece", per = "load", at = "oven", heat = "170 C", hands = "nobody", ends = "staff, 2 min", takes = "28 to 36 min, usually 31", carry = "up to 15 min", core = "90 to 94 C" },
  { id = "turn-out", on = "piece", per = "load", hands = "staff", takes = "3 to 5 min, usually 4", carry = "8 to 20 min", caution = "hot-tin" },
  { id = "cool",  on = "piece", per = "station", at = "rack", hands = "nobody", stands = "at least 70 min" },
]
say.roll = "Dust the bench lightly. Roll to {sheet}; turn it as you go; square the corners."
"#;

pub const KITCHEN: &str = r#"
room     = "21 C"
volts    = 230
stations = { count = 6, seats = 2, each-has = ["scale", "pin", "ruler", "scraper", "brush"] }
circuits = { bench = "16 A", wall = "32 A" }
mixers = [
  { id = "small", count = 4, bowl = "4.8 l", limit = { rich = "1.1 kg", enriched = "1.5 kg" }, least = "400 g", between = "8 min", watts = 500, circuit = "bench" },
  { id = "large", count = 1, bowl = "20 l", limit = { rich = "3 kg", enriched = "4 kg" }, least = "1.3 kg", between = "10 min", watts = 1100, circuit = "wall" },
]
ovens = [{ id = "oven", count = 2, racks = 2, rack = "60 x 40 cm", clear = "14 cm", fan = true, heats = "9 C a min", cools = "4 C a min", watts = 3500, circuit = "wall" }]
warm  = [{ id = "proofer", shelves = 4, shelf = "60 x 40 cm", clear = "14 cm", at = "27 C" }]
cold  = [{ id = "fridge", shelves = 4, shelf = "55 x 45 cm", clear = "22 cm", at = "4 C" }]
racks = [{ id = "cooling", shelves = 6, shelf = "60 x 40 cm", clear = "12 cm" }]
hobs  = [{ id = "hob", burners = 4 }]
tubs  = [{ id = "tub", count = 12, holds = "1.6 kg", outside = "26 x 18 x 12 cm" }]
tins  = [{ id = "round-20", count = 10, inside = "20 cm round, 6 cm deep", outside = "23 x 21 x 7 cm", between = "15 min" }]
"#;

/// A pantry with every ingredient that the crown names and nothing known of most.
pub fn pantry() -> String {
    let kinds = [
        ("strong-flour", "flour"),
        ("milk", "milk"),
        ("eggs", "egg"),
        ("sugar", "sugar"),
        ("salt", "salt"),
        ("instant-yeast", "instant-yeast"),
        ("butter", "fat"),
        ("hazelnuts", "other"),
        ("pumpkin-seeds", "other"),
    ];
    kinds
        .iter()
        .map(|(id, kind)| format!("[ingredients.{id}]\nname = \"{id}\"\nkind = \"{kind}\"\n"))
        .collect()
}
