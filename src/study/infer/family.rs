//! Candidates kept as products: a step, a practice and a deadband with the limits that go with them.

use super::facts::Scale;
use crate::control::{OnConflict, Ticks};

/// Two limits of which one kind of press tells: of heat and of cool. Whatever lies beyond what was
/// pressed for behaves alike and is kept as one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub heat: Ticks,
    pub cool: Ticks,
    /// The sets of locked controllers with which they agree, a bit each.
    pub sets: u8,
}

impl Ends {
    /// Whether they agree with locks at these controllers.
    pub(super) const fn agree(&self, set: usize) -> bool {
        self.sets >> set & 1 == 1
    }
}

/// Step, practice and deadband, with the limits that go with them.
#[derive(Clone, Debug)]
pub(super) struct Family {
    pub scale: Scale,
    pub practice: OnConflict,
    pub deadband: Ticks,
    /// Whether the zone follows an owner.
    pub follows: bool,
    /// High limits that agree.
    pub upper: Vec<Ends>,
    /// Low limits that agree.
    pub lower: Vec<Ends>,
    /// The high limits that stand for everything above, and the low ones for everything below.
    pub highest: [Ticks; 2],
    pub lowest: [Ticks; 2],
}
