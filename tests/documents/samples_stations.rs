//! Samples: a station that keeps nuts away, and one on Sunday.

use super::samples::*;
use benchroll::typeset::views::common::*;
use benchroll::typeset::views::instead::InPart;
use benchroll::typeset::views::station_holds::Holds;
use benchroll::typeset::views::station_sheet::{Instead, StationSheet};
use serde_json::Value;

pub fn nut_free() -> StationSheet {
    let mut sheet = station("5", &["Noor van Dijk", "Sanna Rautio"], Some("nut-free"));
    sheet.keep_away = list(&["tree nuts"]);
    sheet.holds = vec![
        Holds {
            how: s("contains"),
            what: list(&["milk"]),
            by: list(&["Whole milk", "Butter"]),
            lessons: vec![],
        },
        Holds {
            how: s("may-contain"),
            what: list(&["tree nuts", "walnut"]),
            by: list(&["Sunflower seeds"]),
            lessons: list(&[CROWN]),
        },
        Holds {
            how: s("unknown"),
            what: list(&["vanilla"]),
            by: list(&["Strong white flour"]),
            lessons: vec![],
        },
    ];
    sheet.instead = vec![Instead {
        lesson: s(CROWN),
        variant: s("nut-free"),
        doubted: list(&["nuts"]),
        swaps: vec![Phrase::new("station.swap", [("new", s("Sunflower seeds")), ("old", s("Walnuts"))])],
        by_part: vec![InPart {
            part: s("wash"),
            swaps: vec![Phrase::new("station.without", [("old", s("Eggs"))])],
        }],
        parts: vec![],
    }];
    sheet.weigh[2].lines[1] = w("Sunflower filling", "340", "");
    if let Some(step) = sheet.steps.iter_mut().find(|s| s.number.is_some()) {
        step.here = vec![
            InPart { part: String::new(), swaps: sheet.instead[0].swaps.clone() },
            sheet.instead[0].by_part[0].clone(),
        ];
        step.bowl_wash = s("come");
    }
    sheet
}

/// Sunday: braids and buns.
pub fn sunday_station() -> StationSheet {
    let step = |number: Option<u32>,
                from: &str,
                to: &str,
                lesson: &str,
                name: &str,
                say: &str,
                drawings: Vec<Value>| Step {
        number,
        from: at(from),
        to: at(to),
        lesson: s(lesson),
        name: s(name),
        hands: s(if number.is_some() { "students" } else { "nobody" }),
        say: s(say),
        drawings,
        ..Step::default()
    };
    StationSheet {
        about: About {
            late: Some(35),
            accepted: list(&["held-too-long: the custard is eaten within the hour."]),
            ..about()
        },
        station: s("12"),
        people: list(&["Aoife Brennan", "Liam Okafor", "Émile Fournier"]),
        sitting: sun(),
        makes: vec![making(3, BRAID, Some("egg-free")), making(9, BUNS, None)],
        keep_away: list(&["egg"]),
        weigh: vec![WeighList {
            lesson: s(BRAID),
            part: s("Wash"),
            how: s("weigh"),
            lines: vec![w("Whole milk", "18", "")],
            ..WeighList::default()
        }],
        rail: vec![
            block("9:30", "9:40", "", "watch"),
            block("9:40", "9:50", "1", "hands"),
            block("10:00", "10:10", "2", "hands"),
            block("10:20", "10:30", "3", "hands"),
        ],
        meanwhile: vec![block("10:10", "10:20", "", "waits"), block("10:30", "11:30", "", "waits")],
        steps: vec![
            Step {
                since: Some(Moment { day: sat().day, at: at("16:40") }),
                at: s("cold"),
                ..step(None, "9:30", "10:00", BRAID, "Night in the cold", "", vec![])
            },
            step(
                Some(1),
                "9:40",
                "9:50",
                BUNS,
                "Divide and round",
                "Weigh the pieces. Round tightly, seam down, a hand's width apart on the tray.",
                vec![],
            ),
            step(
                Some(2),
                "10:00",
                "10:10",
                BRAID,
                "Divide and roll strands",
                "Weigh four equal pieces for each braid. Roll to 42 cm, thicker in the middle.",
                vec![],
            ),
            step(
                None,
                "10:10",
                "10:20",
                BRAID,
                "Bench rest",
                "Covered, so that the strands lengthen without tearing.",
                vec![],
            ),
            step(
                Some(3),
                "10:20",
                "10:30",
                BRAID,
                "Braid",
                "Pinch the tops together. 4 over 2, 1 over 3, 2 over 3; then again from the start until the strands end. Tuck both ends under.",
                vec![draw(braid())],
            ),
        ],
        ..StationSheet::new()
    }
}
