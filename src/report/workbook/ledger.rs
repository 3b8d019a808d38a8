//! The ledger: every request and event, with its reason.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use crate::control::Role;
use crate::engine::{Entry, LedgerRow};
use crate::report::content::{Cell, Column, Quantity, Row, Units, Value};
use crate::report::render::xlsx::Sheet;
use crate::report::{reason_words, request_words};

/// The most rows that are written; `ledger.csv` has all of them.
const MOST_ROWS: usize = 100_000;

/// The columns; the names of several runs stand first.
fn columns(subjects: &[Subject]) -> Vec<Column> {
    use Quantity::{Name, Temperature, Time, Words};
    let compared = subjects.len() > 1;
    let heads = [
        ("variant", Name),
        ("time", Time),
        ("zone", Name),
        ("controller", Name),
        ("by", Name),
        ("role", Name),
        ("request or event", Name),
        ("outcome", Name),
        ("heat before", Temperature),
        ("cool before", Temperature),
        ("heat after", Temperature),
        ("cool after", Temperature),
        ("mode after", Name),
        ("power after", Name),
        ("reason", Words),
    ];
    let units = subjects.first().map(|first| Units::of(first.run.model));
    let column = |(head, quantity)| match units {
        Some(units) => Column::in_unit(head, quantity, units),
        None => Column::new(head, quantity),
    };
    heads.into_iter().skip(usize::from(!compared)).map(column).collect()
}

pub(super) fn write(page: &mut Sheet, subjects: &[Subject]) -> Result<(), XlsxError> {
    let columns = columns(subjects);
    let places: Vec<usize> = (0..columns.len()).collect();
    page.heads(&columns, &places)?;
    let rows = subjects.iter().flat_map(|it| it.run.ledger.iter().map(move |row| (it, row)));
    for (subject, row) in rows.take(MOST_ROWS) {
        let name = subject.name.map(Cell::from);
        let cells = name.into_iter().chain(cells(subject, row)).collect();
        page.row(&columns, &places, &Row { cells, quantity: None })?;
    }
    page.filter()?;
    let all: usize = subjects.iter().map(|subject| subject.run.ledger.len()).sum();
    if all > MOST_ROWS {
        page.line(&format!("These are the first {MOST_ROWS} of {all} rows."))?;
    }
    Ok(())
}

fn cells(subject: &Subject, row: &LedgerRow) -> Vec<Cell> {
    let run = &subject.run;
    let time = Value::Time(run.model.period, row.at);
    let mut cells: Vec<Cell> = vec![time.into(), run.label(row.zone).into()];
    match &row.entry {
        Entry::Request { asker, what, outcome, .. } => {
            let controllers = run.zone(row.zone).map(|zone| &zone.controls.settings.controllers);
            let controller = controllers.map_or("", |all| all.id(asker.controller));
            let words = [controller, &asker.by, asker.role.name()].map(Cell::from);
            cells.extend(words);
            cells.push(request_words(what).replace('_', " ").into());
            cells.push(outcome.name().replace('_', " ").into());
        }
        Entry::Event(kind) => {
            let person = kind.person().and_then(|person| run.model.people.get(person.get()));
            let (by, role) =
                person.map_or(("", ""), |person| (&*person.shown, Role::Occupant.name()));
            cells.extend(["", by, role, kind.name(), "event"].map(Cell::from));
        }
    }
    let grid = run.zone(row.zone).map(|zone| zone.controls.settings.grid);
    for stored in [&row.before, &row.after] {
        for ticks in [stored.setpoints.heat(), stored.setpoints.cool()] {
            cells.push(grid.map(|grid| grid.value(ticks)).into());
        }
    }
    cells.extend([row.after.mode.name(), row.after.power.name()].map(Cell::from));
    cells.push(reason_words(run.model, row).into());
    cells
}
