//! What a specification asks, held against the file: settings are read, claims are proved over
//! everything that occupants can press, figures are those of a run, findings are those of
//! [`check`]. What cannot be shown is said to be so and never counts as shown.
//!
//! ```
//! use setband::scenario::read;
//! use setband::study::reach::MOST_STATES;
//! use setband::study::review::{Conformity, review};
//!
//! let text = "
//! period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall:
//!     space: {floor: 60 m2}
//!     unit: {heating: 4 kW, cooling: 4 kW}
//!     controls: {heat: 20, cool: 24, min_deadband: 2}
//! require:
//!   - {setting: min_deadband, at_least: 2}
//! ";
//! let study = read(text, "hall.yaml", &|_| Err("no files here".into())).expect("a scenario");
//! assert_eq!(review(&study, MOST_STATES, None).rows[0].verdict, Conformity::Holds);
//! ```

mod claims;
mod figures;
mod settings;
mod worst;

pub use figures::Ran;
use figures::Runs;
pub use worst::{Bounded, USUAL_TIME};

use super::audit::{LogFinding, Weight, audit};
use super::check::{Finding, check};
use super::reach::Move;
use super::worst::Press;
use crate::engine::{Model, ZoneIndex};
use crate::measures::ImplausibleAir;
pub use crate::scenario::{Asked, Bounds, Must, Requirement, RunFigure};
use crate::scenario::{Study, VariantFault};
use crate::settings::Value;
use crate::time::{Instant, Seconds};

/// How a requirement fares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Conformity {
    /// It holds.
    Holds,
    /// It does not.
    Fails,
    /// Nothing here shows whether it holds.
    CannotBeShown,
}

impl Conformity {
    /// The word in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Fails => "fails",
            Self::CannotBeShown => "cannot be shown",
        }
    }

    const fn of(holds: bool) -> Self {
        if holds { Self::Holds } else { Self::Fails }
    }
}

/// By what a requirement is shown.
#[derive(Clone, Debug, PartialEq)]
pub enum Evidence {
    /// So many settings were read.
    Read(usize),
    /// So many states were looked at: all that occupants can bring about.
    Proof(usize),
    /// The period of the file was simulated.
    Run,
    /// The settings were looked through.
    Findings,
    /// The log was held against the settings.
    Log,
    /// Everything that can be was bounded.
    Bound(Box<Bounded>),
    /// By nothing, for this reason.
    Nothing(String),
}

/// The value that is nearest to the bound or furthest beyond it.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// In which zone; `None` of all together, or of an outdoor unit.
    pub zone: Option<ZoneIndex>,
    /// What it is.
    pub value: Value,
    /// How far within the bound, in the unit of the value; negative where beyond.
    pub margin: Option<f64>,
}

/// Where a requirement is seen to fail.
#[derive(Clone, Debug, PartialEq)]
pub enum CounterExample {
    /// A setting, by its place in the file: line and column from 1, 0 where it is left out.
    Setting {
        /// The way to it.
        path: String,
        /// Its place.
        place: (u32, u32),
    },
    /// These moves, and no fewer.
    Moves {
        /// In which zone.
        zone: ZoneIndex,
        /// One after the other.
        moves: Vec<Move>,
    },
    /// A time of the period.
    At {
        /// In which zone; `None` of all together.
        zone: Option<ZoneIndex>,
        /// When.
        at: Instant,
    },
    /// A finding.
    Finding(Box<Finding>),
    /// A run that was found, under the extreme weather.
    Worst {
        /// In which zone.
        zone: ZoneIndex,
        /// How far its air gets, in the file's unit.
        air: f64,
        /// How long that takes.
        after: Seconds,
        /// What occupants do for it.
        presses: Vec<Press>,
    },
    /// What the log shows.
    Log(String),
}

/// A requirement, reviewed.
#[derive(Clone, Debug)]
pub struct Reviewed<'s> {
    /// What is asked.
    pub requirement: &'s Requirement,
    /// Of which model: the file as written, or the variant.
    pub model: &'s Model,
    /// How it fares.
    pub verdict: Conformity,
    /// By what.
    pub by: Evidence,
    /// The worst value.
    pub worst: Option<Worst>,
    /// Where it fails.
    pub counter: Option<CounterExample>,
}

/// All requirements of a file, reviewed.
#[derive(Clone, Debug)]
pub struct Review<'s> {
    /// In the order of the file.
    pub rows: Vec<Reviewed<'s>>,
    /// Runs that figures were taken from and whose air is hardly that of a building.
    pub implausible: Vec<(&'s Model, ImplausibleAir)>,
}

impl Review<'_> {
    /// Whether every requirement holds and is shown to.
    pub fn holds(&self) -> bool {
        self.rows.iter().all(|row| row.verdict == Conformity::Holds)
    }

    /// How many requirements fare so.
    pub fn count(&self, verdict: Conformity) -> usize {
        self.rows.iter().filter(|row| row.verdict == verdict).count()
    }
}

/// What one look at a model tells of a requirement.
struct Shown {
    verdict: Conformity,
    by: Evidence,
    worst: Option<Worst>,
    counter: Option<CounterExample>,
}

impl Shown {
    /// Nothing is shown, for this reason.
    fn nothing(why: impl Into<String>) -> Self {
        let (verdict, by) = (Conformity::CannotBeShown, Evidence::Nothing(why.into()));
        Self { verdict, by, worst: None, counter: None }
    }
}

/// Reviews a file. `most_states` bounds the search for what occupants can bring about, in each zone;
/// `ran` is a run of the file or of one of its variants, where there was one.
pub fn review<'s>(study: &'s Study, most_states: usize, ran: Option<Ran<'_>>) -> Review<'s> {
    let mut runs = Runs::new(ran);
    let rows = study.requirements.iter().map(|requirement| {
        let model = match &requirement.variant {
            None => Ok(&study.base),
            Some(name) => study.variant(name),
        };
        let (model, shown) = match model {
            Ok(model) => (model, shown(study, model, requirement, most_states, &mut runs)),
            Err(fault) => (&study.base, Shown::nothing(no_variant(&fault))),
        };
        let Shown { verdict, by, worst, counter } = shown;
        Reviewed { requirement, model, verdict, by, worst, counter }
    });
    let rows: Vec<Reviewed<'_>> = rows.collect();
    let mut implausible: Vec<(&Model, ImplausibleAir)> = Vec::new();
    for row in rows.iter().filter(|row| row.by == Evidence::Run) {
        let told = implausible.iter().any(|(model, _)| model.variant == row.model.variant);
        if !told && let Ok(ran) = runs.of(row.model) {
            let air = ImplausibleAir::of(ran.summary, row.model.unit);
            implausible.extend(air.map(|air| (row.model, air)));
        }
    }
    Review { rows, implausible }
}

fn no_variant(fault: &VariantFault<'_>) -> String {
    match fault {
        VariantFault::Faulty(faults) => {
            let first = faults.as_slice().first().map_or("", |fault| fault.message.as_str());
            format!("the variant cannot be read: {first}")
        }
        VariantFault::Unknown { .. } => "the file has no such variant".into(),
    }
}

fn shown(
    study: &Study,
    model: &Model,
    requirement: &Requirement,
    most_states: usize,
    runs: &mut Runs<'_>,
) -> Shown {
    match &requirement.asked {
        Asked::Setting { entry, end, must } => {
            settings::review(study, model, requirement, (entry, *end), must)
        }
        Asked::Claim(claim) => claims::review(model, requirement, claim, most_states),
        Asked::Figure { figure, of_all, bounds } => {
            runs.review(model, requirement, (*figure, *of_all), bounds)
        }
        Asked::FindingAbsent(code) => absent(study, model, requirement, code),
        Asked::Contradictions(most) => contradictions(model, requirement, *most),
        Asked::Worst { bounds, outdoors, within } => {
            worst::review(study, model, requirement, (bounds, *outdoors, *within))
        }
    }
}

/// How often the log of the file contradicts its settings.
fn contradictions(model: &Model, requirement: &Requirement, most: u64) -> Shown {
    let Some(site) = model.log.as_deref() else {
        return Shown::nothing("the file has no log to hold it against");
    };
    let about = |finding: &LogFinding| {
        finding.weight == Weight::Contradiction
            && (requirement.zones.is_empty()
                || finding.zone.as_ref().is_some_and(|zone| requirement.zones.contains(zone)))
    };
    let found: Vec<LogFinding> = audit(model, site).findings.into_iter().filter(about).collect();
    let count = found.len() as u64;
    let verdict = Conformity::of(count <= most);
    let first = found.into_iter().next().filter(|_| verdict == Conformity::Fails);
    let margin = Some(most as f64 - count as f64);
    Shown {
        verdict,
        by: Evidence::Log,
        worst: Some(Worst { zone: None, value: Value::Number(count as f64), margin }),
        counter: first.map(|finding| CounterExample::Log(finding.message)),
    }
}

fn absent(study: &Study, model: &Model, requirement: &Requirement, code: &str) -> Shown {
    let about = |finding: &Finding| {
        let id = finding.path.strip_prefix("zones.").and_then(|rest| rest.split('.').next());
        requirement.zones.is_empty()
            || id.is_some_and(|id| requirement.zones.iter().any(|zone| zone == id))
    };
    let found = check(study, model, None);
    let first = found.into_iter().find(|finding| finding.code == code && about(finding));
    Shown {
        verdict: Conformity::of(first.is_none()),
        by: Evidence::Findings,
        worst: None,
        counter: first.map(|finding| CounterExample::Finding(Box::new(finding))),
    }
}

/// The zones that a requirement is about.
fn zones_of(model: &Model, requirement: &Requirement) -> Vec<ZoneIndex> {
    let about = |at: &usize| {
        let id = &model.zones[*at].id;
        requirement.zones.is_empty() || requirement.zones.contains(id)
    };
    (0..model.zones.len()).filter(about).map(ZoneIndex::new).collect()
}
