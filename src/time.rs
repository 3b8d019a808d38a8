//! Simulated time: whole seconds from midnight of the first day, clock times, weekdays and spans.
//!
//! Integers only, so a comparison of times is exact and the same on every machine.
//!
//! ```
//! use setband::time::{DAY, Instant, Seconds};
//!
//! let at = Instant::START + Seconds::minutes(8 * 60 + 40);
//! assert_eq!(at.to_string(), "08:40");
//! assert_eq!((at + Seconds::new(DAY)).to_string(), "d2 08:40");
//! assert_eq!(Seconds::minutes(150).to_string(), "2 h 30 min");
//! ```

mod calendar;

use std::fmt;
use std::ops::{Add, Sub};

use jiff::civil::{Date, DateTime};
use serde::{Serialize, Serializer};

use calendar::Calendar;

/// Seconds in a day; simulated time is standard time, so no day is longer or shorter.
pub const DAY: i64 = 86_400;

/// A length of time in whole seconds, never negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Seconds(i64);

impl Seconds {
    /// No time at all.
    pub const ZERO: Self = Self(0);

    /// So many seconds; a negative count becomes zero.
    pub const fn new(seconds: i64) -> Self {
        Self(if seconds < 0 { 0 } else { seconds })
    }

    /// So many minutes.
    pub const fn minutes(minutes: i64) -> Self {
        Self::new(minutes * 60)
    }

    /// So many hours.
    pub const fn hours(hours: i64) -> Self {
        Self::new(hours * 3600)
    }

    /// The count of seconds.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The length in hours.
    pub fn in_hours(self) -> f64 {
        self.0 as f64 / 3600.0
    }
}

impl fmt::Display for Seconds {
    /// `3 min`, `90 s`, `2 h 30 min`: the largest units that say it exactly.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hours, minutes, seconds) = (self.0 / 3600, self.0 / 60 % 60, self.0 % 60);
        let mut parts = Vec::new();
        if hours > 0 {
            parts.push(format!("{hours} h"));
        }
        if minutes > 0 {
            parts.push(format!("{minutes} min"));
        }
        if seconds > 0 || parts.is_empty() {
            parts.push(format!("{seconds} s"));
        }
        f.write_str(&parts.join(" "))
    }
}

/// A point of simulated time: whole seconds from midnight of the first day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Instant(i64);

impl Instant {
    /// Midnight at which the first day begins.
    pub const START: Self = Self(0);

    /// So many seconds from midnight of the first day.
    pub const fn new(seconds: i64) -> Self {
        Self(seconds)
    }

    /// The count of seconds from midnight of the first day.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The day this instant belongs to, 0 for the first.
    pub const fn day(self) -> i64 {
        self.0.div_euclid(DAY)
    }

    /// Seconds since the midnight before.
    pub const fn second_of_day(self) -> i64 {
        self.0.rem_euclid(DAY)
    }

    /// How long ago `earlier` was; zero where it lies ahead.
    pub const fn since(self, earlier: Self) -> Seconds {
        Seconds::new(self.0 - earlier.0)
    }
}

impl fmt::Display for Instant {
    /// Standard time of day, with the day's number from the second day on: `08:40`, `d2 08:40`.
    /// [`Period::clock`] says what clocks show, [`Period::date_time`] has the date.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.day() != 0 {
            write!(f, "d{} ", self.day() + 1)?;
        }
        ClockTime(self.second_of_day()).fmt(f)
    }
}

impl Add<Seconds> for Instant {
    type Output = Self;

    fn add(self, length: Seconds) -> Self {
        Self(self.0.saturating_add(length.0))
    }
}

impl Sub<Seconds> for Instant {
    type Output = Self;

    fn sub(self, length: Seconds) -> Self {
        Self(self.0.saturating_sub(length.0))
    }
}

/// A time of day, `00:00` to `24:00`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClockTime(i64);

impl ClockTime {
    /// `00:00`.
    pub const MIDNIGHT: Self = Self(0);
    /// `24:00`.
    pub const END_OF_DAY: Self = Self(DAY);

    /// So many seconds after midnight, up to `24:00`; `None` outside the day.
    pub const fn new(seconds: i64) -> Option<Self> {
        if 0 <= seconds && seconds <= DAY { Some(Self(seconds)) } else { None }
    }

    /// Reads `H:MM`, `HH:MM` or `HH:MM:SS`, with `24:00` as the end of a day.
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split(':');
        let hours = two_digits(parts.next()?, true)?;
        let minutes = two_digits(parts.next()?, false)?;
        let seconds = parts.next().map_or(Some(0), |part| two_digits(part, false))?;
        if parts.next().is_some() || minutes > 59 || seconds > 59 {
            return None;
        }
        Self::new(hours * 3600 + minutes * 60 + seconds)
    }

    /// Seconds after midnight.
    pub const fn get(self) -> i64 {
        self.0
    }
}

fn two_digits(text: &str, one_will_do: bool) -> Option<i64> {
    let fits = text.len() == 2 || (one_will_do && text.len() == 1);
    let digits = text.bytes().all(|byte| byte.is_ascii_digit());
    (fits && digits).then(|| text.parse().ok()).flatten()
}

impl fmt::Display for ClockTime {
    /// `08:30`, with seconds only where there are any.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 3600, self.0 / 60 % 60)?;
        if self.0 % 60 != 0 {
            write!(f, ":{:02}", self.0 % 60)?;
        }
        Ok(())
    }
}

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Weekday {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

impl Weekday {
    /// All seven, from Monday.
    pub const ALL: [Self; 7] = [
        Self::Monday,
        Self::Tuesday,
        Self::Wednesday,
        Self::Thursday,
        Self::Friday,
        Self::Saturday,
        Self::Sunday,
    ];

    /// The three letters that stand for the day in a scenario file.
    pub const fn short(self) -> &'static str {
        match self {
            Self::Monday => "mon",
            Self::Tuesday => "tue",
            Self::Wednesday => "wed",
            Self::Thursday => "thu",
            Self::Friday => "fri",
            Self::Saturday => "sat",
            Self::Sunday => "sun",
        }
    }
}

/// A set of days of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DaySet(u8);

impl DaySet {
    /// Every day.
    pub const EVERY: Self = Self(0b111_1111);
    /// Monday to Friday.
    pub const WEEKDAYS: Self = Self(0b001_1111);
    /// Saturday and Sunday.
    pub const WEEKEND: Self = Self(0b110_0000);

    /// The set of the days given.
    pub fn of(days: &[Weekday]) -> Self {
        Self(days.iter().fold(0, |set, day| set | 1 << *day as u8))
    }

    /// Whether the set has that day.
    pub const fn has(self, day: Weekday) -> bool {
        self.0 & (1 << day as u8) != 0
    }
}

/// Which dates the simulated days are, what their calendar says, and how time is cut into steps.
/// All of simulated time is local standard time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Period {
    first: Date,
    days: i64,
    step: Seconds,
    calendar: Calendar,
}

/// Why a [`Period`] cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PeriodFault {
    /// Fewer than 1 or more than 366 days.
    Days,
    /// The step is not between 1 s and 1 h or does not divide a day.
    Step,
    /// The last day lies past the calendar's end.
    Calendar,
}

impl Period {
    /// The longest period, one leap year.
    pub const MOST_DAYS: i64 = 366;
    /// The longest step.
    pub const LONGEST_STEP: Seconds = Seconds::hours(1);

    /// A period of `days` from midnight of `first`, cut into steps.
    ///
    /// # Errors
    /// Says which of the two numbers does not fit: see [`PeriodFault`].
    pub fn new(first: Date, days: i64, step: Seconds) -> Result<Self, PeriodFault> {
        if !(1..=Self::MOST_DAYS).contains(&days) {
            return Err(PeriodFault::Days);
        }
        let seconds = step.get();
        if seconds < 1 || step > Self::LONGEST_STEP || DAY % seconds != 0 {
            return Err(PeriodFault::Step);
        }
        first.checked_add(jiff::Span::new().days(days)).map_err(|_| PeriodFault::Calendar)?;
        Ok(Self { first, days, step, calendar: Calendar::default() })
    }

    /// The same days cut into other steps.
    ///
    /// # Errors
    /// The step is not between 1 s and 1 h or does not divide a day.
    pub fn in_steps_of(self, step: Seconds) -> Result<Self, PeriodFault> {
        Self::new(self.first, self.days, step).map(|period| Self { step: period.step, ..self })
    }

    /// So many days from the same first one, in the same steps and on the same calendar.
    ///
    /// # Errors
    /// There are too many, or none: see [`PeriodFault`].
    pub fn over_days(self, days: i64) -> Result<Self, PeriodFault> {
        Self::new(self.first, days, self.step).map(|period| Self { days: period.days, ..self })
    }

    /// The first day.
    pub const fn first(&self) -> Date {
        self.first
    }

    /// How many days.
    pub const fn days(&self) -> i64 {
        self.days
    }

    /// The length of a step.
    pub const fn step(&self) -> Seconds {
        self.step
    }

    /// How many steps a day has.
    pub const fn steps_per_day(&self) -> i64 {
        DAY / self.step.get()
    }

    /// Midnight at which the period ends.
    pub const fn end(&self) -> Instant {
        Instant::new(self.days * DAY)
    }

    /// The date of day `day`, 0 for the first.
    pub fn date(&self, day: i64) -> Date {
        self.first.saturating_add(jiff::Span::new().days(day))
    }

    /// The weekday of day `day`, 0 for the first; days before the first count backwards.
    pub fn weekday(&self, day: i64) -> Weekday {
        let first = i64::from(self.first.weekday().to_monday_zero_offset());
        let offset = (first + day).rem_euclid(7);
        Weekday::ALL[usize::try_from(offset).unwrap_or(0)]
    }

    /// Date and time of an instant, local standard time. Held at the ends of the calendar.
    pub fn date_time(&self, at: Instant) -> DateTime {
        let midnight = self.date(at.day()).to_datetime(jiff::civil::Time::midnight());
        midnight.saturating_add(jiff::Span::new().seconds(at.second_of_day()))
    }

    /// Local standard time as it stands in files, `2025-04-16T08:40:00`.
    pub fn timestamp(&self, at: Instant) -> String {
        let second = at.second_of_day();
        format!(
            "{}T{:02}:{:02}:{:02}",
            self.date(at.day()),
            second / 3600,
            second / 60 % 60,
            second % 60
        )
    }

    /// What clocks show, as it stands in files beside the standard time.
    pub fn clock_stamp(&self, at: Instant) -> String {
        self.timestamp(self.on_clocks(at))
    }

    /// The time that clocks show, for people: `08:40`, and `d2 08:40` where there are several days.
    pub fn clock(&self, at: Instant) -> String {
        let at = self.on_clocks(at);
        let clock = ClockTime(at.second_of_day());
        if self.days == 1 && at.day() == 0 {
            clock.to_string()
        } else {
            format!("d{} {clock}", at.day() + 1)
        }
    }
}

/// A calendar month, `2025-04` in files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Month {
    year: i16,
    number: i8,
}

impl Month {
    /// The month of a date.
    pub fn of(date: Date) -> Self {
        Self { year: date.year(), number: date.month() }
    }

    /// Its year.
    pub const fn year(self) -> i16 {
        self.year
    }

    /// 1 for January.
    pub fn number(self) -> u8 {
        u8::try_from(self.number).unwrap_or(1)
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.year, self.number)
    }
}

impl Serialize for Month {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// A daily span on certain days. One whose end lies before its start runs over midnight and
/// belongs to the day on which it begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    from: ClockTime,
    to: ClockTime,
    days: DaySet,
}

impl Span {
    /// Every day, from midnight to midnight.
    pub const ALWAYS: Self =
        Self { from: ClockTime::MIDNIGHT, to: ClockTime::END_OF_DAY, days: DaySet::EVERY };

    /// A span from a clock time to another on the days given; `None` where the two are the same.
    pub fn new(from: ClockTime, to: ClockTime, days: DaySet) -> Option<Self> {
        (from != to).then_some(Self { from, to, days })
    }

    /// The clock time at which it begins.
    pub const fn from(&self) -> ClockTime {
        self.from
    }

    /// The clock time at which it ends.
    pub const fn to(&self) -> ClockTime {
        self.to
    }

    /// The days on which it begins.
    pub const fn days(&self) -> DaySet {
        self.days
    }

    /// Whether clocks show a time of the span at the instant (its start is one, its end is not). A
    /// holiday counts as a Sunday.
    pub fn contains(&self, period: &Period, at: Instant) -> bool {
        let at = period.on_clocks(at);
        let second = at.second_of_day();
        let begins_on = |day| self.days.has(period.counts_as(day));
        if self.from < self.to {
            self.from.0 <= second && second < self.to.0 && begins_on(at.day())
        } else {
            (second >= self.from.0 && begins_on(at.day()))
                || (second < self.to.0 && begins_on(at.day() - 1))
        }
    }
}

#[cfg(test)]
mod tests;
