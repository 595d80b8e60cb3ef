#![allow(missing_docs, clippy::all, clippy::unwrap_used, clippy::print_stdout)]
#[path = "../tests/engine_class.rs"]
mod engine_class;
use benchroll::reckon::plan::{problem::*, schedule::*, solver::*, verify::*};
use std::time::Instant;
fn run(name: &str, p: &Problem) {
    let per: u64 = std::env::var("STEPS").ok().and_then(|s| s.parse().ok()).unwrap_or(2_000_000);
    let t = Instant::now();
    let o = solve(p, &Budget { per_term: per, conflict: per });
    let dt = t.elapsed().as_secs_f64();
    print!("{name}: {} tasks {:.2}s steps {} ", p.tasks.len(), dt, o.steps);
    match &o.schedule {
        Some(s) => {
            let b = verify(p, s);
            print!("breaches {} ", b.len());
            if !b.is_empty() {
                println!("{:?}", &b[..1]);
            }
        }
        None => {
            print!("NONE impossible {} conflict {:?} {}", o.impossible, o.conflict, o.conflict_is_minimal)
        }
    }
    for t in &o.terms {
        print!("[{} {} >= {} {} {}] ", t.name, t.value, t.bound, t.proven, t.proven_in_order);
    }
    println!();
}
fn shop(file: &str) -> Problem {
    let text = std::fs::read_to_string(format!("/tmp/engine/{file}.txt")).unwrap();
    let jobs: Vec<Vec<(usize, i32)>> = text
        .lines()
        .map(|l| {
            let n: Vec<i32> = l
                .split(|c: char| !c.is_ascii_digit())
                .filter(|s| !s.is_empty())
                .map(|s| s.parse().unwrap())
                .collect();
            n.chunks(2).map(|c| (c[0] as usize, c[1])).collect()
        })
        .collect();
    let h = jobs.iter().flatten().map(|x| x.1).sum();
    let mut p = Problem::new(h);
    let m = jobs[0].len();
    let res: Vec<_> = (0..m).map(|i| p.resource(&i.to_string(), 1, Reason::Always)).collect();
    let mut lasts = vec![];
    for j in &jobs {
        let mut prev: Option<TaskId> = None;
        for (mi, d) in j {
            let t = p.task("", vec![Way::fixed("", *d)]);
            p.uses(t, res[*mi], 1);
            if let Some(q) = prev {
                p.after(Point::end(q), Point::start(t), 0);
            }
            prev = Some(t);
        }
        lasts.push(Point::end(prev.unwrap()));
    }
    p.objective = vec![Term { name: "makespan".into(), sum: vec![(1, Quantity::Latest(lasts))] }];
    p
}
fn main() {
    for a in std::env::args().skip(1) {
        if let Some(n) = a.strip_prefix("class") {
            run(&a, &engine_class::class(n.parse().unwrap()));
        } else {
            run(&a, &shop(&a));
        }
    }
}
