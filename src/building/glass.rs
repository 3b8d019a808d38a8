//! What glass lets through of the sun, by the angle at which it comes.

/// Cosine of 58 degrees: at that angle as much of a beam passes as of light from everywhere alike.
/// Brandemuehl and Beckman (1980), Transmission of diffuse radiation through CPC and flat plate
/// collector glazings, Solar Energy 24(5), 511-513, for upright glass, from memory.
const COS_58: f64 = 0.529_919_264_233_205;
/// How fast less passes at a slant, for two panes: Souka and Safwat (1966), Determination of the
/// optimum orientations for the double-exposure flat-plate collector and its reflectors, Solar
/// Energy 10(4), 170-174.
const SLANT: f64 = 0.1;

/// Part of a beam that passes, over that at normal incidence: 1 - 0.1 (1/cos - 1), nothing beyond
/// 84.8 degrees.
pub fn angle_modifier(cos_incidence: f64) -> f64 {
    if cos_incidence * (1.0 + SLANT) <= SLANT {
        return 0.0;
    }
    1.0 - SLANT * (1.0 / cos_incidence - 1.0)
}

/// The same for light from the sky and the ground, as if it came at 58 degrees.
pub fn diffuse_modifier() -> f64 {
    angle_modifier(COS_58)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand from the formula.
    #[test]
    fn less_passes_at_a_slant() {
        for (degrees, expected) in [(0.0_f64, 1.0), (60.0, 0.9), (75.0, 0.713_63), (85.0, 0.0)] {
            let cos = degrees.to_radians().cos();
            assert_abs_diff_eq!(angle_modifier(cos), expected, epsilon = 1e-4);
        }
        assert_eq!(angle_modifier(0.0), 0.0);
        assert_abs_diff_eq!(diffuse_modifier(), 0.911_29, epsilon = 1e-5);
    }
}
