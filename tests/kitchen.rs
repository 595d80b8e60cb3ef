//! The demo class through seating, scaling, splits, weigh-out, equipment and order.

use crate::documents::demo;
use crate::timetable::{inputs, planned, preferred as picked, small};
use benchroll::course::{Circuit, Course, Hob, LessonId, StationNo, Where};
use benchroll::finding::{Finding, Level, Located};
use benchroll::read::{folder, read_course};
use benchroll::reckon::class::seat;
use benchroll::reckon::options::{options, preferred};
use benchroll::reckon::order::{Order, days, order};
use benchroll::reckon::ovens::{on_what, racked, trays_for};
use benchroll::reckon::plan::check::check;
use benchroll::reckon::plan::containers::{Counted, needs};
use benchroll::reckon::plan::jobs::Jobs;
use benchroll::reckon::plan::timetable::{Plan, Used};
use benchroll::reckon::pull_list::{Equipment, equipment};
use benchroll::reckon::scale::portions;
use benchroll::reckon::weigh::{Group, WeighOut, weigh};
use benchroll::reckon::work::{Class, Options, Vessel, Whom};
use benchroll::typeset::views::desk::Desk;
use benchroll::typeset::views::oven_and_cold::OvenAndCold;
use benchroll::units::{Celsius, Grams, Watts};
use std::path::Path;

struct Reckoned {
    course: Course,
    class: Class,
    options: Options,
    out: WeighOut,
    equipment: Equipment,
    order: Order,
    findings: Vec<Finding>,
}

fn reckoned(headcount: Option<u32>) -> Reckoned {
    changed(headcount, |_| {})
}

fn changed(headcount: Option<u32>, change: impl FnOnce(&mut Course)) -> Reckoned {
    let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).expect("a folder");
    let mut course = read_course(&files).course.expect("a course");
    change(&mut course);
    let (class, mut findings) = seat(&course, headcount);
    let portions = portions(&course, &class);
    let (options, new) = options(&course, &class, &portions);
    findings.extend(new);
    let choice = preferred(&course, &options, &portions);
    let out = weigh(&course, &class, &portions, &choice);
    let (equipment, new) = equipment(&course, &class, &choice, None);
    findings.extend(new);
    let (order, new) = order(&course, &out.totals, class.headcount, &days(&course).expect("a session"), None);
    findings.extend(new);
    Reckoned { course, class, options, out, equipment, order, findings }
}

#[test]
fn the_demo_class_has_two_who_avoid_something_and_variants_for_them() {
    let r = reckoned(None);
    let with: Vec<(StationNo, Vec<&str>)> = r
        .class
        .stations
        .iter()
        .filter(|s| !s.avoids.is_empty())
        .map(|s| (s.no, s.variants.values().map(|v| v.as_str()).collect()))
        .collect();
    assert_eq!(
        with,
        [(StationNo(5), vec!["nut-free"]), (StationNo(6), vec!["egg-free", "egg-free", "egg-free"])]
    );
    assert!(r.findings.iter().all(|f| f.level != Level::Error), "{:?}", r.findings);
}

#[test]
fn the_egg_free_buns_are_less_than_a_hook_catches() {
    let r = reckoned(None);
    let split = &r.options.splits[&("custard-buns".into(), "dough".into())][0];
    let alone = split.batches.iter().find(|b| b.variant.is_some()).expect("a variant");
    // Six buns of 60 g, 3 % lost: 371 g.
    assert_eq!(alone.members[0].0, Whom::Station(StationNo(6)));
    assert_eq!(alone.vessel, Vessel::ByHand);
    assert!(alone.why.contains("371.1 g: below the 400 g"), "{}", alone.why);
}

#[test]
fn the_demo_kitchen_is_two_tins_short() {
    let r = reckoned(None);
    let short: Vec<(&str, u32, u32, u32)> = r
        .equipment
        .needs
        .iter()
        .filter(|n| n.short > 0)
        .map(|n| (n.item.as_str(), n.needed, n.on_hand, n.short))
        .collect();
    assert_eq!(short, [("round-20", 12, 10, 2)]);
}

#[test]
fn lists_totals_and_order_agree_for_any_headcount() {
    for headcount in [None, Some(8), Some(11), Some(13), Some(14), Some(24)] {
        let r = reckoned(headcount);
        let sum = |groups: &[Group], item: &str| -> Grams {
            groups
                .iter()
                .flat_map(|g| &g.lists)
                .flat_map(|l| &l.ingredients)
                .filter(|w| w.item.as_str() == item)
                .map(|w| w.grams)
                .sum()
        };
        assert!(!r.out.totals.is_empty());
        for total in &r.out.totals {
            let item = total.item.as_str();
            let all = [&r.out.stations, &r.out.demo, &r.out.spare, &r.out.shared];
            assert_eq!(all.iter().map(|g| sum(g, item)).sum::<Grams>(), total.grams, "{item}");
            match r.order.lines.iter().find(|l| l.item == total.item) {
                Some(line) => {
                    assert_eq!(line.total, total.grams);
                    assert_eq!(
                        line.total + line.allowances.iter().map(|a| a.grams).sum::<Grams>(),
                        line.need
                    );
                }
                None => assert!(r.course.pantry.item(&total.item).is_some_and(|i| i.staple)),
            }
        }
        let pieces: u32 = r
            .equipment
            .oven_loads
            .iter()
            .filter(|l| l.lesson.as_str() == "walnut-crown")
            .map(|l| l.pieces)
            .sum();
        assert_eq!(pieces, r.class.headcount);
    }
}

#[test]
fn what_twenty_four_are_short_of_is_named() {
    let r = reckoned(Some(24));
    let short: Vec<&str> =
        r.equipment.needs.iter().filter(|n| n.short > 0).map(|n| n.item.as_str()).collect();
    assert_eq!(
        short,
        ["station", "round-20", "tray", "tub", "bowl", "brush", "knife", "pin", "ruler", "scale", "scraper"]
    );
    assert!(r.findings.iter().any(|f| f.code.0 == "places-short" && f.level == Level::Warning));
}

#[test]
fn the_order_is_explained() {
    let r = reckoned(None);
    let flour = r.order.lines.iter().find(|l| l.item.as_str() == "strong-flour").expect("flour");
    // Four bags of 1.5 kg are cheaper than a sack; 2.5 kg are on the shelf.
    assert_eq!(
        flour.bought.iter().map(|b| (b.pack_grams, b.count)).collect::<Vec<_>>(),
        [(Grams::whole(1500), 4)]
    );
    // Staff begin on Friday; the mill's last delivery before is Thursday's, ordered on Monday before noon.
    let (by, why) = r.order.order_by.as_ref().expect("a date");
    assert_eq!(by.to_string(), "2027-03-01T12:00:00");
    assert!(why.contains("Thursday 2027-03-04"), "{why}");
    // Yeast of February is not counted.
    assert!(r.findings.iter().any(|f| f.code.0 == "stock-out-of-date"));
}

/// Without its large mixer the kitchen mixes more and smaller batches, and each says which limit decided.
#[test]
fn without_the_large_mixer_the_batches_change_and_say_why() {
    let batches = |r: &Reckoned| -> Vec<(Vec<String>, Grams, String)> {
        let of_crown = r.equipment.mixer_loads.iter().filter(|l| l.lesson.as_str() == "walnut-crown");
        of_crown
            .filter(|l| l.part.as_str() == "dough")
            .map(|l| (l.mixers.iter().map(ToString::to_string).collect(), l.grams, l.why.clone()))
            .collect()
    };
    let with = batches(&reckoned(None));
    let without =
        batches(&changed(None, |c| c.kitchen.mixers.retain(|m| m.id.value.as_str() != "large-mixer")));
    assert!(with.iter().any(|(mixers, ..)| mixers == &["large-mixer"]), "{with:?}");
    assert!(without.len() > with.len(), "{without:?}");
    for (mixers, grams, why) in &without {
        assert_eq!(mixers, &["small-mixer"]);
        assert!(*grams <= Grams::whole(1100), "{grams:?}");
        assert!(why.contains("of the 1100 g that Small mixer, 4.8 l carries of rich dough"), "{why}");
    }
    // The same dough in all.
    let sum = |all: &[(Vec<String>, Grams, String)]| all.iter().map(|(_, g, _)| *g).sum::<Grams>();
    assert_eq!(sum(&with), sum(&without));
}

/// Pieces are students' + demonstration's + spare, in tins as on trays, for any headcount.
#[test]
fn tins_are_counted_for_students_stages_and_spare() {
    for headcount in [None, Some(8), Some(13), Some(24)] {
        let r = changed(headcount, |c| {
            c.lessons.iter_mut().for_each(|l| l.makes.spare.value = 1);
        });
        for lesson in &r.course.lessons {
            let need = benchroll::reckon::tins::tins(&r.course, &r.class, lesson).expect("tins or trays");
            let made: u32 = benchroll::reckon::scale::pieces_of(lesson, &r.class)
                .iter()
                .filter(|(w, _)| !matches!(w, Whom::Stage { .. }))
                .map(|(_, n)| n)
                .sum();
            assert_eq!(need.students + need.spare, made, "{}", lesson.id.value);
            assert_eq!(need.spare, 1);
        }
    }
}

fn at<T>(value: T) -> Located<T> {
    Located::assumed(value)
}

fn broken_rules(course: &Course, plan: &Plan) -> Vec<&'static str> {
    let (class, portions, _) = inputs(course, None);
    check(course, &class, &portions, plan).iter().map(|b| b.rule).collect()
}

fn wall(watts: i64) -> Vec<Circuit> {
    vec![Circuit { id: at("wall".into()), carries: at(Watts::whole(watts)), continuous: None }]
}

/// Two hobs of one burner on a circuit that carries the smaller one's alone: everything is done there, one after the other.
#[test]
fn a_burner_draws_on_its_own_hobs_circuit() {
    let mut course = small();
    let hob = |id: &str, watts: i64| Hob {
        id: at(id.into()),
        burners: at(1),
        watts: Some(at(Watts::whole(watts))),
        circuit: Some(at("wall".into())),
    };
    course.kitchen.circuits = wall(1000);
    course.kitchen.hobs = vec![hob("large-hob", 3000), hob("little-hob", 500)];
    let mix = course.lessons[0].steps.iter_mut().find(|s| s.id.value.as_str() == "mix").unwrap();
    (mix.place.value, mix.share) = (Where::Hob, Some(at(1)));
    let mut plan = planned(&course, None);
    let on =
        |plan: &Plan, id: &str| plan.tasks.iter().filter(|t| t.uses.iter().any(|u| u.resource == id)).count();
    assert_eq!(on(&plan, "large-hob"), 0);
    assert!(
        on(&plan, "little-hob") > 1,
        "{:?}",
        plan.tasks.iter().map(|t| (&t.id, &t.uses)).collect::<Vec<_>>()
    );
    // Both at one time on the one burner; then on the burner that the circuit does not carry.
    let first = plan.tasks.iter().find(|t| t.step.as_str() == "mix").unwrap().clone();
    for task in plan.tasks.iter_mut().filter(|t| t.step.as_str() == "mix") {
        (task.start, task.end) = (first.start.clone(), first.end.clone());
    }
    assert!(broken_rules(&course, &plan).contains(&"place"));
    let mut plan = planned(&course, None);
    for used in plan.tasks.iter_mut().flat_map(|t| &mut t.uses).filter(|u| u.resource == "little-hob") {
        "large-hob".clone_into(&mut used.resource);
    }
    assert!(broken_rules(&course, &plan).contains(&"circuit"));
    // Where the plan does not say on which, it may be the one that draws most.
    plan.tasks.iter_mut().for_each(|t| t.uses.retain(|u| u.resource != "large-hob"));
    assert!(broken_rules(&course, &plan).contains(&"circuit"));
}

#[test]
fn what_a_circuit_carries_is_told_where_it_is_not_known_or_too_little() {
    let codes = |change: fn(&mut Course)| -> Vec<(Level, &'static str)> {
        let power = ["watts-unknown", "circuit-overloaded"];
        let found = changed(None, change).findings;
        found.iter().filter(|f| power.contains(&f.code.0)).map(|f| (f.level, f.code.0)).collect()
    };
    assert_eq!(codes(|_| ()), []);
    assert_eq!(codes(|c| c.kitchen.ovens[0].watts = None), [(Level::Warning, "watts-unknown")]);
    let overloaded = |c: &mut Course| {
        c.kitchen.circuits.extend(wall(2300).into_iter().map(|w| Circuit { id: at("corner".into()), ..w }));
        for (shelves, watts) in [(&mut c.kitchen.warm[0], 3000), (&mut c.kitchen.cold[0], 900)] {
            (shelves.watts, shelves.circuit) = (Some(at(Watts::whole(watts))), Some(at("corner".into())));
        }
    };
    assert_eq!(codes(overloaded), [(Level::Error, "circuit-overloaded")]);
}

/// A fan oven that the circuit does not carry and one without a fan: the plan takes the second, and its dial shows what the
/// lesson says, in the choice, in its reason and on the oven's sheet, with the time that it takes to get there.
#[test]
fn a_load_has_the_dial_of_the_oven_that_it_goes_into() {
    let mut course = small();
    course.kitchen.circuits = wall(3000);
    let fan = &mut course.kitchen.ovens[0];
    (fan.watts, fan.circuit) = (Some(at(Watts::whole(5000))), Some(at("wall".into())));
    let mut still = fan.clone();
    (still.id, still.fan, still.watts) = (at("still".into()), false, Some(at(Watts::whole(2000))));
    course.kitchen.ovens.push(still);
    let plan = planned(&course, None);
    let (class, portions, _) = inputs(&course, None);
    for load in plan.choice.loads.values().flatten() {
        assert_eq!(load.fits[0].0.as_str(), "still");
        assert_eq!(load.heat(), Celsius::whole(180));
        assert!(load.why().contains("`still` holds") && !load.why().contains("fan"), "{}", load.why());
    }
    let out = weigh(&course, &class, &portions, &plan.choice);
    let sheet = OvenAndCold::of(&Desk::new(&course, &class, &plan, &out), &course.sessions[0]);
    assert!(
        !sheet.loads.is_empty() && sheet.loads.iter().all(|l| l.heat.value == "180"),
        "{:?}",
        sheet.loads
    );
    // From 21 to 180 degrees at 9 a minute: 18 minutes, on a grid of five.
    let on = &sheet.settings[0];
    assert_eq!(on.heat.as_ref().unwrap().value, "180");
    assert_eq!(on.at, (on.reached.unwrap() - 18) / 5 * 5);
    let (equipment, _) = equipment(&course, &class, &plan.choice, None);
    assert!(equipment.oven_loads.iter().all(|l| l.heat == Celsius::whole(180)));
}

/// Each piece of four buns, twelve buns to a tray: twelve pieces of a station take four trays, from the bench to the oven.
#[test]
fn trays_on_the_shelves_are_those_in_the_oven() {
    let mut course = demo::course().clone();
    let buns = course.formulas.iter_mut().find(|f| f.id.value.as_str() == "custard-buns").unwrap();
    buns.piece.count.value = 4;
    let (class, portions, options) = inputs(&course, None);
    let picked = picked(&options);
    let jobs = Jobs::of(&course, &class, &portions, &picked);
    let unit = on_what(&course, course.formula(&"custard-buns".into()).unwrap()).unwrap();
    let mut seen = 0;
    for job in jobs.jobs.iter().filter(|j| j.id.starts_with("custard-buns.")) {
        for need in needs(&jobs, job) {
            if matches!(need.what, Counted::Tray(_)) {
                assert_eq!(need.count, trays_for(&unit, job.pieces()), "{}", job.id);
                seen = seen.max(need.count);
            }
        }
    }
    assert!(seen > 1);
}

/// With two fridges the sheet says in which a thing stands and how cold that one is; where the plan names none, neither.
#[test]
fn the_oven_and_cold_sheet_names_the_fridge() {
    let r = demo::reckoned();
    let mut course = r.course.clone();
    let mut display = course.kitchen.cold[0].clone();
    (display.id, display.temperature) = (at("display".into()), Some(at(Celsius::whole(8))));
    course.kitchen.cold.push(display);
    let mut plan = r.planned.plan.clone().unwrap();
    let stored = |plan: &Plan| -> Vec<(Option<String>, Option<String>)> {
        let desk = Desk::new(&course, &r.class, plan, &r.weighed);
        let sheets = course.sessions.iter().flat_map(|s| OvenAndCold::of(&desk, s).places);
        // What was baked goes into whichever has room: of several none is named.
        let cold = sheets.filter(|p| p.at == "cold" && !p.baked);
        cold.map(|p| (p.cupboard, p.temperature.map(|t| t.value))).collect()
    };
    let unknown = stored(&plan);
    assert!(!unknown.is_empty() && unknown.iter().all(|one| *one == (None, None)), "{unknown:?}");
    for task in &mut plan.tasks {
        let id = if task.lesson == Some(LessonId::new("custard-buns")) { "display" } else { "fridge" };
        let until = task.end.clone();
        task.uses.push(Used { resource: id.to_owned(), amount: 1, until });
    }
    let known = stored(&plan);
    let is = |name: &str, degrees: &str| (Some(name.to_owned()), Some(degrees.to_owned()));
    assert!(known.contains(&is("Fridge", "4")) && known.contains(&is("Display", "8")), "{known:?}");
    assert!(known.iter().all(|one| *one == is("Fridge", "4") || *one == is("Display", "8")), "{known:?}");
}

/// Crowns with walnuts and egg share an oven of four racks with the braids of those who avoid the one and the other: the braids
/// are above, no rack is drawn twice, and the sheet numbers them as they are.
#[test]
fn two_lessons_loads_in_one_oven_have_racks_of_their_own() {
    let r = demo::reckoned();
    let mut course = r.course.clone();
    course.kitchen.ovens[0].racks.value = 4;
    let mut plan = r.planned.plan.clone().unwrap();
    let has = |plan: &Plan, lesson: &str, station: u32| {
        let of = plan.tasks.iter().filter(|t| t.id.starts_with(&format!("{lesson}.bake@")));
        let with = |t: &&benchroll::reckon::plan::timetable::PlannedTask| {
            t.members.iter().any(|(w, _)| *w == Whom::Station(StationNo(station)))
        };
        of.filter(with).map(|t| t.id.clone()).collect::<Vec<_>>()
    };
    let (crown, braid) = (has(&plan, "walnut-crown", 1).remove(0), has(&plan, "four-braid", 5).remove(0));
    let start = plan.task(&crown).unwrap().start.clone();
    let end = plan.task(&crown).unwrap().end.clone();
    // Whatever else was in the ovens is out.
    plan.tasks.retain(|t| t.id == crown || t.id == braid || !t.id.contains(".bake@"));
    for task in plan.tasks.iter_mut().filter(|t| t.id == crown || t.id == braid) {
        (task.start, task.end) = (start.clone(), end.clone());
        "oven-1".clone_into(&mut task.uses[0].resource);
    }
    let of = |id: &str| racked(&course, &r.class, &plan, plan.task(id).unwrap()).unwrap();
    let (under, above) = (of(&crown), of(&braid));
    assert_eq!((above.first, under.first), (Some(0), Some(above.racks.len() as u32)));
    let told: Vec<StationNo> =
        above.apart.top.iter().chain(&above.apart.level).chain(&above.apart.clear).copied().collect();
    assert!(told.contains(&StationNo(5)) && above.apart.not.is_empty(), "{:?}", above.apart);
    let desk = Desk::new(&course, &r.class, &plan, &r.weighed);
    let loads = course.sessions.iter().flat_map(|s| OvenAndCold::of(&desk, s).loads);
    let mut racks: Vec<String> = loads.flat_map(|l| l.racks).map(|rack| rack.name).collect();
    racks.sort();
    assert_eq!(racks, ["1", "2", "3", "4"]);
}
