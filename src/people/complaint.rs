//! When somebody who is left uncomfortable complains.

use crate::time::Seconds;

/// How somebody complains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complaining {
    /// Discomfort is borne for so long before anybody thinks of it.
    pub after: Seconds,
    /// Complaints an hour of somebody who is certainly dissatisfied, 1/h; 0 for never.
    pub rate: f64,
    /// So far from what the person prefers is a whole vote of the scale of ISO 7730, K.
    pub kelvin_per_vote: f64,
}

impl Complaining {
    /// The probability of a complaint within so long, at a vote.
    pub fn probability(&self, vote: f64, within: Seconds) -> f64 {
        let rate = self.rate * weight(vote);
        -libm::expm1(-rate * within.in_hours())
    }
}

/// How dissatisfied somebody is at a vote, 0 to 1: what the percentage dissatisfied has more than
/// the 5 % who are so at any temperature.
fn weight(vote: f64) -> f64 {
    (predicted_percentage_dissatisfied(vote) - 5.0) / 95.0
}

/// Predicted percentage dissatisfied at a predicted mean vote: ISO 7730:2005, eq. (5).
pub fn predicted_percentage_dissatisfied(vote: f64) -> f64 {
    let square = vote * vote;
    100.0 - 95.0 * libm::exp(-0.03353 * square * square - 0.2179 * square)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn complaining() -> Complaining {
        Complaining { after: Seconds::ZERO, rate: 1.0, kelvin_per_vote: 3.0 }
    }

    #[test]
    fn nobody_complains_at_what_they_prefer_and_more_the_further_away() {
        let at = |distance: f64| complaining().probability(distance / 3.0, Seconds::hours(1));
        assert_eq!(at(0.0), 0.0);
        assert!(at(1.0) < at(2.0) && at(2.0) < at(6.0) && at(6.0) < 1.0);
        assert_eq!(at(-2.0), at(2.0));
    }

    /// Two quarters of an hour without a complaint are half an hour without one.
    #[test]
    fn the_probability_does_not_hang_on_how_time_is_cut() {
        let within =
            |minutes| 1.0 - complaining().probability(4.0 / 3.0, Seconds::minutes(minutes));
        assert!((within(15) * within(15) - within(30)).abs() < 1e-12);
    }
}
