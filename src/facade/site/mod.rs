//! Questions about a building that has a log: what in it contradicts the settings, which room explains
//! it, and what the same days would have been with other settings.

mod fits;
mod replays;
mod unanswered;

use crate::engine::ZoneIndex;
use crate::log::SiteLog;
use crate::study::audit::{Audit, audit};
use crate::study::fit::logged_zones;
use crate::study::reach::MOST_STATES;
use crate::study::review::{Review, review};

pub use fits::FitResults;
pub use replays::{AskedRequests, ReplayQuestion, ReplayResults};
pub use unanswered::Unanswered;

use super::Scenario;

impl Scenario {
    /// What the scenario asks under `require`: what holds, what fails, what cannot be shown. Of a
    /// file without requirements there are no rows.
    pub fn review(&self) -> Review<'_> {
        review(&self.study, MOST_STATES, None)
    }

    /// The log that the file names.
    ///
    /// # Errors
    /// It names none.
    pub fn site_log(&self) -> Result<&SiteLog, Unanswered> {
        self.model.log.as_deref().ok_or(Unanswered::NoLog)
    }

    /// What in the log contradicts the settings, what is worth a look, and what it cannot say.
    ///
    /// # Errors
    /// The file names no log.
    pub fn audit(&self) -> Result<Audit, Unanswered> {
        Ok(audit(&self.model, self.site_log()?))
    }

    /// The zone of that name; all of which the log has something without one.
    fn logged_zones(&self, name: Option<&str>) -> Result<Vec<ZoneIndex>, Unanswered> {
        let site = self.site_log()?;
        let Some(name) = name else { return Ok(logged_zones(&self.model, site)) };
        self.model.zone_named(name).map(|zone| vec![zone]).ok_or_else(|| {
            let known = self.model.zones.iter().map(|zone| zone.id.clone()).collect();
            Unanswered::NoZone { name: name.to_owned(), known }
        })
    }
}
