//! Every document as another program sees it: sound, tagged, titled, spoken, its fonts embedded and cut down.

use crate::documents::{all, demo, press, spec};
use crate::support::{Sealed, tool};
use benchroll::finding::{Level, Sources};
use benchroll::read::{FileTree, folder};
use benchroll::typeset::views::drawing::Units;
use benchroll::typeset::views::gallery;
use benchroll::typeset::{DocumentSpec, Kind, PageLook, Paper, Press, Sheet, Unseen, print};
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn looks() -> [PageLook; 2] {
    let other = PageLook {
        paper: Paper::Letter,
        large_print: true,
        black_and_white: true,
        language: "de".to_owned(),
    };
    [PageLook::default(), other]
}

fn sheets(look: &PageLook) -> Vec<Sheet> {
    let samples = all().into_iter().map(|(name, data)| (name.to_owned(), spec(name, &data, look)));
    let gallery = [("gallery".to_owned(), gallery::document(look, Units::Metric).unwrap())];
    samples
        .chain(gallery)
        .map(|(name, document): (String, DocumentSpec)| Sheet {
            kind: document.template.parse().unwrap(),
            station: None,
            path: format!("{name}.pdf"),
            private: false,
            document,
        })
        .collect()
}

/// The sizes in points of ISO 216 and ANSI Y14.1, as `pdfinfo` names them.
fn paper_is(look: &PageLook, info: &str) -> bool {
    let sides = match look.paper {
        Paper::A4 => ["595.276", "841.89"],
        Paper::Letter => ["612", "792"],
    };
    info.lines()
        .filter(|l| l.starts_with("Page ") && l.contains(" size:"))
        .all(|l| sides.iter().all(|s| l.contains(s)))
}

#[test]
fn every_document_is_sound_for_programs_that_are_not_ours() {
    let sealed = Sealed::new();
    let press = Press::new(&BTreeMap::new());
    for (n, look) in looks().iter().enumerate() {
        let (printed, findings) = print(&press, &sheets(look), &mut Sources::default(), &Unseen);
        let errors: Vec<_> = findings.iter().filter(|f| f.level == Level::Error).collect();
        assert!(errors.is_empty(), "{errors:#?}");
        for sheet in &printed {
            let path = sealed.path(&format!("{n}-{}", sheet.path));
            std::fs::write(&path, &sheet.pdf).unwrap();
            let path = path.to_str().unwrap();
            if let Some(said) = tool("qpdf", &["--check", path]) {
                assert!(said.contains("No syntax or stream encoding errors found"), "{said}");
            }
            if let Some(info) = tool("pdfinfo", &["-l", "-1", path]) {
                let line = |key: &str| info.lines().find_map(|l| l.strip_prefix(key)).map(str::trim);
                assert!(line("Title:").is_some_and(|t| !t.is_empty()), "{path}: {info}");
                assert_eq!(line("Tagged:"), Some("yes"), "{path}: {info}");
                assert_eq!(line("Pages:"), Some(sheet.pages.to_string().as_str()), "{path}: {info}");
                assert_eq!(line("CreationDate:"), None, "{path}: {info}");
                assert!(paper_is(look, &info), "{path}: {info}");
            }
            if let Some(meta) = tool("pdfinfo", &["-meta", path]) {
                assert!(meta.contains("<pdfuaid:part>1</pdfuaid:part>"), "{path}: {meta}");
                assert!(meta.contains(&format!("<rdf:li>{}</rdf:li>", look.language)), "{path}: {meta}");
            }
            if let Some(fonts) = tool("pdffonts", &[path]) {
                // Two lines of head; then the name and, at the end: embedded, subset, unicode, object, generation.
                let rows: Vec<Vec<&str>> =
                    fonts.lines().skip(2).map(|l| l.split_whitespace().rev().take(5).collect()).collect();
                assert!(!rows.is_empty(), "{path}");
                for row in rows {
                    assert_eq!(row[2..5], ["yes", "yes", "yes"], "{path}: {fonts}");
                }
            }
        }
    }
}

/// The sheets of a pack are its bookmarks.
#[test]
fn packs_have_a_bookmark_for_each_sheet() {
    let press = Press::new(&BTreeMap::new());
    let sealed = Sealed::new();
    let packs: Vec<Sheet> =
        sheets(&PageLook::default()).into_iter().filter(|s| s.kind == Kind::Pack).collect();
    assert!(!packs.is_empty());
    for pack in &packs {
        let titles: Vec<String> = pack.document.data["sheets"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| s["title"].as_str().unwrap().to_owned())
            .collect();
        let (printed, _) = print(&press, std::slice::from_ref(pack), &mut Sources::default(), &Unseen);
        let path = sealed.path("pack.pdf");
        std::fs::write(&path, &printed[0].pdf).unwrap();
        let Some(json) = tool("qpdf", &["--json", "--json-key=outlines", path.to_str().unwrap()]) else {
            return;
        };
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let marks: Vec<&str> =
            json["outlines"].as_array().unwrap().iter().map(|o| o["title"].as_str().unwrap()).collect();
        // A sheet names itself, in the page's language; no two of a pack alike.
        assert_eq!(marks.len(), titles.len(), "{marks:?}");
        assert!(marks.iter().enumerate().all(|(n, m)| !marks[..n].contains(m)), "{marks:?}");
        let teachers = pack.document.data["teacher_only"] == true;
        let first = if teachers { "Allergens" } else { "Station 1, Saturday" };
        assert_eq!(marks[0], first);
        // What is only a bookmark is not read aloud.
        if let Some(read) = tool("pdfinfo", &["-struct-text", path.to_str().unwrap()]) {
            let heads = read.matches(" H1 ").count();
            assert!(heads > 0 && !read.contains("H1 \"Run sheet\""), "{read}");
        }
    }
}

/// A template of the course with an error costs its own sheets and no other, and the finding says which.
#[test]
fn a_broken_template_costs_its_own_sheets_only() {
    let sealed = Sealed::demo().file("course/templates/roll.typ", "#import \"leaf.typ\": *\n#let roll = (\n");
    let files: FileTree = folder::load(&sealed.path("course")).unwrap();
    let press = Press::new(&files.overrides());
    let mut sources = Sources::default();
    let wanted: Vec<Sheet> = sheets(&PageLook::default())
        .into_iter()
        .filter(|s| [Kind::Roll, Kind::RoomCard, Kind::StationSheet].contains(&s.kind))
        .collect();
    let lost: Vec<&Sheet> = wanted.iter().filter(|s| s.kind == Kind::Roll).collect();
    assert!(!lost.is_empty());
    let (printed, findings) = print(&press, &wanted, &mut sources, &Unseen);
    assert_eq!(printed.len(), wanted.len() - lost.len());
    let error = findings.iter().find(|f| f.level == Level::Error).unwrap();
    let at = error.place.and_then(|p| sources.locate(p)).unwrap();
    assert_eq!((error.code.0, at.file.as_str(), at.line), ("template-error", "templates/roll.typ", 2));
    assert!(error.way_out.as_ref().unwrap().ends_with(&format!("not written for it: {}", lost[0].path)));
}

#[test]
fn the_same_sheets_give_the_same_bytes_in_any_order() {
    let press = Press::new(&BTreeMap::new());
    let mut wanted = sheets(&PageLook::default());
    wanted.truncate(6);
    let (first, _) = print(&press, &wanted, &mut Sources::default(), &Unseen);
    wanted.reverse();
    let (mut second, _) = print(&Press::new(&BTreeMap::new()), &wanted, &mut Sources::default(), &Unseen);
    second.reverse();
    assert!(first == second);
}

/// The packs of the demo class, which has no photographs, are under 2 MB together.
#[test]
fn the_packs_are_light() {
    use benchroll::pipeline::Unwatched;
    use benchroll::pipeline::printing::{Lent, documents};
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
    let fetch = |_: &str| Err("there is none".to_owned());
    let lent = Lent { fetch: &fetch, shelf: &benchroll::typeset::MemoryShelf::default(), anonymous: false };
    let reckoned = crate::documents::demo::reckoned();
    let files = folder::load(&root).unwrap();
    let (packs, _) = documents(reckoned, &files, lent, &[Kind::Pack], &mut Sources::default(), &Unwatched);
    assert_eq!(packs.len(), 7);
    let bytes: usize = packs.iter().map(|p| p.pdf.len()).sum();
    assert!(bytes < 2_000_000, "{bytes} bytes");
}

/// What the pages of each station say is to be weighed and fetched is what `scale` says, for every part and ingredient.
#[test]
fn the_station_sheets_say_what_scale_says() {
    let sealed = Sealed::demo();
    let scaled = sealed.run(&["scale", "course", "--format", "json"]).json();
    let out = sealed.run(&["prepare", "course", "--out", "out", "--only", "station-sheet"]);
    assert_eq!(out.exit, Some(0), "{out}");
    let course = crate::documents::demo::course();
    let item = |id: &str| {
        let found = course.pantry.items.iter().find(|i| i.id.value.as_str() == id);
        found.unwrap_or_else(|| panic!("no {id}")).name.value.clone()
    };
    let part = |portion: &serde_json::Value| {
        let formula = course.formulas.iter().find(|f| portion["formula"] == *f.id.value.as_str()).unwrap();
        let part = formula.parts.iter().find(|p| portion["part"] == *p.id.value.as_str()).unwrap();
        part.name.as_ref().map_or_else(
            || benchroll::typeset::views::wording::spoken(part.id.value.as_str()),
            |n| n.value.clone(),
        )
    };
    let mut compared = 0;
    for station in scaled["stations"].as_array().unwrap() {
        let no = &station["station"];
        let mut text = String::new();
        for day in ["sat", "sun"] {
            let path = sealed.path(&format!("out/station-{no}-{day}.pdf"));
            let Some(page) = tool("pdftotext", &["-raw", path.to_str().unwrap(), "-"]) else { return };
            text += &page;
        }
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // A fine scale shows a tenth more than the figure may need.
        let says = |grams: &serde_json::Value, what: &str| {
            let grams = grams.as_f64().unwrap();
            [format!(" {grams}g {what}"), format!(" {grams:.1}g {what}")].iter().any(|t| text.contains(t))
        };
        // A batch that several share is weighed by whose people avoid the most, of equals by the first.
        let class = &crate::documents::demo::reckoned().class;
        let avoids = |member: &serde_json::Value| {
            let is = |s: &&benchroll::reckon::work::Station| *member == format!("station-{}", s.no).as_str();
            class.stations.iter().find(is).map_or(0, |s| s.avoids.len())
        };
        let weighs = |s: &serde_json::Value| {
            let members = s["members"]
                .as_array()
                .unwrap()
                .iter()
                .filter(|m| m.as_str().unwrap().starts_with("station-"));
            members.rev().max_by_key(|m| avoids(m)).cloned()
        };
        let mixed = scaled["shared"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|s| weighs(s).is_some_and(|m| m == format!("station-{no}").as_str()));
        let mixed =
            mixed.flat_map(|s| s["portions"].as_array().unwrap()).filter(|p| p["weighed_by"] == "batch");
        for portion in station["portions"].as_array().unwrap().iter().chain(mixed) {
            let weighed = portion["ingredients"].as_array().unwrap();
            for line in weighed {
                let name = item(line["item"].as_str().unwrap());
                assert!(says(&line["grams"], &name), "station {no}: {name}, {line}: {text}");
            }
            if weighed.is_empty() {
                assert!(says(&portion["total_grams"], &part(portion)), "station {no}: {portion}: {text}");
            }
            compared += weighed.len().max(1);
        }
    }
    assert!(compared > 100, "{compared}");
}

/// The number of an attribute in a line of boxes.
fn number(line: &str, key: &str) -> f64 {
    let from = line.find(key).map(|at| at + key.len() + 2).unwrap();
    line[from..].split('"').next().unwrap().parse().unwrap()
}

/// How much of a page's height its text takes, between the margins, by the boxes of its words: neither the rail in the outer margin
/// nor the foot counts.
fn used(boxes: &str, page: usize, large: bool) -> f64 {
    let mm = 72.0 / 25.4;
    let sheet = boxes.lines().find(|l| l.trim_start().starts_with("<page ")).unwrap();
    let (wide, high) = (number(sheet, " width"), number(sheet, " height"));
    let outer = if large { 46.0 } else { 41.0 } * mm;
    let (left, right) = if page % 2 == 1 { (0.0, wide - outer) } else { (outer, wide) };
    let words = boxes.lines().filter(|l| l.trim_start().starts_with("<word "));
    let inside = words.filter(|l| {
        let (x, y) = (number(l, " xMin"), number(l, " yMax"));
        x >= left && x < right && y <= high - 17.0 * mm
    });
    let low = inside.map(|l| number(l, " yMax")).fold(0.0, f64::max);
    (low - 13.0 * mm) / (high - 30.0 * mm)
}

/// Nobody turns to a page for a line or two.
#[test]
fn no_last_page_of_a_handout_is_nearly_empty() {
    let sealed = Sealed::new();
    let plain = PageLook::default();
    let letter = PageLook { paper: Paper::Letter, ..plain.clone() };
    let looks = [
        plain.clone(),
        PageLook { large_print: true, language: "de".to_owned(), ..plain },
        PageLook { large_print: true, ..letter.clone() },
        letter,
    ];
    let handouts: Vec<(String, Value)> = demo::all()
        .into_iter()
        .filter(|(_, data)| data["kind"] == "station-sheet" || data["kind"] == "home-recipe")
        .collect();
    for look in looks {
        let specs: Vec<_> = handouts.iter().map(|(name, data)| spec(name, data, &look)).collect();
        for (spec, done) in specs.iter().zip(press().typeset_all(&specs)) {
            let done = done.unwrap();
            if done.pages == 1 {
                continue;
            }
            let path = sealed.path("handout.pdf");
            std::fs::write(&path, done.pdf).unwrap();
            let last = done.pages.to_string();
            let line = ["-bbox", "-f", &last, "-l", &last, path.to_str().unwrap(), "-"];
            let Some(boxes) = tool("pdftotext", &line) else { return };
            let used = used(&boxes, done.pages, look.large_print);
            assert!(used >= 0.2, "{} in {look:?}: {used:.2} of page {last}", spec.title);
        }
    }
}

/// The words of a file that stand over another one or beyond the paper's edge, by the boxes of its words. What stands upright in a
/// rail or a lane is not looked at: its letters' boxes are as wide as its line is high.
fn overprinted(boxes: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (n, page) in boxes.split("<page ").skip(1).enumerate() {
        let (wide, high) = (number(page, "width"), number(page, "height"));
        let mut words: Vec<([f64; 4], &str)> = Vec::new();
        for line in page.lines().filter(|l| l.trim_start().starts_with("<word ")) {
            let text = line.split('>').nth(1).and_then(|t| t.split('<').next()).unwrap_or_default();
            let [left, top, right, bottom] = ["xMin", "yMin", "xMax", "yMax"].map(|key| number(line, key));
            if text.chars().count() > 2 && bottom - top > 1.1 * (right - left) {
                continue;
            }
            let middle = (top + bottom) / 2.0;
            if left < 0.0 || right > wide || middle < 0.0 || middle > high {
                found.push(format!("page {}: {text} is beyond the edge", n + 1));
            }
            // Of a line's box its letters take about the middle.
            let own = [left, top + 0.3 * (bottom - top), right, bottom - 0.3 * (bottom - top)];
            let over = |other: &[f64; 4]| {
                own[2].min(other[2]) - own[0].max(other[0]) > 1.0
                    && own[3].min(other[3]) - own[1].max(other[1]) > 0.5
            };
            for (_, other) in words.iter().filter(|(other, _)| over(other)) {
                found.push(format!("page {}: {text} stands over {other}", n + 1));
            }
            words.push((own, text));
        }
    }
    found
}

/// Slips for a tub and a tin of which all is to be said that a list of allergens has.
fn crowded_slips() -> (String, Value) {
    let (_, mut slips) = demo::all().into_iter().find(|(_, data)| data["kind"] == "slips").unwrap();
    let kinds = ["wheat", "rye", "barley", "oats"].map(|kind| format!("Cereals containing gluten ({kind})"));
    let words =
        ["Celery", "Crustaceans", "Eggs", "Fish", "Lupin", "Milk (including lactose)", "Molluscs", "Mustard"];
    let all: Vec<String> = kinds.into_iter().chain(words.map(str::to_owned)).collect();
    for key in ["contains", "may_contain"] {
        slips["contents"][0][key] = json!(all);
    }
    slips["names"][0]["variant"] = json!("gluten-free");
    slips["names"][0]["doubted"] = json!(all);
    ("crowded-slips".to_owned(), slips)
}

#[test]
fn no_word_stands_over_another() {
    let two = "<page width=\"100\" height=\"50\">\n<word xMin=\"1\" yMin=\"1\" xMax=\"40\" yMax=\"11\">in</word>\n\
               <word xMin=\"35\" yMin=\"2\" xMax=\"60\" yMax=\"12\">all</word>\n<word xMin=\"70\" yMin=\"2\" xMax=\"101\" yMax=\"12\">g</word>";
    assert_eq!(overprinted(two), ["page 1: all stands over in", "page 1: g is beyond the edge"]);
    let sealed = Sealed::new();
    let large = PageLook { large_print: true, language: "de".to_owned(), ..PageLook::default() };
    for look in [PageLook { language: "de".to_owned(), ..PageLook::default() }, large] {
        let all = demo::all().into_iter().chain([crowded_slips()]);
        let specs: Vec<_> = all.map(|(name, data)| spec(&name, &data, &look)).collect();
        for (spec, done) in specs.iter().zip(press().typeset_all(&specs)) {
            let path = sealed.path("words.pdf");
            std::fs::write(&path, done.unwrap().pdf).unwrap();
            let Some(boxes) = tool("pdftotext", &["-bbox", path.to_str().unwrap(), "-"]) else { return };
            let found = overprinted(&boxes);
            assert!(found.is_empty(), "{} in {look:?}: {found:#?}", spec.title);
        }
    }
}
