//! Holidays and clocks in whole runs: what goes by them and what does not.

use setband::engine::{Entry, Event};
use setband::scenario::{Study, read};
use setband::study::{Finished, Keep, simulate};

/// Five days from Friday, 28 March 2025; clocks go forward on the night to Sunday, 30 March.
fn study(calendar: &str) -> Study {
    let text = format!(
        "period: {{from: 2025-03-28, days: 5, step: 10 min}}
{calendar}
weather: {{design_day: {{high: 14, range: 9}}}}
zones:
  hall:
    space: {{floor: 60 m2}}
    unit: {{heating: 4 kW, cooling: 4 kW}}
    controls:
      heat: 20
      cool: 24
      occupancy: {{from: \"08:00\", to: \"18:00\", days: [mon, tue, wed, thu, fri]}}
      setback: {{heat: 4}}
actions:
  - {{at: \"12:00\", every: weekday, zone: hall, heat: 21}}
  - {{at: \"d3 15:00\", zone: hall, heat: 19}}
"
    );
    let none = |_: &str| Err("this scenario names no files".to_owned());
    read(&text, "hall.yaml", &none).unwrap_or_else(|faults| panic!("{faults}"))
}

fn times(study: &Study, finished: &Finished, wanted: Event) -> Vec<String> {
    let rows = finished.ledger.iter().filter(|row| row.entry == Entry::Event(wanted));
    rows.map(|row| study.base.period.timestamp(row.at)).collect()
}

fn requests(study: &Study, finished: &Finished) -> Vec<String> {
    let rows = finished.ledger.iter().filter(|row| matches!(row.entry, Entry::Request { .. }));
    rows.map(|row| study.base.period.timestamp(row.at)).collect()
}

#[test]
fn schedules_and_actions_go_by_the_clocks_and_files_by_standard_time() {
    let study = study("calendar: {daylight_saving: {from: 2025-03-30, to: 2025-10-26}}");
    let finished = simulate(&study.base, Keep::Steps);
    assert_eq!(
        times(&study, &finished, Event::UnoccupiedUntil),
        ["2025-03-28T08:00:00", "2025-03-31T07:00:00", "2025-04-01T07:00:00"]
    );
    assert_eq!(
        requests(&study, &finished),
        [
            "2025-03-28T12:00:00",
            "2025-03-30T14:00:00",
            "2025-03-31T11:00:00",
            "2025-04-01T11:00:00"
        ]
    );
    assert_eq!(finished.rows.len(), 5 * 144, "no step is left out and none comes twice");
    let said = finished.ledger.iter().find(|row| row.at.day() == 3).expect("Monday has rows");
    assert_eq!(study.base.period.clock(said.at), "d4 08:00");
}

#[test]
fn the_weather_does_not_know_the_clocks() {
    let (with, without) =
        (study("calendar: {daylight_saving: {from: 2025-03-30, to: 2025-10-26}}"), study(""));
    let outdoor = |study: &Study| -> Vec<f64> {
        simulate(&study.base, Keep::Steps).rows.iter().map(|row| row.outdoor).collect()
    };
    assert_eq!(outdoor(&with), outdoor(&without));
}

#[test]
fn a_holiday_is_a_sunday_to_schedules_and_actions() {
    let study = study("calendar: {holidays: [{from: 2025-03-29, to: 2025-03-31}, 2025-12-25]}");
    let finished = simulate(&study.base, Keep::Nothing);
    assert_eq!(
        times(&study, &finished, Event::UnoccupiedUntil),
        ["2025-03-28T08:00:00", "2025-04-01T08:00:00"]
    );
    let asked = requests(&study, &finished);
    assert!(!asked.contains(&"2025-03-31T12:00:00".to_owned()), "{asked:?}");
    assert_eq!(asked.len(), 3);
}
