//! Sweeps that are broken off, and go on.

use std::path::Path;
use std::process::{Child, Command};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{HALL, Place, lines_of, said};

/// Long enough to be broken off on any machine.
const CALL: [&str; 8] = [
    "--grid",
    "zones.*.band=0..3:1",
    "--vary",
    "zones.*.controls.sensor.offset=-0.5..0.5",
    "--draws",
    "40",
    "--threads",
    "2",
];
const CASES: usize = 160;
/// Broken off when so many cases are done.
const SOME: usize = 12;

/// Starts a sweep into `out` and waits until some cases are done.
fn begun(place: &Place, out: &str) -> Child {
    let all = [&["sweep", "hall.yaml"][..], &CALL, &["--out", out, "--quiet"]].concat();
    let child = place.command(&all).spawn().expect("the binary starts");
    let journal = place.path(out).join("sweep.journal");
    let patience = Instant::now() + Duration::from_secs(120);
    while lines_of(&journal).len() < SOME + 1 {
        assert!(Instant::now() < patience, "the sweep does not begin");
        sleep(Duration::from_millis(2));
    }
    child
}

/// The whole lines of a journal.
fn finished(journal: &Path) -> Vec<String> {
    let whole = |line: &String| line.starts_with("ran ") && line.split(' ').count() > 20;
    lines_of(journal).into_iter().filter(whole).collect()
}

#[test]
fn a_killed_sweep_goes_on_and_loses_nothing_that_was_finished() {
    let place = Place::new(HALL);
    let mut child = begun(&place, "killed");
    child.kill().expect("killed");
    child.wait().expect("ended");
    let journal = place.path("killed/sweep.journal");
    let before = finished(&journal);
    assert!((SOME..CASES).contains(&before.len()), "{} cases were done", before.len());
    assert!(!place.path("killed/sweep.json").exists(), "no half-written results");

    let refused = place.refused(&[&CALL[..], &["--out", "killed"]].concat());
    assert!(refused.contains("unfinished sweep") && refused.contains("--resume"), "{refused}");
    place.sweep(&[&CALL[..], &["--out", "killed", "--resume"]].concat());
    place.sweep(&[&CALL[..], &["--out", "whole"]].concat());
    place.same_files("killed", "whole");

    // What was finished still stands there, and nothing was run twice.
    let after = finished(&journal);
    assert_eq!(after[..before.len()], before[..]);
    assert_eq!(after.len(), CASES);
}

#[cfg(unix)]
#[test]
fn ctrl_c_leaves_a_usable_part_and_resume_goes_on() {
    let place = Place::new(HALL);
    let child = begun(&place, "stopped");
    let interrupt = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(interrupt.expect("kill is there").success());
    let output = child.wait_with_output().expect("ended");
    assert_eq!(output.status.code(), Some(130));
    let part = place.json("stopped/sweep.json");
    assert_eq!(part["complete"], false);
    let done = part["cases"]["done"].as_u64().expect("a count");
    assert_eq!(place.table("stopped/cases.csv").len() as u64, done);
    assert!(part["answer"].as_str().expect("words").starts_with("So far ("));
    place.sweep(&[&CALL[..], &["--out", "stopped", "--resume"]].concat());
    place.sweep(&[&CALL[..], &["--out", "whole"]].concat());
    place.same_files("stopped", "whole");
}

#[test]
fn another_sweep_is_not_resumed() {
    let place = Place::new(HALL);
    let mut child = begun(&place, "out");
    child.kill().expect("killed");
    child.wait().expect("ended");
    let seed = place.refused(&[&CALL[..], &["--seed", "9", "--resume", "--out", "out"]].concat());
    assert!(seed.contains("holds another sweep") && seed.contains("seed"), "{seed}");
    let mut longer = CALL;
    longer[5] = "41";
    let draws = place.refused(&[&longer[..], &["--resume", "--out", "out"]].concat());
    assert!(draws.contains("number of draws"), "{draws}");
    std::fs::write(place.path("hall.yaml"), HALL.replace("60 m2", "61 m2")).expect("written");
    let file = place.refused(&[&CALL[..], &["--resume", "--out", "out"]].concat());
    assert!(file.contains("the scenario"), "{file}");
}

/// A finished sweep is asked something else without being run again.
#[test]
fn a_finished_sweep_answers_other_questions_at_once() {
    let place = Place::new(HALL);
    let call = ["--grid", "zones.*.band=0..2:1", "--out", "out"];
    place.sweep(&call);
    let journal = lines_of(&place.path("out/sweep.journal"));
    let again = [&call[..], &["--resume", "--minimise", "changeovers"]].concat();
    let output = place.sweep(&again);
    assert!(String::from_utf8_lossy(&output.stdout).starts_with("Least changeovers"));
    assert_eq!(lines_of(&place.path("out/sweep.journal")), journal, "{}", said(&output));
}
