//! The steps that a log is put on.

use crate::log::LogTime;
use crate::time::Seconds;

/// Steps of one length, one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Grid {
    /// When the first begins.
    pub from: LogTime,
    /// How long each is.
    pub step: Seconds,
    /// How many there are.
    pub count: usize,
}

impl Grid {
    /// When a step begins.
    pub fn at(&self, place: usize) -> LogTime {
        self.from + self.seconds(place)
    }

    /// From the first step's beginning to a step's, s.
    #[expect(clippy::cast_possible_wrap, reason = "steps of a log")]
    fn seconds(&self, place: usize) -> i64 {
        place as i64 * self.step.get()
    }

    /// The step whose beginning lies nearest to a time, if there is one within half a step.
    pub fn nearest(&self, at: LogTime) -> Option<usize> {
        let half = self.step.get() / 2;
        self.holding(at + half)
    }

    /// The step in which a time lies.
    pub fn holding(&self, at: LogTime) -> Option<usize> {
        let place = (at - self.from).div_euclid(self.step.get());
        usize::try_from(place).ok().filter(|place| *place < self.count)
    }

    /// How many steps there are in so many seconds, at least one.
    pub fn steps_in(&self, seconds: i64) -> usize {
        usize::try_from(seconds / self.step.get()).unwrap_or(0).max(1)
    }

    /// Gives what holds from one time to another to the steps between: with each step the part of it
    /// that lies there, 0 to 1.
    pub fn share_out(&self, from: LogTime, to: LogTime, mut give: impl FnMut(usize, f64)) {
        let last = self.at(self.count);
        let (mut from, to) = (from.max(self.from), to.min(last));
        while from < to {
            let Some(place) = self.holding(from) else { return };
            let end = self.at(place + 1).min(to);
            give(place, (end - from) as f64 / self.step.get() as f64);
            from = end;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_holds_is_shared_out_by_time() {
        let grid = Grid { from: LogTime::new(600), step: Seconds::minutes(1), count: 10 };
        let mut parts = Vec::new();
        grid.share_out(LogTime::new(630), LogTime::new(750), |at, part| parts.push((at, part)));
        assert_eq!(parts, [(0, 0.5), (1, 1.0), (2, 0.5)]);
        assert_eq!(grid.nearest(LogTime::new(629)), Some(0));
        assert_eq!(grid.nearest(LogTime::new(630)), Some(1));
        assert_eq!(grid.nearest(LogTime::new(560)), None);
        assert_eq!(grid.holding(LogTime::new(1200)), None);
    }
}
