//! Adds up what one zone does.

use super::comfort::{Body, vapour_in};
use super::damp_tally::DampTally;
use super::energy_tally::EnergyTally;
use super::opposed::Opposed;
use super::summary::{ComfortFigures, RequestCounts, TemperatureFigures, ZoneFigures};
use super::unmet::{Circumstances, UnmetSteps};
use crate::building::mean_radiant;
use crate::control::Outcome;
use crate::direction::Direction;
use crate::engine::{Comfort, Humidity, ZoneView};
use crate::people::predicted_percentage_dissatisfied;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// Time between two samples of the PMV, which changes slowly.
pub(super) const BETWEEN_PMVS: Seconds = Seconds::minutes(15);

/// Sums over the steps of one zone.
#[derive(Clone, Debug)]
pub(super) struct ZoneTally {
    pub(super) steps: u64,
    pub(super) changeovers: u64,
    pub(super) unit_starts: u64,
    pub(super) opposed: Opposed,
    pub(super) energy: EnergyTally,
    pub(super) served_steps: [u64; 2],
    starved_steps: u64,
    /// Degrees of the file's unit, summed over starved steps.
    starved_degrees: f64,
    pub(super) wait: u64,
    longest_wait: u64,
    pub(super) outside_steps: u64,
    /// Kelvin, summed over steps outside.
    pub(super) outside_degrees: f64,
    pub(super) unmet: UnmetSteps,
    pub(super) air: Extent,
    /// Operative temperature while occupied.
    pub(super) operative: Extent,
    pub(super) pmvs: PmvTally,
    damp: DampTally,
    requests: RequestCounts,
}

/// Lowest, highest and sum of a temperature, degrees C.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    pub(super) count: u64,
    pub(super) lowest: f64,
    pub(super) highest: f64,
    pub(super) sum: f64,
}

impl Extent {
    const NOTHING: Self =
        Self { count: 0, lowest: f64::INFINITY, highest: f64::NEG_INFINITY, sum: 0.0 };

    fn add(&mut self, value: f64) {
        self.count += 1;
        self.lowest = self.lowest.min(value);
        self.highest = self.highest.max(value);
        self.sum += value;
    }

    fn figures(&self, unit: TemperatureUnit) -> TemperatureFigures {
        TemperatureFigures {
            min: unit.from_celsius(self.lowest),
            mean: unit.from_celsius(self.sum / self.count as f64),
            max: unit.from_celsius(self.highest),
        }
    }
}

#[derive(Clone, Copy, Debug)]
pub(super) struct PmvTally {
    body: Body,
    count: u64,
    sum: f64,
    lowest: f64,
    highest: f64,
    dissatisfied: f64,
}

impl ZoneTally {
    /// Nothing yet.
    pub(super) fn new(comfort: &Comfort) -> Self {
        Self {
            steps: 0,
            changeovers: 0,
            unit_starts: 0,
            opposed: Opposed::default(),
            energy: EnergyTally::default(),
            served_steps: [0; 2],
            starved_steps: 0,
            starved_degrees: 0.0,
            wait: 0,
            longest_wait: 0,
            outside_steps: 0,
            outside_degrees: 0.0,
            unmet: UnmetSteps::default(),
            air: Extent::NOTHING,
            operative: Extent::NOTHING,
            pmvs: PmvTally::new(comfort),
            damp: DampTally::default(),
            requests: RequestCounts::default(),
        }
    }

    /// Adds one step.
    pub(super) fn add(
        &mut self,
        view: &ZoneView<'_>,
        comfort: &Comfort,
        humidity: Humidity,
        step: Seconds,
    ) {
        self.steps += 1;
        self.energy.add(view.power);
        self.air.add(view.nodes[0]);
        if let Some(direction) = view.power.served {
            self.served_steps[direction as usize] += 1;
            let heat = view.power.given.heat * step.get() as f64;
            self.opposed.add(direction, view.at, heat);
        }
        self.add_wait(view);
        self.damp.add(view, step);
        if view.state.presence.is_occupied() {
            self.add_comfort(view, comfort);
            if view.at.get() % BETWEEN_PMVS.get() == 0 {
                let (air, operative) = (view.nodes[0], view.operative());
                if let Some(vapour) = vapour_in(air, view.vapour, humidity) {
                    let body = self.pmvs.body();
                    self.pmvs.add(body.pmv(air, mean_radiant(air, operative), vapour));
                }
            }
        }
    }

    fn add_wait(&mut self, view: &ZoneView<'_>) {
        if !view.power.starved {
            self.wait = 0;
            return;
        }
        self.wait += 1;
        self.longest_wait = self.longest_wait.max(self.wait);
        self.starved_steps += 1;
        let (sensed, at) = (view.logic.sensed, view.logic.working);
        self.starved_degrees += (at.heat - sensed).max(sensed - at.cool).max(0.0);
    }

    fn add_comfort(&mut self, view: &ZoneView<'_>, comfort: &Comfort) {
        let operative = view.operative();
        self.operative.add(operative);
        let (low, high) = comfort.counted();
        let (below, above) = (low - operative, operative - high);
        if below <= 0.0 && above <= 0.0 {
            return;
        }
        self.outside_steps += 1;
        self.outside_degrees += below.max(above);
        let needed = if below > 0.0 { Direction::Heating } else { Direction::Cooling };
        self.unmet.add(1, &Circumstances::of(view, needed));
    }

    /// Counts a request.
    pub(super) fn count(&mut self, outcome: Outcome) {
        let counts = &mut self.requests;
        *match outcome {
            Outcome::Accepted => &mut counts.accepted,
            Outcome::Pushed => &mut counts.pushed,
            Outcome::Limited => &mut counts.limited,
            Outcome::Refused => &mut counts.refused,
            Outcome::NoEffect => &mut counts.no_effect,
        } += 1;
    }

    /// The figures so far.
    pub(super) fn figures(&self, unit: TemperatureUnit, step: Seconds) -> ZoneFigures {
        let hours = |steps: u64| steps as f64 * step.in_hours();
        ZoneFigures {
            changeovers: self.changeovers,
            unit_starts: self.unit_starts,
            served_hours: hours(self.served_steps.iter().sum()),
            served_hours_by_direction: self.served_steps.map(hours),
            starved_hours: hours(self.starved_steps),
            starved_degree_hours: self.starved_degrees * step.in_hours(),
            longest_wait_hours: hours(self.longest_wait),
            hours_outside_band: hours(self.outside_steps),
            degree_hours_outside_band: unit.difference_from_kelvin(self.outside_degrees)
                * step.in_hours(),
            occupied_hours: hours(self.operative.count),
            operative: (self.operative.count > 0).then(|| self.operative.figures(unit)),
            unmet_hours: self.unmet.hours(hours),
            comfort: self.pmvs.figures(),
            temperature: self.air.figures(unit),
            humidity: self.damp.figures(step),
            requests: self.requests.clone(),
        }
    }
}

impl PmvTally {
    fn new(comfort: &Comfort) -> Self {
        Self {
            body: Body::new(comfort.met, comfort.clo, comfort.air_speed),
            count: 0,
            sum: 0.0,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            dissatisfied: 0.0,
        }
    }

    pub(super) const fn body(&self) -> &Body {
        &self.body
    }

    pub(super) fn add(&mut self, pmv: f64) {
        self.count += 1;
        self.sum += pmv;
        self.lowest = self.lowest.min(pmv);
        self.highest = self.highest.max(pmv);
        self.dissatisfied += predicted_percentage_dissatisfied(pmv);
    }

    fn figures(&self) -> Option<ComfortFigures> {
        let count = self.count as f64;
        (self.count > 0).then(|| ComfortFigures {
            mean_pmv: self.sum / count,
            lowest_pmv: self.lowest,
            highest_pmv: self.highest,
            ppd_percent: self.dissatisfied / count,
        })
    }
}
