//! No answer stands on temperatures that cannot be.

use std::fs;

use super::{HALL, error, files, place, run};

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
    let grid = ["--restart", "--grid", "zones.hall.controls.heat=[19, 20, 21]"];
    for (command, more, first) in [
        ("run", &[][..], "Warning: hall came to "),
        ("compare", &[], "Base: Warning: hall"),
        ("sweep", &grid, "Hall heat 19: Warning: hall came to "),
        ("sweep", &grid[..1], "The file as written: Warning: hall came to "),
    ] {
        let call = ["strong.yaml", "--out", command];
        let done = run(folder, &[&[command][..], &call, more].concat());
        assert_eq!(done.status.code(), Some(0), "{command}: {}", error(&done));
        let said = String::from_utf8_lossy(&done.stdout).into_owned();
        assert!(said.starts_with(first), "{command}: {said}");
        assert!(said.replace('\n', " ").contains("hardly that of a building"), "{said}");
    }
    let mild = run(folder, &["run", "hall.yaml", "--out", "mild"]);
    assert!(!String::from_utf8_lossy(&mild.stdout).contains("Warning"));
}

/// Two rooms on one unit, the first far too strong for its hour.
fn group(capacity: &str) -> String {
    format!(
        "title: Two rooms\nperiod: {{from: 2025-01-16, step: 1 h}}\nweather: {{design_day: {{high: \
         2, range: 8}}}}\noutdoor_unit: {{owner: hall, heating: [{{outdoor: 0, capacity: \
         {capacity}, cop: 3}}], cooling: [{{outdoor: 30, capacity: {capacity}, cop: 3}}]}}\nzones:\n  \
         hall:\n    space: {{floor: 60 m2, start: 20}}\n    unit: {{heating: {capacity}, cooling: \
         {capacity}}}\n    controls: {{heat: 20, cool: 24}}\n  store:\n    space: {{floor: 60 m2, \
         start: 20}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    controls: {{heat: 20, cool: \
         24}}\nvariants:\n  wide: {{zones.*.controls.min_deadband: 4}}\n"
    )
}

#[test]
fn owners_and_deadbands_are_not_ranked_by_what_no_building_has_without_a_warning() {
    let place = place();
    let folder = place.path();
    fs::write(folder.join("strong.yaml"), group("60 kW")).expect("written");
    let ranked = run(folder, &["owners", "strong.yaml", "--out", "owners"]);
    assert_eq!(ranked.status.code(), Some(0), "{}", error(&ranked));
    let said = String::from_utf8_lossy(&ranked.stdout).into_owned();
    assert!(said.starts_with("Decided by "), "{said}");
    let first = said.split("capacity").next().unwrap_or_default();
    assert!(first.contains(": Warning: hall came to "), "{said}");
    let compared = run(folder, &["compare", "strong.yaml", "--out", "compare", "--json"]);
    assert_eq!(compared.status.code(), Some(0), "{}", error(&compared));
    let json: serde_json::Value = serde_json::from_slice(&compared.stdout).expect("JSON");
    let knee = json["knee"]["answer"].as_str().expect("a sentence");
    assert!(knee.starts_with("A deadband of 0 °C: Warning: hall came to "), "{knee}");

    fs::write(folder.join("absurd.yaml"), group("4000 kW")).expect("written");
    let refused = run(folder, &["owners", "absurd.yaml", "--out", "absurd"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(error(&refused).contains("no building gets there"), "{}", error(&refused));
    assert!(files(&folder.join("absurd")).is_empty(), "nothing of it is written");
}
