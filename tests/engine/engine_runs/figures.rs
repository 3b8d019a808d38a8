//! Figures of the summary against cases worked by hand. The rooms hold so much heat that no plant
//! moves their temperature, so that every hour and degree can be counted on paper.

use approx::assert_abs_diff_eq;
use setband::control::{Differential, Key, Mode, ModePolicy, Power, Request, Side};
use setband::engine::Model;
use setband::measures::{UnmetHours, ZoneFigures};
use setband::plant::{OutdoorUnit, UnitControl};
use setband::time::Seconds;

use crate::rig::given::one_capacity;
use crate::rig::{Given, asks, by, flat, grouped, minute, model, outdoor_unit, owned, run};

/// J/K: 4 kW for a day move it by 3.5e-7 K.
const IMMOVABLE: f64 = 1e15;
/// What rooms move and sums round, in hours or degree-hours.
const TOLERANCE: f64 = 1e-5;

/// A room that stays at a temperature, degrees C, heated to 20 and cooled to 24.
fn room(temperature: f64, mode: Mode) -> Given {
    let space = one_capacity(1.0, IMMOVABLE, temperature);
    Given { mode, space, ..Given::default() }
}

fn figures(model: &Model, zone: usize) -> ZoneFigures {
    run(model).summary.zones[zone].1.clone()
}

fn close(found: UnmetHours, expected: UnmetHours) {
    let all = |it: UnmetHours| {
        let UnmetHours { lock_or_power, reversal, capacity, wrong_direction, .. } = it;
        let UnmetHours { timer, sensor, limit, .. } = it;
        [lock_or_power, reversal, capacity, wrong_direction, timer, sensor, limit]
    };
    for (found, expected) in all(found).into_iter().zip(all(expected)) {
        assert_abs_diff_eq!(found, expected, epsilon = TOLERANCE);
    }
}

/// A lone room at 18 C, 2 K below the comfort band of 20 to 26 C, occupied all day. A call starts
/// at 0.5 K below the heat setpoint and ends at it; `min_off` is 2 h.
///
/// | from  | what                                   | cause         | hours |
/// |-------|----------------------------------------|---------------|-------|
/// | 00:00 | off, though it meets the start of call | lock or power | 6     |
/// | 06:00 | on: it has a call, and stays at 18     | capacity      | 4     |
/// | 10:00 | heat 17: the call ends                 | limit         | 0.5   |
/// | 10:30 | heat 20: it rests until 12:00          | timer         | 1.5   |
/// | 12:00 | it has a call again                    | capacity      | 6     |
/// | 18:00 | mode cool                              | lock or power | 6     |
///
/// While it is off, rests or has a call, later causes would fit as well: the first counts.
#[test]
fn unmet_hours_go_to_the_first_cause_that_fits() {
    let mut given = room(18.0, Mode::Heat);
    given.power = Power::Off;
    given.thermostat.min_off = Seconds::hours(2);
    let mut model = model(18.0, vec![given.zone("room")]);
    model.actions = vec![
        asks(minute(360), 0, Request::Power(Power::On)),
        asks(minute(600), 0, Request::Setpoint(Side::Heat, 17.0)),
        asks(minute(630), 0, Request::Setpoint(Side::Heat, 20.0)),
        asks(minute(1080), 0, Request::Mode(Mode::Cool)),
    ];
    let found = figures(&model, 0);
    let expected = UnmetHours {
        lock_or_power: 12.0,
        capacity: 10.0,
        limit: 0.5,
        timer: 1.5,
        ..UnmetHours::default()
    };
    close(found.unmet_hours, expected);
    assert_abs_diff_eq!(found.hours_outside_band, 24.0, epsilon = TOLERANCE);
    assert_abs_diff_eq!(found.degree_hours_outside_band, 2.0 * 24.0, epsilon = TOLERANCE);
    // 06:00 to 10:00 and 12:00 to 18:00.
    assert_abs_diff_eq!(found.served_hours, 10.0, epsilon = TOLERANCE);
    assert_eq!(found.unit_starts, 2);
    // In mode cool the zone lacks the direction that it needs: rule 10 for a group of one.
    assert_abs_diff_eq!(found.starved_hours, 6.0, epsilon = TOLERANCE);
}

/// At 19.5 C proportional output over 1 K below heat 20 is half of what the unit can give: the
/// setpoint asks for no more. At 18 C all of it is asked for and given, and still too little.
#[test]
fn a_unit_at_part_of_its_output_is_not_short_of_capacity() {
    let hours = |temperature: f64| {
        let mut given = room(temperature, Mode::Heat);
        given.control = UnitControl::proportional(0.25, 1.0);
        figures(&model(temperature, vec![given.zone("room")]), 0).unmet_hours
    };
    close(hours(19.5), UnmetHours { limit: 24.0, ..UnmetHours::default() });
    close(hours(18.0), UnmetHours { capacity: 24.0, ..UnmetHours::default() });
}

/// A room at 18 C whose sensor reads 3 K too much: 21, so that heat 20 starts no call, which a
/// sensor that read 18 would. From 12:00 on heat is 17, and not even that one would: the limit.
#[test]
fn unmet_hours_of_a_wrong_sensor_end_where_a_right_one_would_not_call_either() {
    let mut given = room(18.0, Mode::Heat);
    given.sensor.offset = 3.0;
    let mut model = model(18.0, vec![given.zone("room")]);
    model.actions = vec![asks(minute(720), 0, Request::Setpoint(Side::Heat, 17.0))];
    let expected = UnmetHours { sensor: 12.0, limit: 12.0, ..UnmetHours::default() };
    close(figures(&model, 0).unmet_hours, expected);
}

/// Two rooms on one outdoor unit that heats or cools and takes 10 min to reverse. The owner's is at
/// 30 C and wants cooling all day, the follower's at 18 C wants heating until it is switched off at
/// 20:00. The owner's mode is cool, from 08:00 heat, from 10:00 cool, from 14:00 heat.
fn two_rooms() -> Model {
    let zones = vec![room(30.0, Mode::Cool).zone("owner"), room(18.0, Mode::Auto).zone("follower")];
    let unit = OutdoorUnit { reversal_time: Seconds::minutes(10), ..outdoor_unit() };
    let mut model = grouped(model(24.0, zones), unit, owned());
    model.actions = vec![
        asks(minute(480), 0, Request::Mode(Mode::Heat)),
        asks(minute(600), 0, Request::Mode(Mode::Cool)),
        asks(minute(840), 0, Request::Mode(Mode::Heat)),
        asks(minute(1200), 1, Request::Power(Power::Off)),
    ];
    model
}

/// | from  | the unit            | the follower, 2 K below its comfort     | the owner, 4 K above     |
/// |-------|---------------------|-----------------------------------------|--------------------------|
/// | 00:00 | cools               | wrong direction, 8 h                    | capacity, 8 h            |
/// | 08:00 | reverses, 10 min    | reversal, 1/6 h                         | its mode: lock, 2 h      |
/// | 08:10 | heats               | capacity, 1 h 50                        |                          |
/// | 10:00 | reverses, 10 min    | wrong direction, 4 h                    | reversal, 1/6 h          |
/// | 10:10 | cools               |                                         | capacity, 3 h 50         |
/// | 14:00 | reverses, 10 min    | reversal, 1/6 h                         | its mode: lock, 10 h     |
/// | 14:10 | heats               | capacity, 5 h 50                        |                          |
/// | 20:00 | stands              | off: lock or power, 4 h                 |                          |
#[test]
fn unmet_hours_of_a_group_know_reversals_and_wrong_directions() {
    let model = two_rooms();
    let expected = UnmetHours {
        wrong_direction: 12.0,
        reversal: 2.0 / 6.0,
        capacity: 8.0 - 2.0 / 6.0,
        lock_or_power: 4.0,
        ..UnmetHours::default()
    };
    close(figures(&model, 1).unmet_hours, expected);
    let expected = UnmetHours {
        capacity: 12.0 - 1.0 / 6.0,
        reversal: 1.0 / 6.0,
        lock_or_power: 12.0,
        ..UnmetHours::default()
    };
    close(figures(&model, 0).unmet_hours, expected);
}

/// The follower of [`two_rooms`] has no call and wants the direction that the unit does not have
/// from 00:00 to 08:00 and from 10:00 to 14:00: 12 h, of which 8 h in one piece; its sensor reads
/// 18, 2 K below the heat setpoint: 2 K * 12 h. The owner never wants what its own mode does not
/// give: with mode heat at 30 C it is starved of cooling from 08:00 to 10:00 and from 14:00 on,
/// 12 h, of which 10 h in one piece, 6 K above the cool setpoint of 24: 72 Kh.
#[test]
fn starved_degree_hours_and_the_longest_wait_are_counted_by_spell() {
    let model = two_rooms();
    for (zone, hours, degree_hours, longest) in [(1, 12.0, 24.0, 8.0), (0, 12.0, 72.0, 10.0)] {
        let found = figures(&model, zone);
        assert_abs_diff_eq!(found.starved_hours, hours, epsilon = TOLERANCE);
        assert_abs_diff_eq!(found.starved_degree_hours, degree_hours, epsilon = TOLERANCE);
        assert_abs_diff_eq!(found.longest_wait_hours, longest, epsilon = TOLERANCE);
    }
}

/// In [`two_rooms`] one room meets the start condition of cooling all day (30 at 24.5), the other
/// that of heating (18 at 19.5) until 20:00, when it is switched off: 20 h. One zone alone has no
/// mixed demand, even where its two setpoints coincide with a call starting at once on either side.
#[test]
fn mixed_demand_hours_are_those_in_which_two_zones_want_opposite_things() {
    let hours = |model: &Model| run(model).summary.group.mixed_demand_hours;
    assert_abs_diff_eq!(hours(&two_rooms()), 20.0, epsilon = TOLERANCE);
    let mut given = Given { heat: 21.0, deadband: 0.0, ..room(21.0, Mode::Auto) };
    given.thermostat.call_start = Differential::same(0.0);
    assert_abs_diff_eq!(hours(&model(21.0, vec![given.zone("room")])), 0.0);
}

/// A room at 18 C on an outdoor unit. It is on from 00:00 to 02:00, from 03:00 to 05:00 and from
/// 12:00 to 12:06, over one day: 3 starts in 24 h, an eighth of one an hour. It calls for
/// 4.1 h, and the energy is that of 4 kW at a COP of 3.2.
#[test]
fn starts_per_hour_are_starts_over_all_hours() {
    let unit = outdoor_unit();
    let policy = by(ModePolicy::FirstCall, Seconds::ZERO);
    let mut model = grouped(model(18.0, vec![room(18.0, Mode::Heat).zone("room")]), unit, policy);
    let times = [(120, Power::Off), (180, Power::On), (300, Power::Off), (720, Power::On)];
    model.actions = times.map(|(at, power)| asks(minute(at), 0, Request::Power(power))).into();
    model.actions.push(asks(minute(726), 0, Request::Press(Key::Power)));
    let summary = run(&model).summary;
    let (_, unit) = &summary.group.outdoor_units[0];
    assert_eq!(unit.compressor_starts, 3);
    assert_abs_diff_eq!(unit.starts_per_hour, 0.125, epsilon = 1e-12);
    assert_abs_diff_eq!(summary.zones[0].1.served_hours, 4.1, epsilon = TOLERANCE);
    assert_abs_diff_eq!(summary.energy.heating_kwh, 4.1 * 4.0 / 3.2, epsilon = TOLERANCE);
}

/// A unit of 8 kW that goes no lower than half, with a shortest rest of 15 min, for a room that asks
/// for 1 kW all day. It runs at 4 kW, 3 kW more than asked, until it has delivered ahead what is
/// asked for in 15 min, 1 kW * 900 s = 900 kJ: after 900 kJ / 3 kW = 300 s. Then it rests for the
/// 15 min that this lasts. So it starts every 20 min, 3 times an hour and 72 times a day, runs for
/// a quarter of the time, 6 h, and gives 1 kW * 24 h on average: at a COP of 3.2, 7.5 kWh.
#[test]
fn lowest_output_makes_bursts_and_rests() {
    let unit = OutdoorUnit {
        heating: Some(flat(8000.0, 3.2)),
        lowest_output: 0.5,
        min_off: Seconds::minutes(15),
        ..outdoor_unit()
    };
    let given = Given { heating: 1000.0, ..room(18.0, Mode::Heat) };
    let model = grouped(model(18.0, vec![given.zone("room")]), unit, owned());
    let summary = run(&model).summary;
    let (_, unit) = &summary.group.outdoor_units[0];
    assert_eq!(unit.compressor_starts, 72);
    assert_abs_diff_eq!(unit.starts_per_hour, 3.0, epsilon = 1e-12);
    assert_abs_diff_eq!(summary.zones[0].1.served_hours, 6.0, epsilon = TOLERANCE);
    assert_abs_diff_eq!(summary.energy.heat_delivered_kwh, 24.0, epsilon = TOLERANCE);
    assert_abs_diff_eq!(summary.energy.heating_kwh, 7.5, epsilon = TOLERANCE);
}
