//! Years by the hour in the open layouts TMY3, EPW and NSRDB CSV; see [`YearLayout`].
//!
//! Rows come in the order of the calendar, in local standard time; the years in their stamps, which
//! may differ from month to month, mean nothing. Temperature and humidity are taken as those at the
//! stamp and run straight between stamps; radiation is the mean of a row's hour. Columns are found
//! by their names where the layout names them.

mod fill;
mod layout;
mod rows;
mod station;

use std::sync::Arc;

use jiff::civil::Date;

use super::fault::FileFaults;
use super::fields::{Row, find_nul, lines};
use super::quantity::Quantity;
use super::reading::Reading;
use super::record::{Filled, Record};
use super::site::Site;
use super::source::Weather;
use super::spell::{Light, Spell};
use crate::time::{DAY, Period};
use rows::{Columns, RawHour};

pub use layout::YearLayout;
pub use station::Station;

/// Seconds in an hour.
const HOUR: f64 = 3600.0;
/// An hour's change of temperature that makes one look twice, K: common practice, no source.
const JUMP: f64 = 12.0;

/// A typical year, complete.
#[derive(Clone, Debug, PartialEq)]
pub struct TypicalYear {
    layout: YearLayout,
    station: Station,
    /// Whether the file has a 29 February.
    leap: bool,
    /// From 1 January 01:00 on.
    hours: Vec<Hour>,
    has_vapour: bool,
    has_light: bool,
    filled: Vec<Filled>,
    notices: Vec<Notice>,
    /// Of what the file gives of each quantity, in the order of [`Quantity::ALL`].
    means: [Option<f64>; Quantity::ALL.len()],
}

/// One row.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Hour {
    line: usize,
    /// At its end, degrees C.
    temperature: f64,
    /// At its end, Pa; 0 in a file without humidity.
    vapour: f64,
    /// Its mean.
    light: Light,
}

/// Something odd in a file that can be used nevertheless.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Notice {
    /// The temperature jumps within an hour.
    Jump {
        /// At which line.
        line: usize,
        /// By how much, K.
        kelvin: f64,
    },
    /// The layout has 68 or 71 columns, and the header another count.
    Columns(usize),
    /// The file has no values of this quantity at all.
    Absent(Quantity),
}

/// Which days of the file a period has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pick {
    /// Those of its own dates; the year is ignored.
    Dates,
    /// One day over and over: month and day.
    Day(i8, i8),
}

impl TypicalYear {
    /// Reads a file's text. What has no layout that is known is held to be meant as TMY3.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(text: &str) -> Result<Self, FileFaults> {
        let mut faults = FileFaults::default();
        find_nul(text, &mut faults);
        let layout = YearLayout::of(text).unwrap_or(YearLayout::Tmy3);
        let mut lines = lines(text).map(|(line, text)| Row::new(line, text));
        let head: Vec<Row> = lines.by_ref().take(layout.header_lines()).collect();
        let Some(last) = head.last().filter(|_| head.len() == layout.header_lines()) else {
            faults.add(|| rows::no_header(1));
            return faults.unless_any(None);
        };
        let columns = match Columns::find(layout, last) {
            Ok(columns) => columns,
            Err(fault) => {
                faults.add(|| fault);
                return faults.unless_any(None);
            }
        };
        let station = Station::read(layout, &head, &mut faults);
        let raw: Vec<RawHour> = lines.filter_map(|row| columns.read(&row, &mut faults)).collect();
        let leap = rows::check_sequence(&raw, &mut faults);
        fill::check_dry_bulb(&raw, last.line, &mut faults);
        let whole = faults.count() == 0;
        let read = station.filter(|_| whole).map(|station| {
            let mut year = fill::complete(&raw, layout, station, leap);
            year.notices.extend(columns.notice());
            year.note_jumps(&raw);
            year
        });
        faults.unless_any(read)
    }

    /// The layout of its file.
    pub const fn layout(&self) -> YearLayout {
        self.layout
    }

    /// The mean of what the file gives of a quantity, in the quantity's unit.
    pub fn mean(&self, quantity: Quantity) -> Option<f64> {
        self.means[quantity as usize]
    }

    /// The radiation of the whole year, from midnight of a 1 January on, by the file's stamps.
    pub fn light(&self) -> Option<(Date, Vec<Spell>)> {
        let spells = self.hours.iter().zip(0_u32..).map(|(hour, at)| {
            let from = f64::from(at) * HOUR;
            Spell { from, to: from + HOUR, light: hour.light }
        });
        self.has_light.then(|| (reference_year(self.leap), spells.collect()))
    }

    /// The station.
    pub const fn station(&self) -> &Station {
        &self.station
    }

    /// What was missing and has been filled.
    pub fn filled(&self) -> &[Filled] {
        &self.filled
    }

    /// What is odd.
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// The days with the 24 temperatures of their rows, degrees C. The year is one that has
    /// as many days.
    pub fn days(&self) -> impl Iterator<Item = (Date, [f64; 24])> {
        let first = reference_year(self.leap);
        self.hours.chunks_exact(24).zip(0..).map(move |(hours, day)| {
            let date = first.saturating_add(jiff::Span::new().days(day));
            (date, std::array::from_fn(|hour| hours[hour].temperature))
        })
    }

    /// The weather of a period. A building whose clock is not that of the file, since its site has
    /// another offset from UTC, meets the same weather at its own clock's time.
    pub fn weather(&self, pick: Pick, period: &Period, site: Option<Site>) -> Weather {
        let site = site.unwrap_or(self.station.site);
        let shift = (site.utc_offset - self.station.stamps_offset) * HOUR;
        let lead = self.layout.lead();
        let mut record = Record {
            vapour: self.has_vapour.then(Vec::new),
            light: self.has_light.then(Vec::new),
            site: Some(site),
            sun_of: match pick {
                Pick::Dates => None,
                Pick::Day(month, day) => self.date(month, day),
            },
            filled: self.filled.clone(),
            ..Record::default()
        };
        for stamp in stamps(period, shift - lead) {
            let hour = self.hours[self.place(pick, period, stamp)];
            let second = stamp as f64 * HOUR + shift;
            let temperature = hour.temperature;
            record.temperatures.push(Reading { second: second - lead, temperature });
            if let Some(vapour) = &mut record.vapour {
                vapour.push(hour.vapour);
            }
            if let Some(light) = &mut record.light {
                light.push(Spell { from: second - HOUR, to: second, light: hour.light });
            }
        }
        Weather::Record(Arc::new(record))
    }

    /// Where the row stands that ends so many hours after midnight of the period's first day.
    fn place(&self, pick: Pick, period: &Period, stamp: i64) -> usize {
        let day = match pick {
            Pick::Dates => {
                let date = period.date((stamp - 1).div_euclid(24));
                self.day(date.month(), date.day())
            }
            Pick::Day(month, day) => self.day(month, day),
        };
        let hour = usize::try_from((stamp - 1).rem_euclid(24)).unwrap_or(0);
        (day * 24 + hour).min(self.hours.len() - 1)
    }

    /// Days before a date.
    fn day(&self, month: i8, day: i8) -> usize {
        let days = self.date(month, day).map_or(0, |date| date.day_of_year() - 1);
        usize::try_from(days).unwrap_or(0)
    }

    /// A date in the year of the file's length; 29 February is the 28th in a file without it.
    fn date(&self, month: i8, day: i8) -> Option<Date> {
        let year = reference_year(self.leap).year();
        Date::new(year, month, day).or_else(|_| Date::new(year, month, 28)).ok()
    }

    fn note_jumps(&mut self, raw: &[RawHour]) {
        let pairs = raw.windows(2).filter_map(|pair| {
            let [before, after] = [&pair[0], &pair[1]];
            let kelvin = after.value(Quantity::DryBulb)? - before.value(Quantity::DryBulb)?;
            (kelvin.abs() > JUMP).then_some(Notice::Jump { line: after.line, kelvin })
        });
        self.notices.extend(pairs);
    }
}

/// The whole hours around a period, counted from its first midnight, when the file's clock is
/// behind by `shift` seconds.
#[expect(clippy::cast_possible_truncation, reason = "whole hours of a year and a day's shift")]
fn stamps(period: &Period, shift: f64) -> std::ops::RangeInclusive<i64> {
    let end = (period.days() * DAY) as f64;
    libm::floor(-shift / HOUR) as i64..=libm::ceil((end - shift) / HOUR) as i64
}

/// 1 January of a year with as many days.
const fn reference_year(leap: bool) -> Date {
    Date::constant(if leap { 2024 } else { 2023 }, 1, 1)
}

#[cfg(test)]
mod tests;
