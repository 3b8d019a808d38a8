//! What a file's temperatures add up to.

use jiff::civil::Date;

/// The base of degree-days unless another is asked for, degrees C: 18.3 C is 65 F rounded, ASHRAE
/// Handbook of Fundamentals (2021, SI), chapter 14.
pub const DEGREE_DAY_BASE: f64 = 18.3;

/// A day by its 24 temperatures at 01:00 to 24:00.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayFigures {
    /// Which.
    pub date: Date,
    /// Mean, degrees C.
    pub mean: f64,
    /// Lowest, degrees C.
    pub low: f64,
    /// Highest, degrees C.
    pub high: f64,
    /// Kelvin-hours above the balance point.
    pub above: f64,
    /// Kelvin-hours below the balance point.
    pub below: f64,
}

impl DayFigures {
    fn new(date: Date, hours: &[f64; 24], balance: f64) -> Self {
        let sum = |of: fn(f64) -> f64| hours.iter().map(|hour| of(hour - balance)).sum::<f64>();
        Self {
            date,
            mean: hours.iter().sum::<f64>() / 24.0,
            low: hours.iter().copied().fold(f64::INFINITY, f64::min),
            high: hours.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            above: sum(|difference| difference.max(0.0)),
            below: sum(|difference| (-difference).max(0.0)),
        }
    }

    /// How far the day swings across the balance point: the smaller of its kelvin-hours above and
    /// below. A day that stays on one side does not swing across it at all.
    pub fn swing(&self) -> f64 {
        self.above.min(self.below)
    }
}

/// A day that stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outstanding {
    /// The one with the lowest mean.
    Coldest,
    /// The one with the highest mean.
    Hottest,
    /// The one that swings farthest across the balance point; where none crosses it, the one whose
    /// mean is nearest to it.
    Mixed,
}

/// What a file's temperatures add up to.
#[derive(Clone, Debug, PartialEq)]
pub struct Statistics {
    /// Base of the degree-days and balance point of the mixed day, degrees C.
    pub base: f64,
    /// The days in their order, never none.
    days: Vec<DayFigures>,
}

impl Statistics {
    /// The figures of days; `None` where there are none.
    pub fn new(days: impl IntoIterator<Item = (Date, [f64; 24])>, base: f64) -> Option<Self> {
        let days: Vec<DayFigures> =
            days.into_iter().map(|(date, hours)| DayFigures::new(date, &hours, base)).collect();
        (!days.is_empty()).then_some(Self { base, days })
    }

    /// The days.
    pub fn days(&self) -> &[DayFigures] {
        &self.days
    }

    /// Mean temperature, degrees C.
    pub fn mean(&self) -> f64 {
        self.days.iter().map(|day| day.mean).sum::<f64>() / self.days.len() as f64
    }

    /// Kelvin-days by which daily means lie below the base: what heating has to make up for.
    pub fn heating_degree_days(&self) -> f64 {
        self.days.iter().map(|day| (self.base - day.mean).max(0.0)).sum()
    }

    /// Kelvin-days by which daily means lie above the base.
    pub fn cooling_degree_days(&self) -> f64 {
        self.days.iter().map(|day| (day.mean - self.base).max(0.0)).sum()
    }

    /// Lowest and highest temperature, degrees C.
    pub fn extremes(&self) -> (f64, f64) {
        let low = self.days.iter().map(|day| day.low).fold(f64::INFINITY, f64::min);
        let high = self.days.iter().map(|day| day.high).fold(f64::NEG_INFINITY, f64::max);
        (low, high)
    }

    /// A day that stands out; the first of several alike.
    pub fn outstanding(&self, which: Outstanding) -> &DayFigures {
        let crossed = self.days.iter().any(|day| day.swing() > 0.0);
        let score = |day: &DayFigures| match which {
            Outstanding::Coldest => -day.mean,
            Outstanding::Hottest => day.mean,
            Outstanding::Mixed if crossed => day.swing(),
            Outstanding::Mixed => -(day.mean - self.base).abs(),
        };
        self.days
            .iter()
            .skip(1)
            .fold(&self.days[0], |best, day| if score(day) > score(best) { day } else { best })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use jiff::civil::date;

    /// Half of each day at one temperature, half at another.
    fn days(halves: &[(f64, f64)]) -> Statistics {
        let day = |(place, (night, noon)): (usize, &(f64, f64))| {
            let on = date(2025, 3, 1)
                .saturating_add(jiff::Span::new().days(i64::try_from(place).expect("small")));
            (on, std::array::from_fn(|hour| if hour < 12 { *night } else { *noon }))
        };
        Statistics::new(halves.iter().enumerate().map(day), 18.0).expect("days")
    }

    #[test]
    fn degree_days_come_from_daily_means() {
        let found = days(&[(8.0, 20.0), (18.0, 26.0), (12.0, 24.0)]);
        assert_abs_diff_eq!(found.heating_degree_days(), 4.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found.cooling_degree_days(), 4.0, epsilon = 1e-12);
        assert_abs_diff_eq!(found.mean(), 18.0, epsilon = 1e-12);
        assert_eq!(found.extremes(), (8.0, 26.0));
    }

    #[test]
    fn the_mixed_day_swings_farthest_across_the_balance_point() {
        // The second day has the widest range, the fourth the most on both sides.
        let found = days(&[(16.0, 20.0), (-10.0, 19.0), (19.0, 40.0), (12.0, 24.0), (12.0, 24.0)]);
        let mixed = found.outstanding(Outstanding::Mixed);
        assert_eq!(mixed.date, date(2025, 3, 4));
        assert_abs_diff_eq!(mixed.swing(), 72.0, epsilon = 1e-12);
        assert_eq!(found.outstanding(Outstanding::Coldest).date, date(2025, 3, 2));
        assert_eq!(found.outstanding(Outstanding::Hottest).date, date(2025, 3, 3));
    }

    #[test]
    fn where_no_day_crosses_the_nearest_is_mixed() {
        let found = days(&[(0.0, 2.0), (14.0, 16.0), (5.0, 6.0)]);
        assert_eq!(found.outstanding(Outstanding::Mixed).date, date(2025, 3, 2));
        assert!(Statistics::new([], 18.0).is_none());
    }
}
