//! Medians, scatter, and the few tests that an audit needs.

use crate::study::quantile::quantile as of_sorted;

/// The median; not a number of nothing.
pub(super) fn median(values: &[f64]) -> f64 {
    quantile(values, 0.5)
}

/// A quantile of values in any order.
pub(super) fn quantile(values: &[f64], part: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    of_sorted(&sorted, part)
}

/// The median distance from the median, as a standard deviation of a normal distribution.
pub(super) fn scatter(values: &[f64]) -> f64 {
    const PER_DEVIATION: f64 = 1.4826;
    let middle = median(values);
    let apart: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    PER_DEVIATION * median(&apart)
}

/// The probability of at least `hits` of `tries`, each with this chance.
pub(super) fn at_least(hits: usize, tries: usize, chance: f64) -> f64 {
    let mut sum = 0.0;
    for count in hits..=tries {
        let ways = libm::lgamma(tries as f64 + 1.0)
            - libm::lgamma(count as f64 + 1.0)
            - libm::lgamma((tries - count) as f64 + 1.0);
        let (yes, no) = (count as f64, (tries - count) as f64);
        let log = ways + times_log(yes, chance) + times_log(no, 1.0 - chance);
        sum += libm::exp(log);
    }
    sum.min(1.0)
}

/// The strength of evidence in words, by the probability that chance alone looks so.
pub(super) fn strength(chance: f64) -> &'static str {
    match chance {
        chance if chance < 1e-6 => "as good as certain",
        chance if chance < 1e-3 => "strong evidence",
        chance if chance < super::ERROR_RATE => "clear evidence",
        chance if chance < 0.1 => "weak evidence",
        _ => "no evidence",
    }
}

/// A probability for people: what is far below what arithmetic resolves is said to be so.
pub(super) fn probability(chance: f64) -> String {
    const LEAST: f64 = 1e-12;
    if chance < LEAST { "below 1e-12".into() } else { format!("of {:.1e}", chance.min(1.0)) }
}

fn times_log(count: f64, chance: f64) -> f64 {
    if count == 0.0 { 0.0 } else { count * libm::log(chance) }
}

/// Two temperatures at the same events, around their middles, in the order of time.
pub(super) struct Paired {
    pub one: Vec<f64>,
    pub other: Vec<f64>,
    /// The steps in which they are recorded.
    pub steps: (f64, f64),
}

/// How two temperatures scatter at the same events.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scatters {
    pub count: usize,
    /// Mean distances from their middles.
    pub one: f64,
    pub other: f64,
    /// The probability that chance alone tells them so far apart.
    pub chance: f64,
}

impl Paired {
    /// Whether one of them scatters more than the other, by Student's test of what one lies farther from
    /// its middle than the other; two-sided. Three things keep its rate:
    ///
    /// - Rounding alone makes two like temperatures scatter differently, whichever lies nearer to an edge
    ///   of a step. What is read as the middle lies a quarter of a step from it in the mean, and so much
    ///   as rounding can make of the tighter one is no difference.
    /// - Events that follow each other are alike: so many count as would be worth as much if they were
    ///   independent, by their correlations (Bartlett 1935, from memory). These are estimated from the
    ///   same events, and the test errs up to twice as often for it as it says, so its probability counts
    ///   double (`tests/study/site/sensors.rs` counts how often it errs).
    /// - Distances and not squares, drawn in to three deviations, keep what lies far off from deciding.
    pub(super) fn scatters(&self) -> Scatters {
        let (one, other) = (far(&self.one, self.steps.0), far(&self.other, self.steps.1));
        let farther: Vec<f64> = one.iter().zip(&other).map(|(a, b)| b - a).collect();
        let count = farther.len();
        let (one, other) = (mean(&one), mean(&other));
        let (tighter, coarse, fine) = if other > one {
            (one, self.steps.1, self.steps.0)
        } else {
            (other, self.steps.0, self.steps.1)
        };
        // A coarser recorder adds scatter of its own.
        let rounding = (coarse / 2.0 - tighter).max(0.15 * (coarse - fine)).max(0.0);
        let beyond = (other - one).abs() - rounding;
        let chance = if count < 4 || beyond <= 1e-9 { 1.0 } else { chance_of(beyond, &farther) };
        Scatters { count, one, other, chance }
    }
}

/// How far values lie from their middle, recorded in such steps.
fn far(values: &[f64], step: f64) -> Vec<f64> {
    let bound = (3.0 * scatter(values).max(step)).max(1e-9);
    values.iter().map(|value| value.abs().max(step / 4.0).min(bound)).collect()
}

/// The probability, two-sided, that the mean of values lies so far beyond where it is expected.
fn chance_of(beyond: f64, values: &[f64]) -> f64 {
    const FOR_ESTIMATES: f64 = 2.0;
    let count = values.len() as f64;
    let middle = mean(values);
    let product = |lag: usize| -> f64 {
        values.iter().zip(&values[lag..]).map(|(a, b)| (a - middle) * (b - middle)).sum()
    };
    let squares = product(0).max(1e-12);
    let alike = [1, 2, 3].map(|lag| (product(lag) / squares).clamp(0.0, 0.9));
    // Of neighbours alone, as if likeness faded evenly, and as it is found over three.
    let [first, ..] = alike;
    let times = ((1.0 + first) / (1.0 - first)).max(1.0 + 2.0 * alike.iter().sum::<f64>());
    let independent = (count / times).max(2.0);
    let t = beyond / (squares / (count - 1.0) / independent).sqrt();
    let chance = 2.0 * upper_tail_of_student(t, (independent - 1.0).max(1.0));
    (FOR_ESTIMATES * chance).min(1.0)
}

/// The mean of values that are recorded in such steps; what lies far off is drawn in. A median of few
/// steps would jump from one to the next.
pub(super) fn centre(values: &[f64], step: f64) -> f64 {
    let middle = median(values);
    let bound = 3.0 * scatter(values).max(step);
    let near: Vec<f64> =
        values.iter().map(|value| value.clamp(middle - bound, middle + bound)).collect();
    mean(&near)
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// The upper tail of Student's distribution, by Simpson's rule over its density.
fn upper_tail_of_student(t: f64, freedom: f64) -> f64 {
    const PARTS: i32 = 400;
    // With the angle a = atan(x / sqrt(n)) the density becomes a power of cos a on (0, pi / 2).
    let from = libm::atan(t / freedom.sqrt());
    let width = (std::f64::consts::FRAC_PI_2 - from) / f64::from(PARTS);
    let height = |angle: f64| libm::pow(libm::cos(angle).max(0.0), freedom - 1.0);
    let sum: f64 = (0..=PARTS)
        .map(|place| {
            let weight = match place {
                0 | PARTS => 1.0,
                _ if place % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * height(from + width * f64::from(place))
        })
        .sum();
    let factor = libm::lgamma(f64::midpoint(freedom, 1.0))
        - libm::lgamma(freedom / 2.0)
        - 0.5 * libm::log(std::f64::consts::PI);
    libm::exp(factor) * sum * width / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn tails_are_those_of_tables() {
        // 8 heads or more of 10: 56/1024.
        assert_relative_eq!(at_least(8, 10, 0.5), 56.0 / 1024.0, max_relative = 1e-9);
        assert_relative_eq!(at_least(0, 10, 0.5), 1.0, max_relative = 1e-9);
        // Student's t, 10 degrees of freedom, 2.228 and 3.169: 2.5 % and 0.5 % (tables, from memory).
        assert_relative_eq!(upper_tail_of_student(2.228, 10.0), 0.025, max_relative = 2e-3);
        assert_relative_eq!(upper_tail_of_student(3.169, 10.0), 0.005, max_relative = 2e-3);
        assert_relative_eq!(upper_tail_of_student(0.0, 3.0), 0.5, max_relative = 1e-3);
    }

    #[test]
    fn what_is_called_clear_is_below_the_error_rate() {
        let words = [1e-9, 1e-4, 0.005, 0.05, 0.5].map(strength);
        let told = [
            "as good as certain",
            "strong evidence",
            "clear evidence",
            "weak evidence",
            "no evidence",
        ];
        assert_eq!(words, told);
        assert_eq!(strength(super::super::ERROR_RATE), "weak evidence");
    }

    #[test]
    fn medians_and_scatter_forget_what_lies_far_off() {
        assert_relative_eq!(median(&[1.0, 2.0, 3.0, 4.0]), 2.5);
        assert_relative_eq!(scatter(&[1.0, 2.0, 3.0, 4.0, 1e6]), 1.4826);
        assert_relative_eq!(quantile(&[0.0, 10.0], 0.25), 2.5);
        assert!(median(&[]).is_nan());
    }

    fn scatters(one: &[f64], other: &[f64], step: f64) -> Scatters {
        Paired { one: one.to_vec(), other: other.to_vec(), steps: (step, step) }.scatters()
    }

    #[test]
    fn unlike_scatter_is_told_and_like_scatter_is_not() {
        let tight: Vec<f64> = (0..20).map(|it| f64::from(it % 3 - 1) * 0.01).collect();
        let wide: Vec<f64> = (0..20).map(|it| f64::from(it * 7 % 11 - 5) * 0.1).collect();
        let told = scatters(&tight, &wide, 0.01);
        assert!(told.chance < 0.01 && told.one < told.other, "{told:?}");
        let turned = scatters(&wide, &tight, 0.01);
        assert_relative_eq!(turned.chance, told.chance, max_relative = 1e-9);
        let shifted: Vec<f64> = wide.iter().rev().copied().collect();
        assert!(scatters(&shifted, &wide, 0.01).chance > 0.05);
        assert_relative_eq!(scatters(&tight[..3], &wide[..3], 0.01).chance, 1.0);
    }

    #[test]
    fn what_rounding_makes_is_no_difference() {
        // One lies on a step, the other between two of them.
        let still = [0.0; 200];
        let between: Vec<f64> = (0..200).map(|it| f64::from(it % 2) * 0.1 - 0.05).collect();
        assert_relative_eq!(scatters(&still, &between, 0.1).chance, 1.0);
        assert!(scatters(&still, &between, 0.02).chance < 1e-6);
        // A coarse recorder beside a fine one of the same sensor.
        let wide: Vec<f64> = (0..200).map(|it| f64::from(it * 7 % 41 - 20) * 0.03).collect();
        let coarse: Vec<f64> = wide.iter().map(|it| (it / 0.5).round() * 0.5).collect();
        let both = Paired { one: wide, other: coarse, steps: (0.03, 0.5) };
        assert!(both.scatters().chance > 0.05, "{:?}", both.scatters());
    }

    #[test]
    fn what_follows_each_other_alike_counts_less() {
        // The same distances, in turns and in four runs.
        let still = [0.0; 40];
        let turns: Vec<f64> = (0..40).map(|it| f64::from(it % 4 / 2)).collect();
        let runs: Vec<f64> = (0..40).map(|it| f64::from(it / 10 % 2)).collect();
        let (turns, runs) = (scatters(&still, &turns, 0.1), scatters(&still, &runs, 0.1));
        assert_relative_eq!(turns.other, runs.other);
        assert!(turns.chance < 1e-3 && runs.chance > 0.01, "{turns:?} {runs:?}");
    }
}
