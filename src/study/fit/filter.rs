//! The filter of Kalman (1960) over readings at some of the steps, for several right-hand sides at
//! once.
//!
//! For given dynamics the state hangs linearly on every gain. So the filter carries, beside the
//! state itself, what one unit of each unknown gain adds to it (de Jong, The diffuse Kalman filter,
//! Annals of Statistics 19 (1991) 1073-1083). The gains that explain the readings best then follow
//! from a few sums, and need no search.

use super::state_space::{AIR, MASS, Noise, SLOW, StateSpace};
use crate::time::Seconds;

/// One unknown gain: what it brings where its course has 1.
#[derive(Clone, Copy, Debug)]
pub struct Column<'a> {
    /// Heat into air and mass for one unit, W, with and without scheduled ventilation.
    pub flows: [[f64; 2]; 2],
    /// How many units, step by step.
    pub course: &'a [f64],
}

/// What the filter works on.
#[derive(Clone, Debug)]
pub struct Task<'a, const N: usize> {
    /// The zone without and with its scheduled ventilation.
    pub steps: [StateSpace<N>; 2],
    /// Length of a step.
    pub step: Seconds,
    /// What is not known.
    pub noise: Noise,
    /// The reading at the start of each step, degrees C; `None` where there is none.
    pub reading: &'a [Option<f64>],
    /// Whether scheduled ventilation runs.
    pub ventilated: &'a [bool],
    /// Heat that the plant may have brought besides, W: 0 where what it did was recorded.
    pub unsure: &'a [f64],
    /// Known heat into air and mass, W.
    pub flows: Vec<[f64; 2]>,
    /// Unknown gains.
    pub columns: Vec<Column<'a>>,
    /// Standard deviation of air and mass before the first reading, K.
    pub at_start: [f64; 2],
}

/// Sums of a filter's run: twice minus the logarithm of the likelihood is
/// `constant + square - 2 b'linear + b'quadratic b` for the gains `b`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sums {
    /// Of `log(2 pi S)`.
    pub constant: f64,
    /// Of squared innovations over their variance, without the unknown gains.
    pub square: f64,
    /// What each gain has in common with the innovations.
    pub linear: Vec<f64>,
    /// What gains have in common with each other.
    pub quadratic: Vec<Vec<f64>>,
    /// How many readings there were.
    pub readings: usize,
}

impl Sums {
    /// Twice minus the logarithm of the likelihood at these gains.
    pub fn deviance(&self, gains: &[f64]) -> f64 {
        let mut sum = self.constant + self.square;
        for (row, gain) in gains.iter().enumerate() {
            sum -= 2.0 * gain * self.linear[row];
            for (column, other) in gains.iter().enumerate() {
                sum += gain * other * self.quadratic[row][column];
            }
        }
        sum
    }
}

/// One step of a run, kept for the smoother and for measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept<const N: usize> {
    /// The state expected before the step's reading.
    pub expected: [f64; N],
    /// Its covariance.
    pub covariance: [[f64; N]; N],
    /// The state after the reading.
    pub state: [f64; N],
    /// The reading less what was expected, K; `None` without a reading.
    pub innovation: Option<f64>,
    /// Variance of the innovation, K2.
    pub variance: f64,
    /// How far the state follows the innovation.
    pub gain: [f64; N],
}

/// Changes of a covariance below this part of itself are rounding.
const SETTLED: f64 = 1e-13;

/// What goes on while the filter runs.
struct Going<const N: usize> {
    covariance: [[f64; N]; N],
    gain: [f64; N],
    variance: f64,
    /// Whether the covariance has come to rest with a reading in each step.
    settled: bool,
}

impl<const N: usize> Task<'_, N> {
    /// The sums of a run.
    pub fn sums(&self) -> Sums {
        let columns = self.columns.len();
        let mut sums = Sums {
            linear: vec![0.0; columns],
            quadratic: vec![vec![0.0; columns]; columns],
            ..Sums::default()
        };
        let mut read = vec![0.0; columns];
        let mut one_over = (f64::NAN, 0.0, 0.0);
        self.go(|at, state, added, going| {
            let Some(reading) = self.reading[at] else { return };
            if one_over.0 != going.variance {
                let whole = core::f64::consts::TAU * going.variance;
                one_over = (going.variance, 1.0 / going.variance, libm::log(whole));
            }
            let (_, weight, logarithm) = one_over;
            let innovation = reading - state[StateSpace::<N>::READ];
            sums.readings += 1;
            sums.constant += logarithm;
            sums.square += innovation * innovation * weight;
            for (read, added) in read.iter_mut().zip(added) {
                *read = added[StateSpace::<N>::READ];
            }
            for (row, one) in read.iter().enumerate() {
                let weighted = one * weight;
                sums.linear[row] += weighted * innovation;
                for (entry, other) in sums.quadratic[row][row..].iter_mut().zip(&read[row..]) {
                    *entry += weighted * other;
                }
            }
        });
        for row in 0..columns {
            for column in 0..row {
                sums.quadratic[row][column] = sums.quadratic[column][row];
            }
        }
        sums
    }

    /// A run with its steps kept. The unknown gains must be part of the flows: see
    /// [`with_gains`](Self::with_gains).
    pub fn run(&self) -> Vec<Kept<N>> {
        let mut kept = Vec::with_capacity(self.reading.len());
        self.go(|at, state, _, going| {
            let innovation = self.reading[at].map(|it| it - state[StateSpace::<N>::READ]);
            let after = core::array::from_fn(|place| {
                state[place] + innovation.map_or(0.0, |it| going.gain[place] * it)
            });
            kept.push(Kept {
                expected: *state,
                covariance: going.covariance,
                state: after,
                innovation,
                variance: going.variance,
                gain: if innovation.is_some() { going.gain } else { [0.0; N] },
            });
        });
        kept
    }

    /// The same with the gains known.
    #[must_use]
    pub fn with_gains(&self, gains: &[f64]) -> Self {
        let mut flows = self.flows.clone();
        for (column, gain) in self.columns.iter().zip(gains) {
            for ((flows, units), ventilated) in
                flows.iter_mut().zip(column.course).zip(self.ventilated)
            {
                let per_unit = column.flows[usize::from(*ventilated)];
                flows[0] += gain * units * per_unit[0];
                flows[1] += gain * units * per_unit[1];
            }
        }
        Self { flows, columns: Vec::new(), ..self.clone() }
    }

    /// The state before the first reading: at that reading, with nothing unexplained.
    fn start(&self) -> ([f64; N], [[f64; N]; N]) {
        let first = self.reading.iter().flatten().next().copied().unwrap_or(20.0);
        let mut state = [first; N];
        state[SLOW] = 0.0;
        let mut covariance = [[0.0; N]; N];
        covariance[AIR][AIR] = self.at_start[0] * self.at_start[0];
        covariance[MASS][MASS] = self.at_start[1] * self.at_start[1];
        covariance[SLOW][SLOW] = self.noise.slow * self.noise.slow;
        if N == 4 {
            let read = StateSpace::<N>::READ;
            covariance[read] = covariance[AIR];
            for row in &mut covariance {
                row[read] = row[AIR];
            }
        }
        (state, covariance)
    }

    /// Goes through the steps; `see` gets each with the state expected before its reading, what one
    /// unit of each unknown gain adds to it, and the gain and variance of the reading.
    fn go(&self, mut see: impl FnMut(usize, &[f64; N], &[[f64; N]], &Going<N>)) {
        let (mut state, covariance) = self.start();
        let mut added = vec![[0.0; N]; self.columns.len()];
        let mut going = Going { covariance, gain: [0.0; N], variance: 0.0, settled: false };
        let read = StateSpace::<N>::READ;
        let new = self.steps.map(|step| step.new_covariance(&self.noise, self.step, 0.0));
        let mut regime = usize::MAX;
        for at in 0..self.reading.len() {
            let reading = self.reading[at];
            if !going.settled {
                self.weigh(&mut going);
            }
            see(at, &state, &added, &going);
            if let Some(reading) = reading {
                let innovation = reading - state[read];
                for (state, gain) in state.iter_mut().zip(going.gain) {
                    *state += gain * innovation;
                }
                for column in &mut added {
                    let innovation = column[read];
                    for (state, gain) in column.iter_mut().zip(going.gain) {
                        *state -= gain * innovation;
                    }
                }
            }
            let now = usize::from(self.ventilated[at]);
            let same = now == regime && reading.is_some() && self.unsure[at] == 0.0;
            if !(going.settled && same) {
                let own = self.unsure[at];
                let comes = if own == 0.0 {
                    new[now]
                } else {
                    self.steps[now].new_covariance(&self.noise, self.step, own)
                };
                self.carry(&mut going, now, &comes, reading.is_some(), same);
                regime = now;
            }
            let step = &self.steps[now];
            state = step.advance(&state, self.flows[at]);
            for (state, column) in added.iter_mut().zip(&self.columns) {
                let units = column.course[at];
                let flows = column.flows[now];
                *state = step.advance(state, [units * flows[0], units * flows[1]]);
            }
        }
    }

    /// Gain and variance of a reading at the covariance expected before it.
    fn weigh(&self, going: &mut Going<N>) {
        let read = StateSpace::<N>::READ;
        going.variance = going.covariance[read][read] + self.noise.reading * self.noise.reading;
        for (gain, row) in going.gain.iter_mut().zip(&going.covariance) {
            *gain = row[read] / going.variance;
        }
    }

    /// Takes the covariance through a reading, where there is one, and the step after it.
    fn carry(
        &self,
        going: &mut Going<N>,
        now: usize,
        comes: &[[f64; N]; N],
        is_read: bool,
        same: bool,
    ) {
        let before = going.covariance;
        let mut after = before;
        if is_read {
            let read = before[StateSpace::<N>::READ];
            for (row, gain) in after.iter_mut().zip(going.gain) {
                for (entry, read) in row.iter_mut().zip(read) {
                    *entry -= gain * read;
                }
            }
        }
        let mut next = self.steps[now].carried(&after);
        let mut rests = same;
        for (row, (line, comes)) in next.iter_mut().zip(comes).enumerate() {
            for (column, (entry, comes)) in line.iter_mut().zip(comes).enumerate() {
                *entry += comes;
                rests &= (*entry - before[row][column]).abs() <= SETTLED * entry.abs();
            }
        }
        going.covariance = next;
        if rests && !going.settled {
            self.weigh(going);
        }
        going.settled = rests;
    }
}

#[cfg(test)]
mod tests;
