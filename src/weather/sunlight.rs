//! What the sun sends onto a plane.

use super::clear_sky::{ClearSky, air_mass};
use super::perez::{self, SkyParts};

/// Part of the light that the ground throws back: usual value for grass and mixed surroundings,
/// ASHRAE Handbook of Fundamentals (2021, SI), chapter 14, Example 7.
const GROUND_REFLECTANCE: f64 = 0.2;

/// Where the sun stands, seen from a site, without refraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPosition {
    /// Degrees above the horizon.
    pub altitude: f64,
    /// Degrees clockwise from north.
    pub azimuth: f64,
}

impl SunPosition {
    /// East, north and up of the direction towards the sun, of length one.
    pub(super) fn direction(self) -> [f64; 3] {
        direction(self.azimuth, self.altitude)
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
    /// How the light from the sky is spread over it.
    sky: SkyParts,
}

impl Sunlight {
    /// Night.
    pub const NONE: Self = Self {
        beam: 0.0,
        diffuse: 0.0,
        direction: [0.0, 0.0, -1.0],
        sky: SkyParts::isotropic(0.0),
    };

    /// A clear sky so many days after the year began, with the sun where it is.
    pub fn of_clear_sky(clear_sky: ClearSky, day_of_year: f64, position: SunPosition) -> Self {
        if position.altitude <= 0.0 {
            return Self::NONE;
        }
        let (beam, diffuse) = clear_sky.beam_and_diffuse(day_of_year, position.altitude);
        Self::new(position, beam, diffuse)
    }

    /// Light of which beam and diffuse part are known, W/m2, with the sun where it is, and a sky
    /// that is equally bright everywhere.
    pub fn new(position: SunPosition, beam: f64, diffuse: f64) -> Self {
        let sky = SkyParts::isotropic(diffuse);
        Self { beam, diffuse, direction: position.direction(), sky }
    }

    /// The same light from a sky that is brighter round the sun and near the horizon, `outside`
    /// W/m2 reaching the top of the atmosphere: Perez and others 1990.
    #[must_use]
    pub fn anisotropic(self, outside: f64) -> Self {
        let up = self.direction[2].max(0.0);
        let air_mass = air_mass(libm::asin(up.min(1.0)).to_degrees());
        let Self { beam, diffuse, .. } = self;
        Self { sky: perez::Light { beam, diffuse, outside, up, air_mass }.parts(), ..self }
    }

    /// What falls on a plane.
    pub fn on(&self, plane: &Plane) -> Irradiance {
        let [east, north, up] = self.direction;
        let dot = east * plane.normal[0] + north * plane.normal[1] + up * plane.normal[2];
        let cos_incidence = dot.max(0.0);
        let horizontal = self.beam * up.max(0.0) + self.diffuse;
        let circumsolar = self.sky.circumsolar * cos_incidence;
        let rest = self.sky.background * plane.sky_share + self.sky.horizon * plane.sin_tilt;
        Irradiance {
            beam: self.beam * cos_incidence,
            circumsolar,
            // A dull horizon darkens a plane by no more than what the sky sends there.
            sky: rest.max(-circumsolar),
            ground: GROUND_REFLECTANCE * horizontal * (1.0 - plane.sky_share),
            cos_incidence,
        }
    }
}

/// What falls on a plane, W/m2.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Irradiance {
    /// Straight from the sun.
    pub beam: f64,
    /// From the bright sky round the sun, at the sun's angle.
    pub circumsolar: f64,
    /// From the rest of the sky.
    pub sky: f64,
    /// Thrown back by the ground.
    pub ground: f64,
    /// Cosine of the angle between the sun's rays and the plane's normal; 0 where the sun stands
    /// behind the plane.
    pub cos_incidence: f64,
}

impl Irradiance {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.beam + self.circumsolar + self.sky + self.ground
    }
}

/// A plane that light falls on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// At right angles to it, outwards: east, north, up.
    normal: [f64; 3],
    /// Part of what it sees that is sky; the rest is ground.
    sky_share: f64,
    /// Sine of its tilt from horizontal.
    sin_tilt: f64,
}

impl Plane {
    /// The plane that faces `azimuth`, degrees clockwise from north, tilted so many degrees from
    /// horizontal: 0 a flat roof, 90 a wall.
    pub fn new(azimuth: f64, tilt: f64) -> Self {
        let normal = direction(azimuth, 90.0 - tilt);
        let sky_share = 0.5 * (1.0 + normal[2]);
        Self { normal, sky_share, sin_tilt: libm::sin(tilt.to_radians()) }
    }
}

/// East, north and up of the direction with an azimuth and altitude, degrees.
fn direction(azimuth: f64, altitude: f64) -> [f64; 3] {
    let (sin, cos) = libm::sincos(azimuth.to_radians());
    let (up, level) = libm::sincos(altitude.to_radians());
    [level * sin, level * cos, up]
}
