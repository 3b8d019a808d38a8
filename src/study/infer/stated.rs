//! Settings as the table states them, in the terms of candidates.

use super::Value;
use crate::control::{Grid, LockableKey, Mode, ModeSet, OnConflict, Ticks};
use crate::settings::controls::{
    LIMITS_COOL, LIMITS_HEAT, LOCKED_MODES, MIN_DEADBAND, ON_CONFLICT, SETPOINT_STEP,
};
use crate::settings::{ENDS, Key, Value as Setting};
use crate::study::sheet_csv::{MODE_OWNER, ZoneRecord, lock_key};
use crate::units::TemperatureUnit;

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
        let value = |key: &Key| zone.value(key, unit);
        let number = |key: &Key| value(key)?.number();
        let (Setting::Span(heat), Setting::Span(cool)) =
            (value(&LIMITS_HEAT)?, value(&LIMITS_COOL)?)
        else {
            return None;
        };
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
            grid: Grid::new(unit, number(&SETPOINT_STEP)?)?,
            practice: value(&ON_CONFLICT)?.pick(&OnConflict::ALL, OnConflict::name)?,
            deadband: number(&MIN_DEADBAND)?,
            limits: [heat[0], heat[1], cool[0], cool[1]],
            locked: ModeSet::of(&value(&LOCKED_MODES)?.picks(&Mode::ALL, Mode::name)?),
            locks,
            follows: zone.stated(MODE_OWNER).is_some_and(|owner| owner != zone.id),
        })
    }

    /// A value in ticks of its own step.
    pub(super) fn ticks(&self, value: f64) -> Option<Ticks> {
        self.grid.exact(value).ok()
    }
}

/// What each of the four limits is called: heat low and high, cool low and high.
pub(super) fn limit_keys() -> [String; 4] {
    let [low, high] = ENDS;
    [(LIMITS_HEAT, low), (LIMITS_HEAT, high), (LIMITS_COOL, low), (LIMITS_COOL, high)]
        .map(|(key, end)| format!("{}.{end}", key.path))
}

/// The modes that a value names.
pub(super) fn modes(value: &Value) -> Option<ModeSet> {
    let Value::Words(words) = value else { return None };
    let words = Setting::words(words.iter().map(String::as_str));
    words.picks(&Mode::ALL, Mode::name).map(|modes| ModeSet::of(&modes))
}
