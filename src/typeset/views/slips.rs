//! Small slips to cut: on tubs and trays what is in them, on tins and tray places whose they are; and who bakes where.

use super::common::{About, ForWhom, Measure, Moment, Rack};
use super::desk::{Desk, minute_of, moment};
use super::on_racks::racks;
use super::wording::{HeldWords, doubted, held};
use crate::course::{Lasts, Where};
use crate::reckon::allergens::{of_part, of_piece};
use crate::reckon::scale::pieces_of;
use crate::reckon::work::Whom;
use crate::units::Grams;
use serde::Serialize;

/// What `templates/slips.typ` receives.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Slips {
    /// `slips`.
    pub kind: &'static str,
    /// The course.
    pub about: About,
    /// On tubs and trays.
    pub contents: Vec<ContentSlip>,
    /// On tins and tray places.
    pub names: Vec<NameSlip>,
    /// Who bakes where, by load.
    pub positions: Vec<Positions>,
}

/// What is in a tub or on a tray.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ContentSlip {
    /// `tub` or `dish`: a key of the catalogue's `[slip]`.
    pub on: String,
    /// The slip's number, as the prep sheet and the pull list name it.
    pub number: u32,
    /// The lesson.
    pub lesson: String,
    /// The part.
    pub part: String,
    /// The variant, printed large: it must not be taken for another.
    pub variant: Option<String>,
    /// What the variant's name or claim says is out and may be in it all the same: printed beside the name.
    pub doubted: Vec<String>,
    /// For whom, printed large.
    pub for_whom: ForWhom,
    /// How much is in this one, when what stays on hook, pan and bowl is gone.
    pub amount: Measure,
    /// How much there is of it in all its tubs together.
    pub total: Measure,
    /// Of this left over when all have theirs, as less cannot be made; none: nothing.
    pub over: Option<Measure>,
    /// In so many tubs; each has a slip of its own.
    pub vessels: u32,
    /// Made, by the plan.
    pub made: Moment,
    /// Out of the cold by this moment, as the lesson writes how long it may stand there; what is made of it may take longer. `None`:
    /// it is not in the cold, or nobody wrote how long.
    pub out_by: Option<Moment>,
    /// Contains, by the words of the course's list.
    pub contains: Vec<String>,
    /// May contain, by the words of the course's list.
    pub may_contain: Vec<String>,
    /// Ingredients whose packs nobody has read.
    pub unknown: Vec<String>,
    /// Keep in the cold.
    pub cold: bool,
}

/// Whose a tin or a place on a tray is.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NameSlip {
    /// The person, or all who share the piece.
    pub name: String,
    /// The station.
    pub station: String,
    /// What is in it.
    pub lesson: String,
    /// The variant.
    pub variant: Option<String>,
    /// What the variant's name or claim says is out and may be in it all the same: printed beside the name.
    pub doubted: Vec<String>,
}

/// One load with its people.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Positions {
    /// The sitting's name.
    pub sitting: String,
    /// The lesson.
    pub lesson: String,
    /// Which oven.
    pub oven: String,
    /// The load's number.
    pub load: u32,
    /// In, minutes after midnight.
    pub from: i64,
    /// The racks; labels are names.
    pub racks: Vec<Rack>,
}

impl Slips {
    /// An empty sheet of this kind.
    pub fn new() -> Slips {
        Slips { kind: "slips", ..Slips::default() }
    }
}

impl Slips {
    /// All slips of the class, and who bakes where.
    pub fn of(desk: &Desk) -> Slips {
        Slips {
            about: desk.about(),
            contents: contents(desk),
            names: names(desk),
            positions: positions(desk),
            ..Slips::new()
        }
    }
}

fn contents(desk: &Desk) -> Vec<ContentSlip> {
    let mut found = Vec::new();
    for slip in desk.slips() {
        let Some(batch) = desk.batch_of(&slip.lesson, &slip.part, slip.batch) else { continue };
        let Some(lesson) = desk.course.lesson(&slip.lesson) else { continue };
        let formula = &lesson.formula.value;
        let made = desk.recipes.get(formula, batch.variant.as_ref());
        let in_it = made.map(|r| of_part(&r.formula, &desk.course.pantry, &slip.part)).unwrap_or_default();
        let words = made
            .map(|_| held(desk.course, &in_it))
            // Of what does not resolve nothing is known.
            .unwrap_or_else(|| HeldWords {
                contains: Vec::new(),
                may_contain: Vec::new(),
                unknown: vec![desk.part_name(formula, &slip.part)],
            });
        let mixing = desk.mixing(batch);
        // Its last stand in the cold, with the longest that the lesson allows.
        let cold = desk.plan.tasks.iter().rfind(|t| {
            desk.place(t) == Where::Cold
                && desk
                    .batch(t)
                    .is_some_and(|b| (&b.lesson, &b.part, b.no) == (&batch.lesson, &batch.part, batch.no))
        });
        let most = cold.and_then(|t| desk.step(t)).and_then(|s| match &s.lasts {
            Lasts::Stands(stands) => stands.value.most,
            Lasts::Takes { .. } => None,
        });
        let out_by = cold
            .zip(most)
            .and_then(|(t, m)| t.start.checked_add(jiff::SignedDuration::from_mins(m.get())).ok());
        let shares = desk.shares(batch);
        let one = ContentSlip {
            on: slip.slip.on.clone(),
            lesson: desk.lesson_name(&slip.lesson),
            part: desk.part_name(formula, &slip.part),
            variant: batch.variant.as_ref().map(|v| desk.variant_name(v)),
            doubted: doubted(desk.course, formula, batch.variant.as_ref(), &in_it),
            for_whom: desk.for_whom(batch.members.iter().map(|(w, _)| w)),
            total: desk.mass(shares.whole()),
            over: (shares.over > Grams::ZERO).then(|| desk.mass(shares.over)),
            vessels: u32::try_from(slip.each.len()).unwrap_or(u32::MAX),
            made: mixing.map(|t| moment(&t.end)).unwrap_or_default(),
            out_by: out_by.as_ref().map(moment),
            contains: words.contains,
            may_contain: words.may_contain,
            unknown: words.unknown,
            cold: cold.is_some(),
            ..ContentSlip::default()
        };
        let own = |(number, grams): &(u32, Grams)| ContentSlip {
            number: *number,
            amount: desk.mass(*grams),
            ..one.clone()
        };
        found.extend(slip.each.iter().map(own));
    }
    found
}

/// Whose a piece is: one's own where there are enough for all, else of all who share it. Of fewer pieces than people each has one slip, and
/// on it all their names.
fn owners(people: Vec<String>, pieces: u32) -> Vec<String> {
    match usize::try_from(pieces).unwrap_or(usize::MAX) {
        0 => Vec::new(),
        pieces if pieces >= people.len() => people,
        pieces => vec![people.join(", "); pieces],
    }
}

/// A name for each piece that has a tin of its own; for the others one for each student's place on a tray.
fn names(desk: &Desk) -> Vec<NameSlip> {
    let mut found = Vec::new();
    for station in &desk.class.stations {
        for lesson in &desk.course.lessons {
            let followed = station.variants.get(&lesson.id.value);
            let variant = followed.map(|v| desk.variant_name(v));
            let made = desk.recipes.get(&lesson.formula.value, followed);
            let in_it = made.map(|r| of_piece(&r.formula, &desk.course.pantry)).unwrap_or_default();
            let doubts = doubted(desk.course, &lesson.formula.value, followed, &in_it);
            let whom = Whom::Station(station.no);
            let pieces =
                pieces_of(lesson, desk.class).into_iter().find(|(w, _)| *w == whom).map_or(0, |p| p.1);
            for name in owners(desk.people(station), pieces) {
                found.push(NameSlip {
                    name,
                    station: station.no.to_string(),
                    lesson: desk.lesson_name(&lesson.id.value),
                    variant: variant.clone(),
                    doubted: doubts.clone(),
                });
            }
        }
    }
    found
}

fn positions(desk: &Desk) -> Vec<Positions> {
    let mut found = Vec::new();
    for task in &desk.plan.tasks {
        let (Some(load), Some(session)) = (desk.load(task), desk.session_at(&task.start)) else { continue };
        if desk.place(task) != Where::Oven {
            continue;
        }
        let Some(lesson) = desk.course.lesson(&load.lesson) else { continue };
        // A tin is one person's; a tray may hold several people's, and is then its station's.
        let single = desk.course.formula(&lesson.formula.value).is_some_and(|f| f.piece.tin.is_some());
        let whose = |whom: &Whom, n: u32| match whom {
            Whom::Station(no) => {
                let people = desk.station(*no).map(|s| desk.people(s)).unwrap_or_default();
                let pieces =
                    pieces_of(lesson, desk.class).into_iter().find(|(w, _)| w == whom).map_or(0, |p| p.1);
                match people.get(n as usize) {
                    Some(name) if single && pieces as usize == people.len() => name.clone(),
                    _ => no.to_string(),
                }
            }
            Whom::Stage { .. } | Whom::Spare => "*".to_owned(),
        };
        found.push(Positions {
            sitting: desk.sitting(session).name,
            lesson: desk.lesson_name(&load.lesson),
            oven: desk.machine(task).map_or_else(String::new, |(_, name)| name),
            load: load.no,
            from: minute_of(&task.start, task.start.date()),
            racks: racks(desk, task, load, whose).unwrap_or_default(),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_that_two_share_has_one_slip_with_both_names() {
        let people = || vec!["Ann".to_owned(), "Ben".to_owned()];
        assert_eq!(owners(people(), 1), ["Ann, Ben"]);
        assert_eq!(owners(people(), 2), ["Ann", "Ben"]);
        // Three buns for each: a place on the tray is one's own.
        assert_eq!(owners(people(), 6), ["Ann", "Ben"]);
        assert_eq!(owners(people(), 0), Vec::<String>::new());
        let three = vec!["Ann".to_owned(), "Ben".to_owned(), "Cem".to_owned()];
        assert_eq!(owners(three, 2), ["Ann, Ben, Cem", "Ann, Ben, Cem"]);
    }
}
