//! What a file's calendar adds to the weekdays: holidays and daylight saving time.
//!
//! Simulated time is local standard time, without gaps and without hours that come twice; the
//! weather is in it, and so are the columns `time` of all files. Clocks may be an hour ahead of
//! it: schedules, actions and prices go by the clocks, and so does every time of day that people
//! read.

use jiff::civil::Date;

use super::{ClockTime, DAY, Instant, Period, Seconds, Weekday};

/// How far clocks are put forward.
const FORWARD: Seconds = Seconds::hours(1);
/// At this standard time of the day clocks are changed, in spring and in autumn.
const CHANGED_AT: Seconds = Seconds::hours(2);
/// One bit a day: the longest period, the day before it and a day behind it.
const WORDS: usize = 6;

/// Holidays and daylight saving time of a period.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Calendar {
    /// A bit for each day, from the day before the period on.
    holidays: [u64; WORDS],
    daylight: Option<Daylight>,
}

/// When clocks are ahead. Where the end lies before the start, they are ahead outside the two:
/// south of the equator a year begins in summer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Daylight {
    from: Instant,
    to: Instant,
}

impl Daylight {
    fn has(self, at: Instant) -> bool {
        if self.from <= self.to {
            self.from <= at && at < self.to
        } else {
            at < self.to || self.from <= at
        }
    }
}

/// The word and the bit of a day; `None` outside the period and the day before it.
fn bit(day: i64) -> Option<(usize, u64)> {
    let place = usize::try_from(day + 1).ok()?;
    (place < 64 * WORDS).then_some((place / 64, 1 << (place % 64)))
}

impl Period {
    /// The same period with a holiday, or with several from a first to a last day. Days outside
    /// the period, save the day before it, do nothing.
    #[must_use]
    pub fn with_holidays(mut self, first: Date, last: Date) -> Self {
        let (first, last) = (self.day_of(first).max(-1), self.day_of(last).min(self.days));
        for (word, bit) in (first..=last).filter_map(bit) {
            self.calendar.holidays[word] |= bit;
        }
        self
    }

    /// The same period with clocks an hour ahead from one date to another, changed on both at
    /// 2:00 standard time; around the turn of the year where `to` lies before `from`.
    #[must_use]
    pub fn with_daylight_saving(mut self, from: Date, to: Date) -> Self {
        let change = |date| Instant::new(self.day_of(date) * DAY) + CHANGED_AT;
        self.calendar.daylight = Some(Daylight { from: change(from), to: change(to) });
        self
    }

    /// Days from the first day to a date, negative before it.
    fn day_of(&self, date: Date) -> i64 {
        date.duration_since(self.first).as_secs() / DAY
    }

    /// Whether the file's calendar has day `day` as a holiday.
    pub fn is_holiday(&self, day: i64) -> bool {
        bit(day).is_some_and(|(word, bit)| self.calendar.holidays[word] & bit != 0)
    }

    /// The weekday that schedules take day `day` for: a holiday counts as a Sunday.
    pub fn counts_as(&self, day: i64) -> Weekday {
        if self.is_holiday(day) { Weekday::Sunday } else { self.weekday(day) }
    }

    /// Whether clocks are ever put forward.
    pub const fn has_daylight_saving(&self) -> bool {
        self.calendar.daylight.is_some()
    }

    /// What clocks show at an instant.
    pub fn on_clocks(&self, at: Instant) -> Instant {
        match self.calendar.daylight {
            Some(daylight) if daylight.has(at) => at + FORWARD,
            _ => at,
        }
    }

    /// By how much clocks are ahead of standard time: at `from`, and at each change after it and
    /// before `to`.
    pub fn clocks_ahead(&self, from: Instant, to: Instant) -> Vec<(Instant, Seconds)> {
        let ahead = |at: Instant| (at, self.on_clocks(at).since(at));
        let mut all = vec![ahead(from)];
        let changes = self.calendar.daylight.map(|daylight| [daylight.from, daylight.to]);
        let mut within: Vec<Instant> = changes.into_iter().flatten().collect();
        within.retain(|change| from < *change && *change < to);
        within.sort_unstable();
        all.extend(within.into_iter().map(ahead));
        all
    }

    /// The instant at which clocks show a time: the first, where they show it twice; that of the
    /// change, where they pass over it.
    pub fn off_clocks(&self, shown: Instant) -> Instant {
        let Some(daylight) = self.calendar.daylight else { return shown };
        let ahead = shown - FORWARD;
        if daylight.has(ahead) {
            ahead
        } else if daylight.has(shown) {
            daylight.from
        } else {
            shown
        }
    }

    /// The next instant after `at` at which clocks show midnight.
    pub fn end_of_clocks_day(&self, at: Instant) -> Instant {
        self.off_clocks(Instant::new((self.on_clocks(at).day() + 1) * DAY))
    }

    /// The next instant after `at` at which clocks show one of these times, turn to another day
    /// or are changed.
    pub fn next_on_clocks(&self, at: Instant, times: impl Iterator<Item = ClockTime>) -> Instant {
        let shown = self.on_clocks(at).second_of_day();
        let later = times.map(ClockTime::get).filter(|time| *time > shown).min();
        let next = at + Seconds::new(later.unwrap_or(DAY).min(DAY) - shown);
        let Some(daylight) = self.calendar.daylight else { return next };
        let changes = [daylight.from, daylight.to];
        changes.into_iter().filter(|change| *change > at).fold(next, Instant::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{DaySet, Span};
    use jiff::civil::date;

    /// The whole of 2025; its clocks go forward on 30 March and back on 26 October.
    fn year() -> Period {
        let year = Period::new(date(2025, 1, 1), 365, Seconds::minutes(1)).expect("valid");
        year.with_daylight_saving(date(2025, 3, 30), date(2025, 10, 26))
    }

    fn at(day: i64, hour: i64, minute: i64) -> Instant {
        Instant::new(day * DAY + hour * 3600 + minute * 60)
    }

    /// 30 March and 26 October as days of 2025: 31 + 28 + 29, and 304 - 31 + 25.
    const SPRING: i64 = 88;
    const AUTUMN: i64 = 298;

    #[test]
    fn clocks_go_forward_in_spring_and_back_in_autumn() {
        let year = year();
        for (standard, shown) in [
            (at(SPRING, 1, 59), at(SPRING, 1, 59)),
            (at(SPRING, 2, 0), at(SPRING, 3, 0)),
            (at(AUTUMN, 1, 59), at(AUTUMN, 2, 59)),
            (at(AUTUMN, 2, 0), at(AUTUMN, 2, 0)),
        ] {
            assert_eq!(year.on_clocks(standard), shown);
        }
    }

    #[test]
    fn a_time_that_clocks_show_twice_is_the_first_and_one_passed_over_is_the_change() {
        let year = year();
        assert_eq!(year.off_clocks(at(SPRING, 2, 30)), at(SPRING, 2, 0));
        assert_eq!(year.off_clocks(at(SPRING, 3, 0)), at(SPRING, 2, 0));
        assert_eq!(year.off_clocks(at(AUTUMN, 2, 30)), at(AUTUMN, 1, 30));
        assert_eq!(year.off_clocks(at(AUTUMN, 3, 0)), at(AUTUMN, 3, 0));
        for hour in (0..365 * 24).filter(|hour| *hour != AUTUMN * 24 + 2) {
            let standard = Instant::new(hour * 3600);
            assert_eq!(year.off_clocks(year.on_clocks(standard)), standard, "{hour}");
        }
    }

    #[test]
    fn south_of_the_equator_clocks_are_ahead_around_the_turn_of_the_year() {
        let year = Period::new(date(2025, 1, 1), 365, Seconds::minutes(1)).expect("valid");
        let year = year.with_daylight_saving(date(2025, 10, 5), date(2025, 4, 6));
        for (day, ahead) in [(0, true), (94, true), (96, false), (200, false), (300, true)] {
            assert_eq!(year.on_clocks(at(day, 12, 0)) == at(day, 13, 0), ahead, "{day}");
        }
    }

    #[test]
    fn a_schedule_goes_by_the_clocks() {
        let clock = |text| ClockTime::parse(text).expect("a clock time");
        let open = Span::new(clock("08:00"), clock("18:00"), DaySet::EVERY).expect("not empty");
        let year = year();
        assert!(open.contains(&year, at(10, 8, 0)) && !open.contains(&year, at(10, 7, 59)));
        assert!(open.contains(&year, at(200, 7, 0)) && !open.contains(&year, at(200, 17, 0)));
        let edges = || [open.from(), open.to()].into_iter();
        assert_eq!(year.next_on_clocks(at(200, 0, 0), edges()), at(200, 7, 0));
        assert_eq!(year.next_on_clocks(at(200, 17, 0), edges()), at(200, 23, 0));
        assert_eq!(year.next_on_clocks(at(SPRING, 0, 0), edges()), at(SPRING, 2, 0));
    }

    #[test]
    fn a_holiday_counts_as_a_sunday_and_keeps_its_weekday() {
        // 2025-01-01 is a Wednesday, the 6th a Monday.
        let year = year()
            .with_holidays(date(2025, 1, 1), date(2025, 1, 1))
            .with_holidays(date(2025, 12, 24), date(2026, 1, 6))
            .with_holidays(date(2024, 7, 1), date(2024, 12, 31));
        assert_eq!((year.counts_as(0), year.weekday(0)), (Weekday::Sunday, Weekday::Wednesday));
        assert_eq!(year.counts_as(5), Weekday::Monday);
        assert!(year.is_holiday(-1) && year.is_holiday(357) && year.is_holiday(364));
        assert!(!year.is_holiday(356) && !year.is_holiday(-2) && !year.is_holiday(1));
    }

    #[test]
    fn changes_of_clocks_are_told_with_what_holds_from_then_on() {
        let year = year();
        let hours = |from: Instant, to: Instant| -> Vec<(i64, i64)> {
            let all = year.clocks_ahead(from, to);
            all.into_iter().map(|(at, by)| (at.get(), by.get() / 3600)).collect()
        };
        let spring = at(88, 2, 0).get();
        assert_eq!(hours(at(0, 0, 0), at(1, 0, 0)), [(0, 0)]);
        assert_eq!(hours(at(88, 0, 0), at(89, 0, 0)), [(at(88, 0, 0).get(), 0), (spring, 1)]);
        assert_eq!(hours(at(89, 0, 0), at(90, 0, 0)), [(at(89, 0, 0).get(), 1)]);
        assert_eq!(hours(at(0, 0, 0), year.end()).len(), 3);
    }
}
