//! Phase 4 of a step: what the plants give over it.

use super::model::ZoneIndex;
use super::observe::{Observer, ZonePower};
use super::output::drive;
use super::step::Simulation;
use super::trace::Event;
use crate::control::{Call, Mode, Selection};
use crate::direction::Direction;
use crate::plant::{Ask, Given};
use crate::time::Instant;

impl Simulation<'_> {
    /// Serves the calls of every group.
    pub(super) fn serve(&mut self, now: Instant, observer: &mut impl Observer) {
        for at in 0..self.plan.groups.len() {
            match self.plan.groups[at].outdoor {
                Some(_) => self.serve_from_outdoor_unit(at, now),
                None if self.plan.groups[at].ideal => {}
                None => {
                    self.scratch.totals[at].reversing = false;
                    let zone = self.plan.groups[at].members[0];
                    let given = self.ask(zone, now).map(|ask| self.own_plant(at, zone, ask, now));
                    self.power(zone, given.unwrap_or_default(), 0.0);
                }
            }
        }
        self.serve_ideally(now, observer);
        for at in 0..self.plan.groups.len() {
            self.note_served(at, now, observer);
        }
    }

    /// What a zone's own plant gives: it reverses where it worked the other way last.
    fn own_plant(&mut self, at: usize, zone: usize, ask: Ask, now: Instant) -> Given {
        let step = self.plan.model.period.step();
        let turned = self.state.logic[zone].state.last_served() == Some(ask.direction.opposite());
        let reversal = self.plan.model.zones[zone].unit.reversal_time;
        let memory = &mut self.state.zones[zone].unit;
        let reversing = memory.reversing_part(turned, reversal, now, step);
        self.scratch.totals[at].reversing = reversing > 0.0;
        ask.from_own_plant(self.per_heat(zone, ask.direction), reversing)
    }

    /// Electric power of a zone's own plant for a watt of heat over the step.
    pub(super) fn per_heat(&self, zone: usize, direction: Direction) -> f64 {
        let of = self.plan.zones[zone].per_heat[direction as usize];
        self.scratch.drivers.power_from(of, self.scratch.place).at(0)
    }

    /// What a zone with a call asks its plant for.
    fn ask(&mut self, zone: usize, now: Instant) -> Option<Ask> {
        let logic = &self.state.logic[zone];
        let Call::On { direction, served_since } = logic.state.call() else { return None };
        let unit = &self.plan.model.zones[zone].unit;
        let drive = drive(logic, &self.state.zones[zone], direction);
        let since_start = now.since(served_since.unwrap_or(now)).get() as f64;
        let step = self.plan.model.period.step().get() as f64;
        let sensible = self.sensible_share(zone, direction);
        let lowest = unit.lowest(since_start, step);
        let output = unit.output(drive, self.is_dry(zone), lowest);
        let (power, plan) = (unit.power_over_output(drive), &self.plan.zones[zone]);
        let memory = &mut self.state.zones[zone].unit;
        if served_since.is_none() {
            memory.lacking = 1.0;
        }
        let rise = plan.rise.delivered(memory.lacking);
        memory.lacking = plan.rise.after(memory.lacking);
        let share = unit.rated(direction) * output / sensible;
        Some(Ask { direction, share, sensible, rise, power, full: output >= 1.0 })
    }

    fn serve_from_outdoor_unit(&mut self, at: usize, now: Instant) {
        let Some(outdoor) = self.plan.groups[at].outdoor else { return };
        let members = std::mem::take(&mut self.plan.groups[at].members);
        let mut asks = std::mem::take(&mut self.scratch.asks);
        let mut given = std::mem::take(&mut self.scratch.given);
        asks.clear();
        asks.extend(members.iter().map(|&zone| self.ask(zone, now)));
        given.clear();
        given.resize(members.len(), Given::default());
        let air = self.scratch.drivers.outdoor(self.scratch.place).at_middle;
        let memory = &mut self.state.groups[at].outdoor;
        let step = self.plan.model.period.step();
        self.scratch.totals[at] = outdoor.unit.serve(memory, &asks, air, now, step, &mut given);
        self.plan.groups[at].members = members;
        for (place, given) in given.iter().enumerate() {
            let zone = self.plan.groups[at].members[place];
            self.power(zone, *given, self.standby(zone));
        }
        self.scratch.asks = asks;
        self.scratch.given = given;
    }

    /// Writes down what a zone's plant does, and what its fan does with it.
    pub(super) fn power(&mut self, zone: usize, given: Given, standby: f64) {
        let logic = &self.state.logic[zone];
        let served = logic.state.call().direction().filter(|_| given.served);
        let runs = if served.is_some() { 1.0 } else { self.fan_between_calls(zone) };
        let fan = self.plan.model.zones[zone].unit.fan * runs;
        let group = &self.state.groups[self.plan.zones[zone].group];
        let starved = group.state.starves(&group.settings, logic);
        let reversing = self.scratch.totals[self.plan.zones[zone].group].reversing;
        self.scratch.powers[zone] = ZonePower { given, served, fan, standby, starved, reversing };
        self.state.zones[zone].unit.fan_ran = runs > 0.0;
    }

    /// At which part of its power the fan of a zone runs over the step without a call.
    pub(super) fn fan_between_calls(&self, zone: usize) -> f64 {
        match self.state.logic[zone].selection {
            Selection::Off => 0.0,
            Selection::On(Mode::Fan) => 1.0,
            Selection::On(_) => {
                let (model, now) = (self.plan.model, self.state.now);
                model.zones[zone].unit.fan_run.between_calls(now, model.period.step())
            }
        }
    }

    /// Tells thermostats and group what was served, and counts changeovers.
    fn note_served(&mut self, at: usize, now: Instant, observer: &mut impl Observer) {
        let end = now + self.plan.model.period.step();
        let mut group_served: Option<Direction> = None;
        for place in 0..self.plan.groups[at].members.len() {
            let zone = self.plan.groups[at].members[place];
            let served = self.scratch.powers[zone].served;
            self.state.zones[zone].served = served;
            let Some(direction) = served else { continue };
            group_served = served;
            if self.state.logic[zone].state.note_served(direction, now, end) {
                self.event(zone, now, Event::Changeover { to: direction }, observer);
            }
        }
        let memory = &mut self.state.groups[at];
        if let Some(direction) = group_served {
            memory.state.note_served(direction, end);
        }
    }

    /// The zone's index as observers get it.
    pub(super) fn index(zone: usize) -> ZoneIndex {
        ZoneIndex::new(zone)
    }
}
