//! A zone's room: sizes, conductances and capacities of the network of ISO 13790:2008, with the
//! heat capacity of air and furnishings at the air node.

use crate::time::Span;

/// Which zone: its place in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ZoneIndex(usize);

impl ZoneIndex {
    /// The zone at a place in the file.
    pub const fn new(place: usize) -> Self {
        Self(place)
    }

    /// Its place in the file.
    pub const fn get(self) -> usize {
        self.0
    }
}

/// Heat capacity of air and furnishings, J/(m2 K) of floor: ISO 52016-1:2017, default for air
/// and furniture.
pub const AIR_AND_FURNITURE: f64 = 10_000.0;
/// Volumetric heat capacity of air: 1.2 kg/m3 * 1006 J/(kg K), J/(m3 K).
pub const AIR: f64 = AIR_DENSITY * 1006.0;
/// Density of air, kg/m3: as in [`AIR`].
pub const AIR_DENSITY: f64 = 1.2;
/// Air to surface, W/(m2 K): ISO 13790:2008, 7.2.2.2.
pub const AIR_TO_SURFACE: f64 = 3.45;
/// Surface to mass, W/(m2 K): ISO 13790:2008, 12.2.2.
pub const SURFACE_TO_MASS: f64 = 9.1;
/// Area of all surfaces facing the room over the floor's: ISO 13790:2008, 7.2.2.2.
pub const SURFACES_PER_FLOOR: f64 = 4.5;

/// Air changes of a room with an open window on top of the others, 1/h: common practice, no
/// source.
pub const OPEN_WINDOW: f64 = 4.0;

/// Where a room's air is exchanged with outdoors at a step, besides by infiltration.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct AirChange {
    /// Scheduled ventilation runs.
    pub ventilation: bool,
    /// A window is open.
    pub window: bool,
}

impl AirChange {
    /// All there are, in the order of [`AirChange::place`].
    pub const ALL: [Self; 4] = [
        Self { ventilation: false, window: false },
        Self { ventilation: true, window: false },
        Self { ventilation: false, window: true },
        Self { ventilation: true, window: true },
    ];

    /// Its place among all.
    pub const fn place(self) -> usize {
        self.ventilation as usize | (self.window as usize) << 1
    }
}

/// How heavy a building is: ISO 13790:2008, Table 12.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MassClass {
    /// Very light.
    VeryLight,
    /// Light.
    Light,
    /// Medium.
    Medium,
    /// Heavy.
    Heavy,
    /// Very heavy.
    VeryHeavy,
}

impl MassClass {
    /// Effective mass area per floor area, m2/m2.
    pub const fn area_per_floor(self) -> f64 {
        match self {
            Self::VeryLight | Self::Light | Self::Medium => 2.5,
            Self::Heavy => 3.0,
            Self::VeryHeavy => 3.5,
        }
    }

    /// Heat capacity per floor area, J/(m2 K).
    pub const fn capacity_per_floor(self) -> f64 {
        match self {
            Self::VeryLight => 80_000.0,
            Self::Light => 110_000.0,
            Self::Medium => 165_000.0,
            Self::Heavy => 260_000.0,
            Self::VeryHeavy => 370_000.0,
        }
    }
}

/// Air that is changed on purpose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ventilation {
    /// Flow, m3/s.
    pub flow: f64,
    /// When.
    pub when: Span,
}

/// The way a surface looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facing {
    /// Degrees clockwise from north: 90 east, 180 south.
    pub azimuth: f64,
    /// Degrees from horizontal: 0 a flat roof, 90 a wall.
    pub tilt: f64,
}

/// Glazing, for its solar gain; its conductance is part of [`SpaceInput::windows`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// m2.
    pub area: f64,
    /// W/(m2 K).
    pub transmittance: f64,
    /// Part of the irradiance that becomes heat in the room (g), at normal incidence, 0 to 1.
    pub solar_factor: f64,
    /// Part of the area that is frame and lets no sun in, 0 to 1.
    pub frame: f64,
    /// Whether less passes at a slant than at normal incidence.
    pub slant: bool,
    /// What shades it.
    pub shade: Option<Shade>,
    /// The way it looks.
    pub facing: Facing,
}

impl Window {
    /// Area of the glass times solar factor, m2: heat in the room for each W/m2 at normal incidence.
    pub fn aperture(&self) -> f64 {
        self.area * (1.0 - self.frame) * self.solar_factor
    }
}

/// What shades a window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shade {
    /// Part of the sun's heat that still comes in.
    pub factor: f64,
    /// It is drawn while more than this falls on the pane, W/m2; `None` for always.
    pub above: Option<f64>,
    /// Whether it is drawn only while somebody is there.
    pub when_occupied: bool,
}

impl Shade {
    /// Whether it is drawn with so much light on the pane, W/m2.
    pub fn is_drawn(&self, irradiance: f64, occupied: bool) -> bool {
        self.above.is_none_or(|above| irradiance > above) && (occupied || !self.when_occupied)
    }
}

/// Resistance between an outer surface and the air, m2 K/W: ISO 13790:2008, 11.3.4, with ISO 6946.
const OUTER_SURFACE: f64 = 0.04;

/// An outer wall or roof that the sun warms; its conductance is part of [`SpaceInput::opaque`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunnyWall {
    /// m2.
    pub area: f64,
    /// W/(m2 K).
    pub transmittance: f64,
    /// Part of the light that it absorbs, 0 to 1.
    pub absorptance: f64,
    /// The way it looks.
    pub facing: Facing,
}

impl SunnyWall {
    /// Heat in the room for each W/m2 on it, m2: absorptance times resistance of the outer surface
    /// times transmittance times area, ISO 13790:2008, 11.3.4.
    pub fn gain_area(&self) -> f64 {
        self.absorptance * OUTER_SURFACE * self.transmittance * self.area
    }
}

/// What a room is made of, before it is checked. Everything SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpaceInput {
    /// Floor area, m2.
    pub floor: f64,
    /// Height, m.
    pub height: f64,
    /// Effective mass area, m2.
    pub mass_area: f64,
    /// Capacity of the mass, J/K.
    pub mass_capacity: f64,
    /// Capacity of air and furnishings, J/K.
    pub air_capacity: f64,
    /// Conductance of the opaque envelope, W/K.
    pub opaque: f64,
    /// Conductance of the windows, W/K.
    pub windows: f64,
    /// Air changes that always go on, 1/h.
    pub infiltration: f64,
    /// Air changes that come on top while a window is open, 1/h.
    pub open_window: f64,
    /// Air that is changed on purpose.
    pub ventilation: Option<Ventilation>,
    /// Air and mass begin at this temperature, degrees C.
    pub start: Option<f64>,
}

/// Why a room cannot be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SpaceFault {
    /// A size that must be positive and finite is not, or one that must not be negative is.
    Size {
        /// Which.
        name: &'static str,
        /// What it is.
        value: f64,
    },
    /// The opaque envelope conducts as much as the way from surface to mass, or more, so nothing
    /// is left for the way from mass to outdoors.
    OpaqueTooLarge {
        /// Conductance from surface to mass, W/K.
        surface_to_mass: f64,
    },
    /// The windows would take more of the gains than there are.
    WindowsTooLarge,
}

/// A checked room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Space {
    input: SpaceInput,
}

impl Space {
    /// Checks what the network needs.
    ///
    /// # Errors
    /// See [`SpaceFault`].
    pub fn new(input: SpaceInput) -> Result<Self, SpaceFault> {
        if let Some((name, value)) = wrong_size(&input) {
            return Err(SpaceFault::Size { name, value });
        }
        let surface_to_mass = SURFACE_TO_MASS * input.mass_area;
        if input.opaque >= surface_to_mass {
            return Err(SpaceFault::OpaqueTooLarge { surface_to_mass });
        }
        let surfaces = SURFACES_PER_FLOOR * input.floor;
        let to_surface =
            1.0 - input.mass_area / surfaces - input.windows / (SURFACE_TO_MASS * surfaces);
        if to_surface < 0.0 {
            return Err(SpaceFault::WindowsTooLarge);
        }
        Ok(Self { input })
    }

    /// The sizes it was made from.
    pub const fn input(&self) -> &SpaceInput {
        &self.input
    }
}

/// The first size of a room with which its network would have no solution.
fn wrong_size(input: &SpaceInput) -> Option<(&'static str, f64)> {
    let positive = [
        ("floor area", input.floor),
        ("height", input.height),
        ("mass area", input.mass_area),
        ("mass capacity", input.mass_capacity),
        ("air capacity", input.air_capacity),
    ];
    let not_negative = [
        ("opaque conductance", input.opaque),
        ("window conductance", input.windows),
        ("infiltration", input.infiltration),
        ("air change of an open window", input.open_window),
        ("ventilation", input.ventilation.map_or(0.0, |it| it.flow)),
    ];
    let bad_positive = positive.into_iter().find(|(_, size)| !(size.is_finite() && *size > 0.0));
    let bad_other = not_negative.into_iter().find(|(_, size)| !(size.is_finite() && *size >= 0.0));
    bad_positive.or(bad_other)
}

/// Heat that people, lights and machines give off, W, half of it to the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// When.
    pub when: Span,
    /// How much, W.
    pub power: f64,
    /// Heat that leaves as water vapour, W: it damps the air and does not warm it.
    pub latent: f64,
}

/// A conductance between the air of two zones: a door, a thin wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neighbour {
    /// One zone.
    pub one: ZoneIndex,
    /// The other.
    pub other: ZoneIndex,
    /// W/K.
    pub conductance: f64,
}

#[cfg(test)]
impl SpaceInput {
    /// A room of 40 m2, for tests.
    pub(crate) const PLAIN: Self = Self {
        floor: 40.0,
        height: 2.7,
        mass_area: 100.0,
        mass_capacity: 6.6e6,
        air_capacity: 4e5,
        opaque: 20.0,
        windows: 6.0,
        infiltration: 0.2,
        open_window: OPEN_WINDOW,
        ventilation: None,
        start: None,
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_without_a_network_are_refused_by_name() {
        let name = |input| match Space::new(input) {
            Err(SpaceFault::Size { name, .. }) => name,
            other => panic!("{other:?}"),
        };
        assert!(Space::new(SpaceInput::PLAIN).is_ok());
        assert_eq!(name(SpaceInput { floor: 0.0, ..SpaceInput::PLAIN }), "floor area");
        assert_eq!(
            name(SpaceInput { air_capacity: f64::NAN, ..SpaceInput::PLAIN }),
            "air capacity"
        );
        assert_eq!(
            name(SpaceInput { mass_capacity: f64::INFINITY, ..SpaceInput::PLAIN }),
            "mass capacity"
        );
        assert_eq!(name(SpaceInput { infiltration: -0.1, ..SpaceInput::PLAIN }), "infiltration");
        assert!(Space::new(SpaceInput { opaque: 0.0, ..SpaceInput::PLAIN }).is_ok());
    }

    #[test]
    fn an_envelope_must_leave_something_for_the_mass() {
        // 9.1 W/(m2 K) times 100 m2.
        let fault = Space::new(SpaceInput { opaque: 910.0, ..SpaceInput::PLAIN });
        assert_eq!(fault, Err(SpaceFault::OpaqueTooLarge { surface_to_mass: 910.0 }));
        assert!(Space::new(SpaceInput { opaque: 909.9, ..SpaceInput::PLAIN }).is_ok());
    }

    #[test]
    fn windows_and_mass_cannot_take_more_than_all_gains() {
        // What is left: 1 - 100 / 180 of the surfaces' 9.1 * 180 W/K.
        let limit = 9.1 * 80.0;
        assert!(Space::new(SpaceInput { windows: limit - 0.1, ..SpaceInput::PLAIN }).is_ok());
        let fault = Space::new(SpaceInput { windows: limit + 0.1, ..SpaceInput::PLAIN });
        assert_eq!(fault, Err(SpaceFault::WindowsTooLarge));
    }
}
