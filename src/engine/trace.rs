//! What a run leaves behind: rows of steps and the ledger.

use std::sync::Arc;

use super::model::ZoneIndex;
use crate::control::{ControllerIndex, Direction, Mode, Outcome, Power, Role, Stored};
use crate::people::PersonIndex;
use crate::time::Instant;

/// One zone at one step. Temperatures are in the file's unit, at the start of the step; heat and
/// power are means over it, W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepRow {
    /// Start of the step.
    pub at: Instant,
    /// Which zone.
    pub zone: ZoneIndex,
    /// Outdoor air.
    pub outdoor: f64,
    /// Zone air.
    pub temperature: f64,
    /// The building's mass.
    pub mass_temperature: f64,
    /// Operative temperature.
    pub operative: f64,
    /// What the governing sensor reports.
    pub sensed: f64,
    /// Working heat setpoint.
    pub heat: f64,
    /// Working cool setpoint.
    pub cool: f64,
    /// Selected mode.
    pub mode: Mode,
    /// Whether it is switched on.
    pub power: Power,
    /// Whether somebody is there.
    pub occupied: bool,
    /// The direction the zone has.
    pub direction: Direction,
    /// The thermostat's demand.
    pub call: Option<Direction>,
    /// What the plant gives.
    pub served: Option<Direction>,
    /// Whether the zone needs the opposite of what its group does.
    pub starved: bool,
    /// Heat from the plant into the zone, negative out of it, W.
    pub heat_w: f64,
    /// Electric power of the zone's share, W.
    pub electric_w: f64,
    /// Relative humidity of zone air, percent, where its water is followed.
    pub humidity: Option<f64>,
}

/// Something that is not a request and yet belongs in the ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventKind {
    /// A step is served in the direction opposite to the last served one.
    Changeover,
    /// The zone has been starved for a quarter of an hour.
    StarvedFrom,
    /// It no longer is.
    StarvedUntil,
    /// Nobody is there any more.
    UnoccupiedFrom,
    /// Somebody is there again.
    UnoccupiedUntil,
    /// The stored setpoints begin to work before somebody comes.
    EarlyStart,
    /// The low limit heats.
    LowLimitFrom,
    /// The low limit has done its work.
    LowLimitUntil,
    /// The power went off by itself.
    AutoOff,
    /// The power is back after a failure.
    PowerBack,
    /// Somebody who was left uncomfortable complains.
    Complaint(PersonIndex),
    /// Somebody presses no more: it had no effect.
    GivesUp(PersonIndex),
}

impl EventKind {
    /// The words in the ledger's `request` column.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Changeover => "changeover",
            Self::StarvedFrom => "starved from",
            Self::StarvedUntil => "starved until",
            Self::UnoccupiedFrom => "unoccupied from",
            Self::UnoccupiedUntil => "unoccupied until",
            Self::EarlyStart => "early start",
            Self::LowLimitFrom => "low limit from",
            Self::LowLimitUntil => "low limit until",
            Self::AutoOff => "auto off",
            Self::PowerBack => "power back",
            Self::Complaint(_) => "complaint",
            Self::GivesUp(_) => "gives up",
        }
    }

    /// Whose event it is, where it is somebody's.
    pub const fn person(self) -> Option<PersonIndex> {
        match self {
            Self::Complaint(person) | Self::GivesUp(person) => Some(person),
            _ => None,
        }
    }
}

/// Who made a request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asker {
    /// At which controller.
    pub controller: ControllerIndex,
    /// By whom.
    pub by: Arc<str>,
    /// In which role.
    pub role: Role,
}

/// What a ledger row is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// A request, in the words of a scenario file, and how it ended.
    Request {
        /// Who asked.
        asker: Asker,
        /// What was asked: `heat 21.5`, `press cooler`, `mode cool`, `set min_deadband 3`.
        request: String,
        /// How it ended.
        outcome: Outcome,
        /// The side that was asked for or pressed, if a setpoint was.
        side: Option<crate::control::Side>,
    },
    /// An event.
    Event(EventKind),
}

/// One row of the ledger (rule 13).
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerRow {
    /// The request's own time, or when the event happened.
    pub at: Instant,
    /// Which zone.
    pub zone: ZoneIndex,
    /// What it is about.
    pub entry: Entry,
    /// What was stored before.
    pub before: Stored,
    /// What is stored after.
    pub after: Stored,
    /// Why, in words.
    pub reason: String,
}
