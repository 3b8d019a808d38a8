//! Why a command could not do its work.

use std::fmt;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

use crate::engine::{Halt, Model};
use crate::report::chart::ChartFault;
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
    /// What was printed did not arrive.
    Lost(io::Error),
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
            | Self::Lost(_)
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
                "error: {} cannot be written: {}\n = help: {}",
                path.display(),
                in_words(why),
                remedy(why.kind())
            ),
            Self::Lost(why) => write!(
                f,
                "error: standard output cannot be written, and part of it is lost: {}\n = help: {}",
                in_words(why),
                remedy(why.kind())
            ),
            Self::BrokenOff(what) => f.write_str(what),
            Self::Form(what) => write!(f, "error: {what}; please report this"),
        }
    }
}

impl std::error::Error for Failure {}

/// What went wrong with a file, without the numbers that systems give it.
fn in_words(why: &io::Error) -> String {
    match why.kind() {
        ErrorKind::IsADirectory => "something else than a file is in the way".into(),
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists => {
            "a file stands where its folder should be".into()
        }
        ErrorKind::Other => why.to_string(),
        kind => kind.to_string(),
    }
}

/// What helps where a file cannot be written.
fn remedy(kind: ErrorKind) -> &'static str {
    match kind {
        ErrorKind::PermissionDenied => {
            "make the folder and the file writable for you, or name another folder with --out"
        }
        ErrorKind::ReadOnlyFilesystem => "name a folder on another disk with --out",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "make room on this disk, or name a folder on another with --out"
        }
        ErrorKind::IsADirectory => "move away what has this name, or name another folder",
        ErrorKind::InvalidFilename => "take a shorter name",
        ErrorKind::NotFound => "check the folder's name; it may have been removed meanwhile",
        _ => "name another folder with --out",
    }
}

/// Refuses what no building does.
pub(super) fn possible(halt: Option<Halt>, model: &Model) -> Result<(), Failure> {
    let Some(halt) = halt else { return Ok(()) };
    let (what, help) = halt.in_words(model);
    Err(Failure::Call { what, help: help.into() })
}

impl From<Faults> for Failure {
    fn from(faults: Faults) -> Self {
        Self::Faults(faults)
    }
}

impl From<ChartFault> for Failure {
    fn from(fault: ChartFault) -> Self {
        Self::Form(fault.to_string())
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Form(format!("the JSON could not be made: {error}"))
    }
}
