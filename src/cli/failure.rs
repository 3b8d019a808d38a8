//! Why a command could not do its work.

use std::fmt;
use std::io;
use std::path::PathBuf;

use crate::scenario::Faults;

/// Why a command could not do its work.
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
    /// Somebody broke it off; what is kept, and how to go on.
    BrokenOff(String),
}

impl Failure {
    /// The exit code: 2, or the usual 130 of a program that was broken off.
    pub const fn code(&self) -> u8 {
        match self {
            Self::BrokenOff(_) => 130,
            Self::Faults(_)
            | Self::Table(_)
            | Self::Call { .. }
            | Self::Writing { .. }
            | Self::Form(_) => 2,
        }
    }
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
            Self::BrokenOff(what) => f.write_str(what),
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
