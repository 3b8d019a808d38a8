//! `zones.*.band`: a width that sets heat and cool about their midpoint, and the minimum deadband
//! with them. The deadband alone changes nothing until somebody presses a key.

use super::fault::Complaint;
use super::near::nearest;
use super::tree::{Entry, Node, Place, Value};
use crate::control::{Grid, Ticks, about_midpoint};
use crate::settings::controls::{COOL, HEAT, MIN_DEADBAND, SETPOINT_STEP};
use crate::units::{TemperatureUnit, parse_number};

/// The zone of a path that is a band: `*` or a name.
pub(super) fn zone_of(path: &str) -> Option<&str> {
    let zone = path.strip_prefix("zones.")?.strip_suffix(".band")?;
    (!zone.contains('.')).then_some(zone)
}

/// Gives a zone, or every zone, a band of this width.
pub(super) fn widen(root: &mut Node, zone: &str, width: &Node) -> Result<(), Complaint> {
    let unit = match root.get("temperature").and_then(Node::text) {
        Some("F") => TemperatureUnit::Fahrenheit,
        _ => TemperatureUnit::Celsius,
    };
    let Some(Value::Block(zones)) = root.get_mut("zones").map(|node| &mut node.value) else {
        return Ok(());
    };
    if zone != "*" && !zones.iter().any(|entry| *entry.key == *zone) {
        let near = nearest(zone, zones.iter().map(|entry| &*entry.key));
        let remedy = near.map_or_else(
            || "add it under `zones`, or take the path out".to_owned(),
            |near| format!("the nearest is `{near}`"),
        );
        let message = format!("this path leads nowhere: the file has no zone `{zone}`");
        return Err(Complaint::new("unknown-path", message).help(remedy));
    }
    for entry in zones.iter_mut().filter(|entry| zone == "*" || *entry.key == *zone) {
        if let Some(controls) = entry.node.get_mut("controls") {
            widen_one(controls, unit, width)?;
        }
    }
    Ok(())
}

/// What a file leaves out or has wrong here is left to the readers, who say so with its place.
fn widen_one(controls: &mut Node, unit: TemperatureUnit, width: &Node) -> Result<(), Complaint> {
    let number = |node: &Node| node.text().and_then(parse_number);
    let default = || SETPOINT_STEP.need.default_text(unit).and_then(parse_number);
    let step = controls.get(SETPOINT_STEP.name).and_then(number).or_else(default);
    let Some(grid) = step.and_then(|step| Grid::new(unit, step)) else { return Ok(()) };
    let setpoint = |key| controls.get(key).and_then(number).and_then(|it| grid.exact(it).ok());
    let (Some(heat), Some(cool)) = (setpoint(HEAT.name), setpoint(COOL.name)) else {
        return Ok(());
    };
    let width = whole_ticks(grid, width)?;
    let (heat, cool) = about_midpoint(heat, cool, width);
    for (key, ticks) in [(HEAT, heat), (COOL, cool), (MIN_DEADBAND, width)] {
        put(controls, key.name, &grid.show(ticks).to_string());
    }
    Ok(())
}

fn whole_ticks(grid: Grid, width: &Node) -> Result<Ticks, Complaint> {
    let Some(wanted) = width.text().and_then(parse_number) else {
        let message = format!("a width in degrees is wanted, not {}", width.describe());
        return Err(Complaint::new("wrong-kind", message).help("write it like `2`"));
    };
    match grid.exact(wanted) {
        Ok(ticks) if ticks >= Ticks::ZERO => Ok(ticks),
        Ok(_) => Err(Complaint::new("out-of-range", "a band cannot be narrower than nothing")),
        Err(between) => {
            let message = format!("a band of {wanted} is no whole number of setpoint steps");
            let remedy = format!("the nearest are {} and {}", between.below, between.above);
            Err(Complaint::new("off-step", message).help(remedy))
        }
    }
}

/// Sets a key of a block to a scalar.
fn put(block: &mut Node, key: &str, text: &str) {
    let node = Node::scalar(text);
    if let Some(standing) = block.get_mut(key) {
        standing.value = node.value;
    } else if let Value::Block(entries) = &mut block.value {
        entries.push(Entry::new(key, Place::default(), node));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_zone_has_a_band() {
        assert_eq!(zone_of("zones.*.band"), Some("*"));
        assert_eq!(zone_of("zones.hall.band"), Some("hall"));
        assert_eq!(zone_of("zones.hall.comfort.band"), None);
        assert_eq!(zone_of("band"), None);
    }
}
