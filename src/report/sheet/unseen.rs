//! Why a changed setting would not show on a sheet.

use super::Sheeted;
use crate::settings::{self, Governs, Hidden};
use crate::study::sheet::{Hindrance, Part, Unseen};

impl Sheeted<'_> {
    /// Why no line shows this change: what the table of settings says, or what put off the part of
    /// the zone's test that would have shown it.
    pub(super) fn why_unseen(&self, unseen: &Unseen) -> &'static str {
        let Some(entry) = settings::entry(unseen.setting) else { return "" };
        match entry.setting.hidden {
            Hidden::Always(why) => why,
            Hidden::Unless(why) => self.put_off(&unseen.path, entry.setting.governs).unwrap_or(why),
        }
    }

    /// What put off the part of the zone's test that shows what a setting governs.
    fn put_off(&self, path: &str, governs: Governs) -> Option<&'static str> {
        let zone = path.strip_prefix("zones.").and_then(|rest| rest.split('.').next());
        let about = |part: Part| match governs {
            Governs::Changeover => matches!(part, Part::Changeover | Part::Calls(_)),
            Governs::Calls => {
                matches!(part, Part::Calls(_) | Part::OutdoorLimit(_) | Part::Window)
            }
            Governs::Absence => matches!(part, Part::Unoccupied | Part::Calls(_)),
            Governs::AutomaticOff => part == Part::AutomaticOff,
            _ => false,
        };
        let deferred = self.sheet.deferred.iter().find(|deferred| {
            let here = Some(self.zone(deferred.zone).id.as_str()) == zone || zone.is_none();
            here && about(deferred.part)
        });
        Some(match deferred?.why {
            Hindrance::Room(_) => "the room's temperature does not allow the test, see above",
            Hindrance::Season(_) => "the season forbids the test, see above",
            Hindrance::Wait(_) => "the wait would be too long, see above",
            Hindrance::Keys => "no keys lead there, see above",
            Hindrance::Midnight => "nobody waits until midnight, see above",
            Hindrance::OutdoorGap => "the outdoor limits forbid the test, see above",
        })
    }
}
