//! `setband review`: requirements that hold, fail and cannot be shown, each with what shows it.

use std::fs;
use std::process::{Command, Output};

use serde_json::Value as Json;
use setband::report::Style;
use setband::scenario::{Study, read};
use setband::settings::Value;
use setband::study::reach::MOST_STATES;
use setband::study::review::{Conformity, CounterExample, Evidence, Reviewed, Worst, review};
use setband::time::Seconds;

/// Two rooms on one unit: the hall warms itself and decides, so that the loft waits for heating.
const FILE: &str = "period: {from: 2025-04-16}
weather: {design_day: {high: 12, range: 8}}
outdoor_unit:
  owner: hall
  heating: [{outdoor: 8, capacity: 8 kW, cop: 3.5}]
  cooling: [{outdoor: 35, capacity: 8 kW, cop: 3.5}]
zones:
  hall:
    label: Hall
    space: {floor: 60 m2}
    gains: {from: \"06:00\", to: \"16:00\", power: 4 kW}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls:
      heat: 20
      cool: 23
      min_deadband: 2
      limits: {heat: [17, 22], cool: [21, 26]}
      controllers: [{id: wall, primary: true, key_locks: {keys: [mode], in_force: false}}]
  loft:
    label: Loft
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 20, cool: 24, min_deadband: 3, changeover_delay: 12 min}
variants:
  wide: {zones.*.controls.min_deadband: 4, zones.*.controls.cool: 25}
  broken: {zones.hall.controls.heat: 40}
require:
";

fn study(requirement: &str) -> Study {
    let text = format!("{FILE}  - {{{requirement}}}\n");
    read(&text, "rooms.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}"))
}

/// Reviews one requirement.
fn reviewed<T>(requirement: &str, look: impl FnOnce(&Reviewed<'_>) -> T) -> T {
    let study = study(requirement);
    look(&review(&study, MOST_STATES, None).rows[0])
}

fn verdict(requirement: &str) -> Conformity {
    reviewed(requirement, |row| row.verdict)
}

#[test]
fn settings_are_read() {
    for (requirement, expected) in [
        ("setting: min_deadband, at_least: 2", Conformity::Holds),
        ("setting: min_deadband, at_least: 2.5", Conformity::Fails),
        ("setting: min_deadband, at_least: 2.5, zones: loft", Conformity::Holds),
        ("setting: min_deadband, at_least: 4, variant: wide", Conformity::Holds),
        ("setting: controls.min_deadband, equals: 3, zones: [loft]", Conformity::Holds),
        ("setting: limits.heat.low, at_least: 17, zones: hall", Conformity::Holds),
        ("setting: limits.heat.low, at_least: 17", Conformity::Fails),
        ("setting: limits.cool, equals: [21, 26], zones: hall", Conformity::Holds),
        ("setting: controls.changeover_delay, at_most: 12 min", Conformity::Holds),
        ("setting: controls.changeover_delay, at_most: 700 s", Conformity::Fails),
        ("setting: unit.heating, at_least: 2 kW", Conformity::Holds),
        ("setting: unit.heating, at_least: 2001 W", Conformity::Fails),
        ("setting: on_conflict, equals: push", Conformity::Holds),
        ("setting: in_force, equals: true, zones: hall", Conformity::Fails),
        ("setting: owner, equals: hall", Conformity::Holds),
        ("setting: owner, equals: loft", Conformity::Fails),
        ("setting: outdoor_unit.mode_policy, equals: owner", Conformity::Holds),
        ("setting: locked_modes, equals: []", Conformity::Holds),
    ] {
        assert_eq!(verdict(requirement), expected, "{requirement}");
    }
    reviewed("setting: min_deadband, at_least: 2.5", |row| {
        let worst = row.worst.as_ref().expect("a worst zone");
        assert_eq!(row.model.zones[worst.zone.expect("a zone").get()].id, "hall");
        assert_eq!(worst.margin, Some(-0.5));
        let Some(CounterExample::Setting { path, place }) = &row.counter else {
            panic!("{:?}", row.counter)
        };
        assert_eq!((path.as_str(), *place), ("zones.hall.controls.min_deadband", (16, 21)));
        assert_eq!(row.by, Evidence::Read(2));
    });
}

#[test]
fn claims_are_proved_or_broken_by_the_fewest_presses() {
    reviewed("claim: \"cool - heat >= 2\"", |row| {
        assert_eq!(row.verdict, Conformity::Holds);
        assert!(matches!(row.by, Evidence::Proof(states) if states > 100), "{:?}", row.by);
        assert_eq!(row.counter, None);
    });
    // From 23 two presses of cooler lead below 22, in the hall; the loft starts at 24.
    reviewed("claim: \"cool >= 22\"", |row| {
        assert_eq!(row.verdict, Conformity::Fails);
        let Some(CounterExample::Moves { zone, moves }) = &row.counter else {
            panic!("{:?}", row.counter)
        };
        assert_eq!((row.model.zones[zone.get()].id.as_str(), moves.len()), ("hall", 3));
    });
    assert_eq!(verdict("claim: \"cool >= 21\", zones: hall"), Conformity::Holds);
    let study = study("claim: \"cool - heat >= 2\"");
    let few = review(&study, 10, None);
    assert_eq!(few.rows[0].verdict, Conformity::CannotBeShown);
    assert!(!few.holds());
}

#[test]
fn the_worst_is_bounded_and_fails_by_a_run_that_gets_there() {
    let file = "period: {from: 2025-01-14, step: 300 s}
weather: {design_day: {high: 12, range: 4}}
zones:
  shed:
    label: Shed
    space: {floor: 20 m2}
    unit: {heating: 2 kW, modes: [heat, fan], control: staged}
    controls: {heat: 18, cool: 24, mode: heat}
require:
  - {id: kept, worst: temperature, at_least: 7, coldest: 8, for: 3 h}
  - {id: broken, worst: temperature, at_least: 17, coldest: -12, for: 3 h}
  - {id: log, log: contradictions, at_most: 0}
";
    let study = read(file, "shed.yaml", &|_| Err("no files here".into())).expect("a scenario");
    let rows = review(&study, MOST_STATES, None).rows;
    for (row, verdict) in rows.iter().zip([Conformity::Holds, Conformity::Fails]) {
        let Evidence::Bound(bounded) = &row.by else { panic!("{:?}", row.by) };
        assert_eq!((row.verdict, bounded.question.lasts), (verdict, Seconds::hours(3)));
        assert!(bounded.found.is_some() && bounded.reached.least.len() == 37, "{bounded:?}");
    }
    let bounds = [&rows[0], &rows[1]].map(|row| match &row.worst {
        Some(Worst { value: Value::Number(bound), margin: Some(margin), .. }) => (*bound, *margin),
        other => panic!("{other:?}"),
    });
    assert!(bounds[1].0 < bounds[0].0, "{bounds:?}");
    assert!(bounds[0].1 > 0.0 && bounds[1].1 < 0.0, "{bounds:?}");
    let Some(CounterExample::Worst { air, after, presses, .. }) = &rows[1].counter else {
        panic!("{:?}", rows[1].counter)
    };
    assert!(bounds[1].0 <= *air && *air < 17.0, "{bounds:?} {air}");
    assert!(*after <= Seconds::hours(3) && !presses.is_empty(), "{after:?} {presses:?}");
    let text = setband::report::review_text(&review(&study, MOST_STATES, None), Style::default());
    assert!(text.contains("by: bound over any presses, weather and gains within 3 h"), "{text}");
    assert!(text.contains("fails: Shed comes to"), "{text}");
}

#[test]
fn figures_are_those_of_the_run_with_the_time_at_which_they_fail() {
    reviewed("figure: starved_hours, at_most: 1", |row| {
        assert_eq!((row.verdict, &row.by), (Conformity::Fails, &Evidence::Run));
        let Some(CounterExample::At { zone: Some(zone), at }) = row.counter else {
            panic!("{:?}", row.counter)
        };
        assert_eq!(row.model.zones[zone.get()].id, "loft");
        let starved = row.model.period.clock_stamp(at);
        assert!(starved.starts_with("2025-04-16T"), "{starved}");
    });
    assert_eq!(verdict("figure: starved_hours, at_most: 0, zones: hall"), Conformity::Holds);
    assert_eq!(
        verdict("figure: total_kwh, of: all, at_least: 0.1, at_most: 500"),
        Conformity::Holds
    );
    assert_eq!(
        verdict("figure: changeovers, of: all, at_most: 40, variant: wide"),
        Conformity::Holds
    );
    reviewed("figure: lowest_temperature, at_least: 30", |row| {
        assert_eq!(row.verdict, Conformity::Fails);
        assert!(matches!(row.counter, Some(CounterExample::At { .. })), "{:?}", row.counter);
    });
    // What a run does not have cannot be shown.
    assert_eq!(verdict("figure: cost, of: all, at_most: 3"), Conformity::CannotBeShown);
    assert_eq!(verdict("figure: complaints, at_most: 3"), Conformity::CannotBeShown);
}

#[test]
fn findings_are_asked_away() {
    reviewed("finding: lock_not_in_force, absent: true", |row| {
        assert_eq!((row.verdict, &row.by), (Conformity::Fails, &Evidence::Findings));
        let Some(CounterExample::Finding(finding)) = &row.counter else { panic!() };
        assert_eq!((finding.code, finding.line), ("lock-not-in-force", 18));
    });
    assert_eq!(verdict("finding: lock-not-in-force, zones: loft"), Conformity::Holds);
    assert_eq!(verdict("finding: setpoint_fixed"), Conformity::Holds);
}

#[test]
fn what_nothing_shows_is_said_not_to_be_shown() {
    for requirement in
        ["log: contradictions, at_most: 0", "setting: min_deadband, at_least: 1, variant: broken"]
    {
        reviewed(requirement, |row| {
            assert_eq!(row.verdict, Conformity::CannotBeShown, "{requirement}");
            assert!(matches!(&row.by, Evidence::Nothing(why) if !why.is_empty()));
        });
    }
}

/// A log that shows what no settings allow fails, one that agrees holds, and too few contradictions to
/// be asked for hold, too.
#[test]
fn a_log_is_held_against_the_settings() {
    let block = "log: {file: site.csv, zones: {hall: {temperature: air, heat: h, cool: c, mode: m, \
                 power: p}}}\n";
    let rows = |heat: &str, cool: &str| -> String {
        let row = |at: u32| {
            let (hour, minute) = (at / 12, at % 12 * 5);
            format!("2025-04-16 {hour:02}:{minute:02},21.0,{heat},{cool},auto,on\n")
        };
        "time,air,h,c,m,p\n".to_owned() + &(0..288).map(row).collect::<String>()
    };
    let verdict = |table: String, most: u32| {
        let text = format!("{FILE}  - {{log: contradictions, at_most: {most}}}\n{block}");
        let beside = move |name: &str| {
            if name == "site.csv" { Ok(table.clone().into_bytes()) } else { Err("no".into()) }
        };
        let study = setband::scenario::read_beside(&text, "rooms.yaml", &beside)
            .unwrap_or_else(|faults| panic!("{faults}"));
        let review = review(&study, MOST_STATES, None);
        let row = &review.rows[0];
        let counter = match &row.counter {
            Some(CounterExample::Log(message)) => message.clone(),
            _ => String::new(),
        };
        (row.verdict, row.by.clone(), counter)
    };
    let (holds, by, _) = verdict(rows("20", "23"), 0);
    assert_eq!((holds, by), (Conformity::Holds, Evidence::Log));
    // Nearer together than the deadband of 2 allows.
    let (fails, by, counter) = verdict(rows("21", "22"), 0);
    assert_eq!((fails, by), (Conformity::Fails, Evidence::Log));
    assert!(!counter.is_empty(), "what the log shows");
    assert_eq!(verdict(rows("21", "22"), 50).0, Conformity::Holds);
}

fn run(requirements: &str, arguments: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rooms.yaml");
    let text = FILE.to_owned() + requirements;
    let text = if requirements.is_empty() { text.replace("require:\n", "") } else { text };
    fs::write(&path, text).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.current_dir(&folder).args([arguments[0], "rooms.yaml"]).args(&arguments[1..]);
    command.output().expect("it runs")
}

const SEVERAL: &str = "  - {setting: min_deadband, at_least: 2, why: \"papers, 3.2\"}
  - {id: cold, claim: \"cool >= 22\"}
  - {figure: starved_hours, at_most: 1}
  - {figure: changeovers, of: all, at_most: 40}
  - {finding: lock_not_in_force, absent: true}
  - {log: contradictions, at_most: 0}
";

#[test]
fn the_text_says_what_fails_by_what_and_how() {
    let output = run(SEVERAL, &["review"]);
    assert_eq!(output.status.code(), Some(1));
    insta::assert_snapshot!(String::from_utf8(output.stdout).expect("text"));
}

#[test]
fn exit_codes_and_json() {
    assert_eq!(
        run("  - {setting: min_deadband, at_least: 2}\n", &["review"]).status.code(),
        Some(0)
    );
    assert_eq!(run("", &["review"]).status.code(), Some(2));
    assert_eq!(run("  - {log: contradictions}\n", &["review", "--quiet"]).status.code(), Some(1));
    let output = run(SEVERAL, &["review", "--json"]);
    let value: Json = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(value["holds"], false);
    let rows = value["requirements"].as_array().expect("rows");
    let verdicts: Vec<&str> = rows.iter().filter_map(|row| row["verdict"].as_str()).collect();
    assert_eq!(verdicts, ["holds", "fails", "fails", "holds", "fails", "cannot_be_shown"]);
    assert_eq!((&rows[0]["id"], &rows[1]["id"]), (&"R1".into(), &"cold".into()));
    assert_eq!(rows[2]["zone"], "loft");
    assert!(rows[2]["at"].as_str().is_some_and(|at| at.starts_with("2025-04-16T")));
}

/// The same table stands in the report and in the workbook of a run.
#[test]
fn a_run_reports_what_was_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rooms.yaml");
    fs::write(&path, FILE.to_owned() + SEVERAL).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let output =
        command.current_dir(&folder).args(["run", "rooms.yaml"]).output().expect("it runs");
    assert_eq!(output.status.code(), Some(0));
    let said = String::from_utf8(output.stdout).expect("text");
    assert!(
        said.contains("Of 6 requirements 3 fail (cold, R3 and R5) and 1 cannot be shown"),
        "{said}"
    );
    let out = folder.path().join("out").join("rooms");
    let page = fs::read_to_string(out.join("report.html")).expect("a page");
    assert!(page.contains("What was asked") && page.contains("cannot be shown"));
    let mut book: calamine::Xlsx<_> =
        calamine::open_workbook(out.join("report.xlsx")).expect("a workbook");
    let sheet = calamine::Reader::worksheet_range(&mut book, "Requirements").expect("a sheet");
    let verdicts = (1..=6).map(|row| sheet[(row, 2)].to_string()).collect::<Vec<_>>();
    assert_eq!(verdicts, ["holds", "fails", "fails", "holds", "fails", "cannot be shown"]);
}

/// A hall that its own gains take beyond 90 C: whoever reads the verdict is told first, as
/// `run` does, and told once however many requirements are read from that run.
#[test]
fn air_that_is_hardly_that_of_a_building_is_told_before_the_verdict() {
    let requirements = "figure: changeovers, at_most: 9}\n  - {figure: unit_starts, at_most: 999";
    let cool = study(requirements);
    let answer = setband::report::review_answer(&review(&cool, MOST_STATES, None));
    assert!(!answer.contains("Warning"), "{answer}");
    let text = format!("{FILE}  - {{{requirements}}}\n").replace("power: 4 kW", "power: 16 kW");
    let hot = read(&text, "rooms.yaml", &|_| Err("no files here".into()));
    let hot = hot.unwrap_or_else(|faults| panic!("{faults}"));
    let found = review(&hot, MOST_STATES, None);
    let by: Vec<&Evidence> = found.rows.iter().map(|row| &row.by).collect();
    assert_eq!(by, [&Evidence::Run; 2]);
    let answer = setband::report::review_answer(&found);
    assert!(answer.starts_with("The file as written: Warning: Hall came to "), "{answer}");
    assert!(answer.contains("hardly that of a building"), "{answer}");
    assert_eq!(answer.matches("Warning").count(), 1, "{answer}");
}
