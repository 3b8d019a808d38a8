//! How cold and how warm a room can become, over the time: nothing lies outside the band, whose edges
//! are bounds; in it the worst runs that were found, with what is pressed in them.

use plotters::style::RGBColor;

use super::ChartFault;
use super::band::padded;
use super::canvas::{Area, Canvas, Layer, Point, Stroke};
use super::labels::{self, EndLabel};
use super::palette::{BAND, BORDER, COOLING, GRID, HEATING, INK, PAPER, QUIET};
use super::scale::{Linear, ticks};
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::report::figures::{duration, unit_sign};
use crate::report::worst::{Worst, ZoneWorst, first_sentence};
use crate::study::worst::{End, Found};

/// Points of a line, at most: more are not seen.
const MOST_POINTS: usize = 720;

/// The picture of one zone, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn worst_svg(worst: &Worst<'_>, zone: &ZoneWorst, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::of_zone(width);
    let plot = Plot::new(sheet, worst, zone);
    let mut canvas = Canvas::new(sheet.width, plot.area.bottom + sheet.em * 5.4)?;
    let title = format!("{}: how cold and how warm it can become", worst.name(zone));
    let lasts = duration(worst.question.lasts.in_hours());
    let subtitle = format!("Whatever is pressed, within {lasts}, {} outside", worst.limits());
    sheet.write_head(&mut canvas, &title, &subtitle)?;
    plot.axes(&mut canvas)?;
    plot.band(&mut canvas, zone)?;
    plot.asked(&mut canvas)?;
    for end in End::BOTH {
        if let Some(found) = zone.found(end) {
            plot.found(&mut canvas, found, end)?;
        }
    }
    plot.names(&mut canvas, zone)?;
    plot.key(&mut canvas, zone)?;
    Ok(canvas.finish(&title, &first_sentence(worst, zone)))
}

/// Where things stand.
struct Plot<'w> {
    sheet: Sheet,
    worst: &'w Worst<'w>,
    area: Area,
    scale: Linear,
}

impl<'w> Plot<'w> {
    fn new(sheet: Sheet, worst: &'w Worst<'w>, zone: &ZoneWorst) -> Self {
        let em = sheet.em;
        let right = sheet.width - em * if sheet.is_narrow() { 6.4 } else { 11.5 };
        let top = sheet.head() + em * 1.6;
        let area = Area { left: em * 3.6, right, top, bottom: top + em * 22.0 };
        let asked = [worst.at_least, worst.at_most].into_iter().flatten();
        let edges = zone.reached.least.iter().chain(&zone.reached.most).copied();
        let all = edges.chain(asked).map(|air| worst.model.unit.from_celsius(air));
        let ends = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), air| {
            (low.min(air), high.max(air))
        });
        Self { sheet, worst, area, scale: padded(ends, area) }
    }

    fn x(&self, hours: f64) -> f64 {
        let part = hours / self.worst.question.lasts.in_hours();
        self.area.left + part * self.area.width()
    }

    fn y(&self, celsius: f64) -> f64 {
        self.scale.at(self.worst.model.unit.from_celsius(celsius))
    }

    /// A course of one value a step as points.
    fn points(&self, course: &[f64]) -> Vec<Point> {
        let step = self.worst.model.period.step().in_hours();
        let every = (course.len() / MOST_POINTS).max(1);
        let last = course.len().saturating_sub(1);
        let all = course.iter().enumerate();
        all.filter(|(at, _)| at.is_multiple_of(every) || *at == last)
            .map(|(at, air)| (self.x(at as f64 * step), self.y(*air)))
            .collect()
    }

    fn axes(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let (em, area) = (self.sheet.em, self.area);
        let marks = self.scale.ticks(8);
        let hours = self.worst.question.lasts.in_hours();
        let times = ticks(0.0, hours, if self.sheet.is_narrow() { 4 } else { 9 });
        canvas.layer("grid", Stroke::Solid, |layer| {
            for mark in &marks {
                let y = self.scale.at(*mark);
                layer.line(&[(area.left, y), (area.right, y)], GRID, 0.8);
            }
            for time in &times {
                let x = self.x(*time);
                layer.line(&[(x, area.top), (x, area.bottom)], GRID, 0.8);
            }
        })?;
        canvas.layer("scale", Stroke::Solid, |layer| {
            let how = Type::new(em, QUIET);
            for mark in &marks {
                let at = (area.left - em * 0.5, self.scale.at(*mark));
                layer.words(&mark.to_string(), at, how.at(Anchor::End));
            }
            layer.words(unit_sign(self.worst.model.unit), (em * 0.8, area.top - em), how);
            for time in &times {
                let at = (self.x(*time), area.bottom + em * 1.1);
                layer.words(&time.to_string(), at, how.at(Anchor::Middle));
            }
            let middle = f64::midpoint(area.left, area.right);
            let words = "hours from the first midnight";
            layer.words(words, (middle, area.bottom + em * 2.5), how.at(Anchor::Middle));
        })
    }

    /// Between the bounds.
    fn band(&self, canvas: &mut Canvas, zone: &ZoneWorst) -> Result<(), ChartFault> {
        let (least, most) = (self.points(&zone.reached.least), self.points(&zone.reached.most));
        let around: Vec<Point> = least.iter().chain(most.iter().rev()).copied().collect();
        canvas.layer("band", Stroke::Solid, |layer| {
            layer.polygon(&around, BAND);
            for edge in [&least, &most] {
                layer.line(edge, INK, 1.6);
            }
        })
    }

    /// What was to be proved.
    fn asked(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let Area { left, right, .. } = self.area;
        let asked: Vec<f64> =
            [self.worst.at_least, self.worst.at_most].into_iter().flatten().collect();
        canvas.layer("asked", Stroke::Dashed, |layer| {
            for celsius in &asked {
                let y = self.y(*celsius);
                layer.line(&[(left, y), (right, y)], INK, 1.2);
            }
        })
    }

    /// A run, with a mark wherever something is pressed in it.
    fn found(&self, canvas: &mut Canvas, found: &Found, end: End) -> Result<(), ChartFault> {
        let look = Look::of(end);
        let points = self.points(&found.course);
        canvas.layer(look.class, look.stroke, |layer| layer.line(&points, look.color, 2.0))?;
        let step = self.worst.model.period.step();
        let mut times: Vec<i64> = found.presses.iter().map(|press| press.at.get()).collect();
        times.dedup();
        canvas.layer(look.class, Stroke::Solid, |layer| {
            for second in times {
                let at = usize::try_from(second / step.get()).unwrap_or(0);
                if let Some(air) = found.course.get(at) {
                    let place = (self.x(second as f64 / 3600.0), self.y(*air));
                    look.mark(layer, place, self.sheet.em * 0.36);
                }
            }
        })
    }

    /// The bounds and what was found, in figures, beside the right edge.
    fn names(&self, canvas: &mut Canvas, zone: &ZoneWorst) -> Result<(), ChartFault> {
        let narrow = self.sheet.is_narrow();
        let mut names = Vec::new();
        let word =
            |long: &str, short: &str| if narrow { short.to_owned() } else { long.to_owned() };
        for end in [End::Highest, End::Lowest] {
            let bound = zone.bound(end).0;
            let label = |words: String, celsius: f64, color| EndLabel {
                text: format!("{words} {}", self.worst.degrees(celsius)),
                y: self.y(celsius),
                color,
            };
            names.push(label(word("bound", "b."), bound, INK));
            if let Some(found) = zone.found(end) {
                names.push(label(word("found", "f."), found.air, Look::of(end).color));
            }
        }
        let asked = [
            (self.worst.at_most, word("at most", "max.")),
            (self.worst.at_least, word("at least", "min.")),
        ];
        for (asked, words) in asked {
            names.extend(asked.map(|celsius| EndLabel {
                text: format!("{words} {}", self.worst.degrees(celsius)),
                y: self.y(celsius),
                color: QUIET,
            }));
        }
        let em = self.sheet.em;
        labels::draw(canvas, &names, self.area, self.area.right + em * 0.9, em)
    }

    /// What the looks mean.
    fn key(&self, canvas: &mut Canvas, zone: &ZoneWorst) -> Result<(), ChartFault> {
        let (em, y) = (self.sheet.em, self.area.bottom + self.sheet.em * 4.3);
        let narrow = self.sheet.is_narrow();
        let how = Type::new(em * 0.92, QUIET);
        let mut x = if narrow { em * 0.8 } else { self.area.left };
        canvas.layer("key", Stroke::Solid, |layer| {
            let area =
                Area { left: x, right: x + em * 1.8, top: y - em * 0.5, bottom: y + em * 0.5 };
            layer.fill(area, BAND);
            layer.line(&[(area.left, area.top), (area.right, area.top)], INK, 1.6);
            layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], INK, 1.6);
            let words = if narrow { "bounds" } else { "proved: nothing lies outside" };
            layer.words(words, (area.right + em * 0.5, y), how);
            x = area.right + em * 0.5 + how.width(words) + em * 1.6;
            for end in [End::Lowest, End::Highest] {
                if zone.found(end).is_none() {
                    continue;
                }
                let look = Look::of(end);
                look.mark(layer, (x, y), em * 0.36);
                let words = match (end, narrow) {
                    (End::Lowest, true) => "coldest run",
                    (End::Highest, true) => "warmest",
                    (End::Lowest, false) => "pressed in the coldest run",
                    (End::Highest, false) => "pressed in the warmest",
                };
                layer.words(words, (x + em * 0.8, y), how);
                x += em * 0.8 + how.width(words) + em * 1.6;
            }
        })
    }
}

/// How a run looks: by colour, by stroke, and by the form of its marks.
struct Look {
    class: &'static str,
    color: RGBColor,
    stroke: Stroke,
    round: bool,
}

impl Look {
    const fn of(end: End) -> Self {
        match end {
            End::Lowest => {
                Self { class: "lowest", color: COOLING, stroke: Stroke::Solid, round: true }
            }
            End::Highest => {
                Self { class: "highest", color: HEATING, stroke: Stroke::LongDashed, round: false }
            }
        }
    }

    fn mark(&self, layer: &mut Layer<'_>, (x, y): Point, half: f64) {
        if self.round {
            layer.disc((x, y), half * 1.15, PAPER);
            layer.disc((x, y), half, self.color);
        } else {
            let area = Area { left: x - half, right: x + half, top: y - half, bottom: y + half };
            layer.fill(area, self.color);
            layer.outline(area, BORDER, 0.6);
        }
    }
}
