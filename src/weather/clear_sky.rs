//! The ASHRAE clear-sky model: Handbook of Fundamentals (2021, SI), chapter 14, eq. (4) and (17)
//! to (21).

use std::f64::consts::TAU;

/// Irradiance outside the atmosphere at the mean distance of the sun, W/m2.
const SOLAR_CONSTANT: f64 = 1367.0;

/// How clear the sky is: its optical depths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearSky {
    /// Beam optical depth.
    pub taub: f64,
    /// Diffuse optical depth.
    pub taud: f64,
}

impl Default for ClearSky {
    /// A middling sky: typical values from memory, no source.
    fn default() -> Self {
        Self { taub: 0.40, taud: 2.15 }
    }
}

impl ClearSky {
    /// Beam irradiance at right angles to the rays and diffuse irradiance on the horizontal, W/m2,
    /// so many days after the year began, with the sun so many degrees above the horizon.
    pub fn beam_and_diffuse(self, day_of_year: f64, altitude: f64) -> (f64, f64) {
        let Self { taub, taud } = self;
        let outside = outside_atmosphere(day_of_year);
        let beam_exponent = 1.454 - 0.406 * taub - 0.268 * taud + 0.021 * taub * taud;
        let diffuse_exponent = 0.507 + 0.205 * taub - 0.080 * taud - 0.190 * taub * taud;
        let log_air_mass = libm::log(air_mass(altitude));
        let part = |depth: f64, exponent: f64| {
            outside * libm::exp(-depth * libm::exp(exponent * log_air_mass))
        };
        (part(taub, beam_exponent), part(taud, diffuse_exponent))
    }
}

/// Irradiance outside the atmosphere, W/m2; the model counts whole days from 1.
pub(super) fn outside_atmosphere(day_of_year: f64) -> f64 {
    let day = libm::floor(day_of_year) + 1.0;
    SOLAR_CONSTANT * (1.0 + 0.033 * libm::cos(TAU * (day - 3.0) / 365.0))
}

/// Length of the way through the air over that of the way straight down: Kasten and Young 1989.
pub(super) fn air_mass(altitude: f64) -> f64 {
    let sin = libm::sin(altitude.to_radians());
    1.0 / (sin + 0.50572 * libm::pow(6.07995 + altitude, -1.6364))
}
