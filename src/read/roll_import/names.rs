//! Whose name a column holds. A booking often has two: who pays, and who comes. A place, an allergy and a station are the guest's.

use super::{Cell, spaced};
use crate::finding::Finding;
use crate::read::table::Log;

/// What a head says of somebody who comes.
const GUEST: &[&str] = &[
    "attendee",
    "participant",
    "guest",
    "student",
    "learner",
    "ticket holder",
    "ticketholder",
    "teilnehm",
    "gast",
    "deelnemer",
];

/// What a head says of somebody who books, pays or is called; perhaps the guest, perhaps not.
const PAYER: &[&str] = &[
    "billing",
    "bill to",
    "payer",
    "paid by",
    "payment",
    "contact",
    "booker",
    "booked by",
    "buyer",
    "purchaser",
    "ordered by",
    "customer",
    "client",
    "account",
    "card",
    "invoice",
    "shipping",
    "rechnung",
    "besteller",
    "zahler",
    "käufer",
    "kunde",
    "kontakt",
];

/// Never the guest, whatever else the head says: "attendee's emergency contact".
const SOMEBODY_ELSE: &[&str] = &["emergency", "notfall", "parent", "guardian", "next of kin", "eltern"];

/// Names of things.
const NOBODY: &[&str] = &[
    "event",
    "course",
    "class",
    "company",
    "product",
    "item",
    "business",
    "organis",
    "organiz",
    "user",
    "file",
    "ticket name",
    "firma",
    "kurs",
    "workshop",
];

/// Heads that say no more than that it is a name.
const BARE: &[&str] = &[
    "name",
    "full name",
    "your name",
    "first name",
    "given name",
    "forename",
    "vorname",
    "last name",
    "family name",
    "surname",
    "nachname",
    "familienname",
];

/// Words of a head that make its column no name, though it speaks of a participant.
const DETAIL: &[&str] = &[
    "mail",
    "email",
    "phone",
    "mobile",
    "telephone",
    "tel",
    "number",
    "no",
    "count",
    "many",
    "age",
    "address",
    "date",
    "type",
    "id",
    "fee",
    "price",
    "total",
    "telefon",
    "anzahl",
    "alter",
];

/// How surely a column names who comes: the payer least, then any name, then just "name", then the guest.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Whose {
    Payers,
    Somebodys,
    Bare,
    Guests,
}

/// Whether a head in small letters speaks of who comes.
pub(super) fn is_guests(head: &str) -> bool {
    GUEST.iter().any(|word| head.contains(word))
}

fn whose(head: &str) -> Option<Whose> {
    let says = |words: &[&str]| words.iter().any(|word| head.contains(word));
    if says(SOMEBODY_ELSE) {
        return Some(Whose::Payers);
    }
    if is_guests(head) {
        let mut words = head.split(|c: char| !c.is_alphanumeric());
        let named = head.contains("name") || !words.any(|word| DETAIL.contains(&word));
        return named.then_some(Whose::Guests);
    }
    if BARE.contains(&head) {
        return Some(Whose::Bare);
    }
    match (says(PAYER), says(NOBODY)) {
        (true, _) => Some(Whose::Payers),
        (_, true) => None,
        _ => Some(Whose::Somebodys),
    }
}

/// Of the columns that look like a name, or a half of one, those that name who comes. `found` is in the order of the file. Where two would
/// do and do not say the same: that is asked, and `None`.
pub(super) fn choose(
    log: &Log,
    file: &str,
    head: &[Cell],
    rows: &[Vec<Cell>],
    found: &[(&'static str, usize)],
) -> Option<Vec<(&'static str, usize)>> {
    let text = |at: usize| head.get(at).map_or("", |c| c.0.as_str());
    let ranked: Vec<(Whose, &'static str, usize)> = found
        .iter()
        .filter_map(|(key, at)| Some((whose(&spaced(text(*at)).to_lowercase())?, *key, *at)))
        .collect();
    let Some(best) = ranked.iter().map(|(whose, ..)| *whose).max() else { return Some(Vec::new()) };
    let mut chosen: Vec<(&'static str, usize)> = Vec::new();
    for (_, key, at) in ranked.iter().filter(|(whose, ..)| *whose == best) {
        let Some((_, first)) = chosen.iter().find(|(k, _)| k == key) else {
            chosen.push((key, *at));
            continue;
        };
        let cell = |row: &Vec<Cell>, at: usize| row.get(at).map(|c| spaced(&c.0)).unwrap_or_default();
        if rows.iter().any(|row| cell(row, *at) != cell(row, *first)) {
            let (one, other) = (text(*first), text(*at));
            log.note(
                Finding::error(
                    "unclear-column",
                    head.get(*at).and_then(|c| c.1),
                    format!("`{file}`: \"{one}\" and \"{other}\" may both name who comes, and differ"),
                )
                .in_file(file)
                .way_out(format!("say which it is: --column {key}=\"{one}\" or --column {key}=\"{other}\"")),
            );
            return None;
        }
    }
    if best == Whose::Payers
        && let Some((key, at)) = chosen.first()
    {
        log.note(
            Finding::warning(
                "unclear-column",
                head.get(*at).and_then(|c| c.1),
                format!(
                    "`{file}`: the names are taken from \"{}\", which may be who pays and not who comes",
                    text(*at)
                ),
            )
            .in_file(file)
            .way_out(format!(
                "export who comes as well, or look at each name; another column is taken with --column {key}=\"...\""
            )),
        );
    }
    Some(chosen)
}
