//! `sheet.csv`, with the words of its lines. The table itself stands where it is read again.

use super::Sheeted;
use super::words::{deed_words, part_words};
use crate::study::sheet::{Deed, Step};
use crate::study::sheet_csv::{Words, write};

/// The whole file.
///
/// # Errors
/// Those of the CSV writer, which an unbounded buffer gives no reason for.
pub fn sheet_csv(sheeted: &Sheeted<'_>) -> Result<Vec<u8>, csv::Error> {
    write(sheeted.model, &sheeted.sheet.steps, |step: &Step| Words {
        part: part_words(step.part),
        proves: match &step.deed {
            Deed::Restore { .. }
            | Deed::Leave
            | Deed::Return
            | Deed::Window(_)
            | Deed::Outdoors(_)
            | Deed::Clock(_) => {
                let proof = sheeted.proof(step);
                if proof.is_empty() {
                    deed_words(step)
                } else {
                    format!("{}: {proof}", deed_words(step))
                }
            }
            _ => sheeted.proof(step),
        },
    })
}
