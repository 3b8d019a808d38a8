//! Why a changed setting would not show on a sheet.

use super::Sheeted;
use crate::settings::{self, Governs, Hidden};
use crate::study::sheet::{Hindrance, Part, Section, Unseen, classes};

impl Sheeted<'_> {
    /// Why no line shows this change: what the table of settings says, or what put off or left out
    /// the part of the zone's test that would have shown it.
    pub(super) fn why_unseen(&self, unseen: &Unseen) -> String {
        let Some(entry) = settings::entry(unseen.setting) else { return String::new() };
        let (Hidden::Always(why) | Hidden::Unless(why)) = entry.setting.hidden;
        self.why_not_here(unseen).unwrap_or_else(|| why.into())
    }

    /// Why this sheet does not show a change that another one, or another day, may; `None` where
    /// none does.
    pub(super) fn why_not_here(&self, unseen: &Unseen) -> Option<String> {
        let entry = settings::entry(unseen.setting)?;
        let governs = entry.setting.governs;
        if matches!(entry.setting.hidden, Hidden::Always(_)) {
            return None;
        }
        self.left_out_here(&unseen.path, governs)
            .or_else(|| self.put_off(&unseen.path, governs).map(ToOwned::to_owned))
    }

    /// Why a short sheet lacks the section that shows what a setting governs; `None` where it has it.
    fn left_out_here(&self, path: &str, governs: Governs) -> Option<String> {
        let scope = self.plan.scope.as_ref()?;
        let id = path.strip_prefix("zones.").and_then(|rest| rest.split('.').next())?;
        let zone = self.model.zone_named(id)?;
        let section = match governs {
            Governs::Keys => Section::Keys,
            Governs::Start | Governs::Plant => Section::Look,
            Governs::Changeover => Section::Changeover,
            Governs::Absence => Section::Unoccupied,
            Governs::AutomaticOff => Section::AutomaticOff,
            Governs::Calls | Governs::Sensing | Governs::Frost | Governs::Sharing => Section::Calls,
        };
        if scope.has(zone, section) {
            return None;
        }
        let class = classes(self.model).into_iter().find(|class| class.contains(&zone))?;
        let other = class.into_iter().find(|other| scope.has(*other, section));
        Some(other.map_or_else(
            || "this sheet leaves it out".into(),
            |other| format!("{}, which is set alike, stands for it", self.zone(other).id),
        ))
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
            Hindrance::Room(_) => "the room's temperature does not allow the test",
            Hindrance::Season(_) => "the season forbids the test",
            Hindrance::Wait(_) => "the wait would be too long",
            Hindrance::Keys => "no keys lead there",
            Hindrance::Midnight => "nobody waits until midnight",
            Hindrance::OutdoorGap => "the outdoor limits forbid the test",
        })
    }
}
