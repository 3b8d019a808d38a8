//! From results to bytes and text: CSV, JSON, terminal text and charts.
//!
//! Everything here returns strings or bytes, or writes rows to a writer that the caller gives;
//! nothing opens a file or prints.
pub mod chart;

mod cautions;
mod compare;
mod csv;
mod explanation;
mod figures;
mod findings;
mod fit;
mod headline;
mod highlights;
mod json;
mod owners;
mod parquet;
mod reach;
mod settings;
mod style;
mod table;
mod terminal;

pub use cautions::cautions;
pub use compare::{comparison_csv, comparison_json, comparison_text};
pub use csv::{StepsWriter, ledger_csv, steps_csv};
pub use explanation::{explanation_json, explanation_text};
pub use findings::{findings_json, findings_text};
pub use headline::headline;
pub use json::summary_json;
pub use owners::{owners_json, owners_text};
pub use parquet::StepsParquet;
pub use reach::{Reached, reach_json, reach_text};
pub use settings::{Setting, SettingsBlock, assumptions, settings_record};
pub use style::{Style, Tone};
pub use table::{Cell, Column, Fit, Table};
pub use terminal::run_text;

use crate::engine::{LedgerRow, Model, StepRow, Zone, ZoneIndex};
use crate::measures::Summary;

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
    /// The zone of an index, if the model has it.
    fn zone(&self, index: ZoneIndex) -> Option<&'a Zone> {
        self.model.zones.get(index.get())
    }

    /// What people call a zone; its name in the file where it has no label.
    fn label(&self, index: ZoneIndex) -> &'a str {
        self.zone(index).map_or("", |zone| label(zone))
    }
}

/// What people call a zone; its name in the file where it has no label.
fn label(zone: &Zone) -> &str {
    if zone.label.is_empty() { &zone.id } else { &zone.label }
}
