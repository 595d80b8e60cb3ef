//! Samples: what goes home and what comes before.

use super::samples::*;
use benchroll::reckon::drawings::{Drawing, TinShape};
use benchroll::typeset::views::common::Measure;
use benchroll::typeset::views::home_recipe::{HomeLine, HomePart, HomeRecipe, HomeStep};
use benchroll::units::Centimetres;
use serde_json::{Value, json};

pub fn line(name: &str, grams: &str, by_volume: &[(&str, &str)]) -> HomeLine {
    HomeLine {
        name: s(name),
        grams: m(grams, "g"),
        by_volume: by_volume.iter().map(|(v, u)| Measure::new(*v, *u)).collect(),
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
            },
        ],
        tools: list(&[
            "a scale or cups and spoons",
            "a mixer with a hook, or your hands",
            "a rolling pin",
            "a round tin of 20 cm",
            "a probe thermometer",
        ]),
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
                by_hand: s("28 min. Slap and fold until smooth, then work in the butter a piece at a time."),
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

pub fn all() -> Vec<(&'static str, Value)> {
    vec![("home-recipe", json!(home_recipe()))]
}
