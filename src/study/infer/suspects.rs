//! Which settings may be behind lines that fail though every press agrees with what is stated: those
//! that the first of these lines shows, in the words of the sheet itself.

use super::{Inferred, failed_row};
use crate::study::sheet_csv::{Row, ZoneRecord};

/// What lines of calls and timers may fail by.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Suspects {
    /// The settings that the first line shows which fails: they cannot be told apart by it.
    pub first: Vec<String>,
    /// Those of the next line which fails, where the first may have been misread.
    pub next: Vec<String>,
}

/// The suspects of a zone. Lines that contradict the others, and settings of which presses tell, are
/// left out.
pub(super) fn suspects(
    zone: &ZoneRecord,
    contradictions: &[String],
    told: &[Inferred],
) -> Suspects {
    let failing = zone.rows.iter().filter(|row| {
        failed_row(row).is_some_and(|it| it.is_of_calls()) && !contradictions.contains(&row.line)
    });
    let of = |row: &Row| -> Vec<String> {
        let own = format!("zones.{}.", zone.id);
        let keys = row
            .claims
            .iter()
            .map(|claim| claim.subject.strip_prefix(&own).unwrap_or(&claim.subject).to_owned());
        keys.filter(|key| !key.contains("key_locks") && told.iter().all(|it| it.key != *key))
            .collect()
    };
    let mut all = failing.map(of).filter(|keys| !keys.is_empty());
    let first = all.next().unwrap_or_default();
    let next = all.find(|keys| keys.iter().any(|key| !first.contains(key))).unwrap_or_default();
    Suspects { first, next }
}
