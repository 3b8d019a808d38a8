//! Rule 10: owners that should not own, rooms that should not share, capacities that do not fit.

use super::critical::is_critical_room;
use super::owner;
use super::zone::{listed, tidy};
use super::{Finding, Severity};
use crate::control::{LockableKey, OwnerOff, Sharing};
use crate::direction::Direction;
use crate::engine::{Model, OutdoorGroup, Zone, ZoneIndex};
use crate::plant::CapacityTable;
use crate::settings::path_of_group;

const RULE: &str = "control rule 10";
const PRACTICE: &str = "common practice, no source";
/// Connected capacity, as a part of the outdoor unit's: common practice, no source.
const CONNECTED: [f64; 2] = [0.5, 1.3];
/// Rating points, degrees C outdoors: AHRI 1230-2010 (heating 47 F, second-hand) and AHRI 210/240
/// (cooling 95 F, from memory).
const RATED_AT: [f64; 2] = [25.0 / 3.0, 35.0];
/// Heat that a square metre of sunlit glazing is taken to let in where its solar factor is 1,
/// W/m2: common practice, no source.
const SUN: f64 = 500.0;
/// An owner's load is odd where it is so many times the others', or less by as much.
const ODD: f64 = 2.0;
/// And where it differs by at least so much, W/m2 of floor.
const ODD_AT_LEAST: f64 = 10.0;

pub(super) fn check(model: &Model, findings: &mut Vec<Finding>) {
    findings.extend(model.zones.iter().enumerate().filter_map(|(at, zone)| alone(model, at, zone)));
    for group in &model.outdoor_units {
        let path = path_of_group(group);
        let zones: Vec<&Zone> = group.zones.iter().map(|zone| &model.zones[zone.get()]).collect();
        for direction in Direction::BOTH {
            findings.extend(connected(group, &path, &zones, direction));
        }
        if zones.len() < 2 {
            continue;
        }
        let owner = group.settings.owner();
        for (place, zone) in zones.iter().enumerate() {
            if is_critical_room(zone) {
                findings.push(critical(zone, owner == Some(place)));
            }
        }
        if let (Some(owner), Sharing::SingleMode { owner_off, .. }) =
            (owner, group.settings.sharing)
        {
            check_owner(&path, &zones, owner, owner_off, findings);
            findings.extend(odd_owner(model, group, &path, &zones, owner));
        }
    }
}

/// A zone on no outdoor unit of a file that has some.
fn alone(model: &Model, at: usize, zone: &Zone) -> Option<Finding> {
    let mut units = model.outdoor_units.iter();
    if model.outdoor_units.is_empty() || units.any(|it| it.zones.contains(&ZoneIndex::new(at))) {
        return None;
    }
    let message = format!(
        "{} is on no outdoor unit: it is simulated with a plant of its own and a fixed efficiency, and \
         never waits for others",
        zone.label
    );
    Some(
        Finding::note("zone-without-outdoor-unit", format!("zones.{}", zone.id), message)
            .mend("name it under `zones` of its outdoor unit, if it has not one of its own")
            .cite(RULE),
    )
}

fn connected(
    group: &OutdoorGroup,
    path: &str,
    zones: &[&Zone],
    direction: Direction,
) -> Option<Finding> {
    let table: &CapacityTable = match direction {
        Direction::Heating => group.unit.heating.as_ref()?,
        Direction::Cooling => group.unit.cooling.as_ref()?,
    };
    let rated = table.at(RATED_AT[direction as usize]).0;
    let indoor: f64 = zones.iter().map(|zone| zone.unit.rated(direction)).sum();
    let part = indoor / rated;
    if (CONNECTED[0]..=CONNECTED[1]).contains(&part) {
        return None;
    }
    let follows = if part > CONNECTED[1] {
        "when all ask at once each gets a fraction of its capacity"
    } else {
        "the outdoor unit runs at its lowest output and cycles"
    };
    let message = format!(
        "for {} the indoor units add up to {} kW, {:.0} % of the outdoor unit's {} kW at its rating \
         point: {follows}",
        direction.name(),
        tidy(indoor / 1000.0),
        part * 100.0,
        tidy(rated / 1000.0)
    );
    let remedy = format!(
        "keep it between {} and {} kW",
        tidy(rated * CONNECTED[0] / 1000.0),
        tidy(rated * CONNECTED[1] / 1000.0)
    );
    let key =
        format!("{path}.{}", if direction == Direction::Heating { "heating" } else { "cooling" });
    let source = "50 to 130 %: common practice, no source; rating points AHRI 1230-2010 and AHRI \
                  210/240";
    Some(Finding::warning("connected-capacity", key, message).mend(remedy).cite(source))
}

fn critical(zone: &Zone, owns: bool) -> Finding {
    let mut message = format!(
        "{} sounds like a room whose contents depend on its climate, and it shares an outdoor \
         unit: it may wait while the group does the opposite",
        zone.label
    );
    if owns {
        message.push_str("; as owner it also decides the direction for everybody else");
    }
    Finding::warning("critical-room-in-group", format!("zones.{}", zone.id), message)
        .mend("give it a system of its own")
        .cite(PRACTICE)
}

fn check_owner(
    path: &str,
    zones: &[&Zone],
    place: usize,
    owner_off: OwnerOff,
    findings: &mut Vec<Finding>,
) {
    let owner = zones[place];
    let followers: Vec<&Zone> =
        zones.iter().enumerate().filter(|(at, _)| *at != place).map(|(_, zone)| *zone).collect();
    let at = format!("{path}.owner");
    findings.extend(owner_locked(&at, owner));
    findings.extend(owner_off_finding(&at, owner, owner_off, followers.len()));
    findings.extend(owner_lacks(&at, owner, &followers));
}

/// An owner whose mode nobody may change.
fn owner_locked(at: &str, owner: &Zone) -> Option<Finding> {
    let settings = &owner.controls.settings;
    let keys = settings.key_locks.iter().all(|locks| locks.refuses(LockableKey::Mode));
    let stays = owner.controls.start.mode.only_direction().is_some();
    let nowhere = settings.modes.next(owner.controls.start.mode, settings.locked_modes).is_none();
    if !(keys || nowhere) {
        return None;
    }
    let why = if keys { "its mode key is locked" } else { "every other mode is locked" };
    let held = if stays {
        format!("the group stays in {}", owner.controls.start.mode.name())
    } else {
        "the group turns only when the owner's own room asks for it".to_owned()
    };
    let message = format!("{} owns the group's mode and {why}: {held}", owner.label);
    Some(
        Finding::new(
            if stays { Severity::Warning } else { Severity::Note },
            "owner-locked",
            at.to_owned(),
            message,
        )
        .mend("free its mode key at one controller, or let another zone or policy decide")
        .cite(RULE),
    )
}

/// An owner that can be switched off, and what then becomes of the others.
fn owner_off_finding(
    at: &str,
    owner: &Zone,
    owner_off: OwnerOff,
    others: usize,
) -> Option<Finding> {
    let locks = &owner.controls.settings.key_locks;
    let free = locks.iter().any(|locks| !locks.refuses(LockableKey::Power));
    let by_itself = owner.controls.auto_off.is_some();
    if !free && !by_itself {
        return None;
    }
    let how = match (free, by_itself) {
        (true, _) => "anybody can switch it off",
        (false, _) => "auto_off switches it off",
    };
    let (severity, then) = match owner_off {
        OwnerOff::Stop => (
            Severity::Warning,
            format!("the whole group stops, {others} other zone(s) with it (owner_off: stop)"),
        ),
        OwnerOff::Hold => (
            Severity::Note,
            "the group keeps its last direction, right or wrong (owner_off: hold)".to_owned(),
        ),
    };
    let message = format!("{} owns the group's mode and {how}: {then}", owner.label);
    Some(
        Finding::new(severity, "owner-can-be-switched-off", at.to_owned(), message)
            .mend("lock its power key at every controller, or let another zone or policy decide")
            .cite(RULE),
    )
}

/// Largest heat that people, machines and sun may give a zone, W/m2 of floor.
fn load(zone: &Zone) -> f64 {
    let inside = zone.gains.iter().map(|gain| gain.power).fold(0.0, |sum, each| sum + each);
    let sun =
        zone.windows.iter().map(|window| window.aperture() * SUN).fold(0.0, |sum, each| sum + each);
    (inside + sun) / zone.space.input().floor
}

/// An owner with an odd load; on the file's own days nobody may wait for it all the same.
fn odd_owner(
    model: &Model,
    group: &OutdoorGroup,
    path: &str,
    zones: &[&Zone],
    place: usize,
) -> Option<Finding> {
    let others = zones.iter().enumerate().filter(|(at, _)| *at != place);
    let followers: Vec<&Zone> = others.map(|(_, zone)| *zone).collect();
    let mut finding = odd_load(&format!("{path}.owner"), zones[place], &followers)?;
    if !owner::lets_others_wait(model, group, group.zones[place]) {
        finding.severity = Severity::Note;
        finding.message.push_str("; on the first days of the file nobody waits an hour for it");
    }
    Some(finding)
}

fn odd_load(at: &str, owner: &Zone, followers: &[&Zone]) -> Option<Finding> {
    let mut others: Vec<f64> = followers.iter().map(|zone| load(zone)).collect();
    others.sort_by(f64::total_cmp);
    let usual = *others.get(others.len() / 2)?;
    let own = load(owner);
    let differs = (own - usual).abs() >= ODD_AT_LEAST;
    let (word, then) = if own > usual * ODD {
        ("the hot one", "the group cools while the others want heat")
    } else if own * ODD < usual {
        ("the cool one", "the group heats, or stands, while the others want cooling")
    } else {
        return None;
    };
    if !differs {
        return None;
    }
    let message = format!(
        "{} owns the group's mode and is {word}: gains and sun up to {own:.0} W/m2, {usual:.0} in \
         the others: {then}",
        owner.label
    );
    Some(
        Finding::warning("owner-odd-load", at.to_owned(), message)
            .mend("let a zone with a usual load decide: `setband owners` ranks them")
            .cite(PRACTICE),
    )
}

fn owner_lacks(at: &str, owner: &Zone, followers: &[&Zone]) -> Option<Finding> {
    let lacks = |direction: &Direction| {
        owner.unit.capacity(*direction).is_none()
            && followers.iter().any(|zone| zone.unit.capacity(*direction).is_some())
    };
    let lacking: Vec<&str> =
        Direction::BOTH.into_iter().filter(lacks).map(Direction::name).collect();
    if lacking.is_empty() {
        return None;
    }
    let message = format!(
        "{} owns the group's mode and has no {}, which other zones have",
        owner.label,
        listed(&lacking)
    );
    Some(
        Finding::warning("owner-lacks-direction", at.to_owned(), message)
            .mend("let a zone decide whose unit heats and cools")
            .cite(RULE),
    )
}
