//! A time that a person types: `14:20`, `d2 14:20` for the second day, or with a date
//! `2025-07-04 14:20`.

use std::str::FromStr;

use jiff::civil::Date;

use crate::time::{ClockTime, DAY, Instant, Period};

/// A day and a clock time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct MomentArgument {
    day: Day,
    clock: ClockTime,
}

/// Which day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Day {
    /// Counted from 1, the first of the period.
    Number(i64),
    Date(Date),
}

impl FromStr for MomentArgument {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "`{text}` is no time; write 14:20, \"d2 14:20\" for day 2, or \"2025-07-04 14:20\""
            )
        };
        let text = text.trim();
        let (day, clock) = match text.split_once([' ', 'T']) {
            None => (Day::Number(1), text),
            Some((day, clock)) => {
                let number = || day.strip_prefix('d')?.parse().ok().filter(|day| *day >= 1);
                let date = || day.parse().ok().map(Day::Date);
                let day = number().map(Day::Number).or_else(date).ok_or_else(wrong)?;
                (day, clock.trim())
            }
        };
        let clock = ClockTime::parse(clock).ok_or_else(wrong)?;
        Ok(Self { day, clock })
    }
}

impl MomentArgument {
    /// The instant, where it lies within the period.
    pub(super) fn within(self, period: &Period) -> Option<Instant> {
        let day = match self.day {
            Day::Number(number) => number.checked_sub(1)?,
            Day::Date(date) => date.duration_since(period.first()).as_secs() / DAY,
        };
        let seconds = day.checked_mul(DAY)?.checked_add(self.clock.get())?;
        let at = period.off_clocks(Instant::new(seconds));
        (Instant::START <= at && at < period.end()).then_some(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Seconds;
    use jiff::civil::date;

    #[test]
    fn times_are_read_with_and_without_a_day() {
        let read = |text: &str| {
            text.parse::<MomentArgument>().map(|moment| (moment.day, moment.clock.get()))
        };
        assert_eq!(read("14:20"), Ok((Day::Number(1), 51_600)));
        assert_eq!(read("d2 07:00"), Ok((Day::Number(2), 25_200)));
        for text in ["2025-07-04 07:00", "2025-07-04T07:00"] {
            assert_eq!(read(text), Ok((Day::Date(date(2025, 7, 4)), 25_200)), "{text}");
        }
        for wrong in
            ["d0 07:00", "d2", "25:00", "noon", "d-1 3:00", "", "2025-02-30 07:00", "2025-07-04"]
        {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn times_before_and_after_the_period_are_none() {
        let period = Period::new(date(2025, 7, 4), 2, Seconds::minutes(1)).expect("valid");
        let summer = period.with_daylight_saving(date(2025, 3, 30), date(2025, 10, 26));
        let within = |text: &str| {
            let moment: MomentArgument = text.parse().expect("a time");
            moment.within(&summer).map(Instant::get)
        };
        // The first step is at midnight standard time: clocks show 1:00 then.
        assert_eq!(within("00:30"), None);
        assert_eq!(within("01:00"), Some(0));
        assert_eq!(within("2025-07-05 00:30"), Some(DAY - 1800));
        assert_eq!(within("d3 00:30"), Some(2 * DAY - 1800));
        assert_eq!(within("2025-07-03 23:00"), None);
        assert_eq!(within("2025-07-06 01:00"), None);
    }
}
