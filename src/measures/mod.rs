//! From a run to its figures: energy, comfort, changeovers, starvation.
mod comfort;

pub use comfort::{Surroundings, predicted_mean_vote, predicted_percentage_dissatisfied};
mod meter;
mod summary;

pub use meter::Meter;
pub use summary::{
    EnergyUse, GroupFigures, PeriodFigures, RequestCounts, Summary, TemperatureFigures, ZoneFigures,
};
