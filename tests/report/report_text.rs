//! What a run looks like as CSV, JSON and terminal text.

use crate::report_fake::{Day, Wish, at, library, make, zone};
use setband::control::{LowLimit, Outcome, Power, Request};
use setband::engine::{Entry, ZoneIndex};
use setband::report::{
    StepsWriter, Style, cautions, headline, ledger_csv, run_text, steps_csv, summary_json,
};
use setband::time::Seconds;
use setband::units::TemperatureUnit::Celsius;

const PLAIN: Style = Style { color: false, width: 80 };

fn hourly() -> Day {
    make(Wish { step: Seconds::hours(1), ..library() })
}

fn text(bytes: Vec<u8>) -> String {
    String::from_utf8(bytes).expect("CSV is UTF-8")
}

#[test]
fn steps_have_a_row_for_each_zone_and_step() {
    let day = hourly();
    insta::assert_snapshot!(text(steps_csv(&day.model, &day.rows).expect("written")));
}

#[test]
fn the_ledger_gives_requests_their_asker_and_events_none() {
    let day = make(library());
    insta::assert_snapshot!(text(ledger_csv(&day.model, &day.ledger).expect("written")));
}

#[test]
fn numbers_read_back_the_same_and_zero_has_no_sign() {
    let mut day = hourly();
    day.rows[0].heat_w = -0.0;
    day.rows[0].temperature = 0.1 + 0.2;
    let csv = text(steps_csv(&day.model, &day.rows).expect("written"));
    let first: Vec<&str> = csv.lines().nth(1).expect("a row").split(',').collect();
    assert_eq!(first[14], "0");
    assert_eq!(first[3].parse::<f64>().expect("a number").to_bits(), (0.1_f64 + 0.2).to_bits());
}

#[test]
fn rows_can_be_written_one_by_one() {
    let day = hourly();
    let mut writer = StepsWriter::new(&day.model, Vec::new()).expect("begun");
    for row in &day.rows {
        writer.row(row).expect("written");
    }
    let streamed = writer.finish().expect("ended");
    assert_eq!(streamed, steps_csv(&day.model, &day.rows).expect("written"));
}

#[test]
fn rows_of_unknown_zones_are_an_error_and_not_a_panic() {
    let mut day = hourly();
    day.rows[0].zone = ZoneIndex::new(7);
    assert!(steps_csv(&day.model, &day.rows).is_err());
    day.ledger[0].zone = ZoneIndex::new(7);
    assert!(ledger_csv(&day.model, &day.ledger).is_err());
}

#[test]
fn names_with_commas_and_quotes_survive() {
    let mut day = make(library());
    day.ledger.truncate(1);
    let Entry::Request { asker, .. } = &mut day.ledger[0].entry else { panic!("a request") };
    asker.by = "said \"no\", twice\nand left".into();
    let csv = text(ledger_csv(&day.model, &day.ledger).expect("written"));
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let row = reader.records().next().expect("a row").expect("read");
    assert_eq!(&row[3], "said \"no\", twice\nand left");
}

#[test]
fn the_summary_keeps_the_order_of_zones_and_every_key() {
    let day = make(library());
    let json = summary_json(&day.summary).expect("written");
    let read: serde_json::Value = serde_json::from_str(&json).expect("read");
    let zone = &read["zones"]["reading_room"];
    assert_eq!(zone["requests"]["refused"], 1);
    assert_eq!(read["energy"]["backup_kwh"], 0.0);
    assert!(read["energy"].as_object().expect("an object").contains_key("carbon_kg"));
    assert!(json.ends_with("}\n"));
}

#[test]
fn a_run_reads_as_an_answer() {
    let day = make(library());
    let files = ["out/library/summary.json".to_owned(), "out/library/day.svg".to_owned()];
    insta::assert_snapshot!(run_text(&day.run(), PLAIN, &files));
}

#[test]
fn a_group_of_many_zones_reads_as_a_table() {
    let day = make(super::report_fake::office(64));
    let shown = run_text(&day.run(), PLAIN, &[]);
    let too_wide: Vec<&str> = shown.lines().filter(|line| line.chars().count() > 80).collect();
    assert!(too_wide.is_empty(), "{too_wide:#?}");
    let rows = shown.lines().filter(|line| line.starts_with("Room ")).count();
    assert_eq!(rows, 64);
    insta::assert_snapshot!(shown);
}

#[test]
fn narrow_terminals_are_kept_to() {
    let mut day = make(library());
    day.model.zones[0].label = "The large reading room on the upper floor, east side".into();
    let shown = run_text(&day.run(), PLAIN, &[]);
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
}

#[test]
fn colour_only_where_it_is_wanted_and_names_cannot_smuggle_it_in() {
    let mut day = make(library());
    day.model.zones[0].label = "Reading\u{1b}[31m room".into();
    assert!(!run_text(&day.run(), PLAIN, &[]).contains('\u{1b}'));
    let painted = run_text(&day.run(), Style { color: true, ..PLAIN }, &[]);
    assert!(painted.contains("\u{1b}[33mrefused\u{1b}[0m"), "{painted}");
    assert!(!painted.contains("Reading\u{1b}"));
}

#[test]
fn many_ledger_rows_are_summarised() {
    let day = make(super::report_fake::restless(500));
    let shown = run_text(&day.run(), PLAIN, &[]);
    assert!(shown.lines().count() < 60, "{shown}");
    assert!(shown.contains("The ledger has more:"), "{shown}");
    let limited = day
        .ledger
        .iter()
        .filter(|row| matches!(row.entry, Entry::Request { outcome: Outcome::Limited, .. }));
    assert!(limited.count() > 12, "the case must have more rows than are shown");
}

#[test]
fn a_day_without_events_says_so() {
    let zones = vec![zone("hall", "Hall", Celsius, (17.0, 28.0), 1.0)];
    let day = make(Wish { outdoor: 21.0, swing: 1.0, gains: 0.0, ..Wish::new(zones) });
    let mut summary = day.summary.clone();
    summary.zones[0].1.hours_outside_band = 0.0;
    let run = setband::report::Run { summary: &summary, ..day.run() };
    assert!(headline(&run).starts_with("Nothing stood in the way"), "{}", headline(&run));
}

fn frosty(guarded: bool) -> Day {
    let mut hall = zone("hall", "Hall", Celsius, (20.0, 24.0), 1.0);
    hall.controls.low_limit = guarded.then_some(LowLimit { below: 7.0, until: 8.0 });
    let asks = vec![(at(1, 0), 0, "caretaker", Request::Power(Power::Off))];
    make(Wish { outdoor: -5.0, asks, ..Wish::new(vec![hall]) })
}

#[test]
fn frost_without_a_guard_is_warned_of() {
    let warned =
        |day: &Day| cautions(&day.run()).iter().any(|text| text.starts_with("Freeze risk"));
    assert!(warned(&frosty(false)));
    assert!(!warned(&frosty(true)));
    assert!(!warned(&make(library())), "no frost, no warning");
}

#[test]
fn every_run_says_that_it_is_a_model() {
    let last = cautions(&make(library()).run()).pop().expect("one at least");
    assert!(last.contains("not a test on site"));
}

/// Four months in which somebody presses twenty times a day, and every tenth day asks for a mode
/// that is locked: more rows than a page has.
fn many_presses() -> String {
    let presses = (0..120).flat_map(|day| {
        let of_day = (0..20).map(move |at| {
            let key = if at % 2 == 0 { "warmer" } else { "cooler" };
            format!(
                "  - {{at: \"d{} {:02}:00\", zone: hall, by: visitor, press: {key}}}\n",
                day + 1,
                at + 2
            )
        });
        let asks = (day % 10 == 9).then(|| {
            format!("  - {{at: \"d{} 23:00\", zone: hall, by: guest, mode: fan}}\n", day + 1)
        });
        of_day.chain(asks)
    });
    format!(
        "title: Presses\nperiod: {{from: 2025-01-01, days: 120, step: 30 min}}\n\
         weather: {{design_day: {{high: 12, range: 8}}}}\n\
         zones:\n  hall:\n    space: {{floor: 40 m2}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    \
         controls: {{heat: 20, cool: 22, min_deadband: 2, locked_modes: [fan], limits: {{heat: [17, 20], cool: [22, 24]}}}}\n\
         actions:\n{}",
        presses.collect::<String>()
    )
}

#[test]
fn a_long_ledger_is_told_by_zone_and_cause_through_all_of_its_time() {
    let no_files = |_: &str| Err("no files here".to_owned());
    let study = setband::scenario::read(&many_presses(), "presses.yaml", &no_files);
    let model = study.unwrap_or_else(|it| panic!("{it}")).base;
    let keep = setband::study::Keep::for_charts(&model);
    let finished = setband::study::simulate(&model, keep);
    let shown = keep.shown(model);
    let run = setband::report::Run {
        model: &shown,
        rows: &finished.rows,
        ledger: &finished.ledger,
        summary: &finished.summary,
    };
    assert!(run.ledger.len() > 2000, "{}", run.ledger.len());

    let page = setband::report::run_html(&run, None).expect("a page");
    let ledger = page.split("id=\"ledger\"").nth(1).expect("the ledger");
    let (grouped, rows) = ledger.split_once("<form").expect("groups, then rows");
    let first = grouped.split("<tbody>").nth(1).expect("a table of groups");
    assert!(first.starts_with("<tr><th scope=\"row\">Refused</th>"), "the gravest first: {first}");
    assert!(first.contains(">12<"), "all twelve of them: {first}");
    let rows: Vec<&str> = rows.split("<tr data-zone").skip(1).collect();
    assert!(rows.len() <= 2000, "{}", rows.len());
    for month in ["Jan", "Feb", "Mar", "Apr"] {
        let of_month = rows.iter().filter(|row| row.contains(&format!(" {month} "))).count();
        assert!(of_month > 100, "{of_month} rows of {month}");
    }
    assert_eq!(rows.iter().filter(|row| row.contains("\"refused\"")).count(), 12);

    let text = run_text(&run, PLAIN, &[]);
    let part = text.split("What the ledger shows").nth(1).expect("the ledger");
    let part: Vec<&str> = part.lines().skip(1).take_while(|line| !line.is_empty()).collect();
    assert!(
        part[0].starts_with("  refused") && part[0].contains("12 times from 10 Jan"),
        "{part:#?}"
    );
    assert!(part.len() < 40, "{part:#?}");
}
