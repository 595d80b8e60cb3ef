//! `roll.csv`: one row for each person.
//!
//! Comma, semicolon or tab between the cells, quotes with line breaks inside them, and rows that are blank: as
//! spreadsheets write them. A row that does not fit its head is noted and the rest is read.

use super::allergen_words;
use super::health_words::heard_of_food;
use super::keys;
use super::table::{Log, did_you_mean};
use crate::course::limits::COUNTED;
use crate::course::roll::KNOWN_NEEDS;
use crate::course::{At, Avoidance, Avoids, Person, Severity, StationNo, Status};
use crate::finding::{Finding, Located, Place, SourceId};
use csv::ReaderBuilder;

const STATUS: &[(&str, Status)] =
    &[("coming", Status::Coming), ("waiting", Status::Waiting), ("cancelled", Status::Cancelled)];

const REASONS: &[(&str, Avoidance)] = &[
    ("choice", Avoidance::Choice),
    ("religion", Avoidance::Religion),
    ("intolerance", Avoidance::Intolerance),
    ("coeliac", Avoidance::Coeliac),
    ("celiac", Avoidance::Coeliac),
    ("allergy", Avoidance::Allergy),
];

const SEVERITIES: &[(&str, Severity)] =
    &[("mild", Severity::Mild), ("severe", Severity::Severe), ("airborne", Severity::Airborne)];

/// A cell with its text, trimmed, and its place.
type Cell = At<String>;

/// Reads the roll; people in the order of its rows.
pub fn read(log: &Log, source: SourceId, text: &str) -> Vec<Person> {
    let rows = rows(log, source, text);
    let Some((head, rows)) = rows.split_first() else {
        let place = Place { source, start: 0, end: 0 };
        log.note(
            Finding::error("missing-key", place, "`roll.csv` is empty: it has no head")
                .way_out("write `name,status,with,station,avoids,needs` as its first line"),
        );
        return Vec::new();
    };
    let columns = columns(log, head);
    if !columns.iter().any(|(key, _)| *key == "name") {
        return Vec::new();
    }
    let people: Vec<Person> = rows.iter().filter_map(|row| person(log, head, &columns, row)).collect();
    twins(log, &people);
    people
}

/// The sign between cells: the one that the first line has most of.
fn delimiter(text: &str) -> u8 {
    let head = text.lines().next().unwrap_or("");
    let count = |c: char| head.matches(c).count();
    [(b',', count(',')), (b';', count(';')), (b'\t', count('\t'))]
        .into_iter()
        .max_by_key(|(sign, n)| (*n, *sign == b','))
        .map_or(b',', |(sign, _)| sign)
}

/// The rows of a text that are not blank, cell by cell.
pub(super) fn rows(log: &Log, source: SourceId, text: &str) -> Vec<Vec<Cell>> {
    let sign = delimiter(text);
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).delimiter(sign).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    loop {
        let start = usize::try_from(reader.position().byte()).unwrap_or(0);
        match reader.read_record(&mut record) {
            Ok(true) => {
                let end = usize::try_from(reader.position().byte()).unwrap_or(text.len()).min(text.len());
                let cells = cells(source, text, start.min(end), end, &record);
                if cells.iter().any(|c| !c.value.is_empty()) {
                    rows.push(cells);
                }
            }
            Ok(false) => return rows,
            Err(error) => {
                let place = Place { source, start, end: start };
                log.note(
                    Finding::error("broken-row", place, format!("this row cannot be read: {error}"))
                        .way_out("look for a quote that is not closed"),
                );
                return rows;
            }
        }
    }
}

/// The cells of a record with their places: each is looked for from where the one before ended. One that was written
/// with doubled quotes is not found as it reads; it gets the place of its row.
fn cells(source: SourceId, text: &str, start: usize, end: usize, record: &csv::StringRecord) -> Vec<Cell> {
    let row = text.get(start..end).unwrap_or("");
    let indent = row.len() - row.trim_start_matches('\n').len();
    let whole =
        Place { source, start: start + indent, end: start + row.trim_end_matches('\n').len().max(indent) };
    let mut from = indent;
    record
        .iter()
        .map(|cell| {
            let trimmed = cell.trim();
            let found = row.get(from..).filter(|_| !trimmed.is_empty()).and_then(|rest| rest.find(trimmed));
            let place = match found {
                Some(at) => {
                    let begin = start + from + at;
                    from = from + at + trimmed.len();
                    Place { source, start: begin, end: begin + trimmed.len() }
                }
                None => whole,
            };
            Located::at(trimmed.to_owned(), place)
        })
        .collect()
}

/// For each key of the roll, its column.
fn columns(log: &Log, head: &[Cell]) -> Vec<(&'static str, usize)> {
    let mut columns: Vec<(&'static str, usize)> = Vec::new();
    for (i, cell) in head.iter().enumerate() {
        let name = cell.value.to_lowercase();
        if name.is_empty() {
            continue;
        }
        let Some(key) = keys::ROLL.names().find(|k| *k == name) else {
            let mut finding =
                Finding::error("unknown-key", cell.place, format!("the roll has no column `{}`", cell.value));
            finding.way_out = did_you_mean(&name, keys::ROLL.names());
            log.note(finding);
            continue;
        };
        if columns.iter().any(|(k, _)| *k == key) {
            log.note(
                Finding::error("duplicate-id", cell.place, format!("the column `{key}` stands twice"))
                    .way_out("keep one of the two"),
            );
            continue;
        }
        columns.push((key, i));
    }
    if !columns.iter().any(|(k, _)| *k == "name") {
        let place = head.first().and_then(|c| c.place);
        log.note(
            Finding::error("missing-key", place, "the roll has no column `name`")
                .way_out("write `name,status,with,station,avoids,needs` as its first line"),
        );
    }
    columns
}

fn person(log: &Log, head: &[Cell], columns: &[(&'static str, usize)], row: &[Cell]) -> Option<Person> {
    let place = row.first().and_then(|c| c.place);
    let extra = row.get(head.len()..).is_some_and(|more| more.iter().any(|c| !c.value.is_empty()));
    if row.len() < head.len() || extra {
        log.note(
            Finding::error(
                "broken-row",
                place,
                format!("this row has {}, the head has {}", counted(row.len()), counted(head.len())),
            )
            .way_out("look for a comma too many or too few, or a quote that is not closed"),
        );
        return None;
    }
    let cell = |key: &str| {
        let (_, i) = columns.iter().find(|(k, _)| *k == key)?;
        row.get(*i).filter(|c| !c.value.is_empty())
    };
    let Some(name) = cell("name") else {
        log.note(
            Finding::error("broken-row", place, "this row has no name")
                .way_out("write a name, or take the row out"),
        );
        return None;
    };
    let status = match cell("status") {
        None => Located::assumed(Status::Coming),
        Some(c) => {
            listed(log, "status", c, STATUS).unwrap_or(Located { value: Status::Coming, place: c.place })
        }
    };
    let needs = cell("needs").map(|c| pieces(c, ';')).unwrap_or_default();
    let needs: Vec<At<String>> = needs.into_iter().map(|n| n.map(|text| need(&text))).collect();
    for need in &needs {
        let words = heard_of_food(&need.value);
        if !words.is_empty() {
            let said =
                format!("`needs`: \"{}\" may be about something avoided ({})", need.value, words.join(", "));
            let finding = Finding::warning("said-elsewhere", need.place, said);
            log.note(
                finding.way_out("ask, and write it under `avoids`: nobody is kept from what stands here"),
            );
        }
    }
    Some(Person {
        name: name.clone(),
        status,
        with: cell("with").cloned(),
        station: cell("station").and_then(|c| station(log, c)),
        avoids: cell("avoids")
            .map(|c| pieces(c, ';'))
            .unwrap_or_default()
            .iter()
            .filter_map(|c| avoids(log, c))
            .collect(),
        told: cell("told").and_then(|c| told(log, c)),
        minor: needs.iter().any(|n| n.value == "under-age"),
        needs,
    })
}

/// A need in the spelling that is known, where it is one of those: people write `Left handed`.
fn need(text: &str) -> String {
    let spelt = text.to_lowercase().replace([' ', '_'], "-");
    KNOWN_NEEDS.iter().find(|n| **n == spelt).map_or_else(|| text.to_owned(), |n| (*n).to_owned())
}

fn counted(cells: usize) -> String {
    if cells == 1 { "1 cell".to_owned() } else { format!("{cells} cells") }
}

fn listed<T: Copy>(log: &Log, key: &str, cell: &Cell, words: &[(&str, T)]) -> Option<At<T>> {
    let small = cell.value.to_lowercase();
    if let Some((_, value)) = words.iter().find(|(w, _)| *w == small) {
        return Some(Located { value: *value, place: cell.place });
    }
    let mut finding =
        Finding::error("unknown-word", cell.place, format!("`{key}`: \"{}\" is not known here", cell.value));
    finding.way_out = did_you_mean(&small, words.iter().map(|(w, _)| *w));
    log.note(finding);
    None
}

fn station(log: &Log, cell: &Cell) -> Option<At<StationNo>> {
    match cell.value.parse::<u32>() {
        Ok(n) if (1..=COUNTED).contains(&n) => Some(Located { value: StationNo(n), place: cell.place }),
        _ => {
            log.note(
                Finding::error(
                    "unreadable",
                    cell.place,
                    format!("`station`: \"{}\" is no number of a station", cell.value),
                )
                .way_out("write a whole number from 1"),
            );
            None
        }
    }
}

/// The day on which somebody was told.
fn told(log: &Log, cell: &Cell) -> Option<At<jiff::civil::Date>> {
    match cell.value.parse::<jiff::civil::Date>() {
        Ok(day) if cell.value.len() == "2027-02-01".len() => Some(Located { value: day, place: cell.place }),
        _ => {
            log.note(
                Finding::error("unreadable", cell.place, format!("`told`: \"{}\" is no day", cell.value))
                    .way_out("write a day like 2027-02-01; leave it empty until they have been told"),
            );
            None
        }
    }
}

/// The parts of a cell between signs, trimmed, with their places where the cell stands as it reads.
fn pieces(cell: &Cell, sign: char) -> Vec<Cell> {
    let mut from = 0;
    cell.value
        .split(sign)
        .filter_map(|piece| {
            let begin = from;
            from += piece.len() + sign.len_utf8();
            let trimmed = piece.trim();
            let lead = piece.len() - piece.trim_start().len();
            let place = cell.place.map(|p| {
                let as_it_reads = p.end - p.start == cell.value.len();
                let start = p.start + begin + lead;
                if as_it_reads { Place { start, end: start + trimmed.len(), ..p } } else { p }
            });
            (!trimmed.is_empty()).then(|| Located { value: trimmed.to_owned(), place })
        })
        .collect()
}

/// `hazelnut (allergy, severe)`: what, and in brackets why and how severe. What is not said is taken for the worst.
fn avoids(log: &Log, cell: &Cell) -> Option<Avoids> {
    let (what, inside) = match cell.value.split_once('(') {
        None => (cell.value.as_str(), ""),
        Some((what, rest)) => match rest.trim_end().strip_suffix(')') {
            Some(inside) => (what, inside),
            None => {
                log.note(
                    Finding::error(
                        "unreadable",
                        cell.place,
                        format!("`avoids`: \"{}\" has a bracket that is not closed", cell.value),
                    )
                    .way_out("write `hazelnut (allergy, severe); egg (choice)`; with a comma in it the cell stands in quotes: `\"egg (allergy, severe)\"`"),
                );
                return None;
            }
        },
    };
    let what = what.trim();
    if inside.contains(['(', ')']) {
        log.note(
            Finding::error(
                "unreadable",
                cell.place,
                format!("`avoids`: \"{}\" has more than one pair of brackets", cell.value),
            )
            .way_out("write `;` between the things that are avoided: `milk (allergy); egg (choice)`"),
        );
        return None;
    }
    let mut why = None;
    let mut severity = None;
    for word in inside.split(',').map(str::trim).filter(|w| !w.is_empty()) {
        let small = word.to_lowercase();
        if let Some((_, reason)) = REASONS.iter().find(|(w, _)| *w == small) {
            why = Some(*reason);
        } else if let Some((_, degree)) = SEVERITIES.iter().find(|(w, _)| *w == small) {
            severity = Some(*degree);
        } else {
            let mut finding = Finding::error(
                "unknown-word",
                cell.place,
                format!("`avoids`: \"{word}\" is neither a reason nor a severity"),
            );
            let known: Vec<&str> =
                REASONS.iter().map(|(w, _)| *w).chain(SEVERITIES.iter().map(|(w, _)| *w)).collect();
            finding.way_out = allergen_words::named_in(&small, &[])
                .and_then(|named| named.beside(what))
                .or_else(|| did_you_mean(&small, known));
            log.note(finding);
        }
    }
    // "severe" alone, or "(severe)": how severe is said, of what is not.
    let says_only_how = SEVERITIES.iter().any(|(w, _)| *w == what.to_lowercase());
    if what.is_empty() || says_only_how {
        log.note(
            Finding::error(
                "severity-without-allergen",
                cell.place,
                format!("`avoids`: \"{}\" says how, and not what", cell.value),
            )
            .way_out("write what is avoided first: `hazelnut (allergy, severe)`"),
        );
        return None;
    }
    allergen_words::note_read_as(log, what, cell.place);
    Some(Avoids {
        what: allergen_words::canonical(Located { value: what.to_owned(), place: cell.place }),
        why: why.unwrap_or(Avoidance::Allergy),
        severity: severity.unwrap_or(Severity::Unknown),
    })
}

/// What would be said of a text in the column `avoids`: what of it is not understood.
pub(super) fn not_understood(text: &str, items: &[&str]) -> Vec<Finding> {
    let log = Log::default();
    for piece in pieces(&Located::assumed(text.to_owned()), ';') {
        if let Some(avoided) = avoids(&log, &piece) {
            allergen_words::check(&log, "avoids", &avoided.what, items);
        }
    }
    log.into_findings()
}

/// Two rows with one name cannot be told apart when someone is to sit with one of them.
fn twins(log: &Log, people: &[Person]) {
    for (i, person) in people.iter().enumerate() {
        let same = |p: &&Person| p.name.value.to_lowercase() == person.name.value.to_lowercase();
        if let Some(first) = people.iter().take(i).find(same) {
            log.note(
                Finding::error(
                    "duplicate-person",
                    person.name.place,
                    format!("\"{}\" is on the roll twice", person.name.value),
                )
                .also(first.name.place, "the first time")
                .way_out("take one row out; for two people of one name add something to one of the names"),
            );
        }
    }
}
