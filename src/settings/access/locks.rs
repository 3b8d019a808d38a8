//! Controllers and the locks of their keys.

use crate::control::{Controllers, KeyLocks, LockableKey};
use crate::engine::Zone;
use crate::settings::Value;

fn lock(zone: &Zone, place: usize) -> KeyLocks {
    zone.controls.settings.key_locks.get(place).copied().unwrap_or(KeyLocks::NONE)
}

fn set_lock(zone: &mut Zone, place: usize, lock: KeyLocks) -> Option<()> {
    *zone.controls.settings.key_locks.get_mut(place)? = lock;
    Some(())
}

/// The name of a controller.
pub(crate) fn id(zone: &Zone, place: usize) -> Value {
    let all = zone.controls.settings.controllers.as_slice();
    all.get(place).map_or(Value::Nothing, |controller| Value::word(controller.id.as_str()))
}

/// What the sensor of a controller reads too much.
pub(crate) fn offset(zone: &Zone, place: usize) -> Value {
    let all = zone.controls.settings.controllers.as_slice();
    Value::or_nothing(all.get(place).map(|controller| controller.offset))
}

/// Whether a controller is the primary one.
pub(crate) fn primary(zone: &Zone, place: usize) -> Value {
    Value::Flag(zone.controls.settings.controllers.primary().get() == place)
}

/// Makes a controller the primary one, or the other one of two.
pub(crate) fn set_primary(zone: &mut Zone, place: usize, to: &Value) -> Option<()> {
    let to = to.flag()?;
    let controllers = &mut zone.controls.settings.controllers;
    let list = controllers.as_slice().iter().cloned().enumerate();
    let list = list.map(|(at, controller)| (controller, (at == place) == to)).collect();
    *controllers = Controllers::new(list).ok()?;
    Some(())
}

/// The other controller as the primary one: tried once for a zone.
pub(crate) fn other_primary(zone: &Zone, place: usize) -> Vec<(String, Zone)> {
    let to = Value::Flag(primary(zone, place) != Value::Flag(true));
    let mut changed = zone.clone();
    let done = place == 0 && set_primary(&mut changed, place, &to).is_some();
    done.then(|| (to.to_string(), changed)).into_iter().collect()
}

/// The keys that a lock names.
pub(crate) fn keys(zone: &Zone, place: usize) -> Value {
    Value::words(lock(zone, place).keys().map(LockableKey::name))
}

/// Writes the keys that a lock names.
pub(crate) fn set_keys(zone: &mut Zone, place: usize, to: &Value) -> Option<()> {
    let keys = to.picks(&LockableKey::ALL, LockableKey::name)?;
    let in_force = lock(zone, place).is_in_force();
    set_lock(zone, place, KeyLocks::new(&keys, in_force))
}

/// Each key named that was not, or the other way; a lock without any key would be in force.
pub(crate) fn other_keys(zone: &Zone, place: usize) -> Vec<(String, Zone)> {
    let locks = lock(zone, place);
    let in_force = locks.is_in_force() || locks.keys().next().is_none();
    let toggled = |key: LockableKey| {
        let named = |it: &LockableKey| locks.names(*it) != (*it == key);
        let keys: Vec<LockableKey> = LockableKey::ALL.into_iter().filter(named).collect();
        let mut changed = zone.clone();
        set_lock(&mut changed, place, KeyLocks::new(&keys, in_force))?;
        Some((Value::words(keys.into_iter().map(LockableKey::name)).to_string(), changed))
    };
    LockableKey::ALL.into_iter().filter_map(toggled).collect()
}

/// Whether a lock is in force.
pub(crate) fn in_force(zone: &Zone, place: usize) -> Value {
    Value::Flag(lock(zone, place).is_in_force())
}

/// Puts a lock in force, or only saves it.
pub(crate) fn set_in_force(zone: &mut Zone, place: usize, to: &Value) -> Option<()> {
    let keys: Vec<LockableKey> = lock(zone, place).keys().collect();
    set_lock(zone, place, KeyLocks::new(&keys, to.flag()?))
}

/// A lock of some keys put in force, or only saved.
pub(crate) fn other_force(zone: &Zone, place: usize) -> Vec<(String, Zone)> {
    let to = Value::Flag(!lock(zone, place).is_in_force());
    let mut changed = zone.clone();
    let names = lock(zone, place).keys().next().is_some();
    let done = names && set_in_force(&mut changed, place, &to).is_some();
    done.then(|| (to.to_string(), changed)).into_iter().collect()
}
