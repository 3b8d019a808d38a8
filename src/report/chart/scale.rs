//! From values and times to px.

use super::canvas::Area;
use crate::time::{DAY, Instant, Period};

/// A linear scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Linear {
    low: f64,
    high: f64,
    bottom: f64,
    top: f64,
}

impl Linear {
    /// The scale that puts `low` at the bottom of an area and `high` at its top.
    pub(super) fn upward(low: f64, high: f64, area: Area) -> Self {
        Self { low, high, bottom: area.bottom, top: area.top }
    }

    /// Where a value stands, px.
    pub(super) fn at(self, value: f64) -> f64 {
        self.bottom + (value - self.low) / (self.high - self.low) * (self.top - self.bottom)
    }

    /// The value at a height, px.
    pub(super) fn value(self, y: f64) -> f64 {
        self.low + (y - self.bottom) / (self.top - self.bottom) * (self.high - self.low)
    }

    /// Round values on the scale, `most` at most.
    pub(super) fn ticks(self, most: usize) -> Vec<f64> {
        ticks(self.low, self.high, most)
    }
}

/// Multiples of 1, 2 or 5 times a power of ten between two values, `most` at most.
pub(super) fn ticks(low: f64, high: f64, most: usize) -> Vec<f64> {
    const ROUND: [i64; 3] = [1, 2, 5];
    // Steps are kept as whole thousandths: sums of them are exact.
    let mut power = 1_i64;
    for _ in 0..12 {
        for round in ROUND {
            let step = (round * power) as f64 / 1000.0;
            let first = libm::ceil(low / step - 1e-9);
            let count = libm::floor(high / step + 1e-9) - first + 1.0;
            if count <= most as f64 {
                return (0..most)
                    .map(|place| first + place as f64)
                    .take_while(|place| place - first < count)
                    .map(|place| place * (round * power) as f64 / 1000.0)
                    .collect();
            }
        }
        power *= 10;
    }
    Vec::new()
}

/// The whole part of a number of px or ticks.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast saturates, and the callers' numbers lie between 0 and some thousands"
)]
pub(super) fn whole_count(number: f64) -> usize {
    number as usize
}

/// The time axis that all panels share.
#[derive(Clone, Copy, Debug)]
pub(super) struct TimeAxis {
    /// The first day that is shown, 0 for that of the period.
    pub first: i64,
    /// How many days.
    pub days: i64,
    /// Where midnight of the first day stands, px.
    pub left: f64,
    /// Where the last day ends, px.
    pub right: f64,
}

impl TimeAxis {
    /// An axis of a whole period.
    pub(super) const fn whole(period: &Period, left: f64, right: f64) -> Self {
        Self { first: 0, days: period.days(), left, right }
    }

    /// When it begins.
    pub(super) const fn start(self) -> Instant {
        Instant::new(self.first * DAY)
    }

    /// When it ends.
    pub(super) const fn end(self) -> Instant {
        Instant::new((self.first + self.days) * DAY)
    }

    /// Whether an instant lies on it.
    pub(super) fn has(self, at: Instant) -> bool {
        self.start() <= at && at <= self.end()
    }

    /// Where an instant stands, px.
    pub(super) fn x(self, at: Instant) -> f64 {
        let part = (at.get() - self.first * DAY) as f64 / (self.days * DAY) as f64;
        self.left + part * (self.right - self.left)
    }

    /// The second, counted from the start of the period, that stands at a px.
    pub(super) fn second(self, x: f64) -> f64 {
        let part = (x - self.left) / (self.right - self.left);
        (self.first * DAY) as f64 + part * (self.days * DAY) as f64
    }

    /// Whether days are too narrow for their hours to be seen, so that each is shown as a whole.
    pub(super) fn is_long(self) -> bool {
        self.day_width() < 22.0
    }

    /// How many columns a long axis has: one a day, or one for some days where even days are
    /// too narrow.
    pub(super) fn day_columns(self) -> usize {
        let whole = |days: i64| usize::try_from(self.days / days).unwrap_or(1).max(1);
        (1..self.days).find(|days| self.day_width() * *days as f64 >= 1.5).map_or(1, whole)
    }

    /// How wide a day is, px.
    pub(super) fn day_width(self) -> f64 {
        (self.right - self.left) / self.days as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_not_too_many() {
        assert_eq!(ticks(18.3, 25.1, 8), [19.0, 20.0, 21.0, 22.0, 23.0, 24.0, 25.0]);
        assert_eq!(ticks(18.3, 25.1, 4), [20.0, 22.0, 24.0]);
        assert_eq!(ticks(0.0, 0.3, 4), [0.0, 0.1, 0.2, 0.3]);
        assert_eq!(ticks(-12.0, 31.0, 5), [-10.0, 0.0, 10.0, 20.0, 30.0]);
        assert_eq!(ticks(0.0, 0.0, 4), [0.0]);
    }
}
