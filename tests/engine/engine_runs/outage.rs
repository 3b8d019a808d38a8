//! Rule 14 through the engine: what a power failure takes, what comes back, which timers run.

use setband::control::{Direction, Key, Mode, Power, Role};
use setband::engine::{Doing, Model};
use setband::report::reason_words;
use setband::scenario::read;
use setband::time::Seconds;

use crate::rig::{
    Given, acts, grouped, ledger, minute, model, outdoor_unit, owned, presses, row_at, run,
};

/// A zone in the cold that heats at 08:00, with a failure of ten minutes then.
fn failing(given: &Given, at: i64, lasts: i64) -> Model {
    let mut model = model(-5.0, vec![given.zone("room")]);
    let failure = Doing::PowerFailure(Seconds::minutes(lasts));
    model.actions = vec![acts(minute(at), 0, Role::Occupant, failure)];
    model
}

#[test]
fn rule_14_calls_end_at_once_and_min_off_runs_from_the_return() {
    let given = Given { heat: 26.0, cool: 30.0, heating: 500.0, ..Given::default() };
    let mut model = failing(&given, 480, 10);
    model.zones[0].controls.thermostat.min_off = Seconds::minutes(5);
    let finished = run(&model);
    let served = |at| row_at(&finished, 0, minute(at)).served;
    assert_eq!(served(479), Some(Direction::Heating));
    for dark in 480..495 {
        assert_eq!(served(dark), None, "minute {dark}");
    }
    assert_eq!(served(495), Some(Direction::Heating));
    assert_eq!(
        ledger(&model, &finished),
        ["08:00 power_failure 10 min: accepted", "08:10 power back",]
    );
}

#[test]
fn rule_14_setpoints_mode_and_power_come_back_and_dark_controllers_do_nothing() {
    let mut model = failing(&Given::default(), 480, 30);
    let failure = model.actions.remove(0);
    model.actions = vec![
        presses(minute(470), 0, Key::Warmer),
        presses(minute(471), 0, Key::Mode),
        failure,
        presses(minute(490), 0, Key::Warmer),
        presses(minute(511), 0, Key::Power),
    ];
    let finished = run(&model);
    let [warmer, mode, _, dark, back, power] = &finished.ledger[..] else {
        panic!("{:?}", ledger(&model, &finished))
    };
    assert_eq!(dark.before, dark.after);
    assert_eq!((mode.after, back.after), (mode.after, mode.after));
    assert_ne!(warmer.after, mode.after);
    let reason = reason_words(&model, dark);
    assert!(reason.contains("dark"), "{reason}");
    assert_eq!((back.after.mode, power.after.power), (Mode::Dry, Power::Off));
}

#[test]
fn rule_14_automatic_off_counts_anew() {
    let mut model = failing(&Given::default(), 480, 10);
    model.zones[0].controls.auto_off = Some(Seconds::hours(9));
    let finished = run(&model);
    assert_eq!(
        ledger(&model, &finished),
        ["08:00 power_failure 10 min: accepted", "08:10 power back", "17:10 auto off",]
    );
}

#[test]
fn rule_14_the_supply_of_a_whole_group_fails() {
    let given = Given { heat: 26.0, cool: 30.0, ..Given::default() };
    let zones = vec![given.zone("hall"), given.zone("foyer")];
    let mut unit = outdoor_unit();
    unit.standby = 100.0;
    let mut model = grouped(model(-5.0, zones), unit, owned());
    let failure = Doing::PowerFailure(Seconds::minutes(10));
    model.actions = vec![acts(minute(480), 1, Role::Technician, failure)];
    let finished = run(&model);
    for zone in 0..2 {
        let row = row_at(&finished, zone, minute(485));
        assert_eq!((row.served, row.electric_w.to_bits()), (None, 0.0_f64.to_bits()));
        assert_eq!(row_at(&finished, zone, minute(479)).served, Some(Direction::Heating));
    }
    let back: Vec<String> =
        ledger(&model, &finished).into_iter().filter(|row| row.contains("power back")).collect();
    assert_eq!(back.len(), 2);
}

#[test]
fn a_power_failure_is_an_action_of_the_file() {
    let text = "\
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 40 m2}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls: {heat: 20, cool: 24}
actions:
  - {at: \"08:00\", zone: hall, press: warmer, power_failure: 10 min}
";
    let model = read(text, "hall.yaml", &|_| Err(String::new())).expect("sound").base;
    assert_eq!(model.actions[1].what, Doing::PowerFailure(Seconds::minutes(10)));
}
