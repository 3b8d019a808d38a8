//! The rows of a workbook's sheet, cell by cell, so that a sheet whose only cell stands in its last
//! corner takes no memory.

use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use csv::StringRecord;

use super::table_fault::{LARGEST, LONGEST_CELL, MOST_COLUMNS, TableFault};

/// The sheet's name and its rows that have anything, with their lines.
type Rows = (String, Vec<(u32, StringRecord)>);

/// Reads a sheet, the first without a name.
///
/// # Errors
/// The file is damaged, larger than a log may be, or has no such sheet; a row is too wide.
pub(super) fn rows(bytes: &[u8], sheet: Option<&str>) -> Result<Rows, TableFault> {
    let damaged = |_| TableFault::Damaged("a workbook");
    check_unpacked_size(bytes, LARGEST)?;
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let names = book.sheet_names();
    let name = match sheet {
        Some(name) if names.iter().any(|it| it == name) => name.to_owned(),
        Some(_) => return Err(TableFault::NoSheet(names)),
        None => names.first().cloned().ok_or(TableFault::Empty)?,
    };
    let mut cells = book.worksheet_cells_reader(&name).map_err(damaged)?;
    let mut rows: Vec<(u32, StringRecord)> = Vec::new();
    while let Some(cell) = cells.next_cell().map_err(damaged)? {
        let (row, column) = cell.get_position();
        let text = cell_text(&Data::from(cell.get_value().clone()));
        if text.is_empty() {
            continue;
        }
        let (line, column) = (row.saturating_add(1), column as usize);
        if column >= MOST_COLUMNS || text.len() > LONGEST_CELL {
            return Err(TableFault::TooWide { line });
        }
        if rows.last().is_none_or(|(last, _)| *last != line) {
            rows.push((line, StringRecord::new()));
        }
        if let Some((_, record)) = rows.last_mut() {
            while record.len() < column {
                record.push_field("");
            }
            record.push_field(&text);
        }
    }
    // What stands to the right of a row's last value is empty and not missing.
    let widest = rows.iter().map(|(_, record)| record.len()).max().unwrap_or(0);
    for (_, record) in &mut rows {
        while record.len() < widest && widest <= FILLED_TO {
            record.push_field("");
        }
    }
    Ok((name, rows))
}

/// Rows are filled up to the widest one unless that is wider than this.
const FILLED_TO: usize = 200;

/// What a cell of a workbook would be in a text.
fn cell_text(cell: &Data) -> String {
    match cell {
        Data::DateTime(at) if at.is_datetime() => {
            // Dates of a workbook are fractions of days: half a second is rounding.
            let (year, month, day, hour, minute, second, milli) = at.to_ymd_hms_milli();
            let at = jiff::civil::DateTime::new(
                year.cast_signed(),
                month.cast_signed(),
                day.cast_signed(),
                hour.cast_signed(),
                minute.cast_signed(),
                second.cast_signed(),
                i32::from(milli) * 1_000_000,
            );
            at.and_then(|at| at.round(jiff::Unit::Second))
                .map_or(String::new(), |at| at.to_string())
        }
        Data::Empty | Data::Error(_) => String::new(),
        other => other.to_string(),
    }
}

/// A workbook is a zip archive: what its entries say that they come to, and what they then come to,
/// is counted before they are kept.
///
/// # Errors
/// It is damaged, or comes to more bytes than `largest`.
pub(crate) fn check_unpacked_size(bytes: &[u8], largest: u64) -> Result<(), TableFault> {
    use std::io::Read;
    let damaged = |_| TableFault::Damaged("a workbook");
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let mut left = largest;
    for place in 0..archive.len() {
        let entry = archive.by_index(place).map_err(damaged)?;
        if entry.size() > left {
            return Err(TableFault::TooLarge);
        }
        let read = std::io::copy(&mut entry.take(left + 1), &mut std::io::sink());
        let size = read.map_err(|_| TableFault::Damaged("a workbook"))?;
        left = left.checked_sub(size).ok_or(TableFault::TooLarge)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_only_begins_like_a_workbook_is_told() {
        assert_eq!(rows(b"PK\x03\x04 and no more", None), Err(TableFault::Damaged("a workbook")));
    }

    /// An archive of a megabyte of zeros, which packs into a kilobyte.
    #[test]
    fn an_archive_that_unpacks_beyond_the_limit_is_given_up() {
        use std::io::Write;
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let options = zip::write::SimpleFileOptions::default();
        archive.start_file("xl/worksheets/sheet1.xml", options).expect("memory takes it");
        archive.write_all(&vec![b'0'; 1 << 20]).expect("memory takes it");
        let packed = archive.finish().expect("memory takes it").into_inner();
        assert!(packed.len() < 50_000, "{}", packed.len());
        assert_eq!(check_unpacked_size(&packed, 100_000), Err(TableFault::TooLarge));
        assert_eq!(check_unpacked_size(&packed, 2 << 20), Ok(()));
    }
}
