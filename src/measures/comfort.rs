//! Predicted mean vote (PMV) and predicted percentage dissatisfied (PPD): ISO 7730:2005, clause 4 and 5,
//! after Fanger.

use crate::engine::Humidity;
use crate::numbers::Number;

/// One met, W/m2: ISO 7730:2005, annex B.
const MET: f64 = 58.15;
/// One clo, m2 K/W: ISO 7730:2005, annex C.
const CLO: f64 = 0.155;
/// Newton's method squares what is missing: after a move of the clothing's surface temperature by
/// less than this, K, some 1e-10 K are left.
const LAST_MOVE: f64 = 1e-4;
/// Halving alone narrows 100 K down to that in 20 rounds.
const MOST_ROUNDS: u32 = 40;

/// What the thermal sensation of a person depends on. External work is zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Air temperature, degrees C.
    pub air: f64,
    /// Mean radiant temperature, degrees C.
    pub mean_radiant: f64,
    /// Air speed relative to the body, m/s.
    pub air_speed: f64,
    /// Relative humidity, percent.
    pub humidity: f64,
    /// Metabolic rate, met.
    pub met: f64,
    /// Clothing insulation, clo.
    pub clo: f64,
}

/// Predicted mean vote (PMV), -3 cold to +3 hot: ISO 7730:2005, eq. (1) to (4).
pub fn predicted_mean_vote(around: &Surroundings) -> f64 {
    let body = Body::new(around.met, around.clo, around.air_speed);
    let vapour = vapour_pressure(around.air, around.humidity);
    body.pmv(around.air, around.mean_radiant, vapour)
}

/// Partial pressure of water vapour, Pa: ISO 7730:2005, annex D.
fn vapour_pressure(air: f64, humidity: f64) -> f64 {
    humidity * 10.0 * libm::exp(16.6536 - 4030.183 / (air + 235.0))
}

/// Relative humidity, percent, of air at a temperature with so much water vapour, Pa.
pub(super) fn humidity_of(air: f64, vapour: f64) -> f64 {
    100.0 * vapour / vapour_pressure(air, 100.0)
}

/// Pressure of water vapour, Pa, in air at a temperature in degrees C: that of another place, of
/// outdoor air that came in, to which nothing was added and from which nothing was taken, but no
/// more than the air can hold, since the rest condenses; or else that of a constant humidity. Water
/// that is followed always has a pressure.
pub(super) fn vapour_in(air: f64, vapour: Option<f64>, humidity: Humidity) -> Option<f64> {
    match (vapour, humidity) {
        (Some(vapour), _) => Some(vapour.min(vapour_pressure(air, 100.0))),
        (None, Humidity::Constant(percent)) => Some(vapour_pressure(air, percent)),
        (None, Humidity::Followed { .. }) => None,
    }
}

/// What the PMV needs of clothing, activity and air speed, whatever the temperatures are: of one
/// person, or of several, one in each lane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Body<V = f64> {
    /// Metabolic rate, W/m2.
    metabolic: V,
    /// How the PMV grows with the heat that is not lost, m2/W: ISO 7730:2005, eq. (1).
    sensitivity: V,
    /// Of the clothing's surface if it lost no heat, degrees C.
    skin: V,
    /// Of the clothing, m2 K/W.
    insulation: V,
    /// Surface of the clothed over that of the bare body.
    area_factor: V,
    /// Convection forced by the air's movement, W/(m2 K).
    forced: V,
}

/// The heat balance at the outside of the clothing, at one surface temperature.
struct Surface<V> {
    /// What it loses by radiation and convection, W/m2.
    loss: V,
    /// By how much that grows with the temperature, W/(m2 K).
    growth: V,
}

impl Body {
    pub(super) fn new(met: f64, clo: f64, air_speed: f64) -> Self {
        let (metabolic, insulation) = (MET * met, CLO * clo);
        let area_factor =
            if insulation <= 0.078 { 1.0 + 1.29 * insulation } else { 1.05 + 0.645 * insulation };
        Self {
            metabolic,
            sensitivity: 0.303 * libm::exp(-0.036 * metabolic) + 0.028,
            skin: 35.7 - 0.028 * metabolic,
            insulation,
            area_factor,
            forced: 12.1 * air_speed.max(0.0).sqrt(),
        }
    }
}

impl<V: Number> Body<V> {
    /// Several, each in its lane.
    #[inline(always)]
    pub(super) fn from_fn<'b>(token: V::Token, of: impl Fn(usize) -> &'b Body) -> Self {
        Self {
            metabolic: V::from_fn(token, |lane| of(lane).metabolic),
            sensitivity: V::from_fn(token, |lane| of(lane).sensitivity),
            skin: V::from_fn(token, |lane| of(lane).skin),
            insulation: V::from_fn(token, |lane| of(lane).insulation),
            area_factor: V::from_fn(token, |lane| of(lane).area_factor),
            forced: V::from_fn(token, |lane| of(lane).forced),
        }
    }

    /// The PMV in air at a temperature, degrees C, with so much water vapour, Pa.
    #[inline(always)]
    pub(super) fn pmv(&self, air: V, mean_radiant: V, vapour: V) -> V {
        let (metabolic, number) = (self.metabolic, |value| air.splat(value));
        let loss = number(3.05e-3) * (number(5733.0) - number(6.99) * metabolic - vapour)
            // ISO 7730:2005: nobody at rest sweats less than nothing.
            + number(0.42) * (metabolic - number(MET)).max(number(0.0))
            + number(1.7e-5) * metabolic * (number(5867.0) - vapour)
            + number(0.0014) * metabolic * (number(34.0) - air)
            + self.loss(air, mean_radiant);
        self.sensitivity * (metabolic - loss)
    }

    /// Heat that the clothing loses by radiation and convection, W/m2, at the surface temperature
    /// at which as much comes through it: Newton's method, and halving where that would leave the
    /// bracket. What is solved grows with the temperature, and its root lies between skin, air and
    /// surroundings.
    #[inline(always)]
    fn loss(&self, air: V, mean_radiant: V) -> V {
        let number = |value| air.splat(value);
        let mut low = self.skin.min(air).min(mean_radiant);
        let mut high = self.skin.max(air).max(mean_radiant);
        let radiant = fourth_power(mean_radiant + number(273.0));
        // Where the standard's own program begins: ISO 7730:2005, annex D.
        let steepness = number(3.5) * (number(6.45) * self.insulation + number(0.1));
        let guess = air + (number(35.5) - air) / steepness;
        let mut surface = guess.max(low).min(high);
        let mut found = surface;
        let mut sought = surface.ge(surface);
        for _ in 0..MOST_ROUNDS {
            let Surface { loss, growth } = self.surface(surface, air, radiant);
            let excess = surface - self.skin + self.insulation * loss;
            let too_low = number(0.0).ge(excess);
            low = V::select(too_low, surface, low);
            high = V::select(too_low, high, surface);
            let newton = surface - excess / (number(1.0) + self.insulation * growth);
            let inside = newton.ge(low) & high.ge(newton);
            let next = V::select(inside, newton, number(0.5) * (low + high));
            let moved = next - surface;
            surface = next;
            found = V::select(sought, loss + growth * moved, found);
            sought = sought & moved.abs().ge(number(LAST_MOVE));
            if !V::any(sought) {
                break;
            }
        }
        found
    }

    /// `radiant` is the fourth power of the mean radiant temperature, K4. Free convection goes with
    /// the power 1.25 of the difference.
    #[inline(always)]
    fn surface(&self, surface: V, air: V, radiant: V) -> Surface<V> {
        let number = |value| air.splat(value);
        let warmer = surface - air;
        let free = number(2.38) * warmer.abs().sqrt().sqrt();
        let is_forced = self.forced.ge(free);
        let convection = V::select(is_forced, self.forced, free);
        let convection_grows = V::select(is_forced, self.forced, number(1.25) * free);
        let kelvin = surface + number(273.0);
        let cube = kelvin * kelvin * kelvin;
        let radiated = number(3.96e-8) * (cube * kelvin - radiant);
        Surface {
            loss: self.area_factor * (radiated + convection * warmer),
            growth: self.area_factor * (number(4.0 * 3.96e-8) * cube + convection_grows),
        }
    }
}

#[inline(always)]
fn fourth_power<V: Number>(value: V) -> V {
    let square = value * value;
    square * square
}
