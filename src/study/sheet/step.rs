//! One line of a test sheet: where, what to do, what must then be read, and what that proves.

use super::outcome::Proven;
use crate::control::{ControllerIndex, Direction, Key, Mode, Opening, Power, Request};
use crate::engine::ZoneIndex;
use crate::time::{ClockTime, Seconds};

/// Where something is done or read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// In which zone.
    pub zone: ZoneIndex,
    /// At which of its controllers.
    pub controller: ControllerIndex,
}

/// What a tester does.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// Reads the display.
    Look,
    /// Waits until so long after the line before it of the same plant ([`super::since`]).
    Wait(Seconds),
    /// Presses a key, as any occupant may.
    Press {
        /// Which key.
        key: Key,
        /// How often.
        times: u32,
    },
    /// Sets values back as the technician, whom no lock refuses.
    Restore {
        /// What is asked for, in this order.
        requests: Vec<Request>,
    },
    /// Takes the supply away for so long and reads a few seconds after it is back.
    PowerFailure(Seconds),
    /// Makes the controls see nobody.
    Leave,
    /// Makes the controls see somebody again.
    Return,
    /// Opens or closes a window, or its contact.
    Window(Opening),
    /// Makes the outdoor sensor read so, in the file's unit; without a value lets it read as it is.
    Outdoors(Option<f64>),
    /// Sets the controller's clock to just before a time and waits until it has passed.
    Clock(ClockTime),
}

/// What a controller shows. Setpoints as displayed, in the display's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The heat setpoint.
    pub heat: f64,
    /// The cool setpoint.
    pub cool: f64,
    /// The mode.
    pub mode: Mode,
    /// On or off.
    pub power: Power,
    /// The direction in which the zone calls, if it does.
    pub running: Option<Direction>,
    /// Whether the last press was refused; `None` where nothing was pressed.
    pub refused: Option<bool>,
}

/// One line of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Where.
    pub place: Place,
    /// What to do.
    pub deed: Deed,
    /// What must be read then.
    pub expected: Reading,
    /// What it proves; empty where it only leads to the next line.
    pub proves: Vec<Proven>,
    /// Which part of the sheet it belongs to.
    pub part: Part,
}

impl Step {
    /// Whether a reading is as it must be.
    pub fn agrees(&self, read: &Reading) -> bool {
        let runs = if self.part.reads_running() { self.expected.running } else { read.running };
        *read == Reading { running: runs, ..self.expected }
    }
}

/// The parts of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// What the display shows before anything is pressed.
    AsFound,
    /// Keys, limits, deadband, modes, locks; for followers, in a direction of the group.
    Keys,
    /// Calls in a direction, and their timers.
    Calls(Direction),
    /// From one direction to the other in `auto`.
    Changeover,
    /// What works while nobody is there.
    Unoccupied,
    /// The zone switches itself off.
    AutomaticOff,
    /// The end of calls in a direction at an outdoor limit, and their return.
    OutdoorLimit(Direction),
    /// What an open window does.
    Window,
    /// Setpoints that go back by the clock.
    Returns,
    /// Supply away and back.
    PowerReturn,
    /// The owner turns or stops its group.
    Owner,
    /// Values set back.
    Restore,
}

impl Part {
    /// Whether it matters in this part whether the zone runs. Elsewhere that depends on how fast
    /// somebody presses.
    pub const fn reads_running(self) -> bool {
        !matches!(self, Self::AsFound | Self::Keys | Self::Returns | Self::Restore)
    }
}
