//! The block of a site's log where people write it: the starter, and the schema that editors check and
//! complete by.

use serde_json::Value;
use setband::scenario::{read_beside, schema, starter};
use setband::units::TemperatureUnit;

use super::site_log::ZONES;

const TABLE: &str = "time,outdoor,studio_air,studio_heat,studio_cool
2025-04-16 08:00,9,21,21,25
2025-04-16 08:05,9,21,21,25
2025-04-16 08:10,9,21,21,25
";

/// A whole block: every key of it.
pub(super) const BLOCK: &str = "\
log:
  file: [week.csv]
  layout: wide
  time: {column: [day, clock], format: \"%d.%m. %H:%M\", year: 2025, clock: local}
  ahead: 3 min
  gap: 1 h
  unit: F
  outdoor: oa
  radiation: ghi
  electricity: [w, {column: kwh, counts: true}]
  zones:
    hall:
      temperature: air
      others: {return: back}
      heat: h
      cool: c
      mode: {column: md, values: {\"1\": heat, \"2\": cool, \"3\": auto}}
      power: {column: run, values: {\"-\": off, \"up and on\": on}}
      running: {column: stg, values: {\"0\": none, \"1\": heating, \"2\": cooling, \"3\": running}}
      output: {column: pct, full: 200}
      coil: pipe
      events: note
      people: head
      occupied: {column: occ, values: {in: yes, out: no}}
";

/// When and where its times and radiation are.
pub(super) const PLACE: &str = "\
calendar: {daylight_saving: {from: 2025-03-30, to: 2025-10-26}}
weather: {site: {latitude: 48, longitude: 8, utc_offset: 1}}
";

fn validator() -> jsonschema::Validator {
    jsonschema::draft202012::new(&schema()).expect("a schema")
}

fn as_json(text: &str) -> Value {
    serde_yaml::from_str(text).unwrap_or_else(|it| panic!("{text}\n{it}"))
}

/// The starter with its block of a log, which stands there as comments, switched on.
fn switched_on(starter: &str) -> String {
    let (mut text, mut within) = (String::new(), false);
    for line in starter.lines() {
        within = line == "# log:" || (within && line.starts_with("# "));
        text += if within { &line[2..] } else { line };
        text.push('\n');
    }
    text
}

#[test]
fn the_starters_block_is_right_as_it_stands_there() {
    for unit in [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit] {
        let text = switched_on(starter(unit));
        assert!(text.contains("\nlog:\n  file: week.csv\n"), "{text}");
        let open = |name: &str| {
            if name == "week.csv" { Ok(TABLE.into()) } else { Err("it is not there".to_owned()) }
        };
        let study = read_beside(&text, "starter.yaml", &open).unwrap_or_else(|it| panic!("{it}"));
        let site = study.base.log.as_deref().expect("it names a log");
        let zone = &site.log.zones[0];
        assert_eq!(site.source.mapping.zones[0].zone, "studio");
        assert_eq!(zone.temperature.readings().count(), 3);
        assert!(zone.heat.is_some() && zone.cool.is_some());
        let errors: Vec<String> =
            validator().iter_errors(&as_json(&text)).map(|it| it.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new());
    }
}

/// What a file says wrong about its log the editor says as well.
#[test]
fn the_schema_and_the_reader_agree_about_the_block() {
    let (validator, all) = (validator(), |_: &str| {
        let names = "day,clock,oa,ghi,w,kwh,air,back,h,c,md,run,stg,pct,pipe,note,head,occ\n";
        let row = "50,300,100,10,68,70,66,75,1,-,0,0,68,,0,out\n";
        let text = format!("{names}16.04.,08:03,{row}16.04.,08:33,{row}");
        Ok(text.into_bytes())
    });
    let whole = format!("{PLACE}{BLOCK}{ZONES}");
    let read = |text: &str| read_beside(text, "hall.yaml", &all);
    if let Err(faults) = read(&whole) {
        panic!("{faults}");
    }
    let errors: Vec<String> =
        validator.iter_errors(&as_json(&whole)).map(|it| it.to_string()).collect();
    assert_eq!(errors, Vec::<String>::new());
    let slips = [
        ("file: [week.csv]", "fil: week.csv"),
        ("layout: wide", "layout: broad"),
        ("clock: local}", "clock: summer}"),
        ("year: 2025", "year: soon"),
        ("ahead: 3 min", "ahead: 3"),
        ("gap: 1 h", "gap: long"),
        ("unit: F", "unit: K"),
        ("counts: true", "counts: perhaps"),
        ("temperature: air", "temprature: air"),
        ("\"3\": auto", "\"3\": warm"),
        ("\"-\": off", "\"-\": standing"),
        ("\"1\": heating", "\"1\": warming"),
        ("full: 200", "full: all"),
        ("in: yes", "in: maybe"),
        ("others: {return: back}", "others: back"),
    ];
    for (right, wrong) in slips {
        let text = whole.replace(right, wrong);
        assert_ne!(text, whole, "{right}");
        assert!(read(&text).is_err(), "the reader takes `{wrong}`");
        assert!(!validator.is_valid(&as_json(&text)), "the schema takes `{wrong}`");
    }
}

/// Who asks an editor about any key of the block is told what it is for.
#[test]
fn each_key_of_the_block_is_explained_to_editors() {
    let schema = schema();
    let blocks = schema["$defs"].as_object().expect("blocks");
    let mut count = 0;
    for (name, block) in blocks.iter().filter(|(name, _)| name.starts_with("log")) {
        for (key, value) in block["properties"].as_object().expect("keys") {
            let words = value["description"].as_str().unwrap_or_default();
            assert!(words.len() > 10, "{name}.{key}: {words:?}");
            count += 1;
        }
    }
    assert!(count > 30, "{count} keys");
}
