//! Weather as a logger writes it: a CSV with a header line and rows in the order of time.
//!
//! Columns, in any order: `time` as `2025-04-16T08:00`, with seconds if need be, with a space for
//! the `T` if that is easier; `temperature` at that time, in the reader's unit; optionally, at that
//! time, `humidity`, relative, percent, or `dew_point`, in the reader's unit, and `wind`, m/s;
//! optionally, as means over the time from row to row, `radiation` from sun and sky on the
//! horizontal, `beam` from the sun at right angles to its rays and `diffuse` from the sky on the
//! horizontal, W/m2. A row's mean is about the time that ends there, lies around it or begins there:
//! see [`Stamp`]. Times are clock time of the building. Where rows are missing there is a gap
//! ([`super::Gap`]), which is told and not filled unasked.

mod columns;
mod holes;

use std::sync::Arc;

use jiff::civil::{Date, DateTime};

use super::fault::{FileFault, FileFaults};
use super::fields::{Row, find_nul, lines};
use super::gaps::{self, Fill, Gap};
use super::quantity::Quantity;
use super::reading::Reading;
use super::record::Record;
use super::site::Site;
use super::source::{Course, Weather};
use super::spell::{Light, Spell};
use crate::time::{DAY, Period};
use crate::units::TemperatureUnit;
use columns::Columns;
use holes::{filled, gaps_in};

/// An hourly file of one day has its last row at 23:00: the rows may begin and end this far
/// inside the period, s.
const SLACK: f64 = 3600.0;

/// Where in the time that a row's mean is about its stamp stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stamp {
    /// At its start: the mean is of the time until the next row.
    Start,
    /// In its middle: the mean is of the time half way from the row before to the next.
    Middle,
    /// At its end: the mean is of the time since the row before.
    #[default]
    End,
}

impl Stamp {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Start, Self::Middle, Self::End];

    /// Its word in a file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// A file of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    rows: Vec<LoggedRow>,
    has_vapour: bool,
    has_light: bool,
    /// In the order of [`Quantity::ALL`].
    means: [Option<f64>; Quantity::ALL.len()],
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct LoggedRow {
    line: usize,
    time: DateTime,
    /// Degrees C.
    temperature: f64,
    /// Pressure of water vapour, Pa; 0 in a file without.
    vapour: f64,
    light: Light,
    /// What stands there, in the order of [`Quantity::ALL`].
    values: [Option<f64>; Quantity::ALL.len()],
}

impl Logged {
    /// Reads a file's text; its temperatures are in `unit`.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(text: &str, unit: TemperatureUnit) -> Result<Self, FileFaults> {
        let mut faults = FileFaults::default();
        find_nul(text, &mut faults);
        let mut lines = lines(text).map(|(line, text)| Row::new(line, text));
        let Some(columns) = lines.next().and_then(|row| Columns::find(&row, &mut faults)) else {
            if faults.count() == 0 {
                faults.add(empty);
            }
            return faults.unless_any(None);
        };
        let mut rows: Vec<LoggedRow> = Vec::new();
        for line in lines {
            let Some(row) = columns.read(&line, unit, &mut faults) else { continue };
            if rows.last().is_some_and(|last| last.time >= row.time) {
                let what = "its time is not after the row before".to_owned();
                faults.add(|| {
                    line.fault(columns.time, what, "sort the rows by time, each time once")
                });
                continue;
            }
            rows.push(row);
        }
        if rows.is_empty() && faults.count() == 0 {
            faults.add(empty);
        }
        let has = |quantity: Quantity| columns.place(quantity).is_some();
        let has_vapour = has(Quantity::Humidity) || has(Quantity::DewPoint);
        let has_light = has(Quantity::Global) || has(Quantity::Beam);
        let means = Quantity::ALL.map(|quantity| {
            let sum: f64 = rows.iter().filter_map(|row| row.values[quantity as usize]).sum();
            has(quantity).then(|| sum / rows.len() as f64)
        });
        faults.unless_any(Some(Self { rows, has_vapour, has_light, means }))
    }

    /// The mean of a quantity over the rows, in the quantity's unit; `None` where there is no such
    /// column.
    pub fn mean(&self, quantity: Quantity) -> Option<f64> {
        self.means[quantity as usize]
    }

    /// The radiation of all rows, from midnight of the first one's day on.
    pub fn light(&self, stamp: Stamp) -> Option<(Date, Vec<Spell>)> {
        let first = self.rows.first().filter(|_| self.has_light)?.time.date();
        Some((first, spells(&self.rows, &self.seconds(first), stamp)))
    }

    fn seconds(&self, first: Date) -> Vec<f64> {
        self.rows.iter().map(|row| second_of(row.time, first)).collect()
    }

    /// The weather of a period: the rows around it, with one to spare at each end.
    ///
    /// # Errors
    /// The rows do not cover it, or leave gaps longer than three hours and nobody says what to put
    /// there.
    pub fn weather(
        &self,
        period: &Period,
        site: Option<Site>,
        stamp: Stamp,
        fill: Option<Fill>,
    ) -> Result<Weather, Uncovered> {
        let seconds = self.seconds(period.first());
        let end = (period.days() * DAY) as f64;
        let covers = |first: &f64, last: &f64| *first <= SLACK && *last >= end - SLACK;
        if !seconds.first().zip(seconds.last()).is_some_and(|(first, last)| covers(first, last)) {
            return Err(Uncovered::Ends);
        }
        let from = seconds.partition_point(|second| *second <= 0.0).saturating_sub(1);
        let to = (seconds.partition_point(|second| *second < end) + 1).min(seconds.len());
        let usual = gaps::usual(&seconds);
        let mut touched = gaps_in(&self.rows[from..to], &seconds[from..to], usual, fill);
        // A gap that reaches into the period by less than its ends may lack is no more than that.
        let first = period.first();
        let inside =
            |gap: &Gap| second_of(gap.to, first).min(end) - second_of(gap.from, first).max(0.0);
        touched.retain(|gap| inside(gap) > SLACK || !gap.is_long());
        if fill.is_none() && touched.iter().any(Gap::is_long) {
            return Err(Uncovered::Gaps(touched.into_iter().filter(Gap::is_long).collect()));
        }
        let own = (&self.rows[from..to], &seconds[from..to]);
        let (rows, seconds): (Vec<_>, Vec<_>) = filled(own, usual, &touched).into_iter().unzip();
        Ok(self.of_rows((&rows, &seconds), site, stamp, touched))
    }

    /// Times without rows, from the first row to the last.
    pub fn gaps(&self) -> Vec<Gap> {
        let Some(first) = self.rows.first() else { return Vec::new() };
        let seconds = self.seconds(first.time.date());
        gaps_in(&self.rows, &seconds, gaps::usual(&seconds), None)
    }

    /// The weather of some rows, each with its time in seconds.
    fn of_rows(
        &self,
        (rows, seconds): (&[LoggedRow], &[f64]),
        site: Option<Site>,
        stamp: Stamp,
        gaps: Vec<Gap>,
    ) -> Weather {
        let both = || rows.iter().zip(seconds);
        let temperatures: Vec<Reading> = both()
            .map(|(row, second)| Reading { second: *second, temperature: row.temperature })
            .collect();
        if !self.has_vapour && !self.has_light && gaps.is_empty() {
            return Weather::Readings(temperatures.into());
        }
        let vapour = self.has_vapour.then(|| rows.iter().map(|row| row.vapour).collect());
        let light = self.has_light.then(|| spells(rows, seconds, stamp));
        let record = Record { temperatures, vapour, light, site, gaps, ..Record::default() };
        Weather::Record(Arc::new(record))
    }

    /// Its whole days with their temperatures at 01:00 to 24:00, degrees C.
    pub fn days(&self) -> Vec<(Date, [f64; 24])> {
        let [Some(first), Some(last)] = [self.rows.first(), self.rows.last()] else {
            return Vec::new();
        };
        let start = first.time.date();
        let reading = |row: &LoggedRow| Reading {
            second: second_of(row.time, start),
            temperature: row.temperature,
        };
        let weather = Weather::Readings(self.rows.iter().map(reading).collect());
        let (begin, end) = (second_of(first.time, start), second_of(last.time, start));
        let mut course = Course::new(&weather, start);
        // A day of which hours are missing is no whole one.
        let holes: Vec<(f64, f64)> = self
            .gaps()
            .iter()
            .filter(|gap| gap.is_long())
            .map(|gap| (second_of(gap.from, start), second_of(gap.to, start)))
            .collect();
        let is_whole = |day: i32| {
            let (from, to) = (f64::from(day) * DAY as f64, f64::from(day + 1) * DAY as f64);
            !holes.iter().any(|(begin, end)| *begin < to && *end > from)
        };
        let days = (0..).take_while(|day| f64::from(*day + 1) * DAY as f64 <= end + SLACK);
        days.filter(|day| f64::from(*day) * DAY as f64 + SLACK >= begin)
            .filter(|day| is_whole(*day))
            .map(|day| {
                let at = |hour: usize| f64::from(day) * DAY as f64 + (hour + 1) as f64 * 3600.0;
                let date = start.saturating_add(jiff::Span::new().days(day));
                (date, std::array::from_fn(|hour| course.outdoor(at(hour))))
            })
            .collect()
    }
}

/// Why readings are no weather for a period.
#[derive(Clone, Debug, PartialEq)]
pub enum Uncovered {
    /// They begin too late or end too early.
    Ends,
    /// There are gaps longer than three hours: these.
    Gaps(Vec<Gap>),
}

fn empty() -> FileFault {
    FileFault {
        line: 1,
        column: 1,
        width: 1,
        what: "the weather file has no rows".into(),
        remedy: "begin with the line `time,temperature`; rows follow".into(),
    }
}

/// The times that the rows' means are about. Nobody knows how long the first or the last one's
/// is, as the case may be: as long as its neighbour's.
fn spells(rows: &[LoggedRow], seconds: &[f64], stamp: Stamp) -> Vec<Spell> {
    let last = seconds.len() - 1;
    let before = |at: usize| match at {
        0 if last > 0 => 2.0 * seconds[0] - seconds[1],
        0 => seconds[0] - SLACK,
        _ => seconds[at - 1],
    };
    let after = |at: usize| match at {
        _ if at < last => seconds[at + 1],
        0 => seconds[0] + SLACK,
        _ => 2.0 * seconds[at] - seconds[at - 1],
    };
    let spell = |(at, row): (usize, &LoggedRow)| {
        let (from, to) = match stamp {
            Stamp::Start => (seconds[at], after(at)),
            Stamp::End => (before(at), seconds[at]),
            Stamp::Middle => {
                (f64::midpoint(before(at), seconds[at]), f64::midpoint(seconds[at], after(at)))
            }
        };
        Spell { from, to, light: row.light }
    };
    rows.iter().enumerate().map(spell).collect()
}

/// Seconds from midnight of a day.
fn second_of(time: DateTime, first: Date) -> f64 {
    let days = i64::from((time.date() - first).get_days());
    let (hour, minute, second) = (time.hour(), time.minute(), time.second());
    let of_day = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
    (days * DAY + of_day) as f64
}

#[cfg(test)]
mod tests;
