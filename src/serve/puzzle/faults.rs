//! The faults that a puzzle may plant, each with what the people there would say.

/// A sound scenario and what may be wrong in it.
#[derive(Debug)]
pub(super) struct Building {
    pub(super) text: &'static str,
    pub(super) faults: &'static [Planted],
}

/// One fault.
#[derive(Debug)]
pub(super) struct Planted {
    pub(super) id: &'static str,
    /// What it is, as a choice.
    pub(super) label: &'static str,
    /// What people say.
    pub(super) complaint: &'static str,
    /// How it could be told.
    pub(super) because: &'static str,
    /// Places of the file with new values, as JSON.
    pub(super) edits: &'static [(&'static str, &'static str)],
}

pub(super) const BUILDINGS: &[Building] = &[
    Building { text: include_str!("../../../scenarios/puzzles/hall.yaml"), faults: HALL },
    Building { text: include_str!("../../../scenarios/puzzles/yard.yaml"), faults: YARD },
];

const HALL: &[Planted] = &[
    Planted {
        id: "no-deadband",
        label: "Heat and cool setpoint are kept at one value: there is no deadband",
        complaint: "It blows warm, it blows cold, all day long, and the bill is high.",
        because: "Both setpoints move together at every request, and the plant changes over far \
                  more often than the weather does.",
        edits: &[("zones.hall.controls.min_deadband", "0")],
    },
    Planted {
        id: "key-lock",
        label: "The setpoint keys are locked at the controller",
        complaint: "Nobody can set anything any more.",
        because: "Warmer and cooler are refused, while the mode key still steps.",
        edits: &[(
            "zones.hall.controls.controllers",
            r#"[{"id": "main", "primary": true, "key_locks": {"keys": ["setpoint"], "in_force": true}}]"#,
        )],
    },
    Planted {
        id: "narrow-limits",
        label: "The limits of the heat setpoint are too narrow",
        complaint: "It will not go any warmer, whatever we press.",
        because: "Warmer is held at 20 although the cool setpoint is far away.",
        edits: &[("zones.hall.controls.limits.heat", "[16, 20]")],
    },
    Planted {
        id: "sensor-offset",
        label: "The sensor reads two degrees too much",
        complaint: "It says 20 on the wall, and we sit here in our coats.",
        because: "What the sensor reads stands two degrees above the air at all hours, whether the \
                  plant runs or not.",
        edits: &[("zones.hall.controls.sensor.offset", "2")],
    },
    Planted {
        id: "return-air",
        label: "The sensor sits in the return air",
        complaint: "The heating stops much too early.",
        because: "What the sensor reads jumps up whenever heating runs, and falls back to the air \
                  when it stops.",
        edits: &[("zones.hall.controls.sensor.place", "\"return_air\"")],
    },
    Planted {
        id: "hold",
        label: "A request that comes too close to the other setpoint is held, and pushes nothing",
        complaint: "Sometimes we get a degree or two, and then no more.",
        because: "Warmer works until heat is a deadband below cool; then it is held, and cool never \
                  moves. Wider limits would not help.",
        edits: &[
            ("zones.hall.controls.on_conflict", "\"hold\""),
            ("zones.hall.controls.cool", "23"),
        ],
    },
    Planted {
        id: "long-delay",
        label: "The changeover delay is seven hours",
        complaint: "In the warm of the day it takes for ever until it cools.",
        because: "The air stands above the cool setpoint with the power on, and cooling begins \
                  hours later, all at once.",
        edits: &[("zones.hall.controls.changeover_delay", "\"7 h\"")],
    },
    Planted {
        id: "heat-only",
        label: "The mode is heat, and the other modes are locked",
        complaint: "It never cools.",
        because: "Nothing cools however warm it gets, and the mode key has no effect.",
        edits: &[
            ("zones.hall.controls.mode", "\"heat\""),
            ("zones.hall.controls.locked_modes", r#"["cool", "auto", "dry", "fan"]"#),
        ],
    },
    Planted {
        id: "auto-off",
        label: "The power goes off by itself after some hours",
        complaint: "In the afternoon it is always off, and nobody was at the controller.",
        because: "The ledger has the power going off at a time at which nobody pressed anything.",
        edits: &[("zones.hall.controls.auto_off", "\"11 h\"")],
    },
    Planted {
        id: "wide-hysteresis",
        label: "A call starts only two degrees past the setpoint",
        complaint: "It swings: too cold, then too warm.",
        because: "The air falls two degrees below the heat setpoint before heating begins.",
        edits: &[("zones.hall.controls.call_start", "2")],
    },
];

const YARD: &[Planted] = &[
    Planted {
        id: "wrong-owner",
        label: "The kiln room decides between heating and cooling for all",
        complaint: "The office and the shop are freezing, the kiln room is fine.",
        because: "The group turns to cooling when the kiln room gets warm, and the other two wait.",
        edits: &[("outdoor_unit.owner", "\"kiln_room\"")],
    },
    Planted {
        id: "owner-off-stops",
        label: "When the deciding zone is switched off, the whole group stops",
        complaint: "Around noon everything stands still for an hour.",
        because: "All zones stop when the office is switched off at noon, and go on when it comes \
                  back.",
        edits: &[("outdoor_unit.owner_off", "\"stop\"")],
    },
    Planted {
        id: "office-sensor",
        label: "The sensor of the office reads three degrees too much",
        complaint: "The office is cold, the others are fine.",
        because: "What the office's sensor reads stands three degrees above the air.",
        edits: &[("zones.office.controls.sensor.offset", "3")],
    },
    Planted {
        id: "shop-low",
        label: "The limits of the shop's heat setpoint end at 18",
        complaint: "The shop stays at 18, however often we press.",
        because: "Warmer in the shop is held at 18, the limit.",
        edits: &[
            ("zones.shop.controls.heat", "18"),
            ("zones.shop.controls.limits.heat", "[10, 18]"),
        ],
    },
];
