//! What was fitted, in the text of its file and as one table of draws.

use super::changes::placed;
use super::draws::Draws;
use super::zone_fit::ZoneFit;
use crate::scenario::{Edit, EditFault, edit_with_remarks};

/// The text of a scenario with what was fitted in its place, comments kept; beside each value stands what
/// is to be said of it.
///
/// # Errors
/// A place is written so that no value can be put there, with an anchor for example.
pub fn in_place(text: &str, zones: &[ZoneFit]) -> Result<String, EditFault> {
    let edits = zones.iter().flat_map(|zone| &zone.changes).map(|change| {
        let edit = Edit { path: placed(text, &change.path), value: change.value.clone() };
        (edit, change.remark.clone())
    });
    edit_with_remarks(text, &edits.collect::<Vec<_>>())
}

/// The draws of all zones side by side, by paths as the text has them.
pub fn draws_together(text: &str, zones: &[ZoneFit]) -> Draws {
    let count = zones.iter().map(|zone| zone.draws.rows.len()).min().unwrap_or(0);
    let paths = zones.iter().flat_map(|zone| &zone.draws.paths).map(|path| placed(text, path));
    let row = |draw: usize| zones.iter().flat_map(|zone| zone.draws.rows[draw].clone()).collect();
    Draws { paths: paths.collect(), rows: (0..count).map(row).collect() }
}
