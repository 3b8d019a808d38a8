//! The physics against numbers that do not come from this crate: standards' worked examples,
//! closed forms, other people's solvers. `data/README.md` names the sources.
//!
//! Each tolerance is a constant that says why it is as wide as it is.

mod analytic;
mod building_cases;
mod comfort;
mod cycling;
mod design_day;
mod efficiency;
mod facades;
mod fit;
mod invariants;
mod iso13790;
mod moist_air;
mod ode;
mod rooms;
mod savings;
mod sheet;
mod step_length;
mod sun;
mod weather;
