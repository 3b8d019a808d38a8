//! What the zones of an outdoor unit share, changed.

use super::{List, longer};
use crate::control::{GroupSettings, ModePolicy, OwnerOff, Sharing};

impl List<'_> {
    pub(super) fn group(&mut self, at: usize) {
        let group = &self.model.outdoor_units[at];
        let rest = longer(group.settings.min_off);
        self.unit(at, "min_off", rest.to_string(), |settings| settings.min_off = rest);
        let Sharing::SingleMode { policy, owner, owner_off, changeover_delay } =
            group.settings.sharing
        else {
            return;
        };
        let single = |policy, owner, owner_off, changeover_delay| Sharing::SingleMode {
            policy,
            owner,
            owner_off,
            changeover_delay,
        };
        for other in ModePolicy::ALL.into_iter().filter(|other| *other != policy) {
            self.unit(at, "mode_policy", other.name().into(), |settings| {
                settings.sharing = single(other, owner, owner_off, changeover_delay);
            });
        }
        for (other, zone) in group.zones.iter().enumerate().filter(|(other, _)| *other != owner) {
            let id = self.model.zones[zone.get()].id.clone();
            self.unit(at, "owner", id, |settings| {
                settings.sharing = single(policy, other, owner_off, changeover_delay);
            });
        }
        let other = match owner_off {
            OwnerOff::Hold => OwnerOff::Stop,
            OwnerOff::Stop => OwnerOff::Hold,
        };
        self.unit(at, "owner_off", other.name().into(), |settings| {
            settings.sharing = single(policy, owner, other, changeover_delay);
        });
        let delay = longer(changeover_delay);
        self.unit(at, "changeover_delay", delay.to_string(), |settings| {
            settings.sharing = single(policy, owner, owner_off, delay);
        });
        self.unit(at, "simultaneous", "true".into(), |settings| {
            settings.sharing = Sharing::Simultaneous;
        });
    }

    fn unit(&mut self, at: usize, key: &str, to: String, change: impl FnOnce(&mut GroupSettings)) {
        let mut model = self.model.clone();
        change(&mut model.outdoor_units[at].settings);
        let path = format!("{}.{key}", self.model.outdoor_units[at].id);
        self.all.push(super::Variation { path, to, model });
    }
}
