//! Logs of sites against settings: made ones, whose truth is known, and real ones.

mod audits;
mod chamber;
mod chamber_replays;
mod clocks;
mod complaints;
mod fits;
mod kinds;
mod maker;
mod program;
mod replays;
mod sensors;
mod shipped_logs;
mod told;
mod untold;
