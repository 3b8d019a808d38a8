//! Random draws that depend on nothing but who draws, when and for what.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// What a draw decides. The number is part of the stream: never change one, or every result with
/// people changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decision {
    /// What the person prefers.
    Preference = 1,
    /// Whether the person stays away for a day.
    Absence = 2,
    /// When the person comes.
    Arrival = 3,
    /// When the person goes.
    Departure = 4,
    /// When a break begins and ends.
    Break = 5,
    /// How long discomfort is borne.
    Wait = 6,
    /// Whether the person complains.
    Complaint = 7,
    /// Whether the person forgets to switch off.
    Forgetting = 8,
    /// What the person prefers in one hour.
    Mood = 9,
    /// What the person feels in one hour beside what they prefer.
    Feeling = 10,
    /// Whether the person gives up.
    GivingUp = 11,
}

/// A person's own random numbers: `ChaCha8` with a key made of the study's seed and of who the
/// person is, in a stream for each kind of decision and day, at a position for each number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draws {
    key: [u8; 32],
}

impl Draws {
    /// The draws of one person under a seed: the zone's name, the person's and which copy it is.
    pub fn new(seed: u64, zone: &str, name: &str, copy: u32) -> Self {
        let mut key = [0; 32];
        let parts = [seed, hashed(zone), hashed(name), u64::from(copy)];
        for (bytes, part) in key.chunks_exact_mut(8).zip(parts) {
            bytes.copy_from_slice(&part.to_le_bytes());
        }
        Self { key }
    }

    /// The number drawn for the `index`-th decision of a kind on a day, evenly from [0, 1). Days
    /// count from 0 for the first of the period; the day before it is -1.
    pub fn even(&self, decision: Decision, day: i64, index: u32) -> f64 {
        /// What a u64 is shifted by to leave the 53 bits that an f64 keeps.
        const SPARE_BITS: u32 = 11;
        const STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
        let mut random = ChaCha8Rng::from_seed(self.key);
        // Days fit into 32 bits, the day before the first too.
        let day = u64::from(u32::try_from(day + 1).unwrap_or(u32::MAX));
        random.set_stream((decision as u64) << 32 | day);
        random.set_word_pos(2 * u128::from(index));
        (random.next_u64() >> SPARE_BITS) as f64 * STEP
    }

    /// A normal deviate of mean 0 and spread 1, cut at three, by Box and Muller (1958).
    pub fn normal(&self, decision: Decision, day: i64, index: u32) -> f64 {
        let radius = self.even(decision, day, 2 * index);
        let angle = self.even(decision, day, 2 * index + 1);
        let length = libm::sqrt(-2.0 * libm::log(1.0 - radius));
        (length * libm::cos(std::f64::consts::TAU * angle)).clamp(-3.0, 3.0)
    }

    /// An exponentially distributed number of mean 1.
    pub fn exponential(&self, decision: Decision, day: i64, index: u32) -> f64 {
        -libm::log(1.0 - self.even(decision, day, index))
    }
}

/// FNV-1a over 64 bits: short, and the same everywhere.
fn hashed(text: &str) -> u64 {
    let mix = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    text.bytes().fold(0xcbf2_9ce4_8422_2325, mix)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn somebody() -> Draws {
        Draws::new(1, "hall", "ann", 1)
    }

    #[test]
    fn a_draw_depends_on_who_when_and_what_alone() {
        let draw = somebody().even(Decision::Wait, 3, 2);
        for other in [
            Draws::new(2, "hall", "ann", 1).even(Decision::Wait, 3, 2),
            Draws::new(1, "hull", "ann", 1).even(Decision::Wait, 3, 2),
            Draws::new(1, "hall", "anna", 1).even(Decision::Wait, 3, 2),
            Draws::new(1, "hall", "ann", 2).even(Decision::Wait, 3, 2),
            somebody().even(Decision::Complaint, 3, 2),
            somebody().even(Decision::Wait, 4, 2),
            somebody().even(Decision::Wait, 3, 3),
        ] {
            assert_ne!(draw, other);
        }
        assert_eq!(draw, somebody().even(Decision::Wait, 3, 2));
    }

    /// The published test of FNV-1a over 64 bits: draft-eastlake-fnv-17, appendix C, from memory.
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(hashed(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(hashed("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(hashed("foobar"), 0x8594_4171_f739_67e8);
    }

    /// Mean and variance of 20 000 draws lie within five standard errors of the exact ones.
    #[test]
    fn distributions_have_their_moments() {
        let draws = somebody();
        let count = 20_000_u32;
        let moments = |draw: &dyn Fn(u32) -> f64| {
            let values: Vec<f64> = (0..count).map(draw).collect();
            let mean = values.iter().sum::<f64>() / f64::from(count);
            let square = values.iter().map(|it| (it - mean) * (it - mean)).sum::<f64>();
            (mean, square / f64::from(count))
        };
        let error = |spread: f64| 5.0 * spread / f64::from(count).sqrt();
        let (mean, variance) = moments(&|at| draws.even(Decision::Wait, 0, at));
        assert!((mean - 0.5).abs() < error(0.2887), "{mean}");
        assert!((variance - 1.0 / 12.0).abs() < error(0.0745), "{variance}");
        let (mean, variance) = moments(&|at| draws.exponential(Decision::Break, 0, at));
        assert!((mean - 1.0).abs() < error(1.0), "{mean}");
        assert!((variance - 1.0).abs() < error(2.8285), "{variance}");
        // Cutting at three takes 0.27 % of the draws and about 0.5 % of the variance.
        let (mean, variance) = moments(&|at| draws.normal(Decision::Arrival, 0, at));
        assert!(mean.abs() < error(1.0), "{mean}");
        assert!((variance - 0.9946).abs() < error(1.4143), "{variance}");
    }
}
