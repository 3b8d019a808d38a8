//! The temperature panel of a long run, where single hours cannot be seen: each day's range and
//! mean, and the band as it is at its tightest and at its widest.

use super::ChartFault;
use super::band::Scales;
use super::canvas::{Canvas, Point, Stroke};
use super::labels::EndLabel;
use super::palette::{BAND, COOLING, HEATING, INK, OUTDOOR, QUIET, WIDE_BAND};
use super::scale::{Linear, TimeAxis};
use super::series::Series;
use crate::engine::StepRow;
use crate::report::figures::{one_digit, setpoint};

/// The lowest, mean and highest of a value over a column.
#[derive(Clone, Copy, Debug)]
struct Spread {
    left: f64,
    right: f64,
    low: f64,
    mean: f64,
    high: f64,
}

fn spreads(series: &Series, time: TimeAxis, value: impl Fn(&StepRow) -> f64) -> Vec<Spread> {
    series
        .in_columns(time, time.day_columns())
        .filter(|(.., rows)| !rows.is_empty())
        .map(|(left, right, rows)| {
            let values = || rows.iter().map(|row| value(row));
            Spread {
                left,
                right,
                low: values().fold(f64::INFINITY, f64::min),
                mean: values().sum::<f64>() / rows.len() as f64,
                high: values().fold(f64::NEG_INFINITY, f64::max),
            }
        })
        .collect()
}

fn steps(spreads: &[Spread], scale: Linear, value: impl Fn(&Spread) -> f64) -> Vec<Point> {
    level(spreads, |it| (it.left, it.right, scale.at(value(it))))
}

/// The corners of an edge over columns, each given by its left, its right and its height; columns of
/// one height are one step.
pub(super) fn level<C>(columns: &[C], edge: impl Fn(&C) -> (f64, f64, f64)) -> Vec<Point> {
    let same = |one: &C, next: &C| edge(one).2 == edge(next).2;
    let ends = |alike: &[C]| Some((edge(alike.first()?), edge(alike.last()?)));
    let steps = columns.chunk_by(same).filter_map(ends);
    steps.flat_map(|((left, _, y), (_, right, _))| [(left, y), (right, y)]).collect()
}

fn middles(spreads: &[Spread], scale: Linear) -> Vec<Point> {
    let middle = |spread: &Spread| f64::midpoint(spread.left, spread.right);
    spreads.iter().map(|spread| (middle(spread), scale.at(spread.mean))).collect()
}

fn between(lower: &[Point], upper: &[Point]) -> Vec<Point> {
    lower.iter().chain(upper.iter().rev()).copied().collect()
}

/// Draws the panel.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scales: Scales,
) -> Result<(), ChartFault> {
    fill(canvas, series, time, scales.room)?;
    let outdoor = spreads(series, time, |row| row.outdoor);
    canvas.layer("outdoor", Stroke::Dashed, |layer| {
        layer.line(&middles(&outdoor, scales.outdoor), OUTDOOR, 1.2);
    })?;
    lines(canvas, series, time, scales.room)
}

/// The band and the range of each day, behind all lines.
pub(super) fn fill(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<(), ChartFault> {
    let heat = spreads(series, time, |row| row.heat);
    let cool = spreads(series, time, |row| row.cool);
    let air = spreads(series, time, |row| row.temperature);
    canvas.layer("band", Stroke::Solid, |layer| {
        let wide_heat = steps(&heat, scale, |spread| spread.low);
        let wide_cool = steps(&cool, scale, |spread| spread.high);
        layer.polygon(&between(&wide_heat, &wide_cool), WIDE_BAND);
        let (tight_heat, tight_cool) = tight(series, time, scale);
        layer.polygon(&between(&tight_heat, &tight_cool), BAND);
    })?;
    canvas.layer("day-range", Stroke::Solid, |layer| {
        let low = steps(&air, scale, |spread| spread.low);
        let high = steps(&air, scale, |spread| spread.high);
        layer.veil(&between(&low, &high), INK, 0.13);
    })
}

/// The setpoints at their tightest of each day: heat, then cool.
pub(super) fn tight(series: &Series, time: TimeAxis, scale: Linear) -> (Vec<Point>, Vec<Point>) {
    let heat = spreads(series, time, |row| row.heat);
    let cool = spreads(series, time, |row| row.cool);
    (steps(&heat, scale, |spread| spread.high), steps(&cool, scale, |spread| spread.low))
}

/// The mean of each day of a value, as a line.
pub(super) fn mean_line(
    series: &Series,
    time: TimeAxis,
    scale: Linear,
    value: impl Fn(&StepRow) -> f64,
) -> Vec<Point> {
    middles(&spreads(series, time, value), scale)
}

/// Both setpoints at their tightest and the mean air of each day.
pub(super) fn lines(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<(), ChartFault> {
    let (tight_heat, tight_cool) = tight(series, time, scale);
    canvas.layer("cool-setpoint", Stroke::Solid, |layer| {
        layer.line(&tight_cool, COOLING, 1.8);
    })?;
    canvas.layer("heat-setpoint", Stroke::Solid, |layer| {
        layer.line(&tight_heat, HEATING, 1.8);
    })?;
    canvas.layer("room", Stroke::Solid, |layer| {
        layer.line(&mean_line(series, time, scale, |row| row.temperature), INK, 1.8);
    })
}

/// What the lines are called, with the last day's values.
pub(super) fn end_labels(series: &Series, time: TimeAxis, scales: Scales) -> Vec<EndLabel> {
    let last = |value: fn(&StepRow) -> f64| spreads(series, time, value).last().copied();
    let label = |text: String, y: f64, color| EndLabel { text, y, color };
    let lines = [
        last(|row| row.cool).map(|cool| {
            let text = format!("cool setpoint {}°", setpoint(cool.low));
            label(text, scales.room.at(cool.low), COOLING)
        }),
        last(|row| row.temperature).map(|air| {
            let text = format!("room air, mean {}°", one_digit(air.mean));
            label(text, scales.room.at(air.mean), INK)
        }),
        last(|row| row.temperature)
            .map(|air| label("range of each day".into(), scales.room.at(air.high), QUIET)),
        last(|row| row.heat).map(|heat| {
            let text = format!("heat setpoint {}°", setpoint(heat.high));
            label(text, scales.room.at(heat.high), HEATING)
        }),
        last(|row| row.outdoor).map(|air| {
            let text = format!("outdoor, mean {}°", one_digit(air.mean));
            label(text, scales.outdoor.at(air.mean), QUIET)
        }),
    ];
    lines.into_iter().flatten().collect()
}
