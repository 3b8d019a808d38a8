//! What weeks and years tell besides the figures of a run: months, mornings, the lock calendar.
//! A run has only what was asked for.

use serde::Serialize;

use super::maps::as_map;
use super::month_figures::MonthFigures;
use crate::time::Month;

/// Months, mornings and the lock calendar, as far as a run has them.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Seasonal {
    /// Month by month, for runs of four weeks and more.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub months: Vec<MonthFigures>,
    /// Occupied mornings of the zones with a schedule and a setback, by id.
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "as_map")]
    pub mornings: Vec<(String, MorningFigures)>,
    /// What locking out a mode would cost, for zones whose lawful temperatures the file has.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lock_calendar: Vec<LockMonth>,
}

/// How often a zone was ready when somebody came.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MorningFigures {
    /// How often somebody came after nobody had been there.
    pub mornings: u64,
    /// How often the sensor read what is near enough to the setpoints.
    pub ready: u64,
    /// How often it did not.
    pub late: u64,
    /// How often the zone was switched off, or in `fan`, then.
    pub off: u64,
    /// The late mornings that no start within the search would have saved.
    pub late_whatever_the_start: u64,
    /// Degrees of the file's unit that were missing at worst.
    pub worst_missing: f64,
    /// The longest lead that a late morning would have needed, hours; `null` where none did.
    pub longest_lead_hours: Option<f64>,
}

/// One month of the lock calendar.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LockMonth {
    /// Which, `2025-04`.
    pub month: Month,
    /// The zones with lawful temperatures, by id.
    #[serde(serialize_with = "as_map")]
    pub zones: Vec<(String, LockCost)>,
}

/// Hours of one zone and month outside its lawful temperatures, with nothing locked out and with
/// the system locked out of heating or of cooling from the first of the month to its end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct LockCost {
    /// As the file has it.
    pub as_is: Unlawful,
    /// Without any heating.
    pub without_heating: Unlawful,
    /// Without any cooling.
    pub without_cooling: Unlawful,
}

/// Time outside lawful temperatures; day and night, whoever is there.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Unlawful {
    /// Hours with the air below the lawful minimum.
    pub hours_below: f64,
    /// Hours with the air above the lawful maximum.
    pub hours_above: f64,
    /// Degree-hours below, in the file's unit.
    pub degree_hours_below: f64,
    /// Degree-hours above, in the file's unit.
    pub degree_hours_above: f64,
}
