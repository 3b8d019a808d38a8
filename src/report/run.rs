//! A finished run, as everything that tells of it takes it.

use crate::engine::{LedgerRow, Model, StepRow, Zone, ZoneIndex};
use crate::measures::Summary;
use crate::study::Contender;

/// One finished run, as every exporter takes it.
#[derive(Clone, Copy, Debug)]
pub struct Run<'a> {
    /// What was run.
    pub model: &'a Model,
    /// Its steps, ordered by time and then by zone; empty where none were kept.
    pub rows: &'a [StepRow],
    /// Its ledger, ordered by time.
    pub ledger: &'a [LedgerRow],
    /// Its figures.
    pub summary: &'a Summary,
}

impl<'a> Run<'a> {
    /// One side of a comparison.
    pub fn of(contender: &'a Contender) -> Self {
        let finished = &contender.finished;
        Self {
            model: &contender.model,
            rows: &finished.rows,
            ledger: &finished.ledger,
            summary: &finished.summary,
        }
    }

    /// The zone of an index, if the model has it.
    pub(super) fn zone(&self, index: ZoneIndex) -> Option<&'a Zone> {
        self.model.zones.get(index.get())
    }

    /// What people call the zone of that id.
    pub(super) fn name_of(&self, id: &str) -> String {
        label_of(self.model, id).to_owned()
    }

    /// What people call a zone; its name in the file where it has no label.
    pub(super) fn label(&self, index: ZoneIndex) -> &'a str {
        self.zone(index).map_or("", |zone| label(zone))
    }
}

/// What people call the zone of that name in the file.
pub(super) fn label_of<'m>(model: &'m Model, id: &'m str) -> &'m str {
    model.zone_named(id).map_or(id, |zone| label(&model.zones[zone.get()]))
}

/// What people call a zone; its name in the file where it has no label.
pub(super) fn label(zone: &Zone) -> &str {
    if zone.label.is_empty() { &zone.id } else { &zone.label }
}
