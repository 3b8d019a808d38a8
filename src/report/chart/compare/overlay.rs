//! All contenders on one set of axes: a panel for each zone, in it every contender's air with its
//! setpoints and the band between them.

use super::strand::{Name, Strand, write_names};
use super::{
    base_zone, can_be_told, series, setpoints_apart, shared_extent, shared_scale, subtitle, title,
    zones_to_show,
};
use crate::report::chart::axis::{self, TimeMarks};
use crate::report::chart::canvas::{Area, Canvas, Point, Stroke};
use crate::report::chart::long;
use crate::report::chart::palette::INK;
use crate::report::chart::scale::{Linear, TimeAxis};
use crate::report::chart::series::Series;
use crate::report::chart::sheet::Sheet;
use crate::report::chart::text::Type;
use crate::report::chart::{ChartFault, Plot};
use crate::report::compare::answer;
use crate::report::figures::{one_digit, unit_sign};
use crate::study::{Comparison, Contender};

/// The most panels that a sheet has room for.
const MOST_PANELS: usize = 6;
/// How much of a band's colour shows where two lie over one another.
const VEIL: f64 = 0.10;
/// With more contenders than this only the base's band is shaded: more hide one another.
const MOST_VEILS: usize = 2;
/// Setpoints closer to the base's than this are not drawn again, degrees.
const SAME_SETPOINT: f64 = 0.01;

/// The chart of all contenders on one set of axes, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn overlay_svg(comparison: &Comparison, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let zones = zones_to_show(comparison, MOST_PANELS);
    let layout = Layout::new(sheet, comparison, zones.len());
    let marks = axis::time_marks(&comparison.base.model.period, layout.time, sheet.em);
    let mut canvas = Canvas::new(sheet.width, layout.height(zones.len()))?;
    let long = layout.time.is_long();
    let (air, setpoints) = match (long, is_crowded(comparison)) {
        (true, _) => ("the air's mean of each day", "the setpoints at their tightest"),
        (false, true) => ("the air's mean of each hour", "setpoints"),
        (false, false) => ("the air", "its setpoints"),
    };
    let alone = veils_the_base_alone(comparison);
    let shaded = if alone { "; shaded: the base's band" } else { ", the band between them shaded" };
    let what = format!("Thick: {air}. Thin: {setpoints}{shaded}.");
    sheet.write_head(&mut canvas, &title(comparison), &subtitle(comparison, zones.len(), &what))?;
    let extent = shared_extent(comparison, &zones);
    for (place, (id, label)) in zones.iter().enumerate() {
        let area = layout.area(place);
        if layout.heads {
            let how = Type::new(sheet.em * 1.1, INK).bold();
            canvas.layer("zone-name", Stroke::Solid, |layer| {
                let words = how.cut(label, area.width());
                layer.words(&words, (area.left, area.top - sheet.em * 0.9), how);
            })?;
        }
        panel(&mut canvas, comparison, id, layout, area, shared_scale(extent, area), &marks)?;
    }
    let end = layout.area(zones.len().saturating_sub(1)).bottom;
    axis::time_words(&mut canvas, &marks, end, sheet.em)?;
    let description = answer(comparison, Contender::spoken).join(" ");
    Ok(canvas.finish(&title(comparison), &description))
}

/// Where [`overlay_svg`] draws each zone; zones are the base's.
pub(in crate::report) fn overlay_plots(comparison: &Comparison, width: u32) -> Vec<Plot> {
    let zones = zones_to_show(comparison, MOST_PANELS);
    let layout = Layout::new(Sheet::new(width), comparison, zones.len());
    let place = |(place, (id, _)): (usize, &(String, String))| {
        let zone = base_zone(comparison, id)?;
        Some(Plot { model: None, ..Plot::of_area(zone, layout.area(place)) })
    };
    zones.iter().enumerate().filter_map(place).collect()
}

#[derive(Clone, Copy, Debug)]
struct Layout {
    sheet: Sheet,
    time: TimeAxis,
    tall: f64,
    heads: bool,
}

impl Layout {
    fn new(sheet: Sheet, comparison: &Comparison, panels: usize) -> Self {
        let em = sheet.em;
        let how = Type::new(em, INK);
        let names = comparison.all().map(|contender| how.width(&contender.spoken()));
        let right = names.fold(0.0, f64::max).clamp(em * 3.0, em * 11.0) + em * 9.6;
        let time = TimeAxis::whole(&comparison.base.model.period, em * 4.4, sheet.width - right);
        let many = comparison.variants.len() >= MOST_VEILS;
        let share = match (panels, many) {
            (1, false) => 0.36,
            (1, true) => 0.45,
            (_, false) => 0.2,
            (_, true) => 0.28,
        };
        let names = (comparison.variants.len() + 1) as f64 * em * 1.4;
        let tall = (sheet.width * share).clamp(em * 14.0, em * 34.0).max(names);
        // Whole px: panels of the same height must not differ in the last bit, nor in their ticks.
        let tall = libm::ceil(tall);
        Self { sheet, time, tall, heads: panels > 1 }
    }

    fn area(self, place: usize) -> Area {
        let em = self.sheet.em;
        let head = if self.heads { em * 2.2 } else { 0.0 };
        let pitch = libm::ceil(head + self.tall + em * 1.2);
        let top = libm::ceil(self.sheet.head() + head) + place as f64 * pitch;
        Area { left: self.time.left, right: self.time.right, top, bottom: top + self.tall }
    }

    fn height(self, panels: usize) -> f64 {
        libm::ceil(self.area(panels.saturating_sub(1)).bottom + self.sheet.em * 3.6)
    }
}

/// Whether so many bands would lie over one another that none could be told.
fn veils_the_base_alone(comparison: &Comparison) -> bool {
    comparison.all().count() > MOST_VEILS
}

/// Whether so many are compared that the swings of their air hide one another.
fn is_crowded(comparison: &Comparison) -> bool {
    comparison.variants.len() > MOST_VEILS
}

/// The lines of one contender in one zone.
struct Lines {
    air: Vec<Point>,
    heat: Vec<Point>,
    cool: Vec<Point>,
}

impl Lines {
    fn of(series: &Series, time: TimeAxis, scale: Linear, crowded: bool) -> Self {
        if time.is_long() {
            let (heat, cool) = long::tight(series, time, scale);
            let air = long::mean_line(series, time, scale, |row| row.temperature);
            return Self { air, heat, cool };
        }
        let air = if crowded {
            hourly(series, time, scale)
        } else {
            series.line(time, scale, |row| row.temperature)
        };
        Self {
            air,
            heat: series.corners(time, scale, |row| row.heat),
            cool: series.corners(time, scale, |row| row.cool),
        }
    }
}

/// The mean air of each hour, as a line.
fn hourly(series: &Series, time: TimeAxis, scale: Linear) -> Vec<Point> {
    let hours = usize::try_from(time.days * 24).unwrap_or(24);
    let columns = series.in_columns(time, hours).filter(|(.., rows)| !rows.is_empty());
    columns
        .map(|(left, right, rows)| {
            let sum: f64 = rows.iter().map(|row| row.temperature).sum();
            (f64::midpoint(left, right), scale.at(sum / rows.len() as f64))
        })
        .collect()
}

fn panel(
    canvas: &mut Canvas,
    comparison: &Comparison,
    id: &str,
    layout: Layout,
    area: Area,
    scale: Linear,
    marks: &TimeMarks,
) -> Result<(), ChartFault> {
    let (em, time) = (layout.sheet.em, layout.time);
    axis::time_lines(canvas, marks, area.top, area.bottom)?;
    axis::values(canvas, area, scale, unit_sign(comparison.base.model.unit), em)?;
    let base = series(&comparison.base, id);
    let crowded = is_crowded(comparison);
    let mut drawn = Vec::new();
    let mut names = Vec::new();
    for (place, contender) in comparison.all().enumerate() {
        let Some(series) = series(contender, id) else { continue };
        let (strand, lines) = (Strand::of(place), Lines::of(&series, time, scale, crowded));
        let last = series.rows().last().map_or(f64::NAN, |row| row.temperature);
        let y = lines.air.last().map_or(area.middle(), |point| point.1);
        let other = base.as_ref().filter(|_| place > 0);
        // Lines that would only hide the base's are not drawn, and said to be the same.
        let is_same = other.is_some_and(|base| !can_be_told(base, &series));
        let value = if is_same { " = base".to_owned() } else { format!(" {}°", one_digit(last)) };
        names.push(Name { text: contender.spoken(), value, y, strand });
        let own_setpoints =
            other.is_none_or(|base| setpoints_apart(base, &series) >= SAME_SETPOINT);
        if !is_same {
            drawn.push((strand, lines, own_setpoints));
        }
    }
    let veiled = if veils_the_base_alone(comparison) { 1 } else { drawn.len() };
    for (strand, lines, _) in &drawn[..veiled] {
        canvas.layer("band", Stroke::Solid, |layer| {
            let around: Vec<Point> =
                lines.heat.iter().chain(lines.cool.iter().rev()).copied().collect();
            layer.veil(&around, strand.color, VEIL);
        })?;
    }
    for (strand, lines, own_setpoints) in &drawn {
        canvas.layer("setpoints", strand.stroke, |layer| {
            if *own_setpoints {
                layer.line(&lines.heat, strand.color, 1.1);
                layer.line(&lines.cool, strand.color, 1.1);
            }
        })?;
        canvas.layer("room", strand.stroke, |layer| layer.line(&lines.air, strand.color, 2.4))?;
    }
    let room = layout.sheet.width - area.right - em * 0.4;
    write_names(canvas, &names, area, em, room)
}
