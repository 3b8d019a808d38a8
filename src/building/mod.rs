//! Zones and their heat balance.
mod space;

pub use space::{
    AIR_AND_FURNITURE, Facing, Gain, MassClass, Neighbour, Space, SpaceFault, SpaceInput,
    Ventilation, Window, ZoneIndex,
};
