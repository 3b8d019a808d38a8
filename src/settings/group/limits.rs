//! Outdoor temperatures beyond which none of a unit's zones may heat or cool.

use super::OUTDOOR;
use crate::control::OutdoorLimits;
use crate::engine::Model;
use crate::settings::controls::{
    BY_OUTDOOR_AIR, COLD, OUTDOORS, WARM, hysteresis, set_hysteresis, set_limit,
};
use crate::settings::key::{block, optional, or_by_unit};
use crate::settings::setting::{Control, Governs, Section, Setting, Trial};
use crate::settings::{Kind, Value, ranges};

fn limits(model: &mut Model, at: usize) -> Option<&mut OutdoorLimits> {
    model.outdoor_units.get_mut(at).map(|unit| &mut unit.outdoor_limits)
}

block! {
    /// Outdoor temperatures beyond which a direction is not allowed to the whole group.
    pub(super) UNIT_LIMITS = "unit_outdoor_limits",
    "Outdoor temperatures beyond which none of its zones may heat or cool (not the unit's own lockouts).";

    UNIT_HEAT_BELOW = optional("outdoor_limits.heat_below", OUTDOOR, "Heating is allowed below this outdoor temperature.")
        .sets(
            Setting::of_group(
                "The group heats below",
                Governs::Sharing,
                |_, group| Value::or_nothing(group.outdoor_limits.heat_below),
                |model, at, to| set_limit(&mut limits(model, at)?.heat_below, to),
            )
            .line("Outdoor limits")
            .asked(Section::Group, Control::Optional(&Control::Fine(OUTDOORS), |model, _| WARM.in_model(model)))
            .tried(Trial::NearOrNone)
            .hidden(BY_OUTDOOR_AIR),
        );
    UNIT_COOL_ABOVE = optional("outdoor_limits.cool_above", OUTDOOR, "Cooling is allowed above this outdoor temperature.")
        .sets(
            Setting::of_group(
                "The group cools above",
                Governs::Sharing,
                |_, group| Value::or_nothing(group.outdoor_limits.cool_above),
                |model, at, to| set_limit(&mut limits(model, at)?.cool_above, to),
            )
            .line("Outdoor limits")
            .asked(Section::Group, Control::Optional(&Control::Fine(OUTDOORS), |model, _| COLD.in_model(model)))
            .tried(Trial::NearOrNone)
            .hidden(BY_OUTDOOR_AIR),
        );
    UNIT_LIMITS_HYSTERESIS = or_by_unit(
        "outdoor_limits.hysteresis",
        Kind::Difference(ranges::HYSTERESIS),
        "1",
        "2",
        "So far outdoor air comes back past a limit before its direction is allowed again.",
    )
    .sets(
        Setting::of_group(
            "Hysteresis of the group's outdoor limits",
            Governs::Sharing,
            |_, group| hysteresis(&group.outdoor_limits),
            |model, at, to| set_hysteresis(limits(model, at)?, to),
        )
        .line("Outdoor limits")
        .left("it rarely matters, and stands in the file")
        .tried(Trial::DegreeMore)
        .hidden(BY_OUTDOOR_AIR),
    );
}
