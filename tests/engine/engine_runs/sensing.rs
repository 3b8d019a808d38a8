//! Rule 9 through the engine: what the sensor makes of the air.

use approx::assert_abs_diff_eq;
use setband::control::{Differential, Direction, Mode, Power, Request, Sensor, SensorPlace, Side};
use setband::engine::{Model, StepRow};
use setband::plant::{StartUp, UnitControl};
use setband::time::Seconds;
use setband::units::TemperatureUnit;
use setband::weather::Weather;

use crate::rig::{Given, MINUTE, asks, minute, model, period, rows_of, run};

const ROUNDING: f64 = 1e-9;

fn with(sensor: Sensor) -> Model {
    let mut given = Given { sensor, ..Given::default() };
    given.thermostat.call_start = Differential::same(0.2);
    given.space.windows = 30.0;
    model(3.0, vec![given.zone("room")])
}

fn sensor() -> Sensor {
    Sensor { place: SensorPlace::Room, offset: 0.0, lag: Seconds::ZERO, resolution: 0.0 }
}

#[test]
fn a_lagging_sensor_follows_the_air_exactly() {
    let rows = rows_of(&run(&with(Sensor { lag: Seconds::minutes(4), ..sensor() })), 0);
    assert_eq!(rows[0].sensed, rows[0].temperature);
    let approach = 1.0 - (-60.0_f64 / 240.0).exp();
    let mut body = rows[0].temperature;
    for row in &rows[1..] {
        body += approach * (row.temperature - body);
        assert_abs_diff_eq!(row.sensed, body, epsilon = ROUNDING);
    }
}

#[test]
fn return_air_is_warmer_after_a_step_served_in_a_direction() {
    let place = SensorPlace::ReturnAir { heating: 0.3, cooling: -0.1 };
    let mut given = Given { sensor: Sensor { place, ..sensor() }, ..Given::default() };
    given.deadband = 0.0;
    given.cool = 20.0;
    given.thermostat.call_stop = Differential::same(0.5);
    given.space.mass_capacity = 4e5;
    given.space.air_capacity = 5e4;
    let rows = rows_of(&run(&model(16.0, vec![given.zone("room")])), 0);
    let above = |row: &StepRow| match row.served {
        Some(Direction::Heating) => 0.3,
        Some(Direction::Cooling) => -0.1,
        None => 0.0,
    };
    assert_eq!(rows[0].sensed, rows[0].temperature);
    for pair in rows.windows(2) {
        let expected = pair[1].temperature + above(&pair[0]);
        assert_abs_diff_eq!(pair[1].sensed, expected, epsilon = ROUNDING);
    }
    for direction in Direction::BOTH {
        assert!(rows.iter().any(|row| row.served == Some(direction)), "{direction:?}");
    }
}

#[test]
fn offsets_are_added_and_steps_of_the_resolution_rounded_halves_upward() {
    let place = SensorPlace::Controllers { offset: -0.4 };
    for resolution in [0.1, 0.25, 0.5] {
        let given = Sensor { place, offset: 1.0, resolution, ..sensor() };
        for row in rows_of(&run(&with(given)), 0) {
            let steps = row.sensed / resolution;
            assert_abs_diff_eq!(steps, steps.round(), epsilon = ROUNDING);
            let error = row.sensed - (row.temperature + 0.6);
            assert!((-0.5 * resolution - ROUNDING..=0.5 * resolution + ROUNDING).contains(&error));
        }
    }
    // Halves go up, also below zero: 20.25 to 20.5, -3.25 to -3.
    for (start, expected) in [(20.25, 20.5), (20.75, 21.0), (-3.25, -3.0), (20.2, 20.0)] {
        let mut given = Given { power: Power::Off, ..Given::default() };
        given.sensor.resolution = 0.5;
        given.space.start = Some(start);
        let rows = rows_of(&run(&model(3.0, vec![given.zone("room")])), 0);
        assert_eq!(rows[0].sensed, expected);
    }
}

/// The same zone in a file in Celsius and in one in Fahrenheit: 20/25 C are 68/77 F.
fn twin(unit: TemperatureUnit, control: UnitControl) -> Model {
    let point = |celsius: f64| match unit {
        TemperatureUnit::Celsius => celsius,
        TemperatureUnit::Fahrenheit => celsius * 9.0 / 5.0 + 32.0,
    };
    let difference = |kelvin: f64| point(kelvin) - point(0.0);
    let control = match control {
        UnitControl::Modulating { turndown, throttling_range, .. } => {
            UnitControl::proportional(turndown, difference(throttling_range))
        }
        other => other,
    };
    let mut given = Given {
        unit,
        setpoint_step: if unit == TemperatureUnit::Celsius { 0.5 } else { 1.0 },
        heat: point(20.0),
        cool: point(25.0),
        deadband: difference(5.0),
        heat_limits: (point(10.0), point(30.0)),
        cool_limits: (point(15.0), point(35.0)),
        setback: Some([difference(5.0), difference(5.0), point(10.0), point(35.0)]),
        control,
        start_up: StartUp::USUAL,
        reversal_time: Seconds::minutes(3),
        ..Given::default()
    };
    given.thermostat.call_start = Differential::same(difference(0.5));
    given.thermostat.call_stop = Differential::same(difference(0.2));
    given.thermostat.changeover_delay = Seconds::minutes(10);
    given.sensor.place =
        SensorPlace::ReturnAir { heating: difference(1.0), cooling: difference(-0.5) };
    given.sensor.offset = difference(0.3);
    given.sensor.lag = Seconds::minutes(3);
    given.space.start = None;
    given.space.mass_capacity = 1e6;
    let mut model = Model { unit, ..model(0.0, vec![given.zone("room")]) };
    model.weather = Weather::DesignDay { high: 33.0, range: 22.0, site: None };
    model.period = period(2, MINUTE);
    // The steps differ, 0.5 C and 1 F, so people ask for values that both grids have.
    model.actions = vec![
        asks(minute(500), 0, Request::Setpoint(Side::Heat, point(25.0))),
        asks(minute(900), 0, Request::Setpoint(Side::Cool, point(25.0))),
        asks(minute(1000), 0, Request::Mode(Mode::Cool)),
        asks(minute(2000), 0, Request::Mode(Mode::Auto)),
    ];
    model
}

#[test]
fn a_file_in_fahrenheit_is_the_same_day_as_its_twin_in_celsius() {
    for control in [UnitControl::ON_OFF, Given::MODULATING] {
        let [celsius, fahrenheit] = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit]
            .map(|unit| run(&twin(unit, control)));
        let back = |value: f64| (value - 32.0) * 5.0 / 9.0;
        let pairs = rows_of(&celsius, 0).into_iter().zip(rows_of(&fahrenheit, 0));
        for (one, other) in pairs {
            assert_eq!((one.at, one.call, one.served), (other.at, other.call, other.served));
            assert_eq!((one.direction, one.mode), (other.direction, other.mode));
            for (one, other) in [
                (one.temperature, other.temperature),
                (one.mass_temperature, other.mass_temperature),
                (one.sensed, other.sensed),
                (one.outdoor, other.outdoor),
                (one.heat, other.heat),
                (one.cool, other.cool),
            ] {
                assert_abs_diff_eq!(one, back(other), epsilon = ROUNDING);
            }
            assert_abs_diff_eq!(one.heat_w, other.heat_w, epsilon = 1e-5);
        }
        let (one, other) = (&celsius.summary.zones[0].1, &fahrenheit.summary.zones[0].1);
        assert_eq!((one.changeovers, one.unit_starts), (other.changeovers, other.unit_starts));
        assert!(one.changeovers > 0);
        // Degree-hours are in the file's unit.
        let degrees = (one.degree_hours_outside_band, other.degree_hours_outside_band);
        assert!(degrees.0 > 0.0);
        assert_abs_diff_eq!(degrees.0 * 1.8, degrees.1, epsilon = 1e-6);
    }
}
