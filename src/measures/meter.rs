//! Adds a run up while it goes on, in constant memory.

use super::bill::{BillFigures, BillTally};
use super::demand::DemandTally;
use super::energy_tally::EnergyTally;
use super::energy_use::EnergyUse;
use super::people_tally::{PersonFigures, PersonTally};
use super::seasonal::Seasonal;
use super::summary::{GroupFigures, OutdoorFigures, PeriodFigures, Summary};
use super::zone_tally::ZoneTally;
use crate::control::{Outcome, ZoneLogic};
use crate::direction::Direction;
use crate::engine::{
    Entry, Event, GroupView, LedgerRow, Model, Observer, OutdoorGroup, PersonView, UnitInterval,
    Zone, ZoneIndex, ZoneView,
};
use crate::people::{Lived, PersonIndex};
use crate::time::Instant;

/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// An observer that adds up.
#[derive(Clone, Debug)]
pub struct Meter<'m> {
    pub(super) model: &'m Model,
    pub(super) zones: Vec<ZoneTally>,
    people: Vec<PersonTally>,
    pub(super) bill: BillTally<'m>,
    /// The outdoor units, in their order in the model.
    outdoor_units: Vec<OutdoorTally>,
    group_changeovers: u64,
    pub(super) demand: DemandTally,
}

#[derive(Clone, Copy, Debug, Default)]
struct OutdoorTally {
    changeovers: u64,
    starts: u64,
    recovered: f64,
}

impl<'m> Meter<'m> {
    /// A meter at zero.
    pub fn new(model: &'m Model) -> Self {
        let running_means = model.almanac.running_means(&model.weather, &model.period);
        let tally = |zone: &Zone| ZoneTally::new(&zone.comfort, &running_means);
        Self {
            model,
            zones: model.zones.iter().map(tally).collect(),
            people: vec![PersonTally::default(); model.people.len()],
            bill: BillTally::new(model),
            outdoor_units: vec![OutdoorTally::default(); model.outdoor_units.len()],
            group_changeovers: 0,
            demand: DemandTally::new(model.zones.len()),
        }
    }

    /// The figures of the run so far.
    pub fn summary(&self, warmup_days: u32) -> Summary {
        let model = self.model;
        let step = model.period.step();
        let BillFigures { highest_kw, carbon_kg, bill } = self.bill.figures();
        let zones = model.zones.iter().zip(&self.zones);
        Summary {
            title: model.title.clone(),
            variant: model.variant.clone(),
            seed: model.seed,
            temperature_unit: model.unit.letter().to_string(),
            period: PeriodFigures {
                from: model.period.timestamp(Instant::START),
                hours: self.hours(),
                step_s: step.get(),
                warmup_days,
            },
            energy: EnergyUse {
                peak_kw: highest_kw,
                cost: bill.as_ref().map(|bill| bill.energy + bill.demand),
                carbon_kg,
                ..self.energy_use()
            },
            bill,
            group: self.group_figures(),
            zones: zones
                .map(|(zone, tally)| (zone.id.clone(), tally.figures(model.unit, step)))
                .collect(),
            seasonal: Seasonal::default(),
            people: self.people_figures(),
        }
    }

    fn people_figures(&self) -> Vec<PersonFigures> {
        let model = self.model;
        let people = model.people.iter().zip(&self.people);
        let figures = people.map(|(person, tally)| {
            let zone = &model.zones[person.zone.get()].id;
            tally.figures(person, zone, model.period.step())
        });
        figures.collect()
    }

    fn hours(&self) -> f64 {
        let steps = self.zones.first().map_or(0, |zone| zone.steps);
        steps as f64 * self.model.period.step().in_hours()
    }

    fn kwh(&self, power: f64) -> f64 {
        power * self.model.period.step().get() as f64 / JOULES_PER_KWH
    }

    /// Without what the tariff and the clock make of it.
    fn energy_use(&self) -> EnergyUse {
        let mut energy = EnergyTally::default();
        for zone in &self.zones {
            energy.add_all(&zone.energy);
        }
        let [heating_kwh, cooling_kwh] = energy.compressor.map(|power| self.kwh(power));
        let [heat_delivered_kwh, heat_removed_kwh] = energy.moved.map(|power| self.kwh(power));
        let (fan_kwh, backup_kwh) = (self.kwh(energy.fan), self.kwh(energy.backup));
        let standby_kwh = self.kwh(energy.standby);
        let total_kwh = heating_kwh + cooling_kwh + fan_kwh + backup_kwh + standby_kwh;
        // An empty sum of floats is -0.
        let recovered = self.outdoor_units.iter().fold(0.0, |sum, unit| sum + unit.recovered);
        EnergyUse {
            heating_kwh,
            cooling_kwh,
            fan_kwh,
            backup_kwh,
            standby_kwh,
            total_kwh,
            heat_delivered_kwh,
            heat_removed_kwh,
            heat_recovered_kwh: self.kwh(recovered),
            ..EnergyUse::default()
        }
    }

    fn group_figures(&self) -> GroupFigures {
        let opposed: f64 = self.zones.iter().map(|zone| zone.opposed.matched()).sum();
        let units = self.model.outdoor_units.iter().zip(&self.outdoor_units);
        GroupFigures {
            changeovers: self.group_changeovers,
            mixed_demand_hours: self.demand.mixed_steps() as f64
                * self.model.period.step().in_hours(),
            opposed_kwh: opposed / JOULES_PER_KWH,
            outdoor_units: units
                .map(|(group, tally)| (group.id.clone(), self.outdoor_figures(group, tally)))
                .collect(),
        }
    }

    fn outdoor_figures(&self, group: &OutdoorGroup, tally: &OutdoorTally) -> OutdoorFigures {
        let ratio = |direction: Direction| {
            let zones = group.zones.iter().map(|zone| &self.model.zones[zone.get()]);
            let connected: f64 = zones.map(|zone| zone.unit.rated(direction)).sum();
            let table = match direction {
                Direction::Heating => &group.unit.heating,
                Direction::Cooling => &group.unit.cooling,
            };
            table.as_ref().map(|table| connected / table.largest_capacity())
        };
        OutdoorFigures {
            changeovers: tally.changeovers,
            compressor_starts: tally.starts,
            starts_per_hour: tally.starts as f64 / self.hours(),
            connected_heating_ratio: ratio(Direction::Heating),
            connected_cooling_ratio: ratio(Direction::Cooling),
            heat_recovered_kwh: self.kwh(tally.recovered),
        }
    }

    /// Adds what an outdoor unit does over an interval.
    pub(super) fn add_unit(&mut self, unit: &UnitInterval<'_>) {
        if let Some(tally) = self.outdoor_units.get_mut(unit.group) {
            tally.starts += unit.starts;
            unit.recovered.iter().for_each(|heat| tally.recovered += heat);
        }
    }

    /// Adds what somebody goes through in an interval.
    pub(super) fn add_person(&mut self, person: PersonIndex, lived: &Lived) {
        self.people[person.get()].add_all(lived);
    }

    /// Notes which start conditions a zone meets at this step.
    fn note_demand(&mut self, logic: &ZoneLogic) {
        if logic.selection.is_awake() {
            for direction in Direction::BOTH {
                self.demand.note(direction, u64::from(logic.meets_start(direction)));
            }
        }
    }
}

impl Observer for Meter<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let (place, model) = (view.zone.get(), self.model);
        self.bill.begin(view.at);
        let (so_far, step) = (self.bill.so_far(place), model.period.step());
        let power = self.zones[place].add(view, &model.zones[place], model.humidity, step, so_far);
        self.bill.set(0, place, power);
        if self.zones.len() > 1 {
            self.note_demand(view.logic);
        }
    }

    fn group(&mut self, view: &GroupView<'_>) {
        self.group_changeovers += u64::from(view.changed_over);
        if let Some(unit) = self.outdoor_units.get_mut(view.group) {
            unit.changeovers += u64::from(view.changed_over);
            unit.starts += u64::from(view.totals.started);
            unit.recovered += view.totals.recovered;
        }
        if view.group + 1 == view.state.groups.len() {
            self.demand.end(1);
        }
    }

    fn ledger(&mut self, row: LedgerRow) {
        let tally = &mut self.zones[row.zone.get()];
        match row.entry {
            Entry::Event(Event::Changeover { .. }) => tally.changeovers += 1,
            Entry::Event(_) => {}
            Entry::Request { outcome, .. } => tally.count(outcome),
        }
    }

    fn call_began(&mut self, zone: ZoneIndex, _: Instant) {
        self.zones[zone.get()].unit_starts += 1;
    }

    fn person(&mut self, view: &PersonView) {
        self.people[view.person.get()].add(view);
    }

    fn person_pressed(&mut self, person: PersonIndex, outcome: Outcome) {
        self.people[person.get()].press(outcome);
    }
}
