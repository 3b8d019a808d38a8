//! Event-free intervals: steps in which nothing is decided, gone through many at once.
//!
//! In most steps nobody presses a key, no schedule changes, no zone turns from heating to cooling.
//! What is left of the step's phases is the same few formulas over and over: sensor, calls that
//! begin and end, output in proportion, the room's balance. [`batch`] goes through them for many
//! zones side by side, of one case or of several ([`run_together`]): a processor takes several
//! numbers at once, and one zone alone leaves it waiting for each result before it can begin with
//! the next.
//!
//! Nothing depends on it: a zone that might decide something at a step ends its interval before
//! that step, which is then made by [`Simulation::step`]; and the formulas are the same, written
//! once for one zone and for several ([`crate::numbers`]), so that the bits are the same, too.

mod acting;
mod batch;
mod case;
mod exchange;
mod interval;
mod lane;
mod people;
mod rows;
mod seats;
mod settle;
mod together;
mod values;
mod vector;
mod warm_up;

use super::state::Starving;
use super::step::Simulation;
use crate::time::Instant;

pub use case::Case;
pub use interval::{Interval, IntervalObserver, Rows, UnitInterval, ZoneInterval};
pub use rows::{LANES, MAX_STEPS, Row};
pub use together::{Together, run_together, share};
pub use warm_up::{MOST_WARMUP_DAYS, REPEATS_WITHIN, WarmStart};

impl Simulation<'_> {
    /// How many of the next steps clocks, schedules and people leave without an event; the zones
    /// themselves may still have one.
    fn steps_to_next_event(&mut self) -> usize {
        let now = self.state.now;
        if !self.plan.may_be_event_free || self.scratch.wake_at <= now {
            return 0;
        }
        let action = self.plan.model.actions.get(self.state.actions_done);
        let action = action.filter(|_| self.scratch.acting).map(|action| action.at);
        let until = self.scratch.wake_at.min(action.unwrap_or(self.scratch.wake_at));
        let until = self.somebody_moves_at().map_or(until, |at| until.min(at));
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
        self.steps_as_permitted(steps.min(self.steps_untold()))
    }

    /// For how many of the next steps no starved spell has lasted long enough to be told.
    fn steps_untold(&self) -> usize {
        let step = self.plan.model.period.step().get();
        let starving = self.state.zones.iter().filter_map(|zone| match zone.starving {
            Starving::Since(start) => Some(start + Starving::TOLD_AFTER),
            Starving::No | Starving::Told => None,
        });
        let told = starving.min().map(|told| (told.since(self.state.now).get() + step - 1) / step);
        told.map_or(usize::MAX, |steps| usize::try_from(steps).unwrap_or(0))
    }

    /// The start of a step that is so many after an instant.
    #[expect(clippy::cast_possible_wrap, reason = "an interval is short")]
    fn after(&self, from: Instant, steps: usize) -> Instant {
        Instant::new(from.get() + steps as i64 * self.plan.model.period.step().get())
    }
}
