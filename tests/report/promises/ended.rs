//! What is ended on its way leaves nothing half written.

use std::fs;
use std::process::{Child, Command};
use std::time::{Duration, Instant};

use super::{HALL, command, files, place};

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
        wait_for(|| fs::metadata(&half).is_ok_and(|it| it.len() > 100_000));
        send(signal, &child);
        assert_eq!(child.wait().expect("ended").code(), Some(code));
        assert!(files(&folder.join("long")).is_empty());
        assert!(!folder.join("long/.setband/new-run").exists(), "{signal}");
    }
}

/// Owners and deadbands take a run each, in memory: nothing of theirs is written before all are done.
#[cfg(unix)]
#[test]
fn a_ranking_that_is_ended_leaves_nothing_at_all() {
    let place = place();
    let folder = place.path();
    let group = "outdoor_unit: {owner: hall, heating: [{outdoor: 0, capacity: 6 kW, cop: 3}], \
                 cooling: [{outdoor: 30, capacity: 6 kW, cop: 3}]}\nzones:\n  store:\n    space: \
                 {floor: 60 m2, start: 20}\n    unit: {heating: 4 kW, cooling: 4 kW}\n    controls: \
                 {heat: 20, cool: 24}\n";
    let long = HALL.replace("step: 10 min", "step: 10 s, days: 300").replace("zones:\n", group);
    fs::write(folder.join("long.yaml"), long).expect("written");
    for (name, signal, code) in
        [("owners", "-INT", 130), ("owners", "-TERM", 143), ("compare", "-INT", 130)]
    {
        let mut child = command(folder, &[name, "long.yaml", "--out", "long", "--quiet"])
            .spawn()
            .expect("runs");
        let staging = folder.join(format!("long/.setband/new-{name}"));
        wait_for(|| staging.is_dir());
        // The first runs are on their way.
        std::thread::sleep(Duration::from_millis(200));
        assert!(child.try_wait().expect("a state").is_none(), "{name} is done already");
        send(signal, &child);
        assert_eq!(child.wait().expect("ended").code(), Some(code), "{name}");
        assert!(files(&folder.join("long")).is_empty(), "{name}");
        assert!(!staging.exists(), "{name}");
    }
}

fn send(signal: &str, to: &Child) {
    let sent = Command::new("kill").args([signal, &to.id().to_string()]).status();
    assert!(sent.expect("kill is there").success());
}

fn wait_for(what: impl Fn() -> bool) {
    let patience = Instant::now() + Duration::from_secs(60);
    while !what() {
        assert!(Instant::now() < patience, "it does not begin");
        std::thread::sleep(Duration::from_millis(5));
    }
}
