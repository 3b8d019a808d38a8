//! Rule 13: the reason of each outcome, in words that name its cause.

mod change;

use super::display::Passage;
use super::locks::LockableKey;
use super::modes::Mode;
use super::ranges::{OnConflict, Range, Side};
use super::request::{Cause, Settings, Stored, Verdict};
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
            Cause::Done(key) => done_words(key, &verdict.after),
            Cause::AlreadySo(key) => already_words(key, &verdict.after),
            Cause::SteppedTo(mode) => format!("the mode key stepped to {}", mode.name()),
            Cause::Switched(power) => format!("the power key switched it {}", power.name()),
            Cause::Setpoint { side, asked, passage, before, moved } => {
                let mut parts = self.what_moved(side, &before, &moved);
                parts.extend(match asked {
                    Some(asked) => self.rounding(asked, passage, moved.setpoints.get(side), &moved),
                    None => self.display(before.get(side), moved.setpoints.get(side)),
                });
                parts.join("; ")
            }
            Cause::KeyLocked(key, controller) => {
                let id = self.settings.controllers.id(controller);
                format!("{} locked for occupants at controller {id}", key_words(key))
            }
            Cause::NothingActive => "warmer and cooler move nothing in fan".into(),
            Cause::PowerIsOff => "this key does nothing while the power is off".into(),
            Cause::NoOtherMode => self.no_other_mode(),
            Cause::FollowsOwner => self.follows_owner(),
            Cause::Lacks(mode) => self.lacks(mode),
            Cause::ModeLocked(mode) => format!(
                "mode {} is locked; only a technician or a schedule can ask for it",
                mode.name()
            ),
        }
    }

    fn no_other_mode(&self) -> String {
        match self.settings.modes.as_slice() {
            [only] => format!("the mode key has nowhere to go: the unit has only {}", only.name()),
            _ => "the mode key has nowhere to go: every other mode is locked".into(),
        }
    }

    fn follows_owner(&self) -> String {
        let fan = self.settings.modes.has(Mode::Fan) && !self.settings.locked_modes.has(Mode::Fan);
        let choice = if fan { "; only fan can be selected here" } else { "" };
        format!("the mode follows {}{choice}", self.owner_words())
    }

    fn owner_words(&self) -> String {
        self.owner.map_or_else(|| "the owner of the group".into(), |id| format!("owner zone {id}"))
    }

    fn lacks(&self, mode: Mode) -> String {
        let has: Vec<_> = self.settings.modes.as_slice().iter().map(|mode| mode.name()).collect();
        let words = format!("the unit has no mode {}; it has {}", mode.name(), has.join(", "));
        match self.owner {
            // What a follower's mode key would lead to.
            Some(_) if mode == Mode::Fan => {
                format!("{words}, and the mode follows {}", self.owner_words())
            }
            _ => words,
        }
    }

    fn what_moved(&self, side: Side, before: &Setpoints, moved: &Moved) -> Vec<String> {
        let mut parts = Vec::new();
        if let Some(bound) = moved.held {
            parts.push(self.held(side, bound, before, moved));
        }
        if moved.other_moved {
            parts.push(self.other_moved(side.other(), before, moved));
        }
        if parts.is_empty() {
            parts.push(self.own_move(side, before.get(side), moved.setpoints.get(side)));
        }
        parts
    }

    fn own_move(&self, side: Side, from: Ticks, to: Ticks) -> String {
        let name = self.setpoint_name(side);
        if from == to {
            format!("{name} stood at {} already", self.show(to))
        } else {
            format!("{name} moved from {} to {}", self.show(from), self.show(to))
        }
    }

    fn held(&self, side: Side, bound: Bound, before: &Setpoints, moved: &Moved) -> String {
        let rules = &self.settings.rules;
        let (name, other) = (self.setpoint_name(side), side.other());
        let value = self.show(moved.setpoints.get(side));
        let deadband = self.show(rules.deadband());
        let limits = |side| self.range(rules.written(side));
        match bound {
            Bound::Limit if rules.is_single() => {
                format!("{name} held at {value}: the {} limits are {}", side.name(), limits(side))
            }
            Bound::OtherLimit if rules.is_single() => {
                format!("{name} held at {value}: the {} limits are {}", other.name(), limits(other))
            }
            Bound::Limit => format!("{name} held at {value}: its limits are {}", limits(side)),
            Bound::OtherLimit => {
                let (end, goes) = match side {
                    Side::Heat => (rules.written(other).high, "no higher"),
                    Side::Cool => (rules.written(other).low, "no lower"),
                };
                format!(
                    "{name} held at {value}: {} goes {goes} than {} and the minimum deadband is \
                     {deadband}",
                    other.name(),
                    self.show(end)
                )
            }
            Bound::OtherSetpoint => format!(
                "{name} held at {value}: {} stays at {} and the minimum deadband is {deadband}",
                other.name(),
                self.show(before.get(other))
            ),
        }
    }

    fn other_moved(&self, other: Side, before: &Setpoints, moved: &Moved) -> String {
        let (from, to) = (before.get(other), moved.setpoints.get(other));
        let pushed = match other {
            Side::Heat => to < from,
            Side::Cool => to > from,
        };
        let asked = moved.setpoints.asked(other);
        let (name, deadband) = (other.name(), self.show(self.settings.rules.deadband()));
        let (from_words, to_words) = (self.show(from), self.show(to));
        if pushed {
            format!(
                "{name} moved from {from_words} to {to_words}: the minimum deadband is {deadband}"
            )
        } else if to == asked {
            format!("{name} returned from {from_words} to {to_words}, where it was last set")
        } else {
            format!(
                "{name} returned from {from_words} to {to_words} on its way to {}, where it was \
                 last set: the minimum deadband is {deadband}",
                self.show(asked)
            )
        }
    }

    /// What became of an asked value that the controller cannot store.
    fn rounding(
        &self,
        asked: f64,
        passage: Option<Passage>,
        value: Ticks,
        moved: &Moved,
    ) -> Option<String> {
        if moved.held.is_some() || self.settings.grid.exact(asked) == Ok(value) {
            return None;
        }
        let value = self.show(value);
        Some(match (passage, self.settings.display) {
            (Some(passage), Some(display)) => {
                let (shown, letter) = (display.grid(), display.grid().unit().letter());
                let shown = shown.show(passage.shown);
                format!("{asked} shows as {shown} {letter}, which is stored as {value}")
            }
            _ => format!("{asked} was rounded to {value}, the nearest step"),
        })
    }

    /// What a press did to the reading of a display in the other unit.
    fn display(&self, before: Ticks, after: Ticks) -> Option<String> {
        let display = self.settings.display?;
        let grid = self.settings.grid;
        let reads = |ticks| display.reads(grid.value(ticks), grid.unit());
        let (old, new) = (reads(before), reads(after));
        let still = if old == new { "still reads" } else { "reads" };
        let shown = display.grid();
        Some(format!("the display {still} {} {}", shown.show(new), shown.unit().letter()))
    }

    fn setpoint_name(&self, side: Side) -> &'static str {
        if self.settings.rules.is_single() { "the one setpoint" } else { side.name() }
    }

    fn range(&self, range: Range) -> String {
        format!("{} to {}", self.show(range.low), self.show(range.high))
    }

    fn show(&self, ticks: Ticks) -> String {
        self.settings.grid.show(ticks).to_string()
    }
}

fn done_words(key: LockableKey, after: &Stored) -> String {
    match key {
        LockableKey::Power => format!("switched {}", after.power.name()),
        _ => format!("mode set to {}", after.mode.name()),
    }
}

fn already_words(key: LockableKey, after: &Stored) -> String {
    match key {
        LockableKey::Power => format!("it was {} already", after.power.name()),
        _ => format!("the mode was {} already", after.mode.name()),
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

#[cfg(test)]
mod tests;
