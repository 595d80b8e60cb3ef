//! The photographs of a course, ready to print: found by lesson and step, with what is wrong with any of them.
//!
//! Pure but for the two things that the caller lends: how to fetch a photograph of the course, and a [`Shelf`] where
//! finished prints stand, so that a photograph is developed once and not at every printing.

use super::PageLook;
use super::photos::{self, COARSE, Print, Unprintable, Wish, develop};
use super::views::common::Photograph;
use crate::course::limits::PIXELS;
use crate::course::{Course, LessonId, Step, StepId};
use crate::finding::Finding;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Where finished prints stand, by [`photos::key`]. A shelf may lose anything at any time.
pub trait Shelf: Sync {
    /// The print of this key.
    fn get(&self, key: &str) -> Option<Vec<u8>>;
    /// Keeps a print.
    fn put(&self, key: &str, print: &[u8]);
}

/// A shelf for as long as the program runs.
#[derive(Debug, Default)]
pub struct MemoryShelf(Mutex<BTreeMap<String, Vec<u8>>>);

impl Shelf for MemoryShelf {
    fn get(&self, key: &str) -> Option<Vec<u8>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).get(key).cloned()
    }
    fn put(&self, key: &str, print: &[u8]) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).insert(key.to_owned(), print.to_vec());
    }
}

/// The photographs of a course.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Album {
    views: BTreeMap<(LessonId, StepId), Photograph>,
    files: BTreeMap<String, Arc<[u8]>>,
}

impl Album {
    /// Develops every photograph that a lesson names, and says what is wrong with them. `fetch` gives the bytes of a
    /// photograph by its path within the course folder, or why there are none, as a clause: `cannot be opened`.
    pub fn develop(
        course: &Course,
        look: &PageLook,
        fetch: &(dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
        shelf: &dyn Shelf,
    ) -> (Album, Vec<Finding>) {
        let steps: Vec<(&LessonId, &Step)> = course
            .lessons
            .iter()
            .flat_map(|l| l.steps.iter().map(move |s| (&l.id.value, s)))
            .filter(|(_, s)| s.photo.is_some())
            .collect();
        let prints: Vec<_> = steps.par_iter().map(|(_, step)| print(step, look, fetch, shelf)).collect();
        let mut album = Album::default();
        let mut findings = Vec::new();
        for ((lesson, step), print) in steps.into_iter().zip(prints) {
            match print {
                Ok(print) => {
                    findings.extend(remarks(step, &print));
                    album.add(lesson, step, print);
                }
                Err(finding) => findings.push(*finding),
            }
        }
        (album, findings)
    }

    fn add(&mut self, lesson: &LessonId, step: &Step, print: Print) {
        let name = format!("{lesson}.{}.{}", step.id.value, print.ending);
        let mm = |length: crate::units::Centimetres| length.to_f64() * 10.0;
        let view = Photograph {
            name: name.clone(),
            alt: step.photo_shows.as_ref().map(|t| t.value.clone()).unwrap_or_default(),
            width: mm(print.width),
            height: mm(print.height),
            alone: step.photo_alone,
        };
        self.files.insert(name, print.bytes);
        self.views.insert((lesson.clone(), step.id.value.clone()), view);
    }

    /// The photograph of a step: what its template receives. None where the step has none or it cannot be printed: then
    /// the step's drawings are printed, also where the photograph was to stand alone.
    pub fn of(&self, lesson: &LessonId, step: &StepId) -> Option<&Photograph> {
        self.views.get(&(lesson.clone(), step.clone()))
    }

    /// The files that a document's templates find under `/photographs/`.
    pub fn files(&self) -> &BTreeMap<String, Arc<[u8]>> {
        &self.files
    }
}

fn print(
    step: &Step,
    look: &PageLook,
    fetch: &(dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
    shelf: &dyn Shelf,
) -> Result<Print, Box<Finding>> {
    let path = step.photo.as_ref().map(|p| p.value.as_str()).unwrap_or_default();
    let wrong = |code, what: String, way_out: &str| {
        let place = step.photo.as_ref().and_then(|p| p.place);
        Box::new(Finding::error(code, place, what).way_out(way_out))
    };
    let bytes = fetch(path).map_err(|why| {
        wrong("photograph-unreadable", format!("\"{path}\" {why}"), "put the file there again")
    })?;
    let wish = Wish {
        focus: step.photo_focus.as_ref().map_or(Wish::default().focus, |f| f.value),
        large: look.large_print,
        grey: look.black_and_white,
    };
    let key = photos::key(&bytes, &wish);
    if let Some(print) = shelf.get(&key).and_then(|bytes| Print::of(bytes, wish.large)) {
        return Ok(print);
    }
    let print = develop(&bytes, &wish).map_err(|why| match why {
        Unprintable::NotAPhotograph(what) => wrong(
            "not-a-photograph",
            match what {
                Some(what) => format!("\"{path}\" is {what}; JPEG, PNG and WebP can be printed"),
                None => format!("\"{path}\" is no photograph; JPEG, PNG and WebP can be printed"),
            },
            "save the photograph as JPEG",
        ),
        Unprintable::TooLarge(across, down) => wrong(
            "photograph-too-large",
            format!(
                "\"{path}\" has {across} x {down} pixels; at most {} million are opened",
                PIXELS / 1_000_000
            ),
            "save it smaller: 2000 pixels across are plenty for a page",
        ),
        Unprintable::Damaged(why) => wrong(
            "photograph-unreadable",
            format!("\"{path}\" is damaged: {why}"),
            "copy it anew from the camera; the drawings of the step are printed until then",
        ),
    })?;
    shelf.put(&key, &print.bytes);
    Ok(print)
}

/// What the teacher may like to know of a photograph that can be printed.
fn remarks(step: &Step, print: &Print) -> Vec<Finding> {
    let Some(photo) = &step.photo else { return Vec::new() };
    let path = photo.value.as_str();
    let mut remarks = Vec::new();
    if print.dots_per_inch() < COARSE {
        let (across, down) = print.pixels;
        remarks.push(
            Finding::note(
                "photograph-coarse",
                photo.place,
                format!(
                    "\"{path}\" gives {across} x {down} pixels for {} x {} cm of paper: {:.0} dots to the inch, and below {COARSE} one sees them",
                    print.width.to_decimal().normalize(),
                    print.height.to_decimal().normalize(),
                    print.dots_per_inch()
                ),
            )
            .way_out("take the original in place of a copy from a message"),
        );
    }
    if step.photo_shows.as_ref().is_none_or(|shows| shows.value.trim().is_empty()) {
        remarks.push(
            Finding::note(
                "photograph-without-words",
                photo.place,
                format!("\"{path}\" says nothing to one who cannot see it but the step's name"),
            )
            .way_out("say what it shows: `photo = { file = \"photos/roll.jpg\", shows = \"A hand turns the sheet\" }`"),
        );
    }
    remarks
}
