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

/// The test of Pitman (1939) and Morgan (1939), from memory: whether two variables measured at the
/// same events scatter alike. The probability of so large a difference where they do; two-sided.
pub(super) fn same_scatter(one: &[f64], other: &[f64]) -> f64 {
    let count = one.len().min(other.len());
    if count < 4 {
        return 1.0;
    }
    let (middle, beside) = (median(one), median(other));
    let pairs = one.iter().zip(other).map(|(a, b)| (a - middle, b - beside));
    let (mut sums, mut differences) = (Vec::new(), Vec::new());
    for (a, b) in pairs {
        sums.push(a + b);
        differences.push(a - b);
    }
    let correlation = correlation(&sums, &differences);
    let freedom = (count - 2) as f64;
    let rest = (1.0 - correlation * correlation).max(1e-12);
    let t = correlation.abs() * (freedom / rest).sqrt();
    2.0 * upper_tail_of_student(t, freedom)
}

fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let (a, b) = (mean(one), mean(other));
    let (mut both, mut first, mut second) = (0.0, 0.0, 0.0);
    for (x, y) in one.iter().zip(other) {
        both += (x - a) * (y - b);
        first += (x - a) * (x - a);
        second += (y - b) * (y - b);
    }
    if first <= 0.0 || second <= 0.0 { 0.0 } else { both / (first * second).sqrt() }
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

    #[test]
    fn unlike_scatter_is_told_and_like_scatter_is_not() {
        let tight: Vec<f64> = (0..20).map(|it| f64::from(it % 3) * 0.01).collect();
        let wide: Vec<f64> = (0..20).map(|it| f64::from(it * 7 % 11) * 0.1).collect();
        assert!(same_scatter(&tight, &wide) < 1e-3);
        let shifted: Vec<f64> = wide.iter().rev().copied().collect();
        assert!(same_scatter(&shifted, &wide) > 0.05);
        assert_relative_eq!(same_scatter(&tight[..3], &wide[..3]), 1.0);
    }
}
