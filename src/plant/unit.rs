//! What an indoor unit can do, and what part of it a step brings.

use super::cop::Cop;
use super::stages::Stages;
use super::start_up::StartUp;
use crate::direction::Direction;
use crate::moist_air::{STANDARD_PRESSURE, enthalpy, humidity_ratio, saturation_pressure};
use crate::numbers::Number;
use crate::time::{Instant, Seconds};

/// How a unit's output follows its call.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UnitControl {
    /// On or off, or in stages.
    Staged {
        /// What it gives and takes at each of its stages.
        stages: Stages,
    },
    /// Output in proportion to how far the sensed temperature lies from where the call ends.
    Modulating {
        /// The lowest steady output as a part of the rated capacity, 0 to 1.
        turndown: f64,
        /// The distance over which the output goes from nothing to full, in the file's unit.
        throttling_range: f64,
        /// With integral action, over so many seconds it adds the distance once more.
        integral_time: Option<f64>,
    },
    /// Exactly the heat that brings the air to the setpoint at the end of the step.
    Ideal,
}

impl UnitControl {
    /// On or off.
    pub const ON_OFF: Self = Self::Staged { stages: Stages::SINGLE };

    /// In proportion alone, from the turndown, over a throttling range in the file's unit.
    pub const fn proportional(turndown: f64, throttling_range: f64) -> Self {
        Self::Modulating { turndown, throttling_range, integral_time: None }
    }

    /// Whether a unit that has long run gives all it can, with the room so far from where the call ends,
    /// in the file's unit.
    pub fn is_at_full_output(&self, distance: f64) -> bool {
        match self {
            Self::Modulating { throttling_range, integral_time: None, .. } => {
                distance >= *throttling_range
            }
            Self::Staged { .. } | Self::Modulating { .. } | Self::Ideal => true,
        }
    }

    /// Whether the output hangs on what it was before, and not only on how far the room is from its
    /// setpoint.
    pub const fn has_memory(&self) -> bool {
        match self {
            Self::Staged { stages } => stages.count() > 1,
            Self::Modulating { integral_time, .. } => integral_time.is_some(),
            Self::Ideal => false,
        }
    }
}

/// How the controls drive a unit with a call.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    /// How far the sensed temperature lies from where the call ends, in the file's unit, with what
    /// integral action adds.
    pub distance: f64,
    /// Which stage runs, from 0.
    pub stage: usize,
}

/// When the fan runs besides while a call is served and in `fan`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FanRun {
    /// Not otherwise.
    Auto,
    /// As long as the power is on.
    Continuous,
    /// As long as the power is on, at low speed.
    Low {
        /// Its power at low speed, as a part of that at full.
        power: f64,
    },
    /// From time to time, so that a sensor in the return air meets the air of the room.
    Sample {
        /// From one run to the next.
        every: Seconds,
        /// How long it runs.
        lasts: Seconds,
    },
}

impl FanRun {
    /// Power at low speed, as a part of that at full, where a file gives none: common practice, no
    /// source. By the cube of the speed it is 63 % of it.
    pub const USUAL_LOW: f64 = 0.25;

    /// Mean power between calls over the step that begins `now`, with the power on, as a part of the
    /// fan's power.
    pub fn between_calls(self, now: Instant, step: Seconds) -> f64 {
        match self {
            Self::Auto => 0.0,
            Self::Continuous => 1.0,
            Self::Low { power } => power,
            Self::Sample { every, lasts } => {
                let run_until = |at: i64| {
                    let (whole, rest) = (at.div_euclid(every.get()), at.rem_euclid(every.get()));
                    whole * lasts.get().min(every.get()) + rest.min(lasts.get())
                };
                let runs = run_until((now + step).get()) - run_until(now.get());
                runs as f64 / step.get() as f64
            }
        }
    }

    /// Whether it is the same in every step.
    pub const fn is_steady(self) -> bool {
        !matches!(self, Self::Sample { .. })
    }
}

/// What a unit can deliver in one direction, and at which COP with a plant of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Capacity {
    /// Rated capacity of all units on the controller together, W.
    pub rated: f64,
    /// Coefficient of performance, used only without an outdoor unit block.
    pub cop: Cop,
}

/// The indoor units on one controller.
#[derive(Clone, Debug, PartialEq)]
pub struct IndoorUnit {
    /// Heating, if the unit has it.
    pub heating: Option<Capacity>,
    /// Cooling, if the unit has it.
    pub cooling: Option<Capacity>,
    /// Fan power of all units on the controller together, W; it ends as heat in the air.
    pub fan: f64,
    /// When the fan runs besides.
    pub fan_run: FanRun,
    /// How output follows the call.
    pub control: UnitControl,
    /// How it comes to its output after a start.
    pub start_up: StartUp,
    /// How long a plant of the zone's own delivers nothing where its circuit reverses.
    pub reversal_time: Seconds,
    /// How many indoor units the controller drives, 1 to 16.
    pub count: u32,
    /// How it dries.
    pub coil: Coil,
}

/// What a cooling coil does to the water in the air. Its cooling capacity is what it takes out of
/// the room's air as heat; the water comes on top, and electric power goes with both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Temperature of its surface, degrees C: it dries air no further than saturation there.
    pub surface: f64,
    /// Sensible heat over all heat that it takes out, 0 to 1, where the file fixes it.
    pub sensible: Option<f64>,
    /// The same in `dry`, where the air passes slowly.
    pub sensible_in_dry: f64,
}

impl Coil {
    /// The usual coil: common practice, no source.
    pub const USUAL: Self = Self { surface: 10.0, sensible: None, sensible_in_dry: 0.5 };
    /// Part of the air that passes without touching it: common practice, no source.
    pub const BYPASS: f64 = 0.1;

    /// Sensible heat over all heat taken out of air at a temperature, degrees C, with a humidity
    /// ratio. Where the file does not fix it, air leaves on the straight line on the psychrometric
    /// chart from its state to saturation at the coil's surface, mixed with what bypasses the coil.
    pub fn sensible_share(&self, celsius: f64, ratio: f64, in_dry: bool) -> f64 {
        let fixed = if in_dry { Some(self.sensible_in_dry) } else { self.sensible };
        if let Some(share) = fixed {
            return share;
        }
        let saturated = humidity_ratio(saturation_pressure(self.surface), STANDARD_PRESSURE);
        if ratio <= saturated || celsius <= self.surface {
            return 1.0;
        }
        let leaving = self.surface + Self::BYPASS * (celsius - self.surface);
        let ratio_leaving = saturated + Self::BYPASS * (ratio - saturated);
        let end = enthalpy(leaving, ratio_leaving);
        (enthalpy(celsius, ratio_leaving) - end) / (enthalpy(celsius, ratio) - end)
    }
}

impl IndoorUnit {
    /// What it can do in a direction.
    pub const fn capacity(&self, direction: Direction) -> Option<&Capacity> {
        match direction {
            Direction::Heating => self.heating.as_ref(),
            Direction::Cooling => self.cooling.as_ref(),
        }
    }

    /// Rated capacity in a direction, W; zero where the unit lacks it.
    pub fn rated(&self, direction: Direction) -> f64 {
        self.capacity(direction).map_or(0.0, |capacity| capacity.rated)
    }

    /// The part of its rated capacity that a unit with a call works at: that of its stage for a
    /// staged unit; in proportion to the distance for a modulating one, never below `lowest` and
    /// held there in `dry`.
    pub fn output(&self, drive: Drive, dry: bool, lowest: f64) -> f64 {
        match self.control {
            UnitControl::Modulating { .. } if dry => lowest,
            UnitControl::Modulating { throttling_range, .. } => {
                proportional_output(drive.distance, 1.0 / throttling_range, lowest)
            }
            UnitControl::Staged { stages } => stages.share(drive.stage),
            UnitControl::Ideal => 1.0,
        }
    }

    /// Electric power over that which goes with its output at the COP: 1, but for stages with a
    /// power of their own.
    pub fn power_over_output(&self, drive: Drive) -> f64 {
        match self.control {
            UnitControl::Staged { stages } => stages.power_over_share(drive.stage),
            UnitControl::Modulating { .. } | UnitControl::Ideal => 1.0,
        }
    }

    /// The lowest output over a step that begins so many seconds after its call was first served, as
    /// a part of its rated capacity.
    pub fn lowest(&self, since_start: f64, step: f64) -> f64 {
        match self.control {
            UnitControl::Modulating { turndown, .. } => {
                self.start_up.lowest(turndown, since_start, step)
            }
            UnitControl::Staged { .. } | UnitControl::Ideal => 1.0,
        }
    }
}

/// The part of its rated capacity that a modulating unit works at: in proportion to how far the
/// sensed temperature lies from where the call ends, between turndown and everything. `per_degree`
/// is one over the throttling range.
#[inline(always)]
pub fn proportional_output<V: Number>(distance: V, per_degree: V, turndown: V) -> V {
    (distance * per_degree).min(distance.splat(1.0)).max(turndown)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// By hand for 26 C at 50 %: saturation at 26 C is 3363.8 Pa and at 10 C 1228.0 Pa, so the
    /// humidity ratios are 10.50 and 7.63 g/kg; air leaves at 11.6 C with 7.92 g/kg. Enthalpies:
    /// 52.92 kJ/kg in, 31.64 out, and 46.34 at 26 C with 7.92 g/kg: 14.70 of 21.28 are sensible.
    #[test]
    fn damp_air_leaves_on_the_line_to_saturation_at_the_coil() {
        let ratio = humidity_ratio(0.5 * saturation_pressure(26.0), STANDARD_PRESSURE);
        assert_relative_eq!(ratio, 0.010_50, epsilon = 1e-5);
        let share = Coil::USUAL.sensible_share(26.0, ratio, false);
        assert_relative_eq!(share, 14.70 / 21.28, epsilon = 0.002);
        assert_eq!(Coil::USUAL.sensible_share(26.0, 0.007, false), 1.0);
        assert_eq!(Coil::USUAL.sensible_share(26.0, ratio, true), 0.5);
        let fixed = Coil { sensible: Some(0.8), ..Coil::USUAL };
        assert_eq!(fixed.sensible_share(26.0, 0.007, false), 0.8);
        // Damper air has less sensible heat in it.
        assert!(Coil::USUAL.sensible_share(26.0, 0.014, false) < share);
    }

    #[test]
    fn a_modulating_unit_works_between_its_turndown_and_full() {
        let control = UnitControl::proportional(0.25, 2.0);
        let unit = IndoorUnit {
            heating: Some(Capacity { rated: 5e3, cop: 3.2.into() }),
            cooling: None,
            fan: 0.0,
            fan_run: FanRun::Auto,
            control,
            start_up: StartUp::NONE,
            reversal_time: Seconds::ZERO,
            count: 1,
            coil: Coil::USUAL,
        };
        let expected = [(-1.0, 0.25), (0.0, 0.25), (0.4, 0.25), (1.0, 0.5), (3.0, 1.0)];
        for (distance, output) in expected {
            let drive = Drive { distance, stage: 0 };
            assert_relative_eq!(unit.output(drive, false, unit.lowest(0.0, 60.0)), output);
        }
        assert_relative_eq!(unit.output(Drive { distance: 2.0, stage: 0 }, true, 0.25), 0.25);
        assert_relative_eq!(unit.rated(Direction::Cooling), 0.0);
    }

    #[test]
    fn a_fan_that_samples_runs_for_its_time() {
        let ten = Seconds::minutes(10);
        let sample = FanRun::Sample { every: ten, lasts: Seconds::new(90) };
        let part = |second, step| sample.between_calls(Instant::new(second), Seconds::new(step));
        assert_eq!([part(0, 60), part(60, 60), part(120, 60), part(600, 60)], [1.0, 0.5, 0.0, 1.0]);
        assert_relative_eq!(part(0, 3600), 0.15);
        assert_eq!(FanRun::Low { power: 0.2 }.between_calls(Instant::START, ten), 0.2);
    }
}
