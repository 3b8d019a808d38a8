//! The figures of one room, run by run, with what the last run changes.

use serde::Serialize;

use super::Replayed;
use crate::report::figures::{one_digit, three_figures, unit_sign};
use crate::study::replay::{Estimate, Figures, Temperatures, Variant, ZoneDifference, ZoneFigures};

/// Figures of a room beside each other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Beside {
    /// The runs: measured, as logged, the file as written, other settings.
    pub runs: Vec<String>,
    /// A row a figure.
    pub rows: Vec<BesideRow>,
}

/// A figure in every run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BesideRow {
    /// What it is.
    pub label: String,
    /// Run by run; empty where it was not recorded.
    pub values: Vec<String>,
    /// The last run less the run as logged, with its interval where there were draws; empty where
    /// no difference is taken.
    pub difference: String,
}

/// How a figure is read, shown, and its difference found.
struct Row {
    label: String,
    of: fn(&Figures, &ZoneFigures) -> Option<f64>,
    shown: fn(f64) -> String,
    difference: fn(&Variant, &ZoneDifference) -> Option<Estimate>,
}

fn temperature(zone: &ZoneFigures, of: fn(&Temperatures) -> f64) -> Option<f64> {
    zone.temperature.as_ref().map(of)
}

fn rows(unit: &str) -> Vec<Row> {
    let row = |label: &str, of, shown, difference| {
        let label = label.to_owned();
        Row { label, of, shown, difference }
    };
    let degrees = |what: &str| format!("{what} {unit}");
    vec![
        row(
            "Electricity of all rooms, kWh",
            |all, _| all.electricity_kwh,
            three_figures,
            |variant, _| Some(variant.difference.electricity_kwh),
        ),
        row(
            "Starts",
            |_, zone| zone.starts.map(f64::from),
            |value| format!("{value:.0}"),
            |_, zone| Some(zone.starts),
        ),
        row("Ran, h", |_, zone| zone.running_hours, one_digit, |_, zone| Some(zone.running_hours)),
        row(
            &degrees("Mean temperature,"),
            |_, zone| temperature(zone, |it| it.mean),
            |value| format!("{value:.2}"),
            |_, zone| Some(zone.mean),
        ),
        row(
            &degrees("Lowest,"),
            |_, zone| temperature(zone, |it| it.lowest),
            one_digit,
            |_, _| None,
        ),
        row(
            &degrees("Highest,"),
            |_, zone| temperature(zone, |it| it.highest),
            one_digit,
            |_, _| None,
        ),
        row(
            "Below the comfort band, h",
            |_, zone| temperature(zone, |it| it.hours_below),
            one_digit,
            |_, zone| Some(zone.hours_below),
        ),
        row(
            "Above it, h",
            |_, zone| temperature(zone, |it| it.hours_above),
            one_digit,
            |_, zone| Some(zone.hours_above),
        ),
    ]
}

impl Replayed<'_> {
    /// The figures of a zone, by its place.
    pub fn beside(&self, place: usize) -> Beside {
        let found = self.found;
        let runs: Vec<(String, &Figures)> = [
            ("measured".to_owned(), &found.measured),
            ("as logged".to_owned(), &found.as_logged.figures),
        ]
        .into_iter()
        .chain(found.variants.iter().map(|it| {
            let name = if it.name == "base" { "as written" } else { &it.name };
            (name.to_owned(), &it.figures)
        }))
        .collect();
        let last = found.variants.last();
        let row = |row: Row| BesideRow {
            values: runs
                .iter()
                .map(|(_, all)| {
                    let value = all.zones.get(place).and_then(|zone| (row.of)(all, zone));
                    value.map_or_else(String::new, row.shown)
                })
                .collect(),
            difference: last
                .and_then(|it| (row.difference)(it, it.difference.zones.get(place)?))
                .map_or_else(String::new, |it| difference(&it, row.shown)),
            label: row.label,
        };
        let rows = rows(unit_sign(found.unit)).into_iter().map(row).collect();
        Beside { runs: runs.into_iter().map(|(name, _)| name).collect(), rows }
    }
}

/// `+0.4 (95 of 100 draws: -0.1 to +0.9)`.
fn difference(it: &Estimate, shown: fn(f64) -> String) -> String {
    let signed = |value: f64| {
        let sign = if value < 0.0 { "\u{2212}" } else { "+" };
        format!("{sign}{}", shown(value.abs()))
    };
    let plain = signed(it.value);
    match it.interval {
        None => plain,
        Some((low, high)) => {
            format!("{plain} (95 of 100 draws: {} to {})", signed(low), signed(high))
        }
    }
}
