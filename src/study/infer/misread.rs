//! One line misread: what would explain everything else, if one of the lines that fail is passed over.
//!
//! Together with the settings that explain every line this is the version space of one wrong setting and
//! at most one wrong reading: every such pair under which nothing contradicts what was read.

use super::candidates::Candidates;
use super::explain::explanations;
use super::other_ways::others;
use super::stated::Supposed;
use super::values::settings;
use super::work::Budget;
use super::{Explanation, contradictions, failed_row};
use crate::study::sheet_csv::{Record, Seen, ZoneRecord};

/// So many lines are passed over in turn.
const MOST_LINES: usize = 24;
/// So many settings are named for a line.
const MOST_NAMED: usize = 12;

/// A line that may have been misread, and what explains all others then.
#[derive(Clone, Debug, PartialEq)]
pub struct Misread {
    /// The line.
    pub line: String,
    /// Single settings each of which would explain all other presses; empty where the stated ones do.
    pub explanations: Vec<Explanation>,
}

/// Every line that fails without which one setting, or none, explains all other presses. What cannot be
/// worked out with the budget is left out.
pub(super) fn misread(
    record: &Record,
    zone: &ZoneRecord,
    (stated, may_follow): (&Supposed, bool),
    contradicting: &[String],
    budget: &Budget,
) -> Vec<Misread> {
    let fails = |at: &usize| {
        let row = &zone.rows[*at];
        failed_row(row).is_some_and(|it| !it.is_of_calls()) || contradicting.contains(&row.line)
    };
    // Lines that contradict others first: the budget may end.
    let mut rows: Vec<usize> = (0..zone.rows.len()).filter(fails).collect();
    rows.sort_by_key(|at| !contradicting.contains(&zone.rows[*at].line));
    let mut all = Vec::new();
    for at in rows.into_iter().take(MOST_LINES) {
        let mut other = zone.clone();
        other.rows[at].read = Seen::default();
        let Some(candidates) = Candidates::of(&other, record.unit, may_follow, budget) else {
            break;
        };
        let agree = contradictions(&other, &candidates).is_empty();
        let line = zone.rows[at].line.clone();
        if agree && candidates.admits(stated) {
            all.push(Misread { line, explanations: Vec::new() });
            continue;
        }
        let mut found = Vec::new();
        if agree {
            let known = settings(record, &other, &candidates, Some(stated));
            found = explanations(&candidates, stated, &other, &known);
            found.truncate(MOST_NAMED);
        }
        // Other modes and another unit may agree where none of the candidates does.
        let Some(more) = others(&other, stated, (record, may_follow), budget) else { break };
        found.extend(more.single);
        if !found.is_empty() {
            all.push(Misread { line, explanations: found });
        }
    }
    all
}
