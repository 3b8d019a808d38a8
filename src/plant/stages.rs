//! The stages of a staged unit.

/// The most stages that a unit has.
pub const MOST_STAGES: usize = 4;

/// What a unit gives and takes at each of its stages, lowest first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stages {
    shares: [f64; MOST_STAGES],
    powers: [f64; MOST_STAGES],
    count: usize,
    /// From one stage to the next the sensed temperature has to lie this much further outside, in
    /// the file's unit.
    step: f64,
}

impl Stages {
    /// One stage at full capacity.
    pub const SINGLE: Self =
        Self { shares: [1.0; MOST_STAGES], powers: [1.0; MOST_STAGES], count: 1, step: 0.0 };

    /// Stages at these parts of capacity and of full electric power, `step` apart in the file's
    /// unit. `None` unless there are 1 to [`MOST_STAGES`] of them, above 0, parts of capacity
    /// rising, the last of each 1, and as many of power as of capacity.
    pub fn new(shares: &[f64], powers: &[f64], step: f64) -> Option<Self> {
        let rising = shares.windows(2).all(|pair| pair[0] < pair[1]);
        let whole = |parts: &[f64]| {
            let within = parts.iter().all(|it| *it > 0.0 && *it <= 1.0);
            within && parts.last() == Some(&1.0)
        };
        let alike = shares.len() == powers.len() && shares.len() <= MOST_STAGES;
        if !rising || !whole(shares) || !whole(powers) || !alike || step < 0.0 {
            return None;
        }
        let step = if shares.len() > 1 { step } else { 0.0 };
        let mut own = Self { count: shares.len(), step, ..Self::SINGLE };
        own.shares[..shares.len()].copy_from_slice(shares);
        own.powers[..powers.len()].copy_from_slice(powers);
        Some(own)
    }

    /// How many there are.
    pub const fn count(&self) -> usize {
        self.count
    }

    /// The parts of capacity.
    pub fn shares(&self) -> &[f64] {
        &self.shares[..self.count]
    }

    /// The parts of full electric power.
    pub fn powers(&self) -> &[f64] {
        &self.powers[..self.count]
    }

    /// From one stage to the next, in the file's unit.
    pub const fn step(&self) -> f64 {
        self.step
    }

    /// The same stages, further apart or nearer.
    #[must_use]
    pub const fn apart(self, step: f64) -> Self {
        Self { step, ..self }
    }

    /// The part of capacity at a stage, from 0; the highest where there is none so high.
    pub fn share(&self, stage: usize) -> f64 {
        self.shares[stage.min(self.count - 1)]
    }

    /// Electric power at a stage over that which goes with its part of capacity at the rated COP.
    pub fn power_over_share(&self, stage: usize) -> f64 {
        self.powers[stage.min(self.count - 1)] / self.share(stage)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn only_shares_that_rise_to_one_are_stages() {
        for wrong in [&[][..], &[0.5], &[0.0, 1.0], &[0.7, 0.6, 1.0], &[0.2, 0.4, 0.6, 0.8, 1.0]] {
            assert_eq!(Stages::new(wrong, wrong, 0.5), None, "{wrong:?}");
        }
        assert_eq!(Stages::new(&[0.5, 1.0], &[1.0], 0.5), None);
        assert_eq!(Stages::new(&[1.0], &[1.0], 0.5), Some(Stages::SINGLE));
    }

    #[test]
    fn a_stage_takes_the_power_that_is_written_for_it() {
        let two = Stages::new(&[0.65, 1.0], &[0.6, 1.0], 0.5).expect("they rise to 1");
        assert_eq!(
            (two.count(), two.shares(), two.powers()),
            (2, &[0.65, 1.0][..], &[0.6, 1.0][..])
        );
        assert_relative_eq!(two.share(0) * two.power_over_share(0), 0.6);
        assert_relative_eq!(two.power_over_share(1), 1.0);
        assert_relative_eq!(two.share(7), 1.0);
    }
}
