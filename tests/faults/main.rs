//! Kills and faults by the hundred: `cargo bench --bench faults --profile dev -- --kills 200 --seed 1`.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

mod ground;
mod kills;
mod refusals;

use ground::Ground;

fn main() {
    let line: Vec<String> = std::env::args().collect();
    let number = |name: &str, usual: u64| {
        let at = line.iter().position(|word| word == name);
        at.map_or(usual, |at| line[at + 1].parse().unwrap())
    };
    let (kills, seed) = (u32::try_from(number("--kills", 200)).unwrap(), number("--seed", 1));
    let ground = Ground::new();
    println!("a run lasts {:?}, and writes for {:?} of it", ground.lasts, ground.writes);
    let tally = kills::kill(&ground, kills, seed);
    println!(
        "killed {} times (seed {seed}): {} before it wrote, {} while it staged, {} while it moved files; \
         {} of these while it finished what a kill had left; sets lost: {}",
        tally.kills,
        tally.before,
        tally.staging,
        tally.moving,
        tally.twice,
        tally.lost.len()
    );
    let mut refused = refusals::Tally::default();
    let blocks: Vec<u32> = (0..10).map(|n| n * 20).collect();
    refusals::refuse_growth(&ground, &blocks, &mut refused);
    let rooms: Vec<usize> = (0..24).map(|n| n * 60).collect();
    refusals::refuse_room(&ground, &rooms, &mut refused);
    let step = usize::try_from(number("--step", 1)).unwrap();
    refusals::refuse_calls(&ground, step, &mut refused);
    println!(
        "refused {} times, killed at {} system calls; sets lost: {}",
        refused.faults,
        refused.kills,
        refused.lost.len()
    );
    for what in refused.left_out {
        println!("left out: {what}");
    }
    for lost in tally.lost.iter().chain(&refused.lost) {
        println!("LOST {lost}");
    }
    assert!(tally.lost.is_empty() && refused.lost.is_empty());
}
