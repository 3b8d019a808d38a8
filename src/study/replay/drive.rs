//! One run over the logged steps: what the log imposes, and what came of it step by step.

use super::record::Record;
use super::record::{ZoneRecord, zones};
use super::requests::LoggedRequest;
use crate::control::Outcome;
use crate::direction::Direction;
use crate::engine::{
    Entry, GroupView, Halt, Imposed, LedgerRow, Model, Observer, ZoneIndex, ZoneView, start_in,
};
use crate::time::Instant;

/// What setpoints, mode and power follow.
#[derive(Clone, Copy, Debug)]
pub(super) enum Follow<'a> {
    /// These, step by step, whatever anybody asks for.
    Series(&'a [ZoneRecord]),
    /// The file's own controls, of which the log's people ask this.
    Requests(&'a [LoggedRequest]),
    /// The file's own controls and requests.
    Own,
}

/// What is run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Drive<'a> {
    /// The days.
    pub model: &'a Model,
    /// What the log has of them.
    pub record: &'a Record,
    /// Air and mass at the first step, degrees C, zone by zone.
    pub start: &'a [[f64; 2]],
    /// Heat into the air that nothing explains, W, zone by zone and step by step; empty for none.
    pub heat: &'a [Vec<f64>],
    /// What setpoints, mode and power follow.
    pub follow: Follow<'a>,
}

/// What came of a run in one zone, step by step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ZoneCourse {
    /// What its sensor reports at the start of each step, in the file's unit.
    pub sensed: Vec<f64>,
    /// Whether its unit gives heat or takes it.
    pub running: Vec<bool>,
    /// The setpoints in force.
    pub setpoints: Vec<[f64; 2]>,
}

/// What came of a run, step by step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunCourse {
    /// Zone by zone.
    pub zones: Vec<ZoneCourse>,
    /// Electric power of all zones over each step, W.
    pub electric: Vec<f64>,
    /// Mean heat of each zone's plant, counted positive in either direction, W.
    pub plant: Vec<f64>,
    /// How many requests of the log ended in each way, in the order of [`Outcome::ALL`].
    pub outcomes: [usize; Outcome::ALL.len()],
}

struct Recorder(RunCourse);

impl Observer for Recorder {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let zone = view.zone.get();
        if zone == 0 {
            self.0.electric.push(0.0);
        }
        if let Some(sum) = self.0.electric.last_mut() {
            *sum += view.power.electric();
        }
        self.0.plant[zone] += view.power.heat().abs();
        let course = &mut self.0.zones[zone];
        course.sensed.push(view.logic.sensed);
        course.running.push(view.power.served.is_some());
        course.setpoints.push([view.logic.working.heat, view.logic.working.cool]);
    }

    fn group(&mut self, _: &GroupView<'_>) {}

    fn ledger(&mut self, row: LedgerRow) {
        if let Entry::Request { asker, outcome, .. } = &row.entry
            && &*asker.by == "log"
        {
            let place = Outcome::ALL.iter().position(|it| it == outcome).unwrap_or(0);
            self.0.outcomes[place] += 1;
        }
    }

    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

impl Drive<'_> {
    /// Runs it.
    pub(super) fn run(&self) -> RunCourse {
        let zones = self.model.zones.len();
        let mut recorder = Recorder(RunCourse {
            zones: vec![ZoneCourse::default(); zones],
            plant: vec![0.0; zones],
            ..RunCourse::default()
        });
        let steps = self.record.grid.count;
        self.observed(steps, &mut recorder);
        let mut course = recorder.0;
        course.plant.iter_mut().for_each(|sum| *sum /= steps as f64);
        course
    }

    /// Runs its first steps before an observer, and says why it ended before that, if so.
    pub(super) fn observed(&self, steps: usize, observer: &mut impl Observer) -> Option<Halt> {
        let Self { model, record, .. } = *self;
        let mut simulation = start_in(model, record.from, self.start.to_vec());
        if !self.heat.is_empty() {
            // The heat of people who were there is part of what was found in the log.
            simulation.leave_out_body_heat();
        }
        for zone in zones(model) {
            if let Some(direction) = self.runs_at_start(zone) {
                simulation.run_already(zone, direction);
            }
        }
        let mut due = 0;
        for step in 0..steps.min(record.grid.count) {
            for zone in zones(model) {
                simulation.impose(zone, self.imposed(zone.get(), step));
            }
            if let Follow::Requests(requests) = self.follow {
                let now = record.at(step);
                while let Some(request) = requests.get(due).filter(|it| it.at <= now) {
                    // One after the other: the second starts where the first has led.
                    let action = request.action(model, simulation.state());
                    simulation.act(&[action], observer);
                    due += 1;
                }
            }
            simulation.step(observer);
        }
        simulation.halt()
    }

    fn imposed(&self, zone: usize, step: usize) -> Imposed {
        let heat = self.heat.get(zone).map_or(0.0, |heat| heat[step]);
        let own = Imposed {
            heat: [heat, 0.0],
            occupied: self.record.zones[zone].occupied[step],
            ..Imposed::default()
        };
        let Follow::Series(series) = self.follow else { return own };
        let series = &series[zone];
        Imposed {
            heat_setpoint: series.heat[step],
            cool_setpoint: series.cool[step],
            mode: series.mode[step],
            power: series.power[step],
            ..own
        }
    }

    /// In which direction the unit of a zone runs at the first step, by the log: towards the setpoint
    /// that is nearer.
    fn runs_at_start(&self, zone: ZoneIndex) -> Option<Direction> {
        let record = &self.record.zones[zone.get()];
        let unit = &self.model.zones[zone.get()].unit;
        if record.running[0] != Some(true) {
            return None;
        }
        match (&unit.heating, &unit.cooling) {
            (Some(_), None) => return Some(Direction::Heating),
            (None, Some(_)) => return Some(Direction::Cooling),
            _ => {}
        }
        if let Some(only) = record.mode[0].and_then(crate::control::Mode::only_direction) {
            return Some(only);
        }
        let (air, heat, cool) = (record.temperature[0]?, record.heat[0]?, record.cool[0]?);
        let nearer_heat = air < f64::midpoint(heat, cool);
        Some(if nearer_heat { Direction::Heating } else { Direction::Cooling })
    }
}
