//! Who avoids what is on the teacher's own sheets, and in nothing else that `prepare` writes.

use crate::documents::demo;
use crate::support::{Sealed, tool};
use std::fs;

/// Words for how somebody avoids a thing, and what else the roll knows of them.
const WORDS: &[&str] =
    &["severe", "airborne", "coeliac", "intoleran", "choice", "(allergy", "left-handed", "large-print"];

/// For the teacher alone.
const TEACHERS: &[&str] = &["allergen-sheet.pdf", "pack-teacher.pdf"];

/// Every cell of a workbook as text.
fn cells(path: &std::path::Path) -> String {
    use calamine::Reader;
    let mut book = calamine::open_workbook_auto(path).unwrap();
    let sheets = book.worksheets();
    let rows = sheets.iter().flat_map(|(_, sheet)| sheet.rows());
    rows.flatten().map(|cell| format!("{cell}\n")).collect()
}

#[test]
fn nothing_that_others_read_says_who_avoids_what() {
    let sealed = Sealed::demo();
    let said = sealed.run(&["prepare", "course", "--out", "printed"]);
    assert_eq!(said.exit, Some(0), "{said}");
    let course = demo::course();
    let avoiders: Vec<&str> =
        course.roll.iter().filter(|p| !p.avoids.is_empty()).map(|p| p.name.value.trim()).collect();
    assert_eq!(avoiders.len(), 2);
    let mut looked_at = 0;
    for file in sealed.files("printed") {
        let path = sealed.path(&format!("printed/{file}"));
        let text = if file.ends_with(".pdf") {
            match tool("pdftotext", &["-layout", path.to_str().unwrap(), "-"]) {
                Some(text) => text,
                None => continue,
            }
        } else if file.ends_with(".xlsx") {
            cells(&path)
        } else {
            fs::read_to_string(&path).unwrap()
        };
        let names = course.roll.iter().filter(|p| text.contains(p.name.value.trim())).count();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(&path).unwrap().permissions().mode() & 0o777;
            assert!(
                names == 0 || mode == 0o600,
                "{file} names {names} people and is readable by others: {mode:o}"
            );
            let teachers = TEACHERS.contains(&file.as_str());
            assert!(!teachers || mode == 0o600, "{file}: {mode:o}");
        }
        if TEACHERS.contains(&file.as_str()) {
            assert!(avoiders.iter().all(|a| text.contains(a)), "{file}");
            continue;
        }
        looked_at += 1;
        let lower = text.to_lowercase();
        // The joining note asks everybody; it says nothing of anyone.
        for word in WORDS.iter().filter(|_| file != "joining-note.pdf") {
            assert!(!lower.contains(word), "{file} says {word:?}");
        }
        assert!(names == 0 || file != "joining-note.pdf", "{file}");
        // Files for programs and spreadsheets name nobody at all.
        assert!(file.ends_with(".pdf") || names == 0, "{file}");
        // Nor does any line put one who avoids something beside the thing, but for what is in the piece on a label.
        if !file.starts_with("labels") {
            for line in lower.lines().filter(|l| avoiders.iter().any(|a| l.contains(&a.to_lowercase()))) {
                for thing in ["walnut", "nuts", "egg"] {
                    let dish =
                        line.replace("walnut crown", "").replace("egg wash", "").replace("nut-free", "");
                    assert!(!dish.replace("egg-free", "").contains(thing), "{file}: {line}");
                }
            }
        }
    }
    assert!(looked_at >= 40 || tool("pdftotext", &["-v"]).is_none(), "{looked_at}");
}
