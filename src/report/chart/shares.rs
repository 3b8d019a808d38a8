//! The ribbon of a long run: a column for each day, the share of its time that heats from below
//! and the share that cools from above.

use plotters::style::RGBColor;

use super::ChartFault;
use super::canvas::{Area, Canvas, Layer, Point, Stroke};
use super::long::level;
use super::palette::{COOLING, COOLING_GROUND, HEATING, INK, WARNING};
use super::scale::TimeAxis;
use super::series::Series;
use super::state::State;
use super::text::Type;
use crate::control::Direction;
use crate::engine::StepRow;

/// How much of the ribbon's height the lane of starved days takes.
const LANE: f64 = 0.24;
/// From one stripe of the cooled share to the next, px.
const STRIPES: f64 = 2.6;

/// Draws the columns, and under them a lane for the days on which the zone was starved.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
    idle: RGBColor,
) -> Result<(), ChartFault> {
    let starved = shares(series, time, |row| series.state(row) == State::Starved);
    let lane = if starved.iter().any(|(.., part)| *part > 0.0) {
        Area { top: area.bottom - area.height() * LANE, ..area }
    } else {
        Area { top: area.bottom, ..area }
    };
    let area = Area { bottom: lane.top, ..area };
    canvas.layer("idle", Stroke::Solid, |layer| {
        layer.fill(Area { left: time.left, right: time.right, ..area }, idle);
    })?;
    let heated = shares(series, time, |row| row.served == Some(Direction::Heating));
    let cooled = shares(series, time, |row| row.served == Some(Direction::Cooling));
    let from_below = edge(&heated, |part| area.bottom - part * area.height());
    let from_above = edge(&cooled, |part| area.top + part * area.height());
    canvas.layer("heating", Stroke::Solid, |layer| {
        layer.polygon(&down_to(&from_below, area.bottom), HEATING);
    })?;
    canvas.layer("cooling", Stroke::Solid, |layer| {
        layer.polygon(&down_to(&from_above, area.top), COOLING_GROUND);
        striped(layer, &cooled, area);
        for run in cooled.chunk_by(|one, next| (one.2 > 0.0) == (next.2 > 0.0)) {
            if run.iter().any(|(.., part)| *part > 0.0) {
                layer.line(&edge(run, |part| area.top + part * area.height()), COOLING, 1.0);
            }
        }
    })?;
    canvas.layer("starved", Stroke::Solid, |layer| {
        for (left, right, part) in starved.iter().filter(|(.., part)| *part > 0.0) {
            // However short the wait, its day can be seen.
            let tall = (lane.height() * part).max(1.5);
            let top = lane.bottom - tall;
            // A little into the next day, which is drawn later: no seams show.
            layer.fill(Area { left: *left, right: *right + 0.3, top, bottom: lane.bottom }, INK);
        }
        if lane.height() > 0.0 {
            layer.line(&[(lane.left, lane.top), (lane.right, lane.top)], WARNING, 0.8);
        }
    })
}

/// Level stripes where a share reaches down to them: neighbouring days join.
fn striped(layer: &mut Layer, cooled: &[(f64, f64, f64)], area: Area) {
    let mut y = area.top + STRIPES / 2.0;
    while y < area.bottom {
        let reaches = |part: f64| area.top + part * area.height() > y;
        for run in cooled.chunk_by(|one, next| reaches(one.2) == reaches(next.2)) {
            if let (Some((left, _, part)), Some((_, right, _))) = (run.first(), run.last())
                && reaches(*part)
            {
                layer.line(&[(*left, y), (*right, y)], COOLING, 1.1);
            }
        }
        y += STRIPES;
    }
}

fn edge(shares: &[(f64, f64, f64)], height: impl Fn(f64) -> f64) -> Vec<Point> {
    level(shares, |(left, right, part)| (*left, *right, height(*part)))
}

/// The area between an edge and a level.
fn down_to(edge: &[Point], level: f64) -> Vec<Point> {
    let ends = [edge.last(), edge.first()];
    let corners = ends.into_iter().flatten().map(|(x, _)| (*x, level));
    edge.iter().copied().chain(corners).collect()
}

/// For each column its edges and the part of its steps of which something is true.
fn shares(
    series: &Series,
    time: TimeAxis,
    wanted: impl Fn(&StepRow) -> bool,
) -> Vec<(f64, f64, f64)> {
    series
        .in_columns(time, time.day_columns())
        .map(|(left, right, rows)| {
            let count = rows.iter().filter(|row| wanted(row)).count();
            (left, right, count as f64 / rows.len().max(1) as f64)
        })
        .collect()
}

/// Says how to read the columns.
pub(super) fn words(
    canvas: &mut Canvas,
    all: &[Series],
    time: TimeAxis,
    y: f64,
    em: f64,
) -> Result<(), ChartFault> {
    let waits =
        |series: &Series| series.rows().iter().any(|row| series.state(row) == State::Starved);
    let starved = all.iter().any(waits);
    let how = |color| Type::new(em * 0.85, color);
    let heating = "share of the day: heating from below,";
    let right = time.left + how(HEATING).width(heating) + em * 0.4;
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        layer.words(heating, (time.left, y), how(HEATING));
        layer.words("cooling from above", (right, y), how(COOLING));
        if starved {
            let right = right + how(COOLING).width("cooling from above") + em * 0.8;
            layer.words("black below: starved", (right, y), how(INK));
        }
    })
}
