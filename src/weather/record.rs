//! What a weather file says about a period.

use jiff::civil::Date;

use super::gaps::Gap;
use super::quantity::Quantity;
use super::reading::Reading;
use super::site::Site;
use super::spell::Spell;

/// What a weather file says about a period: outdoor air, and where it has them, humidity and
/// radiation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// Temperatures in the order of time.
    pub temperatures: Vec<Reading>,
    /// Pressure of water vapour, Pa, at the same times.
    pub vapour: Option<Vec<f64>>,
    /// Radiation, spell after spell.
    pub light: Option<Vec<Spell>>,
    /// Where it was measured, or where the scenario says the building stands.
    pub site: Option<Site>,
    /// The date whose sun shines every day, where one day of the file is repeated.
    pub sun_of: Option<Date>,
    /// What was missing in the file and has been filled.
    pub filled: Vec<Filled>,
    /// Times without rows that the period touches, and what was put there.
    pub gaps: Vec<Gap>,
}

/// Missing values of one quantity, which were filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Filled {
    /// Of what.
    pub quantity: Quantity,
    /// How many hours.
    pub hours: usize,
    /// The longest gap, hours.
    pub longest: usize,
    /// The first line with a missing value.
    pub first_line: usize,
}
