//! The keys of a zone: its space and what its people find comfortable.

use super::super::ranges;
use super::{Block, Kind, derived, optional, or, or_by_unit, required};
use crate::settings::controls::{CONTROLS, DAYS};
use crate::settings::unit::UNIT;
use crate::units::Dimension;

/// One zone.
pub(in super::super) const ZONE: &Block = &Block {
    name: "zone",
    doc: "One zone with its unit and its controls.",
    keys: &[
        derived("label", Kind::Label, "the zone's name", "What people call it."),
        required("space", Kind::Block(SPACE), "The room."),
        optional(
            "gains",
            Kind::OneOrMore(&Kind::Block(GAIN)),
            "Heat that people, lights and machines give off.",
        ),
        required("unit", Kind::Block(UNIT), "The indoor units of the zone's controllers."),
        required("controls", Kind::Block(CONTROLS), "How the zone is controlled."),
        optional("comfort", Kind::Block(COMFORT), "What its people find comfortable."),
    ],
};

/// How heavy a building is.
pub(in super::super) const MASS: &[&str] =
    &["very_light", "light", "medium", "heavy", "very_heavy"];

/// A room.
pub(in super::super) const SPACE: &Block = &Block {
    name: "space",
    doc: "A room: its sizes, envelope and air change.",
    keys: &[
        required("floor", Kind::Size(Dimension::Area, ranges::FLOOR), "Floor area."),
        or("height", Kind::Size(Dimension::Length, ranges::HEIGHT), "2.7 m", "Room height."),
        or("mass", Kind::Word(MASS), "medium", "How heavy it is: ISO 13790:2008, Table 12."),
        derived(
            "mass_capacity",
            Kind::Size(Dimension::HeatCapacity, ranges::HEAT_CAPACITY),
            "the mass class times the floor",
            "Heat capacity of the mass.",
        ),
        derived(
            "mass_area",
            Kind::Size(Dimension::Area, ranges::MASS_AREA),
            "the mass class times the floor",
            "Effective area of the mass.",
        ),
        derived(
            "air_capacity",
            Kind::Size(Dimension::HeatCapacity, ranges::HEAT_CAPACITY),
            "10 kJ/K for each m2 of floor",
            "Heat capacity of air and furnishings.",
        ),
        derived(
            "opaque",
            Kind::Size(Dimension::Conductance, ranges::OPAQUE),
            "0.5 W/(m2 K) times the floor",
            "Conductance of the opaque envelope.",
        ),
        optional("windows", Kind::OneOrMore(&Kind::Block(WINDOW)), "The windows."),
        optional(
            "sun_on",
            Kind::OneOrMore(&Kind::Block(SUN_ON)),
            "Outer walls and roofs that the sun warms; their conductance is part of opaque.",
        ),
        or(
            "infiltration",
            Kind::Size(Dimension::AirChange, ranges::AIR_CHANGES),
            "0 /h",
            "Air change that always goes on.",
        ),
        or(
            "open_window",
            Kind::Size(Dimension::AirChange, ranges::AIR_CHANGES),
            "4 /h",
            "Air change on top while a window is open.",
        ),
        optional("ventilation", Kind::Block(VENTILATION), "Air that is changed on purpose."),
        optional(
            "neighbours",
            Kind::ByName(&Kind::Size(Dimension::Conductance, ranges::NEIGHBOUR)),
            "Conductance to the air of other zones, given once, at either end.",
        ),
        optional(
            "start",
            Kind::Temperature(ranges::ROOM),
            "Air and mass begin at this temperature; without it they are warmed up.",
        ),
    ],
};

/// The words for where a window faces.
pub(in super::super) const FACINGS: &[&str] = &[
    "north",
    "north_east",
    "east",
    "south_east",
    "south",
    "south_west",
    "west",
    "north_west",
    "up",
];

/// A window.
const WINDOW: &Block = &Block {
    name: "window",
    doc: "A window, or several alike.",
    keys: &[
        required("area", Kind::Size(Dimension::Area, ranges::WINDOW_AREA), "Area."),
        required(
            "u",
            Kind::SizeOrBare(Dimension::Transmittance, ranges::TRANSMITTANCE),
            "Thermal transmittance, W/(m2 K).",
        ),
        or(
            "g",
            Kind::Number(ranges::SOLAR_FACTOR),
            "0",
            "Solar factor at normal incidence, 0 to 1; without it no sun comes in.",
        ),
        or("frame", Kind::Number(ranges::FRAME), "0.2", "Part of the area that is frame."),
        or(
            "incidence_angle_modifier",
            Kind::YesNo,
            "true",
            "Whether less sun passes at a slant: 1 - 0.1 (1/cos - 1) of a beam, Souka and Safwat 1966; \
             light from sky and ground as at 58 degrees.",
        ),
        optional("shade", Kind::Block(SHADE), "A blind that is drawn when the sun is strong."),
        optional(
            "facing",
            Kind::Either(&[Kind::Word(FACINGS), Kind::Number(ranges::AZIMUTH)]),
            "Where it faces: a word, or degrees clockwise from north.",
        ),
    ],
};

/// What shades a window.
const SHADE: &Block = &Block {
    name: "shade",
    doc: "A blind: while it is drawn, part of the sun's heat comes in.",
    keys: &[
        or("factor", Kind::Number(ranges::SHADE_FACTOR), "0.3", "The part that comes in."),
        optional(
            "above",
            Kind::Size(Dimension::Irradiance, ranges::IRRADIANCE),
            "It is drawn while more than this falls on the pane.",
        ),
        optional(
            "when",
            Kind::Word(&["occupied"]),
            "It is drawn only while the zone's schedule has somebody there.",
        ),
    ],
};

/// An outer wall or roof.
const SUN_ON: &Block = &Block {
    name: "sun_on",
    doc: "An outer wall or roof that the sun warms: ISO 13790:2008, 11.3.4.",
    keys: &[
        required("area", Kind::Size(Dimension::Area, ranges::WINDOW_AREA), "Area."),
        required(
            "facing",
            Kind::Either(&[Kind::Word(FACINGS), Kind::Number(ranges::AZIMUTH)]),
            "Where it faces: a word (`up` for a roof), or degrees clockwise from north.",
        ),
        or(
            "absorptance",
            Kind::Number(ranges::ABSORPTANCE),
            "0.6",
            "Part of the light that it absorbs.",
        ),
        derived(
            "u",
            Kind::SizeOrBare(Dimension::Transmittance, ranges::TRANSMITTANCE),
            "opaque shared out over the areas of all listed here",
            "Thermal transmittance, W/(m2 K).",
        ),
    ],
};

/// Air that is changed on purpose.
const VENTILATION: &Block = &Block {
    name: "ventilation",
    doc: "Air that is changed on purpose.",
    keys: &[
        required("rate", Kind::Size(Dimension::Flow, ranges::VENTILATION), "Air flow."),
        or("from", Kind::Clock, "00:00", "When it begins."),
        or("to", Kind::Clock, "24:00", "When it ends."),
        optional("days", DAYS, "On which days; every day without it."),
    ],
};

/// Heat that people, lights and machines give off.
const GAIN: &Block = &Block {
    name: "gain",
    doc: "Heat that people, lights and machines give off; spans that overlap add up.",
    keys: &[
        required("power", Kind::Size(Dimension::Power, ranges::GAIN), "How much."),
        or(
            "latent",
            Kind::Size(Dimension::Power, ranges::GAIN),
            "0 W",
            "Heat that leaves as water vapour besides; it counts where `humidity: balance` stands.",
        ),
        or("from", Kind::Clock, "00:00", "When it begins."),
        or("to", Kind::Clock, "24:00", "When it ends."),
        optional("days", DAYS, "On which days; every day without it."),
    ],
};

/// What people find comfortable.
const COMFORT: &Block = &Block {
    name: "comfort",
    doc: "What people find comfortable, and what comfort depends on besides temperature.",
    keys: &[
        or_by_unit(
            "band",
            Kind::Exactly(2, &Kind::Temperature(ranges::ROOM)),
            "[20, 26]",
            "[68, 78.8]",
            "Lowest and highest comfortable operative temperature.",
        ),
        or(
            "tolerance",
            Kind::Difference(ranges::BAND_TOLERANCE),
            "0",
            "So far outside the band counts as comfortable still; half a setpoint step is usual.",
        ),
        or("met", Kind::Number(ranges::METABOLIC_RATE), "1.2", "Metabolic rate, met."),
        or(
            "clo",
            Kind::Either(&[Kind::Number(ranges::CLOTHING), Kind::Block(CLOTHES)]),
            "0.7",
            "Clothing insulation, clo: one number, or by season.",
        ),
        or(
            "air_speed",
            Kind::SizeOrBare(Dimension::Speed, ranges::AIR_SPEED),
            "0.1",
            "Air speed, m/s.",
        ),
        optional(
            "lawful",
            Kind::Block(LAWFUL),
            "The temperatures that the law asks for at this place; nothing is assumed.",
        ),
    ],
};

/// What people wear by season.
const CLOTHES: &Block = &Block {
    name: "clothes",
    doc: "Clothing insulation by the running mean of the outdoor temperature (EN 16798-1:2019): winter \
          clothes up to 10 C, summer clothes from 20 C on, in between in proportion.",
    keys: &[
        or("winter", Kind::Number(ranges::CLOTHING), "1.0", "In the cold season, clo."),
        or("summer", Kind::Number(ranges::CLOTHING), "0.6", "In the warm season, clo."),
    ],
};

/// Lawful air temperatures.
const LAWFUL: &Block = &Block {
    name: "lawful",
    doc: "Lawful air temperatures, for the lock calendar: one of them or both.",
    keys: &[
        optional("low", Kind::Temperature(ranges::ROOM), "The least."),
        optional("high", Kind::Temperature(ranges::ROOM), "The most."),
    ],
};
