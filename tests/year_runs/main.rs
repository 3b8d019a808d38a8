//! Runs of weeks and a year: what is kept, what is streamed, what is told by month and morning.

#[allow(dead_code, reason = "shared with other tests, which use more of it")]
#[path = "../rig/mod.rs"]
mod rig;

mod calendar;
mod days;
mod mornings;
mod seasons;
mod streaming;
