//! Charts and pages of what came of a scenario (feature `pages`).

use super::{FitResults, ReplayResults, RunResults};
use crate::report::chart::{ChartFault, USUAL_WIDTH, day_svg, replay_svg};
use crate::report::{PageFault, fit_html, replay_html, run_html};
use crate::study::fit::ZoneFit;

impl RunResults {
    /// The chart of the run, an SVG.
    ///
    /// # Errors
    /// Those of [`day_svg`].
    pub fn chart(&self) -> Result<String, ChartFault> {
        day_svg(&self.as_run(), USUAL_WIDTH)
    }

    /// The report, one page of HTML that needs no other file.
    ///
    /// # Errors
    /// Those of [`run_html`].
    pub fn page(&self) -> Result<String, PageFault> {
        run_html(&self.as_run(), None)
    }
}

impl FitResults {
    /// What was measured in a zone beside the model, an SVG.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn chart(&self, zone: &ZoneFit) -> Result<String, ChartFault> {
        self.as_fitted().chart(zone, USUAL_WIDTH)
    }

    /// The profiles of a zone's numbers, an SVG; `None` where it has none.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn profiles(&self, zone: &ZoneFit) -> Result<Option<String>, ChartFault> {
        self.as_fitted().profiles(zone, USUAL_WIDTH)
    }

    /// The page of the fit.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn page(&self) -> Result<String, ChartFault> {
        fit_html(&self.as_fitted())
    }
}

impl ReplayResults {
    /// The chart, an SVG.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn chart(&self) -> Result<String, ChartFault> {
        let replayed = self.as_replayed();
        let span = replayed.span();
        replay_svg(&replayed.view(&self.model().title, &span), USUAL_WIDTH)
    }

    /// The page.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn page(&self) -> Result<String, ChartFault> {
        replay_html(&self.as_replayed())
    }
}
