//! Edits of small texts, each held against the text that a person would have written.

use serde_json::json;

use super::{Edit, add_actions, edit, edit_as_variant, variant_names};

fn at(text: &str, path: &str, value: serde_json::Value) -> String {
    let change = Edit { path: path.into(), value };
    edit(text, &[change]).expect("the place can be edited")
}

const TEXT: &str = "\
# A hall.
zones:
  hall:   # the large one
    space: {floor: 60 m2}
    controls:
      heat: 20   # as the users want
      limits: {heat: [17, 22]}
      mode:
      # about the sensor
      sensor: {lag: 3 min, resolution: 0.1}   # a slow one

  # the smaller
  shop:
    controls: {heat: 19, cool: 23}
variants:
  single: {zones.*.controls.min_deadband: 0}
  late:
    zones.hall.controls.limits:
      heat: [15, 20]
";

#[test]
fn a_value_that_stands_is_replaced_and_its_comment_stays() {
    assert_eq!(
        at(TEXT, "zones.hall.controls.heat", json!(21.5)),
        TEXT.replace("heat: 20   # as", "heat: 21.5   # as")
    );
    assert_eq!(
        at(TEXT, "zones.hall.controls.limits.heat", json!([16, 24])),
        TEXT.replace("{heat: [17, 22]}", "{heat: [16, 24]}")
    );
    assert_eq!(
        at(TEXT, "zones.hall.controls.sensor.lag", json!("5 min")),
        TEXT.replace("lag: 3 min", "lag: 5 min")
    );
}

#[test]
fn a_key_that_is_left_out_joins_the_nearest_block() {
    let slow = "      sensor: {lag: 3 min, resolution: 0.1}   # a slow one\n";
    assert_eq!(
        at(TEXT, "zones.hall.controls.min_deadband", json!(3)),
        TEXT.replace(slow, &format!("{slow}      min_deadband: 3\n"))
    );
    assert_eq!(
        at(TEXT, "zones.shop.controls.limits.heat", json!([16, 20])),
        TEXT.replace("cool: 23}", "cool: 23, limits: {heat: [16, 20]}}")
    );
    assert_eq!(
        at(TEXT, "zones.hall.controls.mode", json!("cool")),
        TEXT.replace("mode:\n", "mode: cool\n")
    );
}

#[test]
fn a_place_that_nothing_can_have_is_refused() {
    for path in ["zones.hall.controls.heat.more", "zones.hall.space[2]", "", "a..b", "a b"] {
        let change = Edit { path: path.into(), value: json!(1) };
        assert!(edit(TEXT, &[change]).is_err(), "{path}");
    }
    let shared = "a: &x {b: 1}\nc: *x\n";
    for path in ["a.b", "c.b"] {
        let change = Edit { path: path.into(), value: json!(1) };
        let fault = edit(shared, &[change]).expect_err("shared");
        assert!(fault.message.contains("anchor"), "{fault}");
    }
}

#[test]
fn a_variant_is_written_into_the_settings() {
    assert_eq!(variant_names(TEXT), ["single", "late"]);
    let single = edit_as_variant(TEXT, "single").expect("there");
    assert!(single.contains("    controls: {heat: 19, cool: 23, min_deadband: 0}\n"), "{single}");
    assert!(single.contains("a slow one\n      min_deadband: 0\n"), "{single}");
    let late = edit_as_variant(TEXT, "late").expect("there");
    assert!(late.contains("      limits: {heat: [15, 20]}\n"), "{late}");
    assert!(edit_as_variant(TEXT, "none").is_err());
}

/// An alias written before its anchor would make the file no YAML.
#[test]
fn a_variant_that_names_an_anchor_is_written_out() {
    let text = "zones: {a: {heat: 20}}\nx: &wide [17, 22]\ny: &low 19\nz: &said 'a, b'\n\
                variants: {w: {zones.a.limits: *wide, zones.a.heat: *low, zones.a.label: *said}}\n";
    let changed = edit_as_variant(text, "w").expect("there");
    let zone = "zones: {a: {heat: 19, limits: [17, 22], label: \"a, b\"}}\n";
    assert!(changed.starts_with(zone), "{changed}");
}

#[test]
fn items_of_lists_are_places_too() {
    let text = "a:\n  - {b: 1}\n  - b: 2\n";
    assert_eq!(at(text, "a[1].b", json!(3)), text.replace("b: 2", "b: 3"));
    assert_eq!(at(text, "a[0].c", json!(3)), text.replace("{b: 1}", "{b: 1, c: 3}"));
    let beyond = Edit { path: "a[2].b".into(), value: json!(3) };
    assert!(edit(text, &[beyond]).is_err());
}

#[test]
fn actions_join_the_list_in_its_own_style() {
    let press = [vec![("at", json!("08:40")), ("press", json!("warmer"))]];
    let written = r#"{at: "08:40", press: warmer}"#;
    let add = |text: &str| add_actions(text, &press).expect("a list");
    assert_eq!(add("a: 1"), format!("a: 1\nactions:\n  - {written}\n"));
    assert_eq!(add("actions: []\n"), format!("actions: [{written}]\n"));
    assert_eq!(add("actions:\na: 1\n"), format!("actions: [{written}]\na: 1\n"));
    assert_eq!(add("actions: [{x: 1}]\n"), format!("actions: [{{x: 1}}, {written}]\n"));
    assert_eq!(add("{a: 1}"), format!("{{a: 1, actions: [{written}]}}"));
    let lines = "actions:\n  - {x: 1}   # first\n  - x: 2\n    y: 3\n\n# end\nb: 2\n";
    assert_eq!(add(lines), lines.replace("y: 3\n", &format!("y: 3\n  - {written}\n")));
    let dashes = "actions:\n- {x: 1}\nb: 2\n";
    assert_eq!(add(dashes), format!("actions:\n- {{x: 1}}\n- {written}\nb: 2\n"));
    assert!(add_actions("actions: 5\n", &press).is_err());
}

#[test]
fn letters_of_more_than_one_byte_do_not_shift_places() {
    let text = "\u{feff}title: Bäckerei ☕\nzones: {hölle: {heat: 20}}\n";
    assert_eq!(at(text, "zones.hölle.heat", json!(21)), text.replace("20", "21"));
}

/// Changes that are written together give what they give one after the other, also where one needs
/// another and where they stand in one place.
#[test]
fn changes_written_together_are_those_written_one_by_one() {
    let text = "zones:\n  hall:\n    controls: {heat: 20, cool: 24} # as found\n  attic:\n    controls:\n      \
                heat: 19\n      cool:\nperiod: {days: 1}\n";
    let change = |(path, value): (&str, f64)| Edit { path: path.into(), value: value.into() };
    let all = [
        ("zones.hall.controls.heat", 21.0),
        ("zones.attic.controls.cool", 25.0),
        ("zones.hall.controls.min_deadband", 2.0),
        ("zones.attic.controls.min_deadband", 3.0),
        ("zones.attic.controls.limits.low", 16.0),
        ("zones.attic.controls.limits.high", 26.0),
        ("zones.hall.controls.heat", 22.0),
        ("zones.hall.controls.min_deadband", 1.0),
        ("period.days", 2.0),
    ];
    for start in 0..all.len() {
        for end in start..=all.len() {
            let some: Vec<Edit> = all[start..end].iter().copied().map(change).collect();
            let one_by_one = some.iter().fold(text.to_owned(), |text, change| {
                edit(&text, std::slice::from_ref(change)).expect("a place")
            });
            assert_eq!(edit(text, &some).expect("places"), one_by_one, "{start} to {end}");
        }
    }
    let lost = [change(all[0]), change(("zones.hall.controls[0]", 1.0))];
    assert!(edit(text, &lost).is_err());
}
