//! Photographs from the lesson's line to the ink: pictures are reckoned here, never taken from anyone.

use crate::documents::samples;
use crate::support::{Sealed, tool};
use benchroll::finding::{Finding, Level};
use benchroll::read::{folder, read_course};
use benchroll::typeset::views::common::{Photograph, Step};
use benchroll::typeset::views::home_recipe::{HomeRecipe, HomeStep};
use benchroll::typeset::views::station_sheet::StationSheet;
use benchroll::typeset::{Album, DocumentSpec, MemoryShelf, PageLook, Press, Shelf};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use serde_json::json;
use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::Mutex;

/// A made-up picture: slopes of colour with a disc, so that one sees on paper which way up it stands.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let (dx, dy) = (i64::from(x) - i64::from(width) * 2 / 5, i64::from(y) - i64::from(height) / 3);
        let radius = i64::from(height) / 6;
        if dx * dx + dy * dy < radius * radius {
            return Rgb([200, 120, 40]);
        }
        let slope = |a: u32, b: u32| (u64::from(a) * 180 / u64::from(b)) as u8 + 60;
        Rgb([slope(x, width), slope(y, height), 160])
    })
}

fn file(image: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(image.clone()).write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn jpeg(width: u32, height: u32) -> Vec<u8> {
    file(&picture(width, height), ImageFormat::Jpeg)
}

const LESSON: &str = "lessons/walnut-crown.toml";

/// The demo class with this after the drawing of the step `roll`.
fn with_photo(photo: &str) -> Sealed {
    let line = "draw = \"roll-out\"";
    Sealed::demo().edit(&format!("course/{LESSON}"), line, &format!("{line}, photo = {photo}"))
}

/// What reading and developing say, and the album.
fn develop(sealed: &Sealed, look: &PageLook, shelf: &dyn Shelf) -> (Album, Vec<(Finding, String)>) {
    let root = sealed.path("course");
    let reading = read_course(&folder::load(&root).unwrap());
    let place = |f: &Finding| {
        let at = f.place.and_then(|p| reading.sources.locate(p)).unwrap();
        assert_eq!(at.file, LESSON, "{}", f.message);
        f.place.and_then(|p| reading.sources.text_at(p)).unwrap().to_owned()
    };
    let mut findings: Vec<Finding> =
        reading.findings.iter().filter(|f| f.level == Level::Error).cloned().collect();
    let mut album = Album::default();
    if let Some(course) = &reading.course {
        let fetch = |path: &str| folder::photograph(&root, path).map_err(|e| format!("cannot be read: {e}"));
        let (developed, more) = Album::develop(course, look, &fetch, shelf);
        album = developed;
        findings.extend(more);
    }
    let findings = findings.into_iter().map(|f| (f.clone(), place(&f))).collect();
    (album, findings)
}

fn codes(photo: &str, name: &str, bytes: &[u8]) -> Vec<String> {
    let sealed = with_photo(photo).file(&format!("course/{name}"), bytes);
    let (_, findings) = develop(&sealed, &PageLook::default(), &MemoryShelf::default());
    findings.iter().map(|(f, at)| format!("{} {} at {at}", f.level.word(), f.code)).collect()
}

#[test]
fn every_mistake_with_a_photograph_is_found_at_its_line() {
    let roll = "\"photos/roll.jpg\"";
    let png = file(&picture(200, 150), ImageFormat::Png);
    let good = jpeg(1200, 900);
    let table = |more: &str| format!("{{ file = {roll}, shows = \"A sheet\"{more} }}");
    for (photo, name, bytes, wanted) in [
        (table(""), "photos/roll.jpg", &good[..], vec![]),
        // The name's ending does not matter, the bytes do.
        (table(""), "photos/roll.jpg", &png[..], vec!["note photograph-coarse"]),
        (roll.to_owned(), "photos/roll.jpg", &good, vec!["note photograph-without-words"]),
        (table(""), "photos/roll.jpg", &good[..good.len() / 2], vec!["error photograph-unreadable"]),
        (table(""), "photos/roll.jpg", b"", vec!["error not-a-photograph"]),
        (table(""), "photos/roll.jpg", b"just words", vec!["error not-a-photograph"]),
        (table(""), "photos/rool.jpg", &good, vec!["error missing-file"]),
    ] {
        let found = codes(&photo, name, bytes);
        let wanted: Vec<String> = wanted.iter().map(|w| format!("{w} at {roll}")).collect();
        assert_eq!(found, wanted, "{photo} {name}");
    }
    for path in ["../secret.jpg", "/etc/passwd", "photos/../../secret.jpg", "C:/secret.jpg"] {
        let found = codes(&format!("\"{path}\""), "photos/x.jpg", &good);
        assert_eq!(found, [format!("error path-leaves-folder at \"{path}\"")]);
    }
}

#[test]
#[cfg(unix)]
fn a_link_out_of_the_folder_is_refused() {
    let sealed = with_photo("\"photos/roll.jpg\"").file("secret.jpg", jpeg(400, 300));
    std::fs::create_dir_all(sealed.path("course/photos")).unwrap();
    std::os::unix::fs::symlink(sealed.path("secret.jpg"), sealed.path("course/photos/roll.jpg")).unwrap();
    let (album, findings) = develop(&sealed, &PageLook::default(), &MemoryShelf::default());
    assert_eq!(findings[0].0.code.0, "file-refused");
    assert!(album.files().is_empty());
    let fetched = folder::photograph(&sealed.path("course"), "photos/roll.jpg");
    assert!(fetched.is_err());
}

/// Counts what is developed anew.
#[derive(Default)]
struct Counting(MemoryShelf, Mutex<usize>);

impl Shelf for Counting {
    fn get(&self, key: &str) -> Option<Vec<u8>> {
        self.0.get(key)
    }
    fn put(&self, key: &str, print: &[u8]) {
        *self.1.lock().unwrap() += 1;
        self.0.put(key, print);
    }
}

#[test]
fn a_photograph_is_developed_once_for_each_look() {
    let sealed = with_photo("\"photos/roll.jpg\"").file("course/photos/roll.jpg", jpeg(1200, 900));
    let shelf = Counting::default();
    let count = |look: &PageLook, sealed: &Sealed| {
        let (album, _) = develop(sealed, look, &shelf);
        (album, *shelf.1.lock().unwrap())
    };
    let grey = PageLook { black_and_white: true, ..PageLook::default() };
    let (first, one) = count(&PageLook::default(), &sealed);
    let (again, still_one) = count(&PageLook::default(), &sealed);
    assert_eq!((one, still_one, first), (1, 1, again));
    assert_eq!(count(&grey, &sealed).1, 2);
    // Another photograph under the same name.
    let sealed = sealed.file("course/photos/roll.jpg", jpeg(1200, 1000));
    assert_eq!(count(&grey, &sealed).1, 3);
}

fn sheet(photograph: &Photograph) -> StationSheet {
    let step = |number, name: &str, say: &str| Step {
        number: Some(number),
        from: 840 + i64::from(number) * 12,
        to: 852 + i64::from(number) * 12,
        lesson: "Walnut crown".to_owned(),
        name: name.to_owned(),
        hands: "students".to_owned(),
        say: say.to_owned(),
        ..Step::default()
    };
    let say = "Dust the bench lightly. Roll to 28 x 38 cm; turn it as you go; square the corners.";
    let alone = Photograph { alone: true, alt: String::new(), ..photograph.clone() };
    StationSheet {
        station: "3".to_owned(),
        people: vec!["Ada".to_owned(), "Wen".to_owned()],
        sitting: samples::sat(),
        steps: vec![
            Step {
                drawings: vec![samples::draw(samples::weigh_drawing())],
                photograph: Some(photograph.clone()),
                ..step(1, "Roll out", say)
            },
            Step {
                drawings: vec![samples::draw(samples::weigh_drawing())],
                photograph: Some(alone),
                ..step(2, "Fill and roll up", "Spread to the edges.")
            },
        ],
        ..StationSheet::new()
    }
}

fn print(look: &PageLook, template: &str, data: serde_json::Value, album: &Album) -> Vec<u8> {
    let doc = DocumentSpec {
        template: template.to_owned(),
        title: "Station 3".to_owned(),
        look: look.clone(),
        data,
        photographs: album.files().clone(),
        ident: "station-3".to_owned(),
        fold: 0,
    };
    let done = Press::new(&BTreeMap::new()).typeset(&doc).unwrap_or_else(|e| panic!("{e:?}"));
    assert_eq!(done.warnings, []);
    done.pdf
}

/// On the station sheet and on the home recipe: at 300 dots to the inch by another program's count, in one channel on a
/// grey page, tagged with the teacher's words or with the step's name, and light.
#[test]
fn photographs_are_printed_beside_and_in_place_of_drawings() {
    let photo = "{ file = \"photos/roll.jpg\", shows = \"Two hands turn the sheet a quarter\", focus = \"40 % across, 33 % down\" }";
    let sealed = with_photo(photo).file("course/photos/roll.jpg", jpeg(6000, 4000));
    let out = crate::support::repository().join("target/pages");
    std::fs::create_dir_all(&out).unwrap();
    for (letters, channels, grey, large, width) in
        [("", "3", false, false, 614), ("bg", "1", true, true, 768)]
    {
        let look = PageLook { black_and_white: grey, large_print: large, ..PageLook::default() };
        let (album, _) = develop(&sealed, &look, &MemoryShelf::default());
        let photograph = album.of(&"walnut-crown".into(), &"roll".into()).unwrap();
        let home = HomeRecipe {
            name: "Walnut crown".to_owned(),
            steps: vec![HomeStep {
                number: 1,
                to: 12,
                name: "Roll out".to_owned(),
                photograph: Some(photograph.clone()),
                ..HomeStep::default()
            }],
            ..HomeRecipe::new()
        };
        for (template, data) in [("station-sheet", json!(sheet(photograph))), ("home-recipe", json!(home))] {
            let pdf = print(&look, template, data.clone(), &album);
            assert!(pdf.len() < 300_000, "{}", pdf.len());
            assert_eq!(pdf, print(&look, template, data, &album));
            let path = out.join(format!("photograph-{template}{letters}.pdf"));
            std::fs::write(&path, &pdf).unwrap();
            let path = path.to_str().unwrap();
            if let Some(listed) = tool("pdfimages", &["-list", path]) {
                let row: Vec<&str> = listed.lines().nth(2).unwrap().split_whitespace().collect();
                assert_eq!((row[3], row[6]), (width.to_string().as_str(), channels), "{listed}");
                let dots: f64 = row[12].parse().unwrap();
                assert!((dots - 300.0).abs() <= 1.0, "{listed}");
            }
            if let Some(tree) = tool("pdfinfo", &["-struct-text", path]) {
                assert!(tree.contains("Figure"), "{tree}");
            }
            // Alternative texts stand in the structure tree, which is written as objects.
            if let Some(opened) = tool("qpdf", &["--qdf", "--object-streams=disable", path, "-"]) {
                assert!(opened.contains("/Alt (Two hands turn the sheet a quarter)"));
                let by_name = opened.contains("/Alt (A photograph of this step: Fill and roll up.)");
                assert_eq!(by_name, template == "station-sheet");
            }
        }
    }
}
