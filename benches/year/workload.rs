//! What is run: invented offices under an invented year.

use std::f64::consts::TAU;

use setband::building::{Gain, Ventilation};
use setband::control::{Key, Occupancy};
use setband::engine::{Model, Zone};
use setband::time::{ClockTime, DaySet, Seconds, Span};
use setband::weather::{Reading, Weather};

use crate::rig::{
    Given, MINUTE, door, grouped, minute, model, outdoor_unit, owned, period, presses,
};

fn weekdays(from: &str, to: &str) -> Span {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    Span::new(clock(from), clock(to), DaySet::WEEKDAYS).expect("not empty")
}

/// An office with people, ventilation, setback and a lagging sensor; no two are the same.
fn office(number: usize) -> Zone {
    given(number).zone(&format!("office {number}"))
}

fn given(number: usize) -> Given {
    let mut given = Given {
        heat: 20.0 + 0.5 * (number % 4) as f64,
        cool: 24.0 + 0.5 * (number % 3) as f64,
        control: Given::MODULATING,
        fan: 60.0,
        occupancy: Occupancy::Schedule(vec![weekdays("08:00", "18:00")]),
        setback: Some([3.0, 3.0, 10.0, 35.0]),
        gains: vec![Gain {
            when: weekdays("08:30", "17:30"),
            power: 700.0 + 10.0 * number as f64,
            latent: 0.0,
        }],
        ..Given::default()
    };
    given.thermostat.changeover_delay = Seconds::minutes(10);
    given.thermostat.min_off = Seconds::minutes(3);
    given.sensor.lag = Seconds::minutes(4);
    given.sensor.resolution = 0.1;
    given.space.ventilation = Some(Ventilation { flow: 0.02, when: weekdays("07:30", "18:00") });
    given.space.start = None;
    given
}

/// Hourly readings: a yearly and a daily wave, and one of nine days between them.
fn readings() -> Weather {
    let reading = |hour: usize| {
        let wave = |hours: f64| (TAU * (hour as f64 - 4.0) / hours).cos();
        let temperature = 11.0 - 10.0 * wave(8760.0) - 4.5 * wave(24.0) + 4.0 * wave(216.0);
        Reading { second: 3600.0 * hour as f64, temperature }
    };
    Weather::Readings((0..=8760).map(reading).collect())
}

/// So many zones, each with a plant of its own, for a year.
pub(crate) fn year(zones: usize) -> Model {
    year_of((0..zones).map(office).collect())
}

/// One zone for a year under settings of its own.
pub(crate) fn year_with(change: impl Fn(&mut Given)) -> Model {
    let mut given = given(0);
    change(&mut given);
    year_of(vec![given.zone("office")])
}

fn year_of(zones: Vec<Zone>) -> Model {
    let mut model = model(0.0, zones);
    model.weather = readings();
    model.period = period(365, MINUTE);
    model
}

/// So many zones in a ring of doors on one outdoor unit, for a year.
pub(crate) fn coupled_group(zones: usize) -> Model {
    let mut unit = outdoor_unit();
    unit.min_off = Seconds::minutes(3);
    unit.reversal_time = Seconds::minutes(3);
    let mut model = grouped(year(zones), unit, owned());
    model.neighbours = (0..zones).map(|at| door(at, (at + 1) % zones, 30.0)).collect();
    model
}

/// So many zones for a day on which people press keys every half hour.
pub(crate) fn day(zones: usize) -> Model {
    let mut model = year(zones);
    model.period = period(1, MINUTE);
    let keys = [Key::Warmer, Key::Cooler, Key::Warmer, Key::Mode];
    let press = |number: usize| {
        let at = minute(30 * i64::try_from(number).unwrap_or(0));
        presses(at, number % zones, keys[number % keys.len()])
    };
    model.actions = (0..48).map(press).collect();
    model
}
