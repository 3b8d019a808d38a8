//! `compare.json`.

use serde_json::{Map, Value, json};

use crate::study::{Comparison, Contender, differences};

/// The comparison for programs: the summary of the base and of each variant, and every figure's
/// difference.
///
/// # Errors
/// Whatever the serializer refuses; the types of a summary give it no reason to.
pub fn comparison_json(comparison: &Comparison) -> Result<String, serde_json::Error> {
    let base = &comparison.base.finished.summary;
    let mut variants = Map::new();
    let mut all = Map::new();
    for variant in &comparison.variants {
        variants.insert(variant.name.clone(), serde_json::to_value(&variant.finished.summary)?);
        all.insert(variant.name.clone(), difference_map(&comparison.base, variant));
    }
    let mut left_out = Map::new();
    for one in &comparison.left_out {
        left_out.insert(one.name.clone(), serde_json::to_value(&one.faults)?);
    }
    let mut text = serde_json::to_string_pretty(&json!({
        "base": base,
        "base_name": comparison.base.name,
        "variants": variants,
        "differences": all,
        "left_out": left_out,
        "notes": comparison.notes,
    }))?;
    text.push('\n');
    Ok(text)
}

fn difference_map(base: &Contender, variant: &Contender) -> Value {
    let all = differences(&base.finished.summary, &variant.finished.summary);
    let entries = all.into_iter().map(|(figure, difference)| {
        let value = json!({
            "base": difference.base,
            "value": difference.value,
            "difference": difference.absolute(),
            "percent": difference.percent(),
        });
        (figure.key.to_owned(), value)
    });
    Value::Object(entries.collect())
}
