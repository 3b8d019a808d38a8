//! The table of settings: whatever it has is found in the file's schema, on the page or with a
//! reason why not, in the settings record, in the differences between two studies, and on the test
//! sheet or with a reason why not.

use std::path::Path;

use serde_json::Value as Json;
use setband::engine::Model;
use setband::report::settings_record;
use setband::scenario::{self, load, schema};
use setband::settings::{Entry, Form, Hidden, Kind, Subject, Trial, Value, of_groups, of_zones};
use setband::study::sheet::variations;
use setband::time::Seconds;

fn good(name: &str) -> Model {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good").join(name);
    load(&path).unwrap_or_else(|faults| panic!("{faults}")).base
}

/// A hall whose zones have no owner, which the other files lack.
fn hall() -> Model {
    let text = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
outdoor_unit:
  mode_policy: majority
  heating: [{outdoor: 7, capacity: 9 kW, cop: 3.5}]
  cooling: [{outdoor: 35, capacity: 9 kW, cop: 3.5}]
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW, fan: 40 W, fan_run: low}
    controls: {heat: 20, cool: 24, min_deadband: 2, low_limit: 7, auto_off: 9 h,
      setback: {heat: 2, cool: 2}, occupancy: {from: \"08:00\", to: \"18:00\"}}
";
    let open = |_: &str| Err("no files here".to_owned());
    scenario::read(text, "hall.yaml", &open).unwrap_or_else(|it| panic!("{it}")).base
}

fn models() -> [Model; 3] {
    [good("everything.yaml"), good("group.yaml"), hall()]
}

fn entries() -> impl Iterator<Item = Entry> {
    of_zones().iter().chain(of_groups()).copied()
}

/// Everybody who has a setting, with the model.
fn holders<'m>(entry: Entry, models: &'m [Model]) -> Vec<(&'m Model, Subject)> {
    let of = |model: &'m Model| entry.subjects(model).into_iter().map(move |it| (model, it));
    models.iter().flat_map(of).collect()
}

/// Other values of the kind that a setting has.
fn others(value: &Value, kind: &Kind) -> Vec<Value> {
    match value {
        Value::Nothing => {
            vec![Value::Number(5.0), Value::Time(Seconds::hours(1)), Value::Word("people".into())]
        }
        Value::Number(number) => [1.0, -1.0, 0.5, -0.5, 2.0, -2.0, 0.1, -0.1]
            .map(|by| Value::Number(number + by))
            .into_iter()
            .chain([Value::Number(2.0 * number)])
            .collect(),
        Value::Time(time) => vec![Value::Time(Seconds::new(time.get() + 600))],
        Value::Flag(flag) => vec![Value::Flag(!flag)],
        Value::Word(word) => {
            let words: Vec<&str> = match kind {
                Kind::Word(words) => words.to_vec(),
                Kind::OnOff => vec!["on", "off"],
                _ => vec!["room", "average", "always", "people", "kitchen", "hall", "bar"],
            };
            words.into_iter().filter(|it| it != word).map(|it| Value::Word(it.into())).collect()
        }
        Value::Words(words) => {
            let fewer = words.iter().skip(1).cloned().collect();
            let more = words.iter().cloned().chain(["power".to_owned()]).collect();
            vec![Value::Words(fewer), Value::Words(more), Value::Words(vec!["dry".into()])]
        }
        Value::Span([low, high]) => {
            vec![Value::Span([*low, high + 1.0]), Value::Span([low - 1.0, *high])]
        }
    }
}

/// The models with another value of a setting, each beside the model as it was.
fn changed<'m>(entry: Entry, models: &'m [Model]) -> Vec<(&'m Model, Subject, Value, Model)> {
    let of = |(model, subject): (&'m Model, Subject)| {
        let present = entry.get(model, subject);
        let with = |value: Value| {
            let changed = entry.with(model, subject, &value)?;
            Some((model, subject, value, changed))
        };
        others(&present, &entry.key.kind).into_iter().filter_map(with).collect::<Vec<_>>()
    };
    holders(entry, models).into_iter().flat_map(of).collect()
}

#[test]
fn the_table_has_every_setting_once() {
    let paths: Vec<&str> = entries().map(|entry| entry.key.path).collect();
    let mut unique = paths.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), paths.len());
    assert!(paths.len() > 60, "{}", paths.len());
    for entry in entries() {
        let Entry { key, setting } = entry;
        assert!(setting.name.len() > 3 && key.doc.ends_with('.'), "{}", key.path);
        assert_eq!(
            setband::settings::entry(key.path).map(|it| it.setting.name),
            Some(setting.name)
        );
    }
}

/// What is written is read again, and what is read can be written where it can be written at all.
#[test]
fn a_value_that_is_written_is_the_one_that_is_read() {
    let models = models();
    for entry in entries() {
        for (_, subject, value, model) in changed(entry, &models) {
            let read = entry.get(&model, subject);
            let near = matches!((&read, &value), (Value::Number(one), Value::Number(other)) if (one - other).abs() < 1e-9);
            assert!(near || read == value, "{}: {value} becomes {read}", entry.key.path);
        }
        for (model, subject) in holders(entry, &models) {
            let present = entry.get(model, subject);
            if let Some(same) = entry.with(model, subject, &present) {
                assert_eq!(entry.get(&same, subject), present, "{}", entry.key.path);
            }
        }
    }
}

/// The schema of the value at a path, through references, lists and alternatives.
fn at<'s>(root: &'s Json, node: &'s Json, path: &[&str]) -> Vec<&'s Json> {
    if let Some(reference) = node["$ref"].as_str() {
        let name = reference.rsplit('/').next().expect("a name");
        return at(root, &root["$defs"][name], path);
    }
    let deeper = ["anyOf", "oneOf"].into_iter().filter_map(|key| node[key].as_array()).flatten();
    let deeper = deeper.chain(node.get("items")).chain(node.get("additionalProperties"));
    let mut found: Vec<&Json> = deeper.flat_map(|inner| at(root, inner, path)).collect();
    if let [first, rest @ ..] = path
        && let Some(property) = node["properties"].get(first.trim_end_matches("[]"))
    {
        if rest.is_empty() {
            found.push(property);
        } else {
            found.extend(at(root, property, rest));
        }
    }
    found
}

#[test]
fn the_schema_has_every_setting() {
    let schema = schema();
    for (entries, start) in [(of_zones(), "zones"), (of_groups(), "outdoor_unit")] {
        for entry in entries {
            let path: Vec<&str> = entry.key.path.split('.').collect();
            let found = at(&schema, &schema["properties"][start], &path);
            let said = |it: &&&Json| {
                it["description"].as_str().is_some_and(|it| it.contains(entry.key.doc))
            };
            assert!(found.iter().any(|it| said(&it)), "{}: {found:?}", entry.key.path);
        }
    }
}

#[test]
fn the_record_has_every_setting_and_tells_where_two_studies_differ_in_it() {
    let models = models();
    for entry in entries() {
        let path = entry.key.path;
        let all = changed(entry, &models);
        // What cannot be written to a model is told where a file has it.
        if all.is_empty() {
            let told = models.iter().any(|model| {
                let blocks = settings_record(&[model]);
                blocks.iter().flat_map(|it| &it.settings).any(|it| it.name == entry.setting.line)
            });
            assert!(told, "{path} is on no line `{}` of the record", entry.setting.line);
            continue;
        }
        let differs = all.iter().any(|(base, _, _, other)| {
            let blocks = settings_record(&[*base, other]);
            let lines = blocks.iter().flat_map(|it| &it.settings);
            lines.filter(|it| it.differs()).any(|it| it.name == entry.setting.line)
        });
        assert!(differs, "{path}: no line `{}` of the record differs", entry.setting.line);
    }
}

#[test]
fn the_test_sheet_tries_every_setting_or_has_its_reason() {
    let models = models();
    let all: Vec<_> = models.iter().flat_map(variations).collect();
    for entry in entries() {
        let path = entry.key.path;
        let tried = all.iter().filter(|it| it.entry.key.path == path).count();
        match entry.setting.trial {
            Trial::None(why) => assert!(tried == 0 && why.len() > 10, "{path}"),
            _ => assert!(tried > 0, "{path} is never tried"),
        }
        let (Hidden::Always(why) | Hidden::Unless(why)) = entry.setting.hidden;
        assert!(why.len() > 10, "{path}");
    }
    // Whatever is tried is another model, by the setting itself.
    for it in &all {
        let base = models.iter().find(|model| model.zones.len() == it.model.zones.len());
        let base = base.expect("the models differ in their zones");
        let subjects = it.entry.subjects(base).into_iter();
        let mut differs =
            subjects.filter(|one| it.entry.get(base, *one) != it.entry.get(&it.model, *one));
        assert!(differs.next().is_some(), "{} to {}", it.path, it.to);
    }
}

#[test]
fn what_the_page_does_not_ask_has_a_reason() {
    let asked = entries().filter(|entry| match entry.setting.form {
        Form::Asked(..) => true,
        Form::Left(why) => {
            assert!(why.len() > 10, "{}", entry.key.path);
            false
        }
    });
    assert!(asked.count() > 15);
}

/// A default that is a value of its own key reads as that value.
#[test]
fn every_default_is_a_value() {
    use setband::units::TemperatureUnit::{Celsius, Fahrenheit};
    for entry in entries() {
        for unit in [Celsius, Fahrenheit] {
            if let Some(text) = entry.key.need.default_text(unit) {
                assert!(entry.default(unit).is_some(), "{}: {text}", entry.key.path);
            }
        }
    }
}
