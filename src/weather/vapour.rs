//! Water vapour as weather stations report it: over water, also below freezing.

use crate::moist_air::over_water;

/// Vapour pressure, Pa, of air at a temperature with a relative humidity in percent.
pub(super) fn of_humidity(celsius: f64, percent: f64) -> f64 {
    over_water(celsius) * (percent / 100.0).clamp(0.0, 1.0)
}

/// Vapour pressure, Pa, of air at a temperature with a dew point; air holds no more than it can.
pub(super) fn of_dew_point(celsius: f64, dew_point: f64) -> f64 {
    over_water(dew_point.min(celsius))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn humidity_and_dew_point_agree() {
        let pressure = of_dew_point(20.0, 10.0);
        let percent = 100.0 * pressure / over_water(20.0);
        assert_relative_eq!(of_humidity(20.0, percent), pressure, max_relative = 1e-12);
        assert_eq!(of_dew_point(20.0, 25.0).to_bits(), over_water(20.0).to_bits());
    }
}
