//! A weather file of either kind, known by its content.

use jiff::civil::Date;

use super::fault::FileFaults;
use super::gaps::Gap;
use super::logged::Logged;
use super::tmy3::{TypicalYear, is_tmy3};
use crate::units::TemperatureUnit;

/// A weather file, read.
#[derive(Clone, Debug, PartialEq)]
pub enum WeatherFile {
    /// A typical year in the TMY3 layout.
    Typical(TypicalYear),
    /// Readings in the order of time.
    Logged(Logged),
}

impl WeatherFile {
    /// Reads a file's text. What has neither the heading of readings nor the layout of a typical
    /// year is held to be meant as the latter. `unit` is that of readings; typical years are in C.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(text: &str, unit: TemperatureUnit) -> Result<Self, FileFaults> {
        let first = text.lines().next().unwrap_or_default();
        let heading = |name: &str| first.split(',').any(|field| field.trim() == name);
        let is_logged = heading("time") || heading("temperature") || heading("\u{feff}time");
        if !is_tmy3(text) && is_logged {
            return Logged::read(text, unit).map(Self::Logged);
        }
        TypicalYear::read(text).map(Self::Typical)
    }

    /// Times without rows in a file of readings.
    pub fn gaps(&self) -> Vec<Gap> {
        match self {
            Self::Typical(_) => Vec::new(),
            Self::Logged(logged) => logged.gaps(),
        }
    }

    /// Its whole days with their temperatures at 01:00 to 24:00, degrees C.
    pub fn days(&self) -> Vec<(Date, [f64; 24])> {
        match self {
            Self::Typical(year) => year.days().collect(),
            Self::Logged(logged) => logged.days(),
        }
    }
}
