//! The settings table as CSV and as a workbook, and what is said of a table that was read.

mod json;
#[cfg(feature = "cli")]
mod workbook;

use std::fmt::Write as _;

use super::figures;
use super::render::fit::clean;
use crate::settings::Value;
use crate::study::cells::harmless;
use crate::study::settings_table::{
    CONTROLLER, Cell, CellChange, Column, Difference, Differences, Table, TableFault, ZONE,
};

pub use json::{changes_json, differences_json, settings_json};
#[cfg(feature = "cli")]
pub use workbook::settings_workbook;

/// The sheets of the workbook: what was specified, found and left.
pub const SHEETS: [&str; 3] = ["specified", "found", "left"];

/// The heading of a column with its unit: `Heat setpoint, °C`.
fn heading(column: &Column, table: &Table) -> String {
    let unit = column.unit(table.unit);
    if unit.is_empty() { column.heading() } else { format!("{} ({unit})", column.heading()) }
}

/// The table as CSV: a line of words, a line of keys, a line a row.
///
/// # Errors
/// Those of the CSV writer, which an unbounded buffer gives no reason for.
pub fn settings_csv(table: &Table) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let head = |own: [&str; 2], of: &dyn Fn(&Column) -> String| {
        let own = own.map(str::to_owned).into_iter();
        own.chain(table.columns.iter().map(of)).collect::<Vec<String>>()
    };
    writer.write_record(head(["Zone", "Controller"], &|column| heading(column, table)))?;
    writer.write_record(head([ZONE, CONTROLLER], &Column::key))?;
    for row in &table.rows {
        let own = [row.zone.clone(), row.controller.clone()].into_iter();
        let cell = |cell: &Cell| match cell {
            Cell::Text(text) => harmless(text).into_owned(),
            cell => cell.to_string(),
        };
        let own = own.map(|name| harmless(&name).into_owned());
        writer.write_record(own.chain(row.cells.iter().map(cell)))?;
    }
    writer.into_inner().map_err(|error| error.into_error().into())
}

/// What a table changes, a line a value, alike ones of several zones on one.
pub fn changes_text(changes: &[CellChange]) -> String {
    let mut folded: Vec<(String, Vec<&str>)> = Vec::new();
    for change in changes {
        let (zone, name) = change.name.split_once(": ").unwrap_or(("", &change.name));
        let line = format!("{name}: {} becomes {}", said(&change.from), change.to);
        match folded.iter_mut().find(|(known, _)| *known == line) {
            Some((_, zones)) => zones.push(zone),
            None => folded.push((line, vec![zone])),
        }
    }
    if changes.is_empty() {
        return "No value of the table differs from the file: nothing changes.\n".into();
    }
    let count = figures::count(changes.len() as u64, "value");
    let mut out = format!("{count} changed.\n");
    for (line, zones) in folded {
        let _ = writeln!(out, "  {} ({})", clean(&line), clean(&zones.join(", ")));
    }
    out
}

fn said(value: &Value) -> String {
    if *value == Value::Nothing { "nothing".into() } else { value.to_string() }
}

/// Where two tables differ: by setting, zones with the same two values together; then by zone.
pub fn differences_text(names: [&str; 2], all: &Differences) -> String {
    let rows_alone = "Outdoor units and daily schedules stand in no table and were not compared.\n";
    let rows_alone = if all.is_of_rows_alone { rows_alone } else { "" };
    let names = names.map(clean);
    if all.is_empty() {
        return format!("{} and {} have the same settings.\n{rows_alone}", names[0], names[1]);
    }
    let count = (all.values.len() + all.beside.len()) as u64;
    let mut out = if count == 0 {
        "The zones of both have the same settings, and not the same zones are in both.\n".into()
    } else {
        let count = figures::count(count, "difference");
        format!("{count} between {} and {}.\n", names[0], names[1])
    };
    let mut folded: Vec<(String, Vec<&Difference>)> = Vec::new();
    for it in &all.values {
        let shown = |cell: &Cell| match cell {
            Cell::Empty => "nothing".to_owned(),
            cell => cell.to_string(),
        };
        let (heading, key) = (it.column.heading(), it.column.key());
        let line =
            format!("{heading} ({key}): {} and {}", shown(&it.values[0]), shown(&it.values[1]));
        match folded.iter_mut().find(|(known, _)| *known == line) {
            Some((_, places)) => places.push(it),
            None => folded.push((line, vec![it])),
        }
    }
    for (line, places) in folded {
        let _ = writeln!(out, "  {}: {}", clean(&line), clean(&runs(&places)));
    }
    for it in &all.beside {
        let [one, other] = &it.values;
        let shown = |value: &Option<String>| value.clone().unwrap_or_else(|| "nothing".into());
        let line = format!("{} ({}): {} and {}", it.name, it.path, shown(one), shown(other));
        let _ = writeln!(out, "  {}", clean(&line));
    }
    for (name, zones) in names.iter().zip(&all.only_in) {
        if !zones.is_empty() {
            let _ = writeln!(out, "  only in {name}: {}", clean(&zones.join(", ")));
        }
    }
    by_zone(all, &mut out);
    out + rows_alone
}

/// Zones one after the other in the table as `first to last (n zones)`.
fn runs(places: &[&Difference]) -> String {
    /// Fewer are named each.
    const FOLDED_FROM: usize = 3;
    let mut all: Vec<String> = Vec::new();
    for run in places.chunk_by(|one, other| one.row + 1 == other.row) {
        match run {
            [first, .., last] if run.len() >= FOLDED_FROM => {
                all.push(format!("{} to {} ({} rows)", first.place, last.place, run.len()));
            }
            _ => all.extend(run.iter().map(|it| it.place.clone())),
        }
    }
    all.join(", ")
}

/// How many settings differ in each zone, where several do.
fn by_zone(all: &Differences, out: &mut String) {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    let mut ordered: Vec<&Difference> = all.values.iter().collect();
    ordered.sort_by_key(|it| it.row);
    for it in ordered {
        match counts.last_mut() {
            Some((place, count)) if *place == it.place => *count += 1,
            _ => counts.push((&it.place, 1)),
        }
    }
    if counts.len() < 2 {
        return;
    }
    out.push_str("By zone:\n");
    for run in counts.chunk_by(|one, other| one.1 == other.1) {
        let count = figures::count(run[0].1 as u64, "setting");
        let places: Vec<&str> = run.iter().map(|(place, _)| *place).collect();
        let words = match places.as_slice() {
            [first, .., last] if places.len() > 2 => format!("{first} to {last}"),
            few => few.join(", "),
        };
        let _ = writeln!(out, "  {}: {count}", clean(&words));
    }
}

/// Everything that is wrong with a table, each fault with its cell.
pub fn cell_faults(file: &str, faults: &[TableFault]) -> String {
    let mut out = String::new();
    for fault in faults {
        let place = fault.at.map_or_else(String::new, |at| format!(", cell {at}"));
        let (what, help) = (clean(&fault.what), clean(&fault.help));
        let _ = write!(out, "error: {what}\n --> {file}{place}\n = help: {help}\n\n");
    }
    out + &figures::count(faults.len() as u64, "fault") + " in " + file
}
