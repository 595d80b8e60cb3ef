//! A course in German is German on every page: our own words, those of the allergen list, what to do when a reading is out.

use crate::support::{Sealed, tool};
use benchroll::course::{At, Course};
use benchroll::finding::{Located, Sources};
use benchroll::pipeline::printing::{Lent, documents};
use benchroll::pipeline::{Asked, Reckoned, Unwatched, reckon};
use benchroll::read::{FileTree, folder};
use benchroll::typeset::{Kind, MemoryShelf, Printed};

/// Words of an English page that no German one holds. Ids of files, which the teacher chose, may be English: they are replaced
/// below, or are none of these.
const ENGLISH: &[&str] = &[
    "the",
    "and",
    "with",
    "of",
    "from",
    "for",
    "not",
    "who",
    "when",
    "what",
    "where",
    "made",
    "keep",
    "wash",
    "away",
    "until",
    "after",
    "before",
    "stations",
    "batch",
    "load",
    "read",
    "write",
    "measure",
    "oven",
    "fridge",
    "milk",
    "eggs",
    "wheat",
    "nuts",
    "containing",
    "cup",
    "cups",
    "about",
    "makes",
    "each",
    "step",
    "steps",
    "weigh",
    "in all",
    "out",
];

/// The demo class with every text of the teacher's replaced by a word without a language.
fn wordless(course: &mut Course) {
    let text = |t: &mut At<String>| t.value = "Xy".to_owned();
    let some =
        |t: &mut Option<At<String>>| *t = t.as_ref().map(|t| Located { value: "Xy".to_owned(), ..t.clone() });
    let named = |t: &mut Option<At<String>>| *t = Some(Located::assumed("Xy".to_owned()));
    let s = &mut course.settings;
    for t in [&mut s.name, &mut s.host, &mut s.teacher] {
        text(t);
    }
    s.helpers.iter_mut().for_each(text);
    s.bring.iter_mut().for_each(text);
    for t in [&mut s.address, &mut s.contact, &mut s.first_aid, &mut s.under_age] {
        some(t);
    }
    course.sessions.iter_mut().for_each(|x| some(&mut x.name));
    for step in &mut course.own_steps {
        text(&mut step.name);
        some(&mut step.say);
    }
    for lesson in &mut course.lessons {
        named(&mut lesson.name);
        for step in &mut lesson.steps {
            named(&mut step.name);
            some(&mut step.say);
            some(&mut step.tell);
        }
    }
    for formula in &mut course.formulas {
        text(&mut formula.name);
        some(&mut formula.store);
        formula.parts.iter_mut().for_each(|p| named(&mut p.name));
    }
    for item in &mut course.pantry.items {
        text(&mut item.name);
        some(&mut item.label);
    }
    course.pantry.suppliers.iter_mut().for_each(|x| text(&mut x.name));
    let k = &mut course.kitchen;
    k.mixers.iter_mut().for_each(|x| named(&mut x.name));
    k.ovens.iter_mut().for_each(|x| named(&mut x.name));
    k.tins.iter_mut().for_each(|x| named(&mut x.name));
    k.trays.iter_mut().for_each(|x| named(&mut x.name));
    for tool in &mut k.tools {
        named(&mut tool.name);
        some(&mut tool.kept);
    }
    for person in &mut course.roll {
        person.name.value = "Xy".to_owned();
    }
}

fn german() -> (FileTree, Reckoned) {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
    let mut files = folder::load(&root).unwrap();
    let text = String::from_utf8(files.bytes("course.toml").unwrap().to_vec()).unwrap();
    assert!(text.contains("language = \"en\""));
    files.add("course.toml", text.replacen("language = \"en\"", "language = \"de\"", 1));
    // A cold place has no name but its id.
    let kitchen = String::from_utf8(files.bytes("kitchen.toml").unwrap().to_vec()).unwrap();
    files.add("kitchen.toml", kitchen.replace("id = \"fridge\"", "id = \"xy\""));
    let mut reckoned =
        reckon(&files, Asked::default(), &Unwatched).reckoned.expect("the demo course is sound");
    wordless(&mut reckoned.course);
    (files, reckoned)
}

fn printed(files: &FileTree, reckoned: &Reckoned) -> Vec<Printed> {
    let fetch = |_: &str| Err("there is none".to_owned());
    let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: false };
    documents(reckoned, files, lent, &[], &mut Sources::default(), &Unwatched).0
}

#[test]
fn german_pages_hold_no_english() {
    let (files, reckoned) = german();
    let sealed = Sealed::new();
    let mut found = Vec::new();
    for sheet in printed(&files, &reckoned) {
        // Why an order has its day is told by the reckoning of orders; packs hold what stands alone too.
        if matches!(sheet.kind, Kind::OrderSheet | Kind::Pack) {
            continue;
        }
        let path = sealed.path(&sheet.path);
        std::fs::write(&path, &sheet.pdf).unwrap();
        let Some(text) = tool("pdftotext", &[path.to_str().unwrap(), "-"]) else { return };
        assert!(text.contains("Xy"), "{}: {text}", sheet.path);
        for line in text.lines() {
            // The names of laws are what they are.
            if line.contains("Regulation") || line.contains("Schedule") || line.contains("UK (") {
                continue;
            }
            let words: Vec<String> =
                line.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase).collect();
            for word in ENGLISH.iter().filter(|e| words.iter().any(|w| w == *e)) {
                found.push(format!("{}: {word}: {line}", sheet.path));
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}
