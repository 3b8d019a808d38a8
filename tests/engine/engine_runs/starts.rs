//! Warm-up, going on from a state, and the length of the step.

use proptest::prelude::*;
use setband::building::Gain;
use setband::control::{Direction, Key, ModePolicy, Power, Request, Side};
use setband::engine::{Model, Nobody, REPEATS_WITHIN, StepRow, run as run_watched, start};
use setband::study::{Keep, simulate};
use setband::time::{ClockTime, DaySet, Instant, Seconds, Span};
use setband::weather::Weather;

use crate::rig::{
    Given, MINUTE, asks, by, door, grouped, minute, model, outdoor_unit, owned, period, presses,
    rows_of, run, steady,
};

fn span(from: &str, to: &str) -> Span {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    Span::new(clock(from), clock(to), DaySet::EVERY).expect("not empty")
}

/// A cool day with warm people in it from nine to five, whose start is not given.
fn office() -> Model {
    let mut given = Given { control: Given::MODULATING, ..Given::default() };
    given.gains = vec![Gain { when: span("09:00", "17:00"), power: 1500.0, latent: 0.0 }];
    given.space.start = None;
    let mut model = model(0.0, vec![given.zone("office")]);
    model.weather = Weather::DesignDay { high: 17.0, range: 9.0, site: None };
    model
}

fn day_mean(rows: &[StepRow], day: i64) -> [f64; 2] {
    let of_day: Vec<&StepRow> = rows.iter().filter(|row| row.at.day() == day).collect();
    let mean = |value: fn(&StepRow) -> f64| {
        of_day.iter().map(|row| value(row)).sum::<f64>() / of_day.len() as f64
    };
    [mean(|row| row.temperature), mean(|row| row.mass_temperature)]
}

#[test]
fn the_warm_up_ends_in_a_day_that_repeats_itself() {
    let mut model = office();
    model.period = period(3, MINUTE);
    let finished = run(&model);
    assert!((2..=60).contains(&finished.summary.period.warmup_days));
    let rows = rows_of(&finished, 0);
    // The gains are there on the first day as on the others, and cooling follows them.
    assert!(rows.iter().any(|row| row.at.day() == 0 && row.served == Some(Direction::Cooling)));
    for day in [1, 2] {
        for (one, other) in day_mean(&rows, 0).iter().zip(day_mean(&rows, day)) {
            assert!((one - other).abs() < 2.0 * REPEATS_WITHIN, "{day}: {one} {other}");
        }
    }
}

#[test]
fn a_given_start_runs_no_warm_up_and_stands_in_the_first_row() {
    let mut model = office();
    let mut given = Given::default();
    given.space.start = Some(17.5);
    model.zones = vec![given.zone("office")];
    let finished = run(&model);
    assert_eq!(finished.summary.period.warmup_days, 0);
    let first = rows_of(&finished, 0)[0];
    assert_eq!((first.temperature, first.mass_temperature), (17.5, 17.5));
}

#[test]
fn warm_up_knows_no_actions_and_controllers_start_afresh_after_it() {
    let mut model = office();
    model.actions = vec![asks(minute(60), 0, Request::Power(Power::Off))];
    let finished = run(&model);
    assert!(finished.summary.period.warmup_days > 0);
    let rows = rows_of(&finished, 0);
    assert_eq!((rows[59].power, rows[60].power), (Power::On, Power::Off));
    // The room was kept warm through the nights of the warm-up.
    assert!(rows[0].temperature > 19.0, "{}", rows[0].temperature);
    // A day without the action warms up the same.
    let without = run(&Model { actions: Vec::new(), ..model.clone() });
    assert_same(&rows_of(&without, 0)[..60], &rows[..60]);
}

/// Four zones, two of them coupled, with people who press; on one outdoor unit.
fn busy(sharing: setband::control::Sharing) -> Model {
    let zone = |id: &str, heat: f64, gain: f64| {
        let mut given = Given { heat, cool: heat + 2.0, ..Given::default() };
        given.control = Given::MODULATING;
        given.gains = vec![Gain { when: span("20:00", "07:00"), power: gain, latent: 0.0 }];
        given.thermostat.changeover_delay = Seconds::minutes(10);
        given.sensor.lag = Seconds::minutes(4);
        given.zone(id)
    };
    let zones = vec![
        zone("north", 21.0, 0.0),
        zone("south", 20.0, 2600.0),
        zone("east", 19.0, 900.0),
        zone("west", 22.0, 3000.0),
    ];
    let mut unit = outdoor_unit();
    unit.min_off = Seconds::minutes(3);
    unit.reversal_time = Seconds::minutes(3);
    let mut model = grouped(model(0.0, zones), unit, sharing);
    model.neighbours = vec![door(0, 1, 30.0)];
    model.weather = Weather::DesignDay { high: 21.0, range: 11.0, site: None };
    model.period = period(3, MINUTE);
    model.actions = vec![
        presses(minute(400), 1, Key::Warmer),
        asks(minute(1440 + 700), 2, Request::Setpoint(Side::Cool, 20.5)),
        asks(minute(2880 + 5), 3, Request::Power(Power::Off)),
    ];
    model
}

#[test]
fn a_run_is_the_sum_of_its_days_each_begun_in_the_state_the_last_one_left() {
    for sharing in [owned(), by(ModePolicy::LargestError, Seconds::minutes(10))] {
        let model = busy(sharing);
        let whole = run(&model).rows;
        let (mut simulation, _) = start(&model);
        let mut pieces = Vec::new();
        for day in 1..=3 {
            let mut rows = Rows(Vec::new());
            // A simulation that has seen other things goes on from the state alone.
            let state = simulation.state().clone();
            let (mut fresh, _) = start(&model);
            for _ in 0..700 * day {
                fresh.step(&mut Nobody);
            }
            fresh.resume(state);
            while fresh.state().now < Instant::new(day * 86_400) {
                fresh.step(&mut rows);
            }
            pieces.extend(rows.0);
            simulation = fresh;
        }
        assert_same(&pieces, &whole);
    }
}

#[test]
fn a_simulation_can_go_back_to_an_earlier_hour_of_the_same_day() {
    let model = busy(owned());
    let (mut simulation, _) = start(&model);
    let begin = simulation.state().clone();
    let mut first = Rows(Vec::new());
    let mut second = Rows(Vec::new());
    for rows in [&mut first, &mut second] {
        simulation.resume(begin.clone());
        while simulation.state().now < minute(23 * 60) {
            simulation.step(rows);
        }
    }
    assert_same(&first.0, &second.0);
}

/// The same rows to the last bit; names the first that differs, not all of them.
fn assert_same(one: &[StepRow], other: &[StepRow]) {
    assert_eq!(one.len(), other.len());
    let differs = one.iter().zip(other).find(|(one, other)| one != other);
    assert!(differs.is_none(), "{differs:?}");
}

/// Keeps the rows.
struct Rows(Vec<StepRow>);

impl setband::engine::Observer for Rows {
    fn zone(&mut self, view: &setband::engine::ZoneView<'_>) {
        self.0.push(view.row());
    }
    fn group(&mut self, _: &setband::engine::GroupView<'_>) {}
    fn ledger(&mut self, _: setband::engine::LedgerRow) {}
    fn call_began(&mut self, _: setband::engine::ZoneIndex, _: Instant) {}
}

#[test]
fn the_same_model_gives_the_same_rows_and_ledger() {
    let model = busy(by(ModePolicy::Majority, Seconds::minutes(10)));
    let (one, other) = (run(&model), run(&model));
    assert_same(&one.rows, &other.rows);
    assert_eq!(one.ledger, other.ledger);
    assert_eq!(one.summary, other.summary);
    // What is kept changes nothing.
    let figures = simulate(&model, Keep::Nothing);
    assert_eq!(figures.summary, one.summary);
    assert!(figures.rows.is_empty());
}

/// Rounding over a day of steps, K.
const CONSTANT_INPUTS: f64 = 1e-9;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn halving_the_step_of_a_free_floating_run_changes_nothing(
        outdoor in -20.0..40.0,
        begin in 0.0..35.0,
        gain in 0.0..3000.0,
        coupled in any::<bool>(),
        step in prop::sample::select(vec![3600_i64, 900, 120]),
    ) {
        let zone = |start: f64| {
            let mut given = Given { power: Power::Off, ..Given::default() };
            given.space.start = Some(start);
            given.gains = vec![Gain { when: Span::ALWAYS, power: gain, latent: 0.0 }];
            given.zone("room")
        };
        let at = |seconds: i64| {
            let mut model = model(outdoor, vec![zone(begin), zone(20.0)]);
            model.neighbours = vec![door(0, 1, if coupled { 40.0 } else { 0.0 })];
            model.weather = steady(outdoor);
            model.period = period(1, Seconds::new(seconds));
            let mut rows = Rows(Vec::new());
            run_watched(&model, &mut rows);
            rows.0
        };
        let (whole, half) = (at(step), at(step / 2));
        prop_assert_eq!(whole.len() * 2, half.len());
        for row in &whole {
            let twin = half.iter().find(|it| it.at == row.at && it.zone == row.zone);
            let twin = twin.expect("half the step passes every whole one");
            prop_assert!((row.temperature - twin.temperature).abs() < CONSTANT_INPUTS);
            prop_assert!((row.mass_temperature - twin.mass_temperature).abs() < CONSTANT_INPUTS);
        }
    }
}
