//! What was recorded of each mapped point.

use super::clock::LogTime;
use super::mapping::{Mapping, ZoneMapping};
use super::read::{Log, ZoneLog};
use super::series::{Held, Series};
use super::survey::resolution;

/// What was recorded of a point.
#[derive(Clone, Debug, PartialEq)]
pub struct PointSummary {
    /// Its zone; none for what is about the whole log.
    pub zone: Option<String>,
    /// What it is in the `log` block.
    pub point: String,
    /// Its column, or its name in a long log.
    pub column: String,
    /// How many readings it has.
    pub readings: usize,
    /// The part of the log's rows that have none, 0 to 1.
    pub missing: f64,
    /// Lowest and highest number.
    pub range: Option<(f64, f64)>,
    /// The step that its numbers are whole multiples of.
    pub resolution: Option<f64>,
    /// How often its value changed.
    pub changes: usize,
    /// The longest time in which it stood still, s, and since when.
    pub still: Option<(i64, LogTime)>,
}

/// So many values tell a resolution.
const MOST_VALUES: usize = 20_000;

/// Every mapped point, in the order of the mapping.
pub fn summaries(log: &Log, mapping: &Mapping) -> Vec<PointSummary> {
    let mut all = Vec::new();
    let mut whole = |point: &str, column: &String, series: &Series| {
        all.push(numbers(log, None, point, column, series));
    };
    if let (Some(column), Some(series)) = (&mapping.outdoor, &log.outdoor) {
        whole("outdoor", column, series);
    }
    if let (Some(column), Some(series)) = (&mapping.radiation, &log.radiation) {
        whole("radiation", column, series);
    }
    for (meter, series) in mapping.electricity.iter().zip(&log.electricity) {
        whole("electricity", &meter.column, series);
    }
    for (zone, points) in mapping.zones.iter().zip(&log.zones) {
        of_zone(log, zone, points, &mut all);
    }
    all
}

fn of_zone(log: &Log, zone: &ZoneMapping, points: &ZoneLog, all: &mut Vec<PointSummary>) {
    let name = Some(zone.zone.as_str());
    all.push(numbers(log, name, "temperature", &zone.temperature, &points.temperature));
    for ((other, column), (_, series)) in zone.others.iter().zip(&points.others) {
        all.push(numbers(log, name, &format!("others.{other}"), column, series));
    }
    let series = [
        ("heat", &zone.heat, &points.heat),
        ("cool", &zone.cool, &points.cool),
        ("coil", &zone.coil, &points.coil),
        ("people", &zone.people, &points.people),
    ];
    for (point, column, series) in series {
        if let (Some(column), Some(series)) = (column, series) {
            all.push(numbers(log, name, point, column, series));
        }
    }
    if let (Some(column), Some(series)) = (&zone.output, &points.output) {
        all.push(numbers(log, name, "output", &column.column, series));
    }
    if let (Some(column), Some(held)) = (&zone.mode, &points.mode) {
        all.push(words(log, name, "mode", &column.column, held));
    }
    if let (Some(column), Some(held)) = (&zone.power, &points.power) {
        all.push(words(log, name, "power", &column.column, held));
    }
    if let (Some(column), Some(held)) = (&zone.running, &points.running) {
        all.push(words(log, name, "running", &column.column, held));
    }
    if let (Some(column), Some(held)) = (&zone.occupied, &points.occupied) {
        all.push(words(log, name, "occupied", &column.column, held));
    }
}

fn numbers(
    log: &Log,
    zone: Option<&str>,
    point: &str,
    column: &str,
    series: &Series,
) -> PointSummary {
    let values: Vec<f64> = series.readings().map(|(_, value, _)| value).collect();
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let readings = series.readings().map(|(at, value, _)| (at, value.to_bits()));
    PointSummary {
        range: (!values.is_empty()).then_some((low, high)),
        resolution: resolution(&values[..values.len().min(MOST_VALUES)]),
        ..run_of(log, zone, point, column, readings)
    }
}

fn words<T: Copy + PartialEq>(
    log: &Log,
    zone: Option<&str>,
    point: &str,
    column: &str,
    held: &Held<T>,
) -> PointSummary {
    run_of(log, zone, point, column, held.readings().map(|(at, value, _)| (at, value)))
}

/// Counts readings, changes and the longest stand-still.
fn run_of<T: PartialEq>(
    log: &Log,
    zone: Option<&str>,
    point: &str,
    column: &str,
    readings: impl Iterator<Item = (LogTime, T)>,
) -> PointSummary {
    let (mut count, mut changes) = (0, 0);
    let mut held: Option<(LogTime, T)> = None;
    let mut still: Option<(i64, LogTime)> = None;
    for (at, value) in readings {
        count += 1;
        match &held {
            Some((since, before)) if *before == value => {
                if still.is_none_or(|(longest, _)| at - *since > longest) {
                    still = Some((at - *since, *since));
                }
            }
            before => {
                changes += usize::from(before.is_some());
                held = Some((at, value));
            }
        }
    }
    let rows = log.axis.len().max(1);
    PointSummary {
        zone: zone.map(str::to_owned),
        point: point.to_owned(),
        column: column.to_owned(),
        readings: count,
        missing: 1.0 - count as f64 / rows as f64,
        range: None,
        resolution: None,
        changes,
        still,
    }
}
