//! People who feel and press.

use std::sync::Arc;

use super::changes::read_controller;
use super::neighbours;
use crate::building::ZoneIndex;
use crate::control::Occupancy;
use crate::engine::Zone;
use crate::people::{
    Attendance, Away, BodyHeat, Complaining, Patience, Person, Switching, Taste, USUAL_PRESSES,
    UsedKeys,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::scalar::Scalar;
use crate::scenario::shown::shortened;
use crate::scenario::tree::Node;
use crate::time::{Period, Span};

/// The most people of a file, each of several counted.
const MOST_PEOPLE: usize = 5000;

/// The most days of all people together: their comings and goings are drawn before a run begins.
const MOST_DAYS_OF_PEOPLE: i64 = 400_000;

/// Reads everybody, each of several by itself, in the order of the file.
pub(super) fn read(
    file: &Fields,
    zones: &[(&str, Option<Zone>)],
    period: Option<&Period>,
) -> Vec<Person> {
    let mut people: Vec<Person> = Vec::new();
    let mut lived_in: Vec<String> = Vec::new();
    file.each("people", |fields| {
        lived_in.extend(fields.text("zone"));
        let Some(one) = read_one(file, &fields, zones) else { return };
        let count = u32::try_from(fields.whole("count").unwrap_or(1)).unwrap_or(u32::MAX);
        if people.len() > MOST_PEOPLE {
            return;
        }
        for copy in 1..=count {
            let shown = if count == 1 {
                Arc::clone(&one.name)
            } else {
                format!("{} {copy}", one.name).into()
            };
            if people.iter().any(|other| other.zone == one.zone && other.shown == shown) {
                fields.fault("name", twice(&shown));
                return;
            }
            people.push(Person { shown, copy, ..one.clone() });
        }
    });
    if people.len() > MOST_PEOPLE {
        let message = format!("these are more than {MOST_PEOPLE} people");
        file.fault("people", Complaint::new("too-large", message).help("let there be fewer"));
    }
    let days = period.map_or(1, Period::days);
    let comings = i64::try_from(people.len()).unwrap_or(i64::MAX).saturating_mul(days);
    if comings > MOST_DAYS_OF_PEOPLE {
        let message = format!("{} people on {days} days are too many", people.len());
        let help = format!("people times days may be {MOST_DAYS_OF_PEOPLE} at most");
        file.fault("people", Complaint::new("too-large", message).help(help));
    }
    for (id, zone) in zones {
        let by_people = |zone: &Zone| zone.controls.occupancy == Occupancy::People;
        let nobody = !lived_in.iter().any(|named| named == id);
        if nobody && zone.as_ref().is_some_and(by_people) {
            never_occupied(file, id);
        }
    }
    people
}

fn never_occupied(file: &Fields, id: &str) {
    let zone = file.node("zones").and_then(|zones| zones.get(id));
    let written = zone.and_then(|zone| zone.get("controls")?.get("occupancy"));
    let (zones, place) = (file.path.key("zones"), written.map_or(file.place, |node| node.place));
    let (zone, message) = (zones.key(id), "nobody under `people` is in this zone");
    let help = "add somebody to `people`, or give the occupancy by a span or a sensor";
    file.checker.fault(place, &zone.key("controls").key("occupancy"), || {
        Complaint::new("occupancy", message).help(help)
    });
}

fn twice(name: &str) -> Complaint {
    let message = format!("the zone has two people called `{}`", shortened(name));
    Complaint::new("same-name", message).help("give each a name of their own, or a `count`")
}

fn read_one(file: &Fields, fields: &Fields, zones: &[(&str, Option<Zone>)]) -> Option<Person> {
    let zone = read_zone(file, fields, zones);
    let attendance = read_attendance(fields);
    let switching = read_switching(fields);
    let known = zone.and_then(|zone| zones.get(zone.get())?.1.as_ref());
    let controllers = known.map(|zone| &zone.controls.settings.controllers);
    let controller = controllers.and_then(|all| read_controller(fields, "controller", all));
    let name: Arc<str> = fields.text("name")?.into();
    Some(Person {
        zone: zone?,
        shown: Arc::clone(&name),
        name,
        copy: 1,
        taste: read_taste(fields)?,
        patience: read_patience(fields)?,
        attendance: attendance?,
        controller: controller?,
        keys: read_keys(fields)?,
        presses: u32::try_from(fields.whole("presses")?).ok()?,
        gives_up_after: read_giving_up(fields)?,
        gives_up_rate: fields.number("gives_up_per_hour")?,
        switching: switching?,
        complaining: read_complaining(fields)?,
        heat: BodyHeat { sensible: fields.number("gains")?, latent: fields.number("latent")? },
    })
}

fn read_zone(file: &Fields, fields: &Fields, zones: &[(&str, Option<Zone>)]) -> Option<ZoneIndex> {
    let name = fields.text("zone")?;
    let found = zones.iter().position(|(id, _)| *id == name);
    if found.is_none() {
        let all = file.node("zones").map_or(&[][..], Node::entries);
        fields.fault_with("zone", || neighbours::unknown_zone(&name, all));
    }
    found.map(ZoneIndex::new)
}

/// Whether what people prefer is taken from what was measured.
fn is_usual(fields: &Fields) -> bool {
    matches!(fields.read("prefers"), Some(Scalar::Text(_)))
}

/// What somebody prefers; what the file writes stands over what was measured.
fn read_taste(fields: &Fields) -> Option<Taste> {
    let unit = fields.checker.unit;
    let kelvin = |key| fields.number(key).map(|value| unit.difference_to_kelvin(value));
    let (spread, varies, tolerance) =
        (kelvin("prefers_spread"), kelvin("prefers_varies"), kelvin("tolerance"));
    let usual = is_usual(fields);
    let or_usual = |key: &str, value: Option<f64>, other: f64| {
        if usual && !fields.has(key) { Some(other) } else { value }
    };
    Some(Taste {
        prefers: if usual {
            Taste::USUAL.prefers
        } else {
            unit.to_celsius(fields.number("prefers")?)
        },
        spread: or_usual("prefers_spread", spread, Taste::USUAL.spread)?,
        varies: or_usual("prefers_varies", varies, Taste::USUAL.varies)?,
        tolerance: or_usual("tolerance", tolerance, Taste::USUAL.tolerance)?,
        sensation: Taste::USUAL.sensation.filter(|_| usual),
    })
}

/// How long discomfort is borne: a time, or a rate of presses.
fn read_patience(fields: &Fields) -> Option<Patience> {
    let rate = fields.optional("presses_per_hour", Fields::number)?;
    let given = fields.has("patience") || fields.has("patience_spread");
    if rate.is_some() && given {
        let both = "a rate of presses and a patience are two ways to say the same";
        let help = "leave `presses_per_hour` or `patience` away";
        fields.fault("presses_per_hour", Complaint::new("idle-key", both).help(help));
        return None;
    }
    if is_usual(fields) && !given {
        return Some(Patience::Rate(rate.unwrap_or(USUAL_PRESSES)));
    }
    let mean = fields.seconds("patience")?;
    let spread = part(fields, "patience_spread")?;
    Some(rate.map_or(Patience::About { mean, spread }, Patience::Rate))
}

/// A percentage as a part of one.
fn part(fields: &Fields, key: &str) -> Option<f64> {
    fields.number(key).map(|percent| percent / 100.0)
}

fn read_attendance(fields: &Fields) -> Option<Attendance> {
    let mut spans = Vec::new();
    fields.each("present", |one| spans.push(one.span()));
    let spans: Vec<Span> = spans.into_iter().collect::<Option<_>>()?;
    let away = fields.optional("away", |fields, key| {
        let away = fields.block(key)?;
        Some(Away { every: away.seconds("every")?, lasts: away.seconds("for")? })
    });
    Some(Attendance {
        spans: if fields.has("present") { spans } else { vec![Span::ALWAYS] },
        arrival_spread: fields.seconds("arrival_spread")?,
        departure_spread: fields.seconds("departure_spread")?,
        absent: part(fields, "absent")?,
        away: away?,
    })
}

fn read_keys(fields: &Fields) -> Option<UsedKeys> {
    const NAMES: [&str; 3] = ["setpoint", "mode", "power"];
    if !fields.has("keys") {
        return Some(UsedKeys { setpoint: true, mode: false, power: false });
    }
    let named = fields.picks("keys", &NAMES, |name| name)?;
    let has = |name| named.contains(&name);
    Some(UsedKeys { setpoint: has("setpoint"), mode: has("mode"), power: has("power") })
}

/// After how many presses somebody gives up; none for never.
fn read_giving_up(fields: &Fields) -> Checked<Option<u32>> {
    if matches!(fields.read("gives_up_after"), Some(Scalar::Text(_))) {
        return Some(None);
    }
    u32::try_from(fields.whole("gives_up_after")?).ok().map(Some)
}

fn read_switching(fields: &Fields) -> Option<Switching> {
    let forgets = part(fields, "forgets")?;
    if fields.flag("switches_power")? {
        return Some(Switching::Both { forgets });
    }
    if fields.has("forgets") {
        let idle = "nothing can be forgotten by people who do not switch off";
        let help = "add `switches_power: true`, or take `forgets` away";
        fields.fault("forgets", Complaint::new("idle-key", idle).help(help));
        return None;
    }
    Some(Switching::Never)
}

fn read_complaining(fields: &Fields) -> Option<Complaining> {
    let complains = fields.block_or_defaults("complains")?;
    let vote = complains.number("degrees_per_vote")?;
    Some(Complaining {
        after: complains.seconds("after")?,
        rate: complains.number("per_hour")?,
        kelvin_per_vote: fields.checker.unit.difference_to_kelvin(vote),
    })
}
