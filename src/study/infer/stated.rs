//! Settings as the table states them, read into the terms of candidates.

use super::record::ZoneRecord;
use crate::control::{Grid, LockableKey, Mode, ModeSet, OnConflict, Ticks};
use crate::units::{TemperatureUnit, parse_number};

/// One whole set of settings of a zone, values in the file's unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Supposed {
    pub grid: Grid,
    pub practice: OnConflict,
    pub deadband: f64,
    /// Heat low and high, cool low and high.
    pub limits: [f64; 4],
    pub locked: ModeSet,
    /// For each kind of key the controllers (a bit each) at which it is locked.
    pub locks: [usize; 3],
    pub follows: bool,
}

impl Supposed {
    /// What the table states; `None` where it does not state all of it.
    pub(super) fn stated(zone: &ZoneRecord, unit: TemperatureUnit) -> Option<Self> {
        let number = |key: &str| parse_number(zone.stated(key)?);
        let (heat, cool) = (range(zone, "heat")?, range(zone, "cool")?);
        let words = zone.stated("controls.on_conflict")?;
        let mut locks = [0; 3];
        for (at, id) in zone.controllers.iter().enumerate() {
            let Some(text) = zone.stated(&lock_key(id)) else { continue };
            for (group, key) in
                [LockableKey::Setpoint, LockableKey::Mode, LockableKey::Power].iter().enumerate()
            {
                if text.split_whitespace().any(|word| word == key.name()) {
                    locks[group] |= 1 << at;
                }
            }
        }
        Some(Self {
            grid: Grid::new(unit, number("controls.setpoint_step")?)?,
            practice: practice(words)?,
            deadband: number("controls.min_deadband")?,
            limits: [heat[0], heat[1], cool[0], cool[1]],
            locked: ModeSet::of(&modes(zone.stated("controls.locked_modes")?)?),
            locks,
            follows: zone.stated("mode_owner").is_some_and(|owner| owner != zone.id),
        })
    }

    /// A value in ticks of its own step.
    pub(super) fn ticks(&self, value: f64) -> Option<Ticks> {
        self.grid.exact(value).ok()
    }
}

/// Where the lock of a controller is stated.
pub(super) fn lock_key(controller: &str) -> String {
    format!("controls.controllers.{controller}.locked_keys")
}

/// `17 to 24`.
fn range(zone: &ZoneRecord, side: &str) -> Option<[f64; 2]> {
    span(zone.stated(&format!("controls.limits.{side}"))?)
}

fn span(text: &str) -> Option<[f64; 2]> {
    let (low, high) = text.split_once(" to ")?;
    Some([parse_number(low.trim())?, parse_number(high.trim())?])
}

pub(super) fn practice(text: &str) -> Option<OnConflict> {
    let all = [OnConflict::Push, OnConflict::Hold, OnConflict::PushAndReturn];
    all.into_iter().find(|it| it.name() == text)
}

/// `heat cool auto`, or `none`.
pub(super) fn modes(text: &str) -> Option<Vec<Mode>> {
    if text == "none" {
        return Some(Vec::new());
    }
    text.split_whitespace()
        .map(|word| Mode::ALL.into_iter().find(|mode| mode.name() == word))
        .collect()
}

/// What is wrong with a stated setting, and what would be right.
pub(super) fn fault(
    key: &str,
    value: &str,
    unit: TemperatureUnit,
) -> Option<(String, &'static str)> {
    let number = || parse_number(value).filter(|number| number.abs() < 1000.0);
    let (holds, help) = match key {
        "controls.setpoint_step" => {
            (number().and_then(|step| Grid::new(unit, step)).is_some(), STEPS[unit as usize])
        }
        "controls.min_deadband" => (number().is_some_and(|it| it >= 0.0), "write a number: 2"),
        "controls.limits.heat" | "controls.limits.cool" => {
            (span(value).is_some_and(|[low, high]| low <= high), "write `17 to 24`")
        }
        "controls.on_conflict" => {
            (practice(value).is_some(), "write push, hold or push_and_return")
        }
        "unit.modes" | "controls.locked_modes" => (
            modes(value).is_some(),
            "write modes with spaces between (heat, cool, auto, dry, fan), or none",
        ),
        "controls.shown_unit" => (["C", "F"].contains(&value), "write C or F"),
        "mode_owner" => (!value.is_empty(), "write the id of the zone that decides"),
        _ if key.starts_with("controls.controllers.") && key.ends_with(".locked_keys") => {
            let known = |word: &str| LockableKey::ALL.iter().any(|key| key.name() == word);
            let holds = value == "none" || value.split_whitespace().all(known);
            (holds, "write keys with spaces between (setpoint, mode, fan, power), or none")
        }
        _ => {
            let what = format!("`{key}` is no setting that presses tell of");
            return Some((what, "leave the line out, or look how sheet.csv names it"));
        }
    };
    (!holds).then(|| (format!("`{value}` is no value of {key}"), help))
}

/// The steps that controllers store, in C and F.
const STEPS: [&str; 2] = ["write 0.1, 0.5 or 1", "write 0.5 or 1"];
