//! Temperature units, and physical sizes written as text with their unit.
//!
//! A scenario file has one temperature unit for every bare temperature; inside, building, plant
//! and weather are SI (degrees C, W, J, s, m2). Points and differences convert differently, so
//! they are different functions here.
//!
//! ```
//! use setband::units::{Dimension, TemperatureUnit, parse_quantity};
//!
//! assert_eq!(parse_quantity("1.5 kW", Dimension::Power), Ok(1500.0));
//! assert_eq!(TemperatureUnit::Fahrenheit.to_celsius(68.0), 20.0);
//! assert_eq!(TemperatureUnit::Fahrenheit.difference_to_kelvin(9.0), 5.0);
//! ```

mod quantity;

pub use quantity::{Dimension, QuantityFault, parse_number, parse_quantity};

/// The unit of every bare temperature of a scenario file and of all its output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TemperatureUnit {
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

impl TemperatureUnit {
    /// Turns a point on this unit's scale into degrees Celsius.
    pub fn to_celsius(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value,
            Self::Fahrenheit => (value - 32.0) / 1.8,
        }
    }

    /// Turns degrees Celsius into a point on this unit's scale.
    pub fn from_celsius(self, celsius: f64) -> f64 {
        match self {
            Self::Celsius => celsius,
            Self::Fahrenheit => celsius * 1.8 + 32.0,
        }
    }

    /// Turns a difference in this unit into kelvin.
    pub fn difference_to_kelvin(self, difference: f64) -> f64 {
        match self {
            Self::Celsius => difference,
            Self::Fahrenheit => difference / 1.8,
        }
    }

    /// Turns a difference in kelvin into this unit.
    pub fn difference_from_kelvin(self, kelvin: f64) -> f64 {
        match self {
            Self::Celsius => kelvin,
            Self::Fahrenheit => kelvin * 1.8,
        }
    }

    /// The letter that stands in files and outputs, `C` or `F`.
    pub fn letter(self) -> &'static str {
        match self {
            Self::Celsius => "C",
            Self::Fahrenheit => "F",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::TemperatureUnit::{Celsius, Fahrenheit};
    use approx::assert_relative_eq;

    #[test]
    fn points_and_differences_convert_differently() {
        assert_relative_eq!(Fahrenheit.to_celsius(50.0), 10.0);
        assert_relative_eq!(Fahrenheit.from_celsius(35.0), 95.0);
        assert_relative_eq!(Fahrenheit.difference_to_kelvin(5.0), 25.0 / 9.0);
        assert_relative_eq!(Fahrenheit.difference_from_kelvin(2.0), 3.6);
        assert_relative_eq!(Celsius.from_celsius(21.5), 21.5);
        assert_relative_eq!(Celsius.difference_from_kelvin(2.0), 2.0);
    }
}
