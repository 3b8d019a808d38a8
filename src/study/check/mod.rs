//! Findings about the settings of a scenario, without a simulation.
//!
//! Each finding has a code that stays the same for ever, the place in the file, what follows from
//! it, what would mend it, and where the demand comes from. Which energy code applies is the
//! user's choice; with none chosen all three that are known are looked at, as mere notes.

mod away_codes;
mod calls;
mod capacity;
mod codes;
mod critical;
mod deadband;
mod display;
mod effect;
mod faults;
mod freeze;
mod groups;
mod idle;
mod limits;
mod locks;
mod machines;
mod owner;
mod presence;
mod ranges;
mod schedule;
mod setback;
mod sun;
mod zone;

pub use codes::EnergyCode;
pub use critical::is_critical_room;
pub use faults::explain_faults;
pub use sun::under_clear_sky;
pub(crate) use zone::listed;

use zone::ZoneAt;

use crate::engine::Model;
pub use crate::scenario::Consequence;
use crate::scenario::{KnownFinding, Study};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It stops the file from running.
    Error,
    /// It breaks a demand, or something will not do what it looks like.
    Warning,
    /// It is legal and worth knowing.
    Note,
}

impl Severity {
    /// The word in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// One thing worth knowing about the settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What kind of finding, the same for ever: `lock-not-in-force`.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// Line in the file, from 1; 0 where it has none.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// Where in the file's structure.
    pub path: String,
    /// What is so, and what follows from it.
    pub message: String,
    /// What would mend it.
    pub remedy: String,
    /// Where the demand comes from.
    pub source: String,
}

impl Finding {
    fn new(severity: Severity, code: &'static str, path: String, message: String) -> Self {
        let (remedy, source) = (String::new(), String::new());
        Self { code, severity, line: 0, column: 0, path, message, remedy, source }
    }

    fn warning(code: &'static str, path: String, message: String) -> Self {
        Self::new(Severity::Warning, code, path, message)
    }

    fn note(code: &'static str, path: String, message: String) -> Self {
        Self::new(Severity::Note, code, path, message)
    }

    /// What it can bring about.
    pub fn consequence(&self) -> Consequence {
        KnownFinding::named(self.code).map_or(Consequence::Paper, |known| known.consequence)
    }

    /// Says what would mend it.
    fn mend(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }

    /// Says where the demand comes from.
    fn cite(mut self, source: impl Into<String>) -> Self {
        self.source = source.into();
        self
    }
}

/// Looks through the settings of a model that was read from a study's file. Errors come first, then
/// warnings, then notes; among these the gravest consequence, then the order of the file.
pub fn check(study: &Study, model: &Model, code: Option<EnergyCode>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for at in 0..model.zones.len() {
        let zone = ZoneAt::new(model, at);
        ranges::check(&zone, &mut findings);
        deadband::check(&zone, code, &mut findings);
        display::check(&zone, &mut findings);
        locks::check(&zone, &mut findings);
        calls::check(&zone, &mut findings);
        capacity::check(&zone, &mut findings);
        machines::check(study, &zone, &mut findings);
        freeze::check(&zone, &mut findings);
        setback::check(&zone, code, &mut findings);
        schedule::check(&zone, &mut findings);
        limits::check(study, &zone, &mut findings);
        presence::check(&zone, &mut findings);
        effect::check(&zone, &mut findings);
    }
    capacity::among_others(model, &mut findings);
    groups::check(model, &mut findings);
    owner::check(model, &mut findings);
    sun::check(model, &mut findings);
    idle::check(model, &mut findings);
    for finding in &mut findings {
        (finding.line, finding.column) = study.place(&finding.path).unwrap_or_default();
        if finding.consequence() == Consequence::Paper {
            finding.severity = finding.severity.max(Severity::Note);
        }
    }
    findings.sort_by_key(|it| (it.severity, it.consequence(), it.line, it.column));
    findings
}
