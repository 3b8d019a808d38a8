//! The most that the sun can bring: that of a clear sky, by the clock.

use crate::engine::{Model, SunOver};
use crate::time::{DAY, Period};
use crate::weather::Weather;

/// The most that the sun brings into each zone in each step of a period, W: from a clear sky, with
/// no shade drawn that is not drawn always. Where the weather repeats the day of another date, the
/// sun of either.
pub(super) fn clear(model: &Model, period: &Period) -> Vec<Vec<f64>> {
    let mut bright = model.clone();
    bright.sky.monthly = None;
    bright.weather = Weather::Hours(Box::new([0.0; 24]));
    bright.period = *period;
    for window in bright.zones.iter_mut().flat_map(|zone| &mut zone.windows) {
        window.shade = window.shade.filter(|shade| shade.above.is_none() && !shade.when_occupied);
    }
    let mut most = over(&bright, period);
    let repeated = model.weather.record().and_then(|record| record.sun_of);
    if let Some(day) = repeated.and_then(|date| Period::new(date, 1, period.step()).ok()) {
        bright.period = day;
        let other = over(&bright, period);
        for (zone, other) in most.iter_mut().zip(other) {
            zone.iter_mut().zip(other).for_each(|(sun, other)| *sun = sun.max(other));
        }
    }
    most
}

fn over(model: &Model, period: &Period) -> Vec<Vec<f64>> {
    let step = period.step().get();
    let steps = usize::try_from(period.end().get() / step).unwrap_or(0);
    let Some(sun) = SunOver::new(model) else {
        return vec![vec![0.0; steps]; model.zones.len()];
    };
    let length = model.period.days() * DAY;
    let mut zones = vec![Vec::with_capacity(steps); model.zones.len()];
    let middles = (0..period.end().get() / step).map(|at| at * step + step / 2);
    for second in middles {
        for (zone, gain) in zones.iter_mut().zip(sun.gains(second.rem_euclid(length) as f64)) {
            // What rounding may have taken off.
            zone.push(gain * (1.0 + 1e-12));
        }
    }
    zones
}
