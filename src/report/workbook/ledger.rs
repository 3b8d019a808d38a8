//! The ledger: every request and event, with its reason.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use super::page::{Cell, Page, Shown};
use crate::control::Role;
use crate::engine::{Entry, LedgerRow};

/// The most rows that are written; `ledger.csv` has all of them.
const MOST_ROWS: usize = 100_000;

const HEADS: [&str; 14] = [
    "Time",
    "Zone",
    "Controller",
    "By",
    "Role",
    "Request or event",
    "Outcome",
    "Heat before",
    "Cool before",
    "Heat after",
    "Cool after",
    "Mode after",
    "Power after",
    "Reason",
];

pub(super) fn write(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let compared = subjects.len() > 1;
    let mut widths = vec![17.0, 20.0, 12.0, 16.0, 11.0, 24.0, 11.0];
    widths.extend([8.0; 6]);
    widths.push(90.0);
    let mut heads: Vec<String> = HEADS.iter().map(|head| (*head).to_owned()).collect();
    if compared {
        widths.insert(0, 16.0);
        heads.insert(0, "Variant".into());
    }
    page.widths(&widths, 0)?;
    page.heads(&heads, if compared { 3 } else { 2 })?;
    let rows = subjects.iter().flat_map(|it| it.run.ledger.iter().map(move |row| (it, row)));
    for (subject, row) in rows.take(MOST_ROWS) {
        let name = compared.then(|| Cell::from(subject.name.unwrap_or_default()));
        let cells: Vec<Cell> = name.into_iter().chain(cells(subject, row)).collect();
        page.row(&cells)?;
    }
    page.filter(0, heads.len())?;
    let all: usize = subjects.iter().map(|subject| subject.run.ledger.len()).sum();
    if all > MOST_ROWS {
        page.line(&format!("These are the first {MOST_ROWS} of {all} rows."))?;
    }
    Ok(())
}

fn cells(subject: &Subject, row: &LedgerRow) -> Vec<Cell> {
    let run = &subject.run;
    let mut cells = vec![Cell::Time(run.model.period, row.at), run.label(row.zone).into()];
    match &row.entry {
        Entry::Request { asker, request, outcome, .. } => {
            let controllers = run.zone(row.zone).map(|zone| &zone.controls.settings.controllers);
            let controller = controllers.map_or("", |all| all.id(asker.controller));
            let words = [controller, &asker.by, asker.role.name()].map(Cell::from);
            cells.extend(words);
            cells.push(request.replace('_', " ").into());
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
            cells.push(Cell::Number(grid.map(|grid| grid.value(ticks)), Shown::One));
        }
    }
    let after = [row.after.mode.name(), row.after.power.name(), &row.reason];
    cells.extend(after.map(Cell::from));
    cells
}
