//! The short way in for other programs: what it answers, and its errors as values.

use std::sync::Mutex;

use setband::scenario::{Files, Rejected};
use setband::study::Comparison;
use setband::study::fit::{Freed, Options};
use setband::time::{Instant, Seconds};
use setband::{AskedRequests, NoVariant, ReplayQuestion, Scenario, Unanswered, scenario, study};

const STARTER: setband::units::TemperatureUnit = setband::units::TemperatureUnit::Celsius;

fn pottery() -> Scenario {
    Scenario::parse(scenario::starter(STARTER)).expect("the starter is right")
}

#[test]
fn the_short_way_gives_what_the_long_way_gives() {
    let run = pottery().run().expect("a day");
    let read = scenario::read(scenario::starter(STARTER), "scenario", &|_| Err(String::new()))
        .expect("the starter is right");
    let nobody = &mut setband::engine::Nobody;
    let (long, _) = study::simulate_season(&read.base, study::Keep::Steps, nobody);
    assert_eq!(run.summary(), &long.summary);
    assert_eq!(run.steps(), long.rows);
    assert_eq!(run.ledger().count(), long.ledger.len());
    let ids: Vec<_> = run.zones().map(|zone| (zone.id(), zone.label())).collect();
    assert_eq!(ids, [("studio", "Studio"), ("shop", "Shop")]);
    let shop = run.zone("shop").expect("it is there");
    assert_eq!(shop.steps().count(), 24 * 60);
    assert!(shop.ledger().all(|line| line.zone == "shop"));
    assert_eq!(shop.figures(), &long.summary.zones[1].1);
    assert!(run.zone("cellar").is_none() && run.figure("happiness").is_none());
}

#[test]
fn steps_are_found_by_time_and_times_say_themselves() {
    let run = pottery().run().expect("a day");
    let shop = run.zone("shop").expect("it is there");
    let at = Instant::START + Seconds::minutes(8 * 60 + 40) + Seconds::new(59);
    let row = shop.step_at(at).expect("within the day");
    assert_eq!(row.at.to_string(), "08:40");
    assert_eq!(run.date_time(row.at).to_string(), "2025-04-16T08:40:00");
    assert!(shop.step_at(Instant::new(-1)).is_none());
}

#[test]
fn variants_and_values_change_what_is_run() {
    let as_written = pottery();
    assert_eq!(as_written.variants().collect::<Vec<_>>(), ["first_to_call", "no_deadband"]);
    let variant = as_written.variant("no_deadband").expect("the file has it");
    let by_hand = as_written.with("zones.*.controls.min_deadband", "0").expect("it fits");
    let [variant, by_hand] = [variant, by_hand].map(|it| it.run().expect("a day"));
    assert_eq!(variant.steps(), by_hand.steps());
    let on_top = as_written.variant("first_to_call").expect("the file has it");
    let on_top = on_top.with("zones.shop.controls.heat", "19").expect("it fits");
    assert_eq!(on_top.model().variant.as_deref(), Some("first_to_call"));
    assert_eq!(on_top.with_seed(7).model().seed, 7);
}

#[test]
fn errors_are_values_with_places() {
    let faults = Scenario::parse("zones:\n  hall: {controls: {haet: 20}}\n").expect_err("faulty");
    let fault = faults.as_slice().iter().find(|it| it.code == "unknown-key").expect("found");
    assert_eq!((fault.line, fault.column), (2, 21));

    let Err(NoVariant::Unknown { nearest, known, .. }) = pottery().variant("no_deadbant") else {
        panic!("there is no such variant");
    };
    assert_eq!((nearest.as_deref(), known.len()), (Some("no_deadband"), 2));

    let nowhere = pottery().with("zones.cellar.controls.heat", "20").expect_err("no such zone");
    assert!(matches!(nowhere, Rejected::Path { .. }), "{nowhere}");
    let unfit = pottery().with("zones.shop.controls.heat", "99").expect_err("out of range");
    assert!(matches!(unfit, Rejected::Faults(_)), "{unfit}");
}

#[test]
fn a_run_that_no_building_has_is_an_error_with_its_time() {
    let frozen = "period: {from: 2025-01-01, step: 1 h}\nweather: {design_day: {high: 5, range: 5}}\n\
                  zones:\n  hall: {space: {floor: 1 m2, mass: very_light}, gains: {power: 500 kW}, \
                  unit: {heating: 1 kW}, controls: {heat: 20, cool: 26}}\n";
    let halted = Scenario::parse(frozen).expect("a scenario").run().expect_err("a furnace");
    assert!(halted.at() > Instant::START, "{halted}");
}

#[test]
fn files_come_from_memory_and_missing_ones_are_faults_with_places() {
    let text = "period: {from: 2025-01-01}\nweather: {file: yard.csv}\nzones:\n  hall: {space: \
                {floor: 40 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: 26}}\n";
    let rows: Vec<String> = (0..=24)
        .map(|at| format!("2025-01-{:02}T{:02}:00,{}\n", 1 + at / 24, at % 24, at % 24))
        .collect();
    let files = Files::from([("yard.csv", format!("time,temperature\n{}", rows.concat()))]);
    let read = Scenario::parse_with(text, "hall.yaml", files).expect("all is there");
    assert!(read.run().expect("a day").figure("heating_kwh") > Some(0.0));
    let faults = Scenario::parse(text).expect_err("there are no files");
    assert_eq!(faults.as_slice()[0].line, 2, "{faults}");
}

#[test]
fn a_run_can_be_watched_and_broken_off() {
    let mut heard = Vec::new();
    let whole = pottery().run_while(&mut |part| {
        heard.push(part);
        true
    });
    let whole = whole.expect("a day").expect("nobody broke it off");
    assert_eq!(whole.summary(), pottery().run().expect("a day").summary());
    assert_eq!((heard.len(), heard[0], heard[12]), (24, 0.0, 0.5));
    assert!(pottery().run_while(&mut |part| part < 0.5).expect("a day").is_none());
}

#[test]
fn a_comparison_can_be_watched_and_broken_off() {
    let text = "period: {from: 2025-04-16, days: 2}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n  \
                hall: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: \
                24}}\nvariants: {tight: {zones.hall.controls.cool: 23}, wide: {zones.hall.controls.cool: 26}}\n";
    let scenario = Scenario::parse(text).expect("a hall");
    let heard = Mutex::new(Vec::new());
    let whole = scenario.compare_while(&|part| {
        heard.lock().expect("no thread broke down").push(part);
        true
    });
    let (whole, heard) = (whole.expect("days"), heard.into_inner().expect("no thread broke down"));
    let names: Vec<&str> =
        whole.iter().flat_map(Comparison::all).map(|it| it.name.as_str()).collect();
    assert_eq!(names, ["base", "tight", "wide"]);
    assert!(heard.iter().all(|part| (0.0..1.0).contains(part)), "{heard:?}");
    assert!(heard.iter().any(|part| *part > 0.7), "{heard:?}");
    assert!(scenario.compare_while(&|part| part < 0.5).expect("days").is_none());
}

/// A hall with a log, which a run of another hall with more loss left.
fn logged_hall() -> Scenario {
    let zones = "zones:\n  hall: {space: {floor: 60 m2, opaque: 60 W/K}, unit: {heating: 4 kW, control: \
                 staged}, controls: {heat: 20, cool: 26, call_start: 0.5}}\n";
    let built = format!(
        "period: {{from: 2025-01-14, step: 10 min}}\nweather: {{design_day: {{high: 5, range: 7}}}}\n{}",
        zones.replace("60 W/K", "90 W/K")
    );
    let run = Scenario::parse(&built).expect("a hall").run().expect("a day");
    let rows = run.steps().iter().map(|row| {
        let time = run.date_time(row.at);
        let ran = row.served.map_or("none", setband::direction::Direction::name);
        let (out, watts, air) = (row.outdoor, row.electric_w, row.sensed);
        format!("{time},{out:.2},{watts:.0},{air:.2},{},{},{ran}\n", row.heat, row.cool)
    });
    let log = "time,out,watts,air,h,c,run\n".to_owned() + &rows.collect::<String>();
    let text = format!(
        "log: {{file: day.csv, outdoor: out, electricity: watts, zones: {{hall: {{temperature: air, heat: h, \
         cool: c, running: run}}}}}}\n{zones}variants:\n  warmer: {{zones.hall.controls.heat: 22}}\n"
    );
    Scenario::parse_with(&text, "hall.yaml", Files::from([("day.csv", log)])).expect("a site")
}

#[test]
fn a_building_with_a_log_is_fitted_and_replayed() {
    let hall = logged_hall();
    assert!(!hall.audit().expect("it has a log").contradicts());
    let options =
        Options { free: vec![Freed::of("loss").expect("known")], draws: 4, ..Options::default() };
    let fit = hall.fit(Some("hall"), &options).expect("half a day and more");
    let loss = &fit.zone("hall").expect("it was fitted").parameters[0];
    assert!(loss.is_identifiable() && loss.value > loss.before + 10.0, "{loss:?}");
    let fitted = fit.scenario().expect("its text is plain");
    let draws = Some(fit.draws());
    assert_eq!(draws.as_ref().map(|it| it.rows.len()), Some(4));

    let question = ReplayQuestion { fitted: Some(&fitted), draws, ..ReplayQuestion::default() };
    let replayed = hall.replay(&question).expect("a day");
    let found = replayed.found();
    let names: Vec<&str> = found.variants.iter().map(|it| it.name.as_str()).collect();
    assert_eq!((names, found.draws), (vec!["base", "warmer"], 4));
    let used =
        [&found.measured, &found.as_logged.figures].map(|it| it.electricity_kwh.expect("known"));
    assert!((used[1] / used[0] - 1.0).abs() < 0.1, "{used:?}");
    let more = found.variants[1].difference.electricity_kwh;
    assert!(more.value > 0.0 && more.interval.is_some_and(|it| it.0 <= more.value), "{more:?}");
    assert!(replayed.chart().expect("a chart").starts_with("<svg"));
    let stopped = hall.replay_while(&question, &|begun, _| begun < 1).expect("no fault");
    assert!(stopped.is_none());
    // Its own changes go before those of the fitted rooms and of draws. What the log begins with is a
    // request of the log's people, too, so they are left out here.
    let cold = hall.with("zones.hall.controls.heat", "16").expect("it fits");
    let own = ReplayQuestion { requests: AskedRequests::Own, variants: vec!["warmer"], ..question };
    let cold = cold.replay(&own).expect("a day");
    assert!(cold.found().variants[0].difference.electricity_kwh.value < 0.0);
}

#[test]
fn questions_about_logs_that_have_no_answer_say_why() {
    assert_eq!(pottery().audit().expect_err("no answer"), Unanswered::NoLog);
    assert_eq!(pottery().fit(None, &Options::default()).expect_err("no answer"), Unanswered::NoLog);
    let hall = logged_hall();
    let no = hall.fit(Some("hal"), &Options::default()).expect_err("no answer");
    assert_eq!(no.to_string(), "the file has no zone `hal`; it has hall");
    let of = |question: &ReplayQuestion| hall.replay(question).expect_err("no answer");
    let named = ReplayQuestion { variants: vec!["warmr"], ..ReplayQuestion::default() };
    assert!(of(&named).to_string().contains("did you mean `warmer`"));
    let other = pottery();
    let followed =
        ReplayQuestion { requests: AskedRequests::Other(&other), ..ReplayQuestion::default() };
    assert_eq!(of(&followed), Unanswered::NoLog);
    let elsewhere = ReplayQuestion { fitted: Some(&other), ..ReplayQuestion::default() };
    assert!(of(&elsewhere).to_string().contains("has no zone hall"));
}
