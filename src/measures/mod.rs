//! From a run to its figures: energy, comfort, changeovers, starvation.
mod meter;
mod summary;

pub use meter::Meter;
pub use summary::{
    EnergyUse, GroupFigures, PeriodFigures, RequestCounts, Summary, TemperatureFigures, ZoneFigures,
};
