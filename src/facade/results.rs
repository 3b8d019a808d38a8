//! What came of a run, by zone and by name.

use super::LedgerLine;
use crate::engine::{Model, StepRow, ZoneIndex};
use crate::measures::{Figure, Summary, ZoneFigures};
use crate::report::Run;
use crate::study::{Finished, Morning};
use crate::time::Instant;

/// What came of a run.
#[derive(Clone, Debug)]
pub struct RunResults {
    model: Model,
    finished: Finished,
    mornings: Vec<Morning>,
}

impl RunResults {
    pub(super) const fn new(model: Model, finished: Finished, mornings: Vec<Morning>) -> Self {
        Self { model, finished, mornings }
    }

    /// What was run. Where the hours of a long run were kept, its period has steps of an hour.
    pub const fn model(&self) -> &Model {
        &self.model
    }

    /// Every figure; it serializes as `summary.json`.
    pub const fn summary(&self) -> &Summary {
        &self.finished.summary
    }

    /// A figure of the whole run by its key in [`FIGURES`](crate::measures::FIGURES), such as
    /// `total_kwh`; `None` where there is none of that name, or the run has none of it.
    pub fn figure(&self, key: &str) -> Option<f64> {
        Figure::named(key)?.of(self.summary())
    }

    /// The zones, in file order.
    pub fn zones(&self) -> impl Iterator<Item = ZoneResults<'_>> {
        (0..self.model.zones.len()).map(|at| ZoneResults { results: self, at: ZoneIndex::new(at) })
    }

    /// The zone of that name in the file.
    pub fn zone(&self, id: &str) -> Option<ZoneResults<'_>> {
        self.zones().find(|zone| zone.id() == id)
    }

    /// The ledger in words, by time.
    pub fn ledger(&self) -> impl Iterator<Item = LedgerLine<'_>> {
        self.finished.ledger.iter().map(|row| LedgerLine::new(&self.model, row))
    }

    /// The steps by time and then by zone; hours of a long run.
    pub fn steps(&self) -> &[StepRow] {
        &self.finished.rows
    }

    /// Whether each zone was ready when somebody came, where a setback ends with a schedule.
    pub fn mornings(&self) -> &[Morning] {
        &self.mornings
    }

    /// Date and time of an instant, local standard time; its `Display` is
    /// `2025-04-16T08:40:00`.
    pub fn date_time(&self, at: Instant) -> jiff::civil::DateTime {
        self.model.period.date_time(at)
    }

    /// Everything together, as the functions of [`report`](crate::report) take it.
    pub fn as_run(&self) -> Run<'_> {
        let Finished { summary, rows, ledger, .. } = &self.finished;
        Run { model: &self.model, rows, ledger, summary }
    }
}

/// What came of a run for one zone.
#[derive(Clone, Copy, Debug)]
pub struct ZoneResults<'a> {
    results: &'a RunResults,
    at: ZoneIndex,
}

impl<'a> ZoneResults<'a> {
    /// Its name in the file.
    pub fn id(&self) -> &'a str {
        &self.results.model.zones[self.at.get()].id
    }

    /// What people call it; its name in the file where it has no label.
    pub fn label(&self) -> &'a str {
        let label = self.results.model.zones[self.at.get()].label.as_str();
        if label.is_empty() { self.id() } else { label }
    }

    /// Its figures.
    pub fn figures(&self) -> &'a ZoneFigures {
        &self.results.finished.summary.zones[self.at.get()].1
    }

    /// Its steps by time; hours of a long run.
    pub fn steps(&self) -> impl Iterator<Item = &'a StepRow> + use<'a> {
        let at = self.at;
        self.results.finished.rows.iter().filter(move |row| row.zone == at)
    }

    /// Its row at or last before an instant; `None` before the first.
    pub fn step_at(&self, at: Instant) -> Option<&'a StepRow> {
        let rows = &self.results.finished.rows;
        let until = rows.partition_point(|row| row.at <= at);
        rows[..until].iter().rev().find(|row| row.zone == self.at)
    }

    /// Its rows of the ledger, by time.
    pub fn ledger(&self) -> impl Iterator<Item = LedgerLine<'a>> + use<'a> {
        let (results, at) = (self.results, self.at);
        let own = results.finished.ledger.iter().filter(move |row| row.zone == at);
        own.map(|row| LedgerLine::new(&results.model, row))
    }
}
