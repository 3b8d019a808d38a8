//! A time that a person types: `14:20`, or `d2 14:20` for the second day.

use std::str::FromStr;

use crate::time::{ClockTime, DAY, Instant, Period};

/// A day of the period, 1 for the first, and a clock time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moment {
    day: i64,
    clock: ClockTime,
}

impl FromStr for Moment {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is no time; write 14:20, or \"d2 14:20\" for day 2");
        let (day, clock) = match text.trim().strip_prefix('d') {
            None => (1, text.trim()),
            Some(rest) => {
                let (day, clock) = rest.trim().split_once([' ', 'T']).ok_or_else(wrong)?;
                (day.parse().ok().filter(|day| *day >= 1).ok_or_else(wrong)?, clock.trim())
            }
        };
        let clock = ClockTime::parse(clock).ok_or_else(wrong)?;
        Ok(Self { day, clock })
    }
}

impl Moment {
    /// The instant, where it lies within the period.
    pub(super) fn within(self, period: &Period) -> Option<Instant> {
        let seconds = self.day.checked_sub(1)?.checked_mul(DAY)?.checked_add(self.clock.get())?;
        let at = period.off_clocks(Instant::new(seconds));
        (at < period.end()).then_some(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_with_and_without_a_day() {
        let read =
            |text: &str| text.parse::<Moment>().map(|moment| (moment.day, moment.clock.get()));
        assert_eq!(read("14:20"), Ok((1, 51_600)));
        assert_eq!(read("d2 07:00"), Ok((2, 25_200)));
        for wrong in ["d0 07:00", "d2", "25:00", "noon", "d-1 3:00", ""] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
    }
}
