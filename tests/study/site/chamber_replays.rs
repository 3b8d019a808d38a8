//! Days of a real heat pump in climate chambers (`tests/data/chamber`, MIT licence, see its README)
//! replayed: the same place, weather and building under three ways of moving the setpoints, so that a
//! replay of one day with the setpoints of another can be held against what was then measured.

use std::fs;
use std::num::NonZeroUsize;
use std::path::Path;

use setband::engine::Model;
use setband::scenario::read_beside;
use setband::study::replay::{Asked, Days, Replay, Requests, replay};

/// The emulated office by hand: the unit's stages and power by outdoor temperature as measured on the days
/// with fixed setpoints; two capacities and a loss that were chosen with a view of the other days, too, so
/// that what follows shows how well such a room can do and not what a fit foretells. Gains are left to the
/// smoother.
fn office(place: &str, way: &str) -> Model {
    let (start, stop, low_power, cop) = match place {
        "atlanta" => (0.75, 0.2, 0.674, "[{cop: 3.575, outdoor: 71}, {cop: 2.842, outdoor: 91}]"),
        _ => (0.7, 0.3, 0.644, "[{cop: 3.896, outdoor: 65}, {cop: 3.291, outdoor: 77}]"),
    };
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/chamber")
        .join(format!("{place}_{way}_default.csv.gz"));
    let bytes = fs::read(path).expect("it is there");
    let text = format!(
        "temperature: F\nlog: {{file: day.csv.gz, time: {{column: date_time, format: \"%m/%d %H:%M:%S\", year: \
         2021}}, outdoor: oa_temp_sim, electricity: [id_power, od_power], zones: {{office: {{temperature: \
         zn_temp_sim, heat: zn_temp_hspt, cool: zn_temp_cspt, output: {{column: stg, full: 2}}, running: \
         {{column: stg, values: {{0: none, 1: cooling, 2: cooling}}}}}}}}}}\nzones:\n  office: {{space: {{floor: \
         200 m2, air_capacity: 2000 kJ/K, mass_capacity: 45000 kJ/K, mass_area: 500 m2, opaque: 100 W/K}}, \
         unit: {{cooling: 7.6 kW, control: staged, stages: [0.668, 1], stage_power: [{low_power}, 1], cop: \
         {{cooling: {cop}}}}}, controls: {{sensor: {{lag: 0 min}}, heat: 68, cool: 78, call_start: {start}, \
         call_stop: {stop}}}}}\n"
    );
    read_beside(&text, "office.yaml", &|_| Ok(bytes.clone()))
        .unwrap_or_else(|it| panic!("{it}"))
        .base
}

fn replayed(logged: Model, requests: Requests) -> Replay {
    let days = Days { logged, variants: Vec::new() };
    let none = |_| Err("there are none".to_owned());
    let asked = Asked { requests, ..Asked::default() };
    replay(&days, (0, &none), &asked, NonZeroUsize::MIN).unwrap_or_else(|it| panic!("{it}"))
}

/// Mean and greatest of sizes.
fn sizes(errors: &[f64]) -> (f64, f64) {
    let sizes = errors.iter().map(|it| it.abs());
    (sizes.clone().sum::<f64>() / errors.len() as f64, sizes.fold(0.0, f64::max))
}

fn all(ways: &[&'static str]) -> Vec<(&'static str, &'static str)> {
    ["atlanta", "buffalo"]
        .into_iter()
        .flat_map(|it| ways.iter().map(move |way| (it, *way)))
        .collect()
}

/// With the setpoints of its own log each day comes again.
#[test]
fn days_with_moved_setpoints_come_again_as_logged() {
    let mut errors = Vec::new();
    for (place, way) in all(&["shed", "shift"]) {
        let found = replayed(office(place, way), Requests::Own);
        let run = found.as_logged.figures.electricity_kwh.expect("it has some");
        let measured = found.measured.electricity_kwh.expect("it was measured");
        errors.push(run / measured - 1.0);
        // In kelvins; the file is in Fahrenheit.
        let rmse = found.as_logged.rmse / 1.8;
        assert!(rmse < 0.19, "{place} {way}: {rmse} K");
    }
    let (mean, worst) = sizes(&errors);
    assert!(mean < 0.03 && worst < 0.07, "{errors:?}");
}

/// The day with fixed setpoints, given those of another day alone, uses what was measured then.
#[test]
fn a_day_with_the_setpoints_of_another_uses_what_that_one_did() {
    let mut errors = Vec::new();
    for (place, way) in all(&["shed", "shift"]) {
        let other = office(place, way);
        let measured = {
            let site = other.log.clone().expect("it has a log");
            let record =
                setband::study::replay::Record::of(&other, &site).expect("it has the office");
            record.electric.iter().flatten().sum::<f64>() / 60.0 / 1000.0
        };
        let found = replayed(office(place, "eff"), Requests::Other(Box::new(other)));
        let run = found.variants[0].figures.electricity_kwh.expect("it has some");
        errors.push(run / measured - 1.0);
    }
    let (mean, worst) = sizes(&errors);
    assert!(mean < 0.04 && worst < 0.08, "{errors:?}");
}
