//! Simulates setpoint control logic: see the README for the job it serves.
pub mod building;
pub mod cli;
pub mod control;
pub mod direction;
pub mod engine;
pub mod measures;
pub mod plant;
pub mod report;
pub mod scenario;
pub mod study;
pub mod time;
pub mod units;
pub mod weather;
