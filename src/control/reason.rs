//! Rule 13: the reason of each outcome, in words that name its cause.

use super::display::Passage;
use super::locks::LockableKey;
use super::modes::{Mode, Power};
use super::ranges::{OnConflict, Side};
use super::request::{Cause, Settings, Verdict};
use super::setpoints::{Bound, Moved, Setpoints};
use super::ticks::Ticks;

/// Puts verdicts into words.
#[derive(Clone, Copy, Debug)]
pub struct Words<'a> {
    /// The settings that the verdict was given under.
    pub settings: &'a Settings,
    /// What the owner zone of the group is called, where the zone follows one.
    pub owner: Option<&'a str>,
}

impl Words<'_> {
    /// The reason of a verdict.
    pub fn reason(&self, verdict: &Verdict) -> String {
        match verdict.cause {
            Cause::Done => "done as asked".into(),
            Cause::AlreadySo => "it already stood so".into(),
            Cause::SteppedTo(mode) => format!("the mode key stepped to {}", mode.name()),
            Cause::Switched(Power::On) => "the power key switched it on".into(),
            Cause::Switched(Power::Off) => "the power key switched it off".into(),
            Cause::Setpoint { side, asked, passage, before, moved } => {
                self.setpoint(side, asked, passage, &before, &moved)
            }
            Cause::KeyLocked(key, controller) => {
                let id = self.settings.controllers.id(controller);
                format!("{} locked for occupants at controller {id}", key_words(key))
            }
            Cause::NothingActive => "in fan no setpoint is active".into(),
            Cause::PowerIsOff => "the power is off".into(),
            Cause::NoOtherMode => "no other mode is left to step to".into(),
            Cause::FollowsOwner => format!(
                "the mode follows the owner zone {}; only fan can be selected here",
                self.owner.unwrap_or("of its group")
            ),
            Cause::Lacks(mode) => {
                let has: Vec<_> = self.settings.modes.as_slice().iter().map(|m| m.name()).collect();
                format!("the unit has no mode {}; it has {}", mode.name(), has.join(", "))
            }
            Cause::ModeLocked(mode) => format!("mode {} is locked for occupants", mode.name()),
        }
    }

    fn setpoint(
        &self,
        side: Side,
        asked: Option<f64>,
        passage: Option<Passage>,
        before: &Setpoints,
        moved: &Moved,
    ) -> String {
        let mut parts = Vec::new();
        if let Some(bound) = moved.held {
            parts.push(self.held(side, bound, before, moved));
        }
        if moved.other_moved {
            parts.push(self.other_moved(side.other(), before, moved));
        }
        if let Some(part) = self.stored_as(asked, passage, side, moved) {
            parts.push(part);
        }
        if parts.is_empty() {
            let present = moved.setpoints.get(side);
            if before.get(side) == present {
                return "it already stood so".into();
            }
            let both =
                if self.settings.rules.is_single() { "the one setpoint" } else { side.name() };
            parts.push(format!(
                "{both} moved from {} to {}",
                self.show(before.get(side)),
                self.show(present)
            ));
        }
        parts.join("; ")
    }

    fn held(&self, side: Side, bound: Bound, before: &Setpoints, moved: &Moved) -> String {
        let rules = &self.settings.rules;
        let (name, other) = (side.name(), side.other());
        let value = self.show(moved.setpoints.get(side));
        let (own, beyond) = (rules.written(side), rules.written(other));
        match bound {
            Bound::Limit => format!(
                "{name} held at {value}: its limits are {} to {}",
                self.show(own.low),
                self.show(own.high)
            ),
            Bound::OtherLimit if rules.is_single() => format!(
                "held at {value}: one setpoint serves both, and the {} limits are {} to {}",
                other.name(),
                self.show(beyond.low),
                self.show(beyond.high)
            ),
            Bound::OtherLimit => {
                let end = match side {
                    Side::Heat => beyond.high,
                    Side::Cool => beyond.low,
                };
                format!(
                    "{name} held at {value}: the {} limit is {} and the minimum deadband is {}",
                    other.name(),
                    self.show(end),
                    self.show(rules.deadband())
                )
            }
            Bound::OtherSetpoint => format!(
                "{name} held at {value}: {} stays at {} and the minimum deadband is {}",
                other.name(),
                self.show(before.get(other)),
                self.show(rules.deadband())
            ),
        }
    }

    fn other_moved(&self, other: Side, before: &Setpoints, moved: &Moved) -> String {
        let (from, to) = (before.get(other), moved.setpoints.get(other));
        let pushed = match other {
            Side::Heat => to < from,
            Side::Cool => to > from,
        };
        let name = other.name();
        let (from, to) = (self.show(from), self.show(to));
        let deadband = self.show(self.settings.rules.deadband());
        if pushed {
            format!("{name} moved from {from} to {to}: the minimum deadband is {deadband}")
        } else {
            format!("{name} returned from {from} towards the value last asked of it, to {to}")
        }
    }

    fn stored_as(
        &self,
        asked: Option<f64>,
        passage: Option<Passage>,
        side: Side,
        moved: &Moved,
    ) -> Option<String> {
        let grid = self.settings.grid;
        if let (Some(passage), Some(display)) = (passage, self.settings.display) {
            let shown = display.grid();
            return Some(format!(
                "set as {} {} on the display, stored as {}",
                shown.show(passage.shown),
                shown.unit().letter(),
                self.show(passage.stored)
            ));
        }
        let asked = asked?;
        let value = moved.setpoints.get(side);
        let rounded = grid.exact(asked).is_err() && moved.held.is_none();
        rounded.then(|| format!("{asked} rounded to {}, the nearest step", self.show(value)))
    }

    fn show(&self, ticks: Ticks) -> String {
        self.settings.grid.show(ticks).to_string()
    }
}

/// The key with its verb.
fn key_words(key: LockableKey) -> &'static str {
    match key {
        LockableKey::Setpoint => "the setpoint keys are",
        LockableKey::Mode => "the mode key is",
        LockableKey::Fan => "the fan key is",
        LockableKey::Power => "the power key is",
    }
}

/// What an `on_conflict` setting does, in a few words.
pub const fn on_conflict_words(on_conflict: OnConflict) -> &'static str {
    match on_conflict {
        OnConflict::Push => "a request pushes the other setpoint, which stays where it was pushed",
        OnConflict::Hold => "a request stops at the deadband; the other setpoint never moves",
        OnConflict::PushAndReturn => {
            "a request pushes the other setpoint, which returns when there is room"
        }
    }
}

/// What a mode does, in a few words.
pub const fn mode_words(mode: Mode) -> &'static str {
    match mode {
        Mode::Heat => "heats to the heat setpoint",
        Mode::Cool => "cools to the cool setpoint",
        Mode::Auto => "heats or cools, as the zone needs",
        Mode::Dry => "cools at its lowest steady output",
        Mode::Fan => "moves air and neither heats nor cools",
    }
}
