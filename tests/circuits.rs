//! A circuit that holds a class: it is named with what it carries, and what helps is another circuit, never more on this one.

use crate::support::{Said, Sealed};

const KITCHEN: &str = "course/kitchen.toml";
const WALL: &str = "volts = 230\n";

fn one_circuit() -> Sealed {
    Sealed::copy_of("tests/courses/one-circuit")
}

/// The same kitchen with a second circuit that is written, and carries so much.
fn with_hall(carries: &str) -> Sealed {
    let hall = format!("{WALL}\n[[circuits]]\nid = \"hall\"\ncarries = \"{carries}\"\nvolts = 230\n");
    one_circuit().edit(KITCHEN, WALL, &hall)
}

/// One of the two ovens is a kind of its own, on this circuit.
fn one_oven_on(sealed: Sealed, circuit: &str) -> Sealed {
    let text = sealed.read(KITCHEN);
    let (before, rest) = text.split_once("[[ovens]]\n").unwrap();
    let (oven, after) = rest.split_once("\n[[").unwrap();
    let one = oven.replace("count = 2", "count = 1");
    let other = one.replace("id = \"oven\"", "id = \"other-oven\"").replace("kitchen-1", circuit);
    sealed.file(KITCHEN, format!("{before}[[ovens]]\n{one}\n[[ovens]]\n{other}\n[[{after}"))
}

fn levers(sealed: &Sealed) -> (Said, Vec<String>) {
    let said = sealed.run(&["plan", "course", "--levers", "--format", "json"]);
    let levers = said.json()["levers"].as_array().unwrap_or_else(|| panic!("{said}")).clone();
    let levers = levers.iter().map(|lever| lever.as_str().unwrap().to_owned()).collect();
    (said, levers)
}

fn fits(sealed: &Sealed) -> bool {
    sealed.run(&["plan", "course", "--format", "json"]).json()["fits"] == true
}

#[test]
fn a_circuit_that_holds_a_class_is_named_with_what_it_carries() {
    let named = "what holds it: what the circuit `kitchen-1` carries (3680 W)";
    let (said, all) = levers(&one_circuit());
    let conflict = &said.json()["conflict"];
    assert!(conflict["sentence"].as_str().unwrap().ends_with(named), "{conflict}");
    let told = one_circuit().run(&["plan", "course"]).to_string();
    assert!(told.split_whitespace().collect::<Vec<_>>().join(" ").contains(named), "{told}");

    // Another circuit for one of the ovens, if whoever answers for the wiring agrees; for the mixer it changes nothing.
    let elsewhere = "put one of Little oven on a circuit of its own that has 2000 W to spare for hours, once an electrician \
                     or whoever answers for the building's wiring has said that it may";
    assert!(all.iter().any(|lever| lever == elsewhere), "{all:?}");
    assert!(!all.iter().any(|lever| lever.contains("mixer on")), "{all:?}");
    // Nobody is told to draw more than the circuit carries.
    assert!(all.iter().all(|lever| !lever.contains("kitchen-1") && !lever.contains("fuse")), "{all:?}");
    let spare = format!("{WALL}\n[[circuits]]\nid = \"hall\"\ncarries = \"2000 W\"\n");
    assert!(fits(&one_oven_on(one_circuit().edit(KITCHEN, WALL, &spare), "hall")));
}

#[test]
fn a_circuit_that_is_written_and_has_room_is_the_one_that_is_named() {
    let (_, all) = levers(&with_hall("10 A"));
    let ovens: Vec<&String> = all.iter().filter(|lever| lever.contains("Little oven")).collect();
    assert_eq!(
        ovens,
        [
            "put one of Little oven on the circuit `hall`, once an electrician or whoever answers for the building's wiring \
          has said that it may"
        ]
    );
    assert!(fits(&one_oven_on(with_hall("10 A"), "hall")));
    // One that carries too little is none.
    let (_, all) = levers(&with_hall("6 A"));
    let ovens: Vec<&String> = all.iter().filter(|lever| lever.contains("Little oven")).collect();
    assert!(ovens.iter().all(|lever| lever.contains("a circuit of its own that has 2000 W")), "{ovens:?}");
    assert!(!ovens.is_empty() && !fits(&one_oven_on(with_hall("6 A"), "hall")));
}

/// A share for what runs for hours, and what is never off, are part of the figure.
#[test]
fn the_figure_is_of_what_is_left_for_hours() {
    let share = format!("{WALL}continuous = \"80 %\"\n");
    let sealed = one_circuit().edit(KITCHEN, WALL, &share);
    let (said, _) = levers(&sealed.edit(KITCHEN, "[[racks]]\n", FRIDGE));
    let sentence = said.json()["conflict"]["sentence"].as_str().unwrap().to_owned();
    assert!(
        sentence.ends_with(
            "what the circuit `kitchen-1` carries (2944 W for hours, 200 W of it for what is never off)"
        ),
        "{sentence}"
    );
}

const FRIDGE: &str = "[[cold]]\nid = \"fridge\"\nshelves = 4\nshelf = \"60 x 40 cm\"\nclear = \"15 cm\"\nat = \"4 C\"\nwatts = \"200 W\"\n\
                      circuit = \"kitchen-1\"\n\n[[racks]]\n";

/// What is never off is in no plan, so that no plan shows that it asks too much of a circuit.
#[test]
fn what_is_never_off_is_not_put_on_a_circuit_that_does_not_carry_it() {
    let with = |hall: &str| {
        let sealed = with_hall(hall).edit(KITCHEN, "carries = \"16 A\"", "carries = \"4100 W\"");
        levers(&sealed.edit(KITCHEN, "[[racks]]\n", FRIDGE)).1
    };
    let moved = |all: &[String]| all.iter().any(|lever| lever.contains("fridge on the circuit `hall`"));
    let (weak, strong) = (with("100 W"), with("200 W"));
    assert!(!moved(&weak) && weak.iter().any(|lever| lever.contains("of its own")), "{weak:?}");
    assert!(moved(&strong), "{strong:?}");
}

/// Nobody knows what is left of a circuit where nobody knows what hangs on it.
#[test]
fn a_circuit_with_something_unknown_on_it_is_not_named() {
    let mixer = "[[mixers]]\nid = \"old-mixer\"\ncount = 1\nbowl = \"4.8 l\"\nlimit = { rich = \"1.2 kg\", enriched = \"1.5 kg\" }\n\
                 least = \"300 g\"\ncircuit = \"hall\"\n\n[[ovens]]\n";
    let (_, all) = levers(&with_hall("10 A").edit(KITCHEN, "[[ovens]]\n", mixer));
    assert!(all.iter().all(|lever| !lever.contains("hall")), "{all:?}");
    assert!(all.iter().any(|lever| lever.contains("of its own")), "{all:?}");
}

/// No plan at all, however late: nothing may be on. One oven elsewhere bakes one load after the other.
#[test]
fn a_circuit_that_carries_no_oven_is_named_too() {
    let sealed = one_circuit().edit(KITCHEN, "carries = \"16 A\"", "carries = \"6 A\"");
    let sealed = sealed.edit("course/course.toml", "to = \"15:45\"", "to = \"17:00\"");
    let (said, all) = levers(&sealed);
    assert_eq!(said.json()["overrun_minutes"], serde_json::Value::Null, "{said}");
    let sentence = said.json()["conflict"]["sentence"].as_str().unwrap().to_owned();
    assert!(sentence.ends_with("what holds it: what the circuit `kitchen-1` carries (1380 W)"), "{sentence}");
    assert!(all.iter().any(|lever| lever.starts_with("put one of Little oven on")), "{all:?}");
}

/// With more time it fits, one oven after the other: whoever sees the other one idle is told why it is off.
#[test]
fn what_keeps_the_other_oven_off_is_what_a_load_waits_for() {
    let sealed = one_circuit().edit("course/course.toml", "to = \"15:45\"", "to = \"17:00\"");
    assert!(fits(&sealed));
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let tasks = plan["tasks"].as_array().unwrap();
    let loads: Vec<&str> =
        tasks.iter().filter_map(|task| task["id"].as_str()).filter(|id| id.contains(".bake@load-")).collect();
    assert!(loads.len() > 1, "{loads:?}");
    let told = |load: &&str| {
        let said = sealed.run(&["plan", "course", "--why", load]).to_string();
        said.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("what the circuit `kitchen-1` carries (3680 W)")
    };
    assert!(loads.iter().any(told), "{loads:?}");
}
