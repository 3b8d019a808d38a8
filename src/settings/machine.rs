//! What a unit's machine is by itself: how its fan samples the air, and its efficiency.

use super::access::unit;
use super::key::{block, derived, required};
use super::setting::{Governs, Setting, Trial};
use super::{Kind, ranges};
use crate::direction::Direction;

const OF_THE_MACHINE: &str = "it is a property of the machine, and stands in the file";
const MEASURED: Trial =
    Trial::None("no display shows what a machine gives or takes: that is measured at the machine");

block! {
    /// A fan that runs from time to time.
    pub(crate) SAMPLE = "fan_sample",
    "The fan runs from time to time, by the clock, so that a sensor in the return air meets the room's air.";

    SAMPLE_EVERY = required("sample", Kind::Duration(ranges::SAMPLE), "From one run to the next.");
    SAMPLE_FOR = required("for", Kind::Duration(ranges::SAMPLE), "How long it runs.");
}

block! {
    /// Efficiency of a plant of the zone's own.
    pub(crate) COP = "cop",
    "Heat over electricity of a plant of the zone's own: a number, or points of outdoor temperature.";

    COP_HEATING = derived(
        "unit.cop.heating",
        EFFICIENCY,
        "2.25 at -8.3 C, 3.3 at 8.3 C, in a straight line between",
        "When heating.",
    )
    .sets(
        Setting::of_zone(
            "COP when heating",
            Governs::Plant,
            |zone| unit::cop(zone, Direction::Heating),
            |zone, to| unit::set_cop(zone, Direction::Heating, to),
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    COP_COOLING = derived(
        "unit.cop.cooling",
        EFFICIENCY,
        "3.2 at 35 C, in proportion to a Carnot process between 8 C and outdoors + 12 K, held below 20 C",
        "When cooling.",
    )
    .sets(
        Setting::of_zone(
            "COP when cooling",
            Governs::Plant,
            |zone| unit::cop(zone, Direction::Cooling),
            |zone, to| unit::set_cop(zone, Direction::Cooling, to),
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
}

/// A COP: the same everywhere, or against outdoor temperature.
const EFFICIENCY: Kind =
    Kind::Either(&[Kind::Number(ranges::COP), Kind::ListOf(&Kind::Block(COP_POINT))]);

block! {
    /// A point of a table of COPs.
    COP_POINT = "cop_point", "A COP at an outdoor temperature; points in rising order.";

    COP_POINT_OUTDOOR = required("outdoor", Kind::Temperature(ranges::OUTDOOR), "Outdoor temperature.");
    COP_POINT_COP = required("cop", Kind::Number(ranges::COP), "COP at full load.");
}
