//! Rule 11 through the engine: occupancy, setback, overrides.

use setband::control::{Key, Mode, Occupancy, Request, Side};
use setband::engine::Model;
use setband::time::{ClockTime, DaySet, Seconds, Span};

use crate::rig::{Given, MINUTE, asks, ledger, minute, model, period, presses, row_at, run};

fn weekdays(from: &str, to: &str) -> Occupancy {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    let span = Span::new(clock(from), clock(to), DaySet::WEEKDAYS).expect("not empty");
    Occupancy::Schedule(vec![span])
}

fn office(occupancy: Occupancy) -> Model {
    let given = Given {
        occupancy,
        setback: Some([3.0, 3.0, 18.0, 35.0]),
        mode: Mode::Heat,
        ..Given::default()
    };
    model(5.0, vec![given.zone("office")])
}

/// The working setpoints of the rows at these minutes.
fn works(model: &Model, minutes: &[i64]) -> Vec<(f64, f64)> {
    let finished = run(model);
    let at = |at: &i64| row_at(&finished, 0, minute(*at));
    minutes.iter().map(at).map(|row| (row.heat, row.cool)).collect()
}

const BACK: (f64, f64) = (18.0, 27.0);
const STORED: (f64, f64) = (20.0, 24.0);

#[test]
fn while_nobody_is_there_the_setback_works_and_its_floor_holds() {
    let mut model = office(weekdays("08:30", "18:30"));
    let minutes = [0, 509, 510, 1109, 1110, 1439];
    // 20 less 3 would be 17; the floor is 18.
    assert_eq!(works(&model, &minutes), [BACK, BACK, STORED, STORED, BACK, BACK]);
    assert_eq!(
        ledger(&model, &run(&model)),
        ["00:00 unoccupied from", "08:30 unoccupied until", "18:30 unoccupied from"]
    );
    // From Wednesday to Saturday.
    model.period = period(4, MINUTE);
    assert_eq!(works(&model, &[2 * 1440 + 600, 3 * 1440 + 600]), [STORED, BACK]);
}

#[test]
fn a_setpoint_request_while_nobody_is_there_works_for_the_override_time() {
    let mut model = office(weekdays("08:30", "18:30"));
    model.actions = vec![
        asks(minute(60), 0, Request::Setpoint(Side::Heat, 21.0)),
        // A key that has no effect and a request for a mode start none.
        asks(minute(300), 0, Request::Mode(Mode::Auto)),
        presses(minute(1200), 0, Key::Cooler),
        presses(minute(1260), 0, Key::Cooler),
    ];
    let minutes = [59, 60, 179, 180, 301, 1200, 1260, 1379, 1380];
    assert_eq!(
        works(&model, &minutes),
        [
            BACK,
            (21.0, 24.0),
            (21.0, 24.0),
            BACK,
            BACK,
            (20.5, 24.0),
            (20.0, 24.0),
            (20.0, 24.0),
            BACK,
        ]
    );
}

#[test]
fn an_occupancy_sensor_holds_what_an_occupants_action_showed_it() {
    let mut model = office(Occupancy::Sensor { hold: Seconds::minutes(30) });
    // The press comes at half past the minute; its step is the next.
    let mut press = presses(minute(60), 0, Key::Power);
    press.at = press.at + Seconds::new(30);
    model.actions = vec![press, asks(minute(80), 0, Request::Mode(Mode::Auto))];
    let minutes = [0, 61, 62, 109, 110];
    // The action itself only shows at the next look at the clock; 80 min and half an hour are 110.
    assert_eq!(works(&model, &minutes), [BACK, BACK, STORED, STORED, BACK]);
}
