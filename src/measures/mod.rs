//! From a run to its figures: energy, comfort, changeovers, starvation.
mod summary;

pub use summary::{
    EnergyUse, GroupFigures, PeriodFigures, RequestCounts, Summary, TemperatureFigures, ZoneFigures,
};
