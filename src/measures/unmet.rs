//! The cause of each unmet hour.
//!
//! An occupied step at which the operative temperature lies outside the comfort band is unmet.
//! Each unmet step has exactly one cause, the first that fits in the order of [`UnmetHours`], so
//! the causes add up to all unmet time.

use serde::Serialize;

use crate::control::{Mode, Selection, ZoneLogic};
use crate::direction::Direction;
use crate::engine::ZoneView;

/// What there is to know of unmet steps in which a zone needs the same direction: up to 64 of
/// them, a bit for each.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circumstances {
    /// Whether it is on, and its mode allows what it needs.
    pub(super) may: u64,
    /// Whether outdoor limits permit what it needs (rule 15).
    pub(super) permitted: u64,
    /// Whether it has a call for it.
    pub(super) called: u64,
    /// Whether the plant then gives all that it can, or less than was asked of it.
    pub(super) full: u64,
    /// Whether its refrigerant circuit reverses.
    pub(super) reversing: u64,
    /// Whether it meets the start condition.
    pub(super) starts: u64,
    /// Whether its group does the opposite.
    pub(super) turned_away: u64,
    /// Whether a sensor that reported the room's air would meet the start condition.
    pub(super) air_starts: u64,
}

impl Circumstances {
    /// Those of one step.
    pub(super) fn of(view: &ZoneView<'_>, needed: Direction) -> Self {
        let logic = view.logic;
        let called = logic.state.call().direction() == Some(needed);
        let air = view.unit.from_celsius(view.nodes[0]);
        Self {
            may: always(may(logic.selection, view.led, needed)),
            permitted: always(logic.working.permitted.has(needed)),
            called: always(called),
            full: always(called && view.power.given.full),
            reversing: always(view.power.reversing),
            starts: always(logic.meets_start(needed)),
            turned_away: always(view.led && logic.state.direction() != needed),
            air_starts: always(air_starts(logic, needed, air)),
        }
    }
}

/// The same for all steps.
pub(super) const fn always(yes: bool) -> u64 {
    if yes { u64::MAX } else { 0 }
}

/// Whether power and mode let a zone have what it needs. In a group that decides for all, any mode
/// but fan does.
pub(super) fn may(selection: Selection, led: bool, needed: Direction) -> bool {
    match selection {
        Selection::Off => false,
        Selection::On(mode) if led => mode != Mode::Fan,
        Selection::On(mode) => mode.allows(needed),
    }
}

/// Whether a sensor that reported the room's air, in the file's unit, would have started a call.
pub(super) fn air_starts(logic: &ZoneLogic, needed: Direction, air: f64) -> bool {
    logic.thermostat.starts(needed, air, logic.working)
}

/// Counts of unmet steps by cause, in the order of [`UnmetHours`].
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct UnmetSteps([u64; 8]);

impl UnmetSteps {
    /// Counts unmet steps, each for the first cause that fits.
    pub(super) fn add(&mut self, mut steps: u64, of: &Circumstances) {
        let fits = [
            !of.may,
            !of.permitted,
            of.called & of.reversing,
            of.called & of.full,
            of.starts & of.turned_away & !of.called,
            of.starts & !of.called,
            of.air_starts & !of.called,
            u64::MAX,
        ];
        for (count, fits) in self.0.iter_mut().zip(fits) {
            *count += u64::from((steps & fits).count_ones());
            steps &= !fits;
        }
    }

    pub(super) fn hours(&self, hours: impl Fn(u64) -> f64) -> UnmetHours {
        let [
            lock_or_power,
            outdoor_limit,
            reversal,
            capacity,
            wrong_direction,
            timer,
            sensor,
            limit,
        ] = self.0.map(hours);
        UnmetHours {
            lock_or_power,
            outdoor_limit,
            reversal,
            capacity,
            wrong_direction,
            timer,
            sensor,
            limit,
        }
    }
}

/// Unmet hours by cause, in the order in which causes are tried.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct UnmetHours {
    /// Switched off, or the mode does not allow what is needed.
    pub lock_or_power: f64,
    /// Outdoor limits did not permit what is needed.
    pub outdoor_limit: f64,
    /// The refrigerant circuit was reversing.
    pub reversal: f64,
    /// The plant gave all that it can, or less than was asked of it, and that was too little.
    pub capacity: f64,
    /// The group did the opposite.
    pub wrong_direction: f64,
    /// A timer stood against it.
    pub timer: f64,
    /// The sensor reported something else.
    pub sensor: f64,
    /// The setpoint in force did not ask for it, or not for all that the plant can give.
    pub limit: f64,
}
