//! A controller that stores one temperature unit and shows the other.
//!
//! It rounds when it shows and again when it is set, so a value can creep without anybody asking
//! for it: in 0.5 C steps, 22.5 and 23.0 both show as 73 F, and setting 73 F stores 23.0.
//! `warmer` and `cooler` step what is stored (rule 4) and do not pass through the display: a key
//! that stepped the shown value would be dead wherever the conversion rounds it back.
//! That shown values are whole degrees F or halves of a degree C is common practice, no source.

use super::ticks::{Grid, Ticks};
use crate::units::TemperatureUnit;

/// How a controller shows what it stores, where the two units differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Display {
    shown: Grid,
}

/// A value on its way through the display.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// What the display read when the value was set, on the shown grid.
    pub shown: Ticks,
    /// What the controller stored for it.
    pub stored: Ticks,
}

impl Display {
    /// The display of a controller that stores in `stored` and shows `shown`; `None` where the
    /// two are the same and nothing is converted.
    pub fn new(stored: TemperatureUnit, shown: TemperatureUnit) -> Option<Self> {
        let step = match shown {
            TemperatureUnit::Celsius => 0.5,
            TemperatureUnit::Fahrenheit => 1.0,
        };
        let grid = Grid::new(shown, step).filter(|_| stored != shown)?;
        Some(Self { shown: grid })
    }

    /// The grid of the shown values.
    pub const fn grid(self) -> Grid {
        self.shown
    }

    /// What the display reads for a stored value.
    pub fn reads(self, stored: f64, stored_in: TemperatureUnit) -> Ticks {
        self.shown.nearest(self.shown.unit().from_celsius(stored_in.to_celsius(stored)))
    }

    /// What is stored when the display is set to a shown value.
    pub fn set(self, shown: Ticks, store: Grid) -> Passage {
        let celsius = self.shown.unit().to_celsius(self.shown.value(shown));
        Passage { shown, stored: store.nearest(store.unit().from_celsius(celsius)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use TemperatureUnit::{Celsius, Fahrenheit};

    fn round_trip(store: Grid, shown: TemperatureUnit, value: f64) -> f64 {
        let display = Display::new(store.unit(), shown).expect("units differ");
        store.value(display.set(display.reads(value, store.unit()), store).stored)
    }

    /// Source: derived arithmetic, ties up: 0.5 C to F and back fails at 12.5, 17.5, 22.5, 27.5
    /// and 32.5 and nowhere else between 10 and 35.
    #[test]
    fn half_degrees_celsius_that_do_not_survive_a_display_in_fahrenheit() {
        let grid = Grid::new(Celsius, 0.5).expect("known step");
        let lost: Vec<f64> = (20..=70)
            .map(|half| f64::from(half) / 2.0)
            .filter(|value| round_trip(grid, Fahrenheit, *value) != *value)
            .collect();
        assert_eq!(lost, [12.5, 17.5, 22.5, 27.5, 32.5]);
        assert_eq!(round_trip(grid, Fahrenheit, 22.5), 23.0);
    }

    /// Source: derived arithmetic: whole degrees Celsius through whole Fahrenheit lose nothing;
    /// whole Fahrenheit through halves of a degree Celsius lose nothing from 50 to 95 F.
    #[test]
    fn grids_that_survive_the_display() {
        let whole = Grid::new(Celsius, 1.0).expect("known step");
        for value in 5..=40 {
            assert_eq!(round_trip(whole, Fahrenheit, f64::from(value)), f64::from(value));
        }
        let fahrenheit = Grid::new(Fahrenheit, 1.0).expect("known step");
        for value in 50..=95 {
            assert_eq!(round_trip(fahrenheit, Celsius, f64::from(value)), f64::from(value));
        }
    }

    #[test]
    fn one_unit_needs_no_display() {
        assert!(Display::new(Celsius, Celsius).is_none());
    }
}
