//! Who is to blame for each missed hour.
//!
//! An occupied step at which the operative temperature lies outside the comfort band is missed.
//! Each missed step has exactly one cause, the first that fits in the order of [`Cause::ALL`], so
//! the causes add up to all missed time.

use serde::Serialize;

use crate::control::{Selection, ZoneLogic};
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
    pub fn of(zone: &Circumstances<'_>, needed: Direction) -> Self {
        let may = match zone.logic.selection {
            Selection::Off => false,
            Selection::On(mode) if zone.led => mode != crate::control::Mode::Fan,
            Selection::On(mode) => mode.allows(needed),
        };
        let called = zone.call == Some(needed);
        let turned_away = zone.led && zone.logic.state.direction() != needed;
        let starts = |sensed| zone.logic.thermostat.starts(needed, sensed, zone.logic.working);
        if !may {
            Self::LockOrPower
        } else if called && zone.reversing {
            Self::Reversal
        } else if called {
            Self::Capacity
        } else if starts(zone.sensed) && turned_away {
            Self::WrongDirection
        } else if starts(zone.sensed) {
            Self::Timer
        } else if starts(zone.air) {
            Self::Sensor
        } else {
            Self::Limit
        }
    }
}

/// What there is to know of a zone at a missed step.
#[derive(Clone, Copy, Debug)]
pub struct Circumstances<'z> {
    /// Its thermostat; its call and what it senses stand beside it.
    pub logic: &'z ZoneLogic,
    /// In which direction it has a call.
    pub call: Option<Direction>,
    /// What it senses, in the file's unit.
    pub sensed: f64,
    /// What a sensor that reported the room's air would say, in the file's unit.
    pub air: f64,
    /// Whether its group decides its direction.
    pub led: bool,
    /// Whether its outdoor unit reverses.
    pub reversing: bool,
}

impl<'z> Circumstances<'z> {
    /// Those of a step.
    pub fn of(view: &ZoneView<'z>) -> Self {
        Self {
            logic: view.logic,
            call: view.logic.state.call().direction(),
            sensed: view.logic.sensed,
            air: view.unit.from_celsius(view.nodes[0]),
            led: view.led,
            reversing: view.power.reversing,
        }
    }
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
