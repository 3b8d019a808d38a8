//! Adds up what one zone does.

use std::sync::Arc;

use super::comfort::vapour_in;
use super::damp_tally::DampTally;
use super::energy_tally::EnergyTally;
use super::opposed::Opposed;
use super::pmv_tally::{BETWEEN_PMVS, Felt, PmvTally};
use super::sums::{Band, Extent, Sums, ZoneStep};
use super::unmet::{Circumstances, UnmetSteps};
use super::zone_figures::{RequestCounts, TemperatureFigures, ZoneFigures};
use crate::building::mean_radiant;
use crate::control::{Outcome, WorkingSetpoints};
use crate::direction::Direction;
use crate::engine::{Comfort, Humidity, Zone, ZoneView};
use crate::time::{Instant, Seconds};
use crate::units::TemperatureUnit;

/// Sums over the steps of one zone.
#[derive(Clone, Debug)]
pub(super) struct ZoneTally {
    pub(super) steps: u64,
    pub(super) changeovers: u64,
    pub(super) unit_starts: u64,
    pub(super) opposed: Opposed,
    pub(super) energy: EnergyTally,
    pub(super) served_steps: [u64; 2],
    pub(super) starvation: Starvation,
    pub(super) occupied_steps: u64,
    pub(super) outside_steps: u64,
    /// Kelvin, summed over steps outside.
    outside_degrees: f64,
    pub(super) unmet: UnmetSteps,
    air: Extent,
    /// Operative temperature while occupied.
    operative: Extent,
    pub(super) pmvs: PmvTally,
    damp: DampTally,
    requests: RequestCounts,
}

/// Steps in which a zone is starved.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Starvation {
    steps: u64,
    /// Degrees of the file's unit beyond the setpoint that is missed, summed over starved steps.
    degrees: f64,
    /// Steps of the spell under way.
    spell: u64,
    longest_spell: u64,
}

impl Starvation {
    /// A step in which the zone is not starved.
    pub(super) fn end_spell(&mut self) {
        self.spell = 0;
    }

    /// A step in which it is, at a sensed temperature.
    pub(super) fn add(&mut self, sensed: f64, at: WorkingSetpoints) {
        self.spell += 1;
        self.longest_spell = self.longest_spell.max(self.spell);
        self.steps += 1;
        self.degrees += (at.heat - sensed).max(sensed - at.cool).max(0.0);
    }
}

impl ZoneTally {
    /// Nothing yet, on days with these running means outdoors.
    pub(super) fn new(comfort: &Comfort, running_means: &Arc<[f64]>) -> Self {
        Self {
            steps: 0,
            changeovers: 0,
            unit_starts: 0,
            opposed: Opposed::default(),
            energy: EnergyTally::default(),
            served_steps: [0; 2],
            starvation: Starvation::default(),
            occupied_steps: 0,
            outside_steps: 0,
            outside_degrees: 0.0,
            unmet: UnmetSteps::default(),
            air: Extent::NOTHING,
            operative: Extent::NOTHING,
            pmvs: PmvTally::new(comfort, running_means),
            damp: DampTally::default(),
            requests: RequestCounts::default(),
        }
    }

    /// Takes out what steps add to, for steps from `at` on that serve one direction at most;
    /// `power` is what the present span of the bill has, W.
    #[inline]
    pub(super) fn sums(&self, direction: Direction, at: Instant, power: f64) -> Sums {
        Sums {
            air: self.air,
            operative: self.operative,
            outside_degrees: self.outside_degrees,
            compressor: self.energy.compressor[direction as usize],
            moved: self.energy.moved[direction as usize],
            fan: self.energy.fan,
            standby: self.energy.standby,
            power,
            heat: self.opposed.in_bin(direction, at),
        }
    }

    /// Puts back what steps have added to; spans of the bill and bins of opposed heat are told
    /// apart from it.
    #[inline]
    pub(super) fn set_sums(&mut self, direction: Direction, sums: &Sums) {
        self.air = sums.air;
        self.operative = sums.operative;
        self.outside_degrees = sums.outside_degrees;
        self.energy.compressor[direction as usize] = sums.compressor;
        self.energy.moved[direction as usize] = sums.moved;
        self.energy.fan = sums.fan;
        self.energy.standby = sums.standby;
    }

    /// Adds one step, and its electric power to that of the present span of the bill, W.
    pub(super) fn add(
        &mut self,
        view: &ZoneView<'_>,
        zone: &Zone,
        humidity: Humidity,
        step: Seconds,
        span_power: f64,
    ) -> f64 {
        let served = view.power.served;
        let direction = served.unwrap_or(view.logic.state.direction());
        let mut sums = self.sums(direction, view.at, span_power);
        sums.add(&one_step(view, step));
        if view.state.presence.is_occupied() {
            self.add_comfort(&mut sums, view, zone);
            self.add_pmv(view, humidity);
        }
        self.set_sums(direction, &sums);
        self.steps += 1;
        if served.is_some() {
            self.served_steps[direction as usize] += 1;
            self.energy.backup += view.power.given.backup;
            self.opposed.set_bin(direction, view.at, sums.heat);
        }
        if view.power.starved {
            self.starvation.add(view.logic.sensed, view.logic.working);
        } else {
            self.starvation.end_spell();
        }
        self.damp.add(view, step);
        sums.power
    }

    #[inline]
    fn add_comfort(&mut self, sums: &mut Sums, view: &ZoneView<'_>, zone: &Zone) {
        let (low, high) = zone.comfort.counted();
        let band = Band { low, high };
        let found = sums.add_comfort(view.operative(), band, true);
        self.occupied_steps += 1;
        if found.outside {
            self.outside_steps += 1;
            let needed = if found.cold { Direction::Heating } else { Direction::Cooling };
            self.unmet.add(1, &Circumstances::of(view, needed));
        }
    }

    fn add_pmv(&mut self, view: &ZoneView<'_>, humidity: Humidity) {
        if view.at.get() % BETWEEN_PMVS.get() != 0 {
            return;
        }
        let (air, operative) = (view.nodes[0], view.operative());
        if let Some(vapour) = vapour_in(air, view.vapour, humidity) {
            let pmv = self.pmvs.body(view.at).pmv(air, mean_radiant(air, operative), vapour);
            self.pmvs.add(view.at, pmv, Felt { air, operative, vapour });
        }
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
        let occupied = self.occupied_steps;
        ZoneFigures {
            changeovers: self.changeovers,
            unit_starts: self.unit_starts,
            served_hours: hours(self.served_steps.iter().sum()),
            served_hours_by_direction: self.served_steps.map(hours),
            starved_hours: hours(self.starvation.steps),
            starved_degree_hours: self.starvation.degrees * step.in_hours(),
            longest_wait_hours: hours(self.starvation.longest_spell),
            hours_outside_band: hours(self.outside_steps),
            degree_hours_outside_band: unit.difference_from_kelvin(self.outside_degrees)
                * step.in_hours(),
            occupied_hours: hours(occupied),
            operative: (occupied > 0).then(|| temperatures(&self.operative, occupied, unit)),
            unmet_hours: self.unmet.hours(hours),
            comfort: self.pmvs.figures(unit, step),
            temperature: temperatures(&self.air, self.steps, unit),
            humidity: self.damp.figures(step),
            requests: self.requests.clone(),
        }
    }
}

/// One step of one zone.
#[inline]
fn one_step(view: &ZoneView<'_>, step: Seconds) -> ZoneStep<f64> {
    let power = view.power;
    let (compressor, heat) = match power.served {
        Some(_) => (power.given.compressor, power.given.heat),
        None => (0.0, 0.0),
    };
    ZoneStep {
        counts: true,
        new_span: false,
        new_bin: false,
        air: view.nodes[0],
        compressor,
        heat,
        fan: power.fan,
        standby: power.standby,
        electric: power.electric(),
        seconds: step.get() as f64,
    }
}

fn temperatures(of: &Extent, count: u64, unit: TemperatureUnit) -> TemperatureFigures {
    TemperatureFigures {
        min: unit.from_celsius(of.lowest),
        mean: unit.from_celsius(of.sum / count as f64),
        max: unit.from_celsius(of.highest),
    }
}
