//! The settings of an outdoor unit and of how its zones share it.

use super::Line;
use crate::control::{ModePolicy, OwnerOff, Sharing};
use crate::engine::{Model, OutdoorGroup};

/// The lines of one outdoor unit.
pub(super) fn lines(model: &Model, group: &OutdoorGroup) -> Vec<Line> {
    let mut lines = vec![("Who decides", who_decides(model, group))];
    if let Sharing::SingleMode { policy, owner_off, changeover_delay, .. } = group.settings.sharing
    {
        let off = match (policy, owner_off) {
            (ModePolicy::Owner, OwnerOff::Hold) => "the group keeps its last direction",
            (ModePolicy::Owner, OwnerOff::Stop) => "the whole group stops",
            _ => "there is no owner",
        };
        lines.push(("With the owner switched off", off.into()));
        let delay = match policy {
            ModePolicy::Owner => "the owner zone's own".to_owned(),
            _ => changeover_delay.to_string(),
        };
        lines.push(("Changeover delay of the group", delay));
    }
    lines.push(("Least rest of the compressor", group.settings.min_off.to_string()));
    lines.push(("Time to reverse", group.unit.reversal_time.to_string()));
    lines
}

fn who_decides(model: &Model, group: &OutdoorGroup) -> String {
    match group.settings.sharing {
        Sharing::Simultaneous => "each zone: the unit heats and cools at the same time".into(),
        Sharing::SingleMode { policy: ModePolicy::Owner, owner, .. } => {
            let zone = group.zones.get(owner).and_then(|zone| model.zones.get(zone.get()));
            format!("{}, and all others follow", zone.map_or("one zone", crate::report::run::label))
        }
        Sharing::SingleMode { policy, .. } => policy_words(policy).into(),
    }
}

/// How a group decides without an owner, in words.
pub(super) const fn policy_words(policy: ModePolicy) -> &'static str {
    match policy {
        ModePolicy::Owner => "one zone decides",
        ModePolicy::FirstCall => "the zone that calls first decides",
        ModePolicy::Majority => "the larger demand decides",
        ModePolicy::LargestError => "the zone furthest outside its setpoints decides",
    }
}
