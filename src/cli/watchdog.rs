//! Ends the program when a template runs away: typesetting can't be stopped from within, and a course brings templates of its own.
//!
//! A thread looks at the clock and at the memory. While pages are made, nothing is being written, so the set that was there
//! before stands as it was.

use super::{Exit, Terminal};
use crate::course::limits::{PAGE_MEMORY, PAGE_SECONDS, PROGRAM_MEMORY};
use crate::finding::{Finding, Sources};
use crate::pipeline::Watch;
use crate::typeset::Overseer;
use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// How often it looks.
const LOOK: Duration = Duration::from_millis(50);
/// Another number of seconds, for a machine that is slow, or for a test.
const SECONDS: &str = "BENCHROLL_PAGE_SECONDS";
/// Another size, in MiB, for a machine that is large.
const MEBIBYTES: &str = "BENCHROLL_PAGE_MIB";

/// What is being made at this moment.
struct Pages {
    /// Each template, and on how many threads.
    running: BTreeMap<String, usize>,
    /// When one was begun after none, or done: as long as some come to an end, a large class is only a large class.
    moved: Option<Instant>,
    /// The memory that was taken when the first was begun, in bytes.
    before: u64,
}

static PAGES: Mutex<Pages> = Mutex::new(Pages { running: BTreeMap::new(), moved: None, before: 0 });

fn pages() -> MutexGuard<'static, Pages> {
    PAGES.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Tells the watchdog what is being made, and nobody else.
pub struct Watched;

impl Overseer for Watched {
    fn begins(&self, template: &str) {
        let mut pages = pages();
        if pages.running.is_empty() {
            pages.moved = Some(Instant::now());
            pages.before = taken().unwrap_or(0);
        }
        *pages.running.entry(template.to_owned()).or_insert(0) += 1;
    }
    fn ends(&self, template: &str) {
        let mut pages = pages();
        pages.moved = Some(Instant::now());
        if let Some(threads) = pages.running.get_mut(template) {
            *threads -= 1;
            if *threads == 0 {
                pages.running.remove(template);
            }
        }
    }
}

impl Watch for Watched {
    fn stage(&self, _: &str, _: usize) {}
    fn one(&self) {}
}

/// Begins to watch, for as long as the process lives.
pub fn watch() {
    let limit = |name: &str, usual: u64| {
        std::env::var(name).ok().and_then(|text| text.parse().ok()).filter(|n| *n > 0).unwrap_or(usual)
    };
    let longest = Duration::from_secs(limit(SECONDS, PAGE_SECONDS));
    let page_memory = limit(MEBIBYTES, PAGE_MEMORY >> 20).saturating_mul(1 << 20);
    // Where no thread can be had, the program still works.
    let _ = std::thread::Builder::new().name("watchdog".to_owned()).spawn(move || {
        loop {
            std::thread::sleep(LOOK);
            if let Some(finding) = trouble(longest, page_memory) {
                end(finding);
            }
        }
    });
}

/// What has gone too far, if anything has.
fn trouble(longest: Duration, most: u64) -> Option<Finding> {
    let (names, since, before) = {
        let pages = pages();
        let names: Vec<String> = pages.running.keys().cloned().collect();
        (names, pages.moved.map(|m| m.elapsed()), pages.before)
    };
    let memory = taken();
    if !names.is_empty() {
        if since.is_some_and(|since| since > longest) {
            let message = format!("no page came to its end for {} s", longest.as_secs());
            return Some(runaway(&names, message, SECONDS));
        }
        let more = memory.map_or(0, |m| m.saturating_sub(before));
        if more > most {
            let message = format!("making pages took more than {} MiB of memory", most >> 20);
            return Some(runaway(&names, message, MEBIBYTES));
        }
    }
    memory.filter(|m| *m > PROGRAM_MEMORY.max(most)).map(|_| {
        let most = PROGRAM_MEMORY.max(most) >> 30;
        Finding::error("too-much-memory", None, format!("this course takes more than {most} GiB of memory"))
            .way_out("look for a number that is far too large: people, pieces, counts of the kitchen")
    })
}

fn runaway(names: &[String], message: String, variable: &str) -> Finding {
    let names = names.join(", ");
    Finding::error("template-runs-away", None, format!("{message}; at work were: {names}")).way_out(format!(
        "look for a loop in the course's own templates, or take them away: ours are used then. On a slow or large \
         machine set {variable} to a larger number. Nothing was written: what was there before is still whole"
    ))
}

/// Says it and ends the process: the thread at work hears nothing.
#[allow(clippy::exit)]
fn end(finding: Finding) -> ! {
    let mut terminal = Terminal::of_this_process();
    terminal.last_word(&[finding], &Sources::default());
    std::process::exit(i32::from(Exit::Machine.code()))
}

/// The memory that the process takes, in bytes, where the system tells it as a file.
fn taken() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<u64>().ok().map(|kib| kib * 1024)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Other tests share the pages that are at work, so the limits here are of those that none of them meets.
    #[test]
    fn what_runs_away_is_told_and_what_ends_is_not() {
        let (soon, long) = (Duration::ZERO, Duration::from_secs(3600));
        Watched.begins("templates/a.typ");
        std::thread::sleep(Duration::from_millis(2));
        let told = trouble(soon, u64::MAX).map(|f| (f.code.0, f.message));
        assert_eq!(
            told,
            Some((
                "template-runs-away",
                "no page came to its end for 0 s; at work were: templates/a.typ".into()
            ))
        );
        assert_eq!(trouble(long, u64::MAX), None);
        Watched.ends("templates/a.typ");
        assert_eq!(trouble(soon, u64::MAX), None);
    }
}
