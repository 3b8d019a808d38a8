//! Opposed energy: heat that is put into a zone and taken out again, or the reverse, within four
//! hours.

use crate::direction::Direction;
use crate::time::{Instant, Seconds};

/// Heat that is undone within this time is opposed.
pub const OPPOSED_WITHIN: Seconds = Seconds::hours(4);
/// Heat is kept in bins of this length, so that memory does not grow with the number of steps.
pub(super) const BIN: Seconds = Seconds::minutes(5);

/// Matches the heat of each direction against what the other gave shortly before, oldest first;
/// each watt-second is matched once.
#[derive(Clone, Debug, Default)]
pub struct Opposed {
    /// What has not been undone yet, by direction.
    waiting: [Waiting; 2],
    matched: f64,
    /// The bin that is being filled, and has not been matched yet.
    present: Option<Bin>,
}

/// Heat of one direction in the bins of the last hours, J: each bin has its place, which it leaves
/// to a later one that comes long after it could still be undone.
#[derive(Clone, Debug)]
struct Waiting {
    heat: [f64; PLACES],
    /// The newest bin.
    newest: i64,
}

/// More than the bins in which heat may be undone.
const PLACES: usize = 64;
#[expect(clippy::cast_possible_wrap, reason = "64")]
const AROUND: i64 = PLACES as i64;
const _: () = assert!(OPPOSED_WITHIN.get() / BIN.get() < AROUND);

impl Default for Waiting {
    fn default() -> Self {
        Self { heat: [0.0; PLACES], newest: i64::MIN }
    }
}

impl Waiting {
    fn place(&mut self, bin: i64) -> &mut f64 {
        &mut self.heat[usize::try_from(bin.rem_euclid(AROUND)).unwrap_or(0)]
    }

    fn add(&mut self, bin: i64, heat: f64) {
        let first_new = self.newest.saturating_add(1).max(bin - AROUND + 1);
        for between in first_new..=bin {
            *self.place(between) = 0.0;
        }
        self.newest = self.newest.max(bin);
        *self.place(bin) += heat;
    }
}

/// What is given in one direction within five minutes.
#[derive(Clone, Copy, Debug)]
struct Bin {
    direction: Direction,
    number: i64,
    /// J.
    heat: f64,
}

impl Opposed {
    /// Adds heat given in a direction at an instant, J.
    pub fn add(&mut self, direction: Direction, at: Instant, heat: f64) {
        let sum = self.in_bin(direction, at) + heat;
        self.set_bin(direction, at, sum);
    }

    /// What the bin of an instant has so far, J.
    pub(super) fn in_bin(&self, direction: Direction, at: Instant) -> f64 {
        let number = at.get().div_euclid(BIN.get());
        let same = |bin: &Bin| bin.direction == direction && bin.number == number;
        self.present.filter(same).map_or(0.0, |bin| bin.heat)
    }

    /// Says what the bin of an instant has by now, J: no less than before.
    pub(super) fn set_bin(&mut self, direction: Direction, at: Instant, heat: f64) {
        if heat <= 0.0 {
            return;
        }
        let next = Bin { direction, number: at.get().div_euclid(BIN.get()), heat };
        let same = |bin: &Bin| bin.direction == direction && bin.number == next.number;
        if let Some(present) = self.present.replace(next).filter(|bin| !same(bin)) {
            self.match_bin(present);
        }
    }

    /// Lets heat undo what the other direction gave, oldest first; what is left waits.
    fn match_bin(&mut self, Bin { direction, number, heat }: Bin) {
        let oldest = number - OPPOSED_WITHIN.get() / BIN.get();
        let against = &mut self.waiting[direction.opposite() as usize];
        let mut left = heat;
        for bin in oldest..=against.newest {
            let waiting = against.place(bin);
            let undone = left.min(*waiting);
            *waiting -= undone;
            left -= undone;
            self.matched += undone;
            if left <= 0.0 {
                break;
            }
        }
        self.waiting[direction as usize].add(number, left);
    }

    /// Heat that was undone within four hours, J: each pair counted once.
    pub fn matched(&self) -> f64 {
        let mut ended = self.clone();
        if let Some(present) = ended.present.take() {
            ended.match_bin(present);
        }
        ended.matched
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn hour(hour: i64) -> Instant {
        Instant::new(hour * 3600)
    }

    #[test]
    fn heat_undone_within_four_hours_counts_once() {
        let mut opposed = Opposed::default();
        opposed.add(Direction::Heating, hour(8), 100.0);
        opposed.add(Direction::Cooling, hour(10), 60.0);
        assert_relative_eq!(opposed.matched(), 60.0);
        opposed.add(Direction::Cooling, hour(11), 60.0);
        assert_relative_eq!(opposed.matched(), 100.0);
        opposed.add(Direction::Heating, hour(12), 50.0);
        assert_relative_eq!(opposed.matched(), 120.0);
    }

    #[test]
    fn heat_undone_later_does_not_count() {
        let mut opposed = Opposed::default();
        opposed.add(Direction::Heating, hour(8), 100.0);
        opposed.add(Direction::Cooling, hour(13), 100.0);
        assert_relative_eq!(opposed.matched(), 0.0);
    }
}
