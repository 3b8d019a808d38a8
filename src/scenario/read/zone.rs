//! The zones.

use super::controls::{self, Start};
use super::outdoor::Groups;
use super::{space, unit};
use crate::building::{Gain, Window};
use crate::control::{Occupancy, Sharing, ZoneControls};
use crate::engine::{Clothing, Comfort, Lawful, OutdoorGroup, Zone};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::keys::ZONE;
use crate::scenario::tree::Node;

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

/// Reads every zone, each under its name, `None` where it has faults. `sunny` says whether
/// windows may let sun in.
pub(super) fn read_all<'a>(
    file: &Fields<'a>,
    sunny: bool,
    groups: &Groups,
) -> Vec<(&'a str, Option<Zone>)> {
    let entries = file.node("zones").map_or(&[][..], Node::entries);
    let path = file.path.key("zones");
    let mut zones: Vec<(&str, Option<Zone>)> =
        entries.iter().map(|entry| (&*entry.key, None)).collect();
    // Owners first: the side on which a follower starts is that of its owner's direction.
    let owns = |zone: &usize| matches!(start_of(*zone, groups, &[]), Start::Own);
    let (owners, others): (Vec<usize>, Vec<usize>) = (0..entries.len()).partition(owns);
    for at in owners.into_iter().chain(others) {
        let entry = &entries[at];
        let fields = Fields::new(file.checker, ZONE, &entry.node, path.key(&entry.key));
        let place = InGroup { group: groups.of(at), start: start_of(at, groups, &zones) };
        zones[at].1 = read(&entry.key, &fields, sunny, place);
    }
    zones
}

/// How a zone stands to its group before the first step.
#[derive(Clone, Copy)]
struct InGroup<'g> {
    group: Option<Checked<&'g OutdoorGroup>>,
    /// What its start goes by.
    start: Start,
}

/// Rule 10 before the first step.
fn start_of(zone: usize, groups: &Groups, zones: &[(&str, Option<Zone>)]) -> Start {
    let Some((group, place)) = groups.place_of[zone] else { return Start::Own };
    let Some(Some(group)) = groups.list.get(group) else { return Start::Unknown };
    match group.settings.owner() {
        _ if group.settings.sharing == Sharing::Simultaneous => Start::Own,
        Some(owner) if owner == place => Start::Own,
        None => Start::Group(group.direction),
        Some(owner) => {
            let owner = group.zones.get(owner).and_then(|owner| zones.get(owner.get()));
            owner.and_then(|(_, zone)| zone.as_ref()).map_or(Start::Unknown, |owner| {
                let (mode, own) = (owner.controls.start.mode, owner.controls.direction);
                Start::Follower(mode.only_direction().unwrap_or(own))
            })
        }
    }
}

fn read(id: &str, fields: &Fields, sunny: bool, place: InGroup<'_>) -> Option<Zone> {
    let room = fields.block("space").and_then(|space| space::read(&space, sunny));
    let gains = read_gains(fields);
    let unit = fields.block("unit").and_then(|unit| unit::read(&unit, place.group));
    let controls = fields
        .block("controls")
        .and_then(|controls| controls::read(&controls, unit.as_ref(), place.start));
    let comfort = fields.block_or_defaults("comfort").and_then(|comfort| read_comfort(&comfort));
    let room = room?;
    if let Some(controls) = &controls {
        shades_have_a_schedule(fields, &room, controls);
    }
    Some(Zone {
        id: id.to_owned(),
        label: fields.text("label").unwrap_or_else(|| id.to_owned()),
        space: room.space,
        windows: room.windows,
        walls: room.walls,
        gains: gains?,
        unit: unit?.indoor,
        controls: controls?,
        comfort: comfort?,
    })
}

/// A shade that is drawn while somebody is there needs to know that beforehand.
fn shades_have_a_schedule(fields: &Fields, room: &space::Room, controls: &ZoneControls) {
    let by_presence = |window: &Window| window.shade.is_some_and(|shade| shade.when_occupied);
    let known = matches!(controls.occupancy, Occupancy::Always | Occupancy::Schedule(_));
    if !known && room.windows.iter().any(by_presence) {
        let message = "a shade `when: occupied` needs a schedule, and this zone goes by a sensor or \
                       by people";
        let help = "write `above: 250 W/m2` in its place, or give occupancy as a schedule";
        fields.fault("space", Complaint::new("shade-by-sensor", message).help(help));
    }
}

fn read_gains(fields: &Fields) -> Option<Vec<Gain>> {
    let mut gains = Vec::new();
    fields.each("gains", |gain| {
        let span = gain.span();
        let (power, latent) = (gain.number("power"), gain.number("latent"));
        gains.push(span.and_then(|when| Some(Gain { when, power: power?, latent: latent? })));
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
    let lawful = fields.optional("lawful", |fields, key| read_lawful(&fields.block(key)?))?;
    Some(Comfort {
        low: unit.to_celsius(low),
        high: unit.to_celsius(high),
        tolerance: unit.difference_to_kelvin(fields.number("tolerance")?),
        met: fields.number("met")?,
        clothing: read_clothing(fields)?,
        air_speed: fields.number("air_speed")?,
        lawful,
    })
}

fn read_clothing(fields: &Fields) -> Option<Clothing> {
    let Some(clothes) = fields.block("clo") else {
        return fields.number("clo").map(Clothing::Same);
    };
    Some(Clothing::BySeason {
        winter: clothes.number("winter")?,
        summer: clothes.number("summer")?,
    })
}

fn read_lawful(fields: &Fields) -> Option<Lawful> {
    let unit = fields.checker.unit;
    let low = fields.optional("low", Fields::number)?;
    let high = fields.optional("high", Fields::number)?;
    match (low, high) {
        (None, None) => {
            let none = Complaint::new("missing-key", "there is neither a `low` nor a `high` here");
            fields.fault_here(none.help("add one of them, or take `lawful` away"));
            return None;
        }
        (Some(low), Some(high)) if low >= high => {
            let message = format!("the least is {low} and the most {high}");
            fields.fault("low", Complaint::new("crossed", message).help("exchange the two"));
            return None;
        }
        _ => {}
    }
    let celsius = |value: Option<f64>| value.map(|value| unit.to_celsius(value));
    Some(Lawful { low: celsius(low), high: celsius(high) })
}
