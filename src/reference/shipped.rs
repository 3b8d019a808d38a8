//! The shipped scenarios: examples of what is explained.

/// A shipped scenario.
#[derive(Clone, Copy, Debug)]
pub struct Shipped {
    /// Its file in `scenarios/`.
    pub file: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        &[$(Shipped {
            file: concat!("scenarios/", $name, ".yaml"),
            text: include_str!(concat!("../../scenarios/", $name, ".yaml")),
        }),*]
    };
}

/// All of them, those that teach one thing first.
pub const SHIPPED: &[Shipped] = shipped![
    "reading_room",
    "weavers_yard_wrong_owner",
    "one_setpoint",
    "ratchet",
    "saved_lock",
    "locked_heat",
    "five_degrees",
    "creeping_display",
    "return_air",
    "frost_guard",
    "joinery_pipes",
    "late_setback",
    "muggy_workroom",
    "two_tastes",
    "house_rules",
    "weavers_yard_better_owner",
    "weavers_yard_owner_off",
    "capped_packing_room",
    "weavers_yard_simultaneous",
    "clinic_both_ways",
    "open_window",
    "school_wing",
    "specified_surgery",
    "net_loft",
    "ropewalk",
    "chandlery_year",
    "dyehouse_32_rooms",
];
