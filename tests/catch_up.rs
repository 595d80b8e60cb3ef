//! The day goes otherwise than planned: `catch-up` on the demo class.

use crate::support::Sealed;
use serde_json::Value;

/// Every line within 80 columns, and the answer as a person reads it.
pub fn told(line: &[&str]) -> String {
    let said = Sealed::demo().run(&[&["catch-up", "course"], line].concat()).to_string();
    assert!(said.lines().all(|l| l.chars().count() <= 80), "{said}");
    said
}

pub fn json(sealed: &Sealed, line: &[&str]) -> Value {
    sealed.run(&[&["catch-up", "course", "--format", "json"], line].concat()).json()
}

#[test]
fn twenty_minutes_late_at_twenty_past_two() {
    insta::assert_snapshot!("slip", told(&["--now", "Sat 14:20", "--late", "walnut-crown.cut=20m"]));
}

#[test]
fn an_oven_fails_with_a_load_in_it_and_nothing_fits_any_more() {
    let said = told(&["--now", "Sun 11:00", "--without", "oven-2"]);
    assert!(said.starts_with("exit 1"), "{said}");
    insta::assert_snapshot!("oven", said);
}

#[test]
fn nobody_is_left_at_a_station() {
    let said = told(&["--now", "Sat 14:20", "--absent", "Noor van Dijk", "Sanna Rautio"]);
    insta::assert_snapshot!("absent", said);
}

#[test]
fn what_is_not_there_is_told_with_its_nearest() {
    let line = [
        "--now",
        "Sat 14:20",
        "--late",
        "walnut-crown.cutt=20m",
        "--without",
        "ovn-2",
        "--absent",
        "Dewi Price",
        "--done",
        "walnut-crown.mix@batch-9",
    ];
    insta::assert_snapshot!("unknown", told(&line));
    let sealed = Sealed::demo();
    let said = sealed.run(&[&["catch-up", "course", "--format", "json"][..], &line].concat());
    assert_eq!(said.exit, Some(2));
    assert_eq!(said.json()["findings"].as_array().unwrap().len(), 4);
}

/// The oven that takes all loaves at once is gone, and one is left that takes two: the load is baked in several, and what another oven
/// takes whole only moves there.
#[test]
fn what_another_oven_takes_only_in_parts_is_baked_in_parts() {
    const OVEN: &str = "[[ovens]]";
    let little = "[[ovens]]\nid = \"little-oven\"\ncount = 1\nracks = 1\nrack = \"30 x 28 cm\"\nclear = \"16 cm\"\nfan = false\nheats = \"20 C a min\"\ncools = \"20 C a min\"\n\n[[ovens]]";
    let large = little.replace("30 x 28", "62 x 42").replace("racks = 1", "racks = 2");
    for (other, parts) in [(little, 2..=3), (large.as_str(), 0..=0)] {
        let sealed = Sealed::small().edit("course/kitchen.toml", OVEN, other);
        let line = ["catch-up", "course", "--headcount", "6", "--now", "Sat 12:00", "--without", "oven-1"];
        let after = sealed.run(&[&line[..], &["--format", "json"]].concat()).json();
        assert_eq!(after["left_out"], serde_json::json!([]), "{after}");
        let bakes: Vec<&Value> =
            after["tasks"].as_array().unwrap().iter().filter(|t| t["step"] == "bake").collect();
        assert!(bakes.len() >= *parts.start(), "{bakes:?}");
        for bake in &bakes {
            assert!(bake["uses"].to_string().contains("little-oven-1"), "{bake}");
        }
        let parted = after["parted"].as_array().unwrap().first().map_or(0, |p| p.as_array().unwrap().len());
        assert!(parts.contains(&parted), "{parted}: {}", after["parted"]);
        let said = sealed.run(&line).to_string();
        assert_eq!(said.contains("baked in several"), parted > 0, "{said}");
        assert!(!said.contains("nothing is left"), "{said}");
    }
}

/// A later call goes by the printed plan, in which a load is whole: who names a part of it is told so, and what to say instead.
#[test]
fn a_part_of_a_load_that_is_named_later_is_told_what_it_is() {
    let little = "[[ovens]]\nid = \"little-oven\"\ncount = 1\nracks = 1\nrack = \"30 x 28 cm\"\nclear = \"16 cm\"\nfan = false\nheats = \"20 C a min\"\ncools = \"20 C a min\"\n\n[[ovens]]";
    let sealed = Sealed::small().edit("course/kitchen.toml", "[[ovens]]", little);
    let call = |more: &[&str]| {
        let line = ["catch-up", "course", "--headcount", "6", "--without", "oven-1"];
        sealed.run(&[&line[..], more].concat())
    };
    let first = call(&["--now", "Sat 12:00", "--format", "json"]).json();
    let parts: Vec<&str> =
        first["parted"][0].as_array().unwrap().iter().map(|p| p.as_str().unwrap()).collect();
    let said = call(&["--now", "Sat 15:30", "--done", parts[1]]);
    assert_eq!(said.exit, Some(2), "{said}");
    let words = said.stderr.replace('│', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("parts of a load that `catch-up` has parted are not in it"), "{said}");
    assert!(words.contains("--state") && words.contains(&format!("`{}`", parts[0])), "{said}");
    // A number that is none of a printed load's, of a step that has no loads, is misspelt as ever.
    let said = call(&["--now", "Sat 15:30", "--done", "soft-loaf.shape@load-9"]);
    assert!(!said.stderr.contains("has parted"), "{said}");
}

/// What proofs and can never be baked stands as long as printed: nothing says how much sooner or later it should be moved.
#[test]
fn what_has_nothing_left_that_takes_it_up_stands_as_printed() {
    // In an oven for two loaves the third one waits.
    let racks = ("racks = 2\nrack = \"60 x 40 cm\"", "racks = 1\nrack = \"30 x 28 cm\"");
    let sealed = Sealed::small().edit("course/kitchen.toml", racks.0, racks.1);
    let printed = sealed.run(&["plan", "course", "--headcount", "6", "--format", "json"]).json();
    let long = |task: &Value| {
        let at = |key: &str| task[key].as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
        at("end").duration_since(at("start")).as_mins()
    };
    let proofs = printed["tasks"].as_array().unwrap().iter().filter(|t| t["step"] == "proof");
    assert!(proofs.map(long).any(|long| long > 40), "{printed}");
    let line = [
        "catch-up",
        "course",
        "--headcount",
        "6",
        "--now",
        "Sat 12:30",
        "--without",
        "oven-1",
        "--format",
        "json",
    ];
    let after = sealed.run(&line).json();
    assert!(!after["left_out"].as_array().unwrap().is_empty(), "{after}");
    let moved: Vec<&str> =
        after["changes"].as_array().unwrap().iter().map(|c| c["id"].as_str().unwrap()).collect();
    assert!(moved.iter().any(|id| id.contains(".bake@")), "{moved:?}");
    assert!(!moved.iter().any(|id| id.contains(".proof@")), "{moved:?}");
}

#[test]
fn times_that_are_none() {
    let sealed = Sealed::demo();
    for (line, exit) in [
        (&["--now", "Sun 23:20"][..], 2),
        (&["--now", "Fri 09:00"], 2),
        (&["--now", "Mon 14:00"], 2),
        (&["--now", "25:00"], 2),
        (&["--now", "Sat 14:20", "--late", "walnut-crown.cut"], 2),
        (&["--now", "Sat 14:20", "--late", "walnut-crown.cut=soon"], 2),
        (&["--now", "Sat 14:20", "--late", "walnut-crown.cut=0m"], 2),
        (&["--now", "Sat 14:20", "--late", "walnut-crown.show=5m"], 2),
        (&["--now", "Sat 14:20", "--absent", "Ines Calder"], 0),
        (&[], 2),
        (&["--now", "Sat 23:20"], 0),
    ] {
        let said = sealed.run(&[&["catch-up", "course"], line].concat());
        assert_eq!(said.exit, Some(exit), "{line:?}: {said}");
        assert!(exit == 0 || said.stdout.is_empty(), "{said}");
    }
}

pub fn start(task: &Value) -> &str {
    task["start"].as_str().unwrap()
}

/// What is over stays, nothing is put into the past, and the changes are the differences between the two plans.
#[test]
fn a_program_reads_the_whole_plan_and_what_changed() {
    let sealed = Sealed::demo();
    let printed = sealed.run(&["plan", "course", "--format", "json"]).json();
    let after = json(&sealed, &["--now", "Sat 14:20", "--late", "walnut-crown.cut=20 min"]);
    let now = "2027-03-06T14:20:00+00:00";
    let tasks = |plan: &Value| plan["tasks"].as_array().unwrap().clone();
    let find = |plan: &Value, id: &str| tasks(plan).into_iter().find(|t| t["id"] == id);
    assert_eq!(after["fits"], true);
    assert_eq!(after["broken"], serde_json::json!([]));
    for was in tasks(&printed) {
        let id = was["id"].as_str().unwrap();
        let new = find(&after, id).unwrap_or_else(|| panic!("{id} is gone"));
        let change = after["changes"].as_array().unwrap().iter().find(|c| c["id"] == id);
        let same = ["start", "end", "by"].iter().all(|key| was[key] == new[key]) && {
            let uses = |task: &Value| {
                task["uses"].as_array().unwrap().iter().map(|u| u["resource"].clone()).collect::<Vec<_>>()
            };
            uses(&was) == uses(&new)
        };
        assert_eq!(change.is_none(), same, "{id}");
        if let Some(change) = change {
            assert_eq!((&change["was"]["start"], &change["now"]["start"]), (&was["start"], &new["start"]));
        }
        if start(&was) < now {
            assert_eq!(start(&was), start(&new), "{id} had begun");
        } else {
            assert!(start(&new) >= now, "{id} is put into the past");
        }
    }
}

#[test]
fn an_oven_that_failed_in_the_night_is_not_used() {
    let sealed = Sealed::demo();
    let after = json(&sealed, &["--now", "Sun 09:30", "--without", "oven-2"]);
    let ovens = after["tasks"].as_array().unwrap().iter().filter(|t| start(t) >= "2027-03-07T09:30");
    for used in ovens.flat_map(|t| t["uses"].as_array().unwrap().clone()) {
        assert_ne!(used["resource"], "oven-2");
    }
    let terms: Vec<&str> =
        after["objective"].as_array().unwrap().iter().map(|t| t["term"].as_str().unwrap()).collect();
    assert!(terms.ends_with(&["overrun-minutes", "moved-minutes"]), "{terms:?}");
}

#[test]
fn a_mixer_that_failed_is_not_named_again() {
    let sealed = Sealed::demo();
    let after = json(&sealed, &["--now", "Sat 14:20", "--without", "small-mixer-1"]);
    let used = |t: &Value| t["uses"].as_array().unwrap().iter().any(|u| u["resource"] == "small-mixer-1");
    let later = after["tasks"].as_array().unwrap().iter().filter(|t| start(t) >= "2027-03-06T14:20");
    assert_eq!(later.filter(|t| used(t)).count(), 0);
}

#[test]
fn when_the_helper_goes_home_the_teacher_does_it() {
    let sealed = Sealed::demo();
    let after = json(&sealed, &["--now", "Sun 09:30", "--absent", "Tomas Birch"]);
    for task in after["tasks"].as_array().unwrap().iter().filter(|t| start(t) >= "2027-03-07T09:30") {
        assert!(task["by"].as_array().unwrap().iter().all(|who| who == "teacher"), "{task}");
    }
    let after = json(&sealed, &["--now", "Sat 13:20", "--done", "custard-buns.cook"]);
    assert_eq!(after["fits"], true);
}

#[test]
fn when_all_goes_as_planned_nothing_changes() {
    let after = json(&Sealed::demo(), &["--now", "Sat 14:20"]);
    assert_eq!(after["changes"], serde_json::json!([]));
    assert_eq!(after["broken"], serde_json::json!([]));
}

#[test]
fn the_only_fridge_fails_and_the_food_comes_first() {
    let said = told(&["--now", "Sat 12:00", "--without", "fridge"]);
    assert!(said.contains("walnut-crown.chill"), "{said}");
    assert!(said.contains("Cold boxes with ice"), "{said}");
    assert!(said.contains("less than 4 h"), "{said}");
    let german = Sealed::demo().edit("course/course.toml", "language = \"en\"", "language = \"de\"");
    let said = german.run(&["catch-up", "course", "--now", "Sat 12:00", "--without", "fridge"]).to_string();
    assert!(said.contains("Kühlboxen mit Eis"), "{said}");
    // With another cold place it is named, and nothing is said of boxes.
    let second = "\n[[cold]]\nid = \"cellar\"\ncount = 1\nshelves = 4\nshelf = \"65 x 53 cm\"\nclear = \"22 cm\"\nat = \"4 C\"\n\n[[racks]]";
    let two = Sealed::demo().edit("course/kitchen.toml", "\n[[racks]]", second);
    let said = two.run(&["catch-up", "course", "--now", "Sat 12:00", "--without", "fridge"]).to_string();
    assert!(said.contains("cellar") && !said.contains("Cold boxes"), "{said}");
    // A program is told the same, beside the plan or without one.
    for (sealed, others) in [(two, serde_json::json!(["cellar"])), (Sealed::demo(), serde_json::json!([]))] {
        let after = json(&sealed, &["--now", "Sat 12:00", "--without", "fridge"]);
        let lost = &after["lost_cold"][0];
        assert_eq!((&lost["place"], &lost["others"]), (&serde_json::json!("fridge"), &others), "{after}");
        assert_eq!(lost["food"][0]["step"], "walnut-crown.chill");
    }
}

/// How things stand, as a board says it, about the plan that the course gives.
fn state(sealed: &Sealed, now: &str, more: &[(&str, Value)]) -> Value {
    let board = sealed.read("printed/board.html");
    let data = board.split("id=\"data\">").nth(1).unwrap().split("</script>").next().unwrap();
    let data: Value = serde_json::from_str(data).unwrap();
    let mut state = serde_json::json!({ "format": "benchroll-state", "version": 1, "plan": data["plan"], "now": now, "at": 0 });
    for (key, value) in more {
        state[key] = value.clone();
    }
    state
}

fn with_board() -> Sealed {
    let sealed = Sealed::demo();
    sealed.run(&["prepare", "course", "--out", "printed", "--only", "roll"]);
    let whole = sealed.run(&["catch-up", "course", "--now", "Sat 13:00", "--board", "printed/board.html"]);
    assert_eq!(whole.exit, Some(0), "{whole}");
    sealed
}

#[test]
fn a_state_says_the_same_as_the_line_and_the_board_goes_on_from_it() {
    let sealed = with_board();
    let late = serde_json::json!([{ "id": "walnut-crown.cut@station-1", "minutes": 20 }]);
    let entries = serde_json::json!([{ "id": "aa-1", "at": 1, "kind": "done", "task": "class.welcome@sat" }]);
    let first = state(
        &sealed,
        "2027-03-06T14:20:00+00:00",
        &[("late", late.clone()), ("entries", entries.clone()), ("before", serde_json::json!([]))],
    );
    let sealed = sealed.file("state.json", first.to_string());
    let line = ["--now", "Sat 14:20", "--late", "walnut-crown.cut@station-1=20m"];
    let by_hand = json(&sealed, &line);
    let by_file = json(&sealed, &["--state", "state.json", "--board", "board-1420.html"]);
    assert!(!by_hand["changes"].as_array().unwrap().is_empty());
    assert_eq!(by_hand["changes"], by_file["changes"]);
    // The next board: the new plan, everything that was ticked, and the way back to the course's own plan.
    let board = sealed.read("board-1420.html");
    let data = board.split("id=\"data\">").nth(1).unwrap().split("</script>").next().unwrap();
    let data: Value = serde_json::from_str(data).unwrap();
    assert_eq!(data["entries"], entries);
    assert_eq!(data["before"][0]["late"], late);
    assert!(data["before"][0].get("entries").is_none());
    assert_ne!(data["plan"], first["plan"]);
    // Planned again once more, from that board: the plan before it is found again, and nothing is odd about it.
    let second = state(
        &sealed,
        "2027-03-06T15:00:00+00:00",
        &[
            ("plan", data["plan"].clone()),
            ("before", data["before"].clone()),
            ("without", serde_json::json!(["oven-2"])),
        ],
    );
    let sealed = sealed.file("again.json", second.to_string());
    let said = sealed.run(&["catch-up", "course", "--state", "again.json"]);
    assert!(!said.stderr.contains("state-other-plan"), "{said}");
    assert!(said.stdout.lines().all(|l| l.chars().count() <= 80), "{said}");
    let said = sealed.run(&["catch-up", "course", "--state", "again.json", "--format", "json"]).json();
    let ovens = said["tasks"].as_array().unwrap().iter().filter(|t| start(t) > "2027-03-06T15:00:00");
    assert!(ovens.flat_map(|t| t["uses"].as_array().unwrap()).all(|u| u["resource"] != "oven-2"));
}

#[test]
fn states_that_something_is_wrong_with_are_told_in_words() {
    let sealed = with_board();
    let whole = state(&sealed, "2027-03-06T14:20:00+00:00", &[]).to_string();
    let cases = [
        ("flour".to_owned(), 2, "no JSON"),
        (whole[..whole.len() / 2].to_owned(), 2, "cut short"),
        (whole.replace("\"version\":1", "\"version\":4"), 2, "later board"),
        (whole.replace("benchroll-state", "benchroll-log"), 2, "not how a board's day stands"),
        (" ".repeat(1024 * 1024 + 1), 2, "too large"),
    ];
    let mut sealed = sealed;
    for (text, exit, words) in cases {
        sealed = sealed.file("state.json", text);
        let said = sealed.run(&["catch-up", "course", "--state", "state.json", "--board", "next.html"]);
        assert_eq!(said.exit, Some(exit), "{said}");
        assert!(said.stderr.contains(words), "{words}: {said}");
        assert!(!sealed.path("next.html").exists());
    }
    let said = sealed.run(&["catch-up", "course", "--state", "nowhere.json"]);
    assert!(said.exit == Some(2) && said.stderr.contains("cannot be read"), "{said}");
    // Of a course that was changed since: told, and gone on with.
    let other = whole.replace("\"plan\":\"", "\"plan\":\"0");
    let said = sealed.file("state.json", other).run(&["catch-up", "course", "--state", "state.json"]);
    assert!(said.exit == Some(0) && said.stderr.contains("state-other-plan"), "{said}");
}

#[test]
fn a_board_is_not_written_over_the_courses_own_files() {
    let sealed = Sealed::demo();
    for (board, words) in [
        ("course/board.html", "the course folder itself"),
        ("course/logs/b.html", "own folder"),
        ("course/course.toml", "ends in .html"),
    ] {
        let said = sealed.run(&["catch-up", "course", "--now", "Sat 14:20", "--board", board]);
        assert!(said.exit == Some(2) && said.stderr.contains(words), "{board}: {said}");
    }
    let said = sealed.run(&["catch-up", "course", "--now", "Sat 14:20", "--board", "nowhere/b.html"]);
    assert!(said.exit == Some(3) && said.stderr.contains("cannot be written"), "{said}");
}

#[test]
fn what_a_state_names_that_is_not_there_is_refused_all_at_once() {
    let sealed = with_board();
    let now = "2027-03-06T14:33:00+00:00";
    let wrong = [
        ("late", serde_json::json!([{ "id": "walnut-crown.cut@station-4", "minutes": 800 }])),
        ("without", serde_json::json!(["no-oven"])),
        ("done", serde_json::json!(["nothing.here"])),
        ("absent", serde_json::json!([{ "station": "station-99", "students": 2 }])),
    ];
    let all = state(&sealed, now, &wrong);
    let mut sealed = sealed.file("state.json", all.to_string());
    let line = ["catch-up", "course", "--state", "state.json", "--board", "next.html"];
    let said = sealed.run(&line);
    assert!(said.exit == Some(2) && said.stdout.is_empty(), "{said}");
    for words in ["state-late-step", "`no-oven`", "`nothing.here`", "station 99"] {
        assert!(said.stderr.contains(words), "{words}: {said}");
    }
    assert!(said.stderr.lines().all(|l| l.chars().count() <= 80), "{said}");
    let said = sealed.run(&[&line[..], &["--format", "json"]].concat());
    assert_eq!((said.exit, said.json()["findings"].as_array().unwrap().len()), (Some(2), 4), "{said}");
    // Each alone is enough, and so is a time that is none of the class's, or more absent than sit there.
    let full = serde_json::json!([{ "station": "station-1", "students": 9 }]);
    let mut alone: Vec<(Value, &str)> = wrong
        .iter()
        .zip(["state-late-step", "unknown-equipment", "unknown-step", "unknown-person"])
        .map(|(one, code)| (state(&sealed, now, std::slice::from_ref(one)), code))
        .collect();
    alone.push((state(&sealed, "2027-03-09T14:33:00+00:00", &[]), "time-outside-class"));
    alone.push((state(&sealed, now, &[("absent", full)]), "unknown-person"));
    // Steps that are gone from a course that was changed are told; an oven that is none is refused there, too.
    let other = ("plan", serde_json::json!("another"));
    alone.push((state(&sealed, now, &[other, wrong[1].clone()]), "unknown-equipment"));
    for (state, code) in alone {
        sealed = sealed.file("state.json", state.to_string());
        let said = sealed.run(&line);
        assert!(said.exit == Some(2) && said.stderr.contains(code), "{code}: {said}");
    }
    assert!(!sealed.path("next.html").exists());
}

/// Begun on Saturday, never ticked, and saved on Sunday morning.
#[test]
fn a_step_that_was_never_ticked_the_day_before_is_told_with_what_it_is_taken_for() {
    let sealed = with_board();
    let late = serde_json::json!([{ "id": "walnut-crown.cut@station-4", "minutes": 1136 }]);
    let state = state(&sealed, "2027-03-07T09:45:00+00:00", &[("late", late)]);
    let sealed = sealed.file("state.json", state.to_string());
    let said = sealed.run(&["catch-up", "course", "--state", "state.json"]);
    assert!(said.exit == Some(0) && said.stderr.contains("warning[state-late-step]"), "{said}");
    let words = said.stderr.replace('│', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("taken as if it had been in time"), "{said}");
}

/// The filling of station 4 is half an hour longer in the room, and the course's own figure leaves five minutes.
#[test]
fn food_that_the_new_plan_has_out_of_its_limits_is_an_error() {
    let rules = "rules = \"uk-england-2013\"";
    let own = format!("{rules}\nout-of-cold = \"5 h 40 min\"");
    let sealed = Sealed::demo().edit("course/course.toml", rules, &own);
    let on_time = sealed.run(&["catch-up", "course", "--now", "Sat 14:40", "--format", "json"]);
    assert_eq!((on_time.exit, &on_time.json()["findings"]), (Some(0), &serde_json::json!([])), "{on_time}");
    let line = ["--now", "Sat 14:40", "--late", "walnut-crown.cut@station-4=30m"];
    let said = sealed.run(&[&["catch-up", "course"][..], &line].concat());
    assert!(said.exit == Some(1) && said.stdout.contains("It still fits"), "{said}");
    assert!(said.stderr.contains("error[out-of-cold-too-long]"), "{said}");
    let after = json(&sealed, &line);
    assert_eq!(after["fits"], true);
    let findings = after["findings"].as_array().unwrap();
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!(findings[0]["level"], "error");
    assert_eq!(findings[0]["about"], "walnut-crown.filling.cooked");
}

/// A step that had to wait for a late one is late with it, and not once more; what is done was put off by nothing.
#[test]
fn lateness_counts_once_and_what_is_done_is_over() {
    let sealed = Sealed::demo();
    let of = |json: &Value, id: &str| -> (String, String) {
        let tasks = json["tasks"].as_array().unwrap();
        let task = tasks.iter().find(|t| t["id"] == id).unwrap();
        (task["start"].as_str().unwrap().to_owned(), task["end"].as_str().unwrap().to_owned())
    };
    let (roll, fill) = ("walnut-crown.roll@station-4=20m", "walnut-crown.fill@station-4=20m");
    let late = json(&sealed, &["--now", "Sat 14:35", "--late", roll, "--late", fill]);
    let (from, to) = of(&late, "walnut-crown.fill@station-4");
    assert_eq!((&from[11..16], &to[11..16]), ("14:40", "14:55"));
    // The show came late, and the others made good for it.
    let show = "walnut-crown.show@class=15m";
    let done: Vec<String> = [1, 2, 3, 5].iter().map(|n| format!("walnut-crown.fill@station-{n}")).collect();
    let mut line = vec!["--now", "Sat 14:20", "--late", show, "--done"];
    line.extend(done.iter().map(String::as_str));
    line.extend(["walnut-crown.show@class", "four-braid.show-mix@class"]);
    let made_good = json(&sealed, &line);
    let (from, to) = of(&made_good, "walnut-crown.cut@station-1");
    assert_eq!((&from[11..16], &to[11..16]), ("14:15", "14:30"));
}

/// A stand that begins as printed and ends otherwise is in the table: whoever reads it has nothing but the table.
#[test]
fn whatever_ends_otherwise_is_in_the_table() {
    let line = ["--now", "Sun 11:30", "--without", "oven-1"];
    let sealed = Sealed::demo();
    let after = json(&sealed, &line);
    let table = sealed.run(&[&["catch-up", "course"][..], &line].concat()).stdout;
    let clock = |moment: &Value| moment.as_str().unwrap()[11..16].to_owned();
    let same_start =
        |c: &&Value| !c["was"].is_null() && !c["now"].is_null() && c["was"]["start"] == c["now"]["start"];
    let changes = after["changes"].as_array().unwrap();
    let stands: Vec<&Value> =
        changes.iter().filter(same_start).filter(|c| c["id"].as_str().unwrap().contains(".proof@")).collect();
    assert!(!stands.is_empty(), "{changes:?}");
    for change in stands {
        let (step, _) = change["id"].as_str().unwrap().split_once('@').unwrap();
        let span = |place: &Value| format!("{}-{}", clock(&place["start"]), clock(&place["end"]));
        let (was, now) = (span(&change["was"]), span(&change["now"]));
        let row = |l: &&str| l.starts_with(&was) && l.contains(&now) && l.contains(step);
        assert!(table.lines().any(|l| row(&l)), "{was} {now} {step}: {table}");
    }
}

/// A first name is nearer to its own name than to a short name of somebody else.
#[test]
fn a_first_name_finds_the_helper() {
    let sealed = Sealed::demo();
    let said = sealed.run(&["catch-up", "course", "--now", "Sat 11:00", "--absent", "Tomas"]);
    assert!(said.stderr.contains("did you mean `Tomas Birch`?"), "{said}");
    let said = sealed.run(&["catch-up", "course", "--now", "Sat 11:00", "--absent", "Tomsa"]);
    assert!(said.stderr.contains("did you mean `Tomas Birch`?"), "{said}");
}
