//! Quantiles of what was drawn or measured.

/// A quantile of values in rising order: linear between the values, ends at the least and the
/// greatest (type 7 of Hyndman and Fan 1996). Not a number where there are none.
pub(super) fn quantile(sorted: &[f64], part: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let place = part * last as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the number of values"
    )]
    let low = libm::floor(place) as usize;
    let high = (low + 1).min(last);
    sorted[low] + (place - low as f64) * (sorted[high] - sorted[low])
}
