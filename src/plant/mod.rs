//! The plant: indoor units, outdoor units, and what they make of the zones' calls.
//!
//! Everything SI. The plant knows nothing of setpoints: a zone *asks* for a part of its rated
//! capacity, and is *given* heat for electricity.

mod outdoor;
mod share;
mod tables;
mod unit;

pub use outdoor::{Backup, Defrost, OutdoorMemory, OutdoorUnit, POWER_WHILE_REVERSING, Totals};
pub use share::{Ask, Given, power_per_heat};
pub use tables::{CapacityPoint, CapacityTable, PartLoadTable};
pub use unit::{
    Capacity, Coil, FanRun, IndoorUnit, UnitControl, proportional_output, rise_over_step,
};
