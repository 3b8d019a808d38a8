//! Files as a whole: variants, companions, aliases, and the schema beside the reader.

use super::*;

#[test]
fn variants_change_what_they_name() {
    let study = right(EVERYTHING);
    let deadbands = |model: &Model| {
        let of = |zone: &setband::engine::Zone| {
            zone.controls.settings.grid.value(zone.controls.settings.rules.deadband())
        };
        model.zones.iter().map(of).collect::<Vec<f64>>()
    };
    assert_eq!(deadbands(&study.base), [2.0, 1.0]);
    let wide = study.variant("wide").expect("right");
    assert_eq!((deadbands(wide), wide.variant.as_deref()), (vec![4.0, 4.0], Some("wide")));
    assert_eq!(deadbands(study.variant("single").expect("right")), [0.0, 1.0]);
    let unknown = study.variant("wode").expect_err("no such variant");
    assert_eq!(unknown, VariantFault::Unknown { nearest: Some("wide") });
}

#[test]
fn a_variant_can_make_blocks_that_the_file_leaves_out() {
    let text = format!("{SHORT}variants: {{lag: {{zones.attic.controls.sensor.lag: 4 min}}}}\n");
    let study = right(&text);
    let lag = study.variant("lag").expect("right").zones[0].controls.sensor.lag;
    assert_eq!(lag, Seconds::minutes(4));
}

#[test]
fn a_faulty_variant_stops_neither_the_file_nor_the_others() {
    let text = format!(
        "{SHORT}variants:\n  far: {{zones.attic.controls.heat: 29}}\n  lost: \
         {{zones.atic.controls.heat: 19}}\n  fine: {{zones.*.controls.heat: 19}}\n"
    );
    let study = right(&text);
    let Err(VariantFault::Faulty(far)) = study.variant("far") else { panic!("29 over 24") };
    let fault = &far.as_slice()[0];
    assert_eq!((fault.code, fault.line), ("start-too-close", 9));
    assert!(study.variant("fine").is_ok() && study.variant("lost").is_err());
    // What is wrong whatever the file says is told apart: here the path that leads nowhere.
    let structural = study.structural_faults().expect("one");
    let codes: Vec<&str> = structural.as_slice().iter().map(|fault| fault.code).collect();
    assert_eq!((codes, structural.as_slice()[0].line), (vec!["unknown-path"], 10));
}

#[test]
fn a_weather_file_is_read_beside_the_scenario() {
    let text = SHORT.replace("{design_day: {high: 18, range: 11}}", "{csv: hours.csv}");
    let hour = |hour: u32| format!("2025-04-16T{hour:02}:00,{}\n", f64::from(hour) / 2.0);
    let rows: String = (0..24).map(hour).collect();
    let file = format!("time,temperature\n2025-04-15 12:00,3\n{rows}2025-04-18T00:00:00,9\n");
    let open =
        |name: &str| if name == "hours.csv" { Ok(file.clone()) } else { Err("?".to_owned()) };
    let study = read(&text, "attic.yaml", &open).unwrap_or_else(|faults| panic!("{faults}"));
    let Weather::Readings(readings) = study.base.weather else { panic!("readings") };
    let rows: Vec<(f64, f64)> = readings.iter().map(|row| (row.second, row.temperature)).collect();
    // From the last row not after the start to the first not before the end.
    assert_eq!(rows.len(), 25);
    assert_eq!((rows[0], rows[1], rows[24]), ((0.0, 0.0), (3600.0, 0.5), (172_800.0, 9.0)));
}

#[test]
fn aliases_stand_for_what_they_name() {
    let text = SHORT.replace(
        "    controls: {heat: 20, cool: 24}\n",
        "    controls: &same {heat: 20, cool: 24}\n  cellar:\n    space: {floor: 40 m2}\n    unit: \
         {heating: 3 kW, cooling: 3 kW}\n    controls: *same\n",
    );
    assert_eq!(right(&text).base.zones[1].controls, right(SHORT).base.zones[0].controls);
}

fn as_json(text: &str) -> serde_json::Value {
    serde_yaml::from_str(text).expect("YAML")
}

#[test]
fn the_schema_takes_what_the_reader_takes() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    let starters = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit].map(starter);
    for text in [EVERYTHING, SHORT, starters[0], starters[1]] {
        let value = as_json(text);
        let errors: Vec<String> =
            validator.iter_errors(&value).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new());
    }
}

#[test]
fn the_schema_and_the_reader_refuse_the_same_slips() {
    let validator = jsonschema::draft202012::new(&schema()).expect("a schema");
    let slips = [
        ("floor: 40 m2", "floor: 40"),
        ("floor: 40 m2", "floor: 40 kW"),
        ("floor: 40 m2", "flor: 40 m2"),
        ("heat: 20", "heat: \"20\""),
        ("heat: 20", "heat: 20 C"),
        ("heat: 20", "heat: 900"),
        ("heat: 20", "heat: 20, mode: warm"),
        ("heat: 20", "heat: 20, power: yes please"),
        ("heat: 20", "heat: 20, locked_modes: [fan, fan]"),
        ("heat: 20", "heat: 20, changeover_delay: 10"),
        ("heat: 20", "heat: 20, occupancy: {from: \"25:00\", to: \"08:00\"}"),
        ("heat: 20", "heat: 20, limits: {heat: [17]}"),
        ("from: 2025-04-16", "from: 16.4.2025"),
        ("from: 2025-04-16", "from: 2025-04-16, days: 0"),
        ("weather:", "people: [{zone: attic, name: ann}]\nweather:"),
        ("weather:", "people: [{zone: attic, name: ann, prefers: 21, keys: [fan]}]\nweather:"),
        ("weather:", "wether: {}\nweather:"),
        ("  attic:", "  the attic:"),
        ("controls: {heat: 20, cool: 24}", "label: attic"),
    ];
    for (right, wrong) in slips {
        let text = SHORT.replace(right, wrong);
        assert_ne!(text, SHORT, "{right}");
        assert!(study(&text).is_err(), "the reader takes `{wrong}`");
        assert!(!validator.is_valid(&as_json(&text)), "the schema takes `{wrong}`");
    }
}
