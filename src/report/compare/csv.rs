//! `compare.csv`: one row a variant and figure.

use std::io;

use crate::report::content::comparison::long;
use crate::report::render;
use crate::study::Comparison;

/// The comparison as a table of rows; a figure that a run does not have is blank.
///
/// # Errors
/// Those of writing to memory: none that a caller could cause.
pub fn comparison_csv(comparison: &Comparison) -> io::Result<Vec<u8>> {
    render::csv::table(&long(comparison))
}
