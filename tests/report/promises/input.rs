//! What is read: whatever is given is read in bounded time and memory, or refused with what would help.

use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{HALL, command, error, place, run};

#[cfg(unix)]
#[test]
fn pipes_and_devices_are_refused_before_they_are_opened() {
    let place = place();
    let folder = place.path();
    let pipe = Command::new("mkfifo").arg(folder.join("pipe")).status();
    assert!(pipe.expect("mkfifo is there").success());
    let weather = HALL.replace("{design_day: {high: 18, range: 11}}", "{csv: pipe}");
    fs::write(folder.join("piped.yaml"), weather).expect("written");
    let tmy3 = HALL.replace("{design_day: {high: 18, range: 11}}", "{tmy3: {file: pipe}}");
    fs::write(folder.join("tmy3.yaml"), tmy3).expect("written");
    fs::create_dir(folder.join("swept")).expect("made");
    let pipe = Command::new("mkfifo").arg(folder.join("swept/sweep.journal")).status();
    assert!(pipe.expect("mkfifo is there").success());
    for call in [
        &["run", "pipe"][..],
        &["run", "/dev/zero"],
        &["check", "pipe"],
        &["compare", "hall.yaml", "pipe"],
        &["run", "piped.yaml"],
        &["run", "tmy3.yaml"],
        &["weather", "pipe"],
        &["weather", "/dev/zero"],
        &["infer", "pipe"],
        &["serve", "pipe", "--no-open"],
        &["sweep", "hall.yaml", "--grid", "zones.*.band=0..2:1", "--out", "swept"],
        &["merge", "swept", "--out", "joined"],
    ] {
        let mut child = command(folder, call).stderr(Stdio::piped()).spawn().expect("runs");
        let patience = Instant::now() + Duration::from_secs(60);
        while child.try_wait().expect("a state").is_none() {
            if Instant::now() > patience {
                child.kill().expect("killed");
                panic!("{call:?} waits for ever");
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        let done = child.wait_with_output().expect("ended");
        // What is compared with something unreadable goes on without it.
        let expected = if call[0] == "compare" { 0 } else { 2 };
        assert_eq!(done.status.code(), Some(expected), "{call:?}: {}", error(&done));
    }
}

#[test]
fn what_cannot_be_read_or_written_is_told_with_what_helps() {
    let place = place();
    let folder = place.path();
    fs::write(folder.join("latin.yaml"), b"title: caf\xe9\n").expect("written");
    fs::write(folder.join("taken"), "a file").expect("written");
    for (call, what, help) in [
        (&["run", "nowhere.yaml"][..], "No such file", "setband init"),
        (&["run", "."], "it is a folder", "name a file in it"),
        (&["run", "latin.yaml"], "not UTF-8", "save it as UTF-8"),
        (&["run", "hall.yaml", "--out", "taken"], "a file stands where", "another folder"),
        (&["run", "hall.yaml/deeper"], "Not a directory", "is a file and no folder"),
    ] {
        let done = run(folder, call);
        assert_eq!(done.status.code(), Some(2), "{call:?}");
        let said = error(&done);
        assert!(said.contains(what) && said.contains(help), "{call:?}: {said}");
        assert!(!said.contains(".tmp"), "{said}");
    }
}

#[test]
fn standard_input_is_a_scenario_like_any_other() {
    let place = place();
    let folder = place.path();
    let piped = |call: &[&str]| {
        let input = fs::File::open(folder.join("hall.yaml")).expect("there");
        command(folder, call).stdin(input).output().expect("runs")
    };
    let from_file = run(folder, &["run", "hall.yaml", "--json", "--out", "out"]);
    let done = piped(&["run", "-", "--json"]);
    assert_eq!(done.status.code(), Some(0), "{}", error(&done));
    assert_eq!(done.stdout, from_file.stdout);
    assert!(folder.join("out/standard-input/day.png").is_file());
    let swept = piped(&["sweep", "-", "--grid", "zones.*.band=0..2:1", "--quiet"]);
    assert_eq!(swept.status.code(), Some(0), "{}", error(&swept));
}

#[test]
fn a_run_across_missing_weather_is_refused_until_it_is_said_what_is_put_there() {
    let place = place();
    let folder = place.path();
    let rows = (0..=24).filter(|hour| !(8..14).contains(hour)).map(|hour| {
        let day = 16 + hour / 24;
        format!("2025-04-{day}T{:02}:00,{hour}\n", hour % 24)
    });
    let text = format!("time,temperature\n{}", rows.collect::<String>());
    fs::write(folder.join("air.csv"), text).expect("written");
    let with = |fill: &str| {
        let weather = format!("{{csv: air.csv{fill}}}");
        let text = HALL.replace("{design_day: {high: 18, range: 11}}", &weather);
        fs::write(folder.join("logged.yaml"), text).expect("written");
        run(folder, &["run", "logged.yaml", "--out", "out"])
    };
    let refused = with("");
    assert_eq!(refused.status.code(), Some(2));
    let said = error(&refused);
    assert!(said.contains("from 2025-04-16 07:00 to 2025-04-16 14:00"), "{said}");
    assert!(said.contains("fill: straight"), "{said}");
    for (fill, word) in
        [(", fill: hold", "the row before them"), (", fill: straight", "straight line")]
    {
        let done = with(fill);
        assert_eq!(done.status.code(), Some(0), "{}", error(&done));
        let text = String::from_utf8_lossy(&done.stdout).replace("\n  ", " ");
        assert!(
            text.contains("Rows are missing from 2025-04-16 07:00") && text.contains(word),
            "{text}"
        );
    }
    let told = run(folder, &["weather", "air.csv"]);
    let told =
        String::from_utf8_lossy(&told.stderr).into_owned() + &String::from_utf8_lossy(&told.stdout);
    assert!(!told.contains("all values are there"), "{told}");
}

#[test]
fn crowds_that_nobody_could_follow_are_refused() {
    let place = place();
    let folder = place.path();
    let crowd = "people:\n  - {name: crowd, zone: hall, count: 1000, prefers: 22}\n  - {name: more, \
                 zone: hall, count: 1000, prefers: 22}\n";
    let text = HALL.replace("step: 10 min", "days: 300") + crowd;
    fs::write(folder.join("crowd.yaml"), text).expect("written");
    let refused = run(folder, &["check", "crowd.yaml"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = error(&refused);
    assert!(said.contains("2000 people on 300 days are too many"), "{said}");
}

#[test]
fn texts_are_of_a_length_that_somebody_can_read() {
    let place = place();
    let folder = place.path();
    let label = |length: usize| {
        let label = "x".repeat(length);
        fs::write(
            folder.join("long.yaml"),
            HALL.replace("    space:", &format!("    label: {label}\n    space:"))
                .replace("A hall in spring", &"y".repeat(2 * length)),
        )
        .expect("written");
        run(folder, &["run", "long.yaml", "--out", "out", "--quiet"])
    };
    assert_eq!(label(100).status.code(), Some(0));
    let refused = label(101);
    assert_eq!(refused.status.code(), Some(2));
    assert_eq!(error(&refused).matches("too-long").count(), 2, "{}", error(&refused));
}

/// A copy that lost its line breaks on the way: the fault names the line, and what is behind it is
/// not read.
#[test]
fn a_line_without_end_is_a_fault_of_its_file() {
    let place = place();
    let folder = place.path();
    let head = "723170,\"GREENSBORO\",NC,-5.0,36.1,-79.95,273\n";
    let endless = format!("{head}{}", "Date (MM/DD/YYYY),Time (HH:MM),".repeat(100_000));
    assert!(endless.len() > 3_000_000);
    fs::write(folder.join("endless.csv"), endless).expect("written");
    let told = |call: &[&str]| {
        let refused = run(folder, call);
        assert_eq!(refused.status.code(), Some(2), "{call:?}");
        let said = error(&refused);
        assert!(said.contains("line 2 is longer than 256 KiB"), "{call:?}: {said}");
        assert!(said.len() < 2000, "{call:?}: {said}");
        said
    };
    for call in [&["weather", "endless.csv"][..], &["log", "endless.csv"]] {
        let said = told(call);
        assert!(said.contains("--> endless.csv:2:1"), "{said}");
        assert!(said.contains("2 | Date (MM/DD/YYYY)"), "{said}");
        assert!(said.contains("export it again, a row a line"), "{said}");
    }
    for weather in ["{tmy3: {file: endless.csv, day: mixed}}", "{csv: endless.csv}"] {
        let text = HALL.replace("{design_day: {high: 18, range: 11}}", weather);
        fs::write(folder.join("logged.yaml"), text).expect("written");
        assert!(told(&["run", "logged.yaml"]).contains("--> logged.yaml:3:"), "{weather}");
    }
}
