//! Rules 12 and 13 through the engine: when requests apply, in which order, and what stays.

use setband::control::{
    Direction, GroupChange, Key, Mode, Power, Request, Role, SettingsChange, Side,
};
use setband::engine::{Doing, Entry};
use setband::report::reason_words;
use setband::time::Seconds;

use crate::rig::{
    Given, MINUTE, acts, asks, grouped, ledger, minute, model, outdoor_unit, owned, period,
    presses, row_at, rows_of, run, sets,
};

#[test]
fn an_action_between_two_steps_applies_at_the_next_and_keeps_its_own_time() {
    let given = Given { power: Power::Off, ..Given::default() };
    let mut model = model(10.0, vec![given.zone("room")]);
    model.period = period(1, Seconds::minutes(15));
    model.actions = vec![asks(minute(521), 0, Request::Setpoint(Side::Heat, 21.5))];
    let finished = run(&model);
    assert_eq!(ledger(&model, &finished), ["08:41 heat 21.5: accepted"]);
    let heat = |at| row_at(&finished, 0, minute(at)).heat;
    assert_eq!((heat(510), heat(525)), (20.0, 21.5));
}

#[test]
fn every_request_leaves_its_row_in_the_order_of_time_and_file() {
    let given = Given { heat_limits: (18.0, 22.0), ..Given::default() };
    let mut model = model(10.0, vec![given.zone("room")]);
    model.period = period(2, MINUTE);
    let at = minute(600);
    model.actions = vec![
        // One action of the file with all its keys, in the order of rule 3.
        asks(at, 0, Request::Power(Power::On)),
        asks(at, 0, Request::Mode(Mode::Cool)),
        asks(at, 0, Request::Setpoint(Side::Heat, 22.0)),
        asks(at, 0, Request::Setpoint(Side::Cool, 23.0)),
        presses(at, 0, Key::Warmer),
        presses(minute(610), 0, Key::Mode),
        asks(minute(620), 0, Request::Setpoint(Side::Heat, 25.0)),
        asks(minute(630), 0, Request::Power(Power::Off)),
        presses(minute(631), 0, Key::Warmer),
        presses(minute(1440), 0, Key::Power),
    ];
    let finished = run(&model);
    assert_eq!(
        ledger(&model, &finished)
            .into_iter()
            .filter(|row| !row.ends_with("starved from") && !row.ends_with("starved until"))
            .collect::<Vec<_>>(),
        [
            "d1 10:00 power on: accepted",
            "d1 10:00 mode cool: accepted",
            "d1 10:00 heat 22: accepted",
            // The cool request stands: heat goes back to 21.
            "d1 10:00 cool 23: pushed",
            "d1 10:00 press warmer: accepted",
            "d1 10:10 press mode: accepted",
            "d1 10:20 heat 25: limited",
            "d1 10:30 power off: accepted",
            "d1 10:31 press warmer: no_effect",
            "d2 00:00 press power: accepted",
        ]
    );
    let row = row_at(&finished, 0, at);
    assert_eq!((row.heat, row.cool, row.mode), (21.0, 23.5, Mode::Cool));
    // Rows chain: what one leaves, the next finds.
    for pair in finished.ledger.windows(2) {
        assert_eq!(pair[0].after, pair[1].before);
    }
    let counts = &finished.summary.zones[0].1.requests;
    assert_eq!((counts.accepted, counts.pushed, counts.limited), (7, 1, 1));
    assert_eq!((counts.refused, counts.no_effect), (0, 1));
}

#[test]
fn a_technicians_change_of_settings_works_at_once_or_not_at_all() {
    let given = Given::default();
    let wider = SettingsChange { deadband: Some(given.tick(6.0)), ..SettingsChange::default() };
    let absurd = SettingsChange { deadband: Some(given.tick(40.0)), ..SettingsChange::default() };
    let mut model = model(10.0, vec![given.zone("room")]);
    model.actions = vec![
        sets(minute(60), 0, wider, GroupChange::default()),
        sets(minute(70), 0, absurd, GroupChange::default()),
        acts(minute(80), 0, Role::Schedule, Doing::Request(Request::Setpoint(Side::Heat, 21.0))),
    ];
    let finished = run(&model);
    assert_eq!(
        ledger(&model, &finished),
        [
            "01:00 set new settings: pushed",
            "01:10 set new settings: refused",
            "01:20 heat 21: pushed",
        ]
    );
    let works = |at| row_at(&finished, 0, minute(at)).cool;
    assert_eq!((works(59), works(60), works(80)), (24.0, 26.0, 27.0));
}

#[test]
fn a_starved_spell_is_told_after_a_quarter_of_an_hour_and_dated_back() {
    // Cold outdoors, in `cool`: the room needs heating that nobody gives.
    let mut given = Given { mode: Mode::Cool, ..Given::default() };
    given.space.start = Some(19.0);
    let mut model = model(0.0, vec![given.zone("room")]);
    model.actions = vec![
        asks(minute(14), 0, Request::Mode(Mode::Heat)),
        asks(minute(500), 0, Request::Mode(Mode::Cool)),
        asks(minute(700), 0, Request::Power(Power::Off)),
    ];
    let finished = run(&model);
    let events: Vec<String> = finished
        .ledger
        .iter()
        .filter(|row| matches!(row.entry, Entry::Event(_)))
        .map(|row| crate::rig::short(&model, row))
        .collect();
    // The first spell was a minute too short to be told.
    let from = rows_of(&finished, 0)
        .iter()
        .find(|row| row.at >= minute(500) && row.starved)
        .expect("it starves again")
        .at;
    assert_eq!(
        events,
        [format!("{} starved from", model.period.clock(from)), "11:40 starved until".into()]
    );
    let starved = rows_of(&finished, 0).iter().filter(|row| row.starved).count();
    let hours = finished.summary.zones[0].1.starved_hours;
    assert!((hours - starved as f64 / 60.0).abs() < 1e-9);
    for row in rows_of(&finished, 0).iter().filter(|row| row.starved) {
        assert!(row.call.is_none() && row.served.is_none());
    }
}

#[test]
fn a_followers_mode_requests_are_refused_with_the_owner_named() {
    let zones = vec![Given::default().zone("desk"), Given::default().zone("shelf")];
    let mut model = grouped(model(10.0, zones), outdoor_unit(), owned());
    model.actions = vec![
        asks(minute(60), 1, Request::Mode(Mode::Cool)),
        acts(minute(61), 1, Role::Technician, Doing::Request(Request::Mode(Mode::Heat))),
        acts(minute(62), 1, Role::Schedule, Doing::Request(Request::Mode(Mode::Auto))),
        asks(minute(63), 1, Request::Mode(Mode::Fan)),
        asks(minute(64), 1, Request::Mode(Mode::Cool)),
        presses(minute(65), 1, Key::Mode),
        presses(minute(66), 1, Key::Mode),
        asks(minute(67), 0, Request::Mode(Mode::Cool)),
    ];
    let finished = run(&model);
    let outcomes: Vec<String> = finished
        .ledger
        .iter()
        .filter(|row| matches!(row.entry, Entry::Request { .. }))
        .map(|row| crate::rig::short(&model, row))
        .collect();
    assert_eq!(
        outcomes,
        [
            "01:00 mode cool: refused",
            "01:01 mode heat: refused",
            "01:02 mode auto: refused",
            "01:03 mode fan: accepted",
            "01:04 mode cool: accepted",
            "01:05 press mode: accepted",
            "01:06 press mode: accepted",
            "01:07 mode cool: accepted",
        ]
    );
    for row in &finished.ledger[..3] {
        let reason = reason_words(&model, row);
        assert!(reason.contains("The desk"), "{reason}");
    }
    // From `fan` the key leads to the first mode of the list, which the follower stores.
    assert_eq!(row_at(&finished, 1, minute(65)).mode, Mode::Fan);
    assert_eq!(row_at(&finished, 1, minute(66)).mode, Mode::Heat);
    // Whatever it stores, it has the group's direction.
    assert_eq!(row_at(&finished, 1, minute(68)).direction, Direction::Cooling);
}
