//! The sensor that governs a zone.

use super::NO_SETPOINT;
use crate::control::Direction;
use crate::settings::access::{sensing, zone_field};
use crate::settings::key::{block, derived, optional, or, or_by_unit};
use crate::settings::setting::{Control, Governs, Hidden, Section, Setting, Trial};
use crate::settings::{Kind, Value, ranges};

/// Sensor errors that a form offers.
const OFFSETS: [[f64; 2]; 2] = [[-4.0, 4.0], [-8.0, 8.0]];
const STEADY: Hidden = Hidden::Always("the room is steady while the sheet is worked through");
const READS_THE_SAME: Hidden =
    Hidden::Always("the sensor reads the same either way while the sheet is worked through");

block! {
    /// The sensor that governs a zone.
    pub(super) SENSOR = "sensor", "The sensor that governs a zone.";

    SENSOR_PLACE = or(
        "controls.sensor.place",
        Kind::Name,
        "room",
        "Where it sits: room, return_air, a controller's id, or average.",
    )
    .sets(
        Setting::of_zone("Place of the sensor", Governs::Sensing, sensing::place, sensing::set_place)
            .line("Governing sensor")
            .asked(
                Section::Calls,
                Control::Choice(&[
                    (sensing::ROOM, "in the room"),
                    (sensing::RETURN_AIR, "in the return air, which is warmer while heating"),
                ]),
            )
            .tried(Trial::By(sensing::other_place))
            .hidden(READS_THE_SAME),
    );
    SENSOR_OFFSET = or(
        "controls.sensor.offset",
        Kind::Difference(ranges::OFFSET),
        "0",
        "What it reads too much; that shifts everything that the controller does.",
    )
    .sets(
        zone_field!("Sensor offset", Governs::Calls, controls.sensor.offset: number)
            .line("Governing sensor")
            .asked(Section::Calls, Control::Fine(OFFSETS))
            .tried(Trial::Steps(&[1]))
            .hidden(NO_SETPOINT),
    );
    SENSOR_LAG = derived(
        "controls.sensor.lag",
        Kind::Duration(ranges::TIMER),
        "6 min, and 1 min in return air",
        "Time constant of its reading: how slowly it follows the air (the defaults are common \
         practice, no source).",
    )
    .sets(
        zone_field!("Sensor lag", Governs::Sensing, controls.sensor.lag: time)
            .line("Governing sensor")
            .asked(Section::Calls, Control::Minutes(30.0))
            .tried(Trial::Longer)
            .hidden(STEADY),
    );
    SENSOR_RESOLUTION = or(
        "controls.sensor.resolution",
        Kind::Difference(ranges::RESOLUTION),
        "0",
        "The steps that it reports in; 0 for none.",
    )
    .sets(
        zone_field!("Sensor resolution", Governs::Sensing, controls.sensor.resolution: number)
            .line("Governing sensor")
            .left("it is a property of the sensor's make")
            .tried(Trial::By(|zone| {
                let resolution = zone.controls.sensor.resolution;
                vec![Value::Number(if resolution > 0.0 { 2.0 * resolution } else { 1.0 })]
            }))
            .hidden(READS_THE_SAME),
    );
    SENSOR_STRATIFICATION = optional(
        "controls.sensor.stratification",
        Kind::Block(STRATIFICATION),
        "How much warmer the return air is than the room.",
    );
}

block! {
    /// How much warmer the return air is.
    STRATIFICATION = "stratification",
    "How much warmer the return air is than the room, in the direction served.";

    STRATIFICATION_HEATING = or_by_unit(
        "controls.sensor.stratification.heating",
        Kind::Difference(ranges::STRATIFICATION),
        sensing::STRATIFICATION_C,
        sensing::STRATIFICATION_F,
        "While heating is served.",
    )
    .sets(
        Setting::of_zone(
            "Return air while heating",
            Governs::Sensing,
            |zone| sensing::stratification(zone, Direction::Heating),
            |zone, to| sensing::set_stratification(zone, Direction::Heating, to),
        )
        .line("Governing sensor")
        .left("it is measured at the unit, and stands in the file")
        .tried(Trial::By(|zone| sensing::warmer(zone, Direction::Heating)))
        .hidden(READS_THE_SAME),
    );
    STRATIFICATION_COOLING = or(
        "controls.sensor.stratification.cooling",
        Kind::Difference(ranges::STRATIFICATION),
        "0",
        "While cooling is served.",
    )
    .sets(
        Setting::of_zone(
            "Return air while cooling",
            Governs::Sensing,
            |zone| sensing::stratification(zone, Direction::Cooling),
            |zone, to| sensing::set_stratification(zone, Direction::Cooling, to),
        )
        .line("Governing sensor")
        .left("it is measured at the unit, and stands in the file")
        .tried(Trial::By(|zone| sensing::warmer(zone, Direction::Cooling)))
        .hidden(READS_THE_SAME),
    );
}
