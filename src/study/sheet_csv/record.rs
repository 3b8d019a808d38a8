//! A filled table: what was done, what was read after it, and what had to be read.

use super::stated;
use crate::control::{Direction, Key as Pressed, Mode, Power};
use crate::settings::{Key, Value};
use crate::units::TemperatureUnit;

/// What was done in one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Done {
    /// A key was pressed so often.
    Pressed(Pressed, u32),
    /// Nothing: a look at the display.
    Looked,
    /// Nothing that a setting could answer: a wait, a power failure.
    Nothing,
    /// Values were set by a technician.
    Set,
}

/// What was read, or must be read. `None` where it is not known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Seen {
    /// The heat setpoint as displayed.
    pub heat: Option<f64>,
    /// The cool setpoint as displayed.
    pub cool: Option<f64>,
    /// The mode.
    pub mode: Option<Mode>,
    /// On or off.
    pub power: Option<Power>,
    /// Whether it runs, and in which direction.
    pub running: Option<Option<Direction>>,
    /// Whether the key was refused.
    pub refused: Option<bool>,
}

impl Seen {
    /// Whether nothing was read.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether another reading of what a display shows for good cannot stand beside this one.
    pub(in crate::study) fn contradicts(&self, other: &Self) -> bool {
        fn differ<T: PartialEq>(one: Option<T>, other: Option<T>) -> bool {
            matches!((one, other), (Some(one), Some(other)) if one != other)
        }
        differ(self.heat, other.heat)
            || differ(self.cool, other.cool)
            || differ(self.mode, other.mode)
            || differ(self.power, other.power)
    }
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its number, for messages.
    pub line: String,
    /// At which controller of the zone, by its place among those of the record.
    pub controller: usize,
    /// What was done.
    pub done: Done,
    /// What had to be read.
    pub expected: Seen,
    /// What was read.
    pub read: Seen,
    /// What the line is to show, in the words of the sheet; empty where it only leads on.
    pub shows: String,
}

/// The rows of one zone, in order, with what is known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneRecord {
    /// The zone's id.
    pub id: String,
    /// Its controllers, as they are met.
    pub controllers: Vec<String>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Settings as they are meant to be: key and value, as written.
    pub stated: Vec<(String, String)>,
}

impl ZoneRecord {
    /// A setting as it is meant to be.
    pub fn stated(&self, key: &str) -> Option<&str> {
        let found = self.stated.iter().find(|(known, _)| known == key);
        found.map(|(_, value)| value.as_str())
    }

    /// What is stated of a setting of the file; temperatures are in this unit.
    pub(in crate::study) fn value(&self, key: &Key, unit: TemperatureUnit) -> Option<Value> {
        stated::value(key.path, self.stated(key.path)?, unit)
    }
}

/// The whole table.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// The unit of the settings.
    pub unit: TemperatureUnit,
    /// The zones, as they are met.
    pub zones: Vec<ZoneRecord>,
}

/// Something wrong in the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableFault {
    /// Line of the file, from 1.
    pub line: u64,
    /// Place of the cell in its line, from 1; 0 for the line as a whole.
    pub column: usize,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub help: String,
}
