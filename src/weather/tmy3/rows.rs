//! The rows: which columns they have, what time they are about, and whether all are there.

use jiff::civil::Date;

use super::super::fault::{FileFault, FileFaults};
use super::super::fields::{Row, shown};
use super::super::quantity::Quantity;
use super::{Notice, reference_year};

/// The column counts of the layout.
const COUNTS: [usize; 2] = [68, 71];

/// A row as it was read.
#[derive(Clone, Copy, Debug)]
pub(super) struct RawHour {
    pub(super) line: usize,
    /// The stamp: month, day, hour 1 to 24.
    pub(super) stamp: (i8, i8, i8),
    /// In the order of [`Quantity::ALL`]; `None` where missing.
    values: [Option<f64>; 6],
}

impl RawHour {
    pub(super) fn value(&self, quantity: Quantity) -> Option<f64> {
        self.values[quantity as usize]
    }
}

/// Where the columns stand.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    count: usize,
    /// In the order of [`Quantity::ALL`]; `None` where there is no such column.
    places: [Option<usize>; 6],
}

impl Columns {
    /// Finds them by their names in the second line.
    pub(super) fn find(header: &Row) -> Result<Self, FileFault> {
        let heading = |field: &str| {
            let name = field.split('(').next().unwrap_or_default();
            name.trim().to_lowercase()
        };
        let names: Vec<String> = header.fields().map(heading).collect();
        let place = |quantity: Quantity| names.iter().position(|it| it == quantity.heading());
        let places = Quantity::ALL.map(place);
        if names[0] != "date" || places[Quantity::DryBulb as usize].is_none() {
            return Err(no_header(header.line));
        }
        Ok(Self { count: header.len(), places })
    }

    /// What is odd about their count.
    pub(super) fn notice(&self) -> Option<Notice> {
        (!COUNTS.contains(&self.count)).then_some(Notice::Columns(self.count))
    }

    /// Reads a row; `None` where nobody can tell what time it is about.
    pub(super) fn read(&self, row: &Row, faults: &mut FileFaults) -> Option<RawHour> {
        let stamp = stamp(row.field(0), row.field(1));
        if stamp.is_none() {
            let what = format!("`{} {}` is no stamp", shown(row.field(0)), shown(row.field(1)));
            let remedy = "stamps are MM/DD/YYYY,HH:00 with hours from 01:00 to 24:00";
            faults.add(|| row.fault(0, what, remedy));
        }
        let count = row.len();
        let values = if count == self.count || COUNTS.contains(&count) {
            self.values(row, faults)
        } else {
            let what = format!("this row has {count} columns, and the header {}", self.count);
            let remedy = "each row has as many columns as the second line, 68 or 71";
            faults.add(|| row.fault(count, what, remedy));
            [None; 6]
        };
        Some(RawHour { line: row.line, stamp: stamp?, values })
    }

    /// The values of a row; what is wrong is a fault and counts as missing.
    fn values(&self, row: &Row, faults: &mut FileFaults) -> [Option<f64>; 6] {
        let mut values = [None; 6];
        for ((quantity, place), value) in
            Quantity::ALL.into_iter().zip(self.places).zip(&mut values)
        {
            let Some(place) = place else { continue };
            match quantity.read(row.field(place)) {
                Ok(read) => *value = read,
                Err(what) => faults.add(|| {
                    let right = quantity.remedy();
                    row.fault(place, what, &format!("{right}, or nothing where it is missing"))
                }),
            }
        }
        values
    }
}

/// The fault of a file that is not in the layout.
pub(super) fn no_header(line: usize) -> FileFault {
    FileFault {
        line,
        column: 1,
        width: 1,
        what: "this is no file in the TMY3 layout".into(),
        remedy: "its first line names the station, its second the columns: `Date \
                 (MM/DD/YYYY),Time (HH:MM),...` with `Dry-bulb (C)` among them"
            .into(),
    }
}

/// Month, day and hour 1 to 24. Midnight as `00:00` is the end of the day before.
fn stamp(date: &str, time: &str) -> Option<(i8, i8, i8)> {
    let mut parts = date.split('/');
    let (month, day) = (digits(parts.next()?)?, digits(parts.next()?)?);
    let year = parts.next()?;
    let is_year = matches!(year.len(), 2 | 4) && year.bytes().all(|it| it.is_ascii_digit());
    // A leap year has every date there is.
    let date = Date::new(2024, month, day).ok()?;
    let (hour, minute) = time.split_once(':')?;
    let hour = digits(hour)?;
    if !is_year || parts.next().is_some() || digits(minute)? != 0 || hour > 24 {
        return None;
    }
    if hour > 0 {
        return Some((month, day, hour));
    }
    let before = if (month, day) == (1, 1) {
        Date::new(2024, 12, 31).ok()?
    } else {
        date.yesterday().ok()?
    };
    Some((before.month(), before.day(), 24))
}

fn digits(text: &str) -> Option<i8> {
    let fits = matches!(text.len(), 1 | 2) && text.bytes().all(|it| it.is_ascii_digit());
    fits.then(|| text.parse().ok()).flatten()
}

/// Checks that every hour of a year stands there once, in order; tells whether it has a 29 February.
pub(super) fn check_sequence(rows: &[RawHour], faults: &mut FileFaults) -> bool {
    let leap = rows.iter().any(|row| (row.stamp.0, row.stamp.1) == (2, 29));
    let total = if leap { 8784 } else { 8760 };
    let mut expected = 0;
    for row in rows {
        let at = place(row.stamp, leap);
        if at > expected {
            let (from, to) = (words(expected, leap), words(at - 1, leap));
            let what = match at - expected {
                1 => format!("the row of {from} is missing before this one"),
                missing => format!("{missing} rows are missing before this one: {from} to {to}"),
            };
            faults.add(|| at_stamp(row.line, what, "a year has a row for every hour"));
        } else if at < expected {
            let what = format!("the row of {} comes again or out of order", words(at, leap));
            faults.add(|| at_stamp(row.line, what, "sort the rows by their stamps, each once"));
        }
        expected = expected.max(at + 1);
    }
    if expected < total {
        let line = rows.last().map_or(2, |row| row.line);
        let what = format!(
            "the file ends here, before {}: {} of {total} rows are missing",
            words(expected, leap),
            total - expected
        );
        faults.add(|| at_stamp(line, what, "fetch the file again; a year has 8760 rows"));
    }
    leap
}

fn at_stamp(line: usize, what: String, remedy: &str) -> FileFault {
    FileFault { line, column: 1, width: 16, what, remedy: remedy.into() }
}

/// Rows before the one with a stamp.
fn place((month, day, hour): (i8, i8, i8), leap: bool) -> usize {
    let date = Date::new(reference_year(leap).year(), month, day);
    let days = date.map_or(0, |date| date.day_of_year() - 1);
    usize::try_from(days).unwrap_or(0) * 24 + usize::try_from(hour - 1).unwrap_or(0)
}

/// The stamp of a row in words.
fn words(place: usize, leap: bool) -> String {
    let days = i64::try_from(place / 24).unwrap_or(0);
    let date = reference_year(leap).saturating_add(jiff::Span::new().days(days));
    format!("{:02}/{:02} {:02}:00", date.month(), date.day(), place % 24 + 1)
}
