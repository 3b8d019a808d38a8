//! The charts of a fit: what was measured beside free runs of each day, the mean error by hour of
//! the day, and the profile of each fitted number.

use super::ChartFault;
use super::axis;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::labels::{self, EndLabel};
use super::palette::{BORDER, COOLING, GRID, HEATING, INK, PINNED, QUIET};
use super::scale::{Linear, TimeAxis, ticks};
use super::series::thinned;
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::report::figures::unit_sign;
use crate::time::{Instant, Period};
use crate::units::TemperatureUnit;

/// What is drawn of a fitted zone. Temperatures in the file's unit.
#[derive(Clone, Copy, Debug)]
pub struct FitView<'a> {
    /// Over the chart.
    pub title: &'a str,
    /// Below the title.
    pub subtitle: &'a str,
    /// The unit of temperatures.
    pub unit: TemperatureUnit,
    /// The days that are drawn.
    pub period: Period,
    /// Readings, from midnight of the first day.
    pub measured: &'a [(Instant, Option<f64>)],
    /// Free runs that begin with each day.
    pub modelled: &'a [(Instant, f64)],
    /// Measured less modelled by hour of the day, a difference.
    pub residuals: &'a [Option<f64>; 24],
}

/// Measured and modelled, and below them the mean error by the hour, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn fit_svg(view: &FitView, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let em = sheet.em;
    let narrow = sheet.is_narrow();
    let room = em * if narrow { 7.0 } else { 9.0 };
    let (left, right) = (em * 4.4, sheet.width - room);
    let time = TimeAxis::whole(&view.period, left, right);
    let top = sheet.head() + em * 1.4;
    let upper =
        Area { left, right, top, bottom: top + (sheet.width * 0.28).clamp(em * 13.0, em * 24.0) };
    let below = upper.bottom + em * 6.2;
    let lower = Area { left, right, top: below, bottom: below + em * 9.0 };
    let mut canvas = Canvas::new(sheet.width, libm::ceil(lower.bottom + em * 4.0))?;
    sheet.write_head(&mut canvas, view.title, view.subtitle)?;
    courses(&mut canvas, view, (sheet, time, upper))?;
    residuals(&mut canvas, view, (sheet, lower))?;
    Ok(canvas.finish(view.title, view.subtitle))
}

fn courses(
    canvas: &mut Canvas,
    view: &FitView,
    (sheet, time, area): (Sheet, TimeAxis, Area),
) -> Result<(), ChartFault> {
    let em = sheet.em;
    let measured = view.measured.iter().filter_map(|it| it.1);
    let all = measured.chain(view.modelled.iter().map(|it| it.1)).filter(|it| it.is_finite());
    let (low, high) = all.fold((f64::MAX, f64::MIN), |(low, high), it| (low.min(it), high.max(it)));
    let (low, high) = if low <= high { (low - 0.5, high + 0.5) } else { (0.0, 1.0) };
    let scale = Linear::upward(low, high, area);
    let marks = axis::time_marks(&view.period, time, em);
    axis::time_lines(canvas, &marks, area.top, area.bottom)?;
    axis::values(canvas, area, scale, unit_sign(view.unit), em)?;
    let place = |at: Instant, value: f64| (time.x(at), scale.at(value));
    let mut ends = Vec::new();
    // The measured line in stretches that readings have.
    let mut stretches: Vec<Vec<Point>> = vec![Vec::new()];
    for (at, value) in view.measured {
        match (value, stretches.last_mut()) {
            (Some(value), Some(last)) => last.push(place(*at, *value)),
            (None, Some(last)) if !last.is_empty() => stretches.push(Vec::new()),
            _ => {}
        }
    }
    canvas.layer("measured", Stroke::Solid, |layer| {
        for stretch in &stretches {
            layer.line(&thinned(stretch.iter().copied(), time), INK, 1.8);
        }
    })?;
    let last = stretches.iter().rev().find_map(|it| it.last());
    ends.extend(last.map(|(_, y)| EndLabel { text: "measured".into(), y: *y, color: INK }));
    let days = view.modelled.chunk_by(|one, next| one.0.day() == next.0.day());
    canvas.layer("modelled", Stroke::Dashed, |layer| {
        for day in days {
            let points = day.iter().map(|(at, value)| place(*at, *value));
            layer.line(&thinned(points, time), HEATING, 1.8);
        }
    })?;
    if let Some((at, value)) = view.modelled.last() {
        let (_, y) = place(*at, *value);
        ends.push(EndLabel { text: "free run".into(), y, color: HEATING });
    }
    labels::draw(canvas, &ends, area, area.right + em * 1.4, em)?;
    axis::time_words(canvas, &marks, area.bottom, em)
}

fn residuals(
    canvas: &mut Canvas,
    view: &FitView,
    (sheet, area): (Sheet, Area),
) -> Result<(), ChartFault> {
    let em = sheet.em;
    let most = view.residuals.iter().flatten().fold(0.1_f64, |most, it| most.max(it.abs())) * 1.15;
    let scale = Linear::upward(-most, most, area);
    canvas.layer("residuals-head", Stroke::Solid, |layer| {
        let how = Type::new(em * 1.1, INK).bold();
        let words =
            how.cut("Measured less free run, mean by hour of the day", sheet.width - em * 2.0);
        layer.words(&words, (area.left, area.top - em * 1.2), how);
    })?;
    axis::values(canvas, area, scale, unit_sign(view.unit), em)?;
    let wide = (area.right - area.left) / 24.0;
    canvas.layer("residuals", Stroke::Solid, |layer| {
        for (hour, value) in view.residuals.iter().enumerate() {
            let Some(value) = value else { continue };
            let from = area.left + wide * (hour as f64 + 0.15);
            let (zero, end) = (scale.at(0.0), scale.at(*value));
            let bar = Area {
                left: from,
                right: from + wide * 0.7,
                top: zero.min(end),
                bottom: zero.max(end).max(zero.min(end) + 1.0),
            };
            layer.fill(bar, COOLING);
        }
        layer.line(&[(area.left, scale.at(0.0)), (area.right, scale.at(0.0))], BORDER, 1.2);
        let how = Type::new(em, QUIET).at(Anchor::Middle);
        let every = if sheet.is_narrow() { 6 } else { 3 };
        for hour in (0..=24).step_by(every) {
            let x = area.left + wide * f64::from(hour);
            layer.words(&format!("{hour:02}:00"), (x, area.bottom + em * 1.2), how);
        }
    })
}

/// One number's profile.
#[derive(Clone, Debug)]
pub struct ProfileView {
    /// What it is, with its unit.
    pub name: String,
    /// Values with how much worse each explains the log: half the deviance.
    pub points: Vec<(f64, f64)>,
    /// The ends of the interval of 95 %.
    pub interval: (f64, f64),
    /// The best value.
    pub value: f64,
}

/// Worse than this a profile is not drawn.
const DEEPEST: f64 = 5.0;
/// Where the interval of 95 % ends: half of 3.841.
const LIMIT: f64 = 1.92;

/// The profiles of a zone, side by side, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn profiles_svg(
    (title, subtitle): (&str, &str),
    profiles: &[ProfileView],
    width: u32,
) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let em = sheet.em;
    let columns: usize = if sheet.is_narrow() { 1 } else { 3 };
    let wide = (sheet.width - em * 1.6) / columns as f64;
    let tall = em * 13.0;
    let rows = profiles.len().div_ceil(columns);
    let mut canvas = Canvas::new(sheet.width, sheet.head() + em + tall * rows as f64 + em)?;
    sheet.write_head(&mut canvas, title, subtitle)?;
    for (place, profile) in profiles.iter().enumerate() {
        let (row, column) = (place / columns, place % columns);
        let (left, top) = (em * 0.8 + wide * column as f64, sheet.head() + em + tall * row as f64);
        let area = Area {
            left: left + em * 1.6,
            right: left + wide - em * 1.6,
            top: top + em * 2.0,
            bottom: top + tall - em * 3.0,
        };
        one(&mut canvas, profile, (em, top), area)?;
    }
    Ok(canvas.finish(title, subtitle))
}

fn one(
    canvas: &mut Canvas,
    profile: &ProfileView,
    (em, top): (f64, f64),
    area: Area,
) -> Result<(), ChartFault> {
    let scale = Linear::upward(-DEEPEST, 0.3, area);
    let shown = || profile.points.iter().filter(|it| it.1 <= DEEPEST);
    let ends = shown().map(|it| it.0).chain([profile.interval.0, profile.interval.1]);
    let (low, high) =
        ends.fold((f64::MAX, f64::MIN), |(low, high), it| (low.min(it), high.max(it)));
    let span = if high > low { high - low } else { 1.0 };
    let x = |value: f64| area.left + (value - low) / span * (area.right - area.left);
    canvas.layer("profile-grid", Stroke::Solid, |layer| {
        let how = Type::new(em * 1.05, INK).bold();
        layer.words(
            &how.cut(&profile.name, area.right - area.left + em * 2.0),
            (area.left, top + em),
            how,
        );
        layer.outline(area, GRID, 1.0);
        let quiet = Type::new(em * 0.95, QUIET).at(Anchor::Middle);
        for value in ticks_of(low, high) {
            layer.line(&[(x(value), area.top), (x(value), area.bottom)], GRID, 0.8);
            layer.words(&format!("{value}"), (x(value), area.bottom + em * 1.1), quiet);
        }
    })?;
    canvas.layer("limit", Stroke::Dashed, |layer| {
        let y = scale.at(-LIMIT);
        layer.line(&[(area.left, y), (area.right, y)], QUIET, 1.0);
        let (from, to) = (x(profile.interval.0), x(profile.interval.1));
        for end in [from, to] {
            layer.line(&[(end, y), (end, area.bottom)], PINNED, 1.4);
        }
    })?;
    let known: Vec<(f64, f64)> = shown().copied().collect();
    let bent: Vec<Point> = known
        .windows(2)
        .flat_map(|pair| (0..=BENDS).map(move |part| between(pair[0], pair[1], part)))
        .map(|(at, worse)| (x(at), scale.at(-worse)))
        .collect();
    canvas.layer("profile", Stroke::Solid, |layer| {
        let points: Vec<Point> = shown().map(|(at, worse)| (x(*at), scale.at(-worse))).collect();
        layer.line(&bent, INK, 1.8);
        for point in &points {
            layer.disc(*point, em * 0.22, INK);
        }
        layer.disc((x(profile.value), scale.at(0.0)), em * 0.34, PINNED);
    })
}

/// Pieces between two points of a profile.
const BENDS: u32 = 10;

/// A point between two of a profile: near its best a profile is a parabola, so its root is straight.
fn between(one: (f64, f64), other: (f64, f64), part: u32) -> (f64, f64) {
    let part = f64::from(part) / f64::from(BENDS);
    let root = one.1.max(0.0).sqrt() * (1.0 - part) + other.1.max(0.0).sqrt() * part;
    (one.0 + part * (other.0 - one.0), root * root)
}

/// Round values over a span of any size.
fn ticks_of(low: f64, high: f64) -> Vec<f64> {
    let size = (high - low).max(1e-12);
    let power = libm::pow(10.0, libm::floor(libm::log10(size)) - 1.0);
    let scaled = ticks(low / power, high / power, 4);
    let digits = |value: f64| libm::round(value * power * 1e9) / 1e9;
    scaled.into_iter().map(digits).collect()
}
