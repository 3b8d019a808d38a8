//! Rule 15: outdoor temperatures beyond which heating or cooling is not allowed.

use super::rounding::ROUNDING;
use crate::direction::Direction;

/// Directions in which calls may exist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Permitted {
    heating: bool,
    cooling: bool,
}

impl Permitted {
    /// Both directions.
    pub const BOTH: Self = Self { heating: true, cooling: true };

    /// Whether calls in a direction may exist.
    pub const fn has(self, direction: Direction) -> bool {
        match direction {
            Direction::Heating => self.heating,
            Direction::Cooling => self.cooling,
        }
    }

    /// With a direction that is allowed besides.
    #[must_use]
    pub const fn with(self, direction: Direction) -> Self {
        match direction {
            Direction::Heating => Self { heating: true, ..self },
            Direction::Cooling => Self { cooling: true, ..self },
        }
    }

    /// What both allow.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self { heating: self.heating && other.heating, cooling: self.cooling && other.cooling }
    }
}

/// Outdoor limits of a zone or of an outdoor unit. Temperatures and hysteresis are in the file's
/// unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutdoorLimits {
    /// Heating is allowed below this outdoor temperature; always where there is none.
    pub heat_below: Option<f64>,
    /// Cooling is allowed above this outdoor temperature; always where there is none.
    pub cool_above: Option<f64>,
    /// How far outdoor air has to come back past a limit before its direction is allowed again.
    pub hysteresis: f64,
}

impl OutdoorLimits {
    /// No limit.
    pub const NONE: Self = Self { heat_below: None, cool_above: None, hysteresis: 0.0 };

    /// Whether there is any limit.
    pub const fn is_none(&self) -> bool {
        self.heat_below.is_none() && self.cool_above.is_none()
    }

    /// What is allowed at the start of a run: a plain comparison.
    pub fn at_start(&self, outdoor: f64) -> Permitted {
        self.next(Permitted::BOTH, outdoor)
    }

    /// What is allowed at an outdoor temperature after what was allowed in the step before.
    #[must_use]
    pub fn next(&self, before: Permitted, outdoor: f64) -> Permitted {
        let back = |was: bool| if was { 0.0 } else { self.hysteresis };
        Permitted {
            heating: self
                .heat_below
                .is_none_or(|limit| outdoor < limit - back(before.heating) - ROUNDING),
            cooling: self
                .cool_above
                .is_none_or(|limit| outdoor > limit + back(before.cooling) + ROUNDING),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LIMITS: OutdoorLimits =
        OutdoorLimits { heat_below: Some(18.0), cool_above: Some(12.0), hysteresis: 1.0 };

    /// Which directions are allowed along a course of outdoor temperatures: `h`, `c`, `hc` or `-`.
    fn along(limits: OutdoorLimits, course: &[f64]) -> String {
        let mut permitted = limits.at_start(course[0]);
        let mut words = Vec::new();
        for outdoor in course {
            permitted = limits.next(permitted, *outdoor);
            words.push(match (permitted.heating, permitted.cooling) {
                (true, true) => "hc",
                (true, false) => "h",
                (false, true) => "c",
                (false, false) => "-",
            });
        }
        words.join(" ")
    }

    #[test]
    fn rule_15_heating_stops_at_its_limit_and_comes_back_below_the_hysteresis() {
        assert_eq!(along(LIMITS, &[17.9, 18.0, 17.9, 17.1, 17.0, 16.9]), "hc c c c c hc");
    }

    #[test]
    fn rule_15_cooling_stops_at_its_limit_and_comes_back_above_the_hysteresis() {
        assert_eq!(along(LIMITS, &[12.1, 12.0, 12.5, 13.0, 13.1]), "hc h h h hc");
    }

    #[test]
    fn rule_15_at_the_start_the_comparison_is_plain() {
        assert!(LIMITS.at_start(17.5).has(Direction::Heating));
        assert!(LIMITS.at_start(12.5).has(Direction::Cooling));
        assert!(!LIMITS.at_start(18.0).has(Direction::Heating));
        assert!(!LIMITS.at_start(12.0).has(Direction::Cooling));
    }

    #[test]
    fn rule_15_a_limit_that_is_not_given_allows_always() {
        let heat_only = OutdoorLimits { cool_above: None, ..LIMITS };
        assert_eq!(along(heat_only, &[-30.0, 40.0, 17.5]), "hc c c");
        assert!(OutdoorLimits::NONE.is_none());
        assert_eq!(along(OutdoorLimits::NONE, &[-30.0, 40.0]), "hc hc");
    }

    #[test]
    fn rule_15_limits_of_zone_and_outdoor_unit_both_hold() {
        let unit = OutdoorLimits { heat_below: Some(15.0), ..LIMITS };
        let both = LIMITS.at_start(16.0).and(unit.at_start(16.0));
        assert!(!both.has(Direction::Heating) && both.has(Direction::Cooling));
    }

    proptest! {
        /// Beyond a limit its direction is never allowed, and outside the hysteresis always.
        #[test]
        fn rule_15_the_hysteresis_decides_only_inside_itself(
            course in prop::collection::vec(-20.0..40.0_f64, 1..50),
            hysteresis in 0.0..5.0_f64,
        ) {
            let limits = OutdoorLimits { hysteresis, ..LIMITS };
            let mut permitted = limits.at_start(course[0]);
            for outdoor in course {
                permitted = limits.next(permitted, outdoor);
                if outdoor >= 18.0 {
                    prop_assert!(!permitted.heating);
                } else if outdoor < 18.0 - hysteresis - 1e-6 {
                    prop_assert!(permitted.heating);
                }
                if outdoor <= 12.0 {
                    prop_assert!(!permitted.cooling);
                } else if outdoor > 12.0 + hysteresis + 1e-6 {
                    prop_assert!(permitted.cooling);
                }
            }
        }
    }
}
