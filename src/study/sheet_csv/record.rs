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

/// Whether both are known, and not the same.
fn differ<T: PartialEq>(one: Option<T>, other: Option<T>) -> bool {
    matches!((one, other), (Some(one), Some(other)) if one != other)
}

impl Seen {
    /// Whether nothing was read.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Whether everything was read of which something is expected.
    pub(in crate::study) const fn covers(&self, expected: &Self) -> bool {
        (self.heat.is_some() || expected.heat.is_none())
            && (self.cool.is_some() || expected.cool.is_none())
            && (self.mode.is_some() || expected.mode.is_none())
            && (self.power.is_some() || expected.power.is_none())
            && (self.running.is_some() || expected.running.is_none())
            && (self.refused.is_some() || expected.refused.is_none())
    }

    /// Whether another reading of what a display shows for good cannot stand beside this one.
    pub(in crate::study) fn contradicts(&self, other: &Self) -> bool {
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
    /// The settings and requirements that it shows.
    pub claims: Vec<Claim>,
    /// What part of the test it belongs to, in the words of the sheet.
    pub part: String,
    /// Who did it, when, and what else they wrote, each empty where they wrote nothing.
    pub by: By,
}

/// Who did a line, and when, as written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct By {
    /// Line of the file, from 1.
    pub line: u64,
    /// Who.
    pub tester: String,
    /// When.
    pub date: String,
    /// What else.
    pub remarks: String,
}

/// A setting or requirement with what it is to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Where a setting stands in the file, or `require.` and the id of a requirement.
    pub subject: String,
    /// What it is to be.
    pub value: String,
}

/// A setting or requirement that no line of a sheet shows, or not whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotShown {
    /// Which, and what it is to be.
    pub claim: Claim,
    /// Why.
    pub why: String,
    /// Whether no visit shows it, whatever the sheet.
    pub never: bool,
}

/// What a part of a test waits for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// Outdoor air within these, in the unit of the settings.
    Outdoor {
        /// Not below this.
        from: Option<f64>,
        /// Not above this.
        to: Option<f64>,
    },
    /// Hours in which people come and go, or somebody stays on.
    Occupancy,
    /// Nothing of these.
    Other,
}

/// A part of a zone's test that has to wait.
#[derive(Clone, Debug, PartialEq)]
pub struct PutOff {
    /// The zone's id.
    pub zone: String,
    /// Which part, in the words of the sheet.
    pub part: String,
    /// What it waits for.
    pub need: Need,
    /// Why, in words.
    pub why: String,
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
    /// What the sheet is of; often empty.
    pub title: String,
    /// The zones, as they are met.
    pub zones: Vec<ZoneRecord>,
    /// Settings and requirements that no line shows, or not whole, and why.
    pub not_shown: Vec<NotShown>,
    /// Parts that have to wait.
    pub put_off: Vec<PutOff>,
}

impl Record {
    /// A record of nothing.
    pub(super) const fn empty(unit: TemperatureUnit) -> Self {
        Self {
            unit,
            title: String::new(),
            zones: Vec::new(),
            not_shown: Vec::new(),
            put_off: Vec::new(),
        }
    }
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
