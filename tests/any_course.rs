//! Small courses at random, as files: none makes the program panic; one that `check` finds sound is printed whole, its data files
//! are written, and its sums agree.

use crate::commands::sums_agree;
use crate::support::put_in;
use benchroll::finding::Level;
use benchroll::output::json::order::OrderView;
use benchroll::output::json::scale::ScaleView;
use benchroll::pipeline::data_files::beside;
use benchroll::pipeline::printing::Lent;
use benchroll::pipeline::{Asked, Unwatched, produce};
use benchroll::read::{FileTree, folder};
use benchroll::typeset::MemoryShelf;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::{Config, TestRunner};
use serde_json::json;
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// Names of people and things: plain, long, in other letters, markup elsewhere.
const NAMES: &[&str] = &[
    "Ada",
    "O'Neill, \"Bo\"",
    "#strong[Cy] \\ $x$ *d*",
    "=SUM(A1)",
    "<b>Dée</b> & Söhne",
    "Zoë Łukasz-Ğ",
    "שרה",
    "a name that is so long that no line of a narrow column of any sheet can hold it without a break in it",
    "7",
];
const AVOIDS: &[&str] =
    &["", "egg (choice)", "milk (intolerance)", "wheat (allergy)", "hazelnut (allergy, severe)"];

/// What is drawn for a course.
#[derive(Clone, Debug)]
struct Drawn {
    people: Vec<(usize, usize, bool)>,
    counts: [u32; 5],
    shares: [u32; 5],
    piece: u32,
    makes: (u32, &'static str, u32),
    times: [(u32, u32); 5],
    to: u32,
    look: (&'static str, &'static str, &'static str, bool),
    prices: [u32; 3],
    scales: (&'static str, &'static str),
    headcount: Option<u32>,
}

fn drawn() -> impl Strategy<Value = Drawn> {
    // Most avoid nothing: a class in which somebody can't eat what is made is told, and not sound.
    let avoids = (0..AVOIDS.len() * 6).prop_map(|n| if n < AVOIDS.len() { n } else { 0 });
    let person = (0..NAMES.len(), avoids, proptest::bool::weighted(0.8));
    let first = (
        proptest::collection::vec(person, 0..7),
        [2u32..5, 1..4, 1..3, 1..4, 1..9],
        [40u32..75, 0..40, 0..25, 1..3, 1..4],
        100u32..400,
        (1u32..4, select(&["station", "station", "student", "class"][..]), 0u32..3),
    );
    let time = || (1u32..20, 0u32..8);
    let second = (
        [time(), time(), time(), time(), time()],
        13u32..22,
        (
            select(&["A4", "Letter"][..]),
            select(&["en", "de"][..]),
            select(&["metric", "us"][..]),
            any::<bool>(),
        ),
        [1u32..900, 1..900, 1..900],
        (select(&["1 g", "2 g", "5 g"][..]), select(&["0.1 g", "0.5 g"][..])),
        proptest::option::of(1u32..9),
    );
    (first, second).prop_map(
        |((people, counts, shares, piece, makes), (times, to, look, prices, scales, headcount))| Drawn {
            people,
            counts,
            shares,
            piece,
            makes,
            times,
            to,
            look,
            prices,
            scales,
            headcount,
        },
    )
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// The small course with what was drawn in its places.
fn files(drawn: &Drawn) -> FileTree {
    let mut files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/courses/small")).unwrap();
    let mut edit = |path: &str, places: &[(&str, String)]| put_in(&mut files, path, places);
    let Drawn { counts, shares, times, look, prices, scales, .. } = drawn;
    edit(
        "course.toml",
        &[
            ("\"One soft loaf\"", quoted(NAMES[drawn.piece as usize % NAMES.len()])),
            ("\"A4\"", quoted(look.0)),
            ("language = \"en\"", format!("language = \"{}\"", look.1)),
            ("[scales]", format!("[print]\nlarge = {}\n\n[scales]", look.3)),
            ("\"metric\"", quoted(look.2)),
            ("step = \"1 g\"", format!("step = \"{}\"", scales.0)),
            ("fine-step = \"0.1 g\"", format!("fine-step = \"{}\"", scales.1)),
            ("to = \"17:00\"", format!("to = \"{}:00\"", drawn.to)),
            ("\"11:00 to 18:00\"", "\"11:00 to 22:00\"".to_owned()),
        ],
    );
    edit(
        "kitchen.toml",
        &[
            ("[stations]\ncount = 3", format!("[stations]\ncount = {}", counts[0])),
            ("id = \"mixer\"\ncount = 2", format!("id = \"mixer\"\ncount = {}", counts[1])),
            ("racks = 2", format!("racks = {}", counts[2])),
            ("shelves = 4", format!("shelves = {}", counts[3])),
            ("id = \"loaf-tin\"\ncount = 6", format!("id = \"loaf-tin\"\ncount = {}", counts[4])),
        ],
    );
    edit(
        "pantry.toml",
        &[
            ("\"Corner shop\"", quoted(NAMES[counts[0] as usize])),
            ("\"2.40\"", format!("\"{}.{:02}\"", prices[0] / 100, prices[0] % 100)),
            ("\"1.25\"", format!("\"{}.{:02}\"", prices[1] / 100, prices[1] % 100)),
            ("\"2.60\"", format!("\"{}.{:02}\"", prices[2] / 100, prices[2] % 100)),
        ],
    );
    edit(
        "formulas/soft-loaf.toml",
        &[
            ("\"700 g\"", format!("\"{} g\"", drawn.piece)),
            ("milk = \"60 %\"", format!("milk = \"{} %\"", shares[0])),
            ("butter = \"10 %\"", format!("butter = \"{} %\"", shares[1])),
            ("sugar = \"6 %\"", format!("sugar = \"{} %\"", shares[2])),
            ("salt = \"1.8 %\"", format!("salt = \"{}.3 %\"", shares[3])),
            ("yeast = \"1 %\"", format!("yeast = \"{} %\"", shares[4])),
        ],
    );
    let (pieces, each, spare) = drawn.makes;
    let stands = |(least, more): (u32, u32)| format!("\"{} to {} min\"", least * 5, (least + more) * 5);
    let takes = |(least, more): (u32, u32)| {
        format!("\"{} to {} min, usually {}\"", least * 5, (least + more) * 5, (least + more / 2) * 5)
    };
    edit(
        "lessons/soft-loaf.toml",
        &[
            (
                "{ pieces = 1, for-each = \"station\" }",
                format!("{{ pieces = {pieces}, for-each = \"{each}\", spare = {spare} }}"),
            ),
            ("\"12 to 18 min, usually 15\"", takes(times[0])),
            ("\"50 to 80 min\"", stands(times[1])),
            ("\"8 to 14 min, usually 10\"", takes(times[2])),
            ("\"40 to 70 min\"", stands(times[3])),
            ("\"30 to 38 min, usually 35\"", takes(times[4])),
        ],
    );
    let mut roll = "name,status,with,station,avoids,needs\n".to_owned();
    for (n, (name, avoids, coming)) in drawn.people.iter().enumerate() {
        let name = format!("{} {n}", NAMES[*name]).replace('"', "\"\"");
        let status = if *coming { "coming" } else { "waiting" };
        writeln!(roll, "\"{name}\",{status},,,\"{}\",", AVOIDS[*avoids]).unwrap();
    }
    files.add("roll.csv", roll);
    files
}

#[test]
fn a_sound_course_is_prepared_and_its_sums_agree() {
    let config = Config { cases: 48, failure_persistence: None, ..Config::default() };
    let mut runner = TestRunner::new_with_rng(
        config,
        proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    );
    let (sound, told) = (Cell::new(0), RefCell::new(BTreeMap::new()));
    let tried = runner.run(&drawn(), |drawn| {
        let files = files(&drawn);
        let fetch = |_: &str| Err("there is none".to_owned());
        let lent = Lent { fetch: &fetch, shelf: &MemoryShelf::default(), anonymous: drawn.look.3 };
        let asked = Asked { headcount: drawn.headcount, ..Asked::default() };
        let (outcome, printed) = produce(&files, asked, lent, &[], &Unwatched);
        let errors: Vec<&str> =
            outcome.findings.iter().filter(|f| f.level == Level::Error).map(|f| f.code.0).collect();
        let Some(reckoned) = &outcome.reckoned else {
            prop_assert!(!errors.is_empty(), "no numbers, and nothing says why");
            errors.into_iter().for_each(|code| *told.borrow_mut().entry(code).or_insert(0) += 1);
            return Ok(());
        };
        sums_agree(
            &json!(ScaleView::of(&reckoned.weighed, &reckoned.mixes())),
            &json!(OrderView::of(&reckoned.course, &reckoned.order, &reckoned.costs)),
        );
        if errors.is_empty() {
            sound.set(sound.get() + 1);
            let stations = reckoned.class.stations.len();
            let sheets =
                printed.iter().filter(|p| p.station.is_some() && p.path.starts_with("station-")).count();
            prop_assert_eq!(sheets, stations);
            prop_assert!(printed.iter().all(|p| p.pages > 0 && p.pdf.starts_with(b"%PDF")));
            prop_assert!(beside(reckoned, &files).is_ok());
        }
        Ok(())
    });
    tried.unwrap();
    assert!(sound.get() >= 10, "only {} were sound; without numbers for {told:?}", sound.get());
}
