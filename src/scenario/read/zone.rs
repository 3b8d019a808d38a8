//! The zones.

use super::{controls, space, unit};
use crate::building::Gain;
use crate::engine::{Comfort, Zone};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::Fields;
use crate::scenario::keys::ZONE;
use crate::scenario::tree::{Entry, Value};

/// The most zones of a file. Rule 10 bounds a group at 64; zones beside each other without a
/// conductance are free of that.
const MOST_ZONES: usize = 1024;

/// Whether the file has a number of zones that can be simulated; a fault where it has not.
pub(super) fn count_fits(file: &Fields) -> bool {
    let Some(count) = file.node("zones").map(|zones| zones.entries().len()) else { return true };
    if count == 0 {
        let none = Complaint::new("missing-key", "there is no zone");
        file.fault("zones", none.help("add one: its name, then space, unit and controls"));
    }
    if count > MOST_ZONES {
        let message = format!("{count} zones are more than the {MOST_ZONES} allowed");
        file.fault("zones", Complaint::new("too-large", message).help("split the file"));
    }
    count <= MOST_ZONES
}

/// Reads every zone, each under its name, `None` where it has faults. `sun_has_a_place` says
/// whether windows may let sun in.
pub(super) fn read_all<'a>(
    file: &Fields<'a>,
    sun_has_a_place: bool,
) -> Vec<(&'a str, Option<Zone>)> {
    let Some(node) = file.node("zones") else { return Vec::new() };
    let Value::Block(entries) = &node.value else { return Vec::new() };
    let path = file.path.key("zones");
    let read = |entry: &'a Entry| {
        let path = path.key(&entry.key);
        let fields = Fields::new(file.checker, ZONE, &entry.node, path);
        (&*entry.key, read(&entry.key, &fields, sun_has_a_place))
    };
    entries.iter().map(read).collect()
}

fn read(id: &str, fields: &Fields, sun_has_a_place: bool) -> Option<Zone> {
    let room = fields.block("space").and_then(|space| space::read(&space, sun_has_a_place));
    let gains = read_gains(fields);
    let unit = fields.block("unit").and_then(|unit| unit::read(&unit));
    let controls =
        fields.block("controls").and_then(|controls| controls::read(&controls, unit.as_ref()));
    let comfort = fields.block_or_defaults("comfort").and_then(|comfort| read_comfort(&comfort));
    let room = room?;
    Some(Zone {
        id: id.to_owned(),
        label: fields.text("label").unwrap_or_else(|| id.to_owned()),
        space: room.space,
        windows: room.windows,
        gains: gains?,
        unit: unit?.indoor,
        controls: controls?,
        comfort: comfort?,
    })
}

fn read_gains(fields: &Fields) -> Option<Vec<Gain>> {
    let mut gains = Vec::new();
    fields.each("gains", |gain| {
        let span = gain.span();
        gains.push(span.and_then(|when| Some(Gain { when, power: gain.number("power")? })));
    });
    gains.into_iter().collect()
}

fn read_comfort(fields: &Fields) -> Option<Comfort> {
    let (low, high) = fields.pair("band")?;
    if low >= high {
        let message = format!("the band runs from {low} to {high}");
        fields.fault("band", Complaint::new("crossed", message).help("write [lowest, highest]"));
        return None;
    }
    let unit = fields.checker.unit;
    Some(Comfort {
        low: unit.to_celsius(low),
        high: unit.to_celsius(high),
        met: fields.number("met")?,
        clo: fields.number("clo")?,
        air_speed: fields.number("air_speed")?,
    })
}
