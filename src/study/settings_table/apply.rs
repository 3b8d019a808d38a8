//! The values of a filled table written into the text of a scenario.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::cells::{Address, Cell};
use super::read::{Filled, TableFault};
use super::table::Column;
use crate::control::LockableKey;
use crate::engine::{Model, Zone, ZoneIndex};
use crate::scenario::{Edit, nearest};
use crate::settings::controls::{CONTROLLER_LOCKS, CONTROLLERS, KEYS_LOCKED, LOCK_IN_FORCE};
use crate::settings::{Access, Entry, Kind, Subject, Value};
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// One value that the table changes.
#[derive(Clone, Debug)]
pub struct CellChange {
    /// Its cell.
    pub at: Address,
    /// Where it stands in the file.
    pub path: String,
    /// What people call it, with the zone before it.
    pub name: String,
    /// What it is in the file.
    pub from: Value,
    /// What the table says.
    pub to: Value,
    /// Which setting.
    pub entry: Entry,
    /// Whose it is.
    subject: Subject,
}

/// What a table changes.
#[derive(Clone, Debug)]
pub struct Changes {
    /// The values, row by row.
    pub cells: Vec<CellChange>,
    /// The same as edits of the file's text.
    pub edits: Vec<Edit>,
}

/// Zones that the table has and the model lacks, each once.
pub fn new_zones(model: &Model, filled: &Filled) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for (_, row) in &filled.rows {
        let known = model.zones.iter().any(|zone| zone.id == row.zone);
        if !known && !all.contains(&row.zone) {
            all.push(row.zone.clone());
        }
    }
    all
}

/// Zones made like another one, as edits of a text whose whole content this is. Where an outdoor
/// unit names the zones on it, they come to those of the other one.
pub fn like(content: &Json, zone: &str, new: &[String]) -> Option<Vec<Edit>> {
    let model = content.get("zones")?.get(zone)?;
    let made = |id: &String| {
        let mut block = model.clone();
        if let Some(block) = block.as_object_mut() {
            block.insert("label".into(), json!(id));
        }
        Edit { path: format!("zones.{id}"), value: block }
    };
    let mut edits: Vec<Edit> = new.iter().map(made).collect();
    let units = content.get("outdoor_units").and_then(Json::as_object);
    let single = content.get("outdoor_unit").map(|unit| ("outdoor_unit".to_owned(), unit));
    let several = units.into_iter().flatten();
    let several = several.map(|(id, unit)| (format!("outdoor_units.{id}"), unit));
    for (path, unit) in several.chain(single) {
        let Some(on_it) = unit.get("zones").and_then(Json::as_array) else { continue };
        if on_it.iter().any(|id| id.as_str() == Some(zone)) {
            let all = on_it.iter().cloned().chain(new.iter().map(|id| json!(id)));
            edits.push(Edit { path: format!("{path}.zones"), value: all.collect() });
        }
    }
    Some(edits)
}

/// What a table changes in a model; `is_written` says whether the file has something at a path.
/// Empty cells change nothing.
///
/// # Errors
/// Everything that is wrong with the table, and every zone, controller and value that the model
/// cannot have, with its cell.
pub fn changes(
    model: &Model,
    filled: &Filled,
    is_written: impl Fn(&str) -> bool,
) -> Result<Changes, Vec<TableFault>> {
    let (mut cells, mut faults) = (Vec::new(), filled.faults.clone());
    for (row, (_, line)) in filled.rows.iter().enumerate() {
        let Some(zone) = model.zone_named(&line.zone).map(ZoneIndex::get) else {
            let near = nearest(&line.zone, model.zones.iter().map(|zone| zone.id.as_str()));
            let help = format!(
                "the nearest is `{}`; --like ZONE makes a new zone like another",
                near.unwrap_or_default()
            );
            let what = format!("the file has no zone `{}`", line.zone);
            faults.push(TableFault::new(filled.zone_address(row), what, help));
            continue;
        };
        let controllers = &model.zones[zone].controls.settings.controllers;
        let place = match controllers.find(&line.controller) {
            Some(index) => index.get(),
            None if line.controller.is_empty() => 0,
            None => {
                let ids: Vec<&str> =
                    controllers.as_slice().iter().map(|it| it.id.as_str()).collect();
                let what = format!("`{}` has no controller `{}`", line.zone, line.controller);
                let help = format!("it has {}", ids.join(" and "));
                faults.push(TableFault::new(filled.zone_address(row), what, help));
                continue;
            }
        };
        let mut taken: Vec<usize> = Vec::new();
        for (at, (_, column)) in filled.columns.iter().enumerate() {
            if line.cells[at] == Cell::Empty || taken.contains(&at) {
                continue;
            }
            let subject = match column.entry.setting.access {
                Access::Controller { .. } => Subject::Controller(zone, place),
                _ => Subject::Zone(zone),
            };
            let present = column.entry.get(model, subject);
            let value = value_of(filled, row, at, &present, model, &mut taken);
            match value {
                Err(fault) => faults.push(fault),
                Ok(value) if same(&value, &present) => {}
                Ok(to) => cells.push(CellChange {
                    at: filled.address(row, at),
                    path: column.entry.path(model, subject),
                    name: format!("{}: {}", line.zone, column.entry.setting.name),
                    from: present,
                    to,
                    entry: column.entry,
                    subject,
                }),
            }
        }
    }
    if !faults.is_empty() {
        faults.sort_by_key(|fault| fault.at);
        return Err(faults);
    }
    let edits = edits(model, &cells, is_written);
    Ok(Changes { cells, edits })
}

fn same(one: &Value, other: &Value) -> bool {
    let near = |one: f64, other: f64| (one - other).abs() < 1e-6 * one.abs().max(1.0);
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => near(*one, *other),
        (Value::Span(one), Value::Span(other)) => near(one[0], other[0]) && near(one[1], other[1]),
        _ => one == other,
    }
}

/// The value of a cell; of a span with its other end, which is then taken.
fn value_of(
    filled: &Filled,
    row: usize,
    at: usize,
    present: &Value,
    model: &Model,
    taken: &mut Vec<usize>,
) -> Result<Value, TableFault> {
    let (_, column) = &filled.columns[at];
    let cells = &filled.rows[row].1.cells;
    let Some(end) = column.end else {
        return single(&cells[at], column, model.unit)
            .map_err(|(what, help)| TableFault::new(filled.address(row, at), what, help));
    };
    let mut span = if let Value::Span(span) = present { *span } else { [0.0; 2] };
    let path = column.entry.key.path;
    let other =
        filled.columns.iter().position(|(_, it)| it.entry.key.path == path && it.end != Some(end));
    for place in std::iter::once(at).chain(other) {
        let Some(end) = filled.columns[place].1.end else { continue };
        match &cells[place] {
            Cell::Empty => {}
            cell => {
                span[end] = cell.number().ok_or_else(|| {
                    let what = format!("`{cell}` is no number");
                    let address = filled.address(row, place);
                    TableFault::new(address, what, "write a number, as in 21.5")
                })?;
            }
        }
    }
    taken.extend(other);
    Ok(Value::Span(span))
}

/// What a cell says, as the settings of a scenario are told: `10 min` and not 10. As it stands where
/// it is no value of its column.
pub(in crate::study) fn in_words(cell: &Cell, column: &Column, unit: TemperatureUnit) -> String {
    let value = match (column.end, cell.number()) {
        (Some(_), number) => number.map(Value::Number),
        (None, _) => single(cell, column, unit).ok(),
    };
    value.map_or_else(|| cell.to_string(), |value| value.to_string())
}

fn single(cell: &Cell, column: &Column, unit: TemperatureUnit) -> Result<Value, (String, String)> {
    let kind = &column.entry.key.kind;
    match (cell.number(), kind) {
        (Some(number), Kind::Duration(_)) => {
            let seconds = libm::round(number * 60.0);
            if !(0.0..=1e9).contains(&seconds) || (seconds - number * 60.0).abs() > 1e-3 {
                let what = format!("{number} min is no whole number of seconds from 0 up");
                return Err((what, "write minutes, as in 10".into()));
            }
            #[expect(clippy::cast_possible_truncation, reason = "it lies within 0 and 1e9")]
            let seconds = Seconds::new(seconds as i64);
            Ok(Value::Time(seconds))
        }
        (Some(number), Kind::Size(..) | Kind::SizeOrBare(..)) => Ok(Value::Number(number)),
        (_, kind) => Value::read(&cell.to_string(), kind, unit).ok_or_else(|| {
            let what = format!("`{cell}` is no value of {}", column.key());
            let choices = column.choices();
            let help = match kind {
                Kind::Words(words, _) => {
                    format!("write words with spaces between ({}), or none", words.join(", "))
                }
                _ if !choices.is_empty() => format!("choose one of {}", choices.join(", ")),
                _ => "write a number, as in 21.5".into(),
            };
            (what, help)
        }),
    }
}

/// A value as the file has it.
fn written(value: &Value, kind: &Kind) -> Json {
    match (value, kind) {
        (Value::Time(time), _) => {
            let seconds = time.get();
            json!(if seconds % 60 == 0 {
                format!("{} min", seconds / 60)
            } else {
                format!("{seconds} s")
            })
        }
        (Value::Number(number), Kind::Size(dimension, _)) => {
            json!(format!("{number} {}", dimension.base()))
        }
        (Value::Number(number), _) => json!(number),
        (Value::Flag(flag), _) => json!(flag),
        (Value::Word(word), _) => json!(word),
        (Value::Words(words), _) => json!(words),
        (Value::Span(span), _) => json!(span),
        (Value::Nothing, _) => Json::Null,
    }
}

fn edits(model: &Model, cells: &[CellChange], is_written: impl Fn(&str) -> bool) -> Vec<Edit> {
    let mut all = Vec::new();
    // A lock is written whole, and a list of controllers, too, where the file has none.
    let mut locks: BTreeMap<(usize, usize), [Option<Value>; 2]> = BTreeMap::new();
    for change in cells {
        let key = change.entry.key;
        match change.subject {
            Subject::Controller(zone, place)
                if [KEYS_LOCKED.path, LOCK_IN_FORCE.path].contains(&key.path) =>
            {
                let slot = usize::from(key.path == LOCK_IN_FORCE.path);
                locks.entry((zone, place)).or_default()[slot] = Some(change.to.clone());
            }
            _ => {
                let value = written(&change.to, &key.kind);
                all.push(Edit { path: change.path.clone(), value });
            }
        }
    }
    all.extend(locks.into_iter().map(|((zone, place), [keys, in_force])| {
        lock(&model.zones[zone], place, keys, in_force, &is_written)
    }));
    all
}

fn lock(
    zone: &Zone,
    place: usize,
    keys: Option<Value>,
    in_force: Option<Value>,
    is_written: &impl Fn(&str) -> bool,
) -> Edit {
    let settings = &zone.controls.settings;
    let present = settings.key_locks[place];
    let keys = keys.unwrap_or_else(|| Value::words(present.keys().map(LockableKey::name)));
    let in_force = in_force.unwrap_or(Value::Flag(present.is_in_force()));
    let lock = json!({
        KEYS_LOCKED.name: written(&keys, &KEYS_LOCKED.kind),
        LOCK_IN_FORCE.name: written(&in_force, &LOCK_IN_FORCE.kind),
    });
    let list = format!("zones.{}.{}", zone.id, CONTROLLERS.path);
    if is_written(&list) {
        let path = CONTROLLER_LOCKS.path.replace("[]", &format!("[{place}]"));
        return Edit { path: format!("zones.{}.{path}", zone.id), value: lock };
    }
    let id = settings.controllers.as_slice()[place].id.as_str();
    let controller = json!([{ "id": id, "primary": true, CONTROLLER_LOCKS.name: lock }]);
    Edit { path: list, value: controller }
}
