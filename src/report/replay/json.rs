//! A replay for programs.

use serde_json::{Map, Value, json};

use super::Replayed;
use crate::control::Outcome;
use crate::study::replay::{Difference, Estimate, Figures, Variant, ZoneFigures};

/// `{"measured": {...}, "as_logged": {..., "rmse"}, "variants": {"<name>": {..., "difference"}}}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn replay_json(replayed: &Replayed) -> Result<String, serde_json::Error> {
    let found = replayed.found;
    let mut logged = figures(replayed, &found.as_logged.figures);
    logged.insert("rmse".into(), number(found.as_logged.rmse));
    logged.insert("electricity".into(), estimate(&found.as_logged.electricity));
    for (zone, rmse) in replayed.model.zones.iter().zip(&found.as_logged.zone_rmse) {
        if let Some(Value::Object(own)) =
            logged.get_mut("zones").and_then(|it| it.get_mut(&zone.id))
        {
            own.insert("rmse".into(), number(*rmse));
        }
    }
    let variants: Map<String, Value> =
        found.variants.iter().map(|it| (it.name.clone(), variant(replayed, it))).collect();
    let disturbance: Map<String, Value> = replayed
        .model
        .zones
        .iter()
        .zip(&found.disturbance)
        .map(|(zone, it)| {
            let value = json!({
                "mean_w": number(it.mean),
                "size_w": number(it.size),
                "plant_w": number(it.plant),
            });
            (zone.id.clone(), value)
        })
        .collect();
    let value = json!({
        "from": found.record.grid.from.to_string(),
        "to": found.record.grid.at(found.record.grid.count).to_string(),
        "unit": found.unit.letter(),
        "draws": found.draws,
        "measured": figures(replayed, &found.measured),
        "as_logged": logged,
        "variants": variants,
        "disturbance": {
            "held": !found.no_disturbance,
            "meter_at_rest_w": number(found.base_load),
            "zones": disturbance,
        },
    });
    serde_json::to_string_pretty(&value).map(|text| text + "\n")
}

/// A number to six digits after the point; `null` where it is none.
fn number(value: f64) -> Value {
    let rounded = libm::round(value * 1e6) / 1e6;
    if rounded.is_finite() { json!(rounded) } else { Value::Null }
}

fn optional(value: Option<f64>) -> Value {
    value.map_or(Value::Null, number)
}

fn figures(replayed: &Replayed, figures: &Figures) -> Map<String, Value> {
    let zones: Map<String, Value> = replayed
        .model
        .zones
        .iter()
        .zip(&figures.zones)
        .map(|(zone, it)| (zone.id.clone(), of_zone(it)))
        .collect();
    let mut all = Map::new();
    all.insert("electricity_kwh".into(), optional(figures.electricity_kwh));
    all.insert("zones".into(), Value::Object(zones));
    all
}

fn of_zone(zone: &ZoneFigures) -> Value {
    let temperature = zone.temperature.as_ref().map_or(Value::Null, |it| {
        json!({
            "mean": number(it.mean),
            "lowest": number(it.lowest),
            "highest": number(it.highest),
            "hours_below": number(it.hours_below),
            "hours_above": number(it.hours_above),
        })
    });
    json!({
        "starts": zone.starts,
        "running_hours": optional(zone.running_hours),
        "temperature": temperature,
    })
}

fn variant(replayed: &Replayed, it: &Variant) -> Value {
    let mut all = figures(replayed, &it.figures);
    all.insert("electricity".into(), estimate(&it.electricity));
    all.insert("difference".into(), difference(replayed, &it.difference));
    let outcomes: Map<String, Value> = Outcome::ALL
        .iter()
        .zip(it.outcomes)
        .map(|(outcome, count)| (outcome.name().to_owned(), json!(count)))
        .collect();
    all.insert("requests".into(), Value::Object(outcomes));
    Value::Object(all)
}

fn difference(replayed: &Replayed, it: &Difference) -> Value {
    let zones: Map<String, Value> = replayed
        .model
        .zones
        .iter()
        .zip(&it.zones)
        .map(|(zone, own)| {
            let value = json!({
                "starts": estimate(&own.starts),
                "running_hours": estimate(&own.running_hours),
                "temperature": {
                    "mean": estimate(&own.mean),
                    "hours_below": estimate(&own.hours_below),
                    "hours_above": estimate(&own.hours_above),
                },
            });
            (zone.id.clone(), value)
        })
        .collect();
    json!({"electricity_kwh": estimate(&it.electricity_kwh), "zones": zones})
}

/// A value with its interval, whose ends are `null` without draws.
fn estimate(it: &Estimate) -> Value {
    let (low, high) = it.interval.unzip();
    json!({"value": number(it.value), "low": optional(low), "high": optional(high)})
}
