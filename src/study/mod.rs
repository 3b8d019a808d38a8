//! What is done with runs and rules: one run, and why a zone does what it does.

mod explain;
mod simulate;

pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use simulate::{Finished, Keep, simulate};
