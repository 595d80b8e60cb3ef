//! Names to what they name, across the files: ingredients, parts, equipment, suppliers, sessions, people.

use super::allergen_words;
use super::table::{Log, did_you_mean, nearest};
use crate::course::{
    Allergens, At, Basis, Formula, Ingredient, Item, ItemKind, Kitchen, Lesson, Line, OwnStep, Pantry, Part,
    PartId, Person, Session, SessionId, Share, When,
};
use crate::finding::{Finding, Place};
use crate::units::{Minutes, Percent};
use std::collections::BTreeMap;
use std::fmt::Display;

/// Notes every id that stands a second time.
pub fn no_twins<'a, T: Ord + Display + 'a>(log: &Log, what: &str, ids: impl Iterator<Item = &'a At<T>>) {
    let mut seen: BTreeMap<&T, Option<Place>> = BTreeMap::new();
    for id in ids {
        match seen.get(&id.value) {
            Some(first) => log.note(
                Finding::error("duplicate-id", id.place, format!("there is a second {what} called `{id}`"))
                    .also(*first, "the first one")
                    .way_out("give one of them another name"),
            ),
            None => {
                seen.insert(&id.value, id.place);
            }
        }
    }
}

/// Notes a name that nothing bears, with the nearest one that something does.
pub fn unknown<'a>(
    log: &Log,
    code: Unknown,
    place: Option<Place>,
    message: String,
    name: &str,
    names: impl IntoIterator<Item = &'a str> + Clone,
) {
    let mut finding = match code {
        Unknown::Ingredient => Finding::error("unknown-ingredient", place, message),
        Unknown::Part => Finding::error("unknown-part", place, message),
        Unknown::Step => Finding::error("unknown-step", place, message),
        Unknown::Session => Finding::error("unknown-session", place, message),
        Unknown::Equipment => Finding::error("unknown-equipment", place, message),
        Unknown::Supplier => Finding::error("unknown-supplier", place, message),
        Unknown::Lesson => Finding::error("unknown-lesson", place, message),
    };
    finding.way_out = did_you_mean(name, names)
        .or_else(|| Some("write the name of one that is there, or add it".to_owned()));
    log.note(finding);
}

/// What an unknown name should have named.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unknown {
    /// An ingredient of the pantry, or a part.
    Ingredient,
    /// A part of the formula.
    Part,
    /// A step of the lesson.
    Step,
    /// A session.
    Session,
    /// A thing of the kitchen.
    Equipment,
    /// A supplier.
    Supplier,
    /// A lesson of the course.
    Lesson,
}

/// Suppliers of packs, stand-ins, allergen words of the pantry.
pub fn pantry(log: &Log, pantry: &Pantry) {
    let items: Vec<&str> = pantry.items.iter().map(|i| i.id.value.as_str()).collect();
    for item in &pantry.items {
        for pack in &item.packs {
            if pantry.supplier(&pack.supplier.value).is_none() && pack.supplier.place.is_some() {
                unknown(
                    log,
                    Unknown::Supplier,
                    pack.supplier.place,
                    format!("there is no supplier `{}`", pack.supplier),
                    pack.supplier.value.as_str(),
                    pantry.suppliers.iter().map(|s| s.id.value.as_str()),
                );
            }
        }
        for (stand_in, _) in &item.stand_ins {
            if pantry.item(&stand_in.value).is_none() {
                let message =
                    format!("`{}` names a stand-in `{stand_in}` that the pantry does not have", item.id);
                unknown(
                    log,
                    Unknown::Ingredient,
                    stand_in.place,
                    message,
                    stand_in.value.as_str(),
                    items.iter().copied(),
                );
            }
        }
        allergens(log, item, &items);
    }
}

fn allergens(log: &Log, item: &Item, items: &[&str]) {
    let Allergens::Stated { contains, may_contain, .. } = &item.allergens else { return };
    for word in contains {
        allergen_words::check(log, "contains", word, items);
    }
    for word in may_contain {
        allergen_words::check(log, "may-contain", word, items);
    }
}

/// Ingredients, parts and shares of a formula.
pub fn formula(log: &Log, formula: &Formula, pantry: Option<&Pantry>, kitchen: Option<&Kitchen>) {
    if let Some(pantry) = pantry {
        for line in formula
            .parts
            .iter()
            .flat_map(|p| &p.of)
            .chain(formula.variants.iter().flat_map(|v| v.lines.iter().map(|(_, l)| l)))
        {
            ingredient(log, formula, line, pantry);
        }
        let items: Vec<&str> = pantry.items.iter().map(|i| i.id.value.as_str()).collect();
        for word in formula.variants.iter().flat_map(|v| &v.free_from) {
            allergen_words::check(log, "free-from", word, &items);
        }
        for part in &formula.parts {
            flour(log, formula, part, pantry);
            holding_rule(log, part, pantry);
        }
    }
    circles(log, formula);
    if let Some(kitchen) = kitchen {
        let tins = kitchen.tins.iter().map(|t| t.id.value.as_str());
        let trays = kitchen.trays.iter().map(|t| t.id.value.as_str());
        if let Some(tin) = &formula.piece.tin
            && !tins.clone().any(|t| t == tin.value.as_str())
        {
            unknown(
                log,
                Unknown::Equipment,
                tin.place,
                format!("the kitchen has no tin `{tin}`"),
                tin.value.as_str(),
                tins,
            );
        }
        if let Some(tray) = &formula.piece.tray
            && !trays.clone().any(|t| t == tray.value.as_str())
        {
            let message = format!("the kitchen has no tray `{tray}`");
            unknown(log, Unknown::Equipment, tray.place, message, tray.value.as_str(), trays);
        }
    }
}

fn ingredient(log: &Log, formula: &Formula, line: &Line, pantry: &Pantry) {
    let Ingredient::Item(item) = &line.what.value else { return };
    if pantry.item(item).is_some() {
        return;
    }
    let names: Vec<&str> = pantry
        .items
        .iter()
        .map(|i| i.id.value.as_str())
        .chain(formula.parts.iter().map(|p| p.id.value.as_str()))
        .collect();
    let near = nearest(item.as_str(), names.iter().copied());
    let mut finding = Finding::error(
        "unknown-ingredient",
        line.what.place,
        format!("`{item}` is no ingredient of the pantry and no part of formula `{}`", formula.id),
    );
    finding.way_out = Some(match near {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!("add `[ingredients.{item}]` to `pantry.toml`"),
    });
    log.note(finding);
}

/// A part whose 100 % is its flour must hold flour.
fn flour(log: &Log, formula: &Formula, part: &Part, pantry: &Pantry) {
    if part.basis.value != Basis::Flour || part.of.is_empty() {
        return;
    }
    if carries_flour(formula, part, pantry, &mut Vec::new()) {
        return;
    }
    let known = part.of.iter().all(|l| match &l.what.value {
        Ingredient::Item(item) => pantry.item(item).is_some(),
        Ingredient::Part(_) => true,
    });
    // An unknown ingredient may be the flour: that is noted already.
    if known {
        log.note(
            Finding::error(
                "no-flour",
                part.basis.place,
                format!("part `{}` counts its shares on flour, and there is none in it", part.id),
            )
            .way_out(
                "add a flour, mark one as `kind = \"flour\"` in the pantry, or write `basis = \"whole\"`",
            ),
        );
    }
}

fn carries_flour<'a>(
    formula: &'a Formula,
    part: &'a Part,
    pantry: &Pantry,
    seen: &mut Vec<&'a PartId>,
) -> bool {
    if seen.contains(&&part.id.value) {
        return false;
    }
    seen.push(&part.id.value);
    part.of.iter().any(|line| match (&line.what.value, line.share.value) {
        (_, Share::Percent(p) | Share::Flour(p)) if p == Percent::ZERO => false,
        (Ingredient::Item(item), _) => pantry.item(item).is_some_and(|i| i.kind.value == ItemKind::Flour),
        (Ingredient::Part(id), _) => {
            formula.part(id).is_some_and(|p| carries_flour(formula, p, pantry, seen))
        }
    })
}

/// A part with egg, milk or something from the cold in it that says neither where it is kept nor whether it needs the cold.
fn holding_rule(log: &Log, part: &Part, pantry: &Pantry) {
    if part.keep.is_some() || part.needs_cold.is_some() || part.basis.value == Basis::Flour {
        return;
    }
    let from_the_cold = part.of.iter().find(|l| match &l.what.value {
        Ingredient::Item(item) => pantry.item(item).is_some_and(|i| {
            i.cold
                || matches!(i.kind.value, ItemKind::Egg | ItemKind::Yolk | ItemKind::White | ItemKind::Milk)
        }),
        Ingredient::Part(_) => false,
    });
    if let Some(line) = from_the_cold {
        log.note(
            Finding::note(
                "no-holding-rule",
                part.id.place,
                format!(
                    "part `{}` does not say how it is held; whether it may stand out stays unknown",
                    part.id
                ),
            )
            .also(line.what.place, "this comes from the cold")
            .way_out("add `keep = \"cold\"`; and `needs-cold = true` only where the finished piece needs the cold because of it, as with a custard or cheese"),
        );
    }
}

/// The parts that this one is made of, and so on, if that leads back to it.
fn circle_of(formula: &Formula, part: &Part) -> Option<Vec<PartId>> {
    let inner = |line: &crate::course::Line| match &line.what.value {
        Ingredient::Part(id) => Some(id.clone()),
        Ingredient::Item(_) => None,
    };
    super::order::circle(&part.id.value, |id| {
        formula.part(id).map_or_else(Vec::new, |part| part.of.iter().filter_map(inner).collect())
    })
}

/// Whether parts are made of each other: then nobody can say which goes into which, and steps on them are not looked at.
pub fn is_circular(formula: &Formula) -> bool {
    formula.parts.iter().any(|part| circle_of(formula, part).is_some())
}

/// Parts that are made of each other.
fn circles(log: &Log, formula: &Formula) {
    for part in &formula.parts {
        // Each circle is told once: at the part of it that stands first in the file.
        let Some(circle) = circle_of(formula, part) else { continue };
        let first = formula.parts.iter().find(|p| circle.contains(&p.id.value));
        if first.is_some_and(|f| f.id.value == part.id.value) {
            let names: Vec<&str> = circle.iter().map(PartId::as_str).collect();
            log.note(
                Finding::error(
                    "circular-parts",
                    part.id.place,
                    format!("these parts are made of each other: `{}`", names.join("`, `")),
                )
                .way_out(
                    "a part is made before the one that it goes into: take one of them out of the other",
                ),
            );
        }
    }
}

/// Sessions that steps name, and steps of lessons that the class's own steps wait for.
pub fn own_steps(log: &Log, steps: &[OwnStep], sessions: &[Session], lessons: Option<&[Lesson]>) {
    no_twins(log, "step of the class", steps.iter().map(|s| &s.id));
    for step in steps {
        for id in &step.sessions {
            session(log, id, sessions);
        }
        within(log, step, sessions);
        let Some(lessons) = lessons else { continue };
        for after in &step.after {
            let (lesson, id) = &after.value;
            match lessons.iter().find(|l| l.id.value == *lesson) {
                None => unknown(
                    log,
                    Unknown::Lesson,
                    after.place,
                    format!("the course has no lesson `{lesson}`"),
                    lesson.as_str(),
                    lessons.iter().map(|l| l.id.value.as_str()),
                ),
                Some(lesson) if lesson.step(id).is_none() => unknown(
                    log,
                    Unknown::Step,
                    after.place,
                    format!("lesson `{}` has no step `{id}`", lesson.id),
                    id.as_str(),
                    lesson.steps.iter().map(|s| s.id.value.as_str()),
                ),
                Some(_) => {}
            }
        }
    }
}

/// Notes a place in the session at which the step cannot be done, as the session is over by then.
fn within(log: &Log, step: &OwnStep, sessions: &[Session]) {
    let When::Between(from, _) = step.when.value else { return };
    let in_it =
        |s: &&Session| step.sessions.is_empty() || step.sessions.iter().any(|id| id.value == s.id.value);
    for session in sessions.iter().filter(in_it) {
        let lasts = Minutes(session.from.value.duration_until(&session.to.value).as_mins());
        let takes = step.takes.value.least;
        if from + takes <= lasts {
            continue;
        }
        let latest = lasts.get() - takes.get();
        let way_out = if latest >= 0 {
            format!("minutes count from the session's start: from {latest} min at the latest")
        } else {
            "make the session longer, or the step shorter".to_owned()
        };
        log.note(
            Finding::error(
                "outside-session",
                step.when.place,
                format!(
                    "`{}` cannot begin before {from}, and session `{}` lasts {lasts}",
                    step.id, session.id
                ),
            )
            .also(session.to.place, "the session's end")
            .way_out(way_out),
        );
    }
}

/// Notes a session that the course does not have.
pub fn session(log: &Log, id: &At<SessionId>, sessions: &[Session]) {
    if !sessions.iter().any(|s| s.id.value == id.value) {
        unknown(
            log,
            Unknown::Session,
            id.place,
            format!("the course has no session `{id}`"),
            id.value.as_str(),
            sessions.iter().map(|s| s.id.value.as_str()),
        );
    }
}

/// Partners, stations and avoided things of the roll.
pub fn people(log: &Log, people: &[Person], pantry: Option<&Pantry>, kitchen: Option<&Kitchen>) {
    let names: Vec<&str> = people.iter().map(|p| p.name.value.as_str()).collect();
    let items: Vec<&str> =
        pantry.map(|p| p.items.iter().map(|i| i.id.value.as_str()).collect()).unwrap_or_default();
    for person in people {
        if let Some(with) = &person.with {
            if with.value == person.name.value {
                log.note(
                    Finding::error(
                        "unknown-person",
                        with.place,
                        format!("\"{with}\" would share with themselves"),
                    )
                    .way_out("leave the cell empty, or write the partner's name"),
                );
            } else if !names.contains(&with.value.as_str()) {
                let others = names.iter().copied().filter(|name| *name != person.name.value);
                let message = format!("\"{with}\" is not on the roll");
                let way_out = match did_you_mean(&with.value, others.clone()) {
                    _ if others.clone().next().is_none() => "leave the cell empty".to_owned(),
                    Some(meant) if meant.starts_with("did") => format!("{meant} Else leave the cell empty"),
                    _ => {
                        let mut all: Vec<&str> = others.take(13).collect();
                        let more = if all.len() > 12 { " ..." } else { "" };
                        all.truncate(12);
                        format!(
                            "leave the cell empty, or write who of the roll it is: `{}`{more}",
                            all.join("`, `")
                        )
                    }
                };
                log.note(Finding::error("unknown-person", with.place, message).way_out(way_out));
            }
        }
        if pantry.is_some() {
            for avoided in &person.avoids {
                allergen_words::check(log, "avoids", &avoided.what, &items);
            }
        }
        if let (Some(station), Some(kitchen)) = (&person.station, kitchen)
            && station.value.0 > kitchen.stations.count.value
        {
            log.note(
                Finding::error(
                    "no-such-station",
                    station.place,
                    format!("station {station} is promised, and the kitchen has {}", kitchen.stations.count),
                )
                .also(kitchen.stations.count.place, "the number of stations")
                .way_out("write a station that is there, or leave the cell empty"),
            );
        }
    }
}
