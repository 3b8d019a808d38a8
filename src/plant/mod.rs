//! Indoor units: capacity, COP, part load, start-up and fan.
mod unit;

pub use unit::{Capacity, FanRun, IndoorUnit, UnitControl};
