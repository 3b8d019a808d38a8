//! Rule 9: from a sensed temperature to calls, direction and changeovers.

use super::differential::Differential;
use super::lanes::{Calls, Distance, Thresholds};
use super::modes::Mode;
use super::outdoor_limits::Permitted;
use super::rounding::ROUNDING;
use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// The two setpoints that are in force, in the file's unit: stored or set back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkingSetpoints {
    /// Heat to this.
    pub heat: f64,
    /// Cool to this.
    pub cool: f64,
    /// The directions in which outdoor limits let calls exist (rule 15).
    pub permitted: Permitted,
}

impl WorkingSetpoints {
    /// Setpoints that no outdoor limit stands against.
    pub const fn new(heat: f64, cool: f64) -> Self {
        Self { heat, cool, permitted: Permitted::BOTH }
    }
}

/// How a zone's thermostat decides. Temperatures are differences in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermostat {
    /// How far past the setpoint the sensed temperature must be for a call to start.
    pub call_start: Differential,
    /// How far it must have come back past the setpoint for the call to end.
    pub call_stop: Differential,
    /// The least time between the end of service in one direction and a change to the other.
    pub changeover_delay: Seconds,
    /// The least time for which a call once served goes on.
    pub min_on: Seconds,
    /// The least time between the end of a call and the start of the next.
    pub min_off: Seconds,
}

impl Thermostat {
    /// Whether a call in this direction would start.
    pub fn starts(&self, direction: Direction, sensed: f64, at: WorkingSetpoints) -> bool {
        self.thresholds(direction, at).start_at(sensed)
    }

    /// Whether a call in this direction is satisfied.
    pub fn ends(&self, direction: Direction, sensed: f64, at: WorkingSetpoints) -> bool {
        self.thresholds(direction, at).end_at(sensed)
    }

    /// The temperatures at which calls start and end while the zone has a direction; out of reach
    /// in a direction that outdoor limits do not permit.
    #[inline]
    pub(super) fn thresholds(&self, direction: Direction, at: WorkingSetpoints) -> Thresholds {
        let may = |direction| at.permitted.has(direction);
        let heating = if may(Direction::Heating) {
            at.heat - self.call_start.heating + ROUNDING
        } else {
            f64::NEG_INFINITY
        };
        let cooling = if may(Direction::Cooling) {
            at.cool + self.call_start.cooling - ROUNDING
        } else {
            f64::INFINITY
        };
        match direction {
            Direction::Heating => Thresholds {
                sign: -1.0,
                start: -heating,
                end: -(at.heat + self.call_stop.heating - ROUNDING),
                opposite: -cooling,
            },
            Direction::Cooling => Thresholds {
                sign: 1.0,
                start: cooling,
                end: at.cool - self.call_stop.cooling + ROUNDING,
                opposite: heating,
            },
        }
    }

    /// How far the sensed temperature lies beyond where a call in this direction starts, positive
    /// outside.
    pub fn beyond_start(&self, direction: Direction, sensed: f64, at: WorkingSetpoints) -> f64 {
        match direction {
            Direction::Heating => at.heat - self.call_start.heating - sensed,
            Direction::Cooling => sensed - (at.cool + self.call_start.cooling),
        }
    }

    /// How far the sensed temperature lies from where a call in this direction would end: the
    /// proportional signal of a modulating unit.
    pub fn distance_to_end(&self, direction: Direction, at: WorkingSetpoints) -> Distance {
        match direction {
            Direction::Heating => Distance { shift: at.heat + self.call_stop.heating, then: 0.0 },
            Direction::Cooling => Distance { shift: -at.cool, then: self.call_stop.cooling },
        }
    }
}

/// A thermostat's demand, carrying its own clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Call {
    /// No call; `None` where there has been none yet, so that no timer runs.
    Off {
        /// When the last call ended.
        since: Option<Instant>,
    },
    /// A call.
    On {
        /// In which direction.
        direction: Direction,
        /// When it was first served, if it has been.
        served_since: Option<Instant>,
    },
}

impl Call {
    /// No call yet.
    pub const NONE_YET: Self = Self::Off { since: None };

    /// The direction of the call, if there is one.
    pub const fn direction(self) -> Option<Direction> {
        match self {
            Self::Off { .. } => None,
            Self::On { direction, .. } => Some(direction),
        }
    }
}

/// What a zone may have calls for at a step: the mode as it is in force.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Selection {
    /// Power off, or the group stopped: no call.
    Off,
    /// Power on with this mode.
    On(Mode),
}

impl Selection {
    /// Whether the power is on and the group has not stopped.
    pub const fn is_on(self) -> bool {
        matches!(self, Self::On(_))
    }

    /// Whether it can want heat or cold at all: on, and not in fan.
    pub const fn is_awake(self) -> bool {
        !matches!(self, Self::Off | Self::On(Mode::Fan))
    }

    /// Whether a call in this direction may exist.
    pub fn allows(self, direction: Direction) -> bool {
        match self {
            Self::Off => false,
            Self::On(mode) => mode.allows(direction),
        }
    }
}

/// The thermostat's memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ThermostatState {
    direction: Direction,
    call: Call,
    /// When the last step served in each direction ended: heating, cooling.
    served_until: [Option<Instant>; 2],
    last_served: Option<Direction>,
}

impl ThermostatState {
    /// A thermostat that has not run yet: no timer stands in its way.
    pub const fn new(direction: Direction) -> Self {
        Self { direction, call: Call::NONE_YET, served_until: [None; 2], last_served: None }
    }

    /// The direction the zone has.
    pub const fn direction(&self) -> Direction {
        self.direction
    }

    /// The call, or its absence.
    pub const fn call(&self) -> Call {
        self.call
    }

    /// When service in a direction last ended, if it was ever served.
    pub const fn served_until(&self, direction: Direction) -> Option<Instant> {
        self.served_until[direction as usize]
    }

    /// The direction last served, if any was.
    pub const fn last_served(&self) -> Option<Direction> {
        self.last_served
    }

    /// After a power failure (rule 14): no call goes on, timers start anew, and `min_off` runs.
    pub fn restart(&mut self, now: Instant) {
        self.call = Call::Off { since: Some(now) };
        self.served_until = self.served_until.map(|until| until.map(|_| now));
    }

    /// First half of a step of a zone that decides for itself, a lone zone or an owner: its mode
    /// gives it a direction, what is over ends, and in `auto` it may turn.
    pub fn settle_own(
        &mut self,
        settings: &Thermostat,
        selection: Selection,
        sensed: f64,
        at: WorkingSetpoints,
        now: Instant,
    ) {
        if let Selection::On(mode) = selection
            && let Some(direction) = mode.only_direction()
        {
            self.direction = direction;
        }
        self.end_what_is_over(settings, selection, sensed, at, now);
        if selection == Selection::On(Mode::Auto) && self.may_turn(settings, sensed, at, now) {
            self.direction = self.direction.opposite();
        }
    }

    /// First half of a step of a zone whose direction its group has decided.
    pub fn settle_in(
        &mut self,
        direction: Direction,
        settings: &Thermostat,
        selection: Selection,
        sensed: f64,
        at: WorkingSetpoints,
        now: Instant,
    ) {
        self.direction = direction;
        self.end_what_is_over(settings, selection, sensed, at, now);
    }

    /// Second half of a step: a call starts where one is wanted and the unit has rested. True
    /// where one did.
    pub fn start_what_is_wanted(
        &mut self,
        settings: &Thermostat,
        selection: Selection,
        sensed: f64,
        at: WorkingSetpoints,
        now: Instant,
    ) -> bool {
        let wanted = selection.allows(self.direction)
            && settings.thresholds(self.direction, at).start_at(sensed);
        let starts = wanted && self.calls(settings, now).start(wanted, 0.0);
        if starts {
            self.call = Call::On { direction: self.direction, served_since: None };
        }
        starts
    }

    /// The call of an ideal plant, which knows neither hysteresis nor timers: what it serves in a
    /// step gives the zone its direction, else its mode does.
    pub fn call_ideally(
        &mut self,
        selection: Selection,
        served: Option<Direction>,
        now: Instant,
    ) -> bool {
        if let Selection::On(mode) = selection {
            self.direction = mode.only_direction().unwrap_or(self.direction);
        }
        let began = served.is_some() && self.call.direction() != served;
        match served {
            Some(direction) => {
                self.direction = direction;
                if began {
                    self.call = Call::On { direction, served_since: None };
                }
            }
            None if self.call.direction().is_some() => self.call = Call::Off { since: Some(now) },
            None => {}
        }
        began
    }

    /// Ends the call that is satisfied, or that mode, power or direction take away.
    fn end_what_is_over(
        &mut self,
        settings: &Thermostat,
        selection: Selection,
        sensed: f64,
        at: WorkingSetpoints,
        now: Instant,
    ) {
        let Call::On { direction, .. } = self.call else { return };
        let taken = direction != self.direction
            || !selection.allows(direction)
            || !at.permitted.has(direction);
        let satisfied = settings.thresholds(direction, at).end_at(sensed);
        let ends = taken || (satisfied && self.calls(settings, now).end(satisfied, 0.0));
        if ends {
            self.call = Call::Off { since: Some(now) };
        }
    }

    fn may_turn(
        &self,
        settings: &Thermostat,
        sensed: f64,
        at: WorkingSetpoints,
        now: Instant,
    ) -> bool {
        let thresholds = settings.thresholds(self.direction, at);
        self.call.direction().is_none()
            && !thresholds.start_at(sensed)
            && thresholds.opposite_start_at(sensed)
            && self
                .served_until(self.direction)
                .is_none_or(|end| now.since(end) >= settings.changeover_delay)
    }

    /// The call and its timers, in seconds from `now`.
    #[inline]
    pub(super) fn calls(&self, settings: &Thermostat, now: Instant) -> Calls {
        let (min_on, min_off) = (settings.min_on.get(), settings.min_off.get());
        let from_now = |since: Option<Instant>, length: i64| match since {
            Some(since) => (since.get() + length - now.get()) as f64,
            None => f64::NEG_INFINITY,
        };
        let (on, held_until, rests_until) = match self.call {
            Call::On { served_since, .. } => (1.0, from_now(served_since, min_on), 0.0),
            Call::Off { since } => (-1.0, 0.0, from_now(since, min_off)),
        };
        Calls { on, held_until, rests_until, min_on: min_on as f64, min_off: min_off as f64 }
    }

    /// Takes over that in a lane a call started, first served at an instant if it has been, or ended.
    pub const fn note_call(&mut self, at: Instant, on: Option<Option<Instant>>) {
        self.call = match on {
            Some(served_since) => Call::On { direction: self.direction, served_since },
            None => Call::Off { since: Some(at) },
        };
    }

    /// A call that goes on already when everything begins, served from now on.
    pub fn run_already(&mut self, direction: Direction, now: Instant) {
        self.direction = direction;
        self.call = Call::On { direction, served_since: Some(now) };
    }

    /// Notes that the step from `now` to `end` was served in a direction. True where that is a
    /// changeover: the last served step went the other way.
    pub fn note_served(&mut self, direction: Direction, now: Instant, end: Instant) -> bool {
        if let Call::On { served_since: since @ None, .. } = &mut self.call {
            *since = Some(now);
        }
        self.served_until[direction as usize] = Some(end);
        let turned = self.last_served == Some(direction.opposite());
        self.last_served = Some(direction);
        turned
    }
}

#[cfg(test)]
mod tests;
