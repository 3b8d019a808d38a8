//! What is done with runs and rules: one run, why a zone does what it does,
//! and who should decide for a group.

mod explain;
mod owners;
mod simulate;

pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use owners::{Candidate, Decider, RankBy, Ranking, rank_owners};
pub use simulate::{Finished, Keep, simulate};
