//! The settings that a sheet states at its head: those that presses tell of.

use std::fmt::Write as _;

use crate::control::{Grid, LockableKey, ModePolicy, Sharing};
use crate::engine::{Model, ZoneIndex};
use crate::settings::controls::{
    LIMITS_COOL, LIMITS_HEAT, LOCKED_MODES, MIN_DEADBAND, ON_CONFLICT, SETPOINT_STEP, SHOWN_UNIT,
};
use crate::settings::unit::UNIT_MODES;
use crate::settings::{self, Key, Kind, Subject, Value};
use crate::units::TemperatureUnit;

/// The settings of a zone that are stated as they stand in the file.
const STATED: [Key; 8] = [
    UNIT_MODES,
    SETPOINT_STEP,
    MIN_DEADBAND,
    LIMITS_HEAT,
    LIMITS_COOL,
    ON_CONFLICT,
    LOCKED_MODES,
    SHOWN_UNIT,
];
/// The zone that decides the mode: what the outdoor unit's policy and owner come to.
pub(in crate::study) const MODE_OWNER: &str = "mode_owner";
/// Keys that are refused at a controller: what its lock comes to.
const LOCKED_KEYS: &str = ".locked_keys";
const OF_CONTROLLERS: &str = "controls.controllers.";

/// Where the lock of a controller is stated.
pub(in crate::study) fn lock_key(controller: &str) -> String {
    format!("{OF_CONTROLLERS}{controller}{LOCKED_KEYS}")
}

/// The head of the file: title, unit and settings, a line each, values without commas.
pub(super) fn head(model: &Model) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "# {} {}", super::TITLE, one_line(&model.title));
    let _ = writeln!(out, "# {} = {}", super::UNIT, model.unit.letter());
    for (at, zone) in model.zones.iter().enumerate() {
        let mut line = |key: &str, value: &Value| {
            let _ = writeln!(out, "# zones.{}.{key} = {value}", zone.id);
        };
        for key in STATED {
            if let Some(entry) = settings::entry(key.path) {
                line(key.path, &entry.get(model, Subject::Zone(at)));
            }
        }
        let settings = &zone.controls.settings;
        for (controller, locks) in settings.controllers.as_slice().iter().zip(&settings.key_locks) {
            let refused = LockableKey::ALL.into_iter().filter(|key| locks.refuses(*key));
            line(&lock_key(&controller.id), &Value::words(refused.map(LockableKey::name)));
        }
        line(MODE_OWNER, &Value::word(owner(model, ZoneIndex::new(at))));
    }
    out
}

/// The zone that decides the mode of a zone: itself unless it follows an owner.
fn owner(model: &Model, zone: ZoneIndex) -> &str {
    let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
    let owner = group.and_then(|group| match group.settings.sharing {
        Sharing::SingleMode { policy: ModePolicy::Owner, owner, .. } => group.zones.get(owner),
        Sharing::SingleMode { .. } | Sharing::Simultaneous => None,
    });
    &model.zones[owner.copied().unwrap_or(zone).get()].id
}

fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || c == ',' { ' ' } else { c }).collect()
}

/// What a stated setting says; `None` where the text is no value of it.
pub(super) fn value(key: &str, text: &str, unit: TemperatureUnit) -> Option<Value> {
    let known = STATED.iter().find(|known| known.path == key)?;
    let value = Value::read(text, &known.kind, unit)?;
    let right = match value {
        Value::Number(step) if known.path == SETPOINT_STEP.path => Grid::new(unit, step).is_some(),
        Value::Number(number) => (0.0..1000.0).contains(&number),
        Value::Span([low, high]) => low <= high && low.abs() < 1000.0 && high.abs() < 1000.0,
        _ => true,
    };
    right.then_some(value)
}

/// What is wrong with a stated setting, and what would be right.
pub(super) fn fault(key: &str, text: &str, unit: TemperatureUnit) -> Option<(String, String)> {
    let (holds, help) = if let Some(known) = STATED.iter().find(|known| known.path == key) {
        (value(key, text, unit).is_some(), example(known, unit))
    } else if key == MODE_OWNER {
        (!text.is_empty(), "write the id of the zone that decides".to_owned())
    } else if key.starts_with(OF_CONTROLLERS) && key.ends_with(LOCKED_KEYS) {
        let names = LockableKey::ALL.map(LockableKey::name);
        let holds = text == "none" || text.split_whitespace().all(|word| names.contains(&word));
        (holds, format!("write keys with spaces between ({}), or none", names.join(", ")))
    } else {
        let what = format!("`{key}` is no setting that presses tell of");
        return Some((what, "leave the line out, or look how sheet.csv names it".into()));
    };
    (!holds).then(|| (format!("`{text}` is no value of {key}"), help))
}

/// A right value of a setting.
fn example(key: &Key, unit: TemperatureUnit) -> String {
    match &key.kind {
        _ if key.path == SETPOINT_STEP.path => {
            let steps = Grid::steps(unit).iter().map(|(step, _)| step.to_string());
            format!("write {}", alternatives(&steps.collect::<Vec<_>>()))
        }
        Kind::Word(words) => format!("write {}", alternatives(words)),
        Kind::Words(words, _) => {
            format!("write modes with spaces between ({}), or none", words.join(", "))
        }
        Kind::Exactly(..) => "write `17 to 24`".into(),
        _ => "write a number: 2".into(),
    }
}

/// `push, hold or push_and_return`.
fn alternatives<S: AsRef<str>>(words: &[S]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}
