//! Courses at random, as files, with all that a teacher may write in them: several sessions and cold nights, breaks, a helper with hours of
//! their own, two sorts of ovens and mixers on circuits, tins in waves, variants that cross, demonstrations with stages, work made ahead.
//! Whatever plan comes out passes the checker. Seeds are fixed, so that each course is the same on every machine.

use super::inputs;
use crate::engine_random::Dice;
use benchroll::course::{Course, Where};
use benchroll::finding::Level;
use benchroll::read::{FileTree, read_course};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::choose::{Effort, plan};
use benchroll::reckon::work::Whom;
use benchroll::units::Minutes;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// So many courses are drawn.
const COURSES: u64 = 60;

/// Draws the lines of a course.
pub struct Draw {
    dice: Dice,
}

impl Draw {
    pub fn new(seed: u64) -> Draw {
        Draw { dice: Dice::new(seed) }
    }
    pub fn one_in(&mut self, count: i32) -> bool {
        self.dice.roll(1, count) == 1
    }
    pub fn of<'t>(&mut self, words: &[&'t str]) -> &'t str {
        words[usize::try_from(self.dice.roll(0, words.len() as i32 - 1)).unwrap()]
    }
    pub fn number(&mut self, low: i32, high: i32) -> i32 {
        self.dice.roll(low, high)
    }
    /// One of these or nothing.
    fn maybe(&mut self, words: &[&'static str]) -> &'static str {
        if self.one_in(2) { self.of(words) } else { "" }
    }
    fn takes(&mut self, low: i32, high: i32) -> String {
        let usual = self.number(low, high);
        format!("takes = \"{} to {} min, usually {usual} min\"", (usual - 2).max(1), usual + 3)
    }
    fn stands(&mut self, low: i32, high: i32) -> String {
        let least = self.number(low, high);
        format!("stands = \"{least} to {} min\"", least + self.number(0, 40))
    }

    /// A whole course folder.
    pub fn files(&mut self) -> FileTree {
        let days = self.number(1, 3);
        let mut files = FileTree::default();
        let lessons = if self.one_in(3) { vec!["loaf", "bun"] } else { vec![self.of(&["loaf", "bun"])] };
        files.add("course.toml", self.course(days, &lessons));
        files.add("kitchen.toml", self.kitchen());
        files.add("pantry.toml", PANTRY.to_owned());
        files.add("roll.csv", self.roll());
        for lesson in lessons {
            files.add(format!("formulas/{lesson}.toml"), self.formula(lesson));
            files.add(format!("lessons/{lesson}.toml"), self.lesson(lesson, days));
        }
        files
    }

    fn course(&mut self, days: i32, lessons: &[&str]) -> String {
        let helpers = self.of(&["[]", "[\"Ada Finch\"]", "[\"Ada Finch\"]", "[\"Ada Finch\", \"Bo Lee\"]"]);
        let grid = self.of(&["5 min", "5 min", "10 min"]);
        let mut text = format!(
            "format = 1\nname = \"Drawn\"\nhost = \"A kitchen\"\nteacher = \"Mara Holt\"\nhelpers = {helpers}\ntime-zone = \"Europe/Dublin\"\n\
             currency = \"EUR\"\nlessons = {lessons:?}\nsafety = {{ allergen-list = \"eu14\" }}\nplan = {{ grid = \"{grid}\" }}\n"
        );
        for day in 0..days {
            let (from, long) = (self.number(8, 13), self.number(3, 6));
            let (early, late) = (self.number(0, 2), self.number(0, 2));
            // The night to the second day may be the one in which the clocks change.
            writeln!(
                text,
                "\n[[sessions]]\nid = \"day-{day}\"\ndate = 2027-03-{:02}\nfrom = \"{from:02}:00\"\nto = \"{:02}:00\"\nstaff = \"{:02}:00 to {:02}:30\"",
                27 + day, from + long, from - early, from + long + late
            )
            .unwrap();
        }
        if self.one_in(2) {
            text.push_str("\n[[staff-days]]\ndate = \"2027-03-26\"\nhours = \"15:00 to 20:00\"\n");
        }
        if helpers.contains("Ada") && self.one_in(2) {
            let (from, to) = (self.number(9, 11), self.number(13, 17));
            writeln!(
                text,
                "\n[[presence]]\nwho = \"Ada Finch\"\ndate = 2027-03-27\nthere = \"{from:02}:00 to {to}:00\""
            )
            .unwrap();
            if self.one_in(2) {
                text.push_str("breaks = \"12:00 to 12:20\"\n");
            }
        }
        let own = [
            ("welcome", "first", "teacher", "demo = true\n", 2),
            ("tea", "between 60 and 150 min", "nobody", "pause = true\n", 2),
            ("talk", "any", "staff", "demo = true\n", 3),
            ("lay-out", "any", "staff", "", 4),
            ("clean-down", "last", "students", "", 2),
        ];
        for (id, when, hands, more, one_in) in own {
            if self.one_in(one_in) {
                let takes = self.takes(5, 20);
                writeln!(text, "\n[[steps]]\nid = \"{id}\"\nname = \"{id}\"\nwhen = \"{when}\"\nhands = \"{hands}\"\n{more}{takes}").unwrap();
            }
        }
        text
    }

    fn kitchen(&mut self) -> String {
        let seats = self.number(1, 2);
        let mut text = format!(
            "room = \"21 C\"\nsinks = 1\nstations = {{ count = 3, seats = {seats}, each-has = [\"pin\"] }}\n\n[[circuits]]\nid = \"wall\"\n\
             carries = \"{} A\"\nvolts = 230\n",
            self.of(&["16", "20", "32", "63"])
        );
        let mixers = self.number(1, 3);
        writeln!(
            text,
            "\n[[mixers]]\nid = \"mixer\"\ncount = {mixers}\nbowl = \"4.8 l\"\nlimit = {{ rich = \"1.2 kg\", enriched = \"1.5 kg\" }}\nleast = \"300 g\"\n\
             between = \"{} min\"\nwatts = \"600 W\"\ncircuit = \"wall\"",
            self.of(&["5", "10"])
        )
        .unwrap();
        if self.one_in(3) {
            text.push_str("\n[[mixers]]\nid = \"large\"\nbowl = \"20 l\"\nlimit = { rich = \"3 kg\", enriched = \"4 kg\" }\nleast = \"1 kg\"\nbetween = \"10 min\"\nwatts = \"1100 W\"\ncircuit = \"wall\"\n");
        }
        let (count, racks) = (self.number(1, 2), self.number(1, 2));
        let heats = self.of(&["9 C", "4.5 C", "7 C"]);
        writeln!(
            text,
            "\n[[ovens]]\nid = \"oven\"\ncount = {count}\nracks = {racks}\nrack = \"60 x 40 cm\"\nclear = \"14 cm\"\nfan = true\nheats = \"{heats} a min\"\ncools = \"4 C a min\"\nwatts = \"2500 W\"\ncircuit = \"wall\""
        )
        .unwrap();
        if self.one_in(3) {
            text.push_str("\n[[ovens]]\nid = \"old\"\nracks = 1\nrack = \"45 x 35 cm\"\nclear = \"12 cm\"\nfan = false\nheats = \"6 C a min\"\ncools = \"3 C a min\"\nwatts = \"2000 W\"\ncircuit = \"wall\"\n");
        }
        let (tins, trays, tubs) = (self.number(3, 8), self.number(3, 8), self.number(3, 8));
        writeln!(
            text,
            "\n[[hobs]]\nid = \"hob\"\nburners = {}\n\n[[warm]]\nid = \"proofer\"\nshelves = {}\nshelf = \"60 x 42 cm\"\nclear = \"14 cm\"\nat = \"28 C\"\n\
             \n[[cold]]\nid = \"fridge\"\nshelves = {}\nshelf = \"60 x 45 cm\"\nclear = \"22 cm\"\nat = \"4 C\"\n\n[[racks]]\nid = \"rack\"\nshelves = {}\n\
             shelf = \"60 x 40 cm\"\nclear = \"14 cm\"\n\n[[tins]]\nid = \"tin\"\ncount = {tins}\ninside = \"24 x 10 cm, 8 cm deep\"\noutside = \"27 x 12 x 8 cm\"\n\
             between = \"{} min\"\n\n[[trays]]\nid = \"tray\"\ncount = {trays}\nsize = \"60 x 40 cm\"\nbetween = \"5 min\"\n\n[[tubs]]\nid = \"tub\"\ncount = {tubs}\nholds = \"1.6 kg\"\n\
             outside = \"26 x 18 x 12 cm\"\n\n[[tools]]\nid = \"probe\"\ncount = 1",
            self.number(1, 3), self.number(1, 4), self.number(1, 4), self.number(1, 4), self.of(&["5", "15"])
        )
        .unwrap();
        if self.one_in(4) {
            text.push_str("\n[[cold]]\nid = \"larder\"\nshelves = 1\nshelf = \"40 x 30 cm\"\nclear = \"14 cm\"\nat = \"6 C\"\n");
        }
        text
    }

    fn roll(&mut self) -> String {
        let mut text = "name,status,with,station,avoids,needs\n".to_owned();
        for n in 0..self.number(2, 5) {
            let avoids = match self.number(1, 6) {
                1 => "walnut (allergy)",
                2 => "egg (allergy)",
                _ => "",
            };
            writeln!(text, "Person {n},coming,,,{avoids},").unwrap();
        }
        text
    }

    fn formula(&mut self, lesson: &str) -> String {
        let (dough, on) = if lesson == "loaf" {
            (500, "tin = \"tin\"")
        } else {
            (240, "tray = \"tray\"\nper-tray = 4\ncount = 1")
        };
        let scald = if self.one_in(3) {
            "scald = { flour = \"8 %\" }\nflour = \"92 %\""
        } else {
            "flour = \"100 %\""
        };
        let part = if scald.starts_with("scald") {
            "\n[parts.scald]\nbasis = \"flour\"\nof = { flour = \"100 %\", milk = \"200 %\" }\n"
        } else {
            ""
        };
        // A part of the filling that a variant changes by its own lines.
        let (filling, praline, seeds) = if self.one_in(3) {
            (
                "of = { praline = \"70 %\", milk = \"30 %\" }",
                "\n[parts.praline]\nbasis = \"whole\"\nof = { walnuts = \"80 %\", milk = \"20 %\" }\nkeep = \"cold\"\n",
                "praline = { walnuts = \"0 %\", seeds = \"80 %\" }",
            )
        } else {
            (
                "of = { walnuts = \"70 %\", milk = \"30 %\" }",
                "",
                "filling = { walnuts = \"0 %\", seeds = \"70 %\" }",
            )
        };
        format!(
            "name = \"A {lesson}\"\n[piece]\ndough = \"{dough} g\"\nfilling = \"60 g\"\nwash = \"8 g\"\n{on}\n{praline}{part}\n[parts.dough]\nbasis = \"flour\"\nloses = \"2 %\"\n\
             [parts.dough.of]\n{scald}\nmilk = \"40 %\"\neggs = \"20 %\"\nbutter = \"{} %\"\nyeast = \"1 %\"\nsalt = \"2 %\"\n\n[parts.filling]\nbasis = \"whole\"\n{filling}\nkeep = \"cold\"\n\n\
             [parts.wash]\nbasis = \"whole\"\nof = {{ eggs = \"80 %\", milk = \"20 %\" }}\nkeep = \"cold\"\n\n[variants.nut-free]\nfree-from = [\"walnut\"]\n{seeds}\n\n\
             [variants.egg-free]\nfree-from = [\"egg\"]\ndough = {{ eggs = \"0 %\", milk = \"55 %\" }}\nwash = {{ eggs = \"0 %\", milk = \"100 %\" }}\n",
            self.of(&["10", "25"])
        )
    }

    fn lesson(&mut self, lesson: &str, days: i32) -> String {
        let loaf = lesson == "loaf";
        let makes = self.of(&[
            "pieces = 1, for-each = \"student\"",
            "pieces = 2, for-each = \"station\"",
            "pieces = 1, for-each = \"station\", spare = 1",
        ]);
        let ahead =
            self.of(&["never", "if needed, up to rise", "if needed, up to rise", "always, up to rise"]);
        let filled = self.of(&["never", "if needed, up to set", "always, up to set"]);
        let mut text = format!(
            "formula = \"{lesson}\"\nmakes = {{ {makes} }}\nmade-ahead = {{ dough = \"{ahead}\", filling = \"{filled}\", piece = \"never\" }}\n"
        );
        let shown = self.one_in(2);
        let chilled = days > 1 && self.one_in(2);
        let mut step = |id: &str, rest: String| writeln!(text, "\n[[steps]]\nid = \"{id}\"\n{rest}").unwrap();
        let hands = self.of(&["students", "students", "one student", "staff"]);
        let share = self.of(&["", "share = \"up to 2 stations\"\n", "share = \"up to 3 stations\"\n"]);
        let takes = self.takes(10, 25);
        step(
            "mix",
            format!(
                "on = \"dough\"\nper = \"batch\"\nat = \"mixer\"\nhands = \"{hands}\"\n{share}by-hand = \"15 to 30 min, usually 25 min\"\n{takes}"
            ),
        );
        let (place, until) = (self.of(&["room", "warm"]), if chilled { "chill" } else { "shape" });
        let stands = self.stands(30, 60);
        step(
            "rise",
            format!(
                "on = \"dough\"\nper = \"batch\"\nat = \"{place}\"\nhands = \"nobody\"\n{stands}\nuses = [\"tub until {until}\"]"
            ),
        );
        if chilled {
            step(
                "chill",
                "on = \"dough\"\nper = \"batch\"\nat = \"cold\"\nhands = \"nobody\"\nstands = \"8 to 40 h\""
                    .to_owned(),
            );
        }
        let takes = self.takes(10, 15);
        step("cook", format!("on = \"filling\"\nper = \"class\"\nat = \"hob\"\nhands = \"staff\"\n{takes}"));
        step("set", "on = \"filling\"\nper = \"class\"\nat = \"cold\"\nhands = \"nobody\"\nstands = \"30 min to 30 h\"".to_owned());
        if shown {
            let takes = self.takes(5, 12);
            let stages = self.maybe(&["stages = [\"rise\"]\n"]);
            step(
                "show",
                format!("demo = true\nhands = \"{}\"\n{stages}{takes}", self.of(&["teacher", "staff"])),
            );
        }
        let after = if shown { "after = [\"show\"]\n" } else { "" };
        let eye = self.maybe(&["eye = \"teacher\"\n"]);
        let (takes, each) =
            (self.takes(8, 15), self.maybe(&["takes-each = \"2 to 4 min, usually 3 min\"\n"]));
        let until = if loaf { "turn-out" } else { "bake" };
        let on = if loaf { "tin" } else { "tray" };
        step(
            "shape",
            format!(
                "on = [\"dough\", \"filling\"]\nper = \"station\"\nhands = \"students\"\n{after}{eye}{each}{takes}\nuses = [\"pin\"]"
            ),
        );
        let stands = self.stands(30, 60);
        let cold = self.maybe(&["wait-cold = { stands = \"30 min to 20 h\", then = \"50 to 90 min\" }\n"]);
        step(
            "proof",
            format!(
                "on = \"piece\"\nper = \"station\"\nat = \"{}\"\nhands = \"nobody\"\n{cold}{stands}\nuses = [\"{on} until {until}\"]",
                self.of(&["warm", "room"])
            ),
        );
        if self.one_in(2) {
            let hands = self.of(&["students", "one student"]);
            step(
                "brush",
                format!(
                    "on = [\"piece\", \"wash\"]\nper = \"station\"\nhands = \"{hands}\"\ntakes = \"2 to 5 min, usually 4 min\""
                ),
            );
        }
        let heat = self.of(&["160 C", "175 C", "190 C"]);
        let takes = self.takes(15, 30);
        let ends = self.of(&["ends = \"staff, 5 min\"\n", "ends = \"teacher, 2 min\"\n", ""]);
        let apart = self.maybe(&["together = false\n"]);
        step(
            "bake",
            format!(
                "on = \"piece\"\nper = \"load\"\nat = \"oven\"\nheat = \"{heat}\"\nhands = \"nobody\"\n{ends}{apart}carry = \"up to 15 min\"\n{takes}"
            ),
        );
        if loaf {
            step("turn-out", "on = \"piece\"\nper = \"load\"\nhands = \"staff\"\ntakes = \"3 to 6 min, usually 5 min\"\ncarry = \"5 to 20 min\"".to_owned());
        }
        let per = self.of(&["station", "load"]);
        step(
            "cool",
            format!(
                "on = \"piece\"\nper = \"{per}\"\nat = \"rack\"\nhands = \"nobody\"\nstands = \"at least {} min\"",
                self.number(15, 40)
            ),
        );
        if self.one_in(3) {
            step("taste", "on = \"piece\"\nper = \"station\"\nhands = \"students\"\ntakes = \"5 to 8 min, usually 5 min\"\nuses = [\"probe\"]".to_owned());
        }
        text
    }
}

const PANTRY: &str = r#"[suppliers.shop]
name = "The shop"
lead = "0 days"

[ingredients.flour]
name = "Flour"
kind = "flour"
allergens = { contains = ["wheat"], checked = "2027-02-20" }

[ingredients.milk]
name = "Milk"
kind = "milk"
allergens = { contains = ["milk"], checked = "2027-02-20" }

[ingredients.butter]
name = "Butter"
kind = "fat"
allergens = { contains = ["milk"], checked = "2027-02-20" }

[ingredients.eggs]
name = "Eggs"
kind = "egg"
allergens = { contains = ["egg"], checked = "2027-02-20" }

[ingredients.yeast]
name = "Yeast"
kind = "instant-yeast"
allergens = { contains = [], checked = "2027-02-20" }

[ingredients.salt]
name = "Salt"
kind = "salt"
allergens = { contains = [], checked = "2027-02-20" }

[ingredients.walnuts]
name = "Walnuts"
allergens = { contains = ["walnut"], checked = "2027-02-20" }

[ingredients.seeds]
name = "Seeds"
allergens = { contains = [], checked = "2027-02-20" }
"#;

/// The course of a seed.
pub fn course(seed: u64) -> Course {
    let files = Draw::new(seed).files();
    let read = read_course(&files);
    let wrong: Vec<String> = read
        .findings
        .iter()
        .filter(|f| f.level == Level::Error)
        .map(|f| format!("{}: {}", f.code, f.message))
        .collect();
    assert_eq!(wrong, Vec::<String>::new(), "seed {seed}");
    read.course.unwrap()
}

/// What is in a plan, so that what is never drawn is seen.
fn seen(
    course: &Course,
    plan: &benchroll::reckon::plan::timetable::Plan,
    found: &mut BTreeMap<&'static str, u32>,
) {
    let mut note = |what: &'static str, is: bool| *found.entry(what).or_default() += u32::from(is);
    let ovens = plan.tasks.iter().flat_map(|t| &t.uses).filter(|u| u.resource.starts_with("old-")).count();
    note("fits", plan.fits);
    note("late", !plan.fits);
    note("several sessions", plan.sessions.len() > 1);
    note("made ahead", !plan.made_ahead.is_empty());
    note("waits in the cold", plan.tasks.iter().any(|t| t.cold_wait));
    note("two sorts of ovens", ovens > 0);
    note("mixed by hand", plan.tasks.iter().any(|t| t.by_hand));
    note("a break", plan.tasks.iter().any(|t| t.step.as_str() == "tea"));
    note("a demonstration", plan.tasks.iter().any(|t| t.demo && t.lesson.is_some()));
    note(
        "a stage",
        plan.tasks.iter().any(|t| t.members.iter().any(|(whom, _)| matches!(whom, Whom::Stage { .. }))),
    );
    note("a helper's own hours", !course.presence.is_empty());
    note(
        "two variants",
        course.lessons.iter().any(|l| {
            let used: std::collections::BTreeSet<_> = plan
                .choice
                .batches
                .iter()
                .filter(|(key, _)| key.0 == l.id.value)
                .flat_map(|(_, b)| b.iter().map(|b| b.variant.clone()))
                .collect();
            used.len() > 1
        }),
    );
    let night = |t: &benchroll::reckon::plan::timetable::PlannedTask| t.start.date() != t.end.date();
    note("a cold night", plan.tasks.iter().any(night));
    note("a second wave", {
        let starts: std::collections::BTreeSet<_> = plan
            .tasks
            .iter()
            .filter(|t| t.uses.iter().any(|u| u.resource == "tin"))
            .map(|t| t.start.clone())
            .collect();
        starts.len() > 1
    });
    note("on a hob", course.lessons.iter().flat_map(|l| &l.steps).any(|s| s.place.value == Where::Hob));
}

#[test]
fn whatever_is_written_every_plan_holds() {
    let mut found = BTreeMap::new();
    let mut planned = 0;
    for seed in 1..=COURSES {
        let course = course(seed);
        let (class, portions, options) = inputs(&course, None);
        let effort = Effort { per_term: 1_000, combinations: 2, over: Minutes::hours(3) };
        let outcome = plan(&course, &class, &portions, &options, effort);
        assert_eq!(outcome.refused, [], "seed {seed}");
        let Some(plan) = outcome.plan else { continue };
        assert_eq!(check(&course, &class, &portions, &plan), [], "seed {seed}");
        assert!(plan.fits == (plan.overrun == Minutes(0)), "seed {seed}");
        seen(&course, &plan, &mut found);
        planned += 1;
    }
    println!("{planned} planned: {found:?}");
    assert!(planned * 2 > COURSES, "{planned}");
    let never: Vec<_> = found.iter().filter(|(_, times)| **times == 0).collect();
    assert!(never.is_empty(), "{never:?}");
}

/// The praline is in the filling, and the variant changes the praline alone: two pans all the same.
#[test]
fn what_a_variant_changes_inside_a_part_is_cooked_in_a_pan_of_its_own() {
    let both = |course: &Course| {
        let inner = course.formulas.iter().any(|f| f.parts.iter().any(|p| p.id.value.as_str() == "praline"));
        let (class, ..) = inputs(course, None);
        let by_variant: std::collections::BTreeSet<_> =
            class.stations.iter().map(|s| s.variants.values().any(|v| v.as_str() == "nut-free")).collect();
        inner && by_variant.len() == 2 && course.lessons.len() == 1
    };
    let course = (1..=COURSES).map(course).find(both).unwrap();
    let (class, portions, options) = inputs(&course, None);
    let effort = Effort { per_term: 500, combinations: 1, over: Minutes::hours(6) };
    let plan = plan(&course, &class, &portions, &options, effort).plan.unwrap();
    let pans = plan.tasks.iter().filter(|t| t.step.as_str() == "cook").count();
    assert!(pans > 1, "{pans}");
}
