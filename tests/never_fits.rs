//! Steps that can never be, and things that are short in every plan: told where they are written, without a search.

use crate::support::{Said, Sealed};

const BRAID: &str = "course/lessons/four-braid.toml";
const CROWN: &str = "course/lessons/walnut-crown.toml";

/// What was said, in one line.
fn line(said: &Said) -> String {
    said.to_string().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The step with this id, with one of its figures written otherwise.
fn step(sealed: Sealed, file: &str, id: &str, old: &str, new: &str) -> Sealed {
    let text = sealed.read(file);
    let was = text.lines().find(|line| line.contains(&format!("{{ id = \"{id}\""))).unwrap().to_owned();
    assert!(was.contains(old), "{was}");
    sealed.edit(file, &was, &was.replace(old, new))
}

/// Says that the steps can never be, at that line, and nothing of a search that found nothing.
fn never(sealed: &Sealed, at: &str, words: &[&str]) -> String {
    let said = sealed.run(&["plan", "course"]);
    let text = line(&said);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(text.contains("error[never-fits]"), "{said}");
    assert!(text.contains(at), "{said}");
    assert!(!text.contains("as many steps as are tried"), "{said}");
    for words in words {
        assert!(text.contains(words), "{words}: {said}");
    }
    text
}

#[test]
fn a_proof_longer_than_any_hours_is_told_at_its_line() {
    let sealed = step(Sealed::demo(), BRAID, "proof", "45 to 70 min", "6 to 8 h");
    never(
        &sealed,
        "lessons/four-braid.toml:13:",
        &["`four-braid.proof` stands at least 6 h, and can't wait in the cold"],
    );
    // With the figure that is given its steps have room.
    let wait = ", wait-cold = { stands = \"1 h to 20 h\", then = \"95 to 135 min\" }";
    let sealed = step(Sealed::demo(), CROWN, "proof", wait, "");
    let sealed = step(sealed, CROWN, "proof", "75 to 105 min", "5 to 6 h");
    let text = never(&sealed, "lessons/walnut-crown.toml:16:", &["`walnut-crown.proof` stands at least 5 h"]);
    let enough = text.split_once("with at most ").unwrap().1.split_once(" its steps").unwrap().0;
    let (hours, minutes) = enough.trim_end_matches(" min").split_once(" h").unwrap();
    let minutes: i64 = hours.parse::<i64>().unwrap() * 60 + minutes.trim().parse::<i64>().unwrap_or(0);
    let with = |minutes: i64| {
        let sealed = step(Sealed::demo(), CROWN, "proof", wait, "");
        let sealed = step(sealed, CROWN, "proof", "75 to 105 min", &format!("{minutes} to 360 min"));
        line(&sealed.run(&["plan", "course"]))
    };
    assert!(!with(minutes).contains("never-fits"), "{minutes}");
}

#[test]
fn a_chill_too_long_for_the_days_is_told_at_its_line() {
    let sealed = step(Sealed::demo(), BRAID, "chill", "8 to 20 h", "30 to 40 h");
    never(&sealed, "lessons/four-braid.toml:8:", &["`four-braid.chill` stands at least 30 h"]);
}

#[test]
fn work_longer_than_a_session_and_steps_for_the_wrong_days_are_told_at_their_lines() {
    let sealed =
        step(Sealed::demo(), BRAID, "braid", "10 to 20 min, usually 15", "300 to 400 min, usually 350");
    never(
        &sealed,
        "lessons/four-braid.toml:12:",
        &["`four-braid.braid` takes 5 h 50 min: no session is longer than 4 h"],
    );
    let sealed =
        step(Sealed::demo(), CROWN, "roll", "per = \"station\"", "per = \"station\", session = \"sun\"");
    let sealed = step(sealed, CROWN, "fill", "per = \"station\"", "per = \"station\", session = \"sat\"");
    never(&sealed, "lessons/walnut-crown.toml:1", &["is for session `s", "write another session for it"]);
}

#[test]
fn an_oven_that_is_never_hot_is_told_in_the_kitchen() {
    let sealed =
        Sealed::demo().edit("course/kitchen.toml", "heats = \"9 C a min\"", "heats = \"0.1 C a min\"");
    let said = sealed.run(&["plan", "course"]);
    let text = line(&said);
    assert!(text.contains("error[never-hot]") && text.contains("kitchen.toml:"), "{said}");
    assert!(!text.contains("plan-refused"), "{said}");
}

/// The least class with a rise in tubs that lasts so long.
fn in_tubs(tubs: u32, stands: &str) -> Sealed {
    let lesson = "course/lessons/soft-loaf.toml";
    let uses = format!("\"{stands}\", uses = [\"tub until shape\"]");
    let sealed = step(Sealed::small(), lesson, "rise", "\"50 to 80 min\"", &uses);
    let sealed = sealed.edit(lesson, "up to 2 stations", "1 station");
    let kitchen = sealed.read("course/kitchen.toml");
    let tub = format!(
        "\n[[tubs]]\nid = \"tub\"\ncount = {tubs}\nholds = \"3 kg\"\noutside = \"26 x 18 x 12 cm\"\n"
    );
    sealed.file("course/kitchen.toml", kitchen + &tub)
}

/// The same class from six in the morning to ten at night.
fn all_day(sealed: Sealed) -> Sealed {
    let hours = "from = \"12:00\"\nto = \"17:00\"\nstaff = \"11:00 to 18:00\"";
    let longer = "from = \"06:00\"\nto = \"22:00\"\nstaff = \"06:00 to 23:00\"";
    sealed.edit("course/course.toml", hours, longer)
}

/// Two batches that stand in tubs for most of the session: whichever is first, both stand at once.
#[test]
fn tubs_that_are_short_in_every_plan_are_counted_and_not_searched_for() {
    let said = all_day(in_tubs(1, "13 to 14 h")).run(&["plan", "course"]);
    let text = line(&said);
    assert!(
        text.contains("error[short-in-every-plan]: at least 2 of `tub` are held at once at Saturday"),
        "{said}"
    );
    assert!(text.contains("10 h longer (2 for `soft-loaf`), and there is 1"), "{said}");
    assert!(text.contains("borrow, hire or buy 1 more"), "{said}");
    // One more, and it fits; and where they can be used in turn nothing is said.
    let said = all_day(in_tubs(2, "13 to 14 h")).run(&["plan", "course"]);
    assert!(said.exit == Some(0) && said.stdout.contains("It fits."), "{said}");
    let said = in_tubs(1, "50 to 80 min").run(&["plan", "course"]);
    assert!(!line(&said).contains("short-in-every-plan"), "{said}");
}

/// A class that is far too long has a least-late plan too: with one tub the second dough rises after the first.
#[test]
fn what_is_far_too_long_is_planned_as_late_as_it_is() {
    let hours = "to = \"17:00\"\nstaff = \"11:00 to 18:00\"";
    let longer = "to = \"22:00\"\nstaff = \"11:00 to 23:00\"";
    let said = in_tubs(1, "6 to 7 h").edit("course/course.toml", hours, longer);
    let said = said.run(&["plan", "course", "--format", "json"]);
    let plan = said.json();
    assert!(plan["overrun_minutes"].as_i64().unwrap() > 240, "{said}");
    assert_eq!(plan["proven_impossible"], true, "{said}");
    assert!(
        plan["tasks"].as_array().unwrap().iter().any(|t| t["id"] == "soft-loaf.cool@station-2"),
        "{said}"
    );
    assert!(line(&said).contains("what holds it: only 1 of tub"), "{said}");
}

/// Short of two things, of which neither alone would be enough: both together are named, and what is named works when it is written.
#[test]
fn several_changes_are_tried_together_where_none_alone_is_enough() {
    let sealed = || {
        let sealed = all_day(in_tubs(1, "13 to 14 h"));
        sealed.edit("course/kitchen.toml", "count = 6\ninside", "count = 1\ninside")
    };
    let said = sealed().run(&["plan", "course", "--levers"]);
    assert!(said.stdout.starts_with("There is no plan, not even with each session"), "{said}");
    let said = sealed().run(&["plan", "course", "--levers", "--format", "json"]).json();
    let levers: Vec<&str> = said["levers"].as_array().unwrap().iter().filter_map(|l| l.as_str()).collect();
    let [late, things, fewer] = levers.as_slice() else { panic!("{levers:?}") };
    assert_eq!(*fewer, "come with 2 people");
    assert_eq!(
        *things,
        "all of this together: borrow 1 of loaf-tin, or use paper cases; have one more of tub"
    );
    let end = late.strip_prefix("all of this together: have one more of tub; let Saturday end at ");
    let (end, staff) = end.unwrap().split_once(", and the staff's hours of Saturday to ").unwrap();
    let fits = |sealed: Sealed, line: &[&str]| {
        let said = sealed.run(&[&["plan", "course", "--format", "json"], line].concat());
        said.json()["fits"] == true
    };
    let kitchen = "course/kitchen.toml";
    let two_tubs = || sealed().edit(kitchen, "id = \"tub\"\ncount = 1", "id = \"tub\"\ncount = 2");
    assert!(!fits(two_tubs(), &[]));
    assert!(fits(two_tubs().edit(kitchen, "count = 1\ninside", "count = 2\ninside"), &[]));
    let hours = "to = \"22:00\"\nstaff = \"06:00 to 23:00\"";
    let longer = format!("to = \"{end}\"\nstaff = \"06:00 to {staff}\"");
    assert!(fits(two_tubs().edit("course/course.toml", hours, &longer), &[]));
    assert!(fits(sealed(), &["--headcount", "2"]));
}

/// Alone each lesson has room: what the class's own steps take is what leaves none.
#[test]
fn a_wait_that_the_classs_own_steps_leave_no_room_for_is_told_at_its_line() {
    let sealed = step(Sealed::demo(), CROWN, "chill", "8 to 24 h", "10 to 20 min");
    let sealed = step(sealed, CROWN, "set", "90 min to 24 h", "10 to 20 min");
    let text =
        never(&sealed, "lessons/walnut-crown.toml:", &["the class's `", "even with this lesson alone"]);
    assert!(!text.contains("does-not-fit"), "{text}");
}

/// Steps that are too long one after another are told where they are written, also where there is a late plan; and programs read both.
#[test]
fn a_late_plan_tells_the_steps_that_make_it_late() {
    let sealed = step(Sealed::demo(), BRAID, "relax", "10 to 20 min", "3 to 5 h");
    let said = sealed.run(&["plan", "course", "--format", "json"]);
    let plan = said.json();
    assert_eq!(plan["fits"], false, "{said}");
    assert_eq!(plan["proven_impossible"], true, "{said}");
    assert!(plan["splits_tried"].as_u64().unwrap() < plan["splits"].as_u64().unwrap(), "{said}");
    let found = plan["findings"].as_array().unwrap();
    let told = found.iter().find(|f| f["code"] == "does-not-fit").unwrap_or_else(|| panic!("{said}"));
    assert_eq!((&told["file"], &told["level"]), (&"course.toml".into(), &"error".into()));
    let steps = &told["also"][0];
    assert_eq!((&steps["file"], &steps["line"]), (&"lessons/four-braid.toml".into(), &11.into()), "{said}");
    assert!(told["message"].as_str().unwrap().contains("`four-braid.relax` stands at least 3 h"), "{said}");
    // What the terminal says beside a plan that fits stands there too.
    let said = Sealed::demo().run(&["plan", "course", "--format", "json"]);
    assert_eq!((&said.json()["proven_impossible"], said.exit), (&false.into(), Some(0)), "{said}");
    assert!(said.json()["findings"].as_array().unwrap().iter().all(|f| f["level"] != "error"), "{said}");
    let talk = Sealed::demo().edit(
        "course/course.toml",
        "\"15 to 20 min, usually 20\"",
        "\"200 to 260 min, usually 250\"",
    );
    let said = talk.run(&["plan", "course"]);
    let text = line(&said);
    assert_eq!(
        text.matches("the class's `talk` (4 h 10 min): that fits into no session").count(),
        1,
        "{said}"
    );
    assert!(text.contains("course.toml:95:9"), "{said}");
}

/// A class that is planned with more stations than there are: both are said in one breath.
#[test]
fn it_fits_only_with_what_is_short() {
    let said = Sealed::small().run(&["plan", "course", "--headcount", "8"]);
    assert!(line(&said).contains("It fits, if what is short is there: 1 more of `station`."), "{said}");
    assert!(!said.stdout.contains("It fits.\n"), "{said}");
}
