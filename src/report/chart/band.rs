//! The temperature panel: the band between the setpoints, and the temperatures in and around it.

use super::ChartFault;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::labels::EndLabel;
use super::palette::{BAND, COOLING, HEATING, INK, OUTDOOR, PINNED, QUIET};
use super::scale::{Linear, TimeAxis};
use super::series::Series;
use crate::control::{Differential, Sensor};
use crate::engine::StepRow;
use crate::report::figures::{one_digit, setpoint};

/// The outdoor line gets its own scale where it would stretch the shared one by more than this.
const STRETCH: f64 = 1.5;
/// The sensed line is drawn where it lies further than this from the air's, px, beside what the
/// sensor's resolution explains.
const APART: f64 = 1.5;
/// A scale is never shorter than this, so that a steady room reads as steady, degrees.
const SHORTEST: f64 = 4.0;

/// The scales of the panel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scales {
    /// Of everything indoors.
    pub room: Linear,
    /// Of the outdoor air.
    pub outdoor: Linear,
    /// Whether the outdoor air has a scale of its own.
    pub own: bool,
    /// By how much rounding alone may move a reading.
    noise: f64,
}

impl Scales {
    /// Whether a reading can be told from the temperature of the air.
    fn tells_apart(self, row: &StepRow) -> bool {
        let height = |value| self.room.at(value);
        let px = (height(row.sensed) - height(row.temperature)).abs();
        px > APART + (height(self.noise) - height(0.0)).abs()
    }
}

/// Chooses the scales for an area. `marks` are setpoints that requests point at; the weather may be
/// known for longer than the zone.
pub(super) fn scales(
    (series, weather): (&Series, &Series),
    sensor: &Sensor,
    marks: &[f64],
    area: Area,
) -> Scales {
    let values: [fn(&StepRow) -> f64; 4] =
        [|row| row.temperature, |row| row.sensed, |row| row.heat, |row| row.cool];
    let ends = values.iter().filter_map(|value| series.extent(value));
    let all: Vec<f64> = ends.flat_map(|(low, high)| [low, high]).chain(marks.to_vec()).collect();
    let indoors = extent(&all).unwrap_or((18.0, 26.0));
    let outdoors = weather.extent(|row| row.outdoor).unwrap_or(indoors);
    let both = (indoors.0.min(outdoors.0), indoors.1.max(outdoors.1));
    let own = both.1 - both.0 > STRETCH * (indoors.1 - indoors.0).max(SHORTEST);
    let (room, outdoor) = if own { (indoors, outdoors) } else { (both, both) };
    Scales {
        room: padded(room, area),
        outdoor: padded(outdoor, area),
        own,
        noise: sensor.resolution / 2.0,
    }
}

fn extent(values: &[f64]) -> Option<(f64, f64)> {
    let low = values.iter().copied().min_by(f64::total_cmp)?;
    let high = values.iter().copied().max_by(f64::total_cmp)?;
    Some((low, high))
}

/// A scale with a little room above and below, never shorter than four degrees.
pub(super) fn padded((low, high): (f64, f64), area: Area) -> Linear {
    let missing = (SHORTEST - (high - low)).max(0.0) / 2.0;
    let pad = (high - low) * 0.08 + missing;
    Linear::upward(low - pad, high + pad, area)
}

/// Draws the panel's lines, from the outdoor air behind to the room's air in front.
pub(super) fn draw(
    canvas: &mut Canvas,
    (series, weather): (&Series, &Series),
    time: TimeAxis,
    scales: Scales,
) -> Result<(), ChartFault> {
    fill(canvas, series, time, scales.room)?;
    canvas.layer("outdoor", Stroke::Dashed, |layer| {
        layer.line(&weather.line(time, scales.outdoor, |row| row.outdoor), OUTDOOR, 1.2);
    })?;
    edges(canvas, series, time, scales.room)?;
    canvas.layer("sensed", Stroke::Dotted, |layer| {
        for part in apart_parts(series, time, scales) {
            layer.line(&part, QUIET, 1.4);
        }
    })?;
    air(canvas, series, time, scales.room)
}

/// The space between the setpoints.
pub(super) fn fill(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<(), ChartFault> {
    let heat = series.corners(time, scale, |row| row.heat);
    let cool = series.corners(time, scale, |row| row.cool);
    canvas.layer("band", Stroke::Solid, |layer| {
        let around: Vec<Point> = heat.iter().chain(cool.iter().rev()).copied().collect();
        layer.polygon(&around, BAND);
    })
}

/// Both setpoints.
pub(super) fn edges(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<(), ChartFault> {
    let heat = series.corners(time, scale, |row| row.heat);
    let cool = series.corners(time, scale, |row| row.cool);
    // Half a line up and half a line down keeps both to be seen where they coincide.
    canvas.layer("cool-setpoint", Stroke::Solid, |layer| {
        layer.line(&moved(&cool, -0.8), COOLING, 1.8);
    })?;
    canvas.layer("heat-setpoint", Stroke::Solid, |layer| {
        layer.line(&moved(&heat, 0.8), HEATING, 1.8);
    })
}

/// The air of the zone.
pub(super) fn air(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<(), ChartFault> {
    canvas.layer("room", Stroke::Solid, |layer| {
        layer.line(&series.line(time, scale, |row| row.temperature), INK, 2.2);
    })
}

/// Where calls begin, so many degrees past the setpoints.
pub(super) fn thresholds(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
    by: Differential,
) -> Result<(), ChartFault> {
    let heat = series.corners(time, scale, |row| row.heat);
    let cool = series.corners(time, scale, |row| row.cool);
    let px = |by: f64| scale.at(0.0) - scale.at(by);
    let sides = [(heat, px(by.heating), HEATING), (cool, -px(by.cooling), COOLING)];
    for (points, by, color) in sides {
        canvas.layer("threshold", Stroke::Dotted, |layer| {
            layer.line(&moved(&points, by), color, 1.2);
        })?;
    }
    Ok(())
}

/// The setpoints and the air of another run, to compare with; what the line is called.
pub(super) fn pinned(
    canvas: &mut Canvas,
    series: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Result<Option<EndLabel>, ChartFault> {
    let heat = series.corners(time, scale, |row| row.heat);
    let cool = series.corners(time, scale, |row| row.cool);
    canvas.layer("pinned-setpoints", Stroke::LongDashed, |layer| {
        layer.line(&heat, PINNED, 1.1);
        layer.line(&cool, PINNED, 1.1);
    })?;
    canvas.layer("pinned-air", Stroke::DashDotted, |layer| {
        layer.line(&series.line(time, scale, |row| row.temperature), PINNED, 1.8);
    })?;
    Ok(series.rows().last().map(|last| EndLabel {
        text: format!("pinned air {}°", one_digit(last.temperature)),
        y: scale.at(last.temperature),
        color: PINNED,
    }))
}

fn moved(points: &[Point], by: f64) -> Vec<Point> {
    points.iter().map(|(x, y)| (*x, y + by)).collect()
}

/// The stretches of the sensed line that can be told from the air's.
fn apart_parts(series: &Series, time: TimeAxis, scales: Scales) -> Vec<Vec<Point>> {
    let line = series.line(time, scales.room, |row| row.sensed);
    let stretches = series.stretches(|row| scales.tells_apart(row));
    stretches
        .iter()
        .filter(|stretch| stretch.what)
        .map(|stretch| {
            let (from, to) = (time.x(stretch.from), time.x(stretch.to));
            line.iter().copied().filter(|(x, _)| from <= *x && *x <= to).collect()
        })
        .collect()
}

/// What the lines are called, with the values they end at.
pub(super) fn end_labels((series, weather): (&Series, &Series), scales: Scales) -> Vec<EndLabel> {
    let (Some(last), Some(sky)) = (series.rows().last(), weather.rows().last()) else {
        return Vec::new();
    };
    let mut labels = vec![
        EndLabel {
            text: format!("cool setpoint {}°", setpoint(last.cool)),
            y: scales.room.at(last.cool),
            color: COOLING,
        },
        EndLabel {
            text: format!("room air {}°", one_digit(last.temperature)),
            y: scales.room.at(last.temperature),
            color: INK,
        },
        EndLabel {
            text: format!("heat setpoint {}°", setpoint(last.heat)),
            y: scales.room.at(last.heat),
            color: HEATING,
        },
        EndLabel {
            text: format!("outdoor {}°", one_digit(sky.outdoor)),
            y: scales.outdoor.at(sky.outdoor),
            color: QUIET,
        },
    ];
    if scales.tells_apart(last) {
        let text = format!("sensor reads {}°", one_digit(last.sensed));
        labels.push(EndLabel { text, y: scales.room.at(last.sensed), color: QUIET });
    }
    labels
}
