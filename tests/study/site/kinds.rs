//! Findings about drift, groups and service: each planted in random weeks and found there, and not
//! found in the same weeks without it. And: which of all codes is shown where.
#![expect(clippy::print_stderr, reason = "how many of a hundred were found is worth reading")]
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places of short lists"
)]

use std::fmt::Write as _;

use setband::engine::StepRow;
use setband::log::LogTime;
use setband::study::audit::{Audit, CODES, LogFinding, audit};
use setband::study::{Keep, simulate};

use super::audits::rounds;
use super::maker::{Case, Dice, LOG, Recorded, audited, read};

/// A case with what was recorded of it.
type Made = (Case, Recorded);

pub(crate) fn has<'a>(audit: &'a Audit, code: &str) -> Option<&'a LogFinding> {
    audit.findings.iter().find(|it| it.code == code)
}

/// Counts in how many rounds a plant is found, and in how many the same week without it has the code.
pub(crate) fn counted(code: &str, made: impl Fn(u64) -> (Audit, Audit)) {
    let (mut missed, mut alarms) = (Vec::new(), Vec::new());
    for seed in 0..rounds() {
        let (with, without) = made(seed * 6151 + 3);
        if has(&with, code).is_none() {
            missed.push(seed);
        }
        if let Some(alarm) = has(&without, code) {
            alarms.push((seed, alarm.message.clone()));
        }
    }
    let (tries, most) = (rounds(), (rounds() / 20).max(1));
    eprintln!(
        "{code}: found in {} of {tries}, false alarms {}",
        tries - missed.len() as u64,
        alarms.len()
    );
    assert!(missed.len() as u64 <= most, "{code}: missed in rounds {missed:?}");
    assert!(alarms.len() as u64 <= most, "{code}: {alarms:?}");
}

/// The same for a plant into a simulated week of one zone.
fn planted(
    code: &str,
    days: u32,
    sound: impl Fn(&mut Case),
    plant: impl Fn(&mut Dice, &Made) -> Made,
) {
    counted(code, |seed| {
        let mut case = Case::random(seed, days);
        sound(&mut case);
        let log = case.record(&case.rows());
        let whole: Made = (case, log);
        let without = audited(&whole.0, LOG, &whole.1);
        let (case, log) = plant(&mut Dice(seed ^ 0x51), &whole);
        (audited(&case, LOG, &log), without)
    });
}

fn step(case: &Case) -> f64 {
    if case.fahrenheit { 1.0 } else { 0.5 }
}

/// A panel in the other unit writes the setpoint back a little higher each day.
#[test]
fn a_setpoint_that_creeps_is_found() {
    planted(
        "creep",
        6,
        |_| {},
        |dice, (case, log)| {
            let mut log = log.clone();
            let by = step(case) * dice.pick(&[0.2, 0.4]);
            let hour = dice.pick(&[10, 13, 16]);
            let first = log.readings[0].at.date();
            for it in &mut log.readings {
                let days = it.at.date().duration_since(first).as_secs() / 86_400;
                let past = it.at.second_of_day() >= hour * 3600;
                it.heat += by * (days + i64::from(past)) as f64;
            }
            (case.clone(), log)
        },
    );
}

/// Each morning somebody asks for more heat than the day before and sets it back two hours later: under
/// `push` cool stays where it was pushed.
fn ratcheted(dice: &mut Dice, case: &Case, every_day_at_one_minute: bool) -> Made {
    let (heat, by) = (case.heat, step(case));
    let mut actions = Vec::new();
    for day in 1..=5_u32 {
        let other = 11 * day + u32::from(dice.part() < 0.5);
        let minute = case.open + if every_day_at_one_minute { 45 } else { 30 + other };
        let clock = |minute: u32| format!("d{day} {:02}:{:02}", minute / 60, minute % 60);
        let to = heat + by * f64::from(day);
        for (minute, to) in [(minute, to), (minute + 120, heat)] {
            let at = clock(minute);
            actions.push(format!("  - {{at: \"{at}\", zone: hall, by: opener, heat: {to}}}"));
        }
    }
    let case = Case { on_conflict: "push", actions, days: 5, ..case.clone() };
    let log = case.record(&case.rows());
    (case, log)
}

/// Under `push` guests who press to and fro drive the two apart as well.
fn push_comes_back(case: &mut Case) {
    if case.on_conflict == "push" {
        case.on_conflict = ["push_and_return", "hold"][(case.seed % 2) as usize];
    }
}

#[test]
fn a_ratchet_is_found() {
    planted("ratchet", 5, push_comes_back, |dice, (case, _)| ratcheted(dice, case, false));
}

/// Whether a habit or a clock does it is left open; that it does it is told.
#[test]
fn a_ratchet_at_the_same_minute_each_day_is_found() {
    planted("ratchet", 5, push_comes_back, |dice, (case, _)| ratcheted(dice, case, true));
    let mut case = Case::random(7, 5);
    push_comes_back(&mut case);
    let (case, log) = ratcheted(&mut Dice(7), &case, true);
    let audit = audited(&case, LOG, &log);
    let found = has(&audit, "ratchet").expect("it is planted");
    assert!(found.message.contains("somebody's habit, or a clock"), "{}", found.message);
    assert!(found.values["at_same_minute"].as_u64() >= Some(2), "{:?}", found.values);
}

/// A clock that sets both sides anew each morning, which guests move about, leaves nothing behind.
#[test]
fn a_clock_that_sets_temperatures_is_no_ratchet() {
    let mut wrong = Vec::new();
    for seed in 0..rounds() {
        let mut case = Case::random(seed * 7919 + 11, 5);
        push_comes_back(&mut case);
        for day in 1..=5_u32 {
            for (side, to) in [("heat", case.heat), ("cool", case.cool)] {
                let minute = case.open + 30;
                let at = format!("d{day} {:02}:{:02}", minute / 60, minute % 60);
                let line = format!("  - {{at: \"{at}\", zone: hall, by: clock, {side}: {to}}}");
                case.actions.push(line);
            }
        }
        let audit = audited(&case, LOG, &case.record(&case.rows()));
        wrong.extend(has(&audit, "ratchet").map(|it| it.message.clone()));
    }
    assert!(wrong.len() <= (rounds() as usize / 20), "{wrong:#?}");
}

/// A unit that gives a sixth of what is needed in frost, by settings that know it and by others.
fn weak(case: &Case) -> Case {
    let shown = |celsius: f64| if case.fahrenheit { celsius * 1.8 + 32.0 } else { celsius };
    Case { heating: case.floor * 8.0, high: shown(-4.0), gains: 1.0, ..case.clone() }
}

#[test]
fn capacity_that_falls_short_is_found() {
    planted(
        "capacity_short",
        3,
        |_| {},
        |_, (case, _)| {
            let case = weak(case);
            let log = case.record(&case.rows());
            (case, log)
        },
    );
}

#[test]
fn a_room_that_does_not_answer_is_found() {
    planted(
        "no_answer",
        3,
        |_| {},
        |_, (case, _)| {
            let weak = weak(case);
            let log = weak.record(&weak.rows());
            // The settings have a unit with three times what such a night takes.
            (Case { heating: case.floor * 300.0, ..weak }, log)
        },
    );
}

#[test]
fn short_cycling_is_found() {
    let seen = |case: &mut Case| case.every = case.every.min(2);
    planted("short_cycling", 2, seen, |dice, (case, log)| {
        let mut log = log.clone();
        let from = (dice.part() * 0.8 * log.readings.len() as f64) as usize;
        let all = (90 / case.every as usize).min(log.readings.len() - from);
        for (place, it) in log.readings[from..from + all].iter_mut().enumerate() {
            it.running = if (place / 2).is_multiple_of(2) { "heating" } else { "none" };
        }
        (case.clone(), log)
    });
}

/// The settings have people come or go an hour or two otherwise than they do.
#[test]
fn people_at_other_hours_than_those_of_the_settings_are_found() {
    let block = LOG.replace(
        "running: run",
        "running: run, occupied: {column: there, values: {1: yes, 0: no}}",
    );
    counted("occupancy_differs", |seed| {
        let case = Case::random(seed, 3);
        let mut log = case.record(&case.rows());
        let mut dice = Dice(seed ^ 0x77);
        // They come and go up to 12 minutes early or late, and step out for a while.
        let mut there: Vec<bool> = log.readings.iter().map(|it| it.there).collect();
        for place in 1..there.len() {
            if log.readings[place].there != log.readings[place - 1].there {
                let late = (dice.part() * 12.0 / f64::from(case.every)) as usize;
                let end = (place + late).min(there.len());
                there[place..end].fill(log.readings[place - 1].there);
            }
            if dice.part() < 0.002 {
                there[place] = false;
            }
        }
        let cells = there.iter().map(|it| u8::from(*it).to_string()).collect();
        log.more.push(("there", cells));
        let by = dice.pick(&[60, 75, 120]);
        let other = if dice.part() < 0.5 {
            Case { open: case.open - by, ..case.clone() }
        } else {
            Case { close: case.close + by, ..case.clone() }
        };
        (audited(&other, &block, &log), audited(&case, &block, &log))
    });
}

/// Setpoints that are nearly as low as the band is wide.
#[test]
fn hours_outside_the_comfort_band_are_found() {
    counted("outside_band", |seed| {
        let case = Case::random(seed, 2);
        let log = case.record(&case.rows());
        let degrees = |celsius: f64| if case.fahrenheit { celsius * 1.8 + 32.0 } else { celsius };
        let with = |low: f64, high: f64| {
            let band = format!("    comfort: {{band: [{}, {}]}}\n", degrees(low), degrees(high));
            audited(&Case { more: band, ..case.clone() }, LOG, &log)
        };
        (with(24.5, 27.0), with(5.0, 40.0))
    });
}

/// Two zones on one outdoor unit: which goes where by gains, and who decides.
fn yard(dice: &mut Dice, sharing: &str, gains: f64) -> String {
    let high = dice.between(12.0, 15.0);
    let floor = dice.between(70.0, 100.0);
    format!(
        "title: Yard\nperiod: {{from: 2025-04-08, days: 2}}\nweather: {{design_day: {{high: {high:.1}, \
         range: 9}}}}\noutdoor_unit:\n  {sharing}\n  heating: [{{outdoor: -8, capacity: 9 kW, cop: 2.4}}, \
         {{outdoor: 8, capacity: 12 kW, cop: 3.7}}]\n  cooling: [{{outdoor: 20, capacity: 12 kW, cop: \
         5.2}}, {{outdoor: 35, capacity: 10 kW, cop: 3.6}}]\nzones:\n  kiln:\n    space: {{floor: \
         {floor:.0} m2, height: 3.5 m}}\n    gains: {{from: \"06:30\", to: \"15:30\", power: {:.0} W}}\n    \
         unit: {{heating: 5 kW, cooling: 5 kW}}\n    controls: {{heat: 19, cool: 22, min_deadband: \
         2}}\n  desk:\n    space: {{floor: 40 m2}}\n    unit: {{heating: 3 kW, cooling: 3 kW}}\n    \
         controls: {{heat: 20.5, cool: 24, min_deadband: 2}}\n",
        gains * floor
    )
}

const OWNED: &str = "mode_policy: owner\n  owner: kiln";
const YARD_LOG: &str = "log: {file: week.csv, outdoor: out, zones: {kiln: {temperature: ka, heat: kh, cool: \
                        kc, running: kr}, desk: {temperature: da, heat: dh, cool: dc, running: dr}}}\n";

fn yard_log(rows: &[StepRow], resolution: f64) -> String {
    let mut out = "time,out,ka,kh,kc,kr,da,dh,dc,dr\n".to_owned();
    let midnight = LogTime::midnight(jiff::civil::date(2025, 4, 8));
    for pair in rows.chunks(2) {
        let _ = write!(out, "{},{:.1}", midnight + pair[0].at.get(), pair[0].outdoor);
        for row in pair {
            let air = (row.sensed / resolution).round() * resolution;
            let runs = row.served.map_or("none", setband::control::Direction::name);
            let _ = write!(out, ",{air:.2},{},{},{runs}", row.heat, row.cool);
        }
        out.push('\n');
    }
    out
}

fn yard_audit(ran: &str, settings: &str, resolution: f64) -> Audit {
    let rows = simulate(&read(ran, b""), Keep::Steps).rows;
    let log = yard_log(&rows, resolution);
    let model = read(&format!("{settings}{YARD_LOG}"), log.as_bytes());
    let site = model.log.clone().expect("there is one");
    audit(&model, &site)
}

#[test]
fn zones_that_starve_and_zones_against_their_group_are_found() {
    counted("starved", |seed| {
        let of = |gains: f64| {
            let mut dice = Dice(seed);
            let text = yard(&mut dice, OWNED, gains);
            yard_audit(&text, &text, dice.pick(&[0.1, 0.5]))
        };
        // Without machines both rooms want heat.
        (of(40.0), of(0.0))
    });
    counted("against_group", |seed| {
        let of = |sharing: &str| {
            let ran = yard(&mut Dice(seed), sharing, 40.0);
            yard_audit(&ran, &yard(&mut Dice(seed), OWNED, 40.0), 0.1)
        };
        (of("simultaneous: true"), of(OWNED))
    });
}

/// A log of two files names the one that a line stands in.
#[test]
fn lines_of_several_files_go_with_the_file() {
    let (one, two) = (
        "time,air,h,c\n2025-04-16 08:00,20,20,24\n2025-04-16 08:05,20,20,24\n2025-04-16 08:10,20,20,24\n",
        "time,air,h,c\n2025-04-16 08:15,20,20,24\n2025-04-16 08:20,20,20,20.5\n2025-04-16 \
         08:25,20,20,20.5\n2025-04-16 08:30,20,20,20.5\n",
    );
    let text = "weather: {design_day: {high: 15, range: 8}}\nlog: {file: [mon.csv, tue.csv], zones: {hall: \
                {temperature: air, heat: h, cool: c}}}\nzones:\n  hall: {space: {floor: 60 m2}, unit: \
                {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24, min_deadband: 2}}\n";
    let open = |name: &str| Ok(if name == "mon.csv" { one } else { two }.into());
    let study = setband::scenario::read_beside(text, "hall.yaml", &open);
    let model = study.unwrap_or_else(|it| panic!("{it}")).base;
    let site = model.log.clone().expect("there is one");
    let found = audit(&model, &site);
    let narrow = has(&found, "band_too_narrow").expect("half a degree is less than two");
    assert_eq!(narrow.rows, [3]);
    assert_eq!(site.log.file_of(narrow.from), 1);
    let audited = setband::report::Audited { model: &model, site: &site, audit: &found };
    let json = setband::report::audit_json(&audited).expect("plain values");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["findings"][0]["files"], serde_json::json!(["tue.csv"]));
    assert!(audited.answer().contains("contradicts"), "{}", audited.answer());
}

/// Where each code is shown: in this folder as planted and found, in the days of the chamber, or both.
#[test]
fn every_code_is_shown_by_a_test() {
    let texts = [
        include_str!("audits.rs"),
        include_str!("chamber.rs"),
        include_str!("kinds.rs"),
        include_str!("sensors.rs"),
    ];
    for code in CODES {
        let quoted = format!("\"{code}\"");
        assert!(texts.iter().any(|text| text.contains(&quoted)), "{code} has no test");
    }
}

/// Presses are told from schedules, and counted with those that were taken back.
#[test]
fn changes_by_hand_and_by_the_clock_are_told_apart() {
    let case = Case { by_change: false, missing: 0.0, ..Case::random(11, 4) };
    let log = case.record(&case.rows());
    let found = audited(&case, LOG, &log);
    let hand = has(&found, "changed_by_hand").expect("guests press");
    let clock = has(&found, "scheduled_change").expect("the setback moves both");
    assert!(hand.values["taken_back"].as_u64().is_some_and(|count| count > 0), "{}", hand.message);
    // Each day opens and closes once.
    assert!((6..=8).contains(&clock.count), "{}", clock.message);
    assert!(hand.count <= case.actions.len(), "{}", hand.message);
}
