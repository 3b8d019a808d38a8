//! Rules 3 to 7 and 13: how a request is judged, against the settings of one zone.
//!
//! [`judge`] is a pure function of settings, stored values, the zone's standing and the request;
//! a run, a proof of reachability and a test sheet all call it.

use super::display::{Display, Passage};
use super::locks::{ControllerIndex, Controllers, KeyLocks, LockableKey};
use super::modes::{Mode, ModeSet, Power, UnitModes};
use super::setpoints::{Bound, Moved, SetpointRules, Setpoints, Side};
use super::ticks::{Grid, Ticks};
use crate::direction::Direction;

/// Who asks, as far as locks and lockouts care.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// Somebody who uses the room.
    Occupant,
    /// Somebody who commissions or services it.
    Technician,
    /// A clock or a building management system.
    Schedule,
}

impl Role {
    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Occupant => "occupant",
            Self::Technician => "technician",
            Self::Schedule => "schedule",
        }
    }
}

/// A key that can be pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Key {
    /// One step up.
    Warmer,
    /// One step down.
    Cooler,
    /// On to the next mode.
    Mode,
    /// On or off.
    Power,
}

impl Key {
    /// All keys.
    pub const ALL: [Self; 4] = [Self::Warmer, Self::Cooler, Self::Mode, Self::Power];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Warmer => "warmer",
            Self::Cooler => "cooler",
            Self::Mode => "mode",
            Self::Power => "power",
        }
    }
}

/// What is asked of a zone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Request {
    /// Switch on or off.
    Power(Power),
    /// Select a mode.
    Mode(Mode),
    /// Set a setpoint to a temperature in the file's unit.
    Setpoint(Side, f64),
    /// Press a key once.
    Press(Key),
}

impl Request {
    /// Whether it is a request for a setpoint, asked for or pressed.
    pub const fn moves_setpoint(&self) -> bool {
        matches!(self.needs(), LockableKey::Setpoint)
    }

    /// The lockable key that this request needs.
    pub const fn needs(&self) -> LockableKey {
        match self {
            Self::Power(_) | Self::Press(Key::Power) => LockableKey::Power,
            Self::Mode(_) | Self::Press(Key::Mode) => LockableKey::Mode,
            Self::Setpoint(..) | Self::Press(Key::Warmer | Key::Cooler) => LockableKey::Setpoint,
        }
    }
}

/// How a request ended (rule 13).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// As asked; also for what already stands.
    Accepted,
    /// As asked, and the other setpoint moved.
    Pushed,
    /// Held at a limit or at the deadband.
    Limited,
    /// A lock, a lockout or the owner stands against it; nothing changed.
    Refused,
    /// The key does nothing in this state.
    NoEffect,
}

impl Outcome {
    /// All outcomes.
    pub const ALL: [Self; 5] =
        [Self::Accepted, Self::Pushed, Self::Limited, Self::Refused, Self::NoEffect];

    /// The word in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::Pushed => "pushed",
            Self::Limited => "limited",
            Self::Refused => "refused",
            Self::NoEffect => "no_effect",
        }
    }
}

/// What a zone remembers through everything: both setpoints, mode and power.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Stored {
    /// Both setpoints.
    pub setpoints: Setpoints,
    /// The selected mode, kept while the power is off.
    pub mode: Mode,
    /// Whether the zone is switched on.
    pub power: Power,
}

/// How the zone stands to its group at this moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Its mode is its own; in `auto` this is the direction it has.
    Own(Direction),
    /// It follows an owner zone; this is the group's direction.
    Follower(Direction),
}

impl Stored {
    /// The side that `warmer` and `cooler` move (rule 4); `None` in `fan` and with the power off.
    pub fn active(&self, standing: Standing) -> Option<Side> {
        match (self.power, self.mode, standing) {
            (Power::Off, ..) | (_, Mode::Fan, _) => None,
            (Power::On, _, Standing::Follower(direction))
            | (Power::On, Mode::Auto, Standing::Own(direction)) => Some(direction.side()),
            (Power::On, Mode::Heat, Standing::Own(_)) => Some(Side::Heat),
            (Power::On, Mode::Cool | Mode::Dry, Standing::Own(_)) => Some(Side::Cool),
        }
    }

    /// The active side, or heat where nothing is active and a rule needs a side all the same.
    pub fn active_or_heat(&self, standing: Standing) -> Side {
        self.active(standing).unwrap_or(Side::Heat)
    }
}

/// The settings that requests are judged by. Any combination of them is legal.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// What the controller can store.
    pub grid: Grid,
    /// How it shows it, where it shows the other unit.
    pub display: Option<Display>,
    /// What the unit can do.
    pub modes: UnitModes,
    /// The controllers of the zone.
    pub controllers: Controllers,
    /// Limits, deadband, and what happens on a conflict.
    pub rules: SetpointRules,
    /// Modes that occupants may not select.
    pub locked_modes: ModeSet,
    /// The lock of each controller, in their order.
    pub key_locks: Vec<KeyLocks>,
}

/// Why a request ended as it did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// It was done; nothing stood against it.
    Done,
    /// It was so before.
    AlreadySo,
    /// The mode key led here.
    SteppedTo(Mode),
    /// The power key led here.
    Switched(Power),
    /// A setpoint request, with what held it and what else moved.
    Setpoint {
        /// The side that was asked for.
        side: Side,
        /// What was asked, before rounding; `None` for a press.
        asked: Option<f64>,
        /// The way through a display in the other unit.
        passage: Option<Passage>,
        /// The pair before.
        before: Setpoints,
        /// What happened.
        moved: Moved,
    },
    /// The key is locked at this controller.
    KeyLocked(LockableKey, ControllerIndex),
    /// `warmer` and `cooler` have nothing to move in `fan`.
    NothingActive,
    /// The key does nothing with the power off.
    PowerIsOff,
    /// The mode key has nowhere to go.
    NoOtherMode,
    /// The zone follows the owner's mode.
    FollowsOwner,
    /// The unit does not have the mode.
    Lacks(Mode),
    /// The mode is locked for occupants.
    ModeLocked(Mode),
}

/// How a request ended, why, and what is stored afterwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// How it ended.
    pub outcome: Outcome,
    /// Why.
    pub cause: Cause,
    /// What is stored afterwards.
    pub after: Stored,
}

/// Judges one request (rules 3 to 7, in the order of rule 13) and says what is stored after it.
pub fn judge(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    request: Request,
    role: Role,
    controller: ControllerIndex,
) -> Verdict {
    let end = |outcome, cause| Verdict { outcome, cause, after: *stored };
    let key = request.needs();
    let locks = settings.key_locks.get(controller.get()).copied().unwrap_or(KeyLocks::NONE);
    if role == Role::Occupant && locks.refuses(key) {
        return end(Outcome::Refused, Cause::KeyLocked(key, controller));
    }
    match request {
        Request::Power(power) => with_power(stored, power, Cause::Done),
        Request::Press(Key::Power) => {
            let power = stored.power.toggled();
            with_power(stored, power, Cause::Switched(power))
        }
        Request::Mode(mode) => asked_mode(settings, stored, standing, mode, role),
        Request::Press(Key::Mode) => pressed_mode(settings, stored, standing),
        Request::Setpoint(side, asked) => asked_setpoint(settings, stored, side, asked),
        Request::Press(Key::Warmer) => pressed_setpoint(settings, stored, standing, Ticks::ONE),
        Request::Press(Key::Cooler) => pressed_setpoint(settings, stored, standing, -Ticks::ONE),
    }
}

fn with_power(stored: &Stored, power: Power, cause: Cause) -> Verdict {
    let cause = if stored.power == power { Cause::AlreadySo } else { cause };
    Verdict { outcome: Outcome::Accepted, cause, after: Stored { power, ..*stored } }
}

fn with_mode(stored: &Stored, mode: Mode, cause: Cause) -> Verdict {
    let cause = if stored.mode == mode { Cause::AlreadySo } else { cause };
    Verdict { outcome: Outcome::Accepted, cause, after: Stored { mode, ..*stored } }
}

fn asked_mode(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    mode: Mode,
    role: Role,
) -> Verdict {
    let refuse = |cause| Verdict { outcome: Outcome::Refused, cause, after: *stored };
    let following = matches!(standing, Standing::Follower(_)) && stored.mode != Mode::Fan;
    if following && mode != Mode::Fan {
        return refuse(Cause::FollowsOwner);
    }
    if !settings.modes.has(mode) {
        return refuse(Cause::Lacks(mode));
    }
    if role == Role::Occupant && settings.locked_modes.has(mode) {
        return refuse(Cause::ModeLocked(mode));
    }
    with_mode(stored, mode, Cause::Done)
}

fn pressed_mode(settings: &Settings, stored: &Stored, standing: Standing) -> Verdict {
    let end = |outcome, cause| Verdict { outcome, cause, after: *stored };
    if stored.power == Power::Off {
        return end(Outcome::NoEffect, Cause::PowerIsOff);
    }
    let locked = settings.locked_modes;
    let next = match standing {
        Standing::Own(_) => settings.modes.next(stored.mode, locked),
        Standing::Follower(_) if stored.mode == Mode::Fan => {
            settings.modes.first_unlocked_beside_fan(locked)
        }
        Standing::Follower(_) => {
            if !settings.modes.has(Mode::Fan) {
                return end(Outcome::Refused, Cause::Lacks(Mode::Fan));
            }
            if locked.has(Mode::Fan) {
                return end(Outcome::Refused, Cause::ModeLocked(Mode::Fan));
            }
            Some(Mode::Fan)
        }
    };
    match next {
        Some(mode) => with_mode(stored, mode, Cause::SteppedTo(mode)),
        None => end(Outcome::NoEffect, Cause::NoOtherMode),
    }
}

fn asked_setpoint(settings: &Settings, stored: &Stored, side: Side, asked: f64) -> Verdict {
    let grid = settings.grid;
    let passage =
        settings.display.map(|display| display.set(display.reads(asked, grid.unit()), grid));
    let wanted = passage.map_or_else(|| grid.nearest(asked), |passage| passage.stored);
    move_setpoint(settings, stored, side, wanted, Some(asked), passage)
}

fn pressed_setpoint(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    step: Ticks,
) -> Verdict {
    let Some(side) = stored.active(standing) else {
        let cause = match stored.power {
            Power::Off => Cause::PowerIsOff,
            Power::On => Cause::NothingActive,
        };
        return Verdict { outcome: Outcome::NoEffect, cause, after: *stored };
    };
    let (grid, present) = (settings.grid, stored.setpoints.get(side));
    let passage = settings.display.map(|display| {
        let shown = display.reads(grid.value(present), grid.unit());
        display.set(shown + step, grid)
    });
    let wanted = passage.map_or(present + step, |passage| passage.stored);
    move_setpoint(settings, stored, side, wanted, None, passage)
}

fn move_setpoint(
    settings: &Settings,
    stored: &Stored,
    side: Side,
    wanted: Ticks,
    asked: Option<f64>,
    passage: Option<Passage>,
) -> Verdict {
    let before = stored.setpoints;
    let moved = before.request(&settings.rules, side, wanted);
    let outcome = match moved {
        Moved { held: Some(_), .. } => Outcome::Limited,
        Moved { other_moved: true, .. } => Outcome::Pushed,
        Moved { .. } => Outcome::Accepted,
    };
    Verdict {
        outcome,
        cause: Cause::Setpoint { side, asked, passage, before, moved },
        after: Stored { setpoints: moved.setpoints, ..*stored },
    }
}

impl Cause {
    /// The bound that held a setpoint request, if one did.
    pub const fn bound(&self) -> Option<Bound> {
        match self {
            Self::Setpoint { moved, .. } => moved.held,
            _ => None,
        }
    }
}
