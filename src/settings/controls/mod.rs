//! The settings of a zone's controls.

mod controllers;
mod differentials;
mod outdoors;
mod sensor;
mod setback;

pub(crate) use super::access::sensing::{AVERAGE, RETURN_AIR, ROOM};
use super::access::{absence, longer, sensing, setpoints, zone_field};
use super::key::{block, derived, optional, or, or_by_unit, required};
use super::setting::{Control, Governs, Hidden, Section, Setting, Trial};
use super::{Kind, Value, ranges};
use crate::control::{
    Direction, Grid, LowLimit, Mode, ModeSet, OnConflict, Power, SetpointRules, Side,
    on_conflict_words,
};
use crate::time::{Seconds, Weekday};
pub(crate) use controllers::*;
pub(crate) use differentials::*;
pub(crate) use outdoors::*;
pub(crate) use sensor::*;
pub(crate) use setback::*;

/// The modes.
pub(crate) const MODES: &[&str] =
    &[Mode::Heat.name(), Mode::Cool.name(), Mode::Auto.name(), Mode::Dry.name(), Mode::Fan.name()];
/// The directions.
pub(crate) const DIRECTIONS: &[&str] = &[Direction::Heating.name(), Direction::Cooling.name()];
/// What happens where the deadband stands against a request.
pub(crate) const PRACTICES: &[&str] =
    &[OnConflict::Push.name(), OnConflict::Hold.name(), OnConflict::PushAndReturn.name()];
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
pub(crate) const DAYS: Kind = Kind::Words(WEEKDAYS, 1);

/// A setpoint.
pub(crate) const SETPOINT: Kind = Kind::Temperature(ranges::SETPOINT);
/// The lowest and the highest setpoint.
pub(crate) const SETPOINTS: Kind = Kind::Exactly(2, &SETPOINT);

/// Words for a place of the sensor that is no controller's.
pub(crate) const PLACES: [&str; 3] = [ROOM, RETURN_AIR, AVERAGE];
/// The units of temperature.
pub(crate) const UNITS: &[&str] = &["C", "F"];
/// A low limit where there is none, degrees C: common practice, no source.
const FROST: f64 = 5.0;
/// After this a zone goes off that does not by itself.
const HALF_A_DAY: Seconds = Seconds::hours(12);
/// A deadband that a form offers, in C and in F.
const DEADBANDS: [[f64; 2]; 2] = [[0.0, 8.0], [0.0, 15.0]];
/// Setpoints that a form offers as limits.
const WIDEST: [[f64; 2]; 2] = [[5.0, 40.0], [41.0, 104.0]];

/// What presses of keys in force do not bring out.
const NO_KEYS: Hidden = Hidden::Unless("no keys in force bring it out");
const NO_SETPOINT: Hidden =
    Hidden::Unless("no setpoint that the keys reach lies between both values and the room");
const OTHER_TIMER: Hidden =
    Hidden::Unless("another timer is longer and hides it, or no press comes inside its time");
const OTHER_LIMIT: Hidden = Hidden::Unless(
    "the deadband and another limit stop the setpoint first, or no key in force reaches this limit",
);
const NO_KEY_TO_MODE: Hidden = Hidden::Unless("the keys in force do not lead to this mode");
const SETBACK_IDLE: Hidden =
    Hidden::Unless("the setback moves nothing across this room's temperature");
const BY_CLOCK: Hidden =
    Hidden::Always("the hours are read from the controller's clock, and no line waits for them");

block! {
    /// How a zone is controlled.
    pub(crate) CONTROLS = "controls",
    "How a zone is controlled. Setpoints, limits, deadband and setback are whole steps.";

    SETPOINT_STEP = or_by_unit(
        "controls.setpoint_step",
        Kind::Number(ranges::SETPOINT_STEP),
        "0.5",
        "1",
        "The step of all setpoints: 0.1, 0.5 or 1 in C, 0.5 or 1 in F.",
    )
    .sets(
        Setting::of_zone(
            "Setpoint step",
            Governs::Keys,
            |zone| Value::Number(zone.controls.settings.grid.step()),
            |zone, to| {
                let grid = Grid::new(zone.controls.settings.grid.unit(), to.number()?)?;
                *zone = setpoints::with_step(zone, grid)?;
                Some(())
            },
        )
        .line("Setpoints are stored in")
        .left("it is a property of the controller's make")
        .tried(Trial::By(|zone| {
            let grid = zone.controls.settings.grid;
            let steps = Grid::steps(grid.unit()).iter().map(|(step, _)| *step);
            steps.filter(|step| Grid::new(grid.unit(), *step) != Some(grid)).map(Value::Number).collect()
        })),
    );
    HEAT = required("controls.heat", SETPOINT, "Heat setpoint at the start: heating is called for below it.")
        .sets(
            Setting::of_zone("Heat setpoint", Governs::Keys, |zone| setpoints::start(zone, Side::Heat), |zone, to| {
                setpoints::set_start(zone, Side::Heat, to.number()?)
            })
            .asked(Section::Setpoints, Control::WithinLimits(Side::Heat))
            .tried(Trial::Steps(&[1, -1])),
        );
    COOL = required("controls.cool", SETPOINT, "Cool setpoint at the start: cooling is called for above it.")
        .sets(
            Setting::of_zone("Cool setpoint", Governs::Keys, |zone| setpoints::start(zone, Side::Cool), |zone, to| {
                setpoints::set_start(zone, Side::Cool, to.number()?)
            })
            .asked(Section::Setpoints, Control::WithinLimits(Side::Cool))
            .tried(Trial::Steps(&[1, -1])),
        );
    MIN_DEADBAND = or_by_unit(
        "controls.min_deadband",
        Kind::Difference(ranges::DEADBAND),
        "1",
        "2",
        "Least gap between heat and cool; 0 makes them one value.",
    )
    .sets(
        Setting::of_zone(
            "Minimum deadband",
            Governs::Keys,
            |zone| setpoints::degrees(zone, zone.controls.settings.rules.deadband()),
            |zone, to| {
                let (rules, gap) = (zone.controls.settings.rules, setpoints::ticks(zone, to)?);
                setpoints::set_rules(zone, SetpointRules::new(rules.limits(), gap, rules.on_conflict()))
            },
        )
        .asked(Section::Setpoints, Control::Steps(DEADBANDS))
        .tried(Trial::Steps(&[1, -1])),
    );
    ON_CONFLICT = or(
        "controls.on_conflict",
        Kind::Word(PRACTICES),
        "push",
        "What a request does where the deadband stands against it.",
    )
    .sets(
        Setting::of_zone(
            "Where the setpoints meet",
            Governs::Keys,
            |zone| Value::word(zone.controls.settings.rules.on_conflict().name()),
            |zone, to| {
                let rules = zone.controls.settings.rules;
                let practice = to.pick(&OnConflict::ALL, OnConflict::name)?;
                setpoints::set_rules(zone, SetpointRules::new(rules.limits(), rules.deadband(), practice))
            },
        )
        .asked(
            Section::Setpoints,
            Control::Choice(&[
                (OnConflict::Push.name(), on_conflict_words(OnConflict::Push)),
                (OnConflict::PushAndReturn.name(), on_conflict_words(OnConflict::PushAndReturn)),
                (OnConflict::Hold.name(), on_conflict_words(OnConflict::Hold)),
            ]),
        )
        .tried(Trial::Others),
    );
    LIMITS_KEY = optional("controls.limits", Kind::Block(LIMITS), "How far each setpoint may be moved.");
    MODE = derived(
        "controls.mode",
        Kind::Word(MODES),
        "auto, or the unit's first mode where it has no auto",
        "The mode at the start; auto chooses between heating and cooling by itself.",
    )
    .sets(
        Setting::of_zone(
            "Mode at the start",
            Governs::Keys,
            |zone| Value::word(zone.controls.start.mode.name()),
            |zone, to| {
                let mode = to.pick(&Mode::ALL, Mode::name)?;
                zone.controls.settings.modes.has(mode).then(|| zone.controls.start.mode = mode)
            },
        )
        .line("Mode and power at the start")
        .asked(Section::Modes, Control::OneMode)
        .tried(Trial::Others)
        .hidden(NO_KEYS),
    );
    POWER = or(
        "controls.power",
        Kind::OnOff,
        "on",
        "Whether it is switched on at the start; off keeps the mode for later.",
    )
    .sets(
        Setting::of_zone(
            "Power at the start",
            Governs::Keys,
            |zone| Value::word(zone.controls.start.power.name()),
            |zone, to| {
                zone.controls.start.power = to.pick(&[Power::On, Power::Off], Power::name)?;
                Some(())
            },
        )
        .line("Mode and power at the start")
        .asked(Section::Modes, Control::Choice(&[("on", "on"), ("off", "off")]))
        .tried(Trial::Others),
    );
    DIRECTION = or(
        "controls.direction",
        Kind::Word(DIRECTIONS),
        "heating",
        "The direction that auto begins with.",
    )
    .sets(
        Setting::of_zone(
            "First direction of auto",
            Governs::Start,
            |zone| Value::word(zone.controls.direction.name()),
            |zone, to| {
                zone.controls.direction = to.pick(&Direction::BOTH, Direction::name)?;
                Some(())
            },
        )
        .left("it matters until the first call alone, and stands in the file")
        .tried(Trial::Others)
        .hidden(Hidden::Always(
            "the first direction is overtaken by what the keys select before it shows",
        )),
    );
    LOCKED_MODES = optional(
        "controls.locked_modes",
        Kind::Words(MODES, 0),
        "Modes that occupants may not select; auto may still heat where heat is locked.",
    )
    .sets(
        Setting::of_zone(
            "Modes locked for occupants",
            Governs::Keys,
            |zone| {
                let locked = zone.controls.settings.locked_modes;
                Value::words(Mode::ALL.into_iter().filter(|it| locked.has(*it)).map(Mode::name))
            },
            |zone, to| {
                zone.controls.settings.locked_modes = ModeSet::of(&to.picks(&Mode::ALL, Mode::name)?);
                Some(())
            },
        )
        .asked(Section::Modes, Control::SomeModes)
        .tried(Trial::By(|zone| {
            let settings = &zone.controls.settings;
            let others = settings.modes.as_slice().iter().filter(|it| **it != zone.controls.start.mode);
            let toggled = |mode: &Mode| {
                let has = |it: &Mode| settings.locked_modes.has(*it) != (it == mode);
                Value::words(Mode::ALL.into_iter().filter(has).map(Mode::name))
            };
            others.map(toggled).collect()
        }))
        .hidden(NO_KEY_TO_MODE),
    );
    CALL_START = or_by_unit(
        "controls.call_start",
        Kind::Either(&[differentials::DIFFERENCE, Kind::Block(CALL_STARTS)]),
        "0.5",
        "1",
        "How far past the setpoint a call starts; hysteresis keeps a call from flickering. One number, \
         or one for heating and one for cooling.",
    )
    .sets(differentials::OF_STARTS);
    CALL_STOP = or(
        "controls.call_stop",
        Kind::Either(&[differentials::DIFFERENCE, Kind::Block(CALL_STOPS)]),
        "0",
        "How far back past the setpoint it ends. One number, or one for heating and one for cooling.",
    )
    .sets(differentials::OF_ENDS);
    CHANGEOVER_DELAY = or(
        "controls.changeover_delay",
        Kind::Duration(ranges::TIMER),
        "10 min",
        "Least time from the end of service in one direction to a change to the other.",
    )
    .sets(
        zone_field!("Changeover delay", Governs::Changeover, controls.thermostat.changeover_delay: time)
            .asked(Section::Calls, Control::Minutes(240.0))
            .tried(Trial::Longer)
            .hidden(OTHER_TIMER),
    );
    LOW_LIMIT = optional(
        "controls.low_limit",
        SETPOINT,
        "Below this the zone heats, whatever was selected.",
    )
    .sets(
        Setting::of_zone(
            "Low limit",
            Governs::Frost,
            |zone| Value::or_nothing(zone.controls.low_limit.map(|limit| limit.below)),
            |zone, to| {
                let unit = zone.controls.settings.grid.unit();
                zone.controls.low_limit = match to {
                    Value::Nothing => None,
                    value => Some(LowLimit::new(value.number()?, unit)),
                };
                Some(())
            },
        )
        .tried(Trial::By(|zone| {
            let frost = zone.controls.settings.grid.unit().from_celsius(FROST);
            let limit = zone.controls.low_limit.map(|limit| limit.below);
            let raised = Value::Number(limit.unwrap_or(frost) + 1.0);
            std::iter::once(raised).chain(limit.map(|_| Value::Nothing)).collect()
        }))
        .hidden(Hidden::Always("the room would have to be as cold as the limit")),
    );
    AUTO_OFF = optional(
        "controls.auto_off",
        Kind::Duration(ranges::AUTO_OFF),
        "Power goes off so long after it was switched on.",
    )
    .sets(
        Setting::of_zone(
            "Switches itself off",
            Governs::AutomaticOff,
            |zone| Value::or_nothing(zone.controls.auto_off),
            |zone, to| {
                zone.controls.auto_off = match to {
                    Value::Nothing => None,
                    value => Some(value.time()?),
                };
                Some(())
            },
        )
        .tried(Trial::By(|zone| {
            let after = zone.controls.auto_off;
            let other = Value::Time(after.map_or(HALF_A_DAY, longer));
            std::iter::once(other).chain(after.map(|_| Value::Nothing)).collect()
        }))
        .hidden(Hidden::Unless("no line leaves the zone switched on for so long")),
    );
    SHOWN_UNIT = optional(
        "controls.shown_unit",
        Kind::Word(UNITS),
        "The unit that the controller shows, where it differs from the file's.",
    )
    .sets(
        Setting::of_zone("Unit shown", Governs::Keys, sensing::shown_unit, sensing::set_shown_unit)
            .line("Setpoints are stored in")
            .left("it is a property of the controller's make")
            .tried(Trial::Others)
            .hidden(NO_KEYS),
    );
    OUTDOOR_LIMITS_KEY = optional(
        "controls.outdoor_limits",
        Kind::Block(OUTDOOR_LIMITS),
        "Outdoor temperatures beyond which the zone may not heat or cool.",
    );
    WINDOW_CONTACT_KEY =
        optional("controls.window_contact", Kind::Block(WINDOW_CONTACT), "What an open window does.");
    RETURN_AT = optional(
        "controls.return_at",
        Kind::ListOf(&Kind::Clock),
        "Clock times at which the stored setpoints go back, as a request of the schedule.",
    )
    .sets(
        Setting::of_zone("Setpoints go back at", Governs::Absence, sensing::returns, |_, _| None)
            .asked(
                Section::Setpoints,
                Control::Optional(&Control::Listed(sensing::return_times), |_, _| {
                    Some(Value::words(["12:00", "18:00"]))
                }),
            )
            .tried(Trial::Made(sensing::other_returns))
            .hidden(Hidden::Unless("no keys move the setpoints away from where they go back to")),
    );
    RETURN_TO_KEY = optional("controls.return_to", Kind::Block(RETURN_TO), "What they go back to.");
    SENSOR_KEY = optional("controls.sensor", Kind::Block(SENSOR), "The sensor that governs the zone.");
    CONTROLLERS = optional(
        "controls.controllers",
        Kind::ListOf(&Kind::Block(CONTROLLER)),
        "The one or two controllers; without it one, `main`.",
    );
    OCCUPANCY = optional(
        "controls.occupancy",
        Kind::OneOrMore(&Kind::Either(&[Kind::Block(PRESENCE), Kind::Word(&["people"])])),
        "When somebody is there; always without it. With `people`, while one of them is.",
    )
    .sets(
        Setting::of_zone("Occupied", Governs::Absence, absence::occupancy, absence::set_occupancy)
            .left("its spans are edited in the file")
            .tried(Trial::Made(absence::other_presence))
            .hidden(BY_CLOCK),
    );
    SETBACK_KEY = optional("controls.setback", Kind::Block(SETBACK), "What works while nobody is there.")
        .sets(
            Setting::of_zone(
                "Setback",
                Governs::Absence,
                |zone| Value::Flag(zone.controls.setback.is_some()),
                |zone, to| (to.flag() == Some(false)).then(|| zone.controls.setback = None),
            )
            .left("it is added in the file; how deep it is stands below")
            .tried(Trial::By(|zone| zone.controls.setback.map(|_| Value::Flag(false)).into_iter().collect()))
            .hidden(SETBACK_IDLE),
        );
}

block! {
    /// How far each setpoint may be moved.
    LIMITS = "limits", "Lowest and highest value of each setpoint.";

    LIMITS_HEAT = or_by_unit(
        "controls.limits.heat",
        SETPOINTS,
        "[10, 30]",
        "[50, 86]",
        "Lowest and highest heat setpoint.",
    )
    .sets(
        Setting::of_zone("Heat limits", Governs::Keys, |zone| setpoints::limits(zone, Side::Heat), |zone, to| {
            setpoints::set_limits(zone, Side::Heat, to)
        })
        .asked(Section::Setpoints, Control::Span(WIDEST))
        .tried(Trial::Ends)
        .hidden(OTHER_LIMIT),
    );
    LIMITS_COOL = or_by_unit(
        "controls.limits.cool",
        SETPOINTS,
        "[16, 35]",
        "[60, 95]",
        "Lowest and highest cool setpoint.",
    )
    .sets(
        Setting::of_zone("Cool limits", Governs::Keys, |zone| setpoints::limits(zone, Side::Cool), |zone, to| {
            setpoints::set_limits(zone, Side::Cool, to)
        })
        .asked(Section::Setpoints, Control::Span(WIDEST))
        .tried(Trial::Ends)
        .hidden(OTHER_LIMIT),
    );
}
