//! The real binary, called as a user calls it: exit codes, what goes where, and what is left behind.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

fn setband(arguments: &[&str]) -> Output {
    command(arguments).output().expect("the binary starts")
}

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.args(arguments).stdin(Stdio::null()).env_remove("NO_COLOR");
    command
}

fn scenario(stem: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(stem);
    path.with_extension("yaml").display().to_string()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("text")
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

fn written(folder: &TempDir, name: &str, contents: &str) -> String {
    let path = folder.path().join(name);
    fs::write(&path, contents).expect("written");
    path.display().to_string()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned())
        // What only the program needs.
        .filter(|name| name != ".setband")
        .collect();
    names.sort();
    names
}

const TWELVE_LINES: &str = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, min_deadband: 2}
actions:
  - {at: \"09:15\", zone: hall, press: warmer, times: 3}
variants:
  single: {zones.hall.controls.min_deadband: 0}
";

#[test]
fn every_command_explains_itself() {
    let help = text(&setband(&["--help"]).stdout);
    for name in ["run", "compare", "owners", "check", "init", "schema", "completions"] {
        assert!(help.contains(name), "{name} is missing: {help}");
        let own = setband(&[name, "--help"]);
        assert!(own.status.success() && !own.stdout.is_empty(), "{name} --help");
    }
}

#[test]
fn a_run_leaves_its_files_whole_and_prints_the_answer_first() {
    let (folder, out) = (folder(), folder());
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    let out_path = out.path().display().to_string();
    let run = setband(&["run", &file, "--out", &out_path]);
    assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
    assert!(run.stderr.is_empty());
    let expected = ["day.png", "day.svg", "ledger.csv", "report.html", "steps.csv", "summary.json"];
    assert!(expected.iter().all(|name| names(out.path()).contains(&(*name).to_string())));
    let printed = text(&run.stdout);
    assert!(!printed.contains('\u{1b}'), "no colour where nobody sees it");
    assert!(printed.lines().all(|line| line.chars().count() <= 80 || line.contains(&out_path)));
    let steps = fs::read_to_string(out.path().join("steps.csv")).expect("steps");
    assert_eq!(steps.lines().count(), 1 + 1440);
    assert!(steps.starts_with(
        "time,zone,outdoor,temperature,mass_temperature,sensed,heat,cool,mode,power,direction,call,\
         served,starved,heat_w,electric_w"
    ));
    let ledger = fs::read_to_string(out.path().join("ledger.csv")).expect("ledger");
    assert!(ledger.starts_with(
        "time,zone,controller,by,role,request,outcome,heat_before,cool_before,heat_after,\
         cool_after,mode_after,power_after,reason"
    ));
    assert_eq!(ledger.lines().filter(|line| line.contains("press warmer")).count(), 3);
}

#[test]
fn json_on_standard_output_is_the_summary_that_is_written() {
    let (folder, out) = (folder(), folder());
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    let out_path = out.path().display().to_string();
    let run = setband(&["run", &file, "--json", "--steps", "none", "--out", &out_path]);
    assert!(!out.path().join("steps.csv").exists());
    let read = |bytes: &[u8]| serde_json::from_slice::<serde_json::Value>(bytes).expect("JSON");
    let summary = fs::read(out.path().join("summary.json")).expect("written");
    assert_eq!(read(&run.stdout), read(&summary));
    assert_eq!(read(&run.stdout)["zones"]["hall"]["requests"]["accepted"], 3);
}

#[test]
fn a_file_with_mistakes_gets_all_of_them_with_their_places() {
    let folder = folder();
    let faulty = TWELVE_LINES.replace("60 m2", "60").replace("heat: 20", "heat: 20.3");
    let file = written(&folder, "hall.yaml", &faulty);
    let run = setband(&["run", &file, "--out", &folder.path().join("out").display().to_string()]);
    assert_eq!(run.status.code(), Some(2));
    assert!(run.stdout.is_empty());
    let said = text(&run.stderr);
    assert!(said.contains("hall.yaml:5:") && said.contains("hall.yaml:7:"), "{said}");
    assert!(said.contains("20 and 20.5") || said.contains("20.5"), "{said}");
    assert!(!folder.path().join("out").exists(), "nothing is written for a faulty file");
}

#[test]
fn an_unwritable_folder_is_found_before_the_run_and_nothing_is_left() {
    let folder = folder();
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    let in_the_way = written(&folder, "taken", "a file, no folder");
    let run = setband(&["run", &file, "--out", &format!("{in_the_way}/out")]);
    assert_eq!(run.status.code(), Some(2));
    assert!(text(&run.stderr).contains("cannot be written"));
    assert_eq!(names(folder.path()), ["hall.yaml", "taken"]);
}

#[test]
fn a_reader_that_stops_early_is_no_fault() {
    let mut child =
        command(&["schema"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("starts");
    drop(child.stdout.take());
    let ended = child.wait_with_output().expect("ends");
    assert_eq!(ended.status.code(), Some(0), "{}", text(&ended.stderr));
    assert!(ended.stderr.is_empty(), "{}", text(&ended.stderr));
}

#[test]
fn an_unknown_variant_names_the_nearest() {
    let folder = folder();
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    let run = setband(&["run", &file, "--variant", "singel"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(text(&run.stderr).contains("`single`"), "{}", text(&run.stderr));
}

#[test]
fn at_explains_an_instant_and_writes_no_files() {
    let folder = folder();
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    let out = folder.path().join("out");
    let ask = |time: &str, more: &[&str]| {
        let mut arguments = vec!["run", &file, "--at", time, "--out"];
        let out = out.display().to_string();
        arguments.push(&out);
        arguments.extend(more);
        setband(&arguments)
    };
    let answer = text(&ask("14:20", &[]).stdout);
    for about in ["power", "mode", "lockout", "call", "timers", "sensor", "until"] {
        assert!(answer.contains(&format!("  {about}")), "{about} is missing: {answer}");
    }
    let json: serde_json::Value =
        serde_json::from_slice(&ask("14:20", &["--json"]).stdout).expect("JSON");
    assert_eq!(json["at"], "2025-04-16T14:20:00");
    assert!(json["zones"]["hall"]["chain"].as_array().is_some_and(|chain| chain.len() >= 8));
    let outside = ask("d2 14:20", &[]);
    assert_eq!(outside.status.code(), Some(2));
    assert!(text(&outside.stderr).contains("outside the period"));
    assert_eq!(ask("noon", &[]).status.code(), Some(2));
    assert!(!out.exists());
}

/// The summer of a hall: clocks are an hour ahead from the first day to the last.
fn summer(first: &str, days: u32) -> String {
    TWELVE_LINES.replace(
        "period: {from: 2025-04-16}",
        &format!(
            "period: {{from: {first}, days: {days}}}\n\
             calendar: {{daylight_saving: {{from: 2025-03-30, to: 2025-10-26}}}}"
        ),
    )
}

#[test]
fn at_takes_dates_and_refuses_times_before_the_first_step() {
    let folder = folder();
    let file = written(&folder, "hall.yaml", &summer("2025-07-03", 2));
    // With clocks an hour ahead the first step, midnight standard time, is at 1:00.
    let early = setband(&["run", &file, "--at", "00:30"]);
    assert_eq!(early.status.code(), Some(2), "{}", text(&early.stderr));
    let words = text(&early.stderr);
    assert!(words.contains("from 2025-07-03 01:00:00 to before 2025-07-05 01:00:00"), "{words}");
    let json = setband(&["run", &file, "--at", "2025-07-04 14:10", "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!(json["at"], "2025-07-04T13:10:00");
    assert_eq!(json["clock"], "2025-07-04T14:10:00");
    let words = text(&setband(&["run", &file, "--at", "2025-07-04 14:10"]).stdout);
    assert!(words.contains("At d2 14:10 hall"), "{words}");
}

#[test]
fn people_read_clock_time_and_machines_get_both() {
    let folder = folder();
    let out = folder.path().join("out").display().to_string();
    // The last two days of winter time and the first of summer time.
    let file = written(&folder, "hall.yaml", &summer("2025-03-29", 2));
    let run = setband(&["run", &file, "--out", &out]);
    assert!(run.status.success(), "{}", text(&run.stderr));
    let read = |name: &str| fs::read_to_string(Path::new(&out).join(name)).expect("a file");
    let (steps, ledger) = (read("steps.csv"), read("ledger.csv"));
    assert!(steps.starts_with("time,clock,zone,outdoor,"), "{}", &steps[..60]);
    assert!(steps.contains("\n2025-03-30T01:59:00,2025-03-30T01:59:00,hall,"));
    assert!(steps.contains("\n2025-03-30T02:00:00,2025-03-30T03:00:00,hall,"));
    assert!(ledger.starts_with("time,clock,zone,controller,"), "{}", &ledger[..60]);
    let chart = read("day.svg");
    assert!(chart.contains("clocks +1 h"), "the chart says when clocks are changed");
    // A day in summer: the press at 9:15 on clocks is at 8:15 standard time.
    let file = written(&folder, "hall.yaml", &summer("2025-07-03", 1));
    assert!(setband(&["run", &file, "--out", &out]).status.success());
    let ledger = read("ledger.csv");
    assert!(ledger.contains("2025-07-03T08:15:00,2025-07-03T09:15:00,hall,"), "{ledger}");
    let chart = read("day.svg");
    // From 1:00 to 1:00 of the next day: the hours 3 to 24 stand an hour further left.
    assert!(!chart.contains("00:00") && chart.contains("03:00") && chart.contains("24:00"));
    // Without daylight saving there is one clock, and no second column.
    let file = written(&folder, "hall.yaml", TWELVE_LINES);
    assert!(setband(&["run", &file, "--out", &out]).status.success());
    assert!(read("steps.csv").starts_with("time,zone,"));
}

#[test]
fn init_writes_a_file_that_runs_and_overwrites_none() {
    let folder = folder();
    let path: PathBuf = folder.path().join("mine.yaml");
    let file = path.display().to_string();
    assert!(setband(&["init", &file, "--temperature", "F"]).status.success());
    let first = fs::read_to_string(&path).expect("written");
    assert!(first.contains("temperature: F"));
    let again = setband(&["init", &file]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&path).expect("there"), first);
    let out = folder.path().join("out").display().to_string();
    assert!(setband(&["run", &file, "--quiet", "--out", &out]).status.success());
    let checked = setband(&["check", &file]);
    assert_eq!(checked.status.code(), Some(0), "{}", text(&checked.stderr));
}

#[test]
fn the_schema_accepts_every_shipped_scenario_and_completions_exist() {
    let schema: serde_json::Value =
        serde_json::from_slice(&setband(&["schema"]).stdout).expect("JSON");
    assert!(jsonschema::validator_for(&schema).is_ok());
    for shell in ["bash", "zsh", "fish"] {
        let script = text(&setband(&["completions", shell]).stdout);
        assert!(script.contains("setband"), "{shell}");
    }
}

#[test]
fn owners_needs_a_group_and_ranks_it() {
    let folder = folder();
    let out = folder.path().join("out").display().to_string();
    let lone = setband(&["owners", &scenario("reading_room"), "--out", &out]);
    assert_eq!(lone.status.code(), Some(2));
    let ranked =
        setband(&["owners", &scenario("weavers_yard_wrong_owner"), "--json", "--out", &out]);
    let json: serde_json::Value = serde_json::from_slice(&ranked.stdout).expect("JSON");
    let ranking = &json["outdoor_units"]["outdoor_unit"]["ranking"];
    assert_eq!(ranking.as_array().map(Vec::len), Some(6));
    assert_eq!(names(Path::new(&out)), ["owners.json", "owners.png", "owners.svg"]);
}

#[test]
fn hostile_calls_are_answered_and_never_end_in_a_panic() {
    let folder = folder();
    let out = folder.path().join("out").display().to_string();
    let room = "{space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, \
                controls: {heat: 20, cool: 24}}";
    let zones: Vec<String> = (0..10_000).map(|zone| format!("  z{zone}: {room}\n")).collect();
    let zones = zones.concat();
    let head = "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n";
    let cases = [
        ("empty.yaml", String::new()),
        ("binary.yaml", "\u{0}\u{1}\u{7f}: [".into()),
        ("nan.yaml", TWELVE_LINES.replace("heat: 20", "heat: .nan")),
        ("huge.yaml", TWELVE_LINES.replace("high: 18", "high: 1e308")),
        (
            "csv.yaml",
            TWELVE_LINES.replace("design_day: {high: 18, range: 11}", "csv: ../../nowhere.csv"),
        ),
        ("zones.yaml", format!("{head}{zones}")),
        ("step.yaml", TWELVE_LINES.replace("from: 2025-04-16", "from: 2025-04-16, step: 7 s")),
    ];
    for (name, contents) in cases {
        let file = written(&folder, name, &contents);
        let run = setband(&["run", &file, "--quiet", "--out", &out]);
        assert_eq!(run.status.code(), Some(2), "{name}: {}", text(&run.stderr));
        assert!(text(&run.stderr).contains(name), "{name}: {}", text(&run.stderr));
    }
    let path = folder.path().display().to_string();
    assert_eq!(setband(&["run", &path]).status.code(), Some(2), "a folder is no file");
    assert_eq!(setband(&["run", &format!("{path}/nowhere.yaml")]).status.code(), Some(2));
    assert_eq!(setband(&["frobnicate"]).status.code(), Some(2));
}
