//! How far past its setpoint a call starts and ends, for both directions or for each.

use super::NO_SETPOINT;
use crate::control::{Differential, Direction, Thermostat};
use crate::engine::Zone;
use crate::settings::key::{block, or, or_by_unit};
use crate::settings::setting::{Control, Ends, Governs, Section, Setting, Trial, zone_of};
use crate::settings::{Kind, Value, ranges};

/// Hysteresis that a form offers.
const HYSTERESIS: Ends = [[0.0, 2.0], [0.0, 4.0]];
/// A difference to a setpoint.
pub(super) const DIFFERENCE: Kind = Kind::Difference(ranges::HYSTERESIS);

/// The one that both directions have; nothing where they differ.
fn common(zone: &Zone, of: fn(&Thermostat) -> Differential) -> Value {
    Value::or_nothing(of(&zone.controls.thermostat).common())
}

/// That of a direction; nothing where both have the same.
fn own(zone: &Zone, of: fn(&Thermostat) -> Differential, direction: Direction) -> Value {
    let both = of(&zone.controls.thermostat);
    if both.common().is_some() { Value::Nothing } else { Value::Number(both.of(direction)) }
}

/// What all of these settings have in common.
const fn of_calls(
    name: &'static str,
    get: fn(&Zone) -> Value,
    set: fn(&mut Zone, &Value) -> Option<()>,
) -> Setting {
    Setting::of_zone(name, Governs::Calls, get, set)
        .line("A call")
        .asked(Section::Calls, Control::Fine(HYSTERESIS))
        .tried(Trial::Steps(&[1]))
        .hidden(NO_SETPOINT)
}

/// The setting of both directions at once.
macro_rules! both_directions {
    ($name:literal, $field:ident) => {
        of_calls(
            $name,
            |zone| common(zone, |it| it.$field),
            |zone, to| {
                zone.controls.thermostat.$field = Differential::same(to.number()?);
                Some(())
            },
        )
    };
}

/// The setting of one direction.
macro_rules! one_direction {
    ($name:literal, $field:ident, $direction:expr) => {
        of_calls(
            $name,
            |zone| own(zone, |it| it.$field, $direction),
            |zone, to| {
                *zone.controls.thermostat.$field.of_mut($direction) = to.number()?;
                Some(())
            },
        )
        .asked(
            Section::Calls,
            Control::Optional(&Control::Fine(HYSTERESIS), |model, subject| {
                // One that is as the other direction's would be the one of both again.
                let controls = &zone_of(model, subject)?.controls;
                let more = controls.settings.grid.step();
                Some(Value::Number(controls.thermostat.$field.of($direction) + more))
            }),
        )
    };
}

pub(super) const OF_STARTS: Setting = both_directions!("Start of a call", call_start);
pub(super) const OF_ENDS: Setting = both_directions!("End of a call", call_stop);

block! {
    /// Where calls start, for each direction.
    pub(super) CALL_STARTS = "call_start", "How far past the setpoint a call starts.";

    START_HEATING = or_by_unit("controls.call_start.heating", DIFFERENCE, "0.5", "1", "A heating call.")
        .sets(one_direction!("Start of a heating call", call_start, Direction::Heating));
    START_COOLING = or_by_unit("controls.call_start.cooling", DIFFERENCE, "0.5", "1", "A cooling call.")
        .sets(one_direction!("Start of a cooling call", call_start, Direction::Cooling));
}

block! {
    /// Where calls end, for each direction.
    pub(super) CALL_STOPS = "call_stop", "How far back past the setpoint a call ends.";

    STOP_HEATING = or("controls.call_stop.heating", DIFFERENCE, "0", "A heating call.")
        .sets(one_direction!("End of a heating call", call_stop, Direction::Heating));
    STOP_COOLING = or("controls.call_stop.cooling", DIFFERENCE, "0", "A cooling call.")
        .sets(one_direction!("End of a cooling call", call_stop, Direction::Cooling));
}
