//! The summary of a run: `summary.json`.

use serde::{Serialize, Serializer};

use super::bill::Bill;
use super::people_tally::PersonFigures;
use super::seasonal::Seasonal;
use super::unmet::UnmetHours;

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

pub(super) fn as_map<T: Serialize, S: Serializer>(
    all: &[(String, T)],
    to: S,
) -> Result<S::Ok, S::Error> {
    to.collect_map(all.iter().map(|(id, figures)| (id, figures)))
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

/// Electricity and heat, kWh.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct EnergyUse {
    /// Compressor electricity while heating.
    pub heating_kwh: f64,
    /// Compressor electricity while cooling.
    pub cooling_kwh: f64,
    /// Fans.
    pub fan_kwh: f64,
    /// Electric backup heat.
    pub backup_kwh: f64,
    /// Standby.
    pub standby_kwh: f64,
    /// All of these.
    pub total_kwh: f64,
    /// Heat from the plant into the zones.
    pub heat_delivered_kwh: f64,
    /// Heat that the plant took out of the zones, positive.
    pub heat_removed_kwh: f64,
    /// Heat that simultaneous units moved from cooled zones to heated ones.
    pub heat_recovered_kwh: f64,
    /// The highest mean power of a quarter of an hour, kW.
    pub peak_kw: f64,
    /// Cost in the tariff's currency; `null` without a tariff.
    pub cost: Option<f64>,
    /// Carbon dioxide; `null` where the tariff does not say.
    pub carbon_kg: Option<f64>,
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

/// What one zone did.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ZoneFigures {
    /// Steps served in the direction opposite to the last served one.
    pub changeovers: u64,
    /// Calls that began.
    pub unit_starts: u64,
    /// Hours served.
    pub served_hours: f64,
    /// The same by direction, heating first: for charts of long runs, whose rows are hours.
    #[serde(skip)]
    pub served_hours_by_direction: [f64; 2],
    /// Hours starved.
    pub starved_hours: f64,
    /// Degree-hours beyond the setpoint that the zone needed while starved.
    pub starved_degree_hours: f64,
    /// The longest spell of being starved, hours.
    pub longest_wait_hours: f64,
    /// Occupied hours with the operative temperature outside the comfort band.
    pub hours_outside_band: f64,
    /// Degree-hours outside the comfort band.
    pub degree_hours_outside_band: f64,
    /// Hours occupied.
    pub occupied_hours: f64,
    /// Operative temperature while occupied; `null` where never.
    pub operative: Option<TemperatureFigures>,
    /// Who is to blame for the hours outside the comfort band.
    pub unmet_hours: UnmetHours,
    /// PMV and PPD while occupied; `null` where never.
    pub comfort: Option<ComfortFigures>,
    /// Air temperature.
    pub temperature: TemperatureFigures,
    /// The water in its air; left out where it is not followed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humidity: Option<HumidityFigures>,
    /// Requests by outcome.
    pub requests: RequestCounts,
}

/// PMV and PPD (ISO 7730:2005) while occupied, sampled every quarter of an hour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct ComfortFigures {
    /// Mean of the predicted mean votes (PMV), -3 cold to +3 hot.
    pub mean_pmv: f64,
    /// Lowest PMV.
    pub lowest_pmv: f64,
    /// Highest PMV.
    pub highest_pmv: f64,
    /// Mean predicted percentage dissatisfied (PPD), percent.
    pub ppd_percent: f64,
}

/// The water in a zone's air.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct HumidityFigures {
    /// Lowest relative humidity, percent.
    pub min_percent: f64,
    /// Mean relative humidity, percent.
    pub mean_percent: f64,
    /// Highest relative humidity, percent.
    pub max_percent: f64,
    /// Hours above [`DAMP`].
    pub hours_above_60: f64,
    /// Water that cooling took out, kg.
    pub water_removed_kg: f64,
    /// Water that condensed on surfaces, kg.
    pub condensed_kg: f64,
}

/// Relative humidity above which air counts as damp, percent: common practice, no source.
pub const DAMP: f64 = 60.0;

/// Lowest, mean and highest temperature.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TemperatureFigures {
    /// Lowest.
    pub min: f64,
    /// Mean.
    pub mean: f64,
    /// Highest.
    pub max: f64,
}

/// Requests by outcome.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct RequestCounts {
    /// As asked.
    pub accepted: u64,
    /// As asked, and the other setpoint moved.
    pub pushed: u64,
    /// Held at a limit or at the deadband.
    pub limited: u64,
    /// A lock, a lockout or the owner stood against it.
    pub refused: u64,
    /// The key did nothing.
    pub no_effect: u64,
}
