//! Where the weather comes from.

use std::sync::Arc;

use jiff::civil::Date;

use super::day_shape::{cooled_by, round_the_clock, solar_hours_ahead};
use super::reading::Reading;
use super::record::Record;
use super::site::Site;
use super::year::MonthlyCurve;

/// Outdoor air temperature, degrees C.
#[derive(Clone, Debug, PartialEq)]
pub enum Weather {
    /// The same design day over and over: ASHRAE Handbook of Fundamentals, design-day table.
    DesignDay {
        /// Peak dry bulb, degrees C.
        high: f64,
        /// Daily range, K.
        range: f64,
        /// Where, to turn clock time into solar time; without it clock time is solar time.
        site: Option<Site>,
    },
    /// 24 values at 0:00, 1:00 ..., linear between them and round midnight.
    Hours(Box<[f64; 24]>),
    /// Mean daily high and low of each month, with a smooth year between them.
    Monthly {
        /// Mean daily high and low, degrees C, January first.
        pairs: Box<[(f64, f64); 12]>,
        /// Where, as for a design day.
        site: Option<Site>,
    },
    /// Readings in the order of time, linear between them, held beyond the ends.
    Readings(Arc<[Reading]>),
    /// What a file says, which may have humidity and radiation as well.
    Record(Arc<Record>),
}

impl Weather {
    /// Outdoor temperature, degrees C, at a second after midnight of `first`, the period's first
    /// day. Fractions of a second are allowed: a step reads its middle. Readings of which there
    /// are none read 0.
    pub fn outdoor(&self, first: Date, second: f64) -> f64 {
        Course::new(self, first).outdoor(second)
    }

    /// Where the weather's own clock and sun are, if it says so.
    pub fn site(&self) -> Option<Site> {
        match self {
            Self::DesignDay { site, .. } | Self::Monthly { site, .. } => *site,
            Self::Record(record) => record.site,
            Self::Hours(_) | Self::Readings(_) => None,
        }
    }

    /// What its file says, if it comes from one that has more than temperatures.
    pub fn record(&self) -> Option<&Record> {
        match self {
            Self::Record(record) => Some(record),
            _ => None,
        }
    }

    /// Whether another is the same; of two that come from one reading of a file that is seen at once.
    pub fn is_like(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Readings(one), Self::Readings(other)) if Arc::ptr_eq(one, other) => true,
            (Self::Record(one), Self::Record(other)) if Arc::ptr_eq(one, other) => true,
            _ => self == other,
        }
    }

    fn readings(&self) -> &[Reading] {
        match self {
            Self::Readings(readings) => readings,
            Self::Record(record) => &record.temperatures,
            _ => &[],
        }
    }
}

/// Reads the weather instant by instant. The values are those of [`Weather::outdoor`] to the last
/// bit; what the instants of an hour have in common is worked out once for all of them.
#[derive(Clone, Debug)]
pub struct Course<'w> {
    weather: &'w Weather,
    first: Date,
    /// The day at the beginning and the end of the hour that was read last.
    hour: Option<(f64, [DayMark; 2])>,
    /// The readings around the instant that was read last.
    around: Option<Around>,
}

/// Two readings.
#[derive(Clone, Copy, Debug)]
struct Around {
    before: Reading,
    after: Reading,
    /// One over the time between them, 1/s.
    per_second: f64,
    /// Place of the second.
    next: usize,
}

impl Around {
    /// How far an instant lies from the first to the second, 0 to 1.
    fn part(&self, second: f64) -> f64 {
        (second - self.before.second) * self.per_second
    }

    fn temperature(&self, second: f64) -> f64 {
        let [before, after] = [self.before.temperature, self.after.temperature];
        before + self.part(second) * (after - before)
    }
}

/// What a day with the shape of a design day is like at an instant.
#[derive(Clone, Copy, Debug)]
struct DayMark {
    /// Peak, degrees C.
    high: f64,
    /// Daily range, K.
    range: f64,
    /// Hours that solar time is ahead of the clock.
    ahead: f64,
}

impl<'w> Course<'w> {
    /// The weather from midnight of the period's first day.
    pub fn new(weather: &'w Weather, first: Date) -> Self {
        Self { weather, first, hour: None, around: None }
    }

    /// Outdoor temperature, degrees C, at a second after midnight of the first day.
    pub fn outdoor(&mut self, second: f64) -> f64 {
        match self.weather {
            Weather::Hours(values) => round_the_clock(values, second / 3600.0),
            Weather::DesignDay { .. } | Weather::Monthly { .. } => self.shaped_day(second / 3600.0),
            Weather::Readings(_) | Weather::Record(_) => self.read(second),
        }
    }

    /// Outdoor temperatures, degrees C, at instants as many seconds apart as `apart`, the first of
    /// them at a second after midnight of the first day: the values of [`Course::outdoor`].
    pub fn outdoors(&mut self, first: f64, apart: f64, temperatures: &mut [f64]) {
        let second = |place: usize| first + place as f64 * apart;
        let mut done = 0;
        while done < temperatures.len() {
            let begun = done;
            if let Weather::Readings(_) | Weather::Record(_) = self.weather
                && let Some(around) = self.seek(second(done))
            {
                let left = temperatures[done..].iter_mut().enumerate();
                let near = left.map(|(place, it)| (second(begun + place), it));
                for (second, it) in near.take_while(|(second, _)| *second < around.after.second) {
                    *it = around.temperature(second);
                    done += 1;
                }
            } else {
                temperatures[done] = self.outdoor(second(done));
                done += 1;
            }
        }
    }

    /// Whether the weather has water vapour of its own.
    pub fn has_vapour(&self) -> bool {
        self.weather.record().is_some_and(|record| record.vapour.is_some())
    }

    /// Pressure of water vapour outdoors, Pa, at a second after midnight of the first day; `None`
    /// where the weather does not say.
    pub fn vapour(&mut self, second: f64) -> Option<f64> {
        let values = self.weather.record()?.vapour.as_ref()?;
        if let Some(around) = self.seek(second) {
            let [before, after] = [values[around.next - 1], values[around.next]];
            return Some(before + around.part(second) * (after - before));
        }
        let early = self.weather.readings().first().is_some_and(|first| second < first.second);
        if early { values.first() } else { values.last() }.copied()
    }

    /// A day of the design day's shape. Its peak, its range and the time of the sun change little
    /// in an hour: within it they run straight.
    fn shaped_day(&mut self, clock: f64) -> f64 {
        let hour = clock.floor();
        let [start, end] = match self.hour {
            Some((marked, marks)) if marked == hour => marks,
            _ => {
                let marks = [self.day_mark(hour), self.day_mark(hour + 1.0)];
                self.hour = Some((hour, marks));
                marks
            }
        };
        let part = clock - hour;
        let between = |start: f64, end: f64| start + part * (end - start);
        let solar_hour = clock + between(start.ahead, end.ahead);
        between(start.high, end.high) - between(start.range, end.range) * cooled_by(solar_hour)
    }

    fn day_mark(&self, clock: f64) -> DayMark {
        let (first, second) = (self.first, clock * 3600.0);
        let (high, range, site) = match self.weather {
            Weather::DesignDay { high, range, site } => (*high, *range, *site),
            Weather::Monthly { pairs, site } => {
                let (high, low) = MonthlyCurve::new(pairs).at(first, second);
                (high, high - low, *site)
            }
            Weather::Hours(_) | Weather::Readings(_) | Weather::Record(_) => (0.0, 0.0, None),
        };
        let ahead = site.map_or(0.0, |site| solar_hours_ahead(site, first, second));
        DayMark { high, range, ahead }
    }

    fn read(&mut self, second: f64) -> f64 {
        if let Some(around) = self.seek(second) {
            return around.temperature(second);
        }
        let readings = self.weather.readings();
        let early = readings.first().is_some_and(|first| second < first.second);
        let end = if early { readings.first() } else { readings.last() };
        end.map_or(0.0, |reading| reading.temperature)
    }

    /// The readings around an instant; `None` beyond their ends. An instant between the two that
    /// were found last needs no search.
    fn seek(&mut self, second: f64) -> Option<&Around> {
        let near = |it: &Around| it.before.second <= second && second < it.after.second;
        if !self.around.as_ref().is_some_and(near) {
            let readings = self.weather.readings();
            let next = readings.partition_point(|reading| reading.second <= second);
            let before = *readings.get(next.checked_sub(1)?)?;
            let after = *readings.get(next)?;
            let per_second = 1.0 / (after.second - before.second);
            self.around = Some(Around { before, after, per_second, next });
        }
        self.around.as_ref()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use jiff::civil::date;

    /// Room for the rounding of a few operations on values near 30.
    const ROUNDING: f64 = 1e-12;

    fn at(weather: &Weather, hour: f64) -> f64 {
        weather.outdoor(date(2025, 7, 21), hour * 3600.0)
    }

    #[test]
    fn hours_run_linearly_and_round_midnight() {
        let values: [f64; 24] = std::array::from_fn(|hour| hour as f64);
        let weather = Weather::Hours(Box::new(values));
        assert_abs_diff_eq!(at(&weather, 6.0), 6.0, epsilon = ROUNDING);
        assert_abs_diff_eq!(at(&weather, 6.25), 6.25, epsilon = ROUNDING);
        assert_abs_diff_eq!(at(&weather, 23.5), 11.5, epsilon = ROUNDING);
        assert_abs_diff_eq!(at(&weather, 48.0), 0.0, epsilon = ROUNDING);
        assert_abs_diff_eq!(at(&weather, -1.0), 23.0, epsilon = ROUNDING);
    }

    #[test]
    fn a_course_reads_the_same_bits_in_any_order() {
        let site = Some(Site { latitude: 45.0, longitude: 9.0, utc_offset: 1.0 });
        let pairs = std::array::from_fn(|month| (10.0 + month as f64, 1.0 + 0.5 * month as f64));
        let readings = (0..200).map(|hour| Reading {
            second: 3600.0 * f64::from(hour),
            temperature: f64::from(hour * 37 % 23),
        });
        for weather in [
            Weather::DesignDay { high: 31.0, range: 9.0, site },
            Weather::Monthly { pairs: Box::new(pairs), site },
            Weather::Hours(Box::new(std::array::from_fn(|hour| (hour * 7 % 11) as f64))),
            Weather::Readings(readings.collect()),
        ] {
            let first = date(2025, 7, 21);
            let mut course = Course::new(&weather, first);
            let forwards = (0..9000).map(|step| f64::from(step) * 90.0 - 7000.0);
            let to_and_fro = (0..3000).map(|step| f64::from(step * 7919 % 8640) * 77.5);
            for second in forwards.chain(to_and_fro) {
                let (one, other) = (course.outdoor(second), weather.outdoor(first, second));
                assert_eq!(one.to_bits(), other.to_bits(), "{second}");
            }
            let mut many = vec![0.0; 20_000];
            course.outdoors(-7000.0, 45.0, &mut many);
            for (place, one) in many.iter().enumerate() {
                let other = weather.outdoor(first, 45.0 * place as f64 - 7000.0);
                assert_eq!(one.to_bits(), other.to_bits(), "{place}");
            }
        }
    }

    #[test]
    fn readings_are_held_beyond_their_ends() {
        let readings = [(0.0, 10.0), (3600.0, 12.0), (3600.0, 20.0), (7200.0, 22.0)];
        let weather = Weather::Readings(
            readings.map(|(second, temperature)| Reading { second, temperature }).into(),
        );
        for (hour, expected) in
            [(-1.0, 10.0), (0.0, 10.0), (0.5, 11.0), (1.0, 20.0), (1.5, 21.0), (9.0, 22.0)]
        {
            assert_abs_diff_eq!(at(&weather, hour), expected, epsilon = ROUNDING);
        }
    }

    #[test]
    fn a_site_east_of_its_time_zones_middle_has_its_peak_early() {
        let day = |longitude| Weather::DesignDay {
            high: 33.0,
            range: 11.0,
            site: Some(Site { latitude: 40.0, longitude, utc_offset: 1.0 }),
        };
        // Fifteen degrees are one hour, in which the equation of time goes on by a second.
        assert_abs_diff_eq!(at(&day(30.0), 10.0), at(&day(15.0), 11.0), epsilon = 0.001);
        // Late in October the sun is a quarter of an hour ahead of the clock.
        let october = day(15.0).outdoor(date(2025, 10, 31), 10.0 * 3600.0);
        assert!(october > at(&day(15.0), 10.0) + 0.5);
    }

    #[test]
    fn a_monthly_year_passes_through_its_values_and_has_no_steps() {
        let pairs: [(f64, f64); 12] = std::array::from_fn(|month| {
            let warmth = [0.0, 1.0, 5.0, 10.0, 15.0, 18.0, 20.0, 19.0, 16.0, 10.0, 5.0, 1.0][month];
            (warmth + 5.0, warmth - 4.0)
        });
        let weather = Weather::Monthly { pairs: Box::new(pairs), site: None };
        let new_year = date(2025, 1, 1);
        // 14:00 is the table's warmest hour and 5:00 its coldest; mid-July lies half way through
        // its 31 days, at noon of the 16th.
        let day = |day: f64, hour: f64| weather.outdoor(new_year, (day * 24.0 + hour) * 3600.0);
        assert_abs_diff_eq!(day(196.0, 14.0), 25.0, epsilon = 0.01);
        assert_abs_diff_eq!(day(196.0, 5.0), 16.0, epsilon = 0.03);
        for midnight in 0..=366 {
            let midnight = f64::from(midnight);
            let jump = day(midnight, 0.001) - day(midnight, -0.001);
            // Two milli-hours of the table's steepest descent, 0.19 of the range an hour.
            assert!(jump.abs() < 0.002 * 9.0 * 0.2, "{midnight}: {jump}");
        }
    }
}
