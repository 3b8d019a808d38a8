//! The network of one zone: ISO 13790:2008, annex C, five conductances, with air and mass as the
//! two nodes that store heat. The surface node stores none and is eliminated.

use super::space::{
    AIR, AIR_DENSITY, AIR_TO_SURFACE, AirChange, SURFACE_TO_MASS, SURFACES_PER_FLOOR, Space,
};
use crate::numbers::Number;

/// Share of the internal gains that goes straight to the air: ISO 13790:2008, C.2, eq. (C.1).
const INTERNAL_TO_AIR: f64 = 0.5;
/// Weight of the air in the operative temperature: ISO 13790:2008, annex C, eq. (C.12).
const AIR_IN_OPERATIVE: f64 = 0.3;
/// Weight of the surfaces in the operative temperature: the same equation.
const SURFACE_IN_OPERATIVE: f64 = 0.7;

/// Conductances, W/K, capacities, J/K, and the split of gains of one zone in one state of its
/// ventilation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Network {
    /// Outdoors to air, by infiltration and ventilation.
    pub ventilation: f64,
    /// Air to surface.
    pub air_to_surface: f64,
    /// Surface to outdoors, through the windows.
    pub windows: f64,
    /// Surface to mass.
    pub surface_to_mass: f64,
    /// Mass to outdoors, through the opaque envelope.
    pub mass_to_outdoors: f64,
    /// Capacity of air and furnishings.
    pub air_capacity: f64,
    /// Capacity of the mass.
    pub mass_capacity: f64,
    /// Part of the radiant gains that reaches the mass.
    pub mass_share: f64,
    /// Part of the radiant gains that reaches the surface.
    pub surface_share: f64,
    /// Part of the radiant gains that leaves through the windows at once.
    pub window_share: f64,
}

/// Gains of a zone, W, apart from its plant.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeatGains {
    /// From people, lights and machines.
    pub internal: f64,
    /// From the sun.
    pub solar: f64,
}

/// What drives the two nodes, W: everything that does not depend on their own temperatures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ZoneFlows<V = f64> {
    /// Into the air, without the plant's heat, which is simply added.
    pub air: V,
    /// Into the mass.
    pub mass: V,
    /// Gain at the surface node, already contained in the other two; the surface temperature
    /// needs it.
    pub surface: V,
}

impl ZoneFlows {
    /// The flows as a step takes them, air first, with the plant's heat added.
    pub fn with_plant(&self, heat: f64) -> [f64; 2] {
        [self.air + heat, self.mass]
    }
}

/// What an open window adds to the conductance between air and outdoors, W/K.
pub fn window_exchange(space: &Space) -> f64 {
    let input = space.input();
    AIR * input.open_window * input.floor * input.height / 3600.0
}

impl Network {
    /// Outdoor air that comes in, kg/s.
    pub fn air_exchange(&self) -> f64 {
        self.ventilation / AIR * AIR_DENSITY
    }

    /// The network of a room while its scheduled ventilation runs or does not.
    pub fn new(space: &Space, ventilated: bool) -> Self {
        let input = space.input();
        let surfaces = SURFACES_PER_FLOOR * input.floor;
        let surface_to_mass = SURFACE_TO_MASS * input.mass_area;
        let scheduled = input.ventilation.filter(|_| ventilated).map_or(0.0, |it| it.flow);
        let infiltration = input.infiltration * input.floor * input.height / 3600.0;
        let windows = input.windows;
        let mass_share = input.mass_area / surfaces;
        let window_share = windows / (SURFACE_TO_MASS * surfaces);
        Self {
            ventilation: AIR * (infiltration + scheduled),
            air_to_surface: AIR_TO_SURFACE * surfaces,
            windows,
            surface_to_mass,
            // 1/Hem = 1/Hop - 1/Hms, written so that an envelope without loss needs no exception.
            mass_to_outdoors: input.opaque * surface_to_mass / (surface_to_mass - input.opaque),
            air_capacity: input.air_capacity,
            mass_capacity: input.mass_capacity,
            mass_share,
            surface_share: 1.0 - mass_share - window_share,
            window_share,
        }
    }

    /// The network of a room at an air change.
    pub fn at(space: &Space, air: AirChange) -> Self {
        let closed = Self::new(space, air.ventilation);
        let window = if air.window { window_exchange(space) } else { 0.0 };
        Self { ventilation: closed.ventilation + window, ..closed }
    }

    /// The sum of the conductances that meet at the surface node.
    fn surface_sum(&self) -> f64 {
        self.air_to_surface + self.surface_to_mass + self.windows
    }

    /// One over that sum, K/W.
    fn surface_resistance(&self) -> f64 {
        1.0 / self.surface_sum()
    }

    /// Conductances of the network without its surface node, W/K: what couples air and mass, and
    /// what remains of the way outdoors for either.
    pub(super) fn reduced(&self) -> Reduced {
        let sum = self.surface_sum();
        Reduced {
            air_to_mass: self.air_to_surface * self.surface_to_mass / sum,
            air_to_outdoors: self.ventilation + self.air_to_surface * self.windows / sum,
            mass_to_outdoors: self.mass_to_outdoors + self.surface_to_mass * self.windows / sum,
        }
    }

    /// What drives air and mass at an outdoor temperature, degrees C.
    pub fn flows(&self, outdoor: f64, gains: HeatGains) -> ZoneFlows {
        Inflows::<f64>::new((), |_| self).flows(outdoor, [gains.internal, gains.solar])
    }

    /// The gain at the surface node, W.
    pub fn surface_gain(&self, gains: HeatGains) -> f64 {
        self.surface_share * radiant(gains)
    }

    /// The surface temperature, degrees C, that belongs to air, mass and outdoor temperatures and
    /// to the gain at the surface node, W.
    pub fn surface_temperature(&self, nodes: [f64; 2], outdoor: f64, surface: f64) -> f64 {
        Surfaces::<f64>::new((), |_| self).temperature(nodes, outdoor, surface)
    }

    /// Gains that leave through the windows at once, W: what ISO 13790:2008, eq. (C.2) and (C.3)
    /// give to neither mass nor surface.
    pub fn lost_gain(&self, gains: HeatGains) -> f64 {
        self.window_share * radiant(gains)
    }

    /// Heat stored above 0 degrees C, J.
    pub fn stored(&self, [air, mass]: [f64; 2]) -> f64 {
        self.air_capacity * air + self.mass_capacity * mass
    }
}

/// What outdoor air and gains drive in rooms side by side.
#[derive(Clone, Copy, Debug)]
pub struct Inflows<V> {
    ventilation: V,
    air_to_surface: V,
    windows: V,
    surface_to_mass: V,
    mass_to_outdoors: V,
    surface_sum: V,
    mass_share: V,
    surface_share: V,
}

impl<V: Number> Inflows<V> {
    /// Those of rooms, each in its lane.
    #[inline(always)]
    pub fn new<'n>(token: V::Token, of: impl Fn(usize) -> &'n Network) -> Self {
        let all = |pick: fn(&Network) -> f64| V::from_fn(token, |lane| pick(of(lane)));
        Self {
            ventilation: all(|it| it.ventilation),
            air_to_surface: all(|it| it.air_to_surface),
            windows: all(|it| it.windows),
            surface_to_mass: all(|it| it.surface_to_mass),
            mass_to_outdoors: all(|it| it.mass_to_outdoors),
            surface_sum: all(Network::surface_sum),
            mass_share: all(|it| it.mass_share),
            surface_share: all(|it| it.surface_share),
        }
    }

    /// What drives air and mass at outdoor temperatures, degrees C, and internal and solar gains, W.
    #[inline(always)]
    pub fn flows(&self, outdoor: V, [internal, solar]: [V; 2]) -> ZoneFlows<V> {
        let radiant = internal.splat(1.0 - INTERNAL_TO_AIR) * internal + solar;
        let surface = self.surface_share * radiant;
        let through_surface = (self.windows * outdoor + surface) / self.surface_sum;
        ZoneFlows {
            air: self.ventilation * outdoor
                + self.air_to_surface * through_surface
                + internal.splat(INTERNAL_TO_AIR) * internal,
            mass: self.mass_to_outdoors * outdoor
                + self.surface_to_mass * through_surface
                + self.mass_share * radiant,
            surface,
        }
    }
}

/// The surface nodes of rooms side by side: the parts that air, mass and outdoors have in the
/// surface temperature, and the resistance that a gain meets there, K/W.
#[derive(Clone, Copy, Debug)]
pub struct Surfaces<V> {
    air: V,
    mass: V,
    outdoors: V,
    resistance: V,
}

impl<V: Number> Surfaces<V> {
    /// Those of rooms, each in its lane.
    #[inline(always)]
    pub fn new<'n>(token: V::Token, of: impl Fn(usize) -> &'n Network) -> Self {
        Self {
            air: V::from_fn(token, |lane| of(lane).air_to_surface * of(lane).surface_resistance()),
            mass: V::from_fn(token, |lane| {
                of(lane).surface_to_mass * of(lane).surface_resistance()
            }),
            outdoors: V::from_fn(token, |lane| of(lane).windows * of(lane).surface_resistance()),
            resistance: V::from_fn(token, |lane| of(lane).surface_resistance()),
        }
    }

    /// The surface temperatures, degrees C, as [`Network::surface_temperature`] has them.
    #[inline(always)]
    pub fn temperature(&self, [air, mass]: [V; 2], outdoor: V, surface: V) -> V {
        self.air * air + self.mass * mass + self.outdoors * outdoor + self.resistance * surface
    }
}

/// What of the gains does not go to the air.
fn radiant(gains: HeatGains) -> f64 {
    (1.0 - INTERNAL_TO_AIR) * gains.internal + gains.solar
}

/// The network of two nodes that is left without the surface node, W/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reduced {
    /// Between air and mass.
    pub(super) air_to_mass: f64,
    /// From air to outdoors.
    pub(super) air_to_outdoors: f64,
    /// From mass to outdoors.
    pub(super) mass_to_outdoors: f64,
}

/// Operative temperature from air and surface temperature: ISO 13790:2008, eq. (C.12).
#[inline(always)]
pub fn operative<V: Number>(air: V, surface: V) -> V {
    air.splat(AIR_IN_OPERATIVE) * air + air.splat(SURFACE_IN_OPERATIVE) * surface
}

/// Mean radiant temperature, the one that makes the operative temperature the mean of it and the
/// air temperature.
#[inline(always)]
pub fn mean_radiant<V: Number>(air: V, operative: V) -> V {
    air.splat(2.0) * operative - air
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::building::space::{SpaceInput, Ventilation};
    use crate::time::Span;
    use approx::assert_relative_eq;

    fn room(opaque: f64) -> Space {
        Space::new(SpaceInput {
            floor: 40.0,
            height: 2.5,
            mass_area: 100.0,
            mass_capacity: 6.6e6,
            air_capacity: 4e5,
            opaque,
            windows: 6.0,
            infiltration: 0.36,
            open_window: 4.0,
            ventilation: Some(Ventilation { flow: 0.02, when: Span::ALWAYS }),
            start: None,
        })
        .expect("sizes are sound")
    }

    #[test]
    fn conductances_are_those_of_the_standard() {
        let network = Network::new(&room(20.0), true);
        // 100 m3 at 0.36 /h are 0.01 m3/s; 1.2 kg/m3 * 1006 J/(kg K).
        assert_relative_eq!(network.ventilation, 0.03 * 1207.2, max_relative = 1e-12);
        assert_relative_eq!(network.air_to_surface, 3.45 * 4.5 * 40.0, max_relative = 1e-12);
        assert_relative_eq!(network.surface_to_mass, 910.0, max_relative = 1e-12);
        let series = 1.0 / network.mass_to_outdoors + 1.0 / network.surface_to_mass;
        assert_relative_eq!(series, 1.0 / 20.0, max_relative = 1e-12);
        let still = Network::new(&room(20.0), false);
        assert_relative_eq!(still.ventilation, 0.01 * 1207.2, max_relative = 1e-12);
    }

    #[test]
    fn an_envelope_without_loss_conducts_nothing() {
        assert_relative_eq!(Network::new(&room(0.0), true).mass_to_outdoors, 0.0);
    }

    #[test]
    fn shares_of_the_gains_add_up() {
        let network = Network::new(&room(20.0), true);
        let shares = network.mass_share + network.surface_share + network.window_share;
        assert_relative_eq!(shares, 1.0, max_relative = 1e-15);
        // ISO 13790:2008, eq. (C.3): Hw / (9.1 At).
        let lost = network.lost_gain(HeatGains { internal: 200.0, solar: 300.0 });
        assert_relative_eq!(lost, 400.0 * 6.0 / (9.1 * 180.0), max_relative = 1e-12);
    }

    #[test]
    fn the_operative_temperature_is_the_mean_of_air_and_radiant() {
        let (air, surface) = (22.0, 19.0);
        assert_relative_eq!(operative(air, surface), 19.9, max_relative = 1e-14);
        assert_relative_eq!(mean_radiant(air, operative(air, surface)), 17.8, max_relative = 1e-14);
    }
}
