//! Why each zone does what it does at one instant, as text and as JSON.

use serde_json::{Value, json};

use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::engine::Model;
use crate::study::{Explanation, ZoneExplanation};
use crate::time::Instant;

/// The chain of causes of every zone, for people.
pub fn explanation_text(model: &Model, explanation: &Explanation, style: Style) -> String {
    let clock = model.period.clock(explanation.at);
    let mut out = String::new();
    for zone in &explanation.zones {
        text::strong(&mut out, style, &format!("At {clock} {}", zone.answer));
        for line in &zone.lines {
            let about = format!("  {:<10}", line.about);
            out.push_str(&hang(&about, &clean(&line.words), style.width));
        }
        out.push('\n');
    }
    out.push_str("A model, not a measurement on site: the equipment's own documents prevail.\n");
    out
}

/// The same for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn explanation_json(
    model: &Model,
    explanation: &Explanation,
) -> Result<String, serde_json::Error> {
    let time = |at: Instant| model.period.timestamp(at);
    let zone = |zone: &ZoneExplanation| -> (String, Value) {
        let chain: Vec<Value> = zone
            .lines
            .iter()
            .map(|line| json!({ "about": line.about, "words": line.words }))
            .collect();
        let value = json!({
            "answer": zone.answer,
            "chain": chain,
            "earliest_change": zone.earliest_change.map(time),
            "next_change": zone.next_change.map(time),
        });
        (model.zones[zone.zone.get()].id.clone(), value)
    };
    let zones: serde_json::Map<String, Value> = explanation.zones.iter().map(zone).collect();
    let mut all = json!({ "at": time(explanation.at), "zones": zones });
    if model.period.has_daylight_saving() {
        all["clock"] = model.period.clock_stamp(explanation.at).into();
    }
    serde_json::to_string_pretty(&all)
}
