//! Which single setting other than stated would explain everything that was read.

use super::candidates::{Candidates, MODE, POWER, SETPOINT};
use super::family::{Ends, Family};
use super::stated::{Supposed, limit_keys, modes};
use super::{Explanation, Inferred, Value};
use crate::control::{Grid, LockableKey, OnConflict, Ticks};
use crate::settings::controls::{LOCKED_MODES, MIN_DEADBAND, ON_CONFLICT};
use crate::study::sheet_csv::ZoneRecord;
use crate::study::sheet_csv::lock_key;

impl Candidates {
    /// Whether the modes that a zone states, with these locks, agree with every press of the mode
    /// key.
    pub(super) fn modes_admit(zone: &ZoneRecord, may_follow: bool, it: &Supposed) -> bool {
        Self::without_families(zone, may_follow).admits_modes(it)
    }

    fn admits_modes(&self, it: &Supposed) -> bool {
        self.lockouts.iter().any(|lockout| {
            lockout.follows == it.follows
                && self
                    .modes
                    .as_slice()
                    .iter()
                    .all(|mode| lockout.locked.has(*mode) == it.locked.has(*mode))
                && self.agrees(&lockout.violates, MODE, it.locks[MODE])
        })
    }

    /// Whether one whole set of settings agrees with everything that is not left out.
    pub(super) fn admits(&self, it: &Supposed) -> bool {
        self.admits_modes(it)
            && self.agrees(&self.power_violates, POWER, it.locks[POWER])
            && self.families.iter().any(|family| family.admits(it))
    }
}

impl Family {
    /// Whether one whole set of settings is a candidate of it.
    fn admits(&self, it: &Supposed) -> bool {
        let ticks = |value: f64| it.ticks(value);
        let [heat_low, heat_high, cool_low, cool_high] = it.limits.map(ticks);
        let (Some(deadband), Some(heat_low), Some(heat_high), Some(cool_low), Some(cool_high)) =
            (ticks(it.deadband), heat_low, heat_high, cool_low, cool_high)
        else {
            return false;
        };
        let alike = self.scale.grid == it.grid
            && (self.practice == it.practice || deadband == Ticks::ZERO)
            && self.deadband == deadband
            && self.follows == it.follows;
        // Beyond what was pressed for every limit is the same.
        let high = [heat_high.min(self.highest[0]), cool_high.min(self.highest[1])];
        let low = [heat_low.max(self.lowest[0]), cool_low.max(self.lowest[1])];
        let has = |ends: &[Ends], [heat, cool]: [Ticks; 2]| {
            let locks = it.locks[SETPOINT];
            ends.iter().any(|it| (it.heat, it.cool) == (heat, cool) && it.agree(locks))
        };
        alike && has(&self.upper, high) && has(&self.lower, low)
    }
}

/// Single settings other than stated under which everything agrees.
pub(super) fn explanations(
    candidates: &Candidates,
    stated: &Supposed,
    zone: &ZoneRecord,
    settings: &[Inferred],
) -> Vec<Explanation> {
    let mut all = Vec::new();
    for setting in settings {
        for value in setting.consistent.iter().filter(|it| setting.stated.as_ref() != Some(*it)) {
            if changed(stated, zone, &setting.key, value).is_some_and(|it| candidates.admits(&it)) {
                all.push(Explanation { key: setting.key.clone(), value: value.clone() });
            }
        }
    }
    all
}

/// The stated settings with one of them changed.
pub(super) fn changed(
    stated: &Supposed,
    zone: &ZoneRecord,
    key: &str,
    value: &Value,
) -> Option<Supposed> {
    let mut it = stated.clone();
    let limit = limit_keys().iter().position(|known| known == key);
    match value {
        Value::Number(number) => match limit {
            Some(at) => it.limits[at] = *number,
            None if key == MIN_DEADBAND.path => it.deadband = *number,
            None => it.grid = Grid::new(it.grid.unit(), *number)?,
        },
        Value::Word(word) if key == ON_CONFLICT.path => {
            it.practice = OnConflict::ALL.into_iter().find(|known| known.name() == word)?;
        }
        Value::Word(word) => it.follows = *word != zone.id,
        Value::Words(_) if key == LOCKED_MODES.path => it.locked = modes(value)?,
        Value::Words(words) => {
            let at = zone.controllers.iter().position(|id| lock_key(id) == key)?;
            let keys = [LockableKey::Setpoint, LockableKey::Mode, LockableKey::Power];
            for (group, key) in keys.iter().enumerate() {
                let locked = words.iter().any(|word| word == key.name());
                it.locks[group] = it.locks[group] & !(1 << at) | usize::from(locked) << at;
            }
        }
    }
    Some(it)
}
