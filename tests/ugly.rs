//! A course that nobody would write: names of 300 letters, 40 ingredients, 24 steps, text that is markup elsewhere, letters from
//! right to left. It prints whole, or something says what could not be printed.

use crate::support::{Sealed, repository, tool};
use benchroll::finding::Level;
use benchroll::pipeline::printing::Lent;
use benchroll::pipeline::{Asked, Unwatched, produce};
use benchroll::read::folder;
use benchroll::typeset::MemoryShelf;

#[test]
fn an_ugly_course_prints_whole() {
    let files = folder::load(&repository().join("tests/courses/ugly")).unwrap();
    let fetch = |_: &str| Err("there is none".to_owned());
    let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: false };
    let (outcome, printed) = produce(&files, Asked::default(), lent, &[], &Unwatched);
    let errors: Vec<_> = outcome.findings.iter().filter(|f| f.level == Level::Error).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    // No font of ours has pictures of food: each place is told.
    let missing: Vec<&str> =
        outcome.findings.iter().filter(|f| f.code.0 == "glyph-missing").map(|f| f.message.as_str()).collect();
    for picture in ["U+1F950", "U+1F95A", "U+1F956"] {
        assert!(missing.iter().any(|m| m.contains(picture)), "{picture} is not told: {missing:#?}");
    }
    assert!(outcome.findings.iter().all(|f| f.code.0 != "template-warning"));

    let course = &outcome.reckoned.as_ref().unwrap().course;
    let sealed = Sealed::new();
    let text_of = |name: &str| {
        let sheet = printed.iter().find(|s| s.path == name).unwrap_or_else(|| panic!("{name} is not there"));
        let path = sealed.path(name);
        std::fs::write(&path, &sheet.pdf).unwrap();
        // Where a long word broke, and where a line did, there is nothing that was written.
        let text = tool("pdftotext", &["-raw", path.to_str().unwrap(), "-"])?;
        Some(text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}').collect::<String>())
    };
    let squeezed = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
    let Some(station) = text_of("station-1.pdf") else { return };
    let person = course.roll.iter().find(|p| p.name.value.contains("DROP TABLE")).unwrap();
    assert!(station.contains(&squeezed(&person.name.value)), "{station}");
    let longest = course.roll.iter().max_by_key(|p| p.name.value.chars().count()).unwrap();
    assert_eq!(longest.name.value.chars().count(), 295);
    assert!(station.contains(&squeezed(&longest.name.value)), "{station}");
    for n in 19..=40 {
        assert!(station.contains(&format!("Ingredientnumber{n}ofalist")), "ingredient {n}");
    }
    for n in 1..=18 {
        assert!(
            station.contains(&squeezed(&format!(
                "Fold {n}: $a_{n}$ #strong[no] \\ <script>; press, *wait*, `turn`"
            ))),
            "{n}"
        );
    }
    let Some(note) = text_of("joining-note.pdf") else { return };
    assert!(note.contains(&squeezed("`Under 16` @home? #set page(fill: red)")), "{note}");
    assert!(note.contains(&squeezed(&course.settings.name.value)), "{note}");
}

/// Who avoids what no pack says of forty ingredients: the sheet names each of them, on as many pages as it needs. What is beyond a
/// page's foot is no text for other programs either.
#[test]
fn an_allergen_sheet_that_is_longer_than_a_page_loses_nothing() {
    let mut files = folder::load(&repository().join("tests/courses/ugly")).unwrap();
    let text = |files: &benchroll::read::FileTree, file: &str| {
        String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap()
    };
    let roll = text(&files, "roll.csv").replace(",coming,,2,,", ",coming,,2,buckwheat (allergy),");
    files.add("roll.csv", roll);
    let settings = text(&files, "course.toml");
    for large in [false, true] {
        files.add("course.toml", format!("{settings}\n[print]\nlarge = {large}\n"));
        let fetch = |_: &str| Err("there is none".to_owned());
        let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: false };
        let (_, printed) = produce(&files, Asked::default(), lent, &[], &Unwatched);
        let sheet = printed.iter().find(|s| s.path == "allergen-sheet.pdf").unwrap();
        let sealed = Sealed::new();
        let path = sealed.path("allergens.pdf");
        std::fs::write(&path, &sheet.pdf).unwrap();
        let Some(said) = tool("pdftotext", &["-raw", path.to_str().unwrap(), "-"]) else { return };
        let said: String = said.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}').collect();
        for n in 19..=40 {
            // Two people avoid it, and each is told why nobody knows.
            let named = said.matches(&format!("Ingredientnumber{n}ofalist")).count();
            assert_eq!(named, 2, "ingredient {n}, large {large}: {said}");
        }
    }
}
