//! Where the light comes from where the weather itself has none, and how it is spread.

use std::sync::Arc;

use super::clear_sky::ClearSky;
use super::perez::SkyModel;
use super::spell::Spell;

/// The sky.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sky {
    /// How its brightness is spread.
    pub model: SkyModel,
    /// How clear it is, if the file says so.
    pub clear: Option<ClearSky>,
    /// Whether a sky that is clear every day is what the file asks for.
    pub is_meant_clear: bool,
    /// Radiation by the hour that follows from monthly means, if the file gives any.
    pub monthly: Option<Arc<Vec<Spell>>>,
}
