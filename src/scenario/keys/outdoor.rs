//! The keys of an outdoor unit.

use super::super::ranges;
use super::controls::DIRECTIONS;
use super::{Block, Kind, derived, optional, or, required};
use crate::control::{ModePolicy, OwnerOff};
use crate::units::Dimension;

/// Who decides the direction of a group.
pub(super) const MODE_POLICIES: &[&str] = &[
    ModePolicy::Owner.name(),
    ModePolicy::FirstCall.name(),
    ModePolicy::Majority.name(),
    ModePolicy::LargestError.name(),
];
/// What a group does when its owner is switched off.
const OWNER_OFF: &[&str] = &[OwnerOff::Hold.name(), OwnerOff::Stop.name()];

const OUTDOOR: Kind = Kind::Temperature(ranges::OUTDOOR);
const COP: Kind = Kind::Number(ranges::COP);
const LOSS: Kind = Kind::Number(ranges::LOSS_FACTOR);

/// An outdoor unit and how its zones share it.
pub(super) const OUTDOOR_UNIT: &Block = &Block {
    name: "outdoor_unit",
    doc: "An outdoor unit and how its zones share it.",
    keys: &[
        derived("label", Kind::Label, "its name", "What people call it."),
        derived(
            "zones",
            Kind::ListOf(&Kind::Name),
            "all zones, for `outdoor_unit`",
            "The zones on it; `outdoor_units` needs them.",
        ),
        or("simultaneous", Kind::YesNo, "false", "Whether it heats and cools at the same time."),
        or(
            "mode_policy",
            Kind::Word(MODE_POLICIES),
            "owner",
            "Who decides between heating and cooling.",
        ),
        derived(
            "owner",
            Kind::Name,
            "the first of its zones in the file",
            "The zone that decides.",
        ),
        or("owner_off", Kind::Word(OWNER_OFF), "hold", "What follows when the owner is off."),
        or(
            "direction",
            Kind::Word(DIRECTIONS),
            "heating",
            "Its direction before the first step, where no owner gives one.",
        ),
        optional(
            "heating",
            Kind::ListOf(&Kind::Block(POINT)),
            "Heating capacity and COP against outdoor temperature.",
        ),
        optional(
            "cooling",
            Kind::ListOf(&Kind::Block(POINT)),
            "Cooling capacity and COP against outdoor temperature.",
        ),
        optional(
            "part_load",
            Kind::ListOf(&Kind::Block(PART_LOAD)),
            "Factor on the COP against the load ratio; 1 without it.",
        ),
        or(
            "lowest_output",
            Kind::Number(ranges::LOWEST_OUTPUT),
            "0",
            "Lowest steady output as a part of the capacity; below it the compressor cycles.",
        ),
        or(
            "standby",
            Kind::Size(Dimension::Power, ranges::STANDBY),
            "0 W",
            "Power that is drawn always.",
        ),
        or(
            "reversal_time",
            Kind::Duration(ranges::TIMER),
            "3 min",
            "How long a change of direction delivers nothing.",
        ),
        or("min_off", Kind::Duration(ranges::TIMER), "3 min", "Shortest rest of the compressor."),
        or(
            "changeover_delay",
            Kind::Duration(ranges::TIMER),
            "10 min",
            "Least time to a change of direction, for the policies without an owner.",
        ),
        optional("heating_lockout", OUTDOOR, "It does not heat below this outdoor temperature."),
        optional("cooling_lockout", OUTDOOR, "It does not cool above this outdoor temperature."),
        optional("defrost", Kind::Block(DEFROST), "What defrosting takes."),
        optional("backup", Kind::Block(BACKUP), "Electric heat that helps out."),
    ],
};

/// A point of a table.
const POINT: &Block = &Block {
    name: "capacity_point",
    doc: "Capacity and COP at an outdoor temperature; points in rising order.",
    keys: &[
        required("outdoor", OUTDOOR, "Outdoor temperature."),
        required(
            "capacity",
            Kind::Size(Dimension::Power, ranges::OUTDOOR_CAPACITY),
            "Capacity at full load.",
        ),
        required("cop", COP, "COP at full load."),
    ],
};

/// A point of the part-load table.
const PART_LOAD: &Block = &Block {
    name: "part_load_point",
    doc: "A factor on the COP at a load ratio; points in rising order.",
    keys: &[
        required("load", Kind::Number(ranges::LOAD), "Load ratio, 0 to 1."),
        required("cop", Kind::Number(ranges::PART_LOAD_FACTOR), "Factor on the COP."),
    ],
};

/// What defrosting takes.
const DEFROST: &Block = &Block {
    name: "defrost",
    doc: "A band of outdoor temperature in which defrosting takes its share.",
    keys: &[
        required("from", OUTDOOR, "Lower end of the band."),
        required("to", OUTDOOR, "Upper end of the band."),
        required("capacity", LOSS, "Factor on the heating capacity."),
        required("cop", LOSS, "Factor on the heating COP."),
    ],
};

/// Electric heat that helps out.
const BACKUP: &Block = &Block {
    name: "backup",
    doc: "Electric heat that helps out: below a temperature, after a shortfall, or both.",
    keys: &[
        required("capacity", Kind::Size(Dimension::Power, ranges::CAPACITY), "Its capacity."),
        optional("allowed_below", OUTDOOR, "It may help below this outdoor temperature."),
        optional(
            "after",
            Kind::Duration(ranges::TIMER),
            "It may help after the heat pump has fallen short for so long.",
        ),
    ],
};
