//! The ribbon: what the plant gives, minute by minute. Heating is solid, cooling hatched; a call
//! that is not served is a dotted outline, a starved zone a firm one; nobody there is a thin
//! line, power off is blank; changeovers are ticks through it.

use plotters::style::RGBColor;

use super::ChartFault;
use super::canvas::{Area, Canvas, Layer, Stroke};
use super::hatch::diagonals;
use super::palette::{COOLING, HEATING, INK, PAPER, QUIET, WARNING};
use super::scale::TimeAxis;
use super::series::{Series, Stretch};
use super::shares;
use super::state::State;
use super::text::{Anchor, Type};
use crate::control::Direction;
use crate::time::Instant;

/// Draws the ribbon of a zone; `idle` is the colour of a zone that is on and not served.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
    idle: RGBColor,
) -> Result<(), ChartFault> {
    if time.is_long() {
        return shares::draw(canvas, series, time, area, idle);
    }
    let boxes: Vec<(State, Area)> = series
        .stretches(|row| series.state(row))
        .iter()
        .map(|stretch| (stretch.what, over(stretch, time, area)))
        .collect();
    paint(canvas, &boxes, idle)
}

/// Draws boxes in the look of their states.
pub(super) fn paint(
    canvas: &mut Canvas,
    boxes: &[(State, Area)],
    idle: RGBColor,
) -> Result<(), ChartFault> {
    let of = |wanted: State| {
        boxes.iter().filter(move |(state, _)| *state == wanted).map(|(_, part)| *part)
    };
    canvas.layer("idle", Stroke::Solid, |layer| {
        for (_, part) in boxes.iter().filter(|(state, _)| *state != State::Off) {
            layer.fill(*part, idle);
        }
        for part in of(State::Unoccupied) {
            layer.line(&[(part.left, part.middle()), (part.right, part.middle())], QUIET, 1.0);
        }
    })?;
    canvas.layer("heating", Stroke::Solid, |layer| {
        for part in of(State::Served(Direction::Heating)) {
            layer.fill(part, HEATING);
        }
    })?;
    canvas.layer("cooling", Stroke::Solid, |layer| {
        for part in of(State::Served(Direction::Cooling)) {
            hatched(layer, part);
        }
    })?;
    canvas.layer("waiting", Stroke::Dotted, |layer| {
        for part in of(State::Waiting) {
            layer.outline(within(part, 0.6), INK, 1.3);
        }
    })?;
    canvas.layer("starved", Stroke::Solid, |layer| {
        for part in of(State::Starved) {
            layer.fill(part, PAPER);
            layer.outline(within(part, 1.4), INK, 2.8);
            layer.outline(within(part, 1.4), WARNING, 1.2);
        }
    })
}

fn hatched(layer: &mut Layer, part: Area) {
    layer.fill(part, PAPER);
    layer.line(&diagonals(part, 4.5), COOLING, 1.5);
    layer.outline(within(part, 0.5), COOLING, 1.0);
}

/// A stretch as a box on the ribbon, never too narrow to be seen.
fn over(stretch: &Stretch<State>, time: TimeAxis, area: Area) -> Area {
    let (left, right) = (time.x(stretch.from), time.x(stretch.to));
    Area { left, right: right.max(left + 0.8), ..area }
}

fn within(area: Area, by: f64) -> Area {
    let by_x = by.min(area.width() / 2.0);
    Area {
        left: area.left + by_x,
        right: area.right - by_x,
        top: area.top + by,
        bottom: area.bottom - by,
    }
}

/// The steps at which the zone is served in the direction opposite to the last served one.
pub(super) fn changeovers(series: &Series) -> Vec<Instant> {
    let served = series.rows().iter().filter_map(|row| Some((row.at, row.served?)));
    let mut last = None;
    let mut all = Vec::new();
    for (at, direction) in served {
        if last.is_some_and(|last| last != direction) {
            all.push(at);
        }
        last = Some(direction);
    }
    all
}

/// Ticks through the ribbon, where there are not so many that they would cover it.
pub(super) fn changeover_ticks(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
) -> Result<(), ChartFault> {
    let ticks = changeovers(series);
    if time.is_long() || ticks.len() as f64 > (time.right - time.left) / 6.0 {
        return Ok(());
    }
    let over = (area.height() * 0.16).min(4.0);
    canvas.layer("changeovers", Stroke::Solid, |layer| {
        for at in ticks {
            let x = time.x(at);
            layer.line(&[(x, area.top - over), (x, area.bottom + over)], PAPER, 3.0);
            layer.line(&[(x, area.top - over), (x, area.bottom + over)], INK, 1.4);
        }
    })
}

/// Words under the ribbon: each look is named once, where it lasts longest and has room.
pub(super) fn words(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    y: f64,
    em: f64,
) -> Result<(), ChartFault> {
    if time.is_long() {
        return shares::words(canvas, std::slice::from_ref(series), time, y, em);
    }
    let stretches = series.stretches(|row| series.state(row));
    let mut taken: Vec<(f64, f64)> = Vec::new();
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        for state in State::ALL {
            let how = Type::new(em * 0.85, state.color()).at(Anchor::Middle);
            let half = how.width(state.word()) / 2.0;
            let free = longest_first(&stretches, state, time, half)
                .into_iter()
                .map(|stretch| {
                    let middle = f64::midpoint(time.x(stretch.from), time.x(stretch.to));
                    middle.clamp(time.left + half, time.right - half)
                })
                .find(|x| taken.iter().all(|(low, high)| x + half < *low || *high < x - half));
            if let Some(x) = free {
                layer.words(state.word(), (x, y), how);
                taken.push((x - half - em * 0.4, x + half + em * 0.4));
            }
        }
    })
}

/// The stretches of a state that are worth a word, the longest few.
fn longest_first(
    stretches: &[Stretch<State>],
    state: State,
    time: TimeAxis,
    half_a_word: f64,
) -> Vec<&Stretch<State>> {
    let worth = |stretch: &&Stretch<State>| {
        let wide = time.x(stretch.to) - time.x(stretch.from);
        stretch.what == state && (state.always_worded() || wide > half_a_word)
    };
    let mut all: Vec<_> = stretches.iter().filter(worth).collect();
    all.sort_by_key(|stretch| std::cmp::Reverse(stretch.to.since(stretch.from)));
    all.truncate(8);
    all
}
