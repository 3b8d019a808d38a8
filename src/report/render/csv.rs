//! Tables as CSV: numbers in the shortest form that reads back the same, blanks where there is
//! nothing. No cell is taken for a formula ([`crate::study::cells`]).

use std::io;

use crate::report::content::{Medium, Table, Value};
use crate::study::cells::harmless;

/// The table with the keys of its columns as its first line.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub(in crate::report) fn table(table: &Table) -> io::Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let columns = table.columns_in(Medium::Csv);
    writer.write_record(columns.iter().map(|place| table.columns[*place].key()))?;
    for row in &table.rows {
        writer.write_record(columns.iter().map(|place| field(&row.cells[*place].value)))?;
    }
    writer.into_inner().map_err(|fault| io::Error::other(fault.to_string()))
}

fn field(value: &Value) -> String {
    match value {
        Value::Nothing => String::new(),
        Value::Words(words) => harmless(words).into_owned(),
        Value::Part(done, all) => format!("{done}/{all}"),
        Value::Time(period, at) => period.timestamp(*at),
        // Adding zero turns -0 into 0.
        Value::Number(value) | Value::Less(.., value) | Value::LessInPercent(.., value) => {
            (value + 0.0).to_string()
        }
    }
}
