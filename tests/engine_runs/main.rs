//! Runs of the whole engine that read like the rules: settings and presses given, readings
//! expected.
#![allow(
    clippy::float_cmp,
    reason = "values that are handed on, not worked out, are the same bits"
)]

mod clocks;
mod groups;
mod heat;
mod ideal;
mod lone;
mod outage;
mod outdoor;
mod quiet;
mod requests;
#[allow(dead_code, reason = "shared with the reference tests, which use more of it")]
#[path = "../rig/mod.rs"]
mod rig;
mod sensing;
mod starts;
