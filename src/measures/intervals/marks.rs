//! Steps of an interval as bits, the first step lowest.

use std::ops::Range;

use crate::measures::opposed::BIN;
use crate::measures::pmv_tally::BETWEEN_PMVS;
use crate::numbers::{low_bits, ones};
use crate::time::{Instant, Seconds};

/// Steps in pieces, of which the first begins at the first step and each other at a one.
pub(super) fn pieces(begins: u64, steps: usize) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    ones(last_before(begins, steps)).map(move |last| {
        let piece = start..last + 1;
        start = piece.end;
        piece
    })
}

/// The last of so many steps, and those before which others begin.
fn last_before(begins: u64, steps: usize) -> u64 {
    (begins >> 1 | 1 << (steps - 1)) & low_bits(steps)
}

/// What the clock alone marks in an interval; most zones have the same.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Marks {
    /// Start of the interval, length of a step, number of steps.
    of: (Instant, Seconds, usize),
    /// In which steps a bin of opposed heat begins, but for the first, and in which a PMV is due
    /// for: the first step lowest.
    pub(super) new_bin: u64,
    pub(super) pmvs: u64,
}

impl Marks {
    pub(super) fn of(&mut self, from: Instant, step: Seconds, steps: usize) -> Self {
        if self.of != (from, step, steps) {
            let new_bin = begins(from, step, steps, BIN);
            let pmvs = multiples(from, step, steps, BETWEEN_PMVS);
            *self = Self { of: (from, step, steps), new_bin, pmvs };
        }
        *self
    }
}

/// Which of so many steps begin at a multiple of some time: the first step lowest.
fn multiples(from: Instant, step: Seconds, steps: usize, of: Seconds) -> u64 {
    let past = from.get().rem_euclid(of.get());
    let to_next = if past == 0 { 0 } else { of.get() - past };
    every(to_next, step, steps, of, |wait| wait % step.get() == 0)
}

/// Which of so many steps, but for the first, begin in another interval of some length than the
/// step before.
fn begins(from: Instant, step: Seconds, steps: usize, length: Seconds) -> u64 {
    let to_next = length.get() - from.get().rem_euclid(length.get());
    every(to_next, step, steps, length, |_| true)
}

/// The first of so many steps that begin at or after some instants, if they are wanted: the first
/// instant is some seconds ahead, the others follow at a distance.
fn every(
    mut ahead: i64,
    step: Seconds,
    steps: usize,
    distance: Seconds,
    wanted: impl Fn(i64) -> bool,
) -> u64 {
    let step = step.get();
    let end = i64::try_from(steps).map_or(i64::MAX, |steps| steps * step);
    let mut marks = 0;
    while ahead <= end - step {
        if wanted(ahead) {
            marks |= 1 << ((ahead + step - 1) / step);
        }
        ahead += distance.get();
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pieces_cover_the_steps_in_order() {
        let found = |begins, steps| pieces(begins, steps).collect::<Vec<_>>();
        assert_eq!(pieces(0, 5).next(), Some(0..5));
        assert_eq!(pieces(0, 5).count(), 1);
        assert_eq!(found(0b1_0010, 5), [0..1, 1..4, 4..5]);
        // What begins after the last step counts for nothing.
        assert_eq!(found(0b110_0000, 6), [0..5, 5..6]);
        assert_eq!(found(1 << 63, 64), [0..63, 63..64]);
    }

    proptest! {
        /// Against looking at every step.
        #[test]
        fn marks_are_those_of_each_step_by_itself(
            from in -4000..4000_i64, step in 1..4000_i64,
            steps in 1..=64_usize, length in 1..4000_i64,
        ) {
            let (step, length) = (Seconds::new(step), Seconds::new(length));
            let multiple = multiples(Instant::new(from), step, steps, length);
            let begun = begins(Instant::new(from), step, steps, length);
            let mut at = from;
            for place in 0..steps {
                let is_multiple = at.rem_euclid(length.get()) == 0;
                prop_assert_eq!(multiple >> place & 1 == 1, is_multiple, "{}", place);
                let before = (at - step.get()).div_euclid(length.get());
                let has_begun = place > 0 && at.div_euclid(length.get()) != before;
                prop_assert_eq!(begun >> place & 1 == 1, has_begun, "{}", place);
                at += step.get();
            }
            prop_assert_eq!(multiple & !low_bits(steps) | begun & !low_bits(steps), 0);
        }
    }
}
