//! What the terminal shows of months, mornings and the lock calendar.

use super::figures::{
    count, duration, hours_digits, money, month_name, one_digit, three_figures, unit_sign,
};
use super::fit::{clean, hang};
use super::run::Run;
use super::style::{Style, Tone};
use super::table::{Cell, Column, Fit, Table};
use crate::measures::{
    LockCost, LockMonth, MonthFigures, MonthZoneFigures, MorningFigures, Unlawful,
};
use crate::study::LONGEST_LEAD;

/// Less than this is nothing, h.
const LEAST_HOURS: f64 = 0.05;

/// Which three months each season has, by the number of the first; the names serve both sides of
/// the equator.
const SEASONS: [(&str, [u8; 3]); 4] = [
    ("Dec to Feb", [12, 1, 2]),
    ("Mar to May", [3, 4, 5]),
    ("Jun to Aug", [6, 7, 8]),
    ("Sep to Nov", [9, 10, 11]),
];

/// The table of months, and of seasons where there are several.
pub(super) fn months(run: &Run, style: Style) -> String {
    let months = &run.summary.seasonal.months;
    if months.is_empty() {
        return String::new();
    }
    let priced = months.iter().any(|month| month.energy.cost.is_some());
    let mut columns = vec![
        Column::words("", Fit::Keep),
        Column::numbers("heating\nkWh"),
        Column::numbers("cooling\nkWh"),
        Column::numbers("in all\nkWh"),
    ];
    if priced {
        let currency = run.model.tariff.as_ref().map_or("", |tariff| tariff.currency.as_str());
        let head = format!("cost\n{}", clean(currency));
        columns.push(Column::numbers(head.trim_end()));
    }
    columns.extend(
        ["heated\nh", "cooled\nh", "starved\nh", "change-\novers", "out of\nband h"]
            .map(Column::numbers),
    );
    let mut table = Table::new(columns);
    for month in months {
        table.row(cells(&short_month(&month.month), month, priced));
    }
    let seasons = by_season(months);
    if !seasons.is_empty() {
        table.row([]);
        for season in &seasons {
            table.row(cells(&season.month, season, priced));
        }
    }
    let mut out = table.render(style);
    let many = run.model.zones.len() > 1;
    let hours = if many {
        "Hours are summed over the zones; each zone's are in month_zones.csv."
    } else {
        ""
    };
    if !hours.is_empty() {
        out.push_str(&hang("", hours, style.width));
    }
    out
}

/// The seasons, where the months are of more than one.
pub(super) fn by_season(months: &[MonthFigures]) -> Vec<MonthFigures> {
    let all: Vec<MonthFigures> = SEASONS.iter().filter_map(|season| of(months, season)).collect();
    if all.len() > 1 { all } else { Vec::new() }
}

/// The months of a season together, whichever year they are of.
fn of(months: &[MonthFigures], (name, numbers): &(&str, [u8; 3])) -> Option<MonthFigures> {
    let of_season = months.iter().filter(|month| numbers.contains(&month_number(&month.month)));
    MonthFigures::together(name, of_season)
}

fn month_number(month: &str) -> u8 {
    month.rsplit('-').next().and_then(|number| number.parse().ok()).unwrap_or(0)
}

/// `Apr 2025` from `2025-04`.
pub(super) fn short_month(month: &str) -> String {
    let name = month_name(month_number(month));
    let year = month.split('-').next().unwrap_or("");
    format!("{} {year}", name.get(..3).unwrap_or(name))
}

fn cells(name: &str, month: &MonthFigures, priced: bool) -> Vec<Cell> {
    let energy = &month.energy;
    let sum = |value: fn(&MonthZoneFigures) -> f64| {
        month.zones.iter().fold(0.0, |sum, (_, zone)| sum + value(zone))
    };
    let mut cells: Vec<Cell> = vec![
        name.into(),
        three_figures(energy.heating_kwh).into(),
        three_figures(energy.cooling_kwh).into(),
        three_figures(energy.total_kwh).into(),
    ];
    if priced {
        cells.push(energy.cost.map_or_else(String::new, |cost| money(cost, "")).into());
    }
    let (starved, outside) = (sum(|zone| zone.starved_hours), sum(|zone| zone.hours_outside_band));
    cells.push(hours_digits(sum(|zone| zone.heating_hours)).into());
    cells.push(hours_digits(sum(|zone| zone.cooling_hours)).into());
    cells.push(warned(starved));
    cells.push(month.changeovers.to_string().into());
    cells.push(warned(outside));
    cells
}

fn warned(hours: f64) -> Cell {
    let tone = if hours < LEAST_HOURS { Tone::Plain } else { Tone::Warning };
    Cell::toned(hours_digits(hours), tone)
}

/// How often each zone was ready, and which start the others would have needed.
pub(super) fn mornings(run: &Run, style: Style) -> String {
    let all = &run.summary.seasonal.mornings;
    if all.is_empty() {
        return String::new();
    }
    let degrees = unit_sign(run.model.unit);
    let mut table = Table::new(vec![
        Column::words("zone", Fit::Cut),
        Column::numbers("morn-\nings"),
        Column::numbers("ready"),
        Column::numbers("late"),
        Column::numbers("off"),
        Column::numbers(&format!("missing\nat worst {degrees}")),
        Column::numbers("longest\nlead needed"),
    ]);
    for (id, morning) in all {
        let lead = morning.longest_lead_hours.map_or_else(String::new, duration);
        table.row([
            name_of(run, id).into(),
            morning.mornings.to_string().into(),
            morning.ready.to_string().into(),
            Cell::toned(
                morning.late.to_string(),
                if morning.late == 0 { Tone::Plain } else { Tone::Warning },
            ),
            morning.off.to_string().into(),
            one_digit(morning.worst_missing).into(),
            lead.into(),
        ]);
    }
    let mut out = table.render(style);
    if let Some(text) = hopeless_words(all) {
        out.push_str(&hang("", &text, style.width));
    }
    out
}

/// That some mornings no start would have saved; nothing where there are none.
pub(super) fn hopeless_words(mornings: &[(String, MorningFigures)]) -> Option<String> {
    let hopeless: u64 = mornings.iter().map(|(_, morning)| morning.late_whatever_the_start).sum();
    (hopeless > 0).then(|| {
        format!(
            "{} would have been late with any start up to {} earlier, or as early as the run \
             begins.",
            super::headline::capitalised(&count(hopeless, "morning")),
            duration(LONGEST_LEAD.in_hours())
        )
    })
}

/// What people call the zone of that id.
pub(super) fn name_of(run: &Run, id: &str) -> String {
    let zone = run.model.zones.iter().find(|zone| zone.id == id);
    zone.map_or_else(|| id.to_owned(), |zone| super::run::label(zone).to_owned())
}

/// One month, as the zone fares that fares worst.
pub(super) struct Worst {
    /// Hours below the lawful minimum with nothing locked out.
    pub(super) below: f64,
    /// The same without heating.
    pub(super) below_locked: f64,
    /// Hours above the lawful maximum with nothing locked out.
    pub(super) above: f64,
    /// The same without cooling.
    pub(super) above_locked: f64,
}

impl Worst {
    pub(super) fn of(month: &LockMonth) -> Self {
        let most = |hours: fn(&LockCost) -> f64| {
            month.zones.iter().fold(0.0, |most: f64, (_, cost)| most.max(hours(cost)))
        };
        Self {
            below: most(|cost| cost.as_is.hours_below),
            below_locked: most(|cost| cost.without_heating.hours_below),
            above: most(|cost| cost.as_is.hours_above),
            above_locked: most(|cost| cost.without_cooling.hours_above),
        }
    }
}

/// The lock calendar, with the months in which a lockout costs nothing as a sentence.
pub(super) fn lock_calendar(run: &Run, style: Style) -> String {
    let calendar = &run.summary.seasonal.lock_calendar;
    if calendar.is_empty() {
        return String::new();
    }
    let mut table = Table::new(vec![
        Column::words("", Fit::Keep),
        Column::numbers("below the minimum\nas is, h"),
        Column::numbers("\nno heating, h"),
        Column::numbers("above the maximum\nas is, h"),
        Column::numbers("\nno cooling, h"),
    ]);
    for month in calendar {
        let worst = Worst::of(month);
        table.row([
            short_month(&month.month).into(),
            hours_digits(worst.below).into(),
            warned(worst.below_locked),
            hours_digits(worst.above).into(),
            warned(worst.above_locked),
        ]);
    }
    let mut out = table.render(style);
    out.push_str(&hang("", &lock_calendar_words(run), style.width));
    out
}

/// In which months a lockout costs nothing, and what that rests on.
pub(super) fn lock_calendar_words(run: &Run) -> String {
    let calendar = &run.summary.seasonal.lock_calendar;
    let zones = if run.model.zones.len() > 1 { "Hours of the zone that fares worst. " } else { "" };
    format!(
        "{zones}{} {} Each month is simulated by itself from the state in which the run enters it, \
         with the weather of this file only; the lawful temperatures are those that the file gives.",
        harmless(calendar, "heating", |cost| (cost.as_is, cost.without_heating)),
        harmless(calendar, "cooling", |cost| (cost.as_is, cost.without_cooling)),
    )
}

/// In which months a lockout adds no hour outside the lawful temperatures to any zone.
fn harmless(
    calendar: &[LockMonth],
    what: &str,
    pair: impl Fn(&LockCost) -> (Unlawful, Unlawful),
) -> String {
    let adds = |cost: &LockCost| {
        let (as_is, locked) = pair(cost);
        let outside = |hours: Unlawful| hours.hours_below + hours.hours_above;
        outside(locked) > outside(as_is) + LEAST_HOURS
    };
    let free: Vec<&str> = calendar
        .iter()
        .filter(|month| !month.zones.iter().any(|(_, cost)| adds(cost)))
        .map(|month| month_name(month_number(&month.month)))
        .collect();
    match free.len() {
        0 => format!("Locking {what} out adds hours in every month."),
        all if all == calendar.len() => format!("Locking {what} out adds no hours in any month."),
        _ => format!("Locking {what} out adds no hours in {}.", listed(&free)),
    }
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [start @ .., last] => format!("{} and {last}", start.join(", ")),
    }
}
