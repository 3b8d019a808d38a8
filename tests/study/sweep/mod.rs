//! Sweeps as a user runs them, with the real binary: the same numbers as single runs, the same
//! bytes for any number of threads, any split and any interruption, and clear words for what is
//! wrong.

mod array_job;
mod broken_off;
mod bytes;
mod faults;
mod new_keys;
mod numbers;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A hall in spring with a tariff and two presses.
const HALL: &str = "\
title: A hall in spring
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2, mass: light}
    gains: {from: \"10:00\", to: \"17:00\", power: 1500 W}
    unit: {heating: 4 kW, cooling: 4 kW, control: staged}
    controls: {heat: 20, cool: 24, min_deadband: 2}
actions:
  - {at: \"09:15\", zone: hall, press: warmer, times: 3}
tariff: {price: 0.2, currency: EUR}
variants:
  single: {zones.*.controls.min_deadband: 0}
  wide: {zones.*.controls.min_deadband: 4}
";

/// Files whose bytes must not depend on how a sweep was run.
const FILES: [&str; 7] = [
    "cases.csv",
    "cases.parquet",
    "sweep.json",
    "tornado.svg",
    "tornado.png",
    "tradeoff.svg",
    "tradeoff.png",
];

/// A scenario in a folder of its own.
struct Place {
    folder: TempDir,
}

impl Place {
    fn new(scenario: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("hall.yaml"), scenario).expect("written");
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The command, not started yet.
    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
        command.args(arguments).current_dir(self.folder.path()).stdin(Stdio::null());
        command
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().expect("the binary starts")
    }

    /// Runs `sweep hall.yaml` and expects it to succeed.
    fn sweep(&self, arguments: &[&str]) -> Output {
        let all: Vec<&str> = ["sweep", "hall.yaml"].iter().chain(arguments).copied().collect();
        let output = self.run(&all);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        output
    }

    /// What is said where a sweep is refused.
    fn refused(&self, arguments: &[&str]) -> String {
        let all: Vec<&str> = ["sweep", "hall.yaml"].iter().chain(arguments).copied().collect();
        let output = self.run(&all);
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        assert!(output.stdout.is_empty());
        said(&output)
    }

    fn json(&self, name: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(name)).expect("written")).expect("JSON")
    }

    fn same_files(&self, one: &str, other: &str) {
        for name in FILES {
            let read = |folder: &str| fs::read(self.path(folder).join(name)).expect("written");
            assert!(read(one) == read(other), "{name} differs between {one} and {other}");
        }
    }

    /// The rows of a table by column.
    fn table(&self, name: &str) -> Vec<std::collections::BTreeMap<String, String>> {
        let mut reader = csv::Reader::from_path(self.path(name)).expect("a table");
        reader.deserialize().map(|row| row.expect("a row")).collect()
    }
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn lines_of(path: &Path) -> Vec<String> {
    fs::read_to_string(path).unwrap_or_default().lines().map(str::to_owned).collect()
}
