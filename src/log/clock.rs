//! The times of a log: from the text of a cell to seconds of local standard time.

use std::fmt;
use std::ops::{Add, Sub};

use jiff::civil::{Date, DateTime};
use jiff::fmt::strtime::BrokenDownTime;

use crate::time::DAY;

/// A time of a log: seconds of local standard time since 1970-01-01 00:00.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LogTime(i64);

impl LogTime {
    /// So many seconds after 1970-01-01 00:00, local standard time.
    pub const fn new(seconds: i64) -> Self {
        Self(seconds)
    }

    /// Seconds since 1970-01-01 00:00, local standard time.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// Midnight at which a date begins.
    pub fn midnight(date: Date) -> Self {
        Self(date.duration_since(EPOCH).as_secs())
    }

    /// Its date.
    pub fn date(self) -> Date {
        EPOCH.saturating_add(jiff::Span::new().days(self.0.div_euclid(DAY)))
    }

    /// Seconds since its midnight.
    pub const fn second_of_day(self) -> i64 {
        self.0.rem_euclid(DAY)
    }
}

impl fmt::Display for LogTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let second = self.second_of_day();
        write!(f, "{} {:02}:{:02}", self.date(), second / 3600, second / 60 % 60)?;
        if second % 60 == 0 { Ok(()) } else { write!(f, ":{:02}", second % 60) }
    }
}

impl Sub for LogTime {
    type Output = i64;

    fn sub(self, other: Self) -> i64 {
        self.0 - other.0
    }
}

impl Add<i64> for LogTime {
    type Output = Self;

    fn add(self, seconds: i64) -> Self {
        Self(self.0 + seconds)
    }
}

const EPOCH: Date = Date::constant(1970, 1, 1);

/// Which clock a log goes by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Clock {
    /// Local standard time, all the year.
    #[default]
    Standard,
    /// What clocks on the wall show: an hour ahead from one standard time to another, where there
    /// is daylight saving; around the turn of the year where the first lies behind the second.
    Local(Option<[LogTime; 2]>),
    /// Universal time; local standard time is so many seconds ahead.
    Utc {
        /// Local standard time minus universal time, s.
        offset: i64,
    },
}

/// So far are clocks on the wall ahead with daylight saving, s.
const FORWARD: i64 = 3600;

impl Clock {
    /// Standard time from what the log's clock shows. An hour that the wall's clock shows twice is
    /// the second one where the first would lie before `last`.
    fn standard(self, shown: LogTime, last: Option<LogTime>) -> LogTime {
        match self {
            Self::Standard | Self::Local(None) => shown,
            Self::Utc { offset } => shown + offset,
            Self::Local(Some([from, to])) => {
                let saves = |at: LogTime| {
                    if from <= to { from <= at && at < to } else { at < to || from <= at }
                };
                let ahead = shown + -FORWARD;
                let first = saves(ahead);
                let came = last.is_none_or(|last| ahead >= last);
                if first && (came || saves(shown)) { ahead } else { shown }
            }
        }
    }
}

/// How the times of a log are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TimeReader {
    format: Option<String>,
    year: Option<i16>,
    clock: Clock,
    /// How far the log's clock runs ahead of the true one, s.
    ahead: i64,
}

/// Why a format of time cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimeFault {
    /// It cannot be read.
    Format(String),
    /// It has no year, and none is given.
    NoYear,
}

impl TimeReader {
    /// A reader of ISO 8601 times, or of a format in the letters of `strftime`.
    ///
    /// # Errors
    /// The format cannot be used.
    pub fn new(
        format: Option<&str>,
        year: Option<i16>,
        clock: Clock,
        ahead: i64,
    ) -> Result<Self, TimeFault> {
        if let Some(format) = format {
            let probe = DateTime::constant(2024, 11, 22, 13, 14, 15, 0);
            let text = jiff::fmt::strtime::format(format, probe)
                .map_err(|error| TimeFault::Format(error.to_string()))?;
            let back = BrokenDownTime::parse(format, &text)
                .map_err(|error| TimeFault::Format(error.to_string()))?;
            if back.year().is_none() && year.is_none() {
                return Err(TimeFault::NoYear);
            }
            let own = Self { format: Some(format.into()), year, clock, ahead };
            if own.shown(&text).is_none() {
                return Err(TimeFault::Format("it names no whole date and hour".into()));
            }
            return Ok(own);
        }
        Ok(Self { format: None, year, clock, ahead })
    }

    /// How far the log's clock runs ahead of the true one by the `log` block, s.
    pub const fn ahead(&self) -> i64 {
        self.ahead
    }

    /// The time in a cell, in local standard time by a true clock; `None` where it is none. `last`
    /// is the time of the row before.
    pub fn read(&self, cell: &str, last: Option<LogTime>) -> Option<LogTime> {
        let last = last.map(|at| at + self.ahead);
        Some(self.clock.standard(self.shown(cell)?, last) + -self.ahead)
    }

    /// What the log's clock shows.
    fn shown(&self, cell: &str) -> Option<LogTime> {
        let cell = cell.trim();
        if let Some(at) = self.parsed(cell) {
            return Some(at);
        }
        // "24:00" is the end of the day.
        let place = cell.find("24:00")?;
        let zero = format!("{}00:00{}", &cell[..place], &cell[place + 5..]);
        self.parsed(&zero).map(|at| at + DAY)
    }

    fn parsed(&self, cell: &str) -> Option<LogTime> {
        let at = match &self.format {
            None => iso(cell)?,
            Some(format) => {
                let mut parts = BrokenDownTime::parse(format, cell).ok()?;
                if let (None, Some(year)) = (parts.year(), self.year) {
                    parts.set_year(Some(year)).ok()?;
                }
                if parts.minute().is_none() && parts.hour().is_some() {
                    parts.set_minute(Some(0)).ok()?;
                }
                parts
                    .to_datetime()
                    .or_else(|_| parts.to_date().map(|date| date.at(0, 0, 0, 0)))
                    .ok()?
            }
        };
        Some(LogTime(at.duration_since(DateTime::from(EPOCH)).as_secs()))
    }
}

/// `2025-04-16T08:40`, with a space for the `T`, with or without seconds and their fractions.
fn iso(cell: &str) -> Option<DateTime> {
    cell.as_bytes().first().filter(|first| first.is_ascii_digit())?;
    cell.trim_end_matches('Z').parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> LogTime {
        reader(None).read(text, None).expect("it is a time")
    }

    fn reader(format: Option<&str>) -> TimeReader {
        TimeReader::new(format, None, Clock::Standard, 0).expect("it can be used")
    }

    #[test]
    fn iso_times_are_read_with_and_without_seconds() {
        assert_eq!(at("2025-04-16T08:40").to_string(), "2025-04-16 08:40");
        assert_eq!(at("2025-04-16 08:40:05").to_string(), "2025-04-16 08:40:05");
        assert_eq!(at("1970-01-02 00:00"), LogTime::new(DAY));
        assert_eq!(at("2025-04-16 24:00"), at("2025-04-17 00:00"));
        for wrong in ["", "08:40", "2025-13-01 00:00", "2025-04-16 25:00", "noon"] {
            assert_eq!(reader(None).read(wrong, None), None, "{wrong}");
        }
    }

    #[test]
    fn a_format_without_a_year_takes_the_one_given() {
        let format = Some("%m/%d %H:%M:%S");
        let none = TimeReader::new(format, None, Clock::Standard, 0);
        assert_eq!(none, Err(TimeFault::NoYear));
        let reader = TimeReader::new(format, Some(2021), Clock::Standard, 0).expect("it has one");
        assert_eq!(reader.read("08/26  00:01:00", None), Some(at("2021-08-26 00:01")));
        assert_eq!(reader.read("08/26  24:00:00", None), Some(at("2021-08-27 00:00")));
    }

    #[test]
    fn formats_that_name_no_time_are_faults() {
        assert!(matches!(
            TimeReader::new(Some("%Q!"), None, Clock::Standard, 0),
            Err(TimeFault::Format(_))
        ));
        let american = reader(Some("%m/%d/%Y %I:%M %p"));
        assert_eq!(american.read("4/16/2025 1:05 PM", None), Some(at("2025-04-16 13:05")));
    }

    #[test]
    fn clocks_of_other_kinds_and_clocks_that_run_ahead_are_put_right() {
        let utc = TimeReader::new(None, None, Clock::Utc { offset: -8 * 3600 }, 0);
        assert_eq!(utc.expect("fine").read("2025-04-16 08:00", None), Some(at("2025-04-16 00:00")));
        let ahead = TimeReader::new(None, None, Clock::Standard, 180).expect("fine");
        assert_eq!(ahead.read("2025-04-16 08:03", None), Some(at("2025-04-16 08:00")));
    }

    #[test]
    fn the_hour_that_walls_show_twice_is_told_by_the_row_before() {
        let saving = [at("2025-03-30 02:00"), at("2025-10-26 02:00")];
        let local = TimeReader::new(None, None, Clock::Local(Some(saving)), 0).expect("fine");
        let read =
            |text: &str, last: Option<LogTime>| local.read(text, last).expect("it is a time");
        assert_eq!(read("2025-07-01 12:00", None), at("2025-07-01 11:00"));
        assert_eq!(read("2025-12-01 12:00", None), at("2025-12-01 12:00"));
        let first = read("2025-10-26 02:30", Some(at("2025-10-26 01:00")));
        assert_eq!(first, at("2025-10-26 01:30"));
        assert_eq!(read("2025-10-26 02:00", Some(first)), at("2025-10-26 02:00"));
    }
}
