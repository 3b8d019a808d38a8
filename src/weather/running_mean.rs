//! The running mean of the outdoor temperature, by which people dress and get used to warmth.

use super::source::{Course, Weather};
use crate::time::{DAY, Period};

/// How much yesterday's running mean weighs: EN 16798-1:2019, annex B.2.2.
const WEIGHT: f64 = 0.8;

/// The running mean outdoor temperature of each day of a period, degrees C: a fifth of the mean of
/// the day before, and four fifths of its running mean (EN 16798-1:2019, annex B.2.2; ANSI/ASHRAE
/// 55-2020, 5.4.2.1, allows the same weights). The days before the period are taken to have been
/// like its first.
pub fn running_means(weather: &Weather, period: &Period) -> Vec<f64> {
    let mut course = Course::new(weather, period.first());
    let mut mean_of = |day: i64| {
        let middle = |hour: i64| (day * DAY + hour * 3600 + 1800) as f64;
        (0..24).map(|hour| course.outdoor(middle(hour))).sum::<f64>() / 24.0
    };
    let mut running = mean_of(0);
    let mut all = vec![running];
    for day in 1..period.days() {
        running = WEIGHT * running + (1.0 - WEIGHT) * mean_of(day - 1);
        all.push(running);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::reading::Reading;
    use super::*;
    use crate::time::Seconds;
    use approx::assert_abs_diff_eq;
    use jiff::civil::date;

    /// Days of 10, 20, 20 and 20 degrees: 10, 10, 12 and 13.6 by hand.
    #[test]
    fn a_warm_spell_is_met_slowly() {
        let period = Period::new(date(2025, 6, 1), 4, Seconds::hours(1)).expect("a period");
        let reading = |second: i64, temperature| Reading { second: second as f64, temperature };
        let weather = Weather::Readings(
            [reading(0, 10.0), reading(DAY - 1, 10.0), reading(DAY, 20.0), reading(4 * DAY, 20.0)]
                .into(),
        );
        let found = running_means(&weather, &period);
        for (found, expected) in found.iter().zip([10.0, 10.0, 12.0, 13.6]) {
            assert_abs_diff_eq!(*found, expected, epsilon = 1e-9);
        }
    }
}
