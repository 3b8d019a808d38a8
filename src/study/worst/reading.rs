//! Between the sensor's body and what the thermostat reads: which temperatures of the body let the
//! reading be at or above something, or at or below it.

use crate::control::{ROUNDING, Sensor, SensorPlace};
use crate::direction::Direction;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// Guards are wider than the thresholds by this, K: far more than all rounding.
const MARGIN: f64 = 1e-6;

/// How a zone's sensor turns the temperature of its body, degrees C, into a reading, in the file's
/// unit: times a scale plus a shift, rounded.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    pub(super) scale: f64,
    pub(super) shift: f64,
    /// How far rounding moves it, at most.
    pub(super) rounds: f64,
    /// How far the body comes towards its place in a step, 0 to 1.
    pub(super) approach: f64,
    /// How much warmer its place is after a step served in each direction, K.
    pub(super) stratification: [f64; 2],
}

impl Reading {
    /// The governing sensor of a zone, in steps of a length. `forgets_offset` is a mutant for
    /// tests of the tests.
    pub(super) fn new(
        sensor: &Sensor,
        unit: TemperatureUnit,
        step: Seconds,
        forgets_offset: bool,
    ) -> Self {
        let (stratification, own_offset) = match sensor.place {
            SensorPlace::Room => ([0.0; 2], 0.0),
            SensorPlace::ReturnAir { heating, cooling } => {
                ([heating, cooling].map(|it| unit.difference_to_kelvin(it)), 0.0)
            }
            SensorPlace::Controllers { offset } => ([0.0; 2], offset),
        };
        let (scale, shift) = match unit {
            TemperatureUnit::Celsius => (1.0, 0.0),
            TemperatureUnit::Fahrenheit => (1.8, 32.0),
        };
        let (step, lag) = (step.get() as f64, sensor.lag.get() as f64);
        let offset = if forgets_offset { 0.0 } else { sensor.offset + own_offset };
        Self {
            scale,
            shift: shift + offset,
            rounds: sensor.resolution / 2.0,
            approach: if lag > 0.0 { -libm::expm1(-step / lag) } else { 1.0 },
            stratification,
        }
    }

    /// The highest body, degrees C, with which the reading can be at or below a temperature in the
    /// file's unit.
    pub(super) fn at_most(&self, reading: f64) -> f64 {
        (reading + ROUNDING + self.rounds - self.shift) / self.scale + MARGIN
    }

    /// The lowest body, degrees C, with which it can be at or above one.
    pub(super) fn at_least(&self, reading: f64) -> f64 {
        (reading - ROUNDING - self.rounds - self.shift) / self.scale - MARGIN
    }

    /// The body, degrees C, with which it reads a temperature if it does not round.
    pub(super) fn body(&self, reading: f64) -> f64 {
        (reading - self.shift) / self.scale
    }

    /// How much warmer the sensor's place is than the air after a step.
    pub(super) const fn warmer(&self, served: Option<Direction>) -> f64 {
        match served {
            Some(direction) => self.stratification[direction as usize],
            None => 0.0,
        }
    }
}
