//! All contenders on one set of axes: a panel for each zone, in it every contender's air with its
//! setpoints and the band between them.

use super::strand::{Name, Strand, write_names};
use super::{base_zone, series, shared_extent, shared_scale, subtitle, title, zones_to_show};
use crate::report::chart::axis::{self, TimeMarks};
use crate::report::chart::canvas::{Area, Canvas, Point, Stroke};
use crate::report::chart::day::Sheet;
use crate::report::chart::long;
use crate::report::chart::palette::INK;
use crate::report::chart::scale::{Linear, TimeAxis};
use crate::report::chart::series::Series;
use crate::report::chart::text::Type;
use crate::report::chart::{ChartFault, Plot};
use crate::report::compare::answer;
use crate::report::figures::{one_digit, unit_sign};
use crate::study::{Comparison, Contender};

/// The most panels that a sheet has room for.
const MOST_PANELS: usize = 6;
/// How much of a band's colour shows where few lie over one another.
const VEIL: f64 = 0.10;
/// How much of all bands together shows at most where all lie over one another.
const ALL_VEILS: f64 = 0.4;

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
    let what = if long {
        "Thick: the air's mean of each day. Thin: the setpoints at their tightest, the band shaded."
    } else {
        "Thick: the air. Thin: its setpoints, the band between them shaded."
    };
    sheet.write_head(&mut canvas, &title(comparison), &subtitle(comparison, zones.len(), what))?;
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
        let time = TimeAxis {
            days: comparison.base.model.period.days(),
            left: em * 4.4,
            right: sheet.width - right,
        };
        let share = if panels == 1 { 0.36 } else { 0.2 };
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

/// The lines of one contender in one zone.
struct Lines {
    air: Vec<Point>,
    heat: Vec<Point>,
    cool: Vec<Point>,
}

impl Lines {
    fn of(series: &Series, time: TimeAxis, scale: Linear) -> Self {
        if time.is_long() {
            let (heat, cool) = long::tight(series, time, scale);
            let air = long::mean_line(series, time, scale, |row| row.temperature);
            return Self { air, heat, cool };
        }
        Self {
            air: series.line(time, scale, |row| row.temperature),
            heat: series.corners(time, scale, |row| row.heat),
            cool: series.corners(time, scale, |row| row.cool),
        }
    }
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
    let mut drawn = Vec::new();
    let mut names = Vec::new();
    for (place, contender) in comparison.all().enumerate() {
        let Some(series) = series(contender, id) else { continue };
        let (strand, lines) = (Strand::of(place), Lines::of(&series, time, scale));
        let last = series.rows().last().map_or(f64::NAN, |row| row.temperature);
        let y = lines.air.last().map_or(area.middle(), |point| point.1);
        let value = format!(" {}°", one_digit(last));
        names.push(Name { text: contender.spoken(), value, y, strand });
        drawn.push((strand, lines));
    }
    let veil = VEIL.min(ALL_VEILS / drawn.len().max(1) as f64);
    for (strand, lines) in &drawn {
        canvas.layer("band", Stroke::Solid, |layer| {
            let around: Vec<Point> =
                lines.heat.iter().chain(lines.cool.iter().rev()).copied().collect();
            layer.veil(&around, strand.color, veil);
        })?;
    }
    for (strand, lines) in &drawn {
        canvas.layer("setpoints", strand.stroke, |layer| {
            layer.line(&lines.heat, strand.color, 1.1);
            layer.line(&lines.cool, strand.color, 1.1);
        })?;
        canvas.layer("room", strand.stroke, |layer| layer.line(&lines.air, strand.color, 2.4))?;
    }
    let room = layout.sheet.width - area.right - em * 0.4;
    write_names(canvas, &names, area, em, room)
}
