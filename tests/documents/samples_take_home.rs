//! Samples: what goes home and what comes before.

use super::samples::*;
use benchroll::reckon::drawings::{Drawing, TinShape};
use benchroll::typeset::views::bake_at_home::BakeAtHome;
use benchroll::typeset::views::common::{About, Measure, Missing};
use benchroll::typeset::views::home_recipe::{
    HomeLine, HomePart, HomeRecipe, HomeStep, HomeYeast, OtherYeast,
};
use benchroll::typeset::views::incident_note::IncidentNote;
use benchroll::typeset::views::joining_note::JoiningNote;
use benchroll::typeset::views::label_sheet::{Geometry, Label, LabelPart, Labels};
use benchroll::typeset::views::pack::{Pack, PackSheet};
use benchroll::typeset::views::room_card::RoomCard;
use benchroll::units::Centimetres;
use serde_json::{Value, json};

pub fn line(name: &str, grams: &str, by_volume: &[(&str, &str)]) -> HomeLine {
    HomeLine {
        name: s(name),
        grams: m(grams, "g"),
        by_volume: by_volume.iter().map(|(v, u)| Measure::new(*v, *u)).collect(),
        packets: None,
        about: by_volume.iter().any(|(_, u)| *u == "egg"),
        weigh_only: by_volume.is_empty() && name.contains("yeast"),
        off: if name == "Honey" { s("-5") } else { String::new() },
    }
}

pub fn home_step(number: u32, from: i64, to: i64, name: &str, say: &str) -> HomeStep {
    HomeStep { number, from, to, name: s(name), say: s(say), ..HomeStep::default() }
}

fn home_recipe() -> HomeRecipe {
    HomeRecipe {
        about: about(),
        name: s("Walnut crown"),
        makes: 1,
        tin: s("a round tin of 20 cm, 6 cm deep"),
        hands_on: 95,
        in_all: 910,
        parts: vec![
            HomePart {
                name: s("Scald"),
                lines: vec![
                    line("Strong white flour", "22", &[("2 3/4", "tbsp")]),
                    line("Whole milk", "44", &[("3", "tbsp")]),
                ],
                total: m("66", "g"),
                least: None,
            },
            HomePart {
                name: s("Dough"),
                lines: vec![
                    line("Scald", "62", &[]),
                    line("Strong white flour", "250", &[("2", "cup")]),
                    line("Whole milk", "60", &[("1/4", "cup")]),
                    line("Eggs", "54", &[("1", "egg")]),
                    line("Caster sugar", "33", &[("2 1/2", "tbsp")]),
                    line("Fine salt", "4.9", &[("3/4", "tsp")]),
                    line("Instant yeast", "3.5", &[("1 1/8", "tsp")]),
                    line("Ground cinnamon", "1.1", &[("1/2", "tsp")]),
                    line("Unsalted butter", "60", &[("1/4", "cup"), ("1", "tsp")]),
                ],
                total: m("515", "g"),
                least: None,
            },
            HomePart {
                name: s("Walnut filling"),
                lines: vec![
                    line("Walnuts, chopped", "83", &[("2/3", "cup")]),
                    line("Whole milk", "43", &[("3", "tbsp")]),
                    line("Caster sugar", "31", &[("2 1/2", "tbsp")]),
                    line("Unsalted butter", "18", &[("1 1/3", "tbsp")]),
                    line("Honey", "7", &[("1", "tsp")]),
                    line("Ground cinnamon", "1.8", &[("3/4", "tsp")]),
                ],
                total: m("185", "g"),
                least: Some(m("600", "g")),
            },
        ],
        tools: list(&["scale", "bowl", "mixer", "pin", "thermometer"]),
        own_tools: list(&["Sheet of baking paper"]),
        yeast: Some(HomeYeast {
            kind: s("instant"),
            amount: m("3.4", "g"),
            instead: vec![
                OtherYeast { kind: s("fresh"), amount: m("10.3", "g") },
                OtherYeast { kind: s("active-dry"), amount: m("4.1", "g") },
            ],
        }),
        steps: vec![
            home_step(
                1,
                0,
                10,
                "Scald",
                "Whisk flour and milk over a gentle heat until it draws together like a thick paste. Cool to hand-warm.",
            ),
            HomeStep {
                waits: true,
                until: Some(120),
                ..home_step(2, 10, 40, "Cool", "Cover the paste with film.")
            },
            HomeStep {
                by_hand: vec![24, 34],
                facts: vec![fact("aim", &[("25", "°C")])],
                cautions: list(&["mixer", "raw-dough"]),
                ..home_step(
                    3,
                    40,
                    60,
                    "Mix",
                    "Everything but the butter until the dough is smooth, about 8 minutes. Then the butter, a piece at a time; wait until each has gone. Stop when a walnut of dough stretches to a thin, clear pane.",
                )
            },
            HomeStep {
                waits: true,
                until: Some(70),
                ..home_step(4, 60, 105, "Rise", "Cover. It should be half as big again.")
            },
            HomeStep {
                waits: true,
                until: Some(1440),
                ..home_step(5, 105, 585, "Chill", "Flat in a covered box, in the fridge.")
            },
            home_step(
                6,
                585,
                600,
                "Cook the filling",
                "Simmer all of it for two minutes, stirring. Flat on a plate, into the cold: it must be cool but pliable.",
            ),
            HomeStep {
                drawings: vec![draw(Drawing::RollOut { width: cm(30), length: cm(40) })],
                ..home_step(
                    7,
                    690,
                    705,
                    "Roll",
                    "Dust the bench lightly. Roll to 30 × 40 cm; turn it as you go; square the corners.",
                )
            },
            HomeStep {
                drawings: vec![
                    draw(Drawing::Spread { width: cm(30), length: cm(40), bare: cm(2) }),
                    draw(Drawing::RollUp {
                        width: cm(30),
                        length: cm(40),
                        thickness: Centimetres::from_thousandths(800),
                    }),
                ],
                ..home_step(
                    8,
                    705,
                    715,
                    "Fill",
                    "Spread to the edges but for 2 cm on the far side. Roll up from the near side, firmly, without stretching. Seam down.",
                )
            },
            HomeStep {
                drawings: vec![draw(Drawing::Slice { length: cm(30), diameter: cm(7), slices: 8 })],
                cautions: list(&["knife"]),
                ..home_step(
                    9,
                    715,
                    720,
                    "Cut",
                    "Mark 8 equal slices, then cut with one draw of the knife. Wipe it between cuts.",
                )
            },
            HomeStep {
                drawings: vec![draw(Drawing::PlaceInTin {
                    tin: TinShape::Round { diameter: cm(20), depth: cm(6) },
                    fill: cm(3),
                    pieces: 8,
                })],
                ..home_step(
                    10,
                    720,
                    725,
                    "Pan",
                    "Stand the slices in the tin, cut side up and leaning, in a ring. Leave a finger's width at the wall.",
                )
            },
            HomeStep {
                waits: true,
                until: Some(110),
                ..home_step(
                    11,
                    725,
                    810,
                    "Proof",
                    "Ready when a fingertip leaves a dent that comes back slowly. Heat the oven in the last half hour.",
                )
            },
            HomeStep {
                facts: vec![
                    fact("oven", &[("190", "°C")]),
                    fact("fan", &[("170", "°C")]),
                    fact("core", &[("90", "°C"), ("94", "°C")]),
                ],
                cautions: list(&["oven"]),
                ..home_step(
                    12,
                    810,
                    845,
                    "Brush and bake",
                    "Brush thinly. No pools between the slices. Ready at the core temperature, measured in the middle of a slice.",
                )
            },
            HomeStep {
                waits: true,
                ..home_step(13, 850, 910, "Cool", "On the rack, not in a box: the crust must stay dry.")
            },
        ],
        oven: vec![fact("no-fan", &[("190", "°C")]), fact("fan", &[("170", "°C")])],
        keep: list(&["Keeps two days in a paper bag; freezes well in slices."]),
        contains: list(&["cereals containing gluten (wheat)", "milk", "eggs", "nuts (walnut)"]),
        may_contain: list(&["nuts (hazelnut, almond)"]),
        figures: vec![fact("hydration", &[("55", "%")])],
        ..HomeRecipe::new()
    }
}

fn part(text: &str, strong: bool) -> LabelPart {
    LabelPart { text: s(text), strong }
}

pub fn label(name: &str, whose: &str, variant: Option<&str>) -> Label {
    Label {
        order_known: true,
        count: 1,
        name: s(name),
        variant: variant.map(s),
        doubted: variant.map_or_else(Vec::new, |_| list(&["nuts"])),
        whose: s(whose),
        ingredients: vec![
            part("wheat", true),
            part(" flour, chopped ", false),
            part("walnuts", true),
            part(", whole ", false),
            part("milk", true),
            part(", ", false),
            part("egg", true),
            part(", unsalted butter (", false),
            part("milk", true),
            part("), caster sugar, honey, salt, yeast, cinnamon.", false),
        ],
        contains: list(&["cereals containing gluten (wheat)", "milk", "eggs", "nuts (walnut)"]),
        may_contain: list(&["nuts (hazelnut, almond)"]),
        made: Some(saturday()),
        eat_by: None,
        keep: s("Keep dry, in paper; not in the fridge."),
        net: Some(m("617", "g")),
        ..Label::default()
    }
}

fn labels(columns: u32, rows: u32, width: f64, height: f64, n: usize) -> Labels {
    let names = ["Aoife Brennan", "Liam Okafor", "Noor van Dijk", "Émile Fournier"];
    let mut labels: Vec<Label> = (0..n)
        .map(|i| label(CROWN, names[i % 4], if i % 4 == 2 { Some("nut-free") } else { None }))
        .collect();
    labels.push(Label {
        name: long_name(),
        ingredients: vec![part(&long_name().repeat(3), false)],
        ..label("", "Jonas Weidmann", None)
    });
    labels.push(Label {
        unbaked: true,
        eat_by: Some(sunday()),
        unknown: list(&["Vanilla extract"]),
        ..label(BUNS, UGLY, None)
    });
    Labels {
        about: about(),
        geometry: Geometry { across: columns, down: rows, width, height, ..Geometry::default() },
        labels,
        ..Labels::new()
    }
}

fn bake_at_home() -> BakeAtHome {
    BakeAtHome {
        about: about(),
        name: s(CROWN),
        variant: Some(s("nut-free")),
        whose: s("Noor van Dijk"),
        keep_at: Some(m("5", "°C")),
        on_the_way: Some(60),
        at_home: None,
        until: Some(moment(sunday(), "13:00")),
        steps: vec![
            HomeStep {
                waits: true,
                until: Some(120),
                ..home_step(
                    1,
                    0,
                    100,
                    "Proof",
                    "In a warm corner, covered. Ready when a fingertip leaves a dent that comes back slowly.",
                )
            },
            HomeStep {
                gets: vec![benchroll::typeset::views::common::Gets {
                    part: s("Egg wash"),
                    amount: m("8", "g"),
                    each: None,
                    count: 1,
                }],
                ..home_step(2, 100, 105, "Brush", "Thinly.")
            },
            HomeStep {
                facts: vec![
                    fact("oven", &[("190", "°C")]),
                    fact("fan", &[("170", "°C")]),
                    fact("core", &[("90", "°C"), ("94", "°C")]),
                ],
                cautions: list(&["oven", "hot-tin"]),
                ..home_step(
                    3,
                    105,
                    140,
                    "Bake",
                    "Ready at the core temperature, measured in the middle of a slice.",
                )
            },
            HomeStep { waits: true, ..home_step(4, 145, 205, "Cool", "Loosen, turn out, cool on a rack.") },
        ],
        oven: vec![fact("no-fan", &[("190", "°C")]), fact("fan", &[("170", "°C")])],
        raw: true,
        raw_egg: true,
        label: Some(Label {
            unbaked: true,
            eat_by: Some(sunday()),
            bake_by: Some(moment(sunday(), "13:00")),
            ..label(CROWN, "Noor van Dijk", Some("nut-free"))
        }),
        ..BakeAtHome::new()
    }
}

fn joining_note() -> JoiningNote {
    JoiningNote {
        about: about(),
        to: s("Aoife"),
        sittings: vec![sat(), sun()],
        address: s("Old Dairy Yard, Larkfield"),
        contact: s("hello@larkfield.example.org"),
        makes: vec![making(1, CROWN, None), making(1, BRAID, None), making(3, BUNS, None)],
        bring: list(&[
            "An apron and closed shoes; tie long hair back.",
            "A box of about 30 × 30 × 12 cm to take your crown home in.",
            "A cloth to cover your dough.",
        ]),
        contains: list(&["cereals containing gluten (wheat)", "milk", "eggs", "nuts (walnut)"]),
        may_contain: list(&["soya"]),
        unread: list(&["Vanilla extract"]),
        answer_by: Some(jiff::civil::date(2027, 2, 26).into()),
        forget_by: Some(jiff::civil::date(2027, 4, 7).into()),
        under_age: s("Anyone under sixteen comes with an adult and keeps away from ovens, hobs and mixers."),
        fee: s("EUR 185.00"),
        ..JoiningNote::new()
    }
}

/// Nothing is written down: every blank is there.
fn incident_note() -> IncidentNote {
    IncidentNote { about: about(), stations: vec!["1".to_owned(), "2".to_owned()], ..IncidentNote::new() }
}

fn room_card() -> RoomCard {
    RoomCard {
        about: about(),
        emergency: s("112"),
        address: s("Old Dairy Yard, Larkfield"),
        calls: s("Ines Calder; Tomas Birch when she is with the injured person."),
        first_aid: s("Green box by the office door; the auto-injector hangs beside it."),
        cautions: list(&["mixer", "oven", "hot-tin", "hot-sugar", "knife", "raw-dough", "wet-floor"]),
        ..RoomCard::new()
    }
}

pub fn all() -> Vec<(&'static str, Value)> {
    let packed = |title: &str, data: Value| PackSheet::of(title, 0, false, data);
    let pack = Pack {
        about: About { missing: Some(Missing { there: 6, stations: s("7–12") }), ..about() },
        station: s("12"),
        not_there: true,
        sheets: vec![
            packed("Station 1, Saturday", json!(station("1", &["Aoife Brennan", "Liam Okafor"], None))),
            packed("Walnut crown", json!(home_recipe())),
            packed("Bake at home", json!(bake_at_home())),
        ],
        ..Pack::new()
    };
    vec![
        ("home-recipe", json!(home_recipe())),
        ("labels", json!(labels(2, 5, 99.0, 57.0, 12))),
        ("small-labels", json!(labels(3, 7, 63.5, 38.1, 4))),
        ("bake-at-home", json!(bake_at_home())),
        ("joining-note", json!(joining_note())),
        ("room-card", json!(room_card())),
        ("incident-note", json!(incident_note())),
        ("pack-station", json!(pack)),
    ]
}
