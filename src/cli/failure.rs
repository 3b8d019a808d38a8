//! Why a command could not do its work.

use std::fmt;
use std::io;
use std::path::PathBuf;

use crate::scenario::Faults;

/// Why a command could not do its work; each ends with exit code 2.
#[derive(Debug)]
pub enum Failure {
    /// The scenario file has faults.
    Faults(Faults),
    /// A table of readings has faults, told in full.
    Table(String),
    /// The call is wrong: what, and what would be right.
    Call {
        /// What is wrong.
        what: String,
        /// What would be right.
        help: String,
    },
    /// A file could not be written.
    Writing {
        /// Which.
        path: PathBuf,
        /// Why.
        why: io::Error,
    },
    /// A result could not be turned into its form; this is a fault of the program.
    Form(String),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Faults(faults) => write!(f, "{faults}"),
            Self::Table(text) => write!(f, "{text}"),
            Self::Call { what, help } => write!(f, "error: {what}\n = help: {help}"),
            Self::Writing { path, why } => write!(
                f,
                "error: {} cannot be written: {why}\n = help: name another folder with --out, or \
                 make this one writable",
                path.display()
            ),
            Self::Form(what) => write!(f, "error: {what}; please report this"),
        }
    }
}

impl std::error::Error for Failure {}

impl From<Faults> for Failure {
    fn from(faults: Faults) -> Self {
        Self::Faults(faults)
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Form(format!("the JSON could not be made: {error}"))
    }
}
