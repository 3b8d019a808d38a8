//! What is imposed on zones from outside, step by step, by whoever drives a run: heat beside all that
//! the model knows of, somebody's presence, and setpoints, mode and power that follow a record
//! instead of requests.

use crate::control::{Mode, Power, WorkingSetpoints};

/// What is imposed on one zone. By default nothing is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Imposed {
    /// Heat into air and mass besides, W.
    pub heat: [f64; 2],
    /// Whether somebody is there, whatever schedule, sensor and people say.
    pub occupied: Option<bool>,
    /// The heat setpoint in force, in the file's unit, whatever is stored.
    pub heat_setpoint: Option<f64>,
    /// The cool setpoint in force, likewise.
    pub cool_setpoint: Option<f64>,
    /// The mode.
    pub mode: Option<Mode>,
    /// The power.
    pub power: Option<Power>,
}

impl Imposed {
    /// The setpoints in force where these would be by themselves.
    pub(super) fn over(&self, working: WorkingSetpoints) -> WorkingSetpoints {
        WorkingSetpoints {
            heat: self.heat_setpoint.unwrap_or(working.heat),
            cool: self.cool_setpoint.unwrap_or(working.cool),
            ..working
        }
    }
}
