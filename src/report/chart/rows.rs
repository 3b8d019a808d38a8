//! Small rows for many zones under one another: the air of a day between its setpoints and its
//! comfort band, with the times at which it is starved and out of band. All rows share their axes,
//! and each has few elements, however much happens in it.

use super::canvas::{Area, Canvas, Layer, Point, Stroke};
use super::hatch::diagonals;
use super::palette::{COOLING, HEATING, INK, PAPER, QUIET, WARNING};
use super::scale::{Linear, TimeAxis};
use super::series::{Series, Stretch};
use super::{ChartFault, WIDEST, axis, band, facts, held, night};
use crate::engine::{StepRow, Zone, ZoneIndex};
use crate::report::run::Run;

/// Of so many starved times each is hatched by itself; more are shaded alone.
const MOST_HATCHED: usize = 6;
/// Height of the axis over the rows, px.
const AXIS: f64 = 22.0;

/// Rows of the zones of a run.
#[derive(Clone, Debug)]
pub struct ZoneRows {
    /// The hours over them.
    pub axis: String,
    /// A row a zone, in the order of the file.
    pub zones: Vec<String>,
}

/// The rows of one day, each `width` by `height` px.
///
/// # Errors
/// See [`ChartFault`].
pub fn rows_svg(run: &Run, day: i64, width: u32, height: u32) -> Result<ZoneRows, ChartFault> {
    let width = f64::from(width.clamp(100, WIDEST));
    let height = f64::from(height.clamp(12, 80));
    let time = TimeAxis { first: day, days: 1, left: 0.0, right: width };
    let area = Area { left: 0.0, top: 0.0, right: width, bottom: height };
    let zones: Vec<ZoneIndex> = (0..run.model.zones.len()).map(ZoneIndex::new).collect();
    let all = Series::of_each(run);
    let scale = scale(run, &all, area);
    let rows =
        zones.iter().zip(&all).map(|(zone, series)| row(run, *zone, series, time, (area, scale)));
    Ok(ZoneRows { axis: hours(run, time)?, zones: rows.collect::<Result<_, _>>()? })
}

/// One scale for all rows, so that they can be held against each other.
fn scale(run: &Run, all: &[Series], area: Area) -> Linear {
    let values: [fn(&StepRow) -> f64; 3] = [|row| row.temperature, |row| row.heat, |row| row.cool];
    let of_rows = all.iter().flat_map(|series| values.iter().filter_map(|it| series.extent(it)));
    let of_bands = run.model.zones.iter().map(|zone| comfort(run, zone));
    let both = of_rows.chain(of_bands).reduce(|(low, high), (a, b)| (low.min(a), high.max(b)));
    let inside = Area { top: area.top + 1.0, bottom: area.bottom - 3.0, ..area };
    band::padded(both.unwrap_or((18.0, 26.0)), inside)
}

/// The comfort band of a zone in the file's unit.
fn comfort(run: &Run, zone: &Zone) -> (f64, f64) {
    let (low, high) = zone.comfort.counted();
    (run.model.unit.from_celsius(low), run.model.unit.from_celsius(high))
}

fn row(
    run: &Run,
    zone: ZoneIndex,
    series: &Series,
    time: TimeAxis,
    (area, scale): (Area, Linear),
) -> Result<String, ChartFault> {
    let mut canvas = Canvas::new(area.right, area.bottom)?;
    night::draw(&mut canvas, &run.model.weather, &run.model.period, time, area)?;
    band::fill(&mut canvas, series, time, scale)?;
    let starved = times(series, |row| row.starved);
    canvas.layer("starved", Stroke::Solid, |layer| shade(layer, &starved, time, area))?;
    let (low, high) = run.zone(zone).map_or((18.0, 26.0), |zone| comfort(run, zone));
    canvas.layer("comfort", Stroke::Dotted, |layer| {
        for value in [low, high] {
            let y = scale.at(value);
            layer.line(&[(area.left, y), (area.right, y)], QUIET, 0.9);
        }
    })?;
    for (class, color, by, value) in [
        ("cool-setpoint", COOLING, -0.5, (|row| row.cool) as fn(&StepRow) -> f64),
        ("heat-setpoint", HEATING, 0.5, |row| row.heat),
    ] {
        let line: Vec<Point> =
            series.corners(time, scale, value).into_iter().map(|(x, y)| (x, y + by)).collect();
        canvas.layer(class, Stroke::Solid, |layer| layer.line(&line, color, 1.1))?;
    }
    canvas.layer("room", Stroke::Solid, |layer| {
        layer.line(&series.line(time, scale, |row| row.temperature), INK, 1.6);
    })?;
    held::in_strip(&mut canvas, run, zone, time, area)?;
    let outside =
        times(series, |row| row.occupied && (row.operative < low || row.operative > high));
    let foot = Area { top: area.bottom - 3.0, ..area };
    canvas.layer("outside", Stroke::Solid, |layer| {
        layer.polygon(&comb(&outside, time, foot), INK);
    })?;
    Ok(canvas.finish(run.label(zone), &facts::alternative(run, zone, series, time)))
}

/// When something is so.
fn times(series: &Series, is: impl Fn(&StepRow) -> bool) -> Vec<Stretch<bool>> {
    series.stretches(is).into_iter().filter(|stretch| stretch.what).collect()
}

/// Shades times over the whole height, and hatches them where they are few.
fn shade(layer: &mut Layer, times: &[Stretch<bool>], time: TimeAxis, area: Area) {
    layer.polygon(&comb(times, time, area), PAPER);
    layer.veil(&comb(times, time, area), WARNING, 0.45);
    if times.len() <= MOST_HATCHED {
        for stretch in times {
            let (left, right) = (time.x(stretch.from), time.x(stretch.to));
            layer.line(&diagonals(Area { left, right, ..area }, 7.0), WARNING, 1.2);
        }
    }
}

/// Rectangles over some times as one polygon, which runs from one to the next along their foot.
fn comb(times: &[Stretch<bool>], time: TimeAxis, area: Area) -> Vec<Point> {
    let of = |stretch: &Stretch<bool>| {
        let (left, right) = (time.x(stretch.from), time.x(stretch.to));
        let right = right.max(left + 1.0);
        [(left, area.bottom), (left, area.top), (right, area.top), (right, area.bottom)]
    };
    times.iter().flat_map(of).collect()
}

/// The hours of the day over all rows.
fn hours(run: &Run, time: TimeAxis) -> Result<String, ChartFault> {
    let em = 12.0;
    let mut canvas = Canvas::new(time.right, AXIS)?;
    let mut marks = axis::time_marks(&run.model.period, time, em);
    marks.words.retain(|(x, _)| *x > em * 1.5 && *x < time.right - em * 1.5);
    axis::time_lines(&mut canvas, &marks, AXIS - 5.0, AXIS)?;
    axis::time_words(&mut canvas, &marks, AXIS - em * 2.1, em)?;
    Ok(canvas.finish("Hours of the day", ""))
}
