//! What some zones did over a time axis, in a line of figures and as a text alternative.

use std::fmt::Write as _;

use super::scale::TimeAxis;
use super::series::{Series, Stretch};
use super::{held, power};
use crate::control::{Direction, Outcome};
use crate::engine::{Entry, Event, StepRow, ZoneIndex};
use crate::report::figures::{
    count, date_in_words, duration, one_digit, setpoint, three_figures, unit_sign,
};
use crate::report::run::Run;

/// Changeovers and requests of some zones on a time axis, from the ledger.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Counts {
    changeovers: u64,
    asked: u64,
    denied: u64,
}

impl Counts {
    fn of(run: &Run, zones: &[ZoneIndex], time: TimeAxis) -> Self {
        let mut counts = Self::default();
        let shown = |zone, at| zones.contains(&zone) && time.has(at);
        for row in run.ledger.iter().filter(|row| shown(row.zone, row.at)) {
            match &row.entry {
                Entry::Event(Event::Changeover { .. }) => counts.changeovers += 1,
                Entry::Event(_) => {}
                Entry::Request { outcome, .. } => {
                    let done = matches!(outcome, Outcome::Accepted | Outcome::Pushed);
                    counts.asked += 1;
                    counts.denied += u64::from(!done);
                }
            }
        }
        counts
    }
}

/// The figures of zones in one line: `3 changeovers, 12.4 kWh, 5 requests, 1 not done as asked`.
/// `changeovers` are those of a whole outdoor unit, where it is the unit that is told of.
pub(super) fn line(
    run: &Run,
    all: &[(ZoneIndex, &Series)],
    time: TimeAxis,
    changeovers: Option<u64>,
) -> String {
    let zones: Vec<ZoneIndex> = all.iter().map(|(zone, _)| *zone).collect();
    let counts = Counts::of(run, &zones, time);
    let step = run.model.period.step().in_hours();
    let energy: f64 = all.iter().map(|(_, series)| power::energy_kwh(series, step)).sum();
    let mut facts = vec![
        count(changeovers.unwrap_or(counts.changeovers), "changeover"),
        format!("{} kWh", three_figures(energy)),
        count(counts.asked, "request"),
    ];
    if counts.denied > 0 {
        facts.push(format!("{} not done as asked", counts.denied));
    }
    facts.join(", ")
}

/// Which day an axis shows, where it is one of several.
pub(super) fn day_of(run: &Run, time: TimeAxis) -> Option<String> {
    let one_of_many = time.days == 1 && run.model.period.days() > 1;
    one_of_many.then(|| date_in_words(run.model.period.date(time.first)))
}

/// What a zone's lines show on a time axis, for those who cannot see them.
pub(super) fn alternative(run: &Run, zone: ZoneIndex, series: &Series, time: TimeAxis) -> String {
    let sign = unit_sign(run.model.unit);
    let name = run.label(zone);
    let rows = series.rows();
    let span = |value: fn(&StepRow) -> f64, show: fn(f64) -> String| {
        let (low, high) = series.extent(value)?;
        let (low, high) = (show(low), show(high));
        Some(if low == high { low } else { format!("{low} to {high}") })
    };
    let air = span(|row| row.temperature, one_digit);
    let (Some(air), Some(heat), Some(cool), Some(outdoor)) = (
        air,
        span(|row| row.heat, setpoint),
        span(|row| row.cool, setpoint),
        span(|row| row.outdoor, one_digit),
    ) else {
        return format!("{name}: no steps were recorded.");
    };
    let mean = rows.iter().map(|row| row.temperature).sum::<f64>() / rows.len() as f64;
    let mut words = format!(
        "{name}: air {air} {sign}, mean {}; heat setpoint {heat}, cool setpoint {cool}, outdoors \
         {outdoor} {sign}.",
        one_digit(mean)
    );
    let [heated, cooled, starved] = hours(series);
    let did: Vec<String> = [(heated, "heated"), (cooled, "cooled"), (starved, "starved")]
        .into_iter()
        .filter(|(hours, _)| *hours > 0.0)
        .map(|(hours, did)| format!("{did} {}", duration(hours)))
        .collect();
    if did.is_empty() {
        words.push_str(" Neither heated nor cooled.");
    } else {
        words.push(' ');
        words.push_str(&crate::report::headline::capitalised(&did.join(", ")));
        words.push('.');
    }
    if !time.is_long() {
        words.push_str(&held_words(run, zone, time));
    }
    words
}

/// What stood in a zone's way from outside.
fn held_words(run: &Run, zone: ZoneIndex, time: TimeAxis) -> String {
    let mut words = String::new();
    let [heating, cooling] = held::forbidden(run, zone, time).map(|spans| held::hours(&spans));
    for (hours, what) in [(heating, "heating"), (cooling, "cooling")] {
        if hours > 0.0 {
            let _ = write!(words, " Outdoor limits did not allow {what} for {}.", duration(hours));
        }
    }
    let open = held::hours(&held::open_window(run, zone, time));
    if open > 0.0 {
        let _ = write!(words, " A window was open for {}.", duration(open));
    }
    words
}

/// Hours heated, cooled and starved, from the rows.
pub(super) fn hours(series: &Series) -> [f64; 3] {
    let of = |wanted: fn(&StepRow) -> bool| {
        let stretches = series.stretches(wanted);
        // An empty sum of floats is -0.
        stretches.iter().filter(|it| it.what).map(Stretch::hours).fold(0.0, |sum, it| sum + it)
    };
    [
        of(|row| row.served == Some(Direction::Heating)),
        of(|row| row.served == Some(Direction::Cooling)),
        of(|row| row.starved),
    ]
}
