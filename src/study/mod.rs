//! What is done with runs and rules: one run, why a zone does what it does, several settings side
//! by side, who should decide for a group, what is worth knowing about the settings, and what
//! occupants can bring about.

mod check;
mod compare;
mod explain;
mod hours;
mod owners;
mod parallel;
pub mod reach;
mod simulate;

pub use check::{EnergyCode, Finding, Severity, check, explain_faults, is_critical_room};
pub use compare::{
    Comparison, Contender, Difference, LeftOut, compare_files, compare_variants, differences,
};
pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use hours::{HourTally, hourly};
pub use owners::{Candidate, Decider, RankBy, Ranking, rank_owners};
pub use parallel::default_threads;
pub use simulate::{EachRow, Finished, Keep, simulate, simulate_watched};
