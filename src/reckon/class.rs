//! The roll, or a headcount, to stations: who sits where, and which variant each station follows.
//!
//! Seats are given in the order of the roll, pairs together, so that nobody moves when someone joins at the end or a row is
//! marked as cancelled: a cancelled row keeps its seat empty until someone needs it.

use super::recipes::Recipes;
use super::variants::{self, Gravity};
use super::work::{Class, Seat, Station};
use crate::course::{AllergenId, Course, Severity, StationNo, Status};
use crate::finding::Finding;
use std::collections::{BTreeMap, BTreeSet};

/// One who may sit: a row of the roll, or an unnamed one of a headcount.
#[derive(Clone)]
struct Guest {
    row: Option<usize>,
    coming: bool,
    wish: Option<u32>,
    avoids: BTreeSet<AllergenId>,
    left_handed: bool,
}

/// Seats everyone who comes.
///
/// `headcount` asks what if so many come: more adds unnamed people, fewer takes away unnamed rows first, then people from the
/// end of the roll, and never one who avoids something. If it would have to, that is an error and the roll is seated as it is.
pub fn seat(course: &Course, headcount: Option<u32>) -> (Class, Vec<Finding>) {
    // What does not resolve is told where formulas are checked.
    let (recipes, _) = Recipes::of(course);
    let mut findings = Vec::new();
    let mut guests = guests(course);
    if let Some(wanted) = headcount {
        fit_headcount(course, &mut guests, wanted as usize, &mut findings);
    }
    let units = units(course, &guests, &mut findings);
    let seats = course.kitchen.stations.seats.value.max(1) as usize;
    let count = course.kitchen.stations.count.value as usize;
    let coming = guests.iter().filter(|g| g.coming).count();

    // The kindest way first; where it leaves a pair apart or someone without a seat though there are enough, a plainer one.
    let ways = [(true, false), (false, false), (false, true)];
    let plans = ways.map(|(apart, large_first)| {
        let mut plan = Seating::new(&guests, seats, count, apart);
        plan.place_all(&units, large_first);
        plan
    });
    let [first, second, third] = plans;
    let best =
        [&second, &third].into_iter().fold(&first, |a, b| if b.trouble() < a.trouble() { b } else { a });
    for message in &best.notes {
        findings.push(message.clone());
    }

    let places_short = coming.saturating_sub(seats * count) as u32;
    if places_short > 0 {
        let message = format!(
            "{coming} people are coming and the kitchen seats {} ({count} stations of {seats}): {places_short} {} short",
            seats * count,
            if places_short == 1 { "place" } else { "places" }
        );
        // A question asked with a headcount is answered; a roll that is too long must not be taught.
        let finding = if headcount.is_some() {
            Finding::warning("places-short", course.kitchen.stations.count.place, message)
        } else {
            Finding::error("places-short", course.kitchen.stations.count.place, message)
        };
        findings.push(
            finding.way_out("set up more stations, more seats at each, or move people to the waiting list"),
        );
    }
    if coming == 0 {
        findings.push(
            Finding::error("nobody-comes", None, "nobody on the roll is coming")
                .in_file("roll.csv")
                .way_out("add a row with the status `coming`, or ask with --headcount"),
        );
    }
    if let Some(least) = &course.settings.least_headcount
        && coming < least.value as usize
        && coming > 0
    {
        findings.push(
            Finding::warning(
                "too-few-to-run",
                least.place,
                format!("{coming} people are coming and the course runs from {}", least.value),
            )
            .way_out("tell people by the date you promised, or lower `least`"),
        );
    }

    let mut stations = best.stations(&guests);
    let everyone_avoids = airborne(course, &guests);
    let mut everyone = BTreeMap::new();
    for lesson in &course.lessons {
        if !everyone_avoids.is_empty() {
            let grave = everyone_avoids.iter().map(|a| (a.clone(), Gravity::Airborne)).collect();
            let picked = variants::choose(course, &recipes, lesson, &grave);
            if let Some(v) = picked.variant {
                everyone.insert(lesson.id.value.clone(), v);
            }
        }
        for station in &mut stations {
            let own = station.avoids.iter().map(|a| (a.clone(), variants::gravity(course, station, a)));
            let avoids = own.chain(everyone_avoids.iter().map(|a| (a.clone(), Gravity::Airborne))).collect();
            let picked = variants::choose(course, &recipes, lesson, &avoids);
            findings.extend(variants::findings(course, lesson, station, &picked));
            if let Some(v) = picked.variant {
                station.variants.insert(lesson.id.value.clone(), v);
            }
        }
    }
    findings.extend(variants::flour_room(course, &stations));
    (Class { headcount: coming as u32, stations, places_short, everyone }, findings)
}

/// The rows that hold or held a seat, in the order of the roll.
fn guests(course: &Course) -> Vec<Guest> {
    course
        .roll
        .iter()
        .enumerate()
        .filter(|(_, p)| p.status.value != Status::Waiting)
        .map(|(row, p)| Guest {
            row: Some(row),
            coming: p.status.value == Status::Coming,
            wish: p.station.as_ref().map(|s| s.value.0),
            avoids: p.avoids.iter().map(|a| a.what.value.clone()).collect(),
            left_handed: p.needs.iter().any(|n| n.value == "left-handed"),
        })
        .collect()
}

fn fit_headcount(course: &Course, guests: &mut Vec<Guest>, wanted: usize, findings: &mut Vec<Finding>) {
    let coming = guests.iter().filter(|g| g.coming).count();
    for _ in coming..wanted {
        guests.push(Guest {
            row: None,
            coming: true,
            wish: None,
            avoids: BTreeSet::new(),
            left_handed: false,
        });
    }
    let avoiding = guests.iter().filter(|g| g.coming && !g.avoids.is_empty()).count();
    if wanted < avoiding {
        findings.push(
            Finding::error(
                "headcount-drops-someone-who-avoids",
                None,
                format!("a headcount of {wanted} would leave out someone who avoids something: {avoiding} of those who come do"),
            )
            .in_file("roll.csv")
            .way_out("mark in the roll who does not come"),
        );
        return;
    }
    let named =
        |g: &Guest| g.row.and_then(|r| course.roll.get(r)).is_some_and(|p| !p.name.value.trim().is_empty());
    for only_unnamed in [true, false] {
        for i in (0..guests.len()).rev() {
            let still = guests.iter().filter(|g| g.coming).count();
            let guest = &guests[i];
            if still > wanted && guest.coming && guest.avoids.is_empty() && !(only_unnamed && named(guest)) {
                guests[i].coming = false;
            }
        }
    }
}

/// What anyone who comes reacts to through the air.
fn airborne(course: &Course, guests: &[Guest]) -> Vec<AllergenId> {
    let all: BTreeSet<AllergenId> = guests
        .iter()
        .filter(|g| g.coming)
        .filter_map(|g| g.row.and_then(|r| course.roll.get(r)))
        .flat_map(|p| &p.avoids)
        .filter(|a| a.severity == Severity::Airborne)
        .map(|a| a.what.value.clone())
        .collect();
    all.into_iter().collect()
}

/// People who sit together, by position in `guests`, in the order of their first rows; none larger than a station.
fn units(course: &Course, guests: &[Guest], findings: &mut Vec<Finding>) -> Vec<Vec<usize>> {
    let key = |name: &str| name.trim().to_lowercase();
    let person = |g: &Guest| g.row.and_then(|r| course.roll.get(r));
    let mut group: Vec<usize> = (0..guests.len()).collect();
    for (i, guest) in guests.iter().enumerate() {
        let Some(with) = person(guest).and_then(|p| p.with.as_ref()) else { continue };
        let partner = guests
            .iter()
            .position(|g| person(g).is_some_and(|p| key(&p.name.value) == key(&with.value)))
            .filter(|j| *j != i);
        match partner {
            Some(j) => {
                let (keep, change) = (group[i].min(group[j]), group[i].max(group[j]));
                for g in &mut group {
                    if *g == change {
                        *g = keep;
                    }
                }
            }
            None if guest.coming => findings.push(Finding::note(
                "partner-not-coming",
                with.place,
                format!("`{}` is not coming, so this seat is filled from the roll", with.value),
            )),
            None => {}
        }
    }
    let seats = course.kitchen.stations.seats.value.max(1) as usize;
    let mut units = Vec::new();
    for first in 0..guests.len() {
        let members: Vec<usize> = (0..guests.len()).filter(|i| group[*i] == first).collect();
        let coming = members.iter().filter(|i| guests[**i].coming).count();
        if coming > seats {
            let place = members.iter().find_map(|i| person(&guests[*i]).and_then(|p| p.with.as_ref())?.place);
            findings.push(
                Finding::warning(
                    "too-many-together",
                    place,
                    format!("{coming} people want to sit together and a station seats {seats}"),
                )
                .way_out("they are seated side by side at the next stations"),
            );
        }
        // Those who left give way first when a group is larger than a station.
        let (here, gone): (Vec<usize>, Vec<usize>) = members.into_iter().partition(|i| guests[*i].coming);
        if here.len() >= seats {
            units.extend(here.chunks(seats).map(<[usize]>::to_vec));
        } else {
            let mut unit: Vec<usize> =
                here.iter().copied().chain(gone.into_iter().take(seats - here.len())).collect();
            unit.sort_unstable();
            if !unit.is_empty() {
                units.push(unit);
            }
        }
    }
    units
}

/// Stations being filled.
struct Seating<'a> {
    guests: &'a [Guest],
    seats: usize,
    /// Stations that the kitchen has.
    count: usize,
    /// Keep a station free for people who avoid something, where there is room.
    apart: bool,
    /// Who sits where; beyond `count` are stations that the kitchen lacks.
    filled: Vec<Vec<usize>>,
    split: usize,
    notes: Vec<Finding>,
}

impl<'a> Seating<'a> {
    fn new(guests: &'a [Guest], seats: usize, count: usize, apart: bool) -> Self {
        Seating { guests, seats, count, apart, filled: vec![Vec::new(); count], split: 0, notes: Vec::new() }
    }

    /// How badly it went: units torn apart, people beyond the kitchen's stations.
    fn trouble(&self) -> (usize, usize) {
        (self.filled.iter().skip(self.count).map(|s| self.coming(s)).sum(), self.split)
    }

    fn coming(&self, seated: &[usize]) -> usize {
        seated.iter().filter(|i| self.guests[**i].coming).count()
    }

    fn avoids(&self, seated: &[usize]) -> BTreeSet<AllergenId> {
        seated
            .iter()
            .filter(|i| self.guests[**i].coming)
            .flat_map(|i| self.guests[*i].avoids.clone())
            .collect()
    }

    fn place_all(&mut self, units: &[Vec<usize>], large_first: bool) {
        let wish =
            |u: &Vec<usize>| u.iter().find_map(|i| self.guests[*i].wish.filter(|_| self.guests[*i].coming));
        let mut order: Vec<(&Vec<usize>, Option<u32>)> = units.iter().map(|u| (u, wish(u))).collect();
        // Promised stations first, then the roll.
        order.sort_by_key(|(u, w)| (w.is_none(), if large_first { self.seats - u.len() } else { 0 }));
        for (unit, wish) in order {
            if let Some(no) = wish {
                let at = (no as usize).wrapping_sub(1);
                let free = self.filled.get(at).map_or(0, |s| self.seats - s.len());
                if at < self.count && free >= unit.len() {
                    self.filled[at].extend(unit);
                    continue;
                }
                let message = if at >= self.count {
                    format!("station {no} is promised, and the kitchen has {}", self.count)
                } else {
                    format!("station {no} is promised to more people than its {} seats", self.seats)
                };
                self.notes.push(
                    Finding::warning("station-wish-not-met", None, message)
                        .in_file("roll.csv")
                        .way_out("the seat was given by the order of the roll"),
                );
            }
            self.place(unit);
        }
    }

    fn place(&mut self, unit: &[usize]) {
        let anyone = self.coming(unit) > 0;
        if let Some(at) = self.choose(unit) {
            self.filled[at].extend(unit);
            return;
        }
        if !anyone {
            return;
        }
        // Seats that were kept for those who left are given away before a station is added.
        let unit: Vec<usize> = unit.iter().copied().filter(|i| self.guests[*i].coming).collect();
        let room = |s: &Vec<usize>| self.seats - self.coming(s) >= unit.len();
        // A station where somebody avoids something comes last for those who avoid nothing.
        let free = self.avoids(&unit).is_empty();
        let given = || {
            let with_room = (0..self.count).filter(|at| room(&self.filled[*at]));
            with_room.min_by_key(|at| (free && !self.avoids(&self.filled[*at]).is_empty(), *at))
        };
        if let Some(at) = self.choose(&unit).or_else(given) {
            let mut spare = (self.filled[at].len() + unit.len()).saturating_sub(self.seats);
            let guests = self.guests;
            self.filled[at].retain(|i| {
                let drop = spare > 0 && !guests[*i].coming;
                spare -= usize::from(drop);
                !drop
            });
            self.filled[at].extend(unit);
            return;
        }
        let left: usize = self.filled.iter().take(self.count).map(|s| self.seats - self.coming(s)).sum();
        if unit.len() > 1 && left >= unit.len() {
            self.split += 1;
            self.notes.push(
                Finding::warning(
                    "pair-apart",
                    None,
                    "people who want to sit together are at two stations: no station has that many seats left",
                )
                .in_file("roll.csv"),
            );
            for one in unit {
                self.place(&[one]);
            }
            return;
        }
        let beyond =
            (self.count..self.filled.len()).find(|at| self.filled[*at].len() + unit.len() <= self.seats);
        match beyond {
            Some(at) => self.filled[at].extend(unit),
            None => self.filled.push(unit),
        }
    }

    /// A station of the kitchen with room: with those who avoid the same, else an empty one, for people who avoid
    /// something; for others the first one, and one where somebody avoids something last.
    fn choose(&self, unit: &[usize]) -> Option<usize> {
        let own = self.avoids(unit);
        (0..self.count).filter(|at| self.filled[*at].len() + unit.len() <= self.seats).min_by_key(|at| {
            let there = self.avoids(&self.filled[*at]);
            let rank = match (own.is_empty(), there.is_empty(), self.filled[*at].is_empty()) {
                _ if !self.apart => 0,
                (false, false, _) if there == own => 0,
                (false, _, true) => 1,
                (false, true, false) => 2,
                (false, false, _) => 3,
                (true, true, _) => 0,
                (true, false, _) => 1,
            };
            (rank, *at)
        })
    }

    fn stations(&self, guests: &[Guest]) -> Vec<Station> {
        self.filled
            .iter()
            .enumerate()
            .map(|(at, seated)| {
                let mut here: Vec<usize> = seated.iter().copied().filter(|i| guests[*i].coming).collect();
                // A left-handed person sits at the left end, so that elbows do not meet.
                here.sort_by_key(|i| (!guests[*i].left_handed, *i));
                Station {
                    no: StationNo(at as u32 + 1),
                    seats: here.iter().map(|i| Seat { person: guests[*i].row }).collect(),
                    variants: BTreeMap::new(),
                    avoids: self.avoids(seated).into_iter().collect(),
                }
            })
            .filter(|s| !s.seats.is_empty())
            .collect()
    }
}

#[cfg(test)]
mod tests;
