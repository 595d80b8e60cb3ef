//! Reading whole course folders: good ones to the last figure, bad ones without a panic.

mod sketch;

use crate::broken::said;
use crate::support::least::{LEAST, least, least_file};
use crate::support::{Sealed, repository};
use benchroll::course::{
    Allergens, Avoidance, Ingredient, Lasts, PieceShare, Severity, Share, Stands, Status,
};
use benchroll::read::{Entry, FileTree, folder, read_course};
use benchroll::units::{Grams, Minutes, Percent, Watts};
use proptest::prelude::*;

fn demo() -> FileTree {
    folder::load(&repository().join("course")).unwrap()
}

#[test]
fn the_demo_course_reads_without_an_error() {
    let files = demo();
    let (told, _, _) = said(&files);
    let course = read_course(&files).course.unwrap_or_else(|| panic!("{told}"));
    assert_eq!(course.lessons.len(), 3);
    assert_eq!(course.coming().count(), 12);
    assert!(!told.contains("error "), "{told}");
}

#[test]
fn the_least_course_reads_without_a_finding() {
    let reading = read_course(&least());
    assert_eq!(reading.findings, Vec::new());
    assert!(reading.course.is_some());
}

/// The least course with the sketch's crown in the place of its bun.
fn crown() -> FileTree {
    let mut files = least();
    files.add("course.toml", least_file("course.toml").replace("\"bun\"", "\"hazelnut-crown\""));
    files.add("formulas/hazelnut-crown.toml", sketch::FORMULA);
    files.add("lessons/hazelnut-crown.toml", sketch::LESSON);
    files.add("kitchen.toml", sketch::KITCHEN);
    files.add("pantry.toml", sketch::pantry());
    files
}

#[test]
fn a_crown_in_the_tightest_form_is_read_to_the_last_figure() {
    let files = crown();
    let (told, _, _) = said(&files);
    let course = read_course(&files).course.unwrap_or_else(|| panic!("{told}"));
    assert_eq!(told, "");
    let formula = &course.formulas[0];
    assert_eq!(
        formula.parts.iter().map(|p| p.id.value.as_str()).collect::<Vec<_>>(),
        ["scald", "filling", "wash", "dough"]
    );
    let dough = formula.part(&"dough".into()).unwrap();
    let names: Vec<&str> = dough
        .of
        .iter()
        .map(|l| match &l.what.value {
            Ingredient::Item(item) => item.as_str(),
            Ingredient::Part(part) => part.as_str(),
        })
        .collect();
    let written = ["scald", "strong-flour", "milk", "eggs", "sugar", "salt", "instant-yeast", "butter"];
    assert_eq!(names, written, "lines keep their order");
    assert_eq!(dough.of[0].share.value, Share::Flour(Percent::new("8".parse().unwrap())));
    assert_eq!(dough.of[5].share.value, Share::Percent(Percent::new("1.9".parse().unwrap())));
    assert_eq!(formula.piece.amounts[1].1.value, PieceShare::Grams(Grams::whole(160)));
    // 16 A at 230 V.
    assert_eq!(course.kitchen.circuits[0].carries.value, Watts::whole(3680));
    assert_eq!(course.kitchen.mixers[0].watts.as_ref().unwrap().value, Watts::whole(500));
    let lesson = &course.lessons[0];
    let rise = lesson.step(&"rise".into()).unwrap();
    let Lasts::Stands(stands) = &rise.lasts else { panic!("a rise stands") };
    assert_eq!(stands.value, Stands { least: Minutes(45), most: Some(Minutes(70)) });
    let roll = lesson.step(&"roll".into()).unwrap();
    assert!(roll.say.as_ref().unwrap().value.starts_with("Dust the bench"));
    assert_eq!(course.pantry.items[0].allergens, Allergens::Unknown, "not written is unknown, never free");
}

#[test]
fn every_value_remembers_where_it_was_written() {
    let reading = read_course(&crown());
    let course = reading.course.unwrap();
    let at = |place| reading.sources.text_at(place).unwrap();
    let dough = course.formulas[0].part(&"dough".into()).unwrap();
    for line in &dough.of {
        assert!(!at(line.what.place.unwrap()).is_empty());
        assert!(at(line.share.place.unwrap()).contains('%'));
    }
    assert_eq!(at(dough.of[5].what.place.unwrap()), "salt");
    assert_eq!(at(dough.of[5].share.place.unwrap()), "\"1.9 %\"");
    assert_eq!(at(course.kitchen.tins[0].count.place.unwrap()), "10");
    assert_eq!(at(course.roll[0].name.place.unwrap()), "Ada");
}

#[test]
fn a_roll_is_read_as_spreadsheets_write_it() {
    let mut files = least();
    let rows = "\u{feff}Name;Status;With;Station;Avoids;Needs\r\n\
        Zoë \"Zo\" Bauer;coming;;1;\"Hazelnuts (allergy, severe); EGGS (choice)\";left-handed; \r\n\
        \"Li\r\nMin\";waiting;;;gluten (coeliac);\"seated; under-age\"\r\n\
        ;;;;;\r\n\
        =2+2;cancelled;;;walnut;\r\n";
    files.add("roll.csv", rows);
    let (told, codes, _) = said(&files);
    assert!(codes.is_empty(), "{told}");
    let people = read_course(&files).course.unwrap().roll;
    assert_eq!(people.len(), 3);
    assert_eq!(people[0].name.value, "Zoë \"Zo\" Bauer");
    let avoids: Vec<_> =
        people[0].avoids.iter().map(|a| (a.what.value.as_str(), a.why, a.severity)).collect();
    assert_eq!(
        avoids,
        [("hazelnut", Avoidance::Allergy, Severity::Severe), ("egg", Avoidance::Choice, Severity::Unknown)]
    );
    assert_eq!((people[1].name.value.as_str(), people[1].status.value), ("Li\nMin", Status::Waiting));
    assert_eq!(people[1].avoids[0].why, Avoidance::Coeliac);
    assert!(people[1].minor);
    // A formula in a name is a name; a thing avoided without a reason is handled as an allergy of unknown severity.
    assert_eq!(people[2].name.value, "=2+2");
    assert_eq!(
        (people[2].avoids[0].why, people[2].avoids[0].severity),
        (Avoidance::Allergy, Severity::Unknown)
    );
}

#[test]
fn a_night_in_which_the_clocks_change_is_as_long_as_it_is() {
    // Dublin goes forward on 2027-03-28 at 01:00 (IANA time zone database): from Saturday 18:00 to Sunday 09:00 are 14 hours.
    let mut files = least();
    let sessions = "[[sessions]]\nid = \"a\"\ndate = 2027-03-27\nfrom = \"13:00\"\nto = \"18:00\"\n\
        [[sessions]]\nid = \"b\"\ndate = 2027-03-28\nfrom = \"09:00\"\nto = \"12:00\"\nstaff = \"2027-03-27 20:00 to 2027-03-28 13:00\"\n";
    let text = least_file("course.toml");
    files.add("course.toml", format!("{}{sessions}", text.split("[[sessions]]").next().unwrap()));
    let (told, _, _) = said(&files);
    let course = read_course(&files).course.unwrap_or_else(|| panic!("{told}"));
    let night = course.sessions[0].to.value.duration_until(&course.sessions[1].from.value);
    assert_eq!(night.as_hours(), 14);
    let staff = &course.sessions[1].staff[0].value;
    assert_eq!(staff.0.duration_until(&staff.1).as_hours(), 16);
}

#[test]
fn staff_days_count_to_the_session_that_comes_after_them() {
    let course = read_course(&demo()).course.unwrap();
    let first = &course.sessions[0];
    assert!(first.staff.iter().any(|s| s.value.1 < first.from.value), "Friday evening belongs to Saturday");
    assert!(first.staff.is_sorted_by(|a, b| a.value.0 <= b.value.0));
}

#[test]
fn a_folder_is_loaded_without_what_does_not_belong_to_it() {
    let sealed = Sealed::demo()
        .file("course/photos/roll.jpg", "not opened here")
        .file("course/.git/config", "x")
        .file("course/notes.txt", "x")
        .file("course/formulas/.hidden.toml", "x")
        .file("course/formulas/large.toml", vec![b'#'; 5 << 20]);
    let files = folder::load(&sealed.path("course")).unwrap();
    assert_eq!(files.get("photos/roll.jpg"), Some(&Entry::Photograph { size: 15 }));
    for path in [".git/config", "notes.txt", "formulas/.hidden.toml"] {
        assert_eq!(files.get(path), None, "{path}");
    }
    assert!(
        matches!(files.get("formulas/large.toml"), Some(Entry::Refused { why }) if why.contains("4 MiB"))
    );
    assert_eq!(folder::photograph(&sealed.path("course"), "photos/roll.jpg").unwrap(), b"not opened here");
    for path in ["../secret", "photos/../../secret", "/etc/hostname", "", "photos//roll.jpg"] {
        assert!(folder::photograph(&sealed.path("course"), path).is_err(), "{path}");
    }
    assert_eq!(folder::load(&sealed.path("nowhere")).unwrap_err().code.0, "not-a-course");
    assert_eq!(folder::read(&sealed.path("course/roll.csv")).findings[0].code.0, "not-a-course");
}

#[cfg(unix)]
#[test]
fn links_are_not_followed() {
    let sealed = Sealed::demo().file("outside/pantry.toml", "x = 1").file("outside/photo.jpg", "x");
    std::fs::remove_file(sealed.path("course/pantry.toml")).unwrap();
    std::os::unix::fs::symlink(sealed.path("outside/pantry.toml"), sealed.path("course/pantry.toml"))
        .unwrap();
    std::os::unix::fs::symlink(sealed.path("outside"), sealed.path("course/photos")).unwrap();
    let reading = folder::read(&sealed.path("course"));
    assert!(reading.course.is_none());
    assert!(reading.findings.iter().any(|f| f.code.0 == "file-refused"), "{:?}", reading.findings);
    assert!(folder::photograph(&sealed.path("course"), "photos/photo.jpg").is_err());
}

/// A course with one change to one of its files.
fn changed(files: &FileTree, which: usize, at: usize, how: u8, with: &[u8]) -> FileTree {
    let mut files = files.clone();
    let paths: Vec<String> =
        files.iter().filter(|(p, _)| files.bytes(p).is_some()).map(|(p, _)| p.to_owned()).collect();
    let path = &paths[which % paths.len()];
    let mut bytes = files.bytes(path).unwrap().to_vec();
    let at = at % (bytes.len() + 1);
    match how % 5 {
        0 => bytes.truncate(at),
        1 => drop(bytes.splice(at..at, with.iter().copied())),
        2 => {
            let end = (at + with.len()).min(bytes.len());
            drop(bytes.splice(at..end, with.iter().copied()));
        }
        3 => {
            let end = (at + 1 + with.len()).min(bytes.len());
            drop(bytes.drain(at..end));
        }
        // A number becomes another one, which hurts more than noise does.
        _ => {
            let digit = bytes.iter().skip(at).position(u8::is_ascii_digit);
            if let Some(digit) = digit.map(|d| at + d) {
                drop(bytes.splice(digit..=digit, with.iter().map(|b| b'0' + b % 10)));
            }
        }
    }
    files.add(path.clone(), bytes);
    files
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_change_to_a_good_course_makes_reading_panic(
        changes in proptest::collection::vec(
            (any::<usize>(), any::<usize>(), any::<u8>(), proptest::collection::vec(any::<u8>(), 0..12)), 1..4)
    ) {
        let mut files = demo();
        for (which, at, how, with) in &changes {
            files = changed(&files, *which, *at, *how, with);
        }
        // `said` places every finding in its file, which is where a wrong byte range would show.
        let (told, _, sound) = said(&files);
        prop_assert_eq!(sound, !told.lines().any(|l| l.starts_with("error ")));
        let (again, _, _) = said(&files);
        prop_assert_eq!(told, again);
    }

    #[test]
    fn no_text_makes_reading_panic(which in 0..LEAST.len(), text in "\\PC{0,60}", line in any::<bool>()) {
        let mut files = least();
        let (path, good) = LEAST[which];
        files.add(path, if line { format!("{good}\n{text}\n") } else { text });
        said(&files);
    }

    #[test]
    fn no_quantity_makes_reading_panic(text in "[-0-9., a-zA-Z%°x×:/½]{0,24}", which in any::<prop::sample::Index>()) {
        // Every quoted value of the least kitchen and lesson in turn.
        for path in ["kitchen.toml", "lessons/bun.toml", "formulas/bun.toml"] {
            let good = least_file(path);
            let quotes: Vec<usize> = good.match_indices('"').map(|(i, _)| i).collect();
            let pair = which.index(quotes.len() / 2) * 2;
            let mut files = least();
            files.add(path, format!("{}{text}{}", &good[..=quotes[pair]], &good[quotes[pair + 1]..]));
            said(&files);
        }
    }
}
