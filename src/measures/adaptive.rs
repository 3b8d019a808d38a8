//! Comfort in rooms whose people dress as they like and open windows: temperatures that go with
//! the outdoors. EN 16798-1:2019, annex B.2.2, and ANSI/ASHRAE 55-2020, 5.4.2.

use serde::Serialize;

/// A band of operative temperature about one that goes with the running mean outdoors.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Band {
    /// By how much the comfort temperature grows with the running mean, K/K.
    slope: f64,
    /// The comfort temperature at a running mean of 0, degrees C.
    at_zero: f64,
    /// How far below it, K.
    below: f64,
    /// How far above it, K.
    above: f64,
    /// Running means for which it is meant, degrees C.
    range: (f64, f64),
}

/// A category of a standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AdaptiveCategory {
    /// EN 16798-1:2019, category I.
    EnOne,
    /// EN 16798-1:2019, category II.
    EnTwo,
    /// EN 16798-1:2019, category III.
    EnThree,
    /// ANSI/ASHRAE 55-2020, acceptable to 90 %.
    Ashrae90,
    /// ANSI/ASHRAE 55-2020, acceptable to 80 %.
    Ashrae80,
}

impl AdaptiveCategory {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::EnOne, Self::EnTwo, Self::EnThree, Self::Ashrae90, Self::Ashrae80];

    /// EN 16798-1:2019, annex B, Table B.5 and Figure B.1; ANSI/ASHRAE 55-2020, Figure 5-8. From
    /// memory, and as two programs have them (see the tests).
    const fn band(self) -> Band {
        const fn european(below: f64, above: f64) -> Band {
            Band { slope: 0.33, at_zero: 18.8, below, above, range: (10.0, 30.0) }
        }
        const fn american(by: f64) -> Band {
            Band { slope: 0.31, at_zero: 17.8, below: by, above: by, range: (10.0, 33.5) }
        }
        match self {
            Self::EnOne => european(3.0, 2.0),
            Self::EnTwo => european(4.0, 3.0),
            Self::EnThree => european(5.0, 4.0),
            Self::Ashrae90 => american(2.5),
            Self::Ashrae80 => american(3.5),
        }
    }

    /// Lowest and highest operative temperature at a running mean outdoors, degrees C; `None` where
    /// the standard does not say.
    pub fn limits(self, running_mean: f64) -> Option<(f64, f64)> {
        let Band { slope, at_zero, below, above, range } = self.band();
        let comfort = slope * running_mean + at_zero;
        let meant = (range.0..=range.1).contains(&running_mean);
        meant.then_some((comfort - below, comfort + above))
    }
}

/// Occupied hours against the adaptive bands, sampled every quarter of an hour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct AdaptiveFigures {
    /// Hours on days whose running mean outdoors EN 16798-1 is meant for, 10 to 30 C.
    pub en_16798_hours: f64,
    /// Of these, outside category I.
    pub en_16798_outside_i: f64,
    /// Outside category II.
    pub en_16798_outside_ii: f64,
    /// Outside category III.
    pub en_16798_outside_iii: f64,
    /// Hours on days whose running mean outdoors ASHRAE 55 is meant for, 10 to 33.5 C.
    pub ashrae_55_hours: f64,
    /// Of these, outside what 90 % accept.
    pub ashrae_55_outside_90: f64,
    /// Outside what 80 % accept.
    pub ashrae_55_outside_80: f64,
}

/// Counts samples.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct AdaptiveTally {
    /// Category by category: samples for which it is meant, and those outside.
    counts: [(u64, u64); AdaptiveCategory::ALL.len()],
}

impl AdaptiveTally {
    pub(super) fn add(&mut self, operative: f64, running_mean: f64) {
        for (category, (meant, outside)) in AdaptiveCategory::ALL.into_iter().zip(&mut self.counts)
        {
            let Some((low, high)) = category.limits(running_mean) else { continue };
            *meant += 1;
            *outside += u64::from(operative < low || operative > high);
        }
    }

    /// The figures, with so many hours to a sample.
    pub(super) fn figures(&self, hours: f64) -> AdaptiveFigures {
        let of = |category: AdaptiveCategory| {
            let (meant, outside) = self.counts[category as usize];
            (meant as f64 * hours, outside as f64 * hours)
        };
        let outside = |category| of(category).1;
        AdaptiveFigures {
            en_16798_hours: of(AdaptiveCategory::EnOne).0,
            en_16798_outside_i: outside(AdaptiveCategory::EnOne),
            en_16798_outside_ii: outside(AdaptiveCategory::EnTwo),
            en_16798_outside_iii: outside(AdaptiveCategory::EnThree),
            ashrae_55_hours: of(AdaptiveCategory::Ashrae90).0,
            ashrae_55_outside_90: outside(AdaptiveCategory::Ashrae90),
            ashrae_55_outside_80: outside(AdaptiveCategory::Ashrae80),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand: at a running mean of 20 C, 0.33 * 20 + 18.8 = 25.4 and 0.31 * 20 + 17.8 = 24.
    #[test]
    fn the_bands_by_hand() {
        let expected = [
            (AdaptiveCategory::EnOne, 22.4, 27.4),
            (AdaptiveCategory::EnTwo, 21.4, 28.4),
            (AdaptiveCategory::EnThree, 20.4, 29.4),
            (AdaptiveCategory::Ashrae90, 21.5, 26.5),
            (AdaptiveCategory::Ashrae80, 20.5, 27.5),
        ];
        for (category, low, high) in expected {
            let found = category.limits(20.0).expect("within range");
            assert_abs_diff_eq!(found.0, low, epsilon = 1e-9);
            assert_abs_diff_eq!(found.1, high, epsilon = 1e-9);
            assert!(category.limits(9.9).is_none() && category.limits(33.6).is_none());
        }
        assert!(AdaptiveCategory::EnOne.limits(30.1).is_none());
        assert!(AdaptiveCategory::Ashrae80.limits(33.5).is_some());
    }

    #[test]
    fn samples_count_where_the_standard_is_meant() {
        let mut tally = AdaptiveTally::default();
        tally.add(27.0, 20.0);
        tally.add(21.0, 20.0);
        tally.add(21.0, 5.0);
        tally.add(28.0, 31.0);
        let found = tally.figures(0.25);
        let expected = AdaptiveFigures {
            en_16798_hours: 0.5,
            en_16798_outside_i: 0.25,
            en_16798_outside_ii: 0.25,
            en_16798_outside_iii: 0.0,
            ashrae_55_hours: 0.75,
            ashrae_55_outside_90: 0.5,
            ashrae_55_outside_80: 0.0,
        };
        assert_eq!(found, expected);
    }
}
