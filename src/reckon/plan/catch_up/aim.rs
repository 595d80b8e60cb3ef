//! What a plan for the rest of a day is to be.

use super::super::jobs::Jobs;
use super::super::problem::{Lag, Point, Quantity, Reason, TaskId, Term};
use super::super::replay::Replay;
use super::super::schedule::Schedule;
use super::super::tasks::{Model, OVERRUN, Reading};
use super::past::{Past, Standing};
use super::{OFF_BREAK, OVERSTAYED};

/// What it is to begin something earlier than printed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Earlier {
    /// As good or as bad as to begin it later.
    Counts,
    /// Worse than anything that begins later: only what keeps the sessions from running over longer.
    Least,
    /// Nothing does.
    Never,
}

/// The aim that counts by how much things begin earlier than printed.
const EARLIER: &str = "earlier-minutes";

/// What is overstayed: moments with the slot by which they should have been, and tasks that last as long.
pub(super) type Overstays = (Vec<(Point, i32)>, Vec<TaskId>);

/// Least overstayed, then least over the end, then breaks as near to their time as they can be, then as little moved as possible.
pub(super) fn aim(
    jobs: &Jobs<'_>,
    replay: &Replay,
    model: &mut Model,
    past: &Past,
    (waits, longer): Overstays,
    breaks: Vec<TaskId>,
    earlier: Earlier,
) {
    let step = model.calendar.grid.step().get();
    let mut terms = Vec::new();
    if !waits.is_empty() || !longer.is_empty() {
        let late = waits.into_iter().map(|(point, above)| (1, Quantity::Excess { point, above }));
        let sum = late.chain(longer.into_iter().map(|task| (1, Quantity::Duration(task)))).collect();
        terms.push(Term { name: OVERSTAYED.to_owned(), sum });
    }
    terms.extend(model.problem.objective.iter().find(|t| t.name == OVERRUN).cloned());
    if !breaks.is_empty() {
        let sum = breaks.into_iter().map(|task| (1, Quantity::Duration(task))).collect();
        terms.push(Term { name: OFF_BREAK.to_owned(), sum });
    }
    let zero = TaskId(jobs.jobs.len());
    let open = (0..jobs.jobs.len()).filter(|n| past.standing[*n] == Standing::Open);
    match earlier {
        Earlier::Counts => {}
        Earlier::Least => {
            let printed = |n: usize| Point::start(zero).later(replay.at[n].0);
            let by = |n: usize| {
                let latest = Quantity::Latest(vec![Point::start(TaskId(n)), printed(n)]);
                [(1, latest), (-1, Quantity::Start(TaskId(n)))]
            };
            terms.push(Term { name: EARLIER.to_owned(), sum: open.clone().flat_map(by).collect() });
        }
        Earlier::Never => {
            for n in open.clone() {
                let least = replay.at[n].0;
                model.problem.lag(Point::start(zero), Point::start(TaskId(n)), least, None, Reason::Always);
            }
        }
    }
    let moved = |n: usize| (1, Quantity::Moved { point: Point::start(TaskId(n)), from: replay.at[n].0 });
    let goes_on =
        |(n, _): (&usize, &i32)| (1, Quantity::Moved { point: Point::end(TaskId(*n)), from: past.end[*n] });
    let sum = open.clone().map(moved).chain(past.taken.iter().map(goes_on)).collect();
    terms.push(Term { name: "moved-minutes".to_owned(), sum });
    let known = [OVERRUN, OVERSTAYED, OFF_BREAK, EARLIER, "moved-minutes"];
    let reading = |term: &Term| {
        let term = known.into_iter().find(|name| *name == term.name).unwrap_or("moved-minutes");
        Reading { term, plus: 0, times: step }
    };
    model.readings = terms.iter().map(reading).collect();
    model.problem.objective = terms;
    (model.problem.hints.lesser, model.problem.hints.tidy) = (false, None);
    // Sessions may run over: that is what the first term is for.
    let gone = model.gone.clone();
    let ends_early = |lag: &Lag| lag.to == Point::start(zero) && gone.contains(&lag.from.task);
    model.problem.lags.retain(|lag| !ends_early(lag));
    let all = model.problem.tasks.len();
    let start = |n: usize| past.start.get(n).copied().unwrap_or(0);
    let end = |n: usize| past.end.get(n).copied().unwrap_or(0);
    model.problem.hints.warm = Some(Schedule {
        start: (0..all).map(start).collect(),
        end: (0..all).map(end).collect(),
        way: (0..all).map(|n| replay.at.get(n).map_or(0, |at| at.2)).collect(),
    });
    model.problem.symmetries.clear();
    model.problem.numberings.clear();
}
