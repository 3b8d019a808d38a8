//! Optimum start (rule 11), part of phase 0: recovery that begins before somebody comes.

use super::observe::Observer;
use super::state::Starving;
use super::step::Simulation;
use super::trace::Event;
use crate::control::{Occupancy, OptimumStart, RecoveryPlan, WorkingSetpoints};
use crate::time::Instant;

impl Simulation<'_> {
    /// Begins and follows recoveries of the zones that have an optimum start.
    pub(super) fn start_early(&mut self, now: Instant, observer: &mut impl Observer) {
        for at in 0..self.plan.early_zones.len() {
            let (zone, optimum) = self.plan.early_zones[at];
            self.follow_recovery(zone, now);
            if let Some((plan, until)) = self.recovery_due(zone, optimum, now) {
                let state = &mut self.state.zones[zone];
                state.recovery.begin(plan, now, until, self.state.logic[zone].sensed);
                state.presence.start_early(until);
                self.refresh(zone, now);
                let event = Event::EarlyStart { plan, lead: until.since(now) };
                self.event(zone, now, event, observer);
            }
        }
    }

    /// What a recovery under way has come to by what the sensor read in the step before.
    fn follow_recovery(&mut self, zone: usize, now: Instant) {
        let ready = self.ready_at(zone);
        let logic = &self.state.logic[zone];
        let starved = self.state.zones[zone].starving != Starving::No;
        let led = self.is_led(zone).then(|| logic.state.direction());
        let (selection, sensed) = (logic.selection, logic.sensed);
        self.state.zones[zone].recovery.note(now, sensed, ready, |direction| {
            let allowed = led.is_none_or(|group| group == direction);
            let off = match led {
                Some(_) => !selection.is_on(),
                None => !selection.allows(direction),
            };
            allowed && !off && !starved
        });
    }

    /// The recovery that ought to begin now, and when somebody comes.
    fn recovery_due(
        &mut self,
        zone: usize,
        optimum: OptimumStart,
        now: Instant,
    ) -> Option<(RecoveryPlan, Instant)> {
        let model = self.plan.model;
        let state = &self.state.zones[zone];
        // Before the first step the sensor has not been read.
        if state.presence.stored_work(now) || state.lagged.is_none() {
            return None;
        }
        let Occupancy::Schedule(spans) = &model.zones[zone].controls.occupancy else { return None };
        let until = self.scratch.coming[zone].seek(spans, &model.period, now)?;
        let (logic, ready) = (&self.state.logic[zone], self.ready_at(zone));
        let plan = state.recovery.due(optimum, now, until, logic.sensed, ready)?;
        let may = self.is_led(zone) || logic.selection.allows(plan.direction);
        (may && logic.selection.is_on()).then_some((plan, until))
    }

    /// What the sensor of a zone must read for it to be ready: within `call_start` of its stored
    /// setpoints. Nothing starts a call there, and proportional output never brings it to the
    /// setpoint itself. In the file's unit.
    fn ready_at(&self, zone: usize) -> WorkingSetpoints {
        let state = &self.state.zones[zone];
        let (grid, stored) = (state.settings.grid, &state.stored.setpoints);
        let within = self.plan.model.zones[zone].controls.thermostat.call_start;
        WorkingSetpoints::new(
            grid.value(stored.heat()) - within.heating,
            grid.value(stored.cool()) + within.cooling,
        )
    }
}
