//! What a long run writes besides: months, mornings, heat maps, the lock calendar.

use std::path::Path;
use std::process::{Command, Output};

use setband::control::ModePolicy;
use setband::engine::{Lawful, Model, Nobody};
use setband::measures::LockMonth;
use setband::study::{Keep, simulate_season};
use setband::time::Seconds;
use setband::weather::Weather;

use crate::rig::{Given, by, grouped, model, outdoor_unit, period};

/// Sixty days from 16 April on, the same each, between `low` and `high` outside.
fn spring(low: f64, high: f64, lawful: Lawful) -> Model {
    let mut zone = Given::default().zone("hall");
    zone.comfort.lawful = Some(lawful);
    let mut hours = [0.0; 24];
    for (hour, value) in hours.iter_mut().enumerate() {
        let part = 0.5 + 0.5 * libm::cos((hour as f64 - 15.0) / 24.0 * std::f64::consts::TAU);
        *value = low + (high - low) * part;
    }
    Model {
        period: period(60, Seconds::minutes(10)),
        weather: Weather::Hours(Box::new(hours)),
        ..model(0.0, vec![zone])
    }
}

fn calendar(model: &Model) -> Vec<LockMonth> {
    simulate_season(model, Keep::Nothing, &mut Nobody).0.summary.seasonal.lock_calendar
}

const BOTH: Lawful = Lawful { low: Some(18.0), high: Some(26.0) };

#[test]
fn in_cold_weather_only_the_lock_on_heating_costs() {
    let months = calendar(&spring(2.0, 8.0, BOTH));
    let names: Vec<String> = months.iter().map(|month| month.month.to_string()).collect();
    assert_eq!(names, ["2025-04", "2025-05", "2025-06"]);
    for month in &months {
        let (_, cost) = &month.zones[0];
        assert_eq!((cost.as_is.hours_below, cost.as_is.hours_above), (0.0, 0.0));
        assert!(cost.without_heating.hours_below > 100.0, "{cost:?}");
        assert!(cost.without_heating.degree_hours_below > cost.without_heating.hours_below);
        assert_eq!(cost.without_cooling, cost.as_is);
    }
}

#[test]
fn in_hot_weather_only_the_lock_on_cooling_costs() {
    for month in calendar(&spring(25.0, 38.0, BOTH)) {
        let (_, cost) = &month.zones[0];
        assert_eq!(cost.as_is.hours_above, 0.0);
        assert!(cost.without_cooling.hours_above > 100.0, "{cost:?}");
        assert_eq!(cost.without_heating, cost.as_is);
    }
}

#[test]
fn a_month_locked_out_does_not_go_on_into_the_next() {
    // Without heating all the time the second month would begin cold: it begins as it was.
    let months = calendar(&spring(2.0, 8.0, BOTH));
    let first_days = |month: &LockMonth| month.zones[0].1.without_heating.hours_below;
    // 31 days of May, 14 of June: the hours before the room has cooled down count in each.
    let (may, june) = (first_days(&months[1]), first_days(&months[2]));
    assert!(may < 31.0 * 24.0 && june < 14.0 * 24.0, "{may} {june}");
    assert!((31.0 * 24.0 - may - (14.0 * 24.0 - june)).abs() < 1.0, "{may} {june}");
}

#[test]
fn a_group_locked_out_of_heating_still_cools() {
    let zones = ["east", "west"].map(|id| {
        let mut zone = Given::default().zone(id);
        zone.comfort.lawful = Some(BOTH);
        zone
    });
    let hot = spring(27.0, 36.0, BOTH);
    let hot = Model { zones: zones.to_vec(), ..hot };
    let sharing = by(ModePolicy::FirstCall, Seconds::minutes(10));
    for month in calendar(&grouped(hot, outdoor_unit(), sharing)) {
        for (id, cost) in &month.zones {
            assert_eq!(cost.without_heating.hours_above, cost.as_is.hours_above, "{id}");
            assert!(cost.without_cooling.hours_above > 100.0, "{id} {cost:?}");
        }
    }
}

#[test]
fn nothing_is_told_that_nobody_asked_for() {
    let mut short = spring(5.0, 12.0, BOTH);
    short.zones[0].comfort.lawful = None;
    short.period = period(7, Seconds::minutes(10));
    let (finished, mornings) = simulate_season(&short, Keep::Nothing, &mut Nobody);
    assert!(finished.summary.seasonal == setband::measures::Seasonal::default());
    assert!(mornings.is_empty());
}

const FILE: &str = "\
period: {from: 2025-04-01, days: 61, step: 15 min}
weather: {design_day: {high: 15, range: 11}}
tariff: {price: 0.2}
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls:
      {heat: 20, cool: 24, occupancy: {from: \"08:00\", to: \"18:00\"}, setback: {heat: 4}}
    comfort: {lawful: {low: 18}}
";

fn run(folder: &Path, text: &str, extra: &[&str]) -> Output {
    let file = folder.join("hall.yaml");
    std::fs::write(&file, text).expect("written");
    let out = folder.join("out");
    Command::new(env!("CARGO_BIN_EXE_setband"))
        .args(["run".as_ref(), file.as_os_str(), "--out".as_ref(), out.as_os_str()])
        .args(extra)
        .output()
        .expect("the binary starts")
}

#[test]
fn a_long_run_writes_its_seasons_and_prints_them() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = run(folder.path(), FILE, &[]);
    let text = String::from_utf8(done.stdout).expect("text");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    for words in ["Month by month", "Apr 2025", "When somebody came in", "adds no hours"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    // Without a currency nothing stands for it.
    let cost = text.lines().find(|line| line.contains("Cost: ")).expect("a cost");
    let amount = cost.split("Cost: ").nth(1).expect("an amount");
    assert!(amount.split('.').count() >= 3 && !amount.contains(" ."), "{cost}");

    let read = |name: &str| {
        let path = folder.path().join("out").join(name);
        std::fs::read_to_string(&path).unwrap_or_else(|fault| panic!("{name}: {fault}"))
    };
    assert_eq!(read("months.csv").lines().count(), 1 + 2);
    assert_eq!(read("month_zones.csv").lines().count(), 1 + 2);
    assert_eq!(read("mornings.csv").lines().count(), 1 + 61);
    assert_eq!(read("lock_calendar.csv").lines().count(), 1 + 2 * 3);
    assert!(read("heatmap.svg").contains("class=\"state-map\""));
    let summary: serde_json::Value = serde_json::from_str(&read("summary.json")).expect("JSON");
    assert_eq!(summary["months"][1]["month"], "2025-05");
    assert_eq!(summary["mornings"]["hall"]["mornings"], 61);
    assert!(
        summary["lock_calendar"][0]["zones"]["hall"]["without_heating"]["hours_below"].is_f64()
    );
    let months = summary["months"].as_array().expect("a list");
    let total: f64 = months.iter().filter_map(|it| it["energy"]["total_kwh"].as_f64()).sum();
    let whole = summary["energy"]["total_kwh"].as_f64().expect("a number");
    assert!((total - whole).abs() < 1e-9 * whole, "{total} {whole}");
}

#[test]
fn lawful_temperatures_and_calendars_that_make_no_sense_are_faults() {
    for (from, to, code) in [
        ("lawful: {low: 18}", "lawful: {low: 27, high: 18}", "crossed"),
        (
            "weather:",
            "calendar: {daylight_saving: {from: 2025-03-30, to: 2025-03-30}}\nweather:",
            "empty-span",
        ),
        (
            "weather:",
            "calendar: {holidays: [{from: 2025-05-02, to: 2025-05-01}]}\nweather:",
            "crossed",
        ),
        ("weather:", "calendar: {holidays: [mayday]}\nweather:", "wrong-kind"),
        ("to: \"18:00\"}", "to: \"18:00\", optimum_start: {most: 30 h}}", "out-of-range"),
        (
            "to: \"18:00\"}, setback: {heat: 4}",
            "to: \"18:00\", optimum_start: {most: 3 h}}",
            "occupancy",
        ),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let done = run(folder.path(), &FILE.replacen(from, to, 1), &["--quiet"]);
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2), "{to}: {said}");
        assert!(said.contains(code), "{code}: {said}");
        assert!(!folder.path().join("out").join("summary.json").exists());
    }
}
