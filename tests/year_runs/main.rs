//! Runs of weeks and a year: what is kept, what is streamed, what is added up by month.

#[allow(dead_code, reason = "shared with other tests, which use more of it")]
#[path = "../rig/mod.rs"]
mod rig;

mod streaming;
