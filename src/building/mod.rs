//! Zones and their heat balance.
//!
//! ```
//! use setband::building::MassClass;
//!
//! // ISO 13790:2008, Table 12.
//! assert_eq!(MassClass::Medium.capacity_per_floor(), 165_000.0);
//! ```
mod balance;
mod block;
mod damp;
mod exact_step;
mod glass;
mod network;
mod schedule;
mod space;
mod symmetric;

pub use balance::{Balance, ZoneHeat};
pub use block::{Block, Coupling, blocks};
pub use damp::{Water, WaterFlows};
pub use exact_step::{BlockPropagator, ZonePropagator, ZonePropagators};
pub use glass::{angle_modifier, diffuse_modifier};
pub use network::{
    HeatGains, Inflows, Network, Surfaces, ZoneFlows, mean_radiant, operative, window_exchange,
};
pub use schedule::{internal_gain, is_ventilated, latent_gain, switch_times};
pub use space::{
    AIR, AIR_AND_FURNITURE, AIR_DENSITY, AIR_TO_SURFACE, AirChange, Facing, Gain, MassClass,
    Neighbour, OPEN_WINDOW, SURFACE_TO_MASS, SURFACES_PER_FLOOR, Shade, Space, SpaceFault,
    SpaceInput, SunnyWall, Ventilation, Window, ZoneIndex,
};
