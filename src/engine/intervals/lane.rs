//! One zone over an event-free interval: everything that stays as it is throughout.

use super::exchange::UnitStart;
use crate::building::{HeatGains, Network, ZonePropagator};
use crate::control::{Call, Keeping, ThermostatLanes};
use crate::direction::Direction;
use crate::engine::drivers::{OutdoorAir, PowerCourse, ZoneDriver};
use crate::engine::sensor::SensorBody;
use crate::engine::state::Starving;
use crate::engine::step::Simulation;
use crate::plant::{Rise, UnitControl};

/// One zone over an event-free interval.
#[derive(Clone, Copy)]
pub(super) struct Lane<'s> {
    /// Air and mass at its start, degrees C.
    pub nodes: [f64; 2],
    /// The sensor's body at its start, degrees C.
    pub body: f64,
    pub sensor: &'s SensorBody<f64>,
    /// How much warmer the sensor's place is than the air after a step without a call and after one
    /// that was served, K.
    pub warmer: [f64; 2],
    pub thermostat: &'s ThermostatLanes,
    /// At this sensed temperature, in the file's unit, or below it the low limit may act.
    pub low_limit: f64,
    pub service: &'s Service,
    /// What the units lack of their output at its start, if they have a call, and how they rise.
    pub lacking: f64,
    pub rise: &'s Rise,
    /// Electric power of the compressor for a watt of heat.
    pub per_heat: PowerCourse<'s>,
    pub propagator: &'s ZonePropagator,
    pub network: &'s Network,
    /// Whether its operative temperature counts: it counts as occupied, or somebody is there.
    pub occupied: bool,
    /// Whether it was served in the step before, and whether a call under way has been served at all.
    pub was_served: bool,
    pub has_been_served: bool,
    /// Length of a step, s.
    pub step: f64,
    /// What acts on it, from the interval's first step on.
    pub drivers: &'s [ZoneDriver],
    pub outdoors: &'s [OutdoorAir],
}

impl Lane<'_> {
    /// Internal and solar gains over a step, W; past the last step that is known, those over that.
    #[inline(always)]
    pub(super) fn gains(&self, step: usize) -> [f64; 2] {
        let HeatGains { internal, solar } = self.drivers[step.min(self.drivers.len() - 1)].gains;
        [internal, solar]
    }

    /// Outdoor air at the start and in the middle of a step, degrees C.
    #[inline(always)]
    pub(super) fn outdoor(&self, step: usize) -> [f64; 2] {
        let air = &self.outdoors[step.min(self.outdoors.len() - 1)];
        [air.at_start, air.at_middle]
    }
}

/// What the plant of a zone gives while it has a call, and its fan always.
#[derive(Clone, Copy, Debug)]
pub(super) struct Service {
    pub direction: Direction,
    /// Whether the plant is the zone's own.
    pub is_own: bool,
    /// The zone's part of the outdoor unit's standby power, W.
    pub standby: f64,
    /// One over the throttling range.
    pub per_degree: f64,
    pub turndown: f64,
    /// Rated capacity, W.
    pub rated: f64,
    /// At which part of its power the fan runs without a call.
    pub fan_rest: f64,
    /// Fan power without and with a call, W.
    pub fan: [f64; 2],
}

/// What a zone that may be event-free does from now on.
#[derive(Clone, Copy, Debug)]
pub(super) struct EventFree {
    pub thermostat: ThermostatLanes,
    pub service: Service,
}

impl Simulation<'_> {
    /// What a zone does from now on, if it may be event-free.
    pub(super) fn event_free(&self, zone: usize) -> Option<EventFree> {
        let state = &self.state.zones[zone];
        let quiet = !state.low_limit && !state.window.is_open();
        if state.lagged.is_none() || !quiet {
            return None;
        }
        let mut thermostat = self.thermostat_lane(zone)?;
        let service = self.service(zone, &mut thermostat)?;
        Some(EventFree { thermostat, service })
    }

    /// A zone as it goes through an event-free interval from now on.
    pub(super) fn lane<'s>(&'s self, zone: usize, event_free: &'s EventFree) -> Lane<'s> {
        let (plan, state) = (&self.plan.zones[zone], &self.state.zones[zone]);
        let EventFree { thermostat, service } = event_free;
        let (drivers, outdoors) = self.scratch.drivers.from(zone, self.scratch.place);
        let air = self.air_change(zone);
        let low_limit = self.plan.model.zones[zone].controls.low_limit;
        Lane {
            nodes: self.state.nodes[zone],
            body: state.lagged.unwrap_or(self.state.nodes[zone][0]),
            sensor: &plan.sensor.body,
            warmer: [
                plan.sensor.warmer((service.fan_rest > 0.0).then_some(service.direction)),
                plan.sensor.warmer(Some(service.direction)),
            ],
            thermostat,
            low_limit: low_limit.map_or(f64::NEG_INFINITY, |limit| limit.below),
            service,
            lacking: state.unit.lacking,
            rise: &plan.rise,
            per_heat: self
                .scratch
                .drivers
                .power_from(plan.per_heat[service.direction as usize], self.scratch.place),
            propagator: plan.propagator(air),
            network: plan.network(air),
            occupied: state.presence.is_occupied() || self.is_somebody_in(zone),
            was_served: state.served.is_some(),
            has_been_served: matches!(
                self.state.logic[zone].state.call(),
                Call::On { served_since: Some(_), .. }
            ),
            step: self.plan.model.period.step().get() as f64,
            drivers,
            outdoors,
        }
    }

    /// The thermostat of a zone, if its group and plant go along with it.
    fn thermostat_lane(&self, zone: usize) -> Option<ThermostatLanes> {
        let (logic, plan) = (&self.state.logic[zone], &self.plan.zones[zone]);
        let (group, state) = (&self.state.groups[plan.group], &self.state.zones[zone]);
        let direction = logic.state.direction();
        let shares = self.shares_plant(zone);
        let starved = state.starving != Starving::No;
        let of = (&group.state, &group.settings);
        let keeping = Keeping::of(of, plan.place, logic, starved, shares)?;
        let (thermostat, working) = (&logic.thermostat, logic.working);
        let mut lane = logic.state.lane(thermostat, &keeping, working, self.state.now)?;
        // The first service after the group has turned is a changeover of its own.
        if group.last_served == Some(direction.opposite()) {
            if lane.is_on() {
                return None;
            }
            lane.report_start();
        }
        let served_alike = match state.served {
            Some(served) => served == direction && (shares || lane.is_on()),
            None => shares || !lane.is_on(),
        };
        served_alike.then_some(lane)
    }

    /// Whether a zone's plant is an outdoor unit of several.
    fn shares_plant(&self, zone: usize) -> bool {
        self.plan.groups[self.plan.zones[zone].group].outdoor.is_some()
    }

    /// A zone's part of the standby power of its outdoor unit, W.
    pub(in crate::engine) fn standby(&self, zone: usize) -> f64 {
        let group = &self.plan.groups[self.plan.zones[zone].group];
        let outdoor = group.outdoor.filter(|_| self.state.zones[zone].dark_until.is_none());
        outdoor.map_or(0.0, |outdoor| outdoor.unit.standby / group.members.len() as f64)
    }

    /// The outdoor unit of a group before the next step, if it has one.
    pub(super) fn unit_start(&self, group: usize) -> Option<UnitStart<'_>> {
        let memory = &self.state.groups[group];
        Some(UnitStart {
            unit: &self.plan.groups[group].outdoor?.unit,
            outdoors: self.scratch.drivers.air_from(self.scratch.place),
            memory: memory.outdoor,
            min_off: memory.settings.min_off,
            served_until: memory.state.any_served_until(),
            from: self.state.now,
            step: self.plan.model.period.step(),
        })
    }

    /// What the plant gives on a call. None where a unit that has just started cannot go down to its
    /// turndown yet, or its circuit reverses; where either might come to be, no call starts here.
    fn service(&self, zone: usize, thermostat: &mut ThermostatLanes) -> Option<Service> {
        let (logic, model) = (&self.state.logic[zone], &self.plan.model.zones[zone]);
        let (unit, direction) = (&model.unit, logic.state.direction());
        let (now, step) = (self.state.now, self.plan.model.period.step().get() as f64);
        let (memory, call) = (&self.state.zones[zone].unit, logic.state.call());
        // Stages and integral action remember what they did in the step before.
        if unit.control.has_memory() {
            if call.direction().is_some() {
                return None;
            }
            thermostat.report_start();
        }
        let held = unit.lowest(0.0, step) > unit.lowest(f64::INFINITY, step);
        if held || memory.reverses(now) {
            thermostat.report_start();
        }
        if let Call::On { served_since, .. } = call {
            let since = now.since(served_since.unwrap_or(now)).get() as f64;
            let is_held = unit.lowest(since, step) > unit.lowest(f64::INFINITY, step);
            if is_held || memory.reverses(now) {
                return None;
            }
        }
        // Where output does not grow with the distance it stays at turndown.
        let (per_degree, turndown) = match unit.control {
            UnitControl::Modulating { turndown, .. } if self.is_dry(zone) => (0.0, turndown),
            UnitControl::Modulating { turndown, throttling_range, .. } => {
                (1.0 / throttling_range, turndown)
            }
            UnitControl::Staged { .. } => (0.0, 1.0),
            UnitControl::Ideal => return None,
        };
        let fan_rest = self.fan_between_calls(zone);
        let ran = self.state.zones[zone].served.is_some() || fan_rest > 0.0;
        if self.plan.zones[zone].sensor.is_in_return_air() && memory.fan_ran != ran {
            return None;
        }
        Some(Service {
            direction,
            is_own: !self.shares_plant(zone),
            standby: self.standby(zone),
            per_degree,
            turndown,
            rated: unit.rated(direction),
            fan_rest,
            fan: [unit.fan * fan_rest, unit.fan],
        })
    }
}
