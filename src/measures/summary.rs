//! The summary of a run: `summary.json`.

use serde::Serialize;

use super::bill::Bill;
use super::energy_use::EnergyUse;
use super::maps::as_map;
use super::people_tally::PersonFigures;
use super::seasonal::Seasonal;
use super::zone_figures::ZoneFigures;

/// The figures of one run. Temperatures and degree-hours are in the file's unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// What the study is called.
    pub title: String,
    /// Which variant; `null` for the file as written.
    pub variant: Option<String>,
    /// Seed of everything random.
    pub seed: u64,
    /// `C` or `F`.
    pub temperature_unit: String,
    /// Which hours were simulated.
    pub period: PeriodFigures,
    /// Energy, cost and carbon.
    pub energy: EnergyUse,
    /// What the cost is made of; `null` without a tariff.
    pub bill: Option<Bill>,
    /// What the group did.
    pub group: GroupFigures,
    /// What each zone did, by its id, in file order.
    #[serde(serialize_with = "as_map")]
    pub zones: Vec<(String, ZoneFigures)>,
    /// Months, mornings and the lock calendar, where a run was asked for them.
    #[serde(flatten)]
    pub seasonal: Seasonal,
    /// What the people of the file went through, in file order; left out where it has none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub people: Vec<PersonFigures>,
}

/// Which hours were simulated.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PeriodFigures {
    /// Local time of the first step.
    pub from: String,
    /// Hours simulated.
    pub hours: f64,
    /// Seconds in a step.
    pub step_s: i64,
    /// Days run before the first to find the periodic state.
    pub warmup_days: u32,
}

/// What the zones of a group did together.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct GroupFigures {
    /// Changes of the served direction.
    pub changeovers: u64,
    /// Hours in which one zone needed heating and another cooling.
    pub mixed_demand_hours: f64,
    /// Heat that was put into a zone and taken out again, or the reverse, within four hours.
    pub opposed_kwh: f64,
    /// Each outdoor unit, by its name in the file.
    #[serde(serialize_with = "as_map")]
    pub outdoor_units: Vec<(String, OutdoorFigures)>,
}

/// What one outdoor unit did.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OutdoorFigures {
    /// Changes of the served direction.
    pub changeovers: u64,
    /// Starts of the compressor.
    pub compressor_starts: u64,
    /// Starts of the compressor in an hour, on average.
    pub starts_per_hour: f64,
    /// Rated capacity of the zones' units over the largest of the outdoor unit: heating; `null`
    /// where it does not heat.
    pub connected_heating_ratio: Option<f64>,
    /// The same for cooling.
    pub connected_cooling_ratio: Option<f64>,
    /// Heat moved from cooled zones to heated ones.
    pub heat_recovered_kwh: f64,
}
