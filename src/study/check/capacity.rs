//! Capacities that no room of the size needs.

use super::Finding;
use super::zone::{ZoneAt, tidy};
use crate::direction::Direction;
use crate::engine::{Model, Zone};

/// More than this for each m2 of floor is a slip of the decimal point rather than a unit, W/m2:
/// rooms need some 30 to 150, glasshouses and cold stores some hundreds. Common practice, no source.
const MOST_PER_FLOOR: f64 = 1000.0;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let floor = zone.zone.space.input().floor;
    for direction in Direction::BOTH {
        let capacity = zone.zone.unit.rated(direction);
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

/// A capacity for each m2 of floor looks like a slip where it is so many times larger or smaller than
/// that of every other zone. Common practice, no source.
const OUT_OF_LINE: f64 = 5.0;

/// Sizes that look like a slip beside those of other zones.
pub(super) fn among_others(model: &Model, findings: &mut Vec<Finding>) {
    for direction in Direction::BOTH {
        let per_floor = |zone: &Zone| -> Option<f64> {
            Some(zone.unit.capacity(direction)?.rated / zone.space.input().floor)
        };
        for zone in &model.zones {
            let Some(own) = per_floor(zone) else { continue };
            let others = model.zones.iter().filter(|other| other.id != zone.id);
            let mut others: Vec<f64> = others.filter_map(per_floor).collect();
            others.sort_by(f64::total_cmp);
            let [least, .., most] = others[..] else { continue };
            // Beside one other zone nobody can tell which of the two is odd, and rooms differ: only
            // what is far from every other one looks like a slip.
            let (small, usual) = if own * OUT_OF_LINE < least {
                (true, least)
            } else if own > most * OUT_OF_LINE {
                (false, most)
            } else {
                continue;
            };
            let floor = zone.space.input().floor;
            let message = format!(
                "{} {} kW for {} m2 of floor are {} W/m2, where every other zone has {} or {}: {}",
                direction.name(),
                tidy(own * floor / 1000.0),
                tidy(floor),
                tidy(own),
                tidy(usual),
                if small { "more" } else { "less" },
                if small { "the room may never get there" } else { "the unit will cycle" }
            );
            let key = match direction {
                Direction::Heating => "unit.heating",
                Direction::Cooling => "unit.cooling",
            };
            let remedy = format!(
                "check the decimal point; by the others it would be {} kW",
                tidy(usual * floor / 1000.0)
            );
            let path = format!("zones.{}.{key}", zone.id);
            let finding = Finding::warning("capacity-out-of-line", path, message);
            findings.push(finding.mend(remedy).cite("common practice, no source"));
        }
    }
}
