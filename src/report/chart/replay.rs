//! The chart of a replay: for each zone what was read, the run as logged and the variants, with the
//! range in which 95 of 100 draws lie; below, what ran; at last the electricity used so far.

use plotters::style::RGBColor;

use super::ChartFault;
use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Point, Stroke};
use super::labels::{self, EndLabel};
use super::palette::{COOLING, HEATING, IDLE, INK, PINNED, PURPLE, QUIET, SKY, WARNING};
use super::scale::{Linear, TimeAxis};
use super::series::thinned;
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::engine::Model;
use crate::report::figures::unit_sign;
use crate::study::replay::{Course, Replay};
use crate::time::{Instant, Period};

/// What is drawn of a replay.
#[derive(Clone, Copy, Debug)]
pub struct ReplayView<'a> {
    /// Over the chart.
    pub title: &'a str,
    /// Below the title.
    pub subtitle: &'a str,
    /// The scenario.
    pub model: &'a Model,
    /// What came of it.
    pub found: &'a Replay,
}

/// So many variants are told apart by line and colour.
const MOST_VARIANTS: usize = 3;
const LOOKS: [(RGBColor, Stroke); MOST_VARIANTS] =
    [(PURPLE, Stroke::LongDashed), (SKY, Stroke::DashDotted), (WARNING, Stroke::Dotted)];

/// The chart of a replay, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn replay_svg(view: &ReplayView, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let em = sheet.em;
    let right = sheet.width - em * if sheet.is_narrow() { 7.6 } else { 9.6 };
    let period = days(view);
    let time = TimeAxis::whole(&period, em * 4.8, right - em * 1.6);
    let marks = axis::time_marks(&period, time, em);
    let drawing = Drawing { view, sheet, time, labels: right, marks: &marks, runs: runs(view) };
    let zones = view.model.zones.len();
    let tall = (sheet.width * if zones == 1 { 0.3 } else { 0.2 }).clamp(em * 12.0, em * 26.0);
    let lanes = em * 1.15 * drawing.runs.len() as f64;
    let panel = em * 2.0 + tall + em * 0.8 + lanes + em * 1.6;
    let used = sheet.head() + panel * zones as f64;
    let end = used + em * 2.0 + tall * 0.7;
    let mut canvas = Canvas::new(sheet.width, libm::ceil(end + em * 4.0))?;
    sheet.write_head(&mut canvas, view.title, view.subtitle)?;
    for zone in 0..zones {
        let top = sheet.head() + panel * zone as f64;
        drawing.head(&mut canvas, &view.model.zones[zone].label, top + em)?;
        let area = drawing.area(top + em * 2.0, tall);
        drawing.temperature(&mut canvas, zone, area)?;
        drawing.lanes(&mut canvas, zone, area.bottom + em * 0.8)?;
    }
    drawing.head(&mut canvas, "Electricity so far", used + em)?;
    drawing.electricity(&mut canvas, drawing.area(used + em * 2.0, tall * 0.7))?;
    axis::time_words(&mut canvas, &marks, end, em)?;
    Ok(canvas.finish(view.title, view.subtitle))
}

/// The days of the log.
fn days(view: &ReplayView) -> Period {
    let (record, period) = (&view.found.record, view.model.period);
    let first = record.from.day();
    let days = (record.end().get() - 1).div_euclid(crate::time::DAY) - first + 1;
    Period::new(period.date(first), days.max(1), period.step()).unwrap_or(period)
}

/// A run as it is drawn.
struct Run<'a> {
    name: &'a str,
    course: &'a Course,
    look: (RGBColor, Stroke),
}

fn runs<'a>(view: &ReplayView<'a>) -> Vec<Run<'a>> {
    let found = view.found;
    let logged =
        Run { name: "as logged", course: &found.as_logged.course, look: (PINNED, Stroke::Dashed) };
    let variants = found.variants.iter().zip(LOOKS);
    let variants = variants.map(|(it, look)| Run { name: &it.name, course: &it.course, look });
    std::iter::once(logged).chain(variants).collect()
}

struct Drawing<'d> {
    view: &'d ReplayView<'d>,
    sheet: Sheet,
    time: TimeAxis,
    labels: f64,
    marks: &'d TimeMarks,
    runs: Vec<Run<'d>>,
}

/// A range as the drawing has it: where, and from where to where.
type Range = (f64, f64, f64);

impl Drawing<'_> {
    fn area(&self, top: f64, tall: f64) -> Area {
        Area { left: self.time.left, right: self.time.right, top, bottom: top + tall }
    }

    fn head(&self, canvas: &mut Canvas, name: &str, y: f64) -> Result<(), ChartFault> {
        canvas.layer("zone-name", Stroke::Solid, |layer| {
            let how = Type::new(self.sheet.em * 1.1, INK).bold();
            let name = how.cut(name, self.time.right - self.time.left);
            layer.words(&name, (self.time.left, y), how);
        })
    }

    fn x(&self, step: usize) -> f64 {
        let record = &self.view.found.record;
        let first = record.from.day() * crate::time::DAY;
        self.time.x(Instant::new(record.at(step).get() - first))
    }

    /// Values that are known, cut where they are not.
    fn lines(&self, scale: Linear, values: impl Iterator<Item = Option<f64>>) -> Vec<Vec<Point>> {
        let mut all: Vec<Vec<Point>> = vec![Vec::new()];
        for (step, value) in values.enumerate() {
            match (value, all.last_mut()) {
                (Some(value), Some(line)) => line.push((self.x(step), scale.at(value))),
                (None, Some(line)) if !line.is_empty() => all.push(Vec::new()),
                _ => {}
            }
        }
        all.into_iter().map(|line| thinned(line.into_iter(), self.time)).collect()
    }

    fn line(
        &self,
        canvas: &mut Canvas,
        lines: &[Vec<Point>],
        (class, words): (&str, &str),
        (color, stroke, wide): (RGBColor, Stroke, f64),
    ) -> Result<Option<EndLabel>, ChartFault> {
        canvas.layer(class, stroke, |layer| {
            for line in lines.iter().filter(|line| line.len() > 1) {
                layer.line(line, color, wide);
            }
        })?;
        let last = lines.iter().rev().find_map(|line| line.last());
        Ok(last.map(|(_, y)| EndLabel { text: self.label(words), y: *y, color }))
    }

    /// A name that finds room beside the chart.
    fn label(&self, words: &str) -> String {
        let room = self.sheet.width - self.labels - self.sheet.em * 0.4;
        Type::new(self.sheet.em, INK).cut(&words.replace('_', " "), room)
    }

    fn temperature(&self, canvas: &mut Canvas, zone: usize, area: Area) -> Result<(), ChartFault> {
        let (em, record) = (self.sheet.em, &self.view.found.record);
        let read = &record.zones[zone].temperature;
        let simulated = self.runs.iter().flat_map(|run| &run.course.run.zones[zone].sensed);
        let (low, high) = extent(read.iter().flatten().chain(simulated).copied());
        let scale = Linear::upward(low, high, area);
        axis::time_lines(canvas, self.marks, area.top, area.bottom)?;
        axis::values(canvas, area, scale, unit_sign(self.view.found.unit), em)?;
        for (side, color) in [HEATING, COOLING].into_iter().enumerate() {
            let setpoints = &self.runs[0].course.run.zones[zone].setpoints;
            let inside = |value: f64| (low..=high).contains(&value).then_some(value);
            let lines = self.lines(scale, setpoints.iter().map(|pair| inside(pair[side])));
            canvas.layer("setpoint", Stroke::Solid, |layer| {
                for line in lines.iter().filter(|line| line.len() > 1) {
                    layer.line(line, color, 0.7);
                }
            })?;
        }
        let mut ends = Vec::new();
        for run in &self.runs {
            let stride = run.course.stride;
            if let Some(ranges) = run.course.ranges.get(zone) {
                let at = |(place, (low, high)): (usize, &(f64, f64))| {
                    (self.x(place * stride), scale.at(*low), scale.at(*high))
                };
                veil(canvas, run.look.0, ranges.iter().enumerate().map(at))?;
            }
        }
        let lines = self.lines(scale, read.iter().copied());
        ends.extend(self.line(
            canvas,
            &lines,
            ("measured", "measured"),
            (INK, Stroke::Solid, 1.8),
        )?);
        for run in &self.runs {
            let sensed = &run.course.run.zones[zone].sensed;
            let lines = self.lines(scale, sensed.iter().map(|it| Some(*it)));
            let how = (run.look.0, run.look.1, 1.5);
            ends.extend(self.line(canvas, &lines, ("run", run.name), how)?);
        }
        labels::draw(canvas, &ends, area, self.labels, em)
    }

    /// When the unit ran: a lane for what was recorded and for each run.
    fn lanes(&self, canvas: &mut Canvas, zone: usize, top: f64) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        let recorded = &self.view.found.record.zones[zone].running;
        let measured: Vec<bool> = recorded.iter().map(|it| *it == Some(true)).collect();
        let mut lanes = Vec::new();
        if recorded.iter().any(Option::is_some) {
            lanes.push(("measured", &measured[..], INK));
        }
        let runs = self.runs.iter();
        lanes.extend(
            runs.map(|run| (run.name, &run.course.run.zones[zone].running[..], run.look.0)),
        );
        for (place, (name, running, color)) in lanes.into_iter().enumerate() {
            let top = top + em * 1.15 * place as f64;
            let lane = self.area(top, em * 0.8);
            canvas.layer("lane", Stroke::Solid, |layer| {
                layer.fill(lane, IDLE);
                let mut from = 0;
                for same in running.chunk_by(|one, other| one == other) {
                    let to = from + same.len();
                    if same[0] {
                        let (left, right) = (self.x(from), self.x(to).max(self.x(from) + 0.6));
                        layer.fill(Area { left, right, ..lane }, color);
                    }
                    from = to;
                }
                let how = Type::new(em * 0.85, color).at(Anchor::Start);
                layer.words(&self.label(name), (self.labels, lane.middle()), how);
            })?;
        }
        Ok(())
    }

    fn electricity(&self, canvas: &mut Canvas, area: Area) -> Result<(), ChartFault> {
        let (em, record) = (self.sheet.em, &self.view.found.record);
        let hours = record.grid.step.get() as f64 / 3600.0;
        let so_far = |powers: &mut dyn Iterator<Item = f64>| -> Vec<f64> {
            let mut sum = 0.0;
            let add = |watts: f64| {
                sum += watts * hours / 1000.0;
                sum
            };
            powers.map(add).collect()
        };
        let measured = if record.has_electricity {
            so_far(&mut record.electric.iter().map(|it| it.unwrap_or(0.0)))
        } else {
            Vec::new()
        };
        let runs: Vec<Vec<f64>> = self
            .runs
            .iter()
            .map(|run| so_far(&mut run.course.run.electric.iter().copied()))
            .collect();
        let last = runs.iter().chain([&measured]).filter_map(|it| it.last().copied());
        let ranged = self.runs.iter().filter_map(|run| run.course.used.last().map(|it| it.1));
        let scale = Linear::upward(0.0, last.chain(ranged).fold(0.1, f64::max) * 1.08, area);
        axis::time_lines(canvas, self.marks, area.top, area.bottom)?;
        axis::values(canvas, area, scale, "kWh", em)?;
        for run in &self.runs {
            let stride = run.course.stride;
            let at = |(place, (low, high)): (usize, &(f64, f64))| {
                (self.x(place * stride), scale.at(*low), scale.at(*high))
            };
            veil(canvas, run.look.0, run.course.used.iter().enumerate().map(at))?;
        }
        let mut ends = Vec::new();
        let lines = self.lines(scale, measured.into_iter().map(Some));
        ends.extend(self.line(
            canvas,
            &lines,
            ("measured", "measured"),
            (INK, Stroke::Solid, 1.8),
        )?);
        for (run, used) in self.runs.iter().zip(runs) {
            let lines = self.lines(scale, used.into_iter().map(Some));
            let how = (run.look.0, run.look.1, 1.5);
            ends.extend(self.line(canvas, &lines, ("run", run.name), how)?);
        }
        canvas.layer("base", Stroke::Solid, |layer| {
            layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], QUIET, 0.8);
        })?;
        labels::draw(canvas, &ends, area, self.labels, em)
    }
}

/// The range of a run, as a veil.
fn veil(
    canvas: &mut Canvas,
    color: RGBColor,
    ranges: impl Iterator<Item = Range>,
) -> Result<(), ChartFault> {
    let known: Vec<Range> = ranges.filter(|it| !it.1.is_nan()).collect();
    let upper = known.iter().map(|(x, _, high)| (*x, *high));
    let lower = known.iter().rev().map(|(x, low, _)| (*x, *low));
    let around: Vec<Point> = upper.chain(lower).collect();
    canvas.layer("range", Stroke::Solid, |layer| {
        if around.len() > 2 {
            layer.veil(&around, color, 0.22);
        }
    })
}

/// The lowest and highest with some room around them.
fn extent(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    let (low, high) = values.fold(none, |(low, high), it| (low.min(it), high.max(it)));
    if low > high {
        return (0.0, 1.0);
    }
    let room = ((high - low) * 0.06).max(0.2);
    (low - room, high + room)
}
