//! The same bytes for any number of threads and any split.

use std::fs;

use super::{HALL, Place, said};

const CALL: [&str; 6] = [
    "--grid",
    "zones.*.band=0..3:1",
    "--vary",
    "zones.*.controls.sensor.offset=normal(0, 0.3)",
    "--draws",
    "5",
];

#[test]
fn threads_change_no_byte() {
    let place = Place::new(HALL);
    for threads in ["1", "2", "7"] {
        place.sweep(&[&CALL[..], &["--threads", threads, "--out", threads]].concat());
    }
    place.same_files("1", "2");
    place.same_files("1", "7");
}

#[test]
fn shares_joined_are_the_whole() {
    let place = Place::new(HALL);
    place.sweep(&[&CALL[..], &["--minimise", "total_kwh", "--out", "whole"]].concat());
    for part in ["1/3", "2/3", "3/3"] {
        let out = format!("share{}", &part[..1]);
        let goal = ["--minimise", "total_kwh", "--part", part, "--out", &out];
        place.sweep(&[&CALL[..], &goal].concat());
    }
    let merge = |shares: &[&str]| place.run(&[&["merge"], shares, &["--out", "joined"]].concat());
    let lacking = merge(&["share1", "share3"]);
    assert_eq!(lacking.status.code(), Some(2));
    let words = said(&lacking);
    assert!(words.contains("6 of 20 cases") || words.contains("7 of 20 cases"), "{words}");
    assert!(words.contains("share 2 of 3 is not among the folders"), "{words}");
    let joined = merge(&["share3", "share1", "share2"]);
    assert_eq!(joined.status.code(), Some(0), "{}", said(&joined));
    place.same_files("whole", "joined");
}

#[test]
fn shares_of_different_sweeps_are_not_joined() {
    let place = Place::new(HALL);
    place.sweep(&[&CALL[..], &["--part", "1/2", "--out", "one"]].concat());
    place.sweep(&[&CALL[..], &["--seed", "2", "--part", "2/2", "--out", "two"]].concat());
    let joined = place.run(&["merge", "one", "two", "--out", "joined"]);
    assert_eq!(joined.status.code(), Some(2));
    assert!(said(&joined).contains("two is not of the same sweep as one"), "{}", said(&joined));
    assert!(!place.path("joined").exists());
    let nothing = place.run(&["merge", "nowhere", "--out", "joined"]);
    assert!(said(&nothing).contains("cannot be read"), "{}", said(&nothing));
}

/// A sample is the same wherever it is drawn, and lists, ranges and units come through.
#[test]
fn samples_are_settings_like_any_other() {
    let place = Place::new(HALL);
    let call = [
        "--grid",
        "zones.*.gains.power=500..2500 W",
        "--grid",
        "zones.*.unit.control=[staged, modulating]",
        "--latin",
        "6",
    ];
    place.sweep(&[&call[..], &["--threads", "1", "--out", "one"]].concat());
    place.sweep(&[&call[..], &["--threads", "2", "--out", "two"]].concat());
    place.same_files("one", "two");
    let rows = place.table("one/cases.csv");
    let staged = rows.iter().filter(|row| row["zones.*.unit.control"] == "staged").count();
    assert_eq!((rows.len(), staged), (6, 3));
    assert!(rows.iter().all(|row| row["zones.*.gains.power"].ends_with(" W")));
    let text = fs::read_to_string(place.path("one/cases.csv")).expect("text");
    assert!(!text.contains("NaN"));
}

/// People of the file, with what they prefer drawn anew: the same bytes for any number of threads
/// and in shares, and a case without anything drawn but the seed is the run with that seed.
#[test]
fn people_are_the_same_in_any_number_of_threads_and_shares_and_in_a_run() {
    let text = fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/two_tastes.yaml"),
    );
    let text = text.expect("it is shipped").replace("days: 5, step: 1 min", "days: 2, step: 5 min");
    let place = Place::new(&text);
    let call = ["--grid", "zones.*.band=2..3:1", "--draws", "4"];
    let drawn = [&call[..], &["--vary", "people.*.prefers=normal(21, 1)"]].concat();
    for threads in ["1", "2"] {
        place.sweep(&[&drawn[..], &["--threads", threads, "--out", threads]].concat());
    }
    place.same_files("1", "2");
    for part in ["1/2", "2/2"] {
        let out = format!("share{}", &part[..1]);
        place.sweep(&[&drawn[..], &["--part", part, "--out", &out]].concat());
    }
    let joined = place.run(&["merge", "share2", "share1", "--out", "joined"]);
    assert_eq!(joined.status.code(), Some(0), "{}", said(&joined));
    place.same_files("1", "joined");

    place.sweep(&[&call[..], &["--out", "seeds"]].concat());
    let cases = place.table("seeds/cases.csv");
    let case = cases.iter().find(|row| row["zones.*.band"] == "2" && row["draw"] == "2");
    let case = case.expect("the third draw of the first setting");
    // The midpoint lies between two ticks: the odd one goes to cool, so heat is 21.
    let narrow = text.replace("heat: 20.5\n      cool: 23\n", "heat: 21\n      cool: 23\n");
    assert_ne!(narrow, text);
    fs::write(place.path("narrow.yaml"), narrow).expect("written");
    let run = place.run(&["run", "narrow.yaml", "--seed", &case["seed"], "--json", "--out", "run"]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    let summary: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
    assert_eq!(summary["energy"]["total_kwh"].to_string(), case["total_kwh"]);
}
