//! What one zone did, as `summary.json` has it.

use serde::Serialize;

use super::adaptive::AdaptiveFigures;
use super::unmet::UnmetHours;

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
    /// The hours outside the comfort band while occupied, by cause.
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
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ComfortFigures {
    /// Mean of the predicted mean votes (PMV), -3 cold to +3 hot.
    pub mean_pmv: f64,
    /// Lowest PMV.
    pub lowest_pmv: f64,
    /// Highest PMV.
    pub highest_pmv: f64,
    /// Mean predicted percentage dissatisfied (PPD), percent.
    pub ppd_percent: f64,
    /// Standard effective temperature (ANSI/ASHRAE 55-2020, Normative Appendix D) at the lowest PMV,
    /// at the means of what was felt, and at the highest PMV.
    #[serde(rename = "standard_effective_temperature")]
    pub effective: TemperatureFigures,
    /// Occupied hours against the adaptive bands.
    pub adaptive: AdaptiveFigures,
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
