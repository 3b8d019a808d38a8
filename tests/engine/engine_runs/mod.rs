//! Runs of the whole engine that read like the rules: settings and presses given, readings
//! expected.

mod clocks;
mod figures;
mod group_limits;
mod groups;
mod heat;
mod ideal;
mod imposed;
mod intervals;
mod limits_and_windows;
mod lone;
mod machines;
mod outage;
mod outdoor;
mod output;
mod requests;
mod sensing;
mod starts;
