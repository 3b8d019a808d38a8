//! What stands in the way of a zone from outside: spans in which outdoor limits do not allow it a
//! direction (rule 15), and spans in which a window of it is open (rule 16). Each has an outline and
//! words or a place of its own, so that it needs no colour.

use super::ChartFault;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::hatch::diagonals;
use super::palette::{COOLING, HEATING, INK, PAPER, QUIET, SKY};
use super::scale::TimeAxis;
use super::series::Stretch;
use super::text::Type;
use crate::control::{Opening, OutdoorLimits, Permitted};
use crate::direction::Direction;
use crate::engine::{Doing, Entry, Model, ZoneIndex};
use crate::report::figures::duration;
use crate::report::run::Run;
use crate::time::Instant;
use crate::weather::Course;

/// The directions that some limit in a model is about, as rows of a panel.
pub(super) fn rows(model: &Model) -> Vec<Direction> {
    let zones = model.zones.iter().map(|zone| &zone.controls.outdoor_limits);
    let units = model.outdoor_units.iter().map(|group| &group.outdoor_limits);
    let all: Vec<&OutdoorLimits> = zones.chain(units).collect();
    let limits = |direction: &Direction| all.iter().any(|it| of(it, *direction).is_some());
    Direction::BOTH.into_iter().filter(limits).collect()
}

const fn of(limits: &OutdoorLimits, direction: Direction) -> Option<f64> {
    match direction {
        Direction::Heating => limits.heat_below,
        Direction::Cooling => limits.cool_above,
    }
}

/// Whether anything may stand in the way of any zone.
pub(super) fn may_hold(run: &Run) -> bool {
    let opens = |entry: &Entry| matches!(entry, Entry::Request { what: Doing::Window(_), .. });
    !rows(run.model).is_empty() || run.ledger.iter().any(|row| opens(&row.entry))
}

/// When a zone is not allowed to heat, and when not to cool.
pub(super) fn forbidden(run: &Run, zone: ZoneIndex, time: TimeAxis) -> [Vec<Stretch<()>>; 2] {
    let model = run.model;
    let own = model.zones.get(zone.get()).map(|zone| zone.controls.outdoor_limits);
    let unit = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
    let unit = unit.map(|group| group.outdoor_limits);
    let limits: Vec<OutdoorLimits> =
        own.into_iter().chain(unit).filter(|it| !it.is_none()).collect();
    let mut spans = [Vec::new(), Vec::new()];
    if limits.is_empty() {
        return spans;
    }
    let (step, end) = (model.period.step(), time.end().min(model.period.end()));
    let mut course = Course::new(&model.weather, model.period.first());
    let mut before: Vec<Option<Permitted>> = vec![None; limits.len()];
    let mut at = Instant::START;
    while at < end {
        let outdoor = model.unit.from_celsius(course.outdoor(at.get() as f64));
        let mut permitted = Permitted::BOTH;
        for (limits, before) in limits.iter().zip(&mut before) {
            let now = match before {
                Some(before) => limits.next(*before, outdoor),
                None => limits.at_start(outdoor),
            };
            *before = Some(now);
            permitted = permitted.and(now);
        }
        let shown = Direction::BOTH.into_iter().filter(|it| time.has(at) && !permitted.has(*it));
        for direction in shown {
            extend(&mut spans[direction as usize], at, at + step);
        }
        at = at + step;
    }
    spans
}

/// When a window of a zone is open.
pub(super) fn open_window(run: &Run, zone: ZoneIndex, time: TimeAxis) -> Vec<Stretch<()>> {
    let moves = run.ledger.iter().filter(|row| row.zone == zone);
    let moves = moves.filter_map(|row| match &row.entry {
        Entry::Request { what: Doing::Window(to), .. } => Some((row.at, *to)),
        _ => None,
    });
    let mut spans = Vec::new();
    let mut open: Option<Instant> = None;
    for (at, to) in moves.chain([(run.model.period.end(), Opening::Closed)]) {
        match (to, open) {
            (Opening::Open, None) => open = Some(at),
            (Opening::Closed, Some(since)) => {
                let (from, to) = (since.max(time.start()), at.min(time.end()));
                if from < to {
                    spans.push(Stretch { what: (), from, to });
                }
                open = None;
            }
            _ => {}
        }
    }
    spans
}

fn extend(spans: &mut Vec<Stretch<()>>, from: Instant, to: Instant) {
    match spans.last_mut() {
        Some(last) if last.to == from => last.to = to,
        _ => spans.push(Stretch { what: (), from, to }),
    }
}

/// Hours of some spans.
pub(super) fn hours(spans: &[Stretch<()>]) -> f64 {
    spans.iter().map(Stretch::hours).fold(0.0, |sum, it| sum + it)
}

fn over(span: &Stretch<()>, time: TimeAxis, area: Area) -> Area {
    let (left, right) = (time.x(span.from), time.x(span.to));
    Area { left, right: right.max(left + 1.0), ..area }
}

/// What a direction is called that is not allowed.
const fn words(direction: Direction) -> &'static str {
    match direction {
        Direction::Heating => "no heating",
        Direction::Cooling => "no cooling",
    }
}

/// Draws a row for each direction that limits are about: bars while it is not allowed, plain for
/// heating and hatched for cooling as in the ribbon, and at the end of the row what they mean.
pub(super) fn draw(
    canvas: &mut Canvas,
    spans: &[Vec<Stretch<()>>; 2],
    rows: &[Direction],
    time: TimeAxis,
    area: Area,
    (em, narrow): (f64, bool),
) -> Result<(), ChartFault> {
    let tall = area.height() / rows.len().max(1) as f64;
    for (place, direction) in rows.iter().enumerate() {
        let top = area.top + place as f64 * tall;
        let row = Area { top: top + tall * 0.25, bottom: top + tall * 0.75, ..area };
        let spans = &spans[*direction as usize];
        let color = if *direction == Direction::Heating { HEATING } else { COOLING };
        canvas.layer("not-allowed", Stroke::Solid, |layer| {
            for span in spans {
                let part = over(span, time, row);
                layer.fill(part, PAPER);
                if *direction == Direction::Cooling {
                    layer.line(&diagonals(part, 4.5), color, 0.8);
                }
                layer.outline(part, color, 1.0);
            }
            let hours = hours(spans);
            let how = Type::new(em * 0.85, if hours > 0.0 { INK } else { QUIET });
            let what = words(*direction);
            let text = match hours {
                _ if narrow => what.to_owned(),
                0.0 => format!("{what}: never"),
                hours => format!("{what}: {}", duration(hours)),
            };
            layer.words(&text, (time.right + em * 0.6, row.middle()), how);
        })?;
    }
    Ok(())
}

/// Draws over the lane, below its symbols, while a window is open, and a thin line at either end
/// through the panel above; at the end of the lane what that means.
pub(super) fn draw_open(
    canvas: &mut Canvas,
    spans: &[Stretch<()>],
    time: TimeAxis,
    (lane, panel): (Area, Area),
    (em, narrow): (f64, bool),
) -> Result<(), ChartFault> {
    if spans.is_empty() {
        return Ok(());
    }
    canvas.layer("open-window", Stroke::Solid, |layer| {
        for span in spans {
            let part = over(span, time, lane);
            let (left, right) = (part.left, part.right);
            let whole =
                [(left, part.top), (right, part.top), (right, part.bottom), (left, part.bottom)];
            layer.veil(&whole, SKY, 0.25);
        }
        let what = "window open";
        let text =
            if narrow { what.to_owned() } else { format!("{what}: {}", duration(hours(spans))) };
        layer.words(&text, (time.right + em * 0.6, lane.middle()), Type::new(em * 0.85, INK));
    })?;
    canvas.layer("open-window-ends", Stroke::Dotted, |layer| {
        for span in spans {
            let part = over(span, time, lane);
            layer.outline(part, INK, 1.0);
            for x in [part.left, part.right] {
                layer.line(&[(x, panel.top), (x, panel.bottom)], QUIET, 0.8);
            }
        }
    })
}

/// What [`in_strip`] drew in some strip.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Drawn {
    forbidden: [bool; 2],
    open: bool,
}

impl Drawn {
    /// With what another strip has.
    pub(super) const fn and(self, other: Self) -> Self {
        let [heating, cooling] = self.forbidden;
        Self {
            forbidden: [heating || other.forbidden[0], cooling || other.forbidden[1]],
            open: self.open || other.open,
        }
    }

    /// What it means, in one line below `y` and as far as `right`; nothing where nothing was drawn.
    pub(super) fn words(
        self,
        canvas: &mut Canvas,
        time: TimeAxis,
        (right, y): Point,
        em: f64,
    ) -> Result<(), ChartFault> {
        let [heating, cooling] = self.forbidden;
        let told = [
            (heating, "line along the top: no heating allowed"),
            (cooling, "dotted line: no cooling allowed"),
            (self.open, "dotted box: window open"),
        ];
        let told: Vec<&str> = told.iter().filter(|(is, _)| *is).map(|(_, words)| *words).collect();
        if told.is_empty() {
            return Ok(());
        }
        let words = told.join(", ");
        let whole = Type::new(em * 0.85, QUIET).width(&words);
        // On a narrow sheet they grow smaller rather than running off it.
        let how = Type::new(em * 0.85 * ((right - em) / whole).min(1.0), QUIET);
        let left = time.left.min(right - how.width(&words)).max(em * 0.5);
        canvas.layer("held-words", Stroke::Solid, |layer| {
            layer.words(&words, (left, y + em * 2.4), how);
        })
    }
}

/// Draws the same into a strip that has no room for rows of their own: along its top a line while
/// heating is not allowed and, under that, a dotted one for cooling; a dotted box while a window is
/// open.
pub(super) fn in_strip(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    time: TimeAxis,
    area: Area,
) -> Result<Drawn, ChartFault> {
    let forbidden = forbidden(run, zone, time);
    let looks = [("no-heating", Stroke::Solid, HEATING), ("no-cooling", Stroke::Dotted, COOLING)];
    for (place, (spans, (class, stroke, color))) in forbidden.iter().zip(looks).enumerate() {
        if spans.is_empty() {
            continue;
        }
        let y = area.top + 1.5 + 3.0 * place as f64;
        canvas.layer(class, stroke, |layer| {
            for span in spans {
                let part = over(span, time, area);
                layer.line(&[(part.left, y), (part.right, y)], color, 2.0);
            }
        })?;
    }
    let open = open_window(run, zone, time);
    if !open.is_empty() {
        canvas.layer("open-window", Stroke::Dotted, |layer| {
            for span in &open {
                layer.outline(over(span, time, area), INK, 1.2);
            }
        })?;
    }
    let forbidden = forbidden.map(|spans| !spans.is_empty());
    Ok(Drawn { forbidden, open: !open.is_empty() })
}
