//! What stations use by turns, pots and whatever else goes from hand to hand: who avoids what is in another's comes first, or the time for
//! a wash-up stands between.

use super::{effort, inputs, of_two, planned_with, rules};
use crate::support::{put_in, repository};
use benchroll::course::Course;
use benchroll::read::folder;
use benchroll::reckon::machine_order::turns;
use benchroll::reckon::plan::allergen_order::WASH_UP;
use benchroll::reckon::plan::timetable::Plan;
use jiff::SignedDuration;

const LESSON: &str = r#"formula = "soft-loaf"
makes = { pieces = 1, for-each = "station" }
steps = [
  { id = "knead", on = "dough", per = "station", hands = "students", takes = "12 to 18 min, usually 15" },
  { id = "rise", on = "dough", per = "station", at = "room", hands = "nobody", stands = "30 to 80 min" },
  { id = "fry", on = ["dough", "oil"], per = "station", at = "hob", hands = "students", takes = "16 to 24 min, usually 20", uses = ["pot"] },
  { id = "cool", on = "piece", per = "station", at = "rack", hands = "nobody", stands = "at least 30 min" },
]
"#;

pub(super) const FORMULA: &str = r#"name = "Fritters"

[piece]
dough = "300 g"
oil = "40 g"
size = "10 x 10 cm"

[parts.dough]
basis = "flour"
of = { flour = "100 %", milk = "50 %", eggs = "12 %", sugar = "6 %", salt = "1.8 %", yeast = "1 %" }

[parts.oil]
basis = "whole"
of = { frying-oil = "100 %" }

[variants.without-egg]
free-from = ["egg"]
dough = { eggs = "0 %", milk = "60 %" }

[variants.without-milk]
free-from = ["milk"]
dough = { milk = "0 %", oat-drink = "50 %" }
"#;

pub(super) const PANTRY: &str = r#"
[ingredients.eggs]
name = "Eggs"
kind = "egg"
composition = { water = "76 %", fat = "10 %", sugars = "0.4 %" }
allergens = { contains = ["egg"], checked = "2027-02-20, box" }
each = "52 g"
packs = [{ of = "10 pieces", price = "3.10", supplier = "shop" }]

[ingredients.oat-drink]
name = "Oat drink"
kind = "drink"
composition = { water = "90 %", fat = "1.5 %", sugars = "4 %" }
density = "1.03 g/ml"
allergens = { contains = ["oats"], checked = "2027-02-20, carton" }
packs = [{ of = "1 l", price = "1.90", supplier = "shop" }]

[ingredients.frying-oil]
name = "Frying oil"
kind = "fat"
composition = { water = "0 %", fat = "100 %", sugars = "0 %" }
density = "0.92 g/ml"
allergens = { contains = [], checked = "2027-02-20, can" }
packs = [{ of = "2 l", price = "6.50", supplier = "shop" }]
"#;

/// Two stations of one person each, what each of them avoids, and so many pots.
fn fryers(avoids: [&str; 2], pots: u32) -> Course {
    let pot = format!("[[tools]]\nid = \"pot\"\nname = \"Frying pot\"\ncount = {pots}\n");
    with_thing(avoids, &pot, LESSON)
}

/// Two stations of one person each, what each of them avoids, one more thing in the kitchen, and a lesson that uses it.
fn with_thing(avoids: [&str; 2], thing: &str, lesson: &str) -> Course {
    let mut files = folder::load(&repository().join("tests/courses/small")).unwrap();
    let text = String::from_utf8(files.bytes("pantry.toml").unwrap().to_vec()).unwrap();
    files.add("pantry.toml", text + PANTRY);
    files.add("formulas/soft-loaf.toml", FORMULA.to_owned());
    files.add("lessons/soft-loaf.toml", lesson.to_owned());
    let text = String::from_utf8(files.bytes("kitchen.toml").unwrap().to_vec()).unwrap();
    let hob = "\n[[hobs]]\nid = \"hob\"\nburners = 4\n\n";
    files.add("kitchen.toml", format!("{text}{hob}{thing}"));
    put_in(&mut files, "kitchen.toml", &[("seats = 2", "seats = 1".to_owned())]);
    of_two(files, avoids)
}

/// The two fryings by the clock: the station, and the minutes from the end of the first to the start of the other.
fn by_turns(plan: &Plan) -> (String, i64) {
    let mut fry: Vec<_> = plan.tasks.iter().filter(|t| t.id.contains(".fry@")).collect();
    fry.sort_by_key(|t| t.start.timestamp());
    assert_eq!(fry.len(), 2);
    (fry[0].group.to_string(), fry[0].end.duration_until(&fry[1].start).as_mins())
}

#[test]
fn who_avoids_what_another_fries_comes_first() {
    for (avoids, first) in [(["egg", ""], "station-1"), (["", "egg"], "station-2")] {
        let course = fryers(avoids, 1);
        let mut plan = planned_with(&course, None, effort());
        assert!(plan.fits && plan.proven_optimal, "{:?}", plan.objective);
        assert_eq!(by_turns(&plan), (first.to_owned(), 0), "{avoids:?}");
        let (class, ..) = inputs(&course, None);
        assert!(turns(&course, &class, &plan).iter().all(|t| t.machine != "pot"));
        // The same two the other way round, one right after the other.
        let mut fry: Vec<_> = plan.tasks.iter_mut().filter(|t| t.id.contains(".fry@")).collect();
        fry.sort_by_key(|t| t.start.timestamp());
        let [a, b] = &mut fry[..] else { panic!() };
        std::mem::swap(&mut a.start, &mut b.start);
        std::mem::swap(&mut a.end, &mut b.end);
        std::mem::swap(&mut a.uses, &mut b.uses);
        assert!(rules(&course, &plan).contains(&"allergen"), "{:?}", rules(&course, &plan));
    }
}

/// One avoids what the other's holds, and the other way round: nobody can be first, and the pot is washed between.
#[test]
fn where_none_can_be_first_a_wash_up_stands_between() {
    let course = fryers(["egg", "milk"], 1);
    let mut plan = planned_with(&course, None, effort());
    assert!(plan.fits, "{:?}", plan.objective);
    let (_, gap) = by_turns(&plan);
    assert!(gap >= WASH_UP.get(), "{gap}");
    let (class, ..) = inputs(&course, None);
    assert_eq!(turns(&course, &class, &plan).iter().filter(|t| t.machine == "pot" && t.wash_up).count(), 1);
    // Five minutes too soon is refused.
    let second = plan.tasks.iter_mut().filter(|t| t.id.contains(".fry@")).max_by_key(|t| t.start.timestamp());
    let second = second.unwrap();
    let sooner = SignedDuration::from_mins(gap - WASH_UP.get() + 5);
    second.start = second.start.saturating_sub(sooner);
    second.end = second.end.saturating_sub(sooner);
    assert!(rules(&course, &plan).contains(&"allergen"), "{:?}", rules(&course, &plan));
}

#[test]
fn with_a_pot_for_each_nothing_stands_between() {
    let course = fryers(["egg", "milk"], 2);
    let plan = planned_with(&course, None, effort());
    assert!(by_turns(&plan).1 < 0, "both fry at once");
    // And where nobody avoids anything, one pot goes from hand to hand.
    let course = fryers(["", ""], 1);
    assert_eq!(by_turns(&planned_with(&course, None, effort())).1, 0);
}

/// A tool at the bench, a tub from the rise on, and a tray whose own time between two uses is shorter than a wash-up: one of each.
#[test]
fn whatever_goes_from_hand_to_hand_is_washed_between() {
    let tool = "[[tools]]\nid = \"press\"\nname = \"Dough press\"\ncount = 1\n";
    let tub = "[[tubs]]\nid = \"tub\"\ncount = 1\nholds = \"1.6 kg\"\noutside = \"26 x 18 x 12 cm\"\n";
    let tray = "[[trays]]\nid = \"board\"\ncount = 1\nsize = \"60 x 40 cm\"\nbetween = \"5 min\"\n";
    let at_bench = LESSON.replace("at = \"hob\", ", "").replace("hob", "bench");
    let risen_in = |what: &str| {
        let lesson = at_bench.replace(", uses = [\"pot\"]", "");
        lesson
            .replace("stands = \"30 to 80 min\"", &format!("stands = \"30 to 80 min\", uses = [\"{what}\"]"))
    };
    let cases = [
        (tool, at_bench.replace("\"pot\"", "\"press\""), "press", 0, "fry"),
        (tub, risen_in("tub until fry"), "tub", 0, "rise"),
        (tray, risen_in("board until fry"), "board", 5, "rise"),
    ];
    for (thing, lesson, id, between, takes) in cases {
        // The station that has it first, and the minutes until the other takes it.
        let turns_of = |plan: &Plan| {
            let mut uses: Vec<_> = plan.tasks.iter().filter(|t| t.step.as_str() == takes).collect();
            uses.sort_by_key(|t| t.start.timestamp());
            assert_eq!(uses.len(), 2);
            let until = &uses[0].uses.iter().find(|u| u.resource == id).unwrap().until;
            (uses[0].group.to_string(), until.duration_until(&uses[1].start).as_mins())
        };
        let plan = planned_with(&with_thing(["", ""], thing, &lesson), None, effort());
        assert_eq!(turns_of(&plan).1, between, "{id}");
        for (avoids, first) in [(["egg", ""], "station-1"), (["", "egg"], "station-2")] {
            let plan = planned_with(&with_thing(avoids, thing, &lesson), None, effort());
            assert_eq!(turns_of(&plan), (first.to_owned(), between), "{id} {avoids:?}");
        }
        let course = with_thing(["egg", "milk"], thing, &lesson);
        let mut plan = planned_with(&course, None, effort());
        assert!(plan.fits && turns_of(&plan).1 >= WASH_UP.get(), "{id} {:?}", turns_of(&plan));
        let (class, ..) = inputs(&course, None);
        let told = turns(&course, &class, &plan).iter().filter(|t| t.machine == id && t.wash_up).count();
        assert_eq!(told, usize::from(id != "board"), "{id}: trays are told of where they are laid");
        // Five minutes too soon is refused.
        let (_, gap) = turns_of(&plan);
        let second = plan.tasks.iter_mut().filter(|t| t.step.as_str() == takes);
        let second = second.max_by_key(|t| t.start.timestamp()).unwrap();
        second.start = second.start.saturating_sub(SignedDuration::from_mins(gap - WASH_UP.get() + 5));
        assert!(rules(&course, &plan).contains(&"allergen"), "{id} {:?}", rules(&course, &plan));
    }
}

/// Two rings of one station, baked one after the other, and one ring that nobody has had: who comes when the first of the two is out may
/// get that one, though the second is still in the oven.
#[test]
fn the_first_that_is_free_may_be_the_one() {
    let rings = "[[tools]]\nid = \"ring\"\ncount = 3\n";
    let lesson = r#"formula = "soft-loaf"
makes = { pieces = 2, for-each = "station" }
steps = [
  { id = "knead", on = "dough", per = "station", hands = "students", takes = "12 to 18 min, usually 15" },
  { id = "shape", on = ["dough", "oil"], per = "station", hands = "students", takes = "8 to 14 min, usually 10", uses = ["2 ring until bake"] },
  { id = "bake", on = "piece", per = "load", at = "oven", heat = "180 C", hands = "nobody", ends = "staff, 5 min", takes = "14 to 18 min, usually 15" },
  { id = "cool", on = "piece", per = "station", at = "rack", hands = "nobody", stands = "at least 30 min" },
]
"#;
    let small_oven = |avoids| {
        let mut course = with_thing(avoids, rings, lesson);
        let oven = &mut course.kitchen.ovens[0];
        oven.racks.value = 1;
        oven.rack.value = course.formulas[0].piece.size.as_ref().unwrap().value;
        course
    };
    let free = small_oven(["", ""]);
    let mut plan = planned_with(&free, None, effort());
    assert_eq!(plan.tasks.iter().filter(|t| t.step.as_str() == "bake").count(), 4);
    let shapes = |plan: &Plan| {
        let mut all: Vec<_> = plan.tasks.iter().filter(|t| t.step.as_str() == "shape").cloned().collect();
        all.sort_by_key(|t| t.start.timestamp());
        all
    };
    let first = shapes(&plan).remove(0);
    let mut out: Vec<_> = plan
        .tasks
        .iter()
        .filter(|t| t.step.as_str() == "bake" && t.members[0].0 == first.members[0].0)
        .map(|t| t.end.clone())
        .collect();
    out.sort();
    assert!(out.len() == 2 && out[0] < out[1], "{out:?}");
    // The other station shapes as soon as a ring is out, while the second of the two is in the oven.
    let later = shapes(&plan).remove(1).id;
    let task = plan.tasks.iter_mut().find(|t| t.id == later).unwrap();
    let long = task.start.duration_until(&task.end);
    (task.start, task.end) = (out[0].clone(), out[0].saturating_add(long));
    let station = |group: &str| usize::from(group.ends_with('2'));
    let mut avoids = ["", ""];
    avoids[station(&plan.task(&later).unwrap().group.to_string())] = "egg";
    assert!(rules(&small_oven(avoids), &plan).contains(&"allergen"));
    avoids.reverse();
    assert!(
        !rules(&small_oven(avoids), &plan).contains(&"allergen"),
        "free of egg is the one that comes first"
    );
}
