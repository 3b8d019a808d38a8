//! What an audit says: few of a kind in full, how strong the evidence is, what cannot be told apart, and
//! how starts are spread over the hours.

use std::fmt::Write as _;

use setband::report::{Audited, Style, audit_html, audit_json, audit_text};
use setband::study::audit::{Audit, LogFinding, audit};

use super::kinds::has;
use super::maker::{Case, LOG, audited, read};

/// Seven rooms whose setpoints all stand too close.
#[test]
fn three_of_a_kind_are_told_in_full_and_the_rest_is_a_count() {
    let (mut block, mut zones, mut head, mut cells) =
        (String::new(), String::new(), "time".to_owned(), String::new());
    for place in 1..=7 {
        let _ = write!(
            block,
            "room{place}: {{temperature: a{place}, heat: h{place}, cool: c{place}}}, "
        );
        let _ = writeln!(
            zones,
            "  room{place}: {{label: Cell {place}, space: {{floor: 20 m2}}, unit: {{heating: 2 kW, cooling: 2 \
             kW}}, controls: {{heat: 20, cool: 24, min_deadband: 3}}}}"
        );
        let _ = write!(head, ",a{place},h{place},c{place}");
        cells += ",20.5,20,21";
    }
    let text = format!(
        "weather: {{design_day: {{high: 12, range: 6}}}}\nlog: {{file: day.csv, zones: {{{block}}}}}\nzones:\n{zones}"
    );
    let mut log = head + "\n";
    for row in 0..12 {
        let _ = writeln!(log, "2025-04-16 08:{:02}{cells}", 5 * row);
    }
    let model = read(&text, log.as_bytes());
    let site = model.log.clone().expect("there is one");
    let found = audit(&model, &site);
    let narrow = found.findings.iter().filter(|it| it.code == "band_too_narrow").count();
    assert_eq!(narrow, 7);
    let audited = Audited { model: &model, site: &site, audit: &found };
    let said = audit_text(&audited, Style { color: false, width: 200 }, &[]);
    assert_eq!(said.matches("contradiction[band_too_narrow]").count(), 3, "{said}");
    let rest = "4 more of band_too_narrow: Cell 4, Cell 5, Cell 6, Cell 7.";
    assert!(said.contains(rest), "{said}");
    let page = audit_html(&audited).expect("drawn");
    assert_eq!(page.matches("(band_too_narrow)").count(), 3);
    assert!(page.contains(rest));
    // Programs get all.
    let json = audit_json(&audited).expect("plain values");
    assert_eq!(json.matches("\"band_too_narrow\"").count(), 7);
}

fn told<'a>(audit: &'a Audit, code: &str) -> &'a LogFinding {
    has(audit, code).unwrap_or_else(|| panic!("{code}: {:#?}", audit.findings))
}

/// Evidence has a word and a number: for a clock, for labels, for thresholds.
#[test]
fn strength_is_told_in_words_and_numbers() {
    let case = Case { by_change: false, missing: 0.0, every: 1, ..Case::random(7, 4) };
    let clean = case.record(&case.rows());
    let mut late = clean.clone();
    late.readings.iter_mut().for_each(|it| it.at = it.at + 3600);
    let mut turned = clean.clone();
    for it in &mut turned.readings {
        it.running = match it.running {
            "heating" => "cooling",
            "cooling" => "heating",
            other => other,
        };
    }
    let other = Case { call_start: case.call_start + 1.5, ..case.clone() };
    for (code, audit) in [
        ("clock_off", audited(&case, LOG, &late)),
        ("labels_swapped", audited(&case, LOG, &turned)),
        ("hysteresis_differs", audited(&other, LOG, &clean)),
    ] {
        let found = told(&audit, code);
        let words = ["as good as certain", "strong evidence", "clear evidence"];
        assert!(words.iter().any(|word| found.message.contains(word)), "{}", found.message);
        assert!(found.message.contains("by chance"), "{}", found.message);
        assert!(found.message.contains("probability"), "{}", found.message);
    }
    // A faultless week claims no such thing.
    let fits = audited(&case, LOG, &clean);
    let fits = told(&fits, "hysteresis_differs");
    assert!(fits.message.contains("no proof of another threshold"), "{}", fits.message);
}

/// A day has two edges of the schedule: an hour late, and nobody can say whether that was the clock.
#[test]
fn a_clock_that_only_one_day_speaks_of_is_said_not_to_be_told() {
    let case = Case { by_change: false, missing: 0.0, ..Case::random(7, 1) };
    let mut log = case.record(&case.rows());
    let clean = audited(&case, LOG, &log);
    assert!(!clean.cannot_say.iter().any(|it| it.setting == "log.ahead"));
    log.readings.iter_mut().for_each(|it| it.at = it.at + 3600);
    let late = audited(&case, LOG, &log);
    assert!(has(&late, "clock_off").is_none());
    let silent = late.cannot_say.iter().find(|it| it.setting == "log.ahead").expect("it is said");
    for part in ["only twice", "60 min late", "can't be told from", "4 edges would tell"] {
        assert!(silent.why.contains(part), "{}", silent.why);
    }
}

/// Every finding about switching says how starts are spread and over how many hours.
#[test]
fn findings_about_switching_tell_the_starts_of_hours() {
    let case = Case { by_change: false, missing: 0.0, every: 1, ..Case::random(7, 3) };
    let mut log = case.record(&case.rows());
    let from = log.readings.len() / 2;
    for (place, it) in log.readings[from..from + 120].iter_mut().enumerate() {
        it.running = if (place / 2).is_multiple_of(2) { "heating" } else { "none" };
    }
    let timers = Case { min_on: 60, min_off: 45, ..case };
    let found = audited(&timers, LOG, &log);
    for code in ["hysteresis_differs", "min_on_broken", "min_off_broken", "short_cycling"] {
        let it = told(&found, code);
        let values = &it.values["starts_an_hour"];
        // Three days of minutes.
        assert_eq!(values["hours"], 72, "{}", it.message);
        let of = |key: &str| values[key].as_u64().expect("a count");
        assert!(of("half") <= of("nine_tenths") && of("nine_tenths") <= of("most"), "{values}");
        assert!(of("most") >= 14, "{values}");
        assert!(it.message.contains("in half of 72 whole hours"), "{}", it.message);
    }
}
