//! The mode at the start and the modes that occupants may not select: a zone cannot start in a mode
//! that is locked (rule 5).

use serde_json::json;

use super::super::state::PageEdit;
use super::super::trouble::Trouble;
use super::{Done, Move};
use crate::control::{Mode, ModeSet};
use crate::engine::Zone;
use crate::settings::controls::{LOCKED_MODES, MODE};
use crate::settings::{Key, Subject};

/// What a move of one of them does; `None` for other settings.
pub(super) fn done(this: &Move<'_>) -> Result<Option<Done>, Trouble> {
    let Subject::Zone(at) = this.subject else { return Ok(None) };
    let zone = &this.model.zones[at];
    match this.entry.key.path {
        path if path == MODE.path => start_in(this, zone).map(Some),
        path if path == LOCKED_MODES.path => lock(this, zone).map(Some),
        _ => Ok(None),
    }
}

fn start_in(this: &Move<'_>, zone: &Zone) -> Result<Done, Trouble> {
    let settings = &zone.controls.settings;
    let wanted = this.value.as_str().and_then(named).ok_or_else(no_mode)?;
    if !settings.modes.has(wanted) {
        return Ok(Done::Lacks);
    }
    let start = put(zone, &MODE, json!(wanted.name()));
    if !settings.locked_modes.has(wanted) {
        return Ok(Done::Stands(vec![start], Vec::new()));
    }
    let left = Mode::ALL.into_iter().filter(|it| *it != wanted && settings.locked_modes.has(*it));
    let unlocked = put(zone, &LOCKED_MODES, names(left));
    let name = wanted.name();
    let why =
        format!("Mode {name} is among those locked for occupants, and nothing starts in one.");
    let words = format!("Start in {name} and take it out of the locked modes");
    Ok(Done::Against(why, vec![(words, vec![unlocked, start])]))
}

fn lock(this: &Move<'_>, zone: &Zone) -> Result<Done, Trouble> {
    let words = this.value.as_array().ok_or_else(no_mode)?;
    let all: Option<Vec<Mode>> = words.iter().map(|word| word.as_str().and_then(named)).collect();
    let all = ModeSet::of(&all.ok_or_else(no_mode)?);
    let (modes, start) = (&zone.controls.settings.modes, zone.controls.start.mode);
    let locked = |set: ModeSet| {
        put(zone, &LOCKED_MODES, names(Mode::ALL.into_iter().filter(|it| set.has(*it))))
    };
    if !all.has(start) {
        return Ok(Done::Stands(vec![locked(all)], Vec::new()));
    }
    let name = start.name();
    let why = format!("The zone starts in {name}, and nothing starts in a locked mode.");
    let free = modes.as_slice().iter().filter(|it| !all.has(**it)).take(2);
    let mut ways: Vec<(String, Vec<PageEdit>)> = free
        .map(|mode| {
            let start = put(zone, &MODE, json!(mode.name()));
            (format!("Lock them and start in {}", mode.name()), vec![start, locked(all)])
        })
        .collect();
    let others: Vec<Mode> =
        Mode::ALL.into_iter().filter(|it| *it != start && all.has(*it)).collect();
    ways.push((format!("Lock all of them but {name}"), vec![locked(ModeSet::of(&others))]));
    Ok(Done::Against(why, ways))
}

fn put(zone: &Zone, key: &Key, value: serde_json::Value) -> PageEdit {
    PageEdit { path: format!("zones.{}.{}", zone.id, key.path), value }
}

fn names(modes: impl Iterator<Item = Mode>) -> serde_json::Value {
    json!(modes.map(Mode::name).collect::<Vec<_>>())
}

fn named(word: &str) -> Option<Mode> {
    Mode::ALL.into_iter().find(|mode| mode.name() == word)
}

fn no_mode() -> Trouble {
    Trouble::bad("a mode is wanted here")
}
