//! The settings record.

use rust_xlsxwriter::{Workbook, XlsxError};

use super::{Subject, sheet};
use crate::engine::Model;
use crate::report::content::{Cell, Column, Quantity, Table, Tone};
use crate::report::settings::settings_record;

pub(super) fn write(workbook: &mut Workbook, subjects: &[Subject]) -> Result<(), XlsxError> {
    let models: Vec<&Model> = subjects.iter().map(|subject| subject.run.model).collect();
    let mut columns = vec![
        Column::new("zone or outdoor unit", Quantity::Name),
        Column::new("setting", Quantity::Name),
    ];
    let names = subjects.iter().map(|it| it.name.unwrap_or("Value").to_owned());
    columns.extend(names.map(|name| Column::new(name, Quantity::Words)));
    if subjects.len() > 1 {
        columns.push(Column::new("differs", Quantity::Name));
    }
    let mut table = Table::new(columns);
    for block in settings_record(&models) {
        for setting in &block.settings {
            let differs = setting.differs();
            let tone = if differs { Tone::Strong } else { Tone::Plain };
            let cell = |words: &str| Cell::toned(words, tone);
            let mut cells = vec![cell(&block.subject), cell(setting.name)];
            cells.extend(setting.values.iter().map(|it| cell(it.as_deref().unwrap_or("-"))));
            cells.extend(differs.then(|| cell("yes")));
            table.row(cells);
        }
    }
    sheet(workbook, "Settings", &table, None)
}
