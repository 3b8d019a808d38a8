//! The chart of a group: a strip for each zone on one time axis.

use super::axis;
use super::canvas::{Area, Canvas, Stroke};
use super::day::{Sheet, subtitle, title};
use super::palette::{COOLING, COOLING_GROUND, HEATING, HEATING_GROUND, IDLE, INK, PAPER, QUIET};
use super::scale::TimeAxis;
use super::series::{Series, Stretch};
use super::text::{Anchor, Type};
use super::{ChartFault, Plot, key, power, ribbon};
use crate::control::{Direction, Sharing};
use crate::engine::{Model, OutdoorGroup, ZoneIndex};
use crate::report::figures::{hours_digits, three_figures};
use crate::report::headline::headline;
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
pub struct GroupView {
    /// Whether all zones share one direction, which then stands behind the strips.
    pub one_direction: bool,
    /// The zone that owns the mode; its name is underlined.
    pub owner: Option<ZoneIndex>,
    /// The order of the strips.
    pub order: ZoneOrder,
    /// The outdoor unit whose zones are shown, by its place in the model; all zones without one.
    pub unit: Option<usize>,
}

impl GroupView {
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
pub fn group_svg(run: &Run, width: u32, view: &GroupView) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let order = ordered(run, view);
    let layout = Layout::new(sheet, run, order.len(), view.one_direction);
    let mut canvas = Canvas::new(sheet.width, layout.height())?;
    sheet.write_head(&mut canvas, &title(run), &subtitle(run))?;
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    if view.one_direction {
        ground(&mut canvas, run, view, layout)?;
    }
    axis::time_lines(&mut canvas, &marks, layout.top, layout.bottom())?;
    heads(&mut canvas, layout)?;
    // White stands out from the direction's tint, grey from white paper.
    let idle = if view.one_direction { PAPER } else { IDLE };
    let all: Vec<Series> = order.iter().map(|zone| Series::of(run, *zone)).collect();
    for (place, (zone, series)) in order.iter().zip(&all).enumerate() {
        let area = layout.strip(place);
        ribbon::draw(&mut canvas, series, layout.time, area, idle)?;
        ribbon::changeover_ticks(&mut canvas, series, layout.time, area)?;
        name(&mut canvas, run.label(*zone), view.owner == Some(*zone), area, layout)?;
        hours(&mut canvas, run, *zone, series, area, layout)?;
    }
    let key_end = (sheet.width - sheet.em, layout.bottom() + sheet.em * 1.2);
    key::draw(&mut canvas, &all, layout.time, key_end, sheet.em, idle)?;
    total_power(&mut canvas, run, &all, layout)?;
    axis::time_words(&mut canvas, &marks, layout.power().bottom, sheet.em)?;
    Ok(canvas.finish(&title(run), &headline(run)))
}

/// Where [`group_svg`] draws each zone.
pub(in crate::report) fn group_plots(run: &Run, width: u32, view: &GroupView) -> Vec<Plot> {
    let order = ordered(run, view);
    let layout = Layout::new(Sheet::new(width), run, order.len(), view.one_direction);
    let strips = order.iter().enumerate();
    strips.map(|(place, zone)| Plot::of_area(*zone, layout.strip(place))).collect()
}

fn ordered(run: &Run, view: &GroupView) -> Vec<ZoneIndex> {
    let mut zones = view.zones(run);
    if view.order == ZoneOrder::WorstFirst {
        let badness = |zone: &ZoneIndex| {
            let figures = run.summary.zones.get(zone.get()).map(|(_, figures)| figures);
            figures.map_or((0.0, 0.0), |zone| (zone.starved_hours, zone.hours_outside_band))
        };
        zones.sort_by(|a, b| {
            let (one, other) = (badness(a), badness(b));
            other.0.total_cmp(&one.0).then(other.1.total_cmp(&one.1))
        });
    }
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
}

impl Layout {
    fn new(sheet: Sheet, run: &Run, strips: usize, one_direction: bool) -> Self {
        let em = sheet.em;
        let how = Type::new(em, INK);
        let widest = run.model.zones.iter().map(|zone| how.width(crate::report::run::label(zone)));
        let names = widest.fold(em * 4.0, f64::max).min(sheet.width * 0.22);
        let time = TimeAxis {
            days: run.model.period.days(),
            left: em * 1.6 + names,
            right: sheet.width - em * 15.2,
        };
        let pitch = match strips {
            0..=12 => 2.6,
            13..=24 => 2.0,
            _ => 1.45,
        };
        let direction = if one_direction { 1.8 } else { 0.0 };
        Self { sheet, time, top: sheet.head() + em * (1.6 + direction), pitch: pitch * em, strips }
    }

    fn bottom(self) -> f64 {
        self.top + self.strips as f64 * self.pitch
    }

    fn strip(self, place: usize) -> Area {
        let top = self.top + place as f64 * self.pitch;
        let air = self.pitch * 0.16;
        Area {
            left: self.time.left,
            right: self.time.right,
            top: top + air,
            bottom: top + self.pitch - air,
        }
    }

    fn power(self) -> Area {
        let top = self.bottom() + self.sheet.em * 3.0;
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

/// The group's direction behind all strips, named in the row over them.
fn ground(
    canvas: &mut Canvas,
    run: &Run,
    view: &GroupView,
    layout: Layout,
) -> Result<(), ChartFault> {
    let zone = view.owner.or(view.zones(run).first().copied()).unwrap_or(ZoneIndex::new(0));
    let stretches = Series::of(run, zone).stretches(|row| row.direction);
    let em = layout.sheet.em;
    let row = layout.top - em * 0.9;
    canvas.layer("group-direction", Stroke::Solid, |layer| {
        for stretch in &stretches {
            let (left, right) = (layout.time.x(stretch.from), layout.time.x(stretch.to));
            let color = match stretch.what {
                Direction::Heating => HEATING_GROUND,
                Direction::Cooling => COOLING_GROUND,
            };
            layer.fill(
                Area { left, right, top: layout.top - em * 1.7, bottom: layout.bottom() },
                color,
            );
        }
        let mut free_from = f64::NEG_INFINITY;
        for stretch in &stretches {
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
    let em = layout.sheet.em.min(layout.pitch * 0.72);
    let how = Type::new(em, INK).at(Anchor::End);
    let right = area.left - layout.sheet.em * 0.8;
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
    let em = layout.sheet.em.min(layout.pitch * 0.72);
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
    let served = |direction| {
        let stretches = series.stretches(|row| row.served == Some(direction));
        stretches.iter().filter(|stretch| stretch.what).map(Stretch::hours).sum::<f64>()
    };
    let starved = series.stretches(|row| row.starved);
    let starved = starved.iter().filter(|stretch| stretch.what).map(Stretch::hours).sum::<f64>();
    [served(Direction::Heating), served(Direction::Cooling), starved]
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
