//! The class plan, from course folders.

use benchroll::course::Course;
use benchroll::read::{folder, read_course};
use benchroll::reckon::plan::choose::{Effort, Planned, plan};
use benchroll::reckon::work::{Class, Options, Portion};
use benchroll::reckon::{class, options, scale};
use std::path::Path;

fn demo() -> Course {
    let files = folder::load(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course")).unwrap();
    let reading = read_course(&files);
    for finding in &reading.findings {
        println!("{finding:?}");
    }
    reading.course.unwrap()
}

fn inputs(course: &Course, headcount: Option<u32>) -> (Class, Vec<Portion>, Options) {
    let (class, _) = class::seat(course, headcount);
    let portions = scale::portions(course, &class);
    let (options, findings) = options::options(course, &class, &portions);
    for finding in findings {
        println!("{} {}", finding.code, finding.message);
    }
    (class, portions, options)
}

/// The same class in a kitchen so many times as large.
fn grown(mut course: Course, times: u32) -> Course {
    let k = &mut course.kitchen;
    k.stations.count.value *= times;
    k.mixers.iter_mut().for_each(|m| m.count.value *= times);
    k.ovens.iter_mut().for_each(|m| m.count.value *= times);
    k.hobs.iter_mut().for_each(|m| m.burners.value *= times);
    k.tins.iter_mut().for_each(|m| m.count.value *= times);
    k.trays.iter_mut().for_each(|m| m.count.value *= times);
    k.tubs.iter_mut().for_each(|m| m.count.value *= times);
    for s in k.cold.iter_mut().chain(&mut k.warm).chain(&mut k.racks) {
        s.shelves.value *= times;
    }
    for c in &mut k.circuits {
        c.carries.value = c.carries.value.times(i64::from(times));
    }
    course
}

#[test]
fn trial() {
    let course = demo();
    let (class, portions, options) = inputs(&course, None);
    for (key, splits) in &options.splits {
        println!("{key:?}: {} splits", splits.len());
        for b in &splits[0].batches {
            println!("   {} {:?} {:?} {:?} {}", b.no, b.variant, b.members, b.vessel, b.why);
        }
    }
    for (key, bakes) in &options.bakes {
        println!("{key:?}: {} bakes", bakes.len());
        for l in &bakes[0].loads {
            println!("   {} {:?} {:?} {:?}", l.no, l.members, l.fits, l.heat);
        }
    }
    let before = std::time::Instant::now();
    let effort = Effort { combinations: 1, ..Effort::default() };
    let Planned { plan, impossible, refused } = plan(&course, &class, &portions, &options, effort);
    println!("{:?} impossible {impossible}", before.elapsed());
    for broken in &refused {
        println!("{broken:?}");
    }
    let plan = plan.unwrap();
    for term in &plan.objective {
        println!("{term:?}");
    }
    println!("steps {}", plan.steps);
    for task in plan.tasks.iter().take(0) {
        let time = |z: &jiff::ZonedDateTime| z.strftime("%a %H:%M").to_string();
        let uses: Vec<String> = task.uses.iter().map(|u| format!("{}x{}", u.resource, u.amount)).collect();
        println!(
            "{} {}  {:40} {:?} {:?} {}",
            time(&task.start),
            time(&task.end),
            task.id,
            task.hands,
            task.by,
            uses.join(" ")
        );
    }
    println!("{:?}", plan.sessions.iter().map(|s| s.finish.to_string()).collect::<Vec<_>>());
}

#[test]
fn terms() {
    use benchroll::reckon::plan::{
        grid::Calendar,
        jobs::{Jobs, Picked},
        schedule::Budget,
        solver, tasks,
    };
    let course = demo();
    let n: Option<u32> = std::env::var("HEADS").ok().and_then(|n| n.parse().ok());
    let times: u32 = std::env::var("TIMES").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    let course = grown(course, times);
    let (class, portions, options) = inputs(&course, n);
    let mut picked = Picked::default();
    for (k, s) in &options.splits {
        picked.splits.insert(k.clone(), s[0].clone());
    }
    for (k, s) in &options.bakes {
        picked.bakes.insert(k.clone(), s[0].clone());
    }
    let jobs = Jobs::of(&course, &class, &portions, &picked);
    let calendar = Calendar::of(&course).unwrap();
    let model = tasks::model(&jobs, &calendar, tasks::Ask::default());
    let problem = &model.problem;
    println!(
        "{} tasks {} lags {} holds {} aparts {} resources {:?}",
        problem.tasks.len(),
        problem.lags.len(),
        problem.holds.len(),
        problem.aparts.len(),
        problem.resources.len(),
        problem.symmetries.iter().map(|s| s.members.len()).collect::<Vec<_>>()
    );
    for k in 0..=problem.objective.len() {
        let mut p = problem.clone();
        p.objective.truncate(k);
        let before = std::time::Instant::now();
        let out = solver::solve(&p, &Budget { per_term: 200_000, conflict: 0 });
        println!(
            "{k}: {} steps {:?} {:?}",
            out.steps,
            before.elapsed(),
            out.terms.iter().map(|t| (t.value, t.bound)).collect::<Vec<_>>()
        );
    }
}
