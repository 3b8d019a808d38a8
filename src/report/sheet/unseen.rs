//! Why a changed setting would not show on a sheet.

use super::Sheeted;
use crate::study::sheet::{Hindrance, Part};

impl Sheeted<'_> {
    /// Why no line shows a change of the setting at this path.
    pub(super) fn why_unseen(&self, path: &str) -> &'static str {
        let key = path.rsplit('.').next().unwrap_or(path);
        let fixed = match key {
            "low_limit" => Some("the room would have to be as cold as the limit"),
            "lag" => Some("the room is steady while the sheet is worked through"),
            "heat_low" | "cool_high" => Some(
                "the setback reaches this bound only from setpoints at which nothing runs in this \
                 room",
            ),
            "direction" => {
                Some("the first direction is overtaken by what the keys select before it shows")
            }
            "keys" => {
                Some("no key that is pressed here needs it, or another lock stands before it")
            }
            "primary" => Some("both controllers show and do the same, whichever is primary"),
            "occupancy" | "optimum_start" => {
                Some("the hours are read from the controller's clock, and no line waits for them")
            }
            "place" | "stratification" | "resolution" => {
                Some("the sensor reads the same either way while the sheet is worked through")
            }
            "in_force" => Some("the lock names no key that is pressed here"),
            "simultaneous" | "mode_policy" | "changeover_delay" if !path.starts_with("zones.") => {
                Some("zones are tested one at a time, so that they want nothing of each other")
            }
            _ => None,
        };
        fixed.unwrap_or_else(|| self.why_part(path, key))
    }

    /// Where a part of the zone's test had to be put off, that is the reason.
    fn why_part(&self, path: &str, key: &str) -> &'static str {
        let zone = path.strip_prefix("zones.").and_then(|rest| rest.split('.').next());
        let about = |part: Part| match key {
            "changeover_delay" => matches!(part, Part::Changeover | Part::Calls(_)),
            "call_start" | "call_stop" | "min_on" | "min_off" | "offset" => {
                matches!(part, Part::Calls(_))
            }
            "override_time" | "heat" | "cool" => {
                matches!(part, Part::Unoccupied | Part::Calls(_))
            }
            "auto_off" => part == Part::AutomaticOff,
            _ => false,
        };
        let deferred = self.sheet.deferred.iter().find(|deferred| {
            let here = Some(self.zone(deferred.zone).id.as_str()) == zone || zone.is_none();
            here && about(deferred.part)
        });
        match deferred.map(|deferred| deferred.why) {
            Some(Hindrance::Room(_)) => "the room's temperature does not allow the test, see above",
            Some(Hindrance::Season(_)) => "the season forbids the test, see above",
            Some(Hindrance::Wait(_)) => "the wait would be too long, see above",
            Some(Hindrance::Keys) => "no keys lead there, see above",
            None => match key {
                "call_start" | "call_stop" | "offset" => {
                    "no setpoint that the keys reach lies between both values and the room"
                }
                "auto_off" => "no line leaves the zone switched on for so long",
                "setback" => "the setback moves nothing across this room's temperature",
                "min_off" | "min_on" | "changeover_delay" => {
                    "another timer is longer and hides it, or no press comes inside its time"
                }
                "locked_modes" | "modes" => "the keys in force do not lead to this mode",
                "low" | "high" => {
                    "the deadband and another limit stop the setpoint first, or no key in force \
                     reaches this limit"
                }
                _ => "no keys in force and no wait on this sheet bring it out",
            },
        }
    }
}
