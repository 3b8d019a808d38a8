//! A whole run: warm-up to the periodic state, then every step of the period.

use super::intervals::{Case, WarmStart};
use super::model::Model;
use super::observe::Observer;
use super::state::State;
use super::step::Simulation;

/// Simulates a model from its first step to its last, and shows every step. Returns how many
/// warm-up days it took. Observers that take event-free intervals whole are served faster by
/// [`Case::run`].
pub fn run(model: &Model, observer: &mut impl Observer) -> u32 {
    let (mut simulation, warmup_days) = start(model);
    while simulation.state().now < model.period.end() && simulation.halt().is_none() {
        simulation.step(observer);
    }
    simulation.end(observer);
    warmup_days
}

/// A simulation at its first step, in the periodic state of its first day unless every zone's
/// file gives its start, and how many warm-up days that took.
pub fn start(model: &Model) -> (Simulation<'_>, u32) {
    Case::at_the_start(model).run().started()
}

/// A simulation that goes on from a state of the same zones, such as one that a run of a model with
/// other settings left.
pub fn start_from(model: &Model, state: State) -> Simulation<'_> {
    Simulation::from_state(model, state)
}

/// The warm start of a model.
pub fn warm_start(model: &Model) -> WarmStart {
    let (simulation, days) = start(model);
    WarmStart::new(simulation.state, days)
}
