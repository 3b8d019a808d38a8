//! What is still to come in a chart that shows only the beginning of a day: where both setpoints
//! stand if nobody moves them, and how far apart they are kept.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{COOLING, HEATING, IDLE, INK, QUIET};
use super::scale::{Linear, TimeAxis};
use super::series::Series;
use super::text::{Anchor, Type};

/// Draws it behind the lines: `series` is what has been, `whole` the day to its end.
pub(super) fn draw(
    canvas: &mut Canvas,
    (series, whole): (&Series, &Series),
    time: TimeAxis,
    scale: Linear,
    area: Area,
) -> Result<(), ChartFault> {
    let Some((from, heat, cool)) = beginning(series, whole, time, scale) else { return Ok(()) };
    canvas.layer("ahead", Stroke::Solid, |layer| {
        layer.fill(Area { left: from, ..area }, IDLE);
    })?;
    canvas.layer("ahead-setpoints", Stroke::Dotted, |layer| {
        layer.line(&[(from, cool), (area.right, cool)], COOLING, 1.6);
        layer.line(&[(from, heat), (area.right, heat)], HEATING, 1.6);
    })
}

/// Words over the lines, as far as there is room. `apart` is the least distance of the setpoints, as
/// the controller shows it.
pub(super) fn words(
    canvas: &mut Canvas,
    (series, whole): (&Series, &Series),
    time: TimeAxis,
    scale: Linear,
    (area, em): (Area, f64),
    apart: &str,
) -> Result<(), ChartFault> {
    let Some((from, heat, cool)) = beginning(series, whole, time, scale) else { return Ok(()) };
    let coming = Type::new(em * 0.95, QUIET).at(Anchor::Middle);
    let kept = format!("kept {apart}\u{b0} apart or more");
    let how = Type::new(em * 0.9, INK);
    let left = from + em * 1.2;
    canvas.layer("ahead-words", Stroke::Solid, |layer| {
        if coming.width(COMING) < area.right - from - em {
            let middle = f64::midpoint(from, area.right);
            layer.words(COMING, (middle, area.bottom - em * 0.9), coming);
        }
        if heat - cool > em * 1.6 && left + how.width(&kept) < area.right {
            let y = f64::midpoint(heat, cool);
            let right = left + how.width(&kept) + em * 0.3;
            let behind =
                Area { left: left - em * 0.3, right, top: y - em * 0.7, bottom: y + em * 0.7 };
            layer.line(&[(left - em * 0.6, cool + 2.0), (left - em * 0.6, heat - 2.0)], INK, 1.0);
            layer.fill(behind, IDLE);
            layer.words(&kept, (left, y), how);
        }
    })
}

/// Where what is to come begins, and where both setpoints stand then; nothing where all has been.
fn beginning(
    series: &Series,
    whole: &Series,
    time: TimeAxis,
    scale: Linear,
) -> Option<(f64, f64, f64)> {
    let last = series.rows().last()?;
    let next = whole.rows().iter().find(|row| row.at > last.at && time.has(row.at))?;
    Some((time.x(next.at), scale.at(last.heat), scale.at(last.cool)))
}

/// What stands where nothing has been drawn yet.
const COMING: &str = "still to come";
