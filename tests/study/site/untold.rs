//! What a log cannot tell `fit`: said, with what would tell it, and as wide in draws as it was believed
//! to be; and `fit` through the program.

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Output};

use serde_json::Value;
use setband::engine::ZoneIndex;
use setband::study::fit::draws::Draws;
use setband::study::fit::{Freed, Options, Parameter, ZoneFit, fit_zone};
use setband::study::{Keep, simulate};
use tempfile::TempDir;

use super::maker::read;

/// An invented store room in the cold.
fn file(more: &str) -> String {
    format!(
        "title: Store of Alder Row\nperiod: {{from: 2025-01-14, step: 10 min}}\nweather: {{design_day: {{high: 4, \
         range: 8}}}}\nzones:\n  store:\n    label: Store\n    space: {{floor: 50 m2, start: 19, opaque: 70 W/K}}   \
         # by the plans\n    gains: {{power: 200 W}}\n    unit: {{heating: 4 kW, control: staged}}\n    controls: \
         {{heat: 20, cool: 26}}\n{more}"
    )
}

/// A day of it, a row each ten minutes.
fn csv(scenario: &str) -> String {
    let model = read(scenario, b"");
    let mut text = "time,out,air,h,run\n".to_owned();
    for row in simulate(&model, Keep::Steps).rows {
        let (hour, minute) = (row.at.get() / 3600, row.at.get() / 60 % 60);
        let run = row.served.map_or("none", setband::control::Direction::name);
        let _ = writeln!(
            text,
            "2025-01-14 {hour:02}:{minute:02},{:.2},{:.2},{},{run}",
            row.outdoor, row.sensed, row.heat
        );
    }
    text
}

fn block(points: &str) -> String {
    format!("log: {{file: day.csv, {points}}}\n")
}

const WHOLE: &str = "outdoor: out, zones: {store: {temperature: air, heat: h, running: run}}";

fn fitted(scenario: &str, points: &str, log: &str, free: &[&str]) -> ZoneFit {
    let model = read(&(scenario.to_owned() + &block(points)), log.as_bytes());
    let site = model.log.clone().expect("there is one");
    let free = free.iter().map(|name| Freed::of(name).expect("it can be fitted")).collect();
    let options = Options { free, draws: 60, ..Options::default() };
    fit_zone(&model, &site, ZoneIndex::new(0), &options).expect("it can be fitted")
}

fn of<'a>(fit: &'a ZoneFit, key: &str) -> &'a Parameter {
    fit.parameters.iter().find(|it| it.key == key).unwrap_or_else(|| panic!("no {key}"))
}

fn would(fit: &ZoneFit, key: &str) -> &'static str {
    let parameter = of(fit, key);
    assert!(parameter.interval.is_none(), "{key}");
    parameter.untold.unwrap_or_else(|| panic!("{key} is told")).would
}

/// Standard deviation of the logarithms of a path's draws.
fn spread(draws: &Draws, path: &str) -> f64 {
    let column = draws.paths.iter().position(|it| it.ends_with(path));
    let column = column.unwrap_or_else(|| panic!("no {path} in {:?}", draws.paths));
    let number = |row: &Vec<String>| {
        let value = row[column].trim_matches('"').split(' ').next().unwrap_or_default();
        value.parse::<f64>().expect("a number").ln()
    };
    let all: Vec<f64> = draws.rows.iter().map(number).collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    (all.iter().map(|it| (it - mean).powi(2)).sum::<f64>() / (all.len() - 1) as f64).sqrt()
}

/// Without the plant's heat nothing has a scale.
#[test]
fn a_log_without_plant_does_not_tell_the_loss() {
    let off = file("").replace("unit: {heating: 4 kW, control: staged}", "unit: {cooling: 4 kW}");
    let points = "outdoor: out, zones: {store: {temperature: air}}";
    let fit = fitted(&off, points, &csv(&off), &["loss", "air", "mass", "coupling", "gains"]);
    assert!(would(&fit, "loss").contains("logged `running`, `output` or `electricity`"));
    assert_eq!(of(&fit, "loss").value, of(&fit, "loss").before);
    assert_eq!(fit.draws.rows.len(), 60);
    assert!(spread(&fit.draws, "opaque") > 0.01, "{}", spread(&fit.draws, "opaque"));
}

#[test]
fn a_log_without_outdoor_air_does_not_tell_the_loss() {
    let scenario = file("");
    let points = "zones: {store: {temperature: air, heat: h, running: run}}";
    let fit = fitted(&scenario, points, &csv(&scenario), &["loss", "air", "mass"]);
    assert!(would(&fit, "loss").contains("a logged outdoor temperature"));
}

/// A room that stays as it is says nothing of what it stores; draws have it as wide as it was believed
/// to be: the mass within a factor of e, its area within half of that.
#[test]
fn a_constant_temperature_does_not_tell_the_mass() {
    let mut log = "time,out,air,h,run\n".to_owned();
    for row in 0..144 {
        let _ = writeln!(log, "2025-01-14 {:02}:{:02},3.0,20.0,20,heating", row / 6, row % 6 * 10);
    }
    let fit = fitted(&file(""), WHOLE, &log, &["loss", "air", "mass", "coupling"]);
    for key in ["air_capacity", "mass_capacity", "coupling"] {
        assert!(would(&fit, key).contains("in which it moves"), "{key}");
        assert_eq!(of(&fit, key).value, of(&fit, key).before, "{key}");
    }
    let (mass, area) = (spread(&fit.draws, "mass_capacity"), spread(&fit.draws, "mass_area"));
    assert!((0.5..1.6).contains(&mass), "{mass}");
    assert!((0.25..0.8).contains(&area), "{area}");
}

struct Place(TempDir);

impl Place {
    fn new(log: &str, scenario: &str) -> Self {
        let place = Self(TempDir::new().expect("a folder"));
        fs::write(place.0.path().join("day.csv"), log).expect("written");
        fs::write(place.0.path().join("store.yaml"), scenario).expect("written");
        place
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_setband"))
            .args(arguments)
            .current_dir(self.0.path())
            .output()
            .expect("the program runs")
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.path().join(name)).unwrap_or_else(|it| panic!("{name}: {it}"))
    }
}

#[test]
fn the_command_writes_a_file_that_runs_and_draws_that_replay() {
    let scenario = file("");
    let place = Place::new(&csv(&scenario), &(scenario.clone() + &block(WHOLE)));
    let free = "loss,air,mass,gains";
    let call = ["fit", "store.yaml", "--free", free, "--draws", "20", "--json", "--out", "out"];
    let done = place.run(&call);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let found: Value = serde_json::from_slice(&done.stdout).expect("JSON");
    assert_eq!(found, serde_json::from_str::<Value>(&place.read("out/fit.json")).expect("JSON"));
    let zone = &found["zones"]["store"];
    for key in ["loss", "air_capacity", "mass_capacity"] {
        let parameter = &zone["parameters"][key];
        for part in ["value", "low", "high", "unit", "identifiable"] {
            assert!(parameter.get(part).is_some(), "{key} {part}: {zone}");
        }
    }
    for table in ["free_run_rmse", "persistence_rmse"] {
        for lead in ["1h", "6h", "24h"] {
            assert!(zone[table].get(lead).is_some(), "{table} {lead}");
        }
    }
    for part in ["log_likelihood", "innovation_sd", "white"] {
        assert!(zone["one_step"].get(part).is_some(), "{part}");
    }
    assert!(zone["held_out_hours"].is_number());
    let file = place.read("out/fitted.yaml");
    assert!(file.contains("# by the plans") && file.contains("opaque: "), "{file}");
    let draws = Draws::read(&place.read("out/draws.csv")).expect("draws");
    assert_eq!(draws.rows.len(), 20);
    for path in ["opaque", "air_capacity", "mass_capacity"] {
        assert!(draws.paths.iter().any(|it| it.ends_with(path)), "{path}: {:?}", draws.paths);
    }
    let replayed =
        place.run(&["replay", "out/fitted.yaml", "--draws", "3", "--json", "--out", "again"]);
    assert!(replayed.status.success(), "{}", String::from_utf8_lossy(&replayed.stderr));
    // A sweep takes the rows as they are, one a draw.
    let call =
        ["sweep", "out/fitted.yaml", "--vary", "fitted", "--draws", "4", "--quiet", "--out", "s"];
    let done = place.run(&call);
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let cases = place.read("s/cases.csv");
    for row in &draws.rows[..4] {
        let loss = row.iter().find(|it| it.ends_with("W/K")).expect("a loss");
        assert!(cases.contains(loss.as_str()), "{loss}: {cases}");
    }
    let refused = |arguments: &[&str]| {
        let done = place.run(arguments);
        assert_eq!(done.status.code(), Some(2), "{arguments:?}");
        String::from_utf8_lossy(&done.stderr).into_owned()
    };
    let words = refused(&["sweep", "out/fitted.yaml", "--vary", "fitted", "--draws", "21"]);
    assert!(words.contains("21 draws are more than the 20"), "{words}");
    let words = refused(&["sweep", "store.yaml", "--vary", "fitted"]);
    assert!(words.contains("there is no draws.csv beside store.yaml"), "{words}");
    for name in ["fit.html", "fit.svg", "fit.png"] {
        assert!(place.0.path().join("out").join(name).is_file(), "{name}");
    }
}

#[test]
fn what_cannot_be_fitted_is_refused_with_what_would_help() {
    let scenario = file("");
    let place = Place::new("time,air\n2025-01-14 00:00,20\n2025-01-14 00:10,20\n", &scenario);
    let refused = |arguments: &[&str]| {
        let done = place.run(arguments);
        assert_eq!(done.status.code(), Some(2), "{arguments:?}");
        String::from_utf8_lossy(&done.stderr).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(refused(&["fit", "store.yaml"]).contains("names no log"));
    let short = scenario + &block("zones: {store: {temperature: air}}");
    fs::write(place.0.path().join("store.yaml"), short).expect("written");
    let words = refused(&["fit", "store.yaml"]);
    assert!(words.contains("too few readings") && words.contains("setband log FILE"), "{words}");
    let words = refused(&["fit", "store.yaml", "--free", "los"]);
    assert!(words.contains("`los` is none of loss, air"), "{words}");
    assert!(!place.0.path().join("out").exists());
}
