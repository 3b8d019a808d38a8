//! A scale of temperatures as colours whose lightness grows with them.

use plotters::style::RGBColor;

use super::scale::whole_count;

/// So many colours: cells that look the same are drawn together.
pub(super) const LEVELS: usize = 16;

/// Colours on the way from cold to warm. Their lightness (Y of sRGB) grows all the way; the hues
/// pass from violet through red to yellow, so that neighbours differ in hue, too.
const STOPS: [(f64, f64, f64); 5] = [
    (24.0, 15.0, 62.0),
    (99.0, 28.0, 118.0),
    (190.0, 55.0, 84.0),
    (243.0, 132.0, 48.0),
    (252.0, 240.0, 170.0),
];

/// The scale over a range of temperatures.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ramp {
    low: f64,
    high: f64,
}

impl Ramp {
    /// The scale over all these values, from whole degree to whole degree.
    pub(super) fn over(values: impl Iterator<Item = f64>) -> Self {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
        if low > high {
            return Self { low: 0.0, high: 1.0 };
        }
        let low = libm::floor(low);
        Self { low, high: libm::ceil(high).max(low + 1.0) }
    }

    pub(super) const fn low(&self) -> f64 {
        self.low
    }

    pub(super) const fn high(&self) -> f64 {
        self.high
    }

    /// The colour of a value.
    pub(super) fn color(&self, value: f64) -> RGBColor {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        Self::level(whole_count(part * LEVELS as f64).min(LEVELS - 1))
    }

    /// The colour of a level, 0 for the coldest.
    pub(super) fn level(level: usize) -> RGBColor {
        let along = level as f64 / (LEVELS - 1) as f64 * (STOPS.len() - 1) as f64;
        let at = whole_count(along).min(STOPS.len() - 2);
        let (from, to, part) = (STOPS[at], STOPS[at + 1], along - at as f64);
        let mix = |from: f64, to: f64| shade(from + (to - from) * part);
        RGBColor(mix(from.0, to.0), mix(from.1, to.1), mix(from.2, to.2))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "rounded, and between two bytes"
)]
fn shade(value: f64) -> u8 {
    libm::round(value) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_grows_with_the_temperature() {
        let ramp = Ramp::over([18.4, 25.2].into_iter());
        assert_eq!((ramp.low(), ramp.high()), (18.0, 26.0));
        // Weights of sRGB's red, green and blue in luma: ITU-R BT.601.
        let luma = |RGBColor(red, green, blue)| {
            0.299 * f64::from(red) + 0.587 * f64::from(green) + 0.114 * f64::from(blue)
        };
        let lightness: Vec<f64> = (0..LEVELS).map(|level| luma(Ramp::level(level))).collect();
        assert!(lightness.windows(2).all(|pair| pair[1] - pair[0] > 4.0), "{lightness:?}");
        assert_eq!(ramp.color(18.0), Ramp::level(0));
        assert_eq!(ramp.color(26.0), Ramp::level(LEVELS - 1));
        assert_eq!(ramp.color(-40.0), Ramp::level(0));
    }

    #[test]
    fn a_scale_over_nothing_or_one_value_is_still_one() {
        assert_eq!(Ramp::over(std::iter::empty()).color(3.0), Ramp::level(LEVELS - 1));
        let one = Ramp::over([20.0].into_iter());
        assert!(one.high() > one.low());
    }
}
