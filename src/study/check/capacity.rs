//! Capacities that no room of the size needs.

use super::Finding;
use super::zone::{ZoneAt, tidy};
use crate::direction::Direction;
use crate::plant::Capacity;

/// More than this for each m2 of floor is a slip of the decimal point rather than a unit, W/m2:
/// rooms need some 30 to 150, glasshouses and cold stores some hundreds. Common practice, no source.
const MOST_PER_FLOOR: f64 = 1000.0;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let floor = zone.zone.space.input().floor;
    for direction in Direction::BOTH {
        let Some(Capacity { rated: capacity, .. }) = zone.zone.unit.capacity(direction) else {
            continue;
        };
        let per_floor = capacity / floor;
        if per_floor <= MOST_PER_FLOOR {
            continue;
        }
        let key = match direction {
            Direction::Heating => "unit.heating",
            Direction::Cooling => "unit.cooling",
        };
        let message = format!(
            "{} kW for {} m2 of floor are {:.0} W/m2: a room swings by many degrees within a step, \
             or leaves every temperature that can be",
            tidy(capacity / 1000.0),
            tidy(floor),
            per_floor
        );
        let remedy =
            format!("check the decimal point; rooms need 30 to 150 W/m2, here {}", span(floor));
        let finding = Finding::warning("capacity-out-of-proportion", zone.path(key), message);
        findings.push(finding.mend(remedy).cite("common practice, no source"));
    }
}

/// What rooms of a size need, with its unit.
fn span(floor: f64) -> String {
    format!("{:.1} to {:.1} kW", 0.03 * floor, 0.15 * floor)
}
