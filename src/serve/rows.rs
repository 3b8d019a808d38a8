//! Rows of the ledger as a page shows them.

use std::ops::Range;

use serde::Serialize;

use crate::control::{Side, Stored};
use crate::engine::{Entry, LedgerRow};
use crate::report::{Run, reason_words, request_in_short};

/// A row of the ledger as a page shows it.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Row {
    /// Its place in the ledger of the run: drawings name their requests by it.
    place: usize,
    at: i64,
    clock: String,
    zone: usize,
    zone_label: String,
    by: String,
    role: &'static str,
    controller: String,
    request: String,
    outcome: &'static str,
    heat: (f64, f64),
    cool: (f64, f64),
    mode: &'static str,
    power: &'static str,
    /// Why; empty where the reasons are held back.
    pub(super) reason: String,
}

/// Which rows of a ledger a page that shows a day needs: all, where they are few, or those from that
/// day on, at most so many.
pub(super) fn wanted(ledger: &[LedgerRow], day: i64, few: usize, most: usize) -> Range<usize> {
    if ledger.len() <= few {
        return 0..ledger.len();
    }
    let first = ledger.partition_point(|row| row.at.day() < day);
    first..ledger.len().min(first + most)
}

/// These rows of the ledger, as a page shows them.
pub(super) fn rows(run: &Run<'_>, wanted: Range<usize>) -> Vec<Row> {
    wanted.filter_map(|place| Some(row(run, place, run.ledger.get(place)?))).collect()
}

fn row(run: &Run<'_>, place: usize, row: &LedgerRow) -> Row {
    let zone = &run.model.zones[row.zone.get()];
    let grid = zone.controls.settings.grid;
    let pair = |side: Side| {
        let value = |stored: &Stored| grid.value(stored.setpoints.get(side));
        (value(&row.before), value(&row.after))
    };
    let (by, role, controller, request, outcome) = match &row.entry {
        Entry::Request { asker, what, outcome, .. } => (
            asker.by.to_string(),
            asker.role.name(),
            zone.controls.settings.controllers.id(asker.controller).to_owned(),
            request_in_short(what),
            outcome.name(),
        ),
        Entry::Event(event) => (String::new(), "", String::new(), event.name().to_owned(), "event"),
    };
    Row {
        place,
        at: row.at.get(),
        clock: run.model.period.clock(row.at),
        zone: row.zone.get(),
        zone_label: if zone.label.is_empty() { zone.id.clone() } else { zone.label.clone() },
        by,
        role,
        controller,
        request,
        outcome,
        heat: pair(Side::Heat),
        cool: pair(Side::Cool),
        mode: row.after.mode.name(),
        power: row.after.power.name(),
        reason: reason_words(run.model, row),
    }
}
