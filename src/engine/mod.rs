//! The simulation: the only place where control, building and plant meet.
mod model;
mod trace;

pub use model::{
    Action, Change, Comfort, Doing, Model, OutdoorGroup, Price, Tariff, Zone, ZoneIndex,
};
pub use trace::{Asker, Entry, EventKind, LedgerRow, StepRow};
