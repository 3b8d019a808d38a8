//! `setband replay` through the program, and its intervals against runs that really had other settings.

use std::fmt::Write as _;
use std::fs;
use std::num::NonZeroUsize;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use setband::engine::{Model, StepRow};
use setband::log::LogTime;
use setband::study::replay::{Asked, Days, replay};
use setband::study::{Keep, simulate};
use tempfile::TempDir;

use super::maker::{Dice, read};

/// An invented parlour in a cold week, by its loss, the heat of its mass, its capacity and gains.
#[derive(Clone, Copy, Debug)]
struct Parlour {
    opaque: f64,
    mass: f64,
    heating: f64,
    gains: f64,
}

const OWN: Parlour = Parlour { opaque: 60.0, mass: 8000.0, heating: 3500.0, gains: 250.0 };

const LOG: &str = "log: {file: days.csv, outdoor: out, electricity: watts, zones: {parlour: {temperature: air, \
                   heat: h, cool: c, running: run}}}\n";

impl Parlour {
    fn file(self, heat: f64, more: &str) -> String {
        let Self { opaque, mass, heating, gains } = self;
        format!(
            "title: Parlour of Brook End\nperiod: {{from: 2025-01-14, step: 5 min}}\nweather: {{design_day: \
             {{high: 5, range: 7}}}}\nzones:\n  parlour:\n    label: Parlour\n    space: {{floor: 50 m2, \
             start: 19, opaque: {opaque} W/K, mass_capacity: {mass} kJ/K}}\n    gains: {{power: {gains} W}}\n    \
             unit: {{heating: {heating} W, control: staged, cop: {{heating: 3}}}}\n    controls: {{heat: \
             {heat}, cool: 26, call_start: 0.5}}\n{more}"
        )
    }
}

fn csv(model: &Model, rows: &[StepRow]) -> String {
    let midnight = LogTime::midnight(model.period.first());
    let mut text = "time,out,watts,air,h,c,run\n".to_owned();
    for row in rows {
        let _ = writeln!(
            text,
            "{},{:.2},{:.0},{:.2},{},{},{}",
            midnight + row.at.get(),
            row.outdoor,
            row.electric_w,
            row.sensed,
            row.heat,
            row.cool,
            row.served.map_or("none", setband::control::Direction::name)
        );
    }
    text
}

/// What a run leaves, and its electricity, kWh.
fn run(text: &str) -> (String, f64) {
    let model = read(text, b"");
    let rows = simulate(&model, Keep::Steps).rows;
    let kwh = rows.iter().map(|row| row.electric_w).sum::<f64>() / 12.0 / 1000.0;
    (csv(&model, &rows), kwh)
}

/// A folder with a log, the file that it came from with variants, and draws about it.
struct Place(TempDir);

impl Place {
    fn new(draws: &str) -> Self {
        let place = Self(TempDir::new().expect("a folder"));
        let presses = "actions:\n  - {at: \"08:00\", zone: parlour, press: warmer, times: 2}\n";
        let (log, _) = run(&OWN.file(20.0, presses));
        place.write("days.csv", &log);
        let variants = "variants:\n  low: {zones.parlour.controls.heat: 18}\n  same: \
                        {zones.parlour.controls.low_limit: 8}\n";
        place.write("parlour.yaml", &OWN.file(20.0, &format!("{LOG}{variants}")));
        place.write("draws.csv", draws);
        place
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.0.path().join(name), text).expect("written");
    }

    fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_setband"))
            .args(arguments)
            .current_dir(self.0.path())
            .output()
            .expect("the program runs")
    }

    fn json(&self, arguments: &[&str]) -> Value {
        let done = self.run(arguments);
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        serde_json::from_slice(&done.stdout).expect("JSON")
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let done = self.run(arguments);
        assert_eq!(done.status.code(), Some(2), "{arguments:?}");
        String::from_utf8_lossy(&done.stderr).into_owned()
    }
}

const DRAWS: &str = "draw,zones.parlour.space.opaque,zones.parlour.gains.power\n1,55 W/K,240 W\n2,65 W/K,260 \
                     W\n3,62 W/K,250 W\n";

#[test]
fn the_command_replays_and_writes_its_files() {
    let place = Place::new(DRAWS);
    let found = place.json(&["replay", "parlour.yaml", "--json", "--out", "out"]);
    let number = |path: &str| {
        found.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path}"))
    };
    let (measured, logged) =
        (number("/measured/electricity_kwh"), number("/as_logged/electricity_kwh"));
    assert!((logged / measured - 1.0).abs() < 0.03, "{logged} {measured}");
    // In steps of five minutes this room swings by 3 K, and a call begins or ends a step sooner or later.
    assert!(number("/as_logged/rmse") < 1.0);
    for of in ["measured", "as_logged", "variants/base", "variants/low", "variants/same"] {
        for key in ["starts", "running_hours", "temperature/mean", "temperature/lowest"] {
            number(&format!("/{of}/zones/parlour/{key}"));
        }
    }
    assert_eq!(found["draws"], 3);
    let low = "/variants/low/difference/electricity_kwh";
    let (value, least, most) = (
        number(&format!("{low}/value")),
        number(&format!("{low}/low")),
        number(&format!("{low}/high")),
    );
    assert!(least <= value && value <= most && most < 0.0, "{least} {value} {most}");
    for name in ["replay.json", "replay.html", "replay.svg", "replay.png"] {
        assert!(place.0.path().join("out").join(name).is_file(), "{name}");
    }
    let svg = fs::read_to_string(place.0.path().join("out/replay.svg")).expect("it is there");
    for class in ["measured", "run", "range", "lane"] {
        assert!(svg.contains(&format!("class=\"{class}\"")), "{class}");
    }
}

#[test]
fn people_read_an_answer_and_what_does_not_tell_apart() {
    let place = Place::new(DRAWS);
    let done = place.run(&["replay", "parlour.yaml", "--out", "out"]);
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("were measured ("), "{text}");
    assert!(
        text.contains("Variant low:") && text.contains("less than as logged (95 of 100"),
        "{text}"
    );
    assert!(text.contains("includes 0: these days do not tell the two apart"), "{text}");
    assert!(text.contains("What the model does not explain"), "{text}");
    // A file that the setpoints of are followed, here of itself.
    let other = place.json(&[
        "replay",
        "parlour.yaml",
        "--requests",
        "parlour.yaml",
        "--json",
        "--out",
        "o",
    ]);
    let names: Vec<&String> = other["variants"].as_object().expect("an object").keys().collect();
    assert_eq!(names, ["requests"]);
    let value = &other["variants"]["requests"]["difference"]["electricity_kwh"]["value"];
    assert_eq!(value.as_f64(), Some(0.0));
}

/// The fitted file gives rooms and units, and its draws stand beside it.
#[test]
fn rooms_come_from_another_file() {
    let place = Place::new(DRAWS);
    let fitted = OWN.file(20.0, LOG);
    fs::create_dir(place.0.path().join("fit")).expect("made");
    place.write("fit/days.csv", "time,out,watts,air,h,c,run\n2025-01-14 00:00,1,1,1,1,1,none\n");
    place.write("fit/fitted.yaml", &fitted);
    place.write("fit/draws.csv", "draw,zones.parlour.space.opaque\n1,60 W/K\n");
    let rough = Parlour { opaque: 140.0, ..OWN };
    place.write("parlour.yaml", &rough.file(20.0, LOG));
    let with = place.json(&[
        "replay",
        "parlour.yaml",
        "--with",
        "fit/fitted.yaml",
        "--json",
        "--out",
        "o",
    ]);
    let without = place.json(&["replay", "parlour.yaml", "--draws", "0", "--json", "--out", "o"]);
    let size =
        |it: &Value| it["disturbance"]["zones"]["parlour"]["size_w"].as_f64().expect("a number");
    assert!(size(&with) < 60.0 && size(&without) > 600.0, "{} {}", size(&with), size(&without));
    assert_eq!((&with["draws"], &without["draws"]), (&1.into(), &0.into()));
    place.write("fit/fitted.yaml", &fitted.replace("parlour:", "den:").replace("{parlour", "{den"));
    let error = place.refused(&["replay", "parlour.yaml", "--with", "fit/fitted.yaml"]);
    assert!(error.contains("has no zone parlour"), "{error}");
}

#[test]
fn calls_that_cannot_be_are_refused() {
    let place = Place::new("draw,zones.den.space.opaque\n1,55 W/K\n");
    let error = place.refused(&["replay", "parlour.yaml"]);
    assert!(error.contains("draw 1 of draws.csv is one of another file"), "{error}");
    place.write("draws.csv", "time,air\n1,2\n");
    let error = place.refused(&["replay", "parlour.yaml"]);
    assert!(error.contains("draws.csv, line 1"), "{error}");
    fs::remove_file(place.0.path().join("draws.csv")).expect("it was there");
    let error = place.refused(&["replay", "parlour.yaml", "--draws", "10"]);
    assert!(error.contains("there is no draws.csv"), "{error}");
    let error = place.refused(&["replay", "parlour.yaml", "--requests", "nobody"]);
    assert!(error.contains("`nobody` is nobody"), "{error}");
    let error = place.refused(&["replay", "parlour.yaml", "--variant", "lwo"]);
    assert!(error.contains("`lwo`"), "{error}");
    place.write("plain.yaml", &OWN.file(20.0, ""));
    let error = place.refused(&["replay", "plain.yaml"]);
    assert!(error.contains("the scenario names no log"), "{error}");
    assert!(!Path::new("out").join("plain").exists());
}

/// A parlour that nobody knows exactly: its log is replayed under other setpoints with draws of what
/// it might be, against the run that really had them. The log is that of the true one, so 95 of 100
/// intervals ought to hold the true difference.
#[test]
fn differences_lie_in_their_intervals() {
    let rounds: u64 =
        std::env::var("SETBAND_ROUNDS").ok().and_then(|it| it.parse().ok()).unwrap_or(3);
    let held = (0..rounds).filter(|round| difference_is_held(*round)).count();
    let least = if rounds < 20 { rounds - 1 } else { rounds * 9 / 10 };
    assert!(held as u64 >= least, "{held} of {rounds}");
}

fn difference_is_held(round: u64) -> bool {
    let mut dice = Dice(0x7A11 + 977 * round);
    let mut about = |value: f64, part: f64| value * (1.0 + part * (2.0 * dice.part() - 1.0));
    let mut somewhere = || Parlour {
        opaque: about(OWN.opaque, 0.15),
        mass: about(OWN.mass, 0.25),
        heating: about(OWN.heating, 0.04),
        gains: about(OWN.gains, 0.3),
    };
    let truth = somewhere();
    let drawn: Vec<Parlour> = (0..20).map(|_| somewhere()).collect();
    let (log, logged) = run(&truth.file(20.5, ""));
    let (_, other) = run(&truth.file(19.0, ""));
    let of = |parlour: Parlour| Days {
        logged: read(&parlour.file(20.5, LOG), log.as_bytes()),
        variants: vec![("cool".into(), read(&parlour.file(19.0, LOG), log.as_bytes()))],
    };
    let draw = |number: usize| Ok(of(drawn[number]));
    let found = replay(&of(OWN), (drawn.len(), &draw), &Asked::default(), NonZeroUsize::MIN)
        .unwrap_or_else(|it| panic!("{it}"));
    let difference = found.variants[1].difference.electricity_kwh;
    let (low, high) = difference.interval.expect("there are draws");
    (low..=high).contains(&(other - logged))
}
