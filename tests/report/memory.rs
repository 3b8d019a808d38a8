//! What runs and tables take of memory, by what the system counts at its highest.
#![cfg(target_os = "linux")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use tempfile::TempDir;

/// Three rooms in steps of a minute, with setbacks, so that the ledger grows with the days.
fn three_rooms(days: u32) -> String {
    let mut text = format!(
        "title: Three rooms\nperiod: {{from: 2025-01-01, days: {days}}}\nweather:\n  monthly: [[3, \
         -3], [5, -2], [10, 1], [15, 4], [20, 9], [24, 13], [27, 16], [26, 15], [22, 11], [15, 6], \
         [8, 2], [4, -2]]\nzones:\n"
    );
    for room in 1..=3 {
        let _ = write!(
            text,
            "  room{room}:\n    space: {{floor: {} m2}}\n    unit: {{heating: 4 kW, cooling: 4 \
             kW}}\n    controls:\n      heat: 20\n      cool: 24\n      occupancy: {{from: \
             \"08:00\", to: \"18:00\"}}\n      setback: {{heat: 3, cool: 3}}\n",
            40 + 5 * room
        );
    }
    text
}

/// Runs the program to its end; its peak of resident memory as it was last seen, kB. The system
/// keeps the peak itself, so that only what the last milliseconds add can be missed.
fn peak(folder: &Path, call: &[&str]) -> u64 {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.args(call).current_dir(folder).stdout(Stdio::null());
    let mut child = command.spawn().expect("the program runs");
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    let ended = loop {
        let read = fs::read_to_string(&status).unwrap_or_default();
        let line = read.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let now = line.and_then(|it| it.split_whitespace().next()?.parse().ok());
        peak = peak.max(now.unwrap_or(0));
        if let Some(ended) = child.try_wait().expect("a state") {
            break ended;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    assert!(ended.success(), "{call:?}");
    assert!(peak > 1000, "the system counts: {peak} kB");
    peak
}

/// Steps go to their file as they come, charts and workbooks take hours, and these go through a
/// temporary file.
#[test]
fn a_year_takes_no_more_memory_than_a_month() {
    let place: TempDir = tempfile::tempdir().expect("a folder");
    let folder = place.path();
    let of = |name: &str, days: u32| {
        fs::write(folder.join(format!("{name}.yaml")), three_rooms(days)).expect("written");
        peak(folder, &["run", &format!("{name}.yaml"), "--quiet"])
    };
    let (month, year) = (of("month", 31), of("year", 365));
    assert!(year <= month, "a year takes {year} kB, a month {month} kB");
    assert!(fs::metadata(folder.join("out/year/report.xlsx")).expect("there").len() > 500_000);
}
