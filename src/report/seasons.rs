//! `months.csv`, `month_zones.csv`, `mornings.csv` and `lock_calendar.csv`.

use std::io;

use super::content::{Cell, Column, Quantity, Table, Units, seasons};
use super::csv::CLOCK_COLUMN;
use super::render;
use crate::engine::Model;
use crate::measures::{LockMonth, MonthFigures};
use crate::study::{Morning, Readiness};
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// CSV does not say units.
const UNSAID: Units = Units::new(TemperatureUnit::Celsius, "");

/// One row a month: energy by use, and what the plant did.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn months_csv(months: &[MonthFigures]) -> io::Result<Vec<u8>> {
    render::csv::table(&seasons::months(months, UNSAID))
}

/// One row a month and zone.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn month_zones_csv(months: &[MonthFigures]) -> io::Result<Vec<u8>> {
    render::csv::table(&seasons::month_zones(months, UNSAID, str::to_owned))
}

/// One row a zone and morning. `time` is local standard time; `readiness` is `ready`, `late` or
/// `off`; `lead_needed_h` is blank unless a late morning could have been saved.
///
/// # Errors
/// Those of the CSV writer, and a morning of a zone that the model does not have.
pub fn mornings_csv(model: &Model, mornings: &[Morning]) -> io::Result<Vec<u8>> {
    let keys = [
        ("time", Quantity::Name),
        ("zone", Quantity::Name),
        ("readiness", Quantity::Name),
        ("sensed", Quantity::Number),
        ("operative", Quantity::Number),
        ("heat", Quantity::Number),
        ("cool", Quantity::Number),
        ("missing", Quantity::Number),
        ("ready_after_h", Quantity::Number),
        ("lead_needed_h", Quantity::Number),
    ];
    let mut keys = keys.to_vec();
    if model.period.has_daylight_saving() {
        keys.insert(1, (CLOCK_COLUMN, Quantity::Name));
    }
    let mut table = keyed(&keys);
    for morning in mornings {
        let zone = model.zones.get(morning.zone.get()).ok_or_else(|| {
            io::Error::other("a morning names a zone that the model does not have")
        })?;
        let (readiness, lead) = match morning.readiness {
            Readiness::Ready => ("ready", None),
            Readiness::Off => ("off", None),
            Readiness::Late { lead } => ("late", lead),
        };
        let mut row: Vec<Cell> = vec![model.period.timestamp(morning.at).into()];
        if model.period.has_daylight_saving() {
            row.push(model.period.clock_stamp(morning.at).into());
        }
        row.extend([
            zone.id.as_str().into(),
            readiness.into(),
            morning.sensed.into(),
            morning.operative.into(),
            morning.heat.into(),
            morning.cool.into(),
            morning.missing().into(),
            morning.ready_after.map(Seconds::in_hours).into(),
            lead.map(Seconds::in_hours).into(),
        ]);
        table.row(row);
    }
    render::csv::table(&table)
}

/// One row a month, zone and lockout: `none`, `heating` or `cooling`.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn lock_calendar_csv(calendar: &[LockMonth]) -> io::Result<Vec<u8>> {
    let keys = [
        ("month", Quantity::Name),
        ("zone", Quantity::Name),
        ("locked_out", Quantity::Name),
        ("hours_below", Quantity::Hours),
        ("hours_above", Quantity::Hours),
        ("degree_hours_below", Quantity::DegreeHours),
        ("degree_hours_above", Quantity::DegreeHours),
    ];
    let mut table = keyed(&keys);
    for month in calendar {
        for (zone, cost) in &month.zones {
            let ways = [
                ("none", cost.as_is),
                ("heating", cost.without_heating),
                ("cooling", cost.without_cooling),
            ];
            for (way, hours) in ways {
                table.row([
                    month.month.to_string().into(),
                    zone.as_str().into(),
                    way.into(),
                    hours.hours_below.into(),
                    hours.hours_above.into(),
                    hours.degree_hours_below.into(),
                    hours.degree_hours_above.into(),
                ]);
            }
        }
    }
    render::csv::table(&table)
}

/// An empty table with these keys.
fn keyed(keys: &[(&'static str, Quantity)]) -> Table {
    let column =
        |(path, quantity): &(&'static str, Quantity)| Column { path, ..Column::new("", *quantity) };
    Table::new(keys.iter().map(column).collect())
}
