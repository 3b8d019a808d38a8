//! Electricity by use, cost and carbon.

use super::{Cell, Column, Quantity, Row, Table, Units};
use crate::report::run::Run;

/// The uses of electricity that there are, what they add up to, and what it costs: a row each.
pub(in crate::report) fn energy(run: &Run) -> Table {
    let (energy, units) = (&run.summary.energy, Units::of(run.model));
    let mut table = Table::new(vec![
        Column::new("electricity by use", Quantity::Name),
        Column::new("", Quantity::Number),
        Column::new("", Quantity::Name),
    ]);
    let mut row = |words: &str, quantity: Quantity, figure: &str, value: f64| {
        let number = Cell { figure: figure.to_owned(), ..value.into() };
        let cells = vec![words.into(), number, units.unit(quantity).into()];
        table.rows.push(Row { cells, quantity: Some(quantity) });
    };
    let uses = [
        ("Heating", "energy/heating_kwh", energy.heating_kwh),
        ("Cooling", "energy/cooling_kwh", energy.cooling_kwh),
        ("Fans", "energy/fan_kwh", energy.fan_kwh),
        ("Backup heat", "energy/backup_kwh", energy.backup_kwh),
        ("Standby", "energy/standby_kwh", energy.standby_kwh),
    ];
    for (words, figure, kwh) in uses.into_iter().filter(|(.., kwh)| *kwh > 0.0) {
        row(words, Quantity::Energy, figure, kwh);
    }
    row("In all", Quantity::Energy, "energy/total_kwh", energy.total_kwh);
    row("Highest quarter of an hour", Quantity::Power, "energy/peak_kw", energy.peak_kw);
    if let Some(bill) = run.summary.bill.as_ref().filter(|bill| bill.demand > 0.0) {
        row("Cost of the energy", Quantity::Money, "bill/energy", bill.energy);
        row("Cost of the highest demand", Quantity::Money, "bill/demand", bill.demand);
    }
    if let Some(cost) = energy.cost {
        row("Cost", Quantity::Money, "energy/cost", cost);
    }
    if let Some(carbon) = energy.carbon_kg {
        row("Carbon dioxide", Quantity::Mass, "energy/carbon_kg", carbon);
    }
    table
}
