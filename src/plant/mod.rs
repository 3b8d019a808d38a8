//! The plant: indoor units, outdoor units, and what they make of the zones' calls.
//!
//! Everything SI. The plant knows nothing of setpoints: a zone *asks* for a part of its rated
//! capacity, and is *given* heat for electricity.

mod defrost;
mod outdoor;
mod share;
mod tables;
mod unit;

pub use defrost::{Defrost, DefrostCycle};
pub use outdoor::{Backup, OutdoorMemory, OutdoorUnit, POWER_WHILE_REVERSING, Totals};
pub use share::{Ask, Given, power_per_heat};
pub use tables::{CapacityPoint, CapacityTable, PartLoadTable};
pub use unit::{
    Capacity, Coil, FanRun, IndoorUnit, UnitControl, proportional_output, rise_over_step,
};
