//! What draws say about a figure: mean, spread, and how sure the mean is.

use serde::Serialize;

use super::super::chance::{Chance, student_quantile};
use crate::study::quantile::quantile;

/// How often an interval is to hold the true mean.
pub const CONFIDENCE: f64 = 0.95;

/// Few draws of a skewed figure meet little of its tail, and look less skewed than it is: by about
/// so much (our simulations of lognormal figures of 8 to 50 draws; no source).
const TAILS_NOT_MET: f64 = 2.0;

/// What draws say about a figure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// How many draws.
    pub draws: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation; `null` for a single draw.
    pub deviation: Option<f64>,
    /// Where the true mean lies with 95 % confidence; `null` for a single draw. It reaches as far
    /// as Student's interval and Hall's (see [`estimate`]); where most draws are alike, also as
    /// far as what has not been met yet may reach (see [`estimate_within`]).
    pub interval: Option<[f64; 2]>,
    /// The values below which lie 10, 50 and 90 % of the draws, linear between draws.
    pub quantiles: [f64; 3],
}

impl Estimate {
    /// Whether the interval, or the mean where there is none, leaves zero out.
    pub fn is_not_zero(&self) -> bool {
        self.interval.map_or(self.mean != 0.0, |[low, high]| low > 0.0 || high < 0.0)
    }

    /// The interval as wide as it must be for one of several that was picked, by Student's
    /// distribution (Bonferroni).
    pub(super) fn interval_of_one_in(&self, several: usize) -> Option<[f64; 2]> {
        let part = 1.0 - (0.5 - CONFIDENCE / 2.0) / several.max(1) as f64;
        let half = self.deviation.map(|deviation| {
            student_quantile(part, self.draws as f64 - 1.0) * deviation / (self.draws as f64).sqrt()
        });
        half.map(|half| [self.mean - half, self.mean + half])
    }

    /// Half the width of the interval; zero where there is none.
    pub fn half_width(&self) -> f64 {
        self.interval.map_or(0.0, |[low, high]| 0.5 * (high - low))
    }
}

/// What values say; `None` where there are none.
///
/// The interval covers two: Student's, which is exact for normal figures, and the one of Hall
/// (1992, Journal of the Royal Statistical Society B 54), which allows for skewness: for skewed
/// figures Student's alone holds the mean too seldom.
pub fn estimate(values: &[f64]) -> Option<Estimate> {
    let draws = values.len();
    if draws == 0 {
        return None;
    }
    let count = draws as f64;
    // Summing differences from the first value keeps a mean of equal values equal to them.
    let first = values[0];
    let mean = first + values.iter().map(|value| value - first).sum::<f64>() / count;
    let power = |exponent: i32| {
        let sum = values.iter().map(|value| (0..exponent).fold(1.0, |all, _| all * (value - mean)));
        sum.sum::<f64>()
    };
    let variance = power(2) / (count - 1.0).max(1.0);
    let deviation = (draws > 1).then(|| variance.sqrt());
    let interval = deviation.map(|deviation| {
        let reach = student_quantile(0.5 + CONFIDENCE / 2.0, count - 1.0);
        let error = deviation / count.sqrt();
        let skew = if draws > 2 && deviation > 0.0 {
            let moments = power(3) / count / libm::pow(power(2) / count, 1.5);
            TAILS_NOT_MET * moments * (count * (count - 1.0)).sqrt() / (count - 2.0)
        } else {
            0.0
        };
        let [low, high] = skewed(reach, skew / count.sqrt());
        [mean - reach.max(high) * error, mean + reach.max(-low) * error]
    });
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let quantiles = [0.1, 0.5, 0.9].map(|part| quantile(&sorted, part));
    Some(Estimate { draws, mean, deviation, interval, quantiles })
}

/// Where the studentised mean lies between `-reach` and `reach` of its distribution, at a skewness
/// over the root of the number of draws of `skew`: Hall's cubic transformation, turned round.
fn skewed(reach: f64, skew: f64) -> [f64; 2] {
    if skew.abs() < 1e-6 {
        return [-reach, reach];
    }
    [-reach, reach].map(|point| 3.0 / skew * (libm::cbrt(1.0 + skew * (point - skew / 6.0)) - 1.0))
}

/// What values say of a figure that lies between zero and a bound, if one is known. Where most
/// draws are alike, what makes the difference may not have been met yet: then the interval is also
/// as wide as that of Gaffke (2005; for draws that are all alike the exact one of Clopper and
/// Pearson 1934 for how often another could come, at the bound), which holds for whatever
/// distribution between them.
pub fn estimate_within(values: &[f64], bound: Option<f64>) -> Option<Estimate> {
    let mut it = estimate(values)?;
    if let (Some(bound), Some([low, high])) = (bound, it.interval)
        && is_rare(values)
    {
        let bound = values.iter().copied().fold(bound, f64::max);
        let [least, most] = rare(values, bound);
        it.interval = Some([low.min(least).max(0.0), high.max(most).min(bound)]);
    }
    Some(it)
}

/// Whether most that may come has hardly come yet: a value stands there several times, and few
/// others do.
fn is_rare(values: &[f64]) -> bool {
    /// With so many others than the commonest value their own spread tells enough.
    const OTHERS: usize = 15;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let runs = sorted.chunk_by(|one, two| one == two).map(<[f64]>::len);
    let commonest = runs.max().unwrap_or(0);
    commonest >= 2 && commonest * 10 >= values.len() && values.len() - commonest < OTHERS
}

/// The interval of Gaffke: quantiles of means in which every value, and the bound on its side,
/// has a random weight (those of a Dirichlet distribution). The numbers are always the same.
fn rare(values: &[f64], bound: f64) -> [f64; 2] {
    const MEANS: usize = 1000;
    let tail = 0.5 - CONFIDENCE / 2.0;
    let count = values.len() as f64;
    let first = values[0];
    if values.iter().all(|value| *value == first) {
        // The weight of the bound alone: a beta distribution of one and `count`.
        let weight = 1.0 - libm::pow(tail, 1.0 / count);
        return [first * (1.0 - weight), first + (bound - first) * weight];
    }
    let mut chance = Chance::new(0, 1);
    let mut weight = || -libm::log(chance.part());
    let (mut lows, mut highs) = (Vec::with_capacity(MEANS), Vec::with_capacity(MEANS));
    for _ in 0..MEANS {
        let (mut sum, mut all) = (0.0, 0.0);
        for value in values {
            let own = weight();
            (sum, all) = (sum + own * value, all + own);
        }
        let own = weight();
        lows.push(sum / (all + own));
        highs.push((sum + own * bound) / (all + own));
    }
    lows.sort_by(f64::total_cmp);
    highs.sort_by(f64::total_cmp);
    [quantile(&lows, tail), quantile(&highs, 1.0 - tail)]
}

/// What draws that two settings share say about the second less the first: what chance does to
/// both alike falls out.
pub fn paired_difference(first: &[Option<f64>], second: &[Option<f64>]) -> Option<Estimate> {
    let both = first.iter().zip(second).filter_map(|(one, two)| Some((*two)? - (*one)?));
    estimate(&both.collect::<Vec<f64>>())
}

#[cfg(test)]
mod tests {
    use super::super::super::chance::{Chance, normal_quantile};
    use super::*;

    #[test]
    fn equal_draws_leave_no_doubt() {
        let it = estimate(&[0.1; 7]).expect("draws");
        assert_eq!((it.mean, it.interval), (0.1, Some([0.1, 0.1])));
        assert_eq!(it.quantiles, [0.1; 3]);
        let single = estimate(&[3.0]).expect("a draw");
        assert_eq!((single.interval, single.deviation), (None, None));
        assert_eq!(estimate(&[]), None);
    }

    #[test]
    fn quantiles_lie_between_draws() {
        let it = estimate(&[4.0, 1.0, 2.0, 3.0, 5.0]).expect("draws");
        assert_eq!(it.quantiles, [1.4, 3.0, 4.6]);
        assert_eq!(it.mean, 3.0);
        // Variance 2.5, t(0.975, 4) = 2.776 (NIST e-Handbook, table 1.3.6.7.2).
        let [low, high] = it.interval.expect("an interval");
        assert!((high - low - 2.0 * 2.776 * (2.5_f64 / 5.0).sqrt()).abs() < 1e-3);
    }

    /// A known answer: draws of a normal distribution with mean 5 and deviation 2. Of 2000 studies
    /// of 8 draws each, 95 % should hold the mean; the count then has a standard deviation of
    /// sqrt(2000 * 0.95 * 0.05) = 9.7, and four of them are exceeded once in 16,000 seeds. The
    /// seed is fixed.
    #[test]
    fn intervals_hold_the_true_mean_as_often_as_they_say() {
        const STUDIES: usize = 2000;
        const FOUR_DEVIATIONS: f64 = 39.0;
        let mut chance = Chance::new(20, 1);
        let mut normal = |mean: f64| mean + 2.0 * normal_quantile(chance.part());
        let (mut held, mut difference_held) = (0, 0);
        let holds = |interval: Option<[f64; 2]>, truth: f64| {
            u32::from(interval.is_some_and(|[low, high]| low <= truth && truth <= high))
        };
        for _ in 0..STUDIES {
            let draws: Vec<f64> = (0..8).map(|_| normal(5.0)).collect();
            held += holds(estimate(&draws).expect("draws").interval, 5.0);
            let others: Vec<f64> = draws.iter().map(|it| it + 0.1 * normal(10.0)).collect();
            let some = |all: &[f64]| all.iter().copied().map(Some).collect::<Vec<_>>();
            let difference = paired_difference(&some(&draws), &some(&others));
            difference_held += holds(difference.expect("draws").interval, 1.0);
        }
        // Allowing for skewness makes them a little wider than Student's, which hold 95 %.
        for held in [held, difference_held].map(f64::from) {
            let least = STUDIES as f64 * CONFIDENCE - FOUR_DEVIATIONS;
            assert!((least..0.98 * STUDIES as f64).contains(&held), "{held} of {STUDIES} held");
        }
    }

    /// How often of 1000 studies the interval holds the mean of a figure between 0 and 24, with the
    /// bound that a sweep of one setting takes: three times the most that was met.
    fn coverage(draws: usize, mean: f64, seed: u64, draw: impl Fn(&mut Chance) -> f64) -> u32 {
        let mut chance = Chance::new(seed, 2);
        let mut held = 0;
        for _ in 0..1000 {
            let values: Vec<f64> = (0..draws).map(|_| draw(&mut chance)).collect();
            let most = values.iter().copied().fold(0.0, f64::max);
            let bound = if most > 0.0 { 24.0_f64.min(3.0 * most) } else { 24.0 };
            let [low, high] =
                estimate_within(&values, Some(bound)).and_then(|it| it.interval).expect("draws");
            held += u32::from(low <= mean && mean <= high);
        }
        held
    }

    /// Figures as starved hours are: nothing in most draws, hours in few; and skewed ones without
    /// zeros. At least 93 % of the intervals are to hold the mean; Student's alone hold it in 58 %
    /// of the first case, since 42 % of its studies meet nothing but zeros.
    #[test]
    fn intervals_of_rare_and_skewed_figures_hold_their_level() {
        let exponential = |chance: &mut Chance| -libm::log(chance.part());
        let lognormal = |chance: &mut Chance| libm::exp(normal_quantile(chance.part()));
        let seldom = |part: f64, value: f64, chance: &mut Chance| {
            if chance.part() < part { value } else { 0.0 }
        };
        let mean_of_lognormal = libm::exp(0.5);
        for draws in [20, 50, 100] {
            let cases = [
                coverage(draws, 0.32, 1, |it| seldom(0.0425, 0.32 / 0.0425, it)),
                coverage(draws, 0.2, 2, |it| {
                    let value = exponential(it);
                    seldom(0.2, value, it)
                }),
                coverage(draws, 0.5 * mean_of_lognormal, 3, |it| {
                    let value = lognormal(it);
                    seldom(0.5, value, it)
                }),
                coverage(draws, 1.0, 4, exponential),
                coverage(draws, mean_of_lognormal, 5, lognormal),
            ];
            assert!(cases.iter().all(|held| *held >= 930), "{draws} draws: {cases:?} of 1000");
        }
    }

    #[test]
    fn draws_that_are_all_zero_leave_room_for_what_has_not_come() {
        // 1 - 0.025^(1/20) = 0.16843 of 24: the upper end of Clopper and Pearson for 0 of 20.
        let it = estimate_within(&[0.0; 20], Some(24.0)).expect("draws");
        let [low, high] = it.interval.expect("an interval");
        assert!(low == 0.0 && (high - 24.0 * 0.168_43).abs() < 1e-3, "{low} {high}");
        assert_eq!(estimate_within(&[0.0; 20], None).and_then(|it| it.interval), Some([0.0, 0.0]));
    }

    /// What both settings share falls out of a paired difference.
    #[test]
    fn common_chance_falls_out_of_a_difference() {
        let mut chance = Chance::new(3, 1);
        let first: Vec<Option<f64>> = (0..20).map(|_| Some(100.0 * chance.part())).collect();
        let second: Vec<Option<f64>> = first.iter().map(|it| it.map(|it| it + 2.0)).collect();
        let paired = paired_difference(&first, &second).expect("draws");
        assert!(paired.is_not_zero() && paired.half_width() < 1e-9);
    }
}
