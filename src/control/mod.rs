//! The setpoint logic: what a zone's controller does with requests and readings.
//!
//! PLACEHOLDER RULES
mod changes;
mod display;
mod group;
mod judge;
mod locks;
mod modes;
mod occupancy;
mod ranges;
mod reason;
mod request;
#[cfg(test)]
mod rig;
mod setpoints;
mod thermostat;
mod ticks;
mod zone;

pub use crate::direction::Direction;
pub use changes::{ChangeOutcome, SettingsChange};
pub use display::{Display, Passage};
pub use group::{GroupChange, GroupSettings, GroupState, ModePolicy, OwnerOff, Sharing, ZoneLogic};
pub use judge::judge;
pub use locks::{
    Controller, ControllerIndex, Controllers, ControllersFault, KeyLocks, LockableKey,
};
pub use modes::{Mode, ModeSet, Power, UnitModes};
pub use occupancy::{Occupancy, Presence, Setback};
pub use ranges::{Infeasible, Limits, OnConflict, Range, SetpointRules, Side, StartFault};
pub use reason::{Words, mode_words, on_conflict_words};
pub use request::{Cause, Key, Outcome, Request, Role, Settings, Standing, Stored, Verdict};
pub use setpoints::{Bound, Moved, Setpoints};
pub use thermostat::{Call, ROUNDING, Selection, Thermostat, ThermostatState, WorkingSetpoints};
pub use ticks::{Grid, OffGrid, Shown, Ticks, round_half_up};
pub use zone::{LowLimit, Sensor, SensorPlace, ZoneControls};
