//! The chart of a group: a strip for each zone on one time axis, with what the plant gives it and,
//! over that, its temperature between its setpoints with the requests.

use super::axis;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{COOLING, COOLING_GROUND, HEATING, HEATING_GROUND, IDLE, INK, PAPER, QUIET};
use super::scale::TimeAxis;
use super::series::{Series, Stretch};
use super::sheet::{Sheet, named, study_name, subtitle, title};
use super::text::{Anchor, Type};
use super::{ChartFault, Plot, band, facts, held, key, long, marks, power, ribbon};
use crate::control::{Direction, Sharing};
use crate::engine::{Model, OutdoorGroup, StepRow, ZoneIndex};
use crate::report::figures::{days_in_words, hours_digits, setpoint, three_figures};
use crate::report::run::Run;

/// In which order the strips stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ZoneOrder {
    /// As in the file.
    #[default]
    File,
    /// Those that were starved longest first, then those longest outside their comfort band.
    WorstFirst,
}

/// What a chart of strips shows beside the strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct StripsView {
    /// Whether all zones share one direction, which then stands behind the strips.
    pub one_direction: bool,
    /// The zone that owns the mode; its name is underlined.
    pub owner: Option<ZoneIndex>,
    /// The order of the strips.
    pub order: ZoneOrder,
    /// The outdoor unit whose zones are shown, by its place in the model; all zones without one.
    pub unit: Option<usize>,
}

impl StripsView {
    /// The zones of one outdoor unit, in file order, with their direction and owner as they are
    /// at the start.
    pub fn of_unit(model: &Model, unit: usize) -> Self {
        let group = model.outdoor_units.get(unit);
        let single =
            |group: &OutdoorGroup| matches!(group.settings.sharing, Sharing::SingleMode { .. });
        let owner = |group: &OutdoorGroup| {
            group.settings.owner().and_then(|place| group.zones.get(place).copied())
        };
        Self {
            one_direction: group.is_some_and(single),
            owner: group.and_then(owner),
            order: ZoneOrder::File,
            unit: Some(unit),
        }
    }

    /// The zones that are shown, in file order.
    fn zones(&self, run: &Run) -> Vec<ZoneIndex> {
        match self.unit.and_then(|unit| run.model.outdoor_units.get(unit)) {
            Some(group) => group.zones.clone(),
            None => (0..run.model.zones.len()).map(ZoneIndex::new).collect(),
        }
    }
}

/// The chart of strips, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn group_svg(run: &Run, width: u32, view: &StripsView) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let order = ordered(run, view);
    let layout = Layout::new(sheet, run, order.len(), view.one_direction);
    let mut canvas = Canvas::new(sheet.width, layout.height())?;
    let each = Series::of_each(run);
    let all: Vec<Series> = order.iter().map(|zone| each[zone.get()].clone()).collect();
    let (title, subtitle) = head(run, view, &order, &all, layout.time);
    sheet.write_head(&mut canvas, &title, &subtitle)?;
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    // Over a year the direction changes more often than a tint can show.
    let tinted = view.one_direction && !layout.time.is_long();
    if tinted {
        direction(&mut canvas, run, view, layout)?;
    }
    axis::time_lines(&mut canvas, &marks, layout.top, layout.bottom())?;
    heads(&mut canvas, layout)?;
    // White stands out from the direction's tint, grey from white paper.
    let idle = if tinted { PAPER } else { IDLE };
    let extent = extent(&all);
    let mut held = held::Drawn::default();
    for (place, (zone, series)) in order.iter().zip(&all).enumerate() {
        let (air, area) = (layout.air(place), layout.strip(place));
        temperature(&mut canvas, run, *zone, series, (layout, air, extent))?;
        if !layout.time.is_long() {
            held = held.and(held::in_strip(&mut canvas, run, *zone, layout.time, air)?);
        }
        ribbon::draw(&mut canvas, series, layout.time, area, idle)?;
        ribbon::changeover_ticks(&mut canvas, series, layout.time, area)?;
        let whole = Area { top: air.top, ..area };
        name(&mut canvas, run.label(*zone), view.owner == Some(*zone), whole, layout)?;
        hours(&mut canvas, run, *zone, series, whole, layout)?;
    }
    let key_end = (sheet.width - sheet.em, layout.bottom() + sheet.em * 1.2);
    key::draw(&mut canvas, &all, layout.time, key_end, sheet.em, idle)?;
    held.words(&mut canvas, layout.time, (sheet.width - sheet.em, layout.bottom()), sheet.em)?;
    total_power(&mut canvas, run, &all, layout)?;
    axis::time_words(&mut canvas, &marks, layout.power().bottom, sheet.em)?;
    let told =
        order.iter().zip(&all).map(|(zone, it)| facts::alternative(run, *zone, it, layout.time));
    let told: Vec<String> = std::iter::once(format!("{subtitle}.")).chain(told).collect();
    Ok(canvas.finish(&title, &told.join(" ")))
}

/// Title and subtitle: of the outdoor unit and its zones, where it is one that is shown.
fn head(
    run: &Run,
    view: &StripsView,
    order: &[ZoneIndex],
    all: &[Series],
    time: TimeAxis,
) -> (String, String) {
    let unit = view.unit.and_then(|unit| Some((unit, run.model.outdoor_units.get(unit)?)));
    let Some((place, unit)) = unit else { return (title(run), subtitle(run)) };
    let label = if unit.label.is_empty() { &unit.id } else { &unit.label };
    let figures = run.summary.group.outdoor_units.get(place);
    let changeovers = figures.map(|(_, figures)| figures.changeovers);
    let zones: Vec<(ZoneIndex, &Series)> = order.iter().copied().zip(all).collect();
    let line = facts::line(run, &zones, time, changeovers);
    let subtitle = format!("{}: {line}", days_in_words(&run.model.period));
    (named(label, &study_name(run)), subtitle)
}

/// The lowest and highest of all air and setpoints, so that strips share a scale.
fn extent(all: &[Series]) -> (f64, f64) {
    let values: [fn(&StepRow) -> f64; 3] = [|row| row.temperature, |row| row.heat, |row| row.cool];
    let each = all.iter().flat_map(|series| values.iter().filter_map(|it| series.extent(it)));
    each.reduce(|(low, high), (a, b)| (low.min(a), high.max(b))).unwrap_or((18.0, 26.0))
}

/// The air between its setpoints, and the requests, over the ribbon of a zone.
fn temperature(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    series: &Series,
    (layout, area, extent): (Layout, Area, (f64, f64)),
) -> Result<(), ChartFault> {
    let (time, em) = (layout.time, layout.sheet.em.min(layout.pitch * 0.2));
    let scale = band::padded(extent, area);
    if series.rows().is_empty() {
        return Ok(());
    }
    let lines = scale.ticks(if area.height() > em * 4.0 { 4 } else { 2 });
    canvas.layer("scale", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.85, QUIET).at(Anchor::End);
        for value in &lines {
            let y = scale.at(*value);
            layer.line(&[(area.left - 3.0, y), (area.left, y)], QUIET, 0.8);
            layer.words(&format!("{}°", setpoint(*value)), (area.left - em * 0.4, y), how);
        }
    })?;
    if time.is_long() {
        long::fill(canvas, series, time, scale)?;
        return long::lines(canvas, series, time, scale);
    }
    band::fill(canvas, series, time, scale)?;
    band::edges(canvas, series, time, scale)?;
    band::air(canvas, series, time, scale)?;
    let marks = marks::of(run, zone, series, time);
    marks::draw(canvas, &marks, time, scale, (area.height() * 0.12).clamp(1.8, 4.5))
}

/// Where [`group_svg`] draws each zone.
pub(in crate::report) fn group_plots(run: &Run, width: u32, view: &StripsView) -> Vec<Plot> {
    let order = ordered(run, view);
    let layout = Layout::new(Sheet::new(width), run, order.len(), view.one_direction);
    let strips = order.iter().enumerate();
    strips
        .map(|(place, zone)| {
            let (air, ribbon) = (layout.air(place), layout.strip(place));
            Plot::of_area(*zone, Area { top: air.top, ..ribbon })
        })
        .collect()
}

fn ordered(run: &Run, view: &StripsView) -> Vec<ZoneIndex> {
    let zones = view.zones(run);
    match view.order {
        ZoneOrder::File => zones,
        ZoneOrder::WorstFirst => worst_first(run, zones),
    }
}

/// Zones with those first that were starved longest, then those longest outside their comfort
/// band.
pub(super) fn worst_first(run: &Run, mut zones: Vec<ZoneIndex>) -> Vec<ZoneIndex> {
    let badness = |zone: &ZoneIndex| {
        let figures = run.summary.zones.get(zone.get()).map(|(_, figures)| figures);
        figures.map_or((0.0, 0.0), |zone| (zone.starved_hours, zone.hours_outside_band))
    };
    zones.sort_by(|a, b| {
        let (one, other) = (badness(a), badness(b));
        other.0.total_cmp(&one.0).then(other.1.total_cmp(&one.1))
    });
    zones
}

#[derive(Clone, Copy, Debug)]
struct Layout {
    sheet: Sheet,
    time: TimeAxis,
    /// Where the first strip's row begins.
    top: f64,
    /// From row to row.
    pitch: f64,
    strips: usize,
    /// Lines under the key.
    notes: f64,
}

impl Layout {
    fn new(sheet: Sheet, run: &Run, strips: usize, one_direction: bool) -> Self {
        let em = sheet.em;
        let how = Type::new(em, INK);
        let widest = run.model.zones.iter().map(|zone| how.width(crate::report::run::label(zone)));
        let names = widest.fold(em * 4.0, f64::max).min(sheet.width * 0.22);
        // The names, and the scale between them and the strips.
        let left = em * 4.2 + names;
        let time = TimeAxis::whole(&run.model.period, left, sheet.width - em * 15.2);
        let pitch = match strips {
            0..=6 => 7.0,
            7..=12 => 5.4,
            13..=24 => 4.2,
            _ => 3.2,
        };
        let direction = if one_direction { 1.8 } else { 0.0 };
        let notes = if time.is_long() || !held::may_hold(run) { 0.0 } else { 1.3 };
        let top = sheet.head() + em * (1.6 + direction);
        Self { sheet, time, top, pitch: pitch * em, strips, notes }
    }

    fn bottom(self) -> f64 {
        self.top + self.strips as f64 * self.pitch
    }

    /// Where a zone's temperature stands.
    fn air(self, place: usize) -> Area {
        let top = self.top + place as f64 * self.pitch;
        let (left, right) = (self.time.left, self.time.right);
        Area { left, right, top: top + self.pitch * 0.05, bottom: top + self.pitch * 0.63 }
    }

    /// Where its ribbon stands, under it.
    fn strip(self, place: usize) -> Area {
        let top = self.top + place as f64 * self.pitch;
        let (left, right) = (self.time.left, self.time.right);
        Area { left, right, top: top + self.pitch * 0.66, bottom: top + self.pitch * 0.92 }
    }

    fn power(self) -> Area {
        let top = self.bottom() + self.sheet.em * (3.0 + self.notes);
        let tall = self.sheet.em * 4.5;
        Area { left: self.time.left, right: self.time.right, top, bottom: top + tall }
    }

    fn height(self) -> f64 {
        libm::ceil(self.power().bottom + self.sheet.em * 3.6)
    }

    /// The right edges of the columns of hours.
    fn columns(self) -> [f64; 3] {
        [4.7, 9.5, 14.3].map(|ems| self.time.right + ems * self.sheet.em)
    }
}

/// The tint of the direction that a zone has, over an area.
pub(super) fn ground(
    canvas: &mut Canvas,
    lead: &Series,
    time: TimeAxis,
    area: Area,
) -> Result<(), ChartFault> {
    let stretches = lead.stretches(|row| row.direction);
    canvas.layer("group-direction", Stroke::Solid, |layer| {
        for stretch in &stretches {
            let color = match stretch.what {
                Direction::Heating => HEATING_GROUND,
                Direction::Cooling => COOLING_GROUND,
            };
            let (left, right) = (time.x(stretch.from), time.x(stretch.to));
            layer.fill(Area { left, right, ..area }, color);
        }
    })
}

/// The group's direction behind all strips, named in the row over them.
fn direction(
    canvas: &mut Canvas,
    run: &Run,
    view: &StripsView,
    layout: Layout,
) -> Result<(), ChartFault> {
    let zone = view.owner.or(view.zones(run).first().copied()).unwrap_or(ZoneIndex::new(0));
    let lead = Series::of(run, zone);
    let em = layout.sheet.em;
    let (top, bottom) = (layout.top - em * 1.7, layout.bottom());
    let (left, right) = (layout.time.left, layout.time.right);
    ground(canvas, &lead, layout.time, Area { left, top, right, bottom })?;
    let row = layout.top - em * 0.9;
    canvas.layer("group-direction-words", Stroke::Solid, |layer| {
        let mut free_from = f64::NEG_INFINITY;
        for stretch in &lead.stretches(|row| row.direction) {
            free_from = direction_word(layer, stretch, layout, row, free_from);
        }
        let how = Type::new(em * 0.85, QUIET).at(Anchor::End);
        layer.words("group", (layout.time.left - em * 0.8, row), how);
    })
}

/// Names a stretch where its word fits into it; returns where the next word may begin.
fn direction_word(
    layer: &mut super::canvas::Layer,
    stretch: &Stretch<Direction>,
    layout: Layout,
    row: f64,
    free_from: f64,
) -> f64 {
    let (left, right) = (layout.time.x(stretch.from), layout.time.x(stretch.to));
    let color = match stretch.what {
        Direction::Heating => HEATING,
        Direction::Cooling => COOLING,
    };
    let how = Type::new(layout.sheet.em * 0.85, color);
    let wide = how.width(stretch.what.name());
    let from = left.max(free_from) + 3.0;
    if from + wide > right {
        return free_from;
    }
    layer.words(stretch.what.name(), (from, row), how);
    from + wide
}

fn heads(canvas: &mut Canvas, layout: Layout) -> Result<(), ChartFault> {
    let em = layout.sheet.em;
    canvas.layer("column-heads", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.85, QUIET).at(Anchor::End);
        for (right, word) in layout.columns().into_iter().zip(["heated", "cooled", "starved"]) {
            layer.words(&format!("{word} h"), (right, layout.top - em * 0.9), how);
        }
    })
}

fn name(
    canvas: &mut Canvas,
    label: &str,
    owns: bool,
    area: Area,
    layout: Layout,
) -> Result<(), ChartFault> {
    let em = layout.sheet.em.min(layout.pitch * 0.36);
    let how = Type::new(em, INK).at(Anchor::End);
    let right = area.left - layout.sheet.em * 3.2;
    let text = how.cut(label, right - em * 0.4);
    canvas.layer("zone-name", Stroke::Solid, |layer| {
        layer.words(&text, (right, area.middle()), how);
        if owns {
            let y = area.middle() + em * 0.62;
            layer.line(&[(right - how.width(&text), y), (right, y)], INK, 1.2);
        }
    })
}

fn hours(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    series: &Series,
    area: Area,
    layout: Layout,
) -> Result<(), ChartFault> {
    let em = layout.sheet.em.min(layout.pitch * 0.36);
    let figures = served_and_starved(run, zone, series);
    canvas.layer("hours", Stroke::Solid, |layer| {
        for (right, hours) in layout.columns().into_iter().zip(figures) {
            let color = if hours > 0.0 { INK } else { QUIET };
            let how = Type::new(em, color).at(Anchor::End);
            layer.words(&hours_digits(hours), (right, area.middle()), how);
        }
    })
}

/// Hours heated, cooled and starved: from the rows, or from the figures where the rows are hours of
/// shorter steps and each tells only that something happened in it.
fn served_and_starved(run: &Run, zone: ZoneIndex, series: &Series) -> [f64; 3] {
    let gathered = run.summary.period.step_s < run.model.period.step().get();
    if let Some((_, figures)) = run.summary.zones.get(zone.get()).filter(|_| gathered) {
        let [heated, cooled] = figures.served_hours_by_direction;
        return [heated, cooled, figures.starved_hours];
    }
    facts::hours(series)
}

/// The power of all zones together.
fn total_power(
    canvas: &mut Canvas,
    run: &Run,
    all: &[Series],
    layout: Layout,
) -> Result<(), ChartFault> {
    let area = layout.power();
    let step = run.model.period.step().in_hours();
    let energy: f64 = all.iter().map(|series| power::energy_kwh(series, step)).sum();
    power::draw(canvas, &power::summed(all, layout.time), area, layout.sheet.em)?;
    canvas.layer("totals", Stroke::Solid, |layer| {
        let how = Type::new(layout.sheet.em, INK).bold();
        let at = (layout.time.right + layout.sheet.em * 0.6, area.middle());
        layer.words(&format!("{} kWh", three_figures(energy)), at, how);
    })
}
