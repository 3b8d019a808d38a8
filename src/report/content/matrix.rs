//! The settings of every zone side by side: a row for each setting, a column for each zone of each
//! run, numbers as numbers.

use super::{Cell, Column, Quantity, Table};
use crate::engine::Model;
use crate::report::figures::{listed, unit_sign};
use crate::report::run::label;
use crate::settings::{Access, Entry, Kind, Subject, Value, of_zones};
use crate::units::TemperatureUnit;

/// Seconds in a minute.
const MINUTE: f64 = 60.0;

/// A row for each setting that some zone has; two for one that has a lowest and a highest value.
/// Where several models are compared, what each is called stands before its zones.
pub(in crate::report) fn settings_by_zone(models: &[(Option<&str>, &Model)]) -> Table {
    let mut columns =
        vec![Column::new("setting", Quantity::Name), Column::new("unit", Quantity::Name)];
    let mut zones: Vec<(&Model, usize)> = Vec::new();
    for (name, model) in models {
        for (place, zone) in model.zones.iter().enumerate() {
            let label = label(zone);
            let head = name.map_or(label.to_owned(), |name| format!("{name}: {label}"));
            columns.push(Column::new(head, Quantity::Number));
            zones.push((model, place));
        }
    }
    let mut table = Table::new(columns);
    let Some((_, first)) = models.first() else { return table };
    for entry in of_zones() {
        let values = zones.iter().map(|(model, zone)| value(entry, model, *zone));
        let values: Vec<Value> = values.collect();
        if values.iter().all(|value| *value == Value::Nothing) {
            continue;
        }
        let unit = unit(&entry.key.kind, first.unit);
        let spans = values.iter().any(|value| matches!(value, Value::Span(_)));
        let ends: &[(Option<usize>, &str)] =
            if spans { &[(Some(0), ", lowest"), (Some(1), ", highest")] } else { &[(None, "")] };
        for (end, which) in ends {
            let mut row = vec![Cell::from(format!("{}{which}", entry.setting.name)), unit.into()];
            row.extend(values.iter().map(|value| cell(value, *end)));
            table.row(row);
        }
    }
    table
}

/// The value of a zone; what its controllers have each stands in one text.
fn value(entry: &Entry, model: &Model, zone: usize) -> Value {
    let Access::Controller { .. } = entry.setting.access else {
        return entry.get(model, Subject::Zone(zone));
    };
    let controllers = model.zones[zone].controls.settings.controllers.as_slice().iter();
    let said = controllers.enumerate().filter_map(|(place, controller)| {
        match entry.get(model, Subject::Controller(zone, place)) {
            Value::Nothing => None,
            value => Some(format!("{}: {value}", controller.id)),
        }
    });
    let said: Vec<String> = said.collect();
    if said.is_empty() { Value::Nothing } else { Value::Word(said.join("; ")) }
}

fn cell(value: &Value, end: Option<usize>) -> Cell {
    match value {
        Value::Nothing => Cell::default(),
        Value::Number(number) => (*number).into(),
        Value::Time(time) => (time.get() as f64 / MINUTE).into(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.into(),
        Value::Word(word) => word.replace('_', " ").into(),
        Value::Words(words) if words.is_empty() => "none".into(),
        Value::Words(words) => listed(words).replace('_', " ").into(),
        Value::Span(ends) => ends[end.unwrap_or(0)].into(),
    }
}

/// The unit of the numbers of a kind of value; empty where they have none.
fn unit(kind: &Kind, temperature: TemperatureUnit) -> &'static str {
    match kind {
        Kind::Temperature(_) | Kind::Difference(_) => unit_sign(temperature),
        Kind::Size(dimension, _) | Kind::SizeOrBare(dimension, _) => dimension.base(),
        Kind::Duration(_) => "min",
        Kind::Exactly(_, inner) => unit(inner, temperature),
        Kind::Either(kinds) => {
            kinds.iter().map(|kind| unit(kind, temperature)).find(|it| !it.is_empty()).unwrap_or("")
        }
        _ => "",
    }
}
