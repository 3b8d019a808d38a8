//! The water in the zones' air: a table for the terminal.

use super::figures::{hours_digits, three_figures};
use super::run::Run;
use super::style::Style;
use super::table::{Cell, Column, Fit, Table};

/// The section of the terminal summary; empty where water is not followed.
pub(super) fn damp(run: &Run, style: Style) -> String {
    let mut table = Table::new(vec![
        Column::words("zone", Fit::Cut),
        Column::numbers("lowest\n%"),
        Column::numbers("mean\n%"),
        Column::numbers("highest\n%"),
        Column::numbers("above 60 %\nh"),
        Column::numbers("taken out\nkg"),
        Column::numbers("condensed\nkg"),
    ]);
    let mut any = false;
    for (zone, (_, figures)) in run.model.zones.iter().zip(&run.summary.zones) {
        let Some(damp) = figures.humidity else { continue };
        any = true;
        let percent = |value: f64| Cell::from(format!("{value:.0}"));
        table.row([
            Cell::from(super::run::label(zone)),
            percent(damp.min_percent),
            percent(damp.mean_percent),
            percent(damp.max_percent),
            Cell::from(hours_digits(damp.hours_above_60)),
            Cell::from(three_figures(damp.water_removed_kg)),
            Cell::from(three_figures(damp.condensed_kg)),
        ]);
    }
    if any { table.render(style) } else { String::new() }
}
