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
    let page = folder.path().join("out/rooms/compare.html");
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
    let instead = format!(" instead of {before}.");
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
    assert!(line("With “same” nobody").starts_with("With “same” nobody's comfort changes"));
    assert!(said.contains("no promise of savings"));
}

#[test]
fn a_comparison_leaves_the_files_of_a_run_alone_and_names_only_its_own() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let run = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
        command.current_dir(folder.path()).args(["run", "rooms.yaml", "--quiet"]);
        assert!(command.output().expect("the program runs").status.success());
    };
    let out = folder.path().join("out/rooms");
    let bytes = |name: &str| std::fs::read(out.join(name)).expect("written");
    run();
    let before = ["report.html", "report.xlsx", "summary.json", "ledger.csv"].map(bytes);
    std::fs::remove_dir_all(&out).expect("removed");
    assert!(compare(folder.path(), &["rooms.yaml", "--quiet"]).status.success());
    let page = said(&String::from_utf8(bytes("compare.html")).expect("UTF-8"));
    for word in page.split(|letter: char| letter.is_whitespace() || ",;:()".contains(letter)) {
        let word = word.trim_end_matches('.');
        if [".csv", ".json", ".html", ".xlsx"].iter().any(|end| word.ends_with(end)) {
            assert!(out.join(word).is_file(), "the page speaks of {word}, which is not there");
        }
    }
    let compared = ["compare.html", "compare.xlsx", "compare.json", "compare.csv"].map(bytes);
    run();
    let after = ["report.html", "report.xlsx", "summary.json", "ledger.csv"].map(bytes);
    assert!(before == after, "the run's files are its own");
    let still = ["compare.html", "compare.xlsx", "compare.json", "compare.csv"].map(bytes);
    assert!(compared == still, "and so are the comparison's");
}

#[test]
fn the_answer_says_what_it_costs_and_so_do_the_bars() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let read = json(&compare(folder.path(), &["rooms.yaml", "--json"]));
    let text = compare(folder.path(), &["rooms.yaml"]);
    let text = String::from_utf8_lossy(&text.stdout).replace('\n', " ");
    let difference = read["differences"]["wide"]["cost"]["difference"].as_f64().expect("a cost");
    let cost = format!("{:.2} crowns less", -difference);
    assert!(difference < 0.0 && text.contains(&cost), "{cost}: {text}");
    let bars = std::fs::read_to_string(folder.path().join("out/rooms/differences.svg"));
    let bars = bars.expect("written");
    assert!(bars.contains("Cost: base has") && bars.contains(" crowns"), "no cost in the bars");
}

#[test]
fn names_stay_apart_and_nothing_runs_over_sixty_columns() {
    let variant = |at: usize| {
        let side = ["heat", "cool"][at % 2];
        let name = format!("gentle_evening_setback_for_{side}_number_{at:02}_of_the_ground_floor");
        format!("  {name}: {{zones.den.label: den {at}}}")
    };
    let variants: Vec<String> = (0..32).map(variant).collect();
    let file = format!("{FILE}variants:\n{}\n", variants.join("\n"));
    let no_files = |_: &str| Err("no files here".to_owned());
    let study = setband::scenario::read(&file, "rooms.yaml", &no_files).expect("it can be read");
    let threads = std::num::NonZeroUsize::MIN;
    let comparison = setband::study::compare_variants(study.base, study.variants, threads);
    for width in [60, 80] {
        let style = setband::report::Style { color: false, width };
        let text = setband::report::comparison_text(&comparison, style, &[]);
        let over: Vec<&str> = text.lines().filter(|it| it.chars().count() > width).collect();
        assert!(over.is_empty(), "{width}: {over:#?}");
        // The first table's names, some of which go on below; numbers stand behind two blanks.
        let table = text.split("\n\n").nth(1).expect("a table");
        let mut names: Vec<String> = Vec::new();
        for line in table.lines().skip_while(|line| !line.starts_with("base")) {
            match (line.split_once("  "), names.last_mut()) {
                (None, Some(name)) => name.push_str(line),
                (numbered, _) => names.push(numbered.map_or(line, |(name, _)| name).to_owned()),
            }
        }
        let mut different = names.clone();
        different.sort();
        different.dedup();
        assert_eq!((names.len(), different.len()), (33, 33), "{width}: {table}");
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let folder = folder(&[("rooms.yaml", &with_variants())]);
    let run = |threads| compare(folder.path(), &["rooms.yaml", "--json", "--threads", threads]);
    assert_eq!(run("1").stdout, run("5").stdout);
}
