//! A file to begin with.

use crate::units::TemperatureUnit;

/// A short scenario of an invented place, with comments, in one of the two units.
pub const fn starter(unit: TemperatureUnit) -> &'static str {
    match unit {
        TemperatureUnit::Celsius => include_str!("starter_celsius.yaml"),
        TemperatureUnit::Fahrenheit => include_str!("starter_fahrenheit.yaml"),
    }
}
