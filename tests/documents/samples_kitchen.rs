//! Samples: the documents for staff that the second round of pages brings: made ahead, ovens, allergens, slips.

use super::samples::*;
use benchroll::typeset::views::allergen_sheet::{
    AllergenSheet, Avoided, Avoider, Before, Contents, CrossContact, OnRacks, Verdict,
};
use benchroll::typeset::views::common::*;
use benchroll::typeset::views::oven_and_cold::{OvenAndCold, OvenLoad, OvenSetting, Stored, Then};
use benchroll::typeset::views::pack::{Pack, PackSheet};
use benchroll::typeset::views::sign_in::{Guest, Roll};
use benchroll::typeset::views::slips::{ContentSlip, NameSlip, Positions, Slips};
use benchroll::typeset::views::temperature_log::{Reading, TemperatureLog};
use serde_json::{Value, json};

const PEOPLE: [&str; 12] = [
    "Aoife Brennan",
    "Liam Okafor",
    "Jonas Weidmann",
    "Petra Lindqvist",
    "Maren Solheim",
    "Dewi Prys",
    "Chidi Anozie",
    "Ruth Ellery",
    "Noor van Dijk",
    "Sanna Rautio",
    "Émile Fournier",
    "Greta Halloran",
];

fn tins(labels: &[&str], notes: bool) -> Rack {
    Rack {
        name: s("1"),
        width: 60.0,
        depth: 40.0,
        places: labels
            .iter()
            .enumerate()
            .map(|(i, l)| RackPlace {
                x: 1.0 + 23.5 * (i % 2) as f64,
                y: if i < 2 { 0.0 } else { 20.0 },
                width: 23.0,
                depth: 21.0,
                round: true,
                label: s(l),
                note: if notes { s("Noor") } else { s("") },
                ..RackPlace::default()
            })
            .take(2)
            .collect(),
    }
}

fn tray(label: &str) -> Rack {
    Rack {
        name: s("2"),
        width: 60.0,
        depth: 40.0,
        places: vec![RackPlace {
            x: 0.0,
            y: 0.0,
            width: 60.0,
            depth: 40.0,
            round: false,
            label: s(label),
            note: s("3 braids"),
            pieces: (1..=3)
                .map(|n| OnTray {
                    x: 15.0 * f64::from(n),
                    y: 20.0,
                    width: 11.0,
                    depth: 32.0,
                    baked_width: 13.0,
                    baked_depth: 38.0,
                })
                .collect(),
        }],
    }
}

fn oven() -> OvenAndCold {
    let load = |from: &str, to: &str, n: u32, racks: Vec<Rack>, heat: &str, what: &str| OvenLoad {
        from: at(from),
        to: at(to),
        earliest: at(to) - 2,
        latest: at(to) + 6,
        oven: format!("Oven {n}"),
        load: n,
        makes: vec![making(4, what, None)],
        heat: m(heat, "°C"),
        exact: None,
        core: vec![m("90", "°C"), m("94", "°C")],
        racks,
        racks_unknown: false,
        on_top: if n == 1 { list(&["5"]) } else { Vec::new() },
        beside: if n == 2 { list(&["5", "6"]) } else { Vec::new() },
        clear: Vec::new(),
        not_apart: Vec::new(),
        level: Vec::new(),
        column: Vec::new(),
        shares: Vec::new(),
        then: Some(Then { name: s("Turn out"), least: 5, most: Some(20) }),
        cold: what == BUNS,
        cold_unsaid: false,
        wash_up: None,
    };
    let stored = |at: &str,
                  lesson: &str,
                  parts: &[&str],
                  slip: Option<u32>,
                  whom: &str,
                  from: Moment,
                  to: Moment,
                  tone: &str| Stored {
        at: s(at),
        cupboard: None,
        temperature: Some(if tone == "cold" { m("4", "°C") } else { m("28", "°C") }),
        lesson: s(lesson),
        name: s(if tone == "cold" { "Chill" } else { "Proof" }),
        parts: list(parts),
        amount: slip.map(|_| m("1031", "g")),
        whole: slip.filter(|n| *n == 5).map(|_| m("2062", "g")),
        over: None,
        rest: slip == Some(5),
        slips: slip.map(|number| SlipRef { on: s("tub"), number: number.to_string() }).into_iter().collect(),
        for_whom: Some(stations(&[whom], 1)),
        from,
        to,
        latest: if tone == "cold" { Some(moment(sunday(), "10:45")) } else { None },
        tone: s(tone),
        baked: false,
        filled: false,
        to_be_safe: false,
        unbaked: false,
        ready: parts == ["Filling"],
        kept_clean: Vec::new(),
    };
    OvenAndCold {
        about: about(),
        sitting: sat(),
        settings: vec![
            OvenSetting {
                at: at("15:30"),
                oven: s("Oven 1"),
                heat: Some(m("170", "°C")),
                exact: None,
                reached: Some(at("15:47")),
            },
            OvenSetting { at: at("16:40"), oven: s("Oven 1"), ..OvenSetting::default() },
        ],
        loads: vec![
            load("15:50", "16:25", 1, vec![tins(&["1", "1"], false), tins(&["2", "2"], false)], "170", CROWN),
            load("15:55", "16:30", 2, vec![tins(&["5", "5"], false), tray("6")], "170", CROWN),
        ],
        places: vec![
            stored(
                "cold",
                CROWN,
                &["Dough"],
                Some(1),
                "1",
                moment(friday(), "17:30"),
                moment(saturday(), "13:55"),
                "cold",
            ),
            stored(
                "cold",
                CROWN,
                &["Dough"],
                Some(5),
                "5",
                moment(friday(), "17:30"),
                moment(saturday(), "13:55"),
                "cold",
            ),
            stored(
                "cold",
                BRAID,
                &["Dough"],
                Some(7),
                "1",
                moment(saturday(), "14:45"),
                moment(sunday(), "9:50"),
                "cold",
            ),
            stored(
                "warm",
                CROWN,
                &[],
                None,
                "1",
                moment(saturday(), "14:30"),
                moment(saturday(), "15:45"),
                "warm",
            ),
        ],
        ..OvenAndCold::new()
    }
}

fn allergens() -> AllergenSheet {
    let verdict = |lesson: &str, verdict: &str, variant: &str, because: &str| Verdict {
        lesson: s(lesson),
        what: vec![s("nuts")],
        verdict: s(verdict),
        variant: s(variant),
        because: if because.is_empty() { Vec::new() } else { vec![s(because)] },
        know: Vec::new(),
    };
    AllergenSheet {
        about: about(),
        list: s("EU, fourteen"),
        people: vec![
            Avoider {
                name: s("Noor van Dijk"),
                station: s("5"),
                harmed: true,
                told: Some(friday()),
                avoids: vec![
                    Avoided { what: s("walnut"), why: s("allergy"), severity: s("severe") },
                    Avoided { what: s("nuts"), why: s("allergy"), severity: s("severe") },
                ],
                verdicts: vec![
                    verdict(
                        CROWN,
                        "shared-kitchen",
                        "nut-free",
                        "Sunflower filling. Walnuts are cooked and spread in the same room by the other stations.",
                    ),
                    verdict(BRAID, "shared-kitchen", "", "Nothing with nuts goes in; same mixers and ovens."),
                    verdict(BUNS, "shared-kitchen", "", "Nothing with nuts goes in; same mixers and ovens."),
                ],
            },
            Avoider {
                name: s("Émile Fournier"),
                station: s("6"),
                harmed: false,
                told: None,
                avoids: vec![Avoided { what: s("eggs"), why: s("choice"), severity: s("not-stated") }],
                verdicts: vec![
                    verdict(CROWN, "none-listed", "egg-free", "Another dough and another wash."),
                    verdict(BUNS, "unknown", "egg-free", "Vanilla extract: nobody has read the bottle."),
                ],
            },
        ],
        lessons: vec![
            Contents {
                lesson: s(CROWN),
                variant: s(""),
                stations: list(&["1", "2", "3", "4"]),
                contains: list(&["cereals containing gluten (wheat)", "milk", "eggs", "nuts (walnut)"]),
                may_contain: list(&["nuts (hazelnut, almond)"]),
                unknown: vec![],
            },
            Contents {
                lesson: s(CROWN),
                variant: s("nut-free"),
                stations: list(&["5"]),
                contains: list(&["cereals containing gluten (wheat)", "milk", "eggs"]),
                may_contain: vec![],
                unknown: vec![],
            },
            Contents {
                lesson: s(BUNS),
                variant: s("egg-free"),
                stations: list(&["6"]),
                contains: list(&["cereals containing gluten (wheat)", "milk"]),
                may_contain: vec![],
                unknown: list(&["Vanilla extract"]),
            },
        ],
        racks: vec![OnRacks {
            at: moment(saturday(), "15:50"),
            oven: s("Oven 1"),
            lesson: s(CROWN),
            load: 1,
            how: s("top"),
            stations: list(&["5"]),
        }],
        cold_shared: true,
        order: vec![
            Before {
                beside: false,
                at: moment(friday(), "15:10"),
                on: s("Hob, pans"),
                first: s("Sunflower filling"),
                first_for: stations(&["5"], 1),
                then: s("Walnut filling"),
                then_for: ForWhom { stage: true, ..ForWhom::default() },
                free_from: list(&["nuts"]),
                wash_up: false,
                baked: false,
                ..Before::default()
            },
            Before {
                beside: false,
                at: moment(saturday(), "14:30"),
                on: s("Small mixer 2"),
                first: s("Bun dough"),
                first_for: stations(&["6"], 1),
                then: s("Bun dough"),
                then_for: stations(&["1–3"], 3),
                free_from: list(&["eggs"]),
                wash_up: true,
                baked: false,
                ..Before::default()
            },
        ],
        cross_contact: vec![
            CrossContact { what: s("Nuts (walnut)"), lesson: s(CROWN), stations: list(&["4", "6"]) },
            CrossContact { what: s("Eggs"), lesson: s(BRAID), stations: list(&["1", "2", "3"]) },
        ],
        unread: list(&["Vanilla extract"]),
        first_aid: s("Green box by the office door; the auto-injector hangs beside it."),
        emergency: s("112"),
        forget_by: Some(jiff::civil::date(2027, 4, 7).into()),
        ..AllergenSheet::new()
    }
}

fn log() -> TemperatureLog {
    let reading = |at: Moment,
                   what: &str,
                   probe: &str,
                   limit: &str,
                   values: &[&str],
                   within: &str,
                   if_out: &str,
                   source: &str| Reading {
        at,
        what: s(what),
        probe: s(probe),
        limit: s(limit),
        values: values.iter().map(|v| m(v, "°C")).collect(),
        within: (!within.is_empty()).then(|| Phrase::new("log.within", [("time", s(within))])),
        which: (probe == "largest").then(|| Phrase::new("oven.load", [("n", s("1"))])),
        for_whom: None,
        unattended: values.is_empty(),
        if_out: s(if_out),
        source: s(source),
    };
    TemperatureLog {
        about: about(),
        rules: s("Food Safety and Hygiene (England) Regulations 2013, schedule 4"),
        readings: vec![
            reading(
                moment(friday(), "15:00"),
                "Fridge",
                "cold-place",
                "at-most",
                &["8"],
                "",
                "move-food",
                "schedule 4, paragraph 2",
            ),
            reading(
                moment(friday(), "15:55"),
                "Walnut filling",
                "thickest",
                "at-least",
                &["80"],
                "",
                "heat-on",
                "",
            ),
            reading(
                moment(friday(), "17:25"),
                "Walnut filling, cooling",
                "thickest",
                "unknown",
                &[],
                "",
                "",
                "",
            ),
            reading(
                moment(saturday(), "13:45"),
                "Braid dough, after mixing",
                "middle",
                "aim",
                &["25"],
                "",
                "note-it",
                "",
            ),
            reading(
                moment(saturday(), "16:25"),
                "Walnut crown",
                "largest",
                "at-least",
                &["90", "94"],
                "",
                "bake-on",
                "",
            ),
        ],
        blanks: 6,
        ..TemperatureLog::new()
    }
}

fn roll(n: usize) -> Roll {
    let mut people: Vec<Guest> =
        (0..n).map(|i| Guest { name: s(PEOPLE[i % 12]), station: (i / 2 + 1).to_string() }).collect();
    people.sort_by(|a, b| a.name.cmp(&b.name));
    people.push(Guest { name: long_name(), station: s("12") });
    Roll { about: about(), sittings: vec![sat(), sun()], people, blanks: 2, ..Roll::new() }
}

fn slips() -> Slips {
    let content =
        |n: u32, on: &str, part: &str, variant: Option<&str>, whom: ForWhom, grams: &str| ContentSlip {
            on: s(on),
            number: n,
            lesson: s(CROWN),
            part: s(part),
            variant: variant.map(s),
            doubted: if variant == Some("nut-free") { list(&["nuts"]) } else { Vec::new() },
            for_whom: whom,
            amount: m(grams, "g"),
            total: m(grams, "g"),
            over: (on == "dish" && variant.is_some()).then(|| m("40", "g")),
            vessels: 1,
            made: moment(friday(), "17:30"),
            out_by: Some(moment(saturday(), "17:30")),
            contains: list(&["cereals containing gluten (wheat)", "milk", "eggs"]),
            may_contain: list(&["nuts"]),
            unknown: Vec::new(),
            cold: true,
        };
    let mut contents: Vec<ContentSlip> =
        (1..=5).map(|n| content(n, "tub", "Dough", None, stations(&[&n.to_string()], 1), "1031")).collect();
    contents.push(content(6, "tub", "Dough", Some("egg-free"), stations(&["6"], 1), "1031"));
    contents.push(content(1, "dish", "Filling", None, stations(&["1–4", "6"], 5), "2034"));
    contents.push(content(2, "dish", "Filling", Some("nut-free"), stations(&["5"], 1), "370"));
    contents.push(ContentSlip {
        lesson: long_name(),
        out_by: None,
        ..content(3, "dish", "Filling", None, ForWhom { stage: true, ..ForWhom::default() }, "170")
    });
    let names = PEOPLE.iter().enumerate().map(|(i, p)| NameSlip {
        name: s(p),
        station: (i / 2 + 1).to_string(),
        lesson: s(CROWN),
        variant: if i / 2 == 4 { Some(s("nut-free")) } else { None },
        doubted: if i / 2 == 4 { list(&["nuts"]) } else { Vec::new() },
    });
    Slips {
        about: about(),
        contents,
        names: names
            .chain([NameSlip {
                name: long_name(),
                station: s("3"),
                lesson: long_name(),
                ..NameSlip::default()
            }])
            .collect(),
        positions: vec![Positions {
            sitting: s("Saturday"),
            lesson: s(CROWN),
            oven: s("Oven 1"),
            load: 1,
            from: at("15:50"),
            racks: vec![
                tins(&["Aoife Brennan", "Liam Okafor"], false),
                tins(&["Jonas Weidmann", "Petra Lindqvist"], false),
            ],
        }],
        ..Slips::new()
    }
}

pub fn all() -> Vec<(&'static str, Value)> {
    let packed = |title: &str, data: Value| PackSheet::of(title, 0, title == "Roll", data);
    let pack = Pack {
        about: about(),
        teacher_only: true,
        sheets: vec![
            packed("Allergens", json!(allergens())),
            packed("Roll", json!(roll(24))),
            packed("Run sheet", super::samples_staff::all()[0].1.clone()),
            packed("Labels", super::samples_take_home::all()[1].1.clone()),
            packed("Oven and cold", json!(oven())),
        ],
        ..Pack::new()
    };
    vec![
        ("prep-sheet", json!(super::samples_ahead::prep())),
        ("oven-and-cold", json!(oven())),
        ("allergen-sheet", json!(allergens())),
        ("temperature-log", json!(log())),
        ("roll", json!(roll(12))),
        ("slips", json!(slips())),
        ("pack-teacher", json!(pack)),
    ]
}
