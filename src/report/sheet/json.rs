//! The sheet for programs.

use serde_json::{Value, json};

use super::Sheeted;
use super::words::part_words;
use crate::study::sheet::{Deed, Pace, Reading};

/// The sheet as JSON.
///
/// # Errors
/// Those of the JSON writer.
pub fn sheet_json(sheeted: &Sheeted<'_>) -> serde_json::Result<String> {
    let sheet = sheeted.sheet;
    let id = |zone| sheeted.zone(zone).id.as_str();
    let rooms: serde_json::Map<String, Value> = (sheeted.model.zones.iter().zip(&sheet.rooms))
        .map(|(zone, room)| (zone.id.clone(), json!(room)))
        .collect();
    let lines: Vec<Value> = (0..sheet.steps.len()).map(|at| line(sheeted, at)).collect();
    let deferred: Vec<Value> = sheet
        .deferred
        .iter()
        .map(|it| {
            json!({"zone": id(it.zone), "part": part_words(it.part), "reason": sheeted.deferred(it)})
        })
        .collect();
    let missing: Vec<Value> = (sheet.missing.iter())
        .map(|(zone, item)| json!({"zone": id(*zone), "outcome": sheeted.proven(*zone, *item)}))
        .collect();
    let unseen: Vec<Value> = (sheet.unseen.iter())
        .map(|it| json!({"path": it.path, "to": it.to, "reason": sheeted.why_unseen(it)}))
        .collect();
    let value = json!({
        "title": sheeted.model.title,
        "temperature_unit": sheeted.model.unit.letter(),
        "rooms": rooms,
        "waiting_s": sheeted.waiting().get(),
        "time_s": Pace::USUAL.whole(sheeted.model, &sheet.steps).get(),
        "time_in_turn_s": sheet.in_turn.get(),
        "shown_share": sheeted.plan.choice.as_ref().map(|(_, choice)| choice.shown),
        "left_out": sheeted.left_out_words(),
        "requirements": sheeted.witness_words(),
        "lines": lines,
        "outcomes": {"reachable": sheet.reachable, "missing": missing},
        "settings_changed": {"tried": sheet.varied, "not_caught": unseen},
        "deferred": deferred,
    });
    serde_json::to_string_pretty(&value)
}

fn line(sheeted: &Sheeted<'_>, at: usize) -> Value {
    let step = &sheeted.sheet.steps[at];
    let zone = step.place.zone;
    let Reading { heat, cool, mode, power, running, refused } = &step.expected;
    let wait = match &step.deed {
        Deed::Wait(time) | Deed::PowerFailure(time) => time.get(),
        _ => 0,
    };
    let proves: Vec<String> = step.proves.iter().map(|item| sheeted.proven(zone, *item)).collect();
    json!({
        "zone": sheeted.zone(zone).id,
        "controller": sheeted.controller(zone, step.place.controller.get()),
        "part": part_words(step.part),
        "action": sheeted.deed_words(at),
        "wait_s": wait,
        "wait_since": sheeted.meanwhile(at).map(|since| since + 1),
        "expected": {
            "heat": heat,
            "cool": cool,
            "mode": mode.name(),
            "power": power.name(),
            "running": step.part.reads_running().then(|| running.map_or("none", |it| it.name())),
            "refused": refused,
        },
        "proves": proves,
    })
}
