//! A day's chart as data, for a page that draws it itself: the same lines, stretches and marks as
//! the chart has, with times in seconds from the first midnight of the run.

use std::collections::HashMap;
use std::ops::Range;

use serde::Serialize;

use super::marks::{self, Way};
use super::power;
use super::series::{Series, Stretch};
use crate::control::Side;
use crate::engine::{Entry, LedgerRow, Model, StepRow, ZoneIndex};
use crate::report::events::{reason_words, request_in_short};
use crate::report::run::{Run, label};
use crate::time::{DAY, Instant};

/// The most points of a line over a day: one a minute.
const MOST_POINTS: i64 = 1440;

/// A day of a run as data.
#[derive(Clone, Debug, Serialize)]
pub struct LiveDay {
    /// Midnight at which the day begins, seconds.
    from: i64,
    /// Seconds between the points of the lines.
    point_s: i64,
    outdoor: Vec<f64>,
    zones: Vec<LiveZone>,
    groups: Vec<LiveGroup>,
    marks: Vec<LiveMark>,
}

/// One zone's lines and stretches.
#[derive(Clone, Debug, Serialize)]
struct LiveZone {
    temperature: Vec<f64>,
    /// What the sensor reads, where that differs from the room's air.
    sensed: Option<Vec<f64>>,
    /// From when, which working setpoint.
    heat: Vec<(i64, f64)>,
    cool: Vec<(i64, f64)>,
    /// From when to when, doing what.
    states: Vec<(i64, i64, &'static str)>,
    /// Electric power at each point, kW.
    power_kw: Vec<f64>,
    /// Electricity of the day.
    kwh: f64,
}

/// Zones on one outdoor unit, and the direction they have in common.
#[derive(Clone, Debug, Serialize)]
struct LiveGroup {
    label: String,
    zones: Vec<usize>,
    directions: Vec<(i64, i64, &'static str)>,
}

/// A request on the chart.
#[derive(Clone, Debug, Serialize)]
struct LiveMark {
    /// Its row among those of the ledger that are shown.
    row: usize,
    zone: usize,
    at: i64,
    /// `heat` or `cool`; `null` for a request that asks for no temperature.
    side: Option<&'static str>,
    /// Where it stands; `null` with no side.
    value: Option<f64>,
    /// Where the other edge was pushed to.
    pushed_to: Option<f64>,
    way: &'static str,
    outcome: &'static str,
}

/// The chart of one day, counted from 0, as data. The run holds the steps of that day; marks are
/// those of the rows of the ledger that are shown.
pub fn live_day(run: &Run<'_>, day: i64, shown: &Range<usize>) -> LiveDay {
    let period = &run.model.period;
    let per_day = period.steps_per_day();
    let stride = usize::try_from((per_day + MOST_POINTS - 1) / MOST_POINTS).unwrap_or(1);
    let zones: Vec<ZoneIndex> = (0..run.model.zones.len()).map(ZoneIndex::new).collect();
    let series: Vec<Series<'_>> = zones.iter().map(|zone| Series::of(run, *zone)).collect();
    let outdoor =
        series.first().map_or_else(Vec::new, |first| line(first, stride, |row| row.outdoor));
    LiveDay {
        from: day * DAY,
        point_s: period.step().get() * i64::try_from(stride).unwrap_or(1),
        outdoor,
        zones: series.iter().map(|series| live_zone(series, run.model, stride)).collect(),
        groups: groups(run.model, &series),
        marks: live_marks(run, &zones, &series, (day, shown)),
    }
}

fn live_zone(series: &Series<'_>, model: &Model, stride: usize) -> LiveZone {
    let differs = series.rows().iter().any(|row| (row.sensed - row.temperature).abs() > 0.005);
    let states = series.stretches(|row| series.state(row).word());
    LiveZone {
        temperature: line(series, stride, |row| row.temperature),
        sensed: differs.then(|| line(series, stride, |row| row.sensed)),
        heat: steps(series, |row| row.heat),
        cool: steps(series, |row| row.cool),
        states: states.iter().map(spread).collect(),
        power_kw: mean_power(series, stride),
        kwh: power::energy_kwh(series, model.period.step().in_hours()),
    }
}

/// Two decimals: more than any screen can show.
fn rounded(value: f64) -> f64 {
    libm::round(value * 100.0) / 100.0
}

fn line(series: &Series<'_>, stride: usize, value: impl Fn(&StepRow) -> f64) -> Vec<f64> {
    series.rows().iter().step_by(stride).map(|row| rounded(value(row))).collect()
}

fn mean_power(series: &Series<'_>, stride: usize) -> Vec<f64> {
    let mean = |rows: &[&StepRow]| {
        let sum: f64 = rows.iter().map(|row| row.electric_w).sum();
        libm::round(sum / rows.len().max(1) as f64) / 1000.0
    };
    series.rows().chunks(stride).map(mean).collect()
}

fn steps(series: &Series<'_>, value: impl Fn(&StepRow) -> f64) -> Vec<(i64, f64)> {
    let stretches = series.stretches(|row| value(row).to_bits());
    stretches.iter().map(|it| (it.from.get(), f64::from_bits(it.what))).collect()
}

fn spread(stretch: &Stretch<&'static str>) -> (i64, i64, &'static str) {
    (stretch.from.get(), stretch.to.get(), stretch.what)
}

/// Groups with one direction at a time; a simultaneous unit has none in common.
fn groups(model: &Model, series: &[Series<'_>]) -> Vec<LiveGroup> {
    let shares = |unit: &crate::engine::OutdoorGroup| {
        let simultaneous = matches!(unit.settings.sharing, crate::control::Sharing::Simultaneous);
        let first = unit.zones.first().and_then(|zone| series.get(zone.get()));
        let directions = first.filter(|_| !simultaneous).map_or_else(Vec::new, |first| {
            first.stretches(|row| row.direction.name()).iter().map(spread).collect()
        });
        let zones = unit.zones.iter().map(|zone| zone.get()).collect();
        LiveGroup { label: unit.label.clone(), zones, directions }
    };
    model.outdoor_units.iter().map(shares).collect()
}

fn live_marks(
    run: &Run<'_>,
    zones: &[ZoneIndex],
    series: &[Series<'_>],
    (day, shown): (i64, &Range<usize>),
) -> Vec<LiveMark> {
    let mut edges = HashMap::new();
    for (zone, series) in zones.iter().zip(series) {
        for mark in marks::of(run, *zone, series) {
            edges.insert(std::ptr::from_ref(mark.row), mark);
        }
    }
    let of_day = |row: &LedgerRow| row.at.day() == day;
    let rows = run.ledger[shown.clone()].iter().enumerate().filter(|(_, row)| of_day(row));
    rows.filter_map(|(place, row)| {
        let Entry::Request { outcome, .. } = &row.entry else { return None };
        let mark = edges.get(&std::ptr::from_ref(row));
        Some(LiveMark {
            row: place,
            zone: row.zone.get(),
            at: row.at.get(),
            side: mark.map(|mark| mark.side.name()),
            value: mark.map(|mark| mark.value),
            pushed_to: mark.and_then(|mark| mark.pushed_to),
            way: match mark.map(|mark| mark.way) {
                Some(Way::Up) => "up",
                Some(Way::Down) => "down",
                Some(Way::Level) | None => "level",
            },
            outcome: outcome.name(),
        })
    })
    .collect()
}

/// A row of the ledger as a page shows it.
#[derive(Clone, Debug, Serialize)]
pub struct LiveRow {
    at: i64,
    clock: String,
    zone: usize,
    zone_label: String,
    by: String,
    role: &'static str,
    controller: String,
    request: String,
    outcome: &'static str,
    heat: (f64, f64),
    cool: (f64, f64),
    mode: &'static str,
    power: &'static str,
    /// Why; empty where the reasons are held back.
    pub reason: String,
}

/// Which rows of a ledger a page that shows a day needs: all, where they are few, or those from that
/// day on, at most so many.
pub fn live_rows(ledger: &[LedgerRow], day: i64, few: usize, most: usize) -> Range<usize> {
    if ledger.len() <= few {
        return 0..ledger.len();
    }
    let first = ledger.partition_point(|row| row.at.day() < day);
    first..ledger.len().min(first + most)
}

/// These rows of the ledger, as a page shows them.
pub fn live_ledger(run: &Run<'_>, rows: Range<usize>) -> Vec<LiveRow> {
    run.ledger[rows].iter().map(|row| live_row(run, row)).collect()
}

fn live_row(run: &Run<'_>, row: &LedgerRow) -> LiveRow {
    let zone = &run.model.zones[row.zone.get()];
    let grid = zone.controls.settings.grid;
    let pair = |side: Side| {
        let value = |stored: &crate::control::Stored| grid.value(stored.setpoints.get(side));
        (value(&row.before), value(&row.after))
    };
    let (by, role, controller, request, outcome) = match &row.entry {
        Entry::Request { asker, what, outcome, .. } => (
            asker.by.to_string(),
            asker.role.name(),
            zone.controls.settings.controllers.id(asker.controller).to_owned(),
            request_in_short(what),
            outcome.name(),
        ),
        Entry::Event(kind) => (String::new(), "", String::new(), kind.name().to_owned(), "event"),
    };
    LiveRow {
        at: row.at.get(),
        clock: run.model.period.clock(Instant::new(row.at.get())),
        zone: row.zone.get(),
        zone_label: label(zone).to_owned(),
        by,
        role,
        controller,
        request,
        outcome,
        heat: pair(Side::Heat),
        cool: pair(Side::Cool),
        mode: row.after.mode.name(),
        power: row.after.power.name(),
        reason: reason_words(run.model, row),
    }
}
