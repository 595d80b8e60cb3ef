//! Samples: the documents for staff.

use super::samples::*;
use benchroll::typeset::views::common::{ForWhom, Phrase, SlipRef};
use benchroll::typeset::views::order_sheet::{OrderLine, OrderSheet, Terms};
use benchroll::typeset::views::pull_list::{PullGroup, PullLine, PullList, Return, Short, WayRound};
use benchroll::typeset::views::run_late::{Late, Move};
use benchroll::typeset::views::run_outs::Out;
use benchroll::typeset::views::run_sheet::{Entry, Lane, RunSheet};
use benchroll::typeset::views::weigh_out::{Column, Round, Row, Temper, WeighOut};
use serde_json::{Value, json};

fn lane(group: &str, name: &str, blocks: &[(&str, &str, &str, &str)]) -> Lane {
    Lane {
        group: s(group),
        name: s(name),
        at: s(""),
        blocks: blocks.iter().map(|(a, b, l, t)| block(a, b, l, t)).collect(),
        missing: false,
    }
}

fn moved(by: i64, number: u32, lesson: &str, name: &str) -> Move {
    Move { by, number: Some(number), lesson: s(lesson), name: s(name), for_whom: None }
}

fn run_sheet(stations: u32) -> RunSheet {
    let mut lanes = vec![
        lane(
            "people",
            "Ines Calder",
            &[
                ("12:30", "12:55", "Set out trays", "hands"),
                ("13:00", "13:10", "Welcome", "hands"),
                ("13:10", "13:20", "Hands and safety", "hands"),
                ("13:20", "13:30", "Show: mixing", "hands"),
                ("13:45", "13:55", "Show: crown", "hands"),
                ("14:10", "14:20", "Eye on fill", "hands"),
                ("14:45", "15:00", "Tea", "pause"),
                ("16:40", "16:55", "Walk round", "hands"),
            ],
        ),
        lane(
            "people",
            "Tomas Birch",
            &[
                ("12:20", "12:55", "Weigh dry trays", "hands"),
                ("15:50", "15:55", "Crowns in", "hands"),
                ("16:20", "16:25", "Crowns out", "hands"),
                ("16:30", "16:35", "Turn out", "hands"),
            ],
        ),
    ];
    for n in 1..=stations {
        let mix = if n % 2 == 0 { "Mix braid" } else { "Mix buns" };
        lanes.push(lane(
            "stations",
            &n.to_string(),
            &[
                ("13:00", "13:10", "Welcome", "watch"),
                ("13:10", "13:20", "Hands and safety", "watch"),
                ("13:20", "13:30", "Show: mixing", "watch"),
                ("13:30", "13:45", mix, "hands"),
                ("13:45", "13:55", "Show: crown", "watch"),
                ("13:55", "14:10", "Roll", "hands"),
                ("14:10", "14:20", "Fill", "hands"),
                ("14:20", "14:25", "Cut", "hands"),
                ("14:25", "14:30", "Pan", "hands"),
                ("14:30", "14:45", "Mix buns", "hands"),
                ("14:45", "15:00", "Tea", "pause"),
                ("15:45", "15:50", "Brush", "hands"),
                ("16:40", "16:55", "Clean-down", "hands"),
            ],
        ));
    }
    for n in 1..=4 {
        lanes.push(lane(
            "mixers",
            &format!("Small mixer {n}"),
            &[
                ("13:30", "13:45", &format!("Braid, station {n}"), "hands"),
                ("14:30", "14:45", "Buns, stations 1, 2, 3", "hands"),
            ],
        ));
    }
    lanes.push(lane("mixers", "Large mixer", &[("13:30", "13:45", "Braid, 5 and 6", "hands")]));
    lanes.push(lane(
        "ovens",
        "Oven 1",
        &[("15:30", "15:50", "heat", "waits"), ("15:50", "16:25", "Crowns, load 1, 170\u{202F}°C", "oven")],
    ));
    lanes.push(lane(
        "ovens",
        "Oven 2",
        &[("15:30", "15:50", "heat", "waits"), ("15:55", "16:30", "Crowns, load 2, 170\u{202F}°C", "oven")],
    ));
    lanes.push(lane("places", "Proofer", &[("14:30", "15:45", "Crowns, stations 1 to 6", "waits")]));
    lanes.push(lane(
        "places",
        "Fridge",
        &[
            ("10:00", "13:55", "Crown dough", "waits"),
            ("14:45", "18:00", "Braid dough", "waits"),
            ("15:45", "18:00", "Bun dough", "waits"),
        ],
    ));
    let e =
        |from: &str, to: &str, lesson: &str, name: &str, tone: &str, who: &str, place: &str, tell: &str| {
            Entry {
                from: at(from),
                to: at(to),
                lesson: s(lesson),
                name: s(name),
                tone: s(tone),
                who: if tone == "demo" || who.starts_with("Tomas") {
                    list(&[who.split(',').next().unwrap()])
                } else {
                    vec![]
                },
                for_whom: who.ends_with("stations").then(|| super::samples::stations(&["1–6"], 6)),
                places: if place.is_empty() { vec![] } else { list(&[place]) },
                tell: s(tell),
                ..Entry::default()
            }
        };
    RunSheet {
        about: about(),
        sitting: Some(sat()),
        day: saturday(),
        from: at("12:15"),
        to: at("17:15"),
        finish: Some(at("16:55")),
        chance: Some(87),
        outs: vec![Out {
            at: at("16:20"),
            lesson: s(BUNS),
            load: 1,
            oven: s("Oven 1"),
            who: s("Tomas Birch"),
            for_whom: ForWhom { stations: list(&["1", "2"]), count: 2, ..ForWhom::default() },
            core: vec![m("90", "°C"), m("96", "°C")],
            cold: true,
            cold_unsaid: false,
        }],
        lanes,
        list: vec![
            e("12:20", "12:55", "", "Weigh dry trays", "staff", "Tomas Birch", "Bench", ""),
            e(
                "13:00",
                "13:10",
                "",
                "Welcome",
                "demo",
                "Ines Calder, everyone watches",
                "",
                "Names, the plan of the two days, where things are.",
            ),
            e(
                "13:10",
                "13:20",
                "",
                "Hands and safety",
                "demo",
                "Ines Calder, everyone watches",
                "",
                "Wash hands, cover hair. Mixers: hands out while it turns. Ovens and tins are hot. Who avoids what stays at their station.",
            ),
            e(
                "13:20",
                "13:30",
                BRAID,
                "Show: mixing with butter",
                "demo",
                "Ines Calder, everyone watches",
                "Small mixer 1",
                "What a windowpane is and when to stop. Dough at 25 °C: read it, do not guess.",
            ),
            e(
                "13:30",
                "13:45",
                BRAID,
                "Mix",
                "students",
                "Stations 1-6",
                "Small mixers 1-4, large mixer",
                "",
            ),
            e("13:45", "14:45", BRAID, "Rise", "nobody", "", "Room", ""),
            Entry {
                late: vec![
                    Late {
                        minutes: 15,
                        ends: at("16:25"),
                        over: 0,
                        moves: vec![
                            moved(15, 7, CROWN, "Roll"),
                            moved(15, 12, CROWN, "Bake"),
                            moved(-10, 11, "", "Tea"),
                        ],
                        more: 6,
                    },
                    Late { minutes: 30, ends: at("17:10"), over: 10, moves: Vec::new(), more: 0 },
                ],
                ..e(
                    "13:45",
                    "13:55",
                    CROWN,
                    "Show",
                    "demo",
                    "Ines Calder, everyone watches",
                    "",
                    "Roll from the middle out, a quarter turn each time. Spread thin, leave the far edge bare. Roll up without stretching; seam down.",
                )
            },
            e("13:55", "14:10", CROWN, "Roll", "students", "All stations", "", ""),
            Entry { eye: true, ..e("14:10", "14:20", CROWN, "Fill", "students", "All stations", "", "") },
            e("14:20", "14:25", CROWN, "Cut", "students", "All stations", "", ""),
            e(
                "14:25",
                "14:30",
                CROWN,
                "Pan",
                "students",
                "All stations",
                "Ten tins; stations 5 and 6 wait for two",
                "",
            ),
            e("14:45", "15:00", "", "Tea", "pause", "Everyone", "", ""),
            e(
                "15:50",
                "16:25",
                CROWN,
                "Bake",
                "staff",
                "Tomas Birch, in and out",
                "Oven 1, 170 °C, load 1: stations 1, 2, 3",
                "",
            ),
            e(
                "15:55",
                "16:30",
                CROWN,
                "Bake",
                "staff",
                "Tomas Birch, in and out",
                "Oven 2, 170 °C, load 2: stations 4, 5, 6",
                "",
            ),
            e("16:30", "16:35", CROWN, "Turn out", "staff", "Tomas Birch", "Cooling rack", ""),
            e(
                "16:40",
                "16:55",
                "",
                "Clean-down",
                "students",
                "All stations",
                "",
                "Scrape, wash, sanitise, dry. Flour into the bin, not the sink.",
            ),
        ],
        ..RunSheet::new()
    }
}

fn weigh_out(stations: u32) -> WeighOut {
    let column = |n: u32| Column {
        label: n.to_string(),
        word: s("station"),
        note: if n == 6 { s("egg-free") } else { s("") },
        ..Column::default()
    };
    let mut columns: Vec<Column> = (1..=stations).map(column).collect();
    columns.push(Column { word: s("stage"), ..Column::default() });
    // Dry ones first, as the view has them.
    let grams: [(&str, i64); 7] = [
        ("Strong white flour", 530),
        ("Caster sugar", 32),
        ("Fine salt", 10),
        ("Instant yeast", 6),
        ("Whole milk", 249),
        ("Eggs", 48),
        ("Unsalted butter", 74),
    ];
    let rows: Vec<Row> = grams
        .iter()
        .map(|(name, g)| {
            let each: Vec<i64> = (1..=stations + 1)
                .map(|n| {
                    if *name == "Eggs" && n == 6 {
                        0
                    } else if n > stations {
                        g / 2
                    } else {
                        *g
                    }
                })
                .collect();
            Row {
                name: s(name),
                cold: matches!(*name, "Whole milk" | "Eggs" | "Unsalted butter"),
                dry: !matches!(*name, "Whole milk" | "Eggs" | "Unsalted butter"),
                cells: each.iter().map(|g| if *g == 0 { s("") } else { g.to_string() }).collect(),
                sum: each.iter().sum::<i64>().to_string(),
                ..Row::default()
            }
        })
        .collect();
    let sums: Vec<i64> = (0..columns.len())
        .map(|c| rows.iter().map(|r| r.cells[c].parse::<i64>().unwrap_or(0)).sum())
        .collect();
    let round = |lesson: &str| Round {
        lesson: s(lesson),
        part: s("Dough"),
        ready: Some(moment(saturday(), "12:55")),
        columns: columns.clone(),
        rows: rows.clone(),
        temper: vec![Temper {
            columns: columns.iter().take(2).cloned().collect(),
            what: Phrase::new(
                "temper.liquid-kept",
                [("aim", s("25 °C")), ("liquid", s("Whole milk")), ("at", s("29 °C")), ("kept", s("Eggs"))],
            ),
        }],
        sums: sums.iter().map(i64::to_string).collect(),
        total: m(&sums.iter().sum::<i64>().to_string(), "g"),
    };
    WeighOut { about: about(), rounds: vec![round(BRAID), round(BUNS)], ..WeighOut::new() }
}

fn order_sheet() -> OrderSheet {
    let line = |name: &str,
                count: u32,
                pack: (&str, &str),
                price: &str,
                cost: &str,
                need: &str,
                over: &str,
                note: &str| OrderLine {
        name: s(name),
        count,
        pack: m(pack.0, pack.1),
        price: s(price),
        cost: s(cost),
        need: m(need, "g"),
        over: m(over, "g"),
        note: s(note),
        ..OrderLine::default()
    };
    OrderSheet {
        about: about(),
        supplier: s("Aldermoor Mill and Dry Goods"),
        email: s("orders@aldermoor.example.org"),
        account: s("LTK-41"),
        deliver_to: s("Larkfield Teaching Kitchen, Old Dairy Yard, Larkfield"),
        order_by: Some(moment(jiff::civil::date(2027, 3, 1).into(), "12:00")),
        on: Some(jiff::civil::date(2027, 3, 4).into()),
        terms: Some(Terms {
            weekdays: vec![2, 4],
            lead_days: 3,
            closes: Some(12 * 60),
            first_use: jiff::civil::date(2027, 3, 5).into(),
        }),
        currency: s("EUR"),
        lines: vec![
            line("Strong white flour", 1, ("16", "kg"), "19.80", "19.80", "10412", "5588", ""),
            line("Walnuts, chopped", 1, ("1", "kg"), "13.50", "13.50", "812", "188", ""),
            line(
                "Sunflower seeds",
                1,
                ("500", "g"),
                "3.20",
                "3.20",
                "166",
                "334",
                "For stations that keep walnuts away: do not leave it out.",
            ),
            line(
                "Instant yeast",
                1,
                ("500", "g"),
                "5.90",
                "5.90",
                "128",
                "372",
                "What is on the shelf is past its date by then.",
            ),
            line("Pearl sugar", 1, ("250", "g"), "2.20", "2.20", "108", "142", ""),
        ],
        goods: s("44.60"),
        fee: s("6.50"),
        total: s("51.10"),
        ..OrderSheet::new()
    }
}

fn pull_list() -> PullList {
    let line = |count: u32, on_hand: u32, name: &str, to: &str, note: &str| PullLine {
        count,
        on_hand: Some(on_hand),
        name: s(name),
        word: s(""),
        to: if to.is_empty() { vec![] } else { list(&[to]) },
        borrowed: (!note.is_empty()).then(|| (2, s(note))),
        slips: (name == "Tub").then(|| SlipRef { on: s("tub"), number: s("1–13") }),
        again: if name == "Tub" { 5 } else { 0 },
    };
    PullList {
        about: about(),
        by: Some(moment(saturday(), "12:30")),
        short: vec![
            Short {
                name: s("Round tin, 20 cm"),
                with: Vec::new(),
                needed: 13,
                with_plan: 12,
                on_hand: 10,
                short: 2,
                lessons: list(&["Walnut crown"]),
                plan_does: vec![WayRound { word: s("second-wave"), count: 1, name: s("") }],
                or: vec![
                    WayRound { word: s("borrow"), count: 2, name: s("") },
                    WayRound { word: s("other-shape"), count: 2, name: s("Loaf tin") },
                ],
            },
            Short {
                name: s("Cooling rack, shelves"),
                needed: 14,
                with_plan: 9,
                on_hand: 12,
                short: 0,
                lessons: list(&["Walnut crown"]),
                ..Short::default()
            },
        ],
        groups: vec![
            PullGroup {
                place: s("Tin cupboard"),
                word: s(""),
                lines: vec![
                    line(
                        10,
                        10,
                        "Round tin, 20 cm",
                        "stations 1 to 5, two each",
                        "Harrow Lane school kitchen",
                    ),
                    line(12, 14, "Tray, 60 × 40 cm", "two to each station", ""),
                ],
            },
            PullGroup {
                place: s("Drawer 2"),
                word: s(""),
                lines: vec![line(3, 3, "Probe thermometer", "oven side, hob, teacher", "")],
            },
            PullGroup {
                place: s("Store shelf C"),
                word: s(""),
                lines: vec![
                    line(12, 40, "Piping bag", "two to each station", ""),
                    line(24, 100, "Sheet of baking paper", "four to each station", ""),
                ],
            },
            PullGroup { place: s(""), word: s("tins"), lines: vec![line(8, 18, "Tub", "mixers", "")] },
        ],
        returns: vec![Return {
            count: 2,
            name: s("Round tin, 20 cm"),
            to: s("Harrow Lane school kitchen"),
            by: Some(jiff::civil::date(2027, 3, 9).into()),
        }],
        ..PullList::new()
    }
}

pub fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("run-sheet", json!(run_sheet(6))),
        ("big-run-sheet", json!(run_sheet(24))),
        ("weigh-out", json!(weigh_out(6))),
        ("big-weigh-out", json!(weigh_out(24))),
        ("order-sheet", json!(order_sheet())),
        ("pull-list", json!(pull_list())),
    ]
}
