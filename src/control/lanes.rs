//! Rule 9 as formulas: when calls start, how long they last and when they end, for one thermostat
//! (one lane, `f64`) or for several side by side.
//!
//! Sensed temperatures are in the file's unit and multiplied by [`Thresholds::sign`], -1 in heating
//! and 1 in cooling: in either direction a larger number lies further outside the setpoint. Times
//! are seconds since an instant that all lanes have in common.

use crate::numbers::Number;

/// The signed temperatures at which a thermostat's calls start and end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Thresholds<V = f64> {
    /// -1 in heating, 1 in cooling.
    pub(super) sign: V,
    /// A call starts at this or above.
    pub(super) start: V,
    /// A call is satisfied at this or below.
    pub(super) end: V,
    /// A call in the opposite direction starts at this or below.
    pub(super) opposite: V,
}

impl<V: Number> Thresholds<V> {
    #[inline(always)]
    fn from_fn<'t>(token: V::Token, of: impl Fn(usize) -> &'t Thresholds) -> Self {
        let all = |pick: fn(&Thresholds) -> f64| V::from_fn(token, |lane| pick(of(lane)));
        Self {
            sign: all(|it| it.sign),
            start: all(|it| it.start),
            end: all(|it| it.end),
            opposite: all(|it| it.opposite),
        }
    }

    /// Whether a sensed temperature meets the start condition.
    #[inline(always)]
    pub(super) fn start_at(&self, sensed: V) -> V::Mask {
        (self.sign * sensed).ge(self.start)
    }

    /// Whether a sensed temperature satisfies a call.
    #[inline(always)]
    pub(super) fn end_at(&self, sensed: V) -> V::Mask {
        self.end.ge(self.sign * sensed)
    }

    /// Whether a sensed temperature meets the start condition of the opposite direction.
    #[inline(always)]
    pub(super) fn opposite_start_at(&self, sensed: V) -> V::Mask {
        self.opposite.ge(self.sign * sensed)
    }
}

/// Calls with their timers, s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Calls<V = f64> {
    /// 1 with a call, -1 without: two comparisons give both masks, which is faster than negating
    /// one.
    pub(super) on: V,
    /// A satisfied call does not end before this.
    pub(super) held_until: V,
    /// A call does not start before this.
    pub(super) rests_until: V,
    /// The least time for which a call that is served goes on.
    pub(super) min_on: V,
    /// The least time between the end of a call and the start of the next.
    pub(super) min_off: V,
}

impl<V: Number> Calls<V> {
    #[inline(always)]
    fn from_fn<'c>(token: V::Token, of: impl Fn(usize) -> &'c Calls) -> Self {
        let all = |pick: fn(&Calls) -> f64| V::from_fn(token, |lane| pick(of(lane)));
        Self {
            on: all(|it| it.on),
            held_until: all(|it| it.held_until),
            rests_until: all(|it| it.rests_until),
            min_on: all(|it| it.min_on),
            min_off: all(|it| it.min_off),
        }
    }

    /// Where there is a call.
    #[inline(always)]
    pub(super) fn are_on(&self) -> V::Mask {
        self.on.ge(self.on.splat(0.0))
    }

    /// Where there is none.
    #[inline(always)]
    pub(super) fn are_off(&self) -> V::Mask {
        self.on.splat(0.0).ge(self.on)
    }

    /// Ends the calls that are satisfied and have lasted long enough. Returns where.
    #[inline(always)]
    pub(super) fn end(&mut self, satisfied: V::Mask, time: V) -> V::Mask {
        let ended = self.are_on() & satisfied & time.ge(self.held_until);
        self.rests_until = V::select(ended, time + self.min_off, self.rests_until);
        self.on = V::select(ended, self.on.splat(-1.0), self.on);
        ended
    }

    /// Starts calls where they are wanted, there is none and the unit has rested, as if they were
    /// served at once. Returns where.
    #[inline(always)]
    pub(super) fn start(&mut self, wanted: V::Mask, time: V) -> V::Mask {
        let started = self.are_off() & wanted & time.ge(self.rests_until);
        self.hold(started, time);
        self.on = V::select(started, self.on.splat(1.0), self.on);
        started
    }

    /// Where calls are served for the first time they last for a while.
    #[inline(always)]
    fn hold(&mut self, served: V::Mask, time: V) {
        self.held_until = V::select(served, time + self.min_on, self.held_until);
    }

    /// Where calls have not been served nothing holds them.
    #[inline(always)]
    fn wait(&mut self, unserved: V::Mask) {
        self.held_until = V::select(unserved, self.on.splat(f64::NEG_INFINITY), self.held_until);
    }
}

/// How far a signed sensed temperature lies from another temperature, in the file's unit: one form
/// for both directions, in which no rounding is lost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance<V = f64> {
    /// What is added first.
    pub(super) shift: V,
    /// What is added then.
    pub(super) then: V,
}

impl<V: Number> Distance<V> {
    #[inline(always)]
    fn from_fn<'d>(token: V::Token, of: impl Fn(usize) -> &'d Distance) -> Self {
        Self {
            shift: V::from_fn(token, |lane| of(lane).shift),
            then: V::from_fn(token, |lane| of(lane).then),
        }
    }

    /// The distance of a signed sensed temperature.
    #[inline(always)]
    pub fn of(&self, signed: V) -> V {
        signed + self.shift + self.then
    }
}

/// What it means that a zone meets the start condition of the opposite direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Opposite<V: Number = f64> {
    /// Where it means anything: the zone is starved, or it or its group may turn.
    pub(super) counts: V::Mask,
    /// Where it does during a call, too.
    pub(super) in_calls: V::Mask,
    /// Where the zone is starved already, so that it would be news if it were not.
    pub(super) starved: V::Mask,
}

impl<V: Number> Opposite<V> {
    #[inline(always)]
    fn from_fn<'o>(token: V::Token, of: impl Fn(usize) -> &'o Opposite) -> Self {
        let all = |pick: fn(&Opposite) -> bool| V::mask_from_fn(token, |lane| pick(of(lane)));
        Self {
            counts: all(|it| it.counts),
            in_calls: all(|it| it.in_calls),
            starved: all(|it| it.starved),
        }
    }

    /// Where something comes of it that has not come of it before.
    #[inline(always)]
    fn is_news(&self, met: V::Mask, off: V::Mask) -> V::Mask {
        let counts = met & self.counts & (off | self.in_calls);
        (counts & !self.starved) | (self.starved & !counts)
    }
}

/// Thermostats that keep their directions, each in its lane. A step in which one of them has
/// anything else to decide (another direction, a zone that is starved from then on or no longer, a
/// changeover to be told) is reported and left to the state machine of `thermostat.rs`.
#[derive(Clone, Copy, Debug)]
pub struct ThermostatLanes<V: Number = f64> {
    pub(super) thresholds: Thresholds<V>,
    pub(super) calls: Calls<V>,
    /// How far it is to where a call would end.
    pub(super) distance: Distance<V>,
    /// Where a call that starts has to be told: it would be a changeover.
    pub(super) start_is_event: V::Mask,
    /// What it means that the opposite direction is wanted.
    pub(super) opposite: Opposite<V>,
}

/// What thermostats decided in the first half of a step.
#[derive(Clone, Copy, Debug)]
pub struct LaneEnd<V: Number> {
    /// Where the start condition is met, whatever the timers say.
    starts: V::Mask,
    /// Where that of the opposite direction is.
    starts_opposite: V::Mask,
    /// Where a call has ended.
    ended: V::Mask,
    /// Where there is none.
    off: V::Mask,
}

impl<V: Number> LaneEnd<V> {
    /// Nothing yet; `none` is set nowhere.
    #[inline(always)]
    pub const fn nothing(none: V::Mask) -> Self {
        Self { starts: none, starts_opposite: none, ended: none, off: none }
    }
}

/// What thermostats decided in a step.
#[derive(Clone, Copy, Debug)]
pub struct LaneStep<V: Number> {
    /// Where a call is on.
    pub on: V::Mask,
    /// Where something else is to be decided: the step does not count there.
    pub event: V::Mask,
    /// Where the start condition is met, whatever the timers say.
    pub starts: V::Mask,
    /// Where that of the opposite direction is.
    pub starts_opposite: V::Mask,
    /// How far it is to where the call would end, in the file's unit.
    pub distance: V,
}

impl ThermostatLanes {
    /// Whether there is a call.
    pub fn is_on(&self) -> bool {
        self.on()
    }

    /// Makes an event of a call that starts.
    pub const fn report_start(&mut self) {
        self.start_is_event = true;
    }

    /// Whether the zone is starved.
    pub const fn is_starved(&self) -> bool {
        self.opposite.starved
    }
}

impl<V: Number> ThermostatLanes<V> {
    /// The thermostats that `of` gives for each lane.
    #[inline(always)]
    pub fn from_fn<'s>(token: V::Token, of: impl Fn(usize) -> &'s ThermostatLanes) -> Self {
        Self {
            thresholds: Thresholds::from_fn(token, |lane| &of(lane).thresholds),
            calls: Calls::from_fn(token, |lane| &of(lane).calls),
            distance: Distance::from_fn(token, |lane| &of(lane).distance),
            start_is_event: V::mask_from_fn(token, |lane| of(lane).start_is_event),
            opposite: Opposite::from_fn(token, |lane| &of(lane).opposite),
        }
    }

    /// Where a call was on in the step before.
    #[inline(always)]
    pub fn on(&self) -> V::Mask {
        self.calls.are_on()
    }

    /// Decides the step that begins at `time`: what is over ends, what is wanted starts and is served
    /// at once.
    #[inline(always)]
    pub fn step(&mut self, sensed: V, time: V) -> LaneStep<V> {
        let half = self.end(sensed, time);
        let started = self.calls.start(half.starts, time);
        self.decided(half, started, sensed)
    }

    /// The first half of the step that begins at `time`: what is over ends.
    #[inline(always)]
    pub fn end(&mut self, sensed: V, time: V) -> LaneEnd<V> {
        let starts = self.thresholds.start_at(sensed);
        let starts_opposite = self.thresholds.opposite_start_at(sensed);
        let ended = self.calls.end(self.thresholds.end_at(sensed), time);
        LaneEnd { starts, starts_opposite, ended, off: self.calls.are_off() }
    }

    /// The second half: what is wanted starts, where it may, and waits to be served.
    #[inline(always)]
    pub fn start(&mut self, half: LaneEnd<V>, may: V::Mask, sensed: V, time: V) -> LaneStep<V> {
        let started = self.calls.start(half.starts & may, time);
        self.calls.wait(started);
        self.decided(half, started, sensed)
    }

    /// Notes where calls are served for the first time in the step that begins at `time`.
    #[inline(always)]
    pub fn serve_first(&mut self, served: V::Mask, time: V) {
        self.calls.hold(served, time);
    }

    #[inline(always)]
    fn decided(&self, half: LaneEnd<V>, started: V::Mask, sensed: V) -> LaneStep<V> {
        let LaneEnd { starts, starts_opposite, ended, off } = half;
        let news = self.opposite.is_news(starts_opposite, off);
        let event = news | (ended & started) | (started & self.start_is_event);
        let distance = self.distance.of(self.thresholds.sign * sensed);
        LaneStep { on: self.on(), event, starts, starts_opposite, distance }
    }
}

#[cfg(test)]
mod tests;
