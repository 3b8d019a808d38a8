//! What a zone asks of the plant and what it is given, over one step.

use crate::direction::Direction;

/// Part of its electric power that a unit draws while the refrigerant circuit reverses: common
/// practice, no source.
pub const POWER_WHILE_REVERSING: f64 = 0.3;

/// Electric power of a compressor for a watt of heat. Heat is multiplied by it wherever there is a
/// compressor, since zones side by side have no time for divisions, and all must get the same bits.
pub fn power_per_heat(cop: f64) -> f64 {
    1.0 / cop
}

/// What one zone asks for over a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// Heating or cooling.
    pub direction: Direction,
    /// Heat asked for once the unit has risen to its output, W; when cooling, with that of the
    /// water that comes out of the air.
    pub share: f64,
    /// The part of it that is sensible heat.
    pub sensible: f64,
    /// The part of it that arrives during the rise after a start, 0 to 1.
    pub rise: f64,
    /// Electric power over that which goes with the heat at the COP.
    pub power: f64,
    /// Whether it is all that the unit is rated for.
    pub full: bool,
}

/// What one zone is given over a step, means in W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Given {
    /// Heat into the zone (heating) or out of it (cooling); below nothing where a spell of
    /// defrosting takes heat out of the room.
    pub heat: f64,
    /// Electric power of the compressor for it.
    pub compressor: f64,
    /// Electric power of the backup heater, which is part of the heat.
    pub backup: f64,
    /// Whether the plant works for the zone.
    pub served: bool,
    /// Whether the unit gives all that it is rated for, or the plant less than was asked of it: then
    /// it is the plant that falls short.
    pub full: bool,
}

impl Ask {
    /// Sensible heat that arrives if all of it is given, W.
    pub fn delivered(&self) -> f64 {
        self.share * self.sensible * self.rise
    }

    /// What a plant of the zone's own gives, at electric power for each watt of heat: all of it, but
    /// for the part of the step in which its circuit reverses.
    pub fn from_own_plant(self, per_heat: f64, reversing: f64) -> Given {
        let electric = self.share * self.power * per_heat;
        Given {
            heat: self.delivered() * (1.0 - reversing),
            compressor: electric * (1.0 - (1.0 - POWER_WHILE_REVERSING) * reversing),
            backup: 0.0,
            served: true,
            full: self.full,
        }
    }
}
