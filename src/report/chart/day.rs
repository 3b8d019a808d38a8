//! The day chart: temperature, ribbon and power of each zone on one time axis.

use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Stroke};
use super::labels;
use super::palette::{IDLE, INK, QUIET};
use super::scale::TimeAxis;
use super::series::Series;
use super::text::Type;
use super::{
    ChartFault, GroupView, NARROWEST, Plot, WIDEST, band, group, group_svg, lane, long, marks,
    night, notes, power, ribbon,
};
use crate::engine::ZoneIndex;
use crate::report::figures::{count, days_in_words, three_figures, unit_sign};
use crate::report::headline::{asked_and_denied, headline};
use crate::report::run::Run;
use crate::report::run::label;

/// From more zones than this on, the chart of strips says more than stacked panels.
const MOST_PANELS: usize = 3;

/// Sizes that all parts of a chart share, px.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    /// The whole width.
    pub width: f64,
    /// The em of common words.
    pub em: f64,
}

impl Sheet {
    /// The sheet of a wished width: words grow with it, within reason.
    pub(super) fn new(width: u32) -> Self {
        let width = f64::from(width.clamp(NARROWEST, WIDEST));
        Self { width, em: (width / 78.0).clamp(10.5, 15.0) }
    }

    /// The height of title and subtitle.
    pub(super) fn head(self) -> f64 {
        self.em * 4.6
    }

    /// Writes title and subtitle.
    pub(super) fn write_head(
        self,
        canvas: &mut Canvas,
        title: &str,
        subtitle: &str,
    ) -> Result<(), ChartFault> {
        let (left, room) = (self.em * 0.8, self.width - self.em * 1.6);
        canvas.layer("title", Stroke::Solid, |layer| {
            let how = Type::new(self.em * 1.4, INK).bold();
            layer.words(&how.cut(title, room), (left, self.em * 1.5), how);
            let how = Type::new(self.em, QUIET);
            layer.words(&how.cut(subtitle, room), (left, self.em * 3.2), how);
        })
    }
}

/// The chart of a run, `width` px wide (within [`NARROWEST`] and [`WIDEST`]): a panel for each of
/// up to three zones, else a strip for each.
///
/// # Errors
/// See [`ChartFault`].
pub fn day_svg(run: &Run, width: u32) -> Result<String, ChartFault> {
    if run.model.zones.len() > MOST_PANELS {
        return group_svg(run, width, &strips_view(run));
    }
    let sheet = Sheet::new(width);
    let zones = run.model.zones.len();
    let layout = Layout::new(sheet, zones, run);
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    let mut canvas = Canvas::new(sheet.width, layout.height(zones))?;
    sheet.write_head(&mut canvas, &title(run), &subtitle(run))?;
    for place in 0..zones {
        zone(&mut canvas, run, ZoneIndex::new(place), layout, &marks)?;
    }
    axis::time_words(&mut canvas, &marks, layout.panel_end(zones), sheet.em)?;
    Ok(canvas.finish(&title(run), &headline(run)))
}

/// Where [`day_svg`] draws each zone.
pub(in crate::report) fn day_plots(run: &Run, width: u32) -> Vec<Plot> {
    let zones = run.model.zones.len();
    if zones > MOST_PANELS {
        return group::group_plots(run, width, &strips_view(run));
    }
    let layout = Layout::new(Sheet::new(width), zones, run);
    (0..zones)
        .map(|place| {
            let parts = layout.parts(place);
            let (top, bottom) = (parts.temperature.top, parts.power.bottom);
            Plot::new(ZoneIndex::new(place), layout.time, top, bottom)
        })
        .collect()
}

/// How many zones are shown as strips: with their direction and owner where they share one unit.
fn strips_view(run: &Run) -> GroupView {
    match run.model.outdoor_units.as_slice() {
        [all] if all.zones.len() == run.model.zones.len() => GroupView::of_unit(run.model, 0),
        _ => GroupView::default(),
    }
}

/// What stands over a chart: the zone where there is one, then the study.
pub(super) fn title(run: &Run) -> String {
    let study = match &run.model.variant {
        Some(variant) => format!("{}, variant {variant}", run.model.title),
        None => run.model.title.clone(),
    };
    match run.model.zones.as_slice() {
        [only] if !study.is_empty() => format!("{}: {study}", label(only)),
        [only] => label(only).to_owned(),
        _ => study,
    }
}

/// The period and its figures in one line.
pub(super) fn subtitle(run: &Run) -> String {
    let (asked, denied) = asked_and_denied(run.summary);
    let mut facts = vec![
        count(run.summary.group.changeovers, "changeover"),
        format!("{} kWh", three_figures(run.summary.energy.total_kwh)),
        count(asked, "request"),
    ];
    if denied > 0 {
        facts.push(format!("{denied} not done as asked"));
    }
    format!("{}: {}", days_in_words(&run.model.period), facts.join(", "))
}

/// Where the parts of the panels stand.
#[derive(Clone, Copy, Debug)]
struct Layout {
    sheet: Sheet,
    time: TimeAxis,
    /// Height of a temperature panel.
    tall: f64,
    /// Whether each panel has a head with its zone's name.
    heads: bool,
    /// Where labels at line ends begin.
    labels: f64,
}

impl Layout {
    fn new(sheet: Sheet, zones: usize, run: &Run) -> Self {
        let em = sheet.em;
        let right = sheet.width - em * 13.2;
        let time =
            TimeAxis { days: run.model.period.days(), left: em * 4.4, right: right - em * 2.6 };
        let share = if zones == 1 { 0.36 } else { 0.22 };
        let tall = (sheet.width * share).clamp(em * 14.0, em * 34.0);
        Self { sheet, time, tall, heads: zones > 1, labels: right }
    }

    /// Where a panel begins.
    fn panel_start(self, place: usize) -> f64 {
        self.sheet.head() + place as f64 * self.panel_height()
    }

    fn panel_height(self) -> f64 {
        let em = self.sheet.em;
        let head = if self.heads { em * 2.0 } else { 0.0 };
        head + self.tall + em * (1.8 + 1.8 + 1.9 + 5.0) + if self.heads { em * 2.2 } else { 0.0 }
    }

    /// Where the last panel's power ends.
    fn panel_end(self, zones: usize) -> f64 {
        let gap = if self.heads { self.sheet.em * 2.2 } else { 0.0 };
        self.panel_start(zones) - gap
    }

    fn height(self, zones: usize) -> f64 {
        libm::ceil(self.panel_end(zones) + self.sheet.em * 3.6)
    }

    /// The parts of a panel: temperature, lane, ribbon, words, power.
    fn parts(self, place: usize) -> Parts {
        let em = self.sheet.em;
        let (left, right) = (self.time.left, self.time.right);
        let top = self.panel_start(place) + if self.heads { em * 2.0 } else { 0.0 };
        let part = |from: f64, tall: f64| Area { left, right, top: from, bottom: from + tall };
        let temperature = part(top, self.tall);
        let lane = part(temperature.bottom, em * 1.8);
        let ribbon = part(lane.bottom, em * 1.8);
        let power = part(ribbon.bottom + em * 1.9, em * 5.0);
        Parts { temperature, lane, ribbon, power }
    }
}

#[derive(Clone, Copy, Debug)]
struct Parts {
    temperature: Area,
    lane: Area,
    ribbon: Area,
    power: Area,
}

fn zone(
    canvas: &mut Canvas,
    run: &Run,
    index: ZoneIndex,
    layout: Layout,
    time_marks: &TimeMarks,
) -> Result<(), ChartFault> {
    let (em, time) = (layout.sheet.em, layout.time);
    let parts = layout.parts(index.get());
    let series = Series::of(run, index);
    if layout.heads {
        let how = Type::new(em * 1.1, INK).bold();
        let name = how.cut(run.label(index), time.right - time.left);
        canvas.layer("zone-name", Stroke::Solid, |layer| {
            layer.words(&name, (time.left, parts.temperature.top - em * 0.9), how);
        })?;
    }
    for area in [parts.temperature, parts.power] {
        night::draw(canvas, &run.model.weather, &run.model.period, time, area)?;
    }
    axis::time_lines(canvas, time_marks, parts.temperature.top, parts.temperature.bottom)?;
    axis::time_lines(canvas, time_marks, parts.power.top, parts.power.bottom)?;
    temperature(canvas, run, index, &series, layout)?;
    lane::draw(canvas, run, index, time, parts.lane, em)?;
    ribbon::draw(canvas, &series, time, parts.ribbon, IDLE)?;
    ribbon::changeover_ticks(canvas, &series, time, parts.ribbon)?;
    ribbon::words(canvas, &series, time, parts.ribbon.bottom + em * 0.95, em)?;
    power::draw(canvas, &power::edge(&series, time), parts.power, em)?;
    totals(canvas, run, index, &series, layout)
}

fn temperature(
    canvas: &mut Canvas,
    run: &Run,
    index: ZoneIndex,
    series: &Series,
    layout: Layout,
) -> Result<(), ChartFault> {
    let (em, time) = (layout.sheet.em, layout.time);
    let area = layout.parts(index.get()).temperature;
    let Some(zone) = run.zone(index) else { return Ok(()) };
    let marks = marks::of(run, index, series);
    let pointed_at: Vec<f64> =
        marks.iter().flat_map(|mark| [Some(mark.value), mark.pushed_to]).flatten().collect();
    let scales = band::scales(series, &zone.controls.sensor, &pointed_at, area);
    axis::values(canvas, area, scales.room, unit_sign(run.model.unit), em)?;
    if series.rows().is_empty() {
        return no_rows(canvas, area, em);
    }
    let spread = (time.right - time.left) / (marks.len().max(1) as f64 * 3.0);
    let radius = spread.clamp(em * 0.2, em * 0.45);
    let ends = if time.is_long() {
        long::draw(canvas, series, time, scales)?;
        marks::draw(canvas, &marks, time, scales.room, radius.min(em * 0.25))?;
        long::end_labels(series, time, scales)
    } else {
        band::draw(canvas, series, time, scales)?;
        marks::draw(canvas, &marks, time, scales.room, radius)?;
        notes::draw(canvas, series, &marks, time, scales, area, em)?;
        band::end_labels(series, scales)
    };
    if scales.own {
        let placed = labels::places(&ends, area, em);
        let taken: Vec<f64> = ends.iter().map(|label| label.y).chain(placed).collect();
        axis::outdoor(canvas, area, scales.outdoor, &taken, em)?;
    }
    labels::draw(canvas, &ends, area, layout.labels, em)
}

fn no_rows(canvas: &mut Canvas, area: Area, em: f64) -> Result<(), ChartFault> {
    canvas.layer("empty", Stroke::Solid, |layer| {
        let how = Type::new(em, QUIET).at(super::text::Anchor::Middle);
        let middle = (f64::midpoint(area.left, area.right), area.middle());
        layer.words("No steps were recorded in this run.", middle, how);
    })
}

/// The figures at the ends of ribbon and power.
fn totals(
    canvas: &mut Canvas,
    run: &Run,
    index: ZoneIndex,
    series: &Series,
    layout: Layout,
) -> Result<(), ChartFault> {
    let parts = layout.parts(index.get());
    let changeovers =
        run.summary.zones.get(index.get()).map_or(0, |(_, figures)| figures.changeovers);
    let energy = power::energy_kwh(series, run.model.period.step().in_hours());
    let mut ends = vec![(count(changeovers, "changeover"), parts.ribbon.middle())];
    if !series.rows().is_empty() {
        ends.push((format!("{} kWh", three_figures(energy)), parts.power.middle()));
    }
    canvas.layer("totals", Stroke::Solid, |layer| {
        let how = Type::new(layout.sheet.em, INK).bold();
        for (text, y) in ends {
            layer.words(&text, (layout.time.right + layout.sheet.em * 0.6, y), how);
        }
    })
}
