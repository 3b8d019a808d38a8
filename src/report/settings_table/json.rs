//! The settings table, its changes and differences for programs.

use serde_json::{Map, Value as Json, json, to_string_pretty};

use crate::study::settings_table::{Cell, CellChange, Differences, Table};

/// `{"rows": [{"zone", "controller", "<key>": value}]}`: a row a zone, another one for each further
/// controller. Keys that say nothing are left out.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn settings_json(table: &Table) -> serde_json::Result<String> {
    let rows = table.rows.iter().map(|row| {
        let mut all = Map::new();
        all.insert("zone".into(), json!(row.zone));
        all.insert("controller".into(), json!(row.controller));
        for (column, cell) in table.columns.iter().zip(&row.cells) {
            if *cell != Cell::Empty {
                all.insert(column.key(), value(cell));
            }
        }
        Json::Object(all)
    });
    to_string_pretty(&json!({ "rows": rows.collect::<Vec<_>>() }))
}

/// `{"changes": [{"cell", "path", "from", "to"}], "new_zones": [...]}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn changes_json(changes: &[CellChange], new: &[String]) -> serde_json::Result<String> {
    let one = |it: &CellChange| {
        json!({"cell": it.at.to_string(), "path": it.path, "from": it.from.to_string(),
               "to": it.to.to_string()})
    };
    let all: Vec<Json> = changes.iter().map(one).collect();
    to_string_pretty(&json!({ "changes": all, "new_zones": new }))
}

/// `{"differences": [{"key", "place", "values": [one, other]}], "only_in": [[...], [...]],
/// "zones_alone"}`: whether only zones were compared, since one of them is a table.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn differences_json(all: &Differences) -> serde_json::Result<String> {
    let of_zones = all.values.iter().map(|it| {
        let values = it.values.each_ref().map(value);
        json!({"key": it.column.key(), "place": it.place, "values": values})
    });
    let beside =
        all.beside.iter().map(|it| json!({"key": it.path, "place": "", "values": it.values}));
    let listed: Vec<Json> = of_zones.chain(beside).collect();
    to_string_pretty(&json!({
        "differences": listed,
        "only_in": all.only_in,
        "zones_alone": all.is_of_rows_alone,
    }))
}

fn value(cell: &Cell) -> Json {
    match cell {
        Cell::Empty => Json::Null,
        Cell::Number(number) => json!(number),
        Cell::Text(text) => json!(text),
    }
}
