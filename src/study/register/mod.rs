//! The register of a building: from filled sheets and tables alone, for each setting and requirement
//! when it was last shown to hold, by whom and by which line; what failed and was mended; what is owed
//! and what has to wait.
//!
//! A setting counts as shown where every line that a changed value of it would fail was read whole and
//! as expected. What was shown for another value than the latest paper states counts no longer.
//!
//! ```
//! use setband::study::register::{Paper, State, register};
//!
//! let sheet = "line,action,expect_heat,read_heat,shows,tester,date
//! 1,look,20,20,zones.hall.controls.heat = 20,Mara,2026-04-02
//! 2,warmer,20.5,,zones.hall.controls.setpoint_step = 0.5,,
//! ";
//! let paper = Paper::of_sheet("april.csv", sheet).expect("a sheet");
//! let register = register(vec![paper]);
//! let states: Vec<State> = register.entries.iter().map(|it| it.state).collect();
//! assert_eq!(states, [State::Holds, State::Owed]);
//! ```

mod entry;
mod paper;
mod seen;
mod table;
mod weeks;

pub use entry::{Entry, State};
pub use paper::{FailedLine, Paper, PaperKind};
pub use seen::Witnessed;
pub use table::Tables;
pub use weeks::{Day, HOURS, LEAST_DAYS, LEAST_HOURS, Weeks, weeks};

pub use super::sheet_csv::{Need, PutOff, TableFault};
use crate::units::TemperatureUnit;
use entry::entries;

/// A line that failed, and what mended it.
#[derive(Clone, Debug, PartialEq)]
pub struct Failure {
    /// Where, when and by whom it was read.
    pub seen: Witnessed,
    /// What was read.
    pub line: FailedLine,
    /// Where everything that it shows, or the same line, was later read as expected.
    pub mended: Option<Witnessed>,
}

/// A part of a test that still has to wait.
#[derive(Clone, Debug, PartialEq)]
pub struct Waiting {
    /// What, and for what.
    pub part: PutOff,
    /// The paper that put it off.
    pub paper: String,
    /// The unit of the temperatures that it needs.
    pub unit: TemperatureUnit,
}

/// The register.
#[derive(Clone, Debug)]
pub struct Register {
    /// The papers, by their days, those without any first.
    pub papers: Vec<Paper>,
    /// Settings and requirements: zone by zone in the order of the papers, requirements last.
    pub entries: Vec<Entry>,
    /// Lines that failed, in the order of time.
    pub failures: Vec<Failure>,
    /// What has to wait.
    pub waiting: Vec<Waiting>,
}

impl Register {
    /// How many entries are in a state.
    pub fn count(&self, state: State) -> usize {
        self.entries.iter().filter(|it| it.state == state).count()
    }

    /// Whether nothing that failed is still to be mended.
    pub fn holds(&self) -> bool {
        self.count(State::Fails) == 0 && self.failures.iter().all(|it| it.mended.is_some())
    }
}

/// Puts papers together.
pub fn register(mut papers: Vec<Paper>) -> Register {
    papers.sort_by(|one, other| (one.days, &one.name).cmp(&(other.days, &other.name)));
    let entries = entries(&papers);
    let failures = failures(&papers, &entries);
    let waiting = waiting(&papers);
    Register { papers, entries, failures, waiting }
}

/// Every line that failed. It is mended where all that it shows was shown later, or, where it shows
/// nothing of its own, where the same line was read as expected later.
fn failures(papers: &[Paper], entries: &[Entry]) -> Vec<Failure> {
    let mut all = Vec::new();
    for (at, paper) in papers.iter().enumerate() {
        for line in &paper.failed {
            let seen = paper.witnessed(line.date, &line.tester, vec![line.failed.line.clone()]);
            let own = |it: &&Entry| line.subjects.contains(&it.subject);
            let known: Vec<&Entry> = entries.iter().filter(own).collect();
            let shown = known.iter().all(|it| matches!(it.state, State::Mended | State::Holds));
            let mended = if known.is_empty() {
                papers[at..].iter().find_map(|later| later.good_again(line, &paper.name))
            } else if shown {
                known.iter().filter_map(|it| it.shown.clone()).max_by_key(|it| it.date)
            } else {
                None
            };
            all.push(Failure { seen, line: line.clone(), mended });
        }
    }
    all.sort_by_key(|it| it.seen.date);
    all
}

/// What is put off and was not tested on another day.
fn waiting(papers: &[Paper]) -> Vec<Waiting> {
    let mut all: Vec<Waiting> = Vec::new();
    for paper in papers {
        for part in &paper.put_off {
            let tested = papers.iter().any(|other| other.has_tested(&part.zone, &part.part));
            let known = all.iter().any(|it| it.part.zone == part.zone && it.part.part == part.part);
            if !tested && !known {
                all.push(Waiting {
                    part: part.clone(),
                    paper: paper.name.clone(),
                    unit: paper.unit,
                });
            }
        }
    }
    all
}
