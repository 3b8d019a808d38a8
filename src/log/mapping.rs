//! Which column of a log is what: the `log` block, checked.

use super::clock::TimeReader;
use crate::control::{Mode, Power};
use crate::direction::Direction;
use crate::units::TemperatureUnit;

/// How the rows of a log are laid out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layout {
    /// A column for each point.
    #[default]
    Wide,
    /// Columns `time`, `point` and `value`: a row for each reading.
    Long,
}

/// Where and how the times stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TimeColumns {
    /// The columns, put together with a space.
    pub columns: Vec<String>,
    /// How to read them.
    pub reader: TimeReader,
}

/// Whether the unit runs, and in which direction where the log tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Running {
    /// It stands.
    Off,
    /// It runs; in which direction is not said.
    On,
    /// It heats or cools.
    In(Direction),
}

impl Running {
    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Off => "none",
            Self::On => "running",
            Self::In(direction) => direction.name(),
        }
    }

    /// All of them.
    pub const ALL: [Self; 4] =
        [Self::Off, Self::On, Self::In(Direction::Heating), Self::In(Direction::Cooling)];
}

/// A column of words or codes, and what each means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WordColumn<T> {
    /// Its heading, or its point in a long log.
    pub column: String,
    /// What each cell means.
    pub values: Vec<(String, T)>,
}

impl<T: Copy> WordColumn<T> {
    /// What a cell means: word for word, else as the same number.
    pub fn meaning(&self, cell: &str) -> Option<T> {
        let same = |word: &str| {
            word.eq_ignore_ascii_case(cell)
                || matches!((word.parse::<f64>(), cell.parse::<f64>()), (Ok(a), Ok(b)) if a == b)
        };
        self.values.iter().find(|(word, _)| same(word)).map(|(_, meaning)| *meaning)
    }
}

/// A column with the share of full output.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputColumn {
    /// Its heading, or its point in a long log.
    pub column: String,
    /// What stands there at full output.
    pub full: f64,
}

/// Electric power or energy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meter {
    /// Its heading, or its point in a long log.
    pub column: String,
    /// Whether it counts kWh; else it reads W.
    pub counts: bool,
}

/// The points of one zone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ZoneMapping {
    /// The zone's name in the scenario.
    pub zone: String,
    /// Its temperature.
    pub temperature: String,
    /// Further sensors by the names that the file gives them.
    pub others: Vec<(String, String)>,
    /// Heat setpoint.
    pub heat: Option<String>,
    /// Cool setpoint.
    pub cool: Option<String>,
    /// Mode.
    pub mode: Option<WordColumn<Mode>>,
    /// Power.
    pub power: Option<WordColumn<Power>>,
    /// Whether the unit runs.
    pub running: Option<WordColumn<Running>>,
    /// Share of full output.
    pub output: Option<OutputColumn>,
    /// Temperature of a pipe or of the supply air.
    pub coil: Option<String>,
    /// Words that are kept as they are.
    pub events: Option<String>,
    /// How many people are there.
    pub people: Option<String>,
    /// Whether anybody is.
    pub occupied: Option<WordColumn<bool>>,
}

/// A whole `log` block.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapping {
    /// How its rows are laid out.
    pub layout: Layout,
    /// Its times.
    pub time: TimeColumns,
    /// The unit of its temperatures.
    pub unit: TemperatureUnit,
    /// Longer than this without a reading is a gap, s; `None` for five usual intervals, at least
    /// 15 min.
    pub gap: Option<i64>,
    /// Outdoor air.
    pub outdoor: Option<String>,
    /// Radiation on the horizontal, W/m2.
    pub radiation: Option<String>,
    /// Electricity, added up.
    pub electricity: Vec<Meter>,
    /// The zones.
    pub zones: Vec<ZoneMapping>,
}
