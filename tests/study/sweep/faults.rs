//! Calls that are wrong.

use super::{HALL, Place, said};

#[test]
fn a_path_that_leads_nowhere_names_the_nearest() {
    let place = Place::new(HALL);
    let key = place.refused(&["--grid", "zones.*.controls.min_deadbnd=0..2:1"]);
    assert!(key.contains("leads nowhere") && key.contains("min_deadband"), "{key}");
    let zone = place.refused(&["--grid", "zones.hal.band=0..2:1"]);
    assert!(zone.contains("no zone `hal`") && zone.contains("`hall`"), "{zone}");
    let vary = place.refused(&["--vary", "wether.humidity=40..60"]);
    assert!(vary.contains("weather"), "{vary}");
    assert!(!place.path("out").exists(), "nothing is left behind");
}

#[test]
fn ranges_and_counts_that_mean_nothing_are_refused() {
    let place = Place::new(HALL);
    for (call, words) in [
        (&["--grid", "zones.*.band=4..0:1"][..], "down to"),
        (&["--grid", "zones.*.band=0..4:0"], "leads nowhere"),
        (&["--grid", "zones.*.band=0..4"], "has no step"),
        (&["--grid", "zones.*.band"], "has no `=`"),
        (&["--grid", "zones.*.band=[]"], "empty"),
        (&["--grid", "zones.*.band=1", "--grid", "zones.*.band=2"], "given twice"),
        (&["--grid", "seed=1..9:1"], "each draw has one of its own"),
        (&["--draws", "0"], "no draws"),
        (&["--latin", "5"], "nothing to sample"),
        (&["--grid", "zones.*.band=0..4", "--latin", "0"], "no samples"),
        (&["--vary", "zones.*.band=normal(0)"], "no normal distribution"),
        (&["--minimise", "coast"], "did you mean `cost`"),
        (&["--at-most", "cost"], "no bound"),
        (&["--part", "5/4"], "3/16"),
        (&["--grid", "title=a: b: c"], "no value"),
    ] {
        let said = place.refused(call);
        assert!(said.contains(words), "{call:?}: {said}");
    }
    assert!(!place.path("out").exists(), "nothing is left behind");
}

#[test]
fn a_thousand_million_cases_are_refused_in_a_sentence() {
    let place = Place::new(HALL);
    let thousand = |path: &str| format!("{path}=1..1000:1");
    let words = place.refused(&[
        "--grid",
        &thousand("zones.hall.comfort.clo"),
        "--grid",
        &thousand("zones.hall.comfort.met"),
        "--draws",
        "1000",
    ]);
    assert!(words.contains("these are 1,000,000,000 cases, more than 1,000,000"), "{words}");
    assert!(words.contains("--latin"), "{words}");
}

#[test]
fn where_no_setting_can_be_run_the_first_reason_is_said() {
    let place = Place::new(HALL);
    let output = place.run(&["sweep", "hall.yaml", "--grid", "zones.*.controls.heat=[24, 25]"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        said(&output).contains("no setting can be run: zones.hall.controls"),
        "{}",
        said(&output)
    );
}

#[test]
fn a_scenario_with_faults_shows_them_all() {
    let faulty = HALL.replace("60 m2", "60").replace("heat: 20,", "heat: 20.3,");
    let words = Place::new(&faulty).refused(&["--grid", "zones.*.band=1"]);
    assert!(words.contains("hall.yaml:6:") && words.contains("hall.yaml:9:"), "{words}");
}
