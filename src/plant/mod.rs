//! The plant: indoor units, outdoor units, and what they make of the zones' calls.
//!
//! Everything SI. The plant knows nothing of setpoints: a zone *asks* for a part of its rated
//! capacity, and is *given* heat for electricity.
//!
//! ```
//! use setband::plant::{CapacityPoint, CapacityTable};
//!
//! let table = CapacityTable::new(vec![
//!     CapacityPoint { outdoor: -8.0, capacity: 6000.0, cop: 2.4 },
//!     CapacityPoint { outdoor: 8.0, capacity: 8000.0, cop: 3.6 },
//! ])
//! .expect("points in rising order");
//! assert_eq!(table.at(0.0), (7000.0, 3.0));
//! assert_eq!(table.at(20.0), (8000.0, 3.6));
//! ```

mod cop;
mod defrost;
mod outdoor;
mod share;
mod stages;
mod start_up;
mod supply;
mod tables;
mod unit;

pub use cop::{
    ABOVE_OUTDOOR, Cop, EVAPORATING, MILDEST, RATED_OUTDOOR, USUAL_COOLING, USUAL_HEATING,
};
pub use defrost::{Defrost, DefrostCycle};
pub use outdoor::{Backup, OutdoorMemory, OutdoorUnit};
pub use share::{Ask, Given, POWER_WHILE_REVERSING, power_per_heat};
pub use stages::{MOST_STAGES, Stages};
pub use start_up::{Rise, StartUp, UnitMemory};
pub use supply::{ALL, Part, Supply, Totals, Wanted};
pub use tables::{CapacityPoint, CapacityTable, Curve, PartLoadTable};
pub use unit::{Capacity, Coil, Drive, FanRun, IndoorUnit, UnitControl, proportional_output};
