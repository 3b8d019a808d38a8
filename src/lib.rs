//! Simulates setpoint control logic: see the README for the job it serves.
//!
//! [`Scenario`] is the short way in: text of a scenario file to results by zone and by name.
//!
//! ```
//! use setband::Scenario;
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall:
//!     space: {floor: 60 m2}
//!     gains: {from: \"10:00\", to: \"16:00\", power: 2 kW}
//!     unit: {heating: 4 kW, cooling: 4 kW}
//!     controls: {heat: 20, cool: 24, min_deadband: 2}
//! actions:
//!   - {at: \"09:15\", zone: hall, by: caretaker, press: warmer, times: 6}
//! variants:
//!   no_deadband: {zones.hall.controls.min_deadband: 0}
//! ",
//! )?;
//! let run = scenario.run()?;
//! let hall = run.zone("hall").expect("the file has it");
//! println!("{:.1} kWh, {} changeovers", run.figure("total_kwh").unwrap_or(0.0), hall.figures().changeovers);
//! for line in hall.ledger() {
//!     println!("{line}");
//! }
//! let pushed = hall.ledger().find(|line| line.request == "press warmer").expect("it was pressed");
//! assert_eq!((pushed.clock.as_str(), pushed.by), ("09:15", "caretaker"));
//!
//! let without = scenario.variant("no_deadband")?.run()?;
//! assert!(without.figure("total_kwh") > run.figure("total_kwh"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # A client of thirty lines
//! Which deadband is the smallest that keeps a room from being heated and then cooled, in files that
//! never touch a disk; and what a file with faults says.
//!
//! ```
//! use setband::scenario::Files;
//! use setband::time::{Instant, Seconds};
//! use setband::{RunResults, Scenario};
//!
//! fn weather() -> String {
//!     let air = |hour: u32| if hour % 24 < 15 { 6 + hour % 24 } else { 35 - hour % 24 };
//!     let hour = |at: u32| format!("2025-04-{:02}T{:02}:00,{}\n", 16 + at / 24, at % 24, air(at));
//!     (0..=24).fold("time,temperature\n".to_owned(), |text, at| text + &hour(at))
//! }
//!
//! fn main() -> Result<(), Box<dyn std::error::Error>> {
//!     let text = "period: {from: 2025-04-16, step: 5 min}
//! weather: {file: yard.csv}
//! zones:
//!   office: {space: {floor: 40 m2, mass: light}, gains: {from: \"10:00\", to: \"16:00\", power: 3 kW},
//!     unit: {heating: 3 kW, cooling: 3 kW}, controls: {heat: 21, cool: 22}}
//! ";
//!     let files = Files::from([("yard.csv", weather())]);
//!     let office = Scenario::parse_with(text, "office.yaml", files)?;
//!     let runs: Vec<(f64, RunResults)> = [1.0, 2.0, 3.0, 4.0, 6.0, 8.0]
//!         .into_iter()
//!         .map(|band| Ok((band, office.with("zones.*.band", &band.to_string())?.run()?)))
//!         .collect::<Result<_, Box<dyn std::error::Error>>>()?;
//!     let opposed = |run: &RunResults| run.figure("opposed_kwh").unwrap_or(0.0);
//!     let smallest = runs.iter().find(|(_, run)| opposed(run) == 0.0).map(|(band, _)| *band);
//!     assert!(opposed(&runs[0].1) > 0.0 && smallest.is_some_and(|band| band > 1.0));
//!     let noon = runs[0].1.zone("office").and_then(|zone| zone.step_at(Instant::START + Seconds::hours(12)));
//!     println!("{smallest:?} K; at {} it was {:.1}", noon.unwrap().at, noon.unwrap().temperature);
//!     let faults = Scenario::parse("zones: {office: {controls: {haet: 21}}}").unwrap_err();
//!     for fault in faults.as_slice() {
//!         println!("{}:{}: {} ({})", fault.line, fault.column, fault.message, fault.remedy);
//!     }
//!     Ok(())
//! }
//! ```
//!
//! # The house
//! A scenario file becomes a [`engine::Model`] ([`scenario`]); [`study`] runs it and does what is done
//! with runs; what comes out becomes text, tables and charts in [`report`]. The logic itself is in
//! [`control`], rooms in [`building`], machines in [`plant`]; they meet in [`engine`] and nowhere else.
//! What can be set stands in one table, [`settings`].
//!
//! # Features
//! `cli`, on by default: the command, the local page, workbooks, Parquet and PNG. `pages`, part of
//! it: charts as SVG and pages as HTML. With `default-features = false` what is left is the model,
//! its studies, and reports as text, CSV and JSON, without a server, an argument parser or a crate
//! that draws.
//! `no-browser` is for this crate's own tests: those that open a browser show as ignored.
#![warn(clippy::disallowed_methods)]

pub mod building;
#[cfg(feature = "cli")]
pub mod cli;
pub mod control;
pub mod direction;
pub mod engine;
mod facade;
pub mod log;
pub mod measures;
pub mod memo;
pub mod moist_air;
pub mod numbers;
pub mod people;
pub mod plant;
pub mod reference;
#[cfg_attr(
    not(feature = "pages"),
    expect(dead_code, unused_imports, reason = "tables and words that only pages show")
)]
pub mod report;
pub mod scenario;
#[cfg(feature = "cli")]
pub mod serve;
pub mod settings;
pub mod study;
pub mod time;
pub mod units;
pub mod weather;

pub use facade::{
    AskedRequests, FitResults, Halted, LedgerLine, NoVariant, ReplayQuestion, ReplayResults,
    RunResults, Scenario, Unanswered, ZoneResults,
};
