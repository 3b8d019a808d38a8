//! The panel of a zone: its temperature, ribbon and power over one another.

use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Stroke};
use super::labels;
use super::palette::{IDLE, INK, QUIET};
use super::scale::TimeAxis;
use super::series::Series;
use super::sheet::Sheet;
use super::text::Type;
use super::{ChartFault, ahead, band, held, lane, long, marks, night, notes, power, ribbon};
use crate::engine::{StepRow, Zone, ZoneIndex};
use crate::report::figures::{count, three_figures, unit_sign};
use crate::report::run::Run;

/// What a chart of one zone shows beside it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beside<'a> {
    /// Another run of the same building, whose lines are drawn in the same panel.
    pub pinned: Option<&'a Run<'a>>,
    /// Whether the temperatures at which calls begin are drawn.
    pub thresholds: bool,
    /// The whole run of which only the beginning is shown: its weather is drawn to the end, and
    /// where the setpoints stand if nobody moves them.
    pub ahead: Option<&'a Run<'a>>,
    /// Another run of the same building whose temperatures have to fit on the scale as well, so that
    /// two charts can be held against each other.
    pub scale: Option<&'a Run<'a>>,
}

/// A zone's rows in another run of the same building.
fn same_zone<'a>(other: Option<&'a Run<'a>>, zone: &Zone) -> Option<Series<'a>> {
    let other = other?;
    Some(Series::of(other, other.model.zone_named(&zone.id)?))
}

/// Where the parts of the panels stand.
#[derive(Clone, Copy, Debug)]
pub(super) struct Layout {
    sheet: Sheet,
    pub time: TimeAxis,
    /// Height of a temperature panel.
    tall: f64,
    /// Whether each panel has a head with its zone's name.
    heads: bool,
    /// Where labels at line ends begin.
    labels: f64,
    /// How many rows of what outdoor limits do not allow.
    held: usize,
}

impl Layout {
    pub(super) fn new(sheet: Sheet, zones: usize, run: &Run) -> Self {
        let em = sheet.em;
        let narrow = sheet.is_narrow();
        let right = sheet.width - em * if narrow { 8.2 } else { 13.2 };
        let (left, gap) = if narrow { (em * 3.9, em * 2.2) } else { (em * 4.4, em * 2.6) };
        let time = TimeAxis::whole(&run.model.period, left, right - gap);
        let share = if zones == 1 { 0.36 } else { 0.22 };
        let tall = (sheet.width * share).clamp(em * 14.0, em * 34.0);
        // Days that are drawn in a few px say nothing of their hours.
        let held = if time.is_long() { 0 } else { held::rows(run.model).len() };
        Self { sheet, time, tall, heads: zones > 1, labels: right, held }
    }

    /// Where a panel begins.
    fn panel_start(self, place: usize) -> f64 {
        self.sheet.head() + place as f64 * self.panel_height()
    }

    fn panel_height(self) -> f64 {
        let em = self.sheet.em;
        let head = if self.heads { em * 2.0 } else { 0.0 };
        head + self.tall
            + em * (1.8 + self.held_em() + 1.8 + 1.9 + 5.0)
            + if self.heads { em * 2.2 } else { 0.0 }
    }

    /// Height of the rows of what is not allowed, em.
    fn held_em(self) -> f64 {
        1.2 * self.held as f64
    }

    /// Where the last panel's power ends.
    pub(super) fn panel_end(self, zones: usize) -> f64 {
        let gap = if self.heads { self.sheet.em * 2.2 } else { 0.0 };
        self.panel_start(zones) - gap
    }

    pub(super) fn height(self, zones: usize) -> f64 {
        libm::ceil(self.panel_end(zones) + self.sheet.em * 3.6)
    }

    /// The parts of a panel: temperature, lane, what is not allowed, ribbon, words, power.
    pub(super) fn parts(self, place: usize) -> Parts {
        let em = self.sheet.em;
        let (left, right) = (self.time.left, self.time.right);
        let top = self.panel_start(place) + if self.heads { em * 2.0 } else { 0.0 };
        let part = |from: f64, tall: f64| Area { left, right, top: from, bottom: from + tall };
        let temperature = part(top, self.tall);
        let lane = part(temperature.bottom, em * 1.8);
        let held = part(lane.bottom, em * self.held_em());
        let ribbon = part(held.bottom, em * 1.8);
        let power = part(ribbon.bottom + em * 1.9, em * 5.0);
        Parts { temperature, lane, held, ribbon, power }
    }
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Parts {
    pub temperature: Area,
    lane: Area,
    held: Area,
    ribbon: Area,
    pub power: Area,
}

/// The panel of a zone at a place on the sheet.
pub(super) fn panel(
    canvas: &mut Canvas,
    run: &Run,
    (place, index): (usize, ZoneIndex),
    layout: Layout,
    time_marks: &TimeMarks,
    beside: Beside,
) -> Result<(), ChartFault> {
    let (em, time) = (layout.sheet.em, layout.time);
    let parts = layout.parts(place);
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
    temperature(canvas, run, index, &series, layout, parts, beside)?;
    if !time.is_long() {
        let how = (em, layout.sheet.is_narrow());
        let open = held::open_window(run, index, time);
        held::draw_open(canvas, &open, time, (parts.lane, parts.temperature), how)?;
        if layout.held > 0 {
            let spans = held::forbidden(run, index, time);
            let rows = held::rows(run.model);
            held::draw(canvas, &spans, &rows, time, parts.held, how)?;
        }
    }
    lane::draw(canvas, run, index, time, parts.lane, em)?;
    ribbon::draw(canvas, &series, time, parts.ribbon, IDLE)?;
    ribbon::changeover_ticks(canvas, &series, time, parts.ribbon)?;
    ribbon::words(canvas, &series, time, parts.ribbon.bottom + em * 0.95, em)?;
    power::draw(canvas, &power::edge(&series, time), parts.power, em)?;
    totals(canvas, run, index, &series, layout, parts, beside)
}

fn temperature(
    canvas: &mut Canvas,
    run: &Run,
    index: ZoneIndex,
    series: &Series,
    layout: Layout,
    parts: Parts,
    beside: Beside,
) -> Result<(), ChartFault> {
    let (em, time) = (layout.sheet.em, layout.time);
    let area = parts.temperature;
    let Some(zone) = run.zone(index) else { return Ok(()) };
    let marks = marks::of(run, index, series, time);
    let other = same_zone(beside.pinned, zone);
    let scaled = same_zone(beside.scale, zone);
    let whole = same_zone(beside.ahead, zone);
    let weather = whole.as_ref().unwrap_or(series);
    let mut pointed_at: Vec<f64> =
        marks.iter().flat_map(|mark| [Some(mark.value), mark.pushed_to]).flatten().collect();
    let values: [fn(&StepRow) -> f64; 3] = [|row| row.temperature, |row| row.heat, |row| row.cool];
    for (low, high) in other
        .iter()
        .chain(&scaled)
        .flat_map(|it| values.iter().filter_map(|value| it.extent(value)))
    {
        pointed_at.extend([low, high]);
    }
    let scales = band::scales((series, weather), &zone.controls.sensor, &pointed_at, area);
    carry(canvas, zone, parts, time, scales);
    axis::values(canvas, area, scales.room, unit_sign(run.model.unit), em)?;
    if series.rows().is_empty() {
        return no_rows(canvas, area, em);
    }
    let spread = (time.right - time.left) / (marks.len().max(1) as f64 * 3.0);
    let radius = spread.clamp(em * 0.2, em * 0.45);
    let mut ends = if time.is_long() {
        long::draw(canvas, series, time, scales)?;
        marks::draw(canvas, &marks, time, scales.room, radius.min(em * 0.25))?;
        long::end_labels(series, time, scales)
    } else {
        let start = zone.controls.thermostat.call_start;
        if beside.thresholds {
            band::thresholds(canvas, series, time, scales.room, start)?;
        }
        if let Some(whole) = &whole {
            ahead::draw(canvas, (series, whole), time, scales.room, area)?;
        }
        band::draw(canvas, (series, weather), time, scales)?;
        if let Some(whole) = &whole {
            let deadband = zone.controls.settings.rules.deadband();
            let apart = zone.controls.settings.grid.show(deadband).to_string();
            ahead::words(canvas, (series, whole), time, scales.room, (area, em), &apart)?;
        }
        marks::draw(canvas, &marks, time, scales.room, radius)?;
        notes::draw(canvas, series, &marks, time, scales, area, em)?;
        band::end_labels((series, weather), scales)
    };
    if let Some(other) = &other {
        ends.extend(band::pinned(canvas, other, time, scales.room)?);
    }
    if layout.sheet.is_narrow() {
        ends = ends.into_iter().map(labels::EndLabel::shortened).collect();
    }
    if scales.own {
        let placed = labels::places(&ends, area, em);
        let taken: Vec<f64> = ends.iter().map(|label| label.y).chain(placed).collect();
        axis::outdoor(canvas, area, scales.outdoor, &taken, em)?;
    }
    labels::draw(canvas, &ends, area, layout.labels, em)
}

/// What scripts need to know of a panel: its zone, its place, its times and its scale.
fn carry(canvas: &mut Canvas, zone: &Zone, parts: Parts, time: TimeAxis, scales: band::Scales) {
    let (top, bottom) = (parts.temperature.top, parts.temperature.bottom);
    let px = |value: f64| format!("{value:.1}");
    let data = [
        ("zone", zone.id.clone()),
        ("from", time.start().get().to_string()),
        ("to", time.end().get().to_string()),
        ("left", px(time.left)),
        ("right", px(time.right)),
        ("top", px(top)),
        ("bottom", px(bottom)),
        ("end", px(parts.power.bottom)),
        ("low", format!("{:.3}", scales.room.value(bottom))),
        ("high", format!("{:.3}", scales.room.value(top))),
    ];
    canvas.note("plot", &data);
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
    parts: Parts,
    beside: Beside,
) -> Result<(), ChartFault> {
    let whole = layout.time.days == run.model.period.days() && beside.ahead.is_none();
    let figures = run.summary.zones.get(index.get()).filter(|_| whole);
    let changeovers = figures.map_or_else(
        || ribbon::changeovers(series).len() as u64,
        |(_, figures)| figures.changeovers,
    );
    let energy = power::energy_kwh(series, run.model.period.step().in_hours());
    let changed = if layout.sheet.is_narrow() {
        format!("{changeovers} ×")
    } else {
        count(changeovers, "changeover")
    };
    let mut ends = vec![(changed, parts.ribbon.middle())];
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
