//! Rules 5 to 7: locks that do not do what they look like, and keys that lead nowhere.

use super::Finding;
use super::zone::{ZoneAt, listed};
use crate::control::{
    Controller, ControllerIndex, Key, KeyLocks, LockableKey, Mode, Request, Role, judge,
};
use crate::direction::Direction;
use crate::settings::controls::{CONTROLLER_LOCKS, LOCKED_MODES};

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let controllers = zone.settings().controllers.as_slice();
    for (place, controller) in controllers.iter().enumerate() {
        findings.extend(not_in_force(zone, place, controller));
        findings.extend(without_keys(zone, place, controller));
    }
    if let [one, other] = controllers {
        findings.extend(on_one_only(zone, [(0, one), (1, other)]));
        findings.extend(on_one_only(zone, [(1, other), (0, one)]));
    }
    for mode in Mode::ALL {
        findings.extend(locked_and_done(zone, mode));
        findings.extend(locked_and_lacking(zone, mode));
    }
    if nothing_changes(zone) {
        findings.push(nothing_to_select(zone));
    } else {
        findings.extend(mode_key_idle(zone));
    }
}

fn lock_path(zone: &ZoneAt<'_>, place: usize) -> String {
    zone.of(&CONTROLLER_LOCKS).replace("[]", &format!("[{place}]"))
}

fn keys(locks: KeyLocks) -> Vec<&'static str> {
    locks.keys().map(LockableKey::name).collect()
}

fn not_in_force(zone: &ZoneAt<'_>, place: usize, controller: &Controller) -> Option<Finding> {
    let locks = controller.key_locks;
    let named = keys(locks);
    if locks.is_in_force() || named.is_empty() {
        return None;
    }
    let message = format!(
        "the lock of {} at controller {} is saved and not in force: it looks set, and every press \
         goes through",
        listed(&named),
        controller.id
    );
    let remedy = "put it in force (in_force: true), or take it out of the record";
    Some(
        Finding::warning("lock-not-in-force", lock_path(zone, place), message)
            .mend(remedy)
            .cite("control rule 6"),
    )
}

fn without_keys(zone: &ZoneAt<'_>, place: usize, controller: &Controller) -> Option<Finding> {
    let locks = controller.key_locks;
    if !locks.is_in_force() || !keys(locks).is_empty() {
        return None;
    }
    let message = format!("the lock in force at controller {} names no key", controller.id);
    Some(
        Finding::note("lock-without-keys", lock_path(zone, place), message)
            .mend("name the keys that it is to lock, or leave it out")
            .cite("control rule 6"),
    )
}

/// Keys that one of two controllers locks and the other leaves free.
fn on_one_only(
    zone: &ZoneAt<'_>,
    [(place, locked), (_, free)]: [(usize, &Controller); 2],
) -> Option<Finding> {
    // A fan lock is only kept for the record, so it leaves nothing free.
    let matters = |key: &LockableKey| *key != LockableKey::Fan;
    let only: Vec<&str> = LockableKey::ALL
        .into_iter()
        .filter(matters)
        .filter(|key| locked.key_locks.refuses(*key) && !free.key_locks.refuses(*key))
        .map(LockableKey::name)
        .collect();
    if only.is_empty() {
        return None;
    }
    let message = format!(
        "{} is locked at controller {} and free at {}: both act on the same values, so the lock \
         stops nobody who walks over",
        listed(&only),
        locked.id,
        free.id
    );
    let remedy = format!("lock it at {}, too, or free it at {}", free.id, locked.id);
    Some(
        Finding::warning("lock-on-one-controller", lock_path(zone, place), message)
            .mend(remedy)
            .cite("control rules 6 and 7"),
    )
}

/// A locked mode whose work another mode still does.
fn locked_and_done(zone: &ZoneAt<'_>, mode: Mode) -> Option<Finding> {
    let settings = zone.settings();
    // Who locks dry means drying, which no other mode does.
    let direction = mode.only_direction().filter(|_| mode != Mode::Dry)?;
    if !settings.locked_modes.has(mode) || !settings.modes.has(mode) {
        return None;
    }
    let still = |other: &Mode| {
        let reachable = !settings.locked_modes.has(*other) || zone.start().mode == *other;
        *other != mode && reachable && other.allows(direction)
    };
    let others: Vec<&str> =
        settings.modes.as_slice().iter().copied().filter(still).map(Mode::name).collect();
    if others.is_empty() || zone.follows() {
        return None;
    }
    let (does, verb) = match direction {
        Direction::Heating => ("heat", "heats"),
        Direction::Cooling => ("cool", "cools"),
    };
    let message = format!(
        "mode {} is locked, but {} can still {does}: a lockout takes away a selection, not what \
         the zone does",
        mode.name(),
        listed(&others)
    );
    let remedy = format!(
        "lock {}, too, if nobody is to have it; or hold the {} setpoint where it never {verb}",
        listed(&others),
        direction.side().name()
    );
    Some(
        Finding::warning("mode-locked-yet-done", zone.of(&LOCKED_MODES), message)
            .mend(remedy)
            .cite("control rule 5"),
    )
}

fn locked_and_lacking(zone: &ZoneAt<'_>, mode: Mode) -> Option<Finding> {
    let settings = zone.settings();
    if !settings.locked_modes.has(mode) || settings.modes.has(mode) {
        return None;
    }
    let message = format!("mode {} is locked, and the unit does not have it", mode.name());
    Some(
        Finding::note("lock-without-mode", zone.of(&LOCKED_MODES), message)
            .mend("take it out of locked_modes, or into the unit's modes")
            .cite("control rule 5"),
    )
}

/// Whether no press of an occupant changes anything from the start.
fn nothing_changes(zone: &ZoneAt<'_>) -> bool {
    let (settings, stored) = (zone.settings(), zone.start());
    let controllers = 0..settings.controllers.as_slice().len();
    let mut presses = controllers.flat_map(|at| Key::ALL.map(|key| (at, key)));
    presses.all(|(at, key)| {
        zone.standings().into_iter().all(|standing| {
            let at = ControllerIndex::new(at);
            let request = Request::Press(key);
            judge(settings, &stored, standing, request, Role::Occupant, at).after == stored
        })
    })
}

fn nothing_to_select(zone: &ZoneAt<'_>) -> Finding {
    let message = "nothing is left for an occupant to select: no key changes anything".to_owned();
    Finding::warning("nothing-to-select", zone.path("controls"), message)
        .mend("free a key or widen the limits; or tell occupants that the zone is run for them")
        .cite("control rules 2, 5 and 6")
}

/// A mode key that has nowhere to go although the unit has several modes.
fn mode_key_idle(zone: &ZoneAt<'_>) -> Option<Finding> {
    let settings = zone.settings();
    let several = settings.modes.as_slice().len() > 1;
    let locked = settings.key_locks.iter().all(|locks| locks.refuses(LockableKey::Mode));
    let leads = settings.modes.next(zone.start().mode, settings.locked_modes);
    if !several || locked || leads.is_some() || zone.follows() {
        return None;
    }
    let message = format!(
        "the mode key leads nowhere: every mode but {} is locked",
        zone.start().mode.name()
    );
    Some(
        Finding::note("mode-key-idle", zone.of(&LOCKED_MODES), message)
            .mend("lock the mode key, too, so that the display says why it does nothing")
            .cite("control rule 5"),
    )
}
