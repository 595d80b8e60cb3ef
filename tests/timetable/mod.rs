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
fn why_not() {
    use benchroll::reckon::plan::{
        grid::Calendar,
        jobs::{Jobs, Picked},
        schedule::Budget,
        solver, tasks,
    };
    let course = demo();
    let (class, portions, options) = inputs(&course, None);
    let mut picked = Picked::default();
    for (k, s) in &options.splits {
        picked.splits.insert(k.clone(), s[0].clone());
    }
    for (k, s) in &options.bakes {
        picked.bakes.insert(k.clone(), s[0].clone());
    }
    let jobs = Jobs::of(&course, &class, &portions, &picked);
    let calendar = Calendar::of(&course).unwrap();
    println!("{:?}", calendar.sessions);
    println!("{:?} {:?} {}", calendar.attended, calendar.quiet, calendar.horizon);
    let model = tasks::model(
        &jobs,
        &calendar,
        tasks::Ask { over: Some(48), name_ends: true, everything_ahead: false },
    );
    for (n, t) in model.problem.tasks.iter().enumerate() {
        for w in &t.ways {
            if w.least > w.most {
                println!("!! {n} {} {:?}", t.name, w);
            }
        }
    }
    println!(
        "{} tasks {} lags {} holds {} aparts",
        model.problem.tasks.len(),
        model.problem.lags.len(),
        model.problem.holds.len(),
        model.problem.aparts.len()
    );
    let out = solver::solve(&model.problem, &Budget { per_term: 100000, conflict: 100000 });
    println!("{} impossible {}", out.schedule.is_some(), out.impossible);
    for r in &out.conflict {
        println!("{}", model.problem.reasons[r.0]);
    }
    let mut bare = model.problem.clone();
    bare.objective.clear();
    {
        let mut p = bare.clone();
        p.lags.clear();
        p.holds.clear();
        p.aparts.clear();
        p.links.clear();
        p.symmetries.clear();
        let all = p.tasks.clone();
        for n in 0..all.len() {
            let mut q = p.clone();
            q.tasks = vec![all[n].clone()];
            let out = solver::solve(&q, &Budget { per_term: 20000, conflict: 0 });
            if out.impossible {
                println!("task {:?}", all[n]);
            }
        }
    }
    for what in 0..7 {
        let mut p = bare.clone();
        match what {
            0 => p.lags.clear(),
            1 => p.holds.clear(),
            2 => p.aparts.clear(),
            3 => p.links.clear(),
            4 => p.symmetries.clear(),
            5 => {
                for t in &mut p.tasks {
                    for w in &mut t.ways {
                        w.windows.clear();
                    }
                }
            }
            _ => p.lags.iter_mut().for_each(|l| l.most = None),
        }
        let out = solver::solve(&p, &Budget { per_term: 20000, conflict: 0 });
        println!("without {what}: {} impossible {}", out.schedule.is_some(), out.impossible);
    }
}
