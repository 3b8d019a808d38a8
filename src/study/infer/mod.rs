//! From presses and readings at site: which settings agree with them.
//!
//! Every setting that a press can tell of is a candidate in every combination (`candidates`),
//! judged by the control module itself. What no combination explains is named and left out, never
//! averaged. Times are not looked at: what waits and power failures show stands on the sheet.
//!
//! ```
//! use setband::study::{infer::infer, sheet_csv::read_record};
//!
//! // Heat was pressed up twice, and cool gave way by one: the deadband is 3.
//! let table = "action,times,read_heat,read_cool\nlook,,20,24\nwarmer,4,22,25\n";
//! let record = read_record(table).expect("a table");
//! let zones = infer(&record).expect("a table that can be worked out");
//! assert_eq!(zones.len(), 1);
//! ```

mod bits;
mod candidates;
mod counts;
mod explain;
mod facts;
mod family;
mod misread;
mod next;
mod other_ways;
mod presses;
mod search;
mod spread;
mod stated;
mod suspects;
mod trial;
mod values;
mod verdict;
mod ways;
mod work;

pub use super::sheet_csv::{Done, Record, Row, Seen, TableFault, ZoneRecord, read_record};
pub use misread::Misread;
pub use next::NextPress;
pub use suspects::Suspects;
pub use verdict::{Agreement, verdict};

use super::sheet_csv::MODE_OWNER;
use candidates::Candidates;
use stated::Supposed;
use work::Budget;

/// Limits beyond these are none that a controller has: common practice, no source. In C and F.
const EXTREMES: [[f64; 2]; 2] = [[5.0, 40.0], [40.0, 105.0]];

/// A value that a setting may have.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A temperature or a difference, in the file's unit.
    Number(f64),
    /// A word.
    Word(String),
    /// Several words, or none.
    Words(Vec<String>),
}

/// What is known of one setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Inferred {
    /// Its key within the zone, such as `controls.min_deadband`.
    pub key: String,
    /// The values that agree with the readings.
    pub consistent: Vec<Value>,
    /// The value that the table states.
    pub stated: Option<Value>,
}

impl Inferred {
    /// Whether the stated value is among those that agree.
    pub fn agrees(&self) -> Option<bool> {
        self.stated.as_ref().map(|stated| self.consistent.contains(stated))
    }
}

/// A reading that differs from what the sheet expects.
#[derive(Clone, Debug, PartialEq)]
pub struct Failed {
    /// Its line.
    pub line: String,
    /// What was done there.
    pub done: Done,
    /// What was expected and what was read, in the fields that differ.
    pub expected: Seen,
    /// What was read.
    pub read: Seen,
    /// What the line was to show, in the words of the sheet.
    pub shows: String,
}

/// One setting other than stated that would explain every reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Its key.
    pub key: String,
    /// Its value.
    pub value: Value,
}

/// What is known of one zone.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneInference {
    /// The zone's id.
    pub id: String,
    /// How many presses could be used.
    pub presses: usize,
    /// How many lines were read of which something was expected.
    pub lines: usize,
    /// How many lines were not read of which something was expected.
    pub unread: usize,
    /// Its settings.
    pub settings: Vec<Inferred>,
    /// Lines whose readings no settings explain together with the others.
    pub contradictions: Vec<String>,
    /// Lines that read otherwise than expected.
    pub failed: Vec<Failed>,
    /// Single settings that would explain all readings; empty where the stated ones do.
    pub explanations: Vec<Explanation>,
    /// Two settings that together would explain all readings, where no single one does.
    pub pairs: Vec<[Explanation; 2]>,
    /// Lines that may have been misread, with what would explain all others then; looked for where no
    /// setting explains every line.
    pub misread: Vec<Misread>,
    /// What lines of calls and timers may fail by.
    pub suspects: Suspects,
    /// Whether the settings as stated agree with every press; `None` where not all are stated. A
    /// line may still fail: presses tell nothing of calls and their timers.
    pub as_stated: Option<bool>,
    /// The press that tells the remaining candidates apart best.
    pub next: Option<NextPress>,
}

/// Says which settings agree with a record, zone by zone.
///
/// # Errors
/// A zone has more presses over a wider span than can be held against each other in a few seconds.
pub fn infer(record: &Record) -> Result<Vec<ZoneInference>, Vec<TableFault>> {
    let budget = Budget::of_a_table();
    let spare = Budget::of_a_guess();
    let all = record.zones.iter();
    all.map(|zone| of_zone(record, zone, [&budget, &spare]).ok_or_else(|| vec![too_large(zone)]))
        .collect()
}

fn too_large(zone: &ZoneRecord) -> TableFault {
    TableFault {
        line: 0,
        column: 0,
        what: format!(
            "the {} presses of zone `{}` reach over too much to be held against each other",
            facts::facts(zone).len(),
            zone.id
        ),
        help: "split the table: a few hundred presses tell all that presses can tell".into(),
    }
}

/// Whether an owner may decide for a zone.
fn may_follow(record: &Record, zone: &ZoneRecord) -> bool {
    record.zones.len() > 1 || zone.stated(MODE_OWNER).is_some_and(|owner| owner != zone.id)
}

fn of_zone(
    record: &Record,
    zone: &ZoneRecord,
    [budget, spare]: [&Budget; 2],
) -> Option<ZoneInference> {
    let may_follow = may_follow(record, zone);
    let candidates = Candidates::of(zone, record.unit, may_follow, budget)?;
    let supposed = Supposed::stated(zone, record.unit);
    let settings = values::settings(record, zone, &candidates, supposed.as_ref());
    let contradictions = contradictions(zone, &candidates);
    // Where nothing was read every setting is possible, and none is worth a line.
    let unread = candidates.facts.is_empty() && candidates.families.is_empty();
    let settings = if unread { Vec::new() } else { settings };
    let as_stated = supposed.as_ref().filter(|_| !unread).map(|it| candidates.admits(it));
    let differs = supposed
        .as_ref()
        .filter(|_| as_stated == Some(false) || !contradictions.is_empty() && as_stated.is_some());
    let (mut explanations, mut pairs) = (Vec::new(), Vec::new());
    if let Some(supposed) = differs {
        if as_stated == Some(false) {
            explanations = explain::explanations(&candidates, supposed, zone, &settings);
        }
        let others = other_ways::others(zone, supposed, (record, may_follow), budget)?;
        explanations.extend(others.single);
        if explanations.is_empty() && as_stated == Some(false) {
            pairs = other_ways::pairs(&candidates, supposed, zone, &settings);
            pairs.extend(others.pairs);
        }
    }
    let unclear = differs.filter(|_| explanations.is_empty() || !contradictions.is_empty());
    let misread = unclear.map_or_else(Vec::new, |supposed| {
        misread::misread(record, zone, (supposed, may_follow), &contradictions, spare)
    });
    let suspects = suspects::suspects(zone, &contradictions, &settings);
    Some(ZoneInference {
        id: zone.id.clone(),
        presses: candidates.facts.len(),
        lines: compared(zone).filter(|row| !row.read.is_empty()).count(),
        unread: compared(zone).filter(|row| row.read.is_empty()).count(),
        contradictions,
        failed: failed(zone),
        explanations,
        pairs,
        misread,
        suspects,
        as_stated,
        next: next::next_press(&candidates, zone, record.unit),
        settings,
    })
}

/// The lines that no settings explain together with the others. A wrong reading is wrong twice,
/// after its own press and before the next: it is named once.
fn contradictions(zone: &ZoneRecord, candidates: &Candidates) -> Vec<String> {
    let left_out = |at: &usize| candidates.left_out.has(*at);
    let mut rows: Vec<usize> = Vec::new();
    for fact in (0..candidates.facts.len()).filter(left_out) {
        let row = candidates.facts[fact].row;
        if rows.last().is_none_or(|last| last + 1 != row) {
            rows.push(row);
        }
    }
    // Nothing was done, and something else is read.
    for (at, pair) in (1..).zip(zone.rows.windows(2)) {
        let [before, row] = pair else { continue };
        if row.done == Done::Looked
            && !rows.contains(&(at - 1))
            && before.read.contradicts(&row.read)
        {
            rows.push(at);
        }
    }
    rows.sort_unstable();
    rows.into_iter().map(|row| zone.rows[row].line.clone()).collect()
}

/// The lines of which something was expected.
fn compared(zone: &ZoneRecord) -> impl Iterator<Item = &Row> {
    zone.rows.iter().filter(|row| !row.expected.is_empty())
}

/// The fields that were read otherwise than expected.
fn failed(zone: &ZoneRecord) -> Vec<Failed> {
    zone.rows.iter().filter_map(failed_row).collect()
}

/// The fields of one line that were read otherwise than expected.
pub(in crate::study) fn failed_row(row: &Row) -> Option<Failed> {
    fn differ<T: PartialEq + Copy>(expected: &mut Option<T>, read: &mut Option<T>) {
        if expected.is_none() || read.is_none() || expected == read {
            (*expected, *read) = (None, None);
        }
    }
    let (mut expected, mut read) = (row.expected, row.read);
    differ(&mut expected.heat, &mut read.heat);
    differ(&mut expected.cool, &mut read.cool);
    differ(&mut expected.mode, &mut read.mode);
    differ(&mut expected.power, &mut read.power);
    differ(&mut expected.running, &mut read.running);
    differ(&mut expected.refused, &mut read.refused);
    let (line, shows) = (row.line.clone(), row.shows.clone());
    (!read.is_empty()).then_some(Failed { line, done: row.done, expected, read, shows })
}
