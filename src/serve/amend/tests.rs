//! Every position of every control of the page, in shipped files: it stands, or a button leads on.

use std::path::Path;

use serde_json::{Value as Json, json};

use super::super::settings::forms;
use super::*;
use crate::direction::Direction;
use crate::plant::UnitControl;
use crate::scenario::load_text;

const FILES: [&str; 5] =
    ["reading_room", "weavers_yard_wrong_owner", "late_setback", "saved_lock", "house_rules"];

struct Shipped {
    asked: Asked,
    companions: Companions,
    fields: Vec<(String, Json)>,
}

fn shipped(name: &str) -> Shipped {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    let file = file.with_extension("yaml");
    let text = load_text(&file).expect("a shipped file");
    let companions = Companions::beside(&file).expect("its folder");
    let asked: Asked =
        serde_json::from_value(json!({ "text": text, "name": name })).expect("a request");
    let (text, study) = asked.study(&companions).expect("a scenario");
    let (zones, groups) = forms(&text, &study.base);
    let (zones, groups) = (json!(zones), json!(groups));
    // Rooms of a file differ little: the first has the settings of all.
    let zone = &zones[0];
    let of_zone = zone["sections"].as_array().into_iter().flatten();
    let of_zone = of_zone.flat_map(|it| it["fields"].as_array().into_iter().flatten());
    let mut fields: Vec<(String, Json)> =
        of_zone.map(|field| (word(&zone["id"]), field.clone())).collect();
    for group in groups.as_array().into_iter().flatten() {
        let own = group["fields"].as_array().into_iter().flatten();
        fields.extend(own.map(|field| (word(&group["id"]), field.clone())));
    }
    Shipped { asked, companions, fields }
}

fn word(value: &Json) -> String {
    value.as_str().expect("a word").to_owned()
}

/// Every position of a control, as the page sends it: the end and the value.
fn positions(field: &Json, every: f64) -> Vec<(usize, Json)> {
    let of = |name: &str| field[name].as_f64().expect("a number");
    let options = || field["options"].as_array().expect("options").iter().map(|it| it[0].clone());
    match field["kind"].as_str().expect("a kind") {
        kind @ ("number" | "minutes" | "span") => {
            let step = of("step");
            let count = ((of("max") - of("min")) / step).round();
            // Minutes are all alike: a few of them tell as much.
            let every = if kind == "minutes" { count / 4.0 } else { every };
            let all =
                (0..=1000).map(|place| f64::from(place) * every).take_while(|it| *it <= count);
            let values: Vec<Json> = all.map(|at| json!(of("min") + at * step)).collect();
            let ends = if kind == "span" { 2 } else { 1 };
            (0..ends).flat_map(|end| values.iter().map(move |it| (end, it.clone()))).collect()
        }
        "choice" => options().map(|it| (0, it)).collect(),
        "several" => {
            let all: Vec<Json> = options().collect();
            let subsets = 1_usize << all.len();
            (0..subsets).map(|set| (0, chosen(&all, set))).collect()
        }
        "list" => vec![(0, field["begins"].clone())],
        "locks" => options().map(|it| (0, json!({ "keys": [it], "in_force": true }))).collect(),
        other => panic!("{other}"),
    }
}

fn chosen(all: &[Json], set: usize) -> Json {
    let has = |(at, _): &(usize, &Json)| set >> at & 1 == 1;
    all.iter().enumerate().filter(has).map(|(_, it)| it.clone()).collect()
}

/// Nothing of the file's keys is told to people.
fn is_plain(words: &str) {
    assert!(!words.contains('_') && !words.contains('`') && !words.is_empty(), "{words}");
}

#[test]
fn positions_of_every_control_stand_or_have_a_button_that_does() {
    let tried = tried(7.0);
    assert!(tried.0 > 300 && tried.1 > 20, "{tried:?}");
}

#[test]
#[ignore = "takes half a minute: `.ci/run` tries all positions, and not one of seven"]
fn every_position_of_every_control_stands_or_has_a_button_that_does() {
    let tried = tried(1.0);
    assert!(tried.0 > 900 && tried.1 > 50, "{tried:?}");
}

/// Tries one of so many positions of each control; how many, and how often something stood against.
fn tried(every: f64) -> (usize, usize) {
    let mut tried = (0, 0);
    for name in FILES {
        let Shipped { asked, companions, fields } = shipped(name);
        for (of, field) in fields {
            for (end, value) in positions(&field, every) {
                let key = word(&field["key"]);
                let moved = Moved {
                    asked: asked.clone(),
                    key,
                    of: vec![of.clone()],
                    end: Some(end),
                    value,
                };
                let what = || format!("{name}: {of} {} {end} {}", moved.key, moved.value);
                let answer = amend(&moved, &companions);
                let answer = answer.unwrap_or_else(|it| panic!("{}: {it:?}", what()));
                tried.0 += 1;
                answer.said.iter().for_each(|said| is_plain(said));
                let Some(Against { why, ways }) = answer.against else { continue };
                tried.1 += 1;
                is_plain(&why);
                assert_eq!(answer.edits, asked.edits, "{}: nothing is changed unasked", what());
                for way in &ways {
                    is_plain(&way.words);
                }
                let leads_on = ways.first().is_some_and(|way| way.edits != asked.edits);
                assert!(leads_on, "{}: {why}", what());
            }
        }
    }
    tried
}

#[test]
fn a_setting_goes_to_all_rooms_at_once() {
    let Shipped { asked, companions, .. } = shipped("dyehouse_32_rooms");
    let (_, study) = asked.study(&companions).expect("a scenario");
    let of: Vec<String> = study.base.zones.iter().map(|zone| zone.id.clone()).collect();
    let no_lower =
        Moved { asked, key: "controls.limits.cool".into(), of, end: Some(0), value: json!(24) };
    let answer = amend(&no_lower, &companions).expect("an answer");
    assert!(answer.against.is_none(), "{answer:?}");
    let after = no_lower.asked.with_edits(answer.edits);
    let (_, study) = after.study(&companions).expect("a scenario");
    for zone in &study.base.zones {
        let settings = &zone.controls.settings;
        let low = settings.rules.written(crate::control::Side::Cool).low;
        assert_eq!(settings.grid.value(low), 24.0, "{}", zone.id);
    }
    assert!(answer.said.iter().any(|said| said.contains("Cool moved from 23 to 24")));
}

/// A change that others lean on goes back with them, and says so.
#[test]
fn what_is_taken_back_leaves_nothing_that_cannot_stand() {
    let Shipped { asked, companions, .. } = shipped("reading_room");
    let of = vec!["reading_room".to_owned()];
    let change = |asked: &Asked, key: &str, end: usize, value: Json| {
        let (asked, key) = (asked.clone(), key.to_owned());
        let moved = Moved { asked, key, of: of.clone(), end: Some(end), value };
        amend(&moved, &companions).expect("an answer")
    };
    let wider = change(&asked, "controls.limits.heat", 1, json!(26));
    let warm = change(&asked.with_edits(wider.edits), "controls.heat", 0, json!(25));
    let both = asked.with_edits(warm.edits);
    let back = change(&both, "controls.limits.heat", 1, Json::Null);
    assert_eq!((back.edits, back.said.len()), (Vec::new(), 1));
    let one = change(&both, "controls.heat", 0, Json::Null);
    assert!(one.said.is_empty() && one.edits.len() < both.edits.len());
    assert!(asked.with_edits(one.edits).study(&companions).is_ok());
}

#[test]
fn what_is_no_setting_of_anybody_is_refused() {
    let Shipped { asked, companions, .. } = shipped("reading_room");
    for (key, of, value) in [
        ("controls.heat", "nobody", json!(20)),
        ("space.floor", "reading_room", json!(20)),
        ("controls.heat", "reading_room", json!("warm")),
        ("controls.mode", "reading_room", json!("boil")),
    ] {
        let (key, of) = (key.to_owned(), vec![of.to_owned()]);
        let moved = Moved { asked: asked.clone(), key, of, end: None, value };
        assert!(amend(&moved, &companions).is_err(), "{moved:?}");
    }
}

fn moved(asked: &Asked, key: &str, of: &str, value: Json) -> Moved {
    Moved { asked: asked.clone(), key: key.into(), of: vec![of.into()], end: None, value }
}

fn of_text(text: &str) -> Asked {
    serde_json::from_value(json!({ "text": text, "name": "rooms" })).expect("a request")
}

/// What the file writes for every zone is there for the page, too, and what a zone gets of its own
/// keeps the rest of it.
#[test]
fn what_stands_under_every_zone_is_seen_and_kept() {
    let text = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
every_zone:
  space: {floor: 30 m2}
  unit: {heating: 3 kW, cooling: 3 kW}
  controls:
    heat: 20
    cool: 24
    occupancy: {from: \"08:00\", to: \"18:00\"}
    controllers: [{id: door, key_locks: {keys: [power], in_force: true}}, {id: desk, primary: true, offset: 0.5}]
    outdoor_limits: {heat_below: 18}
zones: {hall: {}, attic: {}}
";
    let (asked, companions) = (of_text(text), Companions::default());
    let (_, study) = asked.study(&companions).expect("a scenario");
    let form = json!(forms(text, &study.base).0[0]);
    let titles: Vec<Json> = form["sections"]
        .as_array()
        .into_iter()
        .flatten()
        .map(|section| section["title"].clone())
        .collect();
    assert!(titles.contains(&json!("While nobody is there")), "{titles:?}");
    let locks = json!({ "keys": ["mode"], "in_force": true });
    let locked = amend(&moved(&asked, KEYS_LOCKED.path, "hall", locks), &companions);
    let after = asked.with_edits(locked.expect("an answer").edits);
    let (_, study) = after.study(&companions).expect("a scenario");
    let of = |at: usize| study.base.zones[at].controls.settings.controllers.clone();
    let keys = |at: usize, place: usize| of(at).as_slice()[place].key_locks.keys().count();
    assert_eq!(
        (of(0).id(of(0).primary()).to_owned(), of(0).as_slice()[1].offset),
        ("desk".into(), 0.5)
    );
    assert_eq!([keys(0, 0), keys(0, 1), keys(1, 1)], [1, 1, 0], "the door's lock stays");
    // What all zones have is taken away in one of them.
    let key = "controls.outdoor_limits.heat_below";
    let without = amend(&moved(&asked, key, "attic", json!("none")), &companions);
    let after = asked.with_edits(without.expect("an answer").edits);
    let (_, study) = after.study(&companions).expect("a scenario");
    let limit = |at: usize| study.base.zones[at].controls.outdoor_limits.heat_below;
    assert_eq!([limit(0), limit(1)], [Some(18.0), None]);
}

/// What there may be none of comes, is moved, goes, and leaves the file readable each time.
#[test]
fn what_there_may_be_none_of_comes_and_goes() {
    let text = "period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 30 m2}
    unit: {heating: 3 kW, cooling: 3 kW, control: staged}
    controls: {heat: 20, cool: 24, call_start: 0.7, occupancy: {from: \"08:00\", to: \"18:00\"}}
";
    let (mut asked, companions) = (of_text(text), Companions::default());
    let mut to = |key: &str, value: Json| {
        let answer = amend(&moved(&asked, key, "hall", value), &companions).expect("an answer");
        assert!(answer.against.is_none(), "{key}: {answer:?}");
        asked = asked.with_edits(answer.edits);
        let (_, study) = asked.study(&companions).expect("a scenario");
        (study.base.zones[0].clone(), answer.said)
    };
    let (hall, _) = to("controls.call_start.cooling", json!(1.2));
    let starts = hall.controls.thermostat.call_start;
    let both = [Direction::Heating, Direction::Cooling].map(|it| starts.of(it));
    assert_eq!(both, [0.7, 1.2]);
    let (hall, _) = to("controls.call_start.cooling", json!("none"));
    assert_eq!(hall.controls.thermostat.call_start.common(), Some(0.7));
    let (hall, said) = to("controls.return_at", json!(["12:00", "18:00"]));
    let returns = hall.controls.returns.expect("some");
    assert_eq!((returns.at.len(), returns.heat.is_some()), (2, true));
    assert_eq!(said, ["They go back to 20 and 24, as they stand at the start."]);
    let (hall, _) = to("controls.return_to.heat", json!(19));
    let grid = hall.controls.settings.grid;
    assert_eq!(hall.controls.returns.and_then(|it| it.heat), Some(grid.nearest(19.0)));
    assert!(to("controls.return_at", json!("none")).0.controls.returns.is_none());
    let (hall, _) = to("unit.stages", json!(["0.6", "1"]));
    assert!(
        matches!(hall.unit.control, UnitControl::Staged { stages } if stages.shares() == [0.6, 1.0])
    );
    to("unit.stages", json!("none"));
    assert!(to("controls.setback.heat", json!(2)).0.controls.setback.is_some());
    // A staged unit has no integral action to give it.
    let lacking = amend(&moved(&asked, "unit.integral_time", "hall", json!(30)), &companions);
    assert_eq!(lacking.expect("an answer").said, ["1 of 1 have no such setting."]);
}
