//! How fast classes are planned, and how much of it is proven: `cargo bench --bench plans --profile dev`. Dependencies are built
//! fast in that profile too; the part of the search that is our own is two or three times as fast in a release.
//!
//! The steps, values and bounds are the same on every machine; the seconds are this one's: of the processor where the system tells
//! what a thread has used (Linux), else of the clock.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, missing_docs, dead_code)]

#[path = "../support/grown.rs"]
mod grown;
#[allow(unused_imports)]
#[path = "../job_shop.rs"]
mod job_shop;

use benchroll::course::Course;
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::plan::schedule::Budget;
use benchroll::reckon::plan::solver::solve;
use benchroll::reckon::{class, options, scale};
use std::path::Path;
use std::time::Instant;

fn course(path: &str) -> Course {
    let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap();
    read_course(&files).course.unwrap()
}

/// What this thread has used so far of a processor, or else how long the clock has run.
fn seconds_used(begun: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| begun.elapsed().as_secs_f64(), |used| used / 1e9)
}

/// One class: seconds, steps, the share of terms proven, and each term with its bound where that is not reached.
fn class_size(name: &str, course: &Course, headcount: u32) {
    class_with(name, course, headcount, Effort::default());
}

fn class_with(name: &str, course: &Course, headcount: u32, effort: Effort) {
    let (class, _) = class::seat(course, Some(headcount));
    let portions = scale::portions(course, &class);
    let (options, _) = options::options(course, &class, &portions);
    let begun = Instant::now();
    let before = seconds_used(begun);
    let found = plan(course, &class, &portions, &options, effort);
    let seconds = seconds_used(begun) - before;
    assert_eq!(found.refused, []);
    let Some(plan) = found.plan else {
        println!("{name:<24} {headcount:>3} {:>3} {seconds:>8.2} s  no plan", class.stations.len());
        return;
    };
    let terms: Vec<String> = plan
        .objective
        .iter()
        .map(|t| if t.proven { t.value.to_string() } else { format!("{} (least {})", t.value, t.bound) })
        .collect();
    let proven = plan.objective.iter().filter(|t| t.proven).count();
    println!(
        "{name:<24} {headcount:>3} {:>3} {seconds:>8.2} s {:>8} {proven}/{} {:<5} {}",
        class.stations.len(),
        plan.steps,
        plan.objective.len(),
        if plan.fits { "fits" } else { "late" },
        terms.join(", ")
    );
}

fn main() {
    println!("class                students stations    seconds    steps proven      terms in their order");
    let (small, demo) = (course("tests/courses/small"), course("course"));
    for headcount in [6, 12, 24, 48, 96] {
        class_size("one lesson, roomy", &grown::grown(small.clone(), headcount / 6), headcount);
    }
    for headcount in [6, 10, 12, 13, 14, 24] {
        class_size("demo, its own kitchen", &demo, headcount);
    }
    for headcount in [24, 48] {
        class_size("demo, roomy", &grown::grown(demo.clone(), headcount / 12), headcount);
    }
    // Two staff cannot tend what grows with the kitchen: so the same with as many more helpers, and the first split alone.
    let first = Effort { combinations: 1, ..Effort::default() };
    for headcount in [24, 48, 96] {
        let course = grown::grown(demo.clone(), headcount / 12);
        class_with("demo, roomy, first split", &course, headcount, first);
        let course = grown::with_helpers(demo.clone(), headcount / 12);
        class_with("demo, roomy, helped", &course, headcount, first);
    }
    println!();
    println!("job shop    seconds    steps  value  bound  known");
    for (name, jobs, known) in job_shop::SHOPS {
        let problem = job_shop::shop(jobs);
        let begun = Instant::now();
        let before = seconds_used(begun);
        let outcome = solve(&problem, &Budget { per_term: 50_000, conflict: 0 });
        let (seconds, term) = (seconds_used(begun) - before, &outcome.terms[0]);
        println!(
            "{name:<8} {seconds:>8.2} s {:>8} {:>6} {:>6} {known:>6}",
            outcome.steps, term.value, term.bound
        );
    }
}
