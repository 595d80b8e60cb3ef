//! What others take for the same work, side by side in one run: `cargo bench --bench against`, or with `--profile dev`.
//!
//! The demo's pages by the plain typesetter, from the same templates and the same data; the job shops with known optima by the CP-SAT
//! solver. Both are asked through Python (the packages `typst` and `ortools`; `BENCHROLL_PYTHON` names the interpreter), each document in
//! a process of its own, and what is not there is said and left out. What is given is the clock on one thread, ours and theirs.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs,
    dead_code
)]

#[allow(unused_imports)]
#[path = "../job_shop.rs"]
mod job_shop;

use benchroll::pipeline::printing::{Lent, look, sheets};
use benchroll::pipeline::{Asked, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::typeset::{Album, DocumentSpec, Kind, MemoryShelf, Press, Unseen};
use serde_json::Value;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

/// The script that asks the others.
const SCRIPT: &str = include_str!("against.py");

/// Asks the script; what it answers, or why it can't.
fn ask(words: &[&str], given: &str) -> Result<Value, String> {
    let python = std::env::var("BENCHROLL_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let mut child = Command::new(&python)
        .args(["-c", SCRIPT])
        .args(words)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| format!("{python}: {e}"))?;
    child.stdin.take().unwrap().write_all(given.as_bytes()).unwrap();
    let said = child.wait_with_output().unwrap();
    if said.status.success() {
        Ok(serde_json::from_slice(&said.stdout).unwrap())
    } else {
        let why = String::from_utf8_lossy(&said.stderr);
        Err(why.lines().last().unwrap_or_default().to_owned())
    }
}

/// Lays a folder out for a document, as its template sees it.
fn lay_out(press: &Press, document: &DocumentSpec, into: &Path) {
    let write = |path: &str, bytes: &[u8]| {
        let path: PathBuf = into.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    };
    for path in press.paths() {
        write(path, press.file(path).unwrap());
    }
    for (path, bytes) in &document.photographs {
        write(path, bytes);
    }
    write("data.json", press.data(document, &Unseen).0.to_string().as_bytes());
}

fn pages() {
    let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
    let outcome = reckon(&files, Asked::default(), &Unwatched);
    let reckoned = outcome.reckoned.as_ref().unwrap();
    let shelf = MemoryShelf::default();
    let lent = Lent { fetch: &|_| Err("none in this bench".to_owned()), shelf: &shelf, anonymous: false };
    let looks = look(&reckoned.course.settings);
    let (album, _) = Album::develop(&reckoned.course, &looks, lent.fetch, lent.shelf);
    let press = Press::new(&files.overrides());
    let mut all = sheets(reckoned, &album, None, &looks, true, &press);
    // A pack's template prints empty pages, for the pages of its sheets: no other typesetter has those.
    all.retain(|sheet| sheet.kind != Kind::Pack);
    let (mut ours, mut theirs, mut bytes, mut their_bytes, mut made) = (0.0, 0.0, 0, 0, 0);
    for sheet in &all {
        let document: &DocumentSpec = &sheet.document;
        let folder = tempfile::tempdir().unwrap();
        lay_out(&press, document, folder.path());
        let main = folder.path().join(format!("templates/{}.typ", document.template));
        let pdf = folder.path().join("out.pdf");
        let fonts = folder.path().join("fonts");
        let words = [main.to_str(), folder.path().to_str(), fonts.to_str(), pdf.to_str()].map(Option::unwrap);
        match ask(&[&["typeset"], &words[..]].concat(), "") {
            Ok(said) => theirs += said["seconds"].as_f64().unwrap(),
            Err(why) => {
                println!("the plain typesetter is left out: {why}");
                return;
            }
        }
        their_bytes += fs::metadata(&pdf).unwrap().len();
        let start = Instant::now();
        let set = press.typeset(document).unwrap();
        ours += start.elapsed().as_secs_f64();
        bytes += set.pdf.len();
        made += set.pages;
    }
    println!("{} documents on {made} pages, one after the other", all.len());
    println!("  by us                 {ours:>7.2} s  {:>6} kB", bytes / 1000);
    println!("  by the typesetter     {theirs:>7.2} s  {:>6} kB", their_bytes / 1000);
    println!("  ours to theirs        {:>7.2}", ours / theirs);
}

fn shops() {
    println!("job shop     ours  CP-SAT   ours to theirs   value  known");
    for (name, jobs, known) in job_shop::SHOPS {
        let problem = job_shop::shop(jobs);
        let start = Instant::now();
        let outcome = solve(&problem, &Budget { per_term: 50_000, conflict: 0 });
        let (ours, term) = (start.elapsed().as_secs_f64(), &outcome.terms[0]);
        assert!(term.proven);
        match ask(&["shop"], &serde_json::to_string(jobs).unwrap()) {
            Ok(said) => {
                assert_eq!(said["value"].as_i64(), Some(i64::from(term.value)), "{name}");
                let theirs = said["seconds"].as_f64().unwrap();
                println!(
                    "{name:<8} {ours:>7.3} {theirs:>7.3} {:>16.1} {:>7} {known:>6}",
                    ours / theirs,
                    term.value
                );
            }
            Err(why) => {
                println!("CP-SAT is left out: {why}");
                return;
            }
        }
    }
}

fn main() {
    shops();
    pages();
}
