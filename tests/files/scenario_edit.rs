//! Edits of every shipped scenario: one line changes, every comment stays, and the file then says
//! what was written.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use setband::scenario::{Edit, Study, add_actions, edit, edit_as_variant, read, variant_names};

use crate::shipped::{model, stems, study as shipped_study};

fn text(stem: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scenarios/{stem}.yaml"));
    fs::read_to_string(path).expect("a scenario")
}

fn study(text: &str) -> Study {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let beside = |name: &str| fs::read_to_string(folder.join(name)).map_err(|it| it.to_string());
    read(text, "edited.yaml", &beside).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Lines of the one text that the other does not have, each way.
fn changed(before: &str, after: &str) -> (Vec<String>, Vec<String>) {
    let without = |one: &str, other: &str| {
        let mut rest: Vec<&str> = other.lines().collect();
        let mut gone = Vec::new();
        for line in one.lines() {
            match rest.iter().position(|it| *it == line) {
                Some(place) => {
                    rest.remove(place);
                }
                None => gone.push(line.to_owned()),
            }
        }
        gone
    };
    (without(before, after), without(after, before))
}

fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.split_once('#').map(|(_, comment)| comment)).collect()
}

#[test]
fn one_setting_changes_one_line() {
    let fields: [(&str, Value); 7] = [
        ("controls.changeover_delay", json!("25 min")),
        ("controls.call_start", json!(0.7)),
        ("controls.on_conflict", json!("hold")),
        ("controls.sensor.lag", json!("7 min")),
        ("controls.locked_modes", json!(["fan"])),
        ("comfort.air_speed", json!(0.2)),
        ("label", json!("A room: the large one")),
    ];
    for stem in stems() {
        let before = text(&stem);
        let zones = model(&shipped_study(&stem), None).zones;
        for zone in &zones {
            for (key, value) in &fields {
                let path = format!("zones.{}.{key}", zone.id);
                let change = Edit { path: path.clone(), value: value.clone() };
                let after =
                    edit(&before, &[change]).unwrap_or_else(|fault| panic!("{stem}: {fault}"));
                let (gone, come) = changed(&before, &after);
                assert!(gone.len() <= 1 && come.len() == 1, "{stem} {path}: {gone:?} {come:?}");
                assert_eq!(comments(&before), comments(&after), "{stem} {path}");
                let edited = study(&after).base;
                let changed = edited.zones.iter().find(|it| it.id == zone.id).expect("the zone");
                match *key {
                    "controls.changeover_delay" => {
                        assert_eq!(changed.controls.thermostat.changeover_delay.get(), 1500);
                    }
                    "controls.sensor.lag" => assert_eq!(changed.controls.sensor.lag.get(), 420),
                    "label" => assert_eq!(changed.label, "A room: the large one"),
                    _ => {}
                }
            }
        }
    }
}

#[test]
fn a_variant_written_into_the_text_is_the_variant() {
    let mut tried = 0;
    for stem in stems() {
        let before = text(&stem);
        let whole = study(&before);
        assert_eq!(variant_names(&before).len(), whole.variants.len(), "{stem}");
        for (name, model) in &whole.variants {
            let Ok(model) = model else { continue };
            let after =
                edit_as_variant(&before, name).unwrap_or_else(|fault| panic!("{stem}: {fault}"));
            let written = study(&after).base;
            assert_eq!(
                format!("{:?}", written.zones),
                format!("{:?}", model.zones),
                "{stem} {name}"
            );
            assert_eq!(
                format!("{:?}", written.outdoor_units),
                format!("{:?}", model.outdoor_units),
                "{stem} {name}"
            );
            tried += 1;
        }
    }
    assert!(tried >= 10, "{tried} variants are shipped");
}

#[test]
fn presses_are_added_and_nothing_else_changes() {
    for stem in stems() {
        let before = text(&stem);
        let model = study(&before).base;
        let press = vec![
            ("at", json!("13:37")),
            ("zone", json!(model.zones[0].id)),
            ("by", json!("somebody, \"else\" #1")),
            ("press", json!("warmer")),
        ];
        let after =
            add_actions(&before, &[press]).unwrap_or_else(|fault| panic!("{stem}: {fault}"));
        let (gone, come) = changed(&before, &after);
        assert!(gone.is_empty() && come.len() <= 2, "{stem}: {gone:?} {come:?}");
        let actions = study(&after).base.actions;
        assert_eq!(actions.len(), model.actions.len() + 1, "{stem}");
        assert!(actions.iter().any(|it| &*it.by == "somebody, \"else\" #1"), "{stem}");
    }
}
