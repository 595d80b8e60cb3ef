//! `begin`: every course that it starts is sound as it stands.

use crate::support::{Said, Sealed};
use benchroll::cli::{Exit, Terminal, run};
use benchroll::output::text::Screen;
use std::ffi::OsString;

const KINDS: [&str; 3] = ["afternoon", "weekend", "evenings"];

fn begin(sealed: &Sealed, kind: &str, more: &[&str]) -> Said {
    let line = ["begin", "class", "--kind", kind, "--date", "2027-03-06", "--place", "uk"];
    sealed.run(&[&line, more].concat())
}

#[test]
fn each_kind_is_a_sound_course_that_fits_as_it_stands() {
    for kind in KINDS {
        for people in ["3", "6"] {
            let sealed = Sealed::new();
            let said = begin(&sealed, kind, &["--people", people]);
            assert_eq!(said.exit, Some(0), "{said}");
            let checked = sealed.run(&["check", "class"]);
            assert_eq!(checked.exit, Some(0), "{kind}, {people}: {checked}");
            // Nobody should begin with findings about what we wrote.
            assert_eq!(
                checked.stdout, "The course is sound, and it fits its sessions.\n",
                "{kind}, {people}"
            );
        }
    }
}

#[test]
fn the_smallest_prepares_without_an_edit() {
    let sealed = Sealed::new();
    insta::assert_snapshot!(begin(&sealed, "afternoon", &["--people", "2"]));
    let said = sealed.run(&["prepare", "class", "--out", "printed"]);
    assert_eq!(said.exit, Some(0), "{said}");
    assert!(
        sealed.files("printed").iter().any(|f| f.ends_with("station-1.pdf") || f.contains("station")),
        "{said}"
    );
}

/// The name of a country is led to the word for it, not to what is spelt alike: `austria` is not `au`.
#[test]
fn a_country_s_name_leads_to_its_place() {
    let sealed = Sealed::new();
    for (name, word) in
        [("austria", "eu"), ("England", "uk"), ("usa", "us"), ("new-zealand", "nz"), ("Australia", "au")]
    {
        let line = ["begin", "class", "--kind", "afternoon", "--date", "2027-03-06", "--place", name];
        let refused = sealed.run(&line);
        assert_eq!(refused.exit, Some(2), "{refused}");
        assert!(refused.stderr.contains(&format!("write `--place {word}`")), "{name}: {refused}");
    }
    let line = ["begin", "class", "--kind", "afternoon", "--date", "2027-03-06", "--place", "mars"];
    assert!(sealed.run(&line).stderr.contains("possible values: uk, eu"), "{}", sealed.run(&line));
    let money = ["--place", "uk", "--currency", "YEN"];
    let line = [&["begin", "class", "--kind", "afternoon", "--date", "2027-03-06"][..], &money].concat();
    assert!(sealed.run(&line).stderr.contains("no currency's code"), "{}", sealed.run(&line));
}

#[test]
fn each_place_brings_its_own_customs() {
    for (place, list) in [("us", "us9"), ("ca", "ca"), ("au", "anz"), ("nz", "anz"), ("eu", "eu14")] {
        let sealed = Sealed::new();
        let said =
            sealed.run(&["begin", "class", "--kind", "afternoon", "--date", "2027-03-06", "--place", place]);
        assert_eq!(said.exit, Some(0), "{said}");
        assert!(sealed.read("class/course.toml").contains(&format!("allergen-list = \"{list}\"")));
    }
    let sealed = Sealed::new();
    let line = ["begin", "class", "--kind", "weekend", "--date", "2027-03-06", "--place", "elsewhere"];
    let said = sealed.run(&line);
    assert_eq!(said.exit, Some(2), "{said}");
    assert!(said.stderr.contains("--time-zone,\n       --currency"), "{said}");
    // The way out keeps what was typed.
    let whole = said.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "begin class --kind weekend --date 2027-03-06 --place elsewhere --time-zone Asia/Tokyo --currency JPY";
    assert!(whole.contains(told), "{said}");
    let said = sealed.run(&[&line[..], &["--time-zone", "Asia/Tokyo", "--currency", "JPY"]].concat());
    assert_eq!(said.exit, Some(0), "{said}");
    // No food code is guessed: what nobody says is unknown.
    assert!(sealed.read("class/course.toml").contains("\n# rules = "));
}

#[test]
fn without_a_terminal_what_is_missing_is_named() {
    let sealed = Sealed::new();
    let said = sealed.run(&["begin", "class"]);
    assert_eq!(said.exit, Some(2), "{said}");
    insta::assert_snapshot!(said);
    assert!(sealed.files(".").is_empty());
}

#[test]
fn a_folder_that_holds_anything_is_left_alone() {
    let sealed = Sealed::small();
    let before = sealed.files("course");
    let said =
        sealed.run(&["begin", "course", "--kind", "afternoon", "--date", "2027-03-06", "--place", "uk"]);
    insta::assert_snapshot!(said, @"
    exit 2
    --- stderr
    error: course is there already and is not empty; it stays as it is
     │
     ╰ way out: name a folder that does not exist yet
    ");
    assert_eq!(sealed.files("course"), before);
    let sealed = Sealed::new().file("class", "a file");
    assert_eq!(begin(&sealed, "afternoon", &[]).exit, Some(2));
    assert_eq!(sealed.read("class"), "a file");
    // An empty folder is as good as none.
    let sealed = Sealed::new();
    std::fs::create_dir(sealed.path("class")).unwrap();
    assert_eq!(begin(&sealed, "afternoon", &[]).exit, Some(0));
}

#[test]
fn a_date_in_another_order_is_told_before_anything_is_written() {
    let sealed = Sealed::new();
    let line = ["begin", "class", "--kind", "afternoon", "--place", "uk", "--date", "06.03.2027"];
    let said = sealed.run(&line);
    assert_eq!(said.exit, Some(2), "{said}");
    assert!(said.stderr.contains("`2027-03-06` or `2027-06-03`"), "{said}");
    assert!(sealed.files(".").is_empty());
}

/// What a person sees who answers so.
fn asked(sealed: &Sealed, typed: &str) -> (Exit, String) {
    let (mut answer, mut aside) = (Vec::new(), Vec::new());
    let mut terminal = Terminal::plain(&mut answer, &mut aside, Screen::default()).hearing(typed.as_bytes());
    let folder = sealed.path("class");
    let line = [OsString::from("benchroll"), "begin".into(), folder.clone().into_os_string()];
    let exit = run(line, &mut terminal);
    drop(terminal);
    let text = [aside, b"---\n".to_vec(), answer].concat();
    (exit, String::from_utf8(text).unwrap().replace(folder.to_str().unwrap(), "class"))
}

#[test]
fn questions_are_asked_until_they_are_answered() {
    let sealed = Sealed::new();
    let (exit, text) =
        asked(&sealed, "5\n2\n6.3.2027\n2027-03-06\nmany\n\nus\n\neuro\n\nButter \"and\" cold\n\n\n");
    insta::assert_snapshot!(text);
    assert_eq!(exit, Exit::Fine);
    let course = sealed.read("class/course.toml");
    assert!(course.contains("name = \"Butter \\\"and\\\" cold\""), "{course}");
    let (exit, text) = asked(&Sealed::new(), "1\n");
    assert_eq!(exit, Exit::CommandLine);
    assert!(text.contains("nothing is written"), "{text}");
}
