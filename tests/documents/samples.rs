//! What the pages of the demo class hold, written by hand: the documents for stations.

use benchroll::reckon::drawings::{Braid, Drawing, TinShape};
use benchroll::typeset::views::common::*;
use benchroll::typeset::views::drawing::{Units, drawing};
use benchroll::typeset::views::station_holds::Holds;
use benchroll::typeset::views::station_sheet::{Left, StationSheet, Tool};
use benchroll::units::{Celsius, Centimetres, Grams, Minutes};
use serde_json::{Value, json};

pub fn m(value: &str, unit: &str) -> Measure {
    Measure::new(value, unit)
}
pub fn at(clock: &str) -> i64 {
    let (h, m) = clock.split_once(':').unwrap();
    h.parse::<i64>().unwrap() * 60 + m.parse::<i64>().unwrap()
}
pub fn s(text: &str) -> String {
    text.to_owned()
}
pub fn list(texts: &[&str]) -> Vec<String> {
    texts.iter().map(|t| s(t)).collect()
}
pub fn draw(d: Drawing) -> Value {
    drawing(&d, Units::Metric)
}
pub fn cm(n: i64) -> Centimetres {
    Centimetres::whole(n)
}
pub fn friday() -> Day {
    jiff::civil::date(2027, 3, 5).into()
}
pub fn saturday() -> Day {
    jiff::civil::date(2027, 3, 6).into()
}
pub fn sunday() -> Day {
    jiff::civil::date(2027, 3, 7).into()
}
pub fn moment(day: Day, clock: &str) -> Moment {
    Moment { day, at: at(clock) }
}
pub fn sat() -> Sitting {
    Sitting { name: s("Saturday"), day: saturday(), from: at("13:00"), to: at("17:00") }
}
pub fn sun() -> Sitting {
    Sitting { name: s("Sunday"), day: sunday(), from: at("9:30"), to: at("13:30") }
}
pub fn about() -> About {
    About {
        course: s("Soft doughs: a weekend at the bench"),
        host: s("Larkfield Teaching Kitchen"),
        teacher: s("Ines Calder"),
        late: None,
        late_staff: 0,
        late_sittings: vec![],
        accepted: vec![],
        missing: None,
    }
}
pub fn w(name: &str, grams: &str, note: &str) -> Weighing {
    Weighing {
        name: s(name),
        amount: m(grams, "g"),
        note: s(note),
        eggs: s(if name == "Eggs" { "4" } else { "" }),
        contains: if name == "Walnuts, chopped" { list(&["nuts"]) } else { Vec::new() },
        may_contain: if name == "Sunflower filling" { list(&["nuts"]) } else { Vec::new() },
        unread: name == "Sunflower filling",
        fine: grams.contains('.'),
        cold: matches!(name, "Whole milk" | "Eggs" | "Unsalted butter"),
        slip: None,
        mixed_by: s(""),
        from: None,
        by_staff: false,
    }
}
pub fn stations(runs: &[&str], count: usize) -> ForWhom {
    ForWhom { stations: list(runs), all: runs == ["1–6"], count, ..ForWhom::default() }
}
pub fn block(from: &str, to: &str, label: &str, tone: &str) -> Block {
    Block { from: at(from), to: at(to), label: s(label), tone: s(tone), ..Block::default() }
}
pub fn fact(word: &str, values: &[(&str, &str)]) -> Fact {
    Fact { word: s(word), values: values.iter().map(|(v, u)| m(v, u)).collect() }
}
pub fn making(count: u32, name: &str, variant: Option<&str>) -> Making {
    Making { count, in_one: 1, name: s(name), variant: variant.map(s) }
}

pub const CROWN: &str = "Walnut crown";
pub const BRAID: &str = "Four-strand milk braid";
pub const BUNS: &str = "Custard buns";

pub fn braid() -> Drawing {
    let sequence = "4 over 2, 1 over 3, 2 over 3";
    Drawing::Braid { braid: Braid::read(4, "", sequence).unwrap(), rounds: 2, strand: Some(cm(42)) }
}

/// One station on Saturday.
pub fn station(no: &str, people: &[&str], variant: Option<&str>) -> StationSheet {
    let step = |number: Option<u32>, from: &str, to: &str, lesson: &str, name: &str, say: &str| Step {
        number,
        from: at(from),
        to: at(to),
        lesson: s(lesson),
        name: s(name),
        hands: s(if number.is_some() { "students" } else { "nobody" }),
        say: s(say),
        ..Step::default()
    };
    let weigh = vec![
        WeighList {
            lesson: s(BRAID),
            part: s("Dough"),
            how: s("weigh"),
            lines: vec![
                w("Strong white flour", "530", ""),
                w("Whole milk", "249", ""),
                w("Eggs", "48", "about 1"),
                w("Caster sugar", "32", ""),
                w("Fine salt", "10.1", ""),
                w("Instant yeast", "6.4", ""),
                w("Unsalted butter", "74", ""),
            ],
            total: Some(m("949", "g")),
            ..WeighList::default()
        },
        WeighList {
            lesson: s(BUNS),
            part: s("Dough"),
            how: s("weigh"),
            for_whom: Some(stations(&["1–3"], 3)),
            mixer: s("Small mixer 1"),
            lines: vec![
                w("Strong white flour", "587", ""),
                w("Whole milk", "258", ""),
                w("Eggs", "70", "1 whole and 20 g"),
                w("Caster sugar", "76", ""),
                w("Fine salt", "9.4", ""),
                w("Instant yeast", "8.2", ""),
                w("Ground cardamom", "2.9", ""),
                w("Unsalted butter", "100", ""),
            ],
            total: Some(m("1113", "g")),
            ..WeighList::default()
        },
        WeighList {
            lesson: s(CROWN),
            part: s("Dough and filling"),
            variant: variant.map(s),
            how: s("fetch"),
            note: s("Made on Friday. Fridge, shelf 1."),
            lines: vec![
                Weighing {
                    slip: Some(SlipRef { on: s("tub"), number: s("1, 2") }),
                    ..w("Dough", "1031", "")
                },
                Weighing {
                    slip: Some(SlipRef { on: s("dish"), number: s("1") }),
                    ..w("Walnut filling", "340", "")
                },
            ],
            ..WeighList::default()
        },
    ];
    let mut steps = vec![
        Step {
            demo: true,
            hands: s("teacher"),
            ..step(
                None,
                "13:00",
                "13:10",
                "",
                "Welcome",
                "Names, the plan of the two days, where things are.",
            )
        },
        Step {
            demo: true,
            hands: s("teacher"),
            ..step(
                None,
                "13:10",
                "13:20",
                "",
                "Hands and safety",
                "Wash hands, cover hair. Mixers: hands out while it turns. Ovens and tins are hot. Who avoids what stays at their station.",
            )
        },
        Step {
            demo: true,
            hands: s("teacher"),
            ..step(None, "13:20", "13:30", BRAID, "Show: mixing with butter", "")
        },
        Step {
            facts: vec![fact("aim", &[("25", "°C")])],
            place: s("Small mixer 1"),
            cautions: list(&["mixer", "raw-dough"]),
            hands: s("one-student"),
            ..step(
                Some(1),
                "13:30",
                "13:45",
                BRAID,
                "Mix",
                "All but the butter until smooth. Butter in pieces. Stop at a windowpane.",
            )
        },
        Step {
            at: s("room"),
            ..step(None, "13:45", "14:45", BRAID, "Rise", "Cover, at room temperature, until well under way.")
        },
        Step { demo: true, hands: s("teacher"), ..step(None, "13:45", "13:55", CROWN, "Show", "") },
        Step {
            drawings: vec![draw(Drawing::RollOut { width: cm(30), length: cm(40) })],
            ..step(
                Some(2),
                "13:55",
                "14:10",
                CROWN,
                "Roll",
                "Dust the bench lightly. Roll to 30 × 40 cm; turn it as you go; square the corners.",
            )
        },
        Step {
            drawings: vec![
                draw(Drawing::Spread { width: cm(30), length: cm(40), bare: cm(2) }),
                draw(Drawing::RollUp {
                    width: cm(30),
                    length: cm(40),
                    thickness: Centimetres::from_thousandths(800),
                }),
            ],
            ..step(
                Some(3),
                "14:10",
                "14:20",
                CROWN,
                "Fill",
                "Spread to the edges but for 2 cm on the far side. Roll up from the near side, firmly, without stretching. Seam down.",
            )
        },
        Step {
            drawings: vec![draw(Drawing::Slice { length: cm(30), diameter: cm(7), slices: 8 })],
            cautions: list(&["knife"]),
            ..step(
                Some(4),
                "14:20",
                "14:25",
                CROWN,
                "Cut",
                "Mark 8 equal slices, then cut with one draw of the knife. Wipe it between cuts.",
            )
        },
        Step {
            drawings: vec![draw(Drawing::PlaceInTin {
                tin: TinShape::Round { diameter: cm(20), depth: cm(6) },
                fill: cm(3),
                pieces: 8,
            })],
            ..step(
                Some(5),
                "14:25",
                "14:30",
                CROWN,
                "Pan",
                "Stand the slices in the tin, cut side up and leaning, in a ring. Leave a finger's width at the wall.",
            )
        },
        Step {
            at: s("warm"),
            facts: vec![fact("place", &[("28", "°C")])],
            ..step(
                None,
                "14:30",
                "15:45",
                CROWN,
                "Proof",
                "Ready when a fingertip leaves a dent that comes back slowly.",
            )
        },
        Step {
            facts: vec![fact("aim", &[("25", "°C")])],
            place: s("Small mixer 1"),
            cautions: list(&["mixer", "raw-dough"]),
            hands: s("one-student"),
            ..step(
                Some(6),
                "14:30",
                "14:45",
                BUNS,
                "Mix",
                "All but the butter until smooth. Butter in pieces. Stop at a windowpane.",
            )
        },
        Step { pause: true, ..step(None, "14:45", "15:00", "", "Tea", "") },
        Step {
            at: s("cold"),
            until: Some(moment(sunday(), "9:50")),
            ..step(None, "14:45", "25:00", BRAID, "Chill", "")
        },
        Step { at: s("room"), ..step(None, "14:45", "15:45", BUNS, "Rise", "Cover, at room temperature.") },
        Step {
            hands: s("one-student"),
            ..step(Some(7), "15:45", "15:50", CROWN, "Brush", "Brush thinly. No pools between the slices.")
        },
        Step {
            place: s("Oven 1"),
            load: Some(1),
            facts: vec![fact("oven", &[("170", "°C")]), fact("core", &[("90", "°C"), ("94", "°C")])],
            cautions: list(&["oven"]),
            hands: s("staff"),
            ..step(
                None,
                "15:50",
                "16:25",
                CROWN,
                "Bake",
                "Ready at the core temperature, measured in the middle of a slice.",
            )
        },
        Step {
            hands: s("staff"),
            cautions: list(&["hot-tin"]),
            ..step(
                None,
                "16:30",
                "16:35",
                CROWN,
                "Turn out",
                "Cloths for both hands. Rest, loosen, turn out, turn back up.",
            )
        },
        Step {
            at: s("rack"),
            ..step(
                None,
                "16:35",
                "17:35",
                CROWN,
                "Cool",
                "On the rack, not in a box: the crust must stay dry.",
            )
        },
        step(
            Some(8),
            "16:40",
            "16:55",
            "",
            "Clean-down",
            "Scrape, wash, sanitise, dry. Flour into the bin, not the sink.",
        ),
    ];
    if people.len() == 1 {
        for step in &mut steps {
            if step.hands == "one-student" {
                step.hands = s("students");
            }
        }
    }
    StationSheet {
        about: about(),
        station: s(no),
        people: list(people),
        sitting: sat(),
        makes: vec![
            making(people.len() as u32, CROWN, variant),
            making(people.len() as u32, BRAID, None),
            making(3 * people.len() as u32, BUNS, None),
        ],
        weigh,
        tools: vec![
            Tool { count: 2, name: s("Round tin, 20 cm"), from: at("14:25"), to: at("16:35") },
            Tool { count: 1, name: s("Tub"), from: at("13:45"), to: at("17:00") },
        ],
        rail: vec![
            block("13:00", "13:10", "", "watch"),
            block("13:10", "13:20", "", "watch"),
            block("13:20", "13:30", "", "watch"),
            block("13:30", "13:45", "1", "hands"),
            block("13:45", "13:55", "", "watch"),
            block("13:55", "14:10", "2", "hands"),
            block("14:10", "14:20", "3", "hands"),
            block("14:20", "14:25", "4", "hands"),
            block("14:25", "14:30", "5", "hands"),
            block("14:30", "14:45", "6", "hands"),
            block("14:45", "15:00", "Tea", "pause"),
            block("15:45", "15:50", "7", "hands"),
            block("16:40", "16:55", "8", "hands"),
        ],
        meanwhile: vec![
            block("13:45", "14:45", "Rise", "waits"),
            block("14:45", "17:00", "Chill", "waits"),
            block("14:30", "15:45", "Proof", "waits"),
            block("14:45", "15:45", "Rise", "waits"),
            block("15:50", "16:25", "Bake", "oven"),
            block("16:35", "17:00", "Cool", "waits"),
        ],
        steps,
        left: vec![
            Left {
                lesson: s(BRAID),
                name: s("Chill"),
                at: s("cold"),
                place: s(""),
                until: moment(sunday(), "9:50"),
                ..Left::default()
            },
            Left {
                lesson: s(CROWN),
                name: s("Cool"),
                at: s("rack"),
                place: s(""),
                until: moment(saturday(), "17:35"),
                ..Left::default()
            },
        ],
        ..StationSheet::new()
    }
}

/// Text that tries a page: markup, markup-like words, emoji, no end.
pub const UGLY: &str = "#let *x* = $y_1$ \\ <script>alert(1)</script> 🥐 `raw` @ref [x]";

pub fn long_name() -> String {
    "Extraordinarily-enriched hazelnut, orange-blossom and buckwheat-honey wreath "
        .repeat(4)
        .chars()
        .take(300)
        .collect()
}

fn ugly() -> StationSheet {
    let mut sheet = station("3", &[UGLY], None);
    sheet.people.push(long_name());
    sheet.people.push(s("يوسف حداد"));
    sheet.about.course = long_name();
    sheet.makes[0].name = long_name();
    sheet.keep_away = list(&[UGLY, "gluten (wheat, rye, barley, oats)", "tree nuts"]);
    sheet.holds = vec![Holds {
        how: s("unknown"),
        what: list(&[UGLY]),
        by: vec![s("Donaudampfschifffahrtsgesellschaftskapitänsmützenmehl").repeat(3), long_name()],
        lessons: vec![long_name()],
    }];
    sheet.weigh[0].lines = (1..=40)
        .map(|i| w(&format!("Ingredient number {i} with a name of some length"), &format!("{}", i * 37), ""))
        .collect();
    sheet.weigh[0].lines[4].name = long_name();
    sheet.weigh[0].lines[5].name = "Donaudampfschifffahrtsgesellschaftskapitänsmützenmehl".repeat(3);
    sheet.weigh[0].lines[6].amount = m("123456.7", "g");
    sheet.weigh[1].lines[0].name = s(UGLY);
    sheet.steps[6].say = s(UGLY) + " " + &long_name();
    sheet.steps[7].name = long_name();
    sheet
}

pub fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("station-1", json!(station("1", &["Aoife Brennan", "Liam Okafor"], None))),
        ("station-5", json!(super::samples_stations::nut_free())),
        ("station-12-sunday", json!(super::samples_stations::sunday_station())),
        ("station-3-ugly", json!(ugly())),
        ("station-24-alone", json!(station("24", &["Petra Lindqvist"], None))),
    ]
}

#[allow(unused)]
pub fn probe() -> Drawing {
    Drawing::Probe { height: cm(6), length: cm(20), least: Celsius::whole(90), most: Celsius::whole(94) }
}
#[allow(unused)]
pub fn turn_out() -> Drawing {
    Drawing::TurnOut { tin: TinShape::Round { diameter: cm(20), depth: cm(6) }, wait: (Minutes(5), None) }
}
#[allow(unused)]
pub fn weigh_drawing() -> Drawing {
    Drawing::Weigh { amount: Grams::whole(530) }
}
