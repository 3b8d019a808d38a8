//! PMV and PPD of a zone, and what other comfort standards make of it.

use std::sync::Arc;

use super::adaptive::AdaptiveTally;
use super::comfort::{Body, Surroundings, humidity_of};
use super::effective::standard_effective_temperature;
use super::zone_figures::{ComfortFigures, TemperatureFigures};
use crate::building::mean_radiant;
use crate::engine::Comfort;
use crate::people::predicted_percentage_dissatisfied;
use crate::time::{DAY, Instant, Seconds};
use crate::units::TemperatureUnit;

/// Time between two samples of the PMV, which changes slowly.
pub(super) const BETWEEN_PMVS: Seconds = Seconds::minutes(15);

/// What is felt at one sample.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Felt {
    /// Degrees C.
    pub(super) air: f64,
    /// Operative temperature, degrees C.
    pub(super) operative: f64,
    /// Pressure of water vapour, Pa.
    pub(super) vapour: f64,
}

/// A sample that stands out.
#[derive(Clone, Copy, Debug)]
struct Sample {
    pmv: f64,
    felt: Felt,
    day: usize,
}

/// Samples while somebody is there.
#[derive(Clone, Debug)]
pub(super) struct PmvTally {
    comfort: Comfort,
    /// One for all days, or one for each.
    bodies: Vec<Body>,
    /// The running mean outdoors of each day, degrees C.
    running_means: Arc<[f64]>,
    count: u64,
    sum: f64,
    lowest: Sample,
    highest: Sample,
    dissatisfied: f64,
    /// Sums of what was felt, and of clothing insulation.
    felt: Felt,
    clo: f64,
    adaptive: AdaptiveTally,
}

impl PmvTally {
    pub(super) fn new(comfort: &Comfort, running_means: &Arc<[f64]>) -> Self {
        let body =
            |mean: &f64| Body::new(comfort.met, comfort.clothing.on(*mean), comfort.air_speed);
        let days = if comfort.clothing.is_constant() { 1 } else { running_means.len() };
        let nothing = |pmv| Sample { pmv, felt: Felt::default(), day: 0 };
        Self {
            comfort: *comfort,
            bodies: running_means[..days].iter().map(body).collect(),
            running_means: Arc::clone(running_means),
            count: 0,
            sum: 0.0,
            lowest: nothing(f64::INFINITY),
            highest: nothing(f64::NEG_INFINITY),
            dissatisfied: 0.0,
            felt: Felt::default(),
            clo: 0.0,
            adaptive: AdaptiveTally::default(),
        }
    }

    /// Who is there at an instant.
    pub(super) fn body(&self, at: Instant) -> &Body {
        &self.bodies[self.day(at).min(self.bodies.len() - 1)]
    }

    fn day(&self, at: Instant) -> usize {
        let day = usize::try_from(at.get().div_euclid(DAY)).unwrap_or(0);
        day.min(self.running_means.len() - 1)
    }

    /// Counts the PMV of an instant.
    pub(super) fn add(&mut self, at: Instant, pmv: f64, felt: Felt) {
        let day = self.day(at);
        self.count += 1;
        self.sum += pmv;
        let sample = Sample { pmv, felt, day };
        if pmv < self.lowest.pmv {
            self.lowest = sample;
        }
        if pmv > self.highest.pmv {
            self.highest = sample;
        }
        self.dissatisfied += predicted_percentage_dissatisfied(pmv);
        self.felt.air += felt.air;
        self.felt.operative += felt.operative;
        self.felt.vapour += felt.vapour;
        self.clo += self.comfort.clothing.on(self.running_means[day]);
        self.adaptive.add(felt.operative, self.running_means[day]);
    }

    /// The figures so far.
    pub(super) fn figures(&self, unit: TemperatureUnit, step: Seconds) -> Option<ComfortFigures> {
        let count = self.count as f64;
        let hours = BETWEEN_PMVS.in_hours().max(step.in_hours());
        (self.count > 0).then(|| ComfortFigures {
            mean_pmv: self.sum / count,
            lowest_pmv: self.lowest.pmv,
            highest_pmv: self.highest.pmv,
            ppd_percent: self.dissatisfied / count,
            effective: TemperatureFigures {
                min: unit.from_celsius(self.effective(self.lowest)),
                mean: unit.from_celsius(self.mean_effective()),
                max: unit.from_celsius(self.effective(self.highest)),
            },
            adaptive: self.adaptive.figures(hours),
        })
    }

    fn effective(&self, sample: Sample) -> f64 {
        self.effective_of(sample.felt, self.comfort.clothing.on(self.running_means[sample.day]))
    }

    fn mean_effective(&self) -> f64 {
        let count = self.count as f64;
        let felt = Felt {
            air: self.felt.air / count,
            operative: self.felt.operative / count,
            vapour: self.felt.vapour / count,
        };
        self.effective_of(felt, self.clo / count)
    }

    fn effective_of(&self, felt: Felt, clo: f64) -> f64 {
        let Felt { air, operative, vapour } = felt;
        standard_effective_temperature(&Surroundings {
            air,
            mean_radiant: mean_radiant(air, operative),
            air_speed: self.comfort.air_speed,
            humidity: humidity_of(air, vapour),
            met: self.comfort.met,
            clo,
        })
    }
}
