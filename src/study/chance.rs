//! Distributions and random numbers: the same on every machine and for any number of threads.

use rand::Rng;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// Halvings of an interval: beyond the digits of an `f64`.
const HALVINGS: u32 = 200;

/// A stream of random numbers: one of many that a seed has, each for one purpose.
#[derive(Clone, Debug)]
pub(super) struct Chance(ChaCha8Rng);

impl Chance {
    /// The stream of that number.
    pub(super) fn new(seed: u64, stream: u64) -> Self {
        let mut source = ChaCha8Rng::seed_from_u64(seed);
        source.set_stream(stream);
        Self(source)
    }

    /// The stream of that number, from its number at `place` on: so that a part of a study has
    /// the numbers that the whole has.
    pub(super) fn at(seed: u64, stream: u64, place: u64) -> Self {
        let mut chance = Self::new(seed, stream);
        // A number is two words of the stream.
        chance.0.set_word_pos(u128::from(place) * 2);
        chance
    }

    /// Evenly likely in 0 to 1, ends excluded.
    pub(super) fn part(&mut self) -> f64 {
        // 53 bits, as many as an `f64` has, in the middle of their interval.
        ((self.0.next_u64() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// A whole number below `end`, evenly likely to within 1 in 2^53.
    pub(super) fn below(&mut self, end: usize) -> usize {
        let number = u128::from(self.0.next_u64()) * end as u128;
        usize::try_from(number >> 64).unwrap_or(0)
    }
}

/// The point below which lies the part `part` of a standard normal distribution.
pub(super) fn normal_quantile(part: f64) -> f64 {
    let below = |point: f64| 0.5 * libm::erfc(-point / core::f64::consts::SQRT_2);
    invert(part, (-40.0, 40.0), below)
}

/// The point below which lies the part `part` of Student's distribution with so many degrees of
/// freedom.
pub(super) fn student_quantile(part: f64, freedom: f64) -> f64 {
    let below = |point: f64| {
        let tail = 0.5 * incomplete_beta(freedom / 2.0, 0.5, freedom / (freedom + point * point));
        if point > 0.0 { 1.0 - tail } else { tail }
    };
    invert(part, (-1e6, 1e6), below)
}

/// The point below which lies the part `part` of Fisher's distribution with so many degrees of
/// freedom above and below the line (Abramowitz and Stegun 1964, 26.6.2).
pub(super) fn fisher_quantile(part: f64, above: f64, under: f64) -> f64 {
    let below = |point: f64| {
        let x = under / (under + above * point);
        1.0 - incomplete_beta(under / 2.0, above / 2.0, x)
    };
    invert(part, (0.0, 1e9), below)
}

/// Where a rising function has a value.
fn invert(value: f64, (mut low, mut high): (f64, f64), function: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if function(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// The regularised incomplete beta function: Abramowitz and Stegun, Handbook of Mathematical
/// Functions (1964), 26.5.8 (continued fraction) with 26.5.2 (symmetry).
fn incomplete_beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = libm::exp(
        libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b)
            + a * libm::log(x)
            + b * libm::log1p(-x),
    );
    if x < (a + 1.0) / (a + b + 2.0) {
        front * continued_fraction(a, b, x) / a
    } else {
        1.0 - front * continued_fraction(b, a, 1.0 - x) / b
    }
}

/// Evaluated from the front by the modified Lentz method.
fn continued_fraction(a: f64, b: f64, x: f64) -> f64 {
    const SMALL: f64 = 1e-300;
    const MOST_TERMS: u32 = 10_000;
    let held = |value: f64| if value.abs() < SMALL { SMALL } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / held(1.0 - (a + b) * x / (a + 1.0));
    let mut sum = d;
    for term in 1..=MOST_TERMS {
        let m = f64::from(term);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / held(1.0 + even * d);
        c = held(1.0 + even / c);
        sum *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / held(1.0 + odd * d);
        c = held(1.0 + odd / c);
        sum *= d * c;
        if (d * c - 1.0).abs() < 1e-15 {
            break;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper 2.5 % points of Student's distribution: NIST/SEMATECH e-Handbook of Statistical
    /// Methods, table 1.3.6.7.2, three decimals.
    const STUDENT: [(f64, f64); 7] = [
        (1.0, 12.706),
        (2.0, 4.303),
        (4.0, 2.776),
        (9.0, 2.262),
        (19.0, 2.093),
        (29.0, 2.045),
        (100.0, 1.984),
    ];

    #[test]
    fn quantiles_are_those_of_the_tables() {
        for (freedom, point) in STUDENT {
            let found = student_quantile(0.975, freedom);
            assert!((found - point).abs() < 5.1e-4, "{freedom}: {found}");
            assert!((student_quantile(0.025, freedom) + found).abs() < 1e-9, "{freedom}");
        }
        // The same handbook, table 1.3.6.7.1: 1.96 and 1.645.
        assert!((normal_quantile(0.975) - 1.959_96).abs() < 1e-5);
        assert!((normal_quantile(0.05) + 1.644_85).abs() < 1e-5);
        // Upper 5 % points of Fisher's distribution, table 1.3.6.7.3: 2 and 9, 3 and 20 degrees.
        assert!((fisher_quantile(0.95, 2.0, 9.0) - 4.256).abs() < 1e-3);
        assert!((fisher_quantile(0.95, 3.0, 20.0) - 3.098).abs() < 1e-3);
        // One degree above the line: the square of Student's.
        let student = student_quantile(0.975, 7.0);
        assert!((fisher_quantile(0.95, 1.0, 7.0) - student * student).abs() < 1e-6);
        assert!((student_quantile(0.975, 1e6) - normal_quantile(0.975)).abs() < 1e-5);
    }

    #[test]
    fn streams_can_be_entered_anywhere_and_differ() {
        let mut whole = Chance::new(7, 3);
        let numbers: Vec<f64> = (0..9).map(|_| whole.part()).collect();
        for (place, number) in (0..).zip(&numbers) {
            assert_eq!(Chance::at(7, 3, place).part(), *number);
        }
        assert_ne!(Chance::new(7, 4).part(), numbers[0]);
        assert_ne!(Chance::new(8, 3).part(), numbers[0]);
        let mut chance = Chance::new(1, 1);
        assert!((0..1000).all(|_| chance.below(3) < 3));
    }
}
