//! Invented rooms and networks for the checks.

use proptest::prelude::*;
use setband::building::{Network, Space, SpaceInput, Ventilation};
use setband::time::Span;

/// A room of 120 m2 with windows, medium mass and ventilation.
pub(crate) fn reading_room() -> Space {
    let input = SpaceInput {
        floor: 120.0,
        height: 3.2,
        mass_area: 300.0,
        mass_capacity: 1.98e7,
        air_capacity: 1.2e6,
        opaque: 90.0,
        windows: 28.8,
        infiltration: 0.3,
        open_window: 0.0,
        ventilation: Some(Ventilation { flow: 0.12, when: Span::ALWAYS }),
        start: None,
    };
    Space::new(input).expect("sizes are sound")
}

/// A small, light room without windows.
pub(crate) fn store_room() -> Space {
    let input = SpaceInput {
        floor: 18.0,
        height: 2.5,
        mass_area: 45.0,
        mass_capacity: 1.98e6,
        air_capacity: 1.8e5,
        opaque: 14.0,
        windows: 0.0,
        infiltration: 0.1,
        open_window: 0.0,
        ventilation: None,
        start: None,
    };
    Space::new(input).expect("sizes are sound")
}

/// A heavy hall.
pub(crate) fn hall() -> Space {
    let input = SpaceInput {
        floor: 400.0,
        height: 6.0,
        mass_area: 1200.0,
        mass_capacity: 1.04e8,
        air_capacity: 4e6,
        opaque: 310.0,
        windows: 140.0,
        infiltration: 0.5,
        open_window: 0.0,
        ventilation: None,
        start: None,
    };
    Space::new(input).expect("sizes are sound")
}

/// One capacity at the air node; the mass stands apart. The small conductance between surface and
/// mass only keeps the surface node connected to something.
pub(crate) fn one_capacity(outdoors: f64, capacity: f64) -> Network {
    Network {
        ventilation: outdoors,
        air_to_surface: 0.0,
        windows: 0.0,
        surface_to_mass: 1.0,
        mass_to_outdoors: 0.0,
        air_capacity: capacity,
        mass_capacity: 1.0,
        mass_share: 0.0,
        surface_share: 0.0,
        window_share: 0.0,
    }
}

/// Two capacities: two equal conductances in series stand between them.
pub(crate) fn two_capacities(
    [air, mass]: [f64; 2],
    between: f64,
    [air_outdoors, mass_outdoors]: [f64; 2],
) -> Network {
    Network {
        air_to_surface: 2.0 * between,
        surface_to_mass: 2.0 * between,
        mass_to_outdoors: mass_outdoors,
        mass_capacity: mass,
        ..one_capacity(air_outdoors, air)
    }
}

prop_compose! {
    /// Any room from a cupboard to a hall, from paper to stone, from sealed to leaky.
    pub(crate) fn any_room()(
        floor in 2.0..2000.0,
        height in 2.0..10.0,
        mass_area in 0.5..3.8,
        mass in 20e3..400e3,
        air in 1e3..50e3,
        opaque in 0.0..0.9,
        windows in 0.0..4.0,
        infiltration in 0.0..3.0,
        flow in 0.0..0.01,
    ) -> Space {
        let input = SpaceInput {
            floor,
            height,
            mass_area: mass_area * floor,
            mass_capacity: mass * floor,
            air_capacity: air * floor,
            opaque: opaque * 9.1 * mass_area * floor,
            windows: windows * floor,
            infiltration,
            open_window: 0.0,
            ventilation: Some(Ventilation { flow: flow * floor, when: Span::ALWAYS }),
            start: None,
        };
        Space::new(input).expect("the ranges leave every share positive")
    }
}
