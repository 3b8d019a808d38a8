//! What the program promises whoever runs it, with the real binary: nothing is lost without a word,
//! nothing of others is touched, nothing waits for ever.

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

#[cfg(unix)]
#[test]
fn a_run_that_is_ended_leaves_nothing_half_written() {
    let place = place();
    let folder = place.path();
    let long = HALL.replace("step: 10 min", "step: 10 s, days: 300");
    fs::write(folder.join("long.yaml"), long).expect("written");
    for (signal, code) in [("-INT", 130), ("-TERM", 143)] {
        let mut child = command(folder, &["run", "long.yaml", "--out", "long", "--quiet"])
            .spawn()
            .expect("runs");
        let half = folder.join("long/.setband/new-run/steps.csv");
        let patience = Instant::now() + Duration::from_secs(60);
        while !fs::metadata(&half).is_ok_and(|it| it.len() > 100_000) {
            assert!(Instant::now() < patience, "the run does not begin");
            std::thread::sleep(Duration::from_millis(5));
        }
        let sent = Command::new("kill").args([signal, &child.id().to_string()]).status();
        assert!(sent.expect("kill is there").success());
        assert_eq!(child.wait().expect("ended").code(), Some(code));
        assert!(files(&folder.join("long")).is_empty());
        assert!(!folder.join("long/.setband/new-run").exists(), "{signal}");
    }
}

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

/// What is printed and written nowhere else is lost where standard output is closed.
#[cfg(target_os = "linux")]
#[test]
fn output_to_a_closed_descriptor_is_told() {
    let place = place();
    let folder = place.path();
    let through_a_shell = |call: &str, redirection: &str| {
        let line = format!("exec \"$0\" {call} {redirection}");
        let shell = ["-c", &line, env!("CARGO_BIN_EXE_setband")];
        let mut shell_command = Command::new("sh");
        shell_command.args(shell).current_dir(folder).stdin(Stdio::null());
        shell_command.output().expect("a shell")
    };
    for call in [
        "check hall.yaml",
        "run hall.yaml --json --out out",
        "run hall.yaml --at 10:00",
        "schema",
        "init",
        "init -",
        "completions bash",
        "--help",
        "--version",
    ] {
        let lost = through_a_shell(call, ">&-");
        assert_eq!(lost.status.code(), Some(2), "{call}");
        assert!(error(&lost).contains("standard output is closed"), "{call}: {}", error(&lost));
        let unwanted = through_a_shell(call, ">/dev/null");
        assert_eq!(unwanted.status.code(), Some(0), "{call}: {}", error(&unwanted));
    }
    // Nothing is lost where nothing is printed, and where files say the same.
    for call in ["check hall.yaml --quiet", "run hall.yaml --out out", "init new.yaml"] {
        let done = through_a_shell(call, ">&-");
        assert_eq!(done.status.code(), Some(0), "{call}: {}", error(&done));
    }
    assert!(!folder.join("-").exists(), "a dash is standard output");
    let daemon = through_a_shell("check hall.yaml", "<>/dev/null >&0 2>&0");
    assert_eq!(daemon.status.code(), Some(0), "a daemon has nobody to tell");
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
fn a_capacity_out_of_proportion_is_found_and_its_run_refused() {
    let place = place();
    let folder = place.path();
    let strong = HALL.replace("step: 10 min", "step: 1 h").replace("4 kW", "4000 kW");
    fs::write(folder.join("strong.yaml"), strong).expect("written");
    let found = run(folder, &["check", "strong.yaml"]);
    assert_eq!(found.status.code(), Some(0), "{}", error(&found));
    assert!(String::from_utf8_lossy(&found.stdout).contains("capacity-out-of-proportion"));
    for call in
        [&["run", "strong.yaml", "--out", "out"][..], &["compare", "strong.yaml", "--out", "two"]]
    {
        let refused = run(folder, call);
        assert_eq!(refused.status.code(), Some(2), "{call:?}");
        assert!(error(&refused).contains("no building gets there"), "{}", error(&refused));
    }
    assert!(files(&folder.join("out")).is_empty(), "nothing of it is written");
    let swept = run(folder, &["sweep", "strong.yaml", "--grid", "zones.hall.controls.heat=[20]"]);
    assert!(error(&swept).contains("no setting can be run"), "{}", error(&swept));
}

/// Warm for an oven and cold for a freezer, and still possible: that is the first thing said.
#[test]
fn temperatures_that_no_building_has_are_warned_of_first() {
    let place = place();
    let folder = place.path();
    let strong = HALL.replace("step: 10 min", "step: 1 h").replace("4 kW", "44 kW");
    let cold = strong.replace("high: 18, range: 11", "high: 2, range: 8");
    fs::write(folder.join("strong.yaml"), cold).expect("written");
    for (command, first) in [("run", "Warning: hall came to "), ("compare", "Base: Warning: hall")]
    {
        let done = run(folder, &[command, "strong.yaml", "--out", command]);
        assert_eq!(done.status.code(), Some(0), "{command}: {}", error(&done));
        let said = String::from_utf8_lossy(&done.stdout).into_owned();
        assert!(said.starts_with(first), "{command}: {said}");
        assert!(said.replace('\n', " ").contains("hardly that of a building"), "{said}");
    }
    let mild = run(folder, &["run", "hall.yaml", "--out", "mild"]);
    assert!(!String::from_utf8_lossy(&mild.stdout).contains("Warning"));
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

#[test]
fn any_number_of_threads_is_as_good() {
    let place = place();
    let begun = Instant::now();
    let call = ["sweep", "hall.yaml", "--grid", "zones.*.band=0..2:1", "--threads", "99999999"];
    let done = run(place.path(), &[&call[..], &["--quiet"]].concat());
    assert_eq!(done.status.code(), Some(0), "{}", error(&done));
    assert!(begun.elapsed() < Duration::from_secs(40));
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
