//! Defrosting: as a factor on capacity and COP, or in spells that the outdoor unit takes from time
//! to time.

use crate::time::{Instant, Seconds};

/// Part of the heating capacity that a spell of defrosting takes out of the rooms' air: common
/// practice, no source.
const TAKEN: f64 = 0.5;

/// A band of outdoor temperature in which defrosting takes its share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Defrost {
    /// Lower end of the band, degrees C.
    pub from: f64,
    /// Upper end of the band, degrees C.
    pub to: f64,
    /// Factor on the heating capacity.
    pub capacity: f64,
    /// Factor on the heating COP.
    pub cop: f64,
}

impl Defrost {
    pub(super) fn is_on(&self, outdoor: f64) -> bool {
        self.from <= outdoor && outdoor <= self.to
    }
}

/// Spells in which the outdoor coil is freed of ice: nothing is heated, and the heat comes out of
/// the air of the zones that run, or from a store.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DefrostCycle {
    /// Ice forms below this outdoor temperature, degrees C.
    pub below: f64,
    /// And above this one, degrees C: colder air is too dry.
    pub above: f64,
    /// After so much heating in that band.
    pub every: Seconds,
    /// How long a spell lasts.
    pub lasts: Seconds,
    /// Whether its heat comes from a store and not from the rooms.
    pub from_store: bool,
}

/// What an outdoor unit remembers of ice.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Ice {
    /// Heating in the band since the last spell.
    heated: Seconds,
    /// Until when the spell goes on.
    until: Option<Instant>,
}

impl DefrostCycle {
    /// The part of a step that is spent defrosting, by a unit that heats or not.
    pub(super) fn part(
        &self,
        ice: &mut Ice,
        heats: bool,
        outdoor: f64,
        now: Instant,
        step: Seconds,
    ) -> f64 {
        if !heats {
            return 0.0;
        }
        if let Some(until) = ice.until {
            let left = until.since(now).get() as f64;
            if left > 0.0 {
                return (left / step.get() as f64).min(1.0);
            }
            ice.until = None;
        }
        if (self.above..=self.below).contains(&outdoor) {
            ice.heated = Seconds::new(ice.heated.get() + step.get());
            if ice.heated >= self.every {
                *ice = Ice { heated: Seconds::ZERO, until: Some(now + step + self.lasts) };
            }
        }
        0.0
    }

    /// Part of the heating capacity that is taken out of the rooms' air in a spell.
    pub(super) const fn taken(&self) -> f64 {
        if self.from_store { 0.0 } else { TAKEN }
    }
}
