//! What `plan --levers` advises, written into the course's files by hand, does what it promises.

use crate::support::Sealed;
use benchroll::reckon::plan::levers::{Change, changes};
use benchroll::units::Minutes;

/// The demo class, both sessions an hour shorter.
fn short() -> Sealed {
    Sealed::demo().edit("course/course.toml", "to = \"17:00\"", "to = \"16:00\"").edit(
        "course/course.toml",
        "to = \"13:30\"",
        "to = \"12:30\"",
    )
}

/// The count in the block of the thing with this name, so many more.
fn more(sealed: Sealed, name: &str, by: u32) -> Sealed {
    let text = sealed.read("course/kitchen.toml");
    let key = |key: &str| text.find(&format!("{key} = \"{name}\"\n"));
    let at = key("name").or_else(|| key("id")).unwrap_or_else(|| panic!("{name}"));
    let (before, block) = text.split_at(at);
    let (line, after) = block.split_once("count = ").unwrap();
    let (count, rest) = after.split_once('\n').unwrap();
    let count: u32 = count.parse().unwrap();
    let new = format!("{before}{line}count = {}\n{rest}", count + by);
    sealed.file("course/kitchen.toml", new)
}

/// The course with what a lever's text says.
fn written(sealed: Sealed, lever: &str) -> Sealed {
    if lever == "have one helper more" {
        let (old, new) = ("helpers = [\"Tomas Birch\"]", "helpers = [\"Tomas Birch\", \"Somebody\"]");
        return sealed.edit("course/course.toml", old, new);
    }
    if let Some((what, name)) = lever.split_once(" of ")
        && let Some(by) =
            what.strip_prefix("borrow ").or_else(|| what.strip_prefix("have ")?.strip_suffix(" more"))
    {
        let by = if by == "one" { 1 } else { by.parse().unwrap_or_else(|_| panic!("{lever}")) };
        return more(sealed, name.trim_end_matches(", or use paper cases"), by);
    }
    for (name, hour, minute) in [("Saturday", 16, 0), ("Sunday", 12, 30)] {
        for by in (5..=240).step_by(5) {
            if lever == format!("let {name} go on {} longer", Minutes(by)) {
                let end = hour * 60 + minute + by;
                let old = format!("to = \"{hour}:{minute}\"");
                let new = format!("to = \"{}:{:02}\"", end / 60, end % 60);
                return sealed.edit("course/course.toml", &old, &new);
            }
        }
    }
    if let Some(ends) = lever.strip_prefix("let ") {
        let ends = ends.strip_suffix(", as in the least-late plan").unwrap_or_else(|| panic!("{lever}"));
        let mut sealed = sealed;
        for one in ends.split(" and ") {
            let (name, end) = one.split_once(" end at ").unwrap();
            let old = if name == "Saturday" { "to = \"16:00\"" } else { "to = \"12:30\"" };
            sealed = sealed.edit("course/course.toml", old, &format!("to = \"{end}\""));
        }
        return sealed;
    }
    panic!("nobody has said yet how {lever:?} is written into the files")
}

#[test]
fn each_lever_works_when_it_is_written_into_the_files() {
    let said = short().run(&["plan", "course", "--levers", "--format", "json"]);
    assert_eq!(said.exit, Some(1), "{said}");
    let plan = said.json();
    assert_eq!(plan["fits"], false);
    assert!(plan["overrun_minutes"].as_i64().unwrap() > 0);
    let levers: Vec<&str> = plan["levers"].as_array().unwrap().iter().map(|l| l.as_str().unwrap()).collect();
    assert!(!levers.is_empty());
    // Longer sessions are one way; fewer people, or more of several things, are others.
    assert!(levers.iter().any(|lever| lever.starts_with("come with ")), "{levers:?}");
    for lever in levers {
        let mut line = vec!["plan", "course", "--format", "json"];
        let people = lever.strip_prefix("come with ").and_then(|rest| rest.strip_suffix(" people"));
        let sealed = match (people, lever.strip_prefix("all of this together: ")) {
            (Some(people), _) => {
                line.extend(["--headcount", people]);
                short()
            }
            (None, Some(all)) => all.split("; ").fold(short(), written),
            (None, None) => written(short(), lever),
        };
        assert_eq!(sealed.run(&line).json()["fits"], true, "{lever}");
    }
}

/// Two batches want a tub each; with one tub the second waits until the first dough is shaped.
#[test]
fn one_tub_more_is_tried() {
    let with = |tubs: u32| {
        let lesson = "course/lessons/soft-loaf.toml";
        let was = "hands = \"nobody\", stands = \"50 to 80 min\"";
        let sealed = Sealed::small().edit(lesson, was, &format!("{was}, uses = [\"tub until shape\"]"));
        let sealed = sealed.edit(lesson, "up to 2 stations", "1 station");
        let kitchen = sealed.read("course/kitchen.toml");
        let tub = format!(
            "\n[[tubs]]\nid = \"tub\"\ncount = {tubs}\nholds = \"3 kg\"\noutside = \"26 x 18 x 12 cm\"\n"
        );
        let sealed = sealed.file("course/kitchen.toml", kitchen + &tub);
        sealed.edit("course/course.toml", "to = \"17:00\"", "to = \"15:45\"")
    };
    let said = with(1).run(&["plan", "course", "--levers", "--format", "json"]);
    let levers = said.json()["levers"].clone();
    let levers: Vec<&str> =
        levers.as_array().unwrap_or_else(|| panic!("{said}")).iter().filter_map(|l| l.as_str()).collect();
    assert!(levers.contains(&"have one more of tub"), "{levers:?}");
    assert!(!levers.contains(&"have 3 more of tub"), "{levers:?}");
    assert_eq!(with(2).run(&["plan", "course", "--format", "json"]).json()["fits"], true);
    let checked = with(1).run(&["check", "course"]).to_string();
    assert!(
        checked.split_whitespace().collect::<Vec<_>>().join(" ").contains("what holds it: only 1 of tub"),
        "{checked}"
    );
}

/// The course's staff are there until 18:30: what goes on beyond that needs them for as long.
#[test]
fn a_longer_session_names_the_staffs_hours_that_go_with_it() {
    let course = super::demo();
    let longer = |by| Change::Longer(course.sessions[0].id.value.clone(), Minutes(by)).text(&course);
    assert_eq!(longer(60), "let Saturday go on 1 h longer");
    assert_eq!(
        longer(200),
        "let Saturday go on 3 h 20 min longer, and the staff's hours of Saturday to 20:20"
    );
}

/// With a single tin two more are far from enough; what is wanted at once is tried, and so is another cupboard.
#[test]
fn what_is_short_at_once_is_tried() {
    let mut course = super::demo();
    course.kitchen.tins[0].count.value = 1;
    let all = changes(&course, None, None);
    let tins = course.kitchen.tins[0].id.value.clone();
    assert!(all.iter().any(|c| matches!(c, Change::Tins(id, n) if *id == tins && *n > 2)), "{all:?}");
    assert!(all.iter().any(|c| matches!(c, Change::Cupboard(..))), "{all:?}");
}

/// What a lever leaves of the chance that the session ends on time is what the plan itself tells once it is pulled.
#[test]
fn each_lever_tells_how_sure_the_class_is_with_it() {
    let sealed = || Sealed::copy_of("tests/courses/one-circuit");
    let said = sealed().run(&["plan", "course", "--levers", "--format", "json"]).json();
    let levers = said["levers"].as_array().unwrap();
    let chances = said["lever_chances"].as_array().unwrap();
    let named: Vec<_> = chances.iter().map(|one| one["lever"].clone()).collect();
    assert_eq!(&named, levers);
    assert!(chances.iter().all(|one| one["sessions"][0]["id"] == "sat"), "{said}");
    let place = levers.iter().position(|lever| lever == "let Saturday go on 10 min longer").unwrap();
    let longer = sealed().edit("course/course.toml", "to = \"15:45\"", "to = \"15:55\"");
    let plan = longer.run(&["plan", "course", "--format", "json"]).json();
    let chance = &plan["sessions"][0]["chance_on_time"];
    assert_eq!(&chances[place]["sessions"][0]["chance_on_time"], chance);
    // In words, too.
    let words = sealed().run(&["plan", "course", "--levers"]).stdout;
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let percent = (chance.as_f64().unwrap() * 1000.0).round() / 10.0;
    let told = format!("let Saturday go on 10 min longer (on time then: Saturday {percent} %)");
    assert!(words.contains(&told), "{told}: {words}");
    assert!(plan.get("lever_chances").is_none());
}

/// Why a class does not fit is known with its plan: it needs no trying of changes, and stands in the same words for people and programs.
#[test]
fn why_it_does_not_fit_is_told_without_the_levers() {
    let course = || Sealed::copy_of("tests/courses/one-circuit");
    let never = || course().edit("course/lessons/soft-loaf.toml", "50 to 80 min", "7 to 8 h");
    for sealed in [course(), never()] {
        let plain = sealed.run(&["plan", "course", "--format", "json"]).json();
        let sentence = plain["conflict"]["sentence"].as_str().unwrap_or_else(|| panic!("{plain}")).to_owned();
        let constraints = plain["conflict"]["constraints"].as_array().unwrap().clone();
        assert!(plain.get("levers").is_none() && plain.get("lever_chances").is_none());
        let tried = sealed.run(&["plan", "course", "--levers", "--format", "json"]).json();
        assert_eq!(tried["conflict"], plain["conflict"]);
        for line in [vec!["plan", "course"], vec!["plan", "course", "--levers"]] {
            let words = sealed.run(&line).stdout.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains(&sentence), "{sentence}: {words}");
            assert!(constraints.iter().all(|one| words.contains(one.as_str().unwrap())), "{words}");
        }
    }
    let fits = Sealed::small().run(&["plan", "course", "--format", "json"]).json();
    assert!(fits.get("conflict").is_none());
}

/// Three quarters of an hour less on either day still fit; with an oven gone as well it does not, and what is listed works when it is
/// written into the files.
#[test]
fn three_quarters_of_an_hour_less() {
    let sat = |sealed: Sealed| sealed.edit("course/course.toml", "to = \"17:00\"", "to = \"16:15\"");
    let sun = |sealed: Sealed| sealed.edit("course/course.toml", "to = \"13:30\"", "to = \"12:45\"");
    for sealed in [sat(Sealed::demo()), sun(Sealed::demo())] {
        let said = sealed.run(&["plan", "course"]);
        assert!(said.exit == Some(0) && said.stdout.contains("It fits."), "{said}");
    }
    let oven = ("name = \"Deck-width fan oven\"\ncount = 2", "name = \"Deck-width fan oven\"\ncount = 1");
    let less = || sun(Sealed::demo()).edit("course/kitchen.toml", oven.0, oven.1);
    let said = less().run(&["plan", "course", "--levers", "--format", "json"]);
    let told = said.json();
    assert_eq!(told["fits"], false, "{said}");
    let sentence = told["conflict"]["sentence"].as_str().unwrap();
    assert!(sentence.ends_with("too long; what holds it: the ovens: 1 of Deck-width fan oven"), "{sentence}");
    let levers: Vec<&str> = told["levers"].as_array().unwrap().iter().filter_map(|l| l.as_str()).collect();
    let [first, second] = levers.as_slice() else { panic!("{levers:?}") };
    assert_eq!((*first, *second), ("let Sunday go on 20 min longer", "have one more of Deck-width fan oven"));
    let longer = less().edit("course/course.toml", "to = \"12:45\"", "to = \"13:05\"");
    for sealed in [longer, more(less(), "Deck-width fan oven", 1)] {
        let said = sealed.run(&["plan", "course", "--format", "json"]);
        assert_eq!(said.json()["fits"], true, "{said}");
    }
}
