//! What can be told at one sample: power, mode, outdoor limits, absence, timers, and that nothing is
//! wrong.

use super::scene::{Scene, shown};
use super::{CauseFound as Cause, Felt};
use crate::control::{Mode, Power};
use crate::direction::Direction;
use crate::log::{LogTime, Running, Sample};

pub(super) use super::CauseFound;

/// A temperature comes this close to a threshold and counts as there.
pub(super) const CLOSE: f64 = 1e-6;
/// A room that is less short of its setpoint than this lacks nothing, in the file's unit.
pub(super) const LITTLE: f64 = 0.3;

/// A zone at one sample, and what somebody felt.
#[derive(Clone, Copy)]
pub(super) struct Look<'s> {
    pub scene: &'s Scene,
    pub felt: Felt,
    pub place: usize,
    pub now: &'s Sample,
    pub needs: Direction,
}

impl<'s> Look<'s> {
    pub(super) fn at(scene: &'s Scene, felt: Felt, place: usize) -> Option<Self> {
        Some(Self { scene, felt, place, now: scene.samples.get(place)?, needs: felt.needs() })
    }

    /// The same at another sample.
    pub(super) fn moved_to(&self, place: usize) -> Option<Self> {
        Self::at(self.scene, self.felt, place)
    }

    /// The time of the look; of the complaint where it is the sample of that.
    pub(super) fn at_time(&self) -> LogTime {
        self.now.at
    }

    pub(super) fn time_of(&self, place: usize) -> LogTime {
        self.scene.samples[place].at
    }

    /// The first sample up to this one since which something holds without a gap.
    pub(super) fn first(&self, holds: impl Fn(usize) -> bool) -> usize {
        let mut first = self.place;
        while first > 0 && !self.scene.samples[first].after_gap && holds(first - 1) {
            first -= 1;
        }
        first
    }

    pub(super) fn since(&self, holds: impl Fn(&Sample) -> bool) -> LogTime {
        self.time_of(self.first(|place| holds(&self.scene.samples[place])))
    }

    /// How far the room is past its setpoint on the side that was felt, as its sensor has it and in
    /// the file's unit; positive where the unit ought to do something.
    pub(super) fn short(&self, place: usize) -> Option<f64> {
        let setpoint = self.setpoint_at(place)?;
        Some((setpoint - self.scene.sensed(place)?) * self.needs.sign())
    }

    pub(super) fn setpoint_at(&self, place: usize) -> Option<f64> {
        let sample = &self.scene.samples[place];
        match self.needs {
            Direction::Heating => sample.heat,
            Direction::Cooling => sample.cool,
        }
    }

    pub(super) fn start(&self) -> f64 {
        self.scene.controls.thermostat.call_start.of(self.needs)
    }

    pub(super) fn runs(&self, sample: &Sample) -> bool {
        matches!(sample.running, Some(Running::In(direction)) if direction == self.needs)
            || sample.running == Some(Running::On)
    }

    /// Whether the unit gives what was wanted.
    pub(super) fn is_served(&self) -> bool {
        self.runs(self.now)
    }

    /// Whether a call in the direction that is needed would start.
    pub(super) fn is_called(&self, place: usize) -> bool {
        self.short(place).is_some_and(|short| short >= self.start() - CLOSE)
    }

    /// The sample since which the unit gives what was wanted, if it does.
    pub(super) fn running_since(&self) -> Option<usize> {
        self.is_served().then(|| self.first(|place| self.runs(&self.scene.samples[place])))
    }

    /// How far the room has come towards what is wanted since a sample, K.
    pub(super) fn gained_since(&self, place: usize) -> Option<f64> {
        let was = self.scene.samples[place].temperature?;
        let by = (self.now.temperature? - was) * self.needs.sign();
        Some(self.scene.unit.difference_to_kelvin(by))
    }

    /// Whether the air is outside the comfort band on the side that was felt.
    pub(super) fn is_outside(&self) -> bool {
        let (low, high) = self.scene.band;
        self.now.temperature.is_some_and(|air| match self.felt {
            Felt::Cold => air < low,
            Felt::Hot => air > high,
        })
    }

    /// Whether the room is still short of its setpoint, or outside the band on the side that was felt.
    pub(super) fn is_short(&self) -> bool {
        let least = self.start().max(LITTLE);
        self.is_outside() || self.short(self.place).is_some_and(|short| short >= least)
    }

    pub(super) fn power(&self) -> Option<Cause> {
        (self.now.power == Some(Power::Off)).then(|| {
            let since = self.since(|it| it.power == Some(Power::Off));
            Cause::new("power_off", since, "power off", "it was switched off")
        })
    }

    pub(super) fn mode(&self) -> Option<Cause> {
        let mode = self.now.mode.filter(|mode| !mode.allows(self.needs))?;
        // A follower works in its group's direction, whatever it has stored, unless that is fan.
        if self.scene.follows && mode != Mode::Fan {
            return None;
        }
        let since = self.since(|it| it.mode == Some(mode));
        let message = format!("mode {} does no {}", mode.name(), self.needs.name());
        Some(Cause::new("mode", since, format!("mode {}", mode.name()), message))
    }

    pub(super) fn outdoor(&self) -> Option<Cause> {
        let outdoor = self.now.outdoor?;
        let limits = self.scene.outdoor_limits;
        let any =
            |outdoor: f64| limits.iter().any(|limit| !limit.at_start(outdoor).has(self.needs));
        if !any(outdoor) || self.is_served() {
            return None;
        }
        let since = self.since(|it| it.outdoor.is_some_and(any));
        let message = format!(
            "at {} outdoors the outdoor limits do not allow {}",
            shown(outdoor),
            self.needs.name()
        );
        Some(Cause::new("outdoor_limit", since, format!("outdoor {}", shown(outdoor)), message))
    }

    pub(super) fn unoccupied(&self) -> Option<Cause> {
        let away = self.now.occupied == Some(false) && self.scene.controls.setback.is_some();
        // A room that its unit should be heating or cooling all the same has another cause.
        if !away || self.is_called(self.place) {
            return None;
        }
        let since = self.since(|it| it.occupied == Some(false));
        let setpoint = self.setpoint_at(self.place).map(shown).unwrap_or_default();
        let message = format!("it counted as unoccupied, and its setback let it go to {setpoint}");
        Some(Cause::new("unoccupied", since, "unoccupied", message))
    }

    /// Somebody is there again, since no longer than it takes to recover.
    pub(super) fn recovery(&self, longest: i64) -> Option<Cause> {
        self.scene.controls.setback?;
        let there = |it: &Sample| it.occupied == Some(true);
        let first = self.first(|place| there(&self.scene.samples[place]));
        let from_away = first > 0 && self.scene.samples[first - 1].occupied == Some(false);
        let since = self.time_of(first);
        if !there(self.now) || !from_away || self.at_time() - since > longest {
            return None;
        }
        let message = "it had not yet recovered from the time when nobody was there";
        Some(Cause::new("recovery", since, format!("somebody since {since}"), message))
    }

    pub(super) fn rest(&self) -> Option<Cause> {
        let off = self.now.running == Some(Running::Off) && self.now.power != Some(Power::Off);
        if !self.is_called(self.place) || !off || self.group().is_some() {
            return None;
        }
        let stands = |place: usize| self.scene.samples[place].running == Some(Running::Off);
        let first = self.first(stands);
        let last = &self.scene.samples[first.checked_sub(1)?];
        let since = self.time_of(first);
        let thermostat = &self.scene.controls.thermostat;
        let turned = last.running == Some(Running::In(self.needs.opposite()));
        let rest = thermostat.min_off.max(self.scene.outdoor_rest);
        let timer = if turned { thermostat.changeover_delay.max(rest) } else { rest };
        if self.at_time() - since > timer.get() + 120 {
            return None;
        }
        let what = if turned { "turned round" } else { "rested" };
        let message = format!("its unit {what}, which its timers have last {timer}");
        Some(Cause::new("rest", since, "not running", message))
    }

    /// Nothing explains it: the air is as it should be.
    pub(super) fn within(&self) -> Cause {
        let (low, high) = self.scene.band;
        let air = self.now.temperature;
        let inside = |it: &Sample| it.temperature.is_some_and(|air| air >= low && air <= high);
        let since = self.since(inside);
        let other = self.moved_to(self.place).map(|it| Self { felt: it.felt.opposite(), ..it });
        let is = match (inside(self.now), other.is_some_and(|it| it.is_outside())) {
            (true, _) => "within",
            (false, true) => "on the other side of",
            (false, false) => "near",
        };
        let message = format!(
            "nothing was wrong with air and controls, which were {is} the band {} to {}: look at the \
             site for radiant cold or sun, draught and clothing",
            shown(low),
            shown(high)
        );
        let reading = air.map(|it| format!("air {}", shown(it))).unwrap_or_default();
        Cause::new("within_band", since, reading, message)
    }
}
