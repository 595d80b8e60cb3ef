//! `review`: three invented logs of the demo class, and logs that something is wrong with.

use crate::support::Sealed;
use serde_json::{Value, json};

/// One step of a log: planned at 14:00 for so long, and what it took.
fn step(id: &str, planned: i64, took: i64) -> Value {
    let (lesson, rest) = id.split_once('.').unwrap();
    let (step, group) = rest.split_once('@').unwrap();
    let at = |minute: i64| format!("2027-03-06T{:02}:{:02}:00+00:00", 14 + minute / 60, minute % 60);
    json!({
        "id": id, "lesson": if lesson == "class" { Value::Null } else { json!(lesson) }, "step": step, "group": group,
        "planned_start": at(0), "planned_end": at(planned), "start": at(5), "end": at(5 + took),
        "start_by": "plan", "stands": false, "late_minutes": 5 + took - planned,
    })
}

fn mix(mixer: &str, step: &str, values: [f64; 4]) -> Value {
    let [room, flour, liquid, dough] = values;
    json!({ "task": format!("four-braid.{step}@batch-1"), "lesson": "four-braid", "step": step, "part": "dough", "mixer": mixer,
        "values": { "room": room, "flour": flour, "liquid": liquid, "dough": dough } })
}

fn bake(lesson: &str, pieces: (u32, u32), weights: (f64, f64)) -> Value {
    json!({ "task": format!("{lesson}.bake@load-1"), "lesson": lesson, "step": "bake", "planned_pieces": pieces.0,
        "values": { "pieces": pieces.1, "weighed": 2, "before": weights.0, "after": weights.1 } })
}

/// A log as the board writes it: one thing a line.
fn log(day: &str, steps: &[Value], measured: &[Value], more: &[(&str, Value)]) -> String {
    let mut head = vec![
        ("format", json!("benchroll-log")),
        ("version", json!(1)),
        ("program", json!("0.1.0")),
        ("key", json!("0123456789ab")),
        ("course", json!("Soft doughs: a weekend at the bench")),
        ("plan", json!("ba9876543210")),
        ("zone", json!("Europe/Dublin")),
        ("day", json!(day)),
        ("session", json!("sat")),
        ("rehearsal", json!(false)),
        ("boards", json!(["aaaa0000"])),
        ("jumps", json!([])),
    ];
    for (key, value) in more {
        head.retain(|(k, _)| k != key);
        head.push((key, value.clone()));
    }
    let list = |name: &str, items: &[Value]| {
        let lines: Vec<String> = items.iter().map(|i| format!("    {i}")).collect();
        format!("  \"{name}\": [\n{}\n  ]", lines.join(",\n"))
    };
    let mut parts: Vec<String> = head.iter().map(|(key, value)| format!("  \"{key}\": {value}")).collect();
    parts.extend([list("steps", steps), list("measured", measured), "  \"complete\": true".to_owned()]);
    format!("{{\n{}\n}}\n", parts.join(",\n"))
}

/// Three days on which `fill` took 18 to 26 minutes at each of three stations, where 15 are written.
fn three_logs() -> Sealed {
    let mut sealed = Sealed::demo();
    for (n, took) in [[18, 20, 22], [19, 21, 26], [18, 22, 24]].iter().enumerate() {
        let mut steps: Vec<Value> = took
            .iter()
            .enumerate()
            .map(|(station, took)| step(&format!("walnut-crown.fill@station-{}", station + 1), 15, *took))
            .collect();
        steps.push(step("class.break@sat", 15, 16));
        steps.push(step("walnut-crown.cut@station-1", 15, 40));
        let measured = [
            mix("small-mixer", "mix", [21.0, 20.0, 8.0 + n as f64, 24.0]),
            bake("walnut-crown", (4, if n == 1 { 3 } else { 4 }), (1200.0, 1074.0 - 6.0 * n as f64)),
        ];
        let day = format!("2027-0{}-06", 3 + n);
        sealed = sealed.file(&format!("course/logs/{day}.json"), log(&day, &steps, &measured, &[]));
    }
    sealed
}

fn named<'v>(list: &'v Value, key: &str, name: &str) -> &'v Value {
    list.as_array().unwrap().iter().find(|s| s[key] == name).unwrap_or_else(|| panic!("{name} in {list:#}"))
}

#[test]
fn three_logs_give_medians_spread_and_suggestions() {
    let said = three_logs().run(&["review", "course", "--format", "json"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let answer = said.json();
    assert_eq!(answer["days"], json!(["2027-03-06", "2027-04-06", "2027-05-06"]));
    // In order: 18 18 19 20 21 22 22 24 26.
    let fill = named(&answer["steps"], "step", "fill");
    assert_eq!((&fill["planned"], &fill["median"]), (&json!(15), &json!(21)));
    assert_eq!((&fill["seen"], &fill["days"], &fill["late"]), (&json!(9), &json!(3), &json!(11)));
    assert_eq!(fill["spread"], json!({ "least": 18, "most": 26 }));
    assert_eq!(fill["suggest"], "18 to 26 min, usually 21");
    // A minute is no difference; three of one kind are enough to say so.
    assert_eq!(named(&answer["steps"], "step", "break")["suggest"], Value::Null);
    // With three, the written range is only widened.
    assert_eq!(named(&answer["steps"], "step", "cut")["suggest"], "10 to 40 min, usually 40");
    // 3 x 24 - 21 - 20 - liquid of 8, 9, 10: 23, 22, 21 (row `ddt-ff`, US Navy NAVEDTRA 14163).
    let friction = named(&answer["friction"], "of", "small-mixer");
    assert_eq!((&friction["median"], &friction["suggest"]), (&json!(22.0), &json!(22.0)));
    // 126, 132 and 138 of 1200 g.
    let loss = named(&answer["bake_loss"], "of", "walnut-crown");
    assert_eq!((&loss["least"], &loss["median"], &loss["most"]), (&json!(10.5), &json!(11.0), &json!(11.5)));
    let pieces = named(&answer["yields"], "lesson", "walnut-crown");
    assert_eq!((&pieces["planned"], &pieces["made"]), (&json!(12), &json!(11)));
    assert_eq!(answer["changed"], json!([]));
}

/// Two classes in which a step took what it takes, and one in which somebody ticked it an hour later.
#[test]
fn one_wild_length_in_three_writes_nothing_and_is_named() {
    let mut sealed = Sealed::demo();
    for (n, took) in [19, 20, 95].iter().enumerate() {
        let steps = [step("walnut-crown.fill@station-1", 15, *took)];
        let day = format!("2027-0{}-06", 3 + n);
        sealed = sealed.file(&format!("course/logs/{day}.json"), log(&day, &steps, &[], &[]));
    }
    let answer = sealed.run(&["review", "course", "--format", "json"]).json();
    let fill = named(&answer["steps"], "step", "fill");
    assert_eq!((&fill["suggest"], &fill["spread"]["most"]), (&Value::Null, &json!(95)));
    let left_out = answer["left_out"].to_string();
    assert!(
        left_out.contains("walnut-crown.fill 1 of 3: 1 h 35 min, far from the usual 20 min"),
        "{left_out}"
    );
    let before = sealed.read("course/lessons/walnut-crown.toml");
    sealed.run(&["review", "course", "--write"]);
    assert_eq!(sealed.read("course/lessons/walnut-crown.toml"), before);
}

#[test]
fn what_a_person_reads_of_it() {
    let sealed = three_logs();
    let before = sealed.read("course/lessons/walnut-crown.toml");
    let said = sealed.run(&["review", "course"]);
    assert!(said.stdout.lines().all(|line| line.chars().count() <= 80), "{said}");
    insta::assert_snapshot!("review", said.to_string());
    assert_eq!(sealed.read("course/lessons/walnut-crown.toml"), before, "nothing is written unless told");
}

#[test]
fn written_in_place_everything_else_stays_as_it_was() {
    let sealed = three_logs()
        .edit("course/kitchen.toml", "friction = \"12 C\"", "friction = \"12 C\" # measured in January")
        .edit(
            "course/course.toml",
            "name = \"Soft doughs: a weekend at the bench\"",
            "# Ours.\nname   =   \"Soft doughs: a weekend at the bench\"",
        );
    let files = ["course.toml", "kitchen.toml", "lessons/walnut-crown.toml", "formulas/walnut-crown.toml"];
    let before: Vec<String> = files.iter().map(|f| sealed.read(&format!("course/{f}"))).collect();
    let said = sealed.run(&["review", "course", "--write"]);
    assert_eq!(said.exit, Some(0), "{said}");
    for (file, before) in files.iter().zip(&before) {
        let after = sealed.read(&format!("course/{file}"));
        let changed: Vec<(&str, &str)> = before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect();
        let wanted: &[(&str, &str)] = match *file {
            "course.toml" => &[],
            "kitchen.toml" => {
                &[("friction = \"12 C\" # measured in January", "friction = \"22 C\" # measured in January")]
            }
            "lessons/walnut-crown.toml" => &[
                ("10 to 18 min, usually 15", "18 to 26 min, usually 21"),
                ("10 to 18 min, usually 15", "10 to 40 min, usually 40"),
            ],
            _ => {
                // A figure that was not written joins its table.
                assert!(after.contains("bake-loss = \"11 %\""), "{after}");
                continue;
            }
        };
        assert_eq!(before.lines().count(), after.lines().count(), "{file}");
        assert_eq!(changed.len(), wanted.len(), "{file}: {changed:#?}");
        for ((a, b), (old, new)) in changed.iter().zip(wanted) {
            assert_eq!(&a.replace(old, new), b, "{file}");
        }
    }
    assert_eq!(sealed.run(&["check", "course"]).exit, Some(0));
    // What was written is what is suggested: nothing is left to write.
    let again = sealed.run(&["review", "course", "--write", "--format", "json"]);
    assert_eq!(again.json()["changed"], json!([]), "{again}");
}

#[test]
fn logs_that_something_is_wrong_with_are_told_in_words() {
    let fill = |station: u32| step(&format!("walnut-crown.fill@station-{station}"), 15, 20);
    let whole = log("2027-03-06", &[fill(1), fill(2), fill(3)], &[], &[]);
    let cut = &whole[..whole.find("station-3").unwrap()];
    let with = |key: &str, value: Value| log("2027-04-06", &[fill(1)], &[], &[(key, value)]);
    let jump = json!([{ "at": "2027-03-06T14:10:00+00:00", "minutes": 12 }]);
    let cases = [
        (cut.to_owned(), "log-cut-short", 0, 2),
        (with("version", json!(7)), "log-later-version", 1, 0),
        (with("rehearsal", json!(true)), "log-rehearsal", 0, 0),
        (with("boards", json!(["a", "b"])), "log-two-boards", 0, 1),
        (with("course", json!("Another")), "log-other-course", 0, 1),
        (with("jumps", jump), "log-clock-jump", 0, 0),
        ("flour".to_owned(), "log-unreadable", 1, 0),
        ("[1, 2]".to_owned(), "log-unreadable", 1, 0),
        (with("day", json!("soon")), "log-unreadable", 1, 0),
    ];
    for (text, code, exit, seen) in cases {
        let sealed = Sealed::demo().file("course/logs/a.json", &text);
        let said = sealed.run(&["review", "course", "--format", "json"]);
        let answer = said.json();
        assert_eq!(said.exit, Some(exit), "{code}: {said}");
        assert_eq!(answer["findings"][0]["code"], code, "{said}");
        assert_eq!(answer["findings"][0]["file"], "logs/a.json", "{said}");
        let counted = answer["steps"].as_array().unwrap().first().map_or(json!(0), |s| s["seen"].clone());
        assert_eq!(counted, json!(seen), "{code}: {said}");
    }
}

#[test]
fn two_logs_of_one_day_and_a_step_that_is_gone() {
    let fill = |took| step("walnut-crown.fill@station-1", 15, took);
    let sealed = Sealed::demo()
        .file(
            "course/logs/a.json",
            log("2027-03-06", &[fill(20), step("walnut-crown.sing@class", 5, 5)], &[], &[]),
        )
        .file("course/logs/b.json", log("2027-03-06", &[fill(30)], &[], &[]));
    let answer = sealed.run(&["review", "course", "--format", "json"]).json();
    assert_eq!(named(&answer["steps"], "step", "fill")["median"], 20, "the first log counts");
    let left_out: Vec<&str> =
        answer["left_out"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
    assert_eq!(
        left_out,
        [
            "1 step: in two logs of the same day; the first log by its name counts",
            "1 step: this course has no such step any more"
        ]
    );
    // An earlier course's logs count too.
    let sealed = sealed
        .file("autumn/logs/c.json", log("2026-10-03", &[fill(40)], &[], &[("course", json!("Autumn"))]));
    let answer = sealed.run(&["review", "course", "autumn", "--format", "json"]).json();
    assert_eq!(named(&answer["steps"], "step", "fill")["seen"], 2);
}
