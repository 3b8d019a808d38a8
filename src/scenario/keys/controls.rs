//! The keys of a zone's controls.

use super::super::ranges;
use super::{Block, Kind, derived, optional, or, or_by_unit, required};
use crate::control::{Direction, LockableKey, Mode, OnConflict};
use crate::time::Weekday;

/// The modes.
pub(super) const MODES: &[&str] =
    &[Mode::Heat.name(), Mode::Cool.name(), Mode::Auto.name(), Mode::Dry.name(), Mode::Fan.name()];
/// The directions.
pub(super) const DIRECTIONS: &[&str] = &[Direction::Heating.name(), Direction::Cooling.name()];
/// What happens where the deadband stands against a request.
pub(super) const ON_CONFLICT: &[&str] =
    &[OnConflict::Push.name(), OnConflict::Hold.name(), OnConflict::PushAndReturn.name()];
/// The keys that a lock can name.
const LOCKABLE: &[&str] = &[
    LockableKey::Setpoint.name(),
    LockableKey::Mode.name(),
    LockableKey::Fan.name(),
    LockableKey::Power.name(),
];
/// The days of the week.
const WEEKDAYS: &[&str] = &[
    Weekday::Monday.short(),
    Weekday::Tuesday.short(),
    Weekday::Wednesday.short(),
    Weekday::Thursday.short(),
    Weekday::Friday.short(),
    Weekday::Saturday.short(),
    Weekday::Sunday.short(),
];
/// A list of days.
pub(super) const DAYS: Kind = Kind::Words(WEEKDAYS, 1);

/// A setpoint.
pub(super) const SETPOINT: Kind = Kind::Temperature(ranges::SETPOINT);
/// The lowest and the highest setpoint.
pub(super) const SETPOINTS: Kind = Kind::Exactly(2, &SETPOINT);

/// How a zone is controlled.
pub(super) const CONTROLS: &Block = &Block {
    name: "controls",
    doc: "How a zone is controlled. Setpoints, limits, deadband and setback are whole steps.",
    keys: &[
        or_by_unit(
            "setpoint_step",
            Kind::Number(ranges::SETPOINT_STEP),
            "0.5",
            "1",
            "The step of all setpoints: 0.1, 0.5 or 1 in C, 0.5 or 1 in F.",
        ),
        required("heat", SETPOINT, "Heat setpoint at the start."),
        required("cool", SETPOINT, "Cool setpoint at the start."),
        or_by_unit(
            "min_deadband",
            Kind::Difference(ranges::DEADBAND),
            "1",
            "2",
            "Least gap between heat and cool; 0 makes them one value.",
        ),
        or(
            "on_conflict",
            Kind::Word(ON_CONFLICT),
            "push",
            "What a request does where the deadband stands against it.",
        ),
        optional("limits", Kind::Block(LIMITS), "How far each setpoint may be moved."),
        derived(
            "mode",
            Kind::Word(MODES),
            "auto, or the unit's first mode where it has no auto",
            "The mode at the start.",
        ),
        or("power", Kind::OnOff, "on", "Whether it is switched on at the start."),
        or("direction", Kind::Word(DIRECTIONS), "heating", "The direction that auto begins with."),
        optional("locked_modes", Kind::Words(MODES, 0), "Modes that occupants may not select."),
        or_by_unit(
            "call_start",
            Kind::Difference(ranges::HYSTERESIS),
            "0.5",
            "1",
            "How far past the setpoint a call starts.",
        ),
        or(
            "call_stop",
            Kind::Difference(ranges::HYSTERESIS),
            "0",
            "How far back past the setpoint it ends.",
        ),
        or(
            "changeover_delay",
            Kind::Duration(ranges::TIMER),
            "10 min",
            "Least time from the end of service in one direction to a change to the other.",
        ),
        optional("low_limit", SETPOINT, "Below this the zone heats, whatever was selected."),
        optional(
            "auto_off",
            Kind::Duration(ranges::AUTO_OFF),
            "Power goes off so long after it was switched on.",
        ),
        optional(
            "shown_unit",
            Kind::Word(super::UNITS),
            "The unit that the controller shows, where it differs from the file's.",
        ),
        optional("sensor", Kind::Block(SENSOR), "The sensor that governs the zone."),
        optional(
            "controllers",
            Kind::ListOf(&Kind::Block(CONTROLLER)),
            "The one or two controllers; without it one, `main`.",
        ),
        optional(
            "occupancy",
            Kind::OneOrMore(&Kind::Either(&[Kind::Block(PRESENCE), Kind::Word(&["people"])])),
            "When somebody is there; always without it. With `people`, while one of them is.",
        ),
        optional("setback", Kind::Block(SETBACK), "What works while nobody is there."),
    ],
};

/// How far each setpoint may be moved.
const LIMITS: &Block = &Block {
    name: "limits",
    doc: "Lowest and highest value of each setpoint.",
    keys: &[
        or_by_unit("heat", SETPOINTS, "[10, 30]", "[50, 86]", "Lowest and highest heat setpoint."),
        or_by_unit("cool", SETPOINTS, "[16, 35]", "[60, 95]", "Lowest and highest cool setpoint."),
    ],
};

/// The sensor that governs a zone.
const SENSOR: &Block = &Block {
    name: "sensor",
    doc: "The sensor that governs a zone.",
    keys: &[
        or("place", Kind::Name, "room", "room, return_air, a controller's id, or average."),
        or("offset", Kind::Difference(ranges::OFFSET), "0", "What it reads too much."),
        or("lag", Kind::Duration(ranges::TIMER), "0 min", "Time constant of its reading."),
        or(
            "resolution",
            Kind::Difference(ranges::RESOLUTION),
            "0",
            "The steps that it reports in; 0 for none.",
        ),
        optional(
            "stratification",
            Kind::Block(STRATIFICATION),
            "How much warmer the return air is than the room.",
        ),
    ],
};

/// How much warmer the return air is.
const STRATIFICATION: &Block = &Block {
    name: "stratification",
    doc: "How much warmer the return air is than the room, in the direction served.",
    keys: &[
        or_by_unit(
            "heating",
            Kind::Difference(ranges::STRATIFICATION),
            "2",
            "4",
            "While heating is served.",
        ),
        or("cooling", Kind::Difference(ranges::STRATIFICATION), "0", "While cooling is served."),
    ],
};

/// A controller on the wall.
const CONTROLLER: &Block = &Block {
    name: "controller",
    doc: "A controller on the wall.",
    keys: &[
        required("id", Kind::Name, "Its name."),
        or("primary", Kind::YesNo, "false", "Whether it speaks for actions that name none."),
        or("offset", Kind::Difference(ranges::OFFSET), "0", "What its own sensor reads too much."),
        optional("key_locks", Kind::Block(KEY_LOCKS), "The keys that are locked on it."),
    ],
};

/// Keys that are locked on a controller.
pub(super) const KEY_LOCKS: &Block = &Block {
    name: "key_locks",
    doc: "Keys that are locked on a controller.",
    keys: &[
        required("keys", Kind::Words(LOCKABLE, 0), "Which keys."),
        required("in_force", Kind::YesNo, "Whether the lock is in force, or only saved."),
    ],
};

/// When somebody is there.
const PRESENCE: &Block = &Block {
    name: "occupancy",
    doc: "When somebody is there: a daily span, or a sensor.",
    keys: &[
        optional("from", Kind::Clock, "When the span begins."),
        optional("to", Kind::Clock, "When the span ends."),
        optional("days", DAYS, "On which days; every day without it."),
        optional("sensor", Kind::Block(SENSOR_PRESENCE), "An occupancy sensor."),
        optional(
            "optimum_start",
            Kind::Block(OPTIMUM_START),
            "The stored setpoints work before somebody comes; how early is learned day by day.",
        ),
    ],
};

/// How early recovery from setback may begin.
const OPTIMUM_START: &Block = &Block {
    name: "optimum_start",
    doc: "How early recovery from setback may begin.",
    keys: &[required(
        "most",
        Kind::Duration(ranges::EARLY),
        "At most so long before somebody comes, as 3 h.",
    )],
};

/// An occupancy sensor.
const SENSOR_PRESENCE: &Block = &Block {
    name: "occupancy_sensor",
    doc: "An occupancy sensor.",
    keys: &[required(
        "hold",
        Kind::Duration(ranges::TIMER),
        "How long it reports presence after it last saw somebody.",
    )],
};

const SETBACK_BY: Kind = Kind::Difference(ranges::SETBACK);

/// What works while nobody is there.
const SETBACK: &Block = &Block {
    name: "setback",
    doc: "How far the setpoints move apart while nobody is there.",
    keys: &[
        or("heat", SETBACK_BY, "0", "Heat works so much lower."),
        or("cool", SETBACK_BY, "0", "Cool works so much higher."),
        or_by_unit("heat_low", SETPOINT, "10", "50", "But heat not below this."),
        or_by_unit("cool_high", SETPOINT, "35", "95", "And cool not above this."),
        or(
            "override_time",
            Kind::Duration(ranges::TIMER),
            "2 h",
            "How long a request brings the stored setpoints back.",
        ),
    ],
};
