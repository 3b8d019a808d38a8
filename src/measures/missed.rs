//! Who is to blame for each missed hour.
//!
//! An occupied step at which the operative temperature lies outside the comfort band is missed.
//! Each missed step has exactly one cause, the first that fits in the order of [`Cause::ALL`], so
//! the causes add up to all missed time.

use serde::Serialize;

use crate::control::{Selection, WorkingSetpoints};
use crate::direction::Direction;
use crate::engine::ZoneView;

/// Why a zone was outside its comfort band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// It was switched off, or its mode does not allow what it needs.
    LockOrPower,
    /// The refrigerant circuit was reversing.
    Reversal,
    /// It had a call and the plant gave too little, or nothing.
    Capacity,
    /// Its group did the opposite.
    WrongDirection,
    /// A timer kept a call that was due from starting.
    Timer,
    /// Its sensor reported something that the room's air was not.
    Sensor,
    /// The setpoint in force, by limit, setback or choice, did not ask for it.
    Limit,
}

impl Cause {
    /// All causes, in the order in which they are tried.
    pub const ALL: [Self; 7] = [
        Self::LockOrPower,
        Self::Reversal,
        Self::Capacity,
        Self::WrongDirection,
        Self::Timer,
        Self::Sensor,
        Self::Limit,
    ];

    /// The cause at a step that needs `needed`.
    pub fn of(view: &ZoneView<'_>, needed: Direction) -> Self {
        let logic = view.logic;
        let may = match logic.selection {
            Selection::Off => false,
            Selection::On(mode) if view.led => mode != crate::control::Mode::Fan,
            Selection::On(mode) => mode.allows(needed),
        };
        let called = logic.state.call().direction() == Some(needed);
        let turned_away = view.led && logic.state.direction() != needed;
        if !may {
            Self::LockOrPower
        } else if called && view.power.reversing {
            Self::Reversal
        } else if called {
            Self::Capacity
        } else if logic.meets_start(needed) && turned_away {
            Self::WrongDirection
        } else if logic.meets_start(needed) {
            Self::Timer
        } else if true_air_starts(view, needed, logic.working) {
            Self::Sensor
        } else {
            Self::Limit
        }
    }
}

/// Whether a sensor that reported the room's air would have started a call.
fn true_air_starts(view: &ZoneView<'_>, needed: Direction, at: WorkingSetpoints) -> bool {
    let air = view.unit.from_celsius(view.nodes[0]);
    view.logic.thermostat.starts(needed, air, at)
}

/// Missed hours by cause.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MissedHours {
    /// Switched off, or the mode does not allow what is needed.
    pub lock_or_power: f64,
    /// The refrigerant circuit was reversing.
    pub reversal: f64,
    /// The plant gave too little.
    pub capacity: f64,
    /// The group did the opposite.
    pub wrong_direction: f64,
    /// A timer stood against it.
    pub timer: f64,
    /// The sensor reported something else.
    pub sensor: f64,
    /// The setpoint in force did not ask for it.
    pub limit: f64,
}

impl MissedHours {
    /// From counts of steps, in the order of [`Cause::ALL`].
    pub fn from_counts(counts: [u64; 7], hours: impl Fn(u64) -> f64) -> Self {
        let [lock_or_power, reversal, capacity, wrong_direction, timer, sensor, limit] =
            counts.map(hours);
        Self { lock_or_power, reversal, capacity, wrong_direction, timer, sensor, limit }
    }
}
