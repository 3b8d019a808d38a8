//! Rule 1: setpoints are whole ticks of the controller's step.

use std::fmt;
use std::ops::{Add, Neg, Sub};

use crate::numbers::Number;
use crate::units::TemperatureUnit;

/// A setpoint, a limit or a difference of setpoints, counted in steps of a [`Grid`].
/// Sums stop at the ends of an `i32`, far beyond any temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Ticks(i32);

impl Ticks {
    /// No difference.
    pub const ZERO: Self = Self(0);
    /// One step.
    pub const ONE: Self = Self(1);

    /// So many steps.
    pub const fn new(count: i32) -> Self {
        Self(count)
    }

    /// The count of steps.
    pub const fn count(self) -> i32 {
        self.0
    }
}

/// Heat and cool `width` apart about the midpoint of two others: half of it below and above. Where
/// that needs half a tick, both go up by it, so that an odd tick goes to cool.
pub fn about_midpoint(heat: Ticks, cool: Ticks, width: Ticks) -> (Ticks, Ticks) {
    let twice = heat.count() + cool.count() - width.count();
    let heat = Ticks::new((twice + 1).div_euclid(2));
    (heat, heat + width)
}

impl Add for Ticks {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Ticks {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Ticks {
    type Output = Self;

    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

/// The values that a controller can store: a temperature unit and how many steps a degree has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Grid {
    unit: TemperatureUnit,
    steps_per_degree: i32,
}

/// A value that is not a whole number of steps, with its nearest neighbours on the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffGrid {
    /// The nearest storable value below.
    pub below: f64,
    /// The nearest storable value above.
    pub above: f64,
}

impl Grid {
    /// Values beyond this are no temperatures; it keeps every count far inside an `i32`.
    const LARGEST: f64 = 100_000.0;
    /// How far from a whole step a written value may lie and still be that step.
    const ROUNDING: f64 = 1e-9;

    /// The grid of a controller that stores `unit` in steps of `step` degrees: 0.1, 0.5 or 1 in
    /// Celsius, 0.5 or 1 in Fahrenheit. `None` for any other step.
    pub fn new(unit: TemperatureUnit, step: f64) -> Option<Self> {
        let allowed =
            Self::steps(unit).iter().find(|(size, _)| (size - step).abs() < Self::ROUNDING);
        allowed.map(|&(_, steps_per_degree)| Self { unit, steps_per_degree })
    }

    /// The step sizes that controllers of this unit know, with their count per degree.
    pub const fn steps(unit: TemperatureUnit) -> &'static [(f64, i32)] {
        match unit {
            TemperatureUnit::Celsius => &[(0.1, 10), (0.5, 2), (1.0, 1)],
            TemperatureUnit::Fahrenheit => &[(0.5, 2), (1.0, 1)],
        }
    }

    /// The unit that the controller stores.
    pub const fn unit(self) -> TemperatureUnit {
        self.unit
    }

    /// The size of one step, in degrees.
    pub fn step(self) -> f64 {
        1.0 / f64::from(self.steps_per_degree)
    }

    /// The temperature, or difference, of a count of ticks.
    pub fn value(self, ticks: Ticks) -> f64 {
        f64::from(ticks.0) / f64::from(self.steps_per_degree)
    }

    /// The tick nearest to a temperature, halves upward.
    pub fn nearest(self, value: f64) -> Ticks {
        let held = value.clamp(-Self::LARGEST, Self::LARGEST);
        Ticks(whole(round_half_up(held * f64::from(self.steps_per_degree))))
    }

    /// The tick that a written value is.
    ///
    /// # Errors
    /// A value between two ticks gives both neighbours.
    pub fn exact(self, value: f64) -> Result<Ticks, OffGrid> {
        let nearest = self.nearest(value);
        let steps = value * f64::from(self.steps_per_degree);
        if (steps - f64::from(nearest.0)).abs() < Self::ROUNDING {
            return Ok(nearest);
        }
        let below = Ticks(whole(steps.clamp(-1e6, 1e6).floor()));
        Err(OffGrid { below: self.value(below), above: self.value(below + Ticks::ONE) })
    }

    /// A tick as people read it, with the digits that the step needs: `21.5`, `72`.
    pub fn show(self, ticks: Ticks) -> Shown {
        Shown { value: self.value(ticks), digits: usize::from(self.steps_per_degree > 1) }
    }
}

/// A value printed with the digits that its step needs, without a trailing `.0`.
#[derive(Clone, Copy, Debug)]
pub struct Shown {
    value: f64,
    digits: usize,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = if self.value.fract() == 0.0 { 0 } else { self.digits };
        write!(f, "{:.*}", digits, self.value)
    }
}

/// Rounds to the nearest whole number, halves upward, forgiving the last bits of a product.
#[inline(always)]
pub fn round_half_up<V: Number>(value: V) -> V {
    (value + value.splat(0.5) + value.splat(1e-9)).floor()
}

// The callers hold their values within a million.
#[expect(clippy::cast_possible_truncation, reason = "held within a million by every caller")]
fn whole(value: f64) -> i32 {
    value as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use TemperatureUnit::{Celsius, Fahrenheit};

    #[test]
    fn only_the_known_steps_make_a_grid() {
        for step in [0.1, 0.5, 1.0] {
            assert!(Grid::new(Celsius, step).is_some(), "{step} C");
        }
        assert!(Grid::new(Fahrenheit, 0.1).is_none());
        assert!(Grid::new(Celsius, 0.25).is_none());
        assert!(Grid::new(Celsius, f64::NAN).is_none());
    }

    fn rounded(unit: TemperatureUnit, step: f64, asked: f64) -> String {
        let grid = Grid::new(unit, step).expect("known step");
        grid.show(grid.nearest(asked)).to_string()
    }

    #[test]
    fn rule_1_halves_go_upward() {
        for (asked, stored) in [(21.3, "21.5"), (21.25, "21.5"), (21.2, "21"), (-0.25, "0")] {
            assert_eq!(rounded(Celsius, 0.5, asked), stored, "{asked}");
        }
        for (asked, stored) in [(21.35, "21.4"), (0.35, "0.4"), (21.34, "21.3"), (0.3, "0.3")] {
            assert_eq!(rounded(Celsius, 0.1, asked), stored, "{asked}");
        }
        assert_eq!(rounded(Celsius, 1.0, 20.5), "21");
        assert_eq!(rounded(Celsius, 1.0, -20.5), "-20");
        assert_eq!(rounded(Fahrenheit, 1.0, 71.5), "72");
        assert_eq!(rounded(Fahrenheit, 0.5, 71.24), "71");
    }

    #[test]
    fn rounding_forgives_the_last_bits_of_a_quotient() {
        // In binary 20.15 / 0.1 is a little less than 201.5.
        let quotient: f64 = 20.15 / 0.1;
        assert!(quotient < 201.5);
        approx::assert_relative_eq!(round_half_up(quotient), 202.0);
        approx::assert_relative_eq!(round_half_up(201.499_999), 201.0);
    }

    #[test]
    fn a_number_that_is_no_temperature_breaks_nothing() {
        let grid = Grid::new(Celsius, 0.1).expect("known step");
        for wild in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
            assert!(grid.exact(wild).is_err(), "{wild}");
            assert!(grid.nearest(wild).count().abs() <= 1_000_000, "{wild}");
        }
        assert_eq!(Ticks::new(i32::MAX) + Ticks::ONE, Ticks::new(i32::MAX));
        assert_eq!(-Ticks::new(i32::MIN), Ticks::new(i32::MAX));
    }

    #[test]
    fn rule_1_a_value_between_ticks_names_its_neighbours() {
        let grid = Grid::new(Celsius, 0.5).expect("known step");
        assert_eq!(grid.exact(21.5), Ok(Ticks::new(43)));
        assert_eq!(grid.exact(21.3), Err(OffGrid { below: 21.0, above: 21.5 }));
        assert_eq!(grid.exact(-0.2), Err(OffGrid { below: -0.5, above: 0.0 }));
        let fine = Grid::new(Celsius, 0.1).expect("known step");
        assert_eq!(fine.exact(20.3), Ok(Ticks::new(203)));
    }

    #[test]
    fn a_band_lies_about_its_midpoint_and_an_odd_tick_goes_to_cool() {
        let about = |heat, cool, width| {
            let ticks = Ticks::new;
            let (heat, cool) = about_midpoint(ticks(heat), ticks(cool), ticks(width));
            (heat.count(), cool.count())
        };
        // Midpoints 43 and 44 ticks: whole.
        let found = [0, 1, 2, 3, 4].map(|width| about(40, 46, width));
        assert_eq!(found, [(43, 43), (43, 44), (42, 44), (42, 45), (41, 45)]);
        let found = [0, 4, 5, 8].map(|width| about(40, 48, width));
        assert_eq!(found, [(44, 44), (42, 46), (42, 47), (40, 48)]);
        // Midpoint 43.5 ticks: the even widths go up by half a tick.
        let found = [0, 1, 2, 3, 4].map(|width| about(40, 47, width));
        assert_eq!(found, [(44, 44), (43, 44), (43, 45), (42, 45), (42, 46)]);
        // Below zero as above it: midpoint -3.5.
        assert_eq!([0, 2].map(|width| about(-5, -2, width)), [(-3, -3), (-4, -2)]);
    }

    #[test]
    fn ticks_are_shown_with_the_digits_they_need() {
        let grid = Grid::new(Celsius, 0.5).expect("known step");
        assert_eq!(grid.show(Ticks::new(43)).to_string(), "21.5");
        assert_eq!(grid.show(Ticks::new(44)).to_string(), "22");
    }
}
