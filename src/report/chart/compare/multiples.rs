//! Small multiples: a row for each contender, a column for each zone, all on the same axes.

use super::{base_zone, series, shared_extent, shared_scale, subtitle, title, zones_to_show};
use crate::report::chart::axis::{self, TimeMarks};
use crate::report::chart::canvas::{Area, Canvas, Stroke};
use crate::report::chart::labels::{self, EndLabel};
use crate::report::chart::palette::{COOLING, HEATING, IDLE, INK, QUIET};
use crate::report::chart::scale::{Linear, TimeAxis};
use crate::report::chart::series::Series;
use crate::report::chart::sheet::Sheet;
use crate::report::chart::text::{Anchor, Type};
use crate::report::chart::{ChartFault, Plot};
use crate::report::chart::{band, long, ribbon};
use crate::report::compare::answer;
use crate::report::figures::{count, one_digit, setpoint, three_figures, unit_sign};
use crate::study::{Comparison, Contender};

/// The most columns that a sheet has room for.
const MOST_COLUMNS: usize = 3;

/// The chart of a row for each contender, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn multiples_svg(comparison: &Comparison, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let zones = zones_to_show(comparison, MOST_COLUMNS);
    let rows = comparison.variants.len() + 1;
    let layout = Layout::new(sheet, comparison, zones.len());
    let mut canvas = Canvas::new(sheet.width, layout.height(rows))?;
    let what =
        "Line: the air. Edges: heat and cool setpoint. Below: heating solid, cooling hatched.";
    sheet.write_head(&mut canvas, &title(comparison), &subtitle(comparison, zones.len(), what))?;
    let extent = shared_extent(comparison, &zones);
    if zones.len() > 1 {
        column_names(&mut canvas, &zones, layout)?;
    }
    for (row, contender) in comparison.all().enumerate() {
        row_head(&mut canvas, contender, layout, row)?;
        for (column, (id, _)) in zones.iter().enumerate() {
            cell(&mut canvas, contender, id, layout, (row, column), extent)?;
        }
    }
    for column in 0..zones.len() {
        let mut marks = layout.marks(comparison, column);
        if column + 1 < zones.len() {
            // The end of one column and the beginning of the next would run into each other.
            let end = layout.time(column).right - sheet.em * 1.5;
            marks.words.retain(|(x, _)| *x < end);
        }
        let bottom = layout.ribbon(rows - 1, column).bottom;
        axis::time_words(&mut canvas, &marks, bottom, sheet.em)?;
    }
    let description = answer(comparison, Contender::spoken).join(" ");
    Ok(canvas.finish(&title(comparison), &description))
}

/// Where [`multiples_svg`] draws each zone of each contender; zones are the base's.
pub(in crate::report) fn multiples_plots(comparison: &Comparison, width: u32) -> Vec<Plot> {
    let zones = zones_to_show(comparison, MOST_COLUMNS);
    let layout = Layout::new(Sheet::new(width), comparison, zones.len());
    let mut plots = Vec::new();
    for (row, contender) in comparison.all().enumerate() {
        for (column, (id, _)) in zones.iter().enumerate() {
            let (panel, ribbon) = (layout.panel(row, column), layout.ribbon(row, column));
            if let (Some(zone), Some(_)) = (base_zone(comparison, id), series(contender, id)) {
                let area = Area { bottom: ribbon.bottom, ..panel };
                plots.push(Plot { model: Some(row), ..Plot::of_area(zone, area) });
            }
        }
    }
    plots
}

#[derive(Clone, Copy, Debug)]
struct Layout {
    sheet: Sheet,
    days: i64,
    columns: usize,
    /// Width of a column, px.
    wide: f64,
}

impl Layout {
    fn new(sheet: Sheet, comparison: &Comparison, columns: usize) -> Self {
        let (em, columns) = (sheet.em, columns.max(1));
        let free = sheet.width - em * (4.4 + 7.5) - em * 1.6 * (columns - 1) as f64;
        let days = comparison.base.model.period.days();
        Self { sheet, days, columns, wide: free / columns as f64 }
    }

    fn time(self, column: usize) -> TimeAxis {
        let em = self.sheet.em;
        let left = em * 4.4 + column as f64 * (self.wide + em * 1.6);
        TimeAxis { first: 0, days: self.days, left, right: left + self.wide }
    }

    fn marks(self, comparison: &Comparison, column: usize) -> TimeMarks {
        axis::time_marks(&comparison.base.model.period, self.time(column), self.sheet.em)
    }

    /// Where a row begins: its head, then its panel, then its ribbon.
    fn top(self, row: usize) -> f64 {
        let em = self.sheet.em;
        let names = if self.columns > 1 { em * 1.8 } else { 0.0 };
        libm::ceil(self.sheet.head() + names) + row as f64 * libm::ceil(em * 14.0)
    }

    fn panel(self, row: usize, column: usize) -> Area {
        let (em, time) = (self.sheet.em, self.time(column));
        // Whole px, so that all rows have the very same ticks.
        let top = self.top(row) + libm::ceil(em * 1.8);
        Area { left: time.left, right: time.right, top, bottom: top + libm::ceil(em * 9.2) }
    }

    fn ribbon(self, row: usize, column: usize) -> Area {
        let (em, panel) = (self.sheet.em, self.panel(row, column));
        let top = panel.bottom + em * 0.3;
        Area { top, bottom: top + em * 1.3, ..panel }
    }

    fn height(self, rows: usize) -> f64 {
        libm::ceil(self.ribbon(rows.saturating_sub(1), 0).bottom + self.sheet.em * 3.6)
    }
}

fn column_names(
    canvas: &mut Canvas,
    zones: &[(String, String)],
    layout: Layout,
) -> Result<(), ChartFault> {
    canvas.layer("zone-name", Stroke::Solid, |layer| {
        let how = Type::new(layout.sheet.em, INK).bold();
        for (column, (_, label)) in zones.iter().enumerate() {
            let left = layout.time(column).left;
            let y = layout.sheet.head() + layout.sheet.em * 0.7;
            layer.words(&how.cut(label, layout.wide), (left, y), how);
        }
    })
}

/// The contender's name to the left, its figures to the right.
fn row_head(
    canvas: &mut Canvas,
    contender: &Contender,
    layout: Layout,
    row: usize,
) -> Result<(), ChartFault> {
    let em = layout.sheet.em;
    let summary = &contender.finished.summary;
    let facts = format!(
        "{}, {} kWh",
        count(summary.group.changeovers, "changeover"),
        three_figures(summary.energy.total_kwh)
    );
    let (left, right) = (layout.time(0).left, layout.time(layout.columns - 1).right);
    canvas.layer("contender", Stroke::Solid, |layer| {
        let y = layout.top(row) + em * 0.8;
        let how = Type::new(em, QUIET).at(Anchor::End);
        let taken = how.width(&facts);
        layer.words(&facts, (right, y), how);
        let how = Type::new(em * 1.1, INK).bold();
        let name = how.cut(&contender.spoken(), right - left - taken - em * 2.0);
        layer.words(&name, (left, y), how);
    })
}

fn cell(
    canvas: &mut Canvas,
    contender: &Contender,
    id: &str,
    layout: Layout,
    (row, column): (usize, usize),
    extent: (f64, f64),
) -> Result<(), ChartFault> {
    let (em, time, area) = (layout.sheet.em, layout.time(column), layout.panel(row, column));
    let scale = shared_scale(extent, area);
    let Some(series) = series(contender, id) else { return Ok(()) };
    let model = &contender.model;
    let marks = axis::time_marks(&model.period, time, em);
    if time.is_long() {
        long::fill(canvas, &series, time, scale)?;
    } else {
        band::fill(canvas, &series, time, scale)?;
    }
    axis::time_lines(canvas, &marks, area.top, area.bottom)?;
    if column == 0 {
        axis::values(canvas, area, scale, unit_sign(model.unit), em)?;
    }
    if time.is_long() {
        long::lines(canvas, &series, time, scale)?;
    } else {
        band::edges(canvas, &series, time, scale)?;
        band::air(canvas, &series, time, scale)?;
    }
    let under = layout.ribbon(row, column);
    ribbon::draw(canvas, &series, time, under, IDLE)?;
    ribbon::changeover_ticks(canvas, &series, time, under)?;
    if column + 1 == layout.columns {
        labels::draw(canvas, &end_labels(&series, scale), area, time.right + em * 1.8, em * 0.95)?;
    }
    Ok(())
}

fn end_labels(series: &Series, scale: Linear) -> Vec<EndLabel> {
    let Some(last) = series.rows().last() else { return Vec::new() };
    let label = |text, value, color| EndLabel { text, y: scale.at(value), color };
    vec![
        label(format!("cool {}°", setpoint(last.cool)), last.cool, COOLING),
        label(format!("air {}°", one_digit(last.temperature)), last.temperature, INK),
        label(format!("heat {}°", setpoint(last.heat)), last.heat, HEATING),
    ]
}
