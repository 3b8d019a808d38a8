//! Measured, as logged and the variants below each other.

use super::Replayed;
use crate::report::content::{Cell, Column, Quantity, Table, Tone, Units, Value};
use crate::study::replay::{Figures, ZoneFigures};

/// A row for each zone of what was measured, of the run as logged, and of each variant.
pub(super) fn figures(replayed: &Replayed) -> Table {
    let found = replayed.found;
    let units = Units::of(replayed.model);
    let column = |head: &'static str, quantity| Column::in_unit(head, quantity, units);
    let mut table = Table::new(vec![
        Column::new("run", Quantity::Name),
        Column::new("zone", Quantity::Name),
        column("all electricity", Quantity::Energy),
        column("starts", Quantity::Count),
        column("ran", Quantity::Hours),
        column("mean", Quantity::Temperature),
        column("lowest", Quantity::Temperature),
        column("highest", Quantity::Temperature),
        column("below the band", Quantity::Hours),
        column("above it", Quantity::Hours),
    ]);
    let mut add = |name: &str, figures: &Figures| {
        for (place, zone) in figures.zones.iter().enumerate() {
            let first = place == 0;
            let kwh = figures.electricity_kwh.filter(|_| first);
            let mut cells: Vec<Cell> = vec![
                Cell::toned(if first { name } else { "" }, Tone::Strong),
                replayed.zone(place).into(),
                Value::from(kwh).into(),
            ];
            cells.extend(of_zone(zone));
            table.row(cells);
        }
    };
    add("measured", &found.measured);
    add("as logged", &found.as_logged.figures);
    for variant in &found.variants {
        add(&variant.name, &variant.figures);
    }
    table
}

fn of_zone(zone: &ZoneFigures) -> Vec<Cell> {
    let temperature = |value: fn(&crate::study::replay::Temperatures) -> f64| {
        Value::from(zone.temperature.as_ref().map(value)).into()
    };
    vec![
        Value::from(zone.starts.map(u64::from)).into(),
        Value::from(zone.running_hours).into(),
        temperature(|it| it.mean),
        temperature(|it| it.lowest),
        temperature(|it| it.highest),
        temperature(|it| it.hours_below),
        temperature(|it| it.hours_above),
    ]
}
