//! How well a fitted zone does: free runs beside persistence, and whether what is left over is white.

use super::filter::{Kept, Task};
use super::grid::Grid;
use super::state_space::StateSpace;

/// After so long free runs are measured, h.
pub const LEADS: [u32; 3] = [1, 6, 24];
/// A free run begins each hour,
const BEGINS: i64 = 3600;
/// and none before the filter has had so long to find the mass's temperature, s.
const FOUND: i64 = 3 * 3600;

/// Errors of runs of one length, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunError {
    /// Length of the runs, h.
    pub hours: u32,
    /// Root mean square of the model's error over the runs.
    pub model: f64,
    /// The same where the first reading of a run holds on.
    pub persistence: f64,
    /// How many runs there were.
    pub runs: usize,
}

/// Errors of runs that begin each hour from the filter's state in a stretch of steps, and end in it:
/// over all readings of a run after its first. Nothing is told to a run on its way but what acts on
/// the zone.
pub(super) fn free_runs<const N: usize>(
    task: &Task<'_, N>,
    kept: &[Kept<N>],
    shown: &[Option<f64>],
    grid: &Grid,
    stretch: std::ops::Range<usize>,
) -> Vec<RunError> {
    let every = grid.steps_in(BEGINS);
    let lengths = LEADS.map(|hours| grid.steps_in(i64::from(hours) * 3600));
    let mut sums = [(0.0, 0.0, 0_usize, 0_usize); LEADS.len()];
    let found = grid.steps_in(FOUND);
    for from in (stretch.start.max(found)..stretch.end).step_by(every) {
        let Some(first) = shown[from] else { continue };
        let possible = lengths.map(|length| from + length <= stretch.end);
        let longest = lengths.iter().zip(possible).filter(|it| it.1).map(|it| *it.0).max();
        let Some(longest) = longest else { break };
        let mut state = kept[from].state;
        let mut errors = (0.0, 0.0, 0);
        for at in from..from + longest {
            state = task.steps[usize::from(task.ventilated[at])].advance(&state, task.flows[at]);
            if let Some(reading) = shown.get(at + 1).copied().flatten() {
                errors.0 += (reading - state[StateSpace::<N>::READ]).powi(2);
                errors.1 += (reading - first).powi(2);
                errors.2 += 1;
            }
            for ((sum, length), possible) in sums.iter_mut().zip(lengths).zip(possible) {
                if possible && at + 1 == from + length && errors.2 > 0 {
                    sum.0 += errors.0;
                    sum.1 += errors.1;
                    sum.2 += errors.2;
                    sum.3 += 1;
                }
            }
        }
    }
    LEADS
        .into_iter()
        .zip(sums)
        .filter(|(_, sum)| sum.3 > 0)
        .map(|(hours, (model, persistence, count, runs))| RunError {
            hours,
            model: (model / count as f64).sqrt(),
            persistence: (persistence / count as f64).sqrt(),
            runs,
        })
        .collect()
}

/// Whether innovations have no pattern in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whiteness {
    /// The greatest distance of the cumulated periodogram from that of white noise, 0 to 1.
    pub distance: f64,
    /// The distance that white noise passes in one case of twenty.
    pub limit: f64,
}

impl Whiteness {
    /// Whether the distance is one that white noise has.
    pub fn is_white(&self) -> bool {
        self.distance <= self.limit
    }
}

/// So many innovations make a piece of which a periodogram is taken.
const PIECE: usize = 256;

/// The cumulated periodogram of innovations in units of their deviation, pieces averaged (Bartlett
/// 1955; the limit is that of Kolmogorov's test, 1.36 over the root of the number of ordinates).
pub(super) fn whiteness(innovations: &[f64]) -> Option<Whiteness> {
    let piece = PIECE.min(innovations.len() / 2 * 2);
    if piece < 16 {
        return None;
    }
    let pieces: Vec<&[f64]> = innovations.chunks_exact(piece).collect();
    let half = piece / 2 - 1;
    let mut power = vec![0.0; half];
    // One turn of the circle in so many parts serves all frequencies.
    let circle: Vec<(f64, f64)> = (0..piece)
        .map(|at| {
            let angle = core::f64::consts::TAU * at as f64 / piece as f64;
            (libm::cos(angle), libm::sin(angle))
        })
        .collect();
    for values in &pieces {
        for (order, power) in power.iter_mut().enumerate() {
            let (mut even, mut odd) = (0.0, 0.0);
            for (at, value) in values.iter().enumerate() {
                let (cos, sin) = circle[(order + 1) * at % piece];
                even += value * cos;
                odd += value * sin;
            }
            *power += even * even + odd * odd;
        }
    }
    let whole: f64 = power.iter().sum();
    if whole <= 0.0 {
        return None;
    }
    let mut sum = 0.0;
    let mut distance = 0.0_f64;
    for (order, power) in power.iter().enumerate() {
        sum += power / whole;
        distance = distance.max((sum - (order + 1) as f64 / half as f64).abs());
    }
    Some(Whiteness { distance, limit: 1.36 / ((half * pieces.len()) as f64).sqrt() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::chance::{Chance, normal_quantile};

    #[test]
    fn white_noise_is_white_and_a_moving_sum_of_it_is_not() {
        let mut chance = Chance::new(7, 3);
        let noise: Vec<f64> = (0..2048).map(|_| normal_quantile(chance.part())).collect();
        assert!(whiteness(&noise).is_some_and(|it| it.is_white()));
        let summed: Vec<f64> = noise.windows(2).map(|two| two[0] + 0.3 * two[1]).collect();
        assert!(whiteness(&summed).is_some_and(|it| !it.is_white()));
        assert_eq!(whiteness(&[0.0; 10]), None);
    }
}
