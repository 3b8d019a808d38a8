//! Electric power as an area, with the energy at its end.

use super::ChartFault;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::palette::{POWER, POWER_EDGE, QUIET};
use super::scale::{Linear, TimeAxis, whole_count};
use super::series::Series;
use super::text::{Anchor, Type};
use crate::report::figures::setpoint;

/// From so many steps a px on, the mean of each px is drawn instead of the steps.
const STEPS_A_PX: f64 = 6.0;

/// A zone's power over time, as the corners of its edge: px and W.
pub(super) fn edge(series: &Series, time: TimeAxis) -> Vec<Point> {
    let wide = time.right - time.left;
    if time.is_long() || series.rows().len() as f64 > STEPS_A_PX * wide {
        return means(series, time);
    }
    series
        .stretches(|row| row.electric_w.to_bits())
        .iter()
        .flat_map(|stretch| {
            let watts = f64::from_bits(stretch.what);
            [(time.x(stretch.from), watts), (time.x(stretch.to), watts)]
        })
        .collect()
}

fn means(series: &Series, time: TimeAxis) -> Vec<Point> {
    // Never more columns than rows: an empty column would read as no power.
    let px = whole_count(time.right - time.left).max(1);
    let columns =
        if time.is_long() { time.day_columns() } else { px.min(series.rows().len().max(1)) };
    series
        .in_columns(time, columns)
        .flat_map(|(left, right, rows)| {
            let sum: f64 = rows.iter().map(|row| row.electric_w).sum();
            let mean = sum / rows.len().max(1) as f64;
            [(left, mean), (right, mean)]
        })
        .collect()
}

/// The power of several zones together, which share their steps.
pub(super) fn summed(all: &[Series], time: TimeAxis) -> Vec<Point> {
    let mut sum: Vec<Point> = Vec::new();
    for series in all {
        let edge = means(series, time);
        if sum.is_empty() {
            sum = edge;
        } else {
            for (total, (_, watts)) in sum.iter_mut().zip(edge) {
                total.1 += watts;
            }
        }
    }
    sum
}

/// The energy under an edge, kWh.
pub(super) fn energy_kwh(series: &Series, step_hours: f64) -> f64 {
    series.rows().iter().map(|row| row.electric_w * step_hours / 1000.0).sum()
}

/// Draws the area under an edge, with zero and the highest round value to its left.
pub(super) fn draw(
    canvas: &mut Canvas,
    edge: &[Point],
    area: Area,
    em: f64,
) -> Result<(), ChartFault> {
    let most = edge.iter().map(|point| point.1).fold(0.0, f64::max);
    let scale = Linear::upward(0.0, if most > 0.0 { most * 1.1 } else { 1000.0 }, area);
    let points: Vec<Point> = edge.iter().map(|(x, watts)| (*x, scale.at(*watts))).collect();
    canvas.layer("power", Stroke::Solid, |layer| {
        if let (Some(first), Some(last)) = (points.first(), points.last()) {
            let mut around = points.clone();
            around.extend([(last.0, area.bottom), (first.0, area.bottom)]);
            layer.polygon(&around, POWER);
            layer.line(&points, POWER_EDGE, 1.1);
        }
        layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], POWER_EDGE, 0.8);
    })?;
    canvas.layer("scale", Stroke::Solid, |layer| {
        let how = Type::new(em, QUIET).at(Anchor::End);
        layer.words("0", (area.left - em * 0.5, area.bottom), how);
        let top = if most > 0.0 { scale.ticks(3).last().copied() } else { None };
        if let Some(watts) = top.filter(|watts| *watts > 0.0) {
            let y = scale.at(watts);
            layer.line(&[(area.left - 4.0, y), (area.left, y)], QUIET, 1.0);
            layer.words(&watts_words(watts), (area.left - em * 0.5, y), how);
        }
    })
}

/// `800 W`, `2.5 kW`.
fn watts_words(watts: f64) -> String {
    if watts < 999.5 { format!("{watts:.0} W") } else { format!("{} kW", setpoint(watts / 1000.0)) }
}
