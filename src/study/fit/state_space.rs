//! A zone's stochastic model in discrete time.
//!
//! The state is air, mass and a slow heat that nothing else explains, and the sensor's body where it
//! lags:
//!
//! - air and mass go through a step by the exact solution that the engine has
//!   ([`ZonePropagator`]), with everything that drives them constant over the step;
//! - the unexplained heat, W into the air, comes back to nothing with a time constant: it is the
//!   process of Ornstein and Uhlenbeck, exact over a step: what is left of it is `exp(-step/tau)`,
//!   and what comes new has the variance `sd^2 (1 - exp(-2 step/tau))`;
//! - a heat that is new in each step, W into the air, stands for what happens between readings;
//! - the sensor's body comes to the air of the step's end by the part that rule 9 gives it.

use crate::building::{Network, ZonePropagator};
use crate::time::Seconds;

/// How much of what drives a zone is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Standard deviation of a reading, K.
    pub reading: f64,
    /// Standard deviation of a heat that is new in each hour, W: that of a step is larger by the root
    /// of how many steps an hour has.
    pub heat: f64,
    /// Standard deviation of the slow heat that nothing explains, W.
    pub slow: f64,
    /// Its time constant.
    pub slow_time: Seconds,
}

impl Noise {
    /// The heat that is new in each step, W.
    pub fn heat_in_step(&self, step: Seconds) -> f64 {
        self.heat * (3600.0 / step.get() as f64).sqrt()
    }
}

/// The place of the air in a state,
pub const AIR: usize = 0;
/// of the mass,
pub const MASS: usize = 1;
/// and of the slow heat that nothing explains.
pub const SLOW: usize = 2;

/// One step of a zone: `N` is 3, or 4 where its sensor lags.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateSpace<const N: usize> {
    /// The state at the end of a step per state at its start.
    pub transition: [[f64; N]; N],
    /// The state at the end of a step per watt into air and mass over it, K/W.
    pub per_watt: [[f64; 2]; N],
}

impl<const N: usize> StateSpace<N> {
    /// The place in the state of what the sensor reads.
    pub const READ: usize = if N == 4 { 3 } else { AIR };

    /// The step of a zone with this network; `approach` is how far the sensor's body comes to the
    /// air in a step, 0 to 1, and counts where the state has it.
    pub fn new(network: &Network, step: Seconds, noise: &Noise, approach: f64) -> Self {
        let exact = ZonePropagator::new(network, step);
        let mut transition = [[0.0; N]; N];
        let mut per_watt = [[0.0; 2]; N];
        for node in [AIR, MASS] {
            transition[node][AIR] = exact.phi[node][0];
            transition[node][MASS] = exact.phi[node][1];
            transition[node][SLOW] = exact.gamma[node][0];
            per_watt[node] = exact.gamma[node];
        }
        transition[SLOW][SLOW] =
            libm::exp(-(step.get() as f64) / (noise.slow_time.get() as f64).max(1.0));
        if N == 4 {
            transition[Self::READ] = transition[AIR].map(|it| approach * it);
            transition[Self::READ][Self::READ] = 1.0 - approach;
            per_watt[Self::READ] = per_watt[AIR].map(|it| approach * it);
        }
        Self { transition, per_watt }
    }

    /// The state at the end of a step, with heat into air and mass, W.
    pub fn advance(&self, state: &[f64; N], flows: [f64; 2]) -> [f64; N] {
        let mut end = [0.0; N];
        for (row, end) in end.iter_mut().enumerate() {
            let mut sum = self.per_watt[row][0] * flows[0] + self.per_watt[row][1] * flows[1];
            for (factor, value) in self.transition[row].iter().zip(state) {
                sum += factor * value;
            }
            *end = sum;
        }
        end
    }

    /// What a step adds to the covariance of the state: the heat that is new in it, with `more` W
    /// where what the plant gave is not known, and what comes new of the slow heat.
    pub fn new_covariance(&self, noise: &Noise, step: Seconds, more: f64) -> [[f64; N]; N] {
        let mut added = [[0.0; N]; N];
        let own = noise.heat_in_step(step);
        let variance = own * own + more * more;
        for (row, line) in added.iter_mut().enumerate() {
            for (column, entry) in line.iter_mut().enumerate() {
                *entry = variance * self.per_watt[row][0] * self.per_watt[column][0];
            }
        }
        let left = self.transition[SLOW][SLOW];
        added[SLOW][SLOW] += noise.slow * noise.slow * (1.0 - left * left);
        added
    }

    /// The covariance at the end of a step, without what the step adds.
    pub fn carried(&self, covariance: &[[f64; N]; N]) -> [[f64; N]; N] {
        let times = |row: &[f64; N]| -> [f64; N] {
            core::array::from_fn(|column| {
                row.iter().zip(covariance).map(|(factor, line)| factor * line[column]).sum()
            })
        };
        let half = self.transition.map(|row| times(&row));
        let mut whole = half.map(|row| {
            self.transition.map(|other| row.iter().zip(other).map(|(one, two)| one * two).sum())
        });
        // Rounding must not make the halves differ.
        for row in 1..N {
            let (above, below) = whole.split_at_mut(row);
            for (column, line) in above.iter().enumerate() {
                below[0][column] = line[row];
            }
        }
        whole
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::building::Space;
    use crate::building::SpaceInput;
    use approx::assert_relative_eq;

    fn room() -> Network {
        Network::new(&Space::new(SpaceInput::PLAIN).expect("sizes are sound"), false)
    }

    const NOISE: Noise =
        Noise { reading: 0.05, heat: 20.0, slow: 100.0, slow_time: Seconds::hours(4) };

    /// Two half steps are one whole one: the exact solution, and the process of the slow heat.
    #[test]
    fn two_steps_are_one_of_twice_the_length_but_for_the_slow_heat_that_changes_between() {
        let steady = Noise { slow_time: Seconds::hours(10_000_000), ..NOISE };
        let short = StateSpace::<3>::new(&room(), Seconds::minutes(1), &steady, 1.0);
        let long = StateSpace::<3>::new(&room(), Seconds::minutes(2), &steady, 1.0);
        let start = [21.0, 19.5, 300.0];
        let flows = [800.0, 150.0];
        let twice = short.advance(&short.advance(&start, flows), flows);
        let once = long.advance(&start, flows);
        for (one, other) in twice.iter().zip(once) {
            assert_relative_eq!(*one, other, max_relative = 1e-7);
        }
    }

    #[test]
    fn the_slow_heat_keeps_its_variance() {
        let step = StateSpace::<4>::new(&room(), Seconds::minutes(5), &NOISE, 0.3);
        let mut covariance = [[0.0; 4]; 4];
        covariance[SLOW][SLOW] = 1e4;
        let added = step.new_covariance(&NOISE, Seconds::minutes(5), 0.0);
        assert_relative_eq!(
            step.carried(&covariance)[SLOW][SLOW] + added[SLOW][SLOW],
            1e4,
            max_relative = 1e-12
        );
    }
}
