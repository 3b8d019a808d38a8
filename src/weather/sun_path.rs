//! Where the sun stands through a period.

use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use jiff::civil::{Date, date};
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

use super::clear_sky::{self, ClearSky};
use super::day_shape::day_of_year;
use super::perez::SkyModel;
use super::site::Site;
use super::sunlight::{SunPosition, Sunlight};
use crate::time::DAY;

/// Julian date of midnight, universal time, at which 2000-01-01 begins.
const JULIAN_2000: f64 = 2_451_544.5;
/// Terrestrial minus universal time, s: the value about 2025. A minute more or less moves the sun
/// by 0.0007 degrees, so it need not follow the year.
const DELTA_T: f64 = 69.0;
/// Seconds between marks.
const BETWEEN_MARKS: i64 = 3 * 3600;

/// Where the sun stands at a second after midnight of `first`, clock time, without refraction:
/// the solar position algorithm of Reda and Andreas, NREL/TP-560-34302. `None` where the site is
/// not on the globe or the time lies outside the algorithm's years, -2000 to 6000.
pub fn sun_position(site: Site, first: Date, second: f64) -> Option<SunPosition> {
    let days = first.duration_since(date(2000, 1, 1)).as_secs() / DAY;
    let clock = JULIAN_2000 + days as f64 + second / DAY as f64;
    let time = JulianDate::new(clock - site.utc_offset / 24.0, DELTA_T).ok()?;
    let location = Location { latitude: site.latitude, longitude: site.longitude };
    let found = SolarPositions::new().at_from_julian(time, location, 0.0, None).ok()?;
    Some(SunPosition { altitude: found.elevation_angle(), azimuth: found.azimuth() })
}

/// The sun's way over a site in a period. [`sun_position`] says where it stands every three
/// hours; in between, hour angle and declination run so evenly that straight lines stay within
/// 0.0005 degrees of it, and cost a tenth of the time.
#[derive(Clone, Debug, PartialEq)]
pub struct SunPath {
    /// Sine and cosine of the site's latitude.
    latitude: (f64, f64),
    first: Date,
    /// Shared by all copies of the way.
    marks: Arc<[Mark]>,
    sky: SkyModel,
}

/// Where the sun stands, seen from the earth's axis, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Mark {
    /// Hour angle, west positive, beyond what the clock turns it by.
    hour_angle: f64,
    /// North positive.
    declination: f64,
}

impl SunPath {
    /// The sun's way over a site in so many days from midnight of `first`, clock time; `None` as
    /// for [`sun_position`].
    pub fn new(site: Site, first: Date, days: i64) -> Option<Self> {
        let latitude = libm::sincos(site.latitude.to_radians());
        let mut marks: Vec<Mark> = Vec::new();
        for place in 0..=days.max(1) * (DAY / BETWEEN_MARKS) {
            let second = (place * BETWEEN_MARKS) as f64;
            let (turned, declination) = equatorial(sun_position(site, first, second)?, latitude);
            let before = marks.last().map_or(0.0, |mark| mark.hour_angle);
            let hour_angle = before + half_turn(turned - clock_angle(second) - before);
            marks.push(Mark { hour_angle, declination });
        }
        Some(Self { latitude, first, marks: marks.into(), sky: SkyModel::Isotropic })
    }

    /// The same way, below a sky whose brightness is spread like this.
    #[must_use]
    pub fn under(self, sky: SkyModel) -> Self {
        Self { sky, ..self }
    }

    /// Where the sun stands at a second after midnight of the first day, clock time. Outside the
    /// period the nearest line goes on.
    pub fn position(&self, second: f64) -> SunPosition {
        let (hour_angle, declination) = self.seen_from_axis(second);
        let (sin_hour, cos_hour) = libm::sincos(hour_angle);
        let (sin_declination, cos_declination) = libm::sincos(declination);
        let (sin_latitude, cos_latitude) = self.latitude;
        let equator = cos_declination * cos_hour;
        let east = -cos_declination * sin_hour;
        let north = sin_declination * cos_latitude - equator * sin_latitude;
        let up = sin_declination * sin_latitude + equator * cos_latitude;
        SunPosition {
            altitude: libm::asin(up.clamp(-1.0, 1.0)).to_degrees(),
            azimuth: libm::atan2(east, north).to_degrees().rem_euclid(360.0),
        }
    }

    /// What a clear sky sends at a second after midnight of the first day.
    pub fn sunlight(&self, clear_sky: ClearSky, second: f64) -> Sunlight {
        let day_of_year = day_of_year(self.first, second);
        let light = Sunlight::of_clear_sky(clear_sky, day_of_year, self.position(second));
        self.spread(light, second)
    }

    /// The light of an instant, spread over the sky as this sky is.
    pub(super) fn spread(&self, light: Sunlight, second: f64) -> Sunlight {
        match self.sky {
            SkyModel::Anisotropic if light.diffuse > 0.0 => {
                light.anisotropic(self.outside_atmosphere(second))
            }
            SkyModel::Anisotropic | SkyModel::Isotropic => light,
        }
    }

    /// Sine and cosine of the site's latitude.
    pub(super) const fn latitude(&self) -> (f64, f64) {
        self.latitude
    }

    /// Irradiance outside the atmosphere, W/m2, at a second after midnight of the first day.
    pub(super) fn outside_atmosphere(&self, second: f64) -> f64 {
        clear_sky::outside_atmosphere(day_of_year(self.first, second))
    }

    /// Hour angle and declination, radians, between the two nearest marks.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the place is whole and lies between the first and the last mark but one"
    )]
    pub(super) fn seen_from_axis(&self, second: f64) -> (f64, f64) {
        let places = second / BETWEEN_MARKS as f64;
        let last = self.marks.len().saturating_sub(2);
        let place = (libm::floor(places).max(0.0) as usize).min(last);
        let part = places - place as f64;
        let (before, after) = (self.marks[place], self.marks[place + 1]);
        let between = |before: f64, after: f64| before + part * (after - before);
        let beyond_clock = between(before.hour_angle, after.hour_angle);
        let declination = between(before.declination, after.declination);
        (beyond_clock + clock_angle(second), declination)
    }
}

/// By how much the earth has turned since midnight, radians.
fn clock_angle(second: f64) -> f64 {
    TAU * second / DAY as f64
}

/// The same angle between minus and plus half a turn.
fn half_turn(angle: f64) -> f64 {
    (angle + PI).rem_euclid(TAU) - PI
}

/// Hour angle and declination, radians, of a position seen from a latitude.
fn equatorial(position: SunPosition, (sin, cos): (f64, f64)) -> (f64, f64) {
    let [east, north, up] = position.direction();
    let declination = libm::asin((up * sin + north * cos).clamp(-1.0, 1.0));
    (libm::atan2(-east, up * cos - north * sin), declination)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the documentation promises, degrees.
    const CLOSE: f64 = 0.0005;

    #[test]
    fn the_lines_stay_close_to_the_algorithm_through_a_year_anywhere() {
        for (latitude, longitude) in [(-90.0, 0.0), (-33.9, 151.2), (0.0, -60.0), (64.0, 25.0)] {
            let site = Site { latitude, longitude, utc_offset: longitude / 15.0 };
            let path = SunPath::new(site, date(2024, 1, 1), 366).expect("a site on the globe");
            // 47 minutes in steps of 13 hours see all times of the day in all seasons.
            for step in 0..670 {
                let second = f64::from(step) * 13.0 * 3600.0 + 47.0 * 60.0;
                let exact = sun_position(site, date(2024, 1, 1), second).expect("as above");
                let (ours, theirs) = (path.position(second).direction(), exact.direction());
                let apart: f64 = ours.iter().zip(theirs).map(|(a, b)| (a - b) * (a - b)).sum();
                let degrees = apart.sqrt().to_degrees();
                assert!(degrees < CLOSE, "{latitude} {second}: {degrees}");
            }
        }
    }

    #[test]
    fn a_path_goes_on_beyond_its_period() {
        let site = Site { latitude: 45.0, longitude: 8.0, utc_offset: 1.0 };
        let path = SunPath::new(site, date(2025, 3, 20), 1).expect("a site on the globe");
        for second in [-3600.0, 25.0 * 3600.0] {
            let exact = sun_position(site, date(2025, 3, 20), second).expect("as above");
            assert!((path.position(second).altitude - exact.altitude).abs() < 10.0 * CLOSE);
        }
    }
}
