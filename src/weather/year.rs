//! A smooth year through monthly means.

use jiff::civil::Date;

use super::day_shape::day_of_year;

/// The middle of each month, days since the year began.
const MIDDLES: [f64; 12] =
    [15.5, 45.0, 74.5, 105.0, 135.5, 166.0, 196.5, 227.5, 258.0, 288.5, 319.0, 349.5];
/// Days in the year of [`MIDDLES`].
const YEAR: f64 = 365.0;

/// Mean daily high and low through the year: a periodic cubic through the twelve pairs in the
/// middle of each month, whose slope at each is that of the line between its two neighbours. Four
/// months decide each value, so it needs no system of equations.
#[derive(Clone, Copy, Debug)]
pub(super) struct MonthlyCurve<'a> {
    pairs: &'a [(f64, f64); 12],
}

impl<'a> MonthlyCurve<'a> {
    pub(super) fn new(pairs: &'a [(f64, f64); 12]) -> Self {
        Self { pairs }
    }

    /// High and low at a second after midnight of `first`.
    pub(super) fn at(self, first: Date, second: f64) -> (f64, f64) {
        let day = day_of_year(first, second).rem_euclid(YEAR);
        let next = MIDDLES.partition_point(|middle| *middle <= day);
        // The four months around the day: two before, two after.
        let month = |ahead: usize| (next + 10 + ahead) % 12;
        let days = |ahead: usize| {
            let turns = (next + 10 + ahead) / 12;
            MIDDLES[month(ahead)] + YEAR * (turns as f64 - 1.0)
        };
        let times: [f64; 4] = std::array::from_fn(days);
        let highs: [f64; 4] = std::array::from_fn(|ahead| self.pairs[month(ahead)].0);
        let lows: [f64; 4] = std::array::from_fn(|ahead| self.pairs[month(ahead)].1);
        (cubic(times, highs, day), cubic(times, lows, day))
    }
}

/// The cubic between the two inner of four points.
fn cubic(times: [f64; 4], values: [f64; 4], at: f64) -> f64 {
    let width = times[2] - times[1];
    let slope = |before: usize, after: usize| {
        width * (values[after] - values[before]) / (times[after] - times[before])
    };
    let (start, end) = (slope(0, 2), slope(1, 3));
    let rise = values[2] - values[1];
    let part = (at - times[1]) / width;
    // Hermite's form in powers of the part of the way.
    let (square, cube) = (3.0 * rise - 2.0 * start - end, start + end - 2.0 * rise);
    values[1] + part * (start + part * (square + part * cube))
}
