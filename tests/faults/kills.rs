//! `prepare`, killed at moments that a seed chooses: a quarter of them anywhere in the run, a quarter while it stages files, half while it moves
//! them.

use super::ground::{Ground, Standing, noted_when, pause, staged, staged_when};
use std::path::Path;
use std::time::Duration;

/// What came of the kills.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tally {
    /// Runs that were killed.
    pub kills: u32,
    /// Of these: before anything was written; while files were staged; while they were moved.
    pub before: u32,
    pub staging: u32,
    pub moving: u32,
    /// Runs that were killed as they finished what another had left.
    pub twice: u32,
    /// Kills after which neither the former nor the new set was whole, even after the next start.
    pub lost: Vec<String>,
}

/// A plain generator of numbers (Marsaglia's xorshift), so that a moment is its seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % most.max(1)
    }

    fn moment(&mut self, most: Duration) -> Duration {
        Duration::from_micros(self.below(most.as_micros().try_into().unwrap()))
    }
}

/// Kills so many runs, which write now one set and now the other into the same folder, and looks at it after each.
pub fn kill(ground: &Ground, kills: u32, seed: u64) -> Tally {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let mut tally = Tally::default();
    let out = ground.path("killed");
    let mut stood = Standing::Nothing;
    while tally.kills < kills {
        let left = staged(&out);
        let which = usize::from(stood == Standing::Set(0));
        if !killed(ground, &mut dice, which, &out) {
            stood = look(ground, &out, &mut tally, "a run that ended");
            continue;
        }
        tally.kills += 1;
        tally.twice += u32::from(stood == Standing::Between);
        let when = format!("kill {}", tally.kills);
        let stands = look(ground, &out, &mut tally, &when);
        match stands {
            Standing::Between => tally.moving += 1,
            _ if staged(&out) && !left => tally.staging += 1,
            _ => tally.before += 1,
        }
        // The set that stood, or the one that was to come: nothing else.
        let come = Standing::Set(which);
        if stands != stood && stands != come && stands != Standing::Between && stood != Standing::Between {
            tally.lost.push(format!("kill {}: {stood:?} became {stands:?}", tally.kills));
        }
        // Half of the cut writes are finished in peace, and must say so; the others are met by the next kill.
        stood = match stands {
            Standing::Between if dice.below(2) == 0 => {
                let told = ground.next_start(which, &out);
                assert!(told.contains("An earlier run had been cut off"), "{told}");
                Standing::Set(which)
            }
            stands => stands,
        };
    }
    ground.next_start(0, &out);
    tally
}

/// Runs once and kills it at a moment; whether it was still running.
fn killed(ground: &Ground, dice: &mut Dice, which: usize, out: &Path) -> bool {
    let sort = dice.below(4);
    // From the first file that is staged, or from the journal, after which files are moved.
    let seen = if sort == 1 { staged_when } else { noted_when };
    let before = seen(out);
    let mut run = ground.prepare(which, out).spawn().unwrap();
    if sort == 0 {
        std::thread::sleep(dice.moment(ground.lasts));
    } else {
        while seen(out) == before && run.try_wait().unwrap().is_none() {
            pause();
        }
        // Writing takes as long as the disk likes: each share of the time that was measured, down to a thousandth, is as likely.
        let share = dice.below(10);
        std::thread::sleep(dice.moment(ground.writes / (1 << share)));
    }
    let running = run.try_wait().unwrap().is_none();
    run.kill().unwrap();
    let ended = run.wait().unwrap();
    running && ended.code().is_none()
}

fn look(ground: &Ground, out: &Path, tally: &mut Tally, when: &str) -> Standing {
    ground.standing(out).unwrap_or_else(|why| {
        tally.lost.push(format!("{when}: {why}"));
        // What is lost is told once: the folder is begun anew.
        std::fs::remove_dir_all(out).unwrap();
        Standing::Nothing
    })
}
