//! From a run to its figures: energy, comfort, changeovers, starvation.

mod bill;
mod comfort;
mod damp_tally;
mod energy_tally;
mod figures;
mod lawful;
mod meter;
mod months;
mod opposed;
mod people_tally;
mod seasonal;
mod side_by_side;
mod summary;
mod unmet;
mod zone_tally;

pub use crate::people::predicted_percentage_dissatisfied;
pub use bill::{Bill, DEMAND_OVER, DemandPeak, shared_demand};
pub use comfort::{Surroundings, predicted_mean_vote};
pub use figures::{FIGURES, Figure, FigureUnit};
pub use lawful::LawfulMeter;
pub use meter::Meter;
pub use months::{MONTHS_FROM_DAYS, MonthFigures, MonthMeter, MonthZoneFigures};
pub use opposed::{OPPOSED_WITHIN, Opposed};
pub use people_tally::PersonFigures;
pub use seasonal::{LockCost, LockMonth, MorningFigures, Seasonal, Unlawful};
pub use summary::{
    ComfortFigures, DAMP, EnergyUse, GroupFigures, HumidityFigures, OutdoorFigures, PeriodFigures,
    RequestCounts, Summary, TemperatureFigures, ZoneFigures,
};
pub use unmet::UnmetHours;
