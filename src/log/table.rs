//! How a log's bytes are written, found out from them: packed or not, a workbook or text, its
//! encoding, separator and decimal mark, and where its header stands.

use csv::StringRecord;

use super::number::Decimal;
use super::table_fault::{LARGEST, LONGEST_CELL, MOST_COLUMNS, TableFault};
use super::unpack::{Encoding, decoded, unpacked};
#[cfg(feature = "cli")]
use super::workbook;

/// Separator, decimal mark and header are found in so many lines.
const LOOKED_AT: usize = 200;
/// The header stands within so many lines.
const HEADER_WITHIN: usize = 40;
/// The first bytes of a zip archive, which a workbook is.
const ZIP: &[u8] = b"PK\x03\x04";

/// A table whose layout is known: a header, and rows of cells below it.
#[derive(Clone, Debug)]
pub struct Table {
    header: Vec<String>,
    header_line: u32,
    decimal: Decimal,
    body: Body,
}

#[derive(Clone, Debug)]
enum Body {
    Text {
        text: String,
        separator: u8,
        encoding: Encoding,
    },
    #[cfg(feature = "cli")]
    Sheet {
        name: String,
        rows: Vec<(u32, StringRecord)>,
    },
}

impl Table {
    /// Finds out how a file's bytes are written. `sheet` names the sheet of a workbook; without it
    /// the first is taken.
    ///
    /// # Errors
    /// What stands in the way.
    pub fn open(bytes: &[u8], sheet: Option<&str>) -> Result<Self, TableFault> {
        let plain = unpacked(bytes, LARGEST)?;
        if plain.starts_with(ZIP) {
            return Self::from_workbook(&plain, sheet);
        }
        let (text, encoding) = decoded(plain)?;
        let separator = separator_of(&text);
        let mut first = Vec::new();
        let mut reader = reader(&text, separator);
        let mut record = StringRecord::new();
        while first.len() < LOOKED_AT && reader.read_record(&mut record).unwrap_or(false) {
            let line = line_of(&record, &text);
            check_width(&record, line)?;
            first.push((line, record.clone()));
        }
        let (header_line, header) = header_of(&first)?;
        let decimal = if separator == b',' { Decimal::Point } else { decimal_of(&first) };
        let body = Body::Text { text, separator, encoding };
        Ok(Self { header, header_line, decimal, body })
    }

    #[cfg(feature = "cli")]
    fn from_workbook(bytes: &[u8], sheet: Option<&str>) -> Result<Self, TableFault> {
        let (name, rows) = workbook::rows(bytes, sheet)?;
        let first: Vec<_> = rows.iter().take(LOOKED_AT).cloned().collect();
        let (header_line, header) = header_of(&first)?;
        let body = Body::Sheet { name, rows };
        Ok(Self { header, header_line, decimal: Decimal::Point, body })
    }

    #[cfg(not(feature = "cli"))]
    fn from_workbook(_: &[u8], _: Option<&str>) -> Result<Self, TableFault> {
        Err(TableFault::NoWorkbooks)
    }

    /// The headings.
    pub fn header(&self) -> &[String] {
        &self.header
    }

    /// The line of the header, from 1.
    pub const fn header_line(&self) -> u32 {
        self.header_line
    }

    /// What stands between whole numbers and fractions.
    pub const fn decimal(&self) -> Decimal {
        self.decimal
    }

    /// The place of a heading; in letters of either case, if none is the same.
    pub fn column(&self, name: &str) -> Option<usize> {
        let same = self.header.iter().position(|it| it == name);
        same.or_else(|| self.header.iter().position(|it| it.eq_ignore_ascii_case(name)))
    }

    /// How it is written, in words for people.
    pub fn layout_words(&self) -> String {
        match &self.body {
            Body::Text { separator, encoding, .. } => {
                let separator = match separator {
                    b';' => "semicolons",
                    b'\t' => "tabs",
                    _ => "commas",
                };
                let encoding = match encoding {
                    Encoding::Utf8 => "UTF-8",
                    Encoding::Latin1 => "Latin-1",
                };
                let mark = match self.decimal {
                    Decimal::Point => "point",
                    Decimal::Comma => "comma",
                };
                format!("text ({encoding}), columns between {separator}, decimal {mark}")
            }
            #[cfg(feature = "cli")]
            Body::Sheet { name, .. } => format!("workbook, sheet {name}"),
        }
    }

    /// Goes through the rows below the header with the line of each.
    ///
    /// # Errors
    /// A row is wider than a log may be.
    pub fn each_row(&self, mut take: impl FnMut(u32, &StringRecord)) -> Result<(), TableFault> {
        self.rows_while(|line, record| {
            take(line, record);
            true
        })
    }

    /// The same as long as more rows are wanted.
    pub(super) fn rows_while(
        &self,
        mut take: impl FnMut(u32, &StringRecord) -> bool,
    ) -> Result<(), TableFault> {
        match &self.body {
            Body::Text { text, separator, .. } => {
                let mut reader = reader(text, *separator);
                let mut record = StringRecord::new();
                while reader.read_record(&mut record).unwrap_or(false) {
                    let line = line_of(&record, text);
                    if line <= self.header_line || is_blank(&record) {
                        continue;
                    }
                    check_width(&record, line)?;
                    if !take(line, &record) {
                        break;
                    }
                }
            }
            #[cfg(feature = "cli")]
            Body::Sheet { rows, .. } => {
                let below = rows.iter().filter(|(line, _)| *line > self.header_line);
                for (line, record) in below.filter(|(_, record)| !is_blank(record)) {
                    if !take(*line, record) {
                        break;
                    }
                }
            }
        }
        Ok(())
    }
}

fn reader(text: &str, separator: u8) -> csv::Reader<&[u8]> {
    let mut builder = csv::ReaderBuilder::new();
    builder.delimiter(separator).flexible(true).has_headers(false);
    builder.from_reader(text.as_bytes())
}

/// The line on which a record begins; the reader counts blank lines before it to the record.
fn line_of(record: &StringRecord, text: &str) -> u32 {
    let Some(position) = record.position() else { return 0 };
    let from = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let rest = text.as_bytes().get(from..).unwrap_or_default();
    let breaks = rest.iter().take_while(|it| matches!(it, b'\n' | b'\r'));
    let blank = breaks.filter(|it| **it == b'\n').count();
    u32::try_from(position.line() + blank as u64).unwrap_or(u32::MAX)
}

fn is_blank(record: &StringRecord) -> bool {
    record.iter().all(|cell| cell.trim().is_empty())
}

fn check_width(record: &StringRecord, line: u32) -> Result<(), TableFault> {
    let wide = record.len() > MOST_COLUMNS || record.iter().any(|cell| cell.len() > LONGEST_CELL);
    if wide { Err(TableFault::TooWide { line }) } else { Ok(()) }
}

/// The separator that cuts most of the first lines into equally many cells.
fn separator_of(text: &str) -> u8 {
    let lines: Vec<&str> = text.lines().filter(|it| !it.trim().is_empty()).take(50).collect();
    let score = |separator: u8| {
        let count = |line: &&str| {
            let mut quoted = false;
            line.bytes()
                .filter(|it| {
                    quoted ^= *it == b'"';
                    *it == separator && !quoted
                })
                .count()
        };
        let counts: Vec<usize> = lines.iter().map(count).filter(|count| *count > 0).collect();
        let mut sorted = counts.clone();
        sorted.sort_unstable();
        let usual = sorted.get(sorted.len() / 2).copied().unwrap_or(0);
        counts.iter().filter(|count| **count == usual).count()
    };
    // A comma may be a decimal mark, so it comes last among equals.
    [b'\t', b';', b','].into_iter().rev().max_by_key(|it| score(*it)).unwrap_or(b',')
}

/// A decimal comma, if more cells look like numbers with it than with a point.
fn decimal_of(rows: &[(u32, StringRecord)]) -> Decimal {
    let with = |mark: char| {
        let cells = rows.iter().flat_map(|(_, record)| record.iter());
        cells
            .filter(|cell| {
                let cell = cell.trim().trim_start_matches('-');
                cell.split_once(mark).is_some_and(|(whole, part)| {
                    let digits =
                        |it: &str| !it.is_empty() && it.bytes().all(|b| b.is_ascii_digit());
                    digits(whole) && digits(part)
                })
            })
            .count()
    };
    if with(',') > with('.') { Decimal::Comma } else { Decimal::Point }
}

/// The header: the first line of usual width all of whose cells are words.
fn header_of(rows: &[(u32, StringRecord)]) -> Result<(u32, Vec<String>), TableFault> {
    let mut widths: Vec<usize> = rows.iter().map(|(_, record)| record.len()).collect();
    widths.sort_unstable();
    let usual = widths.get(widths.len() / 2).copied().ok_or(TableFault::Empty)?;
    let is_header = |record: &StringRecord| {
        record.len() >= usual && record.iter().any(|cell| Decimal::Point.parse(cell).is_none())
    };
    let found = rows.iter().take(HEADER_WITHIN).position(|(_, record)| is_header(record));
    let place = found.ok_or(TableFault::Empty)?;
    if place + 1 >= rows.len() {
        return Err(TableFault::Empty);
    }
    let (line, record) = &rows[place];
    Ok((*line, record.iter().map(|cell| cell.trim().to_owned()).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(text: &str) -> Table {
        Table::open(text.as_bytes(), None).expect("it is a table")
    }

    fn rows(table: &Table) -> Vec<(u32, Vec<String>)> {
        let mut found = Vec::new();
        table
            .each_row(|line, record| found.push((line, record.iter().map(str::to_owned).collect())))
            .expect("none is too wide");
        found
    }

    #[test]
    fn separators_and_decimal_marks_are_told_by_the_content() {
        let semicolons = open("zeit;halle\n2025-04-16 08:00;20,5\n2025-04-16 08:01;20,6\n");
        assert_eq!(semicolons.header(), ["zeit", "halle"]);
        assert_eq!(semicolons.decimal(), Decimal::Comma);
        assert_eq!(rows(&semicolons)[1].1, ["2025-04-16 08:01", "20,6"]);
        let tabs = open("time\thall\n1\t20.5\n");
        assert_eq!((tabs.header().len(), tabs.decimal()), (2, Decimal::Point));
        let commas = open("time,\"hall, east\"\n1,20.5\n");
        assert_eq!(commas.header(), ["time", "hall, east"]);
        assert!(commas.layout_words().contains("commas"));
    }

    #[test]
    fn lines_above_the_header_and_blank_lines_are_passed_over() {
        let table = open("Recorder 7\n\ntime,hall\n\n08:00,20\n,\n08:01,21\n");
        assert_eq!(table.header(), ["time", "hall"]);
        assert_eq!(rows(&table).iter().map(|row| row.0).collect::<Vec<_>>(), [5, 7]);
        assert_eq!(table.column("HALL"), Some(1));
        assert_eq!(table.column("shop"), None);
    }

    #[test]
    fn what_is_no_table_is_told() {
        let fault = |bytes: &[u8]| Table::open(bytes, None).expect_err("it is none");
        assert_eq!(fault(b""), TableFault::Empty);
        assert_eq!(fault(b"time,hall\n"), TableFault::Empty);
        assert_eq!(fault(b"1,2\n3,4\n"), TableFault::Empty);
        assert_eq!(fault(b"a,b\n\0,1\n"), TableFault::NoText);
        let wide = format!("a,b\n{}\n", "1,".repeat(MOST_COLUMNS + 1));
        assert_eq!(fault(wide.as_bytes()), TableFault::TooWide { line: 2 });
    }
}
