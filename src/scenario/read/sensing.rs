//! The governing sensor, and how a zone knows that somebody is there.

use crate::control::{Controllers, Occupancy, OptimumStart, Sensor, SensorPlace};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::near::nearest;
use crate::scenario::shown::shortened;
use crate::scenario::tree::Node;

/// Reads `sensor`; without controllers a place at one of them cannot be known.
pub(super) fn read_sensor(fields: &Fields, controllers: Option<&Controllers>) -> Option<Sensor> {
    let sensor = fields.block_or_defaults("sensor")?;
    let place = read_place(&sensor, controllers);
    Some(Sensor {
        place: place?,
        offset: sensor.number("offset")?,
        lag: sensor.seconds("lag")?,
        resolution: sensor.number("resolution")?,
    })
}

fn read_place(sensor: &Fields, controllers: Option<&Controllers>) -> Option<SensorPlace> {
    let stratification = sensor.block_or_defaults("stratification")?;
    let (heating, cooling) = (stratification.number("heating")?, stratification.number("cooling")?);
    let place = sensor.text("place")?;
    match place.as_str() {
        "room" => return Some(SensorPlace::Room),
        "return_air" => return Some(SensorPlace::ReturnAir { heating, cooling }),
        _ => {}
    }
    let all = controllers?.as_slice();
    if place == "average" {
        let sum: f64 = all.iter().map(|controller| controller.offset).sum();
        return Some(SensorPlace::Controllers { offset: sum / all.len() as f64 });
    }
    if let Some(index) = controllers?.find(&place) {
        return Some(SensorPlace::Controllers { offset: all.get(index.get())?.offset });
    }
    let known = ["room", "return_air", "average"].into_iter();
    let known: Vec<&str> = known.chain(all.iter().map(|each| each.id.as_str())).collect();
    let near = nearest(&place, known.iter().copied()).unwrap_or_default();
    let message = format!("the sensor cannot be at `{}`", shortened(&place));
    let remedy = format!("the nearest is `{near}`; known here are {}", known.join(", "));
    sensor.fault("place", Complaint::new("unknown-word", message).help(remedy));
    None
}

/// Reads `occupancy`: a span, several, or a sensor.
pub(super) fn read_occupancy(fields: &Fields) -> Option<Occupancy> {
    if !fields.has("occupancy") {
        return Some(Occupancy::Always);
    }
    if fields.node("occupancy").and_then(Node::text) == Some("people") {
        return Some(Occupancy::People);
    }
    let mut found = Vec::new();
    fields.each("occupancy", |one| found.push(read_presence(&one)));
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
                fields.fault("occupancy", Complaint::new("occupancy", mixed).help("keep one kind"));
                return None;
            }
        }
    }
    if spans.is_empty() {
        let none = Complaint::new("occupancy", "this list of spans is empty");
        fields.fault("occupancy", none.help("leave the key out where somebody is always there"));
        return None;
    }
    Some(Occupancy::Schedule(spans))
}

fn read_presence(fields: &Fields) -> Option<Occupancy> {
    let span_keys = ["from", "to", "days"];
    if fields.has("sensor") {
        if span_keys.iter().any(|key| fields.has(key)) {
            let mixed = Complaint::new("occupancy", "a span and a sensor exclude each other");
            fields.fault_here(mixed.help("keep `from` and `to`, or `sensor`"));
            return None;
        }
        return Some(Occupancy::Sensor { hold: fields.block("sensor")?.seconds("hold")? });
    }
    for key in ["from", "to"] {
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
    fields.each("occupancy", |one| {
        if !one.has("optimum_start") {
            return;
        }
        let sensor = one.has("sensor");
        if sensor || !fields.has("setback") {
            let (message, remedy) = if sensor {
                ("a sensor does not know when somebody comes", "give a span instead of the sensor")
            } else {
                ("there is no setback to recover from", "add `setback`, or leave this out")
            };
            one.fault("optimum_start", Complaint::new("occupancy", message).help(remedy));
            right = false;
        }
        let most = one.block("optimum_start").and_then(|block| block.seconds("most"));
        found.push(most.map(|most| OptimumStart { most }));
    });
    let found: Vec<OptimumStart> = found.into_iter().collect::<Option<_>>()?;
    if found.windows(2).any(|pair| pair[0] != pair[1]) {
        let message = "the spans have optimum starts that differ";
        let remedy = "give it once: it holds before every span";
        fields.fault("occupancy", Complaint::new("occupancy", message).help(remedy));
        return None;
    }
    right.then(|| found.first().copied())
}
