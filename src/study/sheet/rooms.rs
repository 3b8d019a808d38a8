//! What rooms are to read while a sheet is worked through, and which season each direction needs.

use crate::control::{Direction, Side};
use crate::engine::{Model, Zone, ZoneIndex};

/// Machines are not run for a test outside these outdoor temperatures, degrees C: heating above,
/// cooling below. Common practice, no source.
pub const SEASON: [f64; 2] = [24.0, 15.0];

/// The outdoor temperatures at which a zone's plant may be run in a direction, in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Season {
    /// Not below this.
    pub lowest: Option<f64>,
    /// Not above this.
    pub highest: Option<f64>,
}

impl Season {
    /// Whether an outdoor temperature lies within.
    pub fn allows(&self, outdoor: f64) -> bool {
        self.lowest.is_none_or(|lowest| outdoor >= lowest)
            && self.highest.is_none_or(|highest| outdoor <= highest)
    }
}

/// The season that a direction needs in a zone: what is practice, and the outdoor unit's lockouts.
pub fn season(model: &Model, zone: ZoneIndex, direction: Direction) -> Season {
    let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
    let lockout = group.and_then(|group| match direction {
        Direction::Heating => group.unit.heating_lockout,
        Direction::Cooling => group.unit.cooling_lockout,
    });
    let practice = model.unit.from_celsius(SEASON[direction as usize]);
    let lockout = lockout.map(|celsius| model.unit.from_celsius(celsius));
    match direction {
        Direction::Heating => Season { lowest: lockout, highest: Some(practice) },
        Direction::Cooling => Season { lowest: Some(practice), highest: lockout },
    }
}

/// What each room is to read, in the file's unit.
pub(super) fn rooms(model: &Model, given: Option<f64>) -> Vec<f64> {
    model.zones.iter().map(|zone| given.unwrap_or_else(|| best_room(zone))).collect()
}

/// Between the setpoints, and where the limits allow it so that calls can be had in both
/// directions: on a step, so that starts and ends of calls lie on steps, too.
fn best_room(zone: &Zone) -> f64 {
    let controls = &zone.controls;
    let (settings, pair) = (&controls.settings, &controls.start.setpoints);
    let (grid, start) = (settings.grid, controls.thermostat.call_start);
    let middle = grid.value(pair.heat()).midpoint(grid.value(pair.cool()));
    let lowest = grid.value(settings.rules.range(Side::Cool).low) + start.cooling;
    let highest = grid.value(settings.rules.range(Side::Heat).high) - start.heating;
    let wanted = if lowest <= highest { middle.clamp(lowest, highest) } else { middle };
    grid.value(grid.nearest(wanted))
}
