//! A weather file of any kind, known by its content.

use jiff::civil::Date;

use super::fault::{FileFault, FileFaults};
use super::fields::{Row, lines, shown};
use super::gaps::Gap;
use super::logged::{Logged, Stamp};
use super::quantity::Quantity;
use super::site::Site;
use super::spell::Spell;
use super::typical::{TypicalYear, YearLayout};
use crate::units::TemperatureUnit;

/// How many lines of an unknown file a message repeats.
const LINES_SHOWN: usize = 3;
/// The layouts that are read, and by what each is known.
const LAYOUTS: &str = "read are: TMY3, whose line 2 begins `Date (MM/DD/YYYY),Time (HH:MM)` and has \
                       `Dry-bulb (C)`; EPW, whose line 1 begins `LOCATION,`; NSRDB CSV, whose line \
                       3 has Year, Month, Day, Hour, Minute and Temperature; and a CSV of your own, \
                       whose line 1 is `time,temperature`, optionally with humidity or dew_point, \
                       radiation, beam, diffuse and wind";

/// A weather file, read.
#[derive(Clone, Debug, PartialEq)]
pub enum WeatherFile {
    /// A year by the hour in one of the open layouts.
    Typical(TypicalYear),
    /// Readings in the order of time.
    Logged(Logged),
}

impl WeatherFile {
    /// Reads a file's text, whatever its layout. `unit` is that of the temperatures of readings;
    /// the other layouts are in C.
    ///
    /// # Errors
    /// Everything wrong with it; of a file in none of the layouts that, with its first lines.
    pub fn read(text: &str, unit: TemperatureUnit) -> Result<Self, FileFaults> {
        if YearLayout::of(text).is_some() {
            return TypicalYear::read(text).map(Self::Typical);
        }
        let header = lines(text).next().map(|(line, text)| Row::new(line, text));
        let names =
            |name: &str| header.as_ref().is_some_and(|row| row.fields().any(|it| it == name));
        if names("time") || names("temperature") {
            return Logged::read(text, unit).map(Self::Logged);
        }
        let mut faults = FileFaults::default();
        faults.add(|| in_no_layout(text));
        faults.unless_any(None)
    }

    /// Times without rows in a file of readings.
    pub fn gaps(&self) -> Vec<Gap> {
        match self {
            Self::Typical(_) => Vec::new(),
            Self::Logged(logged) => logged.gaps(),
        }
    }

    /// What its layout is called.
    pub const fn layout(&self) -> &'static str {
        match self {
            Self::Typical(year) => year.layout().name(),
            Self::Logged(_) => "own CSV",
        }
    }

    /// Its days with the 24 temperatures of their rows, or of readings at 01:00 to 24:00, degrees C.
    pub fn days(&self) -> Vec<(Date, [f64; 24])> {
        match self {
            Self::Typical(year) => year.days().collect(),
            Self::Logged(logged) => logged.days(),
        }
    }

    /// The mean of what it gives of a quantity, in the quantity's unit.
    pub fn mean(&self, quantity: Quantity) -> Option<f64> {
        match self {
            Self::Typical(year) => year.mean(quantity),
            Self::Logged(logged) => logged.mean(quantity),
        }
    }

    /// Its radiation, and the day from whose midnight the times count.
    pub fn light(&self, stamp: Stamp) -> Option<(Date, Vec<Spell>)> {
        match self {
            Self::Typical(year) => year.light(),
            Self::Logged(logged) => logged.light(stamp),
        }
    }

    /// Where it was measured, on the clock of its stamps, if it says so.
    pub fn site(&self) -> Option<Site> {
        match self {
            Self::Typical(year) => {
                let station = year.station();
                Some(Site { utc_offset: station.stamps_offset, ..station.site })
            }
            Self::Logged(_) => None,
        }
    }
}

/// What is wrong with a file that nobody can read.
fn in_no_layout(text: &str) -> FileFault {
    let first: Vec<String> =
        lines(text).take(LINES_SHOWN).map(|(_, line)| format!("`{}`", shown(line))).collect();
    let begins = match &first[..] {
        [] => "it is empty".to_owned(),
        seen => format!("it begins {}", seen.join(", ")),
    };
    FileFault {
        line: 1,
        column: 1,
        width: 1,
        what: format!("this is no weather file in a layout that is read: {begins}"),
        remedy: LAYOUTS.into(),
    }
}
