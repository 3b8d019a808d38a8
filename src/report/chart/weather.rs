//! The chart of a weather file: each day's lowest, mean and highest temperature through the year,
//! below it the degree-days of each month, and what sun and sky send onto each face of a building.

use jiff::civil::Date;
use plotters::style::RGBColor;

use super::ChartFault;
use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Point, Stroke};
use super::hatch::diagonals;
use super::labels::{self, EndLabel};
use super::palette::{COOLING, GRID, HEATING, INK, PAPER, PINNED, POWER_EDGE, QUIET, RANGE};
use super::scale::{Linear, TimeAxis};
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::report::figures::{day_and_month, month, one_digit, unit_sign};
use crate::report::weather::{Climate, LIGHT_TITLE, OUTSTANDING};
use crate::time::{DAY, Instant, Period, Seconds};
use crate::weather::{DayFigures, Face, MonthOfLight};

/// The chart of a weather file, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn weather_svg(climate: &Climate, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let layout = Layout::new(sheet, climate)?;
    let mut canvas = Canvas::new(sheet.width, layout.height)?;
    let (title, em) = (climate.place(), sheet.em);
    sheet.write_head(&mut canvas, &title, &subtitle(climate, &layout))?;
    axis::time_lines(&mut canvas, &layout.marks, layout.top.top, layout.top.bottom)?;
    axis::values(&mut canvas, layout.top, layout.scale, unit_sign(climate.unit), em)?;
    temperatures(&mut canvas, climate, &layout)?;
    outstanding(&mut canvas, climate, &layout)?;
    axis::time_words(&mut canvas, &layout.marks, layout.top.bottom, em)?;
    degree_days(&mut canvas, climate, &layout)?;
    if let Some(months) = climate.light {
        light(&mut canvas, months, &layout)?;
    }
    Ok(canvas.finish(&title, &climate.answer()))
}

struct Layout<'a> {
    sheet: Sheet,
    /// The days that are drawn: at most a leap year's.
    days: &'a [DayFigures],
    time: TimeAxis,
    marks: TimeMarks,
    /// The temperatures.
    top: Area,
    /// The degree-days.
    bottom: Area,
    /// The radiation, where there is any.
    light: Area,
    scale: Linear,
    height: f64,
}

impl<'a> Layout<'a> {
    fn new(sheet: Sheet, climate: &Climate<'a>) -> Result<Self, ChartFault> {
        let em = sheet.em;
        let all = climate.statistics.days();
        let most = usize::try_from(Period::MOST_DAYS).unwrap_or(all.len());
        let days = &all[..all.len().min(most)];
        let nothing = || ChartFault::Drawing("there are no days to draw".into());
        let first = days.first().ok_or_else(nothing)?.date;
        let count = i64::try_from(days.len()).unwrap_or(1);
        let period = Period::new(first, count, Seconds::hours(1)).map_err(|_| nothing())?;
        let (left, right) = (em * 5.0, sheet.width - em * 9.0);
        let top =
            Area { left, right, top: sheet.head() + em * 1.6, bottom: sheet.head() + em * 25.0 };
        let bottom =
            Area { left, right, top: top.bottom + em * 6.0, bottom: top.bottom + em * 15.0 };
        let time = TimeAxis { first: 0, days: count, left, right };
        let marks = axis::time_marks(&period, time, em);
        let low = days.iter().map(|day| day.low).fold(f64::INFINITY, f64::min);
        let high = days.iter().map(|day| day.high).fold(f64::NEG_INFINITY, f64::max);
        let room = (high - low).max(1.0) * 0.04;
        let scale = Linear::upward(climate.shown(low - room), climate.shown(high + room), top);
        let light =
            Area { left, right, top: bottom.bottom + em * 6.0, bottom: bottom.bottom + em * 18.0 };
        let last = if climate.light.is_some() { light } else { bottom };
        let height = last.bottom + em * 3.0;
        Ok(Self { sheet, days, time, marks, top, bottom, light, scale, height })
    }

    /// Where the middle of a day stands, px.
    fn x(&self, place: usize) -> f64 {
        let day = i64::try_from(place).unwrap_or(0);
        self.time.x(Instant::new(day * DAY + DAY / 2))
    }

    fn line(&self, climate: &Climate, of: fn(&DayFigures) -> f64) -> Vec<Point> {
        let point = |(place, day): (usize, &DayFigures)| {
            (self.x(place), self.scale.at(climate.shown(of(day))))
        };
        self.days.iter().enumerate().map(point).collect()
    }
}

fn subtitle(climate: &Climate, layout: &Layout) -> String {
    let (heating, cooling) = climate.both_degree_days();
    let base = one_digit(climate.shown(climate.statistics.base));
    let sign = unit_sign(climate.unit);
    let cut = climate.statistics.days().len() - layout.days.len();
    let cut = if cut > 0 { format!("; the last {cut} days are not drawn") } else { String::new() };
    format!(
        "Each day's lowest, mean and highest temperature; {heating:.0} heating and {cooling:.0} \
         cooling degree-days on {base} {sign}{cut}"
    )
}

fn temperatures(canvas: &mut Canvas, climate: &Climate, layout: &Layout) -> Result<(), ChartFault> {
    let (em, top) = (layout.sheet.em, layout.top);
    let lows = layout.line(climate, |day| day.low);
    let means = layout.line(climate, |day| day.mean);
    let highs = layout.line(climate, |day| day.high);
    let around: Vec<Point> = highs.iter().chain(lows.iter().rev()).copied().collect();
    canvas.layer("range", Stroke::Solid, |layer| layer.polygon(&around, RANGE))?;
    canvas.layer("edges", Stroke::Solid, |layer| {
        layer.line(&lows, POWER_EDGE, 0.7);
        layer.line(&highs, POWER_EDGE, 0.7);
    })?;
    let base = layout.scale.at(climate.shown(climate.statistics.base));
    canvas.layer("base", Stroke::Dashed, |layer| {
        if (top.top..=top.bottom).contains(&base) {
            layer.line(&[(top.left, base), (top.right, base)], QUIET, 1.0);
        }
    })?;
    canvas.layer("mean", Stroke::Solid, |layer| layer.line(&means, INK, 1.6))?;
    let end = |line: &[Point]| line.last().map_or(top.bottom, |point| point.1);
    let label = |text: &str, y: f64, color| EndLabel { text: text.into(), y, color };
    let mut ends = vec![
        label("highest", end(&highs), POWER_EDGE),
        label("daily mean", end(&means), INK),
        label("lowest", end(&lows), POWER_EDGE),
    ];
    if (top.top..=top.bottom).contains(&base) {
        ends.push(label(
            &format!("base {}°", one_digit(climate.shown(climate.statistics.base))),
            base,
            QUIET,
        ));
    }
    labels::draw(canvas, &ends, top, top.right + em * 1.2, em)
}

/// Marks and names the days that stand out.
fn outstanding(canvas: &mut Canvas, climate: &Climate, layout: &Layout) -> Result<(), ChartFault> {
    let (em, top) = (layout.sheet.em, layout.top);
    let how = Type::new(em * 0.92, INK).at(Anchor::Middle);
    canvas.layer("days", Stroke::Solid, |layer| {
        for (which, name) in OUTSTANDING {
            let day = climate.statistics.outstanding(which);
            let Some(place) = layout.days.iter().position(|it| it == day) else { continue };
            let (x, y) = (layout.x(place), layout.scale.at(climate.shown(day.mean)));
            layer.line(&[(x, top.top), (x, y)], PINNED, 1.0);
            layer.disc((x, y), 4.5, PAPER);
            layer.disc((x, y), 3.5, PINNED);
            let words = format!("{name} {}", day_and_month(day.date));
            let half = how.width(&words) / 2.0;
            let middle = x.clamp(top.left + half, (top.right - half).max(top.left + half));
            layer.words(&words, (middle, top.top - em * 0.8), how);
        }
    })
}

/// Degree-days of one calendar month.
struct Month {
    name: &'static str,
    from: f64,
    to: f64,
    heating: f64,
    cooling: f64,
}

fn months(climate: &Climate, layout: &Layout) -> Vec<Month> {
    let mut months: Vec<Month> = Vec::new();
    let base = climate.statistics.base;
    let kelvin = |difference: f64| climate.unit.difference_from_kelvin(difference.max(0.0));
    for (place, day) in layout.days.iter().enumerate() {
        let at =
            |place: usize| layout.time.x(Instant::new(i64::try_from(place).unwrap_or(0) * DAY));
        if place == 0 || day.date.day() == 1 {
            let name = month(day.date);
            months.push(Month { name, from: at(place), to: at(place), heating: 0.0, cooling: 0.0 });
        }
        if let Some(month) = months.last_mut() {
            month.to = at(place + 1);
            month.heating += kelvin(base - day.mean);
            month.cooling += kelvin(day.mean - base);
        }
    }
    months
}

/// A pair of bars a month: heating solid, cooling hatched, the numbers over them.
fn degree_days(canvas: &mut Canvas, climate: &Climate, layout: &Layout) -> Result<(), ChartFault> {
    let (em, area) = (layout.sheet.em, layout.bottom);
    let months = months(climate, layout);
    let most = months.iter().map(|it| it.heating.max(it.cooling)).fold(1.0, f64::max);
    let scale = Linear::upward(0.0, most, area);
    canvas.layer("degree-days", Stroke::Solid, |layer| {
        layer.words(
            "Degree-days of each month: heating solid, cooling hatched",
            (area.left, area.top - em * 2.2),
            Type::new(em, QUIET),
        );
        layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], GRID, 1.0);
        for month in &months {
            let middle = f64::midpoint(month.from, month.to);
            let wide = ((month.to - month.from) * 0.36).min(em * 3.0);
            let bar = |left: f64, value: f64| Area {
                left,
                right: left + wide,
                top: scale.at(value),
                bottom: area.bottom,
            };
            let heating = bar(middle - wide - 1.0, month.heating);
            let cooling = bar(middle + 1.0, month.cooling);
            if month.heating > 0.0 {
                layer.fill(heating, HEATING);
            }
            if month.cooling > 0.0 {
                layer.line(&diagonals(cooling, em * 0.4), COOLING, 1.4);
                layer.outline(cooling, COOLING, 1.0);
            }
            let how = Type::new(em * 0.8, INK).at(Anchor::Middle);
            for (bar, value) in [(heating, month.heating), (cooling, month.cooling)] {
                let words = format!("{value:.0}");
                if value >= 0.5 && how.width(&words) < wide * 1.15 {
                    layer.words(
                        &words,
                        (f64::midpoint(bar.left, bar.right), bar.top - em * 0.7),
                        how,
                    );
                }
            }
            let how = Type::new(em, QUIET).at(Anchor::Middle);
            let short = &month.name[..3];
            if how.width(short) < month.to - month.from {
                layer.words(short, (middle, area.bottom + em * 1.1), how);
            }
        }
    })
}

/// A line a face through the months, each named at its end.
fn light(canvas: &mut Canvas, months: &[MonthOfLight], layout: &Layout) -> Result<(), ChartFault> {
    let (em, area) = (layout.sheet.em, layout.light);
    let Some(first) = layout.days.first() else { return Ok(()) };
    let last = layout.days.len();
    let place = |date: Date| usize::try_from((date - first.date).get_days()).unwrap_or(0);
    let drawn: Vec<&MonthOfLight> =
        months.iter().filter(|month| place(month.first) < last).collect();
    let most = drawn.iter().flat_map(|month| month.faces).fold(1.0, f64::max);
    let scale = Linear::upward(0.0, most, area);
    let middle = |month: &MonthOfLight| {
        let from = place(month.first);
        let to = place(month.first.last_of_month()).min(last - 1);
        f64::midpoint(layout.x(from), layout.x(to))
    };
    canvas.layer("radiation-words", Stroke::Solid, |layer| {
        let how = Type::new(em, QUIET);
        layer.words(LIGHT_TITLE, (area.left, area.top - em * 2.2), how);
        layer.line(&[(area.left, area.bottom), (area.right, area.bottom)], GRID, 1.0);
        for month in &drawn {
            let how = Type::new(em, QUIET).at(Anchor::Middle);
            let short = &crate::report::figures::month(month.first)[..3];
            layer.words(short, (middle(month), area.bottom + em * 1.1), how);
        }
    })?;
    axis::values(canvas, area, scale, "", em)?;
    let mut ends = Vec::new();
    for (face, stroke, color, wide) in FACES {
        let point = |month: &&MonthOfLight| (middle(month), scale.at(month.faces[face as usize]));
        let line: Vec<Point> = drawn.iter().map(point).collect();
        canvas.layer(&format!("radiation-{}", face.name()), stroke, |layer| {
            layer.line(&line, color, wide);
            for point in &line {
                layer.disc(*point, wide + 0.8, color);
            }
        })?;
        let y = line.last().map_or(area.bottom, |point| point.1);
        ends.push(EndLabel { text: face.name().into(), y, color });
    }
    labels::draw(canvas, &ends, area, area.right + em * 1.2, em)
}

/// How each face is drawn.
const FACES: [(Face, Stroke, RGBColor, f64); 5] = [
    (Face::Flat, Stroke::Solid, INK, 1.8),
    (Face::South, Stroke::Solid, HEATING, 1.8),
    (Face::East, Stroke::Dashed, POWER_EDGE, 1.4),
    (Face::West, Stroke::Solid, POWER_EDGE, 1.0),
    (Face::North, Stroke::Dashed, COOLING, 1.4),
];
