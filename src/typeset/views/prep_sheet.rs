//! What staff make ahead on one day, in order.

use super::common::{About, Block, Day, ForWhom, SlipRef, Step, WeighList};
use super::desk::{Desk, minute_of};
use super::run_staff::{OwnHours, own_hours};
use crate::course::{Ahead, Hands};
use crate::reckon::list_words::uncovered;
use crate::reckon::plan::chains::policy;
use crate::reckon::plan::timetable::PlannedTask;
use jiff::civil::Date;
use serde::Serialize;

/// What `templates/prep-sheet.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PrepSheet {
    /// `prep-sheet`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The day.
    pub day: Day,
    /// Something on it is made ahead; else it is only what staff do when no class is there.
    pub ahead: bool,
    /// When the first thing on it is to be done, minutes after midnight.
    pub begins: i64,
    /// Until when somebody is needed: the last that is done, or carried to where it then stands by itself.
    pub ends: i64,
    /// The rail's begin: whole hours round them.
    pub from: i64,
    /// Its end.
    pub to: i64,
    /// The clock rail: what hands do (labels are task numbers).
    pub rail: Vec<Block>,
    /// What stands meanwhile.
    pub meanwhile: Vec<Block>,
    /// The tasks by the clock.
    pub tasks: Vec<PrepTask>,
    /// Breaks of the staff, and when they come and go, where that is written of them alone and no class is there; each stands among the
    /// tasks by its time.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub own_hours: Vec<OwnHours>,
}

/// One task.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PrepTask {
    /// What is done; its number stands on the rail.
    pub step: Step,
    /// Who of the staff, by name; empty where there is only one.
    pub who: Vec<String>,
    /// For whom.
    pub for_whom: Option<ForWhom>,
    /// Why it is made ahead: `always` or `to-fit`: a key of the catalogue's `[ahead]`; empty where it does not apply.
    pub why: String,
    /// What to weigh for it.
    pub weigh: Vec<WeighList>,
    /// The slips to put on it.
    pub slips: Vec<SlipRef>,
}

impl PrepSheet {
    /// An empty sheet of this kind.
    pub fn new() -> PrepSheet {
        PrepSheet { kind: "prep-sheet", ..PrepSheet::default() }
    }
}

impl PrepSheet {
    /// One sheet for each day on which staff work outside the sittings.
    pub fn all(desk: &Desk) -> Vec<(Date, PrepSheet)> {
        let mut days: Vec<Date> = Vec::new();
        for task in desk.plan.tasks.iter().filter(|t| is_prep(desk, t)) {
            if !days.contains(&task.start.date()) {
                days.push(task.start.date());
            }
        }
        days.into_iter().map(|day| (day, PrepSheet::of(desk, day))).collect()
    }

    /// The sheet of one day.
    pub fn of(desk: &Desk, day: Date) -> PrepSheet {
        let mut number = 0;
        let (mut tasks, mut rail, mut meanwhile) = (Vec::new(), Vec::new(), Vec::new());
        let today = desk.plan.tasks.iter().filter(|t| t.start.date() == day);
        // What is one batch at one time is one card, though the plan has it once for each variant that it is for.
        let mut cards: Vec<Vec<&PlannedTask>> = Vec::new();
        for task in today.filter(|t| is_prep(desk, t) || follows(desk, t)) {
            match cards.iter_mut().find(|card| is_one(desk, card[0], task)) {
                Some(card) => card.push(task),
                None => cards.push(vec![task]),
            }
        }
        let ahead = cards.iter().flatten().any(|t| t.made_ahead);
        let lessons = cards.iter().flatten().filter_map(|t| t.lesson.clone()).collect();
        for card in cards {
            let works = card[0].hands != Hands::Nobody;
            if works {
                number += 1;
            }
            let made = prep_task(desk, &card, works.then_some(number), day);
            let (from, to) = (made.step.from, made.step.to);
            if works {
                let label = number.to_string();
                rail.push(Block { from, to, label, tone: "hands".to_owned(), ..Block::default() });
            } else {
                let label = made.step.name.clone();
                meanwhile.push(Block { from, to, label, tone: "waits".to_owned(), ..Block::default() });
            }
            tasks.push(made);
        }
        // A quarter of an hour of air before and after.
        let from = tasks.iter().map(|t| t.step.from).min().unwrap_or(0);
        // What somebody must carry into the cold later is work too, though it then stands by itself.
        let ends = tasks.iter().map(|t| if t.step.number.is_some() { t.step.to } else { t.step.from });
        let to = ends.max().unwrap_or(from);
        PrepSheet {
            about: desk.about_lessons(&lessons),
            day: day.into(),
            ahead,
            begins: from,
            ends: to,
            from: from.div_euclid(60) * 60,
            to: (to + 75).div_euclid(60) * 60,
            rail,
            meanwhile,
            tasks,
            own_hours: outside(desk, day, (from, to)),
            ..PrepSheet::new()
        }
    }
}

/// What there is to tell of the staff's own hours while they work without a class: in it the run sheet tells it.
fn outside(desk: &Desk, day: Date, span: (i64, i64)) -> Vec<OwnHours> {
    let sits = |at: i64| {
        desk.course.sessions.iter().any(|session| {
            let (from, to) = (minute_of(&session.from.value, day), minute_of(&session.to.value, day));
            (from..to).contains(&at)
        })
    };
    let mut all = own_hours(desk, day, span);
    all.retain(|line| !sits(line.at));
    all
}

/// Staff's hands, and no sitting.
pub(super) fn is_prep(desk: &Desk, task: &PlannedTask) -> bool {
    matches!(task.hands, Hands::Staff | Hands::Teacher | Hands::Helper)
        && task.lesson.is_some()
        && desk.session_at(&task.start).is_none()
}

/// What stands by itself, of what staff made outside the sittings: what they put away as a sitting begins is theirs to put away too.
fn follows(desk: &Desk, task: &PlannedTask) -> bool {
    let put_away = |t: &&PlannedTask| is_prep(desk, t) && t.end == task.start && same_batch(desk, t, task);
    task.hands == Hands::Nobody
        && desk.batch(task).and_then(|b| desk.mixing(b)).is_some_and(|t| is_prep(desk, t))
        && (desk.session_at(&task.start).is_none() || desk.plan.tasks.iter().any(|t| put_away(&t)))
}

fn same_batch(desk: &Desk, one: &PlannedTask, other: &PlannedTask) -> bool {
    let key = |t| desk.batch(t).map(|b| (&b.lesson, &b.part, b.no));
    key(one).is_some() && key(one) == key(other)
}

fn is_one(desk: &Desk, one: &PlannedTask, other: &PlannedTask) -> bool {
    (&one.step, &one.start, &one.end) == (&other.step, &other.start, &other.end)
        && same_batch(desk, one, other)
}

fn prep_task(desk: &Desk, card: &[&PlannedTask], number: Option<u32>, day: Date) -> PrepTask {
    let task = card[0];
    let mut step = desk.step_view(task, number, day, None);
    // Staff know these movements; their sheet is for weights and times.
    step.drawings.clear();
    // What one of those for whom it is made is kept clean of, the batch is.
    for other in card.iter().skip(1).filter_map(|t| desk.wash_up(t)) {
        let known = step.wash_up.get_or_insert_with(|| other.clone());
        known.free_from = uncovered(known.free_from.drain(..).chain(other.free_from).collect());
    }
    let batch = desk.batch(task);
    let lesson = task.lesson.as_ref().and_then(|l| desk.course.lesson(l));
    let why = match lesson.zip(desk.step(task)).map(|(l, s)| policy(l, s)) {
        Some(Ahead::Always) => "always",
        Some(Ahead::IfNeeded) if task.made_ahead => "to-fit",
        _ => "",
    };
    let begins = batch.is_some_and(|b| desk.mixing(b).is_some_and(|t| card.iter().any(|c| c.id == t.id)));
    let weigh = match batch {
        Some(batch) if begins => desk.batch_lists(batch),
        Some(_) => Vec::new(),
        None if number.is_some() => desk.begun_lists(task),
        None => Vec::new(),
    };
    // Where a dish goes is said of that dish.
    let slip = batch.filter(|_| begins || number.is_none()).and_then(|b| desk.slip(&b.lesson, &b.part, b.no));
    let mut who: Vec<String> = card.iter().flat_map(|t| &t.by).map(|by| desk.staff_name(by)).collect();
    who.dedup();
    who.retain(|_| number.is_some() && !desk.course.settings.helpers.is_empty());
    PrepTask {
        step,
        who,
        for_whom: Some(desk.for_whom(card.iter().flat_map(|t| &t.members).map(|(w, _)| w)))
            .filter(|_| number.is_some()),
        why: if number.is_some() { why.to_owned() } else { String::new() },
        weigh,
        slips: slip.cloned().into_iter().collect(),
    }
}
