//! Rule 18: which stage of a staged unit runs, and the integral part of a modulating unit's output.

use super::rounding::ROUNDING;

/// How a staged unit goes from one stage to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Staging {
    count: usize,
    /// From one stage to the next the sensed temperature has to lie this much further outside, in
    /// the file's unit.
    step: f64,
}

/// Which stage runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stage(usize);

impl Stage {
    /// The lowest.
    pub const FIRST: Self = Self(0);

    /// Its place among the stages, from 0.
    pub const fn place(self) -> usize {
        self.0
    }
}

impl Staging {
    /// So many stages, each `step` further outside than the one before, in the file's unit.
    pub const fn new(count: usize, step: f64) -> Self {
        Self { count, step }
    }

    /// The stage at which a call begins: the highest whose condition holds. `beyond` is how far the
    /// sensed temperature lies beyond where a call starts, in the file's unit, positive outside.
    pub fn at_start(&self, beyond: f64) -> Stage {
        let on = |place: usize| beyond >= place as f64 * self.step - ROUNDING;
        Stage((1..self.count).rev().find(|place| on(*place)).unwrap_or(0))
    }

    /// The stage after another: any higher one whose condition holds, else at most one lower.
    #[must_use]
    pub fn next(&self, stage: Stage, beyond: f64) -> Stage {
        let rises = self.at_start(beyond);
        let back = beyond <= (stage.0 as f64 - 1.0) * self.step + ROUNDING;
        if rises > stage {
            rises
        } else if stage > Stage::FIRST && back {
            Stage(stage.0 - 1)
        } else {
            stage
        }
    }
}

/// The integral part of a modulating unit's output, in the file's unit of temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Integral {
    sum: f64,
    /// What the present step adds to it, for the next.
    growth: f64,
}

/// How a modulating unit integrates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Integration {
    /// Length of a step over the integral time.
    pub steps_per_time: f64,
    /// The distance over which the output goes from nothing to full, in the file's unit.
    pub throttling_range: f64,
    /// The lowest steady output as a part of the capacity.
    pub turndown: f64,
}

impl Integral {
    /// Nothing yet: at the first step of a call.
    pub const ZERO: Self = Self { sum: 0.0, growth: 0.0 };

    /// What it adds to the distance, in the file's unit.
    pub const fn get(self) -> f64 {
        self.sum
    }

    /// Goes into a step of the call at which the sensed temperature lies `error` from where the call
    /// ends. What the step adds counts from the next on, and is nothing while the load ratio lies at
    /// or beyond one of its bounds, so that the integral never winds up.
    pub fn enter(&mut self, error: f64, how: &Integration) {
        self.sum += self.growth;
        let ratio = (error + self.sum) / how.throttling_range;
        let inside = ratio > how.turndown && ratio < 1.0;
        self.growth = if inside { error * how.steps_per_time } else { 0.0 };
    }

    /// Goes into a step at which something else holds the output: it stands.
    pub const fn hold(&mut self) {
        self.sum += self.growth;
        self.growth = 0.0;
    }
}

/// What a zone's controls remember of the output of its unit, from a call's beginning to its end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OutputState {
    /// The stage that runs; `None` before the first step of a call.
    stage: Option<Stage>,
    integral: Integral,
}

impl OutputState {
    /// At the beginning of a call.
    pub const BEGINNING: Self = Self { stage: None, integral: Integral::ZERO };

    /// The stage that runs.
    pub fn stage(&self) -> Stage {
        self.stage.unwrap_or(Stage::FIRST)
    }

    /// What integral action adds to the distance, in the file's unit.
    pub const fn integral(&self) -> f64 {
        self.integral.get()
    }

    /// The integral part, to go into a step.
    pub const fn integral_mut(&mut self) -> &mut Integral {
        &mut self.integral
    }

    /// Goes into a step of a call of a staged unit. The first stage runs where the output is held
    /// at its lowest: in `dry`, and past the end of the call.
    pub fn enter_stage(&mut self, staging: &Staging, beyond: f64, held: bool) {
        self.stage = Some(match self.stage {
            _ if held => Stage::FIRST,
            None => staging.at_start(beyond),
            Some(stage) => staging.next(stage, beyond),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    const TWO: Staging = Staging::new(2, 0.5);

    /// The stages, from 1, along distances beyond where a call starts.
    fn along(staging: Staging, course: &[f64]) -> Vec<usize> {
        let mut output = OutputState::BEGINNING;
        let stage = |beyond: &f64| {
            output.enter_stage(&staging, *beyond, false);
            output.stage().place() + 1
        };
        course.iter().map(stage).collect()
    }

    #[test]
    fn rule_18_a_call_begins_at_the_highest_stage_whose_condition_holds() {
        for (beyond, stage) in [(0.0, 1), (0.49, 1), (0.5, 2), (3.0, 2)] {
            assert_eq!(along(TWO, &[beyond]), [stage], "{beyond}");
        }
    }

    #[test]
    fn rule_18_a_stage_comes_at_its_distance_and_goes_one_stage_step_sooner() {
        // Stage 2 comes on at 0.5 and goes back at 0.0 beyond the start of a call.
        assert_eq!(along(TWO, &[0.0, 0.4, 0.5, 0.3, 0.1, 0.0, 0.4, 0.5]), [1, 1, 2, 2, 2, 1, 1, 2]);
    }

    #[test]
    fn rule_18_stages_go_back_one_a_step_and_come_at_once() {
        let three = Staging::new(3, 0.5);
        assert_eq!(along(three, &[1.0, -2.0, -2.0, -2.0]), [3, 2, 1, 1]);
        assert_eq!(along(three, &[0.0, 1.0]), [1, 3]);
    }

    #[test]
    fn rule_18_one_stage_is_always_the_first() {
        assert_eq!(along(Staging::new(1, 0.5), &[5.0, -5.0]), [1, 1]);
    }

    #[test]
    fn rule_18_the_first_stage_runs_where_the_output_is_held() {
        let mut output = OutputState::BEGINNING;
        let mut stage = |beyond, held| {
            output.enter_stage(&TWO, beyond, held);
            output.stage().place() + 1
        };
        assert_eq!([stage(2.0, true), stage(2.0, false), stage(0.3, true)], [1, 2, 1]);
        assert_eq!(stage(0.3, false), 1);
    }

    const HALF: Integration =
        Integration { steps_per_time: 0.05, throttling_range: 2.0, turndown: 0.25 };

    #[test]
    fn rule_18_the_integral_is_nothing_at_the_first_step_and_grows_with_the_error() {
        let mut integral = Integral::ZERO;
        let mut next = |error| {
            integral.enter(error, &HALF);
            integral.get()
        };
        // A minute of twenty: a twentieth of 1, then of 0.8.
        let found = [next(1.0), next(0.8), next(0.8)];
        for (found, expected) in found.into_iter().zip([0.0, 0.05, 0.09]) {
            assert_relative_eq!(found, expected, epsilon = 1e-12);
        }
    }

    #[test]
    fn rule_18_the_integral_stands_at_the_bounds_of_the_output_and_beyond() {
        // Turndown is a quarter of 2; full at 2.
        for error in [0.5, 0.4, -2.0, 2.0, 5.0] {
            let mut integral = Integral::ZERO;
            integral.enter(error, &HALF);
            integral.enter(error, &HALF);
            assert_relative_eq!(integral.get(), 0.0);
        }
        let mut held = Integral::ZERO;
        held.enter(1.0, &HALF);
        for _ in 0..9 {
            held.hold();
        }
        assert_relative_eq!(held.get(), 0.05);
    }

    proptest! {
        /// Whatever the course, the stage is one of the unit's, goes down one at most, and comes no
        /// sooner than its condition.
        #[test]
        fn rule_18_stages_stay_within_the_unit(
            course in prop::collection::vec((-3.0..4.0_f64, any::<bool>()), 1..60),
            count in 1..5_usize,
            step in 0.1..2.0_f64,
        ) {
            let staging = Staging::new(count, step);
            let mut output = OutputState::BEGINNING;
            for (beyond, held) in course {
                let before = output.stage;
                output.enter_stage(&staging, beyond, held);
                let stage = output.stage();
                prop_assert!(stage.place() < count);
                if held {
                    prop_assert_eq!(stage, Stage::FIRST);
                } else if let Some(before) = before {
                    prop_assert!(stage.place() + 1 >= before.place());
                    prop_assert!(stage <= before || stage == staging.at_start(beyond));
                }
            }
        }

        /// The load ratio with its integral never leaves the bounds by more than one step adds.
        #[test]
        fn rule_18_the_integral_never_winds_up(
            course in prop::collection::vec(-5.0..5.0_f64, 1..200),
        ) {
            let mut integral = Integral::ZERO;
            for error in course {
                integral.enter(error, &HALF);
                // A step adds at most its twentieth of an error of 5 to a sum below the bound.
                prop_assert!(integral.get().abs() <= 5.0 + HALF.throttling_range + 0.25);
            }
        }
    }
}
