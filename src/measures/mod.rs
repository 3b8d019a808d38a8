//! From a run to its figures: energy, comfort, changeovers, starvation.

mod bill;
mod comfort;
mod figures;
mod meter;
mod missed;
mod opposed;
mod summary;
mod zone_tally;

pub use bill::{Bill, DEMAND_OVER, DemandPeak};
pub use comfort::{Surroundings, predicted_mean_vote, predicted_percentage_dissatisfied};
pub use figures::{FIGURES, Figure, FigureUnit};
pub use meter::Meter;
pub use missed::{Cause, MissedHours};
pub use opposed::{OPPOSED_WITHIN, Opposed};
pub use summary::{
    ComfortFigures, EnergyUse, GroupFigures, OutdoorFigures, PeriodFigures, RequestCounts, Summary,
    TemperatureFigures, ZoneFigures,
};
