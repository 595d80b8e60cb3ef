//! How long a class takes from its folder to its pages, and how that grows: `cargo bench --bench class`, or with
//! `--profile dev` where the release build of the typesetter is not worth its wait.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, missing_docs)]

use benchroll::pipeline::printing::{Lent, documents, look, sheets};
use benchroll::pipeline::{Asked, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::reckon::class::seat;
use benchroll::reckon::options::{options, preferred};
use benchroll::reckon::order::{days, order};
use benchroll::reckon::scale::portions;
use benchroll::reckon::weigh::weigh;
use benchroll::typeset::{Album, Kind, MemoryShelf, Press, Printed};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// A process of its own: how long it took, and the most memory it had, where the system tells.
fn cold(out: &Path, command: &str, more: &[&str]) -> (Duration, Option<u64>) {
    let start = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchroll"))
        .arg(command)
        .arg("course")
        .args(more)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("COLUMNS", "80")
        .args(if command == "prepare" { vec!["--out".as_ref(), out.as_os_str()] } else { Vec::new() })
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut most = None;
    // The figure only grows, so the last one read before the end is within one look of the truth.
    while child.try_wait().unwrap().is_none() {
        let seen = std::fs::read_to_string(&status).ok().and_then(|text| {
            let line = text.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
            line.trim().trim_end_matches(" kB").parse::<u64>().ok()
        });
        most = seen.or(most);
        std::thread::sleep(Duration::from_millis(2));
    }
    (start.elapsed(), most)
}

fn told(what: &str, took: Duration) {
    println!("{what:<52} {:>9.1} ms", took.as_secs_f64() * 1000.0);
}

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
    let folder = tempfile::tempdir().unwrap();

    println!("the demo class, each command a process of its own");
    for command in ["check", "plan", "prepare", "prepare"] {
        let (took, most) = cold(&folder.path().join("printed"), command, &[]);
        let most = most.map_or_else(String::new, |kb| format!("  at most {} MB", kb / 1000));
        println!("  {command:<50} {:>9.1} ms{most}", took.as_secs_f64() * 1000.0);
    }

    println!("the demo class, caches warm");
    let files = folder::load(&root).unwrap();
    let shelf = MemoryShelf::default();
    let lent = Lent { fetch: &|_| Err("none in this bench".to_owned()), shelf: &shelf, anonymous: false };
    let printed = |only: &[Kind]| -> (Vec<Printed>, Duration, Duration) {
        let start = Instant::now();
        let mut outcome = reckon(&files, Asked::default(), &Unwatched);
        let reckoned = start.elapsed();
        let (printed, _) = documents(
            outcome.reckoned.as_ref().unwrap(),
            &files,
            lent,
            only,
            &mut outcome.sources,
            &Unwatched,
        );
        (printed, reckoned, start.elapsed())
    };
    for _ in 0..3 {
        let (printed, reckoned, all) = printed(&[]);
        let pages: usize = printed.iter().map(|p| p.pages).sum();
        told("  read and reckoned, with its plan", reckoned);
        told("  and typeset", all);
        let typeset = (all - reckoned).as_secs_f64();
        let per_second = |count: usize| count as f64 / typeset;
        println!(
            "  {} documents, {pages} pages: {:.0} documents/s, {:.0} pages/s",
            printed.len(),
            per_second(printed.len()),
            per_second(pages)
        );
    }

    println!("sums: seats, portions, batches and loads, weigh-out, order");
    let course = folder::read(&root).course.unwrap();
    for people in [12, 48, 200] {
        let start = Instant::now();
        let (class, _) = seat(&course, Some(people));
        let portions = portions(&course, &class);
        let (options, _) = options(&course, &class, &portions);
        let choice = preferred(&course, &options, &portions);
        let weighed = weigh(&course, &class, &portions, &choice);
        let (order, _) = order(&course, &weighed.totals, class.headcount, &days(&course).unwrap(), None);
        let took = start.elapsed();
        assert!(!order.lines.is_empty());
        told(&format!("  {people} people at {} stations", class.stations.len()), took);
    }

    println!("station sheets: the demo's, as often as there are stations");
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    let reckoned = outcome.reckoned.as_ref().unwrap();
    let looks = look(&reckoned.course.settings);
    let (album, _) = Album::develop(&reckoned.course, &looks, lent.fetch, lent.shelf);
    let press = Press::new(&files.overrides());
    let sheets: Vec<_> = sheets(reckoned, &album, None, &looks, false, &press)
        .into_iter()
        .filter(|s| s.kind == Kind::StationSheet)
        .collect();
    for people in [12_usize, 48, 200] {
        let stations = people / 2;
        // Another name in each copy: no sheet may be taken from the cache of another.
        let copies: Vec<_> = (0..stations)
            .flat_map(|station| {
                let at = station % reckoned.class.stations.len() + 1;
                sheets.iter().filter(move |s| s.station == Some(at as u32)).map(move |s| {
                    let mut document = s.document.clone();
                    document.title = format!("{} ({people}/{station})", document.title);
                    document
                })
            })
            .collect();
        let start = Instant::now();
        let pages: usize = press.typeset_all(&copies).into_iter().map(|t| t.unwrap().pages).sum();
        told(&format!("  {people} people, {} documents, {pages} pages", copies.len()), start.elapsed());
    }
}
