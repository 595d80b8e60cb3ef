//! For one who takes an unbaked loaf home: how to keep it, until when, how to bake it.

use super::common::{About, Fact, Measure, Moment};
use super::desk::{Desk, moment};
use super::home_recipe::HomeStep;
use super::home_recipe::home_steps;
use super::label_sheet::Label;
use super::labels::printed;
use super::wording::{fact, oven_dial, temperature};
use crate::course::{Lesson, VariantId};
use crate::reckon::home::HomeBatch;
use crate::reckon::home::unbaked::out_at_home;
use crate::reckon::labels::unbaked_label;
use crate::reckon::people::contents;
use crate::reckon::plan::timetable::PlannedTask;
use crate::reckon::safety::Safety;
use crate::reckon::safety::control::may_hold_raw_egg;
use crate::reckon::work::Whom;
use crate::units::Minutes;
use serde::Serialize;

/// What `templates/bake-at-home.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct BakeAtHome {
    /// `bake-at-home`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// The formula's name.
    pub name: String,
    /// The variant.
    pub variant: Option<String>,
    /// Whose; empty: a blank is printed.
    pub whose: String,
    /// Keep it at most this warm; `None` is not known.
    pub keep_at: Option<Measure>,
    /// At most so many minutes out of the cold, all in all; `None` is not known.
    pub on_the_way: Option<i64>,
    /// Of these so many for what is done at home before the oven, each to its latest. It may be all of them, and more.
    pub at_home: Option<i64>,
    /// Bake it by.
    pub until: Option<Moment>,
    /// The steps; their times count from taking it out of the cold.
    pub steps: Vec<HomeStep>,
    /// Oven without a fan, and with one.
    pub oven: Vec<Fact>,
    /// What to do, in the teacher's words.
    pub say: String,
    /// It is raw: the caution that it must not be eaten unbaked is printed.
    pub raw: bool,
    /// Egg is in it, by its own variant: the caution names it.
    pub raw_egg: bool,
    /// Its own label.
    pub label: Option<Label>,
}

impl BakeAtHome {
    /// An empty sheet of this kind.
    pub fn new() -> BakeAtHome {
        BakeAtHome { kind: "bake-at-home", ..BakeAtHome::default() }
    }
}

impl BakeAtHome {
    /// The sheet for a lesson whose unbaked pieces may go home; `None` for any other. What it must be kept at, and how long it may
    /// be on the way, stand on it where the course says so.
    pub fn of(
        desk: &Desk,
        safety: &Safety,
        lesson: &Lesson,
        variant: Option<&VariantId>,
    ) -> Option<BakeAtHome> {
        let at_home = lesson.bake_at_home.as_ref()?;
        let formula = desk.course.formula(&lesson.formula.value)?;
        let batch = HomeBatch::of(desk.course, formula, Some(lesson), variant)?;
        let place = |id| lesson.steps.iter().position(|s| s.id.value == id);
        let up_to = place(at_home.up_to.value.clone())?;
        let mut steps: Vec<_> =
            batch.steps.iter().filter(|s| place(s.step.clone()).is_some_and(|n| n > up_to)).collect();
        steps.sort_by_key(|s| (s.from, s.to));
        let until = first_made(desk, lesson, variant)
            .and_then(|end| end.checked_add(jiff::SignedDuration::from_mins(at_home.keeps.value.get())).ok());
        let units = desk.units();
        let own_limit = desk.course.settings.own_limit.as_ref().map(|m| m.value);
        let out = out_at_home(lesson, &batch);
        let oven = steps.iter().find_map(|s| s.heat).map_or_else(Vec::new, |(still, fan)| {
            vec![fact("no-fan", vec![oven_dial(still, units)]), fact("fan", vec![oven_dial(fan, units)])]
        });
        Some(BakeAtHome {
            about: desk.about_food_of(Some(&lesson.id.value)),
            name: formula.name.value.clone(),
            variant: variant.map(|v| desk.variant_name(v)),
            until: until.as_ref().map(moment),
            steps: home_steps(desk, &batch, lesson, &steps),
            oven,
            say: at_home.say.as_ref().map_or_else(String::new, |s| s.value.clone()),
            raw: true,
            raw_egg: batch
                .formula
                .parts
                .iter()
                .any(|p| may_hold_raw_egg(&batch.formula, p, &desk.course.pantry)),
            // The rules' cold limit; without rules the sheet says "in the fridge" and no figure.
            keep_at: safety.set.and_then(|s| s.cold_max).map(|c| temperature(c, units)),
            on_the_way: own_limit.map(Minutes::get),
            at_home: own_limit.filter(|_| out > Minutes::ZERO).map(|_| out.get()),
            label: unbaked(desk, lesson, variant, until.as_ref()),
            ..BakeAtHome::new()
        })
    }
}

/// When the first of the pieces that this sheet is handed out with are made up to where they go home: none of them keeps longer than it
/// says. Where no station follows the variant, the first of all.
fn first_made<'d>(
    desk: &'d Desk,
    lesson: &Lesson,
    variant: Option<&VariantId>,
) -> Option<&'d jiff::ZonedDateTime> {
    let up_to = &lesson.bake_at_home.as_ref()?.up_to.value;
    let made = || {
        let of = |t: &&PlannedTask| {
            t.lesson.as_ref() == Some(&lesson.id.value) && t.step == *up_to && !t.cold_wait
        };
        desk.plan.tasks.iter().filter(of)
    };
    let follows =
        |whom: &Whom| matches!(whom, Whom::Station(no) if desk.variant_of(*no, &lesson.id.value) == variant);
    let own = made().filter(|t| t.members.iter().any(|(whom, _)| follows(whom))).map(|t| &t.end).min();
    own.or_else(|| made().map(|t| &t.end).min())
}

/// Its own label; nobody's, as the sheet is the same for all who take one home.
fn unbaked(
    desk: &Desk,
    lesson: &Lesson,
    variant: Option<&VariantId>,
    until: Option<&jiff::ZonedDateTime>,
) -> Option<Label> {
    let recipe = desk.recipes.get(&lesson.formula.value, variant)?;
    let keeps = jiff::SignedDuration::from_mins(lesson.bake_at_home.as_ref()?.keeps.value.get());
    let made = until.and_then(|by| by.checked_sub(keeps).ok()).map(|at| at.date());
    let dates = (made, until.map(|by| by.datetime()));
    let label = unbaked_label(desk.course, recipe, variant, lesson, dates)?;
    let room = contents(desk.course, desk.class, &desk.recipes);
    Some(printed(desk.course, recipe, &room, &label, String::new()))
}
