//! The register for programs.

use serde_json::{Value, json};

use super::{Registered, tables};
use crate::study::register::{Need, Witnessed};

/// What a part waits for.
const fn need_name(need: &Need) -> &'static str {
    match need {
        Need::Outdoor { .. } => "outdoor_temperature",
        Need::Occupancy => "occupancy",
        Need::Other => "other",
    }
}

/// The register as JSON.
///
/// # Errors
/// Those of the JSON writer.
pub fn register_json(registered: &Registered<'_>) -> serde_json::Result<String> {
    let register = registered.register;
    let seen = |at: Option<&Witnessed>| {
        at.map_or(Value::Null, |it| {
            json!({"date": it.date.to_string(), "tester": it.tester, "paper": it.paper,
                   "lines": it.lines})
        })
    };
    let entries: Vec<Value> = register
        .entries
        .iter()
        .map(|it| {
            json!({"subject": it.subject, "zone": it.zone(), "value": it.value,
                   "state": it.state.name().replace([' ', ','], "_").replace("__", "_"),
                   "shown": seen(it.shown.as_ref()), "failed": seen(it.failed.as_ref()),
                   "why": it.why})
        })
        .collect();
    let waiting: Vec<Value> = register
        .waiting
        .iter()
        .map(|it| {
            json!({"zone": it.part.zone, "part": it.part.part, "why": it.part.why,
                   "paper": it.paper, "needs": need_name(&it.part.need), "weeks": registered.weeks_words(it)})
        })
        .collect();
    let failures: Vec<Value> = register
        .failures
        .iter()
        .map(|it| {
            json!({"zone": it.line.zone, "line": it.line.failed.line, "seen": seen(Some(&it.seen)),
                   "subjects": it.line.subjects, "mended": seen(it.mended.as_ref())})
        })
        .collect();
    let states: serde_json::Map<String, Value> = tables::states(register)
        .into_iter()
        .map(|(name, count)| (name.into(), json!(count)))
        .collect();
    serde_json::to_string_pretty(&json!({
        "answer": registered.answer(),
        "holds": register.holds(),
        "states": states,
        "entries": entries,
        "waiting": waiting,
        "failures": failures,
        "papers": tables::paper_lines(register),
    }))
}
