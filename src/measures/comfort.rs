//! Predicted mean vote and predicted percentage dissatisfied: ISO 7730:2005, clause 4 and 5,
//! after Fanger.

/// One met, W/m2: ISO 7730:2005, annex B.
const MET: f64 = 58.15;
/// One clo, m2 K/W: ISO 7730:2005, annex C.
const CLO: f64 = 0.155;
/// Newton's method squares what is missing: after a move of the clothing's surface temperature by
/// less than this, K, some 1e-10 K are left.
const LAST_MOVE: f64 = 1e-4;
/// Halving alone narrows 100 K down to that in 20 rounds.
const MOST_ROUNDS: u32 = 40;

/// What a person feels. Nobody does work beyond the metabolic rate.
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

/// Predicted mean vote, -3 cold to +3 hot: ISO 7730:2005, eq. (1) to (4).
pub fn predicted_mean_vote(around: &Surroundings) -> f64 {
    let body = Body::new(around.met, around.clo, around.air_speed);
    body.vote(around.air, around.mean_radiant, around.humidity)
}

/// Partial pressure of water vapour, Pa: ISO 7730:2005, annex D.
fn vapour_pressure(air: f64, humidity: f64) -> f64 {
    humidity * 10.0 * libm::exp(16.6536 - 4030.183 / (air + 235.0))
}

/// Relative humidity, percent, of air at a temperature in degrees C that holds the vapour of
/// another place, Pa: outdoor air that came in, to which nothing was added and from which nothing
/// was taken. What is more than it can hold condenses.
pub(super) fn humidity_of(air: f64, vapour: f64) -> f64 {
    (100.0 * vapour / vapour_pressure(air, 100.0)).min(100.0)
}

/// Somebody dressed and busy in some way, in moving air: what the vote needs of them, whatever the
/// temperatures are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Body {
    /// Metabolic rate, W/m2.
    metabolic: f64,
    /// How the vote grows with the heat that is not lost, m2/W: ISO 7730:2005, eq. (1).
    sensitivity: f64,
    /// Of the clothing's surface if it lost no heat, degrees C.
    skin: f64,
    /// Of the clothing, m2 K/W.
    insulation: f64,
    /// Surface of the clothed over that of the bare body.
    area_factor: f64,
    /// Convection forced by the air's movement, W/(m2 K).
    forced: f64,
}

/// The heat balance at the outside of the clothing, at one surface temperature.
struct Surface {
    /// What it loses by radiation and convection, W/m2.
    loss: f64,
    /// By how much that grows with the temperature, W/(m2 K).
    growth: f64,
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

    /// The vote in air at a temperature, degrees C, and a relative humidity, percent.
    pub(super) fn vote(&self, air: f64, mean_radiant: f64, humidity: f64) -> f64 {
        let (metabolic, vapour) = (self.metabolic, vapour_pressure(air, humidity));
        let loss = 3.05e-3 * (5733.0 - 6.99 * metabolic - vapour)
            + 0.42 * (metabolic - MET)
            + 1.7e-5 * metabolic * (5867.0 - vapour)
            + 0.0014 * metabolic * (34.0 - air)
            + self.loss(air, mean_radiant);
        self.sensitivity * (metabolic - loss)
    }

    /// Heat that the clothing loses by radiation and convection, W/m2, at the surface temperature
    /// at which as much comes through it: Newton's method, and halving where that would leave the
    /// bracket. What is solved grows with the temperature, and its root lies between skin, air and
    /// surroundings.
    fn loss(&self, air: f64, mean_radiant: f64) -> f64 {
        let mut low = self.skin.min(air).min(mean_radiant);
        let mut high = self.skin.max(air).max(mean_radiant);
        let radiant = fourth_power(mean_radiant + 273.0);
        // Where the standard's own program begins: ISO 7730:2005, annex D.
        let guess = air + (35.5 - air) / (3.5 * (6.45 * self.insulation + 0.1));
        let mut surface = guess.clamp(low, high);
        for _ in 0..MOST_ROUNDS {
            let Surface { loss, growth } = self.surface(surface, air, radiant);
            let excess = surface - self.skin + self.insulation * loss;
            if excess > 0.0 {
                high = surface;
            } else {
                low = surface;
            }
            let newton = surface - excess / (1.0 + self.insulation * growth);
            let next = if low <= newton && newton <= high { newton } else { 0.5 * (low + high) };
            let moved = next - surface;
            surface = next;
            if moved.abs() < LAST_MOVE {
                return loss + growth * moved;
            }
        }
        self.surface(surface, air, radiant).loss
    }

    /// `radiant` is the fourth power of the mean radiant temperature, K4. Free convection goes with
    /// the power 1.25 of the difference.
    fn surface(&self, surface: f64, air: f64, radiant: f64) -> Surface {
        let warmer = surface - air;
        let free = 2.38 * warmer.abs().sqrt().sqrt();
        let (convection, convection_grows) =
            if free > self.forced { (free, 1.25 * free) } else { (self.forced, self.forced) };
        let kelvin = surface + 273.0;
        let cube = kelvin * kelvin * kelvin;
        let radiated = 3.96e-8 * (cube * kelvin - radiant);
        Surface {
            loss: self.area_factor * (radiated + convection * warmer),
            growth: self.area_factor * (4.0 * 3.96e-8 * cube + convection_grows),
        }
    }
}

fn fourth_power(value: f64) -> f64 {
    let square = value * value;
    square * square
}
