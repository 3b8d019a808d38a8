//! A fitted zone followed through its log again: free runs, what is left over, and heat by the hour.

use super::changes::{Form, Numbers, to_four};
use super::inputs::Inputs;
use super::measure::{RunError, Whiteness, free_runs, whiteness};
use super::problem::{Choice, Problem};
use super::smoother::smooth;
use super::state_space::{Noise, SLOW, StateSpace};
use super::unexplained::{Known, System};
use crate::engine::Zone;
use crate::study::matrix;
use crate::time::DAY;

/// A fitted zone, ready to be followed.
pub(super) struct Finished {
    pub numbers: Numbers,
    pub form: Form,
    pub zone: Zone,
    pub known: Known,
    pub noise: Noise,
}

/// What following it shows.
pub(super) struct Run {
    pub innovation: f64,
    pub whiteness: Option<Whiteness>,
    pub modelled: Vec<f64>,
    pub unexplained: Vec<f64>,
    pub residuals: [Option<f64>; 24],
}

impl Finished {
    pub(super) fn errors(&self, inputs: &Inputs, stretch: std::ops::Range<usize>) -> Vec<RunError> {
        let system = System { inputs, zone: &self.zone.space, lag: self.zone.controls.sensor.lag };
        let shown = &inputs.readings.shown;
        if system.lag.get() > 0 {
            let task = system.task::<4>(self.noise, &self.known, &[]);
            free_runs(&task, &task.run(), shown, &inputs.grid, stretch)
        } else {
            let task = system.task::<3>(self.noise, &self.known, &[]);
            free_runs(&task, &task.run(), shown, &inputs.grid, stretch)
        }
    }

    pub(super) fn run(&self, inputs: &Inputs) -> Run {
        let system = System { inputs, zone: &self.zone.space, lag: self.zone.controls.sensor.lag };
        if system.lag.get() > 0 { self.run_as::<4>(&system) } else { self.run_as::<3>(&system) }
    }

    fn run_as<const N: usize>(&self, system: &System<'_>) -> Run {
        let inputs = system.inputs;
        let task = system.task::<N>(self.noise, &self.known, &[]);
        let kept = task.run();
        // The first readings find the state and say nothing.
        let settled = inputs.grid.steps_in(3600).min(kept.len() / 4);
        let scaled: Vec<f64> = kept[settled..]
            .iter()
            .filter_map(|it| Some(it.innovation? / it.variance.sqrt()))
            .collect();
        let own: Vec<f64> = kept[settled..].iter().filter_map(|it| it.innovation).collect();
        let innovation = (matrix::dot(&own, &own) / own.len().max(1) as f64).sqrt();
        let smoothed = smooth(&task, &kept);
        let mut modelled = Vec::with_capacity(kept.len());
        let mut state = smoothed.states.first().copied().unwrap_or([20.0; N]);
        let mut day = i64::MIN;
        let mut errors = vec![(0.0, 0_u32); 24];
        for (at, smoothed) in smoothed.states.iter().enumerate() {
            let time = inputs.grid.at(at);
            if time.get().div_euclid(DAY) != day {
                day = time.get().div_euclid(DAY);
                state = *smoothed;
                state[SLOW] = 0.0;
            }
            let air = state[StateSpace::<N>::READ];
            modelled.push(air);
            if let Some(reading) = inputs.readings.shown[at] {
                let hour = usize::try_from(time.second_of_day() / 3600).unwrap_or(0);
                errors[hour].0 += reading - air;
                errors[hour].1 += 1;
            }
            state = task.steps[usize::from(task.ventilated[at])].advance(&state, task.flows[at]);
        }
        let residuals = core::array::from_fn(|hour| {
            let (sum, count) = errors[hour];
            (count > 0).then(|| sum / f64::from(count))
        });
        Run {
            innovation,
            whiteness: whiteness(&scaled),
            modelled,
            unexplained: smoothed.unexplained(),
            residuals,
        }
    }
}

/// Heat that nothing explains by all readings, slow and fresh, with these gains.
pub(super) fn slow(problem: &Problem, choice: &Choice, gains: &[f64]) -> Vec<f64> {
    let system = System { inputs: problem.inputs, zone: &choice.space, lag: problem.lag };
    if system.lag.get() > 0 {
        slow_as::<4>(&system, problem, choice, gains)
    } else {
        slow_as::<3>(&system, problem, choice, gains)
    }
}

fn slow_as<const N: usize>(
    system: &System<'_>,
    problem: &Problem,
    choice: &Choice,
    gains: &[f64],
) -> Vec<f64> {
    let task = system.task::<N>(choice.noise, &problem.known, &problem.columns());
    let task = task.with_gains(gains);
    smooth(&task, &task.run()).all_unexplained()
}

/// Means by hour of the day; `None` for an hour that the log does not have.
pub(super) fn means(inputs: &Inputs, course: &[f64]) -> [Option<f64>; 24] {
    let mut sums = [(0.0, 0_u32); 24];
    for (at, value) in course.iter().enumerate() {
        let hour = usize::try_from(inputs.grid.at(at).second_of_day() / 3600).unwrap_or(0);
        sums[hour].0 += value;
        sums[hour].1 += 1;
    }
    sums.map(|(sum, count)| (count > 0).then(|| sum / f64::from(count)))
}

/// Less heat than this part of what the plant moves is left to chance,
const SLIGHT: f64 = 0.04;
/// and less than this, W/m2 of floor.
const SLIGHT_PER_FLOOR: f64 = 0.5;

/// The slow heat by the hour, W.
pub(super) fn hours(inputs: &Inputs, slow: &[f64]) -> [f64; 24] {
    means(inputs, slow).map(|it| it.unwrap_or(0.0))
}

/// The same where it is worth an entry in the file.
pub(super) fn by_hour(inputs: &Inputs, slow: &[f64], zone: &Zone) -> Option<[f64; 24]> {
    let hours = hours(inputs, slow);
    let size = (matrix::dot(&hours, &hours) / 24.0).sqrt();
    let plant = inputs.plant.total(&vec![1.0; inputs.plant.by_stage.len()]);
    let moved = plant.iter().map(|it| it.abs()).sum::<f64>() / plant.len().max(1) as f64;
    let floor = zone.space.input().floor;
    (size > (SLIGHT * moved).max(SLIGHT_PER_FLOOR * floor)).then(|| hours.map(to_four))
}
