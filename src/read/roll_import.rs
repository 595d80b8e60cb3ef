//! A roll as people export it from a form or a shop: a CSV or an XLSX file with heads of any wording.
//!
//! Columns are found by the words in their heads, or named by the teacher. What a column that is not asked for holds is left out, and
//! said: a telephone number has no place on a roll.

mod avoided;
mod names;
mod partners;

pub use avoided::not_said_yet;

use super::health_words::heard;
use super::roll_file;
use super::table::{Log, did_you_mean};
use super::text::{self, Encoding};
use super::workbook;
use crate::course::avoided_phrases::is_nothing;
use crate::finding::{Finding, Place, SourceId, Sources};

/// What a column of the file is for: the columns of `roll.csv`, the two halves of a name, and a booking that people share.
pub const COLUMNS: &[&str] =
    &["name", "first", "last", "status", "with", "station", "avoids", "needs", "booking"];

/// Words in a head, in small letters, by the column that they stand for. The first that fits wins.
const HEADS: &[(&str, &[&str])] = &[
    ("with", &["with", "partner", "sharing", "coming with", "mit", "zusammen mit"]),
    ("first", &["first name", "given name", "forename", "vorname"]),
    ("last", &["last name", "family name", "surname", "nachname", "familienname"]),
    ("status", &["status", "state", "zustand"]),
    ("station", &["station", "place", "platz"]),
    ("avoids", &["avoids", "allerg", "intoleran", "diet", "unverträglich", "meidet"]),
    (
        "needs",
        &[
            "needs",
            "access",
            "requirement",
            "anything else",
            "should know",
            "notes",
            "comment",
            "remark",
            "bedarf",
            "braucht",
            "bemerkung",
            "anmerkung",
        ],
    ),
    ("booking", &["booking", "order", "ticket", "buchung", "bestellung"]),
    ("name", &["name", "participant", "student", "attendee", "ticket holder", "ticketholder", "teilnehm"]),
];

const STATUS: &[(&str, &[&str])] = &[
    (
        "coming",
        &[
            "",
            "coming",
            "confirmed",
            "paid",
            "booked",
            "yes",
            "complete",
            "completed",
            "bestätigt",
            "bezahlt",
            "ja",
        ],
    ),
    ("waiting", &["waiting", "wait list", "waitlist", "waiting list", "pending", "warteliste"]),
    (
        "cancelled",
        &["cancelled", "canceled", "cancellation", "refunded", "no", "storniert", "abgesagt", "nein"],
    ),
];

/// One person of the file, trimmed.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Entry {
    /// The name.
    pub name: String,
    /// `coming`, `waiting`, `cancelled`; `None` when the file does not say.
    pub status: Option<&'static str>,
    /// With whom.
    pub with: String,
    /// A station that was promised.
    pub station: String,
    /// What is avoided, as the roll writes it.
    pub avoids: String,
    /// What is needed, as the roll writes it.
    pub needs: String,
    /// Row of the file, from 1.
    pub row: usize,
}

/// What came of a file.
#[derive(Debug, Default)]
pub struct Import {
    /// People, in the order of the file, each once.
    pub people: Vec<Entry>,
    /// Which head was taken for which column.
    pub columns: Vec<(&'static str, String)>,
    /// Heads that were left out.
    pub left_out: Vec<String>,
    /// What there is to tell.
    pub findings: Vec<Finding>,
    /// The text that findings point to.
    pub sources: Sources,
}

/// A cell: its text and where it stands, if it stands in a text.
pub(super) type Cell = (String, Option<Place>);

/// Reads a file by its bytes; `name` is what it is called, `sheet` the sheet of a workbook (the first if not said), `chosen` the columns
/// that the teacher named: column and head.
pub fn read(name: &str, bytes: &[u8], sheet: Option<&str>, chosen: &[(String, String)]) -> Import {
    let log = Log::default();
    let mut import = Import::default();
    let rows = if bytes.starts_with(b"PK\x03\x04") {
        workbook::rows(&log, name, bytes, sheet)
    } else {
        plain(&log, &mut import.sources, name, bytes)
    };
    if let Some((head, rows)) = rows.split_first() {
        people(&log, name, head, rows, chosen, &mut import);
    } else if !log.has_any() {
        log.note(
            Finding::error("nothing-to-import", None, format!("`{name}` has no row at all"))
                .in_file(name)
                .way_out("export it again, with its head"),
        );
    }
    import.findings = log.into_findings();
    import
}

fn plain(log: &Log, sources: &mut Sources, name: &str, bytes: &[u8]) -> Vec<Vec<Cell>> {
    let Some((text, encoding)) = text::decode(bytes) else {
        log.note(
            Finding::error("not-text", None, format!("`{name}` is neither text nor a workbook"))
                .in_file(name)
                .way_out("export it as CSV or XLSX"),
        );
        return Vec::new();
    };
    let source: SourceId = sources.add(name, text.clone());
    if encoding != Encoding::Utf8 {
        let found = if encoding == Encoding::Utf16 { "UTF-16" } else { "Latin-1" };
        log.note(
            Finding::note(
                "not-utf-8",
                Place { source, start: 0, end: 0 },
                format!("`{name}` is not in UTF-8; it was read as {found}: look at its accents"),
            )
            .way_out("export it as UTF-8"),
        );
    }
    // Some programs say first which sign stands between the cells.
    let text = match text.split_once('\n') {
        Some((first, rest)) if first.starts_with("sep=") => rest.to_owned(),
        _ => text,
    };
    roll_file::rows(log, source, &text)
        .into_iter()
        .map(|row| row.into_iter().map(|c| (c.value, c.place)).collect())
        .collect()
}

fn people(
    log: &Log,
    name: &str,
    head: &[Cell],
    rows: &[Vec<Cell>],
    chosen: &[(String, String)],
    import: &mut Import,
) {
    let Some(columns) = columns(log, name, head, rows, chosen) else { return };
    let has = |key: &str| columns.iter().any(|(k, _)| *k == key);
    if !has("name") && !has("first") && !has("last") {
        let heads: Vec<&str> = head.iter().map(|c| c.0.as_str()).filter(|h| !h.is_empty()).collect();
        log.note(
            Finding::error(
                "nothing-to-import",
                head.first().and_then(|c| c.1),
                format!("no column of `{name}` looks like a name; it has {}", heads.join(", ")),
            )
            .in_file(name)
            .way_out("say which it is: --column name=\"Who are you?\""),
        );
        return;
    }
    import.left_out = head
        .iter()
        .enumerate()
        .filter(|(i, c)| !c.0.is_empty() && !columns.iter().any(|(_, at)| at == i))
        .map(|(_, c)| c.0.clone())
        .collect();
    // The texts in which somebody may say what they avoid, though the roll has another place for it.
    let beside: Vec<usize> =
        (0..head.len()).filter(|i| columns.iter().all(|(key, at)| at != i || *key == "needs")).collect();
    let mut bookings: Vec<(String, String)> = Vec::new();
    for (r, row) in rows.iter().enumerate() {
        let cell = |key: &str| -> Cell {
            let at = columns.iter().find(|(k, _)| *k == key).map(|(_, at)| *at);
            at.and_then(|at| row.get(at)).map(|(t, p)| (spaced(t), *p)).unwrap_or_default()
        };
        let (mut full, place) = cell("name");
        let (first, last) = (cell("first").0, cell("last").0);
        if full.is_empty() {
            full = spaced(&format!("{first} {last}"));
        } else if !has("last") && !full.to_lowercase().contains(&first.to_lowercase()) {
            // Beside a first name, "name" is the last one.
            full = format!("{first} {full}");
        }
        let row_no = r + 2;
        if full.is_empty() {
            if row.iter().any(|c| !c.0.is_empty()) {
                log.note(
                    Finding::warning(
                        "row-without-name",
                        row.first().and_then(|c| c.1),
                        format!("row {row_no} of `{name}` has no name: it is left out"),
                    )
                    .in_file(name)
                    .way_out("write the name into the file, or add the person to `roll.csv`"),
                );
            }
            continue;
        }
        if full.starts_with(['=', '+', '-', '@']) {
            log.note(
                Finding::warning(
                    "formula-in-cell",
                    place,
                    format!(
                        "\"{full}\" in row {row_no} of `{name}` is a formula and no name: the row is left out"
                    ),
                )
                .in_file(name)
                .way_out("write the name itself into the cell"),
            );
            continue;
        }
        for &at in &beside {
            if let (Some(head), Some(cell)) = (head.get(at), row.get(at)) {
                said_elsewhere(log, name, row_no, &full, &head.0, cell);
            }
        }
        let entry = Entry {
            name: full.clone(),
            status: has("status").then(|| status(log, name, row_no, &cell("status"))),
            with: cell("with").0,
            station: cell("station").0,
            avoids: avoided::listed(log, name, row_no, &cell("avoids")),
            needs: listed(&cell("needs").0),
            row: row_no,
        };
        let booking = cell("booking").0;
        for entry in couple(entry) {
            let same = import.people.iter_mut().find(|p| key(&p.name) == key(&entry.name));
            match same {
                Some(known) => twice(log, name, known, &entry),
                None => {
                    bookings.push((booking.clone(), entry.name.clone()));
                    import.people.push(entry);
                }
            }
        }
    }
    together(&bookings, &mut import.people);
    partners::named(log, name, &mut import.people);
    import.columns = columns.iter().map(|(key, at)| (*key, head[*at].0.clone())).collect();
}

/// Tells what may be about something avoided and stands where the roll does not look for it.
fn said_elsewhere(log: &Log, name: &str, row: usize, who: &str, head: &str, cell: &Cell) {
    let words = heard(&cell.0);
    if words.is_empty() {
        return;
    }
    log.note(
        Finding::warning(
            "said-elsewhere",
            cell.1,
            format!(
                "row {row} of `{name}`, {who}: \"{head}\" says \"{}\", which may be about something avoided ({})",
                spaced(&cell.0),
                words.join(", ")
            ),
        )
        .in_file(name)
        .way_out("ask, and write what is avoided under `avoids`: nobody is kept from what stands elsewhere"),
    );
}

/// For each column that is asked for, its position; `None` where it was asked who is meant.
fn columns(
    log: &Log,
    name: &str,
    head: &[Cell],
    rows: &[Vec<Cell>],
    chosen: &[(String, String)],
) -> Option<Vec<(&'static str, usize)>> {
    let mut columns: Vec<(&'static str, usize)> = Vec::new();
    let small = |text: &str| spaced(text).to_lowercase();
    for (column, wanted) in chosen {
        let Some(key) = COLUMNS.iter().find(|c| **c == column.to_lowercase()) else {
            let mut finding =
                Finding::error("unknown-word", None, format!("the roll has no column `{column}`"))
                    .in_file(name);
            finding.way_out = did_you_mean(column, COLUMNS.iter().copied());
            log.note(finding);
            continue;
        };
        match head.iter().position(|c| small(&c.0) == small(wanted)) {
            Some(at) => columns.push((key, at)),
            None => {
                let mut finding =
                    Finding::error("nothing-to-import", None, format!("`{name}` has no column \"{wanted}\""))
                        .in_file(name);
                finding.way_out = did_you_mean(wanted, head.iter().map(|c| c.0.as_str()).collect::<Vec<_>>());
                log.note(finding);
            }
        }
    }
    let by_hand = columns.len();
    let said = |columns: &[(&'static str, usize)], key: &str| columns.iter().any(|(k, _)| *k == key);
    let mut names: Vec<(&'static str, usize)> = Vec::new();
    for (at, cell) in head.iter().enumerate() {
        let head = small(&cell.0);
        if columns.iter().any(|(_, taken)| *taken == at) {
            continue;
        }
        let found = HEADS.iter().find(|(_, words)| words.iter().any(|word| head.contains(word)));
        match found.map(|(key, _)| *key) {
            Some("booking") if names::is_guests(&head) => names.push(("name", at)),
            Some(key @ ("name" | "first" | "last")) => names.push((key, at)),
            Some(key) if !said(&columns, key) => columns.push((key, at)),
            _ => {}
        }
    }
    // Who named the column of names needs no other; who named that of a half may need the other half.
    names.retain(|(key, _)| {
        let halves = said(&columns, "first") || said(&columns, "last");
        !(said(&columns, "name") || said(&columns, key) || halves && *key == "name")
    });
    columns.extend(names::choose(log, name, head, rows, &names)?);
    columns[by_hand..].sort_by_key(|(_, at)| *at);
    Some(columns)
}

/// One space between words, none around them; accents stay as they are.
fn spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What two spellings of one name share.
pub fn key(name: &str) -> String {
    spaced(name).to_lowercase()
}

fn status(log: &Log, name: &str, row: usize, cell: &Cell) -> &'static str {
    let small = cell.0.to_lowercase();
    match STATUS.iter().find(|(_, words)| words.contains(&small.as_str())) {
        Some((status, _)) => status,
        None => {
            log.note(
                Finding::warning("unknown-word", cell.1, format!("row {row} of `{name}`: \"{}\" is no status that is known here; the person is put on the waiting list", cell.0))
                    .in_file(name)
                    .way_out("write `coming`, `waiting` or `cancelled`"),
            );
            "waiting"
        }
    }
}

/// A list as the roll writes it: `;` between its pieces. What says "none" is nothing; anything else stays in the words it was given.
fn listed(text: &str) -> String {
    if is_nothing(text) { String::new() } else { pieces(text).join("; ") }
}

/// The pieces of a list as people write one. Within brackets nothing is parted.
fn pieces(text: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    let (mut depth, mut rest) = (0usize, text);
    while let Some(sign) = rest.chars().next() {
        let word = [" and ", " und "].iter().find(|word| depth == 0 && rest.starts_with(**word));
        let cuts = word.is_some() || depth == 0 && matches!(sign, ',' | ';' | '/' | '\n');
        match sign {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
        match parts.last_mut() {
            Some(last) if !cuts => last.push(sign),
            _ => parts.push(String::new()),
        }
        // The space behind a joining word may begin the next one.
        rest = &rest[word.map_or(sign.len_utf8(), |word| word.len() - 1)..];
    }
    parts.iter().map(|p| spaced(p)).filter(|p| !p.is_empty()).collect()
}

/// `Ada Byron & Bo Lind` in one cell are two people at one station. What the row says of allergies is said of both: nobody knows of whom.
fn couple(entry: Entry) -> Vec<Entry> {
    let signs = [" & ", " + ", " and ", " und ", " et "];
    let Some((one, other)) = signs.iter().find_map(|sign| entry.name.split_once(sign)) else {
        return vec![entry];
    };
    let (mut one, other) = (spaced(one), spaced(other));
    if one.is_empty() || other.is_empty() {
        return vec![entry];
    }
    // "Ada & Bo Lind" share their last name.
    if let (false, Some((_, last))) = (one.contains(' '), other.rsplit_once(' ')) {
        one = format!("{one} {last}");
    }
    let person =
        |name: &str, with: &str| Entry { name: name.to_owned(), with: with.to_owned(), ..entry.clone() };
    vec![person(&one, &other), person(&other, &one)]
}

/// The same person once more: what is said anew is added, and what is avoided never gets less.
fn twice(log: &Log, name: &str, known: &mut Entry, again: &Entry) {
    log.note(
        Finding::note(
            "duplicate-row",
            None,
            format!(
                "\"{}\" is in `{name}` twice, in rows {} and {}: they are taken for one person",
                known.name, known.row, again.row
            ),
        )
        .in_file(name)
        .way_out("for two people of one name add something to one of the names"),
    );
    known.avoids = union(&known.avoids, &again.avoids);
    known.needs = union(&known.needs, &again.needs);
    for (old, new) in [(&mut known.with, &again.with), (&mut known.station, &again.station)] {
        if old.is_empty() {
            new.clone_into(old);
        }
    }
    // The later row is the later word: a form is filled in again to change one's mind.
    known.status = again.status.or(known.status);
}

/// Both lists, each piece once.
pub fn union(a: &str, b: &str) -> String {
    let mut all: Vec<String> = Vec::new();
    for piece in a.split(';').chain(b.split(';')).map(spaced).filter(|p| !p.is_empty()) {
        if !all.iter().any(|known| known.to_lowercase() == piece.to_lowercase()) {
            all.push(piece);
        }
    }
    all.join("; ")
}

/// Two people of one booking share a station.
fn together(bookings: &[(String, String)], people: &mut [Entry]) {
    for (booking, _) in bookings.iter().filter(|(b, _)| !b.is_empty()) {
        let names: Vec<&String> =
            bookings.iter().filter(|(b, _)| b == booking).map(|(_, name)| name).collect();
        let [one, other] = names[..] else { continue };
        for (name, with) in [(one, other), (other, one)] {
            if let Some(person) = people.iter_mut().find(|p| p.name == *name && p.with.is_empty()) {
                with.clone_into(&mut person.with);
            }
        }
    }
}
