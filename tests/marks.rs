//! What people read beside a weight, on a slip and in the note before the class, of a pack that holds what they avoid, may
//! hold it, or was never read; and what is unknown of time out of the cold.

use crate::documents::demo;
use benchroll::course::{AllergenId, Allergens, At, Chain, Course, Item, Where};
use benchroll::finding::Located;
use benchroll::reckon::safety::exposures::Exposure;
use benchroll::reckon::safety::judge::{Phase, Verdict};
use benchroll::reckon::safety::safety;
use benchroll::typeset::views::common::Weighing;
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::joining_note::JoiningNote;
use benchroll::typeset::views::slips::Slips;
use benchroll::typeset::views::station_sheet::StationSheet;

fn words(all: &[&str]) -> Vec<At<AllergenId>> {
    all.iter().map(|word| Located::assumed(AllergenId::new(*word))).collect()
}

fn item<'a>(course: &'a mut Course, id: &str) -> &'a mut Item {
    course.pantry.items.iter_mut().find(|i| i.id.value.as_str() == id).unwrap()
}

/// The demo class with other packs: its plan and its weights stay the same. Station 5 avoids nuts, station 6 egg.
fn with_other_packs() -> Course {
    let mut course = demo::course().clone();
    let checked = |item: &mut Item, contains: &[&str], may: &[&str]| {
        let Allergens::Stated { contains: held, may_contain, .. } = &mut item.allergens else { panic!() };
        (*held, *may_contain) = (words(contains), words(may));
    };
    checked(item(&mut course, "sugar"), &[], &["hazelnut"]);
    checked(item(&mut course, "pearl-sugar"), &["walnut"], &["hazelnut"]);
    checked(item(&mut course, "sunflower-seeds"), &[], &["walnut"]);
    item(&mut course, "salt").allergens = Allergens::Unknown;
    course
}

fn desk(course: &Course) -> Desk<'_> {
    let r = demo::reckoned();
    Desk::new(course, &r.class, r.planned.plan.as_ref().unwrap(), &r.weighed)
}

/// Every line that a station weighs itself, by the ingredient's name.
fn weighed(desk: &Desk<'_>, station: u32) -> Vec<Weighing> {
    let station = desk.class.stations.iter().find(|s| s.no.0 == station).unwrap();
    let sheets = desk.course.sessions.iter().map(|session| StationSheet::of(desk, station, session));
    sheets.flat_map(|s| s.weigh).filter(|l| l.how == "weigh").flat_map(|l| l.lines).collect()
}

#[test]
fn a_weigh_list_says_contains_of_what_is_in_it_and_may_contain_of_the_rest() {
    let course = with_other_packs();
    let desk = desk(&course);
    let lines = weighed(&desk, 5);
    let of =
        |name: &str| lines.iter().find(|l| l.name == name).unwrap_or_else(|| panic!("{name}: {lines:?}"));
    // Both things that the station avoids, a walnut and any nut, are certain; the hazelnut that may be in it too is not said
    // again as a maybe.
    let pearl = of("Pearl sugar");
    assert_eq!(pearl.contains, ["Nuts", "Nuts (walnut)"]);
    assert!(pearl.may_contain.is_empty() && !pearl.unread, "{pearl:?}");
    // Every weighed list of every station: a certain thing is never a maybe, and only stations that avoid something are told.
    for station in 1..=6 {
        for line in weighed(&desk, station) {
            assert!(line.contains.iter().all(|w| !line.may_contain.contains(w)), "{line:?}");
            let marked = !line.contains.is_empty() || !line.may_contain.is_empty() || line.unread;
            assert!(!marked || station >= 5, "station {station}: {line:?}");
        }
    }
    let six = weighed(&desk, 6);
    let egg = six.iter().filter(|l| !l.contains.is_empty() || !l.may_contain.is_empty());
    assert_eq!(egg.count(), 0, "station 6 avoids egg and weighs none: {six:?}");
    for line in six.iter().filter(|l| l.name == "Fine salt") {
        assert!(line.unread, "{line:?}");
    }
    for line in lines.iter().filter(|l| l.name == "Caster sugar") {
        assert_eq!((line.contains.len(), line.may_contain.as_slice()), (0, &["Nuts".to_owned()][..]));
    }
}

#[test]
fn a_slip_doubts_the_name_that_its_packs_do_not_bear_out() {
    let course = with_other_packs();
    let slips = Slips::of(&desk(&course));
    let filling = |variant: Option<&str>| {
        let is = |v: &Option<String>| v.as_deref() == variant;
        slips.contents.iter().find(|s| s.part == "Filling" && is(&s.variant)).unwrap()
    };
    let free = filling(Some("nut-free"));
    assert_eq!(free.doubted, ["Nuts"]);
    assert!(free.may_contain.contains(&"Nuts (walnut)".to_owned()), "{free:?}");
    assert!(!free.contains.iter().any(|c| c.starts_with("Nuts")), "{free:?}");
    assert!(filling(None).doubted.is_empty() && filling(None).contains.contains(&"Nuts (walnut)".to_owned()));
    // A dough with salt that nobody has read says so, and nothing says that of the filling, which has none.
    let dough = slips.contents.iter().find(|s| s.part == "Dough").unwrap();
    assert_eq!(dough.unknown, ["Fine salt"]);
    assert!(free.unknown.is_empty());
    let names: Vec<_> = slips.names.iter().filter(|n| n.variant.as_deref() == Some("nut-free")).collect();
    // The whole crown has the salt in its dough, and "nut-free" is read as free of peanuts too: nobody can say that either.
    assert!(!names.is_empty() && names.iter().all(|n| n.doubted == ["Peanuts", "Nuts"]), "{names:?}");
    assert!(names.iter().all(|n| n.station == "5"));
    // As the packs really are, the name is borne out.
    let as_read = Slips::of(&demo::desk());
    assert!(as_read.contents.iter().all(|s| s.doubted.is_empty() && s.unknown.is_empty()));
}

#[test]
fn the_joining_note_says_what_the_class_contains_may_contain_and_has_not_read() {
    let course = with_other_packs();
    let note = JoiningNote::of(&desk(&course), &demo::reckoned().order, None);
    let has = |all: &[String], word: &str| all.iter().any(|w| w == word);
    assert!(has(&note.contains, "Nuts (walnut)") && has(&note.contains, "Eggs"), "{note:?}");
    // Walnut is certain somewhere, so it is no maybe; almond is one.
    assert!(has(&note.may_contain, "Nuts (almond)") && !has(&note.may_contain, "Nuts (walnut)"), "{note:?}");
    assert_eq!(note.unread, ["Fine salt"]);
    let as_read = JoiningNote::of(&demo::desk(), &demo::reckoned().order, None);
    assert!(as_read.unread.is_empty());
}

/// The exposures of the demo's plan under another course.
fn exposures(change: impl FnOnce(&mut Course)) -> Vec<Exposure> {
    let desk = demo::desk();
    let mut course = desk.course.clone();
    change(&mut course);
    safety(&course, desk.class, Some(desk.plan)).0.exposures
}

fn because(all: &[Exposure], part: &str, phase: Phase) -> String {
    let one = all.iter().find(|e| e.part.as_str() == part && e.phase == phase);
    let one = one.unwrap_or_else(|| panic!("{part} in {all:?}"));
    assert_eq!(one.judged.verdict, Verdict::Unknown, "{one:?}");
    assert_eq!((one.out, one.judged.limit), (None, None), "an unknown has no minutes");
    one.judged.because.clone()
}

#[test]
fn what_nobody_can_know_of_time_out_of_the_cold_is_unknown_and_says_why() {
    let as_written = exposures(|_| {});
    // Whether a cooked filling may stand beside bread on the shelf is not for a program to guess.
    assert!(because(&as_written, "filling", Phase::Baked).contains("needs-cold"));
    // A custard is no wet batter: the benchmark for raw dough says nothing of it.
    let benchmark = exposures(|c| c.settings.rule_set = Some(Located::assumed("dough-benchmark".into())));
    assert!(because(&benchmark, "custard", Phase::Cooked).contains("for raw dough alone"));
    assert!(because(&benchmark, "wash", Phase::Raw).contains("for raw dough alone"));
    assert!(benchmark.iter().filter(|e| e.part.as_str() == "dough").all(|e| e.out.is_some()));
    // A fridge without a thermometer.
    let warm = exposures(|c| c.kitchen.cold.iter_mut().for_each(|f| f.temperature = None));
    assert!(because(&warm, "custard", Phase::Cooked).contains("no temperature is written"));
    // A part that goes into the piece and that no step names.
    let unnamed = exposures(|c| {
        let lesson = c.lessons.iter_mut().find(|l| l.id.value.as_str() == "four-braid").unwrap();
        for step in &mut lesson.steps {
            step.on.retain(|chain| chain.value != Chain::Part("wash".into()));
        }
    });
    let wash: Vec<Exposure> = unnamed.into_iter().filter(|e| e.lesson.as_str() == "four-braid").collect();
    assert!(because(&wash, "wash", Phase::Raw).contains("no step names it"));
    // Without a rule set nobody can say; without a plan neither.
    let none = exposures(|c| c.settings.rule_set = None);
    assert!(because(&none, "custard", Phase::Cooked).contains("names no rule set"));
    let desk = demo::desk();
    let unplanned = safety(desk.course, desk.class, None).0.exposures;
    assert!(!unplanned.is_empty() && unplanned.iter().all(|e| e.judged.verdict == Verdict::Unknown));
    // The cold place itself is written in the demo kitchen: the check above changed something.
    assert!(desk.course.kitchen.cold.iter().all(|f| f.temperature.is_some()));
    assert!(desk.course.lessons.iter().flat_map(|l| &l.steps).any(|s| s.place.value == Where::Cold));
}
