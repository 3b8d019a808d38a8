//! The governing sensor, and how a zone knows that somebody is there.

use crate::control::{Controllers, Occupancy, OptimumStart, Sensor, SensorPlace};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::near::nearest;
use crate::scenario::shown::shortened;
use crate::scenario::tree::Node;
use crate::settings::controls as key;
use crate::time::Seconds;

/// Reads `sensor`; without controllers a place at one of them cannot be known.
pub(super) fn read_sensor(fields: &Fields, controllers: Option<&Controllers>) -> Option<Sensor> {
    let sensor = fields.block_or_defaults(key::SENSOR_KEY.name)?;
    let place = read_place(&sensor, controllers)?;
    let usual = match place {
        SensorPlace::ReturnAir { .. } => Seconds::minutes(1),
        SensorPlace::Room | SensorPlace::Controllers { .. } => Seconds::minutes(6),
    };
    Some(Sensor {
        place,
        offset: sensor.number(key::SENSOR_OFFSET.name)?,
        lag: sensor.optional(key::SENSOR_LAG.name, Fields::seconds)?.unwrap_or(usual),
        resolution: sensor.number(key::SENSOR_RESOLUTION.name)?,
    })
}

fn read_place(sensor: &Fields, controllers: Option<&Controllers>) -> Option<SensorPlace> {
    let stratification = sensor.block_or_defaults(key::SENSOR_STRATIFICATION.name)?;
    let (heating, cooling) = (
        stratification.number(key::STRATIFICATION_HEATING.name)?,
        stratification.number(key::STRATIFICATION_COOLING.name)?,
    );
    let place = sensor.text(key::SENSOR_PLACE.name)?;
    match place.as_str() {
        key::ROOM => return Some(SensorPlace::Room),
        key::RETURN_AIR => return Some(SensorPlace::ReturnAir { heating, cooling }),
        _ => {}
    }
    let all = controllers?.as_slice();
    if place == key::AVERAGE {
        let sum: f64 = all.iter().map(|controller| controller.offset).sum();
        return Some(SensorPlace::Controllers { offset: sum / all.len() as f64 });
    }
    if let Some(index) = controllers?.find(&place) {
        return Some(SensorPlace::Controllers { offset: all.get(index.get())?.offset });
    }
    let known = key::PLACES.into_iter();
    let known: Vec<&str> = known.chain(all.iter().map(|each| each.id.as_str())).collect();
    let near = nearest(&place, known.iter().copied()).unwrap_or_default();
    let message = format!("the sensor cannot be at `{}`", shortened(&place));
    let remedy = format!("the nearest is `{near}`; known here are {}", known.join(", "));
    sensor.fault(key::SENSOR_PLACE.name, Complaint::new("unknown-word", message).help(remedy));
    None
}

/// Reads `occupancy`: a span, several, or a sensor.
pub(super) fn read_occupancy(fields: &Fields) -> Option<Occupancy> {
    if !fields.has(key::OCCUPANCY.name) {
        return Some(Occupancy::Always);
    }
    if fields.node(key::OCCUPANCY.name).and_then(Node::text) == Some("people") {
        return Some(Occupancy::People);
    }
    let mut found = Vec::new();
    fields.each(key::OCCUPANCY.name, |one| found.push(read_presence(&one)));
    let mut all: Vec<Occupancy> = found.into_iter().collect::<Option<_>>()?;
    if all.len() == 1 {
        return all.pop();
    }
    let mut spans = Vec::new();
    for one in all {
        match one {
            Occupancy::Schedule(span) => spans.extend(span),
            Occupancy::Sensor { .. } | Occupancy::Always | Occupancy::People => {
                let mixed = "an occupancy sensor stands alone, without spans or others beside it";
                fields.fault(
                    key::OCCUPANCY.name,
                    Complaint::new("occupancy", mixed).help("keep one kind"),
                );
                return None;
            }
        }
    }
    if spans.is_empty() {
        let none = Complaint::new("occupancy", "this list of spans is empty");
        fields.fault(
            key::OCCUPANCY.name,
            none.help("leave the key out where somebody is always there"),
        );
        return None;
    }
    Some(Occupancy::Schedule(spans))
}

fn read_presence(fields: &Fields) -> Option<Occupancy> {
    let span_keys = [key::OCCUPIED_FROM, key::OCCUPIED_TO, key::OCCUPIED_DAYS];
    if fields.has(key::OCCUPANCY_SENSOR.name) {
        if span_keys.iter().any(|key| fields.has(key.name)) {
            let mixed = Complaint::new("occupancy", "a span and a sensor exclude each other");
            fields.fault_here(mixed.help("keep `from` and `to`, or `sensor`"));
            return None;
        }
        return Some(Occupancy::Sensor {
            hold: fields.block(key::OCCUPANCY_SENSOR.name)?.seconds(key::SENSOR_HOLD.name)?,
        });
    }
    for key in [key::OCCUPIED_FROM.name, key::OCCUPIED_TO.name] {
        if !fields.has(key) {
            let missing = Complaint::new("missing-key", format!("`{key}` is missing here"));
            fields.fault_here(missing.help(format!("add it, for example `{key}: \"08:30\"`")));
        }
    }
    Some(Occupancy::Schedule(vec![fields.span()?]))
}

/// Optimum start, which may stand at any span of the occupancy and then holds for all.
pub(super) fn read_optimum_start(fields: &Fields) -> Checked<Option<OptimumStart>> {
    let mut found: Vec<Option<OptimumStart>> = Vec::new();
    let mut right = true;
    fields.each(key::OCCUPANCY.name, |one| {
        if !one.has(key::OPTIMUM_START_KEY.name) {
            return;
        }
        let sensor = one.has(key::OCCUPANCY_SENSOR.name);
        if sensor || !fields.has(key::SETBACK_KEY.name) {
            let (message, remedy) = if sensor {
                ("a sensor does not know when somebody comes", "give a span instead of the sensor")
            } else {
                ("there is no setback to recover from", "add `setback`, or leave this out")
            };
            one.fault(
                key::OPTIMUM_START_KEY.name,
                Complaint::new("occupancy", message).help(remedy),
            );
            right = false;
        }
        let most = one
            .block(key::OPTIMUM_START_KEY.name)
            .and_then(|block| block.seconds(key::EARLY_MOST.name));
        found.push(most.map(|most| OptimumStart { most }));
    });
    let found: Vec<OptimumStart> = found.into_iter().collect::<Option<_>>()?;
    if found.windows(2).any(|pair| pair[0] != pair[1]) {
        let message = "the spans have optimum starts that differ";
        let remedy = "give it once: it holds before every span";
        fields.fault(key::OCCUPANCY.name, Complaint::new("occupancy", message).help(remedy));
        return None;
    }
    right.then(|| found.first().copied())
}
