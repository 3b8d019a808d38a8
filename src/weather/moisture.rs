//! Water vapour in outdoor air.

/// Pressure of water vapour over water at a temperature in degrees C, Pa: the Magnus form of the
/// Guide to Instruments and Methods of Observation, WMO-No. 8 (2018), annex 4.B, from memory. Over
/// water below freezing, too, as weather stations report humidity.
pub fn saturation_pressure(celsius: f64) -> f64 {
    611.2 * libm::exp(17.62 * celsius / (243.12 + celsius))
}

/// Vapour pressure, Pa, of air at a temperature with a relative humidity in percent.
pub(super) fn of_humidity(celsius: f64, percent: f64) -> f64 {
    saturation_pressure(celsius) * (percent / 100.0).clamp(0.0, 1.0)
}

/// Vapour pressure, Pa, of air at a temperature with a dew point; air holds no more than it can.
pub(super) fn of_dew_point(celsius: f64, dew_point: f64) -> f64 {
    saturation_pressure(dew_point.min(celsius))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Saturation pressures over water, Pa: ASHRAE Handbook of Fundamentals (2021, SI), chapter 1,
    /// Table 3, from memory. The Magnus form stays within three thousandths of them.
    #[test]
    fn pressures_are_those_of_the_steam_table() {
        for (celsius, pascal) in [(10.0, 1228.0), (20.0, 2338.8), (30.0, 4246.0)] {
            assert_relative_eq!(saturation_pressure(celsius), pascal, max_relative = 3e-3);
        }
    }

    #[test]
    fn humidity_and_dew_point_agree() {
        let pressure = of_dew_point(20.0, 10.0);
        let percent = 100.0 * pressure / saturation_pressure(20.0);
        assert_relative_eq!(of_humidity(20.0, percent), pressure, max_relative = 1e-12);
        assert_eq!(of_dew_point(20.0, 25.0).to_bits(), saturation_pressure(20.0).to_bits());
    }
}
