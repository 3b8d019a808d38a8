//! Observers that add a run up: energy and its bill, comfort and unmet hours, changeovers,
//! starvation.

mod adaptive;
mod bill;
mod comfort;
mod damp_tally;
mod demand;
mod effective;
mod energy_tally;
mod energy_use;
mod figures;
mod intervals;
mod lawful;
mod maps;
mod meter;
mod month_figures;
mod months;
mod opposed;
mod people_tally;
mod pmv_tally;
mod seasonal;
mod summary;
mod sums;
mod unmet;
mod zone_figures;
mod zone_tally;

pub use crate::people::predicted_percentage_dissatisfied;
pub use adaptive::{AdaptiveCategory, AdaptiveFigures};
pub use bill::{Bill, DEMAND_OVER, DemandPeak, shared_demand};
pub use comfort::{Surroundings, predicted_mean_vote};
pub use effective::standard_effective_temperature;
pub use energy_use::EnergyUse;
pub use figures::{FIGURES, Figure, FigureUnit};
pub use lawful::LawfulMeter;
pub use meter::Meter;
pub use month_figures::{MonthFigures, MonthZoneFigures, Months};
pub use months::{MONTHS_FROM_DAYS, MonthMeter};
pub use opposed::{OPPOSED_WITHIN, Opposed};
pub use people_tally::PersonFigures;
pub use seasonal::{LockCost, LockMonth, MorningFigures, Seasonal, Unlawful};
pub use summary::{GroupFigures, OutdoorFigures, PeriodFigures, Summary};
pub use unmet::UnmetHours;
pub use zone_figures::{
    ComfortFigures, DAMP, HumidityFigures, RequestCounts, TemperatureFigures, ZoneFigures,
};
