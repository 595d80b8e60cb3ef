//! How sure a class is with a lever: what helps a class to fit may leave it to end late more often than not.

use super::{Change, Lever};
use crate::course::{Course, SessionId};
use crate::reckon::plan::chance;
use crate::reckon::plan::check::check;
use crate::reckon::plan::choose::{Effort, plan};
use crate::reckon::plan::numbers::by_the_clock;
use crate::reckon::{class, options, scale};
use crate::units::Percent;

/// Each session with the chance that it ends on time.
pub type OnTime = Vec<(SessionId, Percent)>;

/// The chance that each session ends on time with a change, by so many draws: of the plan that is made when it is written down. `None`:
/// in as many steps as the plan itself is looked for with, none was found that fits.
#[must_use]
pub fn on_time(course: &Course, headcount: Option<u32>, lever: &Lever, draws: u32) -> Option<OnTime> {
    let changed = lever.change.apply(course)?;
    let headcount = if let Change::Fewer(people) = lever.change { Some(people) } else { headcount };
    let (class, _) = class::seat(&changed, headcount);
    let portions = scale::portions(&changed, &class);
    let (options, _) = options::options(&changed, &class, &portions);
    let found = plan(&changed, &class, &portions, &options, Effort::default()).plan;
    let found = found.filter(|plan| plan.fits)?;
    let numbered = by_the_clock(&changed, &class, &portions, found.clone());
    let holds = check(&changed, &class, &portions, &numbered).is_empty();
    let found = if holds { numbered } else { found };
    let odds = chance::odds(&changed, &class, &portions, &found, draws)?;
    Some(odds.sessions.into_iter().map(|one| (one.id, one.on_time)).collect())
}
