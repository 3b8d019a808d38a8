//! The ribbon of a long run: a column for each day, the share of its time that heats from below
//! and the share that cools from above.

use plotters::style::RGBColor;

use super::ChartFault;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::hatch::diagonals;
use super::palette::{COOLING, HEATING, PAPER};
use super::scale::TimeAxis;
use super::series::Series;
use super::text::Type;
use crate::control::Direction;

/// Draws the columns.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
    idle: RGBColor,
) -> Result<(), ChartFault> {
    canvas.layer("idle", Stroke::Solid, |layer| {
        layer.fill(Area { left: time.left, right: time.right, ..area }, idle);
    })?;
    let heated = shares(series, time, Direction::Heating);
    let cooled = shares(series, time, Direction::Cooling);
    let from_below = edge(&heated, |part| area.bottom - part * area.height());
    let from_above = edge(&cooled, |part| area.top + part * area.height());
    canvas.layer("heating", Stroke::Solid, |layer| {
        layer.polygon(&down_to(&from_below, area.bottom), HEATING);
    })?;
    canvas.layer("cooling", Stroke::Solid, |layer| {
        layer.polygon(&down_to(&from_above, area.top), PAPER);
        for (left, right, part) in cooled.iter().filter(|(.., part)| *part > 0.0) {
            let bottom = area.top + part * area.height();
            let column = Area { left: *left, right: *right, bottom, ..area };
            layer.line(&diagonals(column, 3.5), COOLING, 1.3);
        }
        for run in cooled.chunk_by(|one, next| (one.2 > 0.0) == (next.2 > 0.0)) {
            if run.iter().any(|(.., part)| *part > 0.0) {
                layer.line(&edge(run, |part| area.top + part * area.height()), COOLING, 1.0);
            }
        }
    })
}

fn edge(shares: &[(f64, f64, f64)], height: impl Fn(f64) -> f64) -> Vec<Point> {
    shares
        .iter()
        .flat_map(|(left, right, part)| [(*left, height(*part)), (*right, height(*part))])
        .collect()
}

/// The area between an edge and a level.
fn down_to(edge: &[Point], level: f64) -> Vec<Point> {
    let ends = [edge.last(), edge.first()];
    let corners = ends.into_iter().flatten().map(|(x, _)| (*x, level));
    edge.iter().copied().chain(corners).collect()
}

/// For each column its edges and the part of its steps that are served in a direction.
fn shares(series: &Series, time: TimeAxis, direction: Direction) -> Vec<(f64, f64, f64)> {
    series
        .in_columns(time, time.day_columns())
        .map(|(left, right, rows)| {
            let served = rows.iter().filter(|row| row.served == Some(direction)).count();
            (left, right, served as f64 / rows.len().max(1) as f64)
        })
        .collect()
}

/// Says how to read the columns.
pub(super) fn words(
    canvas: &mut Canvas,
    time: TimeAxis,
    y: f64,
    em: f64,
) -> Result<(), ChartFault> {
    let how = |color| Type::new(em * 0.85, color);
    let heating = "share of the day: heating from below,";
    let right = time.left + how(HEATING).width(heating) + em * 0.4;
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        layer.words(heating, (time.left, y), how(HEATING));
        layer.words("cooling from above", (right, y), how(COOLING));
    })
}
