//! The cells of a table on disk: CSV with commas or semicolons, or a sheet of a workbook.

use std::io::Cursor;
use std::path::Path;

use calamine::{DataRef, Reader, Xlsx};

use super::{extension, no_table};
use crate::cli::failure::Failure;
use crate::log::{TableFault, check_unpacked_size};
use crate::study::cells::{Separator, as_written};
use crate::study::settings_table::Cell;

/// Larger tables are not read, bytes.
const LARGEST: u64 = 16 << 20;
/// Nor are workbooks that unpack to more, bytes.
const LARGEST_UNPACKED: u64 = 256 << 20;
/// Nobody has a larger table: rows, columns.
const MOST: [usize; 2] = [20_000, 1_000];

/// The cells of a file; of a workbook those of the named sheet.
pub(in crate::cli) fn read(path: &Path, sheet: Option<&str>) -> Result<Vec<Vec<Cell>>, Failure> {
    let unreadable = |why: String| Failure::Call {
        what: format!("{} cannot be read: {why}", path.display()),
        help: "name a table as `setband settings FILE` writes it".into(),
    };
    let size = std::fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if !size.is_file() || size.len() > LARGEST {
        return Err(unreadable("it is no file, or too large a one".into()));
    }
    let bytes = std::fs::read(path).map_err(|error| unreadable(error.to_string()))?;
    match extension(path).as_str() {
        "csv" => csv(&bytes).map_err(unreadable),
        "xlsx" => workbook(bytes, sheet.unwrap_or_default()).map_err(unreadable),
        _ => Err(no_table(&path.display().to_string())),
    }
}

fn csv(bytes: &[u8]) -> Result<Vec<Vec<Cell>>, String> {
    let text = std::str::from_utf8(bytes).map_err(|_| "it is no text in UTF-8".to_owned())?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let separator = Separator::of(text.lines().next().unwrap_or_default());
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .delimiter(separator.byte())
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| error.to_string())?;
        if rows.len() >= MOST[0] || row.len() > MOST[1] {
            return Err(too_large());
        }
        let cell = |text: &str| {
            let pointed = Cell::of(&separator.pointed(text));
            if pointed.number().is_some() { pointed } else { Cell::of(text) }
        };
        rows.push(row.iter().map(|text| cell(as_written(text))).collect());
    }
    Ok(rows)
}

fn too_large() -> String {
    format!("it has more than {} rows or {} columns", MOST[0], MOST[1])
}

fn workbook(bytes: Vec<u8>, sheet: &str) -> Result<Vec<Vec<Cell>>, String> {
    check_unpacked_size(&bytes, LARGEST_UNPACKED).map_err(|fault| match fault {
        TableFault::TooLarge => {
            format!("it unpacks to more than {} MB, more than any table", LARGEST_UNPACKED >> 20)
        }
        damaged => damaged.to_string(),
    })?;
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|error| error.to_string())?;
    let names = book.sheet_names();
    if !names.iter().any(|name| name == sheet) {
        return Err(format!("it has no sheet `{sheet}`; it has {}", names.join(", ")));
    }
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    // Cell by cell: a sheet with one cell far out must not take the memory of all before it.
    let mut cells = book.worksheet_cells_reader(sheet).map_err(|error| error.to_string())?;
    while let Some(found) = cells.next_cell().map_err(|error| error.to_string())? {
        let (row, column) = found.get_position();
        let (row, column) = (row as usize, column as usize);
        let cell = match found.get_value() {
            DataRef::Empty => continue,
            DataRef::Int(number) => Cell::Number(*number as f64),
            DataRef::Float(number) => Cell::Number(*number),
            DataRef::Bool(flag) => Cell::Text(flag.to_string()),
            DataRef::String(text) => Cell::of(text),
            DataRef::SharedString(text) => Cell::of(text),
            DataRef::DateTime(at) if at.is_datetime() => {
                let (year, month, day, ..) = at.to_ymd_hms_milli();
                Cell::Text(format!("{year:04}-{month:02}-{day:02}"))
            }
            DataRef::DateTime(_) | DataRef::DateTimeIso(_) | DataRef::DurationIso(_) => {
                Cell::Text("a date or time".into())
            }
            DataRef::Error(error) => Cell::Text(error.to_string()),
        };
        if cell == Cell::Empty {
            continue;
        }
        if row >= MOST[0] || column >= MOST[1] {
            return Err(too_large());
        }
        if rows.len() <= row {
            rows.resize(row + 1, Vec::new());
        }
        if rows[row].len() <= column {
            rows[row].resize(column + 1, Cell::Empty);
        }
        rows[row][column] = cell;
    }
    Ok(rows)
}
