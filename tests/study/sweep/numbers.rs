//! What the numbers of a sweep are.

use std::collections::BTreeMap;
use std::fs;
use std::sync::Arc;

use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use setband::measures::FIGURES;
use setband::scenario::{Override, Template, load, load_template};
use setband::study::{Keep, simulate};

use super::{HALL, Place};

/// Without chance a sweep is so many runs.
#[test]
fn a_sweep_has_the_numbers_of_single_runs() {
    let place = Place::new(HALL);
    place.sweep(&[
        "--grid",
        "zones.*.controls.min_deadband=[2, 0, 4]",
        "--draws",
        "2",
        "--out",
        "o",
    ]);
    let rows = place.table("o/cases.csv");
    assert_eq!(rows.len(), 6);
    let study = load(&place.path("hall.yaml")).expect("right");
    for (value, variant) in [("2", None), ("0", Some("single")), ("4", Some("wide"))] {
        let model = match variant {
            None => &study.base,
            Some(name) => study.variant(name).expect("there"),
        };
        let summary = simulate(model, Keep::Nothing).summary;
        let same = rows.iter().filter(|row| row["zones.*.controls.min_deadband"] == value);
        let same: Vec<_> = same.collect();
        assert_eq!(same.len(), 2);
        for (row, figure) in same.iter().flat_map(|row| FIGURES.iter().map(move |it| (row, it))) {
            let expected = figure.of(&summary).map_or(String::new(), |it| (it + 0.0).to_string());
            assert_eq!(row[figure.key], expected, "{} at {value}", figure.key);
        }
    }
}

/// Every key of a file at once, with people and a zone that starts early and learns from it: draws
/// that share their warm rooms come to what each comes to in rooms of its own.
#[test]
fn draws_that_share_warm_rooms_have_the_numbers_of_single_runs() {
    let place = Place::new(include_str!("../../good/everything.yaml"));
    let path = "zones.weaving.controls.min_deadband";
    let grid = format!("{path}=[2, 3]");
    place.sweep(&["--grid", &grid, "--draws", "3", "--threads", "2", "--out", "o"]);
    let rows = place.table("o/cases.csv");
    assert_eq!(rows.len(), 6);
    let template = load_template(&place.path("hall.yaml"), None, &Arc::default()).expect("right");
    let mut costs = Vec::new();
    for row in rows {
        let deadband = Override::new(path, &row[path]).expect("a value");
        let mut model = template.model(&[deadband]).expect("a model");
        assert!(model.zones.iter().any(|zone| zone.controls.optimum_start.is_some()));
        model.seed = row["seed"].parse().expect("a seed");
        let summary = simulate(&model, Keep::Nothing).summary;
        for figure in FIGURES {
            let expected = figure.of(&summary).map_or(String::new(), |it| (it + 0.0).to_string());
            assert_eq!(row[figure.key], expected, "{} at {row:?}", figure.key);
        }
        costs.push(row["cost"].clone());
    }
    costs.dedup();
    assert_eq!(costs.len(), 6, "every draw has people of its own: {costs:?}");
}

/// `run --json` on the command line says the same, too.
#[test]
fn the_best_case_is_what_run_says_of_it() {
    let place = Place::new(HALL);
    place.sweep(&["--grid", "zones.*.controls.min_deadband=[0, 4]", "--out", "o"]);
    let swept = place.json("o/sweep.json");
    let best = &swept["settings"][0];
    let wide = best["setting"]["zones.*.controls.min_deadband"] == "4";
    let variant = if wide { "wide" } else { "single" };
    let run = place.run(&["run", "hall.yaml", "--variant", variant, "--json", "--steps", "none"]);
    let run: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
    assert_eq!(best["figures"]["cost"]["mean"], run["energy"]["cost"]);
    assert_eq!(best["figures"]["total_kwh"]["mean"], run["energy"]["total_kwh"]);
    assert_eq!(swept["goal"]["figure"], "cost", "a file with a tariff is ranked by cost");
}

/// 20 and 24 have their midpoint at 22.
#[test]
fn a_band_moves_heat_cool_and_deadband_together() {
    let no_files = Box::new(|_: &str| Err("no files".to_owned()));
    let template = Template::read(HALL, "hall.yaml", no_files, None).expect("right");
    for (band, heat, cool) in [("0", 22.0, 22.0), ("2.5", 21.0, 23.5), ("6", 19.0, 25.0)] {
        let change = Override::new("zones.*.band", band).expect("a value");
        let model = template.model(&[change]).expect("a model");
        let controls = &model.zones[0].controls;
        let (grid, pair) = (controls.settings.grid, controls.start.setpoints);
        assert_eq!((grid.value(pair.heat()), grid.value(pair.cool())), (heat, cool), "{band}");
        let deadband = grid.value(controls.settings.rules.deadband());
        assert_eq!(deadband.to_string(), band);
    }
}

#[test]
fn what_varies_is_the_same_for_every_setting_and_settings_are_compared_draw_by_draw() {
    let place = Place::new(HALL);
    let vary = "zones.*.gains.power=500..2500 W";
    place.sweep(&["--grid", "zones.*.band=[1, 3]", "--vary", vary, "--draws", "12", "--out", "o"]);
    let rows = place.table("o/cases.csv");
    let varied = |band: &str| -> Vec<&String> {
        let own = rows.iter().filter(|row| row["zones.*.band"] == band);
        own.map(|row| &row["zones.*.gains.power"]).collect()
    };
    assert_eq!(varied("1"), varied("3"));
    assert!(varied("1").windows(2).all(|pair| pair[0] != pair[1]));
    let swept = place.json("o/sweep.json");
    let [best, next] = [&swept["settings"][0], &swept["settings"][1]];
    let figure = |it: &serde_json::Value, key: &str| it["figures"]["cost"][key].clone();
    let deviation = |it: &serde_json::Value| it.as_f64().expect("a number");
    // Every draw changes both settings alike, so their difference varies much less than either.
    let apart = deviation(&next["behind_best"]["deviation"]);
    assert!(apart < 0.7 * deviation(&figure(best, "deviation")), "{apart}");
    let difference = figure(next, "mean").as_f64().expect("a number")
        - figure(best, "mean").as_f64().expect("a number");
    let behind = next["behind_best"]["mean"].as_f64().expect("a number");
    assert!((behind - difference).abs() < 1e-9, "{behind} {difference}");
    let paths: Vec<&str> = swept["sensitivity"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|it| it["path"].as_str())
        .collect();
    assert!(paths.contains(&"zones.*.gains.power") && paths.contains(&"zones.*.band"), "{paths:?}");
}

#[test]
fn settings_that_cannot_be_run_are_counted_and_the_rest_go_on() {
    let place = Place::new(HALL);
    // Heat at 25 leaves no room for cool at 24; 20.3 is no whole tick.
    let output = place.sweep(&["--grid", "zones.*.controls.heat=[19, 20.3, 21, 25]", "--out", "o"]);
    let printed = String::from_utf8(output.stdout).expect("text");
    assert!(printed.contains("2 of 4 settings"), "{printed}");
    let swept = place.json("o/sweep.json");
    assert_eq!(swept["settings"].as_array().map(Vec::len), Some(2));
    assert_eq!(swept["cases"]["settings_unfit"], 2);
    assert_eq!(swept["complete"], true);
    let faults: Vec<bool> =
        place.table("o/cases.csv").iter().map(|row| row["fault"].is_empty()).collect();
    assert_eq!(faults, [true, false, true, false]);
}

#[test]
fn bounds_rank_and_where_none_keeps_them_the_exit_code_says_so() {
    let place = Place::new(HALL);
    let grid = ["--grid", "zones.*.band=0..4:2", "--out", "o"];
    place.sweep(&[&grid[..], &["--minimise", "changeovers"]].concat());
    let least = place.json("o/sweep.json")["settings"][0]["figures"]["changeovers"]["mean"].clone();
    let least = least.as_f64().expect("a number");
    let impossible = format!("changeovers={}", least - 1.0);
    let call = [&["sweep", "hall.yaml"][..], &grid, &["--at-most", &impossible]].concat();
    let output = place.run(&call);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("none keeps the bounds"));
    let possible = format!("changeovers={least}");
    place.sweep(&[&grid[..], &["--at-most", &possible, "--maximise", "total_kwh"]].concat());
    let swept = place.json("o/sweep.json");
    let keeping =
        usize::try_from(swept["keep_the_bounds"].as_u64().expect("a count")).expect("few");
    let settings = swept["settings"].as_array().expect("a list");
    let kwh = |place: usize| settings[place]["figures"]["total_kwh"]["mean"].as_f64();
    assert!((1..keeping).all(|place| kwh(place - 1) >= kwh(place)));
    assert!(keeping < settings.len() && settings[keeping]["keeps_the_bounds"] == "no");
}

#[test]
fn values_are_put_on_those_that_the_key_can_have_and_what_ran_is_counted() {
    let place = Place::new(HALL);
    let vary = "zones.*.controls.sensor.lag=0..10 min";
    let grid = "zones.*.band=0..4:0.25";
    let call = ["--grid", grid, "--vary", vary, "--draws", "2", "--out", "o"];
    let printed = String::from_utf8(place.sweep(&call).stdout).expect("text").replace('\n', " ");
    // Half-degree ticks: nine widths from 0 to 4, and whole seconds.
    let swept = place.json("o/sweep.json");
    assert_eq!(
        (&swept["cases"]["settings"], &swept["cases"]["settings_unfit"]),
        (&9.into(), &0.into())
    );
    assert!(printed.contains("among 9 settings"), "{printed}");
    assert!(
        printed.contains("8 of its values lie between those that the key can have"),
        "{printed}"
    );
    let lags: Vec<String> = place
        .table("o/cases.csv")
        .iter()
        .map(|row| row["zones.*.controls.sensor.lag"].clone())
        .collect();
    assert!(lags.iter().all(|lag| lag.ends_with(" s") && !lag.contains('.')), "{lags:?}");
    // What could not be run is no setting of the headline.
    let output = place.sweep(&["--grid", "zones.*.controls.heat=[19, 20.3, 21, 25]", "--out", "p"]);
    let printed = String::from_utf8(output.stdout).expect("text").replace('\n', " ");
    assert!(printed.contains("among 2 settings that could be run"), "{printed}");
}

#[test]
fn with_people_chance_is_at_work_also_where_it_did_not_show() {
    let content =
        format!("{HALL}people:\n  - {{zone: hall, name: content, prefers: 22, tolerance: 10}}\n");
    let place = Place::new(&content);
    let call = [
        "--grid",
        "zones.*.band=[2, 3]",
        "--draws",
        "5",
        "--minimise",
        "starved_hours",
        "--out",
        "o",
    ];
    let printed = String::from_utf8(place.sweep(&call).stdout).expect("text").replace('\n', " ");
    assert!(!printed.contains("happens by chance"), "{printed}");
    assert!(printed.contains("what comes seldom may not have come"), "{printed}");
    let complaints =
        &place.json("o/sweep.json")["settings"][0]["figures"]["complaints"]["interval"];
    assert!(complaints[0] == 0.0 && complaints[1].as_f64() > Some(0.0), "{complaints}");
    let alone = Place::new(HALL);
    let printed = String::from_utf8(alone.sweep(&call).stdout).expect("text").replace('\n', " ");
    assert!(printed.contains("nothing in the file happens by chance"), "{printed}");
}

/// Read back with the library's own reader: the same columns and values as the CSV.
#[test]
fn the_parquet_file_has_the_rows_of_the_csv() {
    let place = Place::new(HALL);
    let grid = ["--grid", "zones.*.controls.heat=[19, 25]", "--grid"];
    place.sweep(&[&grid[..], &["zones.*.gains.power=[500 W, 900 W]", "--out", "o"]].concat());
    let file = fs::File::open(place.path("o/cases.parquet")).expect("written");
    let reader = SerializedFileReader::new(file).expect("Parquet");
    let rows: Vec<BTreeMap<String, String>> = reader
        .get_row_iter(None)
        .expect("rows")
        .map(|row| {
            let row = row.expect("a row");
            let text = |field: &Field| match field {
                Field::Null => String::new(),
                Field::Long(value) => value.to_string(),
                Field::Double(value) => value.to_string(),
                Field::Str(value) => value.clone(),
                other => panic!("{other:?}"),
            };
            row.get_column_iter().map(|(name, field)| (name.clone(), text(field))).collect()
        })
        .collect();
    assert_eq!(rows, place.table("o/cases.csv"));
    assert_eq!(rows.len(), 4);
}
