//! A class that cannot be planned: what is told is where the mistake is, and no more than was shown.

use crate::support::Sealed;
use crate::timetable::{demo, effort, inputs};
use benchroll::course::{Course, Lasts, Per, Where};
use benchroll::reckon::plan::choose::plan;
use benchroll::reckon::plan::{conflict, levers};
use benchroll::units::Minutes;

/// The demo class with a bake that no oven is taken for: reading refuses such a file, so that only our own checker is left to.
fn without_an_oven() -> Course {
    let mut course = demo();
    let bakes = |s: &&mut benchroll::course::Step| s.per.value == Per::Load && s.place.value == Where::Oven;
    for step in course.lessons[0].steps.iter_mut().filter(bakes) {
        step.place.value = Where::Bench;
    }
    course
}

#[test]
fn what_the_checker_refuses_is_no_plan_and_no_lever_helps() {
    let course = without_an_oven();
    let (class, portions, options) = inputs(&course, None);
    let planned = plan(&course, &class, &portions, &options, effort());
    assert_eq!(planned.plan, None);
    assert!(!planned.refused.is_empty());
    let figure = planned.figure();
    assert!(
        figure.starts_with("a plan was found, and benchroll's own checker of plans refused it: "),
        "{figure}"
    );
    let why = conflict::explain(&course, &class, &portions, &options, &figure, effort());
    assert!(!why.sentence.contains("however long") && !why.sentence.contains("longer"), "{}", why.sentence);
    assert_eq!(levers::levers(&course, None, None, effort()), []);
}

#[test]
fn a_bake_outside_the_oven_is_told_at_its_line_and_so_are_hours_for_minutes() {
    let sealed = Sealed::small().edit("course/lessons/soft-loaf.toml", "at = \"oven\", ", "");
    let said = sealed.run(&["plan", "course", "--levers"]);
    assert!(said.exit == Some(1) && said.to_string().contains("error[heat-without-oven]"), "{said}");
    assert!(
        said.to_string().contains("soft-loaf.toml:8:") && !said.to_string().contains("makes it fit"),
        "{said}"
    );

    let sealed = Sealed::small().edit("course/lessons/soft-loaf.toml", "\"50 to 80 min\"", "\"50 to 80 h\"");
    let said = sealed.run(&["check", "course"]);
    assert!(said.exit == Some(1) && said.to_string().contains("error[longer-than-class]"), "{said}");
    assert!(
        said.to_string().contains("soft-loaf.toml:5:") && !said.to_string().contains("does-not-fit"),
        "{said}"
    );
}

/// A session that runs over runs into the hours in which something is made ahead. What is found there is no plan, and the least late
/// is another one. Staff stay for it until the dough is in the cold, which is after all else is over, and that counts as well.
#[test]
fn a_session_that_runs_into_the_hours_of_making_ahead_has_a_least_late_plan() {
    let sealed = Sealed::copy_of("tests/courses/turned");
    for (headcount, late) in [("2", 90), ("6", 90), ("10", 90), ("12", 110)] {
        let said = sealed.run(&["plan", "course", "--headcount", headcount, "--format", "json"]);
        let plan = said.json();
        assert_eq!(plan["overrun_minutes"], late, "{said}");
        assert!(said.stderr.contains("error[does-not-fit]: the class is "), "{said}");
        assert!(!said.stderr.contains("plan-refused"), "{said}");
    }
}

/// A filling that keeps for minutes cannot be made ahead and be spread an hour into a session, and it is not cooked while students are there,
/// however late they stay: that is told where it is written, and no plan is found for the checker to refuse.
#[test]
fn what_cannot_be_made_ahead_is_told_and_no_plan_is_refused() {
    let lesson = "course/lessons/walnut-crown.toml";
    let sealed = Sealed::demo().edit(lesson, "\"90 min to 24 h\"", "\"10 to 20 min\"");
    let said = sealed.run(&["plan", "course"]);
    let text = said.to_string();
    assert_eq!(said.exit, Some(1), "{said}");
    assert!(text.contains("error[never-fits]") && !text.contains("plan-refused"), "{said}");
    let mut course = demo();
    let set = course.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "set").unwrap();
    if let Lasts::Stands(stands) = &mut set.lasts {
        (stands.value.least, stands.value.most) = (Minutes(10), Some(Minutes(20)));
    }
    let (class, portions, options) = inputs(&course, None);
    let planned = plan(&course, &class, &portions, &options, effort());
    assert_eq!((planned.plan, planned.refused), (None, Vec::new()));
}

/// Where sessions 4 h longer bring no plan, 10 h are tried, and what is said is of those.
#[test]
fn what_was_tried_last_is_what_is_said() {
    let sealed = Sealed::small();
    let said = sealed.run(&["plan", "course", "--headcount", "86"]);
    let told = said.to_string().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("There is no plan, not even with each session"), "{said}");
    assert!(told.contains("4 h longer: that is proven. With up to 10 h longer none was found."), "{said}");
    // With far fewer there is one that is less late than that, and more than 4 h.
    let late = sealed.run(&["plan", "course", "--headcount", "64", "--format", "json"]);
    let minutes = late.json()["overrun_minutes"].as_i64().unwrap();
    assert!((241..=600).contains(&minutes), "{minutes}");
}

/// For so many there is no plan, not even a late one, and a sheet without times helps nobody: what was printed for those who come stays.
#[test]
fn without_a_plan_what_was_printed_stays() {
    let sealed = Sealed::small();
    assert_eq!(sealed.run(&["prepare", "course", "--out", "printed"]).exit, Some(0));
    let all = || -> Vec<(String, Vec<u8>)> {
        let read = |name: String| (name.clone(), std::fs::read(sealed.path("printed").join(name)).unwrap());
        sealed.files("printed").into_iter().map(read).collect()
    };
    let before = all();
    assert!(before.iter().any(|(name, _)| name.ends_with("run-sheet.pdf")));
    let said = sealed.run(&["prepare", "course", "--out", "printed", "--headcount", "500"]);
    assert_eq!(said.exit, Some(1), "{said}");
    let told = said.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("what was printed before stays"), "{said}");
    assert!(all() == before, "something was written: {said}");
}
