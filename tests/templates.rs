//! What a course may redraw: its own templates, words and fonts, laid over ours; and what is wrong with them.

use crate::documents::{look_of, samples, spec};
use crate::support::{Sealed, tool};
use benchroll::finding::{Finding, Sources};
use benchroll::read::{FileTree, folder, read_course};
use benchroll::typeset::{Press, Trouble, findings};
use serde_json::json;

/// What reading and typesetting two documents of the course in a folder say, `level code file:line:column message`, and
/// which of them were made.
fn typeset(sealed: &Sealed, data: serde_json::Value) -> (Vec<String>, Vec<bool>) {
    let files = folder::load(&sealed.path("course")).unwrap();
    let reading = read_course(&files);
    let mut sources = reading.sources;
    let press = Press::new(&files.overrides());
    let look = look_of(reading.course.as_ref().map_or("en", |c| &c.settings.language.value));
    let docs =
        [spec("own", &data, &look), spec("station-1", &json!(samples::station("1", &["Ada"], None)), &look)];
    let made = press.typeset_all(&docs);
    let mut troubles: Vec<Trouble> = press.troubles();
    for done in &made {
        troubles.extend(match done {
            Ok(done) => done.warnings.clone(),
            Err(errors) => errors.clone(),
        });
    }
    let mut found = reading.findings;
    found.extend(findings(&troubles, &press, &mut sources));
    (found.iter().map(|f| told(f, &sources)).collect(), made.iter().map(Result::is_ok).collect())
}

fn told(finding: &Finding, sources: &Sources) -> String {
    let at = match finding.place.and_then(|p| sources.locate(p)) {
        Some(at) => format!("{}:{}:{}", at.file, at.line, at.column),
        None => finding.file.clone().unwrap_or_default(),
    };
    format!("{} {} {at} {}", finding.level.word(), finding.code, finding.message)
}

const PLAIN: &str = "#import \"kit.typ\": *\n#show: sheet\n#name(data.who)\n";

fn own(who: &str) -> serde_json::Value {
    json!({ "kind": "own", "who": who })
}

#[test]
fn a_template_with_an_error_is_found_at_its_line_and_the_others_are_written() {
    let broken = "#import \"kit.typ\": *\n#show: sheet\n\u{E4}\u{E4} #nonsense\n";
    let sealed = Sealed::demo().file("course/templates/own.typ", broken);
    let (said, made) = typeset(&sealed, own("Ada"));
    let wanted = "error template-error templates/own.typ:3:5 unknown variable: nonsense";
    assert!(said.iter().any(|s| s == wanted), "{said:#?}");
    assert_eq!(made, [false, true]);
}

#[test]
fn a_courses_own_template_word_and_font_are_used() {
    let sealed = Sealed::demo()
        .file("course/templates/own.typ", PLAIN)
        .file("course/templates/station-sheet.typ", "#import \"own-part.typ\": part\n#import \"kit.typ\": *\n#show: sheet\n#part #word(\"step.until\")\n#word(\"step.to\")\n")
        .file("course/templates/own-part.typ", "#let part = [Redrawn]\n")
        .file("course/templates/stations.typ", "nothing reads this")
        .file("course/templates/words/en.toml", "[step]\nuntil = \"not after\"\n")
        .file("course/fonts/Broken.ttf", "no font");
    let (said, made) = typeset(&sealed, own("Ada"));
    assert_eq!(made, [true, true], "{said:#?}");
    let ours: Vec<&str> =
        said.iter().filter(|s| s.contains("template") || s.contains("font")).map(|s| s.as_str()).collect();
    let unread = "no document has this name, and no other template of the course names it";
    assert_eq!(
        ours,
        [
            "warning font-unreadable fonts/Broken.ttf this is not a font that can be read".to_owned(),
            // This one is printed by the test alone, under a name that no document of ours has.
            format!("note template-unused templates/own.typ {unread}"),
            format!("note template-unused templates/stations.typ {unread}"),
        ]
    );
    // The redrawn sheet: the part, the course's own word, and ours where it has none.
    let files = folder::load(&sealed.path("course")).unwrap();
    let press = Press::new(&files.overrides());
    let data = json!(samples::station("1", &["Ada"], None));
    let made = press.typeset(&spec("station-1", &data, &look_of("en"))).unwrap();
    let path = sealed.path("sheet.pdf");
    std::fs::write(&path, made.pdf).unwrap();
    if let Some(text) = tool("pdftotext", &["-raw", path.to_str().unwrap(), "-"]) {
        let words: Vec<&str> = text.split_whitespace().collect();
        assert_eq!(words[..4], ["Redrawn", "not", "after", "to"], "{text}");
    }
}

/// One of our fonts under a family name that nobody has: what is printed in it can only come from the course's folder.
fn renamed_font() -> Vec<u8> {
    let mut font = std::fs::read(crate::support::repository().join("fonts/SourceSans3-It.otf")).unwrap();
    let wide = |name: &str| name.encode_utf16().flat_map(u16::to_be_bytes).collect::<Vec<u8>>();
    let (from, to) = (wide("Source Sans 3"), wide("Source Sans X"));
    let mut at = 0;
    while let Some(found) = font[at..].windows(from.len()).position(|w| w == from) {
        at += found;
        font[at..at + to.len()].copy_from_slice(&to);
    }
    assert!(at > 0);
    font
}

#[test]
fn a_font_of_the_courses_own_is_embedded() {
    let template = |family: &str| {
        format!(
            "#import \"kit.typ\": *\n#show: sheet\n#set text(font: \"{family}\", style: \"italic\")\n#name(data.who)"
        )
    };
    let sealed = Sealed::demo()
        .file("course/fonts/Own.otf", renamed_font())
        .file("course/templates/own.typ", template("Source Sans X"));
    let (said, made) = typeset(&sealed, own("Ada"));
    assert_eq!(made, [true, true]);
    assert!(!said.iter().any(|s| s.contains("template-warning")), "{said:#?}");
    let sealed = sealed.file("course/templates/own.typ", template("Nowhere Serif"));
    let (said, made) = typeset(&sealed, own("Ada"));
    assert_eq!(made, [true, true]);
    let wanted = "warning template-warning templates/own.typ:3:17 unknown font family: nowhere serif";
    assert!(said.iter().any(|s| s == wanted), "{said:#?}");
}

#[test]
fn a_character_without_a_glyph_is_found_where_it_was_written() {
    let sealed = Sealed::demo().file("course/templates/own.typ", PLAIN);
    let course = sealed.read("course/course.toml").replacen("\nname = \"", "\nname = \"\u{6885} ", 1);
    let sealed = sealed.file("course/course.toml", &course);
    let name =
        course.lines().find_map(|l| l.strip_prefix("name = \"")).unwrap().trim_end_matches('"').to_owned();
    let line = course.lines().position(|l| l.contains('\u{6885}')).unwrap() + 1;
    let (said, made) = typeset(&sealed, own(&name));
    assert_eq!(made, [true, true]);
    let found: Vec<&String> = said.iter().filter(|s| s.contains("glyph-missing")).collect();
    assert_eq!(found.len(), 1, "{said:#?}");
    let wanted =
        format!("warning glyph-missing course.toml:{line}:9 no font has \"\u{6885}\" U+6885 of \"\u{6885} ");
    assert!(found[0].starts_with(&wanted), "{found:?}");
}

#[test]
fn the_language_that_lacks_words_is_told_at_its_line() {
    let sealed = Sealed::demo()
        .edit("course/course.toml", "language = \"en\"", "language = \"fr-CH\"")
        .file("course/templates/own.typ", PLAIN)
        .file("course/templates/words/fr.toml", "[step]\nuntil = \"jusqu'à\"\n");
    let (said, made) = typeset(&sealed, own("Ada"));
    assert_eq!(made, [true, true]);
    let found: Vec<&String> = said.iter().filter(|s| s.contains("words-missing")).collect();
    assert_eq!(found.len(), 1, "{said:#?}");
    let course = sealed.read("course/course.toml");
    let line = course.lines().position(|l| l.starts_with("language")).unwrap() + 1;
    assert!(found[0].starts_with(&format!("note words-missing course.toml:{line}:")), "{found:?}");
    assert!(found[0].contains("lacks: accepted.baked, "), "{found:?}");
}

#[test]
fn overrides_are_the_courses_templates_words_and_fonts_and_nothing_else() {
    let files: FileTree =
        ["course.toml", "templates/a.typ", "templates/words/fr.toml", "fonts/A.otf", "photos/a.txt"]
            .iter()
            .map(|p| (*p, *b"x"))
            .collect();
    let paths: Vec<String> = files.overrides().into_keys().collect();
    assert_eq!(paths, ["fonts/A.otf", "templates/a.typ", "templates/words/fr.toml"]);
}

#[test]
fn template_lists_prints_and_starts_and_never_writes_over() {
    let sealed = Sealed::demo();
    let all = sealed.run(&["template"]);
    let names: Vec<&str> = all.stdout.lines().collect();
    for name in ["station-sheet", "home-recipe", "kit", "drawings/braid", "words/de", "gallery", "data"] {
        assert!(names.contains(&name), "{name}: {all}");
    }
    assert!(!all.stdout.contains("findings"), "{all}");
    let printed = sealed.run(&["template", "station-sheet"]);
    let built_in =
        std::fs::read_to_string(crate::support::repository().join("templates/station-sheet.typ")).unwrap();
    assert_eq!((printed.exit, &printed.stdout), (Some(0), &built_in));

    let started = sealed.run(&["template", "station-sheet", "--into", "course"]);
    assert_eq!(started.exit, Some(0), "{started}");
    assert_eq!(sealed.read("course/templates/station-sheet.typ"), built_in);
    let sealed = sealed.file("course/templates/station-sheet.typ", "mine");
    let again = sealed.run(&["template", "station-sheet", "--into", "course"]);
    assert_eq!(sealed.read("course/templates/station-sheet.typ"), "mine");
    insta::assert_snapshot!(again, @"
    exit 2
    --- stderr
    error: course/templates/station-sheet.typ is there already, and stays as it is
     │
     ╰ way out: print the built-in one beside it: leave --into away
    ");
    insta::assert_snapshot!(sealed.run(&["template", "station-sheets"]), @r#"
    exit 2
    --- stderr
    error: there is no template "station-sheets"
     │
     ╰ way out: did you mean station-sheet? `benchroll template` lists all of
                them
    "#);
    insta::assert_snapshot!(sealed.run(&["template", "kit", "--into", "nowhere"]), @"
    exit 1
    --- stderr
    error: nowhere is no course: it has no course.toml
     │
     ╰ way out: give the folder of a course, or start one: `benchroll begin`
    ");
}

#[test]
fn the_gallery_is_written_alone_and_its_data_can_be_had() {
    let sealed = Sealed::demo().edit("course/course.toml", "language = \"en\"", "language = \"de\"");
    let said = sealed.run(&["prepare", "course", "--out", "out", "--only", "gallery", "--format", "json"]);
    let json = said.json();
    assert_eq!(json["documents"][0]["kind"], "gallery", "{said}");
    let pages = json["documents"][0]["pages"].as_u64().unwrap();
    assert!(pages >= 5, "{said}");
    assert_eq!(sealed.files("out"), ["gallery.pdf", "manifest.json"]);
    if let Some(text) = tool("pdftotext", &[sealed.path("out/gallery.pdf").to_str().unwrap(), "-"]) {
        assert!(text.contains("Zeichnungen der Handgriffe"), "{text}");
    }
    let data = sealed.run(&["template", "gallery", "--data", "course"]).json();
    assert_eq!(data[0]["path"], "gallery.pdf");
    assert_eq!(data[0]["data"]["version"], benchroll::typeset::DATA_VERSION);
    assert_eq!(data[0]["data"]["page"]["words"][0], "templates/words/de.toml");
    assert!(data[0]["data"]["data"]["rows"].as_array().unwrap().len() > 20);
    let wrong = sealed.run(&["prepare", "course", "--out", "out", "--only", "galery"]);
    assert_eq!(wrong.exit, Some(2));
    assert!(wrong.stderr.contains("did you mean gallery?"), "{wrong}");
    let part = sealed.run(&["template", "kit", "--data", "course"]);
    assert_eq!(part.exit, Some(2), "{part}");
}

/// A course with a photograph that cannot be read: its finding is told, and everything else is written.
#[test]
fn a_broken_photograph_is_told_by_prepare_and_costs_nothing_else() {
    let line = "draw = \"roll-out\"";
    let sealed = Sealed::demo()
        .edit("course/lessons/walnut-crown.toml", line, &format!("{line}, photo = \"photos/roll.jpg\""))
        .file("course/photos/roll.jpg", b"\xFF\xD8\xFF\xE0 and nothing more");
    let said = sealed.run(&["prepare", "course", "--out", "out", "--only", "gallery"]);
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(said.stderr.contains("photograph-unreadable"), "{said}");
    assert!(said.stderr.contains("lessons/walnut-crown.toml:"), "{said}");
    assert!(sealed.path("out/gallery.pdf").exists());
}
