//! The rows of a sheet of an XLSX workbook. It is packed, and can claim to be as large as it likes.

use super::roll_import::Cell;
use super::table::Log;
use crate::course::limits::{LIST_COLUMNS, LIST_ROWS, UNPACKED_BYTES};
use crate::finding::Finding;
use calamine::{Data, Dimensions, Reader, Xlsx, open_workbook_from_rs};
use flate2::read::DeflateDecoder;
use std::cell::Cell as Flag;
use std::io::{Cursor, Read};
use std::panic::catch_unwind;

thread_local! {
    static TRYING: Flag<bool> = const { Flag::new(false) };
}

/// Whether this thread is reading a workbook: a library that stumbles over a broken one is told as that, and as no fault of ours.
#[must_use]
pub fn trying() -> bool {
    TRYING.get()
}

/// The rows from the head on, by the sheet's name (the first if not said); what cannot be read is noted.
pub(super) fn rows(log: &Log, name: &str, bytes: &[u8], sheet: Option<&str>) -> Vec<Vec<Cell>> {
    let refuse = |why: String| {
        log.note(
            Finding::error("not-a-workbook", None, format!("`{name}` cannot be read as a workbook: {why}"))
                .in_file(name)
                .way_out("save it as XLSX or CSV once more"),
        );
        Vec::new()
    };
    if claimed(bytes).max(unpacked(bytes)) > UNPACKED_BYTES {
        return refuse(format!("it unpacks to more than {} MiB", UNPACKED_BYTES >> 20));
    }
    TRYING.set(true);
    // The library counts a cell's place without asking whether it is one: `A99999999999`.
    let tried = catch_unwind(|| Sheet::read(bytes, sheet));
    TRYING.set(false);
    let sheet = match tried {
        Ok(Ok(sheet)) => sheet,
        Ok(Err(why)) => return refuse(why),
        Err(_) => return refuse("it is broken".to_owned()),
    };
    let mut rows: Vec<Vec<Cell>> = filled_in(log, name, sheet.cells);
    // A merged cell speaks for all that it covers.
    for area in sheet.merged {
        let first = rows.get(area.start.0 as usize).and_then(|row| row.get(area.start.1 as usize)).cloned();
        let Some(first) = first else { continue };
        let deep = (area.end.0 as usize).saturating_add(1).saturating_sub(area.start.0 as usize);
        for row in rows.iter_mut().skip(area.start.0 as usize).take(deep) {
            let wide = (area.end.1 as usize).saturating_add(1).saturating_sub(area.start.1 as usize);
            row.iter_mut().skip(area.start.1 as usize).take(wide).for_each(|cell| *cell = first.clone());
        }
    }
    // A title above the head is no head: the first row with more than one cell is.
    let filled = |row: &Vec<Cell>| {
        let mut texts: Vec<&str> = row.iter().map(|c| c.0.as_str()).filter(|t| !t.is_empty()).collect();
        texts.dedup();
        texts.len()
    };
    let widest = rows.iter().map(filled).max().unwrap_or(0);
    let head = rows.iter().position(|row| filled(row) > 1 || widest <= 1).unwrap_or(0);
    rows.drain(..head);
    rows.retain(|row| row.iter().any(|c| !c.0.is_empty()));
    rows
}

/// What the archive says that its files unpack to, for which a reader may make room: the field "uncompressed size" of each entry
/// of the central directory (APPNOTE.TXT 6.3.10, 4.3.12).
fn claimed(bytes: &[u8]) -> u64 {
    let entries = bytes.windows(4).enumerate().filter(|(_, four)| *four == b"PK\x01\x02");
    let size = |at: usize| match bytes.get(at + 24..at + 28) {
        Some(&[a, b, c, d]) => u64::from(u32::from_le_bytes([a, b, c, d])),
        _ => 0,
    };
    entries.map(|(at, _)| size(at)).sum()
}

/// What the files of an archive really unpack to, as far as the limit: what it says of them may be a lie. Whatever looks like a
/// packed file (the signature of a local header, then 26 bytes, name and extra field: APPNOTE.TXT 6.3.10, 4.3.7) is unpacked and
/// counted, wherever the archive's own list has it.
fn unpacked(bytes: &[u8]) -> u64 {
    let number = |at: usize| match bytes.get(at..at + 2) {
        Some(&[a, b]) => usize::from(u16::from_le_bytes([a, b])),
        _ => 0,
    };
    let mut buffer = [0; 16 * 1024];
    let mut all = 0;
    for (at, _) in bytes.windows(4).enumerate().filter(|(_, four)| *four == b"PK\x03\x04") {
        let Some(packed) = bytes.get(at + 30 + number(at + 26) + number(at + 28)..) else { continue };
        let mut reader = DeflateDecoder::new(packed);
        // What is not packed stops at once.
        while let Ok(more @ 1..) = reader.read(&mut buffer) {
            all += more as u64;
            if all > UNPACKED_BYTES {
                return all;
            }
        }
    }
    all
}

/// What is read of a sheet.
struct Sheet {
    cells: Vec<(usize, usize, Data)>,
    merged: Vec<Dimensions>,
}

impl Sheet {
    fn read(bytes: &[u8], sheet: Option<&str>) -> Result<Sheet, String> {
        let mut book: Xlsx<_> =
            open_workbook_from_rs(Cursor::new(bytes)).map_err(|e: calamine::XlsxError| e.to_string())?;
        let names = book.sheet_names();
        let wanted = match sheet {
            None => names.first().cloned(),
            Some(sheet) => names.iter().find(|n| n.to_lowercase() == sheet.to_lowercase()).cloned(),
        };
        let wanted = wanted.ok_or_else(|| format!("it has no such sheet; it has {}", names.join(", ")))?;
        let cells = cells(&mut book, &wanted)?;
        Ok(Sheet { cells, merged: book.merge_cells_by_sheet_name(&wanted).unwrap_or_default() })
    }
}

/// The cells that are there, with row and column from 0. One far out does not stand for all those before it.
fn cells(book: &mut Xlsx<Cursor<&[u8]>>, sheet: &str) -> Result<Vec<(usize, usize, Data)>, String> {
    let mut reader = book.worksheet_cells_reader(sheet).map_err(|e| e.to_string())?;
    let mut cells = Vec::new();
    while let Some(cell) = reader.next_cell().map_err(|e| e.to_string())? {
        let (row, column) = (cell.get_position().0 as usize, cell.get_position().1 as usize);
        if matches!(Data::from(cell.get_value().clone()), Data::Empty) {
            continue;
        }
        if row >= LIST_ROWS || column >= LIST_COLUMNS {
            return Err(format!(
                "a cell stands in row {}, column {}: up to {LIST_ROWS} rows of {LIST_COLUMNS} cells are read",
                row + 1,
                column + 1
            ));
        }
        cells.push((row, column, Data::from(cell.get_value().clone())));
    }
    Ok(cells)
}

/// Rows of one width, with nothing where no cell is.
fn filled_in(log: &Log, name: &str, cells: Vec<(usize, usize, Data)>) -> Vec<Vec<Cell>> {
    let deep = cells.iter().map(|(row, ..)| row + 1).max().unwrap_or(0);
    let wide = cells.iter().map(|(_, column, _)| column + 1).max().unwrap_or(0);
    let mut rows: Vec<Vec<Cell>> = vec![vec![(String::new(), None); wide]; deep];
    for (row, column, data) in cells {
        rows[row][column].0 = text_of(log, name, &data, row);
    }
    rows
}

fn text_of(log: &Log, name: &str, cell: &Data, row: usize) -> String {
    match cell {
        Data::Error(error) => {
            log.note(
                Finding::warning(
                    "formula-in-cell",
                    None,
                    format!("row {} of `{name}` holds a formula that came to nothing: {error}", row + 1),
                )
                .in_file(name)
                .way_out("write the text itself into the cell"),
            );
            String::new()
        }
        Data::Float(number) if number.fract() == 0.0 => format!("{number:.0}"),
        other => other.to_string().trim().to_owned(),
    }
}
