//! Runs of the whole engine that read like the rules: settings and presses given, readings
//! expected.

mod clocks;
mod groups;
mod heat;
mod ideal;
mod lone;
mod outage;
mod outdoor;
mod quiet;
mod requests;
mod sensing;
mod starts;
