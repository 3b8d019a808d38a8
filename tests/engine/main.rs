//! The model as it computes: rules as properties, runs held to the rules, and the physics against
//! numbers from outside.

mod control_properties;
mod engine_runs;
mod people;
#[path = "../reference/mod.rs"]
mod reference;
#[path = "../rig/mod.rs"]
mod rig;
mod tariff;
mod warm_up;
mod year_runs;
