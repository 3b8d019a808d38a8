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
    let text = zone.stated(&format!("controls.limits.{side}"))?;
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
