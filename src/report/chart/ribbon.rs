//! The ribbon: what the plant gives, minute by minute. Heating is solid, cooling hatched; a call
//! that is not served is a dotted outline, a starved zone a firm one; nobody there is a thin
//! line, power off is blank; changeovers are ticks through it.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::hatch::diagonals;
use super::palette::{COOLING, HEATING, IDLE, INK, PAPER, QUIET, WARNING};
use super::scale::TimeAxis;
use super::series::{Series, Stretch};
use super::text::{Anchor, Type};
use crate::control::{Direction, Power};
use crate::engine::StepRow;
use crate::time::Instant;
use plotters::style::RGBColor;

/// Where a px holds more hours than this, single spans cannot be seen and shares are shown.
const HOURS_A_PX: f64 = 0.4;
/// Width of a share's column, px.
const COLUMN: f64 = 3.0;

/// What a zone does at a step, as the ribbon shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Served(Direction),
    Waiting,
    Starved,
    Unoccupied,
    Idle,
    Off,
}

impl State {
    fn of(row: &StepRow) -> Self {
        match (row.served, row.call) {
            (Some(direction), _) => Self::Served(direction),
            (None, Some(_)) => Self::Waiting,
            (None, None) if row.starved => Self::Starved,
            (None, None) if row.power == Power::Off => Self::Off,
            (None, None) if !row.occupied => Self::Unoccupied,
            (None, None) => Self::Idle,
        }
    }

    /// What the word under the ribbon says; `None` where the look says enough.
    const fn word(self) -> Option<&'static str> {
        match self {
            Self::Served(direction) => Some(direction.name()),
            Self::Waiting => Some("waiting"),
            Self::Starved => Some("starved"),
            Self::Unoccupied => Some("nobody there"),
            Self::Idle => Some("idle"),
            Self::Off => Some("off"),
        }
    }

    const fn color(self) -> RGBColor {
        match self {
            Self::Served(Direction::Heating) => HEATING,
            Self::Served(Direction::Cooling) => COOLING,
            Self::Starved => INK,
            Self::Waiting | Self::Unoccupied | Self::Idle | Self::Off => QUIET,
        }
    }

    /// The order in which words get their place.
    const WORDED: [Self; 7] = [
        Self::Served(Direction::Heating),
        Self::Served(Direction::Cooling),
        Self::Starved,
        Self::Waiting,
        Self::Off,
        Self::Unoccupied,
        Self::Idle,
    ];
}

/// Draws the ribbon of a zone; `idle` is the colour of a zone that is on and not served.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
    idle: RGBColor,
) -> Result<(), ChartFault> {
    if 24.0 / time.day_width() > HOURS_A_PX {
        return shares(canvas, series, time, area);
    }
    let stretches = series.stretches(State::of);
    let boxes = |wanted: fn(State) -> bool| {
        stretches
            .iter()
            .filter(move |stretch| wanted(stretch.what))
            .map(move |stretch| over(stretch.from, stretch.to, time, area))
            .collect::<Vec<Area>>()
    };
    canvas.layer("idle", Stroke::Solid, |layer| {
        for part in boxes(|state| state != State::Off) {
            layer.fill(part, idle);
        }
        for part in boxes(|state| state == State::Unoccupied) {
            layer.line(&[(part.left, area.middle()), (part.right, area.middle())], QUIET, 1.0);
        }
    })?;
    canvas.layer("heating", Stroke::Solid, |layer| {
        for part in boxes(|state| state == State::Served(Direction::Heating)) {
            layer.fill(part, HEATING);
        }
    })?;
    canvas.layer("cooling", Stroke::Solid, |layer| {
        for part in boxes(|state| state == State::Served(Direction::Cooling)) {
            hatched(layer, part);
        }
    })?;
    canvas.layer("waiting", Stroke::Dotted, |layer| {
        for part in boxes(|state| state == State::Waiting) {
            layer.outline(within(part, 0.6), INK, 1.3);
        }
    })?;
    canvas.layer("starved", Stroke::Solid, |layer| {
        for part in boxes(|state| state == State::Starved) {
            layer.fill(part, PAPER);
            layer.outline(within(part, 1.0), INK, 2.6);
            layer.outline(within(part, 1.0), WARNING, 1.4);
        }
    })
}

fn hatched(layer: &mut super::canvas::Layer, part: Area) {
    layer.fill(part, PAPER);
    layer.line(&diagonals(part, 4.5), COOLING, 1.5);
    layer.outline(within(part, 0.5), COOLING, 1.0);
}

/// A stretch as a box on the ribbon, never too narrow to be seen.
fn over(from: Instant, to: Instant, time: TimeAxis, area: Area) -> Area {
    let (left, right) = (time.x(from), time.x(to));
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

/// For long runs: columns, the share of time that heats from below, that cools from above.
fn shares(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    area: Area,
) -> Result<(), ChartFault> {
    let columns = columns_of(time, COLUMN);
    let share = |direction: Direction| {
        series
            .in_columns(time, columns)
            .map(|(left, right, rows)| {
                let served = rows.iter().filter(|row| row.served == Some(direction)).count();
                let part = served as f64 / rows.len().max(1) as f64;
                (left, right, part * area.height())
            })
            .filter(|(_, _, height)| *height > 0.0)
            .collect::<Vec<_>>()
    };
    canvas.layer("idle", Stroke::Solid, |layer| {
        layer.fill(Area { left: time.left, right: time.right, ..area }, IDLE);
    })?;
    canvas.layer("heating", Stroke::Solid, |layer| {
        for (left, right, height) in share(Direction::Heating) {
            let top = area.bottom - height;
            // A little wider than the column, so that no seam shows between neighbours.
            layer.fill(Area { left, right: right + 0.1, top, ..area }, HEATING);
        }
    })?;
    canvas.layer("cooling", Stroke::Solid, |layer| {
        for (left, right, height) in share(Direction::Cooling) {
            let bottom = area.top + height;
            layer.fill(Area { left, right: right + 0.1, bottom, ..area }, PAPER);
            layer.line(&diagonals(Area { left, right, bottom, ..area }, 4.5), COOLING, 1.4);
        }
    })
}

/// How many columns of about so many px fit on the axis.
pub(super) fn columns_of(time: TimeAxis, width: f64) -> usize {
    let fitting = (time.right - time.left) / width;
    (1..)
        .take_while(|columns| f64::from(*columns) <= fitting)
        .last()
        .map_or(1, |columns| columns as usize)
}

/// The steps at which the zone is served in the direction opposite to the last served one.
fn changeovers(series: &Series) -> Vec<Instant> {
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
    if ticks.len() as f64 > (time.right - time.left) / 4.0 {
        return Ok(());
    }
    canvas.layer("changeovers", Stroke::Solid, |layer| {
        for at in ticks {
            let x = time.x(at);
            layer.line(&[(x, area.top - 4.0), (x, area.bottom + 4.0)], PAPER, 3.0);
            layer.line(&[(x, area.top - 4.0), (x, area.bottom + 4.0)], INK, 1.4);
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
    if 24.0 / time.day_width() > HOURS_A_PX {
        return share_words(canvas, time, y, em);
    }
    let stretches = series.stretches(State::of);
    let mut taken: Vec<(f64, f64)> = Vec::new();
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        for state in State::WORDED {
            let Some(word) = state.word() else { continue };
            let how = Type::new(em * 0.85, state.color()).at(Anchor::Middle);
            let half = how.width(word) / 2.0;
            let free = longest_first(&stretches, state)
                .into_iter()
                .map(|stretch| {
                    let middle = f64::midpoint(time.x(stretch.from), time.x(stretch.to));
                    middle.clamp(time.left + half, time.right - half)
                })
                .find(|x| taken.iter().all(|(low, high)| x + half < *low || *high < x - half));
            if let Some(x) = free {
                layer.words(word, (x, y), how);
                taken.push((x - half - em * 0.4, x + half + em * 0.4));
            }
        }
    })
}

fn longest_first(stretches: &[Stretch<State>], state: State) -> Vec<&Stretch<State>> {
    let mut of_state: Vec<_> = stretches.iter().filter(|stretch| stretch.what == state).collect();
    of_state.sort_by_key(|stretch| std::cmp::Reverse(stretch.to.since(stretch.from)));
    // The longest few are enough to find a free place.
    of_state.truncate(8);
    of_state
}

fn share_words(canvas: &mut Canvas, time: TimeAxis, y: f64, em: f64) -> Result<(), ChartFault> {
    let how = |color| Type::new(em * 0.85, color);
    canvas.layer("ribbon-words", Stroke::Solid, |layer| {
        let heating = "share of time: heating from below";
        layer.words(heating, (time.left, y), how(HEATING));
        let right = time.left + how(HEATING).width(heating) + em;
        layer.words("cooling from above", (right, y), how(COOLING));
    })
}
