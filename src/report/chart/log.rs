//! The chart of a log: for each zone its temperature with setpoints and outdoor air, below it what
//! ran and the electricity. Gaps are left open; spans that a finding is about are shaded.

use super::ChartFault;
use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Point, Stroke};
use super::hatch::diagonals;
use super::labels::{self, EndLabel};
use super::palette::{
    BAND, COOLING, GRID, HEATING, IDLE, INK, OUTDOOR, PAPER, POWER, POWER_EDGE, QUIET, WARNING,
};
use super::scale::{Linear, TimeAxis};
use super::series::thinned;
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::direction::Direction;
use crate::log::{LogTime, Running, Sample};
use crate::report::figures::{one_digit, unit_sign};
use crate::time::{Instant, Period};
use crate::units::TemperatureUnit;

/// What is drawn of a zone.
#[derive(Clone, Copy, Debug)]
pub struct LogPanel<'a> {
    /// What the zone is called.
    pub name: &'a str,
    /// Its samples.
    pub samples: &'a [Sample],
    /// Spans that are shaded.
    pub spans: &'a [(LogTime, LogTime)],
    /// Words at their times.
    pub notes: &'a [(LogTime, String)],
}

/// What is drawn of a log.
#[derive(Clone, Copy, Debug)]
pub struct LogView<'a> {
    /// Over the chart.
    pub title: &'a str,
    /// Below the title.
    pub subtitle: &'a str,
    /// The unit of the samples.
    pub unit: TemperatureUnit,
    /// The days that are drawn.
    pub period: Period,
    /// The zones.
    pub panels: &'a [LogPanel<'a>],
}

impl LogView<'_> {
    fn instant(&self, at: LogTime) -> Instant {
        Instant::new(at - LogTime::midnight(self.period.first()))
    }
}

/// The chart of a log, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn log_svg(view: &LogView, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let em = sheet.em;
    let narrow = sheet.is_narrow();
    let right = sheet.width - em * if narrow { 8.2 } else { 11.2 };
    let time = TimeAxis::whole(&view.period, em * if narrow { 3.9 } else { 4.4 }, right - em * 2.0);
    let marks = axis::time_marks(&view.period, time, em);
    let layouts: Vec<PanelLayout> = layouts(view, sheet, time);
    let end = layouts.last().map_or(sheet.head(), |it| it.bottom(em));
    let mut canvas = Canvas::new(sheet.width, libm::ceil(end + em * 4.0))?;
    sheet.write_head(&mut canvas, view.title, view.subtitle)?;
    for (panel, layout) in view.panels.iter().zip(&layouts) {
        Drawing { view, panel, layout, time, sheet, labels: right, marks: &marks }
            .draw(&mut canvas)?;
    }
    axis::time_words(&mut canvas, &marks, end, em)?;
    Ok(canvas.finish(view.title, view.subtitle))
}

/// Where the parts of a panel stand.
struct PanelLayout {
    head: f64,
    temperature: Area,
    ribbon: Area,
    /// None where no electricity was recorded.
    power: Option<Area>,
}

impl PanelLayout {
    fn bottom(&self, em: f64) -> f64 {
        self.power.map_or(self.ribbon.bottom + em * 1.6, |power| power.bottom)
    }
}

fn layouts(view: &LogView, sheet: Sheet, time: TimeAxis) -> Vec<PanelLayout> {
    let em = sheet.em;
    let tall =
        (sheet.width * if view.panels.len() == 1 { 0.3 } else { 0.2 }).clamp(em * 13.0, em * 26.0);
    let mut top = sheet.head();
    let mut all = Vec::new();
    for (place, panel) in view.panels.iter().enumerate() {
        let part = |from: f64, tall: f64| Area {
            left: time.left,
            right: time.right,
            top: from,
            bottom: from + tall,
        };
        let head = top + em * 1.0;
        let temperature = part(top + em * 2.0, tall);
        let ribbon = part(temperature.bottom + em * 0.8, em * 1.8);
        // Electricity is that of the whole log: it is drawn once, below the last zone.
        let last = place + 1 == view.panels.len();
        let has = last && panel.samples.iter().any(|sample| sample.electric_w.is_some());
        let power = has.then(|| part(ribbon.bottom + em * 2.0, em * 4.5));
        let layout = PanelLayout { head, temperature, ribbon, power };
        top = layout.bottom(em) + em * 1.4;
        all.push(layout);
    }
    all
}

struct Drawing<'d> {
    view: &'d LogView<'d>,
    panel: &'d LogPanel<'d>,
    layout: &'d PanelLayout,
    time: TimeAxis,
    sheet: Sheet,
    labels: f64,
    marks: &'d TimeMarks,
}

/// The room's scale may be stretched so far for outdoor air.
const STRETCHED: f64 = 1.5;

/// A stretch without gaps.
fn unbroken(samples: &[Sample]) -> impl Iterator<Item = &[Sample]> {
    samples.chunk_by(|_, next| !next.after_gap)
}

impl Drawing<'_> {
    fn draw(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let em = self.sheet.em;
        canvas.layer("zone-name", Stroke::Solid, |layer| {
            let how = Type::new(em * 1.1, INK).bold();
            let name = how.cut(self.panel.name, self.time.right - self.time.left);
            layer.words(&name, (self.time.left, self.layout.head), how);
        })?;
        self.temperature(canvas)?;
        self.ribbon(canvas)?;
        self.power(canvas)
    }

    fn x(&self, at: LogTime) -> f64 {
        self.time.x(self.view.instant(at))
    }

    fn shown(&self) -> &[Sample] {
        let has = |sample: &Sample| self.time.has(self.view.instant(sample.at));
        let samples = self.panel.samples;
        let from = samples.iter().position(has).unwrap_or(0);
        let to = samples.iter().rposition(has).map_or(from, |last| last + 1);
        &samples[from..to]
    }

    /// A value that runs straight, or that holds until the next sample.
    fn lines(
        &self,
        scale: Linear,
        of: impl Fn(&Sample) -> Option<f64>,
        holds: bool,
    ) -> Vec<Vec<Point>> {
        let mut lines = Vec::new();
        for stretch in unbroken(self.shown()) {
            for known in stretch.chunk_by(|one, next| of(one).is_some() == of(next).is_some()) {
                let mut before = None;
                let mut points = Vec::new();
                for sample in known {
                    let Some(value) = of(sample) else { continue };
                    let y = scale.at(value);
                    if let Some(last) = before.filter(|last| holds && *last != y) {
                        points.push((self.x(sample.at), last));
                    }
                    points.push((self.x(sample.at), y));
                    before = Some(y);
                }
                lines.push(thinned(points.into_iter(), self.time));
            }
        }
        lines
    }

    fn temperature(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let (em, area) = (self.sheet.em, self.layout.temperature);
        let values = |sample: &Sample| [sample.temperature, sample.heat, sample.cool];
        let (mut low, mut high) = extent(self.shown().iter().flat_map(values).flatten());
        let outdoors = || self.shown().iter().filter_map(|sample| sample.outdoor);
        let (least, most) = outdoors().fold((low, high), |(a, b), it| (a.min(it), b.max(it)));
        // Outdoor air has the room's scale where that does not flatten the room's course.
        let fits = most - least <= (high - low) * STRETCHED;
        if fits {
            (low, high) = extent([least, most].into_iter());
        }
        let scale = Linear::upward(low, high, area);
        axis::time_lines(canvas, self.marks, area.top, area.bottom)?;
        axis::values(canvas, area, scale, unit_sign(self.view.unit), em)?;
        self.band(canvas, scale)?;
        self.shade(canvas, area)?;
        let outdoor = self.outdoor(canvas, scale, fits)?;
        let mut ends = Vec::new();
        let heat = self.lines(scale, |it| it.heat, true);
        let cool = self.lines(scale, |it| it.cool, true);
        let room = self.lines(scale, |it| it.temperature, false);
        for (class, words, lines, color) in [
            ("heat-setpoint", "heat setpoint", heat, HEATING),
            ("cool-setpoint", "cool setpoint", cool, COOLING),
            ("room", "room air", room, INK),
        ] {
            let stroke = if class == "cool-setpoint" { Stroke::Dashed } else { Stroke::Solid };
            let wide = if class == "room" { 1.8 } else { 1.4 };
            canvas.layer(class, stroke, |layer| {
                for line in &lines {
                    layer.line(line, color, wide);
                }
            })?;
            let last = lines.iter().rev().find_map(|line| line.last());
            ends.extend(last.map(|(_, y)| EndLabel { text: words.into(), y: *y, color }));
        }
        ends.extend(outdoor);
        if self.sheet.is_narrow() {
            ends = ends.into_iter().map(EndLabel::shortened).collect();
        }
        self.notes(canvas, area)?;
        labels::draw(canvas, &ends, area, self.labels, em)
    }

    /// Spans that a finding is about.
    fn shade(&self, canvas: &mut Canvas, area: Area) -> Result<(), ChartFault> {
        canvas.layer("spans", Stroke::Solid, |layer| {
            for (from, to) in self.panel.spans {
                let within = |at: LogTime| self.x(at).clamp(area.left, area.right);
                let (left, right) = (within(*from), within(*to));
                let part = Area { left, right: right.max(left + 2.0), ..area };
                let corners = [
                    (part.left, part.top),
                    (part.right, part.top),
                    (part.right, part.bottom),
                    (part.left, part.bottom),
                ];
                layer.veil(&corners, WARNING, 0.18);
                layer.line(&[corners[0], corners[3]], WARNING, 1.0);
                layer.line(&[corners[1], corners[2]], WARNING, 1.0);
            }
        })
    }

    /// Between the setpoints, where both are known.
    fn band(&self, canvas: &mut Canvas, scale: Linear) -> Result<(), ChartFault> {
        let known = |sample: &Sample| sample.heat.zip(sample.cool);
        canvas.layer("band", Stroke::Solid, |layer| {
            for stretch in unbroken(self.shown()) {
                let mut next = 0;
                for same in stretch.chunk_by(|one, next| known(one) == known(next)) {
                    next += same.len();
                    let end = stretch.get(next).or(stretch.last());
                    let (Some(first), Some(end)) = (same.first(), end) else { continue };
                    let Some((heat, cool)) = known(first).filter(|(heat, cool)| heat < cool) else {
                        continue;
                    };
                    let (left, right) = (self.x(first.at), self.x(end.at));
                    let (top, bottom) = (scale.at(cool), scale.at(heat));
                    layer.fill(Area { left, top, right, bottom }, BAND);
                }
            }
        })
    }

    /// Outdoor air, put where its course fits the panel; its own values stand at its end.
    fn outdoor(
        &self,
        canvas: &mut Canvas,
        room: Linear,
        fits: bool,
    ) -> Result<Option<EndLabel>, ChartFault> {
        let values: Vec<f64> = self.shown().iter().filter_map(|it| it.outdoor).collect();
        if values.is_empty() {
            return Ok(None);
        }
        let (from, to) = extent(values.iter().copied());
        let scale = if fits { room } else { Linear::upward(from, to, self.layout.temperature) };
        let lines = self.lines(scale, |it| it.outdoor, false);
        canvas.layer("outdoor", Stroke::Dotted, |layer| {
            for line in &lines {
                layer.line(line, OUTDOOR, 1.2);
            }
        })?;
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let text = if fits {
            "outdoor".to_owned()
        } else {
            format!("outdoor {} to {}°", one_digit(least), one_digit(most))
        };
        let last = lines.iter().rev().find_map(|line| line.last());
        Ok(last.map(|(_, y)| EndLabel { text, y: *y, color: QUIET }))
    }

    fn notes(&self, canvas: &mut Canvas, area: Area) -> Result<(), ChartFault> {
        let how = Type::new(self.sheet.em * 0.85, INK);
        let mut free = f64::NEG_INFINITY;
        canvas.layer("events", Stroke::Solid, |layer| {
            for (at, text) in self.panel.notes {
                let x = self.x(*at);
                if !(area.left..=area.right).contains(&x) {
                    continue;
                }
                layer.line(&[(x, area.top), (x, area.top + self.sheet.em)], INK, 1.2);
                if x > free {
                    let room = area.right - x - 4.0;
                    let words = how.cut(text, room);
                    layer.words(&words, (x + 3.0, area.top + self.sheet.em * 0.6), how);
                    free = x + how.width(&words) + self.sheet.em;
                }
            }
        })
    }

    fn ribbon(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let area = self.layout.ribbon;
        let em = self.sheet.em;
        let known = self.shown().iter().any(|sample| sample.running.is_some());
        if !known {
            return canvas.layer("ribbon-words", Stroke::Solid, |layer| {
                let how = Type::new(em * 0.85, QUIET).at(Anchor::Middle);
                let middle = (f64::midpoint(area.left, area.right), area.middle());
                layer.words("What ran was not recorded.", middle, how);
            });
        }
        let boxes = self.runs(area);
        canvas.layer("idle", Stroke::Solid, |layer| {
            for (_, part) in &boxes {
                layer.fill(*part, IDLE);
            }
        })?;
        canvas.layer("running", Stroke::Solid, |layer| {
            for (running, part) in &boxes {
                match running {
                    Running::Off => {}
                    Running::In(Direction::Heating) => layer.fill(*part, HEATING),
                    Running::In(Direction::Cooling) => {
                        layer.fill(*part, PAPER);
                        layer.line(&diagonals(*part, 4.5), COOLING, 1.5);
                        layer.outline(*part, COOLING, 1.0);
                    }
                    Running::On => layer.fill(*part, POWER_EDGE),
                }
            }
        })?;
        let has = |wanted: Running| boxes.iter().any(|(running, _)| *running == wanted);
        let mut words = Vec::new();
        for (running, color) in [
            (Running::In(Direction::Heating), HEATING),
            (Running::In(Direction::Cooling), COOLING),
            (Running::On, POWER_EDGE),
        ] {
            if has(running) {
                words.push((running.name(), color));
            }
        }
        canvas.layer("ribbon-words", Stroke::Solid, |layer| {
            for (place, (word, color)) in words.iter().enumerate() {
                let y =
                    area.middle() + em * 1.1 * (place as f64 - (words.len() as f64 - 1.0) / 2.0);
                layer.words(word, (area.right + em * 0.6, y), Type::new(em * 0.85, *color));
            }
        })
    }

    /// What ran, as boxes; neighbours that are alike are one.
    fn runs(&self, area: Area) -> Vec<(Running, Area)> {
        let mut boxes: Vec<(Running, Area)> = Vec::new();
        for stretch in unbroken(self.shown()) {
            let mut from = 0;
            for same in stretch.chunk_by(|one, next| one.running == next.running) {
                let next = from + same.len();
                let end = stretch.get(next).or(stretch.last());
                if let (Some(running), Some(end)) = (same[0].running, end) {
                    let (left, right) = (self.x(same[0].at), self.x(end.at));
                    boxes.push((running, Area { left, right: right.max(left + 0.8), ..area }));
                }
                from = next;
            }
        }
        boxes
    }

    fn power(&self, canvas: &mut Canvas) -> Result<(), ChartFault> {
        let Some(area) = self.layout.power else { return Ok(()) };
        let em = self.sheet.em;
        let most = self.shown().iter().filter_map(|it| it.electric_w).fold(1.0, f64::max) / 1000.0;
        let scale = Linear::upward(0.0, most * 1.08, area);
        axis::time_lines(canvas, self.marks, area.top, area.bottom)?;
        axis::values(canvas, area, scale, "kW", em)?;
        let lines = self.lines(scale, |it| it.electric_w.map(|watt| watt / 1000.0), true);
        canvas.layer("power", Stroke::Solid, |layer| {
            for line in &lines {
                if let (Some(first), Some(last)) = (line.first(), line.last()) {
                    let mut around = line.clone();
                    around.extend([(last.0, area.bottom), (first.0, area.bottom)]);
                    layer.polygon(&around, POWER);
                }
            }
            for line in &lines {
                layer.line(line, POWER_EDGE, 0.9);
            }
            layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], GRID, 0.8);
        })
    }
}

/// The lowest and highest with some room around them.
fn extent(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    let (low, high) = values.fold(none, |(low, high), it| (low.min(it), high.max(it)));
    if low > high {
        return (0.0, 1.0);
    }
    let room = ((high - low) * 0.06).max(0.5);
    (low - room, high + room)
}
