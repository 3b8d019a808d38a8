//! Adds a run up while it goes on, in constant memory.

use super::summary::{
    EnergyUse, GroupFigures, PeriodFigures, RequestCounts, Summary, TemperatureFigures, ZoneFigures,
};
use crate::control::{Mode, Outcome, Selection};
use crate::direction::Direction;
use crate::engine::{
    Entry, EventKind, GroupView, LedgerRow, Model, Observer, ZoneIndex, ZonePower, ZoneView,
};
use crate::time::Instant;

/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// An observer that adds up.
#[derive(Clone, Debug)]
pub struct Meter<'m> {
    model: &'m Model,
    zones: Vec<ZoneTally>,
    /// Sums of mean power over steps, W.
    energy: EnergyTally,
    group_changeovers: u64,
    mixed_steps: u64,
    /// Whether a zone that is awake meets its start condition at this step: heating, cooling.
    wanted: [bool; 2],
}

#[derive(Clone, Copy, Debug, Default)]
struct EnergyTally {
    compressor: [f64; 2],
    fan: f64,
    backup: f64,
    standby: f64,
    moved: [f64; 2],
    priced: f64,
}

#[derive(Clone, Debug)]
struct ZoneTally {
    changeovers: u64,
    unit_starts: u64,
    steps: u64,
    served_steps: u64,
    starved_steps: u64,
    outside_steps: u64,
    outside_degrees: f64,
    lowest: f64,
    highest: f64,
    sum: f64,
    requests: RequestCounts,
}

impl Default for ZoneTally {
    fn default() -> Self {
        Self {
            changeovers: 0,
            unit_starts: 0,
            steps: 0,
            served_steps: 0,
            starved_steps: 0,
            outside_steps: 0,
            outside_degrees: 0.0,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            sum: 0.0,
            requests: RequestCounts::default(),
        }
    }
}

impl<'m> Meter<'m> {
    /// A meter at zero.
    pub fn new(model: &'m Model) -> Self {
        Self {
            model,
            zones: vec![ZoneTally::default(); model.zones.len()],
            energy: EnergyTally::default(),
            group_changeovers: 0,
            mixed_steps: 0,
            wanted: [false; 2],
        }
    }

    /// The figures of the run so far.
    pub fn summary(&self, warmup_days: u32) -> Summary {
        let (model, steps) = (self.model, self.zones.first().map_or(0, |zone| zone.steps));
        let step = model.period.step();
        Summary {
            title: model.title.clone(),
            variant: model.variant.clone(),
            seed: model.seed,
            temperature_unit: model.unit.letter().to_string(),
            period: PeriodFigures {
                from: model.period.timestamp(Instant::START),
                hours: steps as f64 * step.in_hours(),
                step_s: step.get(),
                warmup_days,
            },
            energy: self.energy_use(),
            group: GroupFigures {
                changeovers: self.group_changeovers,
                mixed_demand_hours: self.mixed_steps as f64 * step.in_hours(),
            },
            zones: model
                .zones
                .iter()
                .zip(&self.zones)
                .map(|(zone, tally)| (zone.id.clone(), self.zone_figures(tally)))
                .collect(),
        }
    }

    fn energy_use(&self) -> EnergyUse {
        let energy = &self.energy;
        let kwh = |power: f64| power * self.model.period.step().get() as f64 / JOULES_PER_KWH;
        let [heating_kwh, cooling_kwh] = energy.compressor.map(kwh);
        let [heat_delivered_kwh, heat_removed_kwh] = energy.moved.map(kwh);
        let (fan_kwh, backup_kwh) = (kwh(energy.fan), kwh(energy.backup));
        let standby_kwh = kwh(energy.standby);
        let total_kwh = heating_kwh + cooling_kwh + fan_kwh + backup_kwh + standby_kwh;
        let tariff = self.model.tariff.as_ref();
        EnergyUse {
            heating_kwh,
            cooling_kwh,
            fan_kwh,
            backup_kwh,
            standby_kwh,
            total_kwh,
            heat_delivered_kwh,
            heat_removed_kwh,
            cost: tariff.map(|_| kwh(energy.priced)),
            carbon_kg: tariff.and_then(|tariff| tariff.carbon).map(|carbon| carbon * total_kwh),
        }
    }

    fn zone_figures(&self, tally: &ZoneTally) -> ZoneFigures {
        let unit = self.model.unit;
        let hours = |steps: u64| steps as f64 * self.model.period.step().in_hours();
        let degrees = unit.difference_from_kelvin(tally.outside_degrees);
        ZoneFigures {
            changeovers: tally.changeovers,
            unit_starts: tally.unit_starts,
            served_hours: hours(tally.served_steps),
            starved_hours: hours(tally.starved_steps),
            hours_outside_band: hours(tally.outside_steps),
            degree_hours_outside_band: degrees * self.model.period.step().in_hours(),
            temperature: TemperatureFigures {
                min: unit.from_celsius(tally.lowest),
                mean: unit.from_celsius(tally.sum / tally.steps as f64),
                max: unit.from_celsius(tally.highest),
            },
            requests: tally.requests.clone(),
        }
    }

    fn add_energy(&mut self, power: &ZonePower, at: Instant) {
        let energy = &mut self.energy;
        if let Some(direction) = power.served {
            energy.compressor[direction as usize] += power.given.compressor;
            energy.moved[direction as usize] += power.given.heat;
            energy.backup += power.given.backup;
        }
        energy.fan += power.fan;
        energy.standby += power.standby;
        if let Some(tariff) = &self.model.tariff {
            energy.priced += power.electric() * tariff.price.at(at);
        }
    }
}

impl ZoneTally {
    fn add(&mut self, view: &ZoneView<'_>, low: f64, high: f64) {
        let air = view.nodes[0];
        self.steps += 1;
        self.lowest = self.lowest.min(air);
        self.highest = self.highest.max(air);
        self.sum += air;
        self.served_steps += u64::from(view.power.served.is_some());
        self.starved_steps += u64::from(view.power.starved);
        if view.state.presence.is_occupied() {
            let operative = view.operative();
            let outside = (low - operative).max(operative - high);
            if outside > 0.0 {
                self.outside_steps += 1;
                self.outside_degrees += outside;
            }
        }
    }
}

impl Observer for Meter<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let comfort = &self.model.zones[view.zone.get()].comfort;
        self.zones[view.zone.get()].add(view, comfort.low, comfort.high);
        self.add_energy(view.power, view.at);
        if self.zones.len() > 1
            && !matches!(view.logic.selection, Selection::Off | Selection::On(Mode::Fan))
        {
            for direction in Direction::BOTH {
                self.wanted[direction as usize] |= view.logic.meets_start(direction);
            }
        }
    }

    fn group(&mut self, view: &GroupView<'_>) {
        self.group_changeovers += u64::from(view.changed_over);
        if view.group + 1 == view.state.groups.len() {
            self.mixed_steps += u64::from(self.wanted == [true; 2]);
            self.wanted = [false; 2];
        }
    }

    fn ledger(&mut self, row: LedgerRow) {
        let tally = &mut self.zones[row.zone.get()];
        match row.entry {
            Entry::Event(EventKind::Changeover) => tally.changeovers += 1,
            Entry::Event(_) => {}
            Entry::Request { outcome, .. } => {
                let counts = &mut tally.requests;
                let count = match outcome {
                    Outcome::Accepted => &mut counts.accepted,
                    Outcome::Pushed => &mut counts.pushed,
                    Outcome::Limited => &mut counts.limited,
                    Outcome::Refused => &mut counts.refused,
                    Outcome::NoEffect => &mut counts.no_effect,
                };
                *count += 1;
            }
        }
    }

    fn call_began(&mut self, zone: ZoneIndex, _: Instant) {
        self.zones[zone.get()].unit_starts += 1;
    }
}
