//! The rows: which columns they have, what time they are about, and whether all are there.

use jiff::civil::Date;

use super::super::fault::{FileFault, FileFaults};
use super::super::fields::{Row, shown};
use super::super::quantity::Quantity;
use super::{Notice, YearLayout, reference_year};

/// The column counts of the TMY3 layout.
const COUNTS: [usize; 2] = [68, 71];

/// A row as it was read.
#[derive(Clone, Copy, Debug)]
pub(super) struct RawHour {
    pub(super) line: usize,
    /// The stamp: month, day, hour 1 to 24.
    pub(super) stamp: (i8, i8, i8),
    /// In the order of [`Quantity::ALL`]; `None` where missing.
    values: [Option<f64>; Quantity::ALL.len()],
}

impl RawHour {
    pub(super) fn value(&self, quantity: Quantity) -> Option<f64> {
        self.values[quantity as usize]
    }
}

/// Where the columns stand.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    layout: YearLayout,
    count: usize,
    /// Of year, month, day, hour and minute.
    stamp: [usize; 5],
    /// In the order of [`Quantity::ALL`]; `None` where there is no such column.
    places: [Option<usize>; Quantity::ALL.len()],
}

impl Columns {
    /// Finds them by their names in the last line of the header, or by the layout.
    pub(super) fn find(layout: YearLayout, header: &Row) -> Result<Self, FileFault> {
        let heading = |field: &str| {
            let name = field.split('(').next().unwrap_or_default();
            name.trim().to_lowercase()
        };
        let names: Vec<String> = header.fields().map(heading).collect();
        let places = Quantity::ALL.map(|quantity| layout.place(quantity, &names));
        let no_dry_bulb = places[Quantity::DryBulb as usize].is_none();
        let stamp = match layout {
            YearLayout::Tmy3 if names[0] != "date" || no_dry_bulb => {
                return Err(no_header(header.line));
            }
            YearLayout::Nsrdb if no_dry_bulb => {
                let what = "the file has no column `Temperature`".to_owned();
                return Err(header.fault(
                    0,
                    what,
                    "fetch it with the temperature among its columns",
                ));
            }
            YearLayout::Epw if header.field(2) != "1" => {
                let what = format!("the file has `{}` rows an hour", shown(header.field(2)));
                return Err(header.fault(2, what, "take a file with one row an hour"));
            }
            YearLayout::Nsrdb => ["year", "month", "day", "hour", "minute"]
                .map(|name| names.iter().position(|it| it == name).unwrap_or(0)),
            YearLayout::Tmy3 | YearLayout::Epw => [0, 1, 2, 3, 4],
        };
        Ok(Self { layout, count: header.len(), stamp, places })
    }

    /// What is odd about their count.
    pub(super) fn notice(&self) -> Option<Notice> {
        (self.layout == YearLayout::Tmy3 && !COUNTS.contains(&self.count))
            .then_some(Notice::Columns(self.count))
    }

    /// Reads a row; `None` where nobody can tell what time it is about.
    pub(super) fn read(&self, row: &Row, faults: &mut FileFaults) -> Option<RawHour> {
        let stamp = self.layout.stamp(row, self.stamp);
        if stamp.is_none() {
            let fields = if self.layout == YearLayout::Tmy3 { 2 } else { 5 };
            let written: Vec<&str> = row.fields().take(fields).collect();
            let what = format!("`{}` is no stamp", shown(&written.join(" ")));
            faults.add(|| row.fault(0, what, self.layout.stamp_remedy()));
        }
        let values = if let Some(right) = self.wrong_count(row.len()) {
            let count = row.len();
            let what = match self.layout {
                YearLayout::Epw => format!("this row has {count} columns"),
                _ => format!("this row has {count} columns, and the header {}", self.count),
            };
            faults.add(|| row.fault(count, what, right));
            [None; Quantity::ALL.len()]
        } else {
            self.values(row, faults)
        };
        Some(RawHour { line: row.line, stamp: stamp?, values })
    }

    /// What would be right where a row has not the columns that it needs.
    fn wrong_count(&self, count: usize) -> Option<&'static str> {
        let last = self.places.iter().flatten().max().map_or(0, |place| place + 1);
        match self.layout {
            YearLayout::Tmy3 => (count != self.count && !COUNTS.contains(&count))
                .then_some("each row has as many columns as the second line, 68 or 71"),
            // Some programs end rows early; what stands there is not read.
            YearLayout::Epw => {
                (count < last).then_some("each row has 35 columns, of which 22 are read")
            }
            YearLayout::Nsrdb => {
                (count < last).then_some("each row has as many columns as the third line")
            }
        }
    }

    /// The values of a row; what is wrong is a fault and counts as missing.
    fn values(&self, row: &Row, faults: &mut FileFaults) -> [Option<f64>; Quantity::ALL.len()] {
        let mut values = [None; Quantity::ALL.len()];
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
