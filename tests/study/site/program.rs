//! `audit` and `why` through the real program: exit codes, shapes that scripts rely on, faults.

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

const SNUG: &str = "temperature: C
log:
  file: day.csv
  outdoor: out
  zones:
    snug: {temperature: air, heat: h, cool: c, running: run, power: power}
zones:
  snug:
    label: Snug
    space: {floor: 40 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, min_deadband: 3}
    comfort: {band: [19, 26]}
";

/// A quiet day in which the power was off from 8 to 10; `cool` stands at the value given.
fn day(cool: f64) -> String {
    let mut out = "time,out,air,h,c,run,power\n".to_owned();
    for minute in (0..1440).step_by(5) {
        let off = (480..600).contains(&minute);
        let (air, power) = if off { ("17.0", "off") } else { ("20.5", "on") };
        let _ = writeln!(
            out,
            "2025-04-16 {:02}:{:02},9.0,{air},20,{cool},none,{power}",
            minute / 60,
            minute % 60
        );
    }
    out
}

struct Site {
    folder: TempDir,
}

impl Site {
    fn new(log: &str) -> Self {
        let site = Self { folder: TempDir::new().expect("a folder") };
        site.write("site.yaml", SNUG);
        site.write("day.csv", log);
        site
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.folder.path().join(name), text).expect("written");
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
        command.current_dir(&self.folder).args(arguments).output().expect("it runs")
    }

    fn json(&self, code: i32, arguments: &[&str]) -> Value {
        let output = self.run(arguments);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {error}");
        serde_json::from_slice(&output.stdout).expect("JSON")
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        String::from_utf8(output.stderr).expect("text")
    }
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[test]
fn audit_ends_with_1_where_the_log_contradicts_and_with_2_where_there_is_a_fault() {
    let clean = Site::new(&day(24.0));
    let found = clean.json(0, &["audit", "site.yaml", "--json"]);
    assert_eq!(keys(&found), ["cannot_say", "findings"]);
    for one in found["findings"].as_array().expect("a list") {
        assert_ne!(one["severity"], "contradiction", "{one}");
    }
    assert!(!found["cannot_say"].as_array().expect("a list").is_empty());
    assert_eq!(keys(&found["cannot_say"][0]), ["setting", "why"]);

    let wrong = Site::new(&day(22.0));
    let found = wrong.json(1, &["audit", "site.yaml", "--json"]);
    let first = &found["findings"][0];
    assert_eq!(first["code"], "band_too_narrow");
    assert_eq!(first["severity"], "contradiction");
    assert_eq!(first["zone"], "snug");
    assert_eq!((&first["from"], &first["rows"][0]), (&"2025-04-16 00:00".into(), &2.into()));
    let shape = [
        "code", "count", "from", "message", "minutes", "remedy", "rows", "severity", "to",
        "values", "zone",
    ];
    assert_eq!(keys(first), shape);
    for file in ["audit.json", "audit.html"] {
        assert!(wrong.folder.path().join("out/site").join(file).is_file(), "{file}");
    }

    wrong.write("bare.yaml", &SNUG.replace("log:\n  file: day.csv\n  outdoor: out\n  zones:\n    snug: {temperature: air, heat: h, cool: c, running: run, power: power}\n", "period: {from: 2025-04-16}\nweather: {design_day: {high: 12, range: 6}}\n"));
    assert!(wrong.refused(&["audit", "bare.yaml"]).contains("names no log"));
    wrong.write("lost.yaml", &SNUG.replace("day.csv", "night.csv"));
    assert!(wrong.refused(&["audit", "lost.yaml"]).contains("night.csv"));
    wrong.write("day.csv", "time,out\nnoon,9\n");
    let all = wrong.refused(&["audit", "site.yaml"]);
    assert!(all.contains("site.yaml:"), "{all}");
}

#[test]
fn why_has_the_shape_that_scripts_rely_on() {
    let site = Site::new(&day(24.0));
    let call = ["why", "site.yaml", "--zone", "snug", "--at", "2025-04-16 09:30", "--felt", "cold"];
    let found = site.json(0, &[&call[..], &["--json"]].concat());
    for key in ["zone", "at", "answer", "causes", "remedies"] {
        assert!(found.get(key).is_some(), "{key}: {found}");
    }
    assert_eq!((&found["zone"], &found["at"]), (&"snug".into(), &"2025-04-16 09:30".into()));
    let first = &found["causes"][0];
    assert_eq!(
        (&first["code"], &first["since"]),
        (&"power_off".into(), &"2025-04-16 08:00".into())
    );
    assert!(first["reading"].is_string() && first["message"].is_string());
    // In the simulated run nobody switches anything off.
    let simulated = site.json(0, &[&call[..], &["--json", "--simulated"]].concat());
    assert_eq!(simulated["causes"][0]["code"], "within_band", "{simulated}");
    assert_eq!(simulated["remedies"], Value::Array(Vec::new()));
    let text = site.run(&call);
    let text = String::from_utf8(text.stdout).expect("text");
    assert!(
        text.starts_with("Snug was cold at 17 C because it was switched off, for 90 min"),
        "{text}"
    );
}

#[test]
fn remedies_name_paths_with_values_and_what_else_changes() {
    let site = Site::new(&day(24.0));
    site.write(
        "weak.yaml",
        "period: {from: 2025-01-13}\nweather: {design_day: {high: 0, range: 8}}\nzones:\n  snug:\n    space: \
         {floor: 60 m2}\n    unit: {heating: 500 W, cooling: 4 kW}\n    controls: {heat: 20, cool: 24}\n",
    );
    let call = ["why", "weak.yaml", "--zone", "snug", "--at", "07:00", "--felt", "cold", "--json"];
    let found = site.json(0, &call);
    assert_eq!(found["causes"][0]["code"], "capacity");
    let remedy = &found["remedies"][0];
    assert_eq!(remedy["change"]["zones.snug.unit.heating"], "800 W");
    assert!(remedy["differences"]["temperature"].as_f64().is_some_and(|by| by > 0.2), "{remedy}");
    assert!(remedy["differences"]["electricity_kwh"].is_number());
}

#[test]
fn faulty_calls_of_why_say_what_would_be_right() {
    let site = Site::new(&day(24.0));
    let refused = |zone: &str, at: &str, felt: &str| {
        site.refused(&["why", "site.yaml", "--zone", zone, "--at", at, "--felt", felt])
    };
    let zone = refused("attic", "09:30", "cold");
    assert!(zone.contains("no zone `attic`") && zone.contains("snug"), "{zone}");
    let at = refused("snug", "noon", "cold");
    assert!(at.contains("`noon` is no time") && at.contains("14:20"), "{at}");
    let outside = refused("snug", "2025-05-01 09:30", "cold");
    assert!(outside.contains("outside the period") && outside.contains("2025-04-16"), "{outside}");
    let felt = refused("snug", "09:30", "clammy");
    assert!(felt.contains("cold") && felt.contains("hot"), "{felt}");
    let missing = site.refused(&["why", "site.yaml", "--zone", "snug", "--felt", "cold"]);
    assert!(missing.contains("--at"), "{missing}");
    // Within the day, and hours after the last row.
    let morning: String = day(24.0).split_inclusive('\n').take(100).collect();
    site.write("day.csv", &morning);
    let late = refused("snug", "22:00", "cold");
    assert!(
        late.contains("nothing of that zone at that time") && late.contains("--simulated"),
        "{late}"
    );
}
