//! `compare.csv`: one row a variant and figure.

use std::io;

use super::unit_words;
use crate::study::{Comparison, differences};

const COLUMNS: [&str; 7] = ["variant", "figure", "unit", "base", "value", "difference", "percent"];

/// The comparison as a table of rows; a figure that a run does not have is blank.
///
/// # Errors
/// Those of writing to memory: none that a caller could cause.
pub fn comparison_csv(comparison: &Comparison) -> io::Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    let model = &comparison.base.model;
    let currency = model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
    for variant in &comparison.variants {
        let all = differences(&comparison.base.finished.summary, &variant.finished.summary);
        for (figure, difference) in all {
            writer.write_record([
                variant.name.as_str(),
                figure.key,
                &unit_words(figure.unit, model.unit, currency),
                &number(difference.base),
                &number(difference.value),
                &number(difference.absolute()),
                &number(difference.percent()),
            ])?;
        }
    }
    writer.into_inner().map_err(|fault| io::Error::other(fault.to_string()))
}

/// In the shortest form that reads back the same.
fn number(value: Option<f64>) -> String {
    // Adding zero turns -0 into 0.
    value.map_or_else(String::new, |value| (value + 0.0).to_string())
}
