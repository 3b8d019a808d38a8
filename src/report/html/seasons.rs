//! What weeks and years tell besides: months, mornings, and what locking a mode out would cost.

use super::markup::Markup;
use super::tables::{Row, numbers};
use crate::measures::{MonthFigures, MonthZoneFigures, MorningFigures};
use crate::report::figures::{duration, hours_digits, money, one_digit, three_figures, unit_sign};
use crate::report::run::Run;
use crate::report::season_text::{
    Worst, by_season, hopeless_words, lock_calendar_words, name_of, short_month,
};

/// The sections, each where the run has anything of it.
pub(super) fn sections(to: &mut Markup, run: &Run) {
    let seasonal = &run.summary.seasonal;
    if !seasonal.months.is_empty() {
        to.section("months", "Month by month", |section| months(section, run));
    }
    if !seasonal.mornings.is_empty() {
        to.section("mornings", "When somebody came in", |section| mornings(section, run));
    }
    if !seasonal.lock_calendar.is_empty() {
        let head = "What locking heating or cooling out would cost";
        to.section("lock-calendar", head, |section| lock_calendar(section, run));
    }
}

fn months(to: &mut Markup, run: &Run) {
    let months = &run.summary.seasonal.months;
    let priced = months.iter().any(|month| month.energy.cost.is_some());
    let mut heads: Vec<String> =
        ["Month", "Heating kWh", "Cooling kWh", "Electricity in all kWh"].map(String::from).into();
    if priced {
        let currency = run.model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
        heads.push(format!("Cost {currency}").trim_end().to_owned());
    }
    heads.extend(
        [
            "Hours heated",
            "Hours cooled",
            "Hours starved",
            "Changes between heating and cooling",
            "Occupied hours outside comfort",
        ]
        .map(String::from),
    );
    let mut rows: Vec<Row> = months
        .iter()
        .enumerate()
        .map(|(place, month)| Row {
            name: short_month(&month.month),
            cells: month_cells(month, priced, &|key| format!("months/{place}/{key}")),
        })
        .collect();
    rows.extend(by_season(months).iter().map(|season| Row {
        name: season.month.clone(),
        cells: month_cells(season, priced, &|_| String::new()),
    }));
    numbers(to, &heads, &rows);
    if run.model.zones.len() > 1 {
        to.element("p", &[("class", "text")], "Hours are summed over the zones.");
    }
}

/// The cells of a month, with the places that `figure` gives to its keys.
fn month_cells(
    month: &MonthFigures,
    priced: bool,
    figure: &dyn Fn(&str) -> String,
) -> Vec<(String, String)> {
    let energy = &month.energy;
    let sum = |value: fn(&MonthZoneFigures) -> f64| {
        let sum = month.zones.iter().fold(0.0, |sum, (_, zone)| sum + value(zone));
        (String::new(), hours_digits(sum))
    };
    let used = [
        ("energy/heating_kwh", energy.heating_kwh),
        ("energy/cooling_kwh", energy.cooling_kwh),
        ("energy/total_kwh", energy.total_kwh),
    ];
    let mut cells: Vec<(String, String)> =
        used.into_iter().map(|(key, kwh)| (figure(key), three_figures(kwh))).collect();
    if priced {
        cells.push(match energy.cost {
            Some(cost) => (figure("energy/cost"), money(cost, "")),
            None => (String::new(), String::new()),
        });
    }
    cells.push(sum(|zone| zone.heating_hours));
    cells.push(sum(|zone| zone.cooling_hours));
    cells.push(sum(|zone| zone.starved_hours));
    cells.push((figure("changeovers"), month.changeovers.to_string()));
    cells.push(sum(|zone| zone.hours_outside_band));
    cells
}

fn mornings(to: &mut Markup, run: &Run) {
    let all = &run.summary.seasonal.mornings;
    let heads = [
        "Zone".to_owned(),
        "Mornings".into(),
        "Ready in time".into(),
        "Late".into(),
        "Switched off".into(),
        format!("Missing at worst {}", unit_sign(run.model.unit)),
        "Longest start needed".into(),
    ];
    let row = |(id, morning): &(String, MorningFigures)| {
        let figure = |key: &str| format!("mornings/{id}/{key}");
        let lead = morning.longest_lead_hours.map_or_else(|| "none".to_owned(), duration);
        Row {
            name: name_of(run, id),
            cells: vec![
                (figure("mornings"), morning.mornings.to_string()),
                (figure("ready"), morning.ready.to_string()),
                (figure("late"), morning.late.to_string()),
                (figure("off"), morning.off.to_string()),
                (figure("worst_missing"), one_digit(morning.worst_missing)),
                (String::new(), lead),
            ],
        }
    };
    numbers(to, &heads, &all.iter().map(row).collect::<Vec<_>>());
    if let Some(words) = hopeless_words(all) {
        to.element("p", &[("class", "text")], &words);
    }
}

fn lock_calendar(to: &mut Markup, run: &Run) {
    let heads = [
        "Month",
        "Hours below the lawful minimum",
        "the same without heating",
        "Hours above the lawful maximum",
        "the same without cooling",
    ]
    .map(String::from);
    let rows = run.summary.seasonal.lock_calendar.iter().map(|month| {
        let worst = Worst::of(month);
        let hours = [worst.below, worst.below_locked, worst.above, worst.above_locked];
        Row {
            name: short_month(&month.month),
            cells: hours.map(|it| (String::new(), hours_digits(it))).into(),
        }
    });
    numbers(to, &heads, &rows.collect::<Vec<_>>());
    to.element("p", &[("class", "text")], &lock_calendar_words(run));
}
