//! Where settings are written that do not stand alone in the file: one value for both directions or
//! one for each, and times with what goes back at them.

use crate::control::{Differential, Direction, Thermostat};
use crate::engine::Model;
use crate::settings::controls::{
    CALL_START, CALL_STOP, RETURN_AT, RETURN_TO_KEY, START_COOLING, START_HEATING, STOP_COOLING,
    STOP_HEATING,
};
use crate::settings::{Entry, Key, Subject};

/// The setting of one direction, which may have its own or the one of both.
pub(in crate::serve) struct OneDirection {
    /// The key where both stand.
    pub(in crate::serve) both: &'static Key,
    pub(in crate::serve) direction: Direction,
    /// Reads both.
    pub(in crate::serve) of: fn(&Thermostat) -> Differential,
}

/// That of a key; `None` for other settings.
pub(in crate::serve) fn one_direction(key: &str) -> Option<OneDirection> {
    let starts = |direction| OneDirection { both: &CALL_START, direction, of: |it| it.call_start };
    let stops = |direction| OneDirection { both: &CALL_STOP, direction, of: |it| it.call_stop };
    match key {
        key if key == START_HEATING.path => Some(starts(Direction::Heating)),
        key if key == START_COOLING.path => Some(starts(Direction::Cooling)),
        key if key == STOP_HEATING.path => Some(stops(Direction::Heating)),
        key if key == STOP_COOLING.path => Some(stops(Direction::Cooling)),
        _ => None,
    }
}

/// Where a setting is written.
pub(in crate::serve) fn place(entry: Entry, model: &Model, subject: Subject) -> String {
    let own = entry.path(model, subject);
    let both = one_direction(entry.key.path).map(|it| beside(&own, entry.key, it.both));
    both.unwrap_or(own)
}

/// Every place that is written with a setting.
pub(in crate::serve) fn places(entry: Entry, model: &Model, subject: Subject) -> Vec<String> {
    let mut all = vec![place(entry, model, subject)];
    if entry.key.path == RETURN_AT.path {
        let to = beside(&all[0], entry.key, &RETURN_TO_KEY);
        all.push(to);
    }
    all
}

/// The place of another setting of the same zone.
fn beside(place: &str, key: &Key, other: &Key) -> String {
    place.strip_suffix(key.path).unwrap_or_default().to_owned() + other.path
}

/// Whether a setting can be taken away: what is left then is nothing, or one value for both
/// directions.
pub(in crate::serve) fn is_removable(entry: Entry) -> bool {
    entry.key.takes_none() || one_direction(entry.key.path).is_some()
}
