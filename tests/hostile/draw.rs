//! Where the inputs of a campaign come from, and how it is told which.

use std::time::{SystemTime, UNIX_EPOCH};

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Seconds in a day.
const DAY: u64 = 86_400;

/// The seed of a campaign: that of the day, or the one that is asked for.
fn seed() -> u64 {
    let asked = std::env::var("SETBAND_SEED").ok().and_then(|seed| seed.parse().ok());
    asked.unwrap_or_else(|| {
        let since = SystemTime::now().duration_since(UNIX_EPOCH);
        since.map_or(0, |since| since.as_secs() / DAY)
    })
}

/// How many inputs a campaign tries.
fn rounds(usual: u64) -> u64 {
    let asked = std::env::var("SETBAND_ROUNDS").ok().and_then(|rounds| rounds.parse().ok());
    asked.unwrap_or(usual)
}

/// What is drawn in one round.
pub(crate) struct Draw(ChaCha8Rng);

/// Runs a campaign. What fails says with which seed and in which round.
#[expect(clippy::print_stderr, reason = "whoever runs campaigns wants to know how many and which")]
pub(crate) fn campaign(name: &str, usual: u64, mut round: impl FnMut(&mut Draw)) {
    let (seed, rounds) = (seed(), rounds(usual));
    let begun = std::time::Instant::now();
    for number in 0..rounds {
        let mut draw = Draw(ChaCha8Rng::seed_from_u64(seed ^ (number << 20)));
        let tried = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| round(&mut draw)));
        if let Err(panic) = tried {
            eprintln!("{name}: SETBAND_SEED={seed}, round {number}");
            std::panic::resume_unwind(panic);
        }
    }
    eprintln!("{name}: {rounds} inputs with seed {seed} in {:.1} s", begun.elapsed().as_secs_f64());
}

impl Draw {
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.0.random_range(0..end.max(1))
    }

    pub(crate) fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.random::<f64>()
    }

    pub(crate) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    /// A text with some bytes changed, lost, doubled, or pieces of another put in.
    pub(crate) fn mutated(&mut self, text: &[u8], others: &[&[u8]]) -> Vec<u8> {
        let mut bytes = text.to_vec();
        for _ in 0..=self.below(4) {
            let at = self.below(bytes.len() + 1);
            let end = (at + self.below(40)).min(bytes.len());
            match self.below(8) {
                0 if at < bytes.len() => bytes[at] ^= 1 << self.below(8),
                1 if at < bytes.len() => bytes[at] = *self.one(STRANGE),
                2 => drop(bytes.drain(at..end)),
                3 => {
                    let piece = bytes[at..end].to_vec();
                    bytes.splice(at..at, piece);
                }
                4 => {
                    let other = *self.one(others);
                    let from = self.below(other.len() + 1);
                    let to = (from + self.below(60)).min(other.len());
                    bytes.splice(at..end, other[from..to].iter().copied());
                }
                5 => bytes.truncate(at),
                6 => {
                    let value = *self.one(VALUES);
                    bytes.splice(at..end, value.bytes());
                }
                _ => self.other_number(&mut bytes),
            }
        }
        bytes
    }

    /// Puts another number in the place of one.
    fn other_number(&mut self, bytes: &mut Vec<u8>) {
        let starts: Vec<usize> = (0..bytes.len())
            .filter(|at| {
                bytes[*at].is_ascii_digit() && (*at == 0 || !bytes[at - 1].is_ascii_digit())
            })
            .collect();
        if starts.is_empty() {
            return;
        }
        let start = *self.one(&starts);
        let end = (start..bytes.len()).find(|at| !bytes[*at].is_ascii_digit());
        let value = *self.one(VALUES);
        bytes.splice(start..end.unwrap_or(bytes.len()), value.bytes());
    }
}

const STRANGE: &[u8] = b"\0\t\r\n\"':#-{}[],|>&*!%@`\xff\xc3\xe2";
const VALUES: &[&str] = &[
    "0",
    "-1",
    "1",
    "0.1",
    "0.5",
    "1e308",
    "-1e-308",
    "nan",
    ".inf",
    "99999999999999999999",
    "24:00",
    "2025-02-30",
    "2024-02-29",
    "true",
    "null",
    "~",
    "[]",
    "{}",
    "1 kW",
    "-3 m2",
    "3 min",
    "\u{202e}",
    "=1+1",
    "*",
    "&a",
    "*a",
];
