//! `setband compare`: the same days for every settings, and honest differences.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

const FILE: &str = "title: Two rooms
period: {from: 2025-04-16}
weather: {design_day: {high: 19, range: 11}}
zones:
  parlour:
    space: {floor: 40 m2, mass: very_light}
    gains: {from: \"09:00\", to: \"17:00\", power: 900 W}
    unit: {heating: 4 kW, cooling: 4 kW, fan: 40 W, control: staged}
    controls: {heat: 20, cool: 23}
  den:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 20, cool: 24, limits: {heat: [17, 22], cool: [23, 28]}}
actions:
  - {at: \"10:00\", zone: parlour, heat: 22.5}
  - {at: \"11:00\", zone: den, heat: 30}
tariff: {price: 0.2, currency: crowns, carbon: 0.4 kg/kWh}
";

const VARIANTS: &str = "variants:
  same: {}
  again: {zones.parlour.controls.heat: 20}
  wide: {zones.parlour.controls.min_deadband: 4, zones.parlour.controls.cool: 25}
  impossible: {zones.den.controls.min_deadband: 0}
";

fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("written");
    }
    folder
}

fn compare(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.current_dir(folder).arg("compare").args(arguments);
    command.output().expect("the program runs")
}

fn json(output: &Output) -> Value {
    let error = String::from_utf8_lossy(&output.stderr);
    serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("no JSON: {error}"))
}

fn with_variants() -> String {
    format!("{FILE}{VARIANTS}")
}

#[test]
fn identical_settings_give_identical_numbers_and_no_difference() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let read = json(&compare(folder.path(), &["rooms.yaml", "--json"]));
    for name in ["same", "again"] {
        let (mut base, mut variant) = (read["base"].clone(), read["variants"][name].clone());
        assert_eq!(variant["variant"], name);
        base["variant"] = Value::Null;
        variant["variant"] = Value::Null;
        assert_eq!(base, variant);
        for (figure, difference) in read["differences"][name].as_object().expect("figures") {
            let none = difference["base"].is_null();
            assert!(none || difference["difference"] == 0.0, "{name} {figure}: {difference}");
            assert!(none || difference["percent"] == 0.0, "{name} {figure}: {difference}");
        }
    }
}

#[test]
fn differences_are_those_of_the_summaries() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let read = json(&compare(folder.path(), &["rooms.yaml", "--json"]));
    let (base, wide) = (&read["base"], &read["variants"]["wide"]);
    let all = &read["differences"]["wide"];
    let number = |value: &Value| value.as_f64().expect("a number");
    for key in ["total_kwh", "heating_kwh", "cost", "carbon_kg", "peak_kw"] {
        let (before, after) = (number(&base["energy"][key]), number(&wide["energy"][key]));
        assert_eq!(number(&all[key]["difference"]), after - before, "{key}");
        let percent = 100.0 * (after - before) / before;
        assert!((number(&all[key]["percent"]) - percent).abs() < 1e-9, "{key}");
    }
    let pushed = |summary: &Value| {
        let zones = summary["zones"].as_object().expect("zones").values();
        zones.map(|zone| number(&zone["requests"]["pushed"])).sum::<f64>()
    };
    assert_eq!(number(&all["pushed"]["value"]), pushed(wide));
    assert_eq!(number(&all["pushed"]["base"]), pushed(base));
    assert!(number(&all["total_kwh"]["difference"]) < 0.0, "a wider band saves here");
}

#[test]
fn a_variant_that_cannot_be_is_reported_and_the_rest_go_on() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let output = compare(folder.path(), &["rooms.yaml", "--json"]);
    assert_eq!(output.status.code(), Some(0));
    let read = json(&output);
    let names: Vec<&String> = read["variants"].as_object().expect("variants").keys().collect();
    assert_eq!(names, ["again", "same", "wide"]);
    assert_eq!(read["left_out"]["impossible"]["count"], 1);
    let error = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(error.contains("impossible is left out") && error.contains("rooms.yaml:"), "{error}");
    let text = compare(folder.path(), &["rooms.yaml"]);
    let text = String::from_utf8_lossy(&text.stdout).into_owned();
    assert!(text.contains("Left out: impossible") && text.contains("wide against base"), "{text}");
    let tables = text.split("Left out").next().expect("tables");
    assert!(tables.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn files_run_under_the_weather_and_the_seed_of_the_first() {
    let warm = FILE.replace("high: 19", "high: 30").replace("Two rooms", "Elsewhere");
    let changed = FILE.replace("cool: 23", "cool: 25");
    let files = [("a.yaml", FILE), ("b.yaml", warm.as_str()), ("c.yaml", changed.as_str())];
    let folder = folder(&files);
    let calls = ["a.yaml", "b.yaml", "c.yaml", "--json", "--seed", "7"];
    let read = json(&compare(folder.path(), &calls));
    assert_eq!(read["base_name"], "a");
    assert_eq!(read["differences"]["b"]["total_kwh"]["difference"], 0.0);
    assert_eq!(read["variants"]["b"]["seed"], 7);
    assert!(read["notes"][0].as_str().expect("a note").contains("weather of a"), "{read}");
    assert_ne!(read["differences"]["c"]["total_kwh"]["difference"], 0.0);
    assert!(folder.path().join("out/a/compare.json").is_file());
}

#[test]
fn a_broken_second_file_is_left_out_and_a_broken_first_stops() {
    let folder = folder(&[("a.yaml", FILE), ("b.yaml", "period: no\n"), ("c.yaml", FILE)]);
    let read = json(&compare(folder.path(), &["a.yaml", "b.yaml", "c.yaml", "--json"]));
    assert!(read["left_out"]["b"]["count"].as_u64().expect("a count") > 0);
    assert!(read["variants"]["c"].is_object());
    assert_eq!(compare(folder.path(), &["b.yaml", "a.yaml"]).status.code(), Some(2));
}

#[test]
fn calls_that_make_no_sense_say_what_would() {
    let longer = FILE.replace("2025-04-16", "2025-04-17");
    let folder = folder(&[("a.yaml", FILE), ("b.yaml", &longer), ("v.yaml", &with_variants())]);
    let fails = |arguments: &[&str], words: &str| {
        let output = compare(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(error.contains(words), "{error}");
        assert!(output.stdout.is_empty());
    };
    fails(&["a.yaml"], "has no variants to compare");
    fails(&["a.yaml", "b.yaml"], "simulates other days");
    fails(&["v.yaml", "--variant", "wider"], "no variant `wider`");
    fails(&[], "Usage");
}

#[test]
fn csv_has_a_row_for_each_variant_and_figure_with_the_numbers_of_the_json() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let read = json(&compare(folder.path(), &["rooms.yaml", "--variant", "wide", "--json"]));
    let csv = compare(folder.path(), &["rooms.yaml", "--variant", "wide", "--csv"]);
    let mut reader = csv::Reader::from_reader(csv.stdout.as_slice());
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let figures = read["differences"]["wide"].as_object().expect("figures");
    assert_eq!(rows.len(), figures.len());
    for row in &rows {
        let figure = &figures[&row[1]];
        for (column, key) in [(3, "base"), (4, "value"), (5, "difference"), (6, "percent")] {
            assert_eq!(row[column].parse::<f64>().ok(), figure[key].as_f64(), "{row:?} {key}");
        }
    }
    let money = rows.iter().find(|row| &row[1] == "cost").expect("a cost");
    assert_eq!(&money[2], "crowns");
}

/// What a page says: the text between its tags, without script and style.
fn said(page: &str) -> String {
    let mut rest = page;
    let mut said = String::new();
    while let Some((words, tag)) = rest.split_once('<') {
        said += words;
        said.push('\n');
        let closing = ["script", "style"].into_iter().find(|name| tag.starts_with(name));
        let end = closing.map_or_else(|| ">".to_owned(), |name| format!("</{name}>"));
        rest = tag.split_once(end.as_str()).map_or("", |(_, rest)| rest);
    }
    said + rest
}

#[test]
fn the_page_opens_with_plain_sentences_and_has_no_name_of_code() {
    let variants = "variants:
  wider_band: {zones.*.controls.min_deadband: 4, zones.*.controls.cool: 25}
  same: {}
";
    let folder = folder(&[("rooms.yaml", &format!("{FILE}{variants}"))]);
    let read = json(&compare(folder.path(), &["rooms.yaml", "--json"]));
    let page = folder.path().join("out/rooms/report.html");
    let said = said(&std::fs::read_to_string(page).expect("written"));
    assert_eq!(said.lines().find(|line| line.contains('_')), None);
    let line = |start: &str| {
        let found = said.lines().find(|line| line.starts_with(start));
        found.unwrap_or_else(|| panic!("no line begins with {start}")).to_owned()
    };
    let changes = line("“wider band” changes: ");
    assert!(changes.contains("minimum deadband 4 °C instead of "), "{changes}");
    assert!(changes.contains("cool setpoint 25 °C instead of 23 °C in parlour"), "{changes}");
    let changeovers = |which: &Value| which["group"]["changeovers"].as_u64().expect("a count");
    let (before, after) =
        (changeovers(&read["base"]), changeovers(&read["variants"]["wider_band"]));
    let instead = format!("between heating and cooling instead of {before}");
    assert_eq!(changes.contains(&instead), before != after, "{changes}");
    let costs = line("With “wider band” electricity costs ");
    let money = |which: &Value| format!("{:.2}", which["energy"]["cost"].as_f64().expect("a cost"));
    let cheaper = format!(
        "{} crowns instead of {}",
        money(&read["variants"]["wider_band"]),
        money(&read["base"])
    );
    assert!(costs.contains(&cheaper), "{costs}");
    assert!(line("“same” has ").ends_with("and every figure is the same."));
    assert!(line("With “same” nobody").starts_with("With “same” nobody&#39;s comfort changes"));
    assert!(said.contains("no promise of savings"));
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let run = |threads| compare(folder.path(), &["rooms.yaml", "--json", "--threads", threads]);
    assert_eq!(run("1").stdout, run("5").stdout);
}
