//! What a page tells where somebody points at a chart: the values of each zone over time, small
//! enough to stand in the page.

use serde::Serialize;

use crate::engine::{StepRow, ZoneIndex};
use crate::report::chart::{Series, State};
use crate::report::figures::unit_sign;
use crate::report::render::html::script_json;
use crate::report::run::Run;
use crate::time::{DAY, Instant, Period};

/// So many times of all zones together are kept; more would swell the page.
const MOST_POINTS: i64 = 24_000;
/// Longer runs are read out by the day: their charts show days.
const MOST_DAYS_BY_TIME: i64 = 31;

/// The values of one run, for scripts that read them out.
#[derive(Clone, Debug, Serialize)]
pub struct ReadOut {
    /// What the run is called; empty where there is only one.
    name: String,
    /// `°C` or `°F`.
    unit: &'static str,
    /// The first day, `2025-04-16`.
    first: String,
    /// Seconds from one value to the next.
    every: i64,
    /// How many days there are.
    days: i64,
    /// From when, seconds of standard time, clocks are ahead of it by how many seconds.
    clocks: Vec<(i64, i64)>,
    /// Words for what a zone does, by their place.
    states: Vec<&'static str>,
    zones: Vec<Zone>,
}

/// One zone, by time or by the day. Temperatures are tenths of a degree.
#[derive(Clone, Debug, Default, Serialize)]
struct Zone {
    /// Its name in the file, by which zones of several runs belong together.
    id: String,
    name: String,
    outdoor: Vec<i64>,
    air: Vec<i64>,
    /// What the sensor reads, where that can be told from the air and only one zone is told of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    sensed: Vec<i64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    low: Vec<i64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    high: Vec<i64>,
    /// Pairs of a place and the value from there on.
    heat: Vec<(usize, i64)>,
    cool: Vec<(usize, i64)>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    state: Vec<(usize, usize)>,
    /// W by time, Wh by the day.
    electric: Vec<i64>,
    /// Minutes of each day.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    heating: Vec<i64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cooling: Vec<i64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    starved: Vec<i64>,
}

impl ReadOut {
    /// The values of a run; `runs` is how many stand in the page.
    pub(super) fn of(run: &Run, name: &str, runs: usize) -> Self {
        let period = &run.model.period;
        let by_day = period.days() > MOST_DAYS_BY_TIME;
        let every = if by_day { DAY } else { interval(run, runs) };
        let zones = Series::of_each(run).into_iter().enumerate();
        Self {
            name: name.to_owned(),
            unit: unit_sign(run.model.unit),
            first: period.first().to_string(),
            every,
            days: period.days(),
            clocks: clocks_ahead(period),
            states: State::ALL.iter().map(|state| state.word()).collect(),
            zones: zones
                .map(|(zone, series)| {
                    let zone = ZoneIndex::new(zone);
                    let name = run.label(zone).to_owned();
                    let id = run.zone(zone).map_or_else(String::new, |zone| zone.id.clone());
                    let values = if by_day { daily(run, &series) } else { sampled(&series, every) };
                    Zone { id, name, ..values }
                })
                .collect(),
        }
    }
}

impl ReadOut {
    /// The values of one zone on one day, whose steps the run holds: at every step.
    pub fn of_zone(run: &Run, zone: ZoneIndex, day: i64) -> Self {
        let period = &run.model.period;
        let series = Series::of(run, zone);
        let every = period.step().get().max(1);
        let (start, end) = (Instant::new(day * DAY), Instant::new((day + 1) * DAY));
        let clocks = period.clocks_ahead(start, end).into_iter();
        let values = sampled(&series, every);
        let sensed: Vec<i64> = series.rows().iter().map(|row| tenths(row.sensed)).collect();
        let id = run.zone(zone).map_or_else(String::new, |zone| zone.id.clone());
        let sensed = if sensed == values.air { Vec::new() } else { sensed };
        Self {
            name: String::new(),
            unit: unit_sign(run.model.unit),
            first: period.date(day).to_string(),
            every,
            days: 1,
            clocks: clocks.map(|(at, by)| (at.get(), by.get())).collect(),
            states: State::ALL.iter().map(|state| state.word()).collect(),
            zones: vec![Zone { id, name: run.label(zone).to_owned(), sensed, ..values }],
        }
    }
}

/// From when clocks are ahead by how much, seconds.
fn clocks_ahead(period: &Period) -> Vec<(i64, i64)> {
    let told = period.clocks_ahead(Instant::START, period.end());
    told.into_iter().map(|(at, by)| (at.get(), by.get())).collect()
}

/// The shortest time between values at which they are not too many: whole steps, and a day is a
/// whole number of it.
fn interval(run: &Run, runs: usize) -> i64 {
    let period = &run.model.period;
    let step = period.step().get().max(1);
    let many = i64::try_from(run.model.zones.len() * runs).unwrap_or(i64::MAX).max(1);
    let fits = |every: &i64| {
        DAY % every == 0 && (period.days() * (DAY / every)).saturating_mul(many) <= MOST_POINTS
    };
    (1..=DAY / step).map(|steps| steps * step).find(fits).unwrap_or(DAY)
}

/// The values at every interval, as they are then.
fn sampled(series: &Series, every: i64) -> Zone {
    let mut zone = Zone::default();
    let rows = series.rows().iter().filter(|row| row.at.get() % every == 0);
    for (place, row) in rows.enumerate() {
        zone.outdoor.push(tenths(row.outdoor));
        zone.air.push(tenths(row.temperature));
        zone.electric.push(rounded(row.electric_w));
        changed(&mut zone.heat, place, tenths(row.heat));
        changed(&mut zone.cool, place, tenths(row.cool));
        let state = series.state(row);
        let state = State::ALL.iter().position(|known| *known == state).unwrap_or(0);
        changed(&mut zone.state, place, state);
    }
    zone
}

/// Each day as a whole.
fn daily(run: &Run, series: &Series) -> Zone {
    let step = run.model.period.step();
    let mut zone = Zone::default();
    let days = series.rows().chunk_by(|one, other| one.at.day() == other.at.day());
    for (place, rows) in days.enumerate() {
        let mean = |value: fn(&StepRow) -> f64| {
            rows.iter().map(|row| value(row)).sum::<f64>() / rows.len() as f64
        };
        let low = |value: fn(&StepRow) -> f64| {
            rows.iter().map(|row| value(row)).fold(f64::INFINITY, f64::min)
        };
        let high = |value: fn(&StepRow) -> f64| {
            rows.iter().map(|row| value(row)).fold(f64::NEG_INFINITY, f64::max)
        };
        let minutes = |wanted: State| {
            let count = rows.iter().filter(|row| series.state(row) == wanted).count();
            rounded(count as f64 * step.in_hours() * 60.0)
        };
        zone.outdoor.push(tenths(mean(|row| row.outdoor)));
        zone.air.push(tenths(mean(|row| row.temperature)));
        zone.low.push(tenths(low(|row| row.temperature)));
        zone.high.push(tenths(high(|row| row.temperature)));
        zone.electric.push(rounded(mean(|row| row.electric_w) * 24.0));
        // The band at its tightest, which is what the chart's lines show.
        changed(&mut zone.heat, place, tenths(high(|row| row.heat)));
        changed(&mut zone.cool, place, tenths(low(|row| row.cool)));
        zone.heating.push(minutes(State::Served(crate::control::Direction::Heating)));
        zone.cooling.push(minutes(State::Served(crate::control::Direction::Cooling)));
        zone.starved.push(minutes(State::Starved));
    }
    zone
}

fn changed<T: PartialEq>(list: &mut Vec<(usize, T)>, place: usize, value: T) {
    if list.last().is_none_or(|(_, last)| *last != value) {
        list.push((place, value));
    }
}

fn tenths(value: f64) -> i64 {
    rounded(value * 10.0)
}

#[expect(clippy::cast_possible_truncation, reason = "temperatures and powers are small numbers")]
fn rounded(value: f64) -> i64 {
    libm::round(value) as i64
}

/// The values as a script of the page reads them: JSON in which nothing can end the script.
pub(super) fn json(all: &[ReadOut]) -> Result<String, serde_json::Error> {
    Ok(script_json(&serde_json::to_string(all)?))
}
