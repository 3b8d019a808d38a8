//! `compare.json`.

use serde_json::{Map, Value, json};

use super::knee::{hindrance_words, knee_sentence};
use crate::engine::Model;
use crate::study::{Comparison, Contender, Knee, differences};

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
        "knee": comparison.knee.as_ref().map(|knee| knee_json(&comparison.base.model, knee)),
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

/// The deadbands that were tried, and the smallest one that ends opposed heat.
fn knee_json(model: &Model, knee: &Knee) -> Value {
    let points = knee.points.iter().map(|point| match &point.result {
        Ok(figures) => json!({
            "deadband": point.deadband,
            "changeovers": figures.changeovers,
            "total_kwh": figures.total_kwh,
            "opposed_kwh": figures.opposed_kwh,
        }),
        Err(not) => json!({
            "deadband": point.deadband,
            "left_out": hindrance_words(model, not),
        }),
    });
    json!({
        "answer": knee_sentence(model, knee),
        "smallest_without_opposed": knee.ends_opposed().map(|(deadband, _)| deadband),
        "points": points.collect::<Vec<_>>(),
    })
}
