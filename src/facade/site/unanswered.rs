//! Why a question about a building with a log has no answer.

use std::fmt;

use crate::facade::NoVariant;
use crate::report::why_not;
use crate::scenario::{EditFault, Faults, Rejected};
use crate::study::fit::NoFit;
use crate::study::replay::NoReplay;

/// Why a question about a building with a log has no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Unanswered {
    /// The scenario names no log.
    NoLog,
    /// It has no zone of that name.
    NoZone {
        /// The name that was asked for.
        name: String,
        /// The names that it has.
        known: Vec<String>,
    },
    /// No zone could be fitted, each for its reason.
    NotFitted(Vec<NoFit>),
    /// The days could not be replayed.
    NotReplayed(NoReplay),
    /// The file has no such variant, or it has faults.
    NoVariant(NoVariant),
    /// Two files do not go together: they differ in what is named.
    Apart(&'static str),
    /// What was fitted cannot be written into the text.
    NotWritten(EditFault),
    /// The file has faults, by itself or with the rooms of the other one.
    Faults(Faults),
    /// The file has faults with these values.
    Rejected(Rejected),
}

impl fmt::Display for Unanswered {
    /// What is wrong and what would be right.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoLog => write!(f, "{}; {}", NoReplay::NoLog, NoReplay::NoLog.help()),
            Self::NoZone { name, known } => {
                write!(f, "the file has no zone `{name}`; it has {}", known.join(", "))
            }
            Self::NotFitted(all) => {
                let all: Vec<String> = all.iter().map(why_not).collect();
                write!(f, "no zone could be fitted: {}", all.join("; "))
            }
            Self::NotReplayed(no) => write!(f, "{no}; {}", no.help()),
            Self::NoVariant(no) => write!(f, "{no}"),
            Self::Apart(what) => {
                write!(f, "the two files differ in their {what}; give both the same")
            }
            Self::NotWritten(fault) => write!(
                f,
                "the fitted values cannot be written into the text: {fault}; write the place out, \
                 without anchors"
            ),
            Self::Faults(faults) => write!(f, "{faults}"),
            Self::Rejected(rejected) => write!(f, "{rejected}"),
        }
    }
}

impl std::error::Error for Unanswered {}

impl From<NoReplay> for Unanswered {
    fn from(no: NoReplay) -> Self {
        Self::NotReplayed(no)
    }
}

impl From<NoVariant> for Unanswered {
    fn from(no: NoVariant) -> Self {
        Self::NoVariant(no)
    }
}

impl From<EditFault> for Unanswered {
    fn from(fault: EditFault) -> Self {
        Self::NotWritten(fault)
    }
}

impl From<Faults> for Unanswered {
    fn from(faults: Faults) -> Self {
        Self::Faults(faults)
    }
}

impl From<Rejected> for Unanswered {
    fn from(rejected: Rejected) -> Self {
        Self::Rejected(rejected)
    }
}
