//! The hourly series: a row for each hour and zone.

use super::{Field, Quantity, Table, Units, Value};
use crate::control::Direction;
use crate::engine::StepRow;
use crate::report::run::Run;
use crate::study::hourly;

/// The means of a run's hours.
pub(in crate::report) fn of(run: &Run) -> Vec<StepRow> {
    hourly(run.rows, run.model.zones.len(), run.model.period.step())
}

/// An hour of a zone.
type Hour<'a> = (&'a Run<'a>, &'a StepRow);

fn fields<'a>(summer_time: bool) -> Vec<Field<Hour<'a>>> {
    use Quantity::{Name, Temperature, Time, Watts};
    let time = if summer_time { "hour from, by the clocks" } else { "hour from" };
    let fields: [Field<Hour>; 15] = [
        Field::new("", time, Time, |(run, it): &Hour| Value::Time(run.model.period, it.at)),
        Field::new("", "zone", Name, |(run, it): &Hour| run.label(it.zone).into()),
        Field::new("", "outdoor", Temperature, |(_, it): &Hour| it.outdoor.into()),
        Field::new("", "air", Temperature, |(_, it): &Hour| it.temperature.into()),
        Field::new("", "operative", Temperature, |(_, it): &Hour| it.operative.into()),
        Field::new("", "sensor", Temperature, |(_, it): &Hour| it.sensed.into()),
        Field::new("", "heat setpoint", Temperature, |(_, it): &Hour| it.heat.into()),
        Field::new("", "cool setpoint", Temperature, |(_, it): &Hour| it.cool.into()),
        Field::new("", "mode", Name, |(_, it): &Hour| it.mode.name().into()),
        Field::new("", "power", Name, |(_, it): &Hour| it.power.name().into()),
        Field::new("", "served", Name, |(_, it): &Hour| {
            it.served.map_or("no", Direction::name).into()
        }),
        Field::new("", "occupied", Name, |(_, it): &Hour| yes_or_no(it.occupied)),
        Field::new("", "starved", Name, |(_, it): &Hour| yes_or_no(it.starved)),
        Field::new("", "heat into the zone", Watts, |(_, it): &Hour| it.heat_w.into()),
        Field::new("", "electric power", Watts, |(_, it): &Hour| it.electric_w.into()),
    ];
    fields.into()
}

fn yes_or_no(whether: bool) -> Value {
    if whether { "yes".into() } else { "no".into() }
}

/// A row for each of these hours.
pub(in crate::report) fn table(run: &Run, hours: &[StepRow]) -> Table {
    let summer_time = run.model.period.has_daylight_saving();
    let rows = hours.iter().map(|hour| (String::new(), (run, hour)));
    Table::of(Units::of(run.model), &fields(summer_time), rows)
}
