//! What is named as what holds a class: with plenty of it in the course's files the class fits.

use crate::support::{Said, Sealed};

const COURSE: &str = "course/course.toml";
const KITCHEN: &str = "course/kitchen.toml";
const LESSON: &str = "course/lessons/soft-loaf.toml";
const FORMULA: &str = "course/formulas/soft-loaf.toml";

/// In a file, what stands there, and what stands there instead.
type Edit = (&'static str, &'static str, String);

fn edit(file: &'static str, was: &'static str, is: &str) -> Edit {
    (file, was, is.to_owned())
}

/// The session ends then.
fn until(end: &str) -> Edit {
    (COURSE, "to = \"17:00\"", format!("to = \"{end}\""))
}

/// A block in the kitchen, before the tins.
fn thing(text: &str) -> Edit {
    (KITCHEN, "[[tins]]\n", format!("{text}\n[[tins]]\n"))
}

/// A block in the course, before its own steps.
fn block(text: &str) -> Edit {
    (COURSE, "[[steps]]\n", format!("{text}\n[[steps]]\n"))
}

/// A step of each station, between shaping and proofing.
fn step(rest: &str) -> Edit {
    let step =
        format!("{{ id = \"more\", on = \"piece\", per = \"station\", {rest} }},\n  {{ id = \"proof\"");
    (LESSON, "{ id = \"proof\"", step)
}

fn helper() -> Edit {
    edit(COURSE, "teacher = \"Mara Holt\"", "teacher = \"Mara Holt\"\nhelpers = [\"Ada Finch\"]")
}

/// Each station mixes a batch of its own.
fn apart() -> Edit {
    edit(LESSON, "up to 2 stations", "1 station")
}

fn with(sealed: Sealed, edits: &[Edit]) -> Sealed {
    edits.iter().fold(sealed, |sealed, (file, was, is)| sealed.edit(file, was, is))
}

fn planned(sealed: &Sealed) -> Said {
    sealed.run(&["plan", "course", "--format", "json"])
}

/// The class is held by that and nothing else; with the last edits it fits.
fn is_held_by(holds: &str, held: &[Edit], more: &[Edit]) {
    let sealed = with(Sealed::small(), held);
    let said = planned(&sealed);
    let told = said.json();
    assert_eq!(told["fits"], false, "{holds}: {said}");
    let sentence = told["conflict"]["sentence"].as_str().unwrap_or_else(|| panic!("{holds}: {said}"));
    assert!(sentence.ends_with(&format!("; what holds it: {holds}")), "{holds}: {sentence}");
    let said = planned(&with(sealed, more));
    assert_eq!(said.json()["fits"], true, "{holds}: {said}");
}

#[test]
fn tins_trays_tubs_and_tools() {
    is_held_by(
        "only 1 of loaf-tin",
        &[apart(), edit(KITCHEN, "count = 6\ninside", "count = 1\ninside")],
        &[edit(KITCHEN, "count = 1\ninside", "count = 6\ninside")],
    );
    let tray = "[[trays]]\nid = \"tray\"\ncount = 1\nsize = \"30 x 20 cm\"\nbetween = \"5 min\"\n";
    is_held_by(
        "only 1 of tray",
        &[
            apart(),
            edit(FORMULA, "tin = \"loaf-tin\"", "tray = \"tray\""),
            edit(LESSON, "tin until turn-out", "tray until turn-out"),
            thing(tray),
            until("16:55"),
        ],
        &[edit(KITCHEN, "count = 1\nsize", "count = 6\nsize")],
    );
    let tub = "[[tubs]]\nid = \"tub\"\ncount = 1\nholds = \"3 kg\"\noutside = \"26 x 18 x 12 cm\"\n";
    is_held_by(
        "only 1 of tub",
        &[
            apart(),
            edit(LESSON, "\"50 to 80 min\"", "\"50 to 80 min\", uses = [\"tub until shape\"]"),
            thing(tub),
            until("16:15"),
        ],
        &[edit(KITCHEN, "count = 1\nholds", "count = 4\nholds")],
    );
    is_held_by(
        "only 1 of probe",
        &[
            step("hands = \"students\", takes = \"20 min\", uses = [\"probe\"]"),
            thing("[[tools]]\nid = \"probe\"\ncount = 1\n"),
            until("15:55"),
        ],
        &[edit(KITCHEN, "id = \"probe\"\ncount = 1", "id = \"probe\"\ncount = 4")],
    );
}

#[test]
fn mixers_and_ovens() {
    is_held_by(
        "the mixers: 1 of mixer",
        &[apart(), edit(KITCHEN, "id = \"mixer\"\ncount = 2", "id = \"mixer\"\ncount = 1"), until("15:35")],
        &[edit(KITCHEN, "id = \"mixer\"\ncount = 1", "id = \"mixer\"\ncount = 4")],
    );
    let small = "count = 1\nracks = 1\nrack = \"30 x 20 cm\"";
    is_held_by(
        "the ovens: 1 of oven",
        &[edit(KITCHEN, "count = 1\nracks = 2\nrack = \"60 x 40 cm\"", small), until("15:50")],
        &[edit(KITCHEN, "id = \"oven\"\ncount = 1", "id = \"oven\"\ncount = 3")],
    );
    // Two loaves of each station, in one oven at two temperatures.
    let lesson = Sealed::small().read(LESSON).replace("180 C", "220 C");
    let lesson = lesson.replace("12 to 18 min, usually 15", "5 min");
    let two = edit(COURSE, "lessons = [\"soft-loaf\"]", "lessons = [\"soft-loaf\", \"hot-loaf\"]");
    let hot = |ovens: &str| {
        let sealed = Sealed::small().file("course/lessons/hot-loaf.toml", &lesson);
        planned(&with(
            sealed,
            &[two.clone(), until("15:50"), edit(KITCHEN, "id = \"oven\"\ncount = 1", ovens)],
        ))
    };
    let said = hot("id = \"oven\"\ncount = 1");
    let sentence = said.json()["conflict"]["sentence"].clone();
    assert!(
        sentence
            .as_str()
            .is_some_and(|s| s.ends_with("what holds it: an oven has one temperature at a time")),
        "{said}"
    );
    assert_eq!(hot("id = \"oven\"\ncount = 2").json()["fits"], true);
}

#[test]
fn circuits_burners_and_sinks() {
    let circuit = "sinks = 1\n\n[[circuits]]\nid = \"kitchen-1\"\ncarries = \"16 A\"\nvolts = 230\n";
    let ovens = "count = 2\nracks = 1\nwatts = \"2000 W\"\ncircuit = \"kitchen-1\"\nrack = \"30 x 20 cm\"";
    is_held_by(
        "what the circuit `kitchen-1` carries (3680 W)",
        &[
            edit(KITCHEN, "sinks = 1\n", circuit),
            edit(KITCHEN, "count = 1\nracks = 2\nrack = \"60 x 40 cm\"", ovens),
            until("15:50"),
        ],
        &[edit(KITCHEN, "carries = \"16 A\"", "carries = \"63 A\"")],
    );
    let boils = step("at = \"hob\", hands = \"students\", takes = \"20 min\"");
    is_held_by(
        "there is one burner",
        &[boils.clone(), thing("[[hobs]]\nid = \"hob\"\nburners = 1\n"), until("15:55")],
        &[edit(KITCHEN, "burners = 1", "burners = 4")],
    );
    is_held_by(
        "there is one sink",
        &[step("at = \"sink\", hands = \"students\", takes = \"20 min\""), until("15:55")],
        &[edit(KITCHEN, "sinks = 1", "sinks = 4")],
    );
}

#[test]
fn shelves_cold_frozen_warm_and_of_a_rack() {
    let cupboard = |kind: &str, id: &str, shelf: &str, at: &str| {
        thing(&format!(
            "[[{kind}]]\nid = \"{id}\"\ncount = 1\nshelves = 1\nshelf = \"{shelf}\"\nclear = \"15 cm\"\nat = \"{at}\"\n"
        ))
    };
    let firm = |at: &str| step(&format!("at = \"{at}\", hands = \"nobody\", stands = \"30 to 40 min\""));
    for (kind, id, place, at) in [("cold", "fridge", "cold", "4 C"), ("freezers", "deep", "freezer", "-18 C")]
    {
        is_held_by(
            &format!("the 1 shelf of {id}"),
            &[firm(place), cupboard(kind, id, "30 x 20 cm", at), until("16:15")],
            &[edit(KITCHEN, "shelves = 1\n", "shelves = 6\n")],
        );
    }
    // Both go into the oven at once: without a second shelf never, however late.
    is_held_by(
        "the 1 shelf of proofer",
        &[
            edit(LESSON, "\"proof\", on = \"piece\", per = \"station\", at = \"room\"", WARM),
            cupboard("warm", "proofer", "40 x 20 cm", "28 C"),
        ],
        &[edit(KITCHEN, "shelves = 1\n", "shelves = 6\n")],
    );
    is_held_by(
        "the 1 shelf of rack",
        &[
            edit(KITCHEN, "shelves = 4\nshelf = \"60 x 40 cm\"", "shelves = 1\nshelf = \"30 x 15 cm\""),
            until("15:45"),
        ],
        &[edit(KITCHEN, "shelves = 1\n", "shelves = 6\n")],
    );
}

const WARM: &str = "\"proof\", on = \"piece\", per = \"station\", at = \"warm\"";

#[test]
fn the_hands_of_teacher_and_helpers() {
    let by = |hands: &str| step(&format!("hands = \"{hands}\", takes = \"20 min\""));
    let helpers = "teacher = \"Mara Holt\"\nhelpers = [\"Ada Finch\", \"Bo Lund\", \"Cleo Ray\"]";
    // Nobody has two teachers: what is the teacher's is given to the staff, and more of them come.
    is_held_by(
        "there is one teacher",
        &[by("teacher"), until("15:55")],
        &[
            edit(LESSON, "hands = \"teacher\"", "hands = \"staff\""),
            edit(COURSE, "teacher = \"Mara Holt\"", helpers),
        ],
    );
    is_held_by(
        "there is one teacher",
        &[by("staff"), until("15:55")],
        &[edit(COURSE, "teacher = \"Mara Holt\"", helpers)],
    );
    is_held_by(
        "there is one helper",
        &[by("helper"), helper(), until("15:55")],
        &[edit(COURSE, "helpers = [\"Ada Finch\"]", "helpers = [\"Ada Finch\", \"Bo Lund\"]")],
    );
    is_held_by("there is no helper", &[by("helper")], &[edit(COURSE, "teacher = \"Mara Holt\"", helpers)]);
}

#[test]
fn hours_and_breaks_of_the_staff() {
    let look = || step("hands = \"helper\", takes = \"20 min\"");
    let row = |rest: &str| block(&format!("[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-06\n{rest}\n"));
    is_held_by(
        "the hours of Ada Finch",
        &[helper(), look(), row("there = \"14:00 to 18:00\""), until("16:30")],
        &[edit(COURSE, "there = \"14:00 to", "there = \"11:00 to")],
    );
    is_held_by(
        "the break of Ada Finch from Sat 13:20 to Sat 14:10",
        &[helper(), look(), row("breaks = \"13:20 to 14:10\""), until("16:40")],
        &[edit(COURSE, "breaks = \"13:20 to 14:10\"", "breaks = \"11:20 to 11:40\"")],
    );
    // An oven that is slow to heat is hot when somebody has been there for long enough.
    is_held_by(
        "the staff's hours",
        &[edit(KITCHEN, "heats = \"9 C a min\"", "heats = \"0.6 C a min\""), until("15:40")],
        &[edit(COURSE, "staff = \"11:00 to", "staff = \"07:00 to")],
    );
    // What is made ahead lies before a session: ten minutes are too few for it, and that is shown without a search.
    let ahead = [
        edit(COURSE, "staff = \"11:00 to", "staff = \"11:50 to"),
        edit(LESSON, "makes = {", "made-ahead = { dough = \"always, up to rise\" }\nmakes = {"),
    ];
    let sealed = with(Sealed::small(), &ahead);
    let said = planned(&sealed);
    let holds = "`soft-loaf.mix` takes 15 min: it is made ahead, and before a session somebody is there for 10 min at a stretch";
    let sentence = said.json()["conflict"]["sentence"].clone();
    assert!(sentence.as_str().is_some_and(|s| s.contains(holds)), "{said}");
    let more = [edit(COURSE, "staff = \"11:50 to", "staff = \"08:00 to")];
    assert_eq!(planned(&with(sealed, &more)).json()["fits"], true);
}

/// Two doughs at each station, each with work for one: a student alone does one after the other, two do both at once.
#[test]
fn the_hands_of_students() {
    let mixes = "hands = \"students\", takes = \"12 to 18 min, usually 15\", share = \"up to 2 stations\"";
    let shapes = "hands = \"students\", takes = \"8 to 14 min, usually 10\"";
    let seated = |seats: u32| {
        let sealed = with(
            Sealed::small(),
            &[
                edit(COURSE, "lessons = [\"soft-loaf\"]", "lessons = [\"soft-loaf\", \"other-loaf\"]"),
                edit(LESSON, mixes, "hands = \"one student\", takes = \"30 min\", share = \"1 station\""),
                edit(LESSON, shapes, "hands = \"one student\", takes = \"30 min\""),
                edit(KITCHEN, "id = \"mixer\"\ncount = 2", "id = \"mixer\"\ncount = 6"),
                edit(KITCHEN, "id = \"oven\"\ncount = 1", "id = \"oven\"\ncount = 2"),
                edit(KITCHEN, "seats = 2", &format!("seats = {seats}")),
                until("16:05"),
            ],
        );
        let lesson = sealed.read(LESSON);
        let roll = "name,status,with,station,avoids,needs\nNell Abbot,coming,,,,\nOve Brandt,coming,,,,\n";
        planned(&sealed.file("course/lessons/other-loaf.toml", lesson).file("course/roll.csv", roll))
    };
    let said = seated(1);
    let sentence = said.json()["conflict"]["sentence"].clone();
    let holds = "; what holds it: a station has the hands of its own students only";
    assert!(sentence.as_str().is_some_and(|s| s.ends_with(holds)), "{said}");
    assert_eq!(seated(2).json()["fits"], true);
}

#[test]
fn students_sessions_and_waits() {
    // Nothing more makes the steps shorter: a longer session is what there is.
    is_held_by(
        "the steps one after another, and no hands or things more make them shorter",
        &[until("15:10")],
        &[edit(COURSE, "to = \"15:10\"", "to = \"17:00\"")],
    );
    let tea = "[[steps]]\nid = \"tea\"\nname = \"Tea\"\nwhen = \"between 85 and 85 min\"\nhands = \"nobody\"\npause = true\n\
               takes = \"30 min\"\n";
    is_held_by(
        "soft-loaf.more comes at most 10 min after shape",
        &[
            step("hands = \"students\", takes = \"10 min\", carry = \"up to 10 min\""),
            block(tea),
            until("16:05"),
        ],
        &[edit(LESSON, "carry = \"up to 10 min\"", "carry = \"up to 60 min\"")],
    );
}
