//! The fixed-interval smoother: each state by all readings, earlier and later, in the form of de Jong
//! (Smoothing and interpolation with the state-space model, Journal of the American Statistical
//! Association 84 (1989) 1085-1088), which inverts no matrix.

use super::filter::{Kept, Task};
use super::state_space::{SLOW, StateSpace};

/// The states of a run by all its readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Smoothed<const N: usize> {
    /// The state at the start of each step.
    pub states: Vec<[f64; N]>,
    /// Heat that was new in each step, W into the air.
    pub fresh: Vec<f64>,
}

impl<const N: usize> Smoothed<N> {
    /// Heat into the air over each step that nothing else explains, W.
    pub fn unexplained(&self) -> Vec<f64> {
        self.states.iter().map(|state| state[SLOW]).collect()
    }

    /// The same with what was new in each step.
    pub(super) fn all_unexplained(&self) -> Vec<f64> {
        self.unexplained().iter().zip(&self.fresh).map(|(slow, fresh)| slow + fresh).collect()
    }
}

/// Smooths a run of the filter, backwards.
pub fn smooth<const N: usize>(task: &Task<'_, N>, kept: &[Kept<N>]) -> Smoothed<N> {
    let read = StateSpace::<N>::READ;
    let mut states = vec![[0.0; N]; kept.len()];
    let mut fresh = vec![0.0; kept.len()];
    let own = task.noise.heat_in_step(task.step);
    // What the readings from here on say of the state expected here.
    let mut later = [0.0; N];
    for (at, kept) in kept.iter().enumerate().rev() {
        let step = &task.steps[usize::from(task.ventilated[at])];
        let into_air = step.per_watt.iter().zip(&later).map(|(per_watt, it)| per_watt[0] * it);
        fresh[at] = own * own * into_air.sum::<f64>();
        let mut carried = [0.0; N];
        for (from, value) in later.iter().enumerate() {
            for (into, factor) in carried.iter_mut().zip(step.transition[from]) {
                *into += factor * value;
            }
        }
        if let Some(innovation) = kept.innovation {
            let taken: f64 = kept.gain.iter().zip(&carried).map(|(gain, it)| gain * it).sum();
            carried[read] += innovation / kept.variance - taken;
        }
        later = carried;
        for (place, row) in kept.covariance.iter().enumerate() {
            let moved: f64 = row.iter().zip(&later).map(|(entry, it)| entry * it).sum();
            states[at][place] = kept.expected[place] + moved;
        }
    }
    Smoothed { states, fresh }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::building::{Network, Space, SpaceInput};
    use crate::study::fit::state_space::Noise;
    use crate::time::Seconds;
    use approx::assert_abs_diff_eq;

    /// A slow heat that was put in is found again: a wave of 400 W over a day, with readings that are
    /// exact to a hundredth.
    #[test]
    fn a_planted_heat_is_found() {
        let network = Network::new(&Space::new(SpaceInput::PLAIN).expect("sizes are sound"), false);
        let step = Seconds::minutes(5);
        let noise = Noise { reading: 0.01, heat: 1.0, slow: 300.0, slow_time: Seconds::hours(6) };
        let own = StateSpace::<3>::new(&network, step, &noise, 1.0);
        let steps = 3 * 288;
        let planted: Vec<f64> = (0..steps)
            .map(|at| 400.0 * (f64::from(at) / 288.0 * core::f64::consts::TAU).sin())
            .collect();
        let outdoors = network.flows(5.0, crate::building::HeatGains::default());
        let flows = outdoors.with_plant(900.0);
        let mut state = [20.0_f64, 19.0, 0.0];
        let mut reading = Vec::new();
        for heat in &planted {
            reading.push(Some((state[0] * 100.0).round() / 100.0));
            state = own.advance(&state, [flows[0] + heat, flows[1]]);
        }
        let quiet = vec![false; planted.len()];
        let sure = vec![0.0; planted.len()];
        let task = Task {
            steps: [own, own],
            step,
            noise,
            reading: &reading,
            ventilated: &quiet,
            unsure: &sure,
            flows: vec![flows; planted.len()],
            columns: Vec::new(),
            at_start: [0.5, 3.0],
        };
        let found = smooth(&task, &task.run()).unexplained();
        // Its ends are known from one side alone.
        for at in 72..planted.len() - 36 {
            assert_abs_diff_eq!(found[at], planted[at], epsilon = 40.0);
        }
        let off = |values: &[f64]| {
            let squares = values.iter().zip(&planted[72..]).map(|(one, two)| (one - two).powi(2));
            (squares.sum::<f64>() / values.len() as f64).sqrt()
        };
        assert!(off(&found[72..planted.len() - 36]) < 15.0);
    }
}
