//! Things go wrong on purpose: kills, a machine that refuses, a full disk. Afterwards the last good set is whole, by its manifest.
//!
//! A few of each here; `cargo bench --bench faults --profile dev` tries as many as one likes.

pub mod ground;
pub mod kills;
pub mod refusals;

use ground::Ground;
use refusals::Tally;

#[track_caller]
fn nothing_lost(tally: &Tally, tried: u32) {
    for what in &tally.left_out {
        eprintln!("not checked: {what}");
    }
    assert!(tally.lost.is_empty(), "{:#?}", tally.lost);
    assert!(!tally.left_out.is_empty() || tally.faults >= tried, "{tally:?}");
}

#[test]
fn a_run_that_is_killed_leaves_a_whole_set() {
    let tally = kills::kill(&Ground::new(), 8, 1);
    assert!(tally.lost.is_empty(), "{:#?}", tally.lost);
    assert_eq!(tally.kills, 8);
}

#[test]
fn a_machine_that_refuses_leaves_the_former_set() {
    let (ground, mut tally) = (Ground::new(), Tally::default());
    refusals::refuse_calls(&ground, 23, &mut tally);
    refusals::refuse_growth(&ground, &[0, 60], &mut tally);
    nothing_lost(&tally, 4);
}

#[test]
fn a_disk_that_is_full_leaves_the_former_set() {
    let (ground, mut tally) = (Ground::new(), Tally::default());
    refusals::refuse_room(&ground, &[0, 200, 20_000], &mut tally);
    nothing_lost(&tally, 3);
}
