//! What is printed: lost output is told, unwanted output is not.

use std::fs;
use std::process::{Command, Stdio};

use super::{HALL, command, error, place, run};

#[cfg(target_os = "linux")]
#[test]
fn output_that_is_lost_is_told() {
    let place = place();
    let folder = place.path();
    let full = || fs::File::options().write(true).open("/dev/full").expect("it is there");
    for call in [
        &["schema"][..],
        &["init"],
        &["completions", "bash"],
        &["check", "hall.yaml"],
        &["check", "hall.yaml", "--json"],
        &["run", "hall.yaml", "--json", "--out", "out"],
        &["reach", "hall.yaml", "--out", "out"],
        &["--help"],
        &["run", "--help"],
        &["--version"],
    ] {
        let done = command(folder, call).stdout(full()).output().expect("runs");
        assert_eq!(done.status.code(), Some(2), "{call:?}");
        let said = error(&done);
        assert!(said.contains("standard output cannot be written"), "{call:?}: {said}");
        assert!(said.contains("make room on this disk"), "{call:?}: {said}");
    }
}

/// Programs that want no output open `/dev/null` for reading and writing, as Python's
/// `subprocess.DEVNULL` does, and so does the standard library before `main` begins where a
/// descriptor is closed: nothing tells one from the other, so neither fails.
#[cfg(unix)]
#[test]
fn output_that_nobody_wants_is_no_fault() {
    let place = place();
    let folder = place.path();
    let unwanted =
        || fs::File::options().read(true).write(true).open("/dev/null").expect("it is there");
    for call in ["check hall.yaml", "run hall.yaml --json --out out", "schema", "init -", "--help"]
    {
        let arguments: Vec<&str> = call.split(' ').collect();
        let mut by_program = command(folder, &arguments);
        let done = by_program.stdout(unwanted()).output().expect("runs");
        assert_eq!(done.status.code(), Some(0), "{call}: {}", error(&done));
        let all = by_program.stdin(unwanted()).stderr(unwanted()).status().expect("runs");
        assert_eq!(all.code(), Some(0), "{call}");
        for redirection in [">/dev/null", ">&-", ">&- 2>&-"] {
            let line = format!("exec \"$0\" {call} {redirection}");
            let shell = ["-c", &line, env!("CARGO_BIN_EXE_setband")];
            let mut by_shell = Command::new("sh");
            by_shell.args(shell).current_dir(folder).stdin(Stdio::null());
            let done = by_shell.output().expect("a shell");
            assert_eq!(done.status.code(), Some(0), "{call} {redirection}: {}", error(&done));
        }
    }
    assert!(!folder.join("-").exists(), "a dash is standard output");
    let faulty = HALL.replace("floor: 60 m2", "floor: 60");
    fs::write(folder.join("faulty.yaml"), faulty).expect("written");
    let refused = command(folder, &["check", "faulty.yaml"]).stdout(unwanted()).output();
    assert_eq!(refused.expect("runs").status.code(), Some(2), "what is wrong stays wrong");
}

/// Somebody who has read enough is no fault.
#[cfg(unix)]
#[test]
fn a_pipe_that_is_closed_is_no_fault() {
    let place = place();
    let mut child =
        command(place.path(), &["schema"]).stdout(Stdio::piped()).spawn().expect("runs");
    drop(child.stdout.take());
    assert_eq!(child.wait().expect("ended").code(), Some(0));
}

#[test]
fn the_plain_locale_gets_ascii_and_programs_get_what_there_is() {
    let place = place();
    let folder = place.path();
    fs::write(folder.join("hall.yaml"), HALL.replace("A hall", "Ein Säli")).expect("written");
    let call = ["run", "hall.yaml", "--out", "out"];
    let plain = |more: &[&str]| {
        let all = [&call[..], more].concat();
        command(folder, &all).env("LC_ALL", "C").output().expect("runs").stdout
    };
    assert!(plain(&[]).is_ascii());
    let json = plain(&["--json"]);
    assert!(String::from_utf8_lossy(&json).contains("Ein Säli"));
    let rich = command(folder, &call).env("LC_ALL", "C.UTF-8").output().expect("runs").stdout;
    assert!(String::from_utf8_lossy(&rich).contains("Säli"));
}

#[test]
fn a_name_that_is_a_formula_is_a_text_in_tables() {
    let place = place();
    let folder = place.path();
    assert_eq!(run(folder, &["run", "hall.yaml", "--out", "out"]).status.code(), Some(0));
    let ledger = fs::read_to_string(folder.join("out/ledger.csv")).expect("written");
    assert!(ledger.contains(",'=1+1,") && !ledger.contains(",=1+1"), "{ledger}");
}

#[test]
fn faults_of_a_file_come_as_json_where_json_is_asked_for() {
    let place = place();
    let folder = place.path();
    fs::write(folder.join("faulty.yaml"), HALL.replace("floor: 60 m2", "floor: 60"))
        .expect("written");
    let done = run(folder, &["check", "faulty.yaml", "--json"]);
    assert_eq!(done.status.code(), Some(2));
    let json: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
    assert_eq!(json["findings"][0]["severity"], "error", "{json}");
    assert_eq!(json["findings"][0]["at"]["path"], "zones.hall.space.floor", "{json}");
}
