//! What is done with runs and rules: one run, why a zone does what it does, several settings side
//! by side, what the deadband changes, who should decide for a group, many settings under many
//! draws, what is worth knowing about the settings, what occupants can bring about, and how to test
//! it on site.
//!
//! ```
//! use setband::Scenario;
//! use setband::study::{Keep, differences, simulate};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let wider = scenario.with("zones.*.band", "6")?;
//! let [tight, wide] = [&scenario, &wider].map(|it| simulate(it.model(), Keep::Nothing).summary);
//! let total = differences(&tight, &wide).into_iter().find(|(figure, _)| figure.key == "total_kwh");
//! assert!(total.and_then(|(_, difference)| difference.absolute()).is_some_and(|kwh| kwh < 0.0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod amend;
pub mod audit;
pub mod cells;
mod chance;
mod check;
mod compare;
mod days;
mod explain;
pub mod fit;
mod hours;
pub mod infer;
mod knee;
mod lock_calendar;
mod matrix;
mod mornings;
mod owners;
mod parallel;
mod quantile;
pub mod reach;
pub mod register;
pub mod remedies;
pub mod replay;
pub mod review;
mod scheduled;
mod season;
pub mod settings_table;
pub mod sheet;
pub mod sheet_csv;
mod simulate;
pub mod sweep;
pub mod why;
pub mod worst;

pub(crate) use check::listed;
pub use check::{
    Consequence, EnergyCode, Finding, Severity, check, explain_faults, is_critical_room,
    under_clear_sky,
};
pub use compare::{
    Comparison, Contender, Difference, LeftOut, compare_files, compare_variants,
    compare_variants_while, differences,
};
pub use days::{Days, ZoneDay, simulate_days};
pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use hours::{HourTally, hourly};
pub use knee::{
    Knee, KneeFigures, KneePoint, Misfit, NO_OPPOSED_KWH, NotTried, WIDEST_DEADBAND, knee,
    with_deadband,
};
pub use mornings::{LEAD_STEP, LONGEST_LEAD, Morning, READY_WITHIN, Readiness};
pub use owners::{Candidate, Decider, OwnerRanking, RankBy, Wanted, rank_owners};
pub use parallel::default_threads;
pub use season::{simulate_season, simulate_season_while};
pub use simulate::{EachRow, Finished, Keep, simulate};
