//! Predicted mean vote and predicted percentage dissatisfied: ISO 7730:2005, clause 4 and 5,
//! after Fanger.

/// One met, W/m2: ISO 7730:2005, annex B.
const MET: f64 = 58.15;
/// One clo, m2 K/W: ISO 7730:2005, annex C.
const CLO: f64 = 0.155;
/// The surface temperature of clothing is found to this, K.
const CLOTHING_TOLERANCE: f64 = 1e-9;
/// Halving alone narrows 100 K down to the tolerance in 37 rounds.
const MOST_ROUNDS: u32 = 60;

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
    let metabolic = MET * around.met;
    let vapour = vapour_pressure(around.air, around.humidity);
    let clothing = Clothing::new(around);
    let loss = 3.05e-3 * (5733.0 - 6.99 * metabolic - vapour)
        + 0.42 * (metabolic - MET)
        + 1.7e-5 * metabolic * (5867.0 - vapour)
        + 0.0014 * metabolic * (34.0 - around.air)
        + clothing.loss(clothing.temperature());
    (0.303 * libm::exp(-0.036 * metabolic) + 0.028) * (metabolic - loss)
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

/// The heat balance at the outside of the clothing.
struct Clothing {
    /// Of the clothing's surface if it lost no heat, degrees C.
    skin: f64,
    air: f64,
    mean_radiant: f64,
    /// m2 K/W.
    insulation: f64,
    /// Surface of the clothed over that of the bare body.
    area_factor: f64,
    /// Convection forced by the air's movement, W/(m2 K).
    forced: f64,
}

impl Clothing {
    fn new(around: &Surroundings) -> Self {
        let insulation = CLO * around.clo;
        let area_factor =
            if insulation <= 0.078 { 1.0 + 1.29 * insulation } else { 1.05 + 0.645 * insulation };
        Self {
            skin: 35.7 - 0.028 * MET * around.met,
            air: around.air,
            mean_radiant: around.mean_radiant,
            insulation,
            area_factor,
            forced: 12.1 * around.air_speed.max(0.0).sqrt(),
        }
    }

    /// Heat that it loses at a surface temperature by radiation and convection, W/m2.
    fn loss(&self, surface: f64) -> f64 {
        let convected = self.convection(surface).0 * (surface - self.air);
        let radiated = fourth_power(surface + 273.0) - fourth_power(self.mean_radiant + 273.0);
        self.area_factor * (3.96e-8 * radiated + convected)
    }

    /// The coefficient of convection, W/(m2 K), and by how much the heat convected grows with the
    /// surface temperature: free convection goes with the power 1.25 of the difference.
    fn convection(&self, surface: f64) -> (f64, f64) {
        let free = 2.38 * (surface - self.air).abs().sqrt().sqrt();
        if free > self.forced { (free, 1.25 * free) } else { (self.forced, self.forced) }
    }

    /// The surface temperature at which as much heat comes through the clothing as leaves it:
    /// Newton's method, and halving where that would leave the bracket. What is solved grows
    /// with the temperature, and its root lies between skin, air and surroundings.
    fn temperature(&self) -> f64 {
        let ends = [self.skin, self.air, self.mean_radiant];
        let mut low = ends.into_iter().fold(f64::INFINITY, f64::min);
        let mut high = ends.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let mut surface = 0.5 * (low + high);
        for _ in 0..MOST_ROUNDS {
            let excess = surface - self.skin + self.insulation * self.loss(surface);
            if excess > 0.0 {
                high = surface;
            } else {
                low = surface;
            }
            let kelvin = surface + 273.0;
            let radiation = 4.0 * 3.96e-8 * kelvin * kelvin * kelvin;
            let growth = radiation + self.convection(surface).1;
            let newton = surface - excess / (1.0 + self.insulation * self.area_factor * growth);
            let next = if low <= newton && newton <= high { newton } else { 0.5 * (low + high) };
            let moved = (next - surface).abs();
            surface = next;
            if moved < CLOTHING_TOLERANCE {
                break;
            }
        }
        surface
    }
}

fn fourth_power(value: f64) -> f64 {
    let square = value * value;
    square * square
}
