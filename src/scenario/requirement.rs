//! What a specification asks of a scenario, checked: each requirement names one thing that can be
//! shown to hold or not.

use crate::control::Claim;
use crate::settings::{Entry, Value};
use crate::time::Seconds;

/// Of a figure: of each zone, or of all together.
pub(super) const OF: &[&str] = &["each", "all"];
/// What a log may be asked for.
pub(super) const LOG: &[&str] = &["contradictions"];
/// What the worst case may be asked for.
pub(super) const WORST: &[&str] = &["temperature"];

/// One requirement.
#[derive(Clone, Debug)]
pub struct Requirement {
    /// What it goes by.
    pub id: String,
    /// Where it comes from; often empty.
    pub why: String,
    /// The ids of the zones that it is about; empty for all.
    pub zones: Vec<String>,
    /// The variant that it is about; `None` for the file as written.
    pub variant: Option<String>,
    /// Where it stands in the file: `require[0]`.
    pub path: String,
    /// What is asked.
    pub asked: Asked,
}

/// What is asked.
#[derive(Clone, Debug)]
pub enum Asked {
    /// A setting is so.
    Setting {
        /// Which.
        entry: Entry,
        /// Of a setting with two ends, which.
        end: Option<usize>,
        /// How it must be.
        must: Must,
    },
    /// Nothing that occupants press breaks this.
    Claim(Claim),
    /// A figure of the run keeps bounds.
    Figure {
        /// Which.
        figure: RunFigure,
        /// Whether it is that of all zones together.
        of_all: bool,
        /// Its bounds.
        bounds: Bounds,
    },
    /// `check` does not find this.
    FindingAbsent(&'static str),
    /// The log contradicts the settings at most so often.
    Contradictions(u64),
    /// The air keeps bounds whatever people, weather and plant do.
    Worst {
        /// Its bounds, in the file's unit.
        bounds: Bounds,
        /// Outdoor air, lowest and highest, in the file's unit; the weather's own where left out.
        outdoors: [Option<f64>; 2],
        /// Within this time; within 72 h where left out.
        within: Option<Seconds>,
    },
}

/// How a setting must be.
#[derive(Clone, Debug, PartialEq)]
pub enum Must {
    /// Within bounds: temperatures and differences in the file's unit, times in seconds, sizes in
    /// their SI unit.
    Keep(Bounds),
    /// Just this.
    Be(Value),
}

/// A least and a most, at least one of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    least: Option<f64>,
    most: Option<f64>,
}

/// Comparisons forgive this part of a bound for rounding.
const ROUNDING: f64 = 1e-9;

impl Bounds {
    /// Bounds; `None` where there are none, or where nothing lies between them.
    pub fn new(least: Option<f64>, most: Option<f64>) -> Option<Self> {
        let some = least.is_some() || most.is_some();
        let apart = least.zip(most).is_none_or(|(least, most)| least <= most);
        (some && apart).then_some(Self { least, most })
    }

    /// The least.
    pub const fn least(&self) -> Option<f64> {
        self.least
    }

    /// The most.
    pub const fn most(&self) -> Option<f64> {
        self.most
    }

    /// How far a value lies within the nearest bound; negative where it lies outside.
    pub fn margin(&self, value: f64) -> f64 {
        let below = self.least.map_or(f64::INFINITY, |least| value - least);
        let above = self.most.map_or(f64::INFINITY, |most| most - value);
        below.min(above)
    }

    /// Whether a value keeps them.
    pub fn hold(&self, value: f64) -> bool {
        self.margin(value) >= -ROUNDING * value.abs().max(1.0)
    }
}

/// A figure of a run that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunFigure {
    /// Changes of the served direction.
    Changeovers,
    /// Calls that began.
    UnitStarts,
    /// Hours served.
    ServedHours,
    /// Hours starved.
    StarvedHours,
    /// The longest spell of being starved, hours.
    LongestWaitHours,
    /// Occupied hours outside the comfort band.
    HoursOutsideBand,
    /// Degree-hours outside the comfort band.
    DegreeHoursOutsideBand,
    /// Lowest air temperature.
    LowestTemperature,
    /// Highest air temperature.
    HighestTemperature,
    /// PPD while occupied, percent.
    PpdPercent,
    /// Requests that were refused.
    Refused,
    /// Requests that were held at a limit or at the deadband.
    Limited,
    /// Hours in which one zone wanted heating and another cooling.
    MixedDemandHours,
    /// Electricity, kWh.
    TotalKwh,
    /// The highest quarter of an hour, kW.
    PeakKw,
    /// What it costs.
    Cost,
    /// Carbon dioxide, kg.
    CarbonKg,
    /// Complaints of the people in the file.
    Complaints,
}

impl RunFigure {
    /// Every figure.
    pub const ALL: [Self; 18] = [
        Self::Changeovers,
        Self::UnitStarts,
        Self::ServedHours,
        Self::StarvedHours,
        Self::LongestWaitHours,
        Self::HoursOutsideBand,
        Self::DegreeHoursOutsideBand,
        Self::LowestTemperature,
        Self::HighestTemperature,
        Self::PpdPercent,
        Self::Refused,
        Self::Limited,
        Self::MixedDemandHours,
        Self::TotalKwh,
        Self::PeakKw,
        Self::Cost,
        Self::CarbonKg,
        Self::Complaints,
    ];

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Changeovers => "changeovers",
            Self::UnitStarts => "unit_starts",
            Self::ServedHours => "served_hours",
            Self::StarvedHours => "starved_hours",
            Self::LongestWaitHours => "longest_wait_hours",
            Self::HoursOutsideBand => "hours_outside_band",
            Self::DegreeHoursOutsideBand => "degree_hours_outside_band",
            Self::LowestTemperature => "lowest_temperature",
            Self::HighestTemperature => "highest_temperature",
            Self::PpdPercent => "ppd_percent",
            Self::Refused => "refused",
            Self::Limited => "limited",
            Self::MixedDemandHours => "mixed_demand_hours",
            Self::TotalKwh => "total_kwh",
            Self::PeakKw => "peak_kw",
            Self::Cost => "cost",
            Self::CarbonKg => "carbon_kg",
            Self::Complaints => "complaints",
        }
    }

    /// Whether a run has it of all zones together alone.
    pub const fn is_of_all_alone(self) -> bool {
        matches!(
            self,
            Self::MixedDemandHours | Self::TotalKwh | Self::PeakKw | Self::Cost | Self::CarbonKg
        )
    }
}

/// The names of all figures.
pub(super) const FIGURE_NAMES: &[&str] = &{
    let mut names = [""; RunFigure::ALL.len()];
    let mut at = 0;
    while at < names.len() {
        names[at] = RunFigure::ALL[at].name();
        at += 1;
    }
    names
};
