//! The plan from now on, for programs: as `plan`, and what is different.

use super::findings::FindingView;
use super::moment;
use super::plan::{PlanView, WaitView};
use crate::course::StationNo;
use crate::reckon::plan::catch_up::{CaughtUp, Changed, Food, Heats, KeptClean, LostCold, Place, WayOut};
use crate::reckon::plan::check::Broken;
use crate::reckon::plan::choose::Planned;
use crate::reckon::plan::idle::longest_wait_without;
use crate::reckon::washed::WashedUp;
use serde::Serialize;

/// What `catch-up` answers.
#[derive(Serialize, Debug)]
pub struct CatchUpView {
    /// The plan from now on; what was is as it was.
    #[serde(flatten)]
    pub plan: PlanView,
    /// What is different, by the clock.
    pub changes: Vec<ChangeView>,
    /// What of the course can no longer be kept.
    pub broken: Vec<BrokenView>,
    /// What stood in a cold place that has failed: it comes before any plan.
    pub lost_cold: Vec<LostColdView>,
    /// Ids of tasks that had begun on something that has failed, and begin again.
    pub again: Vec<String>,
    /// Ids of tasks that cannot be done without what has failed, and of those after them; of what was not done and cannot be made up for;
    /// and of what an earlier plan had left out for good: they are not in the plan.
    pub left_out: Vec<String>,
    /// Ids of tasks that an earlier plan had left out, and that this one has again.
    pub back: Vec<String>,
    /// Ids of tasks that were not done, and of those that would have begun on them, where they are planned now.
    pub made_up: Vec<String>,
    /// Ids of tasks that are kneaded by hand, since no mixer is left for them.
    pub by_hand: Vec<String>,
    /// Loads that no oven that is left takes at once: for each the ids of the tasks in which it is baked, its own first.
    pub parted: Vec<Vec<String>>,
    /// Ovens that are turned otherwise than printed, by the clock.
    pub heats: Vec<HeatsView>,
    /// What is washed and kept apart otherwise than printed for somebody who avoids something, by the clock.
    pub kept_clean: Vec<KeptCleanView>,
    /// All that was to be made is in the plan: nothing is left out.
    pub whole: bool,
    /// Where it runs over: what could be left out so that it runs over less, each tried.
    pub ways_out: Vec<WayOutView>,
    /// What was said without its number or group, and what it was taken for: notes. Food that is out of its limits by this plan and is not
    /// by the course's own: errors.
    pub findings: Vec<FindingView>,
}

/// An oven that is turned otherwise than printed.
#[derive(Serialize, Debug)]
pub struct HeatsView {
    /// Which, as in `uses`.
    pub oven: String,
    /// When it is turned.
    pub from: String,
    /// When it is there.
    pub there: String,
    /// To what, in degrees Celsius.
    pub heat_c: String,
    /// It gets there by cooling.
    pub cools: bool,
    /// The id of the task for which it is.
    pub task: String,
    /// When it was to be turned for that task, where that is printed and has not come yet: not then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instead_of: Option<String>,
}

impl HeatsView {
    fn of(heats: &Heats) -> Self {
        HeatsView {
            oven: heats.oven.clone(),
            from: moment(&heats.from),
            there: moment(&heats.there),
            heat_c: heats.heat.to_decimal().normalize().to_string(),
            cools: heats.cools,
            task: heats.task.clone(),
            instead_of: heats.printed.as_ref().map(|(from, _)| moment(from)),
        }
    }
}

/// A task that is kept clean of something otherwise than printed.
#[derive(Serialize, Debug)]
pub struct KeptCleanView {
    /// Its id.
    pub task: String,
    /// What is washed before: `trays`, `oven`, `mixer`, `pan`, `beside` (pan, spoons and bench of its own), `pot`,
    /// `tool` (whatever else goes from hand to hand).
    pub washed: Vec<&'static str>,
    /// What it is kept clean of, by the ids of what somebody avoids.
    pub of: Vec<String>,
    /// Stations whose pieces are on the top rack, above all others.
    pub top: Vec<u32>,
    /// Stations with nothing above them, and pieces of others beside them.
    pub level: Vec<u32>,
    /// Stations right above whose places nothing stands that holds what they avoid.
    pub column: Vec<u32>,
    /// Stations above whose pieces nothing is that holds what they avoid.
    pub clear: Vec<u32>,
    /// Stations whose pieces stand beside each other on every rack, none above another's.
    pub beside: Vec<u32>,
    /// Stations whose pieces no way keeps from what is above them.
    pub not_apart: Vec<u32>,
    /// Stations that avoid severely what lies beside them: no rack of their own was free.
    pub shares: Vec<u32>,
}

impl KeptCleanView {
    /// A view of one.
    #[must_use]
    pub fn of(kept: &KeptClean) -> Self {
        let word = |washed: &WashedUp| match washed {
            WashedUp::Trays => "trays",
            WashedUp::Oven => "oven",
            WashedUp::Mixer => "mixer",
            WashedUp::Pan => "pan",
            WashedUp::Beside => "beside",
            WashedUp::Pot => "pot",
            WashedUp::HandToHand => "tool",
        };
        let numbers = |stations: &[StationNo]| stations.iter().map(|no| no.0).collect();
        KeptCleanView {
            task: kept.task.clone(),
            washed: kept.washed.iter().map(word).collect(),
            of: kept.of.iter().map(ToString::to_string).collect(),
            top: numbers(&kept.apart.top),
            level: numbers(&kept.apart.level),
            column: numbers(&kept.apart.column),
            clear: numbers(&kept.apart.clear),
            beside: numbers(&kept.apart.beside),
            not_apart: numbers(&kept.apart.not),
            shares: numbers(&kept.apart.shares),
        }
    }
}

/// A talk or the like of the class that could be left out.
#[derive(Serialize, Debug)]
pub struct WayOutView {
    /// The task's id.
    pub leave_out: String,
    /// How much it runs over in all then.
    pub overrun_minutes: i64,
}

/// A cold place that has failed.
#[derive(Serialize, Debug)]
pub struct LostColdView {
    /// The kitchen's id.
    pub place: String,
    /// It keeps frozen and not only cold.
    pub frozen: bool,
    /// What of the class stands there now.
    pub food: Vec<LostFoodView>,
    /// Ids of what is kept cold in the pantry, and may stand there too.
    pub stock: Vec<String>,
    /// The cold places that are left.
    pub others: Vec<String>,
    /// Steps that need such a place later, as `lesson.step`.
    pub to_come: Vec<String>,
}

/// Food that has lost its cold.
#[derive(Serialize, Debug)]
pub struct LostFoodView {
    /// The step in which it stands, as `lesson.step`.
    pub step: String,
    /// The parts; none for the pieces.
    pub parts: Vec<String>,
}

impl LostColdView {
    fn of(lost: &LostCold) -> Self {
        let food = |food: &Food| LostFoodView {
            step: format!("{}.{}", food.lesson, food.step),
            parts: food.parts.iter().map(ToString::to_string).collect(),
        };
        LostColdView {
            place: lost.place.to_string(),
            frozen: lost.frozen,
            food: lost.food.iter().map(food).collect(),
            stock: lost.stock.iter().map(ToString::to_string).collect(),
            others: lost.others.iter().map(|(id, _)| id.to_string()).collect(),
            to_come: lost.to_come.iter().map(|(lesson, step)| format!("{lesson}.{step}")).collect(),
        }
    }
}

/// One change.
#[derive(Serialize, Debug)]
pub struct ChangeView {
    /// The task.
    pub id: String,
    /// Where it was; `None` for what the printed plan has not: a wait in the cold, or what was left out.
    pub was: Option<PlaceView>,
    /// Where it is now; `None` for one that falls away.
    pub now: Option<PlaceView>,
}

/// When, by whom of the staff, and on what.
#[derive(Serialize, Debug)]
pub struct PlaceView {
    /// Its start.
    pub start: String,
    /// Its end.
    pub end: String,
    /// Which of the staff.
    pub by: Vec<String>,
    /// What it keeps busy, by id and number.
    pub uses: Vec<String>,
}

/// Something that can no longer be kept.
#[derive(Serialize, Debug)]
pub struct BrokenView {
    /// Which rule.
    pub rule: &'static str,
    /// The tasks.
    pub tasks: Vec<String>,
    /// What is wrong, with its numbers.
    pub message: String,
}

impl CatchUpView {
    /// A view of what came of planning again, if anything did.
    #[must_use]
    pub fn of(
        after: Option<&CaughtUp>,
        ways: &[WayOut],
        lost: &[LostCold],
        findings: Vec<FindingView>,
    ) -> Self {
        let plan = after.map(|after| after.plan.clone());
        let wait = after.and_then(|after| longest_wait_without(&after.plan, &after.empty));
        let broken =
            |b: &Broken| BrokenView { rule: b.rule, tasks: b.tasks.clone(), message: b.message.clone() };
        CatchUpView {
            plan: PlanView {
                longest_wait: wait.map(WaitView::of),
                // The batches and loads are those on paper: no others are tried.
                splits_tried: None,
                splits: None,
                ..PlanView::of(&Planned::given(plan), None)
            },
            changes: after.iter().flat_map(|a| &a.changes).map(change).collect(),
            broken: after.iter().flat_map(|a| &a.broken).map(broken).collect(),
            lost_cold: lost.iter().map(LostColdView::of).collect(),
            again: after.map(|a| a.again.clone()).unwrap_or_default(),
            left_out: after.map(|a| a.left_out.all().into_iter().collect()).unwrap_or_default(),
            back: after.map(|a| a.back.clone()).unwrap_or_default(),
            made_up: after.map(|a| a.made_up.clone()).unwrap_or_default(),
            by_hand: after.iter().flat_map(|a| &a.by_hand).map(|(id, _)| id.clone()).collect(),
            parted: after.iter().flat_map(|a| a.parted.iter().map(|p| p.tasks(&a.plan))).collect(),
            heats: after.iter().flat_map(|a| &a.heats).map(HeatsView::of).collect(),
            kept_clean: Vec::new(),
            whole: after.is_some_and(|a| a.left_out.all().is_empty()),
            ways_out: ways.iter().map(WayOutView::of).collect(),
            findings,
        }
    }
}

impl WayOutView {
    fn of(way: &WayOut) -> Self {
        WayOutView { leave_out: way.id.clone(), overrun_minutes: way.overrun.get() }
    }
}

fn change(changed: &Changed) -> ChangeView {
    let place = |place: &Place| PlaceView {
        start: moment(&place.start),
        end: moment(&place.end),
        by: place.by.clone(),
        uses: place.uses.clone(),
    };
    ChangeView {
        id: changed.id.clone(),
        was: changed.was.as_ref().map(place),
        now: changed.now.as_ref().map(place),
    }
}
