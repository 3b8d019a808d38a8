//! Water vapour in air: ASHRAE Handbook of Fundamentals (2021, SI), chapter 1.
//!
//! ```
//! use setband::moist_air::{relative_humidity, saturation_pressure};
//!
//! let half = saturation_pressure(20.0) / 2.0;
//! assert!((relative_humidity(20.0, half) - 50.0).abs() < 0.1);
//! ```

/// Pressure of the standard atmosphere at sea level, Pa: eq. (3) at altitude 0.
pub const STANDARD_PRESSURE: f64 = 101_325.0;
/// Molar mass of water over that of dry air: eq. (20).
const WATER_OVER_AIR: f64 = 0.621_945;
/// Water and ice are in balance at this temperature, degrees C: the triple point.
const TRIPLE_POINT: f64 = 0.01;
/// Heat that evaporates water at 20 degrees C, J/kg: Table 3, from memory.
pub const HEAT_OF_EVAPORATION: f64 = 2.4535e6;

/// Pressure of saturated water vapour over ice or water, Pa: eq. (5) and (6), after Hyland and
/// Wexler (1983), at a temperature in degrees C.
pub fn saturation_pressure(celsius: f64) -> f64 {
    if celsius < TRIPLE_POINT { over_ice(celsius) } else { over_water(celsius) }
}

/// Eq. (5).
fn over_ice(celsius: f64) -> f64 {
    let t = celsius + 273.15;
    let powers =
        ((((-9.484_024e-13 * t + 2.074_782_5e-9) * t + 6.221_570_1e-7) * t) - 9.677_843e-3) * t;
    libm::exp(-5_674.535_9 / t + 6.392_524_7 + powers + 4.163_501_9 * libm::log(t))
}

/// Pressure of saturated water vapour over water, Pa: eq. (6), which is used below freezing as
/// well where weather stations report humidity over water.
pub fn over_water(celsius: f64) -> f64 {
    let t = celsius + 273.15;
    let powers = ((-1.445_209_3e-8 * t + 4.176_476_8e-5) * t - 4.864_023_9e-2) * t;
    libm::exp(-5_800.220_6 / t + 1.391_499_3 + powers + 6.545_967_3 * libm::log(t))
}

/// Humidity ratio, kg water in a kg of dry air, at a vapour pressure and a total one, Pa: eq. (20).
pub fn humidity_ratio(vapour: f64, pressure: f64) -> f64 {
    WATER_OVER_AIR * vapour / (pressure - vapour)
}

/// Vapour pressure, Pa, of air with a humidity ratio at a total pressure: eq. (20) the other way.
pub fn vapour_pressure(ratio: f64, pressure: f64) -> f64 {
    pressure * ratio / (WATER_OVER_AIR + ratio)
}

/// Enthalpy, J for a kg of dry air, of air at a temperature in degrees C with a humidity ratio:
/// eq. (30).
pub fn enthalpy(celsius: f64, ratio: f64) -> f64 {
    1006.0 * celsius + ratio * (2.501e6 + 1860.0 * celsius)
}

/// Relative humidity, percent, of air at a temperature in degrees C with a vapour pressure, Pa:
/// eq. (22). Never more than 100: what is more condenses.
pub fn relative_humidity(celsius: f64, vapour: f64) -> f64 {
    (100.0 * vapour / saturation_pressure(celsius)).min(100.0)
}
