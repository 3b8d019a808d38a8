//! What is done with runs and rules: one run, why a zone does what it does, who should decide for
//! a group, and what is worth knowing about the settings.

mod check;
mod explain;
mod owners;
mod simulate;

pub use check::{EnergyCode, Finding, Severity, check, explain_faults, is_critical_room};
pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use owners::{Candidate, Decider, RankBy, Ranking, rank_owners};
pub use simulate::{Finished, Keep, simulate};
