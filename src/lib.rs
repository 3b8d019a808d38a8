//! Simulates setpoint control logic: see the README for the job it serves.
//!
//! A scenario file becomes a [`engine::Model`] ([`scenario`]); [`study::simulate`] runs it; what
//! comes out becomes text, tables and charts in [`report`]. The logic itself is in [`control`],
//! rooms in [`building`], machines in [`plant`]; they meet in [`engine`] and nowhere else. What can be
//! set stands in one table, [`settings`].
//!
//! ```
//! use setband::{report, scenario, study};
//!
//! let text = scenario::starter(setband::units::TemperatureUnit::Celsius);
//! let no_files = |_: &str| Err("this scenario names no files".to_owned());
//! let read = scenario::read(text, "pottery.yaml", &no_files)?;
//! let run = study::simulate(&read.base, study::Keep::Steps);
//! assert_eq!(run.rows.len(), 2 * 24 * 60);
//! let reasons: Vec<String> =
//!     run.ledger.iter().map(|row| report::reason_words(&read.base, row)).collect();
//! assert!(reasons.iter().any(|reason| reason.contains("the mode follows owner zone Studio")));
//! # Ok::<(), scenario::Faults>(())
//! ```
#![warn(clippy::disallowed_methods)]

pub mod building;
#[cfg(feature = "cli")]
pub mod cli;
pub mod control;
pub mod direction;
pub mod engine;
pub mod measures;
pub mod moist_air;
pub mod numbers;
pub mod people;
pub mod plant;
pub mod report;
pub mod scenario;
#[cfg(feature = "cli")]
pub mod serve;
pub mod settings;
pub mod study;
pub mod time;
pub mod units;
pub mod weather;
