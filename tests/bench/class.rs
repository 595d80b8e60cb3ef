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
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Processor time of all processes that this one waited for, where the system tells, in hundredths of a second.
fn of_children() -> u64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    fields.skip(13).take(2).filter_map(|f| f.parse::<u64>().ok()).sum()
}

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

/// How soon the program says anything.
fn help() {
    let before = of_children();
    let mut took: Vec<Duration> = (0..50)
        .map(|_| {
            let start = Instant::now();
            let done = Command::new(env!("CARGO_BIN_EXE_benchroll")).arg("--help").output().unwrap();
            assert!(done.status.success());
            start.elapsed()
        })
        .collect();
    took.sort_unstable();
    told("  --help, the middle of 50", took[25]);
    told("  --help, of the processor", Duration::from_millis((of_children() - before) * 10) / 50);
}

/// From a saved file to the page that is looked at, and to all of them.
fn live(root: &Path, folder: &Path) {
    let course = folder.join("live");
    copy(root, &course);
    let mut child = Command::new(env!("CARGO_BIN_EXE_benchroll"))
        .arg("live")
        .arg(&course)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(child.stdout.take().unwrap());
    let mut line = String::new();
    said.read_line(&mut line).unwrap();
    let port: u16 = line.trim().trim_end_matches('/').rsplit(':').next().unwrap().parse().unwrap();
    std::thread::spawn(move || std::io::copy(&mut said, &mut std::io::sink()));
    let get = |path: &str| {
        let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        answer
    };
    let next = |state: &[u8]| {
        loop {
            let now = get("/state");
            if now != state {
                return now;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    };
    get("/?show=station-1-sat.pdf");
    let file = course.join("formulas/four-braid.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    for milk in ["48", "49", "46", "45", "47"] {
        let before = get("/state");
        let start = Instant::now();
        std::fs::write(&file, text.replacen("milk = \"47 %\"", &format!("milk = \"{milk} %\""), 1)).unwrap();
        let at_once = next(&before);
        assert!(get("/sheets/station-1-sat.pdf").len() > 10_000);
        told(&format!("  live: {milk} % milk, the sheet that is looked at"), start.elapsed());
        next(&at_once);
        told("    all sheets, with their plan", start.elapsed());
    }
    child.kill().unwrap();
    child.wait().unwrap();
}

/// A hundred classes at once.
fn season(folder: &Path) {
    for n in 0..100 {
        let (month, day) = (1 + n / 25, 1 + n % 25);
        let made = Command::new(env!("CARGO_BIN_EXE_benchroll"))
            .args(["begin", "--kind", "afternoon", "--place", "uk", "--people", "8", "--host", "The kitchen"])
            .args(["--teacher", "A", "--date", &format!("2027-{month:02}-{day:02}")])
            .arg(folder.join(format!("season/class-{n}")))
            .output()
            .unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    }
    let (before, start) = (of_children(), Instant::now());
    let mut season = Command::new(env!("CARGO_BIN_EXE_benchroll"));
    season.arg("season").arg(folder.join("season")).stdout(Stdio::null()).stderr(Stdio::null());
    season.status().unwrap();
    told("  season: 100 classes, one order, clashes, costs", start.elapsed());
    told("    of the processor", Duration::from_millis((of_children() - before) * 10));
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let to = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

fn told(what: &str, took: Duration) {
    println!("{what:<52} {:>9.1} ms", took.as_secs_f64() * 1000.0);
}

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
    let folder = tempfile::tempdir().unwrap();

    println!("the demo class, each command a process of its own");
    for command in ["check", "plan", "prepare", "prepare"] {
        let before = of_children();
        let (took, most) = cold(&folder.path().join("printed"), command, &[]);
        let most = most.map_or_else(String::new, |kb| format!("  at most {} MB", kb / 1000));
        let processor = (of_children() - before) * 10;
        println!(
            "  {command:<50} {:>9.1} ms, {processor} of the processor{most}",
            took.as_secs_f64() * 1000.0
        );
    }
    help();
    live(&root, folder.path());
    season(folder.path());

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
        // Another name in each copy: each is laid out. What is alike in two is laid out once, as it is among the stations of a class.
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
