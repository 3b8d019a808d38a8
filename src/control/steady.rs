//! Rule 9 for thermostats side by side, as long as none of them turns.
//!
//! A thermostat that keeps its direction ends its call, rests, starts the next and holds it. That
//! much of [`ThermostatState`] is written here for several at once. Everything else (another
//! direction, a zone that is starved, the low limit, a changeover to be told) is not done but
//! reported: the interval ends before that step, which the thermostats then make each by itself.

use super::thermostat::{Call, Distance, Selection, Thermostat, ThermostatState, WorkingSetpoints};
use crate::direction::Direction;
use crate::numbers::Number;
use crate::time::Instant;

/// A thermostat at the beginning of an interval in which it may stay steady. Temperatures are in the
/// file's unit and negative in heating, so that in either direction more is further outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    /// The direction that it keeps.
    pub direction: Direction,
    /// Whether a call is being served.
    pub on: bool,
    /// Whether it may start a call by itself: not where that would be a changeover.
    pub may_start: bool,
    /// A call starts from here on.
    start: f64,
    /// A call ends from here down.
    end: f64,
    /// From here down, without a call, the opposite direction is wanted.
    opposite: f64,
    /// How far it is to the end of a call.
    pub distance: Distance,
    /// Until when a call is held or the next waits, and how long that takes: seconds from the
    /// beginning.
    held_until: f64,
    rests_until: f64,
    min_on: f64,
    min_off: f64,
}

impl ThermostatState {
    /// How a zone that decides for itself goes on from `now`; `None` where it might turn at once.
    pub fn steady(
        &self,
        settings: &Thermostat,
        selection: Selection,
        at: WorkingSetpoints,
        now: Instant,
    ) -> Option<Steady> {
        let direction = self.direction();
        if let Selection::On(mode) = selection
            && mode.only_direction().is_some_and(|only| only != direction)
        {
            return None;
        }
        let from_now = |then: Instant, length: i64| (then.get() + length - now.get()) as f64;
        let (min_on, min_off) = (settings.min_on.get(), settings.min_off.get());
        let (on, held_until, rests_until) = match self.call() {
            Call::On { direction: called, served_since: Some(since) }
                if called == direction && selection.allows(direction) =>
            {
                (true, from_now(since, min_on), f64::NEG_INFINITY)
            }
            Call::On { .. } => return None,
            Call::Off { since } => {
                let rests = since.map_or(f64::NEG_INFINITY, |end| from_now(end, min_off));
                (false, f64::NEG_INFINITY, rests)
            }
        };
        let sign = -direction.sign();
        let awake = selection.is_awake();
        Some(Steady {
            direction,
            on,
            may_start: self.last_served() != Some(direction.opposite()),
            start: if awake { sign * settings.start_mark(direction, at) } else { f64::INFINITY },
            end: sign * settings.end_mark(direction, at),
            opposite: if awake {
                sign * settings.start_mark(direction.opposite(), at)
            } else {
                f64::NEG_INFINITY
            },
            distance: settings.distance_to_end(direction, at),
            held_until,
            rests_until,
            min_on: min_on as f64,
            min_off: min_off as f64,
        })
    }

    /// Takes over that a steady thermostat started a call, which is served at once, or ended one.
    pub fn note_steady(&mut self, on: bool, at: Instant) {
        if on {
            self.set_call(Call::On { direction: self.direction(), served_since: Some(at) });
        } else {
            self.set_call(Call::Off { since: Some(at) });
        }
    }
}

/// Thermostats side by side that stay steady.
#[derive(Clone, Copy, Debug)]
pub struct SteadySideBySide<V: Number> {
    /// One where a call is on, else minus one: a processor turns numbers into yes and no in less
    /// time than it turns a yes into a no.
    on: V,
    may_not_start: V::Mask,
    sign: V,
    start: V,
    end: V,
    opposite: V,
    distance: Distance<V>,
    held_until: V,
    rests_until: V,
    min_on: V,
    min_off: V,
}

/// What steady thermostats decided in a step.
#[derive(Clone, Copy, Debug)]
pub struct SteadyStep<V: Number> {
    /// Where a call is on.
    pub on: V::Mask,
    /// Where something else is to be decided: the step does not count there.
    pub unsteady: V::Mask,
    /// Where the start condition is met, whatever the timers say.
    pub starts: V::Mask,
    /// Where that of the opposite direction is.
    pub starts_opposite: V::Mask,
    /// How far it is to where the call would end.
    pub distance: V,
}

impl<V: Number> SteadySideBySide<V> {
    /// Thermostats, each in its lane.
    #[inline(always)]
    pub fn new<'s>(token: V::Token, of: impl Fn(usize) -> &'s Steady) -> Self {
        let all = |pick: fn(&Steady) -> f64| V::from_fn(token, |lane| pick(of(lane)));
        Self {
            on: all(|it| if it.on { 1.0 } else { -1.0 }),
            may_not_start: V::mask_from_fn(token, |lane| !of(lane).may_start),
            sign: all(|it| -it.direction.sign()),
            start: all(|it| it.start),
            end: all(|it| it.end),
            opposite: all(|it| it.opposite),
            distance: Distance {
                shift: all(|it| it.distance.shift),
                then: all(|it| it.distance.then),
            },
            held_until: all(|it| it.held_until),
            rests_until: all(|it| it.rests_until),
            min_on: all(|it| it.min_on),
            min_off: all(|it| it.min_off),
        }
    }

    /// Where a call was on in the step before.
    #[inline(always)]
    pub fn on(&self) -> V::Mask {
        self.on.ge(self.on.splat(0.0))
    }

    /// Decides a step that begins so many seconds after the beginning: what is over ends, what is
    /// wanted starts.
    #[inline(always)]
    pub fn step(&mut self, sensed: V, time: V) -> SteadyStep<V> {
        let (outside, nothing) = (self.sign * sensed, sensed.splat(0.0));
        let (on, off) = (self.on(), nothing.ge(self.on));
        let satisfied = self.end.ge(outside) & time.ge(self.held_until);
        let starts = outside.ge(self.start);
        let starts_opposite = self.opposite.ge(outside);
        let wanted = starts & time.ge(self.rests_until);
        let (ended, started) = (on & satisfied, off & wanted);
        self.rests_until = V::select(ended, time + self.min_off, self.rests_until);
        self.held_until = V::select(started, time + self.min_on, self.held_until);
        self.on = V::select(ended, self.on.splat(-1.0), self.on);
        self.on = V::select(started, self.on.splat(1.0), self.on);
        // A call that ends and is wanted again at once is left to the thermostat.
        let unsteady =
            ((off | ended) & starts_opposite) | (ended & wanted) | (started & self.may_not_start);
        let distance = self.distance.of(outside);
        SteadyStep { on: self.on(), unsteady, starts, starts_opposite, distance }
    }
}

#[cfg(test)]
mod tests;
