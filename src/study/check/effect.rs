//! Settings that have no effect where they stand, and changes that are never put in force.

use super::Finding;
use super::zone::{ZoneAt, listed};
use crate::control::{ChangeOutcome, Mode, Sharing};
use crate::direction::Direction;
use crate::engine::{Action, Doing};
use crate::settings::controls::{CHANGEOVER_DELAY, LOCKED_MODES};
use crate::settings::{Entry, Value};

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    findings.extend(idle_delay(zone));
    findings.extend(idle_locks(zone));
    refused(zone, findings);
}

fn note(path: String, message: String, remedy: &str) -> Finding {
    Finding::note("setting-without-effect", path, message)
        .mend(remedy)
        .cite("control rules 9 and 10")
}

/// A changeover delay of a zone that does not turn by itself.
fn idle_delay(zone: &ZoneAt<'_>) -> Option<Finding> {
    let entry: Entry = crate::settings::entry(CHANGEOVER_DELAY.path)?;
    let usual = entry.default(zone.model.unit);
    let delay = zone.zone.controls.thermostat.changeover_delay;
    if usual == Some(Value::Time(delay)) {
        return None;
    }
    let unit = &zone.zone.unit;
    let lacks = Direction::BOTH.into_iter().find(|direction| unit.capacity(*direction).is_none());
    let led = zone.group().is_some_and(|(group, place)| {
        let single = matches!(group.settings.sharing, Sharing::SingleMode { .. });
        single && group.zones.len() > 1 && group.settings.owner() != Some(place)
    });
    let why = match (led, lacks) {
        (true, _) => "its outdoor unit turns for all its zones at once".to_owned(),
        (false, Some(direction)) => format!("its unit has no {}", direction.name()),
        (false, None) => return None,
    };
    let message = format!("changeover_delay {delay} changes nothing here: {why}");
    let path = zone.of(&CHANGEOVER_DELAY);
    Some(note(path, message, "take it out, or set the delay where the direction is decided"))
}

/// Modes locked in a zone that follows its owner's.
fn idle_locks(zone: &ZoneAt<'_>) -> Option<Finding> {
    let settings = zone.settings();
    let locked = |mode: &Mode| {
        *mode != Mode::Fan && settings.locked_modes.has(*mode) && settings.modes.has(*mode)
    };
    let named: Vec<&str> = Mode::ALL.into_iter().filter(locked).map(Mode::name).collect();
    if named.is_empty() || !zone.follows() {
        return None;
    }
    let message = format!(
        "locking {} changes nothing here: the zone heats and cools as its owner does, whatever mode it \
         stores",
        listed(&named)
    );
    Some(note(zone.of(&LOCKED_MODES), message, "lock modes at the owner, or take it out"))
}

/// Changes of settings that contradict what then stands, and are refused.
fn refused(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let (mut settings, mut stored) = (zone.settings().clone(), zone.start());
    let standing = zone.standings()[0];
    let mut told: Vec<usize> = Vec::new();
    for Action { what, place, .. } in zone.actions() {
        let (Doing::Set(change), Some(place)) = (what, place) else { continue };
        let outcome = change.zone.apply(&mut settings, &mut stored, standing);
        if matches!(outcome, ChangeOutcome::Refused(_)) && !told.contains(place) {
            told.push(*place);
            let message = format!(
                "`set` ({}) is refused: with what stands by then no setpoint would be left",
                change.words
            );
            findings.push(
                Finding::warning("set-refused", format!("actions[{place}].set"), message)
                    .mend("set limits and deadband together so that both sides keep a range")
                    .cite("control rules 2 and 8"),
            );
        }
    }
}
