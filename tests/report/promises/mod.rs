//! What the program promises whoever runs it, with the real binary: nothing is lost without a word,
//! nothing of others is touched, nothing waits for ever.

mod ended;
mod input;
mod output;
mod temperatures;

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// A hall in spring with somebody who gives themself the name of a formula.
const HALL: &str = "\
title: A hall in spring
period: {from: 2025-04-16, step: 10 min}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2, start: 20}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24}
actions:
  - {at: \"09:15\", zone: hall, press: warmer, by: \"=1+1\"}
variants:
  wide: {zones.*.controls.min_deadband: 4}
";

fn place() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("hall.yaml"), HALL).expect("written");
    folder
}

fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.args(arguments).current_dir(folder).stdin(Stdio::null());
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    command(folder, arguments).output().expect("the program runs")
}

fn error(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The files of a folder, without what only the program needs.
fn files(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry"));
    let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.filter(|name| name != ".setband").collect();
    names.sort();
    names
}

#[test]
fn a_run_leaves_its_own_files_and_no_others() {
    let place = place();
    let folder = place.path();
    let out = folder.join("out");
    fs::create_dir(&out).expect("made");
    fs::write(out.join("notes.txt"), "mine").expect("written");
    for arguments in [&["run", "hall.yaml"][..], &["sheet", "hall.yaml"]] {
        let done = run(folder, &[arguments, &["--out", "out", "--quiet"]].concat());
        assert_eq!(done.status.code(), Some(0), "{}", error(&done));
    }
    assert!(files(&out).contains(&"steps.csv".to_owned()));
    let call = ["run", "hall.yaml", "--steps", "none", "--out", "out", "--quiet"];
    assert_eq!(run(folder, &call).status.code(), Some(0));
    let left = files(&out);
    assert!(!left.contains(&"steps.csv".to_owned()), "{left:?}");
    for name in ["notes.txt", "sheet.csv", "sheet.html", "ledger.csv", "day.png"] {
        assert!(left.contains(&name.to_owned()), "{name}: {left:?}");
    }
}

#[test]
fn one_name_that_is_taken_leaves_every_file_as_it_was() {
    let place = place();
    let folder = place.path();
    let call = ["run", "hall.yaml", "--out", "out", "--quiet"];
    assert_eq!(run(folder, &call).status.code(), Some(0));
    let summary = fs::read(folder.join("out/summary.json")).expect("written");
    fs::remove_file(folder.join("out/day.png")).expect("removed");
    fs::create_dir(folder.join("out/day.png")).expect("made");
    let refused = run(folder, &[&call[..], &["--variant", "wide"]].concat());
    assert_eq!(refused.status.code(), Some(2));
    let said = error(&refused);
    assert!(said.contains("day.png") && said.contains("move away what has this name"), "{said}");
    assert_eq!(fs::read(folder.join("out/summary.json")).expect("there"), summary);
}

/// The same command at the same time: one writes, the other says that it waits for nobody.
#[test]
fn two_runs_into_one_folder_do_not_mix() {
    let place = place();
    let folder = place.path();
    let call = |variant: &[&str]| {
        let all = [&["run", "hall.yaml", "--out", "out", "--json"][..], variant].concat();
        command(folder, &all).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("runs")
    };
    for _ in 0..3 {
        let both = [call(&[]), call(&["--variant", "wide"])];
        let ended = both.map(|child| child.wait_with_output().expect("ended"));
        let summary = fs::read_to_string(folder.join("out/summary.json")).expect("written");
        let ledger = fs::read_to_string(folder.join("out/ledger.csv")).expect("written");
        let done: Vec<&Output> = ended.iter().filter(|it| it.status.success()).collect();
        let whose =
            done.iter().find(|it| String::from_utf8_lossy(&it.stdout).trim() == summary.trim());
        assert!(whose.is_some(), "the summary is that of a run that succeeded");
        let is_wide = summary.contains("\"variant\": \"wide\"");
        // The minimum deadband stands in the reasons of the ledger.
        assert!(ledger.lines().count() >= 2 && summary.contains("variant"), "{is_wide}");
        for failed in ended.iter().filter(|it| !it.status.success()) {
            assert!(error(failed).contains("another `setband run` is writing into out"));
        }
    }
}

/// Files are readable for whom the user's mask says, and no one else.
#[cfg(unix)]
#[test]
fn files_keep_to_the_mask_of_their_user() {
    use std::os::unix::fs::PermissionsExt;
    let place = place();
    let folder = place.path();
    for (mask, of_files, of_folders) in [("077", 0o600, 0o700), ("022", 0o644, 0o755)] {
        let calls = [
            format!("run hall.yaml --out run{mask} --quiet"),
            format!("sweep hall.yaml --grid 'zones.*.band=0..2:1' --out sweep{mask} --quiet"),
            format!("init new{mask}.yaml"),
        ];
        for call in calls {
            let line = format!("umask {mask}; exec \"$0\" {call}");
            let shell = ["-c", &line, env!("CARGO_BIN_EXE_setband")];
            let done =
                Command::new("sh").args(shell).current_dir(folder).output().expect("a shell");
            assert_eq!(done.status.code(), Some(0), "{call}: {}", error(&done));
        }
        let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
        assert_eq!(mode(&folder.join(format!("new{mask}.yaml"))), of_files, "{mask}");
        for out in ["run", "sweep"].map(|name| folder.join(format!("{name}{mask}"))) {
            assert_eq!(mode(&out), of_folders, "{}", out.display());
            for name in files(&out) {
                assert_eq!(mode(&out.join(&name)), of_files, "{name} under {mask}");
            }
        }
    }
}

#[test]
fn any_number_of_threads_is_as_good() {
    let place = place();
    let begun = Instant::now();
    let call = ["sweep", "hall.yaml", "--grid", "zones.*.band=0..2:1", "--threads", "99999999"];
    let done = run(place.path(), &[&call[..], &["--quiet"]].concat());
    assert_eq!(done.status.code(), Some(0), "{}", error(&done));
    assert!(begun.elapsed() < Duration::from_secs(40));
}
