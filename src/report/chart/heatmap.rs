//! The heat map of a run: days from left to right, hours from the top down, for each zone one
//! field of its temperature and one of what its plant does.
//!
//! Both fields are read by lightness alone, so that they say the same in grey: the temperature
//! grows lighter as it grows warmer, and the states lie four steps of lightness apart.

use std::borrow::Cow;

use plotters::style::RGBColor;

use super::ChartFault;
use super::axis::{self, TimeMarks};
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{INK, QUIET};
use super::ramp::{self, Ramp};
use super::scale::TimeAxis;
use super::series::rows_of_each;
use super::sheet::{Sheet, subtitle, title};
use super::text::{Anchor, Type};
use crate::control::Direction;
use crate::engine::{StepRow, ZoneIndex};
use crate::report::figures::{duration, setpoint, unit_sign};
use crate::report::headline::headline;
use crate::report::run::Run;
use crate::study::hourly;
use crate::time::{Period, Seconds};

/// So many zones stand on one sheet; more make several sheets.
pub const ZONES_OF_A_SHEET: usize = 4;
/// Hours of a day.
const HOURS: usize = 24;

/// What a zone and its plant do in an hour, from the lightest to the darkest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Doing {
    Resting,
    Cooling,
    Heating,
    Starved,
}

impl Doing {
    const ALL: [Self; 4] = [Self::Resting, Self::Cooling, Self::Heating, Self::Starved];

    fn of(row: &StepRow) -> Self {
        match (row.starved, row.served) {
            (true, _) => Self::Starved,
            (_, Some(Direction::Heating)) => Self::Heating,
            (_, Some(Direction::Cooling)) => Self::Cooling,
            (false, None) => Self::Resting,
        }
    }

    /// Lightness falls by about a quarter from one to the next; hues are those of all charts.
    const fn color(self) -> RGBColor {
        match self {
            Self::Resting => RGBColor(0xF2, 0xF2, 0xF2),
            Self::Cooling => RGBColor(0x8C, 0xC4, 0xE8),
            Self::Heating => RGBColor(0xC4, 0x56, 0x00),
            Self::Starved => RGBColor(0x14, 0x14, 0x14),
        }
    }

    const fn word(self, shares_unit: bool) -> &'static str {
        match self {
            Self::Resting => "not served",
            Self::Cooling => "cooled",
            Self::Heating => "heated",
            Self::Starved if shares_unit => "starved",
            Self::Starved => "waiting",
        }
    }
}

/// How many sheets the heat map of a run has.
pub fn heatmap_sheets(run: &Run) -> usize {
    run.model.zones.len().div_ceil(ZONES_OF_A_SHEET)
}

/// One sheet of the heat map, counted from 0, `width` px wide.
///
/// # Errors
/// See [`ChartFault`].
pub fn heatmap_svg(run: &Run, width: u32, number: usize) -> Result<String, ChartFault> {
    let first = number * ZONES_OF_A_SHEET;
    let zones: Vec<ZoneIndex> =
        (first..run.model.zones.len()).take(ZONES_OF_A_SHEET).map(ZoneIndex::new).collect();
    let sheet = Sheet::new(width);
    let layout = Layout::new(sheet, run);
    let hours = hours(run);
    let ramp = Ramp::over(hours.iter().map(|row| row.temperature));
    let all = rows_of_each(&hours, run.model.zones.len());
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    let mut canvas = Canvas::new(sheet.width, layout.height(zones.len()))?;
    sheet.write_head(&mut canvas, &title(run), &subtitle(run))?;
    for (place, zone) in zones.iter().enumerate() {
        let own = &all[zone.get()];
        let top = layout.top(place);
        name(&mut canvas, run, *zone, layout, top)?;
        temperature(&mut canvas, run, own, &ramp, layout, top)?;
        doing(&mut canvas, run, *zone, own, layout, top)?;
        borders(&mut canvas, &marks, layout, top)?;
    }
    axis::time_words(&mut canvas, &marks, layout.end(zones.len()), sheet.em)?;
    Ok(canvas.finish(&title(run), &headline(run)))
}

/// The hours of all zones; rows that are hours already stay as they are.
fn hours<'a>(run: &Run<'a>) -> Cow<'a, [StepRow]> {
    let step = run.model.period.step();
    if step == Seconds::hours(1) {
        return run.rows.into();
    }
    hourly(run.rows, run.model.zones.len(), step).into()
}

#[derive(Clone, Copy, Debug)]
struct Layout {
    sheet: Sheet,
    time: TimeAxis,
    /// Height of a field.
    tall: f64,
    named: bool,
}

impl Layout {
    fn new(sheet: Sheet, run: &Run) -> Self {
        let em = sheet.em;
        let (left, right) = (em * 4.4, sheet.width - em * 11.0);
        let time = TimeAxis::whole(&run.model.period, left, right);
        Self { sheet, time, tall: em * 8.4, named: run.model.zones.len() > 1 }
    }

    fn pitch(self) -> f64 {
        2.0 * self.tall + self.sheet.em * if self.named { 5.2 } else { 2.4 }
    }

    /// Where the fields of a zone begin.
    fn top(self, place: usize) -> f64 {
        let name = if self.named { 1.8 } else { 0.0 };
        self.sheet.head() + place as f64 * self.pitch() + self.sheet.em * name
    }

    fn field(self, top: f64, place: usize) -> Area {
        let top = top + place as f64 * (self.tall + self.sheet.em * 1.2);
        let (left, right) = (self.time.left, self.time.right);
        Area { left, right, top, bottom: top + self.tall }
    }

    fn end(self, zones: usize) -> f64 {
        self.field(self.top(zones.saturating_sub(1)), 1).bottom
    }

    fn height(self, zones: usize) -> f64 {
        libm::ceil(self.end(zones) + self.sheet.em * 3.6)
    }

    /// An hour of the days from the one to before the other.
    fn tile(self, field: Area, hour: usize, (from, to): (usize, usize)) -> Area {
        let day = |day: usize| field.left + day as f64 * self.time.day_width();
        let line = |hour: usize| field.top + hour as f64 * field.height() / HOURS as f64;
        Area { left: day(from), top: line(hour), right: day(to), bottom: line(hour + 1) }
    }
}

fn name(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    layout: Layout,
    top: f64,
) -> Result<(), ChartFault> {
    if !layout.named {
        return Ok(());
    }
    let how = Type::new(layout.sheet.em * 1.1, INK).bold();
    let name = how.cut(run.label(zone), layout.time.right - layout.time.left);
    canvas.layer("zone-name", Stroke::Solid, |layer| {
        layer.words(&name, (layout.time.left, top - layout.sheet.em * 0.9), how);
    })
}

/// The tiles of a field, one for neighbouring days that look the same in an hour, by what clocks
/// show: an hour that they pass over stays blank, and one that they show twice is drawn as it was
/// last.
fn tiles(
    rows: &[&StepRow],
    period: &Period,
    layout: Layout,
    field: Area,
    look: impl Fn(&StepRow) -> RGBColor,
) -> Vec<(Area, RGBColor)> {
    let place = |number: i64, of: usize| usize::try_from(number).ok().filter(|it| *it < of);
    let days = usize::try_from(period.days()).unwrap_or(0);
    let mut colors = vec![vec![None; days]; HOURS];
    for row in rows {
        let at = period.on_clocks(row.at);
        let cell = place(at.second_of_day() / 3600, HOURS).zip(place(at.day(), days));
        if let Some((hour, day)) = cell {
            colors[hour][day] = Some(look(row));
        }
    }
    let mut tiles = Vec::new();
    for (hour, days) in colors.iter().enumerate() {
        let mut from = 0;
        for alike in days.chunk_by(|one, next| one == next) {
            let to = from + alike.len();
            if let Some(color) = alike[0] {
                tiles.push((layout.tile(field, hour, (from, to)), color));
            }
            from = to;
        }
    }
    tiles
}

fn temperature(
    canvas: &mut Canvas,
    run: &Run,
    rows: &[&StepRow],
    ramp: &Ramp,
    layout: Layout,
    top: f64,
) -> Result<(), ChartFault> {
    let field = layout.field(top, 0);
    let look = |row: &StepRow| ramp.color(row.temperature);
    canvas.mosaic("heat-map", &tiles(rows, &run.model.period, layout, field, look));
    clock(canvas, field, layout)?;
    let (em, unit) = (layout.sheet.em, unit_sign(run.model.unit));
    let left = field.right + em * 0.9;
    canvas.layer("heat-map-key", Stroke::Solid, |layer| {
        let words = Type::new(em * 0.85, QUIET);
        layer.words("room air", (left, field.top + em * 0.5), Type::new(em * 0.85, INK));
        let (bar, bottom) = (field.top + em * 1.4, field.bottom);
        let tall = (bottom - bar) / ramp::LEVELS as f64;
        for level in 0..ramp::LEVELS {
            let top = bottom - (level + 1) as f64 * tall;
            let part = Area { left, right: left + em * 1.2, top, bottom: top + tall };
            layer.fill(part, Ramp::level(level));
        }
        let at = left + em * 1.7;
        let ends = [(ramp.high(), bar + em * 0.4), (ramp.low(), bottom - em * 0.4)];
        for (value, y) in ends {
            layer.words(&format!("{} {unit}", setpoint(value)), (at, y), words);
        }
    })
}

fn doing(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    rows: &[&StepRow],
    layout: Layout,
    top: f64,
) -> Result<(), ChartFault> {
    let field = layout.field(top, 1);
    let look = |row: &StepRow| Doing::of(row).color();
    canvas.mosaic("state-map", &tiles(rows, &run.model.period, layout, field, look));
    clock(canvas, field, layout)?;
    let em = layout.sheet.em;
    let left = field.right + em * 0.9;
    let shares = run.model.outdoor_units.iter().any(|unit| unit.zones.contains(&zone));
    let starved = run.summary.zones.get(zone.get()).map_or(0.0, |(_, zone)| zone.starved_hours);
    canvas.layer("state-map-key", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.85, QUIET);
        let mut y = field.top + em * 0.6;
        for doing in Doing::ALL {
            let (top, bottom) = (y - em * 0.45, y + em * 0.45);
            layer.fill(Area { left, right: left + em * 1.2, top, bottom }, doing.color());
            let text = match doing {
                Doing::Starved if starved > 0.0 => {
                    format!("{} {}", doing.word(shares), duration(starved))
                }
                Doing::Starved => format!("{}: never", doing.word(shares)),
                _ => doing.word(shares).to_owned(),
            };
            layer.words(&text, (left + em * 1.7, y), how);
            y += em * 1.5;
        }
        layer.words("in any part of the hour", (left, y), Type::new(em * 0.7, QUIET));
    })
}

/// The hours of the day to the left of a field.
fn clock(canvas: &mut Canvas, field: Area, layout: Layout) -> Result<(), ChartFault> {
    let em = layout.sheet.em;
    canvas.layer("scale", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.85, QUIET).at(Anchor::End);
        for hour in [0, 6, 12, 18, 24] {
            let y = field.top + field.height() * f64::from(hour) / HOURS as f64;
            layer.words(&format!("{hour:02}:00"), (field.left - em * 0.5, y), how);
            layer.line(&[(field.left - em * 0.35, y), (field.left, y)], QUIET, 0.8);
        }
    })
}

fn borders(
    canvas: &mut Canvas,
    marks: &TimeMarks,
    layout: Layout,
    top: f64,
) -> Result<(), ChartFault> {
    let (from, to) = (layout.field(top, 0), layout.field(top, 1));
    let inner = marks.borders.iter().chain(&marks.lines);
    let ticks: Vec<f64> =
        inner.copied().filter(|x| from.left <= *x && *x <= from.right + 0.5).collect();
    canvas.layer("borders", Stroke::Solid, |layer| {
        for x in ticks {
            for bottom in [from.bottom, to.bottom] {
                layer.line(&[(x, bottom), (x, bottom + layout.sheet.em * 0.35)], QUIET, 0.8);
            }
        }
    })
}
