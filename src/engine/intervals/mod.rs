//! Event-free intervals: steps in which nothing is decided, gone through many at once.
//!
//! In most steps nobody presses a key, no schedule changes, no zone turns from heating to cooling.
//! What is left of the step's phases is the same few formulas over and over: sensor, calls that
//! begin and end, output in proportion, the room's balance. [`Batch`] goes through them for many
//! zones side by side, of one case or of several ([`run_together`]): a processor takes several
//! numbers at once, and one zone alone leaves it waiting for each result before it can begin with
//! the next.
//!
//! Nothing depends on it: a zone that might decide something at a step ends its interval before
//! that step, which is then made by [`Simulation::step`]; and the formulas are the same, written
//! once for one zone and for several ([`crate::numbers`]), so that the bits are the same, too.

mod batch;
mod case;
mod interval;
mod lane;
mod warm_up;

use super::step::Simulation;
use crate::direction::Direction;
use crate::people::PersonState;
use crate::time::Instant;

pub use batch::{LANES, MAX_STEPS, Row};
pub use case::{Case, run_together, share};
pub use interval::{Interval, IntervalObserver, Rows, ZoneInterval};
pub use warm_up::{MOST_WARMUP_DAYS, REPEATS_WITHIN, WarmStart};

use batch::Batch;
use interval::Place;
use lane::EventFree;

impl Simulation<'_> {
    /// How many of the next steps clocks, schedules and people leave without an event; the zones
    /// themselves may still have one.
    fn steps_to_next_event(&mut self) -> usize {
        let now = self.state.now;
        if !self.plan.may_be_event_free || self.scratch.wake_at <= now || self.is_somebody_there() {
            return 0;
        }
        let action = self.plan.model.actions.get(self.state.actions_done);
        let action = action.filter(|_| self.scratch.acting).map(|action| action.at);
        let until = self.scratch.wake_at.min(action.unwrap_or(self.scratch.wake_at));
        // What is due within a step is done at the next.
        let step = self.plan.model.period.step().get();
        let steps = (until.get().saturating_sub(now.get())).saturating_add(step - 1) / step;
        let steps = usize::try_from(steps).unwrap_or(0).min(MAX_STEPS);
        if steps == 0 {
            return 0;
        }
        self.scratch.place = self.scratch.drivers.seek(&self.plan, now);
        // Intervals end at the same steps in every case, so that they come together again.
        let place = self.scratch.place;
        let aligned = MAX_STEPS - place % MAX_STEPS;
        let steps = steps.min(aligned).min(self.scratch.drivers.alike(place));
        self.steps_as_permitted(steps)
    }

    fn is_somebody_there(&self) -> bool {
        self.scratch.acting && self.state.people.iter().any(PersonState::is_there)
    }

    /// Takes over what an event-free interval of so many steps has come to.
    fn settle(&mut self, zones: &[EventFree], places: &[Place], batches: &[Batch], steps: usize) {
        let from = self.state.now;
        for (zone, (event_free, place)) in zones.iter().zip(places).enumerate() {
            let (batch, lane) = (&batches[place.batch], place.lane);
            let direction = event_free.service.direction;
            self.state.nodes[zone] = [batch.air[steps][lane], batch.mass[steps][lane]];
            let body = batch.body[steps - 1][lane];
            self.state.zones[zone].lagged = Some(body);
            self.state.logic[zone].sensed = self.plan.zones[zone].sensor.report(body);
            for (turn, on) in batch.turns(lane, steps) {
                let at = self.after(from, turn);
                self.state.logic[zone].state.note_call(on, at);
            }
            let last = batch.last_on(lane, steps);
            if let Some(last) = last {
                self.note_calls_served(zone, direction, from, last);
            }
            let on = last == Some(steps - 1);
            self.state.zones[zone].served = on.then_some(direction);
            self.state.zones[zone].unit.lacking = batch.lacking[steps - 1][lane];
            self.state.zones[zone].unit.fan_ran = on || event_free.service.fan_rest > 0.0;
        }
        self.state.now = self.after(from, steps);
    }

    fn note_calls_served(&mut self, zone: usize, direction: Direction, from: Instant, last: usize) {
        let (now, end) = (self.after(from, last), self.after(from, last + 1));
        self.state.logic[zone].state.note_served(direction, now, end);
        let group = &mut self.state.groups[self.plan.zones[zone].group];
        group.state.note_served(direction, end);
        group.last_served = Some(direction);
    }

    /// The start of a step that is so many after an instant.
    #[expect(clippy::cast_possible_wrap, reason = "an interval is short")]
    fn after(&self, from: Instant, steps: usize) -> Instant {
        Instant::new(from.get() + steps as i64 * self.plan.model.period.step().get())
    }
}
