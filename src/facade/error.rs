//! Why there is no scenario, or no result of one.

use std::fmt;

use super::Scenario;
use crate::engine::{Halt, Model};
use crate::scenario::{Faults, VariantFault};
use crate::time::Instant;

/// Why there is no such variant.
#[derive(Clone, Debug, PartialEq)]
pub enum NoVariant {
    /// The file has none of that name.
    Unknown {
        /// The name that was asked for.
        name: String,
        /// The names that it has.
        known: Vec<String>,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// It has faults.
    Faulty(Faults),
}

impl NoVariant {
    pub(super) fn of(scenario: &Scenario, name: &str, fault: &VariantFault<'_>) -> Self {
        match fault {
            VariantFault::Unknown { nearest } => Self::Unknown {
                name: name.to_owned(),
                known: scenario.variants().map(str::to_owned).collect(),
                nearest: nearest.map(str::to_owned),
            },
            VariantFault::Faulty(faults) => Self::Faulty((*faults).clone()),
        }
    }
}

impl fmt::Display for NoVariant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown { name, known, nearest } => {
                write!(f, "the file has no variant `{name}`")?;
                if let Some(near) = nearest {
                    write!(f, "; did you mean `{near}`? It has {}", known.join(", "))?;
                }
                Ok(())
            }
            Self::Faulty(faults) => write!(f, "{faults}"),
        }
    }
}

impl std::error::Error for NoVariant {}

/// A run that ended before its time.
#[derive(Clone, Debug, PartialEq)]
pub struct Halted {
    /// Why.
    pub halt: Halt,
    /// What happened, in words.
    pub what: String,
    /// What would help.
    pub remedy: &'static str,
}

impl Halted {
    /// Refuses what no building does.
    pub(super) fn unless_possible(halt: Option<Halt>, model: &Model) -> Result<(), Self> {
        let Some(halt) = halt else { return Ok(()) };
        let (what, remedy) = halt.in_words(model);
        Err(Self { halt, what, remedy })
    }

    /// When it ended.
    pub const fn at(&self) -> Instant {
        match self.halt {
            Halt::Impossible { at, .. } | Halt::LedgerFull { at } => at,
        }
    }
}

impl fmt::Display for Halted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.what, self.remedy)
    }
}

impl std::error::Error for Halted {}
