//! A whole run: warm-up to the periodic state, then every step of the period.

use super::model::Model;
use super::observe::{Nobody, Observer};
use super::state::State;
use super::step::Simulation;
use crate::time::{DAY, Instant};

/// The first day is repeated at most so often in search of the periodic state.
pub const MOST_WARMUP_DAYS: u32 = 60;
/// The periodic state is found where daily means of air and mass repeat within this, K.
pub const REPEATS_WITHIN: f64 = 0.01;

/// Simulates a model from its first step to its last. Returns how many warm-up days it took.
pub fn run(model: &Model, observer: &mut impl Observer) -> u32 {
    let (simulation, warmup_days) = start(model);
    to_the_end(simulation, observer);
    warmup_days
}

/// The rooms at the first step: what warm-up days leave. They know no people and no chance, so
/// models that differ in actions and seed alone have the same.
#[derive(Clone, Debug, PartialEq)]
pub struct WarmStart {
    state: State,
    /// How many warm-up days it took.
    pub days: u32,
}

/// The warm start of a model.
pub fn warm_start(model: &Model) -> WarmStart {
    let (simulation, days) = start(model);
    WarmStart { state: simulation.state, days }
}

/// Simulates a model from a warm start of its own, or of one that differs in actions and seed
/// alone: the same as [`run`] without its warm-up.
pub fn run_from(warm: &WarmStart, model: &Model, observer: &mut impl Observer) {
    to_the_end(start_from(model, warm.state.clone()), observer);
}

fn to_the_end(mut simulation: Simulation<'_>, observer: &mut impl Observer) {
    while simulation.state().now < simulation.model().period.end() {
        simulation.step(observer);
    }
}

/// A simulation at its first step, in the periodic state of its first day unless every zone's
/// file gives its start, and how many warm-up days that took.
pub fn start(model: &Model) -> (Simulation<'_>, u32) {
    let given: Vec<Option<f64>> = model.zones.iter().map(|zone| zone.space.input().start).collect();
    let nodes: Vec<[f64; 2]> = model
        .zones
        .iter()
        .zip(&given)
        .map(|(zone, start)| [start.unwrap_or_else(|| first_guess(model, zone)); 2])
        .collect();
    let mut simulation = Simulation::new(model, nodes);
    if given.iter().all(Option::is_some) {
        return (simulation, 0);
    }
    let mut before = simulation.day_means();
    for day in 1..=MOST_WARMUP_DAYS {
        let means = simulation.day_means();
        let differences = means.iter().zip(&before);
        let repeats = differences
            .flat_map(|(now, then)| [now[0] - then[0], now[1] - then[1]])
            .all(|difference| difference.abs() <= REPEATS_WITHIN);
        // The day before the loop counts, too.
        if repeats || day + 1 >= MOST_WARMUP_DAYS {
            return (simulation, day + 1);
        }
        before = means;
    }
    (simulation, MOST_WARMUP_DAYS)
}

/// A simulation that goes on from a state of the same zones, such as one that a run of a model with
/// other settings left.
pub fn start_from(model: &Model, state: State) -> Simulation<'_> {
    let mut simulation = Simulation::new(model, state.nodes.clone());
    simulation.resume(state);
    simulation
}

/// Halfway between the setpoints: where the search for the periodic state begins, degrees C.
fn first_guess(model: &Model, zone: &super::model::Zone) -> f64 {
    let (grid, pair) = (zone.controls.settings.grid, &zone.controls.start.setpoints);
    model.unit.to_celsius(grid.value(pair.heat()).midpoint(grid.value(pair.cool())))
}

impl Simulation<'_> {
    /// Runs the first day without actions and people, leaves the controllers as the file has them and the
    /// rooms as the day left them, and returns each zone's mean air and mass temperature.
    fn day_means(&mut self) -> Vec<[f64; 2]> {
        self.scratch.act(false);
        let mut sums = vec![[0.0; 2]; self.state.nodes.len()];
        while self.state.now < Instant::new(DAY) {
            self.step(&mut Nobody);
            for (sum, nodes) in sums.iter_mut().zip(&self.state.nodes) {
                sum[0] += nodes[0];
                sum[1] += nodes[1];
            }
        }
        self.scratch.act(true);
        let nodes = std::mem::take(&mut self.state.nodes);
        let water = std::mem::take(&mut self.state.water);
        let members = self.plan.group_members();
        self.resume(State { water, ..State::fresh(self.plan.model, &members, nodes) });
        let steps = self.plan.model.period.steps_per_day() as f64;
        sums.into_iter().map(|sum| sum.map(|value| value / steps)).collect()
    }
}
