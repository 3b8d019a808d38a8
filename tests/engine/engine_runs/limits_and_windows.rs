//! Rules 15 to 17 through the engine: outdoor limits, window contacts, overrides and returns.

use setband::control::{
    Direction, Key, LowLimit, Mode, Occupancy, Opening, OutdoorLimits, OverrideUntil, Power,
    Request, Role, Side, WindowContact, WindowDoes,
};
use setband::engine::{Action, Doing, Model};
use setband::time::{ClockTime, DaySet, Instant, Seconds, Span};
use setband::weather::Weather;

use crate::rig::{
    Given, acts, asks, grouped, ledger, minute, model, outdoor_unit, owned, presses, row_at, run,
};

/// Outdoor air that rises from 10 C at midnight by a degree an hour until noon and falls again.
fn there_and_back() -> Weather {
    let hour = |hour: usize| if hour <= 12 { 10.0 + hour as f64 } else { 34.0 - hour as f64 };
    Weather::Hours(Box::new(std::array::from_fn(hour)))
}

/// A zone that calls for heating all day: its unit is too small to bring it to its setpoint.
fn cold_room(limits: OutdoorLimits) -> Given {
    Given {
        heat: 27.0,
        cool: 30.0,
        heating: 200.0,
        mode: Mode::Heat,
        outdoor_limits: limits,
        ..Given::default()
    }
}

fn calls(model: &Model, minutes: &[i64]) -> Vec<bool> {
    let finished = run(model);
    let called = |at: &i64| row_at(&finished, 0, minute(*at)).call == Some(Direction::Heating);
    minutes.iter().map(called).collect()
}

#[test]
fn rule_15_a_call_ends_at_the_limit_and_comes_back_past_the_hysteresis() {
    let limits = OutdoorLimits { heat_below: Some(18.0), cool_above: None, hysteresis: 1.0 };
    let mut model = model(10.0, vec![cold_room(limits).zone("hall")]);
    model.weather = there_and_back();
    // 18 C is reached at 8:00 and left again at 16:00; 17 C at 17:00.
    let minutes = [0, 479, 480, 960, 1020, 1021];
    assert_eq!(calls(&model, &minutes), [true, true, false, false, false, true]);
}

#[test]
fn rule_15_min_on_does_not_hold_a_call_that_is_no_longer_allowed() {
    let limits = OutdoorLimits { heat_below: Some(18.0), cool_above: None, hysteresis: 1.0 };
    let mut given = cold_room(limits);
    given.thermostat.min_on = Seconds::hours(12);
    let mut model = model(10.0, vec![given.zone("hall")]);
    model.weather = there_and_back();
    assert_eq!(calls(&model, &[479, 480]), [true, false]);
}

#[test]
fn rule_15_unmet_time_has_its_own_cause_and_nobody_starves() {
    let limits = OutdoorLimits { heat_below: Some(5.0), cool_above: None, hysteresis: 1.0 };
    let given = Given { heat: 21.0, mode: Mode::Heat, outdoor_limits: limits, ..Given::default() };
    let finished = run(&model(10.0, vec![given.zone("hall")]));
    let zone = &finished.summary.zones[0].1;
    assert!(zone.hours_outside_band > 1.0, "{}", zone.hours_outside_band);
    let unmet = zone.unmet_hours;
    assert!((unmet.outdoor_limit - zone.hours_outside_band).abs() < 1e-9, "{unmet:?}");
    assert_eq!((zone.served_hours, zone.starved_hours), (0.0, 0.0));
}

#[test]
fn rule_15_the_outdoor_units_limits_hold_for_its_whole_group() {
    let zones = ["hall", "shop"].map(|id| cold_room(OutdoorLimits::NONE).zone(id));
    let mut model = grouped(model(10.0, zones.to_vec()), outdoor_unit(), owned());
    model.outdoor_units[0].outdoor_limits =
        OutdoorLimits { heat_below: Some(18.0), cool_above: None, hysteresis: 1.0 };
    model.weather = there_and_back();
    let finished = run(&model);
    for zone in 0..2 {
        let call = |at| row_at(&finished, zone, minute(at)).call;
        assert_eq!([call(479), call(480)], [Some(Direction::Heating), None]);
    }
}

#[test]
fn rule_15_the_low_limit_passes_an_outdoor_limit() {
    let limits = OutdoorLimits { heat_below: Some(-50.0), cool_above: None, hysteresis: 1.0 };
    let unit = Given::default().unit;
    let mut given = Given { outdoor_limits: limits, ..Given::default() };
    given.low_limit = Some(LowLimit::new(15.0, unit));
    given.space.start = Some(14.0);
    let finished = run(&model(0.0, vec![given.zone("hall")]));
    assert_eq!(row_at(&finished, 0, minute(1)).call, Some(Direction::Heating));
}

fn window(at: Instant, to: Opening) -> Action {
    acts(at, 0, Role::Occupant, Doing::Window(to))
}

fn contact(does: WindowDoes) -> WindowContact {
    WindowContact { acts_after: Seconds::minutes(2), does }
}

#[test]
fn rule_16_an_open_window_counts_as_off_after_its_time_and_until_it_is_closed() {
    // Its unit is too small to bring it to its setpoint, so that it calls all day.
    let given = Given {
        heating: 200.0,
        mode: Mode::Heat,
        window_contact: contact(WindowDoes::Off),
        ..Given::default()
    };
    let mut model = model(0.0, vec![given.zone("hall")]);
    model.actions = vec![window(minute(300), Opening::Open), window(minute(360), Opening::Closed)];
    let finished = run(&model);
    let calls = |at| row_at(&finished, 0, minute(at)).call.is_some();
    assert!(calls(301), "it has not been open for two minutes");
    assert!((302..360).all(|at| !calls(at)));
    assert!(calls(360), "a closed window lets the call begin at once");
    let rows = ledger(&model, &finished);
    let told: Vec<&String> = rows.iter().filter(|row| row.contains("window")).collect();
    assert_eq!(
        told,
        [
            "05:00 window open: accepted",
            "05:02 window from",
            "06:00 window closed: accepted",
            "06:00 window until"
        ]
    );
    // What is stored stays: the row after the closing is on in heat.
    assert_eq!(row_at(&finished, 0, minute(330)).power, Power::On);
}

#[test]
fn rule_16_air_comes_in_while_a_window_is_open() {
    let given = Given { heating: 1.0, mode: Mode::Heat, ..Given::default() };
    let mut model = model(0.0, vec![given.zone("hall")]);
    let closed = run(&model);
    model.actions = vec![window(minute(300), Opening::Open)];
    let open = run(&model);
    let at = |finished, minutes| row_at(finished, 0, minute(minutes)).temperature;
    assert_eq!(at(&open, 300), at(&closed, 300));
    assert!(at(&open, 330) < at(&closed, 330) - 1.0);
}

#[test]
fn rule_16_a_contact_may_set_back_and_no_override_passes_it() {
    let given = Given {
        setback: Some([3.0, 3.0, 10.0, 35.0]),
        window_contact: contact(WindowDoes::Setback),
        ..Given::default()
    };
    let mut model = model(5.0, vec![given.zone("hall")]);
    model.actions = vec![window(minute(300), Opening::Open), presses(minute(310), 0, Key::Warmer)];
    let finished = run(&model);
    let heat = |at| row_at(&finished, 0, minute(at)).heat;
    assert_eq!([heat(301), heat(302), heat(311)], [20.0, 17.0, 17.5]);
}

fn nights() -> Occupancy {
    let clock = |text| ClockTime::parse(text).expect("a clock time");
    let span = Span::new(clock("08:00"), clock("18:00"), DaySet::EVERY).expect("not empty");
    Occupancy::Schedule(vec![span])
}

fn pressed_at_night(until: OverrideUntil) -> Vec<f64> {
    let given = Given {
        occupancy: nights(),
        setback: Some([3.0, 3.0, 10.0, 35.0]),
        override_until: until,
        ..Given::default()
    };
    let mut model = model(5.0, vec![given.zone("hall")]);
    model.period = crate::rig::period(2, crate::rig::MINUTE);
    model.actions = vec![asks(minute(20 * 60), 0, Request::Setpoint(Side::Heat, 20.0))];
    let finished = run(&model);
    [1199, 1200, 1319, 1320, 1439, 1440, 1919, 1920]
        .map(|at| row_at(&finished, 0, minute(at)).heat)
        .to_vec()
}

#[test]
fn rule_17_an_override_ends_after_its_time_with_the_day_or_with_the_next_change() {
    let (set_back, stored) = (17.0, 20.0);
    assert_eq!(
        pressed_at_night(OverrideUntil::Time),
        [set_back, stored, stored, set_back, set_back, set_back, set_back, stored]
    );
    assert_eq!(
        pressed_at_night(OverrideUntil::EndOfDay),
        [set_back, stored, stored, stored, stored, set_back, set_back, stored]
    );
    assert_eq!(
        pressed_at_night(OverrideUntil::Change),
        [set_back, stored, stored, stored, stored, stored, stored, stored]
    );
}
