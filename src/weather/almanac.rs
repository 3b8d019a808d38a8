//! What follows from weather files and places on earth, worked out once for all models that want it.

use std::hash::{DefaultHasher, Hasher};
use std::sync::Arc;

use jiff::civil::Date;

use super::gaps::Fill;
use super::logged::Stamp;
use super::monthly_light::monthly_light;
use super::running_mean::running_means;
use super::site::Site;
use super::source::Weather;
use super::spell::Spell;
use super::sun_path::SunPath;
use crate::memo::Memo;
use crate::time::Period;
use crate::units::TemperatureUnit;

/// So many results of each kind are kept: a file and its variants rarely want more.
const KEPT: usize = 4;

/// What follows from weather files and places on earth. Models of one file and its variants have one
/// in common, and so have the cases of a sweep: none of it hangs on anything else of a model, so
/// whoever asks first works it out and the others have the same bits.
#[derive(Debug)]
pub struct Almanac {
    weathers: Memo<Asked, Weather>,
    paths: Memo<(Site, Date, i64), Option<SunPath>>,
    means: Memo<Means, Arc<[f64]>>,
    lights: Memo<MonthlyMeans, Arc<Vec<Spell>>>,
}

/// Which weather a scenario asks for of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Of which file.
    pub file: Content,
    /// In which unit its readings are.
    pub unit: TemperatureUnit,
    /// Which day is repeated, as the scenario writes it, with the balance of its degree days.
    pub day: Option<(String, f64)>,
    /// Where the means of a row stand, if the scenario says so.
    pub stamp: Option<Stamp>,
    /// What is put into gaps.
    pub fill: Option<Fill>,
    /// Whether its humidity counts for nothing.
    pub is_dry: bool,
    /// When.
    pub period: Period,
    /// Where, if the scenario says so.
    pub site: Option<Site>,
}

/// What tells a text from others: its length and 64 bits made of all its bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Content {
    length: usize,
    hash: u64,
}

/// Monthly means of daily radiation on the horizontal, and what they are spread over.
#[derive(Clone, Debug, PartialEq)]
pub struct MonthlyMeans {
    /// kWh/m2, January first.
    pub means: [f64; 12],
    /// Where.
    pub site: Site,
    /// When.
    pub period: Period,
    /// The date whose sun shines every day, where one day of a file is repeated.
    pub repeated: Option<Date>,
}

/// Of which running means are.
#[derive(Debug)]
struct Means(Weather, Period);

impl PartialEq for Means {
    fn eq(&self, other: &Self) -> bool {
        self.1 == other.1 && self.0.is_like(&other.0)
    }
}

impl Content {
    /// That of a text.
    pub fn of(text: &str) -> Self {
        let mut hasher = DefaultHasher::new();
        hasher.write(text.as_bytes());
        Self { length: text.len(), hash: hasher.finish() }
    }
}

impl Default for Almanac {
    fn default() -> Self {
        Self {
            weathers: Memo::with_room_for(KEPT),
            paths: Memo::with_room_for(KEPT),
            means: Memo::with_room_for(KEPT),
            lights: Memo::with_room_for(KEPT),
        }
    }
}

impl Almanac {
    /// The weather that a file had when the same was asked for before.
    pub fn weather(&self, asked: &Asked) -> Option<Weather> {
        self.weathers.find(asked)
    }

    /// Keeps the weather of a file in which nothing was wrong.
    pub fn keep(&self, asked: Asked, weather: &Weather) {
        self.weathers.put(asked, weather.clone());
    }

    /// [`SunPath::new`].
    pub fn sun_path(&self, site: Site, first: Date, days: i64) -> Option<SunPath> {
        self.paths.of((site, first, days), || SunPath::new(site, first, days))
    }

    /// [`running_means`].
    pub fn running_means(&self, weather: &Weather, period: &Period) -> Arc<[f64]> {
        let means = || running_means(weather, period).into();
        self.means.of(Means(weather.clone(), *period), means)
    }

    /// The light of monthly means that have been found right before.
    pub fn known_light(&self, of: &MonthlyMeans) -> Option<Arc<Vec<Spell>>> {
        self.lights.find(of)
    }

    /// [`monthly_light`] of means that are right.
    pub fn monthly_light(&self, of: MonthlyMeans) -> Option<Arc<Vec<Spell>>> {
        let lit = of.repeated.and_then(|date| Period::new(date, 1, of.period.step()).ok());
        let lit = lit.as_ref().unwrap_or(&of.period);
        let light = Arc::new(monthly_light(&of.means, of.site, lit)?);
        self.lights.put(of, Arc::clone(&light));
        Some(light)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Seconds;
    use crate::weather::Reading;
    use jiff::civil::date;

    #[test]
    fn one_letter_makes_another_content() {
        let [one, other] = ["time,temperature\n1", "time,temperature\n2"].map(Content::of);
        assert_eq!(one, Content::of("time,temperature\n1"));
        assert_ne!(one, other);
        assert_ne!(Content::of(""), Content::of("\0"));
    }

    #[test]
    fn models_that_differ_in_weather_or_days_have_means_of_their_own() {
        let almanac = Almanac::default();
        let period = |days| Period::new(date(2025, 1, 1), days, Seconds::hours(1)).expect("right");
        let steady = |temperature| Weather::Readings([Reading { second: 0.0, temperature }].into());
        let mild = steady(9.0);
        let first = almanac.running_means(&mild, &period(2));
        assert_eq!(*first, [9.0, 9.0]);
        assert!(Arc::ptr_eq(&first, &almanac.running_means(&mild.clone(), &period(2))));
        assert!(Arc::ptr_eq(&first, &almanac.running_means(&steady(9.0), &period(2))));
        assert_eq!(*almanac.running_means(&steady(4.0), &period(2)), [4.0, 4.0]);
        assert_eq!(*almanac.running_means(&mild, &period(1)), [9.0]);
    }

    #[test]
    fn the_sun_goes_its_own_way_over_each_place() {
        let almanac = Almanac::default();
        let site = |latitude| Site { latitude, longitude: 8.0, utc_offset: 1.0 };
        for (latitude, days) in [(46.0, 2), (47.0, 2), (46.0, 3), (46.0, 2)] {
            let fresh = SunPath::new(site(latitude), date(2025, 3, 1), days);
            assert_eq!(almanac.sun_path(site(latitude), date(2025, 3, 1), days), fresh);
        }
    }
}
