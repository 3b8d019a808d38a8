//! Rule 18: how far past a setpoint calls start or end, for heating and for cooling.

use crate::direction::Direction;

/// A difference to a setpoint for each direction, in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Differential {
    /// For heating calls.
    pub heating: f64,
    /// For cooling calls.
    pub cooling: f64,
}

impl Differential {
    /// The same for both directions.
    pub const fn same(difference: f64) -> Self {
        Self { heating: difference, cooling: difference }
    }

    /// That of a direction.
    pub const fn of(self, direction: Direction) -> f64 {
        match direction {
            Direction::Heating => self.heating,
            Direction::Cooling => self.cooling,
        }
    }

    /// That of a direction, to be changed.
    pub const fn of_mut(&mut self, direction: Direction) -> &mut f64 {
        match direction {
            Direction::Heating => &mut self.heating,
            Direction::Cooling => &mut self.cooling,
        }
    }

    /// What holds for both directions, if they have the same.
    pub fn common(self) -> Option<f64> {
        (self.heating.total_cmp(&self.cooling).is_eq()).then_some(self.heating)
    }

    /// The larger of the two.
    pub const fn larger(self) -> f64 {
        self.heating.max(self.cooling)
    }
}
