//! What goes wrong on an ordinary day: each is placed, worded, and has a way out.

use crate::support::{Said, Sealed};
use benchroll::cli::{Terminal, run};
use benchroll::output::text::{Charset, Screen};
use std::ffi::OsString;
use std::fs;

fn check(sealed: &Sealed) -> Said {
    sealed.run(&["check", "course", "--lines"])
}

#[test]
fn a_piece_without_its_unit_is_offered_grams() {
    let sealed =
        Sealed::small().edit("course/formulas/soft-loaf.toml", "dough = \"700 g\"", "dough = \"65\"");
    insta::assert_snapshot!(check(&sealed));
}

#[test]
fn a_break_after_the_end_is_told_at_its_line() {
    let sealed = Sealed::small();
    let text = sealed.read("course/course.toml");
    let tea = "\n[[steps]]\nid = \"coffee\"\nwhen = \"between 400 and 420 min\"\npause = true\ntakes = \"15 min\"\n";
    let sealed = sealed.file("course/course.toml", text + tea);
    insta::assert_snapshot!(check(&sealed));
}

#[test]
fn a_dough_that_would_pour_is_asked_about() {
    let sealed =
        Sealed::small().edit("course/formulas/soft-loaf.toml", "milk = \"60 %\"", "milk = \"480 %\"");
    let said = check(&sealed);
    let wet: Vec<&str> = said.stdout.lines().filter(|l| l.contains("too-wet-to-knead")).collect();
    insta::assert_snapshot!(wet.join("\n"));
}

/// Steps on parts that are made of each other join and do not join: the circle is the slip, and told alone.
#[test]
fn parts_that_are_made_of_each_other_are_told_before_what_follows_from_it() {
    let sealed = Sealed::demo().edit(
        "course/formulas/walnut-crown.toml",
        "milk = \"200 %\" }",
        "milk = \"200 %\", dough = { flour = \"1 %\" } }",
    );
    let said = sealed.run(&["check", "course", "--format", "json"]).json();
    let errors = said["findings"].as_array().unwrap().iter().filter(|f| f["level"] == "error");
    let codes: Vec<&str> = errors.map(|f| f["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["circular-parts"], "{said:#}");
}

#[test]
fn a_decimal_comma_is_offered_as_a_point() {
    let sealed = Sealed::small().edit("course/kitchen.toml", "rich = \"1.2 kg\"", "rich = \"1,2 kg\"").edit(
        "course/kitchen.toml",
        "least = \"300 g\"",
        "least = \"1,300 g\"",
    );
    insta::assert_snapshot!(check(&sealed));
}

#[test]
fn a_date_in_another_order_is_offered_in_ours() {
    let sealed = Sealed::small().edit("course/course.toml", "date = \"2027-03-06\"", "date = \"06.03.2027\"");
    insta::assert_snapshot!(check(&sealed));
    let sealed = Sealed::small().edit("course/course.toml", "date = \"2027-03-06\"", "date = 13-03-2027");
    insta::assert_snapshot!(check(&sealed));
}

/// A file of which an editor had written half when it was read: told in that file, for every length.
#[test]
fn a_file_saved_half_way_is_told_in_its_place() {
    let whole = Sealed::small().read("course/kitchen.toml");
    let cuts = [whole.find("bowl = \"4").unwrap() + 9, whole.find("[[ovens").unwrap() + 4, whole.len() / 2];
    for cut in cuts {
        let sealed = Sealed::small().file("course/kitchen.toml", &whole[..cut]);
        let said = check(&sealed);
        assert_eq!(said.exit, Some(1), "{said}");
        let line = whole[..cut].lines().count();
        let near = said.stdout.lines().any(|l| {
            let mut parts = l.split(':');
            parts.next() == Some("course/kitchen.toml")
                && parts.next().and_then(|n| n.parse::<usize>().ok()).is_some_and(|n| n <= line + 1)
        });
        assert!(near, "cut at line {line}: {said}");
    }
}

#[test]
fn tabs_are_as_good_as_blanks() {
    let sealed = Sealed::small();
    let kitchen = sealed.read("course/kitchen.toml").replace(" = ", "\t=\t").replace("4.8 l", "4.8\tl");
    let roll = sealed.read("course/roll.csv").replace(',', "\t");
    let sealed = sealed.file("course/kitchen.toml", kitchen).file("course/roll.csv", roll);
    let said = sealed.run(&["check", "course"]);
    assert_eq!(said.exit, Some(0), "{said}");
    assert_eq!(said.stdout, Sealed::small().run(&["check", "course"]).stdout);
}

#[test]
fn a_file_in_utf_16_is_read_and_said() {
    let sealed = Sealed::small();
    let text = sealed.read("course/pantry.toml");
    let bytes: Vec<u8> =
        [0xFF, 0xFE].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let sealed = sealed.file("course/pantry.toml", bytes);
    let said = check(&sealed);
    assert_eq!(said.exit, Some(0), "{said}");
    let first: Vec<&str> = said.stdout.lines().filter(|l| l.contains("not-utf-8")).collect();
    insta::assert_snapshot!(first.join("\n"));
}

/// No line is wider than a narrow terminal.
#[test]
fn a_narrow_terminal_gets_narrow_answers() {
    let broken = Sealed::small().edit("course/kitchen.toml", "count = 6", "count = \"six\"");
    let whole = Sealed::small();
    for (sealed, commands) in
        [(&broken, &["check", "scale"][..]), (&whole, &["scale", "equip", "order", "plan"][..])]
    {
        let (mut answer, mut aside) = (Vec::new(), Vec::new());
        let screen = Screen { width: 44, charset: Charset::Unicode };
        let mut terminal = Terminal::plain(&mut answer, &mut aside, screen);
        for command in commands {
            let course = sealed.path("course").into_os_string();
            run([OsString::from("benchroll"), command.into(), course], &mut terminal);
        }
        drop(terminal);
        let text = String::from_utf8([answer, aside].concat()).unwrap();
        let widest = text.lines().max_by_key(|l| l.chars().count()).unwrap();
        assert!(widest.chars().count() <= 44, "{widest:?}");
    }
}

#[test]
fn a_folder_that_exists_is_not_begun_in() {
    let sealed = Sealed::small();
    let before = fs::read(sealed.path("course/course.toml")).unwrap();
    let said = sealed.run(&["begin", "course"]);
    assert_eq!(said.exit, Some(2), "{said}");
    assert!(said.stderr.contains("way out"), "{said}");
    assert_eq!(fs::read(sealed.path("course/course.toml")).unwrap(), before);
}

/// An impossible day is named as one, and hides nothing of the other files.
#[test]
fn a_day_that_cannot_be_is_named_with_all_other_slips() {
    let sealed = Sealed::demo().edit("course/course.toml", "date = \"2027-03-06\"", "date = 2027-02-30");
    let roll = sealed.read("course/roll.csv") + "Cy Moor,coming,Adda,,,\n";
    let sealed = sealed.file("course/roll.csv", roll).edit(
        "course/lessons/custard-buns.toml",
        "formula = \"custard-buns\"",
        "formula = \"custard-bunns\"",
    );
    let said = sealed.run(&["check", "course"]);
    for words in ["error[no-such-day]", "\"2027-02-30\" is not in the calendar", "\"Adda\"", "custard-bunns"]
    {
        assert!(said.stdout.contains(words), "{words}: {said}");
    }
    assert!(!said.stdout.contains("toml-slip"), "{said}");
}

/// Nobody is offered herself as the one she comes with.
#[test]
fn a_partner_who_is_not_there_is_never_the_person_herself() {
    let head = "name,status,with,station,avoids,needs\n";
    let alone = Sealed::demo().file("course/roll.csv", format!("{head}Cy Moor,coming,Zed,,,\n"));
    let said = alone.run(&["check", "course"]);
    assert!(said.stdout.contains("way out: leave the cell empty\n"), "{said}");
    let two = format!("{head}Cy Moor,coming,Zed,,,\nAnna Lund,coming,,,,\n");
    let said = Sealed::demo().file("course/roll.csv", two).run(&["check", "course"]);
    let plain = said.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(plain.contains("leave the cell empty, or write who of the roll it is: `Anna Lund`"), "{said}");
}
