//! Why days cannot be replayed.

use std::fmt;

use crate::log::LogTime;

/// Why days cannot be replayed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoReplay {
    /// The scenario names no log.
    NoLog,
    /// The log has no temperature of these zones.
    NoTemperature(Vec<String>),
    /// The log, which goes from one time to the other, has no readings in the period.
    Outside(LogTime, LogTime),
    /// The other log has none of the zones,
    OtherZones,
    /// or no setpoints at these clock times.
    OtherTimes,
    /// A draw of the fitted parameters, counted from 0, does not fit the file.
    Draw(usize, String),
    /// There is nothing that a variant would change.
    NoVariant,
}

impl NoReplay {
    /// What would be right.
    pub fn help(&self) -> String {
        match self {
            Self::NoLog => "add a `log` block; `setband log LOG` writes one as a guess".into(),
            Self::NoTemperature(_) => {
                "map their `temperature` in the `log` block, or take them out of the file".into()
            }
            Self::Outside(from, to) => {
                format!("leave `period` out, or choose days from {} to {}", from.date(), to.date())
            }
            Self::OtherZones => "its zones have to have the same names".into(),
            Self::OtherTimes => {
                "its `log` block has to map `heat` or `cool`, of as many days as this file".into()
            }
            Self::Draw(..) => {
                "fit the file again: `setband fit` writes draws.csv beside fitted.yaml".into()
            }
            Self::NoVariant => "add `variants` to the file".into(),
        }
    }
}

impl fmt::Display for NoReplay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoLog => f.write_str("the scenario names no log"),
            Self::NoTemperature(zones) => {
                write!(f, "the log has no temperature of {}", zones.join(", "))
            }
            Self::Outside(from, to) => {
                write!(f, "the period lies outside the log, which goes from {from} to {to}")
            }
            Self::OtherZones => f.write_str("the other log has none of the zones"),
            Self::OtherTimes => f.write_str("the other log has no setpoints at these clock times"),
            Self::Draw(number, why) => {
                write!(f, "draw {} of draws.csv is one of another file: {why}", number + 1)
            }
            Self::NoVariant => f.write_str("the file has no variants"),
        }
    }
}

impl std::error::Error for NoReplay {}
