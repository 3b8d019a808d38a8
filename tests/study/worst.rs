//! `setband worst`: what it prints and writes, how it ends, and that what it finds replays.

use std::fs;
use std::process::{Command, Output};

use serde_json::Value as Json;
use tempfile::TempDir;

/// Two rooms that only heat, a wall between them, and a key that is locked at one.
const ROOMS: &str = "temperature: C
period: {from: 2025-01-14, step: 600 s}
weather: {design_day: {high: 6, range: 8}}
zones:
  shed:
    label: Shed
    space: {floor: 20 m2, neighbours: {store: 10 W/K}, open_window: 4 /h}
    unit: {heating: 2 kW, modes: [heat, fan], control: staged}
    controls: {heat: 18, cool: 24, mode: heat}
  store:
    label: Store
    space: {floor: 30 m2}
    unit: {heating: 3 kW, modes: [heat, fan], control: staged}
    controls:
      heat: 17
      cool: 24
      mode: heat
      controllers: [{id: wall, primary: true, key_locks: {keys: [power, mode, setpoint], in_force: true}}]
";

struct Rooms(TempDir);

impl Rooms {
    fn new(text: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("rooms.yaml"), text).expect("written");
        Self(folder)
    }

    fn call(&self, command: &str, file: &str, arguments: &str) -> Output {
        Command::new(env!("CARGO_BIN_EXE_setband"))
            .current_dir(self.0.path())
            .args([command, file])
            .args(arguments.split(' ').filter(|it| !it.is_empty()).map(|it| it.replace('_', " ")))
            .output()
            .expect("it runs")
    }

    fn worst(&self, arguments: &str) -> Output {
        self.call("worst", "rooms.yaml", arguments)
    }

    fn json(&self, arguments: &str) -> Json {
        let output = self.worst(&format!("--json --for 3_h --no-remedies {arguments}"));
        let complaint = String::from_utf8_lossy(&output.stderr);
        serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{complaint}"))
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }
}

fn bound(json: &Json, zone: &str, end: &str) -> f64 {
    json["zones"][zone][end]["bound"].as_f64().expect("a bound")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

#[test]
fn what_is_printed_reads_as_an_answer() {
    let rooms = Rooms::new(ROOMS);
    let output = rooms.worst("--for 3_h --coldest -4 --at-least 16 --zone shed --out worst");
    assert_eq!(output.status.code(), Some(1));
    insta::assert_snapshot!(text(&output));
}

#[test]
fn a_bound_that_is_asked_for_ends_well_only_where_it_is_proved() {
    let rooms = Rooms::new(ROOMS);
    let lowest = bound(&rooms.json(""), "shed", "lowest");
    for (asked, code) in [(lowest - 0.5, 0), (lowest + 0.5, 1)] {
        let asked = format!("--for 3_h --no-remedies --zone shed --at-least {asked:.2}");
        assert_eq!(rooms.worst(&asked).status.code(), Some(code), "{asked}");
    }
    let highest = bound(&rooms.json(""), "shed", "highest");
    for (asked, code) in [(highest + 0.5, 0), (highest - 0.5, 1)] {
        let asked = format!("--for 3_h --no-remedies --zone shed --at-most {asked:.2}");
        let output = rooms.worst(&asked);
        assert_eq!(output.status.code(), Some(code), "{asked}");
        let said = if code == 0 { "Proved: every room stays" } else { "Not proved:" };
        assert!(text(&output).contains(said), "{}", text(&output));
    }
}

#[test]
fn json_has_both_ends_of_every_zone_and_its_remedies() {
    let rooms = Rooms::new(ROOMS);
    let output = rooms.worst("--json --for 3_h --coldest -12 --zone shed");
    let json: Json = serde_json::from_slice(&output.stdout).expect("JSON");
    let zones = json["zones"].as_object().expect("zones");
    assert_eq!(zones.keys().collect::<Vec<_>>(), ["shed"]);
    for end in ["lowest", "highest"] {
        let end = zones["shed"][end].as_object().expect("an end");
        for key in ["bound", "found", "after_hours"] {
            assert!(end[key].is_number(), "{key}: {end:?}");
        }
        let scenario = end["scenario"].as_str().expect("a file");
        assert!(rooms.path("out/rooms").join(scenario).is_file(), "{scenario}");
        assert!(end["presses"].as_array().is_some_and(|it| it.iter().all(Json::is_object)));
    }
    let remedies = zones["shed"]["remedies"].as_array().expect("remedies");
    let locked = remedies.iter().find(|it| it["change"] == "locking power, mode and setpoint");
    let lowest = zones["shed"]["lowest"]["bound"].as_f64().expect("a bound");
    let locked = locked.expect("it helps")["bound"].as_f64().expect("a bound");
    assert!(locked > lowest, "{locked} {lowest}");
}

#[test]
fn what_was_found_replays_to_the_same_figure() {
    let rooms = Rooms::new(ROOMS);
    let json = rooms.json("--coldest -4 --outage 1_h");
    for zone in ["shed", "store"] {
        for (end, key) in [("lowest", "min"), ("highest", "max")] {
            let found = &json["zones"][zone][end];
            let file = format!("out/rooms/{}", found["scenario"].as_str().expect("a file"));
            let run = rooms.call("run", &file, "--json --steps none --out replay");
            let run: Json = serde_json::from_slice(&run.stdout).expect("JSON");
            let replayed = run["zones"][zone]["temperature"][key].as_f64().expect("a figure");
            // The run goes on to midnight, after what was asked for.
            let air = found["found"].as_f64().expect("found");
            let worse = if end == "lowest" { replayed - air } else { air - replayed };
            assert!(worse <= 0.01, "{zone} {end}: {replayed} {air}");
        }
    }
}

#[test]
fn each_option_does_what_it_says() {
    let rooms = Rooms::new(ROOMS);
    let plain = bound(&rooms.json("--coldest -2"), "store", "lowest");
    let shed = bound(&rooms.json("--coldest -2"), "shed", "lowest");
    let colder = bound(&rooms.json("--coldest -12"), "shed", "lowest");
    assert!(colder < shed - 0.4, "{colder} {shed}");
    let dark = bound(&rooms.json("--coldest -2 --outage 2_h"), "store", "lowest");
    assert!(dark < plain - 0.5, "{dark} {plain}");
    let open = bound(&rooms.json("--coldest -2 --windows"), "shed", "lowest");
    assert!(open < shed - 0.5, "{open} {shed}");
    let from = rooms.json("--coldest -2 --from 16");
    assert!((13.0..=16.0).contains(&bound(&from, "store", "lowest")), "{from}");
    let output = rooms.worst("--json --for 1_h --no-remedies --coldest -2 --zone shed");
    let brief: Json = serde_json::from_slice(&output.stdout).expect("JSON");
    assert!(bound(&brief, "shed", "lowest") > shed, "{brief} {shed}");
    assert_eq!(brief["for_hours"], 1.0);
}

/// Twenty rooms of a fit: a bound is kept by all but the worst of them, and needs no more of it.
#[test]
fn a_fits_draws_are_bounded_but_for_one_in_twenty() {
    let rooms = Rooms::new(ROOMS);
    fs::write(rooms.path("fitted.yaml"), ROOMS).expect("written");
    let write = |draws: &[&str]| {
        let rows = draws.iter().enumerate().map(|(at, value)| format!("{},{value}\n", at + 1));
        let table = format!("draw,zones.shed.space.opaque\n{}", rows.collect::<String>());
        fs::write(rooms.path("draws.csv"), table).expect("written");
    };
    let with = |draws: &[&str]| {
        write(draws);
        let json = rooms.json("--coldest -4 --zone shed --with fitted.yaml");
        assert_eq!(json["draws"], draws.len());
        bound(&json, "shed", "lowest")
    };
    let usual = with(&["20 W/K"]);
    let mut draws = ["20 W/K"; 20];
    draws[7] = "400 W/K";
    assert!((with(&draws) - usual).abs() < 1e-9);
    let colder = with(&draws[5..10]);
    assert!(colder < usual - 2.0, "{colder} {usual}");
    // What would help is bounded over the draws as well: none of so few is left out.
    let locked = |draws: &[&str]| -> [f64; 2] {
        write(draws);
        let output = rooms.worst("--json --for 1_h --coldest -4 --zone shed --with fitted.yaml");
        let json: Json = serde_json::from_slice(&output.stdout).expect("an answer");
        let remedies = json["zones"]["shed"]["remedies"].as_array().expect("remedies").clone();
        let change = "locking power, mode and setpoint";
        ["lowest", "highest"].map(|end| {
            let told = remedies.iter().find(|it| it["change"] == change && it["of"] == end);
            told.and_then(|it| it["bound"].as_f64()).expect("it helps")
        })
    };
    let (one, other) = (locked(&["20 W/K"]), locked(&["30 W/K"]));
    assert!(one[0] > other[0] + 0.01, "{one:?} {other:?}");
    let worst = [one[0].min(other[0]), one[1].max(other[1])];
    assert_eq!(locked(&["20 W/K", "30 W/K"]), worst);
    fs::remove_file(rooms.path("draws.csv")).expect("removed");
    let output = rooms.worst("--with fitted.yaml");
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{complaint}");
    assert!(complaint.contains("there is no draws.csv beside fitted.yaml"), "{complaint}");
}

#[test]
fn fahrenheit_is_the_files_unit_everywhere() {
    let celsius = Rooms::new(ROOMS).json("--coldest -4 --hottest 6");
    let text_f = ROOMS
        .replace("temperature: C", "temperature: F")
        .replace("{high: 6, range: 8}", "{high: 42.8, range: 14.4}")
        .replace(
            "heat: 18, cool: 24,",
            "heat: 64, cool: 75, call_start: 0.9, limits: {heat: [50, 86], cool: [60, 95]}, ",
        )
        .replace("heat: 17", "call_start: 0.9\n      heat: 63")
        .replace("      cool: 24\n", "      cool: 75\n");
    let rooms = Rooms::new(&text_f);
    let fahrenheit = rooms.json("--coldest 24.8 --hottest 42.8");
    let expected = bound(&celsius, "shed", "lowest") * 1.8 + 32.0;
    let lowest = bound(&fahrenheit, "shed", "lowest");
    assert!((lowest - expected).abs() < 1.0, "{lowest} {expected}");
    let words = text(&rooms.worst("--for 1_h --coldest 24.8 --no-remedies --zone shed"));
    assert!(words.contains("°F") && !words.contains("°C"), "{words}");
}

#[test]
fn wrong_calls_end_with_2_and_say_what_would_be_right() {
    let rooms = Rooms::new(ROOMS);
    for (arguments, said) in [
        ("--coldest 5 --hottest 0", "give --coldest below --hottest"),
        ("--zone attic", "shed"),
        ("--for soon", "write for example \"72 h\""),
        ("--for 5_s", "between a minute and 366 days"),
    ] {
        let output = rooms.worst(arguments);
        let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments}: {complaint}");
        assert!(complaint.contains(said), "{arguments}: {complaint}");
        assert!(output.stdout.is_empty(), "{arguments}");
    }
    let failing = format!("{ROOMS}actions: [{{at: \"10:00\", zone: shed, power_failure: 1 h}}]\n");
    let output = Rooms::new(&failing).worst("");
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{complaint}");
    assert!(complaint.contains("give --outage"), "{complaint}");
}
