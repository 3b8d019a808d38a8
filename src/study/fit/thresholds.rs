//! Where a zone's unit was seen to start and stop, beside its setpoint.

use super::electricity::Estimated;
use crate::direction::Direction;
use crate::study::audit::{Course, switchings};

/// So many free switchings tell a threshold.
const ENOUGH: usize = 6;

/// A threshold of a zone's calls, in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// In which direction.
    pub direction: Direction,
    /// Whether a call begins there; else it ends there.
    pub begins: bool,
    /// How far from the setpoint: for a start to its outside, for an end to its inside. The median,
    /// with the interval of 95 % of a median by order.
    pub distance: Estimated,
    /// How many switchings told it.
    pub count: usize,
}

/// The thresholds that a course tells: the middle of the readings before and after each switching
/// that neither a timer nor a change of settings can have made.
pub(super) fn thresholds(course: &Course) -> Vec<Threshold> {
    let mut found = Vec::new();
    for direction in Direction::BOTH {
        for begins in [true, false] {
            let side = match (direction, begins) {
                (Direction::Heating, true) | (Direction::Cooling, false) => -1.0,
                (Direction::Cooling, true) | (Direction::Heating, false) => 1.0,
            };
            let mut distances: Vec<f64> = switchings(course, begins)
                .iter()
                .filter(|it| it.direction == direction && it.free)
                .map(|it| side * f64::midpoint(it.error, it.before))
                .collect();
            if distances.len() < ENOUGH {
                continue;
            }
            distances.sort_by(f64::total_cmp);
            let count = distances.len();
            // The ranks between which a median lies: Conover, Practical Nonparametric Statistics.
            let reach = 0.98 * (count as f64).sqrt();
            let middle = count as f64 / 2.0;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "ranks within a list"
            )]
            let rank = |at: f64| distances[(at.max(0.0) as usize).min(count - 1)];
            let distance = Estimated {
                value: rank(middle),
                low: rank(middle - reach),
                high: rank(middle + reach),
            };
            found.push(Threshold { direction, begins, distance, count });
        }
    }
    found
}
