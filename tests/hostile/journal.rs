//! Sweeps that are killed at any time, and journals that are damaged anywhere.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread::sleep;
use std::time::Duration;

use super::draw::campaign;

const HALL: &str = "\
period: {from: 2025-04-16, step: 15 min}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2, start: 20}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, min_deadband: 2}
";
const CALL: [&str; 10] = [
    "sweep",
    "hall.yaml",
    "--grid",
    "zones.*.band=0..3:1",
    "--vary",
    "zones.*.controls.sensor.offset=-0.5..0.5",
    "--draws",
    "20",
    "--quiet",
    "--out",
];
const CASES: usize = 80;

fn sweep(folder: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let all = [&CALL[..], more].concat();
    command.args(all).current_dir(folder).stdin(Stdio::null()).stderr(Stdio::piped());
    command
}

fn ended(folder: &Path, more: &[&str]) -> Output {
    sweep(folder, more).output().expect("the program runs")
}

fn lines(journal: &Path) -> Vec<Vec<u8>> {
    let bytes = fs::read(journal).unwrap_or_default();
    bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

/// The whole lines of finished cases.
fn finished(journal: &Path) -> Vec<Vec<u8>> {
    let is_whole = |line: &Vec<u8>| line.starts_with(b"ran ") && line.ends_with(b"\n");
    lines(journal).into_iter().filter(is_whole).collect()
}

#[test]
fn killed_at_any_time_a_sweep_loses_nothing_that_was_finished() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    fs::write(folder.join("hall.yaml"), HALL).expect("written");
    assert!(ended(folder, &["whole"]).status.success());
    let whole = fs::read(folder.join("whole/cases.csv")).expect("written");
    campaign("killed sweeps", 12, |draw| {
        drop(fs::remove_dir_all(folder.join("killed")));
        let journal = folder.join("killed/sweep.journal");
        let mut resume: &[&str] = &["killed"];
        for _ in 0..=draw.below(3) {
            let before = finished(&journal);
            let mut child = sweep(folder, resume).spawn().expect("the program runs");
            sleep(Duration::from_millis(draw.below(1500) as u64));
            // It may have ended already.
            let _ = child.kill();
            child.wait().expect("ended");
            let after = finished(&journal);
            assert_eq!(after[..before.len()], before[..], "a finished case is lost");
            let begun = lines(&journal).first().is_some_and(|line| line.ends_with(b"\n"));
            resume = if begun { &["killed", "--resume"] } else { &["killed", "--restart"] };
        }
        let last = ended(folder, resume);
        assert!(last.status.success(), "{}", String::from_utf8_lossy(&last.stderr));
        assert_eq!(fs::read(folder.join("killed/cases.csv")).expect("written"), whole);
        assert_eq!(finished(&journal).len(), CASES);
        let left = fs::read_dir(folder.join("killed/.setband")).expect("ours");
        let left: Vec<_> = left.map(|entry| entry.expect("ours").file_name()).collect();
        assert!(!left.iter().any(|name| name.to_string_lossy().starts_with("new-")), "{left:?}");
    });
}

/// One byte anywhere, or a piece: every whole line is kept, a header that is not whole is refused and
/// nothing is cut short.
#[test]
fn damaged_anywhere_a_journal_is_refused_or_goes_on() {
    let place = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    fs::write(folder.join("hall.yaml"), HALL).expect("written");
    assert!(ended(folder, &["whole"]).status.success());
    let whole = fs::read(folder.join("whole/cases.csv")).expect("written");
    let journal = fs::read(folder.join("whole/sweep.journal")).expect("written");
    let first = journal.split(|byte| *byte == b'\n').next().expect("a line").to_vec();
    campaign("damaged journals", 25, |draw| {
        let damaged = draw.mutated(&journal, &[&journal]);
        drop(fs::remove_dir_all(folder.join("damaged")));
        fs::create_dir(folder.join("damaged")).expect("made");
        let file = folder.join("damaged/sweep.journal");
        fs::write(&file, &damaged).expect("written");
        let done = ended(folder, &["damaged", "--resume"]);
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        let now = fs::read(&file).expect("there");
        assert!(now.starts_with(&damaged), "what was there is there: {said}");
        let has_header = damaged.split(|byte| *byte == b'\n').next() == Some(&first);
        if has_header && !said.contains("contradict") {
            assert!(done.status.success(), "{said}");
            assert_eq!(fs::read(folder.join("damaged/cases.csv")).expect("written"), whole);
        } else if !damaged.is_empty() {
            assert_eq!(done.status.code(), Some(2), "{said}");
            assert_eq!(now, damaged, "a journal that is refused is left as it is");
        }
    });
}
