//! What is done with runs and rules: one run, why a zone does what it does, several settings side
//! by side, what the deadband changes, who should decide for a group, many settings under many
//! draws, what is worth knowing about the settings, what occupants can bring about, and how to test
//! it on site.

pub mod cells;
mod check;
mod compare;
mod explain;
mod hours;
pub mod infer;
mod knee;
mod lock_calendar;
mod mornings;
mod owners;
mod parallel;
pub mod reach;
mod season;
pub mod settings_table;
pub mod sheet;
pub mod sheet_csv;
mod simulate;
pub mod sweep;

pub use check::{
    EnergyCode, Finding, Severity, check, explain_faults, is_critical_room, under_clear_sky,
};
pub use compare::{
    Comparison, Contender, Difference, LeftOut, compare_files, compare_variants, differences,
};
pub use explain::{Explanation, Line, ZoneExplanation, explain};
pub use hours::{HourTally, hourly};
pub use knee::{
    Knee, KneeFigures, KneePoint, Misfit, NO_OPPOSED_KWH, NotAllowed, WIDEST_DEADBAND, knee,
    with_deadband,
};
pub use mornings::{LEAD_STEP, LONGEST_LEAD, Morning, READY_WITHIN, Readiness};
pub use owners::{Candidate, Decider, OwnerRanking, RankBy, Wanted, rank_owners};
pub use parallel::default_threads;
pub use season::simulate_season;
pub use simulate::{EachRow, Finished, Keep, simulate};
