//! What one sheet says of a thing, the others say too: times, places, counts and numbers are those of the one plan.

use crate::documents::demo;
use benchroll::course::{Course, EquipId, Hands, Lasts, Where};
use benchroll::reckon::plan::jobs::Group;
use benchroll::reckon::plan::timetable::PlannedTask;
use benchroll::reckon::safety::judge::Phase;
use benchroll::reckon::safety::log::{Limit, LogRow, What};
use benchroll::reckon::safety::safety;
use benchroll::reckon::safety::trace::until_taken_up;
use benchroll::reckon::work::Whom;
use benchroll::typeset::PageLook;
use benchroll::typeset::sheets::{Figures, sheets};
use benchroll::typeset::views::allergen_sheet::AllergenSheet;
use benchroll::typeset::views::common::ForWhom;
use benchroll::typeset::views::desk::{Desk, minute_of, moment};
use benchroll::typeset::views::oven_and_cold::{OvenAndCold, OvenLoad};
use benchroll::typeset::views::prep_sheet::PrepSheet;
use benchroll::typeset::views::pull_list::{PullLine, PullList};
use benchroll::typeset::views::run_sheet::RunSheet;
use benchroll::typeset::views::slips::Slips;
use benchroll::typeset::views::station_sheet::StationSheet;
use benchroll::units::Minutes;
use std::collections::{BTreeMap, BTreeSet};

fn desk_of(course: &Course) -> Desk<'_> {
    let r = demo::reckoned();
    Desk::new(course, &r.class, r.planned.plan.as_ref().unwrap(), &r.weighed)
}

/// The numbers behind `1–3, 5`.
fn numbers(runs: &str) -> Vec<u32> {
    let run = |run: &str| {
        let (from, to) = run.split_once('\u{2013}').unwrap_or((run, run));
        from.parse::<u32>().unwrap()..=to.parse().unwrap()
    };
    runs.split(", ").flat_map(run).collect()
}

fn pulled(list: &PullList, is: impl Fn(&PullLine) -> bool) -> &PullLine {
    list.groups.iter().flat_map(|g| &g.lines).find(|l| is(l)).unwrap()
}

#[test]
fn every_tub_has_its_own_number_and_its_own_grams() {
    let desk = demo::desk();
    let slips = Slips::of(&desk).contents;
    let mut all: BTreeMap<&str, Vec<u32>> = BTreeMap::new();
    for slip in &slips {
        all.entry(&slip.on).or_default().push(slip.number);
    }
    // Every number once, without a gap.
    for (on, found) in &all {
        let count = u32::try_from(found.len()).unwrap();
        assert_eq!(*found, (1..=count).collect::<Vec<_>>(), "{on}");
    }
    // Each making by the slips that share its words: as many as it says, and together what it says.
    let grams = |value: &str| (value.parse::<f64>().unwrap() * 10.0).round() as i64;
    let several = slips.iter().filter(|s| s.vessels > 1).collect::<Vec<_>>();
    assert!(several.len() >= 4, "{several:?}");
    for slip in &slips {
        let same = slips.iter().filter(|o| {
            (&o.on, &o.lesson, &o.part, &o.variant, &o.for_whom)
                == (&slip.on, &slip.lesson, &slip.part, &slip.variant, &slip.for_whom)
        });
        let each: Vec<i64> = same.map(|o| grams(&o.amount.value)).collect();
        assert_eq!(each.len(), slip.vessels as usize, "{slip:?}");
        assert_eq!(each.iter().sum::<i64>(), grams(&slip.total.value), "{slip:?}");
        assert!(slip.vessels == 1 || grams(&slip.amount.value) < grams(&slip.total.value), "{slip:?}");
    }
}

#[test]
fn all_sheets_have_the_numbers_that_are_on_the_slips() {
    let desk = demo::desk();
    let r = demo::reckoned();
    let written: BTreeSet<(String, u32)> =
        Slips::of(&desk).contents.into_iter().map(|s| (s.on, s.number)).collect();
    let mut named: BTreeSet<(String, u32)> = BTreeSet::new();
    let mut add = |slip: &benchroll::typeset::views::common::SlipRef| {
        named.extend(numbers(&slip.number).into_iter().map(|n| (slip.on.clone(), n)));
    };
    for session in &desk.course.sessions {
        OvenAndCold::of(&desk, session).places.iter().flat_map(|p| &p.slips).for_each(&mut add);
        for station in &desk.class.stations {
            let lists = StationSheet::of(&desk, station, session).weigh;
            lists.iter().flat_map(|l| &l.lines).filter_map(|l| l.slip.as_ref()).for_each(&mut add);
        }
    }
    assert_eq!(named, written);
    let prepared: BTreeSet<u32> = PrepSheet::all(&desk)
        .iter()
        .flat_map(|(_, sheet)| &sheet.tasks)
        .flat_map(|t| &t.slips)
        .filter(|s| s.on == "tub")
        .flat_map(|s| numbers(&s.number))
        .collect();
    assert!(!prepared.is_empty() && prepared.iter().all(|n| written.contains(&("tub".to_owned(), *n))));
    // The pull list: so many are got out, and with those that are filled again there is one for each slip.
    let list = PullList::of(&desk, &r.equipment, &r.order);
    let of = |on: &str| u32::try_from(written.iter().filter(|(o, _)| o == on).count()).unwrap();
    let tubs = pulled(&list, |l| l.slips.as_ref().is_some_and(|s| s.on == "tub"));
    // There are more on the shelf than the plan needs in turn: no tub is washed in between.
    assert_eq!((tubs.count, tubs.again), (of("tub"), 0), "{tubs:?}");
    assert!(tubs.on_hand >= Some(tubs.count), "{tubs:?}");
    assert_eq!(tubs.count + tubs.again, of("tub"), "{tubs:?}");
    assert_eq!(numbers(&tubs.slips.as_ref().unwrap().number), (1..=of("tub")).collect::<Vec<_>>());
    let busy = r.equipment.needs.iter().find(|n| n.item == EquipId::from("tub")).unwrap();
    assert_eq!(busy.needed, of("tub"));
    assert!(busy.needed_with_plan < Some(tubs.count), "{busy:?}");
    let dishes = pulled(&list, |l| l.word == "dish");
    assert_eq!((dishes.count, dishes.again), (of("dish"), 0));
}

/// The plan keeps what stands within the lesson's time, counted until it leaves the cold: a slip says that moment. What is made of it
/// afterwards takes as long as it takes, so the slip's word is not "use by".
#[test]
fn no_slip_wants_something_out_of_the_cold_before_the_plan_takes_it_out() {
    let desk = demo::desk();
    let mut told = 0;
    for slip in desk.slips() {
        let at = |t: &&&PlannedTask| {
            desk.place(t) == Where::Cold
                && desk
                    .batch(t)
                    .is_some_and(|b| (&b.lesson, &b.part, b.no) == (&slip.lesson, &slip.part, slip.batch))
        };
        let Some(out) = desk.plan.tasks.iter().filter(|t| at(&t)).map(|t| &t.end).max() else { continue };
        let whose = desk.batch_of(&slip.lesson, &slip.part, slip.batch).unwrap();
        let first = slip.each[0].0;
        let own = Slips::of(&desk).contents.into_iter().find(|s| s.on == slip.slip.on && s.number == first);
        let by = own.unwrap().out_by.unwrap();
        assert!((by.day, by.at) >= (out.date().into(), minute_of(out, out.date())), "{whose:?}");
        told += 1;
    }
    assert!(told > 5);
}

fn tasks_on<'d>(desk: &'d Desk, day: jiff::civil::Date) -> impl Iterator<Item = &'d PlannedTask> {
    desk.plan.tasks.iter().filter(move |t| t.start.date() == day)
}

/// Load by load: the plan, the oven sheet, the run sheet's list and its entries for taking out, and the temperature log.
#[test]
fn a_load_has_the_same_times_and_oven_on_all_sheets() {
    let mut course = demo::course().clone();
    // A bake that the plan rounds up beyond its longest: it comes out when it must, not when the grid has it.
    let lesson = course.lessons.iter_mut().find(|l| l.id.value.as_str() == "walnut-crown").unwrap();
    for step in lesson.steps.iter_mut().filter(|s| s.id.value.as_str() == "bake") {
        if let Lasts::Takes { takes, .. } = &mut step.lasts {
            takes.value.most = Minutes(29);
        }
    }
    let desk = desk_of(&course);
    let r = demo::reckoned();
    let log = safety(&course, &r.class, Some(desk.plan)).0.log;
    let mut seen = 0;
    for session in &course.sessions {
        let day = session.from.value.date();
        let (ovens, run) = (OvenAndCold::of(&desk, session), RunSheet::of(&desk, session));
        let baked: Vec<&PlannedTask> =
            tasks_on(&desk, day).filter(|t| desk.place(t) == Where::Oven).collect();
        assert_eq!((ovens.loads.len(), run.outs.len()), (baked.len(), baked.len()));
        for task in baked {
            let lesson = task.lesson.clone().unwrap();
            let no = desk.load(task).unwrap().no;
            let name = desk.lesson_name(&lesson);
            let is = |l: &&OvenLoad| l.load == no && l.makes.iter().all(|m| m.name == name);
            let load = ovens.loads.iter().find(is).unwrap();
            let oven = desk.machine(task).unwrap().1;
            let (from, to) = (minute_of(&task.start, day), minute_of(&task.end, day));
            // The bake's own usual time, on the grid: what a plan that ends later adds is nobody's bake.
            let Lasts::Takes { takes, .. } = &desk.step(task).unwrap().lasts else {
                panic!("a bake takes time")
            };
            let usual = takes.value.usual.min(takes.value.most).get();
            assert!(lesson.as_str() != "walnut-crown" || usual <= 29);
            let grid = course.settings.grid.value.get();
            let on_grid = (usual + grid - 1) / grid * grid;
            assert_eq!((load.from, load.to, &load.oven), (from, to.min(from + on_grid), &oven));
            assert_eq!(load.to % grid, 0, "{load:?}");
            assert!(load.earliest <= load.to && load.to < load.latest + grid, "{load:?}");
            let out = run.outs.iter().find(|o| o.load == no && o.lesson == name).unwrap();
            assert_eq!((out.at, &out.oven, &out.core), (load.to, &oven, &load.core));
            assert_eq!(out.who, desk.staff_name(task.by.last().unwrap()));
            assert_eq!(out.cold, lesson.as_str() == "custard-buns");
            assert_eq!(load.cold, out.cold);
            let entry = run.list.iter().find(|e| e.lesson == name && e.load == Some(no) && e.from == from);
            assert!(entry.unwrap().places.contains(&oven));
            let read = |row: &&LogRow| row.what == What::Load(lesson.clone(), no);
            let row = log.iter().find(read).unwrap();
            assert_eq!(minute_of(&row.at, day), load.to, "{row:?}");
            seen += 1;
        }
    }
    assert_eq!(seen, 9);
}

/// What a station does is on its sheet at the plan's times, and nothing else is.
#[test]
fn a_stations_sheet_has_the_plans_times() {
    let desk = demo::desk();
    for session in &desk.course.sessions {
        let day = session.from.value.date();
        for station in &desk.class.stations {
            let sheet = StationSheet::of(&desk, station, session);
            let printed: BTreeSet<(i64, i64, String)> = sheet
                .steps
                .iter()
                .filter(|s| s.number.is_some())
                .map(|s| (s.from, s.to, s.name.clone()))
                .collect();
            let own = |t: &&PlannedTask| {
                t.stations.contains(&station.no)
                    && t.hands == Hands::Students
                    && desk.own_step(t).is_none_or(|o| !o.pause)
            };
            let planned: BTreeSet<(i64, i64, String)> = tasks_on(&desk, day)
                .filter(own)
                .map(|t| (minute_of(&t.start, day), minute_of(&t.end, day), desk.task_name(t)))
                .collect();
            assert_eq!(printed, planned, "station {} on {day}", station.no);
        }
    }
}

/// What staff make ahead is on the day's sheet at the plan's times.
#[test]
fn a_prep_sheet_has_the_plans_times() {
    let desk = demo::desk();
    let all = PrepSheet::all(&desk);
    assert!(!all.is_empty());
    for (day, sheet) in all {
        let printed: BTreeSet<(i64, i64, String)> = sheet
            .tasks
            .iter()
            .filter(|t| t.step.number.is_some())
            .map(|t| (t.step.from, t.step.to, t.step.name.clone()))
            .collect();
        let planned: BTreeSet<(i64, i64, String)> = tasks_on(&desk, day)
            .filter(|t| t.hands != Hands::Nobody && desk.session_at(&t.start).is_none())
            .map(|t| (minute_of(&t.start, day), minute_of(&t.end, day), desk.task_name(t)))
            .collect();
        assert_eq!(printed, planned, "{day}");
    }
}

/// The milk that a dough wants warm is on no tray that must be cold; egg and butter are.
#[test]
fn what_is_warmed_for_its_dough_is_not_to_be_cold() {
    let r = demo::reckoned();
    let trays = |course: &Course| -> Vec<Vec<String>> {
        let log = safety(course, &r.class, r.planned.plan.as_ref()).0.log;
        let rows = log.into_iter().filter_map(|row| match row.what {
            What::Trays(items) => Some((items, row.limit)),
            _ => None,
        });
        rows.map(|(items, limit)| {
            assert!(matches!(limit, Limit::AtMost(_)));
            items.iter().map(ToString::to_string).collect()
        })
        .collect()
    };
    let now = trays(demo::course());
    assert!(!now.is_empty());
    for items in &now {
        assert_eq!(items, &["eggs", "butter"], "{now:?}");
    }
    // Where nothing has to be warmed, all that is kept cold is on it.
    let mut unaimed = demo::course().clone();
    for step in unaimed.lessons.iter_mut().flat_map(|l| &mut l.steps) {
        step.aim = None;
    }
    assert!(trays(&unaimed).iter().all(|items| items.contains(&"milk".to_owned())), "{:?}", trays(&unaimed));
}

/// A class with more stations than the kitchen: every sheet knows it, and those of the stations that are not there say so.
#[test]
fn stations_that_are_not_there_are_told_on_their_sheets() {
    let mut course = demo::course().clone();
    course.kitchen.stations.count.value = 4;
    let desk = desk_of(&course);
    let missing = desk.about().missing.unwrap();
    assert_eq!((missing.there, missing.stations.as_str()), (4, "5, 6"));
    assert!(demo::desk().about().missing.is_none());
    let r = demo::reckoned();
    let figures = Figures { order: &r.order, equipment: &r.equipment, safety: &r.safety };
    let all = sheets(&desk, figures, &PageLook::default());
    let told = |path: &str| {
        let sheet = all.iter().find(|s| s.path == path).unwrap();
        (sheet.document.template.clone(), sheet.document.data["not_there"] == true)
    };
    assert_eq!(told("station-4-sat.pdf"), ("station-sheet".to_owned(), false));
    assert_eq!(told("station-5-sat.pdf"), ("pack".to_owned(), true));
    assert_eq!(told("pack-station-6.pdf"), ("pack".to_owned(), true));
    assert_eq!(told("pack-station-1.pdf"), ("pack".to_owned(), false));
    let lanes = RunSheet::of(&desk, &course.sessions[0]).lanes;
    let gone: Vec<&str> = lanes.iter().filter(|l| l.missing).map(|l| l.name.as_str()).collect();
    assert_eq!(gone, ["5", "6"]);
}

/// What hangs on the wall, lies at the door or is handed out is in the teacher's pack without the teacher's mark.
#[test]
fn what_goes_on_is_not_marked_as_the_teachers() {
    let pack = demo::all().into_iter().find(|(name, _)| name == "demo-pack-teacher").unwrap().1;
    let mut goes_on: Vec<&str> = Vec::new();
    for sheet in pack["sheets"].as_array().unwrap() {
        if sheet["goes_on"] == true {
            goes_on.push(sheet["data"]["kind"].as_str().unwrap());
        }
    }
    goes_on.sort_unstable();
    goes_on.dedup();
    // What hangs at the oven and the fridge and goes through the helper's hands names nobody's health.
    assert_eq!(
        goes_on,
        [
            "joining-note",
            "order-sheet",
            "oven-and-cold",
            "prep-sheet",
            "pull-list",
            "roll",
            "room-card",
            "run-sheet",
            "slips",
            "temperature-log",
            "weigh-out"
        ]
    );
}

fn is_for(whom: &ForWhom, no: u32) -> bool {
    whom.stations.iter().flat_map(|run| numbers(run)).any(|n| n == no)
}

/// What several stations use is taken out for each of them at its own time: what `safety` counts begins with what the sheet tells,
/// the log's clock starts then, and the shares are the whole.
#[test]
fn each_share_leaves_the_cold_when_safety_counts_it() {
    let desk = demo::desk();
    let r = demo::reckoned();
    let tenths = |figure: &str| (figure.parse::<f64>().unwrap() * 10.0).round() as i64;
    let (mut seen, mut logged) = (0, 0);
    let mut shared: BTreeSet<(String, String)> = BTreeSet::new();
    for session in &desk.course.sessions {
        let sheet = OvenAndCold::of(&desk, session);
        let day = session.from.value.date();
        let cold = desk.plan.tasks.iter().filter(|t| {
            desk.place(t) == Where::Cold && !t.cold_wait && t.start.date() <= day && t.end.date() >= day
        });
        for task in cold {
            let Some(batch) = desk.batch(task) else { continue };
            let lesson = desk.course.lesson(&batch.lesson).unwrap();
            let formula = desk.course.formula(&lesson.formula.value).unwrap();
            let slip = desk.slip(&batch.lesson, &batch.part, batch.no).unwrap();
            let own =
                sheet.places.iter().filter(|p| p.slips.contains(slip) && p.name == desk.task_name(task));
            let rows: Vec<_> = own.collect();
            for (whom, _) in &task.members {
                let Whom::Station(no) = whom else { continue };
                let row = rows.iter().find(|row| is_for(row.for_whom.as_ref().unwrap(), no.0)).unwrap();
                let stays = until_taken_up(desk.plan, lesson, formula, &batch.part, whom);
                let stay = stays.iter().find(|s| s.is_cold() && s.from == task.start).unwrap();
                assert_eq!(row.to, moment(&stay.to), "{} for {no}", task.id);
                seen += 1;
                let timed =
                    r.safety.exposures.iter().any(|e| {
                        (&e.lesson, &e.part, e.phase) == (&batch.lesson, &batch.part, Phase::Cooked)
                    });
                if timed {
                    let what = What::Out(batch.lesson.clone(), batch.part.clone());
                    assert!(
                        r.safety.log.iter().any(|l| l.what == what && moment(&l.at) == row.to),
                        "{} for {no}: no clock starts at {:?}",
                        task.id,
                        row.to
                    );
                    logged += 1;
                }
            }
            let amounts: i64 = rows.iter().map(|row| tenths(&row.amount.as_ref().unwrap().value)).sum();
            let over: i64 = rows.iter().filter_map(|row| row.over.as_ref()).map(|m| tenths(&m.value)).sum();
            assert_eq!(amounts + over, tenths(&desk.mass(desk.shares(batch).whole()).value), "{}", task.id);
            assert_eq!(
                rows.iter().filter(|row| !row.rest).count(),
                1,
                "the last one leaves nothing: {rows:?}"
            );
            if rows.len() > 1 {
                shared.insert((slip.on.clone(), slip.number.clone()));
            }
        }
    }
    assert!(seen > 20 && logged > 5 && shared.len() >= 2, "{seen} {logged} {shared:?}");
}

/// One batch at one time is one card, though the plan makes it once for each variant that leaves it alike.
#[test]
fn one_batch_is_one_card() {
    let desk = demo::desk();
    let mut plan = desk.plan.clone();
    for id in ["walnut-crown.cook@class", "walnut-crown.set@class"] {
        let at = plan.tasks.iter().position(|t| t.id == id).unwrap();
        let mut other = plan.tasks[at].clone();
        other.members = plan.tasks[at].members.split_off(1);
        other.group = Group::Class(Some("another".into()));
        other.id = format!("{id}-another");
        plan.tasks.insert(at + 1, other);
    }
    let r = demo::reckoned();
    let split = Desk::new(desk.course, &r.class, &plan, &r.weighed);
    // Nobody knows what is in another variant: what is washed for it is another matter.
    let but_for_washing = |desk: &Desk| {
        let mut all = PrepSheet::all(desk);
        all.iter_mut().flat_map(|(_, sheet)| &mut sheet.tasks).for_each(|task| task.step.wash_up = None);
        all
    };
    assert_eq!(but_for_washing(&split), but_for_washing(&desk));
}

/// What staff cooked until a sitting begins goes into the fridge by their sheet, though the sitting has begun.
#[test]
fn what_is_put_away_as_a_sitting_begins_is_on_the_sheet() {
    let mut course = demo::course().clone();
    let cooked = demo::desk().plan.task("walnut-crown.cook@class").unwrap().end.clone();
    course.sessions[0].from.value = cooked.clone();
    let desk = desk_of(&course);
    let sheet = PrepSheet::of(&desk, cooked.date());
    let set = desk.plan.task("walnut-crown.set@class").unwrap();
    // The pan without nuts was put away before.
    let away = sheet.tasks.iter().rfind(|t| t.step.name == desk.task_name(set)).expect("it is put away");
    assert_eq!((away.step.from, away.slips.len()), (minute_of(&cooked, cooked.date()), 1));
}

/// What is mixed by hand says so, stands at no mixer, and is told nothing of one.
#[test]
fn what_is_mixed_by_hand_is_told_nothing_of_a_mixer() {
    let desk = demo::desk();
    let (mut by_hand, mut by_machine) = (0, 0);
    for session in &desk.course.sessions {
        let day = session.from.value.date();
        let run = RunSheet::of(&desk, session);
        let mixes =
            tasks_on(&desk, day).filter(|t| desk.place(t) == Where::Mixer && t.hands == Hands::Students);
        for task in mixes {
            let hand = desk.by_hand(desk.batch(task).unwrap());
            let Some(Whom::Station(no)) = task.members.first().map(|(w, _)| w) else { continue };
            let entry = run.list.iter().find(|e| {
                let lesson = task.lesson.as_ref().map(|id| desk.lesson_name(id)).unwrap_or_default();
                (e.from, &e.name, &e.lesson) == (minute_of(&task.start, day), &desk.task_name(task), &lesson)
                    && e.for_whom.as_ref().is_some_and(|w| is_for(w, no.0))
            });
            let entry = entry.unwrap();
            assert_eq!((entry.by_hand, entry.at.is_empty()), (hand, hand), "{entry:?}");
            let step = desk.step_view(task, None, day, Some(*no));
            assert_eq!(step.cautions.contains(&"mixer".to_owned()), !hand, "{step:?}");
            if hand { by_hand += 1 } else { by_machine += 1 }
        }
    }
    assert!(by_hand > 0 && by_machine > 0, "{by_hand} {by_machine}");
}

/// The mixers that the plan uses are to be got ready: of each kind as many as it ever uses.
#[test]
fn the_pull_list_has_the_mixers_in_use() {
    let desk = demo::desk();
    let r = demo::reckoned();
    let list = PullList::of(&desk, &r.equipment, &r.order);
    let mut used: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for one in desk.plan.tasks.iter().flat_map(|t| &t.uses) {
        let kinds = desk.course.kitchen.mixers.iter().map(|m| &m.id.value);
        if let Some(kind) =
            desk.machine_of(&one.resource).map(|(id, _)| id).filter(|id| kinds.clone().any(|k| k == id))
        {
            used.entry(desk.equipment_name(&kind)).or_default().insert(one.resource.clone());
        }
    }
    let group = list.groups.iter().find(|g| g.word == "mixers").unwrap();
    let told: BTreeMap<String, usize> =
        group.lines.iter().map(|l| (l.name.clone(), l.count as usize)).collect();
    let counted: BTreeMap<String, usize> = used.into_iter().map(|(name, all)| (name, all.len())).collect();
    assert_eq!(told, counted);
    assert!(told.len() > 1);
}

/// What somebody avoids and others have in the room is named by the products that hold it, and what comes first by those it is for.
#[test]
fn the_allergen_sheet_names_products_and_people() {
    let desk = demo::desk();
    let sheet = AllergenSheet::of(desk.about(), desk.course, desk.class, desk.plan, false);
    let mut named = 0;
    for verdict in sheet.people.iter().flat_map(|p| &p.verdicts).filter(|v| v.verdict == "shared-kitchen") {
        let room: Vec<_> = verdict.know.iter().filter(|k| k.word.starts_with("allergen.room-")).collect();
        assert!(!room.is_empty() && room.iter().all(|k| !k.values["by"].is_empty()), "{verdict:?}");
        named += 1;
    }
    assert!(named > 0 && !sheet.order.is_empty());
    for turn in &sheet.order {
        for whom in [&turn.first_for, &turn.then_for] {
            assert!(whom.count > 0 || whom.stage || whom.spare, "{turn:?}");
        }
    }
}
