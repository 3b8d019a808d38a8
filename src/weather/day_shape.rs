//! How the temperature runs through a day, and what time the sun says it is.

use std::f64::consts::TAU;

use jiff::civil::Date;

use super::site::Site;
use crate::time::DAY;

/// Part of the daily range by which it is cooler than the day's peak at 0:00, 1:00 ... solar time:
/// ASHRAE Handbook of Fundamentals (2021, SI), chapter 14, Table 6.
const FRACTIONS: [f64; 24] = [
    0.82, 0.88, 0.92, 0.95, 0.98, 1.0, 0.98, 0.91, 0.74, 0.55, 0.38, 0.23, 0.13, 0.05, 0.0, 0.0,
    0.06, 0.14, 0.24, 0.39, 0.50, 0.59, 0.68, 0.75,
];

/// Part of the daily range by which it is cooler than the peak at an hour of solar time.
pub(super) fn cooled_by(solar_hour: f64) -> f64 {
    round_the_clock(&FRACTIONS, solar_hour)
}

/// A value between 24 hourly ones, linear between hours and from the last to the first.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the hour is whole, and its place lies between 0 and 24"
)]
pub(super) fn round_the_clock(values: &[f64; 24], hour: f64) -> f64 {
    let whole = hour.floor();
    let part = hour - whole;
    let place = (whole as i64).rem_euclid(24) as usize;
    let next = if place == 23 { 0 } else { place + 1 };
    values[place] + part * (values[next] - values[place])
}

/// Hours that solar time is ahead of the clock at a second after midnight of `first`. ASHRAE
/// Handbook of Fundamentals (2021, SI), chapter 14, eq. (7).
pub(super) fn solar_hours_ahead(site: Site, first: Date, second: f64) -> f64 {
    site.longitude / 15.0 - site.utc_offset + equation_of_time(first, second) / 60.0
}

/// Minutes that solar time is ahead of mean time: ASHRAE Handbook of Fundamentals (2021, SI),
/// chapter 14, eq. (5) and (6), with fractions of days so that midnights have no steps.
pub fn equation_of_time(first: Date, second: f64) -> f64 {
    let angle = TAU * day_of_year(first, second) / 365.0;
    let (sin, cos) = libm::sincos(angle);
    let (sin_2, cos_2) = (2.0 * sin * cos, cos * cos - sin * sin);
    2.2918 * (0.0075 + 0.1868 * cos - 3.2077 * sin - 1.4615 * cos_2 - 4.089 * sin_2)
}

/// Days since the beginning of the year in which `first` lies, with fractions.
pub(super) fn day_of_year(first: Date, second: f64) -> f64 {
    f64::from(first.day_of_year() - 1) + second / DAY as f64
}
