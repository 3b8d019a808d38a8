//! What a file writes for all zones at once.

use setband::scenario::{Edit, Override, Rejected, Template, edit};

use super::*;

/// A shared part, a zone that takes all of it, and one that has values of its own.
const SHARED: &str = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
every_zone:
  space: {floor: 40 m2, height: 3 m}
  unit: {heating: 3 kW, cooling: 3 kW}
  controls:
    heat: 20
    cool: 24
    limits: {heat: [17, 22], cool: [22, 28]}
    occupancy: [{from: \"08:00\", to: \"12:00\"}, {from: \"13:00\", to: \"17:00\"}]
    setback: {heat: 3, cool: 2}
zones:
  hall:
  store:
    space: {floor: 20 m2}
    controls: {heat: 18, limits: {heat: [15, 22]}, occupancy: {from: \"09:00\", to: \"10:00\"}, setback: {heat: 5}}
variants:
  warm: {every_zone.controls.heat: 21}
  late: {zones.*.controls.setback.cool: 4}
  first: {\"zones.hall.controls.limits.heat[0]\": 16, every_zone.controls.limits.heat: [18, 22]}
";

/// By how much a zone sets back, heat and cool.
fn setback(model: &Model, at: usize) -> (f64, f64) {
    let controls = &model.zones[at].controls;
    let setback = controls.setback.expect("a setback");
    let grid = controls.settings.grid;
    (grid.value(setback.heat), grid.value(setback.cool))
}

fn heats(model: &Model) -> Vec<f64> {
    let grid = |at: usize| model.zones[at].controls.settings.grid;
    let heat = |at: usize| model.zones[at].controls.start.setpoints.heat();
    (0..model.zones.len()).map(|at| grid(at).value(heat(at))).collect()
}

#[test]
fn zones_take_what_they_do_not_have_themselves() {
    let [hall, store] = &right(SHARED).base.zones[..] else { panic!("two zones") };
    let written = SHARED
        .replace("every_zone:\n", "zones:\n  hall:\n")
        .split("zones:\n  hall:\n  store")
        .next()
        .expect("a head")
        .replace("\n    ", "\n      ")
        .replace("\n  space", "\n    space")
        .replace("\n  unit", "\n    unit")
        .replace("\n  controls", "\n    controls");
    assert_eq!(right(&written).base.zones[0].controls, hall.controls, "{written}");
    assert_eq!(right(&written).base.zones[0].space, hall.space);
    assert_eq!(heats(&right(SHARED).base), [20.0, 18.0]);
    assert_relative_eq!(store.space.input().floor, 20.0);
    assert_relative_eq!(store.space.input().height, 3.0);
    let shared = right(SHARED).base;
    assert_eq!([setback(&shared, 0), setback(&shared, 1)], [(3.0, 2.0), (5.0, 2.0)]);
    let spans = |zone: &setband::engine::Zone| match &zone.controls.occupancy {
        Occupancy::Schedule(spans) => spans.len(),
        other => panic!("{other:?}"),
    };
    assert_eq!((spans(hall), spans(store)), (2, 1));
}

#[test]
fn variants_and_sweeps_change_what_is_written_for_all_and_what_a_zone_takes() {
    let study = right(SHARED);
    let variant = |name: &str| study.variant(name).expect("right").clone();
    assert_eq!(heats(&variant("warm")), [21.0, 18.0]);
    let late = variant("late");
    assert_eq!([setback(&late, 0), setback(&late, 1)], [(3.0, 4.0), (5.0, 4.0)]);
    let lowest = |model: &Model, at: usize| {
        let settings = &model.zones[at].controls.settings;
        settings.grid.value(settings.rules.limits().heat.low)
    };
    // The list that a variant changes in one place is the zone's own from there on.
    let first = variant("first");
    assert_eq!((lowest(&first, 0), lowest(&first, 1)), (16.0, 15.0));

    let open = |_: &str| Err("no files".to_owned());
    let template = Template::read(SHARED, "shared.yaml", Box::new(open), None).expect("right");
    let change = |path: &str, value: &str| Override::new(path, value).expect("a value");
    let warm = template.model(&[change("every_zone.controls.heat", "21.5")]).expect("right");
    assert_eq!(heats(&warm), [21.5, 18.0]);
    let band = template.model(&[change("zones.*.band", "2")]).expect("right");
    assert_eq!(heats(&band), [21.0, 20.0]);
    let nowhere = template.model(&[change("every_zone.controls.heet", "21.5")]);
    assert!(matches!(nowhere, Err(Rejected::Path { .. })), "{nowhere:?}");
}

#[test]
fn places_lead_to_where_a_value_is_written() {
    let study = right(SHARED);
    assert_eq!(study.place("zones.hall.controls.heat").map(|it| it.0), Some(7));
    assert_eq!(study.place("zones.store.controls.heat").map(|it| it.0), Some(16));
    assert_eq!(study.place("every_zone.controls.heat").map(|it| it.0), Some(7));
    assert!(study.has("zones.hall.unit.heating") && !study.has("zones.hall.unit.fan"));
}

/// A page or a script that changes a zone writes into the zone.
#[test]
fn an_edit_of_a_zone_stands_above_what_is_written_for_all() {
    let change = |path: &str, value: f64| Edit { path: path.into(), value: value.into() };
    let edits = [
        change("zones.hall.controls.heat", 19.0),
        change("zones.store.controls.setback.cool", 1.0),
        change("every_zone.controls.cool", 25.0),
    ];
    let text = edit(SHARED, &edits).unwrap_or_else(|fault| panic!("{fault}"));
    let model = right(&text).base;
    assert_eq!(heats(&model), [19.0, 18.0]);
    assert_eq!(setback(&model, 1), (5.0, 1.0));
    let grid = model.zones[0].controls.settings.grid;
    assert_relative_eq!(grid.value(model.zones[0].controls.start.setpoints.cool()), 25.0);
}

#[test]
fn the_schema_lets_needs_stand_elsewhere_only_beside_what_is_written_for_all() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    let value = |text: &str| -> serde_json::Value { serde_yaml::from_str(text).expect("YAML") };
    let errors: Vec<String> =
        validator.iter_errors(&value(SHARED)).map(|error| error.to_string()).collect();
    assert_eq!(errors, Vec::<String>::new());
    let slips = [
        ("every_zone:", "every_room:"),
        ("height: 3 m", "height: 3"),
        ("height: 3 m", "hight: 3 m"),
        ("setback: {heat: 5}", "setback: {heat: 5, hot: 3}"),
    ];
    for (right_one, slip) in slips {
        let text = SHARED.replace(right_one, slip);
        assert_ne!(text, SHARED, "{slip}");
        assert!(!validator.is_valid(&value(&text)), "{slip}");
        assert!(study(&text).is_err(), "{slip}");
    }
}

#[test]
fn a_fault_in_what_is_written_for_all_is_told_once() {
    let text =
        SHARED.replace("heat: 20", "heat: 20.2").replace("controls: {heat: 18, ", "controls: {");
    let faults = study(&text).expect_err("20.2 lies between ticks");
    assert_eq!(faults.count(), 1, "{faults}");
    assert_eq!(faults.as_slice()[0].path, "every_zone.controls.heat");
    // What fits one zone alone is that zone's.
    let text =
        SHARED.replace("limits: {heat: [15, 22]}", "limits: {heat: [15, 22], cool: [25, 28]}");
    let faults = study(&text).expect_err("24 lies outside");
    assert_eq!(faults.count(), 1, "{faults}");
    assert_eq!(faults.as_slice()[0].path, "zones.store.controls.cool");
}

/// The word `none` takes away what every zone has, or what the file has in a variant; where a key must
/// have a value it is none.
#[test]
fn none_says_that_there_is_none_of_it() {
    let text = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
every_zone:
  space: {floor: 30 m2}
  unit: {heating: 3 kW, cooling: 3 kW}
  controls:
    heat: 20
    cool: 24
    low_limit: 7
    outdoor_limits: {heat_below: 18, cool_above: 12}
    return_at: [\"12:00\"]
    return_to: {heat: 20}
zones:
  hall: {}
  attic: {controls: {outdoor_limits: none, return_at: none, return_to: none}}
  cellar: {controls: {outdoor_limits: {cool_above: none}}}
variants:
  bare: {zones.*.controls.low_limit: none, zones.hall.controls.outdoor_limits: none}
";
    let open = |_: &str| Err("no files here".to_owned());
    let study = read(text, "rooms.yaml", &open).unwrap_or_else(|faults| panic!("{faults}"));
    let limits = |model: &Model, at: usize| model.zones[at].controls.outdoor_limits;
    let base = &study.base;
    assert_eq!(limits(base, 0).heat_below, Some(18.0));
    assert!(limits(base, 1).is_none() && base.zones[1].controls.returns.is_none());
    assert!(base.zones[0].controls.returns.is_some());
    assert_eq!((limits(base, 2).heat_below, limits(base, 2).cool_above), (Some(18.0), None));
    let bare = study.variant("bare").unwrap_or_else(|_| panic!("a variant"));
    assert!(limits(bare, 0).is_none() && !limits(base, 0).is_none());
    let frost =
        |model: &Model| model.zones.iter().filter(|it| it.controls.low_limit.is_some()).count();
    assert_eq!((frost(base), frost(bare)), (3, 0));
    for (right, wrong) in [
        ("heat: 20", "heat: none"),
        ("cool: 24", "cool: 24\n    min_deadband: none"),
        ("cool: 24", "cool: 24\n    mode: none"),
    ] {
        let faults = read(&text.replacen(right, wrong, 1), "rooms.yaml", &open).expect_err(wrong);
        assert!(faults.to_string().contains("none"), "{wrong}: {faults}");
    }
}
