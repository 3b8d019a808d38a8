//! What a zone does at a step, as charts show it.

use plotters::style::RGBColor;

use super::palette::{COOLING, HEATING, INK, QUIET};
use crate::control::{Direction, Power};
use crate::engine::StepRow;

/// What a zone does at a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum State {
    /// It is heated or cooled.
    Served(Direction),
    /// It calls and is not served.
    Waiting,
    /// It needs the opposite of what its group does.
    Starved,
    /// It is on, nobody is there, and nothing is needed.
    Unoccupied,
    /// It is on and nothing is needed.
    Idle,
    /// It is switched off.
    Off,
}

impl State {
    /// All states, in the order in which their words get a place.
    pub(in crate::report) const ALL: [Self; 7] = [
        Self::Served(Direction::Heating),
        Self::Served(Direction::Cooling),
        Self::Starved,
        Self::Waiting,
        Self::Off,
        Self::Unoccupied,
        Self::Idle,
    ];

    /// What a row shows.
    pub(super) fn of(row: &StepRow) -> Self {
        match (row.served, row.call) {
            (Some(direction), _) => Self::Served(direction),
            (None, Some(_)) => Self::Waiting,
            (None, None) if row.starved => Self::Starved,
            (None, None) if row.power == Power::Off => Self::Off,
            (None, None) if !row.occupied => Self::Unoccupied,
            (None, None) => Self::Idle,
        }
    }

    /// The word beside its look.
    pub(in crate::report) const fn word(self) -> &'static str {
        match self {
            Self::Served(direction) => direction.name(),
            Self::Waiting => "waiting",
            Self::Starved => "starved",
            Self::Unoccupied => "nobody there",
            Self::Idle => "idle",
            Self::Off => "off",
        }
    }

    /// The colour of that word.
    pub(super) const fn color(self) -> RGBColor {
        match self {
            Self::Served(Direction::Heating) => HEATING,
            Self::Served(Direction::Cooling) => COOLING,
            Self::Starved | Self::Waiting => INK,
            Self::Unoccupied | Self::Idle | Self::Off => QUIET,
        }
    }

    /// Whether even a short stretch of it is worth a word.
    pub(super) const fn always_worded(self) -> bool {
        matches!(self, Self::Served(_) | Self::Starved | Self::Waiting)
    }
}
