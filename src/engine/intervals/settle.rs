//! What an event-free interval leaves behind in the state of the simulation.

use super::interval::Place;
use super::lane::EventFree;
use super::rows::Batch;
use crate::control::{Call, Sharing};
use crate::engine::step::Simulation;
use crate::numbers::low_bits;
use crate::time::Instant;

/// The trajectories of a case over an interval.
#[derive(Clone, Copy)]
pub(super) struct Taken<'s> {
    pub(super) zones: &'s [EventFree],
    pub(super) places: &'s [Place],
    pub(super) teams: &'s [(usize, Place)],
    pub(super) batches: &'s [Batch],
    pub(super) steps: usize,
}

impl Simulation<'_> {
    /// Takes over what an event-free interval has come to.
    pub(super) fn settle(&mut self, taken: &Taken<'_>) {
        for zone in 0..taken.zones.len() {
            self.settle_zone(zone, taken);
        }
        for group in 0..self.plan.groups.len() {
            self.settle_group(group, taken);
        }
        for (group, place) in taken.teams {
            let trace = &taken.batches[place.batch].teams[place.lane];
            self.state.groups[*group].outdoor = trace.memories[taken.steps - 1];
        }
        self.state.now = self.after(self.state.now, taken.steps);
    }

    fn settle_zone(&mut self, zone: usize, taken: &Taken<'_>) {
        let (Place { batch, lane }, steps) = (taken.places[zone], taken.steps);
        let (batch, service) = (&taken.batches[batch], &taken.zones[zone].service);
        self.state.nodes[zone] = [batch.air[steps][lane], batch.mass[steps][lane]];
        let body = batch.body[steps - 1][lane];
        self.state.zones[zone].lagged = Some(body);
        self.state.logic[zone].sensed = self.plan.zones[zone].sensor.report(body);
        let served = batch.served(lane, steps);
        self.settle_calls(zone, batch.turns(lane, steps), served);
        let was_served = served >> (steps - 1) & 1 == 1;
        let state = &mut self.state.zones[zone];
        state.served = was_served.then_some(service.direction);
        state.unit.lacking = batch.lacking[steps - 1][lane];
        state.unit.fan_ran = was_served || service.fan_rest > 0.0;
    }

    /// Calls that began and ended, each at the first of some steps, and the steps in which they were
    /// served.
    fn settle_calls(
        &mut self,
        zone: usize,
        turns: impl Iterator<Item = (usize, bool)>,
        served: u64,
    ) {
        let from = self.state.now;
        // A call that has waited is served first before it ends, or not at all.
        let waits =
            matches!(self.state.logic[zone].state.call(), Call::On { served_since: None, .. });
        // Before the calls: what was served last need not be the call that there is at the end, which
        // may wait for a compressor that rests.
        if let Some(last) = served.checked_ilog2() {
            let (now, end) = (self.after(from, last as usize), self.after(from, last as usize + 1));
            let state = &mut self.state.logic[zone].state;
            state.note_served(state.direction(), now, end);
        }
        let mut since = waits.then_some(0);
        for (turn, on) in turns {
            let at = self.after(from, turn);
            since = on.then_some(turn);
            if !on {
                self.state.logic[zone].state.note_call(at, None);
            }
        }
        if let Some(start) = since {
            let first = first_from(served, start).map(|step| self.after(from, step));
            let at = self.after(from, start);
            self.state.logic[zone].state.note_call(at, Some(first));
        }
    }

    /// When a group was last served in each direction: in a step that serves both, that of its last
    /// member counts.
    fn settle_group(&mut self, group: usize, taken: &Taken<'_>) {
        let from = self.state.now;
        let mut left = low_bits(taken.steps);
        let mut served = [0; 2];
        for &zone in self.plan.groups[group].members.iter().rev() {
            let Place { batch, lane } = taken.places[zone];
            let own = taken.batches[batch].served[lane] & left;
            served[taken.zones[zone].service.direction as usize] |= own;
            left &= !own;
        }
        let is_single = !matches!(self.state.groups[group].settings.sharing, Sharing::Simultaneous);
        for direction in crate::direction::Direction::BOTH {
            let Some(last) = served[direction as usize].checked_ilog2() else { continue };
            let end: Instant = self.after(from, last as usize + 1);
            let memory = &mut self.state.groups[group];
            memory.state.note_served(direction, end);
            if is_single {
                memory.last_served = Some(direction);
            }
        }
    }
}

/// The first step from one on in a set of steps.
fn first_from(steps: u64, from: usize) -> Option<usize> {
    let left = steps >> from << from;
    (left != 0).then(|| left.trailing_zeros() as usize)
}
