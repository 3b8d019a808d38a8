//! The JSON Schema of the scenario file, from the same table that the reader checks against.

use serde_json::{Map, Value, json};

use super::every_zone;
use super::keys::{Block, FILE, Key, Kind, LONGEST_LABEL, LONGEST_TEXT, Need, ZONE, blocks};
use crate::settings::NONE;
use crate::units::{Dimension, TemperatureUnit, parse_number};

const NUMBER: &str = r"[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?";
const CLOCK: &str = r"(([01]?[0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?|24:00(:00)?)";
const NAME: &str = "^[A-Za-z0-9_-]{1,64}$";

/// The JSON Schema (draft 2020-12) of the scenario file, for editors. What it refuses the reader
/// refuses; the reader also sees what several keys say together.
pub fn schema() -> Value {
    let mut blocks: Map<String, Value> =
        blocks().into_iter().map(|known| (known.name.to_owned(), block(known))).collect();
    let mut root = match blocks.remove(FILE.name) {
        Some(Value::Object(root)) => root,
        _ => Map::new(),
    };
    root.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    root.insert("title".into(), json!("Setpoint scenario"));
    // Days and weather come from the log where they are not given.
    let without = json!([{"required": ["period", "weather"]}, {"required": ["log"]}]);
    root.insert("anyOf".into(), without);
    if let Some(Value::Object(properties)) = root.get_mut("properties") {
        // What a zone needs may stand in what is written for all of them.
        let mut zone = in_part(ZONE);
        let words = properties.get(every_zone::KEY).and_then(|it| it.get("description")).cloned();
        if let (Value::Object(every), Some(words)) = (&mut zone, words) {
            every.insert("description".into(), words);
        }
        if let Some(Value::Object(zones)) = properties.get_mut("zones") {
            let zone_or_nothing = json!({"anyOf": [in_part(ZONE), {"type": "null"}]});
            zones.insert("additionalProperties".into(), zone_or_nothing);
        }
        properties.insert(every_zone::KEY.into(), zone);
    }
    let whole = json!({"additionalProperties": {"$ref": format!("#/$defs/{}", ZONE.name)}});
    root.insert("if".into(), json!({"not": {"required": [every_zone::KEY]}}));
    root.insert("then".into(), json!({"properties": {"zones": whole}}));
    root.insert("$defs".into(), Value::Object(blocks));
    Value::Object(root)
}

/// A block of which nothing is needed, nor of the blocks in it that are joined with it.
fn in_part(block: &Block) -> Value {
    let property = |key: &Key| match &key.kind {
        Kind::Block(inner) => {
            let mut inner = in_part(inner);
            inner["description"] = json!(key.doc);
            inner
        }
        _ => property(key),
    };
    let property = |key: &Key| match &key.kind {
        Kind::Block(_) if key.takes_none() => or_none(&property(key)),
        _ => property(key),
    };
    let properties: Map<String, Value> =
        block.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    json!({"type": "object", "properties": properties, "additionalProperties": false})
}

fn block(block: &Block) -> Value {
    let properties: Map<String, Value> =
        block.keys.iter().map(|key| (key.name.to_owned(), property(key))).collect();
    let needed = block.keys.iter().filter(|key| matches!(key.need, Need::Required));
    let needed: Vec<&str> = needed.map(|key| key.name).collect();
    json!({
        "type": "object",
        "description": block.doc,
        "properties": properties,
        "required": needed,
        "additionalProperties": false,
    })
}

fn property(key: &Key) -> Value {
    let mut schema = match value(&key.kind) {
        Value::Object(schema) => schema,
        other => return other,
    };
    let mut words = vec![key.doc.to_owned()];
    match key.need {
        Need::Required | Need::Optional => {}
        Need::Default(text) => {
            schema.insert("default".into(), default(text));
        }
        Need::DefaultByUnit(celsius, fahrenheit) => {
            words.push(format!("Default: {celsius} in C, {fahrenheit} in F."));
        }
        Need::Derived(rule) => words.push(format!("Default: {rule}.")),
    }
    schema.insert("description".into(), json!(words.join(" ")));
    let schema = Value::Object(schema);
    if key.takes_none() { or_none(&schema) } else { schema }
}

/// The same, or the word that says that there is none of it.
fn or_none(schema: &Value) -> Value {
    let words = schema.get("description").cloned().unwrap_or_default();
    json!({"anyOf": [schema, {"const": NONE}], "description": words})
}

fn default(text: &str) -> Value {
    match text {
        "true" => json!(true),
        "false" => json!(false),
        _ => parse_number(text).map_or_else(|| json!(text), |number| json!(number)),
    }
}

/// One of some words. Readers of older YAML take a bare `off` or `no` for `false`, and `yes` for `true`.
fn word(words: &[&str]) -> Value {
    let mut all: Vec<Value> = words.iter().map(|word| json!(word)).collect();
    if words.contains(&"off") || words.contains(&"no") {
        all.push(json!(false));
    }
    if words.contains(&"yes") {
        all.push(json!(true));
    }
    json!({"enum": all})
}

fn value(kind: &Kind) -> Value {
    match kind {
        Kind::Text => json!({"type": ["string", "number", "boolean"], "maxLength": LONGEST_TEXT}),
        Kind::Label => json!({"type": ["string", "number", "boolean"], "maxLength": LONGEST_LABEL}),
        Kind::Name => json!({"type": ["string", "number", "boolean"], "pattern": NAME}),
        Kind::Number(range) => number(range.low, range.high),
        Kind::Whole(range) => {
            json!({"type": "integer", "minimum": range.low, "maximum": range.high})
        }
        Kind::Temperature(range) => {
            number(range.low, TemperatureUnit::Fahrenheit.from_celsius(range.high).max(range.high))
        }
        Kind::Difference(range) => {
            let wide = |kelvin| TemperatureUnit::Fahrenheit.difference_from_kelvin(kelvin);
            number(wide(range.low).min(range.low), wide(range.high).max(range.high))
        }
        Kind::Size(dimension, _) => size(*dimension),
        Kind::SizeOrBare(dimension, range) => {
            json!({"anyOf": [number(range.low, range.high), size(*dimension)]})
        }
        Kind::Duration(_) => size(Dimension::Duration),
        Kind::YesNo => json!({"type": "boolean"}),
        Kind::OnOff => json!({"enum": ["on", "off", true, false]}),
        Kind::Word(words) => word(words),
        Kind::Words(words, least) => json!({
            "type": "array", "items": {"enum": words}, "uniqueItems": true, "minItems": least,
        }),
        Kind::Clock => json!({"type": "string", "pattern": format!("^{CLOCK}$")}),
        Kind::Moment => {
            json!({"type": "string", "pattern": format!("^(d[1-9][0-9]{{0,3}} +)?{CLOCK}$")})
        }
        Kind::Date => json!({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}),
        Kind::Exactly(count, inner) => json!({
            "type": "array", "items": value(inner), "minItems": count, "maxItems": count,
        }),
        Kind::ListOf(inner) => json!({"type": "array", "items": value(inner)}),
        Kind::OneOrMore(inner) => {
            json!({"anyOf": [value(inner), {"type": "array", "items": value(inner)}]})
        }
        Kind::Either(kinds) => json!({"anyOf": kinds.iter().map(value).collect::<Vec<_>>()}),
        Kind::Block(block) => json!({"$ref": format!("#/$defs/{}", block.name)}),
        Kind::ByName(inner) => json!({
            "type": "object",
            "propertyNames": {"pattern": NAME},
            "additionalProperties": value(inner),
        }),
        Kind::ByWord(inner) => json!({"type": "object", "additionalProperties": value(inner)}),
        Kind::Changes => json!({"type": "object"}),
    }
}

fn number(low: f64, high: f64) -> Value {
    json!({"type": "number", "minimum": low, "maximum": high})
}

fn size(dimension: Dimension) -> Value {
    let units: Vec<String> = dimension.units().iter().map(|(unit, _)| spaced(unit)).collect();
    let one = format!(r"{NUMBER}[ \u00a0]*({})[ \u00a0]*", units.join("|"));
    let many = if dimension == Dimension::Duration { "+" } else { "" };
    json!({
        "type": "string",
        "pattern": format!("^ *({one}){many}$"),
        "examples": dimension.examples(),
    })
}

/// A unit as a pattern that lets spaces and dots stand inside it, as the reader does.
fn spaced(unit: &str) -> String {
    let letter = |letter: char| match letter {
        '2' => "[2²]".to_owned(),
        '3' => "[3³]".to_owned(),
        '(' | ')' => format!("\\{letter}"),
        other => other.to_string(),
    };
    unit.chars().map(letter).collect::<Vec<_>>().join("[ *·]*")
}
