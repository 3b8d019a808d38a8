//! Zones and their heat balance.
mod space;

pub use space::{
    Gain, MassClass, Neighbour, Space, SpaceFault, SpaceInput, Ventilation, ZoneIndex,
};
