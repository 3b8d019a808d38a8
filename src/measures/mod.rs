//! Observers that add a run up: energy and its bill, comfort and unmet hours, changeovers,
//! starvation.
//!
//! ```
//! use setband::measures::{Surroundings, predicted_mean_vote};
//!
//! // ISO 7730:2005, Table D.1, first row: a vote of -0.75.
//! let around = Surroundings {
//!     air: 22.0,
//!     mean_radiant: 22.0,
//!     air_speed: 0.1,
//!     humidity: 60.0,
//!     met: 1.2,
//!     clo: 0.5,
//! };
//! assert!((predicted_mean_vote(&around) + 0.75).abs() < 0.05);
//! ```

mod adaptive;
mod bill;
mod comfort;
mod damp_tally;
mod demand;
mod effective;
mod energy_tally;
mod energy_use;
mod figures;
mod implausible;
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
pub use implausible::ImplausibleAir;
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
