//! How much of the light on the horizontal comes from the sky: Erbs, Klein and Duffie (1982),
//! Estimation of the diffuse radiation fraction for hourly, daily and monthly-average global
//! radiation, Solar Energy 28(4), 293-302.

/// Part of global horizontal radiation that is diffuse, from the clearness index: global radiation
/// over what would come without an atmosphere.
pub fn diffuse_fraction(clearness: f64) -> f64 {
    let k = clearness.clamp(0.0, 1.0);
    if k <= 0.22 {
        1.0 - 0.09 * k
    } else if k <= 0.80 {
        0.9511 + k * (-0.1604 + k * (4.388 + k * (-16.638 + k * 12.336)))
    } else {
        0.165
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// The three pieces of the published curve meet within a hundredth; between, it falls.
    #[test]
    fn the_pieces_meet_and_clearer_skies_send_less_from_the_sky() {
        for joint in [0.22, 0.80] {
            let (before, after) = (diffuse_fraction(joint), diffuse_fraction(joint + 1e-9));
            assert_abs_diff_eq!(before, after, epsilon = 0.01);
        }
        let values: Vec<f64> =
            (0..80).map(|step| diffuse_fraction(0.01 * f64::from(step))).collect();
        assert!(values.windows(2).all(|pair| pair[1] < pair[0] + 0.01), "{values:?}");
        assert_abs_diff_eq!(diffuse_fraction(0.0), 1.0);
        assert_abs_diff_eq!(diffuse_fraction(1.2), 0.165);
        // 0.9511 - 0.0802 + 1.097 - 2.07975 + 0.771 by hand.
        assert_abs_diff_eq!(diffuse_fraction(0.5), 0.65915, epsilon = 1e-5);
    }
}
