//! What a weather file measures, within which bounds, and how it says that a value is missing.

use super::fields::shown;
use crate::units::parse_number;

/// The coldest outdoor air that is accepted, degrees C: records of the World Meteorological
/// Organization, from memory: -89.2 C.
pub const COLDEST: f64 = -90.0;
/// The warmest outdoor air that is accepted, degrees C: as above, 56.7 C.
pub const WARMEST: f64 = 60.0;

/// What a column of a weather file measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Radiation from sun and sky on the horizontal, W/m2.
    Global,
    /// Radiation from the sun at right angles to its rays, W/m2.
    Beam,
    /// Radiation from the sky on the horizontal, W/m2.
    Diffuse,
    /// Air temperature, degrees C.
    DryBulb,
    /// Dew point, degrees C.
    DewPoint,
    /// Relative humidity, percent.
    Humidity,
    /// Wind speed, m/s.
    Wind,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Global,
        Self::Beam,
        Self::Diffuse,
        Self::DryBulb,
        Self::DewPoint,
        Self::Humidity,
        Self::Wind,
    ];

    /// Its column's heading in the TMY3 layout, in small letters and without the unit.
    pub(super) const fn heading(self) -> &'static str {
        match self {
            Self::Global => "ghi",
            Self::Beam => "dni",
            Self::Diffuse => "dhi",
            Self::DryBulb => "dry-bulb",
            Self::DewPoint => "dew-point",
            Self::Humidity => "rhum",
            Self::Wind => "wspd",
        }
    }

    /// What people call it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Global => "global radiation",
            Self::Beam => "direct normal radiation",
            Self::Diffuse => "diffuse radiation",
            Self::DryBulb => "dry-bulb temperature",
            Self::DewPoint => "dew point",
            Self::Humidity => "relative humidity",
            Self::Wind => "wind speed",
        }
    }

    /// What is accepted, ends included, and its unit. Radiation: the sun sends 1367 W/m2 to the
    /// top of the atmosphere, and pyranometers read a little below nothing at night (common
    /// practice, no source). Humidity: sensors overshoot in fog. Wind: the strongest gust at a
    /// station was 113 m/s (World Meteorological Organization, from memory).
    pub const fn accepted(self) -> (f64, f64, &'static str) {
        match self {
            Self::Global | Self::Beam | Self::Diffuse => (-20.0, 1800.0, "W/m2"),
            Self::DryBulb | Self::DewPoint => (COLDEST, WARMEST, "C"),
            Self::Humidity => (0.0, 110.0, "%"),
            Self::Wind => (0.0, 113.0, "m/s"),
        }
    }

    /// Whether a number stands for a missing value. The layout's manual (Wilcox and Marion, NREL/TP-581-43156,
    /// 2008, from memory) has -9900; the others are in circulation: common practice, no source.
    fn is_missing(self, number: f64) -> bool {
        let size = number.abs();
        let radiation = matches!(self, Self::Global | Self::Beam | Self::Diffuse);
        [9900.0, 9999.0, 9999.9, 99999.0].contains(&size)
            || (!radiation && [999.0, 999.9].contains(&size))
            // EPW's mark; air is never so warm.
            || (matches!(self, Self::DryBulb | Self::DewPoint) && number == 99.9)
    }

    /// Reads a field: `None` where its value is missing.
    ///
    /// # Errors
    /// The field is no number, or one that cannot be; says so in words.
    pub(super) fn read(self, field: &str) -> Result<Option<f64>, String> {
        if field.is_empty() || ["?", "*", "-", "NA", "NaN", "nan"].contains(&field) {
            return Ok(None);
        }
        let Some(number) = parse_number(field) else {
            return Err(format!("`{}` is no {}", shown(field), self.name()));
        };
        if self.is_missing(number) {
            return Ok(None);
        }
        let (low, high, unit) = self.accepted();
        if !(low..=high).contains(&number) {
            return Err(format!("{} of {} {unit} cannot be right", self.name(), shown(field)));
        }
        Ok(Some(match self {
            Self::Global | Self::Beam | Self::Diffuse => number.max(0.0),
            Self::Humidity => number.min(100.0),
            Self::DryBulb | Self::DewPoint | Self::Wind => number,
        }))
    }

    /// What would be right.
    pub(super) fn remedy(self) -> String {
        let (low, high, unit) = self.accepted();
        format!("write a number from {low} to {high} {unit}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_values_are_told_from_impossible_ones() {
        for missing in ["", "-9900", "9900", "-9900.0", "9999", "-999", "?"] {
            assert_eq!(Quantity::DryBulb.read(missing), Ok(None), "{missing}");
        }
        // 999 W/m2 is a bright hour, not a mark.
        assert_eq!(Quantity::Beam.read("999"), Ok(Some(999.0)));
        assert_eq!(Quantity::Beam.read("-9900"), Ok(None));
        assert_eq!(Quantity::Global.read("-2"), Ok(Some(0.0)));
        assert_eq!(Quantity::Humidity.read("101"), Ok(Some(100.0)));
        for (quantity, wrong) in [
            (Quantity::DryBulb, "61"),
            (Quantity::DryBulb, "cold"),
            (Quantity::Humidity, "111"),
            (Quantity::Global, "1801"),
        ] {
            assert!(quantity.read(wrong).is_err(), "{wrong}");
        }
    }
}
