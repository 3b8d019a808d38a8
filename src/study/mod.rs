//! What is done with runs and rules: one run, why a zone does what it does, who should decide for
//! a group, what is worth knowing about the settings, and what occupants can bring about.

mod check;
mod explain;
mod owners;
pub mod reach;
mod simulate;

pub use check::{EnergyCode, Finding, Severity, check, explain_faults, is_critical_room};
pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use owners::{Candidate, Decider, RankBy, Ranking, rank_owners};
pub use simulate::{Finished, Keep, simulate};
