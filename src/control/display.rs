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
    use crate::control::modes::Mode;
    use crate::control::request::Key;
    use crate::control::rig::Given;
    use TemperatureUnit::{Celsius, Fahrenheit};

    /// What a controller stores after its own shown value is set again.
    fn set_as_shown(store: Grid, shown: TemperatureUnit, stored: Ticks) -> Ticks {
        let display = Display::new(store.unit(), shown).expect("units differ");
        display.set(display.reads(store.value(stored), store.unit()), store).stored
    }

    /// The values between two that do not come back from the display, as text.
    fn lost(store: Grid, shown: TemperatureUnit, low: f64, high: f64) -> Vec<String> {
        (store.nearest(low).count()..=store.nearest(high).count())
            .map(Ticks::new)
            .filter(|stored| set_as_shown(store, shown, *stored) != *stored)
            .map(|stored| store.show(stored).to_string())
            .collect()
    }

    fn grid(unit: TemperatureUnit, step: f64) -> Grid {
        Grid::new(unit, step).expect("known step")
    }

    /// Source: derived arithmetic, ties up: 0.5 C to F and back fails at 12.5, 17.5, 22.5, 27.5
    /// and 32.5 and nowhere else between 10 and 35.
    #[test]
    fn half_degrees_celsius_that_do_not_survive_a_display_in_fahrenheit() {
        let half = grid(Celsius, 0.5);
        assert_eq!(lost(half, Fahrenheit, 10.0, 35.0), ["12.5", "17.5", "22.5", "27.5", "32.5"]);
        assert_eq!(set_as_shown(half, Fahrenheit, Ticks::new(45)), Ticks::new(46));
    }

    /// Source: derived arithmetic: whole degrees Celsius through whole Fahrenheit lose nothing;
    /// whole Fahrenheit through halves of a degree Celsius lose nothing from 50 to 95 F.
    #[test]
    fn grids_that_survive_the_display() {
        assert_eq!(lost(grid(Celsius, 1.0), Fahrenheit, 5.0, 40.0), [""; 0]);
        assert_eq!(lost(grid(Fahrenheit, 1.0), Celsius, 50.0, 95.0), [""; 0]);
    }

    /// Source: derived arithmetic: the half degree Celsius on the display is coarser than the half
    /// degree Fahrenheit behind it. 71 F = 21.67 C shows as 21.5, which is 70.7 and stored as 70.5;
    /// 72 F = 22.22 C shows as 22, which is 71.6 and stored as 71.5.
    #[test]
    fn half_degrees_fahrenheit_do_not_all_survive_a_display_in_celsius() {
        let half = grid(Fahrenheit, 0.5);
        assert_eq!(lost(half, Celsius, 70.5, 72.0), ["71", "72"]);
    }

    #[test]
    fn creep_comes_from_setting_what_the_display_already_shows() {
        let shown_in_f = Given { shown: Fahrenheit, start: (20.0, 22.5), ..Given::default() };
        let mut rig = shown_in_f.rig();
        // Somebody sets the 73 F that stand on the display: 22.5 C becomes 23 C, and stays.
        assert_eq!(rig.cool(22.5), "accepted 20/23");
        assert_eq!(rig.cool(23.0), "accepted 20/23");
        let shown_in_c =
            Given { step: 0.5, start: (68.0, 72.0), shown: Celsius, ..Given::fahrenheit() };
        // 72 F shows as 22 C, which is 71.6 F.
        assert_eq!(shown_in_c.rig().cool(72.0), "accepted 68/71.5");
    }

    #[test]
    fn rule_4_a_press_moves_one_tick_whatever_the_display_makes_of_it() {
        // 73 F shows as 23.0 C; half a degree C less is 72.5 F, which would be 73 F again.
        let shown_in_c = Given { shown: Celsius, start: (68.0, 73.0), ..Given::fahrenheit() };
        let mut rig = Given { mode: Mode::Cool, ..shown_in_c }.rig();
        assert_eq!(rig.press(Key::Cooler), "accepted 68/72");
        let shown_in_f = Given { shown: Fahrenheit, ..Given::default() };
        let mut fine = Given { step: 0.1, mode: Mode::Heat, ..shown_in_f }.rig();
        assert_eq!(fine.press(Key::Warmer), "accepted 20.1/24");
        assert_eq!(fine.press(Key::Cooler), "accepted 20/24");
    }

    #[test]
    fn one_unit_needs_no_display() {
        assert!(Display::new(Celsius, Celsius).is_none());
    }
}
