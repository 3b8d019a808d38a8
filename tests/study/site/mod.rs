//! Logs of sites against settings: made ones, whose truth is known, and real ones.

mod audits;
mod chamber;
mod complaints;
mod kinds;
mod maker;
mod program;
mod replays;
mod shipped_logs;
