//! Sun and sky from twelve monthly means of daily radiation on the horizontal.
//!
//! Spread over the day by Collares-Pereira and Rabl (1979), The average distribution of solar
//! radiation: correlations between diffuse and hemispherical and between daily and hourly insolation
//! values, Solar Energy 22(2), 155-164; the sky's part of the day by Erbs, Klein and Duffie (1982),
//! Solar Energy 28(4), 293-302, monthly-average correlation, and over the day by Liu and Jordan
//! (1960), Solar Energy 4(3), 1-19. Both spreads are taken as integrals over the hour and over the
//! day, so that a day has the month's mean exactly.

use std::f64::consts::{PI, TAU};

use jiff::civil::Date;

use super::site::Site;
use super::spell::{Light, Spell};
use super::sun_path::SunPath;
use crate::time::{DAY, Period};

/// Seconds in an hour.
const HOUR: f64 = 3600.0;
/// Where the correlation was fitted: monthly clearness.
const FITTED: (f64, f64) = (0.3, 0.8);
/// Sunset hour angle between winter and the rest of the year in the correlation: 81.4 degrees.
const WINTER: f64 = 1.420_698;

/// The radiation of a period by the hour, from monthly means of daily radiation on the horizontal,
/// kWh/m2, January first. `None` where the site is not on the globe. Days without a sunrise have
/// none.
pub fn monthly_light(means: &[f64; 12], site: Site, period: &Period) -> Option<Vec<Spell>> {
    let path = SunPath::new(site, period.first(), period.days())?;
    let day = |day: i64| {
        let means = means[usize::from(period.date(day).month().unsigned_abs()) - 1];
        Day::new(&path, day).hours(&path, means)
    };
    Some((0..period.days()).flat_map(day).collect())
}

/// Radiation outside the atmosphere onto the horizontal on a date, kWh/m2.
pub fn outside_on_horizontal(site: Site, date: Date) -> Option<f64> {
    Some(Day::new(&SunPath::new(site, date, 1)?, 0).outside())
}

/// The sun of one day.
struct Day {
    /// Days since the first.
    number: i64,
    /// Hour angle of the sunset, radians.
    sunset: f64,
    /// Outside the atmosphere, at right angles to the rays, W/m2.
    normal: f64,
    /// Products of the sines and of the cosines of latitude and declination.
    sines: f64,
    cosines: f64,
}

impl Day {
    fn new(path: &SunPath, number: i64) -> Self {
        let noon = (number * DAY + DAY / 2) as f64;
        let (_, declination) = path.seen_from_axis(noon);
        let (sin_latitude, cos_latitude) = path.latitude();
        let (sin, cos) = libm::sincos(declination);
        let (sines, cosines) = (sin_latitude * sin, cos_latitude * cos);
        let sunset = libm::acos((-sines / cosines.max(1e-12)).clamp(-1.0, 1.0));
        Self { number, sunset, normal: path.outside_atmosphere(noon), sines, cosines }
    }

    /// kWh/m2 on the horizontal.
    fn outside(&self) -> f64 {
        let hours = 24.0 / PI * (self.cosines * libm::sin(self.sunset) + self.sunset * self.sines);
        self.normal * hours / 1000.0
    }

    /// The sky's part of a day's radiation.
    fn diffuse_part(&self, daily: f64) -> f64 {
        let k = (daily / self.outside()).clamp(FITTED.0, FITTED.1);
        if self.sunset <= WINTER {
            1.391 + k * (-3.560 + k * (4.189 - 2.137 * k))
        } else {
            1.311 + k * (-3.022 + k * (3.427 - 1.821 * k))
        }
    }

    /// The hours of the day by the clock, with so many kWh/m2 in all.
    fn hours(&self, path: &SunPath, daily: f64) -> impl Iterator<Item = Spell> + use<> {
        let lit = self.sunset > 0.01;
        let (a, b) = shape(self.sunset);
        let whole = |spread: &dyn Fn(f64) -> f64| spread(self.sunset) - spread(-self.sunset);
        let end = libm::cos(self.sunset);
        let all = move |angle: f64| all_light(angle, a, b, end);
        let sky = move |angle: f64| libm::sin(angle) - end * angle;
        let (of_all, of_sky) = (whole(&all), whole(&sky));
        let diffuse_part = if lit { self.diffuse_part(daily) } else { 0.0 };
        let (sunset, midnight) = (self.sunset, (self.number * DAY) as f64);
        let angles: Vec<f64> = (0..=24)
            .map(|hour| {
                let angle = path.seen_from_axis(midnight + f64::from(hour) * HOUR).0;
                // From -pi at solar midnight before noon: within half a turn of the clock's own.
                let clock = TAU * (f64::from(hour) - 12.0) / 24.0;
                let apart = (angle - clock + PI).rem_euclid(TAU) - PI;
                (clock + apart).clamp(-sunset, sunset)
            })
            .collect();
        (0..24_u32).map(move |hour| {
            let at = hour as usize;
            let over = |spread: &dyn Fn(f64) -> f64| spread(angles[at + 1]) - spread(angles[at]);
            let from = midnight + f64::from(hour) * HOUR;
            let light = if lit && over(&sky) > 0.0 {
                let global = 1000.0 * daily * over(&all) / of_all;
                let diffuse = 1000.0 * daily * diffuse_part * over(&sky) / of_sky;
                Light::GlobalAndDiffuse { global, diffuse: diffuse.min(global) }
            } else {
                Light::NONE
            };
            Spell { from, to: from + HOUR, light }
        })
    }
}

/// The two numbers of Collares-Pereira and Rabl's spread.
fn shape(sunset: f64) -> (f64, f64) {
    let sin = libm::sin(sunset - PI / 3.0);
    (0.409 + 0.5016 * sin, 0.6609 - 0.4767 * sin)
}

/// The integral of (a + b cos w) (cos w - cos ws) up to an hour angle.
fn all_light(angle: f64, a: f64, b: f64, end: f64) -> f64 {
    let (sin, cos) = libm::sincos(angle);
    a * (sin - end * angle) + b * (0.5 * (angle + sin * cos) - end * sin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Seconds;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use jiff::civil::date;

    const SITE: Site = Site { latitude: 43.0, longitude: -75.0, utc_offset: -5.0 };

    fn global(spell: &Spell) -> f64 {
        match spell.light {
            Light::GlobalAndDiffuse { global, .. } => global,
            _ => 0.0,
        }
    }

    /// Every day has the mean of its month, and the hour round noon the part that the published
    /// formula gives: pi/24 (a + b) (1 - cos ws) / (sin ws - ws cos ws), with the day's sum of the
    /// formula's own hours, which is 1 within a few percent.
    #[test]
    fn a_day_has_its_months_mean_and_the_published_shape() {
        let means = std::array::from_fn(|month| 1.0 + 0.4 * month as f64);
        let period = Period::new(date(2025, 3, 30), 4, Seconds::minutes(1)).expect("a period");
        let spells = monthly_light(&means, SITE, &period).expect("a site on the globe");
        assert_eq!(spells.len(), 96);
        for (day, mean) in [1.8, 1.8, 2.2, 2.2].into_iter().enumerate() {
            let hours = &spells[24 * day..][..24];
            let sum: f64 = hours.iter().map(global).sum::<f64>() / 1000.0;
            assert_relative_eq!(sum, mean, max_relative = 1e-12);
            assert!(hours[0].light == Light::NONE && hours[23].light == Light::NONE);
        }
        // Equinox: sunset at 90 degrees, a = 0.6598, b = 0.4226: the noon hour gets 0.1417 of the day.
        let equinox = Period::new(date(2025, 3, 20), 1, Seconds::minutes(1)).expect("a period");
        let spells = monthly_light(&[2.0; 12], SITE, &equinox).expect("a site");
        let noon = spells.iter().map(global).fold(0.0, f64::max) / 2000.0;
        assert_abs_diff_eq!(noon, PI / 24.0 * (0.6598 + 0.4226), epsilon = 0.002);
    }

    /// Duffie and Beckman, Solar Engineering of Thermal Processes, 4th edition, Example 1.10.1
    /// (from memory): 43 degrees north, 15 April: 33.8 MJ/m2 outside the atmosphere. Its declination
    /// is a sine through the year, 9.4 degrees; the sun's own is half a degree more on that day.
    #[test]
    fn outside_the_atmosphere() {
        let found = outside_on_horizontal(SITE, date(2025, 4, 15)).expect("a site");
        assert_relative_eq!(found * 3.6, 33.8, max_relative = 0.015);
    }

    #[test]
    fn the_polar_night_is_dark() {
        let north = Site { latitude: 80.0, ..SITE };
        let winter = Period::new(date(2025, 12, 21), 1, Seconds::minutes(1)).expect("a period");
        let spells = monthly_light(&[1.0; 12], north, &winter).expect("a site");
        assert!(spells.iter().all(|spell| spell.light == Light::NONE));
        let summer = Period::new(date(2025, 6, 21), 1, Seconds::minutes(1)).expect("a period");
        let spells = monthly_light(&[6.0; 12], north, &summer).expect("a site");
        // The clock's day is not quite the sun's.
        assert_abs_diff_eq!(spells.iter().map(global).sum::<f64>(), 6000.0, epsilon = 1e-3);
    }
}
