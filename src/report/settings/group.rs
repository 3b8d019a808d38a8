//! The settings of an outdoor unit and of how its zones share it.

use super::Line;
use super::outdoors::{LIMITS_LINE, limits_words};
use crate::control::{ModePolicy, Sharing, policy_words};
use crate::engine::{Model, OutdoorGroup};

const POLICY_LINE: &str = "Who decides";
const OWNER_OFF_LINE: &str = "With the owner switched off";
const DELAY_LINE: &str = "Changeover delay of the group";
const REST_LINE: &str = "Least rest of the compressor";
const REVERSAL_LINE: &str = "Time to reverse";

/// The lines that are put in words here. What stands on no line of these is told by itself.
pub(super) const LINES: [&str; 6] =
    [POLICY_LINE, OWNER_OFF_LINE, DELAY_LINE, REST_LINE, REVERSAL_LINE, LIMITS_LINE];

/// The lines of one outdoor unit.
pub(super) fn lines(model: &Model, group: &OutdoorGroup) -> Vec<Line> {
    let mut lines = vec![(POLICY_LINE, who_decides(model, group))];
    if let Sharing::SingleMode { policy, owner_off, changeover_delay, .. } = group.settings.sharing
    {
        let off = match policy {
            ModePolicy::Owner => owner_off.words(),
            _ => "there is no owner",
        };
        lines.push((OWNER_OFF_LINE, off.into()));
        let delay = match policy {
            ModePolicy::Owner => "the owner zone's own".to_owned(),
            _ => changeover_delay.to_string(),
        };
        lines.push((DELAY_LINE, delay));
    }
    lines.push((REST_LINE, group.settings.min_off.to_string()));
    lines.push((REVERSAL_LINE, group.unit.reversal_time.to_string()));
    lines.extend(limits_words(&group.outdoor_limits, model.unit).map(|it| (LIMITS_LINE, it)));
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
