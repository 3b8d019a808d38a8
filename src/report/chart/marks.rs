//! The marks of setpoint requests, on the edge they asked for: pointing the way they went,
//! filled when done, half filled when limited, hollow with a bar when refused.

use std::collections::BTreeSet;

use plotters::style::RGBColor;

use super::ChartFault;
use super::canvas::{Canvas, Layer, Point, Stroke};
use super::palette::{COOLING, HEATING, INK, PAPER};
use super::scale::{Linear, TimeAxis};
use super::series::Series;
use crate::control::{Grid, Key, Outcome, Request, Side};
use crate::engine::{Doing, Entry, LedgerRow, ZoneIndex};
use crate::report::run::Run;

/// Marks smaller than this stand so close that a white ground would hide their neighbours, px.
const SMALL: f64 = 3.5;

/// Which way a request wanted to go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Warmer.
    Up,
    /// Cooler.
    Down,
    /// To where it stood already, or to something that is no temperature.
    Level,
}

/// One mark.
#[derive(Clone, Debug)]
pub(super) struct Mark<'a> {
    /// The row of the ledger it stands for.
    pub row: &'a LedgerRow,
    /// The place of that row in the ledger.
    pub place: usize,
    /// The edge that was asked for.
    pub side: Side,
    /// How the request ended.
    pub outcome: Outcome,
    /// Which way it wanted.
    pub way: Way,
    /// The temperature it stands at.
    pub value: f64,
    /// The temperature of the other edge, where that was moved.
    pub pushed_to: Option<f64>,
}

impl Mark<'_> {
    /// The colour of its edge.
    pub(super) const fn color(&self) -> RGBColor {
        match self.side {
            Side::Heat => HEATING,
            Side::Cool => COOLING,
        }
    }
}

/// The marks of a zone on a time axis, in the order of the ledger.
pub(super) fn of<'a>(
    run: &Run<'a>,
    zone: ZoneIndex,
    series: &Series,
    time: TimeAxis,
) -> Vec<Mark<'a>> {
    let Some(grid) = run.zone(zone).map(|zone| zone.controls.settings.grid) else {
        return Vec::new();
    };
    let rows: Vec<&LedgerRow> = run.ledger.iter().filter(|row| row.zone == zone).collect();
    let mark = |(place, row): (usize, &'a LedgerRow)| -> Option<Mark<'a>> {
        let Entry::Request { side: Some(side), outcome, what, .. } = &row.entry else {
            return None;
        };
        let (side, other) = (*side, side.other());
        let (before, after) = (row.before.setpoints, row.after.setpoints);
        let pushed = before.get(other) != after.get(other) && after.get(side) != after.get(other);
        Some(Mark {
            row,
            place,
            side,
            outcome: *outcome,
            way: way(what, grid.value(before.get(side)), grid.value(after.get(side))),
            value: shown_at(&rows, row, series, grid, side),
            pushed_to: pushed.then(|| grid.value(after.get(other))),
        })
    };
    let shown = run.ledger.iter().enumerate();
    shown.filter(|(_, row)| row.zone == zone && time.has(row.at)).filter_map(mark).collect()
}

/// Where the mark of a request stands: at the value it left behind, or on the working edge where
/// a setback keeps the stored values from working.
fn shown_at(rows: &[&LedgerRow], row: &LedgerRow, series: &Series, grid: Grid, side: Side) -> f64 {
    let own = grid.value(row.after.setpoints.get(side));
    let Some(step) = series.row_at(row.at) else {
        return own;
    };
    let last = rows.partition_point(|other| other.at <= step.at).checked_sub(1);
    let stored = last
        .and_then(|place| rows.get(place))
        .map_or(own, |last| grid.value(last.after.setpoints.get(side)));
    let working = match side {
        Side::Heat => step.heat,
        Side::Cool => step.cool,
    };
    if (working - stored).abs() < 1e-6 { own } else { working }
}

/// The way a request wanted: that of its key or its temperature, or else of what it did.
fn way(what: &Doing, before: f64, after: f64) -> Way {
    let wanted = match what {
        Doing::Request(Request::Press(Key::Warmer)) => return Way::Up,
        Doing::Request(Request::Press(Key::Cooler)) => return Way::Down,
        Doing::Request(Request::Setpoint(_, value)) => *value,
        _ => after,
    };
    if wanted > before {
        Way::Up
    } else if wanted < before {
        Way::Down
    } else {
        Way::Level
    }
}

/// Draws links first and marks over them. `radius` is half a mark's width, px.
pub(super) fn draw(
    canvas: &mut Canvas,
    marks: &[Mark],
    time: TimeAxis,
    scale: Linear,
    radius: f64,
) -> Result<(), ChartFault> {
    canvas.layer("links", Stroke::Solid, |layer| {
        for mark in marks {
            if let Some(other) = mark.pushed_to {
                let x = time.x(mark.row.at);
                let (from, to) = (scale.at(mark.value), scale.at(other));
                layer.line(&[(x, from), (x, to)], INK, 0.9);
                layer.disc((x, to), radius * 0.45, INK);
            }
        }
    })?;
    for mark in marks.iter().filter(|_| !time.is_long()) {
        let at = (time.x(mark.row.at), scale.at(mark.value));
        canvas.note("request", &place_of(mark.place, mark.row, at));
    }
    let mut drawn = BTreeSet::new();
    canvas.layer("requests", Stroke::Solid, |layer| {
        for mark in marks {
            let at = (time.x(mark.row.at), scale.at(mark.value));
            // Of marks that would cover each other, one is enough.
            let look = (mark.way as u8, mark.outcome as u8, mark.side as u8);
            let place = (libm::round(at.0).to_bits(), libm::round(at.1).to_bits());
            if !drawn.insert((place, look)) {
                continue;
            }
            symbol(layer, at, radius, mark.way, mark.outcome, mark.color());
        }
    })
}

/// What a script needs to know of a mark: its row in the ledger, its second, where it stands.
pub(super) fn place_of(
    place: usize,
    row: &LedgerRow,
    (x, y): Point,
) -> [(&'static str, String); 4] {
    [
        ("row", place.to_string()),
        ("at", row.at.get().to_string()),
        ("x", format!("{x:.1}")),
        ("y", format!("{y:.1}")),
    ]
}

/// One symbol, on a white ground so that it stands clear of the lines.
pub(super) fn symbol(
    layer: &mut Layer,
    (x, y): Point,
    radius: f64,
    way: Way,
    outcome: Outcome,
    color: RGBColor,
) {
    let width = (radius * 0.28).max(0.8);
    let outline = shape(way, (x, y), radius);
    let closed: Vec<Point> = outline.iter().copied().chain(outline.first().copied()).collect();
    if radius >= SMALL {
        layer.line(&closed, PAPER, width * 3.2);
    }
    let filled = matches!(outcome, Outcome::Accepted | Outcome::Pushed);
    layer.polygon(&outline, if filled { color } else { PAPER });
    if outcome == Outcome::Limited {
        let half: Vec<Point> = outline.iter().map(|(px, py)| (px.min(x), *py)).collect();
        layer.polygon(&half, color);
    }
    layer.line(&closed, color, width);
    if outcome == Outcome::Refused {
        layer.line(&[(x - radius * 1.9, y), (x + radius * 1.9, y)], color, width * 1.4);
    }
}

fn shape(way: Way, (x, y): Point, radius: f64) -> Vec<Point> {
    let point = |along: f64, up: f64| (x + along * radius, y - up * radius);
    match way {
        // Two points at the tip, so that cutting the shape in half keeps its upright middle.
        Way::Up => vec![point(0.0, 1.2), point(1.0, -0.8), point(0.0, -0.8), point(-1.0, -0.8)],
        Way::Down => vec![point(0.0, -1.2), point(1.0, 0.8), point(0.0, 0.8), point(-1.0, 0.8)],
        Way::Level => vec![point(0.0, 1.0), point(1.0, 0.0), point(0.0, -1.0), point(-1.0, 0.0)],
    }
}
