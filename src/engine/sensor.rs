//! A sensor between the air at its place and what it reports (rule 9).

use super::model::{Model, Zone};
use crate::control::{SensorPlace, round_half_up};
use crate::direction::Direction;
use crate::numbers::Number;
use crate::units::TemperatureUnit;

/// One zone's governing sensor.
#[derive(Clone, Copy, Debug)]
pub(super) struct SensorPlan {
    /// How much warmer its place is after a step in which the fan ran, by the direction served last, K.
    stratification: [f64; 2],
    /// What leads from its place to its report.
    pub(super) body: SensorBody<f64>,
    /// The steps it reports in, in the file's unit, where they are no part of a degree.
    coarse: Option<f64>,
}

/// What leads from the temperature at a sensor's place to its report: one, or several side by
/// side.
#[derive(Clone, Copy, Debug)]
pub(super) struct SensorBody<V: Number> {
    /// How far it comes towards its place in one step, 0 to 1.
    approach: V,
    /// Where it lags at all.
    lags: V::Mask,
    /// From degrees C to the file's unit: times this,
    scale: V,
    /// plus this.
    shift: V,
    /// What is added, in the file's unit.
    offset: V,
    /// So many reports to a degree: dividing gives the nearest number, multiplying does not.
    per_degree: V,
    /// Where it reports in steps.
    rounds: V::Mask,
}

impl SensorPlan {
    pub(super) fn new(zone: &Zone, model: &Model) -> Self {
        let sensor = &zone.controls.sensor;
        let (stratification, own_offset) = match sensor.place {
            SensorPlace::Room => ([0.0; 2], 0.0),
            SensorPlace::ReturnAir { heating, cooling } => {
                ([heating, cooling].map(|it| model.unit.difference_to_kelvin(it)), 0.0)
            }
            SensorPlace::Controllers { offset } => ([0.0; 2], offset),
        };
        let (step, lag) = (model.period.step().get() as f64, sensor.lag.get() as f64);
        let (scale, shift) = match model.unit {
            TemperatureUnit::Celsius => (1.0, 0.0),
            TemperatureUnit::Fahrenheit => (1.8, 32.0),
        };
        let resolution = sensor.resolution;
        let per_degree = if resolution > 0.0 { (1.0 / resolution).round() } else { 0.0 };
        let is_part = per_degree >= 1.0 && (per_degree * resolution - 1.0).abs() < 1e-9;
        let approach = if lag > 0.0 { -libm::expm1(-step / lag) } else { 1.0 };
        let body = SensorBody {
            approach,
            lags: approach < 1.0,
            scale,
            shift,
            offset: sensor.offset + own_offset,
            per_degree: per_degree.max(1.0),
            rounds: is_part,
        };
        Self { stratification, body, coarse: (resolution > 0.0 && !is_part).then_some(resolution) }
    }

    /// Whether it reports in steps that are no part of a degree.
    pub(super) const fn is_coarse(&self) -> bool {
        self.coarse.is_some()
    }

    /// How much warmer its place is than the air, K, where the fan has drawn air past it, in the
    /// direction served last; with the fan at rest it is no warmer.
    pub(super) fn warmer(&self, drawn: Option<Direction>) -> f64 {
        drawn.map_or(0.0, |direction| self.stratification[direction as usize])
    }

    /// What the sensor's body comes to, degrees C, from where it was (nowhere yet at the start),
    /// with the air of the room, and drawn in which direction in the step before.
    pub(super) fn follow(&self, lagged: Option<f64>, air: f64, drawn: Option<Direction>) -> f64 {
        lagged.map_or(air, |body| self.body.follow(body, air + self.warmer(drawn)))
    }

    /// Whether it matters to it that the fan runs.
    pub(super) fn is_in_return_air(&self) -> bool {
        self.stratification != [0.0; 2]
    }

    /// What the sensor reports, in the file's unit, for a body at degrees C.
    pub(super) fn report(&self, body: f64) -> f64 {
        match self.coarse {
            Some(size) => round_half_up(self.body.report(body) / size) * size,
            None => self.body.report(body),
        }
    }
}

impl<V: Number> SensorBody<V> {
    /// Sensors side by side, each in its lane.
    #[inline(always)]
    pub(super) fn from_fn<'s>(token: V::Token, of: impl Fn(usize) -> &'s SensorBody<f64>) -> Self {
        let all = |pick: fn(&SensorBody<f64>) -> f64| V::from_fn(token, |lane| pick(of(lane)));
        Self {
            approach: all(|it| it.approach),
            lags: V::mask_from_fn(token, |lane| of(lane).lags),
            scale: all(|it| it.scale),
            shift: all(|it| it.shift),
            offset: all(|it| it.offset),
            per_degree: all(|it| it.per_degree),
            rounds: V::mask_from_fn(token, |lane| of(lane).rounds),
        }
    }

    /// What the body comes to in a step, degrees C, with its place at a temperature.
    #[inline(always)]
    pub(super) fn follow(&self, body: V, place: V) -> V {
        V::select(self.lags, body + self.approach * (place - body), place)
    }

    /// What is reported, in the file's unit.
    #[inline(always)]
    pub(super) fn report(&self, body: V) -> V {
        let value = body * self.scale + self.shift + self.offset;
        let rounded = round_half_up(value * self.per_degree) / self.per_degree;
        V::select(self.rounds, rounded, value)
    }
}
