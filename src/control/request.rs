//! What is asked of a zone, what it is judged by, and how it ended (rules 4 to 7 and 13).

use super::display::{Display, Passage};
use super::locks::{ControllerIndex, Controllers, KeyLocks, LockableKey};
use super::modes::{Mode, ModeSet, Power, UnitModes};
use super::ranges::{SetpointRules, Side};
use super::setpoints::{Bound, Moved, Setpoints};
use super::ticks::Grid;
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
    /// The mode or the power was set; nothing stood against it.
    Done(LockableKey),
    /// The mode or the power was so before.
    AlreadySo(LockableKey),
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
        /// The asked value's way through a display in the other unit.
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

impl Cause {
    /// The bound that held a setpoint request, if one did.
    pub const fn bound(&self) -> Option<Bound> {
        match self {
            Self::Setpoint { moved, .. } => moved.held,
            _ => None,
        }
    }
}
