//! The keys of an action.

use super::super::ranges;
use super::{Block, Kind, derived, optional, or, required};
use crate::control::{Key, Opening, Role};
use crate::settings::controls::{
    DAYS, KEY_LOCKS, LIMITS_COOL, LIMITS_HEAT, LOCKED_MODES, MIN_DEADBAND, MODES, ON_CONFLICT,
    SETPOINT,
};
use crate::settings::group::{MODE_POLICY, OWNER};

/// The roles.
const ACTION_ROLES: &[&str] =
    &[Role::Occupant.name(), Role::Technician.name(), Role::Schedule.name()];
/// The keys that can be pressed.
const PRESSES: &[&str] =
    &[Key::Warmer.name(), Key::Cooler.name(), Key::Mode.name(), Key::Power.name()];
/// Where a window may be moved.
const OPENINGS: &[&str] = &[Opening::Open.name(), Opening::Closed.name()];
/// The words for days on which an action repeats.
const EVERY: &[&str] = &["day", "weekday", "weekend"];

/// What somebody does at a time.
pub(super) const ACTION: &Block = &Block {
    name: "action",
    doc: "What somebody does at a time. Several keys apply in the order power, mode, heat, cool, \
          press, each with its own row in the ledger.",
    keys: &[
        required("at", Kind::Moment, "HH:MM on the first day, or dN HH:MM on day N."),
        optional(
            "every",
            Kind::Either(&[Kind::Word(EVERY), DAYS]),
            "Repeats it: day, weekday, weekend, or a list of days.",
        ),
        required("zone", Kind::Name, "In which zone."),
        derived("by", Kind::Label, "the role", "By whom."),
        optional("controller", Kind::Name, "At which controller; the primary one without it."),
        or("role", Kind::Word(ACTION_ROLES), "occupant", "In which role."),
        optional("power", Kind::OnOff, "Switches on or off."),
        optional("mode", Kind::Word(MODES), "Selects a mode."),
        optional("heat", SETPOINT, "Asks for a heat setpoint."),
        optional("cool", SETPOINT, "Asks for a cool setpoint."),
        optional("press", Kind::Word(PRESSES), "Presses a key."),
        optional(
            "times",
            Kind::Whole(ranges::TIMES),
            "How often the key is pressed; once without it.",
        ),
        optional("set", Kind::Block(SET), "Changes settings; a technician's right."),
        optional("window", Kind::Word(OPENINGS), "Opens or closes a window of the zone."),
        optional(
            "power_failure",
            Kind::Duration(ranges::TIMER),
            "The power of the zone, and of all zones on its outdoor unit, fails for so long.",
        ),
    ],
};

/// Settings that a technician changes.
const SET: &Block = &Block {
    name: "set",
    doc: "Settings that a technician changes while the zone runs.",
    keys: &[
        MIN_DEADBAND.changed(),
        optional("limits", Kind::Block(SET_LIMITS), "How far each setpoint may be moved."),
        ON_CONFLICT.changed(),
        LOCKED_MODES.changed(),
        optional(
            "key_locks",
            Kind::Block(KEY_LOCKS),
            "The keys that are locked on the action's controller.",
        ),
        optional(
            "controllers",
            Kind::ListOf(&Kind::Block(SET_LOCKS)),
            "Key locks of controllers by name.",
        ),
        MODE_POLICY.changed(),
        OWNER.changed(),
    ],
};

/// New limits; a side that is left out stays as it is.
const SET_LIMITS: &Block = &Block {
    name: "set_limits",
    doc: "New limits; a side that is left out stays as it is.",
    keys: &[LIMITS_HEAT.changed(), LIMITS_COOL.changed()],
};

/// The key locks of a controller, changed.
const SET_LOCKS: &Block = &Block {
    name: "set_key_locks",
    doc: "New key locks of one controller.",
    keys: &[
        required("id", Kind::Name, "Which controller."),
        required("key_locks", Kind::Block(KEY_LOCKS), "The keys that are locked on it."),
    ],
};
