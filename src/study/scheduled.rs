//! Who is there by the schedule of the settings, at the times of a log.

use crate::control::Occupancy;
use crate::engine::{Model, Zone};
use crate::log::{LogTime, Sample};
use crate::time::{DAY, Instant, Period};

/// Whether somebody is there at each sample, where a schedule says so.
pub(super) fn by_schedule(model: &Model, zone: &Zone, samples: &[Sample]) -> Option<Vec<bool>> {
    let spans = match &zone.controls.occupancy {
        Occupancy::Always => return Some(vec![true; samples.len()]),
        Occupancy::Schedule(spans) => spans,
        Occupancy::Sensor { .. } | Occupancy::People => return None,
    };
    let (first, last) = (samples.first()?.at, samples.last()?.at);
    let period = period_over(model, first, last)?;
    let midnight = LogTime::midnight(period.first());
    let there = |sample: &Sample| {
        let at = Instant::new(sample.at - midnight);
        spans.iter().any(|span| span.contains(&period, at))
    };
    Some(samples.iter().map(there).collect())
}

/// The model's days where they cover a span, else days that do.
pub(super) fn period_over(model: &Model, first: LogTime, last: LogTime) -> Option<Period> {
    let midnight = LogTime::midnight(model.period.first());
    if midnight <= first && last - midnight <= model.period.end().get() {
        return Some(model.period);
    }
    let days = (last - LogTime::midnight(first.date())) / DAY + 1;
    Period::new(first.date(), days, model.period.step()).ok()
}
