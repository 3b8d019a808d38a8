//! Where the sun stands and what it sends onto a plane.

use jiff::civil::{Date, date};
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

use super::clear_sky::ClearSky;
use super::day_shape::day_of_year;
use super::source::Site;
use crate::time::DAY;

/// Part of the light that the ground throws back: usual value for grass and mixed surroundings,
/// ASHRAE Handbook of Fundamentals (2021, SI), chapter 14, Example 7.
const GROUND_REFLECTANCE: f64 = 0.2;
/// Julian date of midnight, universal time, at which 2000-01-01 begins.
const JULIAN_2000: f64 = 2_451_544.5;
/// Terrestrial minus universal time, s: the value about 2025. A minute more or less moves the sun
/// by 0.0007 degrees, so it need not follow the year.
const DELTA_T: f64 = 69.0;

/// Where the sun stands, seen from a site, without refraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPosition {
    /// Degrees above the horizon.
    pub altitude: f64,
    /// Degrees clockwise from north.
    pub azimuth: f64,
}

/// The sun's way over a site in a period.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPath {
    location: Location,
    first: Date,
    /// Julian date of the first day's midnight, clock time.
    midnight: f64,
}

impl SunPath {
    /// The sun's way over a site from midnight of `first` on; `None` where the site is not on
    /// the globe or the date lies outside the years -1999 to 5998.
    pub fn new(site: Site, first: Date) -> Option<Self> {
        let days = first.duration_since(date(2000, 1, 1)).as_secs() / DAY;
        let midnight = JULIAN_2000 + days as f64 - site.utc_offset / 24.0;
        let location = Location { latitude: site.latitude, longitude: site.longitude };
        let path = Self { location, first, midnight };
        let known = (-1999..=5998).contains(&first.year());
        (known && path.position(0.0).is_some()).then_some(path)
    }

    /// Where the sun stands at a second after midnight of the first day, clock time: the solar
    /// position algorithm of Reda and Andreas, NREL/TP-560-34302. `None` more than a year off
    /// the range of [`SunPath::new`].
    pub fn position(&self, second: f64) -> Option<SunPosition> {
        let time = JulianDate::new(self.midnight + second / DAY as f64, DELTA_T).ok()?;
        let found = SolarPositions::new().at_from_julian(time, self.location, 0.0, None).ok()?;
        Some(SunPosition { altitude: found.elevation_angle(), azimuth: found.azimuth() })
    }

    /// What a clear sky sends at a second after midnight of the first day.
    pub fn sunlight(&self, clear_sky: ClearSky, second: f64) -> Sunlight {
        self.position(second).map_or(Sunlight::NONE, |position| {
            Sunlight::of_clear_sky(clear_sky, day_of_year(self.first, second), position)
        })
    }
}

/// What sun and sky send at an instant, W/m2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sunlight {
    /// From the sun, on a plane at right angles to its rays.
    pub beam: f64,
    /// From the sky, on a horizontal plane.
    pub diffuse: f64,
    /// Towards the sun: east, north, up.
    direction: [f64; 3],
}

impl Sunlight {
    /// Night.
    pub const NONE: Self = Self { beam: 0.0, diffuse: 0.0, direction: [0.0, 0.0, -1.0] };

    /// A clear sky so many days after the year began, with the sun where it is.
    pub fn of_clear_sky(clear_sky: ClearSky, day_of_year: f64, position: SunPosition) -> Self {
        if position.altitude <= 0.0 {
            return Self::NONE;
        }
        let (beam, diffuse) = clear_sky.beam_and_diffuse(day_of_year, position.altitude);
        Self::new(position, beam, diffuse)
    }

    /// Light of which beam and diffuse part are known, W/m2, with the sun where it is.
    pub fn new(position: SunPosition, beam: f64, diffuse: f64) -> Self {
        let direction = direction(position.azimuth, position.altitude);
        Self { beam, diffuse, direction }
    }

    /// What falls on a plane.
    pub fn on(&self, plane: &Plane) -> Irradiance {
        let [east, north, up] = self.direction;
        let cos_incidence = east * plane.normal[0] + north * plane.normal[1] + up * plane.normal[2];
        let horizontal = self.beam * up.max(0.0) + self.diffuse;
        Irradiance {
            beam: self.beam * cos_incidence.max(0.0),
            sky: self.diffuse * plane.sky_share(),
            ground: GROUND_REFLECTANCE * horizontal * (1.0 - plane.sky_share()),
        }
    }
}

/// What falls on a plane, W/m2.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Irradiance {
    /// Straight from the sun.
    pub beam: f64,
    /// From a sky that is equally bright everywhere.
    pub sky: f64,
    /// Thrown back by the ground.
    pub ground: f64,
}

impl Irradiance {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.beam + self.sky + self.ground
    }
}

/// A plane that light falls on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// At right angles to it, outwards: east, north, up.
    normal: [f64; 3],
}

impl Plane {
    /// The plane that faces `azimuth`, degrees clockwise from north, tilted so many degrees from
    /// horizontal: 0 a flat roof, 90 a wall.
    pub fn new(azimuth: f64, tilt: f64) -> Self {
        Self { normal: direction(azimuth, 90.0 - tilt) }
    }

    /// Part of what it sees that is sky; the rest is ground.
    fn sky_share(&self) -> f64 {
        0.5 * (1.0 + self.normal[2])
    }
}

/// East, north and up of the direction with an azimuth and altitude, degrees.
fn direction(azimuth: f64, altitude: f64) -> [f64; 3] {
    let (sin, cos) = libm::sincos(azimuth.to_radians());
    let (up, level) = libm::sincos(altitude.to_radians());
    [level * sin, level * cos, up]
}
