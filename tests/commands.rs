//! Whole commands, as a person runs them.

use crate::support::Sealed;
use rust_decimal::Decimal;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;

/// The demo class takes long to plan without optimisation, so the commands are shown on a class of one lesson.
const ASKING: [&[&str]; 5] = [
    &["check", "course"],
    &["scale", "course"],
    &["equip", "course"],
    &["order", "course"],
    &["plan", "course"],
];

#[test]
fn help_of_every_command() {
    let sealed = Sealed::new();
    let mut all = sealed.run(&["--help"]).to_string();
    for command in [
        "begin", "prepare", "check", "scale", "equip", "order", "plan", "catch-up", "safety", "review",
        "live", "finding", "import", "season", "schema",
    ] {
        let said = sealed.run(&[command, "--help"]);
        assert_eq!(said.exit, Some(0));
        all.push_str(&format!("\n{said}"));
    }
    assert!(all.lines().all(|line| line.chars().count() <= 80), "{all}");
    insta::assert_snapshot!("help", all);
}

#[test]
fn what_a_person_reads() {
    let sealed = Sealed::small();
    let mut all = String::new();
    for line in ASKING {
        all.push_str(&format!("$ benchroll {}\n{}\n", line.join(" "), sealed.run(line)));
    }
    assert!(all.lines().all(|line| line.chars().count() <= 80), "{all}");
    insta::assert_snapshot!("people", all);
}

#[test]
fn what_a_program_reads() {
    let sealed = Sealed::small();
    let mut all = String::new();
    for line in ASKING {
        let line = [line, &["--format", "json"]].concat();
        let said = sealed.run(&line);
        said.json();
        all.push_str(&format!("$ benchroll {}\n{said}\n", line.join(" ")));
    }
    insta::assert_snapshot!("programs", all);
}

fn grams(value: &Value) -> Decimal {
    value.to_string().parse().unwrap()
}

fn add(sums: &mut BTreeMap<String, Decimal>, groups: &Value) {
    for portion in groups.as_array().unwrap().iter().flat_map(|g| g["portions"].as_array().unwrap()) {
        for ingredient in portion["ingredients"].as_array().unwrap() {
            *sums.entry(ingredient["item"].as_str().unwrap().to_owned()).or_default() +=
                grams(&ingredient["grams"]);
        }
    }
}

/// Stations + demo + spare + shared = totals, to the milligram; the order's need = totals + its named allowances.
#[test]
fn numbers_add_up_from_station_to_order() {
    let sealed = Sealed::small().edit("course/lessons/soft-loaf.toml", "pieces = 1", "pieces = 1, spare = 1");
    for headcount in ["3", "4", "5", "6"] {
        let ask =
            |command| sealed.run(&[command, "course", "--headcount", headcount, "--format", "json"]).json();
        sums_agree(&ask("scale"), &ask("order"));
    }
}

/// The answers of `scale` and `order` to one question agree with themselves and with each other.
pub fn sums_agree(scale: &Value, order: &Value) {
    let mut sums = BTreeMap::new();
    for group in ["stations", "demo", "spare", "shared"] {
        add(&mut sums, &scale[group]);
    }
    let totals: BTreeMap<String, Decimal> = scale["totals"]
        .as_array()
        .unwrap()
        .iter()
        .map(|t| (t["item"].as_str().unwrap().to_owned(), grams(&t["grams"])))
        .collect();
    assert_eq!(sums, totals, "for {}", scale["headcount"]);

    let lines = order["lines"].as_array().unwrap();
    let ordered = lines.iter().map(|l| l["item"].as_str().unwrap());
    let staples = order["staples"].as_array().unwrap().iter().map(|s| s["item"].as_str().unwrap());
    let mut covered: Vec<&str> = ordered.chain(staples).collect();
    covered.sort_unstable();
    assert_eq!(covered, totals.keys().map(String::as_str).collect::<Vec<_>>());
    let mut cost = Decimal::ZERO;
    for line in lines {
        let allowances: Decimal =
            line["allowances"].as_array().unwrap().iter().map(|a| grams(&a["grams"])).sum();
        let need = grams(&line["need_grams"]);
        assert_eq!(need, totals[line["item"].as_str().unwrap()] + allowances, "{line}");
        let packs = line["packs"].as_array().unwrap();
        let bought: Decimal = packs.iter().map(|p| grams(&p["pack_grams"]) * grams(&p["count"])).sum();
        assert_eq!(grams(&line["on_hand_grams"]) + bought - need, grams(&line["surplus_grams"]), "{line}");
        cost += line["cost"].as_str().unwrap().parse::<Decimal>().unwrap();
    }
    let fees: Decimal = order["deliveries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["fee"].as_str().unwrap().parse::<Decimal>().unwrap())
        .sum();
    assert_eq!(order["total"].as_str().unwrap().parse::<Decimal>().unwrap(), cost + fees);
}

#[test]
fn exit_codes() {
    let sealed = Sealed::small()
        .file("broken/course.toml", "format = ")
        .file("empty/readme.txt", "no course")
        .file("printed", "a file where a folder should be");
    let exit = |line: &[&str]| {
        let said = sealed.run(line);
        assert!(!said.to_string().contains("panicked"), "{said}");
        said.exit.unwrap()
    };
    assert_eq!(exit(&["check", "course"]), 0);
    assert_eq!(exit(&["--version"]), 0);
    assert_eq!(exit(&["finding"]), 0);
    for command in ["check", "scale", "equip", "order", "plan", "safety"] {
        assert_eq!(exit(&[command, "broken"]), 1, "{command}");
        assert_eq!(exit(&[command, "empty"]), 1, "{command}");
        assert_eq!(exit(&[command, "nowhere"]), 1, "{command}");
        assert_eq!(exit(&[command, "empty", "--format", "json"]), 1, "{command}");
    }
    assert_eq!(exit(&["prepare", "empty", "--out", "out"]), 1);
    assert_eq!(exit(&[]), 2);
    assert_eq!(exit(&["chek", "course"]), 2);
    assert_eq!(exit(&["check"]), 2);
    assert_eq!(exit(&["check", "course", "--headcount", "0"]), 2);
    assert_eq!(exit(&["check", "course", "--headcount", "twelve"]), 2);
    assert_eq!(exit(&["check", "course", "--format", "xml"]), 2);
    assert_eq!(exit(&["plan", "course", "--at", "25:00"]), 2);
    assert_eq!(exit(&["plan", "course", "--at", "Mon 14:00"]), 2);
    assert_eq!(exit(&["prepare", "course"]), 2);
    assert_eq!(exit(&["finding", "no-such-word"]), 2);
    assert_eq!(exit(&["prepare", "course", "--out", "printed"]), 3);
    assert_eq!(exit(&["prepare", "course", "--out", "printed/deeper"]), 3);
}

#[test]
fn a_course_with_errors_writes_nothing_and_tells_all_of_them() {
    let sealed = Sealed::small()
        .edit("course/formulas/soft-loaf.toml", "sugar = \"6 %\"", "sugr = \"6 %\"")
        .edit("course/kitchen.toml", "count = 6", "count = \"six\"");
    let said = sealed.run(&["prepare", "course", "--out", "printed"]);
    insta::assert_snapshot!(said, @r#"
    exit 1
    --- stderr
    error[wrong-type]: `count` is text, not a whole number
       ╭▸ kitchen.toml:36:9
       │
    36 │ count = "six"
       │         ━━━━━
       │
       ╰ way out: write how many there are: a whole number without quotes

    error[unknown-ingredient]: `sugr` is no ingredient of the pantry and no part of
                               formula `soft-loaf`
       ╭▸ formulas/soft-loaf.toml:11:57
       │
    11 │ of = { flour = "100 %", milk = "60 %", butter = "10 %", sugr = "6 %", salt…
       │                                                         ━━━━
       │
       ╰ way out: did you mean `sugar`?

    2 errors
    "#);
    assert_eq!(sealed.files("printed"), [""; 0]);
    let findings = sealed.run(&["check", "course", "--format", "json"]).json();
    let errors: Vec<(&str, &str, u64)> = findings["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["level"] == "error")
        .map(|f| (f["code"].as_str().unwrap(), f["file"].as_str().unwrap(), f["line"].as_u64().unwrap()))
        .collect();
    assert_eq!(errors.len(), 2, "{findings}");
    assert!(
        errors.iter().any(|(_, file, line)| (*file, *line) == ("formulas/soft-loaf.toml", 11)),
        "{errors:?}"
    );
    assert!(errors.iter().any(|(_, file, _)| *file == "kitchen.toml"), "{errors:?}");
}

#[test]
fn a_class_that_does_not_fit_is_prepared_as_late() {
    let sealed = Sealed::small().edit("course/course.toml", "to = \"17:00\"", "to = \"14:30\"").edit(
        "course/course.toml",
        "staff = \"11:00 to 18:00\"",
        "staff = \"11:00 to 14:30\"",
    );
    let said = sealed.run(&["prepare", "course", "--out", "printed"]);
    assert_eq!(said.exit, Some(1), "{said}");
    insta::assert_snapshot!(said, @r#"
    exit 1
    --- stdout
    20 documents on 52 pages.
    30 files written into printed.

    It does not fit: 50 min too long. This is the least-late plan.
    Saturday, 6 March: the last student's step ends at 15:20, the session at 14:30.
    overrun minutes: 50 (proven the least)
    steps put ahead to make it fit: 0 (proven the least)
    idle student minutes: 660 (proven the least)
    session minutes: 200 (proven the least)
    staff minutes: 175 (proven the least)
    2 warnings and notes beside: `benchroll check course`

    --- stderr
    error[does-not-fit]: the class is 50 min too long: sat would end at 15:20; what
                         holds it: the steps one after another, and no hands or
                         things more make them shorter; `soft-loaf.rise` stands at
                         least 50 min, and can't wait in the cold: with `mix` (15
                         min, students, in a session), `shape` (10 min, students, in
                         a session), `proof` (40 min to 1 h 10 min), `bake` (35 min,
                         in the staff's hours) and `turn-out` (5 min, in the staff's
                         hours) it fits nowhere into the hours as written, even for
                         one station alone with everything in the kitchen free; it
                         is proven that nothing in the written times fits
       ╭▸ course.toml:29:6
       │
    29 │ to = "14:30"
       │      ━━━━━━━
       │
       ⸬  lessons/soft-loaf.toml:5:87
       │
     5 │ …tands = "50 to 80 min" },
       │          ────────────── this is too long, with the steps beside it
       │
       ╰ way out: make a session longer, have more made ahead, borrow what is
                  short; `benchroll plan --levers` tries changes

    1 error
    "#);
    let plan: Value = serde_json::from_str(&sealed.read("printed/data/plan.json")).unwrap();
    assert_eq!(plan["fits"], false);
    assert!(plan["overrun_minutes"].as_i64().unwrap() > 0);
}

#[test]
fn an_output_folder_that_cannot_be_written_is_said() {
    let sealed = Sealed::small().file("printed", "a file");
    insta::assert_snapshot!(sealed.run(&["prepare", "course", "--out", "printed"]), @"
    exit 3
    --- stderr
    error: printed is not a folder, so nothing can be written into it
     │
     ╰ way out: name a folder, or one that does not exist yet, with --out
    ");
    assert_eq!(sealed.read("printed"), "a file");
}

#[test]
fn prepare_says_what_it_did() {
    let sealed = Sealed::small();
    let first = sealed.run(&["prepare", "course", "--out", "printed"]);
    insta::assert_snapshot!(first, @"
    exit 0
    --- stdout
    20 documents on 52 pages.
    30 files written into printed.

    It fits.
    Saturday, 6 March: the last student's step ends at 15:20, the session at 17:00.
    steps put ahead to make it fit: 0 (proven the least)
    idle student minutes: 660 (proven the least)
    session minutes: 200 (proven the least)
    staff minutes: 175 (proven the least)
    2 warnings and notes beside: `benchroll check course`
    ");
    // What counts for another number of people is looked at for that number.
    let two = sealed.run(&["prepare", "course", "--out", "two", "--headcount", "2"]);
    let plain = two.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(plain.contains("beside: `benchroll check course --headcount 2`"), "{two}");
    let told = sealed.run(&["prepare", "course", "--out", "told", "--format", "json"]).json();
    let mut listed: Vec<String> = ["documents", "data"]
        .iter()
        .flat_map(|list| told[list].as_array().unwrap())
        .map(|d| d.as_str().or(d["path"].as_str()).unwrap().to_owned())
        .collect();
    listed.push("manifest.json".to_owned());
    listed.sort();
    assert_eq!(listed, sealed.files("told"));
}

#[test]
fn the_same_folder_gives_the_same_bytes() {
    let mut sealed = Sealed::small();
    let said = sealed.run(&["prepare", "course", "--out", "one"]);
    assert_eq!(said.exit, Some(0), "{said}");
    // The same files under another name, made in another order: a folder lists them as they came.
    let mut names = sealed.files("course");
    names.reverse();
    for name in &names {
        let bytes = fs::read(sealed.path("course").join(name)).unwrap();
        sealed = sealed.file(&format!("elsewhere/Kurs im Mai/{name}"), bytes);
    }
    const ELSEWHERE: [&[(&str, &str)]; 3] = [
        &[("TZ", "Asia/Tokyo"), ("LANG", "de_DE.ISO-8859-1"), ("RAYON_NUM_THREADS", "1")],
        &[
            ("TZ", "America/St_Johns"),
            ("LC_ALL", "tr_TR.UTF-8"),
            ("RAYON_NUM_THREADS", "4"),
            ("COLUMNS", "44"),
        ],
        &[
            ("TZ", "UTC"),
            ("LC_ALL", "C"),
            ("RAYON_NUM_THREADS", "7"),
            ("SOURCE_DATE_EPOCH", "1"),
            ("HOME", "/"),
        ],
    ];
    for (n, variables) in ELSEWHERE.iter().enumerate() {
        let out = format!("other-{n}");
        let said = sealed.run_with(&["prepare", "elsewhere/Kurs im Mai", "--out", &out], variables);
        assert_eq!(said.exit, Some(0), "{said}");
        let names = sealed.files("one");
        assert_eq!(names, sealed.files(&out));
        for name in names {
            let read = |folder: &str| fs::read(sealed.path(folder).join(&name)).unwrap();
            assert!(read("one") == read(&out), "{name} with {variables:?}");
        }
    }
    for command in ["check", "scale", "equip", "order", "plan", "safety"] {
        let here = sealed.run(&[command, "course", "--format", "json"]);
        for variables in ELSEWHERE {
            let line = [command, "elsewhere/Kurs im Mai", "--format", "json"];
            assert_eq!(here.stdout, sealed.run_with(&line, variables).stdout, "{command} with {variables:?}");
        }
    }
}

/// In a pipe there is neither colour nor progress; `NO_COLOR` is stronger than any wish for colour.
#[test]
fn quiet_and_plain_without_a_terminal() {
    let sealed = Sealed::small();
    let said = sealed.run(&["check", "course"]);
    assert!(!said.to_string().contains('\u{1b}'), "{said}");
    assert_eq!(said.stderr, "");
    let forced = sealed.run_with(&["check", "course"], &[("CLICOLOR_FORCE", "1")]);
    assert!(forced.stdout.contains('\u{1b}'), "{forced}");
    let refused = sealed.run_with(&["check", "course"], &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]);
    assert!(!refused.to_string().contains('\u{1b}'), "{refused}");
}

#[test]
fn what_goes_on_at_a_moment() {
    let sealed = Sealed::small();
    insta::assert_snapshot!(sealed.run(&["plan", "course", "--at", "Sat 13:00"]), @"
    exit 0
    --- stdout
    Saturday 6 March 2027
    from   to     what            for                     who        at
    ─────  ─────  ──────────────  ──────────────────────  ─────────  ──
    12:25  13:15  soft-loaf.rise  batch 1 (stations 1-2)  by itself

    Who, at Sat 13:00
    who           now   next                   from
    ────────────  ────  ─────────────────────  ─────
    teacher       idle  soft-loaf.bake load 1  14:05
    stations 1-2  idle  soft-loaf.shape        13:15
    ");
    insta::assert_snapshot!(sealed.run(&["plan", "course", "--at", "2027-03-06 11:59"]), @"
    exit 0
    --- stdout
    Nothing goes on then.
    Who, at Sat 11:59
    who           now   next           from
    ────────────  ────  ─────────────  ─────
    teacher       idle  class.welcome  12:00
    stations 1-2  idle  class.welcome  12:00
    ");
    insta::assert_snapshot!(sealed.run(&["plan", "course", "--at", "half past one"]), @r#"
    exit 2
    --- stderr
    error: "half" cannot be read as a date
     │
     ╰ way out: write `14:20`, `Sat 14:20` or `2027-03-06 14:20`; the plan's
                days are Sat 2027-03-06
    "#);
}

/// Two tins, an oven, the helper or an hour less: a plan, or a reason and single changes that make it fit when they are made.
#[test]
fn with_less_it_fits_or_says_what_would_help() {
    let short = |sealed: Sealed| {
        sealed.edit("course/course.toml", "to = \"17:00\"", "to = \"16:00\"").edit(
            "course/course.toml",
            "to = \"13:30\"",
            "to = \"12:30\"",
        )
    };
    let oven = ("name = \"Deck-width fan oven\"\ncount = 2", "name = \"Deck-width fan oven\"\ncount = 1");
    let helper = ("helpers = [\"Tomas Birch\"]", "helpers = []");
    for sealed in [
        Sealed::demo().edit("course/kitchen.toml", "count = 10\ninside", "count = 8\ninside"),
        Sealed::demo().edit("course/kitchen.toml", oven.0, oven.1),
        Sealed::demo().edit("course/course.toml", helper.0, helper.1),
    ] {
        let said = sealed.run(&["plan", "course", "--levers"]);
        assert!(said.exit == Some(0) && said.stdout.contains("It fits."), "{said}");
    }
    let sealed = short(Sealed::demo());
    let said = sealed.run(&["plan", "course", "--levers"]).to_string();
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let verdict = &said[said.find("It does not fit").unwrap()..];
    insta::assert_snapshot!("levers", verdict);
    // The first of them, made.
    assert!(verdict.contains("let Sunday go on 20 min longer"), "{verdict}");
    let longer = sealed.edit("course/course.toml", "to = \"12:30\"", "to = \"12:50\"");
    assert_eq!(longer.run(&["plan", "course"]).exit, Some(0));
}

/// The chain goes back to the clock: each line waits for the next.
#[test]
fn what_holds_a_task_where_it_is() {
    let sealed = Sealed::small();
    let mut all = String::new();
    for task in ["soft-loaf.bake@load-1", "class.welcome@sat"] {
        let said = sealed.run(&["plan", "course", "--why", task]);
        assert_eq!(said.exit, Some(0), "{said}");
        all.push_str(&format!("$ benchroll plan course --why {task}\n{said}\n"));
    }
    insta::assert_snapshot!("why", all);
}

#[test]
fn a_code_that_is_misspelt_gets_its_nearest() {
    let sealed = Sealed::new();
    insta::assert_snapshot!(sealed.run(&["finding", "tin-to-small"]), @r#"
    exit 2
    --- stderr
    error: there is no finding "tin-to-small"
     │
     ╰ way out: did you mean tin-too-small? `benchroll finding` lists all of
                them
    "#);
}

/// People by the names that the plan prints, and staff by their own; and a number of people in words.
#[test]
fn what_somebody_does_and_how_many_come() {
    let sealed = Sealed::demo();
    let plan = sealed.run(&["plan", "course", "--format", "json"]).json();
    let tasks = plan["tasks"].as_array().unwrap();
    let by =
        |who: &str| tasks.iter().filter(|t| t["by"].as_array().unwrap().iter().any(|b| b == who)).count();
    for (who, shown) in [("helper-1", "helper-1"), ("teacher", "teacher"), ("Tomas Birch", "helper-1")] {
        let said = sealed.run(&["plan", "course", "--why", who]);
        assert_eq!(said.exit, Some(0), "{said}");
        assert!(said.stdout.starts_with(&format!("{shown} (")), "{said}");
        assert!(said.stdout.contains(&format!("{} tasks of the plan", by(shown))), "{said}");
        assert_eq!(
            said.stdout.lines().filter(|l| l.contains(" to ") && l.contains('@')).count(),
            by(shown),
            "{said}"
        );
    }
    let at_station =
        tasks.iter().filter(|t| t["stations"].as_array().unwrap().iter().any(|s| s == 3)).count();
    let said = sealed.run(&["plan", "course", "--why", "station-3"]);
    assert!(said.stdout.contains(&format!("station-3: {at_station} tasks")), "{said}");
    for line in [["plan", "course", "--headcount", "x"], ["order", "course", "--headcount", "0"]] {
        let said = sealed.run(&line);
        assert!(said.exit == Some(2) && said.stderr.contains("a number from 1 to 500"), "{said}");
    }
}
