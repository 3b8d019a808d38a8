//! What a weather file gives on average, and what its sun and sky send onto a building.

use serde_json::{Value, json};

use super::Climate;
use crate::report::content::{self, Cell, Column, Table};
use crate::report::figures::{month as month_of, one_digit, unit_sign};
use crate::weather::{Face, MonthOfLight, Quantity};

/// Over the sums of radiation.
pub(in crate::report) const LIGHT_TITLE: &str = "Sun and sky onto each face of a building, kWh/m2";
pub(super) const LIGHT_NOTE: &str = "Flat roof and upright walls, with a ground that throws back a fifth; the sky \
                          brighter round the sun and near the horizon (Perez and others 1990).";

/// Why there are no sums of radiation.
pub(super) fn no_light(climate: &Climate) -> &'static str {
    if climate.file.light(climate.stamp).is_none() {
        "The file has no radiation: a scenario with windows needs `radiation:` or `sky: clear` \
         beside it."
    } else {
        "The file does not say where it was measured; with --site LATITUDE,LONGITUDE,UTC its \
         radiation is shown by month and face."
    }
}

/// The means of what the file gives, as a sentence.
pub(super) fn means(climate: &Climate) -> String {
    let mean = |quantity: Quantity| {
        let mean = climate.file.mean(quantity)?;
        let (_, _, unit) = quantity.accepted();
        let (value, unit) = match quantity {
            Quantity::DryBulb | Quantity::DewPoint => {
                (climate.shown(mean), unit_sign(climate.unit))
            }
            _ => (mean, unit),
        };
        Some(format!("{} {} {unit}", quantity.name(), one_digit(value)))
    };
    let all: Vec<String> = Quantity::ALL.into_iter().filter_map(mean).collect();
    format!("Means of what is written: {}.", all.join(", "))
}

pub(super) fn light_table(months: &[MonthOfLight]) -> Table {
    let mut columns = vec![Column::new("month", content::Quantity::Name)];
    let face = |face: Face| Column::new(face.name(), content::Quantity::Count);
    columns.extend(Face::ALL.map(face));
    let mut table = Table::new(columns);
    let cells = |name: String, faces: &[f64]| {
        let values = faces.iter().map(|value| Cell::from(*value));
        std::iter::once(Cell::from(name)).chain(values).collect::<Vec<_>>()
    };
    let years = months.first().zip(months.last());
    let several = years.is_some_and(|(one, other)| one.first.year() != other.first.year());
    for month in months {
        let name = month_of(month.first);
        let name = if several { format!("{name} {}", month.first.year()) } else { name.into() };
        table.row(cells(name, &month.faces));
    }
    table.row(cells("all".into(), &all_months(months)));
    table
}

/// By face, kWh/m2.
pub(super) fn all_months(months: &[MonthOfLight]) -> [f64; Face::ALL.len()] {
    std::array::from_fn(|face| months.iter().map(|month| month.faces[face]).sum())
}

/// Means under the names that people call them by, temperatures in the unit shown.
pub(super) fn means_json(climate: &Climate) -> Value {
    let mean = |quantity: Quantity| {
        let mean = climate.file.mean(quantity)?;
        let shown = match quantity {
            Quantity::DryBulb | Quantity::DewPoint => climate.shown(mean),
            _ => mean,
        };
        Some((quantity.name().replace([' ', '-'], "_"), json!(shown)))
    };
    Value::Object(Quantity::ALL.into_iter().filter_map(mean).collect())
}

pub(super) fn light_json(months: &[MonthOfLight]) -> Value {
    let faces = |values: &[f64]| -> Value {
        let pairs = Face::ALL.into_iter().zip(values);
        Value::Object(pairs.map(|(face, value)| (face.name().into(), json!(value))).collect())
    };
    let month = |month: &MonthOfLight| {
        let mut value = faces(&month.faces);
        value["month"] = json!(month.first.month());
        value["year"] = json!(month.first.year());
        value
    };
    json!({
        "months": months.iter().map(month).collect::<Vec<_>>(),
        "all": faces(&all_months(months)),
    })
}
