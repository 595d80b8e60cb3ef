//! Who weighs what, on paper: a class in which the plan has some batches of a dough made ahead and the others not, and whose
//! formulas have a topping that no step names.

use crate::support::repository;
use benchroll::course::{Ahead, Hands, Ingredient, Item, PartId, Share, StationNo};
use benchroll::pipeline::{Asked, Outcome, Reckoned, Unwatched, reckon};
use benchroll::read::folder;
use benchroll::reckon::plan::timetable::{Plan, PlannedTask};
use benchroll::reckon::scale::begun_by;
use benchroll::reckon::weigh::{List, WeighedBy, Who};
use benchroll::reckon::work::{Batch, Whom};
use benchroll::typeset::views::common::{Phrase, WeighList, Weighing};
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::instead;
use benchroll::typeset::views::joining_note::JoiningNote;
use benchroll::typeset::views::label_sheet::Labels;
use benchroll::typeset::views::prep_sheet::PrepSheet;
use benchroll::typeset::views::station_sheet::{self, StationSheet};
use benchroll::typeset::views::weigh_out::WeighOut;
use benchroll::units::Percent;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A hall with two mixers, thirteen people in seven stations, and one long day.
fn hall() -> &'static Outcome {
    static HALL: OnceLock<Outcome> = OnceLock::new();
    HALL.get_or_init(|| {
        let files = folder::load(&repository().join("tests/courses/hall")).unwrap();
        reckon(&files, Asked { headcount: Some(13), ..Asked::default() }, &Unwatched)
    })
}

pub fn reckoned() -> &'static Reckoned {
    hall().reckoned.as_ref().expect("the course is sound")
}

pub fn plan(r: &Reckoned) -> &Plan {
    r.planned.plan.as_ref().expect("and has a plan")
}

pub fn desk(r: &Reckoned) -> Desk<'_> {
    Desk::new(&r.course, &r.class, plan(r), &r.weighed)
}

pub fn sheets_of(desk: &Desk<'_>) -> Vec<(StationNo, StationSheet)> {
    station_sheet::all(desk).into_iter().map(|(no, _, sheet)| (no, sheet)).collect()
}

/// What staff weigh ahead, by their sheets.
fn prepared(desk: &Desk<'_>) -> Vec<WeighList> {
    let sheets = PrepSheet::all(desk).into_iter().map(|(_, sheet)| sheet);
    sheets.flat_map(|s| s.tasks).flat_map(|t| t.weigh).collect()
}

/// The batch that hands begin in this task.
fn batch<'d>(desk: &Desk<'d>, task: &PlannedTask) -> Option<&'d Batch> {
    let all = desk.plan.choice.batches.values().flatten().filter(|b| Some(&b.lesson) == task.lesson.as_ref());
    let mut own = all.filter(|b| task.members.iter().all(|(w, _)| b.members.iter().any(|(m, _)| m == w)));
    own.find(|b| begins(desk, task, &b.part))
}

/// Whether hands begin the part in this task.
fn begins(desk: &Desk<'_>, task: &PlannedTask, part: &PartId) -> bool {
    let lesson = task.lesson.as_ref().and_then(|l| desk.course.lesson(l));
    let step = lesson.and_then(|l| begun_by(&desk.recipes, l, part));
    step.is_some_and(|s| s.id.value == task.step && !task.cold_wait)
}

/// A list on paper: what is weighed of this part, under its lesson.
fn is_list(shown: &WeighList, desk: &Desk<'_>, list: &List) -> bool {
    shown.how == "weigh"
        && shown.lesson == desk.lesson_name(&list.lesson)
        && shown.part == desk.part_name(&list.formula, &list.part)
        && shown.variant == list.variant.as_ref().map(|v| v.to_string())
}

#[test]
fn the_plan_makes_some_batches_ahead_and_not_the_others() {
    // Without that the tests below would see nothing.
    let r = reckoned();
    let desk = desk(r);
    let mixes = plan(r).tasks.iter().filter(|t| begins(&desk, t, &"dough".into()));
    let brioche: Vec<bool> = mixes
        .filter(|t| t.lesson.as_ref().is_some_and(|l| l.as_str() == "orange-brioche"))
        .map(|t| t.made_ahead)
        .collect();
    assert!(brioche.contains(&true) && brioche.contains(&false), "{brioche:?}");
}

/// Task by task: whoever begins a batch by the plan has its list on paper, and nobody else has.
#[test]
fn whoever_begins_a_batch_has_its_list() {
    for r in [reckoned(), crate::documents::demo::reckoned()] {
        let desk = desk(r);
        let sheets = sheets_of(&desk);
        let prepared = prepared(&desk);
        let mut seen = (0, 0);
        for task in plan(r).tasks.iter().filter(|t| t.hands != Hands::Nobody && !t.demo) {
            let Some(batch) = batch(&desk, task) else { continue };
            let list = r.weighed.groups().flat_map(|g| &g.lists).find(|l| {
                (&l.lesson, &l.part, l.batch) == (&batch.lesson, &batch.part, Some(batch.no))
                    && !l.ingredients.is_empty()
            });
            let list = list.unwrap_or_else(|| panic!("{}: nobody weighs it", task.id));
            // One mixes for all: whose people avoid the most, so that it is made on their bench; of equals the first.
            let mut mixes: Option<(usize, StationNo)> = None;
            for (whom, _) in &batch.members {
                let Whom::Station(no) = whom else { continue };
                let avoids = r.class.stations.iter().find(|s| s.no == *no).unwrap().avoids.len();
                if mixes.is_none_or(|(most, _)| avoids > most) {
                    mixes = Some((avoids, *no));
                }
            }
            let at_stations: Vec<StationNo> = sheets
                .iter()
                .filter(|(_, s)| s.weigh.iter().any(|w| is_list(w, &desk, list)))
                .map(|(no, _)| *no)
                .collect();
            if task.hands == Hands::Students {
                seen.0 += 1;
                assert!(at_stations.contains(&mixes.unwrap().1), "{}: {at_stations:?}", task.id);
                assert!(list.weighed_by != WeighedBy::Staff, "{}", task.id);
            } else {
                assert_eq!(list.weighed_by, WeighedBy::Staff, "{}", task.id);
                if desk.session_at(&task.start).is_none() {
                    seen.1 += 1;
                    assert!(prepared.iter().any(|w| is_list(w, &desk, list)), "{}", task.id);
                }
                for (whom, _) in &batch.members {
                    let Whom::Station(no) = whom else { continue };
                    assert!(!at_stations.contains(no), "{}: station {no} weighs it again", task.id);
                }
            }
        }
        assert!(
            seen.0 > 2 && (seen.1 > 2 || r.course.settings.name.value != "Brioche and buns at Thornby hall")
        );
    }
}

/// Station by station: every part of its pieces is weighed here, or fetched from somebody whose list has it.
#[test]
fn every_part_of_a_piece_is_weighed_or_fetched() {
    for r in [reckoned(), crate::documents::demo::reckoned()] {
        let desk = desk(r);
        let sheets = sheets_of(&desk);
        for group in &r.weighed.stations {
            let Who::Station(no, _) = group.who else { continue };
            let own: Vec<&WeighList> =
                sheets.iter().filter(|(n, _)| *n == no).flat_map(|(_, s)| &s.weigh).collect();
            for list in &group.lists {
                let at = format!("station {no}: {} {}", list.lesson, list.part);
                if list.weighed_by == WeighedBy::Station {
                    let shown =
                        own.iter().find(|w| is_list(w, &desk, list)).unwrap_or_else(|| panic!("{at}"));
                    assert_eq!(shown.lines.len(), list.ingredients.len() + list.fetches.len(), "{at}");
                    assert!(shown.for_whom.is_none(), "{at}");
                    continue;
                }
                let name = desk.part_name(&list.formula, &list.part);
                let lesson = desk.lesson_name(&list.lesson);
                let mut fetched =
                    own.iter().filter(|w| w.how == "fetch" && w.lesson == lesson).flat_map(|w| &w.lines);
                let line = fetched.find(|l| l.name == name).unwrap_or_else(|| panic!("{at} is not fetched"));
                assert!(line.slip.is_some() || !line.mixed_by.is_empty() || line.by_staff, "{at}: {line:?}");
                if list.weighed_by == WeighedBy::Batch {
                    // Of what it mixed itself it is not told where.
                    let by = if line.mixed_by.is_empty() { no.to_string() } else { line.mixed_by.clone() };
                    let theirs = sheets.iter().filter(|(n, _)| n.to_string() == by);
                    let mut theirs = theirs.flat_map(|(_, s)| &s.weigh);
                    assert!(theirs.any(|w| is_list(w, &desk, list) && w.for_whom.is_some()), "{at}");
                }
            }
        }
    }
}

fn grams(line: &Weighing) -> i64 {
    let (whole, part) = line.amount.value.split_once('.').unwrap_or((&line.amount.value, ""));
    format!("{whole}{part:0<3}").parse().unwrap()
}

/// What stands on the stations' sheets and what staff weigh add up to what the class takes, to the milligram.
#[test]
fn the_lists_on_paper_add_up_to_the_totals() {
    let r = reckoned();
    let desk = desk(r);
    let mut sums: BTreeMap<String, i64> = BTreeMap::new();
    let mut names: Vec<&Item> = r.course.pantry.items.iter().collect();
    names.dedup_by(|a, b| a.name.value == b.name.value);
    assert_eq!(names.len(), r.course.pantry.items.len(), "a name is one ingredient's");
    for (_, sheet) in sheets_of(&desk) {
        for line in sheet.weigh.iter().filter(|w| w.how == "weigh").flat_map(|w| &w.lines) {
            *sums.entry(line.name.clone()).or_default() += grams(line);
        }
    }
    let by_staff = r.weighed.groups().flat_map(|g| &g.lists).filter(|l| l.weighed_by == WeighedBy::Staff);
    for weight in by_staff.flat_map(|l| &l.ingredients) {
        let name = r.course.pantry.item(&weight.item).unwrap().name.value.clone();
        *sums.entry(name).or_default() += weight.grams.mg();
    }
    for total in &r.weighed.totals {
        let name = &r.course.pantry.item(&total.item).unwrap().name.value;
        assert_eq!(sums.get(name), Some(&total.grams.mg()), "{name}");
    }
}

#[test]
fn tables_say_who_weighs_each_batch() {
    let r = reckoned();
    let rows = benchroll::output::weigh_tables::for_spreadsheet(&r.course, &r.weighed).to_csv();
    let dough: Vec<&str> =
        rows.lines().filter(|l| l.starts_with("orange-brioche,dough,") && l.contains(",salt,")).collect();
    let staff = dough.iter().filter(|l| l.contains(",staff,")).count();
    let ahead = plan(r)
        .tasks
        .iter()
        .filter(|t| {
            t.made_ahead
                && t.step.as_str() == "mix"
                && t.lesson.as_ref().is_some_and(|l| l.as_str() == "orange-brioche")
        })
        .filter(|t| t.members.iter().any(|(w, _)| matches!(w, Whom::Station(_))))
        .count();
    assert_eq!(staff, ahead, "{dough:#?}");
    assert!(dough.iter().any(|l| l.contains(",station,") || l.contains(",batch,")));
    // On the table at the wall too.
    let shown = WeighOut::of(&desk(r));
    let round = shown.rounds.iter().find(|r| r.lesson.starts_with("Orange") && r.part == "Dough").unwrap();
    assert_eq!(round.columns.iter().filter(|c| c.by_staff).count(), ahead);
}

#[test]
fn a_part_that_no_step_names_is_told_and_stands_on_the_sheet() {
    let told: Vec<_> = hall().findings.iter().filter(|f| f.code.0 == "part-without-a-step").collect();
    assert_eq!(told.len(), 2);
    for (finding, file) in told.iter().zip(["formulas/orange-brioche.toml", "formulas/apricot-spiral.toml"]) {
        let source = hall().sources.get(finding.place.unwrap().source).unwrap();
        assert_eq!(source.path, file);
        assert_eq!(hall().sources.text_at(finding.place.unwrap()), Some("topping"));
    }
    let r = reckoned();
    let desk = desk(r);
    let pearl = |w: &WeighList| w.part == "Topping" && w.lines.iter().any(|l| l.name == "Pearl sugar");
    for (no, sheet) in sheets_of(&desk) {
        let toppings: Vec<&WeighList> =
            sheet.weigh.iter().filter(|w| ["Topping", "Pearl sugar"].contains(&w.part.as_str())).collect();
        assert_eq!(toppings.len(), 2, "station {no}");
        let avoids = r
            .class
            .stations
            .iter()
            .find(|s| s.no == no)
            .unwrap()
            .avoids
            .iter()
            .any(|a| a.as_str() == "sesame");
        assert_eq!(toppings.iter().any(|w| pearl(w)), avoids, "station {no}");
    }
}

#[test]
fn what_a_variant_replaces_is_said_by_its_ingredients() {
    let r = reckoned();
    let said: Vec<(String, Vec<(String, String)>)> = sheets_of(&desk(r))
        .into_iter()
        .flat_map(|(_, s)| s.instead)
        .map(|i| {
            let pair = |key: &str, p: &benchroll::typeset::views::common::Phrase| p.values[key].clone();
            assert!(i.parts.is_empty() && i.swaps.iter().all(|p| p.word == "station.swap"), "{i:?}");
            (
                format!("{} {}", i.lesson, i.variant),
                i.swaps.iter().map(|p| (pair("new", p), pair("old", p))).collect(),
            )
        })
        .collect();
    let of = |name: &str| said.iter().find(|(n, _)| n == name).map(|(_, pairs)| pairs.clone()).unwrap();
    let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(of("Apricot spirals sesame-free"), [pair("Pearl sugar", "White sesame seed")]);
    let milk = [pair("Oat drink", "Whole milk"), pair("Dairy-free baking block", "Unsalted butter")];
    assert_eq!(of("Apricot spirals milk-free"), milk);
    assert_eq!(of("Orange-blossom brioche milk-free"), milk);
}

#[test]
fn what_is_over_when_the_students_leave_is_not_left_standing() {
    let r = reckoned();
    let mut late = plan(r).clone();
    // What cools last goes on for half an hour after the session.
    let last = late.tasks.iter().filter(|t| t.step.as_str() == "cool");
    let end = last.map(|t| t.end.clone()).max().unwrap();
    let session = &mut late.sessions[0];
    let to = r.course.sessions[0].to.value.clone();
    let beyond = to.checked_add(jiff::SignedDuration::from_mins(30)).unwrap();
    for task in late.tasks.iter_mut().filter(|t| t.step.as_str() == "cool" && t.end == end) {
        task.end = beyond.clone();
    }
    let left = |plan: &Plan| -> usize {
        let desk = Desk::new(&r.course, &r.class, plan, &r.weighed);
        sheets_of(&desk).iter().map(|(_, s)| s.left.len()).sum()
    };
    session.finish = to;
    assert!(left(&late) > 0, "they leave before it is cool");
    late.sessions[0].finish = beyond;
    assert_eq!(left(&late), 0, "they leave when it is cool");
}

#[test]
fn a_roll_cut_in_six_is_said_to_be_six() {
    let r = reckoned();
    let desk = desk(r);
    for (_, sheet) in sheets_of(&desk) {
        let of = |name: &str| sheet.makes.iter().find(|m| m.name == name).map(|m| m.in_one);
        assert_eq!((of("Apricot spirals"), of("Orange-blossom brioche")), (Some(6), Some(1)));
    }
    let note = JoiningNote::of(&desk, &r.order, None);
    assert_eq!(note.makes.iter().map(|m| m.in_one).collect::<Vec<_>>(), [1, 6]);
    let labels = Labels::of(desk.about(), &r.course, &r.class, (plan(r), &[]), true);
    let pieces: Vec<u32> = labels.labels.iter().map(|l| l.pieces).collect();
    assert!(pieces.contains(&6) && pieces.contains(&1));
    // Slices that stand in one tin are one crown.
    let demo = crate::documents::demo::desk();
    let crown = demo.making(&demo.course.lessons[0].id.value, &[(Whom::Station(StationNo(1)), 2)]);
    assert_eq!((crown[0].count, crown[0].in_one), (2, 1));
}

#[test]
fn a_choice_without_a_plan_leaves_open_who_weighs() {
    let r = reckoned();
    let open = benchroll::reckon::options::preferred(&r.course, &r.options, &r.portions);
    let out = benchroll::reckon::weigh::weigh(&r.course, &r.class, &r.portions, &open);
    let of = |lesson: &str, part: &str| -> Vec<WeighedBy> {
        let lists = out.groups().flat_map(|g| &g.lists);
        let own = lists.filter(|l| l.lesson.as_str() == lesson && l.part.as_str() == part);
        own.map(|l| l.weighed_by).collect()
    };
    let dough = of("orange-brioche", "dough");
    assert!(dough.len() > 6 && dough.iter().all(|by| *by == WeighedBy::Open), "{dough:?}");
    let sponge = of("orange-brioche", "sponge");
    assert!(!sponge.is_empty() && sponge.iter().all(|by| *by == WeighedBy::Staff), "{sponge:?}");
    assert!(open.made_ahead.values().any(|a| *a == Ahead::IfNeeded));
    let heads = benchroll::output::weigh_tables::tables(&r.course, &out);
    assert!(heads.iter().any(|t| t.columns.iter().any(|c| c.head.ends_with("by station or staff"))));
}

/// A course made of the hall's files with some words in place of others.
pub fn changed(edits: &[(&str, &str, &str)]) -> benchroll::course::Course {
    let mut files = folder::load(&repository().join("tests/courses/hall")).unwrap();
    for (file, was, is) in edits {
        let text = String::from_utf8(files.bytes(file).unwrap().to_vec()).unwrap();
        assert!(text.contains(was), "{was}");
        files.add(*file, text.replacen(was, is, 1));
    }
    benchroll::read::read_course(&files).course.unwrap()
}

#[test]
fn what_differs_from_part_to_part_is_said_by_part_and_once() {
    let r = reckoned();
    let file = "formulas/apricot-spiral.toml";
    let course = changed(&[
        (
            file,
            "dough = { milk = \"0 %\", butter = \"0 %\", oat-drink = \"48 %\", vegan-block = \"16 %\" }",
            "dough = { milk = \"0 %\", eggs = \"0 %\", butter = \"0 %\", oat-drink = \"62 %\", vegan-block = \"16 %\" }",
        ),
        (
            file,
            "filling = { butter = \"0 %\", vegan-block = \"7 %\" }",
            "filling = { butter = \"0 %\", orange-juice = \"0 %\", oat-drink = \"40 %\", vegan-block = \"7 %\" }\n\
             wash = { eggs = \"0 %\", water = \"0 %\", oat-drink = \"100 %\" }",
        ),
    ]);
    let desk = Desk::new(&course, &r.class, plan(r), &r.weighed);
    let formula = course.formula(&"apricot-spiral".into()).unwrap();
    let found = instead::swaps(&desk, formula, &"milk-free".into()).unwrap();
    let said = |all: &[Phrase]| -> Vec<String> {
        all.iter().map(|p| format!("{} {} for {}", p.word, p.values["new"], p.values["old"])).collect()
    };
    assert_eq!(said(&found.swaps), ["station.swap Dairy-free baking block for Unsalted butter"]);
    let parts: Vec<(&str, Vec<String>)> =
        found.by_part.iter().map(|p| (p.part.as_str(), said(&p.swaps))).collect();
    let one = |text: &str| vec![text.to_owned()];
    assert_eq!(
        parts,
        [
            ("dough", one("station.swap Oat drink for Whole milk, Eggs")),
            ("cooked apricot filling", one("station.swap Oat drink for Orange juice")),
            ("egg wash", one("station.swap Oat drink for Eggs, Water")),
        ]
    );
    assert!(found.parts.is_empty());
}

/// As much of one as there was of the other does not make the one the other's stand-in.
#[test]
fn margarine_is_not_said_to_stand_for_eggs_of_the_same_share() {
    let r = reckoned();
    let course = changed(&[(
        "formulas/apricot-spiral.toml",
        "dough = { milk = \"0 %\", butter = \"0 %\", oat-drink = \"48 %\", vegan-block = \"16 %\" }",
        "dough = { milk = \"0 %\", eggs = \"0 %\", butter = \"0 %\", oat-drink = \"62 %\", vegan-block = \"14 %\" }",
    )]);
    let desk = Desk::new(&course, &r.class, plan(r), &r.weighed);
    let formula = course.formula(&"apricot-spiral".into()).unwrap();
    let eggs = formula
        .part(&"dough".into())
        .unwrap()
        .of
        .iter()
        .find(|l| l.what.value == Ingredient::Item("eggs".into()));
    assert_eq!(eggs.unwrap().share.value, Share::Percent(Percent::new(14.into())));
    let found = instead::swaps(&desk, formula, &"milk-free".into()).unwrap();
    let all = found.swaps.iter().chain(found.by_part.iter().flat_map(|p| &p.swaps));
    let of_eggs: Vec<&Phrase> = all.filter(|p| p.values["old"].contains("Eggs")).collect();
    assert!(!of_eggs.is_empty() && of_eggs.iter().all(|p| p.values["old"] != "Eggs"), "{of_eggs:?}");
}

/// What a station cannot keep away, as it is in its own dough, is said first and is not among what it keeps away.
#[test]
fn a_sheet_does_not_ask_to_keep_away_what_it_tells_to_weigh() {
    let r = reckoned();
    let mut course = r.course.clone();
    let mut class = r.class.clone();
    class.stations[0].avoids = ["gluten", "tree-nuts", "lupin"].map(Into::into).to_vec();
    let sheet = |course: &benchroll::course::Course, class: &benchroll::reckon::work::Class| {
        let desk = Desk::new(course, class, plan(r), &r.weighed);
        sheets_of(&desk).into_iter().next().unwrap().1
    };
    let known = sheet(&course, &class);
    assert_eq!(known.keep_away, ["tree nuts", "lupin"]);
    let told: Vec<(&str, String, String)> =
        known.holds.iter().map(|h| (h.how.as_str(), h.what.join(", "), h.by.join(", "))).collect();
    let flour = course.pantry.item(&"strong-flour".into()).unwrap().name.value.clone();
    let apricots = course.pantry.item(&"dried-apricots".into()).unwrap().name.value.clone();
    assert_eq!(
        told,
        [("contains", "gluten".to_owned(), flour.clone()), ("may-contain", "tree nuts".to_owned(), apricots),]
    );
    // The flour is in all that it makes, the apricots are in one of two.
    assert!(known.holds[0].lessons.is_empty());
    assert_eq!(known.holds[1].lessons, ["Apricot spirals"]);
    // Nobody has read a pack: what was not listed is unknown, what is in it stays in it.
    let item = course.pantry.items.iter_mut().find(|i| i.id.value.as_str() == "salt").unwrap();
    item.allergens = benchroll::course::Allergens::Unknown;
    let salt = item.name.value.clone();
    let unread = sheet(&course, &class);
    let unknown: Vec<_> = unread.holds.iter().filter(|h| h.how == "unknown").collect();
    assert!(
        unknown.iter().any(|h| h.what.contains(&"lupin".to_owned()) && h.by == [salt.clone()]),
        "{unknown:?}"
    );
    assert_eq!((unread.holds[0].how.as_str(), &unread.holds[0].by), ("contains", &vec![flour]));
}

#[test]
fn a_station_reads_how_much_each_piece_gets_and_how_many_it_divides() {
    let r = reckoned();
    let (lesson, formula) = ("lessons/apricot-spiral.toml", "formulas/apricot-spiral.toml");
    let draw = (
        lesson,
        "draw = [\"roll-out\", \"spread\", \"roll-up\", \"slice\"]",
        "draw = [\"divide\", \"fill-pinch\"]",
    );
    let say = (
        lesson,
        "roll = \"Roll to {sheet}. Spread to the bare edge. Roll up from the long side, cut six, cut side up.\"",
        "roll = \"Divide and fill.\"",
    );
    let step = |edits: &[(&str, &str, &str)]| {
        let course = changed(edits);
        let desk = Desk::new(&course, &r.class, plan(r), &r.weighed);
        let steps = sheets_of(&desk).into_iter().flat_map(|(_, s)| s.steps);
        let mut found = steps.filter(|s| s.name == "Roll, fill and cut" && s.number.is_some());
        found.next().unwrap()
    };
    // 36 % of 450 g.
    let pinched = step(&[draw, say, (formula, "size = \"26 x 18 cm\"\n", "")]);
    let gets: Vec<(&str, &str)> =
        pinched.gets.iter().map(|g| (g.part.as_str(), g.amount.value.as_str())).collect();
    assert_eq!(gets, [("Cooked apricot filling", "162")]);
    let names: Vec<&str> = pinched.drawings.iter().filter_map(|d| d["name"].as_str()).collect();
    assert_eq!(names, ["divide"]);
    assert_eq!(pinched.drawings[0]["n"]["pieces"], 2);
    // A drawing that says it needs no words beside it; what is divided is still the dough of both.
    let drawn = step(&[draw, say]);
    assert!(drawn.gets.is_empty(), "{:?}", drawn.gets);
    assert_eq!(drawn.drawings[0]["n"]["pieces"], 2);
}
