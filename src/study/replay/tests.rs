//! Replays of made logs, whose truth is known.

use std::fmt::Write as _;
use std::num::NonZeroUsize;

use approx::assert_abs_diff_eq;

use super::*;
use crate::control::{Mode, Power, Side};
use crate::log::LogTime;
use crate::scenario::read_beside;
use crate::study::{Keep, simulate};
use crate::time::Instant;

const LOG: &str = "log: {file: day.csv, outdoor: out, electricity: watts, zones: {hall: {temperature: air, \
                   heat: h, cool: c, mode: mode, power: power, running: run, occupied: there}}}\n";

/// A hall on a cold day: what it really has, what is asked, and what else the file says.
fn file(controls: &str, gains: &str, more: &str) -> String {
    format!(
        "title: Hall\nperiod: {{from: 2025-01-14, step: 5 min}}\nweather: {{design_day: {{high: 4, range: \
         6}}}}\nzones:\n  hall:\n    space: {{floor: 60 m2, start: 18}}\n{gains}    unit: {{heating: 4 kW, \
         cooling: 4 kW, control: staged, cop: {{heating: 3, cooling: 3}}}}\n    controls: {{heat: 20, cool: \
         24, call_start: 0.5{controls}}}\n{more}"
    )
}

const GAINS: &str = "    gains: {power: 350 W}\n";

/// What a run of a file leaves, as a site records it.
fn recorded(text: &str) -> String {
    let model = read(text, "");
    let midnight = LogTime::midnight(model.period.first());
    let mut csv = "time,out,watts,air,h,c,mode,power,run,there\n".to_owned();
    for row in simulate(&model, Keep::Steps).rows {
        let _ = writeln!(
            csv,
            "{},{:.2},{:.1},{:.3},{},{},{},{},{},{}",
            midnight + row.at.get(),
            row.outdoor,
            row.electric_w,
            row.sensed,
            row.heat,
            row.cool,
            row.mode.name(),
            row.power.name(),
            row.served.map_or("none", crate::direction::Direction::name),
            if row.occupied { "yes" } else { "no" }
        );
    }
    csv
}

fn read(text: &str, log: &str) -> Model {
    let open = |_: &str| Ok(log.as_bytes().to_vec());
    read_beside(text, "hall.yaml", &open).unwrap_or_else(|it| panic!("{text}\n{it}")).base
}

fn days(text: &str, log: &str) -> Days {
    let open = |_: &str| Ok(log.as_bytes().to_vec());
    let study = read_beside(text, "hall.yaml", &open).unwrap_or_else(|it| panic!("{text}\n{it}"));
    let variants = study.variants.into_iter();
    Days {
        logged: study.base,
        variants: variants.map(|(name, model)| (name, model.expect("it can be run"))).collect(),
    }
}

fn replayed(days: &Days, asked: &Asked) -> Replay {
    let none = |_| Err("there are none".to_owned());
    replay(days, (0, &none), asked, NonZeroUsize::MIN).unwrap_or_else(|it| panic!("{it}"))
}

const PRESSES: &str = "actions:\n  - {at: \"09:00\", zone: hall, press: warmer, times: 2}\n  - {at: \
                       \"15:00\", zone: hall, press: cooler, times: 3}\n";

fn kwh(figures: &Figures) -> f64 {
    figures.electricity_kwh.expect("it uses some")
}

/// The file that made the log explains it: temperatures, electricity and starts come again.
#[test]
fn as_logged_a_made_log_comes_again() {
    let log = recorded(&file("", GAINS, PRESSES));
    let found = replayed(&days(&file("", GAINS, LOG), &log), &Asked::default());
    // Calls begin and end by a step sooner or later: the room swings by more than that.
    assert!(found.as_logged.rmse < 0.4, "{}", found.as_logged.rmse);
    let (measured, run) = (kwh(&found.measured), kwh(&found.as_logged.figures));
    assert!((run / measured - 1.0).abs() < 0.02, "{run} for {measured}");
    let starts = |figures: &Figures| f64::from(figures.zones[0].starts.expect("it is recorded"));
    let starts = (starts(&found.measured), starts(&found.as_logged.figures));
    assert!(starts.0 > 5.0 && (starts.0 - starts.1).abs() <= 2.0, "{starts:?}");
    let heat = found.disturbance[0];
    assert!(heat.size < 0.05 * heat.plant, "{heat:?}");
}

/// A file that knows of no gains finds their 350 W, and holds them fixed; without them it takes
/// more.
#[test]
fn heat_that_the_file_lacks_is_found_and_held() {
    let log = recorded(&file("", GAINS, PRESSES));
    let days = days(&file("", "", LOG), &log);
    let held = replayed(&days, &Asked::default());
    // Half of what people give off meets the surfaces first: in the air it counts for less.
    let mean = held.disturbance[0].mean;
    assert!((0.75 * 350.0..350.0).contains(&mean), "{mean}");
    let measured = kwh(&held.measured);
    assert!((kwh(&held.as_logged.figures) / measured - 1.0).abs() < 0.03);
    let off = replayed(&days, &Asked { no_disturbance: true, ..Asked::default() });
    assert!(kwh(&off.as_logged.figures) > 1.1 * measured);
}

/// What was asked at site, judged by other rules: the same moves from where the setpoint stands.
#[test]
fn logged_requests_are_what_was_moved_and_variants_judge_them() {
    let log = recorded(&file("", GAINS, PRESSES));
    let text = file(
        "",
        GAINS,
        &format!(
            "{LOG}variants:\n  held: {{zones.hall.controls.limits: {{heat: [19.5, 20.5]}}}}\n"
        ),
    );
    let days = days(&text, &log);
    let record = Record::of(&days.logged, days.logged.log.as_ref().expect("it has one"))
        .expect("the log has the hall");
    let requests = logged_requests(&days.logged, &record);
    let what: Vec<(Instant, Moved)> = requests.iter().map(|it| (it.at, it.what)).collect();
    assert_eq!(
        what,
        [
            (Instant::new(9 * 3600), Moved::Setpoint(Side::Heat, 1.0)),
            (Instant::new(15 * 3600), Moved::Setpoint(Side::Heat, -1.5)),
        ]
    );
    let found = replayed(&days, &Asked::default());
    let [base, held] = &found.variants[..] else { panic!("two variants") };
    assert_eq!((base.name.as_str(), held.name.as_str()), ("base", "held"));
    // Under the file's own rules the requests do what they did: nothing changes.
    assert_eq!(base.outcomes, [2, 0, 0, 0, 0]);
    assert_abs_diff_eq!(base.difference.electricity_kwh.value, 0.0, epsilon = 1e-9);
    assert_eq!(held.outcomes, [0, 0, 2, 0, 0]);
    assert!(kwh(&held.figures) < kwh(&base.figures));
    let last = held.course.run.zones[0].setpoints.last().expect("there are steps");
    assert_eq!(last[0], 19.5);
}

/// A log that begins in another mode, switched off and with other setpoints than the file: what leads
/// there is asked for at its first step, and under the file's own rules nothing differs then.
#[test]
fn what_the_log_begins_with_is_asked_for_first() {
    let begun = ", mode: heat, power: off";
    let presses = "actions:\n  - {at: \"09:00\", zone: hall, power: on}\n  - {at: \"15:00\", zone: hall, mode: auto}\n";
    let log = recorded(&file(begun, GAINS, presses).replace("heat: 20", "heat: 21"));
    let days = days(&file("", GAINS, LOG), &log);
    let record = Record::of(&days.logged, days.logged.log.as_ref().expect("it has one"))
        .expect("the log has the hall");
    let requests = logged_requests(&days.logged, &record);
    let what: Vec<(i64, Moved)> = requests.iter().map(|it| (it.at.get(), it.what)).collect();
    assert_eq!(
        what,
        [
            (0, Moved::Power(Power::Off)),
            (0, Moved::Mode(Mode::Heat)),
            (0, Moved::Setpoint(Side::Heat, 1.0)),
            (9 * 3600, Moved::Power(Power::On)),
            (15 * 3600, Moved::Mode(Mode::Auto)),
        ]
    );
    let base = &replayed(&days, &Asked::default()).variants[0];
    assert_eq!(base.outcomes, [5, 0, 0, 0, 0]);
    assert_abs_diff_eq!(base.difference.electricity_kwh.value, 0.0, epsilon = 1e-9);
}

/// Its own requests alone, and nobody's.
#[test]
fn without_logged_requests_the_files_own_stay() {
    let log = recorded(&file("", GAINS, PRESSES));
    let none = replayed(
        &days(&file("", GAINS, LOG), &log),
        &Asked { requests: Requests::Own, ..Asked::default() },
    );
    let setpoints = &none.variants[0].course.run.zones[0].setpoints;
    assert!(setpoints.iter().all(|pair| pair[0] == 20.0));
    let more = format!("{LOG}actions:\n  - {{at: \"12:00\", zone: hall, press: warmer}}\n");
    let own = replayed(
        &days(&file("", GAINS, &more), &log),
        &Asked { requests: Requests::Own, ..Asked::default() },
    );
    let setpoints = &own.variants[0].course.run.zones[0].setpoints;
    assert_eq!((setpoints[143][0], setpoints[145][0]), (20.0, 20.5));
}

/// The setpoints of another log, which are those of a run with other presses: the electricity of that
/// run comes out.
#[test]
fn another_logs_setpoints_give_another_logs_days() {
    let presses = "actions:\n  - {at: \"06:00\", zone: hall, press: warmer, times: 4}\n";
    let (own, other) = (recorded(&file("", GAINS, PRESSES)), recorded(&file("", GAINS, presses)));
    let other = read(&file("", GAINS, LOG), &other);
    let truth = {
        let site = other.log.clone().expect("it has one");
        let record = Record::of(&other, &site).expect("it has the hall");
        kwh(&Seen::measured(&record).figures(&other, &record))
    };
    let asked = Asked { requests: Requests::Other(Box::new(other)), ..Asked::default() };
    let found = replayed(&days(&file("", GAINS, LOG), &own), &asked);
    assert_eq!((found.variants.len(), found.variants[0].name.as_str()), (1, "requests"));
    let (got, before) = (kwh(&found.variants[0].figures), kwh(&found.measured));
    assert!((truth - before).abs() > 0.5, "the days differ: {truth} and {before}");
    assert!((got / truth - 1.0).abs() < 0.03, "{got} for {truth}");
}

/// A meter that shows 80 W more than the unit takes, whenever it stands.
#[test]
fn what_the_meter_shows_at_rest_is_added() {
    let log = recorded(&file("", GAINS, PRESSES));
    let days = days(&file("", GAINS, LOG), &log.replace(",0.0,", ",80.0,"));
    let found = replayed(&days, &Asked::default());
    assert_abs_diff_eq!(found.base_load, 80.0, epsilon = 1e-9);
    let (measured, run) = (kwh(&found.measured), kwh(&found.as_logged.figures));
    assert!((run / measured - 1.0).abs() < 0.02, "{run} for {measured}");
    let off = replayed(&days, &Asked { no_disturbance: true, ..Asked::default() });
    assert!(off.base_load == 0.0 && kwh(&off.as_logged.figures) < 0.97 * measured);
}

/// Somebody who comes and goes asks for nothing by it.
#[test]
fn a_setback_in_the_log_is_no_request() {
    let controls = ", occupancy: {from: \"07:00\", to: \"19:00\"}, setback: {heat: 3, cool: 3}";
    let log = recorded(&file(controls, GAINS, PRESSES));
    let model = read(&file(controls, GAINS, LOG), &log);
    let record =
        Record::of(&model, model.log.as_ref().expect("it has one")).expect("it has the hall");
    let requests = logged_requests(&model, &record);
    assert_eq!(requests.len(), 2, "{requests:?}");
    // Whose file has no setback, to them it was somebody by hand.
    let plain = read(&file("", GAINS, LOG), &log);
    assert!(logged_requests(&plain, &record).len() > 4);
}

/// A push moves both, and one of them was asked for.
#[test]
fn a_push_is_one_request() {
    let controls = ", min_deadband: 4";
    let log = recorded(&file(controls, GAINS, PRESSES));
    let model = read(&file(controls, GAINS, LOG), &log);
    let record =
        Record::of(&model, model.log.as_ref().expect("it has one")).expect("it has the hall");
    let requests = logged_requests(&model, &record);
    assert_eq!(requests[0].what, Moved::Setpoint(Side::Heat, 1.0));
    assert_eq!(requests.len(), 2, "{requests:?}");
}

/// Hours without rows count neither as measured nor as simulated.
#[test]
fn gaps_count_for_nobody() {
    let whole = recorded(&file("", GAINS, PRESSES));
    let in_gap = |line: &&str| !(line.contains(" 10:") || line.contains(" 11:"));
    let gappy: Vec<&str> = whole.lines().filter(in_gap).collect();
    let gappy = gappy.join("\n") + "\n";
    let text = file("", GAINS, LOG);
    let all = replayed(&days(&text, &whole), &Asked::default());
    let some = replayed(&days(&text, &gappy), &Asked::default());
    let hours = |found: &Replay| {
        let zone = &found.record.zones[0];
        zone.temperature.iter().flatten().count() as f64 / 12.0
    };
    assert_abs_diff_eq!(hours(&all) - hours(&some), 2.0, epsilon = 0.1);
    let part = kwh(&some.measured) / kwh(&all.measured);
    assert!((0.8..0.97).contains(&part), "{part}");
    assert!((kwh(&some.as_logged.figures) / kwh(&some.measured) - 1.0).abs() < 0.03);
}

#[test]
fn what_cannot_be_replayed_is_said() {
    let log = recorded(&file("", GAINS, PRESSES));
    let none = |_| Err("nothing".to_owned());
    let refused = |days: &Days, draws: usize, asked: &Asked| {
        replay(days, (draws, &none), asked, NonZeroUsize::MIN)
            .expect_err("it cannot be")
            .to_string()
    };
    let text = file("", GAINS, LOG);
    let plain = Asked::default();
    assert_eq!(refused(&days(&file("", GAINS, ""), ""), 0, &plain), "the scenario names no log");
    let later = text.replace("2025-01-14", "2025-03-14");
    assert_eq!(
        refused(&days(&later, &log), 0, &plain),
        "the period lies outside the log, which goes from 2025-01-14 00:00 to 2025-01-14 23:55"
    );
    let two = text.replace("zones:\n  hall:\n", "zones:\n  attic: {space: {floor: 9 m2}, unit: {heating: 1 kW}, controls: {heat: 20, cool: 24}}\n  hall:\n");
    assert_eq!(refused(&days(&two, &log), 0, &plain), "the log has no temperature of attic");
    assert_eq!(
        refused(&days(&text, &log), 1, &plain),
        "draw 1 of draws.csv is one of another file: nothing"
    );
    let stranger = read(&text.replace("hall:", "barn:").replace("{hall", "{barn"), &log);
    let asked = Asked { requests: Requests::Other(Box::new(stranger)), ..Asked::default() };
    assert_eq!(refused(&days(&text, &log), 0, &asked), "the other log has none of the zones");
}

/// Without draws there is no interval; with them it holds what the draws say and the file's own.
#[test]
fn intervals_come_from_draws() {
    let log = recorded(&file("", GAINS, PRESSES));
    let text = file(
        "",
        GAINS,
        &format!(
            "{LOG}variants:\n  cold: {{zones.hall.controls.limits: {{heat: [12, 18]}}, zones.hall.controls.heat: 18}}\n"
        ),
    );
    let own = days(&text, &log);
    assert_eq!(
        replayed(&own, &Asked::default()).variants[1].difference.electricity_kwh.interval,
        None
    );
    let draw = |number: usize| {
        Ok(days(&text.replace("floor: 60 m2", &format!("floor: {} m2", 50 + 5 * number)), &log))
    };
    let found = replay(&own, (5, &draw), &Asked::default(), NonZeroUsize::MIN).expect("it can be");
    let difference = found.variants[1].difference.electricity_kwh;
    let (low, high) = difference.interval.expect("there are draws");
    assert!(low < high && (low..=high).contains(&difference.value), "{difference:?}");
    assert!(!difference.includes_zero() && difference.value < 0.0);
    assert_eq!(found.variants[1].course.ranges[0].len(), 288);
}
