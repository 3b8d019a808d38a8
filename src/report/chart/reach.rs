//! The pairs of setpoints as a picture: heat to the right, cool upward. A pair that can be reached
//! is filled, one that is legal and cannot is a dot, all others are blank.

use std::collections::BTreeSet;

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{COOLING, GRID, HEATING, INK, PINNED, QUIET};
use super::scale::{Linear, ticks};
use super::text::{Anchor, Type};
use crate::control::{Grid, SetpointRules, Side, Ticks};
use crate::engine::Model;
use crate::report::figures::{setpoint, unit_sign};
use crate::report::run::label;
use crate::study::reach::Reach;

/// Size of the words, px.
const EM: f64 = 13.0;
/// Narrower the words would not fit, px.
const NARROWEST_SHEET: f64 = 420.0;
/// Pairs of this size and more are drawn as tiles of their own, px.
const TILES_FROM: f64 = 6.0;
/// The side of the square of pairs, px.
const SIDE: f64 = 560.0;

/// The picture of one zone.
///
/// # Errors
/// The font or the drawing library fails.
pub fn reach_svg(model: &Model, reach: &Reach) -> Result<String, ChartFault> {
    let zone = &model.zones[reach.zone.get()];
    let (grid, rules) = (zone.controls.settings.grid, &zone.controls.settings.rules);
    let plot = Plot::new(grid, rules);
    let mut canvas =
        Canvas::new((plot.area.right + 24.0).max(NARROWEST_SHEET), plot.area.bottom + 5.6 * EM)?;
    plot.axes(&mut canvas, unit_sign(model.unit))?;
    let reached: BTreeSet<(Ticks, Ticks)> = reach.pairs.iter().copied().collect();
    canvas.layer("reachable", Stroke::Solid, |layer| {
        if plot.cell() >= TILES_FROM {
            for (heat, cool) in &reached {
                layer.fill(inset(plot.cells(*heat, *heat, *cool), plot.cell() * 0.08), PINNED);
            }
        } else {
            for (cool, from, to) in runs(&reached) {
                layer.fill(plot.cells(from, to, cool), PINNED);
            }
        }
    })?;
    canvas.layer("unreachable", Stroke::Solid, |layer| {
        for pair in legal(rules).filter(|pair| !reached.contains(pair)) {
            let cell = plot.cells(pair.0, pair.0, pair.1);
            let middle = (f64::midpoint(cell.left, cell.right), cell.middle());
            layer.disc(middle, (cell.width() * 0.22).clamp(0.6, 3.0), QUIET);
        }
    })?;
    let start = zone.controls.start.setpoints;
    let cell = plot.cells(start.heat(), start.heat(), start.cool());
    canvas.layer("start", Stroke::Solid, |layer| layer.outline(cell, INK, 2.0))?;
    plot.words(&mut canvas, label(zone), reach)?;
    let description = format!(
        "Heat setpoint to the right, cool setpoint upward. {} of {} legal pairs can be reached by \
         pressing keys.",
        reach.pairs.len(),
        reach.legal_pairs
    );
    Ok(canvas.finish(&format!("{}: pairs that can be reached", label(zone)), &description))
}

/// An area a little smaller all round.
fn inset(area: Area, by: f64) -> Area {
    let Area { left, top, right, bottom } = area;
    Area { left: left + by, top: top + by, right: right - by, bottom: bottom - by }
}

/// Reached pairs of one cool value that stand side by side: cool, first and last heat.
fn runs(reached: &BTreeSet<(Ticks, Ticks)>) -> Vec<(Ticks, Ticks, Ticks)> {
    let mut by_cool: Vec<(Ticks, Ticks)> =
        reached.iter().map(|(heat, cool)| (*cool, *heat)).collect();
    by_cool.sort_unstable();
    let mut runs: Vec<(Ticks, Ticks, Ticks)> = Vec::new();
    for (cool, heat) in by_cool {
        match runs.last_mut() {
            Some((row, _, last)) if *row == cool && *last + Ticks::ONE == heat => *last = heat,
            _ => runs.push((cool, heat, heat)),
        }
    }
    runs
}

/// Every pair that limits and deadband allow.
fn legal(rules: &SetpointRules) -> impl Iterator<Item = (Ticks, Ticks)> {
    let (heat, cool) = (rules.range(Side::Heat), rules.range(Side::Cool));
    let (single, deadband) = (rules.is_single(), rules.deadband());
    let all = (heat.low.count()..=heat.high.count()).flat_map(move |one| {
        (cool.low.count()..=cool.high.count()).map(move |two| (Ticks::new(one), Ticks::new(two)))
    });
    all.filter(move |(one, two)| if single { one == two } else { *two - *one >= deadband })
}

/// Where pairs stand.
struct Plot {
    grid: Grid,
    area: Area,
    /// Values at the edges: heat from and to, cool from and to.
    heat: (f64, f64),
    cool: (f64, f64),
}

impl Plot {
    fn new(grid: Grid, rules: &SetpointRules) -> Self {
        let half = grid.step() / 2.0;
        let ends = |side| {
            let written = rules.written(side);
            (grid.value(written.low) - half, grid.value(written.high) + half)
        };
        let (heat, cool) = (ends(Side::Heat), ends(Side::Cool));
        let (left, top) = (5.2 * EM, 6.2 * EM);
        // One degree is as long upward as to the right.
        let scale = SIDE / (heat.1 - heat.0).max(cool.1 - cool.0);
        let area = Area {
            left,
            top,
            right: left + (heat.1 - heat.0) * scale,
            bottom: top + (cool.1 - cool.0) * scale,
        };
        Self { grid, area, heat, cool }
    }

    fn x(&self, value: f64) -> f64 {
        let part = (value - self.heat.0) / (self.heat.1 - self.heat.0);
        self.area.left + part * self.area.width()
    }

    fn y(&self, value: f64) -> f64 {
        Linear::upward(self.cool.0, self.cool.1, self.area).at(value)
    }

    /// The width of one pair, px.
    fn cell(&self) -> f64 {
        self.grid.step() / (self.heat.1 - self.heat.0) * self.area.width()
    }

    /// The cells from one heat value to another at one cool value.
    fn cells(&self, from: Ticks, to: Ticks, cool: Ticks) -> Area {
        let half = self.grid.step() / 2.0;
        let value = |ticks| self.grid.value(ticks);
        Area {
            left: self.x(value(from) - half),
            right: self.x(value(to) + half),
            top: self.y(value(cool) + half),
            bottom: self.y(value(cool) - half),
        }
    }

    fn axes(&self, canvas: &mut Canvas, sign: &str) -> Result<(), ChartFault> {
        let (heat, cool) = (ticks(self.heat.0, self.heat.1, 8), ticks(self.cool.0, self.cool.1, 8));
        let area = self.area;
        canvas.layer("grid", Stroke::Solid, |layer| {
            for value in &heat {
                let x = self.x(*value);
                layer.line(&[(x, area.top), (x, area.bottom)], GRID, 0.8);
            }
            for value in &cool {
                let y = self.y(*value);
                layer.line(&[(area.left, y), (area.right, y)], GRID, 0.8);
            }
        })?;
        canvas.layer("scale", Stroke::Solid, |layer| {
            for value in &heat {
                let how = Type::new(EM, QUIET).at(Anchor::Middle);
                layer.words(&setpoint(*value), (self.x(*value), area.bottom + EM), how);
            }
            for value in &cool {
                let how = Type::new(EM, QUIET).at(Anchor::End);
                layer.words(&setpoint(*value), (area.left - 0.5 * EM, self.y(*value)), how);
            }
            let heat_words = (area.left, area.bottom + 2.3 * EM);
            layer.words(&format!("heat setpoint, {sign}"), heat_words, Type::new(EM, HEATING));
            let cool_words = (area.left, area.top - EM);
            layer.words(&format!("cool setpoint, {sign}"), cool_words, Type::new(EM, COOLING));
        })
    }

    fn words(&self, canvas: &mut Canvas, name: &str, reach: &Reach) -> Result<(), ChartFault> {
        let (left, below) = (self.area.left, self.area.bottom + 3.7 * EM);
        canvas.layer("words", Stroke::Solid, |layer| {
            let title = format!("{name}: what keys can bring about");
            layer.words(&title, (left, 1.4 * EM), Type::new(EM * 1.15, INK).bold());
            let count = format!(
                "{} of {} legal pairs can be reached; blank pairs are not legal",
                reach.pairs.len(),
                reach.legal_pairs
            );
            layer.words(&count, (left, 2.9 * EM), Type::new(EM, INK));
            let key = [left, left + 9.0 * EM, left + 22.0 * EM];
            let square =
                |x: f64| Area { left: x, top: below - 5.0, right: x + 10.0, bottom: below + 5.0 };
            layer.fill(square(key[0]), PINNED);
            layer.words("reachable", (key[0] + 16.0, below), Type::new(EM, INK));
            layer.disc((key[1] + 5.0, below), 3.0, QUIET);
            layer.words("legal, not reachable", (key[1] + 16.0, below), Type::new(EM, INK));
            layer.outline(square(key[2]), INK, 2.0);
            layer.words("start", (key[2] + 16.0, below), Type::new(EM, INK));
        })
    }
}
