//! Logs of sites against settings: made ones, whose truth is known, and real ones.

mod audits;
mod chamber;
mod maker;
mod replays;
