//! When somebody is there, and what works while nobody is.

use super::{BY_CLOCK, DAYS, SETPOINT};
use crate::control::OverrideUntil;
use crate::engine::{Model, Zone};
use crate::settings::access::{absence, setback_field, setpoints};
use crate::settings::key::{block, optional, or, or_by_unit, required};
use crate::settings::setting::{Control, Governs, Hidden, Section, Setting, Trial, zone_of};
use crate::settings::{Kind, Subject, Value, ranges};

/// Setbacks that a form offers.
const SETBACKS: [[f64; 2]; 2] = [[0.0, 12.0], [0.0, 22.0]];
/// Where a first setback begins on a form: four steps of the setpoint (our choice).
fn first_setback(model: &Model, subject: Subject) -> Option<Value> {
    let step = zone_of(model, subject)?.controls.settings.grid.step();
    Some(Value::Number(4.0 * step))
}

const SETBACK_BOUND: Hidden = Hidden::Always(
    "the setback reaches this bound only from setpoints at which nothing runs in this room",
);

block! {
    /// When somebody is there.
    pub(super) PRESENCE = "occupancy", "When somebody is there: a daily span, or a sensor.";

    OCCUPIED_FROM = optional("from", Kind::Clock, "When the span begins.");
    OCCUPIED_TO = optional("to", Kind::Clock, "When the span ends.");
    OCCUPIED_DAYS = optional("days", DAYS, "On which days; every day without it.");
    OCCUPANCY_SENSOR = optional("sensor", Kind::Block(SENSOR_PRESENCE), "An occupancy sensor.");
    OPTIMUM_START_KEY = optional(
        "optimum_start",
        Kind::Block(OPTIMUM_START),
        "The stored setpoints work before somebody comes; how early is learned day by day.",
    );
}

block! {
    /// How early recovery from setback may begin.
    OPTIMUM_START = "optimum_start", "How early recovery from setback may begin.";

    EARLY_MOST = required(
        "controls.occupancy[].optimum_start.most",
        Kind::Duration(ranges::EARLY),
        "At most so long before somebody comes, as 3 h.",
    )
    .sets(
        Setting::of_zone("Optimum start", Governs::Absence, absence::early_start, absence::set_early_start)
            .left("it stands at a span of the occupancy, in the file")
            .tried(Trial::By(absence::earlier))
            .hidden(BY_CLOCK),
    );
}

block! {
    /// An occupancy sensor.
    SENSOR_PRESENCE = "occupancy_sensor", "An occupancy sensor.";

    SENSOR_HOLD = required(
        "hold",
        Kind::Duration(ranges::TIMER),
        "How long it reports presence after it last saw somebody.",
    );
}

const SETBACK_BY: Kind = Kind::Difference(ranges::SETBACK);

block! {
    /// What works while nobody is there.
    pub(super) SETBACK = "setback", "How far the setpoints move apart while nobody is there.";

    SETBACK_HEAT = or(
        "controls.setback.heat",
        SETBACK_BY,
        "0",
        "Heat works so much lower; the stored setpoint stays as it is.",
    )
    .sets(
        setback_field!("Heat setback", heat)
            .asked(Section::Absence, Control::Optional(&Control::Steps(SETBACKS), first_setback))
            .tried(Trial::Steps(&[1])),
    );
    SETBACK_COOL = or(
        "controls.setback.cool",
        SETBACK_BY,
        "0",
        "Cool works so much higher; the stored setpoint stays as it is.",
    )
    .sets(
        setback_field!("Cool setback", cool)
            .asked(Section::Absence, Control::Optional(&Control::Steps(SETBACKS), first_setback))
            .tried(Trial::Steps(&[1])),
    );
    SETBACK_FLOOR = or_by_unit("controls.setback.heat_low", SETPOINT, "10", "50", "But heat not below this.")
        .sets(
            setback_field!("Floor of the heat setback", heat_low)
                .tried(Trial::Steps(&[1]))
                .hidden(SETBACK_BOUND),
        );
    SETBACK_CEILING = or_by_unit("controls.setback.cool_high", SETPOINT, "35", "95", "And cool not above this.")
        .sets(
            setback_field!("Ceiling of the cool setback", cool_high)
                .tried(Trial::Steps(&[-1]))
                .hidden(SETBACK_BOUND),
        );
    OVERRIDE_TIME = or(
        "controls.setback.override_time",
        Kind::Duration(ranges::TIMER),
        "2 h",
        "How long a request brings the stored setpoints back.",
    )
    .sets(
        Setting::of_zone(
            "Override time",
            Governs::Absence,
            |zone| {
                let time = zone.controls.override_time;
                Value::or_nothing(lasts_a_time(zone).map(|()| time))
            },
            |zone, to| {
                lasts_a_time(zone)?;
                zone.controls.override_time = to.time()?;
                Some(())
            },
        )
        .line("Setback")
        .tried(Trial::Longer),
    );
    OVERRIDE_UNTIL = or(
        "controls.setback.override_until",
        Kind::Word(OVERRIDE_UNTILS),
        "time",
        "When an override ends: after override_time, when somebody next comes or goes, or at midnight.",
    )
    .sets(
        Setting::of_zone(
            "End of an override",
            Governs::Absence,
            |zone| {
                let word = Value::word(zone.controls.override_until.name());
                if zone.controls.setback.is_some() { word } else { Value::Nothing }
            },
            |zone, to| {
                zone.controls.setback?;
                zone.controls.override_until = to.pick(&OverrideUntil::ALL, OverrideUntil::name)?;
                Some(())
            },
        )
        .line("Setback")
        .asked(
            Section::Absence,
            Control::Choice(&[
                (OverrideUntil::Time.name(), "after the override time"),
                (OverrideUntil::Change.name(), "when somebody next comes or goes"),
                (OverrideUntil::EndOfDay.name(), "at midnight"),
            ]),
        )
        .tried(Trial::Others)
        .hidden(BY_CLOCK),
    );
}

/// Whether a zone has overrides that last for a time.
fn lasts_a_time(zone: &Zone) -> Option<()> {
    let of_time = zone.controls.override_until == OverrideUntil::Time;
    (zone.controls.setback.is_some() && of_time).then_some(())
}

/// When an override may end.
const OVERRIDE_UNTILS: &[&str] =
    &[OverrideUntil::Time.name(), OverrideUntil::Change.name(), OverrideUntil::EndOfDay.name()];
