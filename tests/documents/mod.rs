//! Every document from a sample: it typesets, as a tagged PDF, in all its looks, and its data keeps its shape.

pub mod demo;
pub mod samples;
mod samples_ahead;
mod samples_kitchen;
mod samples_staff;
mod samples_stations;
mod samples_take_home;

use benchroll::typeset::{DocumentSpec, PageLook, Paper, Press};
use serde_json::Value;
use std::collections::BTreeMap;

/// The templates and words as they are on disk now, laid over the built-in ones: a page can be looked at without a build.
pub fn press() -> Press {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = BTreeMap::new();
    for dir in ["templates", "templates/leaf", "templates/words", "templates/drawings"] {
        for entry in std::fs::read_dir(root.join(dir)).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                let name = format!("{dir}/{}", path.file_name().unwrap().to_str().unwrap());
                files.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    Press::new(&files)
}

/// The plainest look, in this language.
pub fn look_of(language: &str) -> PageLook {
    PageLook { language: language.to_owned(), ..PageLook::default() }
}

pub fn spec(name: &str, data: &Value, look: &PageLook) -> DocumentSpec {
    DocumentSpec {
        template: data["kind"].as_str().unwrap().to_owned(),
        title: name.to_owned(),
        look: look.clone(),
        data: data.clone(),
        photographs: BTreeMap::new(),
        ident: name.to_owned(),
        fold: 0,
    }
}

pub fn all() -> Vec<(&'static str, Value)> {
    [samples::all(), samples_staff::all(), samples_kitchen::all(), samples_take_home::all()].concat()
}

/// Writes `target/pages/NAME.pdf` for each sample whose name holds `PAGES` (all without it), in the look of `LOOK`
/// (letters: `l` Letter, `b` black and white, `g` large print, `d` German).
#[test]
fn samples_typeset() {
    let only = std::env::var("PAGES").unwrap_or_default();
    let letters = std::env::var("LOOK").unwrap_or_default();
    let look = PageLook {
        paper: if letters.contains('l') { Paper::Letter } else { Paper::A4 },
        large_print: letters.contains('g'),
        black_and_white: letters.contains('b'),
        language: if letters.contains('d') { "de" } else { "en" }.to_owned(),
    };
    let out = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pages");
    std::fs::create_dir_all(&out).unwrap();
    let press = press();
    let samples = all().into_iter().map(|(n, d)| (n.to_owned(), d));
    let docs: Vec<_> =
        samples.chain(demo::all()).filter(|(n, _)| only.split(',').any(|o| n.contains(o))).collect();
    let specs: Vec<_> = docs.iter().map(|(n, d)| spec(n, d, &look)).collect();
    let mut failed = Vec::new();
    for ((name, _), done) in docs.iter().zip(press.typeset_all(&specs)) {
        match done {
            Ok(done) => {
                for w in &done.warnings {
                    println!("{name}: {w}");
                }
                std::fs::write(out.join(format!("{name}{letters}.pdf")), done.pdf).unwrap();
            }
            Err(troubles) => {
                for t in troubles {
                    failed.push(format!("{name}: {t}"));
                }
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Each sample in each look: Letter, black and white, large print, the other language.
#[test]
fn samples_typeset_in_every_look() {
    let press = press();
    let plain = PageLook::default();
    let looks = [
        PageLook { paper: Paper::Letter, black_and_white: true, ..plain.clone() },
        PageLook { large_print: true, language: "de".to_owned(), ..plain },
    ];
    for look in looks {
        let specs: Vec<_> = all().iter().map(|(n, d)| spec(n, d, &look)).collect();
        for (spec, done) in specs.iter().zip(press.typeset_all(&specs)) {
            assert!(done.is_ok(), "{} in {look:?}: {:?}", spec.title, done.err());
        }
    }
}
