//! The charts of one zone, by themselves: its day, and its ribbon.

use super::axis;
use super::canvas::{Area, Canvas};
use super::palette::IDLE;
use super::panel::{Beside, Layout, panel};
use super::scale::TimeAxis;
use super::series::Series;
use super::sheet::{Sheet, named, study_name};
use super::{ChartFault, WIDEST, facts, group, ribbon};
use crate::control::Sharing;
use crate::engine::{OutdoorGroup, ZoneIndex};
use crate::report::figures::days_in_words;
use crate::report::run::Run;

/// The chart of one zone, over the whole period or one day of it, as the panel of [`super::day_svg`] has
/// it.
///
/// # Errors
/// See [`ChartFault`].
pub fn zone_svg(
    run: &Run,
    zone: ZoneIndex,
    day: Option<i64>,
    width: u32,
    beside: Beside,
) -> Result<String, ChartFault> {
    let sheet = Sheet::of_zone(width);
    let mut layout = Layout::new(sheet, 1, run);
    if let Some(day) = day {
        (layout.time.first, layout.time.days) = (day, 1);
    }
    let series = Series::of(run, zone);
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    let mut canvas = Canvas::new(sheet.width, layout.height(1))?;
    let line = facts::line(run, &[(zone, &series)], layout.time, None);
    let when = facts::day_of(run, layout.time).unwrap_or_else(|| days_in_words(&run.model.period));
    let title = named(run.label(zone), &study_name(run));
    sheet.write_head(&mut canvas, &title, &format!("{when}: {line}"))?;
    panel(&mut canvas, run, (0, zone), layout, &marks, beside)?;
    axis::time_words(&mut canvas, &marks, layout.panel_end(1), sheet.em)?;
    Ok(canvas.finish(&title, &facts::alternative(run, zone, &series, layout.time)))
}

/// What a zone is given over the period or one day of it, as a ribbon alone. Behind it stands the
/// direction of the outdoor unit that it shares, if that has one at a time.
///
/// # Errors
/// See [`ChartFault`].
pub fn ribbon_svg(
    run: &Run,
    zone: ZoneIndex,
    day: Option<i64>,
    width: u32,
) -> Result<String, ChartFault> {
    const HEIGHT: f64 = 24.0;
    const MARGIN: f64 = 4.0;
    let width = f64::from(width.clamp(100, WIDEST));
    let (first, days) = day.map_or((0, run.model.period.days()), |day| (day, 1));
    let time = TimeAxis { first, days, left: 0.0, right: width };
    let series = Series::of(run, zone);
    let mut canvas = Canvas::new(width, HEIGHT)?;
    let shares = |unit: &&OutdoorGroup| {
        unit.zones.contains(&zone) && matches!(unit.settings.sharing, Sharing::SingleMode { .. })
    };
    if let Some(lead) = run.model.outdoor_units.iter().find(shares).and_then(|it| it.zones.first())
    {
        let whole = Area { left: 0.0, top: 0.0, right: width, bottom: HEIGHT };
        group::ground(&mut canvas, &Series::of(run, *lead), time, whole)?;
    }
    let area = Area { left: 0.0, top: MARGIN, right: width, bottom: HEIGHT - MARGIN };
    ribbon::draw(&mut canvas, &series, time, area, IDLE)?;
    ribbon::changeover_ticks(&mut canvas, &series, time, area)?;
    Ok(canvas.finish(run.label(zone), &facts::alternative(run, zone, &series, time)))
}
