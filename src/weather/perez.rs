//! The sky is not equally bright everywhere: it is brighter round the sun and, when clear, near
//! the horizon. Perez, Ineichen, Seals, Michalsky and Stewart (1990), Modeling daylight
//! availability and irradiance components from direct and global irradiance, Solar Energy 44(5),
//! 271-289.

/// How the brightness of the sky is spread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SkyModel {
    /// Equally everywhere.
    Isotropic,
    /// Brighter round the sun and near the horizon: Perez and others 1990.
    #[default]
    Anisotropic,
}

/// Light from the sky, cut into the parts that planes see each in its own way, W/m2.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SkyParts {
    /// From everywhere alike, on the horizontal.
    pub(super) background: f64,
    /// From round the sun, on a plane at right angles to its rays.
    pub(super) circumsolar: f64,
    /// From the horizon, on an upright plane; below nothing under a dull sky, whose zenith is
    /// brighter.
    pub(super) horizon: f64,
}

impl SkyParts {
    /// A sky that is equally bright everywhere.
    pub(super) const fn isotropic(diffuse: f64) -> Self {
        Self { background: diffuse, circumsolar: 0.0, horizon: 0.0 }
    }
}

/// The upper ends of the classes of clearness: Table 1.
const CLASSES: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];
/// F11, F12, F13, F21, F22, F23 of each class: Table 6, all sites.
const COEFFICIENTS: [[f64; 6]; 8] = [
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
];
/// Of the zenith angle's cube in the clearness, 1/rad3: eq. (1).
const KAPPA: f64 = 1.041;
/// Cosine of 85 degrees: the sun counts as no lower when its surroundings are spread.
const LOWEST_SUN: f64 = 0.087_155_742_747_658_17;

/// The light that the sky's parts follow from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Light {
    /// Of the sun, at right angles to its rays, W/m2.
    pub(super) beam: f64,
    /// Of the sky, on the horizontal, W/m2.
    pub(super) diffuse: f64,
    /// Outside the atmosphere, at right angles to the rays, W/m2.
    pub(super) outside: f64,
    /// Sine of the sun's altitude.
    pub(super) up: f64,
    /// Length of the way through the air over that of the way straight down.
    pub(super) air_mass: f64,
}

impl Light {
    pub(super) fn parts(self) -> SkyParts {
        if self.diffuse <= 0.0 {
            return SkyParts::isotropic(0.0);
        }
        let zenith = libm::acos(self.up.clamp(0.0, 1.0));
        let cube = KAPPA * zenith * zenith * zenith;
        let clearness = (1.0 + self.beam / self.diffuse + cube) / (1.0 + cube);
        let brightness = self.diffuse * self.air_mass / self.outside;
        let class = CLASSES.partition_point(|end| *end <= clearness);
        let [f11, f12, f13, f21, f22, f23] = COEFFICIENTS[class];
        let round_sun = (f11 + f12 * brightness + f13 * zenith).max(0.0);
        let at_horizon = f21 + f22 * brightness + f23 * zenith;
        SkyParts {
            background: self.diffuse * (1.0 - round_sun),
            circumsolar: self.diffuse * round_sun / self.up.max(LOWEST_SUN),
            horizon: self.diffuse * at_horizon,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand, sun 40 degrees high: z = 0.872 665 rad, 1.041 z3 = 0.691 81; beam 600 over diffuse
    /// 150 make the clearness 1 + 4 / 1.691 81 = 3.364 3, the sixth class; air mass 1.552 8 and
    /// 1350 W/m2 outside make the brightness 0.172 53. F1 = 1.132 - 1.237 * 0.172 53 - 0.412 *
    /// 0.872 665 = 0.559 04, F2 = 0.288 - 0.823 * 0.172 53 + 0.056 * 0.872 665 = 0.194 88.
    #[test]
    fn the_parts_of_a_clear_sky_by_hand() {
        let up = 40.0_f64.to_radians().sin();
        let sky = Light { beam: 600.0, diffuse: 150.0, outside: 1350.0, up, air_mass: 1.552_8 };
        let parts = sky.parts();
        assert_abs_diff_eq!(parts.background, 150.0 * (1.0 - 0.559_04), epsilon = 0.01);
        assert_abs_diff_eq!(parts.circumsolar, 150.0 * 0.559_04 / up, epsilon = 0.01);
        assert_abs_diff_eq!(parts.horizon, 150.0 * 0.194_88, epsilon = 0.01);
    }

    #[test]
    fn the_parts_add_up_on_the_horizontal() {
        for up in [0.1, 0.3, 0.7, 1.0] {
            for (beam, diffuse) in [(0.0, 50.0), (100.0, 200.0), (900.0, 80.0)] {
                let sky = Light { beam, diffuse, outside: 1367.0, up, air_mass: 1.0 / up };
                let parts = sky.parts();
                let sum = parts.background + parts.circumsolar * up;
                assert_abs_diff_eq!(sum, diffuse, epsilon = 1e-9);
            }
        }
        let dark = Light { beam: 0.0, diffuse: 0.0, outside: 1367.0, up: 0.0, air_mass: 38.0 };
        assert_eq!(dark.parts(), SkyParts::isotropic(0.0));
    }
}
