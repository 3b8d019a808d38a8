//! Adds up how damp one zone is.

use super::zone_figures::{DAMP, HumidityFigures};
use crate::engine::ZoneView;
use crate::time::Seconds;

/// Sums over the steps of a zone whose water is followed.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct DampTally {
    steps: u64,
    damp_steps: u64,
    sum: f64,
    lowest: f64,
    highest: f64,
    removed: f64,
    condensed: f64,
}

impl DampTally {
    pub(super) fn add(&mut self, view: &ZoneView<'_>, step: Seconds) {
        let (Some(percent), Some(water)) = (view.relative_humidity(), view.water) else { return };
        self.lowest = if self.steps == 0 { percent } else { self.lowest.min(percent) };
        self.highest = self.highest.max(percent);
        self.steps += 1;
        self.damp_steps += u64::from(percent > DAMP);
        self.sum += percent;
        self.removed += water.at_coil * step.get() as f64;
        self.condensed += water.on_surfaces * step.get() as f64;
    }

    pub(super) fn figures(&self, step: Seconds) -> Option<HumidityFigures> {
        (self.steps > 0).then(|| HumidityFigures {
            min_percent: self.lowest,
            mean_percent: self.sum / self.steps as f64,
            max_percent: self.highest,
            hours_above_60: self.damp_steps as f64 * step.in_hours(),
            water_removed_kg: self.removed,
            condensed_kg: self.condensed,
        })
    }
}
