//! Runs of which somebody from outside imposes a part ([`Imposed`]), step by step.
//!
//! What is imposed stays in force until something else is. Sums of a meter know nothing of the heat. Such
//! runs are made step by step, see [`Simulation::step`].

use super::imposed::Imposed;
use super::model::{Model, ZoneIndex};
use super::state::State;
use super::step::Simulation;
use crate::direction::Direction;
use crate::time::Instant;

/// A simulation that begins at an instant in rooms with these temperatures of air and mass (degrees
/// C, zone by zone), without warm-up.
pub fn start_in(model: &Model, at: Instant, nodes: Vec<[f64; 2]>) -> Simulation<'_> {
    let mut simulation = Simulation::new(model, nodes);
    let state = State { now: at, ..simulation.state().clone() };
    simulation.resume(state);
    simulation
}

impl Simulation<'_> {
    /// Imposes something on a zone from the next step on.
    pub fn impose(&mut self, zone: ZoneIndex, imposed: Imposed) {
        if self.scratch.imposed.is_empty() {
            self.scratch.imposed = vec![Imposed::default(); self.plan.zones.len()];
        }
        self.scratch.imposed[zone.get()] = imposed;
    }

    /// People press and are seen, and give off no heat from now on: what is imposed has it already.
    pub fn leave_out_body_heat(&mut self) {
        self.scratch.drivers.count_people(false);
    }

    /// The unit of a zone runs already when the simulation begins.
    pub fn run_already(&mut self, zone: ZoneIndex, direction: Direction) {
        let (now, at) = (self.state.now, zone.get());
        self.state.logic[at].state.run_already(direction, now);
        self.state.zones[at].unit.lacking = 0.0;
        self.state.groups[self.plan.zones[at].group].state.turn_to(direction, now);
    }

    /// What is imposed on a zone.
    pub(super) fn imposed(&self, zone: usize) -> Option<&Imposed> {
        self.scratch.imposed.get(zone)
    }

    /// Takes over modes and powers, and has the clock's phase look at every zone.
    pub(super) fn take_over_imposed(&mut self, now: Instant) {
        if self.scratch.imposed.is_empty() {
            return;
        }
        for (state, imposed) in self.state.zones.iter_mut().zip(&self.scratch.imposed) {
            state.stored.mode = imposed.mode.unwrap_or(state.stored.mode);
            if let Some(power) = imposed.power {
                state.stored.power = power;
                // A record says by itself when power went off.
                state.on_since = None;
            }
        }
        self.scratch.wake_at = now;
    }
}
