//! Rooms and units of another file: what was fitted to one log serves the days of another.

use super::every_zone;
use super::tree::{Entry, Node, Value};
use crate::settings::controls::{CALL_START, CALL_STOP, SENSOR_KEY};
use crate::settings::group::{
    BACKUP_KEY, COOLING, DEFROST_KEY, HEATING, LOWEST_OUTPUT, PART_LOAD_KEY, REVERSAL_TIME, STANDBY,
};

/// What of a zone is the room and its unit.
const OF_ZONE: [&str; 3] = ["space", "gains", "unit"];
/// What of its controls is found in a log and set by nobody.
fn of_controls() -> [&'static str; 3] {
    [SENSOR_KEY.name, CALL_START.name, CALL_STOP.name]
}

/// What of an outdoor unit is the machine, and not how its zones share it.
fn of_outdoor_unit() -> [&'static str; 8] {
    [
        HEATING.name,
        COOLING.name,
        PART_LOAD_KEY.name,
        LOWEST_OUTPUT.name,
        STANDBY.name,
        REVERSAL_TIME.name,
        DEFROST_KEY.name,
        BACKUP_KEY.name,
    ]
}

/// Puts the rooms and units of another file in place of a file's own. Of controls it takes where the
/// sensor is and when calls start and end. What the other file leaves out is left out.
///
/// # Errors
/// Names of zones that the other file does not have.
pub(super) fn take_over(file: &mut Node, other: &Node) -> Result<(), Vec<String>> {
    let names: Vec<String> = file
        .get("zones")
        .map_or(&[][..], Node::entries)
        .iter()
        .map(|it| it.key.to_string())
        .collect();
    let missing = |name: &&String| other.get("zones").is_none_or(|zones| zones.get(name).is_none());
    let missing: Vec<String> = names.iter().filter(missing).cloned().collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    for name in &names {
        let from = other.get("zones").and_then(|zones| zones.get(name));
        let into = file.get_mut("zones").and_then(|zones| zones.get_mut(name));
        let (Some(into), Some(from)) = (into, from) else { continue };
        exchange(into, from, |key| OF_ZONE.contains(&key));
        if let (Some(into), Some(from)) = (into.get_mut("controls"), from.get("controls")) {
            exchange(into, from, |key| of_controls().contains(&key));
        }
    }
    // What has come is each zone's own: nothing that the file has for all of them comes back.
    if let Some(every) = file.get_mut(every_zone::KEY) {
        take_out(every, |key| OF_ZONE.contains(&key));
        if let Some(controls) = every.get_mut("controls") {
            take_out(controls, |key| of_controls().contains(&key));
        }
    }
    let units: Vec<Entry> = other.get("outdoor_units").map_or(&[][..], Node::entries).to_vec();
    for unit in units {
        let own = file.get_mut("outdoor_units").and_then(|all| all.get_mut(&unit.key));
        if let Some(own) = own {
            exchange(own, &unit.node, |key| of_outdoor_unit().contains(&key));
        }
    }
    Ok(())
}

/// Takes the chosen keys of a block from another one.
fn exchange(into: &mut Node, from: &Node, chosen: impl Fn(&str) -> bool) {
    take_out(into, &chosen);
    if let Value::Block(entries) = &mut into.value {
        let taken = from.entries().iter().filter(|entry| chosen(&entry.key));
        entries.extend(taken.map(every_zone::owned));
    }
}

/// Takes the chosen keys out of a block.
fn take_out(block: &mut Node, chosen: impl Fn(&str) -> bool) {
    if let Value::Block(entries) = &mut block.value {
        entries.retain(|entry| !chosen(&entry.key));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::fault::Sink;
    use crate::scenario::parse::parse;

    fn tree(text: &str) -> Node {
        parse(text, &Sink::default()).expect("it is YAML")
    }

    #[test]
    fn rooms_units_and_thresholds_come_and_settings_stay() {
        let mut file = tree(
            "zones:\n  a: {space: {floor: 1}, gains: {power: 1}, unit: {heating: 1}, controls: {heat: 1, \
             call_start: 1, sensor: {lag: 1}}}\noutdoor_units:\n  u: {zones: [a], owner: a, cooling: 1}\n",
        );
        let other = tree(
            "zones:\n  a: {space: {floor: 2}, unit: {heating: 2}, controls: {heat: 2, call_start: 2}}\n\
             outdoor_units:\n  u: {zones: [a, b], owner: b, cooling: 2, standby: 2}\n",
        );
        take_over(&mut file, &other).expect("it has the zone");
        let zone = file.get("zones").and_then(|zones| zones.get("a")).expect("it stays");
        assert_eq!(
            zone.on_one_line(),
            "controls heat 1, call_start 2, space floor 2, unit heating 2"
        );
        let unit = file.get("outdoor_units").and_then(|units| units.get("u")).expect("it stays");
        assert_eq!(unit.on_one_line(), "zones [a], owner a, cooling 2, standby 2");
    }

    #[test]
    fn what_is_written_for_every_zone_comes_and_goes_with_the_rest() {
        let mut file = tree(
            "every_zone: {space: {floor: 1, height: 3}, controls: {heat: 1, call_start: 1}}\nzones: {a: {}}\n",
        );
        let mut other =
            tree("every_zone: {space: {floor: 2}, controls: {call_start: 2}}\nzones: {a: {}}\n");
        every_zone::spread(&mut file).expect("it is little");
        every_zone::spread(&mut other).expect("it is little");
        take_over(&mut file, &other).expect("it has the zone");
        every_zone::spread(&mut file).expect("it is little");
        let zone = file.get("zones").and_then(|zones| zones.get("a")).expect("it stays");
        assert_eq!(zone.on_one_line(), "controls call_start 2, heat 1, space floor 2");
    }

    #[test]
    fn zones_that_the_other_file_lacks_are_named() {
        let mut file = tree("zones: {a: {}, b: {}}\n");
        assert_eq!(take_over(&mut file, &tree("zones: {b: {}}\n")), Err(vec!["a".to_owned()]));
    }
}
