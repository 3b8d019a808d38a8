//! Arguments that several commands share.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// What is printed.
#[derive(Args, Clone, Copy, Debug)]
pub(super) struct Print {
    /// Print JSON instead of text
    #[arg(long)]
    pub(super) json: bool,
    /// Print nothing but errors
    #[arg(long, short, conflicts_with = "json")]
    pub(super) quiet: bool,
}

/// What of the file is taken, and where the files go.
#[derive(Args, Debug)]
pub(super) struct Chosen {
    /// Which variant of the file; the file as written without it
    #[arg(long, value_name = "NAME")]
    pub(super) variant: Option<String>,
    /// Folder for the files [default: out/<file stem>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
}

/// A temperature unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum UnitArgument {
    /// Degrees Celsius
    #[value(name = "C")]
    Celsius,
    /// Degrees Fahrenheit
    #[value(name = "F")]
    Fahrenheit,
}

/// Options that mean the same everywhere.
#[derive(Args, Debug)]
pub(super) struct Common {
    #[command(flatten)]
    pub(super) chosen: Chosen,
    /// How the step rows are written
    #[arg(long, value_name = "FORM", default_value = "csv")]
    pub(super) steps: Steps,
    /// Seed of everything random, instead of the file's
    #[arg(long, value_name = "N")]
    pub(super) seed: Option<u64>,
    #[command(flatten)]
    pub(super) print: Print,
}

/// How step rows are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Steps {
    /// Comma-separated, one row a zone and step
    Csv,
    /// The same columns as an Apache Parquet file
    Parquet,
    /// Not at all
    None,
}
