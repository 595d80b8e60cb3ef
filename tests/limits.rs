//! Input that means ill, or is a slip of the hand: refused in words, in good time, and what was printed before stays.

use crate::support::{Said, Sealed};
use std::collections::BTreeMap;
use std::fmt::Write as _;

fn check(sealed: &Sealed) -> Said {
    sealed.run(&["check", "course", "--lines"])
}

#[track_caller]
fn tells(sealed: &Sealed, place: &str, code: &str) {
    let said = check(sealed);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(said.stdout.lines().any(|l| l.starts_with(place) && l.contains(code)), "{said}");
}

fn roll(people: usize) -> String {
    (1..=people).fold("name,status,with,station,avoids,needs\n".to_owned(), |mut text, n| {
        writeln!(text, "Person {n},waiting,,,,").unwrap();
        text
    })
}

#[test]
fn more_than_is_believed_is_told_at_its_place() {
    let with = |path: &str, text: String| Sealed::small().file(path, text);
    let said = check(&with("course/roll.csv", roll(500)));
    assert!(!said.stdout.contains("more-than-believed"), "{said}");
    tells(&with("course/roll.csv", roll(501)), "course/roll.csv:502:", "more-than-believed");

    let small = Sealed::small();
    let of = |path: &str| small.read(&format!("course/{path}"));
    let lessons: Vec<String> = (0..51).map(|n| format!("\"loaf-{n}\"")).collect();
    let many = of("course.toml").replace("\"soft-loaf\"", &lessons.join(", "));
    let mut course = with("course/course.toml", many);
    for n in 0..51 {
        course = course.file(&format!("course/lessons/loaf-{n}.toml"), of("lessons/soft-loaf.toml"));
    }
    tells(&course, "course/course.toml:", "more-than-believed");

    let step = |n: usize| {
        format!(
            "  {{ id = \"rest-{n}\", on = \"dough\", per = \"batch\", at = \"room\", hands = \"nobody\", stands = \"5 min\" }},\n"
        )
    };
    let more: String = (0..200).map(step).collect();
    let steps = of("lessons/soft-loaf.toml").replace("steps = [\n", &format!("steps = [\n{more}"));
    tells(
        &with("course/lessons/soft-loaf.toml", steps),
        "course/lessons/soft-loaf.toml:",
        "more-than-believed",
    );

    let pieces = |n: &str| of("lessons/soft-loaf.toml").replace("pieces = 1,", &format!("pieces = {n},"));
    let many = with("course/lessons/soft-loaf.toml", pieces("10000"));
    tells(&many, "course/lessons/soft-loaf.toml:", "more-than-believed");

    let words = vec!["\"a\""; 1001].join(", ");
    let list = of("kitchen.toml").replace("each-has = [", &format!("each-has = [{words}, "));
    tells(&with("course/kitchen.toml", list), "course/kitchen.toml:", "more-than-believed");

    assert_eq!(small.run(&["check", "course", "--headcount", "501"]).exit, Some(2));
}

/// Brackets in brackets, of which a parser that calls itself for each would fill the stack.
#[test]
fn a_file_that_is_nested_deeply_is_told() {
    let deep = format!("x = {}{}\n", "[".repeat(200_000), "]".repeat(200_000));
    tells(&Sealed::small().file("course/kitchen.toml", deep), "course/kitchen.toml:", "toml-slip");
    let tables = format!("[{}]\nx = 1\n", vec!["a"; 100_000].join("."));
    tells(&Sealed::small().file("course/kitchen.toml", tables), "course/kitchen.toml:", "toml-slip");
    let json = "[".repeat(200_000);
    let sealed = Sealed::small().file("course/logs/day.json", &json).file("page.json", &json);
    let said = sealed.run(&["review", "course"]);
    assert!(said.exit == Some(1) && said.to_string().contains("log-unreadable"), "{said}");
    assert_eq!(sealed.run(&["import", "page.json"]).exit, Some(2));
}

/// A course is its folder: no name in it leads to a file elsewhere.
#[test]
fn no_name_leads_out_of_the_course() {
    let secret = "format = 1\nname = \"a secret\"\n";
    for path in ["../outside", "../../etc/passwd", "/etc/passwd", "a/../../outside"] {
        let lesson = format!("lessons = [\"{path}\"]");
        let sealed = Sealed::small().file("course/outside.toml", secret).file("outside.toml", secret).edit(
            "course/course.toml",
            "lessons = [\"soft-loaf\"]",
            &lesson,
        );
        let said = check(&sealed);
        assert!(said.exit == Some(1) && !said.stdout.contains("a secret"), "{said}");
        let formula = format!("formula = \"{path}\"");
        let sealed = Sealed::small().file("course/outside.toml", secret).file("outside.toml", secret).edit(
            "course/lessons/soft-loaf.toml",
            "formula = \"soft-loaf\"",
            &formula,
        );
        let said = check(&sealed);
        assert!(said.exit == Some(1) && !said.stdout.contains("a secret"), "{said}");
    }
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    use std::os::unix::fs::symlink;
    let sealed = Sealed::small().file("elsewhere/pantry.toml", "a secret").file("elsewhere/words.typ", "#x");
    let pantry = sealed.path("course/pantry.toml");
    std::fs::remove_file(&pantry).unwrap();
    symlink(sealed.path("elsewhere/pantry.toml"), &pantry).unwrap();
    symlink(sealed.path("elsewhere"), sealed.path("course/templates")).unwrap();
    let said = check(&sealed);
    assert!(said.exit == Some(1) && said.stdout.contains("file-refused"), "{said}");
    assert!(!said.stdout.contains("a secret"), "{said}");
}

/// The course's own room card, whose template does something else.
fn with_card(template: &str) -> Sealed {
    let sealed = Sealed::small();
    let first = sealed.run(&["prepare", "course", "--out", "printed"]);
    assert_eq!(first.exit, Some(0), "{first}");
    sealed.file("course/templates/room-card.typ", template)
}

fn printed(sealed: &Sealed) -> BTreeMap<String, Vec<u8>> {
    let read = |name: String| (name.clone(), std::fs::read(sealed.path("printed").join(name)).unwrap());
    sealed.files("printed").into_iter().map(read).collect()
}

#[test]
fn a_template_reads_nothing_but_its_own() {
    for (source, lead) in [
        ("#read(\"/../../roll.csv\")", "template-error"),
        ("#read(\"../roll.csv\")", "template-error"),
        ("#read(\"/roll.csv\")", "template-error"),
        ("#read(\"/etc/passwd\")", "template-error"),
        ("#image(\"/course.toml\")", "template-error"),
        ("#import \"@preview/cetz:0.3.0\"", "template-error"),
        ("#import \"@local/own:1.0.0\"", "template-error"),
        ("#plugin(\"/etc/passwd\")", "template-error"),
    ] {
        tells(&with_card(source), "course/templates/room-card.typ:1:", lead);
    }
    // No way out is one of another program's command line.
    let said = with_card("#read(\"/../../roll.csv\")").run(&["check", "course"]);
    assert!(said.stdout.contains("template-error") && !said.stdout.contains("--root"), "{said}");
}

/// A loop without an end, and one that fills the memory: the program ends itself, and what was printed before stands.
#[test]
fn a_template_that_runs_away_is_stopped() {
    let endless = "#for i in range(1000000) { for j in range(1000000) { let x = i * j } }";
    let greedy = "#let all = ()\n#for i in range(1000000) { all.push(str(i) * 10000) }";
    for (source, variable, limit, says) in [
        (endless, "BENCHROLL_PAGE_SECONDS", "2", "no page came to its end for 2 s"),
        (greedy, "BENCHROLL_PAGE_MIB", "400", "took more than 400 MiB of memory"),
    ] {
        if variable == "BENCHROLL_PAGE_MIB" && !std::path::Path::new("/proc/self/status").exists() {
            eprintln!("not checked: this system does not tell how much memory a program takes");
            continue;
        }
        let sealed = with_card(source);
        let before = printed(&sealed);
        let said = sealed.run_with(&["prepare", "course", "--out", "printed"], &[(variable, limit)]);
        assert_eq!(said.exit, Some(3), "{said}");
        assert!(said.stderr.contains("error[template-runs-away]"), "{said}");
        let told = said.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(says), "{said}");
        assert!(told.contains("templates/room-card.typ") && told.contains("is still whole"), "{said}");
        assert_eq!(printed(&sealed), before);
        // What a pack's template receives tells how many pages each sheet has: they are laid out for it.
        let data = sealed.run_with(&["template", "pack", "--data", "course"], &[(variable, limit)]);
        assert_eq!(data.exit, Some(3), "{data}");
        assert!(data.stderr.contains("error[template-runs-away]"), "{data}");
        let again = sealed.run(&["template", "room-card", "--into", "course"]);
        assert_eq!(again.exit, Some(2), "a template that is there stays: {again}");
        std::fs::remove_file(sealed.path("course/templates/room-card.typ")).unwrap();
        assert_eq!(sealed.run(&["prepare", "course", "--out", "printed"]).exit, Some(0));
    }
}

/// Functions that call themselves, and boxes in boxes: told, and no stack is filled.
#[test]
fn a_template_that_calls_itself_is_told() {
    for source in [
        "#let f(n) = f(n + 1)\n#f(0)",
        "#let f(n) = if n > 0 { box(f(n - 1)) }\n#f(2000)",
        "#show heading: it => { it; heading[again] }\n= Once",
    ] {
        tells(&with_card(source), "course/templates/", "template-error");
    }
    let deep = format!("#let x = {}1{}", "(".repeat(100_000), ")".repeat(100_000));
    tells(&with_card(&deep), "course/templates/", "template-error");
}

/// The texts and the board come from another sort of template.
#[test]
fn a_text_template_that_runs_away_is_told() {
    let endless = "{% for a in range(90000) %}{% for b in range(90000) %}{% endfor %}{% endfor %}";
    for (path, text) in [
        ("course/templates/order-mail.txt", endless.to_owned()),
        ("course/templates/board.html", endless.to_owned()),
        ("course/templates/board.html", "{% macro f() %}{{ f() }}{% endmacro %}{{ f() }}".to_owned()),
        ("course/templates/order-mail.txt", "{% include \"/etc/passwd\" %}".to_owned()),
        ("course/templates/board.html", "{% include \"../roll.csv\" %}".to_owned()),
        (
            "course/templates/order-mail.txt",
            format!("{}1{}", "{{ ".to_owned() + &"(".repeat(50_000), ")".repeat(50_000) + " }}"),
        ),
    ] {
        tells(&Sealed::small().file(path, text), path, "template-error");
    }
}

/// A workbook is packed: a small one can claim any size, or hold a cell at the end of a sheet.
#[test]
fn a_workbook_may_not_unfold_beyond_reason() {
    let book = |cells: &[(u32, u16)]| {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        sheet.write(0, 0, "name").unwrap();
        sheet.write(1, 0, "Ada").unwrap();
        for (row, column) in cells {
            sheet.write(*row, *column, "x").unwrap();
        }
        book.save_to_buffer().unwrap()
    };
    let bring = |bytes: Vec<u8>| {
        Sealed::small().file("people.xlsx", bytes).run(&["roll", "course", "--from", "people.xlsx"])
    };
    assert_eq!(bring(book(&[])).exit, Some(0));
    let far = bring(book(&[(1_048_575, 16_383)]));
    assert!(far.exit == Some(1) && far.to_string().contains("row 1048576"), "{far}");
    let mut claims = book(&[]);
    let entry = claims.windows(4).position(|four| four == b"PK\x01\x02").unwrap();
    claims[entry + 24..entry + 28].copy_from_slice(&0x7FFF_FFFF_u32.to_le_bytes());
    let large = bring(claims);
    assert!(large.exit == Some(1) && large.to_string().contains("64 MiB"), "{large}");
    // It says that it is small, and is not: 65 MiB of nothing, packed into some kilobytes.
    let mut packed = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut packed, &vec![0; 65 << 20]).unwrap();
    let mut lies = book(&[]);
    lies.extend(b"PK\x03\x04\x14\0\0\0\x08\0\0\0\0\0\0\0\0\0\x0a\0\0\0\x0a\0\0\0\x01\0\0\0a");
    lies.extend(packed.finish().unwrap());
    assert!(lies.len() < 1 << 20);
    let large = bring(lies);
    assert!(large.exit == Some(1) && large.to_string().contains("64 MiB"), "{large}");
}
