//! Phase 2 of a step: what the sensors report, and the low limit that acts on it at once.

use super::observe::Observer;
use super::step::Simulation;
use super::trace::Event;
use crate::control::LowLimit;
use crate::time::Instant;

impl Simulation<'_> {
    /// Reads every zone's governing sensor.
    pub(super) fn read_sensors(&mut self, now: Instant, observer: &mut impl Observer) {
        for (zone, plan) in self.plan.zones.iter().enumerate() {
            let (state, air) = (&mut self.state.zones[zone], self.state.nodes[zone][0]);
            let logic = &mut self.state.logic[zone];
            let ran = state.unit.fan_ran.then_some(logic.state.direction());
            let body = plan.sensor.follow(state.lagged, air, state.served.or(ran));
            state.lagged = Some(body);
            logic.sensed = plan.sensor.report(body);
        }
        for at in 0..self.plan.low_limits.len() {
            let (zone, limit) = self.plan.low_limits[at];
            self.guard(zone, limit, now, observer);
        }
    }

    fn guard(&mut self, zone: usize, limit: LowLimit, now: Instant, observer: &mut impl Observer) {
        if self.state.zones[zone].dark_until.is_some() {
            return;
        }
        let (sensed, active) = (self.state.logic[zone].sensed, self.state.zones[zone].low_limit);
        if !active && sensed < limit.below {
            self.state.zones[zone].low_limit = true;
            let event = Event::LowLimitFrom { sensed, below: limit.below };
            self.event(zone, now, event, observer);
        } else if active && sensed >= limit.until {
            self.state.zones[zone].low_limit = false;
            let event = Event::LowLimitUntil { sensed, until: limit.until };
            self.event(zone, now, event, observer);
        } else {
            return;
        }
        self.refresh(zone, now);
    }
}
