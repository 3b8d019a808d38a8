//! What a model misses of the electricity that was measured, though it has the log's setpoints: stretches
//! of some hours in which it uses more or less. Where another run differs from the one as logged it
//! will miss as much again.

use super::drive::RunCourse;
use super::record::Record;
use crate::study::chance::normal_quantile;

/// Stretches as long as several cycles of a unit, s (assumed): what a cycle more or less makes is then
/// in the next one, too, and falls out.
const STRETCH: i64 = 3 * 3600;

/// What a model misses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Missed {
    /// Standard deviation of what it misses in a stretch, kWh.
    in_stretch: f64,
    /// Steps of a stretch.
    steps: usize,
}

impl Missed {
    /// What a run as logged misses; nothing where the log has no electricity, or is too short.
    pub(super) fn of(record: &Record, logged: &RunCourse) -> Self {
        let steps = record.grid.steps_in(STRETCH);
        let hours = record.grid.step.get() as f64 / 3600.0;
        let pairs: Vec<Option<f64>> = record
            .electric
            .iter()
            .zip(&logged.electric)
            .map(|(read, run)| Some((*read)? - run).filter(|_| record.has_electricity))
            .collect();
        // The last stretch is left out where it is not whole.
        let whole = pairs.chunks_exact(steps).filter(|it| it.iter().all(Option::is_some));
        let missed: Vec<f64> =
            whole.map(|it| it.iter().flatten().sum::<f64>() * hours / 1000.0).collect();
        let count = missed.len() as f64;
        if missed.len() < 3 {
            return Self { in_stretch: 0.0, steps };
        }
        let mean = missed.iter().sum::<f64>() / count;
        let squares = missed.iter().map(|it| (it - mean).powi(2)).sum::<f64>();
        Self { in_stretch: (squares / (count - 1.0)).sqrt(), steps }
    }

    /// Standard deviation of what it misses of the difference between two runs, kWh: that of the
    /// stretches in which they differ.
    pub(super) fn where_differ(&self, one: &RunCourse, other: &RunCourse) -> f64 {
        let (one, other) = (one.electric.chunks(self.steps), other.electric.chunks(self.steps));
        let differ = one.zip(other).filter(|(one, other)| one != other).count();
        self.in_stretch * (differ as f64).sqrt()
    }
}

/// So many values that are spread as a normal distribution is, in an order that nothing else has:
/// steps of the golden section, which leave no two neighbours near each other.
pub(super) fn normal(count: usize) -> impl Iterator<Item = f64> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let part = |place: usize| {
        let at = (place as f64 + 0.5) * GOLDEN;
        at - libm::floor(at)
    };
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|one, other| part(*one).total_cmp(&part(*other)));
    let mut ranks = vec![0; count];
    for (rank, place) in order.into_iter().enumerate() {
        ranks[place] = rank;
    }
    ranks.into_iter().map(move |rank| normal_quantile((rank as f64 + 0.5) / count as f64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn normal_values_have_mean_0_and_deviation_1() {
        let values: Vec<f64> = normal(200).collect();
        assert_abs_diff_eq!(values.iter().sum::<f64>(), 0.0, epsilon = 1e-9);
        let square = values.iter().map(|it| it * it).sum::<f64>() / 200.0;
        assert_abs_diff_eq!(square, 1.0, epsilon = 0.03);
        assert_eq!(normal(0).count(), 0);
    }

    #[test]
    fn runs_that_are_alike_miss_nothing_of_their_difference() {
        let missed = Missed { in_stretch: 0.2, steps: 2 };
        let run =
            |electric: [f64; 6]| RunCourse { electric: electric.to_vec(), ..RunCourse::default() };
        let one = run([1.0; 6]);
        assert_eq!(missed.where_differ(&one, &one), 0.0);
        let other = run([1.0, 1.0, 1.0, 2.0, 0.0, 1.0]);
        assert_abs_diff_eq!(
            missed.where_differ(&one, &other),
            0.2 * 2.0_f64.sqrt(),
            epsilon = 1e-12
        );
    }
}
