//! The knee chart: changeovers above, electricity and opposed heat below, against the deadband.

use super::ChartFault;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::hatch::diagonals;
use super::labels::{self, EndLabel};
use super::palette::{BORDER, GRID, HEATING, INK, PINNED, QUIET};
use super::scale::{Linear, ticks};
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::engine::Model;
use crate::report::compare::knee_sentence;
use crate::report::figures::{count, days_in_words, setpoint, three_figures, unit_sign};
use crate::study::{Knee, KneeFigures};

/// The chart of the deadbands, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn knee_svg(model: &Model, knee: &Knee, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let plot = Plot::new(sheet, knee);
    let mut canvas = Canvas::new(sheet.width, libm::ceil(plot.lower.bottom + sheet.em * 4.6))?;
    let title = if model.title.is_empty() {
        "What the deadband changes".into()
    } else {
        format!("{}: what the deadband changes", model.title)
    };
    let subtitle = format!(
        "{}. Heat lies half the deadband below, cool half above the midpoint of the file's \
         setpoints.",
        days_in_words(&model.period)
    );
    sheet.write_head(&mut canvas, &title, &subtitle)?;
    plot.left_out(&mut canvas, knee)?;
    plot.deadbands(&mut canvas, knee, unit_sign(model.unit))?;
    plot.changeovers(&mut canvas, knee)?;
    plot.energy(&mut canvas, knee)?;
    plot.mark(&mut canvas, knee, unit_sign(model.unit))?;
    Ok(canvas.finish(&title, &knee_sentence(model, knee)))
}

/// Where things stand.
struct Plot {
    sheet: Sheet,
    upper: Area,
    lower: Area,
    widest: f64,
    step: f64,
}

impl Plot {
    fn new(sheet: Sheet, knee: &Knee) -> Self {
        let em = sheet.em;
        let (left, right) = (em * 5.4, sheet.width - em * 15.0);
        let part = |top: f64, tall: f64| Area { left, right, top, bottom: top + tall };
        let upper = part(sheet.head() + em * 3.6, em * 12.0);
        let lower = part(upper.bottom + em * 2.6, em * 14.0);
        let widest = knee.points.last().map_or(0.0, |point| point.deadband);
        let step = knee.points.get(1).map_or(1.0, |point| point.deadband);
        Self { sheet, upper, lower, widest, step }
    }

    /// Where a deadband stands; half a step is left free at both ends.
    fn x(&self, deadband: f64) -> f64 {
        let Area { left, right, .. } = self.upper;
        left + (deadband + self.step / 2.0) / (self.widest + self.step) * (right - left)
    }

    /// Hatched columns where the limits do not allow a deadband.
    fn left_out(&self, canvas: &mut Canvas, knee: &Knee) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        let mut spans: Vec<(f64, f64, bool)> = Vec::new();
        for point in &knee.points {
            let Err(why) = &point.result else { continue };
            let (from, to) = (
                self.x(point.deadband - self.step / 2.0),
                self.x(point.deadband + self.step / 2.0),
            );
            match spans.last_mut() {
                Some(last) if (last.1 - from).abs() < 0.5 && last.2 == why.ran() => last.1 = to,
                _ => spans.push((from, to, why.ran())),
            }
        }
        canvas.layer("left-out", Stroke::Solid, |layer| {
            for (from, to, ran) in &spans {
                for area in [self.upper, self.lower] {
                    let area = Area { left: *from, right: *to, ..area };
                    layer.line(&diagonals(area, em * 0.8), BORDER, 1.0);
                    layer.outline(area, BORDER, 1.0);
                }
                let how = Type::new(em * 0.92, QUIET);
                let words = if *ran { "the run ends early" } else { "the limits leave no room" };
                let half = how.width(words) / 2.0;
                let middle = f64::midpoint(*from, *to)
                    .clamp(self.upper.left + half, self.upper.right.max(half * 2.0) - half);
                let below = self.upper.bottom + em * 1.2;
                layer.words(words, (middle, below), how.at(Anchor::Middle));
            }
        })
    }

    /// The axis of deadbands below everything.
    fn deadbands(&self, canvas: &mut Canvas, knee: &Knee, sign: &str) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        let values: Vec<f64> = if knee.points.len() > 20 {
            ticks(0.0, self.widest, 10)
        } else {
            knee.points.iter().map(|point| point.deadband).collect()
        };
        canvas.layer("grid", Stroke::Solid, |layer| {
            for value in &values {
                for area in [self.upper, self.lower] {
                    let x = self.x(*value);
                    layer.line(&[(x, area.top), (x, area.bottom)], GRID, 0.8);
                }
            }
        })?;
        canvas.layer("deadbands", Stroke::Solid, |layer| {
            let how = Type::new(em, QUIET).at(Anchor::Middle);
            for value in &values {
                let at = (self.x(*value), self.lower.bottom + em * 1.2);
                layer.words(&setpoint(*value), at, how);
            }
            let middle = f64::midpoint(self.lower.left, self.lower.right);
            let words = format!("deadband, {sign}");
            layer.words(&words, (middle, self.lower.bottom + em * 2.9), how);
        })
    }

    fn changeovers(&self, canvas: &mut Canvas, knee: &Knee) -> Result<(), ChartFault> {
        let value = |figures: &KneeFigures| figures.changeovers as f64;
        let scale = self.scale(canvas, knee, self.upper, "changeovers", &[&value])?;
        self.line(canvas, knee, scale, &value, Look::PLAIN)?;
        let Some((_, last)) = knee.tried().last() else { return Ok(()) };
        let text = count(last.changeovers, "changeover");
        let label = EndLabel { text, y: scale.at(value(&last)), color: INK };
        self.names(canvas, knee, &[label], self.upper)
    }

    fn energy(&self, canvas: &mut Canvas, knee: &Knee) -> Result<(), ChartFault> {
        let total = |figures: &KneeFigures| figures.total_kwh;
        let opposed = |figures: &KneeFigures| figures.opposed_kwh;
        let scale = self.scale(canvas, knee, self.lower, "kWh", &[&total, &opposed])?;
        self.line(canvas, knee, scale, &opposed, Look::OPPOSED)?;
        self.line(canvas, knee, scale, &total, Look::PLAIN)?;
        let Some((_, last)) = knee.tried().last() else { return Ok(()) };
        let label = |words: &str, value: f64, color| EndLabel {
            text: format!("{words} {} kWh", three_figures(value)),
            y: scale.at(value),
            color,
        };
        let labels = [
            label("electricity", last.total_kwh, INK),
            label("opposed heat", last.opposed_kwh, HEATING),
        ];
        self.names(canvas, knee, &labels, self.lower)
    }

    /// A scale from zero to the largest of the values, with its numbers to the left.
    fn scale(
        &self,
        canvas: &mut Canvas,
        knee: &Knee,
        area: Area,
        unit: &str,
        values: &[&dyn Fn(&KneeFigures) -> f64],
    ) -> Result<Linear, ChartFault> {
        let em = self.sheet.em;
        let all = knee.tried().flat_map(|(_, figures)| values.iter().map(move |it| it(&figures)));
        let most = all.fold(0.0, f64::max);
        let most = if most > 0.0 { most } else { 1.0 };
        let scale = Linear::upward(0.0, most * 1.08, area);
        let marks: Vec<f64> = match unit {
            "kWh" => scale.ticks(6),
            _ => scale.ticks(6).into_iter().filter(|mark| mark.fract() == 0.0).collect(),
        };
        canvas.layer("grid", Stroke::Solid, |layer| {
            for mark in &marks {
                let y = scale.at(*mark);
                layer.line(&[(area.left, y), (area.right, y)], GRID, 0.8);
            }
        })?;
        canvas.layer("scale", Stroke::Solid, |layer| {
            let how = Type::new(em, QUIET).at(Anchor::End);
            for mark in &marks {
                layer.words(&mark.to_string(), (area.left - em * 0.5, scale.at(*mark)), how);
            }
            let how = Type::new(em, QUIET);
            layer.words(unit, (area.left - em * 4.6, area.top - em * 0.9), how);
        })?;
        Ok(scale)
    }

    /// A value against the deadband, broken where a deadband could not be tried.
    fn line(
        &self,
        canvas: &mut Canvas,
        knee: &Knee,
        scale: Linear,
        value: &dyn Fn(&KneeFigures) -> f64,
        look: Look,
    ) -> Result<(), ChartFault> {
        let mut parts: Vec<Vec<Point>> = vec![Vec::new()];
        for point in &knee.points {
            match (&point.result, parts.last_mut()) {
                (Ok(figures), Some(part)) => {
                    part.push((self.x(point.deadband), scale.at(value(figures))));
                }
                _ => parts.push(Vec::new()),
            }
        }
        let radius = self.sheet.em * if knee.points.len() > 20 { 0.18 } else { 0.28 };
        canvas.layer(look.class, look.stroke, |layer| {
            for part in &parts {
                layer.line(part, look.color, 2.2);
            }
        })?;
        canvas.layer(look.class, Stroke::Solid, |layer| {
            for point in parts.iter().flatten() {
                layer.disc(*point, radius, look.color);
            }
        })
    }

    fn names(
        &self,
        canvas: &mut Canvas,
        knee: &Knee,
        names: &[EndLabel],
        area: Area,
    ) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        // Where the widest deadbands are left out, lines end before the edge.
        let end = knee.tried().last().map_or(area.right, |(deadband, _)| self.x(deadband));
        let area = Area { right: end + em * 0.4, ..area };
        labels::draw(canvas, names, area, self.upper.right + em * 1.2, em)
    }

    /// The smallest deadband that ends opposed heat, marked through both panels.
    fn mark(&self, canvas: &mut Canvas, knee: &Knee, sign: &str) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        let how = Type::new(em, INK).bold();
        let top = self.upper.top - em * 2.4;
        let Some((smallest, _)) = knee.ends_opposed() else {
            return canvas.layer("mark", Stroke::Solid, |layer| {
                let words = "No deadband tried ends opposed heat";
                layer.words(words, (self.upper.left, top), how);
            });
        };
        let first = knee.tried().next().map(|(deadband, _)| deadband);
        let words = if first == Some(smallest) {
            "No opposed heat at any deadband".to_owned()
        } else {
            format!("{} {sign}: the smallest without opposed heat", setpoint(smallest))
        };
        let x = self.x(smallest);
        canvas.layer("mark", Stroke::Solid, |layer| {
            for (from, to) in
                [(top + em * 0.9, self.upper.bottom), (self.lower.top, self.lower.bottom)]
            {
                layer.line(&[(x, from), (x, to)], PINNED, 2.0);
            }
            let room = self.sheet.width - em * 0.8 - how.width(&words);
            layer.words(&words, ((x - em * 0.4).min(room), top), how);
        })
    }
}

/// How a line of the plot looks.
#[derive(Clone, Copy)]
struct Look {
    class: &'static str,
    stroke: Stroke,
    color: plotters::style::RGBColor,
}

impl Look {
    const PLAIN: Self = Self { class: "measured", stroke: Stroke::Solid, color: INK };
    const OPPOSED: Self = Self { class: "opposed", stroke: Stroke::Dashed, color: HEATING };
}
