//! How fast pages are made, and how heavy they are: `cargo bench --bench pages --profile dev` (dependencies are built fast
//! in that profile too, so that the typesetter is not built twice).
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::print_stderr,
    missing_docs,
    dead_code
)]

#[allow(unused_imports)]
#[path = "../documents/mod.rs"]
mod documents;

use benchroll::typeset::photos::{Wish, develop};
use benchroll::typeset::{DocumentSpec, PageLook, Paper, Press, Typeset};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::time::Instant;

fn made(press: &Press, docs: &[DocumentSpec]) -> (Vec<Typeset>, f64) {
    let start = Instant::now();
    let done = press.typeset_all(docs).into_iter().map(Result::unwrap).collect();
    (done, start.elapsed().as_secs_f64())
}

fn told(what: &str, done: &[Typeset], seconds: f64) {
    let pages: usize = done.iter().map(|d| d.pages).sum();
    let bytes: usize = done.iter().map(|d| d.pdf.len()).sum();
    println!(
        "{what:<34} {:>3} documents {pages:>4} pages {seconds:>7.2} s {:>7.1} pages/s {:>6} kB",
        done.len(),
        pages as f64 / seconds,
        bytes / 1000
    );
}

/// The most memory that this process has had, where the system tells.
fn most_memory() -> Option<String> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    status.lines().find_map(|l| l.strip_prefix("VmHWM:")).map(|l| l.trim().to_owned())
}

fn main() {
    let start = Instant::now();
    let press = Press::new(&BTreeMap::new());
    println!("templates, words and fonts read in {:.2} s", start.elapsed().as_secs_f64());
    let looks = [
        ("A4, colour", PageLook::default()),
        (
            "Letter, grey, large print, German",
            PageLook {
                paper: Paper::Letter,
                large_print: true,
                black_and_white: true,
                language: "de".to_owned(),
            },
        ),
    ];
    for (what, look) in &looks {
        let docs: Vec<DocumentSpec> =
            documents::all().into_iter().map(|(name, data)| documents::spec(name, &data, look)).collect();
        let (done, seconds) = made(&press, &docs);
        told(what, &done, seconds);
        let (again, seconds) = made(&press, &docs);
        told("  the same again", &again, seconds);
        let packs: Vec<Typeset> =
            docs.iter().zip(done).filter(|(doc, _)| doc.template == "pack").map(|(_, done)| done).collect();
        told("  the packs among them", &packs, seconds);
    }
    let large = RgbImage::from_fn(6000, 4000, |x, y| {
        let grain = (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)) >> 27;
        Rgb([(x / 30) as u8, (y / 20) as u8, ((x + y) / 45) as u8 ^ grain as u8])
    });
    let mut file = Cursor::new(Vec::new());
    DynamicImage::ImageRgb8(large).write_to(&mut file, ImageFormat::Jpeg).unwrap();
    let file = file.into_inner();
    let start = Instant::now();
    let print = develop(&file, &Wish::default()).unwrap();
    println!(
        "a photograph of 24 megapixels, {} kB, printed in {:.2} s, {} kB",
        file.len() / 1000,
        start.elapsed().as_secs_f64(),
        print.bytes.len() / 1000
    );
    if let Some(most) = most_memory() {
        println!("most memory at any time: {most}");
    }
}
