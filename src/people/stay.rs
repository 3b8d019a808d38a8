//! When somebody is there.

use super::draws::{Decision, Draws};
use crate::time::{DAY, Instant, Period, Seconds, Span};

/// When somebody is there, as a file gives it.
#[derive(Clone, Debug, PartialEq)]
pub struct Attendance {
    /// From when to when.
    pub spans: Vec<Span>,
    /// Standard deviation of when the person comes.
    pub arrival_spread: Seconds,
    /// Standard deviation of when the person goes.
    pub departure_spread: Seconds,
    /// Probability of not coming at all on a day, 0 to 1.
    pub absent: f64,
    /// Breaks in between.
    pub away: Option<Away>,
}

/// Breaks: stretches of presence and of absence that take turns, exponentially distributed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Away {
    /// Mean stretch of presence.
    pub every: Seconds,
    /// Mean length of a break.
    pub lasts: Seconds,
}

/// A stretch of presence: its start belongs to it, its end does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stay {
    /// When the person comes.
    pub from: Instant,
    /// When the person goes.
    pub to: Instant,
    /// Whether the person goes for good that day, and not for a break.
    pub goes_home: bool,
}

impl Attendance {
    /// Every stretch of presence within a period, in order, none touching another. Spans go by the
    /// clocks, and a holiday counts as a Sunday.
    pub fn stays(&self, draws: &Draws, period: &Period) -> Vec<Stay> {
        let mut stays = Vec::new();
        // A span that begins on the day before the first may run into it.
        for day in -1..period.days() {
            if draws.even(Decision::Absence, day, 0) < self.absent {
                continue;
            }
            for (number, span) in (0..).zip(&self.spans) {
                if span.days().has(period.counts_as(day)) {
                    let whole = self.whole(span, draws, period, day, number);
                    self.with_breaks(whole, draws, day, number, &mut stays);
                }
            }
        }
        joined(stays, period)
    }

    /// One span of a day, without breaks. People come and go by what clocks show.
    fn whole(&self, span: &Span, draws: &Draws, period: &Period, day: i64, number: u32) -> Stay {
        let over_midnight = if span.to() <= span.from() { DAY } else { 0 };
        let shift = |decision, spread: Seconds| {
            rounded(draws.normal(decision, day, number) * spread.get() as f64)
        };
        let from = span.from().get() + shift(Decision::Arrival, self.arrival_spread);
        let to =
            span.to().get() + over_midnight + shift(Decision::Departure, self.departure_spread);
        let at = |second| period.off_clocks(Instant::new(day * DAY + second));
        Stay { from: at(from), to: at(to), goes_home: true }
    }

    /// Cuts the breaks out of a stretch.
    fn with_breaks(&self, whole: Stay, draws: &Draws, day: i64, number: u32, to: &mut Vec<Stay>) {
        /// Breaks of one stretch, at most; the shortest means accepted make fewer.
        const MOST: u32 = 10_000;
        let Some(away) = self.away else { return to.push(whole) };
        let length = |mean: Seconds, index: u32| {
            let factor = draws.exponential(Decision::Break, day, 2 * MOST * number + index);
            Seconds::new(rounded(factor * mean.get() as f64).max(1))
        };
        let mut from = whole.from;
        for turn in 0..MOST {
            let leaves = from + length(away.every, 2 * turn);
            let back = leaves + length(away.lasts, 2 * turn + 1);
            if back >= whole.to {
                let until = leaves.min(whole.to);
                return to.push(Stay { from, to: until, goes_home: true });
            }
            to.push(Stay { from, to: leaves, goes_home: false });
            from = back;
        }
    }
}

/// Stretches within a period in order; those that overlap or touch become one.
fn joined(mut stays: Vec<Stay>, period: &Period) -> Vec<Stay> {
    stays.sort_by_key(|stay| (stay.from, stay.to));
    let mut all: Vec<Stay> = Vec::new();
    for stay in stays {
        let from = stay.from.max(Instant::START);
        let to = stay.to.min(period.end());
        if from >= to {
            continue;
        }
        match all.last_mut() {
            Some(last) if from <= last.to => {
                if to >= last.to {
                    *last = Stay { from: last.from, to, goes_home: stay.goes_home };
                }
            }
            _ => all.push(Stay { from, to, ..stay }),
        }
    }
    all
}

#[expect(clippy::cast_possible_truncation, reason = "spreads and means are at most a week")]
fn rounded(seconds: f64) -> i64 {
    libm::round(seconds) as i64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{ClockTime, DaySet, Weekday};
    use jiff::civil::date;
    use proptest::prelude::*;

    fn draws() -> Draws {
        Draws::new(5, "hall", "ann", 1)
    }

    fn span(from: &str, to: &str, days: DaySet) -> Span {
        let clock = |text| ClockTime::parse(text).expect("a clock time");
        Span::new(clock(from), clock(to), days).expect("not empty")
    }

    /// So many days from Friday, 2025-04-18.
    fn period(days: i64) -> Period {
        Period::new(date(2025, 4, 18), days, Seconds::minutes(1)).expect("valid")
    }

    fn punctual(spans: Vec<Span>) -> Attendance {
        let none = Seconds::ZERO;
        let spreads = (none, none);
        Attendance {
            spans,
            arrival_spread: spreads.0,
            departure_spread: spreads.1,
            absent: 0.0,
            away: None,
        }
    }

    fn hours(stays: &[Stay]) -> Vec<(i64, i64)> {
        stays.iter().map(|stay| (stay.from.get() / 3600, stay.to.get() / 3600)).collect()
    }

    #[test]
    fn a_schedule_is_kept_to_the_second() {
        let office = punctual(vec![span("09:00", "17:00", DaySet::WEEKDAYS)]);
        let stays = office.stays(&draws(), &period(4));
        assert_eq!(hours(&stays), [(9, 17), (72 + 9, 72 + 17)]);
        assert!(stays.iter().all(|stay| stay.goes_home));
    }

    #[test]
    fn a_night_that_began_the_day_before_counts() {
        let night = punctual(vec![span("22:00", "06:00", DaySet::EVERY)]);
        assert_eq!(hours(&night.stays(&draws(), &period(1))), [(0, 6), (22, 24)]);
        // Spans that meet are one stretch.
        let both = punctual(vec![
            span("22:00", "06:00", DaySet::EVERY),
            span("06:00", "08:00", DaySet::EVERY),
        ]);
        assert_eq!(hours(&both.stays(&draws(), &period(1))), [(0, 8), (22, 24)]);
    }

    #[test]
    fn people_come_by_the_clocks_and_stay_away_on_holidays() {
        // 2025-10-24 is a Friday; clocks go back on the 26th, and Monday is a holiday.
        let period = Period::new(date(2025, 10, 24), 5, Seconds::minutes(1)).expect("valid");
        let period = period
            .with_daylight_saving(date(2025, 3, 30), date(2025, 10, 26))
            .with_holidays(date(2025, 10, 27), date(2025, 10, 27));
        let office = punctual(vec![span("09:00", "17:00", DaySet::WEEKDAYS)]);
        assert_eq!(hours(&office.stays(&draws(), &period)), [(8, 16), (96 + 9, 96 + 17)]);
        // Who works on Sundays works on the holiday; the night of the change has an hour more.
        let night = punctual(vec![span("22:00", "06:00", DaySet::of(&[Weekday::Saturday]))]);
        assert_eq!(hours(&night.stays(&draws(), &period)), [(24 + 21, 48 + 6)]);
        let sundays = punctual(vec![span("12:00", "13:00", DaySet::of(&[Weekday::Sunday]))]);
        let noon = hours(&sundays.stays(&draws(), &period));
        assert_eq!(noon, [(48 + 12, 48 + 13), (72 + 12, 72 + 13)]);
    }

    #[test]
    fn somebody_is_away_about_as_often_as_written() {
        let spans = vec![span("09:00", "17:00", DaySet::EVERY)];
        let often = Attendance { absent: 0.3, ..punctual(spans) };
        let days = often.stays(&draws(), &period(365)).len();
        // Binomial: 255.5 of 365 with a standard deviation of 8.8; five of them.
        assert!((212..=299).contains(&days), "{days}");
    }

    #[test]
    fn breaks_take_their_share_of_the_time() {
        let away = Away { every: Seconds::minutes(60), lasts: Seconds::minutes(20) };
        let spans = vec![span("00:00", "24:00", DaySet::EVERY)];
        let restless = Attendance { away: Some(away), ..punctual(spans) };
        let stays = restless.stays(&draws(), &period(200));
        let there: i64 = stays.iter().map(|stay| stay.to.get() - stay.from.get()).sum();
        let share = there as f64 / (200.0 * DAY as f64);
        // Three quarters in the long run; a day that begins afresh lifts it by less than 1 %, and
        // the standard error over about 3600 turns is 0.4 %.
        assert!((0.735..=0.78).contains(&share), "{share}");
    }

    proptest! {
        #[test]
        fn stays_are_in_order_and_within_the_period(
            seed in 0_u64..1000, from in 0_i64..1440, length in 1_i64..1439, spread in 0_i64..120,
            every in 5_i64..300, lasts in 1_i64..300, breaks: bool, days in 1_i64..8,
        ) {
            let clock = |minutes: i64| ClockTime::new(minutes % 1440 * 60).expect("in a day");
            let span = Span::new(clock(from), clock(from + length), DaySet::EVERY);
            let away = Away { every: Seconds::minutes(every), lasts: Seconds::minutes(lasts) };
            let attendance = Attendance {
                arrival_spread: Seconds::minutes(spread),
                departure_spread: Seconds::minutes(spread),
                away: breaks.then_some(away),
                ..punctual(span.into_iter().collect())
            };
            let draws = Draws::new(seed, "hall", "ann", 1);
            let stays = attendance.stays(&draws, &period(days));
            for stay in &stays {
                prop_assert!(stay.from < stay.to);
                prop_assert!(Instant::START <= stay.from && stay.to <= period(days).end());
            }
            for pair in stays.windows(2) {
                prop_assert!(pair[0].to < pair[1].from);
            }
            // A day added at the end changes nothing before.
            let longer = attendance.stays(&draws, &period(days + 1));
            let until = Instant::new((days - 1) * DAY);
            let before = |all: &[Stay]| -> Vec<Instant> {
                all.iter().map(|stay| stay.from).filter(|from| *from < until).collect()
            };
            prop_assert_eq!(before(&stays), before(&longer));
        }
    }
}
