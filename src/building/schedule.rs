//! What a room's schedules say at an instant, and when they may change.

use super::space::{Gain, Space};
use crate::time::{ClockTime, Instant, Period, Span};

/// Heat that people, lights and machines give off at an instant, W.
pub fn internal_gain(gains: &[Gain], period: &Period, at: Instant) -> f64 {
    gains.iter().filter(|gain| gain.when.contains(period, at)).map(|gain| gain.power).sum()
}

/// Whether the scheduled ventilation of a room runs at an instant.
pub fn is_ventilated(space: &Space, period: &Period, at: Instant) -> bool {
    space.input().ventilation.is_some_and(|it| it.when.contains(period, at))
}

/// The clock times at which gains or ventilation of a room may change, in order, midnight first:
/// between two of them both stay as they are.
pub fn switch_times(space: &Space, gains: &[Gain]) -> Vec<ClockTime> {
    let spans = gains.iter().map(|gain| gain.when);
    let ventilation = space.input().ventilation.map(|it| it.when);
    let ends = |span: Span| [span.from(), span.to()];
    // Midnight counts always: the weekday changes there.
    let mut times: Vec<ClockTime> = spans.chain(ventilation).flat_map(ends).collect();
    times.push(ClockTime::MIDNIGHT);
    times.retain(|time| *time != ClockTime::END_OF_DAY);
    times.sort_unstable();
    times.dedup();
    times
}
