//! Modes, lockouts and key locks, changed.

use super::List;
use crate::control::{Controllers, KeyLocks, LockableKey, Mode, ModeSet, UnitModes};
use crate::engine::Zone;

impl List<'_> {
    pub(super) fn modes(&mut self, at: usize, zone: &Zone) {
        let settings = &zone.controls.settings;
        let has = settings.modes.as_slice();
        for &mode in has.iter().filter(|mode| **mode != zone.controls.start.mode) {
            let locked: Vec<Mode> = Mode::ALL
                .into_iter()
                .filter(|each| settings.locked_modes.has(*each) != (*each == mode))
                .collect();
            self.zone(at, "controls.locked_modes", listed(&locked), |zone| {
                zone.controls.settings.locked_modes = ModeSet::of(&locked);
            });
            let fewer: Vec<Mode> = has.iter().copied().filter(|each| *each != mode).collect();
            self.unit_modes(at, &fewer);
        }
        if has.len() > 2 {
            let mut swapped = has.to_vec();
            swapped.swap(0, 1);
            self.unit_modes(at, &swapped);
        }
    }

    fn unit_modes(&mut self, at: usize, modes: &[Mode]) {
        if let Some(unit_modes) = UnitModes::new(modes.to_vec()) {
            self.zone(at, "unit.modes", listed(modes), |zone| {
                zone.controls.settings.modes = unit_modes;
            });
        }
    }

    pub(super) fn locks(&mut self, at: usize, zone: &Zone) {
        let settings = &zone.controls.settings;
        let controllers = settings.controllers.as_slice().iter().cloned().zip([true, false]);
        let swapped = |primary: bool| (settings.controllers.primary().get() == 0) != primary;
        let list = controllers.map(|(it, first)| (it, swapped(first))).collect();
        if let Ok(other) = Controllers::new(list) {
            let first = swapped(true).to_string();
            self.zone(at, "controls.controllers[0].primary", first, |zone| {
                zone.controls.settings.controllers = other;
            });
        }
        for (place, locks) in settings.key_locks.iter().enumerate() {
            let path = format!("controls.controllers[{place}].key_locks");
            for key in LockableKey::ALL {
                let keys: Vec<LockableKey> = LockableKey::ALL
                    .into_iter()
                    .filter(|each| locks.names(*each) != (*each == key))
                    .collect();
                let in_force = locks.is_in_force() || locks.keys().next().is_none();
                let words: Vec<&str> = keys.iter().map(|key| key.name()).collect();
                self.locked(at, &format!("{path}.keys"), words.join(" "), place, &keys, in_force);
            }
            let keys: Vec<LockableKey> = locks.keys().collect();
            if !keys.is_empty() {
                let turned = !locks.is_in_force();
                let key = format!("{path}.in_force");
                self.locked(at, &key, turned.to_string(), place, &keys, turned);
            }
        }
    }

    fn locked(
        &mut self,
        at: usize,
        key: &str,
        to: String,
        place: usize,
        keys: &[LockableKey],
        in_force: bool,
    ) {
        let locks = KeyLocks::new(keys, in_force);
        self.zone(at, key, to, |zone| zone.controls.settings.key_locks[place] = locks);
    }
}

fn listed(modes: &[Mode]) -> String {
    modes.iter().map(|mode| mode.name()).collect::<Vec<_>>().join(" ")
}
