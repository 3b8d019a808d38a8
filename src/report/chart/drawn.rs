//! The charts of a run as its files and wide windows have them, drawn once for both.

use super::{ChartFault, StripsView, day_svg, group_svg};
use crate::report::run::Run;

/// Width of a chart in files and on wide pages, px.
pub const USUAL_WIDTH: u32 = 1000;

/// The charts of a run as SVG.
#[derive(Clone, Debug)]
pub struct RunCharts {
    /// See [`day_svg`].
    pub day: String,
    /// The chart of each outdoor unit, see [`group_svg`].
    pub units: Vec<String>,
}

impl RunCharts {
    /// Draws them.
    ///
    /// # Errors
    /// See [`ChartFault`].
    pub fn of(run: &Run) -> Result<Self, ChartFault> {
        let unit = |unit| group_svg(run, USUAL_WIDTH, &StripsView::of_unit(run.model, unit));
        Ok(Self {
            day: day_svg(run, USUAL_WIDTH)?,
            units: (0..run.model.outdoor_units.len()).map(unit).collect::<Result<_, _>>()?,
        })
    }
}
