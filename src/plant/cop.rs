//! The coefficient of performance of a plant of a zone's own.

use super::tables::Curve;
use crate::direction::Direction;

/// Heat over electricity of a plant of a zone's own, in one direction, at full load.
#[derive(Clone, Debug, PartialEq)]
pub enum Cop {
    /// The same at every outdoor temperature.
    Constant(f64),
    /// Linear between points of outdoor temperature, degrees C, and COP; held beyond the ends.
    Table(Curve),
    /// When cooling: this at [`RATED_OUTDOOR`], and elsewhere in proportion to what a Carnot process
    /// would reach between [`EVAPORATING`] and the outdoor air plus [`ABOVE_OUTDOOR`]; below
    /// [`MILDEST`] what it is there. Common practice, no source.
    Carnot(f64),
}

/// Outdoor temperature at which cooling is rated, degrees C: AHRI 210/240 and ISO 5151, from memory.
pub const RATED_OUTDOOR: f64 = 35.0;
/// Evaporating temperature of the Carnot process, degrees C.
pub const EVAPORATING: f64 = 8.0;
/// By so much condensing is warmer than the outdoor air, K.
pub const ABOVE_OUTDOOR: f64 = 12.0;
/// Below this outdoor temperature condensing is kept up, degrees C.
pub const MILDEST: f64 = 20.0;
/// The cooling COP of a plant of its own where a file gives none: common practice, no source.
pub const USUAL_COOLING: f64 = 3.2;
/// Outdoor temperatures, degrees C, and heating COPs of a plant of its own where a file gives none:
/// minimum efficiencies of ANSI/ASHRAE/IES 90.1 for air-cooled multi-zone heat pumps of 19 to 40 kW,
/// from memory.
pub const USUAL_HEATING: [(f64, f64); 2] = [(-8.3, 2.25), (8.3, 3.3)];

impl Cop {
    /// In a direction, where a file gives none.
    pub fn usual(direction: Direction) -> Self {
        match direction {
            Direction::Heating => Self::usual_heating(),
            Direction::Cooling => Self::usual_cooling(),
        }
    }

    /// When heating, where a file gives none.
    pub fn usual_heating() -> Self {
        Curve::new(USUAL_HEATING.to_vec()).map_or(Self::Constant(USUAL_HEATING[1].1), Self::Table)
    }

    /// When cooling, where a file gives none.
    pub const fn usual_cooling() -> Self {
        Self::Carnot(USUAL_COOLING)
    }

    /// Its value at an outdoor temperature in degrees C.
    pub fn at(&self, outdoor: f64) -> f64 {
        match self {
            Self::Constant(cop) => *cop,
            Self::Table(curve) => curve.at(outdoor),
            Self::Carnot(rated) => rated * carnot(outdoor) / carnot(RATED_OUTDOOR),
        }
    }

    /// Whether it is the same at every outdoor temperature.
    pub const fn is_constant(&self) -> bool {
        matches!(self, Self::Constant(_))
    }
}

impl From<f64> for Cop {
    fn from(cop: f64) -> Self {
        Self::Constant(cop)
    }
}

/// The COP of a Carnot process that cools, `Te / (Tc - Te)` in kelvin.
fn carnot(outdoor: f64) -> f64 {
    let condensing = outdoor.max(MILDEST) + ABOVE_OUTDOOR;
    (EVAPORATING + 273.15) / (condensing - EVAPORATING)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// By hand: the heating COP rises by 1.05 over 16.6 K; cooling, 281.15 K over 39 K is 7.209 at 35 C
    /// and over 24 K 11.715 at 20 C, so 3.2 becomes 3.2 * 39 / 24 = 5.2; over 44 K, at 40 C, 2.836.
    #[test]
    fn usual_plants_do_better_the_less_they_must_lift() {
        let (heating, cooling) = (Cop::usual_heating(), Cop::usual_cooling());
        for (outdoor, cop) in [(-20.0, 2.25), (-8.3, 2.25), (0.0, 2.775), (8.3, 3.3), (20.0, 3.3)] {
            assert_relative_eq!(heating.at(outdoor), cop, epsilon = 1e-12);
        }
        for (outdoor, cop) in [(10.0, 5.2), (20.0, 5.2), (35.0, 3.2), (40.0, 3.2 * 39.0 / 44.0)] {
            assert_relative_eq!(cooling.at(outdoor), cop, epsilon = 1e-12);
        }
        assert_relative_eq!(Cop::from(3.0).at(-40.0), 3.0);
    }
}
