//! Samples: what staff make ahead.

use super::samples::*;
use benchroll::typeset::views::common::*;
use benchroll::typeset::views::prep_sheet::{PrepSheet, PrepTask};

pub fn prep() -> PrepSheet {
    let task =
        |number: u32, from: &str, to: &str, lesson: &str, name: &str, place: &str, say: &str| PrepTask {
            step: Step {
                number: Some(number),
                from: at(from),
                to: at(to),
                lesson: s(lesson),
                name: s(name),
                hands: s("staff"),
                place: s(place),
                say: s(say),
                ..Step::default()
            },
            ..PrepTask::default()
        };
    let mut cook = task(
        2,
        "15:40",
        "15:55",
        CROWN,
        "Cook the filling",
        "Hob",
        "Simmer all of it for two minutes, stirring. Flat in a tray.",
    );
    cook.step.facts = vec![fact("core", &[("80", "°C")])];
    cook.step.cautions = list(&["hot-sugar"]);
    cook.for_whom = Some(stations(&["1–4", "6"], 5));
    cook.why = s("always");
    cook.slips = vec![SlipRef { on: s("dish"), number: s("1") }];
    cook.weigh = vec![WeighList {
        lesson: s(CROWN),
        part: s("Filling"),
        how: s("weigh"),
        lines: vec![
            w("Walnuts, chopped", "916", ""),
            w("Whole milk", "468", ""),
            w("Caster sugar", "346", ""),
            w("Unsalted butter", "203", ""),
            w("Honey", "81", ""),
            w("Ground cinnamon", "20", ""),
        ],
        total: Some(m("2034", "g")),
        ..WeighList::default()
    }];
    let mut free = task(
        1,
        "15:10",
        "15:25",
        CROWN,
        "Cook the filling",
        "Hob",
        "Simmer all of it for two minutes, stirring. Flat in a tray.",
    );
    free.step.facts = vec![fact("core", &[("80", "°C")])];
    free.for_whom = Some(stations(&["5"], 1));
    free.why = s("always");
    free.slips = vec![SlipRef { on: s("dish"), number: s("2") }];
    free.weigh = vec![WeighList {
        lesson: s(CROWN),
        part: s("Filling"),
        variant: Some(s("nut-free")),
        how: s("weigh"),
        note: s("Before the walnuts are opened."),
        lines: vec![
            w("Sunflower seeds", "166", ""),
            w("Whole milk", "85", ""),
            w("Caster sugar", "63", ""),
            w("Unsalted butter", "37", ""),
            w("Honey", "14.8", ""),
            w("Ground cinnamon", "3.7", ""),
        ],
        total: Some(m("370", "g")),
        ..WeighList::default()
    }];
    let mut mix = task(
        3,
        "16:10",
        "16:30",
        CROWN,
        "Mix",
        "Large mixer",
        "Everything but the butter until the dough is smooth, about 8 minutes. Then the butter, a piece at a time; wait until each has gone.",
    );
    mix.step.facts = vec![fact("aim", &[("25", "°C")])];
    mix.step.cautions = list(&["mixer", "raw-dough"]);
    mix.for_whom = Some(ForWhom { stage: true, ..stations(&["1–3"], 3) });
    mix.why = s("always");
    mix.slips = vec![SlipRef { on: s("tub"), number: s("1–3") }];
    mix.weigh = vec![WeighList {
        lesson: s(CROWN),
        part: s("Dough"),
        how: s("weigh"),
        lines: vec![
            w("Scald", "381", ""),
            w("Strong white flour", "1536", ""),
            w("Whole milk", "368", ""),
            w("Eggs", "334", "6 whole and 34 g"),
            w("Caster sugar", "201", ""),
            w("Fine salt", "30", ""),
            w("Instant yeast", "22", ""),
            w("Ground cinnamon", "6.7", ""),
            w("Unsalted butter", "368", ""),
        ],
        total: Some(m("3093", "g")),
        ..WeighList::default()
    }];
    PrepSheet {
        about: about(),
        day: friday(),
        ahead: true,
        begins: at("15:10"),
        ends: at("19:00"),
        from: at("15:00"),
        to: at("20:00"),
        rail: vec![
            block("15:10", "15:25", "1", "hands"),
            block("15:40", "15:55", "2", "hands"),
            block("16:10", "16:30", "3", "hands"),
        ],
        meanwhile: vec![block("15:25", "19:00", "", "waits"), block("16:30", "17:30", "", "waits")],
        tasks: vec![
            free,
            cook,
            mix,
            PrepTask {
                step: Step {
                    from: at("16:30"),
                    to: at("17:30"),
                    lesson: s(CROWN),
                    name: s("Rise"),
                    hands: s("nobody"),
                    at: s("room"),
                    say: s("Cover. It should be half as big again."),
                    ..Step::default()
                },
                ..PrepTask::default()
            },
        ],
        ..PrepSheet::new()
    }
}
