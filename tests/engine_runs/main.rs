//! Runs of the whole engine that read like the rules: settings and presses given, readings
//! expected.
mod clocks;
mod heat;
mod ideal;
mod lone;
mod requests;
#[allow(dead_code, reason = "shared with the reference tests, which use more of it")]
#[path = "../rig/mod.rs"]
mod rig;
mod sensing;
mod starts;
