//! What is short, and how it is told: a shortage once, with what is short for the same reason.

use super::{Equipment, Need, Sort};
use crate::course::EquipId;
use crate::finding::Finding;

impl Equipment {
    /// Something is short that the plan does not work round.
    #[must_use]
    pub fn is_short(&self) -> bool {
        self.needs.iter().any(|n| n.short > 0 && n.needed_with_plan.is_none_or(|with| with > n.on_hand))
    }

    /// What the plan does not work round, and how many of it are short; what stands at each station that is short goes with it.
    #[must_use]
    pub fn short_in_the_plan(&self) -> Vec<(&EquipId, u32)> {
        let short = self.needs.iter().filter(|n| n.short > 0 && !self.goes_with_stations(n));
        let by = |n: &Need| n.needed_with_plan.map_or(n.short, |with| with.saturating_sub(n.on_hand));
        short.map(|n| (&n.item, by(n))).filter(|(_, by)| *by > 0).collect()
    }

    /// Whether a thing of each station is short for no other reason than that its station is: it is told with the station.
    #[must_use]
    pub fn goes_with_stations(&self, need: &Need) -> bool {
        goes_with_stations(&self.needs, need)
    }

    /// What is short with the stations that are short.
    #[must_use]
    pub fn short_with_stations(&self) -> Vec<&Need> {
        self.needs.iter().filter(|n| self.goes_with_stations(n)).collect()
    }
}

/// The same, before the equipment is put together.
pub(super) fn goes_with_stations(needs: &[Need], need: &Need) -> bool {
    let stations = needs.iter().find(|n| n.sort == Sort::Station).map_or(0, |n| n.short);
    need.sort == Sort::EachStation && need.short > 0 && need.short <= stations
}

/// Short but worked around is a note; no way round is an error; without a plan it is not known yet and warns.
/// A station that is short is told once, with what stands at it.
pub(super) fn shortage(need: &Need, with_stations: &[String]) -> Option<Finding> {
    if need.short == 0 {
        return None;
    }
    let with = match need.sort {
        Sort::Station if !with_stations.is_empty() => format!(", with {}", with_stations.join(", ")),
        _ => String::new(),
    };
    let lessons: Vec<String> = need.from.iter().map(|(l, _, n)| format!("{n} for `{l}`")).collect();
    let lessons = if lessons.is_empty() { String::new() } else { format!(" ({})", lessons.join(", ")) };
    let all = format!(
        "{} `{}` are needed at once{lessons} and {} are there: {} short{with}",
        need.needed, need.item, need.on_hand, need.short
    );
    let borrow = format!("borrow, hire or buy {}", need.short);
    Some(match need.needed_with_plan {
        None => Finding::warning("short-of", need.place, all).way_out(borrow),
        Some(n) if n <= need.on_hand => Finding::note(
            "short-but-in-turn",
            need.place,
            format!("{all}; the plan uses them in turn and needs {n}"),
        ),
        Some(n) => Finding::error("short-of", need.place, format!("{all}; even in turn the plan needs {n}"))
            .way_out(format!("borrow, hire or buy {}", n - need.on_hand)),
    })
}
