//! Many settings, many draws of each: which is best, by how much, and what it hangs on.
//!
//! A *case* is a setting with a draw. A draw has a seed and values of its own for the paths that
//! vary, the same for every setting (common random numbers), so that settings are compared draw by
//! draw. The order in which cases are run, and by how many threads or parts, changes no result.
//!
//! ```
//! use setband::study::sweep::{Axis, Sampling, SweepPlan};
//!
//! let plan = SweepPlan {
//!     axes: vec![Axis::parse("zones.*.band=0..4:0.5").expect("a path and its values")],
//!     sampling: Sampling::Grid,
//!     varied: Vec::new(),
//!     draws: 10,
//!     seed: 1,
//! };
//! assert_eq!((plan.settings(), plan.cases()), (9, 90));
//! ```

mod answer;
mod cases;
mod estimate;
mod front;
mod goal;
mod journal;
mod plan;
mod rank;
mod regress;
mod run;
mod sensitivity;
mod values;

pub use answer::SweepAnswer;
pub use cases::{About, CaseOutcome, ImplausibleZone, Results};
pub use estimate::{CONFIDENCE, Estimate, estimate, estimate_within, paired_difference};
pub use front::{FRONT, Front, front, means};
pub use goal::{FigureBound, Goal, GoalFault, Sense};
pub use journal::{Header, Journal, NoJournal, line_of, read_journal};
pub use plan::{Axis, MOST_CASES, PlanFault, Sampling, Share, SweepPlan};
pub use rank::{Meets, Ranking, Scored, rank};
pub use run::{SweepRun, run};
pub use sensitivity::{Level, Sensitivities, Sensitivity, Silent, sensitivities};
pub use values::{NoValues, Values};
