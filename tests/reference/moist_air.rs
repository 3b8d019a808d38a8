//! Water vapour in air against a general library, and a room's water against the plain balance.

use approx::assert_relative_eq;
use serde::Deserialize;
use setband::moist_air::{
    HEAT_OF_EVAPORATION, STANDARD_PRESSURE, humidity_ratio, relative_humidity, saturation_pressure,
    vapour_pressure,
};
use setband::study::{Keep, simulate};

use super::sheet::rows;

#[derive(Deserialize)]
struct Point {
    #[serde(rename = "tdb_C")]
    air: f64,
    rh_pct: f64,
    #[serde(rename = "pressure_Pa")]
    pressure: f64,
    humidity_ratio_kg_kg: f64,
    #[serde(rename = "psat_Pa")]
    saturated: f64,
    #[serde(rename = "pv_Pa")]
    vapour: f64,
}

/// The library and this crate write the same equations; the points are given with ten digits.
const SAME_EQUATIONS: f64 = 1e-8;

/// `data/psychrolib_points.csv`: the ASHRAE equations as a general library computes them, over ice
/// and water, at sea level and at 1600 m.
#[test]
fn points_of_moist_air_are_those_of_a_general_library() {
    let points: Vec<Point> = rows(include_str!("data/psychrolib_points.csv"));
    for point in &points {
        let saturated = saturation_pressure(point.air);
        assert_relative_eq!(saturated, point.saturated, max_relative = SAME_EQUATIONS);
        let vapour = saturated * point.rh_pct / 100.0;
        assert_relative_eq!(vapour, point.vapour, max_relative = SAME_EQUATIONS);
        let ratio = humidity_ratio(vapour, point.pressure);
        assert_relative_eq!(ratio, point.humidity_ratio_kg_kg, max_relative = SAME_EQUATIONS);
        let back = relative_humidity(point.air, vapour_pressure(ratio, point.pressure));
        assert_relative_eq!(back, point.rh_pct, max_relative = 1e-12);
    }
}

/// A room held at 22 C without cooling: 100 m3 at half an air change an hour and 300 W of latent
/// heat. Derived by hand from `0 = m (w_out - w) + G`: m = 1.2 * 100 * 0.5 / 3600 kg/s.
#[test]
fn a_heated_room_ends_at_the_humidity_of_the_plain_balance() {
    let text = "
period: {from: 2025-01-14, days: 2}
weather: {hours: [5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5],
          humidity: balance, dew_point: 2}
zones:
  den:
    space: {floor: 40 m2, height: 2.5 m, infiltration: 0.5 /h}
    gains: {power: 0 W, latent: 300 W}
    unit: {heating: 9 kW, cooling: 9 kW, control: ideal}
    controls: {heat: 22, cool: 27, min_deadband: 2}
";
    let read = setband::scenario::read(text, "den.yaml", &|_| Err(String::new()));
    let model = read.unwrap_or_else(|faults| panic!("{faults}")).base;
    let run = simulate(&model, Keep::Steps);
    let exchange = 1.2 * 100.0 * 0.5 / 3600.0;
    let outdoors = humidity_ratio(saturation_pressure(2.0), STANDARD_PRESSURE);
    let ratio = outdoors + 300.0 / HEAT_OF_EVAPORATION / exchange;
    let wanted = relative_humidity(22.0, vapour_pressure(ratio, STANDARD_PRESSURE));
    let last = run.rows.last().expect("rows");
    assert_relative_eq!(last.temperature, 22.0, epsilon = 1e-6);
    assert_relative_eq!(last.humidity.expect("followed"), wanted, max_relative = 1e-6);
    let figures = run.summary.zones[0].1.humidity.expect("followed");
    assert_eq!((figures.water_removed_kg, figures.condensed_kg), (0.0, 0.0));
    assert_eq!(figures.hours_above_60 > 0.0, wanted > 60.0);
}

/// What the balance of a whole run leaves open: the run's rows have the ratio at the start of each
/// step, and outdoor air its exact mean over it, so short steps are nearly exact.
const LEFT_OPEN: f64 = 2e-3;

/// Over a day of the shipped damp room: what came with air and people less what was taken out is
/// what the air holds more.
#[test]
fn the_water_of_a_whole_run_adds_up() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/muggy_workroom.yaml");
    let study = setband::scenario::load(std::path::Path::new(file));
    let model = study.unwrap_or_else(|faults| panic!("{faults}")).base;
    let run = simulate(&model, Keep::Steps);
    let ratio = |row: &setband::engine::StepRow| {
        let vapour = saturation_pressure(row.temperature) * row.humidity.expect("followed") / 100.0;
        humidity_ratio(vapour, STANDARD_PRESSURE)
    };
    let air = 1.2 * 70.0 * 2.7;
    let exchange = air * 0.4 / 3600.0;
    let outdoors = humidity_ratio(saturation_pressure(15.0), STANDARD_PRESSURE);
    let mut came = 0.0;
    for pair in run.rows.windows(2) {
        let mean = f64::midpoint(ratio(&pair[0]), ratio(&pair[1]));
        came += 60.0 * exchange * (outdoors - mean);
    }
    // 9 hours of 220 W on each of two days.
    came += 2.0 * 9.0 * 3600.0 * 220.0 / HEAT_OF_EVAPORATION;
    let (first, last) = (run.rows.first().expect("rows"), run.rows.last().expect("rows"));
    let held = air * (ratio(last) - ratio(first));
    let figures = run.summary.zones[0].1.humidity.expect("followed");
    let gone = figures.water_removed_kg + figures.condensed_kg;
    assert!(figures.water_removed_kg > 1.0, "the coil dries");
    assert_relative_eq!(came, held + gone, max_relative = LEFT_OPEN);
}
