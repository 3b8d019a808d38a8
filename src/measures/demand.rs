//! Mixed demand: steps at which one zone needs heating and another cooling.

use crate::direction::Direction;
use crate::numbers::low_bits;

/// Counts steps of mixed demand. Up to 64 steps are noted, a bit for each, the first lowest, before
/// they are counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct DemandTally {
    /// One zone alone has no mixed demand, even where it meets both start conditions.
    several: bool,
    /// At which of the steps under way any zone that is awake meets the start condition: heating,
    /// cooling.
    wanted: [u64; 2],
    mixed: u64,
}

impl DemandTally {
    pub(super) const fn new(zones: usize) -> Self {
        Self { several: zones > 1, wanted: [0; 2], mixed: 0 }
    }

    /// Notes at which steps a zone meets the start condition of a direction.
    pub(super) fn note(&mut self, direction: Direction, steps: u64) {
        self.wanted[direction as usize] |= steps;
    }

    /// Counts so many steps that all zones have noted.
    pub(super) fn end(&mut self, steps: usize) {
        let [heating, cooling] = std::mem::take(&mut self.wanted);
        if self.several {
            let mixed = heating & cooling & low_bits(steps);
            self.mixed += u64::from(mixed.count_ones());
        }
    }

    /// How many steps had mixed demand.
    pub(super) const fn mixed_steps(&self) -> u64 {
        self.mixed
    }
}
