//! How a unit comes to its output after a start.

use crate::numbers::Number;
use crate::time::{Instant, Seconds};

/// How a unit starts, staged or modulating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartUp {
    /// Time constant with which the delivered capacity rises, s; 0 for none. The electric power is
    /// full at once.
    pub time_constant: f64,
    /// A modulating unit begins at full output, and its lowest falls in a straight line from there to
    /// its turndown, which it reaches after so long.
    pub reach_lowest: Seconds,
}

impl StartUp {
    /// The full output at once, and the lowest from the first second.
    pub const NONE: Self = Self { time_constant: 0.0, reach_lowest: Seconds::ZERO };
    /// Henderson and Rengarajan, ASHRAE Transactions 1996, no. 3958: 76 s.
    pub const USUAL: Self = Self { time_constant: 76.0, reach_lowest: Seconds::ZERO };

    /// The lowest output of a modulating unit with this turndown over a step that begins so many
    /// seconds after its start, as a part of its capacity: that of the middle of the step.
    pub fn lowest(&self, turndown: f64, since_start: f64, step: f64) -> f64 {
        let reach = self.reach_lowest.get() as f64;
        let middle = since_start + step / 2.0;
        if middle >= reach { turndown } else { 1.0 - (1.0 - turndown) * middle / reach }
    }
}

/// The rise `1 - exp(-t/tau)` of the delivered capacity after a start, over steps of one length.
///
/// What a unit still lacks of its output at the start of a step, `exp(-t/tau)`, is all that it has to
/// remember: 1 at the start. One, or several side by side. Source: Henderson and Rengarajan, ASHRAE
/// Transactions 1996, no. 3958.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise<V = f64> {
    /// What is left after a step of what was lacking.
    left: V,
    /// What is lacking on average over a step, as a part of what is lacking at its start.
    mean: V,
}

impl Rise {
    /// With a time constant, over steps of a length, both in seconds.
    pub fn new(time_constant: f64, step: f64) -> Self {
        let mean = -(time_constant / step) * libm::expm1(-step / time_constant);
        Self { left: libm::exp(-step / time_constant), mean }
    }
}

impl<V: Number> Rise<V> {
    /// Units side by side, each in its lane.
    #[inline(always)]
    pub fn from_fn<'r>(token: V::Token, of: impl Fn(usize) -> &'r Rise) -> Self {
        Self {
            left: V::from_fn(token, |lane| of(lane).left),
            mean: V::from_fn(token, |lane| of(lane).mean),
        }
    }

    /// The part of its output that a unit delivers on average over a step.
    #[inline(always)]
    pub fn delivered(&self, lacking: V) -> V {
        lacking.splat(1.0) - lacking * self.mean
    }

    /// What it lacks after the step.
    #[inline(always)]
    pub fn after(&self, lacking: V) -> V {
        /// Less than this is missing from no sum, and smaller numbers are slow.
        const SETTLED: f64 = 1e-30;
        (lacking * self.left).max(lacking.splat(SETTLED))
    }
}

/// What a zone's indoor units remember from step to step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitMemory {
    /// What they lack of their output since the last start, 0 to 1.
    pub lacking: f64,
    /// Until when a plant of the zone's own reverses.
    pub reversing_until: Option<Instant>,
    /// Whether the fan ran in the step before.
    pub fan_ran: bool,
}

impl UnitMemory {
    /// Before the first step.
    pub const START: Self = Self { lacking: 1.0, reversing_until: None, fan_ran: false };

    /// The part of the step that begins `now` in which the circuit of a plant of its own reverses.
    /// `turned` is whether it was last used the other way.
    pub fn reversing_part(
        &mut self,
        turned: bool,
        reversal: Seconds,
        now: Instant,
        step: Seconds,
    ) -> f64 {
        if turned {
            self.reversing_until = Some(now + reversal);
        }
        let left = self.reversing_until.map_or(Seconds::ZERO, |until| until.since(now));
        (left.get() as f64 / step.get() as f64).clamp(0.0, 1.0)
    }

    /// Whether the circuit reverses at an instant.
    pub fn reverses(&self, now: Instant) -> bool {
        self.reversing_until.is_some_and(|until| now < until)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_rise_over_steps_is_the_mean_of_the_exponential() {
        let (tau, step) = (76.0, 60.0);
        let rise = Rise::new(tau, step);
        let mut lacking = 1.0;
        for from in [0.0, 60.0, 120.0] {
            let pieces = 200_000;
            let mean = (0..pieces)
                .map(|piece| from + (f64::from(piece) + 0.5) * step / f64::from(pieces))
                .map(|t| 1.0 - (-t / tau).exp())
                .sum::<f64>()
                / f64::from(pieces);
            assert_relative_eq!(rise.delivered(lacking), mean, epsilon = 1e-10);
            lacking = rise.after(lacking);
        }
        for _ in 0..100_000 {
            lacking = rise.after(lacking);
        }
        assert_eq!(rise.delivered(lacking), 1.0);
        assert_eq!(Rise::new(0.0, step).delivered(1.0), 1.0);
    }

    #[test]
    fn the_lowest_output_falls_from_full_to_turndown() {
        let start_up = StartUp { reach_lowest: Seconds::minutes(10), ..StartUp::NONE };
        let lowest = |minutes: f64| start_up.lowest(0.2, 60.0 * minutes, 60.0);
        assert_relative_eq!(lowest(0.0), 0.96);
        assert_relative_eq!(lowest(4.5), 0.6);
        assert_relative_eq!(lowest(9.5), 0.2);
        assert_relative_eq!(lowest(300.0), 0.2);
        assert_eq!(StartUp::NONE.lowest(0.2, 0.0, 60.0), 0.2);
    }

    #[test]
    fn a_turned_circuit_reverses_for_its_time_and_shares_a_step() {
        let mut memory = UnitMemory::START;
        let mut part = |turned, second| {
            let (reversal, step) = (Seconds::new(150), Seconds::minutes(1));
            memory.reversing_part(turned, reversal, Instant::new(second), step)
        };
        let parts = [(false, 0), (true, 60), (false, 120), (false, 180), (false, 240)];
        let parts = parts.map(|(turned, second)| part(turned, second));
        assert_eq!(parts, [0.0, 1.0, 1.0, 0.5, 0.0]);
    }
}
