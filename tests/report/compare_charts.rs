//! The charts of `setband compare`, and what the deadband changes.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Output;

use serde_json::Value;
use tempfile::TempDir;

use crate::program::setband;

/// Heat 20 and cool 23: the midpoint is 21.5.
const FILE: &str = "title: Two rooms
period: {from: 2025-04-16}
weather: {design_day: {high: 19, range: 11}}
zones:
  parlour:
    label: Parlour
    space: {floor: 40 m2, mass: very_light}
    gains: {from: \"09:00\", to: \"17:00\", power: 900 W}
    unit: {heating: 4 kW, cooling: 4 kW, fan: 40 W, control: staged}
    controls: {heat: 20, cool: 23, sensor: {lag: 4 min}}
  den:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 20, cool: 23}
actions:
  - {at: \"10:00\", zone: parlour, heat: 22.5}
variants:
  same: {}
  wide: {zones.*.controls.min_deadband: 4, zones.*.controls.cool: 25}
";

fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("written");
    }
    folder
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn chart(folder: &Path, name: &str) -> String {
    std::fs::read_to_string(folder.join("out/rooms").join(name)).expect("it was written")
}

/// The groups of a class, each as the text between its tags.
fn groups<'a>(svg: &'a str, class: &str) -> Vec<&'a str> {
    let start = format!("<g class=\"{class}\"");
    svg.split(&start).skip(1).map(|rest| rest.split("</g>").next().unwrap_or_default()).collect()
}

/// The points of the first line of a group, in tenths of a px.
fn points(group: &str) -> Vec<(i64, i64)> {
    let list = group.split("points=\"").nth(1).and_then(|rest| rest.split('"').next());
    let number = |text: &str| text.parse::<i64>().expect("whole tenths of a px");
    let pairs = list.expect("a line").split_whitespace();
    let pairs = pairs.map(|pair| pair.split_once(',').expect("a pair"));
    pairs.map(|(x, y)| (number(x), number(y))).collect()
}

/// The words of a group.
fn words(group: &str) -> Vec<String> {
    let texts = group.split("<text").skip(1).filter_map(|rest| rest.split_once('>'));
    let texts = texts.filter_map(|(_, rest)| rest.split("</text>").next());
    texts.map(|text| text.trim().to_owned()).collect()
}

#[test]
fn overlaid_contenders_share_their_axes() {
    let folder = folder(&[("rooms.yaml", FILE)]);
    setband(folder.path(), &["compare", "rooms.yaml", "-q"]);
    let svg = chart(folder.path(), "overlay.svg");
    // Two zones with the base and the variant that differs; the one that is the same would only
    // hide the base, and its name says so.
    let air: Vec<Vec<(i64, i64)>> = groups(&svg, "room").into_iter().map(points).collect();
    assert_eq!(air.len(), 4);
    assert_ne!(air[0], air[1]);
    assert_ne!(air[2], air[3]);
    // Panels have the same numbers on their scales, at the same distance from each other.
    let scales: Vec<Vec<String>> = groups(&svg, "scale").into_iter().map(words).collect();
    assert_eq!(scales.len(), 2);
    assert!(!scales[0].is_empty() && scales[0] == scales[1], "{scales:?}");
    let names = groups(&svg, "line-labels").into_iter().flat_map(words).collect::<Vec<_>>();
    for name in ["base", "same", "wide"] {
        let found = names.iter().filter(|words| words.starts_with(name)).count();
        assert_eq!(found, 2, "{name} in {names:?}");
    }
    let told = names.iter().filter(|words| *words == "same = base").count();
    assert_eq!(told, 2, "{names:?}");
}

#[test]
fn small_multiples_are_the_same_picture_where_the_settings_are() {
    let folder = folder(&[("rooms.yaml", FILE)]);
    setband(folder.path(), &["compare", "rooms.yaml", "-q"]);
    let svg = chart(folder.path(), "multiples.svg");
    // Row by row, in each the two zones.
    let air: Vec<Vec<(i64, i64)>> = groups(&svg, "room").into_iter().map(points).collect();
    assert_eq!(air.len(), 6);
    for column in 0..2 {
        let (base, same) = (&air[column], &air[2 + column]);
        let down = same[0].1 - base[0].1;
        assert!(down > 0, "the second row lies below the first");
        let moved: Vec<(i64, i64)> = base.iter().map(|(x, y)| (*x, y + down)).collect();
        // Rounding to tenths of a px may differ by one between rows.
        let near = moved
            .iter()
            .zip(same)
            .all(|(one, other)| one.0 == other.0 && (one.1 - other.1).abs() <= 1);
        assert!(near && moved.len() == same.len());
    }
    let heads: Vec<String> = groups(&svg, "contender").into_iter().flat_map(words).collect();
    assert!(["base", "same", "wide"].iter().all(|name| heads.iter().any(|it| it == name)));
}

#[test]
fn bars_say_the_numbers_of_the_differences() {
    let folder = folder(&[("rooms.yaml", FILE)]);
    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let svg = chart(folder.path(), "differences.svg");
    let said: Vec<String> = groups(&svg, "bars").into_iter().flat_map(words).collect();
    // Without prices the first figure is electricity: name and number of each variant.
    let [same, none, wide, number, ..] = said.as_slice() else { panic!("{said:?}") };
    assert_eq!((same.as_str(), none.as_str(), wide.as_str()), ("same", "no difference", "wide"));
    let difference = read["differences"]["wide"]["total_kwh"]["difference"].as_f64();
    let difference = difference.expect("a number");
    let shown: f64 = number
        .replace('−', "-")
        .trim_start_matches('+')
        .split(' ')
        .next()
        .and_then(|number| number.parse().ok())
        .expect("a number");
    assert!(number.contains("kWh") && (shown - difference).abs() < 0.006, "{number}");
}

fn knee(read: &Value) -> BTreeMap<String, Value> {
    let points = read["knee"]["points"].as_array().expect("points");
    points.iter().map(|point| (point["deadband"].to_string(), point.clone())).collect()
}

#[test]
fn a_point_of_the_knee_is_the_run_of_a_file_with_that_band() {
    // A deadband of 3.5 about 21.5: the odd tick goes to cool, so 20 and 23.5. One of 0: 21.5.
    let by_hand = |heat: &str, cool: &str, deadband: &str| {
        let plain = FILE.split("variants:").next().expect("a file");
        let controls = format!("heat: {heat}, cool: {cool}, min_deadband: {deadband}");
        plain.replace("heat: 20, cool: 23", &controls)
    };
    let (odd, none) = (by_hand("20", "23.5", "3.5"), by_hand("21.5", "21.5", "0"));
    let files = [("rooms.yaml", FILE), ("odd.yaml", odd.as_str()), ("none.yaml", none.as_str())];
    let folder = folder(&files);
    let points = knee(&json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"])));
    let deadbands: Vec<&str> = points.keys().map(String::as_str).collect();
    assert_eq!(deadbands, ["0.0", "0.5", "1.0", "1.5", "2.0", "2.5", "3.0", "3.5", "4.0"]);
    for (file, deadband) in [("odd.yaml", "3.5"), ("none.yaml", "0.0")] {
        let run = json(&setband(folder.path(), &["run", file, "--json"]));
        let point = &points[deadband];
        assert_eq!(point["total_kwh"], run["energy"]["total_kwh"], "{file}");
        assert_eq!(point["changeovers"], run["group"]["changeovers"], "{file}");
        assert_eq!(point["opposed_kwh"], run["group"]["opposed_kwh"], "{file}");
    }
}

#[test]
fn the_answer_of_the_knee_is_the_smallest_deadband_after_which_no_opposed_heat_is_left() {
    let folder = folder(&[("rooms.yaml", FILE)]);
    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let points = read["knee"]["points"].as_array().expect("points");
    let opposed: Vec<f64> =
        points.iter().map(|point| point["opposed_kwh"].as_f64().expect("a number")).collect();
    assert!(opposed[0] > 0.1, "with one setpoint the parlour swings: {opposed:?}");
    let last = opposed.iter().rposition(|kwh| *kwh >= 0.000_5).expect("some");
    let smallest = read["knee"]["smallest_without_opposed"].as_f64().expect("it ends");
    assert_eq!(points[last + 1]["deadband"].as_f64(), Some(smallest));
    let text = setband(folder.path(), &["compare", "rooms.yaml"]).stdout;
    let text = String::from_utf8(text).expect("text").replace('\n', " ");
    assert!(text.contains(read["knee"]["answer"].as_str().expect("a sentence")), "{text}");
}

#[test]
fn deadbands_that_the_limits_forbid_are_left_out_and_said() {
    // Heat up to 20.5 at most: bands narrower than 1.5 about 21.5 would need more.
    let narrow = FILE.replacen(
        "heat: 20, cool: 23,",
        "heat: 20, cool: 23, limits: {heat: [17, 20.5], cool: [22, 28]},",
        1,
    );
    let folder = folder(&[("rooms.yaml", &narrow)]);
    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let points = knee(&read);
    let is_left_out = |deadband: &str| points[deadband]["left_out"].is_string();
    assert!(["0.0", "0.5", "1.0", "1.5"].iter().all(|deadband| is_left_out(deadband)));
    assert!(["2.0", "2.5", "4.0"].iter().all(|deadband| !is_left_out(deadband)));
    let answer = read["knee"]["answer"].as_str().expect("a sentence");
    assert!(answer.contains("Left out: 0 to 1.5 °C, the limits of Parlour"), "{answer}");
    assert_eq!(groups(&chart(folder.path(), "knee.svg"), "left-out").len(), 1);
}

#[test]
fn a_file_in_fahrenheit_is_tried_in_its_own_ticks_up_to_four_kelvin() {
    let file = FILE
        .replace("title:", "temperature: F\ntitle:")
        .replace("high: 19, range: 11", "high: 66, range: 20")
        .replace("heat: 20, cool: 23", "heat: 68, cool: 73")
        .replace("heat: 22.5", "heat: 72")
        .replace("cool: 25", "cool: 77");
    let folder = folder(&[("rooms.yaml", &file)]);
    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let deadbands: Vec<f64> = read["knee"]["points"]
        .as_array()
        .expect("points")
        .iter()
        .filter_map(|point| point["deadband"].as_f64())
        .collect();
    // 4 K are 7.2 F.
    assert_eq!(deadbands, [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0]);
    assert!(chart(folder.path(), "knee.svg").contains("deadband, °F"));
}

#[test]
fn the_number_of_threads_changes_no_file_and_no_charts_means_none() {
    let folder = folder(&[("rooms.yaml", FILE)]);
    for threads in ["1", "5"] {
        let call = ["compare", "rooms.yaml", "-q", "--out", threads, "--threads", threads];
        setband(folder.path(), &call);
    }
    let read = |out: &str, name: &str| std::fs::read(folder.path().join(out).join(name));
    let files: Vec<String> = std::fs::read_dir(folder.path().join("1"))
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        // What only the program needs.
        .filter(|name| name != ".setband")
        .collect();
    assert!(files.len() >= 10, "{files:?}");
    for name in &files {
        assert_eq!(read("1", name).expect("read"), read("5", name).expect("read"), "{name}");
        if Path::new(name).extension().is_some_and(|it| it == "png") {
            assert!(read("1", name).expect("read").starts_with(b"\x89PNG"), "{name}");
        }
    }
    let call = ["compare", "rooms.yaml", "--json", "--charts", "none", "--out", "bare"];
    let bare = json(&setband(folder.path(), &call));
    assert_eq!(bare["knee"], Value::Null);
    assert!(read("bare", "overlay.svg").is_err() && read("bare", "compare.json").is_ok());
}
