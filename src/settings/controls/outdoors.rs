//! What outdoor air and open windows forbid, and setpoints that go back by the clock.

use super::{SETPOINT, WIDEST};
use crate::control::{OutdoorLimits, Side, WindowDoes};
use crate::settings::access::{longer, setpoints};
use crate::settings::key::{block, optional, or, or_by_unit};
use crate::settings::setting::{Begin, Control, Governs, Hidden, Section, Setting, Trial, zone_of};
use crate::settings::{Kind, Value, ranges};

/// Outdoor limits that a form offers.
pub(in crate::settings) const OUTDOORS: [[f64; 2]; 2] = [[-20.0, 40.0], [-4.0, 104.0]];
/// Where a first outdoor limit of heating and of cooling begins on a form, C (our choice).
pub(in crate::settings) const WARM: Begin = Begin { celsius: 18.0, fahrenheit: 64.0 };
/// See [`WARM`].
pub(in crate::settings) const COLD: Begin = Begin { celsius: 12.0, fahrenheit: 54.0 };
pub(in crate::settings) const BY_OUTDOOR_AIR: Hidden = Hidden::Unless(
    "another outdoor limit is met first, or the unit lacks the direction, so that none is tested",
);
const BY_WINDOW: Hidden = Hidden::Unless(
    "being off and being set back look the same here, or no call can be had to be ended",
);

/// Writes an outdoor temperature that may be left out.
pub(in crate::settings) fn set_limit(limit: &mut Option<f64>, to: &Value) -> Option<()> {
    *limit = match to {
        Value::Nothing => None,
        value => Some(value.number()?),
    };
    Some(())
}

/// How far back outdoor air has to come; nothing where there are no limits.
pub(in crate::settings) const fn hysteresis(limits: &OutdoorLimits) -> Value {
    if limits.is_none() { Value::Nothing } else { Value::Number(limits.hysteresis) }
}

/// Writes that, where there are limits.
pub(in crate::settings) fn set_hysteresis(limits: &mut OutdoorLimits, to: &Value) -> Option<()> {
    (!limits.is_none()).then_some(())?;
    limits.hysteresis = to.number()?;
    Some(())
}

block! {
    /// Outdoor temperatures beyond which a direction is not allowed.
    pub(super) OUTDOOR_LIMITS = "outdoor_limits",
    "Outdoor temperatures beyond which the zone may not heat or cool (not the unit's own lockouts).";

    HEAT_BELOW = optional(
        "controls.outdoor_limits.heat_below",
        Kind::Temperature(ranges::OUTDOOR),
        "Heating is allowed below this outdoor temperature.",
    )
    .sets(
        Setting::of_zone(
            "Heats below",
            Governs::Calls,
            |zone| Value::or_nothing(zone.controls.outdoor_limits.heat_below),
            |zone, to| set_limit(&mut zone.controls.outdoor_limits.heat_below, to),
        )
        .line("Outdoor limits")
        .asked(Section::Outdoors, Control::Optional(&Control::Fine(OUTDOORS), |model, _| WARM.in_model(model)))
        .tried(Trial::NearOrNone)
        .hidden(BY_OUTDOOR_AIR),
    );
    COOL_ABOVE = optional(
        "controls.outdoor_limits.cool_above",
        Kind::Temperature(ranges::OUTDOOR),
        "Cooling is allowed above this outdoor temperature.",
    )
    .sets(
        Setting::of_zone(
            "Cools above",
            Governs::Calls,
            |zone| Value::or_nothing(zone.controls.outdoor_limits.cool_above),
            |zone, to| set_limit(&mut zone.controls.outdoor_limits.cool_above, to),
        )
        .line("Outdoor limits")
        .asked(Section::Outdoors, Control::Optional(&Control::Fine(OUTDOORS), |model, _| COLD.in_model(model)))
        .tried(Trial::NearOrNone)
        .hidden(BY_OUTDOOR_AIR),
    );
    OUTDOOR_HYSTERESIS = or_by_unit(
        "controls.outdoor_limits.hysteresis",
        Kind::Difference(ranges::HYSTERESIS),
        "1",
        "2",
        "So far outdoor air comes back past a limit before its direction is allowed again.",
    )
    .sets(
        Setting::of_zone(
            "Hysteresis of the outdoor limits",
            Governs::Calls,
            |zone| hysteresis(&zone.controls.outdoor_limits),
            |zone, to| set_hysteresis(&mut zone.controls.outdoor_limits, to),
        )
        .line("Outdoor limits")
        .left("it rarely matters, and stands in the file")
        .tried(Trial::DegreeMore)
        .hidden(BY_OUTDOOR_AIR),
    );
}

/// What an open window may do.
const DOES: &[&str] =
    &[WindowDoes::Off.name(), WindowDoes::Setback.name(), WindowDoes::Nothing.name()];

block! {
    /// A contact at the windows.
    pub(super) WINDOW_CONTACT = "window_contact", "A contact at the windows, and what it does.";

    ACTS_AFTER = or(
        "controls.window_contact.acts_after",
        Kind::Duration(ranges::TIMER),
        "2 min",
        "How long a window has to be open before the contact acts.",
    )
    .sets(
        Setting::of_zone(
            "The window contact acts after",
            Governs::Calls,
            |zone| {
                let contact = zone.controls.window_contact;
                let acts = contact.does != WindowDoes::Nothing;
                if acts { Value::Time(contact.acts_after) } else { Value::Nothing }
            },
            |zone, to| {
                let contact = &mut zone.controls.window_contact;
                (contact.does != WindowDoes::Nothing).then_some(())?;
                contact.acts_after = to.time()?;
                Some(())
            },
        )
        .line("Window contact")
        .asked(Section::Outdoors, Control::Minutes(60.0))
        .tried(Trial::By(|zone| {
            let contact = zone.controls.window_contact;
            let acts = contact.does != WindowDoes::Nothing;
            acts.then(|| Value::Time(longer(contact.acts_after))).into_iter().collect()
        }))
        .hidden(BY_WINDOW),
    );
    CONTACT_DOES = or(
        "controls.window_contact.does",
        Kind::Word(DOES),
        "nothing",
        "What follows: the zone counts as off, as unoccupied, or nothing.",
    )
    .sets(
        Setting::of_zone(
            "With a window open",
            Governs::Calls,
            |zone| Value::word(zone.controls.window_contact.does.name()),
            |zone, to| {
                zone.controls.window_contact.does = to.pick(&WindowDoes::ALL, WindowDoes::name)?;
                Some(())
            },
        )
        .line("Window contact")
        .asked(
            Section::Outdoors,
            Control::Choice(&[
                (WindowDoes::Nothing.name(), WindowDoes::Nothing.words()),
                (WindowDoes::Setback.name(), WindowDoes::Setback.words()),
                (WindowDoes::Off.name(), WindowDoes::Off.words()),
            ]),
        )
        .tried(Trial::By(|zone| {
            let present = zone.controls.window_contact.does;
            let others = WindowDoes::ALL.into_iter().filter(|it| *it != present);
            let all = others.map(|it| Value::word(it.name())).collect();
            // A contact that is to do nothing is not tested.
            if present == WindowDoes::Nothing { Vec::new() } else { all }
        }))
        .hidden(BY_WINDOW),
    );
}

/// What a setpoint goes back to.
macro_rules! return_to {
    ($name:literal, $field:ident, $side:expr) => {
        Setting::of_zone(
            $name,
            Governs::Absence,
            |zone| {
                let to = zone.controls.returns.as_ref().and_then(|it| it.$field);
                to.map_or(Value::Nothing, |ticks| setpoints::degrees(zone, ticks))
            },
            |zone, to| {
                let to = match to {
                    Value::Nothing => None,
                    value => Some(setpoints::ticks(zone, value)?),
                };
                let returns = zone.controls.returns.as_mut()?;
                returns.$field = to;
                // Times at which nothing goes back are a fault of the file.
                (returns.heat.is_some() || returns.cool.is_some()).then_some(())
            },
        )
        .line("Setpoints go back at")
        .asked(
            Section::Setpoints,
            Control::Optional(&Control::Steps(WIDEST), |model, subject| {
                let zone = zone_of(model, subject)?;
                zone.controls.returns.as_ref()?;
                Some(setpoints::start(zone, $side))
            }),
        )
        .tried(Trial::None("it is tried with the times at which setpoints go back"))
    };
}

block! {
    /// Setpoints that go back by the clock.
    pub(super) RETURN_TO = "return_to", "The setpoints that come back at the times of return_at.";

    RETURN_HEAT = optional("controls.return_to.heat", SETPOINT, "Heat goes back to this; it stays without it.")
        .sets(return_to!("Heat goes back to", heat, Side::Heat));
    RETURN_COOL = optional("controls.return_to.cool", SETPOINT, "Cool goes back to this; it stays without it.")
        .sets(return_to!("Cool goes back to", cool, Side::Cool));
}
