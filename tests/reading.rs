//! Reading whole course folders.

use crate::support::least::least;
use crate::support::repository;
use benchroll::read::{folder, read_course};

#[test]
fn the_demo_course_reads_without_an_error() {
    let files = folder::load(&repository().join("course")).expect("a folder");
    let reading = read_course(&files);
    let told: Vec<String> = reading
        .findings
        .iter()
        .map(|f| {
            format!(
                "{:?} {} {:?}: {}",
                f.level,
                f.code,
                f.place.and_then(|p| reading.sources.locate(p)),
                f.message
            )
        })
        .collect();
    let course = reading.course.unwrap_or_else(|| panic!("{}", told.join("\n")));
    assert_eq!(course.lessons.len(), 3);
    assert_eq!(course.coming().count(), 12);
    assert_eq!(told, Vec::<String>::new());
}

#[test]
fn the_least_course_reads_without_a_finding() {
    let reading = read_course(&least());
    assert_eq!(reading.findings, Vec::new());
    assert!(reading.course.is_some());
}
