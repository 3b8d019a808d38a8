//! What a family of candidates does with a press, and how its limits are counted.

use crate::control::{Key, OnConflict, Side, Ticks};

/// Both sides, in the order of their numbers.
pub(super) const SIDES: [Side; 2] = [Side::Heat, Side::Cool];

/// A limit, counted along the way of a key: the larger the further off, for cooler as for warmer.
pub(super) const fn along(key: Key, limit: Ticks) -> i32 {
    if matches!(key, Key::Cooler) { -limit.count() } else { limit.count() }
}

/// What one family of candidates is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ways {
    pub deadband: Ticks,
    pub practice: OnConflict,
}
