//! What an indoor unit can do, and what part of it a step brings.

use super::stages::Stages;
use crate::direction::Direction;
use crate::moist_air::{STANDARD_PRESSURE, enthalpy, humidity_ratio, saturation_pressure};
use crate::numbers::Number;

/// How a unit's output follows its call.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UnitControl {
    /// On or off; after each start the output rises with this time constant, in seconds
    /// (Henderson and Rengarajan, ASHRAE Transactions 1996, no. 3958).
    Staged {
        /// Time constant of the rise, s; zero for none.
        time_constant: f64,
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
    /// On or off, with this time constant of the rise, s.
    pub const fn on_off(time_constant: f64) -> Self {
        Self::Staged { time_constant, stages: Stages::SINGLE }
    }

    /// In proportion alone, from the turndown, over a throttling range in the file's unit.
    pub const fn proportional(turndown: f64, throttling_range: f64) -> Self {
        Self::Modulating { turndown, throttling_range, integral_time: None }
    }

    /// Whether the output hangs on what it was before, and not only on how far the room is from its
    /// setpoint.
    pub const fn has_memory(&self) -> bool {
        match self {
            Self::Staged { stages, .. } => stages.count() > 1,
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FanRun {
    /// Not otherwise.
    WithCall,
    /// As long as the power is on.
    Continuous,
}

/// What a unit can deliver in one direction, and at which COP with a plant of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// Rated capacity of all units on the controller together, W.
    pub rated: f64,
    /// Coefficient of performance, used only without an outdoor unit block.
    pub cop: f64,
}

/// The indoor units on one controller.
#[derive(Clone, Copy, Debug, PartialEq)]
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
    pub const fn capacity(&self, direction: Direction) -> Option<Capacity> {
        match direction {
            Direction::Heating => self.heating,
            Direction::Cooling => self.cooling,
        }
    }

    /// Rated capacity in a direction, W; zero where the unit lacks it.
    pub fn rated(&self, direction: Direction) -> f64 {
        self.capacity(direction).map_or(0.0, |capacity| capacity.rated)
    }

    /// The part of its rated capacity that a unit with a call works at: that of its stage for a
    /// staged unit; in proportion to the distance for a modulating one, never below its turndown and
    /// held there in `dry`.
    pub fn output(&self, drive: Drive, dry: bool) -> f64 {
        match self.control {
            UnitControl::Modulating { turndown, .. } if dry => turndown,
            UnitControl::Modulating { turndown, throttling_range, .. } => {
                proportional_output(drive.distance, 1.0 / throttling_range, turndown)
            }
            UnitControl::Staged { stages, .. } => stages.share(drive.stage),
            UnitControl::Ideal => 1.0,
        }
    }

    /// Electric power over that which goes with its output at the COP: 1, but for stages with a
    /// power of their own.
    pub fn power_over_output(&self, drive: Drive) -> f64 {
        match self.control {
            UnitControl::Staged { stages, .. } => stages.power_over_share(drive.stage),
            UnitControl::Modulating { .. } | UnitControl::Ideal => 1.0,
        }
    }

    /// The part of its output that a unit delivers over a step that begins so many seconds after
    /// its call was first served.
    pub fn rise(&self, since_start: f64, step: f64) -> f64 {
        match self.control {
            UnitControl::Staged { time_constant, .. } => {
                rise_over_step(time_constant, since_start, step)
            }
            UnitControl::Modulating { .. } | UnitControl::Ideal => 1.0,
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

/// Mean over a step of `1 - exp(-t/tau)`, the rise of capacity after a start.
///
/// `tau`, the start of the step after the start-up, and its length are in seconds. Source:
/// Henderson and Rengarajan, ASHRAE Transactions 1996, no. 3958.
pub fn rise_over_step(tau: f64, since_start: f64, step: f64) -> f64 {
    /// After so many time constants less than 1e-17 is missing, which no sum would notice.
    const SETTLED: f64 = 40.0;
    if since_start >= SETTLED * tau {
        return 1.0;
    }
    let at_start = libm::exp(-since_start / tau);
    1.0 + at_start * (tau / step) * libm::expm1(-step / tau)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_rise_over_a_step_is_the_mean_of_the_exponential() {
        let (tau, from, step) = (76.0, 30.0, 60.0);
        let pieces = 200_000;
        let mean = (0..pieces)
            .map(|piece| from + (f64::from(piece) + 0.5) * step / f64::from(pieces))
            .map(|t| 1.0 - (-t / tau).exp())
            .sum::<f64>()
            / f64::from(pieces);
        assert_relative_eq!(rise_over_step(tau, from, step), mean, epsilon = 1e-10);
        assert_relative_eq!(rise_over_step(tau, 1e6, step), 1.0);
        assert_relative_eq!(rise_over_step(0.0, 0.0, step), 1.0);
    }

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
            heating: Some(Capacity { rated: 5e3, cop: 3.2 }),
            cooling: None,
            fan: 0.0,
            fan_run: FanRun::WithCall,
            control,
            count: 1,
            coil: Coil::USUAL,
        };
        let expected = [(-1.0, 0.25), (0.0, 0.25), (0.4, 0.25), (1.0, 0.5), (3.0, 1.0)];
        for (distance, output) in expected {
            assert_relative_eq!(unit.output(Drive { distance, stage: 0 }, false), output);
        }
        assert_relative_eq!(unit.output(Drive { distance: 2.0, stage: 0 }, true), 0.25);
        assert_relative_eq!(unit.rated(Direction::Cooling), 0.0);
    }
}
