//! The demo class changed by hand in one place, its plan kept: what is told of food that is followed from step to step.

use crate::documents::demo;
use benchroll::course::{Basis, Chain, Course, EquipId, Step, TemperatureRange, Where};
use benchroll::finding::Located;
use benchroll::reckon::plan::jobs::Group;
use benchroll::reckon::plan::timetable::Plan;
use benchroll::reckon::safety::dates::DateMark;
use benchroll::reckon::safety::exposures::Exposure;
use benchroll::reckon::safety::judge::{Phase, Verdict};
use benchroll::reckon::safety::log::{IfOut, Limit, LogRow, What};
use benchroll::reckon::safety::{Safety, safety};
use benchroll::typeset::views::common::About;
use benchroll::typeset::views::temperature_log::TemperatureLog;
use benchroll::units::Celsius;
use serde_json::json;

/// What is reckoned of the demo class after a change to its course and its plan.
fn after(change: impl FnOnce(&mut Course, &mut Plan)) -> (Course, Safety) {
    let desk = demo::desk();
    let (mut course, mut plan) = (desk.course.clone(), desk.plan.clone());
    change(&mut course, &mut plan);
    let found = safety(&course, desk.class, Some(&plan)).0;
    (course, found)
}

fn rules(course: &mut Course, id: &str) {
    course.settings.rule_set = Some(Located::assumed(id.to_owned()));
}

/// A step of the custard buns.
fn bun_step<'a>(course: &'a mut Course, id: &str) -> &'a mut Step {
    let lesson = course.lessons.iter_mut().find(|l| l.id.value.as_str() == "custard-buns").unwrap();
    lesson.steps.iter_mut().find(|s| s.id.value.as_str() == id).unwrap()
}

fn core(least: Option<i64>, most: Option<i64>) -> Option<benchroll::course::At<TemperatureRange>> {
    let whole = |t: Option<i64>| t.map(Celsius::whole);
    Some(Located::assumed(TemperatureRange { least: whole(least), most: whole(most) }))
}

fn custard(found: &Safety) -> Vec<&Exposure> {
    let of = |e: &&Exposure| e.lesson.as_str() == "custard-buns" && e.part.as_str() == "custard";
    found.exposures.iter().filter(of).collect()
}

fn cooled_custards(found: &Safety) -> usize {
    let of = |c: &&benchroll::reckon::safety::cooling::Cooling| c.part.as_str() == "custard";
    found.coolings.iter().filter(of).count()
}

/// Egg is cooked from 63 degC (row `us-egg-batch`, FDA Food Code 2022, 3-401.11(A)(2)): at 50 the custard stays raw, on the fire too,
/// and a thermometer in the fridge sets no clock back.
#[test]
fn a_core_cooks_on_the_fire_and_where_it_is_hot_enough() {
    let phases = |found: &Safety| custard(found).iter().map(|e| e.phase).collect::<Vec<_>>();
    let (_, found) = after(|c, _| rules(c, "us-foodcode-2022"));
    assert!(phases(&found).contains(&Phase::Cooked) && cooled_custards(&found) > 0);
    let (_, found) = after(|c, _| {
        rules(c, "us-foodcode-2022");
        bun_step(c, "cook").core = core(Some(50), None);
    });
    assert!(phases(&found).contains(&Phase::Raw) && !phases(&found).contains(&Phase::Cooked));
    assert_eq!(cooled_custards(&found), 0);
    let egg = found.eggs.iter().find(|e| e.part.as_str() == "custard").unwrap();
    // The bun's own bake is asked to reach 90.
    assert_eq!(egg.core, Some(Celsius::whole(90)));
    let (_, found) = after(|c, _| {
        bun_step(c, "cook").core = None;
        bun_step(c, "set").core = core(None, Some(5));
    });
    assert!(!phases(&found).contains(&Phase::Cooked));
    assert_eq!(cooled_custards(&found), 0);
}

/// A custard that is written by its flour, and of which the teacher says that it needs the cold, runs on the rule set: cooked, and in
/// the bun. Egg in it is not taken for baked through because it is of flour.
#[test]
fn what_needs_the_cold_is_no_dough_whatever_its_percentages_are_of() {
    let (_, found) = after(|c, _| {
        rules(c, "us-foodcode-2022");
        let buns = c.formulas.iter_mut().find(|f| f.id.value.as_str() == "custard-buns").unwrap();
        let custard = buns.parts.iter_mut().find(|p| p.id.value.as_str() == "custard").unwrap();
        custard.basis.value = Basis::Flour;
        bun_step(c, "cook").core = None;
        bun_step(c, "bake").core = None;
    });
    let all = custard(&found);
    assert!(all.iter().any(|e| e.phase == Phase::Raw && e.set == "us-foodcode-2022"), "{all:?}");
    assert!(all.iter().any(|e| e.phase == Phase::Baked && e.set == "us-foodcode-2022"), "{all:?}");
    let egg = found.eggs.iter().find(|e| e.part.as_str() == "custard").unwrap();
    assert_eq!(egg.verdict, Verdict::Unknown);
}

/// Row `grow-batter-3h`: the proofer may be above 21.1 degC, and nobody wrote that it is not. No dough that stands in it is cleared.
#[test]
fn no_dough_is_cleared_by_a_proofer_that_nobody_has_read() {
    let (_, found) = after(|c, _| c.kitchen.warm[0].temperature = None);
    let doughs: Vec<_> = found.exposures.iter().filter(|e| e.part.as_str() == "dough").collect();
    assert_eq!(doughs.len(), 3);
    for dough in doughs {
        assert_ne!(dough.judged.verdict, Verdict::Ok, "{dough:?}");
        assert!(dough.judged.because.contains("no temperature is written for the warm place"), "{dough:?}");
    }
}

fn custard_mark(found: &Safety) -> &DateMark {
    let of = |d: &&DateMark| d.lesson.as_str() == "custard-buns" && d.part.as_str() == "custard";
    let marks: Vec<_> = found.dates.iter().filter(of).collect();
    assert_eq!(marks.len(), 1, "{marks:?}");
    marks[0]
}

/// Row `us-date-mark`, FDA Food Code 2022, 3-501.17(A): seven days, that of the cooking the first. The class cooks on Saturday 6 March
/// and uses it on the 7th; cooked eight days sooner, on 26 February, its last day is 4 March, whenever it went into the cold last.
#[test]
fn a_date_runs_from_the_cooking_to_the_last_use() {
    let (_, found) = after(|c, _| rules(c, "us-foodcode-2022"));
    let mark = custard_mark(&found);
    assert_eq!((mark.made.to_string(), mark.verdict), ("2027-03-06".to_owned(), Verdict::Ok));
    let used = mark.used;
    let (_, found) = after(|c, plan| {
        rules(c, "us-foodcode-2022");
        let days = jiff::Span::new().days(8);
        for task in plan.tasks.iter_mut().filter(|t| t.step.as_str() == "cook") {
            if task.lesson.as_ref().is_some_and(|l| l.as_str() == "custard-buns") {
                task.start = task.start.checked_sub(days).unwrap();
                task.end = task.end.checked_sub(days).unwrap();
            }
        }
    });
    let mark = custard_mark(&found);
    assert_eq!((mark.made.to_string(), mark.used), ("2027-02-26".to_owned(), used));
    assert_eq!(mark.last.unwrap().to_string(), "2027-03-04");
    assert_eq!((mark.verdict, mark.row), (Verdict::Over, "us-date-mark"));
}

/// Raw cream or frosting that waits in the cold is marked like what is cooked; the day is that on which it is begun.
#[test]
fn what_is_not_cooked_has_a_date_too() {
    let (_, found) = after(|c, _| {
        rules(c, "us-foodcode-2022");
        bun_step(c, "cook").core = None;
    });
    let mark = custard_mark(&found);
    assert_eq!((mark.made.to_string(), mark.row), ("2027-03-06".to_owned(), "us-date-mark"));
    // Raw dough is not ready to eat.
    assert!(found.dates.iter().all(|d| d.part.as_str() != "dough"), "{:?}", found.dates);
}

#[test]
fn each_pan_and_each_freezer_has_a_line_of_its_own() {
    let (course, found) = after(|c, plan| {
        let mut freezer = c.kitchen.cold[0].clone();
        freezer.id.value = EquipId::from("chest");
        freezer.temperature = Some(Located::assumed(Celsius::whole(-18)));
        c.kitchen.freezers.push(freezer);
        // Two stations cook at once where the class did.
        let is_cook = |t: &&benchroll::reckon::plan::timetable::PlannedTask| {
            t.step.as_str() == "cook" && t.lesson.as_ref().is_some_and(|l| l.as_str() == "custard-buns")
        };
        let mut pans = Vec::new();
        for (no, task) in plan.tasks.iter().filter(is_cook).take(1).flat_map(|t| [(1, t), (2, t)]) {
            let no = benchroll::course::StationNo(no);
            pans.push(benchroll::reckon::plan::timetable::PlannedTask {
                group: Group::Station(no),
                ..task.clone()
            });
        }
        plan.tasks.retain(|t| !is_cook(&t));
        plan.tasks.extend(pans);
    });
    let cooks = |what: &What| match what {
        What::Part(lesson, _, _, step, group)
            if lesson.as_str() == "custard-buns" && step.as_str() == "cook" =>
        {
            Some(group.clone())
        }
        _ => None,
    };
    let pans: Vec<Group> =
        found.log.iter().filter(|r| r.within.is_none()).filter_map(|r| cooks(&r.what)).collect();
    assert_eq!(pans.len(), 2, "{pans:?}");
    assert_ne!(pans[0], pans[1]);
    // Each day with work, against what the kitchen says of it.
    let chest = |what: &What| *what == What::ColdPlace(EquipId::from("chest"));
    let chest: Vec<_> = found.log.iter().filter(|r| chest(&r.what)).collect();
    assert!(chest.len() >= 2 && chest.iter().all(|r| r.limit == Limit::AtMost(Celsius::whole(-18))));
    let page = json!(TemperatureLog::of(About::default(), &course, &found)).to_string();
    assert!(page.contains("log.station"), "{page}");
}

/// Row `us-egg-batch`: 63 degC is enough when it is held for 180 s, and the log asks for that.
#[test]
fn what_must_be_held_is_held_in_the_log() {
    let (course, found) = after(|c, _| {
        bun_step(c, "cook").core = core(Some(63), None);
        bun_step(c, "bake").core = None;
    });
    let of_custard = |what: &What| matches!(what, What::Part(_, part, _, step, _) if part.as_str() == "custard" && step.as_str() == "cook");
    let lines: Vec<_> = found.log.iter().filter(|r| of_custard(&r.what) && r.within.is_none()).collect();
    assert!(!lines.is_empty());
    assert!(lines.iter().all(|r| r.hold == Some(180) && r.row == Some("us-egg-batch")), "{lines:?}");
    let page = json!(TemperatureLog::of(About::default(), &course, &found)).to_string();
    assert!(page.contains("log.hold") && page.contains("180"), "{page}");
    // At 80 nothing is held.
    let (_, found) = after(|_, _| {});
    assert!(found.log.iter().all(|r| r.hold.is_none()));
}

/// Row `uk-chill-handling`, SI 2013/2996, Schedule 4, para 5(2): no figure, so none is printed.
#[test]
fn handling_is_to_be_justified_on_the_log() {
    let (course, found) = after(|_, _| {});
    let page = json!(TemperatureLog::of(About::default(), &course, &found));
    let handled =
        page["readings"].as_array().unwrap().iter().filter(|r| r["within"]["word"] == "log.justify");
    let handled: Vec<_> = handled.collect();
    assert!(!handled.is_empty(), "{page}");
    for line in handled {
        assert!(line["source"].as_str().unwrap().contains("para 5(2)"), "{line}");
        assert_eq!(line["if_out"], "");
    }
}

/// Egg whose only bake is not made from it: the wash goes on when the braid is out of the oven.
#[test]
fn a_wash_after_the_bake_is_raw_egg() {
    let (_, found) = after(|c, _| {
        let braid = c.lessons.iter_mut().find(|l| l.id.value.as_str() == "four-braid").unwrap();
        let uses_wash =
            |s: &Step| s.on.iter().any(|c| matches!(&c.value, Chain::Part(p) if p.as_str() == "wash"));
        let at = braid.steps.iter().position(uses_wash).unwrap();
        let step = braid.steps.remove(at);
        let bake = braid.steps.iter().position(|s| s.place.value == Where::Oven).unwrap();
        braid.steps.insert(bake + 1, step);
    });
    let wash = |e: &&benchroll::reckon::safety::egg_heat::EggHeat| {
        e.lesson.as_str() == "four-braid" && e.part.as_str() == "wash"
    };
    assert!(!found.eggs.iter().find(wash).unwrap().heated);
    let (_, found) = after(|_, _| {});
    assert!(found.eggs.iter().find(wash).unwrap().heated);
}

/// A bun that is steamed or fried has no oven's load: its core is read group by group, and it is named as its bake would be.
#[test]
fn what_is_steamed_is_read_group_by_group() {
    let steamed = |on: &str| {
        let on = match on {
            "piece" => Chain::Piece,
            part => Chain::Part(part.into()),
        };
        after(|c, plan| {
            let step = bun_step(c, "bake");
            (step.place.value, step.core) = (Where::Hob, core(Some(75), None));
            step.on = vec![Located::assumed(on)];
            let lesson = |l: &benchroll::course::LessonId| l.as_str() == "custard-buns";
            let bakes = plan.tasks.iter_mut().filter(|t| t.step.as_str() == "bake");
            for (n, task) in bakes.filter(|t| t.lesson.as_ref().is_some_and(lesson)).enumerate() {
                task.group = Group::Station(benchroll::course::StationNo(n as u32 + 1));
            }
        })
    };
    let is_of = |r: &&LogRow| matches!(&r.what, What::Part(l, _, _, s, _) if l.as_str() == "custard-buns" && s.as_str() == "bake");
    for (on, name) in [("piece", "Custard buns"), ("dough", "Custard buns: dough")] {
        let (course, found) = steamed(on);
        let rows: Vec<_> = found.log.iter().filter(is_of).collect();
        assert!(rows.len() >= 2, "{on}: {rows:?}");
        for row in &rows {
            assert_eq!((row.limit, row.if_out), (Limit::AtLeast(Celsius::whole(75)), IfOut::HeatOn), "{on}");
        }
        let page = json!(TemperatureLog::of(About::default(), &course, &found));
        let all = page["readings"].as_array().unwrap();
        let at_75 =
            all.iter().filter(|r| r["values"][0]["value"] == "75" && r["which"]["word"] == "log.station");
        let named: Vec<_> = at_75.map(|r| r["what"].as_str().unwrap()).collect();
        assert_eq!(named.len(), rows.len(), "{page}");
        assert!(named.iter().all(|n| n.eq_ignore_ascii_case(name)), "{named:?}");
    }
}

/// The readings of the custards' cold core by a rule set, with cooking and the begin of the cold so many minutes later: those before its
/// end, then those at its end. And when the first custard was cooked.
fn cold_cores(set: &str, later: i64) -> (Vec<LogRow>, Vec<LogRow>, jiff::ZonedDateTime, serde_json::Value) {
    let by = jiff::SignedDuration::from_mins(later);
    let (course, found) = after(|c, plan| {
        rules(c, set);
        bun_step(c, "set").core = core(None, Some(5));
        let lesson = |l: &benchroll::course::LessonId| l.as_str() == "custard-buns";
        for task in plan.tasks.iter_mut().filter(|t| t.lesson.as_ref().is_some_and(lesson)) {
            if task.step.as_str() == "cook" {
                (task.start, task.end) = (task.start.clone() + by, task.end.clone() + by);
            } else if task.step.as_str() == "set" {
                task.start = task.start.clone() + by;
            }
        }
    });
    let of = |step: &str| {
        let is = |r: &&LogRow| matches!(&r.what, What::Part(_, p, _, s, _) if p.as_str() == "custard" && s.as_str() == step);
        let cold = |r: &&LogRow| r.limit == Limit::AtMost(Celsius::whole(5));
        found.log.iter().filter(is).filter(cold).cloned().collect::<Vec<_>>()
    };
    let cooked = found.coolings.iter().filter(|c| c.part.as_str() == "custard").map(|c| c.cooked.clone());
    let page = json!(TemperatureLog::of(About::default(), &course, &found));
    (of("cook"), of("set"), cooked.min().unwrap(), page)
}

/// English law has no clock for cooling (row `uk-cool`: as fast as you can). The custard may be used after two hours in the cold, which
/// counts on its being cold then: it is read then, and hours later what is out is thrown away and not made hot again.
#[test]
fn where_no_rule_has_a_clock_a_cold_core_is_read_when_it_is_counted_on() {
    let (early, last, _, _) = cold_cores("uk-england-2013", 0);
    let plan = demo::desk().plan;
    let sets: Vec<_> =
        plan.tasks.iter().filter(|t| t.step.as_str() == "set" && t.id.starts_with("custard-buns")).collect();
    assert_eq!((early.len(), last.len()), (sets.len(), sets.len()), "{early:?}");
    let mut due: Vec<_> =
        sets.iter().map(|t| t.start.clone() + jiff::SignedDuration::from_hours(2)).collect();
    due.sort();
    assert_eq!(early.iter().map(|r| r.at.clone()).collect::<Vec<_>>(), due);
    assert!(early.iter().all(|r| r.if_out == IfOut::ReheatOnceOrThrowAway && !r.unattended), "{early:?}");
    assert!(last.iter().all(|r| r.if_out == IfOut::ThrowAway && !r.unread), "{last:?}");
    // With a clock of its own a rule set needs no such reading; after its last mark nothing is made hot again either.
    for set in ["us-foodcode-2022", "au-322"] {
        let (early, last, cooked, _) = cold_cores(set, 0);
        let in_all = cooked + jiff::SignedDuration::from_hours(6);
        assert!(early.iter().all(|r| r.row.is_some()), "{set}: {early:?}");
        assert!(last.iter().all(|r| r.at > in_all && r.if_out == IfOut::ThrowAway), "{set}: {last:?}");
    }
}

/// It is read while somebody is there: before all leave where two hours are over by then, else first thing on return, and then nobody
/// knows when it was cold enough.
#[test]
fn a_cold_core_is_read_while_somebody_is_there() {
    let staffed = |r: &LogRow| {
        demo::desk().course.sessions.iter().any(|s| {
            let there = |a: &jiff::ZonedDateTime, b: &jiff::ZonedDateTime| *a <= r.at && r.at <= *b;
            there(&s.from.value, &s.to.value) || s.staff.iter().any(|t| there(&t.value.0, &t.value.1))
        })
    };
    let mut unseen = 0;
    for later in (0..=420).step_by(30) {
        let (early, last, cooked, page) = cold_cores("uk-england-2013", later);
        assert!(!early.is_empty() && early.iter().all(staffed), "{later}: {early:?}");
        for row in early.iter().chain(&last) {
            let hours = jiff::SignedDuration::from_hours;
            assert!(row.if_out == IfOut::ThrowAway || row.at < cooked.clone() + hours(8), "{later}: {row:?}");
        }
        let unread = early.iter().filter(|r| r.unread).count();
        assert!(early.iter().filter(|r| r.unread).all(|r| r.if_out == IfOut::ThrowAway));
        assert_eq!(page.to_string().matches("log.unseen").count(), unread, "{later}");
        unseen += unread;
    }
    assert!(unseen > 0);
}
