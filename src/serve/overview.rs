//! The first screen: the answer in a sentence, a row a zone with the worst first, and of a longer
//! period what each day was like.

use serde::{Deserialize, Serialize};

use super::figures::PageFigure;
use super::trouble::Trouble;
use crate::measures::ZoneFigures;
use crate::report::chart::{ZoneRows, rows_svg};
use crate::report::{Fares, Run, worst_answer, worst_first};
use crate::study::{Days, ZoneDay};

/// Rows are never smaller than this, so that their names can be read, px.
const SMALLEST: u32 = 14;
/// Nor taller than this, px.
const TALLEST: u32 = 60;

/// How the page wants its rows.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RowsWanted {
    /// Width of a row, px.
    width: u32,
    /// Height of all rows together, px; they are made as tall as fits, within reason.
    height: u32,
    /// What is meant by worst; what tells most where it says nothing.
    #[serde(default)]
    worst: Option<String>,
}

/// The first screen.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Overview {
    /// Which zone fares worst and why.
    answer: String,
    /// What is meant by worst.
    worst: &'static str,
    /// What could be meant: names with their words.
    choices: Vec<(&'static str, &'static str)>,
    /// The zones, the worst first.
    order: Vec<usize>,
    /// How tall each row is, px.
    height: u32,
    /// The hours over the rows.
    axis: String,
    /// A drawing a zone, in the order of the file.
    rows: Vec<String>,
    /// How each zone fares, in the order of the file.
    fares: Vec<String>,
    /// The same on the shown day alone, where it is one of several.
    fares_that_day: Vec<String>,
    /// The figures of the shown day, where it is one of several.
    of_day: Vec<PageFigure>,
    /// Of each day of a longer period how the zone fared that fared worst then.
    days: Vec<DayCell>,
}

/// A day of the calendar.
#[derive(Clone, Debug, Serialize)]
struct DayCell {
    /// `2025-04-16`
    date: String,
    /// Sunday is 0.
    weekday: i8,
    /// How the worst zone fared.
    value: f64,
    /// In words: `3.2 h`.
    shown: String,
    /// That zone.
    zone: usize,
}

/// The first screen of a run, whose rows are those of `day`.
pub(super) fn overview(
    run: &Run<'_>,
    day: i64,
    days: Option<&Days>,
    wanted: &RowsWanted,
) -> Result<Overview, Trouble> {
    let named = wanted.worst.as_deref().and_then(Fares::named);
    let by = named.unwrap_or_else(|| Fares::telling(run));
    let count = u32::try_from(run.model.zones.len()).unwrap_or(u32::MAX).max(1);
    let height = (wanted.height / count).saturating_sub(1).clamp(SMALLEST, TALLEST);
    let ZoneRows { axis, zones } =
        rows_svg(run, day, wanted.width, height).map_err(Trouble::form)?;
    let shown = |zone: &ZoneFigures| by.shown(run, by.of(zone));
    let of_day = days.and_then(|days| days.get(usize::try_from(day).ok()?));
    Ok(Overview {
        answer: worst_answer(run, by),
        worst: by.id(),
        choices: Fares::ALL.into_iter().map(|by| (by.id(), by.words())).collect(),
        order: worst_first(run, by).into_iter().map(crate::engine::ZoneIndex::get).collect(),
        height,
        axis,
        rows: zones,
        fares: run.summary.zones.iter().map(|(_, zone)| shown(zone)).collect(),
        fares_that_day: of_day.map_or_else(Vec::new, |zones| {
            zones.iter().filter_map(|zone| Some(by.shown(run, on_day(by, zone)?))).collect()
        }),
        of_day: of_day.map_or_else(Vec::new, |zones| figures_of(zones)),
        days: days.map_or_else(Vec::new, |days| calendar(run, by, days)),
    })
}

/// How a zone fared on a day; nothing of what is not added up by days.
const fn on_day(by: Fares, zone: &ZoneDay) -> Option<f64> {
    match by {
        Fares::Starved => Some(zone.starved_hours),
        Fares::Outside | Fares::Degrees => Some(zone.hours_outside_band),
        Fares::Changeovers => Some(zone.changeovers as f64),
        Fares::Denied => None,
    }
}

fn figures_of(zones: &[ZoneDay]) -> Vec<PageFigure> {
    // An empty sum of floats is -0.
    let sum = |of: fn(&ZoneDay) -> f64| zones.iter().fold(0.0, |sum, zone| sum + of(zone));
    vec![
        PageFigure::of_all("energy", "Electricity", sum(|it| it.kwh), "energy", "kWh"),
        PageFigure::of_all("starved", "Starved", sum(|it| it.starved_hours), "hours", "h"),
        PageFigure::of_all("outside", "Out of band", sum(|it| it.hours_outside_band), "hours", "h"),
    ]
}

/// What is counted of a day whose choice is not added up by days: hours out of band.
fn calendar(run: &Run<'_>, by: Fares, days: &Days) -> Vec<DayCell> {
    let by = if by == Fares::Denied || by == Fares::Degrees { Fares::Outside } else { by };
    let cell = |(day, zones): (usize, &Vec<ZoneDay>)| {
        let value = |zone: &ZoneDay| on_day(by, zone).unwrap_or(0.0);
        let worst = zones.iter().enumerate().fold((0, 0.0), |worst, (place, zone)| {
            if value(zone) > worst.1 { (place, value(zone)) } else { worst }
        });
        let day = i64::try_from(day).ok()?;
        let date = run.model.period.date(day);
        Some(DayCell {
            date: date.to_string(),
            weekday: date.weekday().to_sunday_zero_offset(),
            value: worst.1,
            shown: by.shown(run, worst.1),
            zone: worst.0,
        })
    };
    days.iter().enumerate().filter_map(cell).collect()
}
